//! A card with a back, from the book to the paper: what the book may ask for, where both sides lie in the file, and that
//! the two are one laminated thing with one stamp and one edition.
use crate::common;
use crate::reading;
use crate::swap::Swap;

use std::collections::BTreeMap;
use std::path::Path;

use cockpit_cards::book::{Book, Level, report};
use cockpit_cards::cards::{self, Card, Edition, LEAST_ROW_MM, Label};
use cockpit_cards::drawing::{Drawing, Shape, Weight};
use cockpit_cards::editions::due::left_the_book;
use cockpit_cards::editions::{Due, Editions, Holding, Why};
use cockpit_cards::output::manifest::Printed;
use cockpit_cards::output::write::ToWrite as _;
use cockpit_cards::paper::printer::{BackShift, Feed, Measured, Reading};
use cockpit_cards::paper::{Correction, Flip, PaperSize, PrintJob};
use cockpit_cards::printing::{self, Files, Options};
use cockpit_cards::reissuing::{self, Request};
use common::content;
use common::two_sides::{
    TRUE_MM, TWO_SIDED, cuts, cuts_off_each_other, off_each_other, off_the_front, seen_from_front, through_the_paper,
};
use common::{tools, whole};
use kurbo::{Affine, Point, Shape as _, Size, Vec2};
use reading::{SOUND, load, unmarked};

/// The sound book with strips that fit A4, and these cards.
fn book(cards: &str) -> String {
    let sound = SOUND.swap("spacing: 25 mm", "spacing: 10 mm");
    format!("{sound}wardrobe: {{wind: 5..16, angle: 40..60}}\ncards: [{cards}]\n")
}

/// Three cards of different sizes with backs, one without, and strips.
fn mixed() -> String {
    book(
        "{kind: wind-settings, settings: j1-upwind, back: change-j1-upwind}, \
         {kind: change-points, settings: j1-upwind}, \
         {kind: handover, id: over, size: A5}, \
         {kind: wardrobe, size: 120 x 90 mm, back: {lines: Repairs}}, \
         {kind: handover, id: second, back: {lines: Notes}}, \
         {kind: change-points, settings: j1-upwind, id: alone}, {kind: strip}",
    )
}

fn read(text: &str) -> Book {
    let loaded = load(text);
    assert!(loaded.is_sound(), "{}", reading::complaints(&loaded));
    loaded.book.expect("a book")
}

fn print(text: &str, options: &Options) -> Files {
    let mut problems = Vec::new();
    let files = printing::print(&read(text), options, &mut problems);
    files.unwrap_or_else(|| panic!("{problems:?}"))
}

fn file(files: &Files, name: &str) -> Vec<u8> {
    let files = files.in_memory().expect("every file can be made");
    files.into_iter().find(|(known, _)| known == name).unwrap_or_else(|| panic!("a file {name}")).1
}

/// Printed by a printer that turns the paper like this.
fn turned(flip: Flip) -> Options {
    Options { job: PrintJob { flip, ..PrintJob::default() }, ..Options::default() }
}

fn manifest(files: &Files) -> BTreeMap<String, whole::Entry> {
    let manifest: serde_json::Value = serde_json::from_slice(&file(files, "manifest.json")).expect("JSON");
    let entries: Vec<whole::Entry> = serde_json::from_value(manifest["cards"].clone()).expect("entries");
    entries.into_iter().map(|entry| (entry.id.clone(), entry)).collect()
}

#[test]
fn in_the_file_every_outline_of_a_back_falls_on_that_of_its_front() {
    for (name, text) in [("mixed", mixed()), ("full", whole::EXAMPLES[1].1.to_owned())] {
        for flip in [Flip::Long, Flip::Short] {
            for paper in ["A4", "Letter", "A3"] {
                let paper = PaperSize::parse(paper).expect("a paper");
                let said = format!("{name}, {}, {flip:?}", paper.name());
                let files =
                    print(&text, &Options { job: PrintJob { flip, ..PrintJob::on(paper) }, ..Options::default() });
                let bytes: &[u8] = &file(&files, TWO_SIDED);
                let segments = content::of_pdf(bytes).segments;
                assert_eq!(cuts_off_each_other(bytes, &segments, flip), [""; 0], "{said}");
            }
        }
    }
}

