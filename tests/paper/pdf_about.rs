//! What a PDF says about itself, its list of contents, and the order in which its words are read.
use crate::common;

use std::collections::BTreeMap;

use cockpit_cards::drawing::{Anchor, Drawing, Text, Weight};
use cockpit_cards::output::pdf::{self, Bookmark};
use cockpit_cards::paper::{Page, Placed};
use common::whole::{self, Run};
use common::{content, sample, tools};
use kurbo::{Affine, Point, Size};
use lopdf::{Dictionary, Document, Object};

const TITLE: &str = "Ślimak & «4½» <strips>";
const SUBJECT: &str = "One of everything";
/// How far a place may be from where it belongs, millimetres.
const TRUE_MM: f64 = 0.005;

fn made(title: &str) -> Vec<u8> {
    let options = pdf::Options { title, subject: SUBJECT, ..pdf::Options::default() };
    pdf::pdf(&[sample::page_of(&sample::drawing())], &options).expect("a PDF")
}

/// The two identifiers in the trailer.
fn identifiers(bytes: &[u8]) -> [Vec<u8>; 2] {
    let document = Document::load_mem(bytes).expect("a PDF");
    let both = document.trailer.get(b"ID").and_then(Object::as_array).expect("identifiers");
    assert_eq!(both.len(), 2, "ISO 32000-1, 14.4");
    [0, 1].map(|index| both[index].as_str().expect("a string of bytes").to_vec())
}

#[test]
fn a_file_is_told_by_what_is_in_it() {
    let [first, now] = identifiers(&made(TITLE));
    assert_eq!((first.len(), &first), (16, &now));
    assert_eq!(identifiers(&made(TITLE))[0], first, "the same pages on any day");
    let other_words = made("Another title");
    let moved = sample::pdf_of(&sample::drawing_with(Some((3, 0.05))));
    for other in [&other_words, &moved, &sample::pdf_of(&sample::drawing())] {
        assert_ne!(identifiers(other)[0], first);
    }
}

/// The words of each element that holds any.
fn elements(xml: &str) -> BTreeMap<String, String> {
    let mut reader = quick_xml::Reader::from_str(xml);
    let (mut open, mut found) = (Vec::new(), BTreeMap::<String, String>::new());
    loop {
        match reader.read_event().expect("sound XML") {
            quick_xml::events::Event::Start(start) => {
                open.push(start.name().as_ref().to_owned());
            }
            quick_xml::events::Event::End(_) => drop(open.pop()),
            quick_xml::events::Event::Text(text) => {
                found.entry(open.join("/")).or_default().push_str(&text);
            }
            quick_xml::events::Event::GeneralRef(name) => {
                let character = quick_xml::escape::resolve_predefined_entity(&name).expect("an entity of XML itself");
                found.entry(open.join("/")).or_default().push_str(character);
            }
            quick_xml::events::Event::Eof => return found,
            _ => {}
        }
    }
}

#[test]
fn the_metadata_say_what_the_information_says_and_in_which_language() {
    let bytes = made(TITLE);
    let document = Document::load_mem(&bytes).expect("a PDF");
    let catalog = document.catalog().expect("a catalog");
    let metadata = catalog.get(b"Metadata").and_then(Object::as_reference).expect("a reference");
    let metadata = document.get_object(metadata).and_then(Object::as_stream).expect("a stream");
    assert!(metadata.dict.get(b"Filter").is_err(), "to be found by what cannot read a PDF: ISO 32000-1, 14.3.2");
    let packet = std::str::from_utf8(&metadata.content).expect("UTF-8");
    // The marks by which a packet is found in any file: ISO 16684-1, 7.3.2.
    assert!(packet.starts_with("<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>"));
    assert!(packet.ends_with("<?xpacket end=\"r\"?>"));
    let said = elements(packet);
    let about = |name: &str| said.get(&format!("rdf:RDF/rdf:Description/{name}")).map(String::as_str);
    assert_eq!(about("dc:title/rdf:Alt/rdf:li"), Some(TITLE));
    assert_eq!(about("dc:description/rdf:Alt/rdf:li"), Some(SUBJECT));
    assert_eq!(about("dc:language/rdf:Bag/rdf:li"), Some("en"));
    assert_eq!(about("pdf:Producer"), Some(concat!("cockpit-cards ", env!("CARGO_PKG_VERSION"))));
    assert!(!packet.contains("Date"), "{packet}");
    assert_eq!(catalog.get(b"Lang").and_then(Object::as_str).ok(), Some(b"en".as_slice()));
}

#[test]
fn a_viewer_heads_its_window_with_the_title() {
    let bytes = made(TITLE);
    let document = Document::load_mem(&bytes).expect("a PDF");
    let preferences = document.catalog().and_then(|catalog| catalog.get(b"ViewerPreferences")).expect("preferences");
    let preferences = preferences.as_dict().expect("a dictionary");
    assert_eq!(preferences.get(b"DisplayDocTitle").and_then(Object::as_bool).ok(), Some(true));
}

