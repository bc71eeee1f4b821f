//! Marks that fit on one page never get a joint because of words: the label of a long strip is a sticker of its own.
use crate::common;

use cockpit_cards::drawing::{Drawing, Layer, Shape, Text};
use common::content::of_svg;
use common::seamanship::Way;
use common::ticks;
use common::whole::{self, Run};

/// How far a mark may stand from its place, millimetres.
const TRUE_MM: f64 = 0.005;

/// A jib lead of so many marks, 20.5 mm apart.
fn lead(marks: u32, fields: &str) -> String {
    format!(
        "book: 1\nboat: {{name: Pepperwort}}\ncards: [{{kind: strip}}]\ncontrols:\n  jib_lead:\n    higher_is: aft\n    scale: {{marks: 0..{marks}, spacing: 20.5 mm, halves: true}}\n    {fields}\n    strip: {{sides: both, width: 24 mm, grows: aft, reader_stands: inboard, place: inboard of the track, pointer: forward edge of the car, datum: {{from: chainplate, distance: 640 mm}}}}\n"
    )
}

fn words(svg: &str) -> String {
    let document = resvg::usvg::roxmltree::Document::parse(svg).expect("well-formed XML");
    let texts = document.descendants().filter_map(|node| node.attribute("aria-label")).collect::<Vec<_>>();
    texts.join(" ")
}

fn texts(drawing: &Drawing) -> Vec<&str> {
    drawing.texts().map(|text| text.content.as_str()).collect()
}

/// The strips of a book as they are drawn for A4.
fn drawn(text: &str) -> Vec<Drawing> {
    use cockpit_cards::cards::{self, Edition, Label};
    use cockpit_cards::paper::{Heading, PrintJob};
    let book = whole::load(text).book.expect("a book");
    let job = PrintJob::default();
    let sizes = job.card_sizes(false).with_measured(job.measured_room(Heading::default()));
    let mut problems = Vec::new();
    let cards = cards::cards(&book, &mut problems);
    let draw = |card: &cards::Card| {
        let label = Label { sizes: sizes.clone(), ..Label::new(&book, &card.stamp, Edition::Draft) };
        cards::draw(card, &label, &mut Vec::new()).expect("a strip")
    };
    cards.iter().map(draw).collect()
}

fn marks(run: &Run, id: &str, way: Way) -> Vec<f64> {
    let entry = run.card(id);
    let segments = of_svg(run.text(&entry.svg));
    ticks::from_datum(&segments, entry.size(), way, Way::Up)
}

#[test]
fn marks_over_246_mm_are_one_piece_of_a4_and_their_label_is_a_sticker() {
    let run = whole::print(&lead(12, ""), "A4");
    for (id, way) in [("strip-jib_lead-port", Way::Left), ("strip-jib_lead-starboard", Way::Right)] {
        let entry = run.card(id);
        assert!(entry.printed.len() == 1 && entry.printed[0].piece.is_none(), "{id}: {:?}", entry.printed);
        let label = entry.label.as_ref().unwrap_or_else(|| panic!("{id} has a label"));
        assert_eq!(label.printed.file, "strips.pdf");
        assert_eq!(label.svg, format!("svg/{id}.label.svg"));
        // 24 halves of 10.25 mm, by the book's own words.
        let wanted: Vec<f64> = (0..=24).map(|half| f64::from(half) * 10.25).collect();
        let found = marks(&run, id, way);
        assert_eq!(ticks::faults(&found, &wanted, TRUE_MM), Vec::<String>::new(), "{id}");
    }
}

#[test]
fn a_strip_whose_label_is_apart_still_bears_its_name_side_and_stamp() {
    let run = whole::print(&lead(12, ""), "A4");
    for side in ["port", "starboard"] {
        let id = format!("strip-jib_lead-{side}");
        let stamp = run.card(&id).stamp.clone();
        for name in [format!("svg/{id}.svg"), format!("svg/{id}.label.svg")] {
            let said = words(run.text(&name));
            for wanted in ["Jib lead", side.to_uppercase().as_str(), &stamp, "AFT", "BOW"] {
                assert!(said.contains(wanted), "{name}: {wanted} in {said}");
            }
        }
    }
    let [port, _] = &drawn(&lead(12, ""))[..] else { panic!("two strips") };
    let label = port.apart.as_deref().expect("a label");
    let on_label = texts(label).join(" ");
    for wanted in
        ["STICK, THEN CUT OFF", "Lay mark 0 from the chainplate: 640 mm", "Read at the forward edge of the car"]
    {
        assert!(on_label.contains(wanted), "{wanted} in {on_label}");
    }
}

#[test]
fn every_mark_of_a_strip_without_its_words_is_numbered_as_large_as_is_wanted() {
    let [port, _] = &drawn(&lead(12, ""))[..] else { panic!("two strips") };
    let numbers: Vec<&Text> = port.texts().filter(|text| text.content.parse::<u32>().is_ok()).collect();
    assert_eq!(numbers.len(), 13);
    // H = 2·D·tan(θ/2): 20 minutes of arc from 1.2 m (NUREG-0700 rev. 3, guideline 11.4.1.5-1).
    let least = 2.0 * 1200.0 * (10.0_f64 / 60.0).to_radians().tan();
    assert!(numbers.iter().all(|text| text.cap_height() >= least), "{:?}", numbers[0].cap_height());
}