#[test]
fn the_manifest_says_which_side_each_is_and_where_and_the_places_fall_on_each_other() {
    for flip in [Flip::Long, Flip::Short] {
        let files = print(&mixed(), &turned(flip));
        let entries = manifest(&files);
        let side = |id: &str| (entries[id].side.as_deref(), entries[id].other_side.as_deref());
        assert_eq!(side("j1-upwind"), (Some("front"), Some("change-j1-upwind")));
        assert_eq!(side("change-j1-upwind"), (Some("back"), Some("j1-upwind")));
        assert_eq!(side("over"), (Some("front"), Some("over-past")));
        assert_eq!(side("second"), (Some("front"), Some("second-lines")), "lines in place of past hand-overs");
        assert_eq!(side("alone"), (None, None));
        assert!(!entries.contains_key("second-past"));
        let page = Size::new(210.0, 297.0);
        let fronts = entries.values().filter(|entry| entry.side.as_deref() == Some("front"));
        let mut pairs = 0;
        for front in fronts {
            let back = &entries[front.other_side.as_deref().expect("a back")];
            assert_eq!(off_the_front(front, back, flip, page), [""; 0]);
            pairs += 1;
        }
        assert_eq!(pairs, 4);
    }
}

#[test]
fn turned_over_a_back_stands_upright_wherever_it_can() {
    let text = whole::EXAMPLES[1].1;
    for flip in [Flip::Long, Flip::Short] {
        let mut alike = 0;
        let entries = manifest(&print(text, &turned(flip)));
        let fronts = entries.values().filter(|entry| entry.side.as_deref() == Some("front"));
        for front in fronts {
            let back = &entries[front.other_side.as_deref().expect("a back")];
            if front.size() != back.size() {
                assert_eq!(front.size(), Size::new(back.height_mm, back.width_mm), "{} is a quarter turn off", back.id);
                continue;
            }
            alike += 1;
            let (turn, behind) = (front.printed[0].turned_degrees, back.printed[0].turned_degrees);
            // Through the paper a turn to the left is one to the right, and a short flip adds half a turn.
            let upright = match flip {
                Flip::Long => -turn,
                Flip::Short => 180.0 - turn,
            };
            assert!(((behind - upright).rem_euclid(360.0)).abs() < 1e-6, "{}: {turn}, {behind}", front.id);
        }
        assert!(alike >= 3, "{alike} backs lie as their fronts do");
    }
}

/// A printer that is true but for its second side.
fn shifting(shift: Vec2, measured_with: Flip) -> Reading {
    Reading {
        name: "office".into(),
        paper: "A4".into(),
        feed: Feed::ShortEdge,
        across: Measured { nominal_mm: 180.0, measured_mm: 180.0 },
        along: Measured { nominal_mm: 250.0, measured_mm: 250.0 },
        rule_step_mm: 0.5,
        back_shift: Some(BackShift { x_mm: shift.x, y_mm: shift.y, flip: measured_with }),
        date: "2027-04-11".into(),
    }
}

#[test]
fn what_the_printer_does_to_its_second_side_is_undone_in_the_file_and_only_there() {
    let shift = Vec2::new(1.5, -0.75);
    let paper = PaperSize::default();
    for flip in [Flip::Long, Flip::Short] {
        let correction = Correction::new(&shifting(shift, flip), &paper, None, flip).expect("a correction");
        let files = print(
            &mixed(),
            &Options {
                job: PrintJob { flip, correction: Some(correction), ..PrintJob::default() },
                ..Options::default()
            },
        );
        let bytes: &[u8] = &file(&files, TWO_SIDED);
        let page = Size::from(content::page_sizes(bytes)[0]);
        let contents = content::of_pdf(bytes);
        let pages = content::page_sizes(bytes).len();
        for front in (1..=pages).step_by(2) {
            // As the printer lands it: moved, and then seen from the front.
            let land = |at: Point| through_the_paper(flip, page, at + shift);
            let back = cuts(&contents.segments, front + 1);
            let found = cuts(&contents.segments, front);
            assert_eq!(off_each_other(&found, &seen_from_front(&back, land)), [""; 0], "on paper");
            let in_file = seen_from_front(&back, |at| through_the_paper(flip, page, at));
            let off = (in_file[0].midpoint() - found[0].midpoint()).hypot();
            assert!(off > 1.0, "in the file the back stands off: {off}");
        }
        // The manifest and the one-sided files know nothing of it.
        let plain = print(&mixed(), &turned(flip));
        assert_eq!(content::page_sizes(&file(&files, "cards.pdf")), content::page_sizes(&file(&plain, "cards.pdf")));
    }
}

