//! Every field of a book that takes a text, with every text that some reader of some file could take for more than a text:
//! it is printed as what it is, or it is a problem with its place. Never markup, never a name of a file outside the folder.
use crate::common;

use std::collections::BTreeMap;

use cockpit_cards::book::Level;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::paper::{PaperSize, PrintJob};
use cockpit_cards::printing::Options;
use common::books::{Book, HOSTILE};
use common::whole::Run;
use common::{content, inputs, tools, truth};
use resvg::usvg::roxmltree;
use unicode_normalization::UnicodeNormalization;

/// A field that takes a text: what it is called here, what stands in it otherwise, and whether it is printed on a card.
const FIELDS: &[(&str, &str, bool)] = &[
    ("boat", "Chervil", true),
    ("sensor", "masthead", true),
    ("control id", "backstay", false),
    ("control name", "Backstay", true),
    ("higher is", "tighter", true),
    ("read when", "loaded", true),
    ("limit why", "rigger", true),
    ("strip place", "coachroof", true),
    ("pointer", "splice", true),
    ("datum from", "ram eye", true),
    ("second datum", "mast", true),
    ("beside", "95 bar", true),
    ("centre", "C", true),
    ("low end", "P", true),
    ("high end", "S", true),
    ("tape", "white", true),
    ("turns base", "gauge 38 on 2027-04-02", false),
    ("gauge unit", "psi", true),
    ("measured unit", "0 bar", false),
    ("low word", "eased", true),
    ("high word", "hard", true),
    ("ram limit", "tang", false),
    ("sail id", "j1", false),
    ("sail name", "J1", true),
    ("sail status", "patched", true),
    ("settings id", "j1-upwind", false),
    ("look", "leech", true),
    ("adjust id", "chop", false),
    ("team", "Red", true),
    ("person", "Ada", true),
    ("check what", "Jackstays", true),
    ("check who", "Bo", true),
    ("check by", "Friday", true),
    ("lead sail", "J1, reaching", true),
    ("stowed", "anchor", true),
    ("stow", "sole", true),
    ("card id", "card-1", false),
    ("lines on the back", "Notes", true),
    ("time zone", "Europe/London", false),
    ("day", "2027-03-01", false),
    ("kind", "headsail", false),
    ("size", "A5", false),
    ("new field", "name", false),
];

/// A book with a place for each of them. What may be any text stands in double quotes.
const BOOK: &str = r#"
book: 1
boat: {name: §boat§, length: 11 m}
wind_source: {kind: true, sensor: §sensor§}
controls:
  §control id§:
    §new field§: §control name§
    higher_is: §higher is§
    read_when: §read when§
    scale: {marks: 0..8, spacing: 30 mm}
    limit: {never_above: 7, why: §limit why§}
    ram: {acts: pull, bore: 40 mm, rod: 20 mm, max: 180 bar, others: {§ram limit§: 17 kN}}
    strip:
      {place: §strip place§, reading_distance: 0.4 m, width: 110 mm, pointer: §pointer§, beside: {4: §beside§},
       datum: {from: §datum from§, distance: 310 mm}, second_datum: {from: §second datum§, distance: 200 mm}}
  two_way: {scale: {centre: §centre§, marks: 2, spacing: 60 mm, ends: [§low end§, §high end§]}, strip: {reading_distance: 0.3 m, width: 60 mm}}
  taped:
    scale: {tapes: [{name: §tape§, colour: red, from: 0 mm, to: 150 mm}]}
    strip: {reading_distance: 0.3 m, width: 60 mm}
  turned: {when: dock, scale: {turns: {base: §turns base§}}}
  gauge: {scale: {gauge: {unit: §gauge unit§, least: 0, most: 50}}}
  measured: {scale: {measured: {§measured unit§: 0 mm, 60: 90 mm}, every: 30}, strip: {reading_distance: 0.3 m, width: 60 mm}}
  worded: {scale: {words: [§low word§, §high word§]}}
sails:
  main: {kind: mainsail}
  §sail id§: {kind: §kind§, name: §sail name§, wind: 4..20, angle: 40..70, status: §sail status§, since: §day§}
wardrobe: {wind: 4..20, angle: 40..70}
adjust: {§adjust id§: {two_way: 1}}
settings:
  - id: §settings id§
    sails: [main, §sail id§]
    point_of_sail: upwind
    controls: [two_way, gauge, worded]
    at:
      6: [~, 10, §low word§]
      14: [~, 20, §high word§]
    targets: {6: {speed: 5, look: §look§}}