#[test]
fn limits_at_both_ends_make_no_joint_either_and_are_told_on_the_label() {
    let text = lead(12, "limit: {never_above: 11½, never_below: 1}");
    let run = whole::print(&text, "A4");
    assert!(run.cards.iter().all(|entry| entry.printed.len() == 1 && entry.label.is_some()));
    let drawings = drawn(&text);
    for label in drawings.iter().map(|strip| strip.apart.as_deref().expect("a label")) {
        let said = label.texts().filter(|text| text.cap_height() >= 3.0).map(|text| text.content.as_str());
        let said = said.collect::<Vec<_>>().join(" ");
        assert!(said.contains("NEVER PAST 11½") && said.contains("NEVER BELOW 1"), "{said}");
    }
}

#[test]
fn a_strip_in_pieces_whose_words_would_fill_a_piece_has_its_label_apart() {
    let why = "limit: {never_above: 23, why: the maker's figure for this car on that track in the heat of the summer after next}";
    let text =
        lead(24, why).replace("Pepperwort", "The Long-Named Sea Buckthorn of the Outer Sands and the Inner Roads");
    let text = text.replace("jib_lead:", "jib_lead:\n    name: Running backstay deflector car");
    let text = text
        .replace("forward edge of the car", "forward edge of the after one of both cars on the long track")
        .replace("width: 24 mm", "width: 20 mm");
    let run = whole::print(&text, "A4");
    assert!(run.cards.iter().all(|entry| entry.printed.len() > 1), "it is longer than the paper");
    let wanted: Vec<f64> = (0..=48).map(|half| f64::from(half) * 10.25).collect();
    let found = marks(&run, "strip-jib_lead-starboard", Way::Right);
    assert!(ticks::faults(&found, &[wanted.as_slice(), &[23.0 * 20.5]].concat(), TRUE_MM).is_empty());
}

#[test]
fn the_name_along_the_back_of_a_curved_strip_stays_on_it() {
    let text = lead(12, "").replace("sides: both", "sides: starboard, arc: {radius: 600 mm, middle: far}");
    let strip = drawn(&text).remove(0);
    assert!(strip.apart.is_some());
    let sector = strip.sector.expect("a curve");
    let (inner, outer) = (sector.radius.min(sector.other_radius), sector.radius.max(sector.other_radius));
    for text in strip.texts() {
        for point in text.outlines().elements().iter().filter_map(|element| element.end_point()) {
            let reach = (point - sector.centre).length();
            assert!(reach > inner && reach < outer, "{:?} at {reach} of {inner} to {outer}", text.content);
        }
    }
}

#[test]
fn a_strip_that_fits_with_its_words_keeps_them_and_one_that_does_not_fit_without_them_comes_in_pieces() {
    let short = whole::print(&lead(6, ""), "A4");
    assert!(short.cards.iter().all(|entry| entry.label.is_none() && entry.printed.len() == 1));
    let large = whole::print(&lead(12, ""), "A3");
    assert!(large.cards.iter().all(|entry| entry.label.is_none() && entry.printed.len() == 1));
    let long = whole::print(&lead(24, ""), "A4");
    assert!(long.cards.iter().all(|entry| entry.label.is_none() && entry.printed.len() > 1));
}

#[test]
fn a_strip_and_its_label_have_the_stamp_they_have_on_larger_paper() {
    let stamps = |paper: &str| {
        whole::print(&lead(12, ""), paper).cards.iter().map(|entry| entry.stamp.clone()).collect::<Vec<_>>()
    };
    assert_eq!(stamps("A4"), stamps("A3"));
}

#[test]
fn the_tab_is_cut_off_along_a_dashed_line_between_the_directions_and_the_marks() {
    let text = lead(4, "limit: {never_above: 3}").replace("sides: both", "sides: starboard");
    let drawing = drawn(&text).remove(0);
    assert!(drawing.apart.is_none());
    let cuts = drawing.items.iter().filter(|item| item.layer == Layer::Cut);
    let dashed: Vec<_> = cuts.filter(|item| matches!(item.shape, Shape::Stroke { dash: Some(_), .. })).collect();
    let [cut] = &dashed[..] else { panic!("one line to cut along later") };
    let at = cut.shape.bounds().center().x;
    let place = |wanted: &str| {
        let text = drawing.texts().find(|text| text.content == wanted).unwrap_or_else(|| panic!("{wanted}"));
        text.bounds()
    };
    for words in ["STICK, THEN CUT OFF", "640 mm", "Cut this tab off."] {
        assert!(place(words).x1 < at, "{words} is on the tab");
    }
    for words in ["0", "4", "Jib lead", "DRAFT"] {
        assert!(place(words).x0 > at, "{words} stays");
    }
    // The distance is read while the hands are busy; DRAFT never outshines the name.
    let cap = |wanted: &str| drawing.texts().find(|text| text.content == wanted).map_or(0.0, Text::cap_height);
    assert!(cap("640 mm") >= 4.0 - 1e-9, "{}", cap("640 mm"));
    assert!(cap("DRAFT") < cap("Jib lead") && cap("DRAFT") >= 3.0);
}

#[test]
fn the_side_stands_on_the_line_of_the_name_where_both_fit_and_else_beneath_it() {
    let of = |strip: &Drawing| strip.apart.as_deref().map(|label| texts(label).join("|")).expect("a label");
    let [port, starboard] = &drawn(&lead(12, ""))[..] else { panic!("two strips") };
    assert!(of(port).starts_with("Jib lead PORT|") && of(starboard).starts_with("Jib lead STARBOARD|"));
    let long = lead(12, "name: Car of the lead on the outer track");
    let [port, _] = &drawn(&long)[..] else { panic!("two strips") };
    assert!(of(port).contains("track|PORT|"), "{}", of(port));
}