#[test]
fn each_file_is_printed_in_one_way_and_asks_the_print_dialogue_for_it() {
    for (flip, wanted) in [(Flip::Long, "DuplexFlipLongEdge"), (Flip::Short, "DuplexFlipShortEdge")] {
        let files = print(&mixed(), &turned(flip));
        // ISO 32000-1, table 150.
        let duplex = |name: &str| {
            let document = lopdf::Document::load_mem(&file(&files, name)).expect("a PDF");
            let catalog = document.catalog().expect("a catalogue");
            let preferences = catalog.get(b"ViewerPreferences").and_then(lopdf::Object::as_dict).expect("preferences");
            String::from_utf8_lossy(preferences.get(b"Duplex").and_then(lopdf::Object::as_name).expect("a name"))
                .into_owned()
        };
        assert_eq!(duplex(TWO_SIDED), wanted);
        assert_eq!((duplex("cards.pdf"), duplex("strips.pdf")), ("Simplex".to_owned(), "Simplex".to_owned()));
        let flips: Vec<_> = files.documents.iter().map(|document| (document.file, document.flip)).collect();
        assert_eq!(flips, [("cards.pdf", None), (TWO_SIDED, Some(flip)), ("strips.pdf", None)]);
    }
}

#[test]
fn each_side_names_the_other_under_the_stamp_they_share() {
    let files = print(&mixed(), &Options::default());
    let stamp = manifest(&files)["j1-upwind"].stamp.clone();
    let text = tools::text_of(&file(&files, TWO_SIDED));
    for words in [format!("{stamp} · DRAFT · back: change-j1-upwind"), format!("{stamp} · DRAFT · front: j1-upwind")]
    {
        assert!(text.contains(&words), "{words} in\n{text}");
    }
}

#[test]
fn either_side_named_by_itself_brings_the_other_along() {
    for id in ["j1-upwind", "change-j1-upwind"] {
        let files = print(&mixed(), &Options { only: vec![id.to_owned()], ..Options::default() });
        assert_eq!(manifest(&files).into_keys().collect::<Vec<_>>(), ["change-j1-upwind", "j1-upwind"], "{id}");
        assert!(files.files().iter().all(|file| file.name() != Path::new("cards.pdf")));
    }
}

#[test]
fn off_a_roll_what_has_two_sides_goes_on_ordinary_paper() {
    for (roll, page) in [("roll-610mm", (210.0, 297.0)), ("roll-24in", (215.9, 279.4))] {
        let paper = PaperSize::parse(roll).expect("a roll");
        let correction = Correction::new(&shifting(Vec2::new(2.0, 2.0), Flip::Long), &paper, None, Flip::Long);
        let printer = correction.ok();
        let files = print(
            &mixed(),
            &Options { job: PrintJob { correction: printer, ..PrintJob::on(paper) }, ..Options::default() },
        );
        for (width, height) in content::page_sizes(&file(&files, TWO_SIDED)) {
            assert!((width - page.0).abs() < TRUE_MM && (height - page.1).abs() < TRUE_MM, "{width} by {height}");
        }
        let roll_width = content::page_sizes(&file(&files, "strips.pdf"))[0].0;
        assert!(roll_width > 600.0);
        let papers: Vec<&str> = files.documents.iter().map(|document| document.paper.as_str()).collect();
        assert_eq!(papers, [roll, if page.0 == 210.0 { "A4" } else { "Letter" }, roll]);
    }
}

