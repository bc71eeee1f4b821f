//! The proof page is safe and whole by itself; the manifest says where every printed thing is.
use crate::common;

use std::collections::BTreeSet;

use cockpit_cards::drawing::{Anchor, Colour, Drawing, Text, Weight};
use cockpit_cards::output::manifest::{self, Entry, Label, Mark, Printed, Side as ManifestSide};
use cockpit_cards::output::proof::{self, Card, Link, Problem, Proof, Side};
use cockpit_cards::output::svg;
use common::raster::Raster;
use common::sample;
use kurbo::{Affine, Size};
use resvg::usvg::roxmltree;

const HOSTILE: &str = r#"<script>alert("4½ & 'more'")</script>"#;

fn card<'a>(id: &'a str, title: &'a str, drawing: &'a Drawing) -> Card<'a> {
    Card { sides: vec![side(id, title, drawing)] }
}

fn side<'a>(id: &'a str, title: &'a str, drawing: &'a Drawing) -> Side<'a> {
    Side { id, kind: "strip", title, role: "", stamp: "k3v9", links: vec![Link::page("strips.pdf", 3)], drawing }
}

/// The whole page, its pictures made.
fn proof(of: &Proof) -> Result<String, Box<dyn std::error::Error>> {
    let mut page = Vec::new();
    let drawings = of.cards.iter().flat_map(|card| &card.sides).map(|side| side.drawing);
    proof::proof(of)?.write(drawings, &mut page)?;
    Ok(String::from_utf8(page)?)
}

#[test]
fn a_name_like_the_place_of_a_picture_gets_none() {
    let [first, second] = ["first", "second"].map(|title| Drawing::new(Size::new(40.0, 20.0), title, ""));
    let cards = [card("a", "<!--picture-->", &first), card("b", "<!--picture-->", &second)];
    let page = proof(&Proof { title: "<!--picture-->", cards: &cards, problems: &[] }).expect("a page");
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words} in {page}"));
    let order = ["id=\"card-a\"", "<title>first</title>", "id=\"card-b\"", "<title>second</title>"].map(at);
    assert!(order.is_sorted(), "{order:?}");
    assert!(!page.contains("<!--picture-->"));
}

#[test]
fn a_name_made_of_markup_is_shown_and_not_run() {
    let mut drawing = Drawing::new(Size::new(40.0, 20.0), HOSTILE, HOSTILE);
    drawing.print(Text::new(HOSTILE, (5.0, 10.0), Anchor::Start, 3.0, Weight::Regular));
    let problem = Problem { level: "error", place: Some(HOSTILE.to_owned()), what: HOSTILE, instead: HOSTILE };
    let side = Side {
        id: HOSTILE,
        kind: HOSTILE,
        title: HOSTILE,
        role: HOSTILE,
        stamp: HOSTILE,
        links: vec![Link::file(HOSTILE.to_owned())],
        drawing: &drawing,
    };
    let card = Card { sides: vec![side] };
    let page = proof(&Proof { title: HOSTILE, cards: &[card], problems: &[problem] }).expect("a page");
    assert!(!page.contains("<script"), "markup got through");
    let escaped = page.matches("&lt;script&gt;").count();
    assert!(escaped >= 10, "every one of them is still there to read: {escaped}");
}