watches:
  {start: 2027-06-12 18:40, finish: 2027-06-13 22:00, time_zone: §time zone§, least_on_deck: 1, lengths: [4 h],
   teams: {§team§: [§person§, Cleo], Blue: [Dan, Eve]}}
checks: [{what: §check what§, who: §check who§, by: §check by§}]
outboard_lead:
  sail: §lead sail§
  tack: [0.5 m, 0 m, 1.25 m]
  clew: [5.0 m, 1.15 m, 2.3 m]
  track: {0: [5.3 m, 0.85 m, 1.15 m], 14: [7.4 m, 1.0 m, 1.15 m]}
  car: 8
  outboard_block: [8.1 m, 1.5 m, 1.05 m]
  pad_eye: [6.0 m, 1.5 m, 1.1 m]
  tweaker: {0: 900 mm, 2: 500 mm, 4: 350 mm}
stowage:
  displacement: 6400 kg
  centre_of_gravity: [5.5 m, 0 m, 0.1 m]
  items: [{what: §stowed§, mass: 16 kg, now: [0.8 m, 0 m, 1 m], plan: move, to: [5 m, 0 m, 0 m], stow: §stow§}]
cards:
  - {kind: wind-settings, settings: §settings id§, size: A4}
  - {kind: wardrobe, size: A4}
  - {kind: watch-plan}
  - {kind: readiness, id: §card id§, size: §size§, back: {lines: §lines on the back§}}
  - {kind: outboard-lead, size: A4}
  - {kind: stowage, size: A4}
  - {kind: re-mark}
  - {kind: strip}
"#;

/// Any text in YAML's double quotes.
fn quoted(text: &str) -> String {
    let letter = |letter: char| match letter {
        '"' | '\\' => format!("\\{letter}"),
        ' '..='~' => letter.to_string(),
        other => format!("\\U{:08X}", u32::from(other)),
    };
    format!("\"{}\"", text.chars().map(letter).collect::<String>())
}

/// The book with these texts in these fields.
fn book(texts: &BTreeMap<&str, String>) -> Book {
    let mut text = BOOK.to_owned();
    for (field, plain, _) in FIELDS {
        let given = texts.get(field).map_or(*plain, String::as_str);
        text = text.replace(&format!("§{field}§"), &quoted(given));
    }
    Book { text, paper: "roll-610mm", ..Book::default() }
}

/// What the field gets, so that two fields of one scale or list do not hold the same.
fn given(field: &str, hostile: &str) -> String {
    match field {
        "beside" => format!("95 {hostile}"),
        "measured unit" => format!("0 {hostile}"),
        // The settings' own card has their id.
        "card id" => format!("{hostile}-1"),
        "high end" | "high word" => format!("{hostile} y"),
        "low end" | "low word" => format!("{hostile} x"),
        _ => hostile.to_owned(),
    }
}

/// As the book keeps a text: on one line and composed.
fn tidy(text: &str) -> String {
    let parts = text.split(['\n', '\r', '\t', '\u{2028}', '\u{2029}']).map(str::trim).filter(|part| !part.is_empty());
    parts.collect::<Vec<_>>().join(" ").nfc().collect()
}

/// For comparing what is printed: without spaces, which wrapping moves, and in small letters.
fn bare(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_whitespace()).flat_map(char::to_lowercase).collect()
}

/// The files of a book, or `None` if it is refused; what it is told is looked at either way.
fn run(book: &Book, about: &str) -> Option<Run> {
    let paper = PaperSize::parse(book.paper).expect("a paper");
    let passed = door::print(inputs::load(book), &Options { job: PrintJob::on(paper), ..Options::default() });
    inputs::told_of(&passed).unwrap_or_else(|fault| panic!("{about}: {fault}"));
    let Passed { made, problems, .. } = passed;
    made.map(|files| Run::of(files, problems))
}

/// The proof page as XML: its own void elements closed.
fn as_xml(page: &str) -> String {
    let body = page.strip_prefix("<!DOCTYPE html>\n").expect("a page of HTML");
    const WITHOUT_END: [&str; 3] = ["<meta ", "<br>", "<input "];
    let closed = body.split_inclusive('>').map(|piece| match WITHOUT_END.iter().any(|tag| piece.contains(tag)) {
        true => format!("{}/>", &piece[..piece.len() - 1]),
        false => piece.to_owned(),
    });
    closed.collect()
}

/// Elements of the page and of the pictures in it; there are no others.
const ELEMENTS: [&str; 43] = [
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "header",
    "h1",
    "h2",
    "p",
    "ul",
    "li",
    "b",
    "code",
    "br",
    "span",
    "div",
    "figure",
    "figcaption",
    "strong",
    "svg",
    "g",
    "path",
    "desc",
    "footer",
    "clipPath",
    "defs",
    "use",
    "rect",
    "text",
    "circle",
    "line",
    "input",
    "label",
    "filter",
    "feColorMatrix",
    "main",
    "nav",
    "ol",
    "h3",
    "a",
    "fieldset",
    "legend",
];