#[test]
fn a_card_with_two_sides_too_large_for_the_paper_in_place_of_a_roll_is_told_why_and_what_to_do() {
    let paper = PaperSize::parse("roll-610mm").expect("a roll");
    for (size, remedy) in [
        ("240 x 300 mm", "--only wardrobe --paper A3"),
        ("400 x 500 mm", "no common paper holds it, and a roll is printed on one side"),
    ] {
        let text = book(&format!("{{kind: wardrobe, size: {size}, back: {{lines: Repairs}}}}, {{kind: strip}}"));
        let (model, mut of_build, mut of_reissue) = (read(&text), Vec::new(), Vec::new());
        let options = Options { job: PrintJob::on(paper.clone()), ..Options::default() };
        assert!(printing::print(&model, &options, &mut of_build).is_none());
        let request = request("roll-610mm", Flip::Long, &[]);
        assert!(reissuing::reissue(&model, &Editions::default(), &request, &mut of_reissue).is_none());
        let errors = [&of_build, &of_reissue].map(|all| {
            let errors = all.iter().filter(|problem| problem.level == Level::Error);
            errors.cloned().collect::<Vec<_>>()
        });
        let [[of_build], [of_reissue]] = errors.each_ref().map(Vec::as_slice) else { panic!("{errors:?}") };
        assert_eq!(of_build, of_reissue);
        assert!(of_build.what.contains("too large for A4"), "{}", of_build.what);
        assert!(of_build.what.contains("goes on A4, for roll-610mm is printed on one side"), "{}", of_build.what);
        assert!(of_build.instead.contains(remedy), "{}", of_build.instead);
        assert!(of_build.place.is_some());
    }
    let alone = book("{kind: wardrobe, size: 240 x 300 mm, back: {lines: Repairs}}, {kind: strip}");
    let options = Options {
        job: PrintJob::on(PaperSize::parse("A3").expect("A3")),
        only: vec!["wardrobe".to_owned()],
        ..Options::default()
    };
    assert!(print(&alone, &options).documents.iter().all(|document| document.file == TWO_SIDED), "the remedy works");
}

#[test]
fn whatever_cannot_be_the_two_sides_of_one_card_is_told_with_its_place_and_remedy() {
    let watches = "watches: {start: 2027-06-12 18:40, finish: 2027-06-16 09:00, time_zone: Europe/London, \
                   least_on_deck: 1, lengths: 4 h, teams: {red: [Ada], blue: [Bo]}}\n";
    let wardrobe = "wardrobe: {wind: 5..16, angle: 40..60}\n";
    let settings = "kind: wind-settings, settings: j1-upwind";
    let change = "kind: change-points, settings: j1-upwind";
    let faults = [
        ("unknown id", format!("{{{settings}, back: «chnge-j1-upwind»}}, {{{change}}}"), "did you mean `change-j1-upwind`"),
        ("its own back", format!("{{{settings}, back: «j1-upwind»}}"), "another card"),
        ("a strip as the back", format!("{{{settings}, back: «strip-lead»}}, {{kind: strip}}"), "name a card"),
        ("a strip with a back", format!("{{kind: strip, control: lead, back: «j1-upwind»}}, {{{settings}}}"), "take `back` out"),
        ("strips with lines", "{kind: strip, back: «{lines: Notes}»}".to_owned(), "take `back` out"),
        (
            "one back for two fronts",
            format!("{{{settings}, back: change-j1-upwind}}, {{kind: wardrobe, back: «change-j1-upwind»}}, {{{change}}}"),
            "one of each card",
        ),
        (
            "the back of a back",
            format!("{{{settings}, back: «change-j1-upwind»}}, {{{change}, back: wardrobe}}, {{kind: wardrobe}}"),
            "make that one the front",
        ),
        ("a back that has lines", format!("{{{settings}, back: «wardrobe»}}, {{kind: wardrobe, back: {{lines: Notes}}}}"), "make that one the front"),
        ("each the back of the other", format!("{{{settings}, back: «wardrobe»}}, {{kind: wardrobe, back: «j1-upwind»}}"), "make that one the front"),
        ("a hand-over as the back", format!("{{{settings}, back: «handover»}}, {{kind: handover}}"), "make that one the front"),
        ("the back of a hand-over", format!("{{{settings}, back: «handover-past»}}, {{kind: handover}}"), "lines to write on"),
        ("one of several cards", format!("{{{settings}, back: «watch-plan-2»}}, {{kind: watch-plan}}"), "an entry of its own"),
        ("several cards with one back", format!("{{kind: watch-plan, back: «j1-upwind»}}, {{{settings}}}"), "one by one"),
        ("several cards with lines", "{kind: watch-plan, back: «{lines: Notes}»}".to_owned(), "one by one"),
        ("sizes that differ", format!("{{{settings}, size: A6, back: «change-j1-upwind»}}, {{{change}, size: A5}}"), "size: A5"),
        ("sizes of our own", "{kind: wardrobe, size: 150 x 100 mm, id: small, back: «wide»}, {kind: wardrobe, id: wide, size: 150 x 140 mm}".to_owned(), "140 × 150 mm"),
        ("no such field", format!("{{{settings}, back: {{«line»: Notes}}}}"), "did you mean `lines`"),
        ("a list", format!("{{{settings}, back: «[wardrobe, j1-upwind]»}}"), "the id of another card"),
        ("lines without words", format!("{{{settings}, back: {{«lines»: }}}}"), "{lines: Notes}"),
        (
            "an id that the lines take",
            format!("{{{settings}, back: {{lines: Notes}}}}, «{{kind: wardrobe, id: j1-upwind-lines}}»"),
            "an id of its own",
        ),
    ];
    let mut reports = String::new();
    for (name, entries, remedy) in faults {
        let (text, places) = unmarked(&format!("{SOUND}{wardrobe}{watches}cards: [{entries}]\n"));
        let loaded = load(&text);
        let mut errors = loaded.problems;
        printing::check(loaded.book.as_ref().expect("a book"), &mut errors);
        errors.retain(|problem| problem.level == Level::Error);
        let said = report::for_people(&errors, &loaded.sources, false);
        let found: Vec<_> = errors.iter().filter_map(|problem| Some(problem.place.as_ref()?.bytes.start)).collect();
        let wanted: Vec<_> = places.iter().map(|place| place.start).collect();
        assert_eq!(found, wanted, "{name}\n{said}");
        assert!(errors.iter().all(|problem| problem.instead.contains(remedy)), "{name}: `{remedy}`\n{said}");
        reports.push_str(&format!("## {name}\n\n{said}\n\n"));
    }
    insta::with_settings!({omit_expression => true}, {
        insta::assert_snapshot!("faults", reports);
    });
}