#[test]
fn the_page_needs_nothing_from_outside_and_says_a_screen_is_not_true() {
    let drawing = sample::drawing();
    let cards = [card("backstay", "Backstay", &drawing), card("outhaul", "Outhaul", &drawing)];
    let problem = Problem {
        level: "warning",
        place: Some("boat.yaml:12:5".to_owned()),
        what: "no datum",
        instead: "say where to lay it",
    };
    let page = proof(&Proof { title: "Pepperwort", cards: &cards, problems: &[problem] }).expect("a page");
    for outside in ["http://", "https://", "src=", "<link", "@import", "url(", "<script"] {
        // A filter of the page itself is not outside.
        let page = page.replace("http://www.w3.org/2000/svg", "").replace("url(#", "");
        assert!(!page.contains(outside), "{outside} in the page");
    }
    assert!(page.contains("A screen is not true to size"));
    for words in [
        "Pepperwort",
        r#"<h3 id="card-backstay">Backstay</h3>"#,
        "<code>outhaul</code>",
        "177.8 × 88.9 mm",
        "stamp k3v9",
        r##"<a href="#card-outhaul">Outhaul</a>"##,
        r#"<a href="strips.pdf#page=3">strips.pdf, page 3</a>"#,
    ] {
        assert!(page.contains(words), "{words}");
    }
    for words in ["boat.yaml:12:5", "no datum", "say where to lay it", "Proof of 2 cards"] {
        assert!(page.contains(words), "{words}");
    }
    assert_eq!(
        page.matches(r#"width="177.8mm" "#).count() + page.matches(r#"width="177.8mm">"#).count(),
        2,
        "true size"
    );
    assert!(!page.contains(r#"id="print""#), "an id may stand only once in a page");
    assert!(
        page == proof(&Proof {
            title: "Pepperwort",
            cards: &cards,
            problems: &[Problem {
                level: "warning",
                place: Some("boat.yaml:12:5".to_owned()),
                what: "no datum",
                instead: "say where to lay it"
            }]
        })
        .expect("a page")
    );
}

#[test]
fn both_sides_of_a_card_are_shown_as_one() {
    let (drawing, other) = (sample::drawing(), Drawing::new(Size::new(40.0, 20.0), "Notes", ""));
    let as_part = |role, side| Side { role, ..side };
    let front = as_part("front", side("j1-upwind", "J1", &drawing));
    let two_sided = Card { sides: vec![front, as_part("back", side("j1-notes", "Notes", &other))] };
    let label = as_part("label", side("outhaul", "Outhaul", &other));
    let cards = [two_sided, Card { sides: vec![side("outhaul", "Outhaul", &drawing), label] }];
    let page = proof(&Proof { title: "Pepperwort", cards: &cards, problems: &[] }).expect("a page");
    assert!(page.contains("Proof of 2 cards"), "a card with a back is one card");
    let sides: Vec<&str> = page.split("class=\"sides\"").collect();
    assert_eq!(sides.len(), 3);
    for words in [">J1</h3>, front", ">Notes</h3>, back", "j1-notes"] {
        assert!(sides[1].contains(words), "{words}");
    }
    assert!(sides[2].contains(">Outhaul</h3><br>"), "a card with one side has neither front nor back");
    assert!(sides[2].contains(">Outhaul</h3>, label"), "and the label of a strip is told as such");
}

#[test]
fn without_problems_there_is_no_list_of_them() {
    let drawing = sample::drawing();
    let page =
        proof(&Proof { title: "Pepperwort", cards: &[card("a", "A", &drawing)], problems: &[] }).expect("a page");
    assert!(!page.contains("To put right") && page.contains("Proof of 1 card:"));
}

/// The page's `<svg>` elements: first the glyphs that the drawings refer to, then the drawings; the filters are left out.
fn svgs(page: &str) -> Vec<&str> {
    let end = |start: usize| start + page[start..].find("</svg>").expect("its end") + "</svg>".len();
    page.match_indices("<svg")
        .map(|(start, _)| &page[start..end(start)])
        .filter(|svg| !svg.contains("<filter"))
        .collect()
}

#[test]
fn the_inline_drawings_are_well_formed() {
    let drawing = sample::drawing();
    let page =
        proof(&Proof { title: "Pepperwort", cards: &[card("a", "A", &drawing)], problems: &[] }).expect("a page");
    let [glyphs, inline] = svgs(&page)[..] else { panic!("two elements") };
    roxmltree::Document::parse(glyphs).expect("well-formed XML");
    let document = roxmltree::Document::parse(inline).expect("well-formed XML");
    let layers: Vec<_> = document.root_element().children().filter_map(|node| node.attribute("class")).collect();
    assert_eq!(layers, ["print", "cut"]);
}

#[test]
fn an_inline_drawing_shows_the_picture_of_its_file() {
    const DOTS_PER_INCH: f64 = 300.0;
    // The page's outlines are rounded at another size than the file's, which moves an edge by a hundredth of a pixel
    // and a curve through the middle of a pixel by more; a glyph out of place gives far more.
    const WINDOW_LIMIT: f64 = 12.0;
    let mut turned = Drawing::new(Size::new(80.0, 40.0), "Turned", "");
    let text = Text::new("4½ łódź ≥ 9", (20.0, 20.0), Anchor::Middle, 6.5, Weight::Bold);
    turned.print(text.coloured(Colour::rgb(0.5, 0.0, 0.0)).turned_about((30.0, 20.0), -0.7));
    let drawings = [sample::drawing(), turned];
    let cards = drawings.each_ref().map(|drawing| card("a", "A", drawing));
    let page = proof(&Proof { title: "Pepperwort", cards: &cards, problems: &[] }).expect("a page");
    let [glyphs, inline @ ..] = &svgs(&page)[..] else { panic!("no glyphs") };
    assert_eq!(inline.len(), drawings.len());
    let defined = &glyphs[glyphs.find("<defs>").expect("a start")..glyphs.find("</svg>").expect("an end")];
    for (drawing, inline) in drawings.iter().zip(inline) {
        let (root, rest) = inline.split_at(inline.find('>').expect("a root element") + 1);
        let by_itself = Raster::of_svg(&format!("{root}{defined}{rest}"), DOTS_PER_INCH);
        let file = Raster::of_svg(&svg::svg(drawing, svg::Options::default()).into_string(), DOTS_PER_INCH);
        let difference = by_itself.difference(&file);
        assert!(difference.worst_window <= WINDOW_LIMIT, "{}: {difference:?}", drawing.title);
    }
}

#[test]
fn a_page_defines_each_glyph_once_and_every_glyph_that_it_shows() {
    let drawing = sample::drawing();
    let cards = [card("a", "A", &drawing), card("b", "B", &drawing)];
    let page = proof(&Proof { title: "Pepperwort", cards: &cards, problems: &[] }).expect("a page");
    let after = |key: &str| -> Vec<String> {
        let name = |(start, _): (usize, &str)| page[start + key.len()..].split('"').next().expect("a name").to_owned();
        page.match_indices(key).map(name).collect()
    };
    let (defined, used) = (after("<path id=\""), after("<use href=\"#"));
    let each: BTreeSet<&String> = defined.iter().collect();
    assert_eq!(each.len(), defined.len(), "an id may stand only once in a page");
    assert_eq!(each, used.iter().collect(), "defined and used");
}

#[test]
fn the_manifest_lists_each_card_with_its_place_and_marks() {
    let marks =
        [("0", 0.0), ("½", 10.0), ("1", 25.4)].map(|(label, at_mm)| Mark { label: label.to_owned(), at_mm }).to_vec();
    let turned = Affine::translate((30.0, 30.0)) * Affine::rotate(std::f64::consts::FRAC_PI_2);
    let strip = Entry {
        id: "backstay",
        kind: "strip",
        title: "Backstay \"port\"",
        side: None,
        other_side: None,
        width_mm: 160.0,
        height_mm: 22.0,
        stamp: "k3v9",
        edition: None,
        svg: Some("svg/backstay.svg".to_owned()),
        calendar: None,
        printed: vec![Printed::at("strips.pdf", 1, Size::new(160.0, 22.0), turned)],
        label: Some(Label {
            width_mm: 70.0,
            height_mm: 60.0,
            svg: "svg/backstay.label.svg".to_owned(),
            printed: Some(Printed::at("strips.pdf", 1, Size::new(70.0, 60.0), Affine::translate((80.0, 12.0)))),
        }),
        marks,
    };
    let card = Entry {
        id: "j1-upwind",
        kind: "wind-settings",
        side: Some(ManifestSide::Front),
        other_side: Some("j1-notes"),
        edition: Some(3),
        svg: None,
        label: None,
        marks: Vec::new(),
        printed: vec![Printed::at("cards.pdf", 2, Size::new(105.0, 148.0), Affine::translate((5.0, 6.5)))],
        ..strip.clone()
    };
    let bytes = manifest::manifest("Pepperwort", &[strip, card]).expect("JSON");
    insta::assert_snapshot!(String::from_utf8(bytes).expect("UTF-8"));
}