/// The title of each bookmark, the page and the place it leads to in millimetres, and how deep it lies.
fn outline(bytes: &[u8]) -> Vec<(String, usize, Point, usize)> {
    let document = Document::load_mem(bytes).expect("a PDF");
    let Ok(root) = document.catalog().and_then(|catalog| catalog.get(b"Outlines")) else { return Vec::new() };
    let root = document.get_dictionary(root.as_reference().expect("a reference")).expect("the outline");
    let mut lines = Vec::new();
    walk(&document, root, 0, &mut lines);
    lines
}

fn walk(document: &Document, over: &Dictionary, depth: usize, lines: &mut Vec<(String, usize, Point, usize)>) {
    let mut next = over.get(b"First").and_then(Object::as_reference).ok();
    let mut count = 0;
    let mut before = None;
    while let Some(id) = next {
        let line = document.get_dictionary(id).expect("a bookmark");
        assert_eq!(line.get(b"Prev").and_then(Object::as_reference).ok(), before);
        let place = line.get(b"Dest").and_then(Object::as_array).expect("a place");
        let page = place[0].as_reference().expect("a page");
        let height = content::page_box(document, page, b"MediaBox").height();
        let number = document.get_pages().into_iter().find(|(_, id)| *id == page).expect("a page of the file").0;
        let [x, y] = [&place[2], &place[3]].map(|side| f64::from(side.as_float().expect("a number")));
        let at = Point::new(x, height - y).to_vec2() * 25.4 / 72.0;
        let title = lopdf::decode_text_string(line.get(b"Title").expect("a title")).expect("text");
        lines.push((title, number as usize, at.to_point(), depth));
        walk(document, line, depth + 1, lines);
        (before, next) = (Some(id), line.get(b"Next").and_then(Object::as_reference).ok());
        count += 1;
    }
    let said = over.get(b"Count").and_then(Object::as_i64).unwrap_or(0);
    assert_eq!(said.abs(), count, "what lies folded away under a line is not counted");
    assert_eq!(over.get(b"Last").and_then(Object::as_reference).ok(), before);
}

/// Every card with its own bookmark, which leads to where the manifest says that it is printed.
fn assert_bookmarks_lead_to_their_cards(run: &Run) {
    let mut found = 0;
    for (name, bytes) in run.pdfs() {
        for (title, page, at, _) in outline(bytes) {
            let card = run.cards.iter().find(|card| card.title == title);
            let Some(card) = card else { continue };
            let printed = card.printed.iter().find(|printed| printed.file == name).expect("a card of this file");
            let size = Size::new(card.width_mm, card.height_mm);
            let corner = printed.to_card(size).inverse().transform_rect_bbox(size.to_rect()).origin();
            assert_eq!(page, printed.page, "{title}");
            assert!((at - corner).hypot() < TRUE_MM, "{title}: {at:?}, not {corner:?}");
            found += 1;
        }
    }
    assert_eq!(found, run.cards.len(), "one bookmark a card");
}

#[test]
fn each_card_has_a_bookmark_that_leads_to_its_place() {
    for (_, text) in whole::EXAMPLES {
        assert_bookmarks_lead_to_their_cards(&whole::print(text, "A4"));
    }
}

#[test]
fn what_belongs_to_a_card_lies_under_it_in_the_list_of_contents() {
    let run = whole::print(whole::EXAMPLES[1].1, "A4");
    let lines = |name: &str| -> Vec<String> {
        outline(run.file(name)).into_iter().map(|(title, .., depth)| "  ".repeat(depth) + &title).collect()
    };
    let has = |all: &[String], some: &[&str]| all.windows(some.len()).any(|lines| lines == some);
    let cards = lines("cards.pdf");
    assert!(
        has(
            &cards,
            &[
                "J3 + Main, 44° to 80°",
                "  J3 + Main, 44° to 80°, 20 to 28 kn, 1 of 2",
                "  J3 + Main, 44° to 80°, 28 to 34 kn, 2 of 2",
            ]
        ),
        "{cards:#?}"
    );
    let two_sided = lines("cards-two-sided.pdf");
    assert!(has(&two_sided, &["J1 + Main, upwind", "  J1 to J2, upwind"]), "{two_sided:#?}");
    let strips = lines("strips.pdf");
    assert!(has(&strips, &["Backstay", "  Backstay, label"]), "{strips:#?}");
    // Longer than A4.
    let text = "book: 1\nboat: {name: Chervil}\ncontrols:\n  lead: {scale: {marks: 0..20, spacing: 25 mm}}\n";
    let run = whole::print(text, "A4");
    let titles: Vec<String> = outline(run.file("strips.pdf")).into_iter().map(|(title, ..)| title).collect();
    assert_eq!(titles, ["Lead", "Lead, piece 1 of 3", "Lead, piece 2 of 3", "Lead, piece 3 of 3"]);
}