#[test]
fn a_side_without_a_size_of_its_own_takes_that_of_the_other() {
    let size = |cards: &str, id: &str| {
        let entries = manifest(&print(&book(cards), &Options::default()));
        (entries[id].width_mm, entries[id].height_mm)
    };
    let wide = "{kind: wind-settings, settings: j1-upwind, size: A5, back: change-j1-upwind}, \
                {kind: change-points, settings: j1-upwind}";
    assert_eq!(size(wide, "change-j1-upwind"), size(wide, "j1-upwind"));
    let from_behind = "{kind: wind-settings, settings: j1-upwind, back: change-j1-upwind}, \
                       {kind: change-points, settings: j1-upwind, size: A5}";
    assert_eq!(size(from_behind, "change-j1-upwind"), size(from_behind, "j1-upwind"));
    assert_eq!(size(from_behind, "j1-upwind").0.max(size(from_behind, "j1-upwind").1), 210.0);
    let lines = "{kind: wardrobe, size: 140 x 95 mm, back: {lines: Notes}}";
    assert_eq!(size(lines, "wardrobe-lines"), size(lines, "wardrobe"));
}

/// Both sides of the first card.
fn sides(text: &str) -> (Card, Drawing, Drawing) {
    let book = read(text);
    let mut problems = Vec::new();
    let card = cards::cards(&book, &mut problems).remove(0);
    let label = Label::new(&book, &card.stamp, Edition::Draft);
    let (front, back) = cards::draw_sides(&card, &label, &mut problems).unwrap_or_else(|| panic!("{problems:?}"));
    (card, front, back.expect("a back"))
}

#[test]
fn lines_are_high_enough_for_a_gloved_hand_and_say_what_card_they_belong_to() {
    for size in ["A6", "A5", "120 x 90 mm"] {
        let entry = format!("{{kind: wind-settings, settings: j1-upwind, size: {size}, back: {{lines: Log}}}}");
        let (card, front, back) = sides(&book(&entry));
        assert_eq!(front.size, back.size);
        let lines: Vec<f64> = back
            .items
            .iter()
            .filter_map(|item| match &item.shape {
                Shape::Stroke { path, .. } => Some(path.bounding_box()),
                _ => None,
            })
            .filter(|area| area.height() == 0.0)
            .map(|area| area.y0)
            .collect();
        assert!(lines.len() >= 5, "{size}: {lines:?}");
        assert!(lines.windows(2).all(|pair| pair[1] - pair[0] >= LEAST_ROW_MM), "{size}: {lines:?}");
        let words: Vec<&str> = back.texts().map(|text| text.content.as_str()).collect();
        let small = format!("Chervil · {} · DRAFT · front: j1-upwind", card.stamp);
        for wanted in ["Log", "on the back of J1 + Main, upwind", &small] {
            assert!(words.contains(&wanted), "{wanted} in {words:?}");
        }
        for text in back.texts() {
            assert!(back.size.to_rect().contains_rect(text.bounds()), "{} hangs over the edge", text.content);
        }
    }
}