/// The words in every picture of a run, without spaces and in small letters.
fn printed_words(run: &Run) -> String {
    let mut words = String::new();
    for entry in &run.cards {
        let source = run.text(&entry.svg);
        let document = roxmltree::Document::parse(source).unwrap_or_else(|error| panic!("{}: {error}", entry.svg));
        assert_eq!(truth::live(&document), Vec::<String>::new(), "{}", entry.svg);
        for node in document.descendants() {
            words.push_str(&bare(node.attribute("aria-label").unwrap_or_default()));
            words.push_str(&bare(node.text().unwrap_or_default()));
        }
    }
    words
}

fn assert_harmless(run: &Run, about: &str) {
    for (name, _) in &run.files {
        let stem = name.strip_prefix("svg/").and_then(|name| name.strip_suffix(".svg"));
        let plain =
            |stem: &str| !stem.is_empty() && stem.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_'));
        let known = matches!(
            name.as_str(),
            "cards.pdf" | "cards-two-sided.pdf" | "strips.pdf" | "manifest.json" | "proof.html"
        );
        let calendar = name.strip_suffix(".ics");
        assert!(known || stem.or(calendar).is_some_and(plain), "{about}: a file {name:?}");
    }
    let page = as_xml(run.text("proof.html"));
    let document = roxmltree::Document::parse(&page).unwrap_or_else(|error| panic!("{about}: proof.html: {error}"));
    assert_eq!(truth::live(&document), Vec::<String>::new(), "{about}");
    for node in document.descendants().filter(|node| node.is_element()) {
        assert!(ELEMENTS.contains(&node.tag_name().name()), "{about}: an element {:?}", node.tag_name().name());
    }
    for (_, bytes) in run.pdfs() {
        // The ruler knows every operator that a page of ours has, and no other.
        content::of_pdf(bytes);
    }
}

#[test]
fn the_book_without_any_hostile_text_prints_every_field_of_it() {
    let run = run(&book(&BTreeMap::new()), "plain").expect("a sound book");
    let words = printed_words(&run);
    for (field, plain, shown) in FIELDS {
        assert!(!shown || words.contains(&bare(plain)), "{field} is not printed");
    }
    for (field, ..) in FIELDS {
        assert!(BOOK.contains(&format!("§{field}§")), "{field}");
    }
}

/// The fields that take a text. All are given it at once, and those of which something is told lose it, until nothing is told:
/// every fault is told in one run, at its place.
fn takers(hostile: &str) -> Vec<&'static (&'static str, &'static str, bool)> {
    let mut fields: Vec<_> = FIELDS.iter().collect();
    loop {
        let texts: BTreeMap<&str, String> = fields.iter().map(|field| (field.0, given(field.0, hostile))).collect();
        let (whole, spans) = (book(&texts), spans(&texts));
        // What an entry of the list of cards holds is read with the cards; of any other it is known once the book is read.
        let loaded = inputs::load(&whole);
        let passed = match loaded.is_sound() {
            true => door::check(loaded),
            false => Passed { made: None, problems: loaded.problems, sources: loaded.sources },
        };
        inputs::told_of(&passed).unwrap_or_else(|fault| panic!("{hostile:?}: {fault}"));
        if passed.made.is_some() {
            return fields;
        }
        let errors = passed.problems.iter().filter(|problem| problem.level == Level::Error);
        let places: Vec<_> = errors.filter_map(|problem| problem.place.clone()).collect();
        let is_told_of = |field: &str| {
            let own = spans.iter().filter(|(name, _)| *name == field);
            own.into_iter().any(|(_, span)| places.iter().any(|place| span.contains(&place.bytes.start)))
        };
        let before = fields.len();
        fields.retain(|field| !is_told_of(field.0));
        assert!(fields.len() < before, "{hostile:?}: something is told, and of no field: {:?}", passed.problems);
    }
}

/// Where each field's text stands in the book, as often as it does.
fn spans(texts: &BTreeMap<&str, String>) -> Vec<(&'static str, std::ops::Range<usize>)> {
    let (mut spans, mut at) = (Vec::new(), 0);
    for (part, words) in BOOK.split('§').enumerate() {
        let field = FIELDS.iter().find(|field| part % 2 == 1 && field.0 == words);
        let length = match field {
            Some((name, plain, _)) => quoted(texts.get(name).map_or(*plain, String::as_str)).len(),
            None => words.len(),
        };
        spans.extend(field.map(|field| (field.0, at..at + length)));
        at += length;
    }
    spans
}