/// By a reader that shares no code with the writer; `mutool show FILE outline` prints a line for each.
#[test]
fn an_outside_reader_finds_the_bookmarks() {
    let bookmark = |title: &str, page, parts| Bookmark { title: title.into(), page, at: Point::new(5.0, 7.0), parts };
    let bookmarks = [
        bookmark("Żagle ½", 1, vec![bookmark("under it", 2, Vec::new())]),
        bookmark("of no page", 7, Vec::new()),
        bookmark("last", 2, Vec::new()),
    ];
    let drawing = sample::drawing();
    let pages = [sample::page_of(&drawing), sample::page_of(&drawing)];
    let bytes = pdf::pdf(&pages, &pdf::Options { bookmarks: &bookmarks, ..pdf::Options::default() }).expect("a PDF");
    tools::assert_sound(&bytes);
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("in.pdf");
    std::fs::write(&file, &bytes).expect("a file");
    let output = std::process::Command::new("mutool").arg("show").arg(&file).arg("outline").output();
    let said = String::from_utf8(output.expect("mutool: install mupdf-tools").stdout).expect("UTF-8");
    let lines: Vec<&str> = said.lines().collect();
    assert!(lines.len() == 3 && lines[0].contains("\"Żagle ½\""), "{said}");
    assert!(lines[1].contains("\t\t\"under it\"\t#page=2") && lines[2].contains("\"last\"\t#page=2"), "{said}");
}

#[test]
fn a_page_of_one_card_is_trimmed_to_the_card_and_any_other_to_the_paper() {
    let card = Drawing::new(Size::new(105.0, 148.0), "", "");
    let size = Size::new(210.0, 297.0);
    let placed = |x: f64, y: f64| Placed { drawing: &card, to_page: sample::moved(x, y) };
    // A printer that makes everything 1 % too small is made up for in the file.
    let to_file = Affine::scale(1.01);
    let page = |placed| Page { size, furniture: Drawing::new(size, "", ""), placed, to_file };
    let pages = [page(vec![placed(20.0, 30.0)]), page(vec![placed(0.0, 0.0), placed(105.0, 0.0)]), page(Vec::new())];
    let bytes = pdf::pdf(&pages, &pdf::Options::default()).expect("a PDF");
    let document = Document::load_mem(&bytes).expect("a PDF");
    let millimetres = |points: f64| points * 25.4 / 72.0;
    let trimmed = document.get_pages().into_values().map(|page| {
        let area = content::page_box(&document, page, b"TrimBox");
        [area.x0, area.y0, area.x1, area.y1].map(millimetres)
    });
    let whole = [0.0, 0.0, 210.0, 297.0];
    let cut_out = [20.2, 297.0 - 1.01 * 178.0, 1.01 * 125.0, 297.0 - 30.3];
    for (trimmed, wanted) in trimmed.zip([cut_out, whole, whole]) {
        for (side, wanted) in trimmed.iter().zip(wanted) {
            assert!((side - wanted).abs() < TRUE_MM, "{trimmed:?}");
        }
    }
}

/// Two sailed winds, two controls: a reading stands over the wind it was sailed at.
const TABLE: &str = "book: 1
boat: {name: Chervil}
wind_bands: [6, 10, 14]
controls:
  backstay: {higher_is: tighter, scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  jib_lead: {name: Lead, higher_is: aft, scale: {marks: 0..12, spacing: 50 mm, halves: true}}
sails:
  main: {kind: mainsail}
  jib: {kind: headsail}
settings:
  - {id: upwind, sails: [main, jib], point_of_sail: upwind, controls: [backstay, jib_lead], at: {8: [2, 7½], 12: [4½, 9]}}
cards: [{kind: wind-settings, settings: upwind, size: A6}]
";

#[test]
fn the_rows_of_a_table_are_read_as_rows() {
    let run = whole::print(TABLE, "A4");
    let wanted = [
        ["TRUE WIND kn", "6 to 10", "10 to 14"],
        ["Backstay", "2 to 3", "3 to 4½"],
        ["higher: TIGHTER", "● 2 at 8", "● 4½ at 12"],
        ["higher: AFT", "● 7½ at 8", "● 9 at 12"],
    ];
    // As it is asked for when nothing else is, and in the order of the file itself.
    for arguments in [&[][..], &["-raw"]] {
        let words = tools::words_of(run.file("cards.pdf"), arguments);
        for row in wanted {
            assert!(words.lines().any(|line| line == row.join("\t")), "{row:?} is no line of:\n{words}");
        }
    }
}

#[test]
fn a_fraction_that_is_set_larger_is_read_with_its_number() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Fractions", "");
    let small = Text::new("● 2½ at 12", (20.0, 40.0), Anchor::Start, 2.0, Weight::Regular);
    assert!(small.size().fractions() > 1.2);
    drawing.print(small.turned_about((20.0, 40.0), -std::f64::consts::FRAC_PI_2));
    let words = tools::words_of(&sample::pdf_of(&drawing), &[]);
    assert!(words.contains("● 2½ at 12"), "{words}");
}