#[test]
fn a_long_title_over_the_lines_stands_on_several() {
    let title = "What was tried on the last leg and what it did to the speed, to be told ashore";
    let entry = format!("{{kind: wind-settings, settings: j1-upwind, size: A6, back: {{lines: \"{title}\"}}}}");
    let (_, _, back) = sides(&book(&entry));
    let bold = back.texts().filter(|text| text.weight == Weight::Bold);
    let words: Vec<&str> = bold.map(|text| text.content.as_str()).filter(|words| !words.is_empty()).collect();
    assert!(words.len() > 1 && words.join(" ") == title, "{words:?}");
    assert!(back.texts().all(|text| back.size.to_rect().contains_rect(text.bounds())));
}

#[test]
fn a_card_named_after_settings_that_no_longer_sail_is_followed_or_left_out_with_a_word() {
    let sails = "  j1: {kind: headsail, wind: 5..16";
    let cards = "wardrobe: {wind: 5..16, angle: 40..60}\ncards: [{kind: wardrobe, size: A5, back: change-j1-upwind}, {kind: change-points, settings: j1-upwind}]\n";
    let newer = "  j4: {kind: headsail, wind: 5..16, replaces: j1, start_from: j1-upwind}\n";
    let replaced = format!("{}{cards}", SOUND.swap("settings:\n", &format!("{newer}settings:\n")));
    let ids = |text: &str| {
        let mut problems = Vec::new();
        let cards = cards::cards(&read(text), &mut problems);
        let ids: Vec<Vec<String>> =
            cards.iter().map(|card| card.sides().map(|side| side.id.clone()).collect()).collect();
        (ids, problems)
    };
    let (found, problems) = ids(&replaced);
    assert_eq!(found.len(), 1, "{found:?} {problems:?}");
    assert!(found[0][0] == "wardrobe" && found[0][1].starts_with("change-j4"), "{found:?}");

    let retired = format!("{}{cards}", SOUND.swap(sails, &format!("{sails}, retired: 2027-05-01")));
    let (found, problems) = ids(&retired);
    assert_eq!(found, [["wardrobe"]]);
    let said: Vec<&str> = problems.iter().map(|problem| problem.what.as_str()).collect();
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{said:?}");
    assert!(said.iter().any(|what| what.contains("without its back")), "{said:?}");
}

fn released(text: &str, editions: &Editions, date: &str) -> Editions {
    let (book, cards, due) = due(text, editions);
    due.released(&book, &cards, editions, date)
}

fn due(text: &str, editions: &Editions) -> (Book, Vec<Card>, Due) {
    let book = read(text);
    let mut cards = cards::cards(&book, &mut Vec::new());
    editions.settle_stamps(&mut cards);
    let due = Due::of(&book, &cards, editions, false);
    (book, cards, due)
}

/// What a change of a book is told in, for one card.
fn told(before: &str, after: &str, id: &str) -> Vec<String> {
    let editions = released(before, &Editions::default(), "2027-05-01");
    let (_, _, due) = due(after, &editions);
    match due.items.into_iter().find(|item| item.id == id).map(|item| item.why) {
        Some(Why::Changed { words, .. }) => words,
        Some(Why::Withdrawn { now_on, .. }) => vec![left_the_book(now_on.as_deref())],
        other => panic!("{other:?}"),
    }
}

const SETTINGS: &str = "{kind: wind-settings, settings: j1-upwind}";
const WITH_LINES: &str = "{kind: wind-settings, settings: j1-upwind, back: {lines: Notes}}";
const WITH_CHANGES: &str =
    "{kind: wind-settings, settings: j1-upwind, back: change-j1-upwind}, {kind: change-points, settings: j1-upwind}";

