//! The proof page is safe and whole by itself; the manifest says where every printed thing is.
mod common;

use cockpit_cards::drawing::{Anchor, Drawing, Text, Weight};
use cockpit_cards::output::manifest::{self, Entry, Mark, Printed};
use cockpit_cards::output::proof::{Card, Problem, Proof, proof};
use common::sample;
use kurbo::{Affine, Size};
use resvg::usvg::roxmltree;

const HOSTILE: &str = r#"<script>alert("4½ & 'more'")</script>"#;

fn card<'a>(id: &'a str, title: &'a str, drawing: &'a Drawing) -> Card<'a> {
    Card { id, kind: "strip", title, stamp: "k3v9", drawing }
}

#[test]
fn a_name_made_of_markup_is_shown_and_not_run() {
    let mut drawing = Drawing::new(Size::new(40.0, 20.0), HOSTILE, HOSTILE);
    drawing.print(Text::new(HOSTILE, (5.0, 10.0), Anchor::Start, 3.0, Weight::Regular));
    let problem = Problem { level: "error", place: HOSTILE, what: HOSTILE, instead: HOSTILE };
    let card = Card { id: HOSTILE, kind: HOSTILE, title: HOSTILE, stamp: HOSTILE, drawing: &drawing };
    let page = proof(&Proof { title: HOSTILE, cards: &[card], problems: &[problem] }).expect("a page");
    assert!(!page.contains("<script"), "markup got through");
    let escaped = page.matches("&lt;script&gt;").count();
    assert!(escaped >= 10, "every one of them is still there to read: {escaped}");
}

#[test]
fn the_page_needs_nothing_from_outside_and_says_a_screen_is_not_true() {
    let drawing = sample::drawing();
    let cards = [card("backstay", "Backstay", &drawing), card("outhaul", "Outhaul", &drawing)];
    let problem =
        Problem { level: "warning", place: "boat.yaml:12:5", what: "no datum", instead: "say where to lay it" };
    let page = proof(&Proof { title: "Pepperwort", cards: &cards, problems: &[problem] }).expect("a page");
    for outside in ["http://", "https://", "src=", "<link", "@import", "url(", "<script"] {
        let page = page.replace("http://www.w3.org/2000/svg", "");
        assert!(!page.contains(outside), "{outside} in the page");
    }
    assert!(page.contains("A screen is not true to size"));
    for words in ["Pepperwort", "<strong>Backstay</strong>", "<code>outhaul</code>", "177.8 × 88.9 mm", "stamp k3v9"] {
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
                place: "boat.yaml:12:5",
                what: "no datum",
                instead: "say where to lay it"
            }]
        })
        .expect("a page")
    );
}

#[test]
fn without_problems_there_is_no_list_of_them() {
    let drawing = sample::drawing();
    let page =
        proof(&Proof { title: "Pepperwort", cards: &[card("a", "A", &drawing)], problems: &[] }).expect("a page");
    assert!(!page.contains("To put right") && page.contains("Proof of 1 card:"));
}

#[test]
fn the_inline_drawings_are_well_formed() {
    let drawing = sample::drawing();
    let page =
        proof(&Proof { title: "Pepperwort", cards: &[card("a", "A", &drawing)], problems: &[] }).expect("a page");
    let start = page.find("<svg").expect("a drawing");
    let end = page.find("</svg>").expect("its end") + "</svg>".len();
    let document = roxmltree::Document::parse(&page[start..end]).expect("well-formed XML");
    let layers: Vec<_> = document.root_element().children().filter_map(|node| node.attribute("class")).collect();
    assert_eq!(layers, ["print", "cut"]);
}

#[test]
fn the_manifest_lists_each_card_with_its_place_and_marks() {
    let marks =
        vec![Mark { label: "0", at_mm: 0.0 }, Mark { label: "½", at_mm: 10.0 }, Mark { label: "1", at_mm: 25.4 }];
    let turned = Affine::translate((30.0, 30.0)) * Affine::rotate(std::f64::consts::FRAC_PI_2);
    let strip = Entry {
        id: "backstay",
        kind: "strip",
        title: "Backstay \"port\"",
        width_mm: 160.0,
        height_mm: 22.0,
        stamp: "k3v9",
        svg: Some("svg/backstay.svg"),
        printed: vec![Printed::at("strips.pdf", 1, Size::new(160.0, 22.0), turned)],
        marks,
    };
    let card = Entry {
        id: "j1-upwind",
        kind: "wind-settings",
        svg: None,
        marks: Vec::new(),
        printed: vec![Printed::at("cards.pdf", 2, Size::new(105.0, 148.0), Affine::translate((5.0, 6.5)))],
        ..strip.clone()
    };
    let bytes = manifest::manifest("Pepperwort", &[strip, card]).expect("JSON");
    insta::assert_snapshot!(String::from_utf8(bytes).expect("UTF-8"));
}