#[test]
fn every_text_in_every_field_is_printed_as_it_is_or_is_a_problem_with_a_place() {
    let (mut taken, mut refused) = (0, 0);
    for hostile in HOSTILE {
        let fields = takers(hostile);
        taken += fields.len();
        refused += FIELDS.len() - fields.len();
        if fields.is_empty() {
            continue;
        }
        // All of those at once, printed whole.
        let texts: BTreeMap<&str, String> = fields.iter().map(|field| (field.0, given(field.0, hostile))).collect();
        let about = format!("{hostile:?}");
        let whole = book(&texts);
        let Some(run) = run(&whole, &about) else {
            let Passed { problems, .. } = door::print(inputs::load(&whole), &Options::default());
            panic!("{about} is taken by each of {texts:?} but not by all: {problems:?}");
        };
        assert_harmless(&run, &about);
        let words = printed_words(&run);
        for (field, _, shown) in &fields {
            assert!(
                !shown || words.contains(&bare(&tidy(&texts[field]))),
                "{field} is not printed as {:?}",
                texts[field]
            );
        }
        if let Some(boat) = texts.get("boat") {
            let boat = tidy(boat);
            let page = as_xml(run.text("proof.html"));
            let document = roxmltree::Document::parse(&page).expect("XML, as just seen");
            let heading = document.descendants().find(|node| node.has_tag_name("h1")).and_then(|node| node.text());
            assert_eq!(heading.map(tidy), Some(boat.clone()));
            let manifest: serde_json::Value = serde_json::from_str(run.text("manifest.json")).expect("JSON");
            assert_eq!(manifest["boat"], boat.as_str());
            let said = bare(&tools::text_of(run.file("cards.pdf")).nfc().collect::<String>());
            assert!(said.contains(&bare(&boat)), "{boat:?} cannot be found in the PDF");
        }
    }
    // Both ways are tried in earnest.
    assert!(taken > 500 && refused > 500, "{taken} taken, {refused} refused");
}

#[test]
fn a_table_of_any_name_is_read_only_if_it_is_there() {
    for hostile in HOSTILE {
        let settings = format!("- {{id: a, sails: [main], point_of_sail: upwind, table: {}}}", quoted(hostile));
        let text = format!(
            "book: 1\nboat: {{name: Chervil}}\ncontrols: {{c: {{scale: {{words: [a, b]}}}}}}\nsails: {{main: {{kind: mainsail}}}}\n\
             settings:\n  {settings}\n"
        );
        let loaded = inputs::load(&Book { text, ..Book::default() });
        inputs::told(&loaded.problems, &loaded.sources).unwrap_or_else(|fault| panic!("{hostile:?}: {fault}"));
        assert!(!loaded.is_sound() && loaded.sources.len() == 1, "{hostile:?}");
    }
}

#[test]
fn an_id_that_windows_keeps_for_a_device_is_a_problem_with_a_remedy() {
    let numbered = ["com", "lpt"].into_iter().flat_map(|device| (0..=9).map(move |number| format!("{device}{number}")));
    let devices = ["con", "prn", "aux", "nul"].into_iter().map(str::to_owned).chain(numbered);
    for device in devices {
        for id in
            [device.clone(), device.to_uppercase(), format!("{device}.svg"), format!("{}.Svg", device.to_uppercase())]
        {
            // One way to write it is tried of each id, and each way of one.
            let fields = ["control id", "sail id", "settings id", "card id", "adjust id"];
            for field in fields.into_iter().take(if id == device { fields.len() } else { 1 }) {
                let Passed { problems, .. } = door::check(inputs::load(&book(&BTreeMap::from([(field, id.clone())]))));
                let told = problems.iter().find(|problem| problem.level == Level::Error).expect("a problem");
                assert!(told.place.is_some() && told.what.contains(&id), "{field} {id}: {told:?}");
                // What is offered instead can be had.
                let better =
                    told.instead.split('`').find(|word| word.to_lowercase().starts_with(&device)).expect("a remedy");
                let mended = inputs::load(&book(&BTreeMap::from([(field, better.to_owned())])));
                assert!(mended.is_sound(), "{field} {better}: {:?}", mended.problems);
            }
        }
    }
    for id in ["conn", "com10", "lpt", "nul-1", "auxiliary"] {
        let loaded = inputs::load(&book(&BTreeMap::from([("control id", id.to_owned())])));
        assert!(loaded.is_sound(), "{id}: {:?}", loaded.problems);
    }
}