#[test]
fn both_sides_are_one_thing_with_one_stamp_and_one_edition() {
    let first = released(&book(WITH_CHANGES), &Editions::default(), "2027-05-01");
    assert_eq!(first.cards.keys().collect::<Vec<_>>(), ["j1-upwind"], "a back is counted with its front");
    let (_, cards, now) = due(&book(WITH_CHANGES), &first);
    assert!(now.is_empty(), "{now:?}");
    let stamps: Vec<&str> = cards[0].sides().map(|side| side.stamp.as_str()).collect();
    assert_eq!(stamps, [&first.cards["j1-upwind"].releases[0].stamp; 2]);

    // Only the back says this: to the card it is a change like any other.
    let dark = book(WITH_CHANGES).swap("controls:\n  backstay", "dark: {change_earlier: 2}\ncontrols:\n  backstay");
    let (_, cards, now) = due(&dark, &first);
    assert_eq!(now.items.len(), 1, "{now:?}");
    let Why::Changed { old, words, .. } = &now.items[0].why else { panic!("{now:?}") };
    assert!(words.iter().all(|words| words.starts_with("back: ")), "{words:?}");
    assert_ne!(old.stamp, cards[0].stamp, "whoever reads either side learns that the card is stale");
    let held = Holding::of(&old.stamp, &cards, &first).remove(0);
    assert!(matches!(held, Holding::Current { due: Some(_), .. }), "{held:?}");

    let second = released(&dark, &first, "2027-06-01");
    let (_, cards, now) = due(&dark, &second);
    assert!(now.is_empty(), "{now:?}");
    assert_eq!(second.edition_of(&cards[0]), Edition::Released { number: 2, date: "2027-06-01".to_owned() });
    assert!(matches!(Holding::of(&old.stamp, &cards, &second)[0], Holding::Superseded { .. }));
    // The file gives the back's words back.
    let again = Editions::parse(&second.text().expect("YAML")).expect("sound");
    assert!(due(&dark, &again).2.is_empty());
    assert_eq!(again.cards, second.cards);
}

#[test]
fn a_back_that_comes_goes_or_is_another_one_is_told_in_words() {
    let [plain, lines, changes] = [SETTINGS, WITH_LINES, WITH_CHANGES].map(book);
    assert_eq!(told(&plain, &lines, "j1-upwind"), ["now with a back: Notes, J1 + Main, upwind"]);
    assert_eq!(told(&lines, &plain, "j1-upwind"), ["no longer with a back: Notes, J1 + Main, upwind"]);
    assert_eq!(
        told(&lines, &changes, "j1-upwind"),
        ["on the back J1 + Main, upwind: change points, no longer Notes, J1 + Main, upwind"]
    );
    let alone = book("{kind: wind-settings, settings: j1-upwind}, {kind: change-points, settings: j1-upwind}");
    assert_eq!(told(&alone, &changes, "change-j1-upwind"), ["now on the back of J1 + Main, upwind"]);
}

#[test]
fn a_card_without_a_back_keeps_the_stamp_it_had_before_there_were_any() {
    // Digests by the release that knew no backs, from this text.
    let cards = cards::cards(&read(&book(SETTINGS)), &mut Vec::new());
    assert_eq!(cards[0].digest, cards::parts::stamp::digest("wind-settings", cards[0].content.stamped()));
    let with_lines = cards::cards(&read(&book(WITH_LINES)), &mut Vec::new());
    assert_ne!(with_lines[0].digest, cards[0].digest);
    assert_eq!(with_lines[0].content.data(), cards[0].content.data(), "the front says the same");
}

fn request(paper: &str, flip: Flip, only: &[&str]) -> Request {
    Request {
        date: "2027-05-01".to_owned(),
        today: "2027-05-01".to_owned(),
        force_date: false,
        only: only.iter().map(|id| (*id).to_owned()).collect(),
        labels: false,
        job: PrintJob { flip, ..PrintJob::on(PaperSize::parse(paper).expect("a paper")) },
    }
}

#[test]
fn a_reissue_prints_both_sides_in_place_in_a_file_of_their_own() {
    for flip in [Flip::Long, Flip::Short] {
        let made =
            reissuing::reissue(&read(&mixed()), &Editions::default(), &request("A4", flip, &[]), &mut Vec::new());
        let made = made.expect("a reissue");
        let names: Vec<(&str, Option<Flip>)> = made.files.iter().map(|file| (file.name.as_str(), file.flip)).collect();
        assert_eq!(names, [("reissue.pdf", None), ("reissue-cards-two-sided.pdf", Some(flip))]);
        let bytes = &made.files[1].bytes;
        assert_eq!(cuts_off_each_other(bytes, &content::of_pdf(bytes).segments, flip), [""; 0]);
        let text = tools::text_of(bytes);
        assert!(text.contains("edition 1, 2027-05-01 · front: over") && !text.contains("DRAFT"), "{text}");
        let slip = tools::text_of(&made.files[0].bytes);
        let words = format!("reissue-cards-two-sided.pdf: cards with a back, A4, {}", flip.words());
        assert!(slip.replace('\n', " ").split_whitespace().collect::<Vec<_>>().join(" ").contains(&words), "{slip}");
    }
}

#[test]
fn a_reissue_of_either_side_takes_the_whole_card() {
    for id in ["over", "over-past"] {
        let request = request("A4", Flip::Long, &[id]);
        let made = reissuing::reissue(&read(&mixed()), &Editions::default(), &request, &mut Vec::new());
        let made = made.expect("a reissue");
        assert_eq!(made.next.cards.keys().collect::<Vec<_>>(), ["over"]);
        assert_eq!(made.files[1].pages, 2, "a front and its back");
    }
}

#[test]
fn off_a_roll_each_file_of_a_reissue_has_pages_of_one_size() {
    let made = reissuing::reissue(
        &read(&mixed()),
        &Editions::default(),
        &request("roll-610mm", Flip::Long, &[]),
        &mut Vec::new(),
    );
    let made = made.expect("a reissue");
    let names: Vec<&str> = made.files.iter().map(|file| file.name.as_str()).collect();
    assert_eq!(names, ["reissue.pdf", "reissue-cards.pdf", "reissue-cards-two-sided.pdf", "reissue-strips.pdf"]);
    for file in &made.files {
        let sizes = content::page_sizes(&file.bytes);
        assert_eq!(sizes.len(), file.pages);
        assert!(sizes.iter().all(|size| *size == sizes[0]), "{}: {sizes:?}", file.name);
        let is_roll = (sizes[0].0 - 610.0).abs() < TRUE_MM;
        assert_eq!(is_roll, file.flip.is_none(), "{}: {sizes:?}", file.name);
    }
    let slip = tools::text_of(&made.files[0].bytes);
    assert!(slip.contains("reissue-strips.pdf: strips, roll-610mm"), "{slip}");
}

#[test]
fn a_quarter_turn_of_the_back_puts_it_on_its_front_where_it_cannot_lie_the_same_way() {
    use cockpit_cards::paper::{Heading, Piece, Printer, lay_out_for};
    let outline = |size: Size| {
        let mut drawing = Drawing::new(size, "", "");
        drawing.cut(Shape::stroke(size.to_rect(), 0.1));
        drawing
    };
    let (front, back) = (outline(Size::new(148.0, 105.0)), outline(Size::new(105.0, 148.0)));
    for flip in [Flip::Long, Flip::Short] {
        let printer = Printer { correction: None, flip };
        let pieces = [Piece::new("card", &front).with_back(&back)];
        let layout = lay_out_for(&pieces, &PaperSize::default(), Heading::default(), printer).expect("it fits");
        let [one, other] = [0, 1].map(|page| {
            let placed = &layout.pages[page].placed[0];
            placed.to_page
        });
        let page = layout.pages[0].size;
        let through = |at: Point| through_the_paper(flip, page, other * at);
        // Turned like the leaf of a book the back reads up: its upper left is at the lower left of what one sees, which
        // is behind the lower right of the front.
        for (on_back, on_front) in
            [((0.0, 0.0), (148.0, 105.0)), ((105.0, 0.0), (148.0, 0.0)), ((0.0, 148.0), (0.0, 105.0))]
        {
            let apart = through(Point::from(on_back)) - one * Point::from(on_front);
            assert!(apart.hypot() < 1e-9, "{flip:?}: {on_back:?} is off by {apart:?}");
        }
        assert!(Affine::determinant(other) > 0.0, "a picture is never mirrored");
        let printed = Printed::at(TWO_SIDED, 2, back.size, other);
        assert_eq!(printed.turned_degrees.rem_euclid(90.0), 0.0);
    }
}
