//! From a book to the files: every mark of every kind of scale, however it lies, stands where the book's numbers put it.
//!
//! Places are computed here from the numbers that are written into the book, or by SciPy (`tests/reference/measured.py`);
//! they are read back from the PDF's content stream, from the SVG's path data and from the manifest.
use crate::common;

use common::content::{self, Contents, Segment};
use common::seamanship::{self, Lie, Seen, Way};
use common::whole::{self, Run};
use common::{ticks, tools};
use kurbo::Line;
use serde::Deserialize;

/// How far a mark may stand from its true place, millimetres.
const TRUE_MM: f64 = 0.005;
/// The manifest is not printed: its numbers are rounded to a ten-thousandth.
const LISTED_MM: f64 = 0.0001;
const MM_PER_INCH: f64 = 25.4;
/// Holds a strip of two metres and its ends.
const LONG_PAPER: &str = "300 x 2400 mm";
const USUAL: Seen = Seen { along: Way::Right, ticks: Way::Up, bow: None };

/// A control with a strip, and where its marks belong.
struct Case {
    id: String,
    scale: String,
    strip: String,
    seen: Seen,
    /// Label and distance from the datum.
    marks: Vec<(String, f64)>,
    /// Lines across the strip that are no marks: the far end of a tape.
    lines: Vec<f64>,
}

impl Case {
    fn new(id: &str, scale: String, marks: Vec<(String, f64)>) -> Self {
        Case { id: id.into(), scale, strip: "reading_distance: 300 mm".into(), seen: USUAL, marks, lines: Vec::new() }
    }

    fn at(&self) -> Vec<f64> {
        self.marks.iter().map(|(_, at)| *at).chain(self.lines.iter().copied()).collect()
    }
}

/// `−3`, `0`, `12` on whole marks, nothing on parts of one.
fn number(part: i32, parts: i32) -> String {
    if part % parts == 0 { (part / parts).to_string().replace('-', "−") } else { String::new() }
}

const fn parts_field(parts: i32) -> &'static str {
    match parts {
        2 => ", halves: true",
        4 => ", quarters: true",
        _ => "",
    }
}

fn even(id: &str, (first, last): (i32, i32), parts: i32, spacing: (&str, f64), purchase: (&str, f64)) -> Case {
    let marks = (first * parts..=last * parts).map(|part| {
        let steps = f64::from(part - first * parts) / f64::from(parts);
        (number(part, parts), steps * spacing.1 * purchase.1)
    });
    let purchase = if purchase.0.is_empty() { String::new() } else { format!(", purchase: \"{}\"", purchase.0) };
    let scale = format!("{{marks: {first}..{last}, spacing: {}{}{purchase}}}", spacing.0, parts_field(parts));
    Case::new(id, scale, marks.collect())
}

/// `label` names a whole mark by its number, negative below the centre.
fn centre(
    id: &str,
    marks: i32,
    parts: i32,
    spacing: (&str, f64),
    ends: [&str; 2],
    label: impl Fn(i32) -> String,
) -> Case {
    let at = (-marks * parts..=marks * parts).map(|part| {
        let name = if part % parts == 0 { label(part / parts) } else { String::new() };
        (name, f64::from(part + marks * parts) / f64::from(parts) * spacing.1)
    });
    let ends = ends.join(", ");
    let scale = format!("{{centre: C, marks: {marks}, spacing: {}, ends: [{ends}]{}}}", spacing.0, parts_field(parts));
    Case::new(id, scale, at.collect())
}

/// Tapes by name, from and to, in the unit given.
fn tapes(id: &str, unit: (&str, f64), tapes: &[(&str, f64, f64)]) -> Case {
    let datum = tapes[0].1;
    let mm = |place: f64| (place - datum) * unit.1;
    let list = tapes
        .iter()
        .map(|(name, from, to)| format!("{{name: {name}, from: {from} {unit}, to: {to} {unit}}}", unit = unit.0));
    let scale = format!("{{tapes: [{}]}}", list.collect::<Vec<_>>().join(", "));
    let marks = tapes.iter().map(|(name, from, _)| ((*name).to_owned(), mm(*from))).collect();
    Case { lines: tapes.iter().map(|(_, _, to)| mm(*to)).collect(), ..Case::new(id, scale, marks) }
}

/// Holes from the first to the last, counted from 1.
fn holes(id: &str, (first, last): ((&str, f64), (&str, f64)), count: i32) -> Case {
    let marks =
        (1..=count).map(|hole| (hole.to_string(), (last.1 - first.1) * f64::from(hole - 1) / f64::from(count - 1)));
    let scale = format!("{{track_holes: {{first: {}, last: {}, count: {count}}}}}", first.0, last.0);
    Case::new(id, scale, marks.collect())
}

/// Once around a tube: a sheet of thickness t on a tube of diameter d is π·(d + t) long at its middle.
fn around(id: &str, last: i32, diameter: (&str, f64), thickness: (&str, f64)) -> Case {
    let length = std::f64::consts::PI * (diameter.1 + thickness.1);
    let marks = (0..=last).map(|mark| (mark.to_string(), length * f64::from(mark) / f64::from(last)));
    let scale = format!("{{marks: 0..{last}, around: {{diameter: {}, thickness: {}}}}}", diameter.0, thickness.0);
    Case::new(id, scale, marks.collect())
}

#[derive(Deserialize)]
struct Reference {
    scales: Vec<MeasuredScale>,
}

#[derive(Deserialize)]
struct MeasuredScale {
    name: String,
    unit: String,
    length_unit: String,
    pairs: Vec<(String, String)>,
    every: i32,
    parts: i32,
    marks: Vec<MeasuredMark>,
}

#[derive(Deserialize)]
struct MeasuredMark {
    number: Option<f64>,
    at_mm: f64,
}

fn measured() -> Vec<Case> {
    let reference: Reference = serde_json::from_str(include_str!("../reference/measured.json")).expect("the reference");
    let case = |scale: MeasuredScale| {
        let (unit, length_unit) = (&scale.unit, &scale.length_unit);
        let pair = |(quantity, place): &(String, String)| format!("{quantity} {unit}: {place} {length_unit}");
        let pairs = scale.pairs.iter().map(pair).collect::<Vec<_>>().join(", ");
        let marks = scale.marks.iter().map(|mark| {
            (mark.number.map(|number| number.to_string().replace('-', "−")).unwrap_or_default(), mark.at_mm)
        });
        let text = format!("{{measured: {{{pairs}}}, every: {} {unit}{}}}", scale.every, parts_field(scale.parts));
        Case::new(&scale.name, text, marks.collect())
    };
    reference.scales.into_iter().map(case).collect()
}

/// All kinds of scale, from 20 mm to 2 m, in millimetres and in inches.
fn scales() -> Vec<Case> {
    let inches = |number: f64| number * MM_PER_INCH;
    let once = ("", 1.0);
    let letters = |number: i32| match number {
        0 => "C".to_owned(),
        ..0 => format!("P{}", -number),
        _ => format!("S{number}"),
    };
    // Windward and leeward change with the tack: both ways carry the number alone.
    let by_tack = |number: i32| if number == 0 { "C".to_owned() } else { number.abs().to_string() };
    let mut cases = vec![
        even("even_20_mm", (0, 4), 1, ("5 mm", 5.0), once),
        even("even_halves", (3, 17), 2, ("7.3 mm", 7.3), once),
        even("even_below_zero", (-5, 6), 2, ("12.5 mm", 12.5), once),
        even("even_quarters_two_metres", (0, 40), 4, ("50 mm", 50.0), once),
        even("even_two_metres", (1, 201), 2, ("1 cm", 10.0), once),
        even("even_thirds_of_an_odd_step", (0, 27), 4, ("73.7 mm", 73.7), once),
        even("inch_eighth", (0, 8), 1, ("1/8 in", inches(0.125)), once),
        even("inch_quarters", (0, 30), 4, ("2 1/2 in", inches(2.5)), once),
        even("inch_five_sixteenths", (2, 20), 2, ("5/16 in", inches(0.3125)), once),
        even("inch_foot_and_two", (0, 5), 4, ("1 ft 2 in", inches(14.0)), once),
        even("purchase_four", (0, 40), 2, ("12.5 mm", 12.5), ("4", 4.0)),
        even("purchase_three_to_two", (0, 9), 1, ("8 mm", 8.0), ("3:2", 1.5)),
        even("purchase_halved", (0, 10), 1, ("7 mm", 7.0), ("1:2", 0.5)),
        even("purchase_inch", (0, 6), 2, ("5/16 in", inches(0.3125)), ("4:1", 4.0)),
        centre("centre_20_mm", 2, 1, ("5 mm", 5.0), ["P", "S"], letters),
        centre("centre_two_metres", 20, 2, ("50 mm", 50.0), ["W", "L"], by_tack),
        centre("centre_quarters", 5, 4, ("21.7 mm", 21.7), ["P", "S"], letters),
        // Left and right stay where they are on either tack, though an L alone might be leeward.
        centre("centre_left_right", 3, 1, ("30 mm", 30.0), ["L", "R"], |number| match number {
            0 => "C".to_owned(),
            ..0 => format!("L{}", -number),
            _ => format!("R{number}"),
        }),
        centre("centre_inch", 3, 2, ("1 1/4 in", inches(1.25)), ["W", "L"], by_tack),
        holes("holes", (("12 mm", 12.0), ("1207 mm", 1207.0)), 14),
        holes("holes_in_inches", (("1/2 in", inches(0.5)), ("1 ft 2 in", inches(14.0))), 10),
        around("around_a_drum", 12, ("170 mm", 170.0), ("0.25 mm", 0.25)),
        around("around_a_tube", 8, ("1 1/2 in", inches(1.5)), ("0.5 mm", 0.5)),
        tapes("tapes_20_mm", ("mm", 1.0), &[("red", 0.0, 9.0), ("white", 9.0, 20.0)]),
        tapes("tapes_apart", ("mm", 1.0), &[("red", -35.0, 12.5), ("white", 40.25, 87.0), ("blue", 87.0, 140.0)]),
        tapes("tapes_two_metres", ("cm", 10.0), &[("green", 5.0, 61.3), ("red", 61.3, 150.0), ("blue", 160.0, 205.0)]),
        tapes("tapes_inch", ("in", MM_PER_INCH), &[("red", 0.0, 1.5), ("white", 1.5, 3.25)]),
    ];
    cases.extend(measured());
    cases
}

/// A book of these controls, their strips `wide` millimetres across.
fn book(cases: &[Case], wide: f64) -> String {
    let mut text = "book: 1\nboat: {name: Chervil}\ncontrols:\n".to_owned();
    for Case { id, scale, strip, .. } in cases {
        text.push_str(&format!("  {id}:\n    scale: {scale}\n    strip: {{width: {wide} mm, {strip}}}\n"));
    }
    text.push_str("cards: [{kind: strip}]\n");
    text
}

/// What is wrong with one strip, in the PDF, in the SVG and in the manifest.
fn faults(run: &Run, pages: &Contents, case: &Case) -> Vec<String> {
    let side = case.strip.split("sides: ").nth(1).and_then(|rest| rest.split([',', ' ', '}']).next());
    let id = format!("strip-{}{}", case.id, side.map(|side| format!("-{side}")).unwrap_or_default());
    let card = run.card(&id);
    let wanted = case.at();
    let [printed] = card.printed.as_slice() else {
        return vec![format!("{id} is printed {} times", card.printed.len())];
    };
    let in_pdf = whole::within(pages, printed, card.size()).segments;
    let in_svg = content::of_svg(run.text(&card.svg));
    let listed: Vec<_> = card.marks.iter().map(|mark| (mark.label.clone(), mark.at_mm)).collect();
    let of = |what: &str, segments: &[Segment]| {
        let found = ticks::from_datum(segments, card.size(), case.seen.along, case.seen.ticks);
        let faults = ticks::faults(&found, &wanted, TRUE_MM);
        faults.into_iter().map(|fault| format!("{id}, {what}: {fault}")).collect::<Vec<_>>()
    };
    let mut faults = of("PDF", &in_pdf);
    faults.extend(of("SVG", &in_svg));
    let agrees = |(found, wanted): (&(String, f64), &(String, f64))| {
        found.0 == wanted.0 && (found.1 - wanted.1).abs() <= LISTED_MM
    };
    if listed.len() != case.marks.len() || !listed.iter().zip(&case.marks).all(agrees) {
        faults.push(format!("{id}, manifest: {listed:?}, wanted {:?}", case.marks));
    }
    faults
}

fn assert_true(cases: &[Case], wide: f64, paper: &str) {
    let run = whole::print(&book(cases, wide), paper);
    let pages = content::of_pdf(run.file("strips.pdf"));
    let faults: Vec<String> = cases.iter().flat_map(|case| faults(&run, &pages, case)).collect();
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults[..faults.len().min(20)].join("\n"));
}

#[test]
fn every_mark_of_every_kind_of_scale_is_true_to_five_microns_up_to_two_metres() {
    let cases = scales();
    let longest = cases.iter().flat_map(Case::at).fold(0.0, f64::max);
    let shortest = cases.iter().map(|case| case.at().into_iter().fold(0.0, f64::max)).fold(f64::INFINITY, f64::min);
    assert!(shortest <= 20.0 && longest >= 2000.0, "from {shortest} to {longest} mm");
    assert_true(&cases, 30.0, LONG_PAPER);
}

#[test]
fn a_number_stands_at_its_own_mark() {
    // The words on a strip are the same picture in every file; the drawing says where each belongs.
    let cases = scales();
    let (drawn, _) = whole::draw(&book(&cases, 30.0));
    for (case, drawn) in cases.iter().zip(drawn) {
        let drawing = drawn.drawing.expect("a strip that fits");
        let places = ticks::marks(&content::of_drawing(&drawing), drawing.size, Way::Right, Way::Up);
        let (first, last) = (places[0], places[places.len() - 1]);
        let mut seen = 0;
        for text in drawing.texts() {
            let middle = text.origin.x + text.width() / 2.0;
            if !(first - 1.0..=last + 1.0).contains(&middle) {
                continue;
            }
            let at = middle - first;
            // On a two-way scale a number stands on both sides of the centre; a tape's name stands on the tape.
            let named = case.marks.iter().filter(|(label, _)| *label == text.content);
            let nearest = named.map(|(_, mark)| (at - mark).abs()).min_by(f64::total_cmp);
            let tape = case.lines.iter().zip(&case.marks).find(|(_, (label, _))| *label == text.content);
            let on_tape = tape.is_some_and(|(to, (_, from))| (*from..=*to).contains(&at));
            // Where a strip closes around a tube its two ends are cut, and their numbers stand beside the cut.
            let beside_cut = case.id.starts_with("around") && (at < 5.0 || at > last - first - 5.0);
            if let Some(off) = nearest.filter(|_| !beside_cut) {
                seen += 1;
                assert!(on_tape || off < 0.01, "{}: {:?} stands {off:.3} mm beside its mark", case.id, text.content);
            }
        }
        assert!(seen >= 2, "{}: {seen} numbers on it", case.id);
    }
}

#[test]
fn every_mark_is_true_however_the_strip_lies() {
    // Uneven steps, so that a strip laid the wrong way round does not measure right.
    let pairs = "{measured: {0 bar: 0 mm, 10 bar: 9 mm, 20 bar: 24 mm, 30 bar: 46 mm}, every: 10 bar}";
    let marks: Vec<_> =
        [("0", 0.0), ("10", 9.0), ("20", 24.0), ("30", 46.0)].map(|(label, at)| (label.into(), at)).into();
    let lies: Vec<(Lie, Seen)> = seamanship::all().filter_map(|lie| Some((lie, lie.seen()?))).collect();
    assert!(lies.len() > 200, "{} ways to lie", lies.len());
    let cases: Vec<Case> = lies
        .iter()
        .enumerate()
        .map(|(index, (lie, seen))| Case {
            strip: format!("reading_distance: 400 mm, {}", lie.fields()),
            seen: *seen,
            ..Case::new(&format!("lie_{index}"), pairs.to_owned(), marks.clone())
        })
        .collect();
    for some in cases.chunks(200) {
        assert_true(some, 22.0, "900 x 1200 mm");
    }
}

#[test]
fn a_pair_is_two_strips_and_both_are_true() {
    let case = |id: &str, fields: &str, along, ticks| Case {
        strip: format!("reading_distance: 400 mm, {fields}"),
        seen: Seen { along, ticks, bow: None },
        ..even(id, (0, 7), 2, ("11.3 mm", 11.3), ("", 1.0))
    };
    let fields = "grows: aft, reader_stands: inboard, sides: both";
    let text = book(&[case("lead", fields, Way::Left, Way::Up)], 22.0);
    let run = whole::print(&text, "A4");
    let pages = content::of_pdf(run.file("strips.pdf"));
    for (side, along) in [("port", Way::Left), ("starboard", Way::Right)] {
        let one = case("lead", &format!("sides: {side}"), along, Way::Up);
        assert_eq!(faults(&run, &pages, &one), Vec::<String>::new());
    }
}

#[test]
fn a_limit_is_drawn_at_its_own_reading() {
    let mut case = even("vang", (0, 8), 1, ("10 mm", 10.0), ("", 1.0));
    // Between two marks: the line at 6.5 can only be the limit's.
    let text =
        book(std::slice::from_ref(&case), 22.0).replace("    strip:", "    limit: {never_above: 6.5}\n    strip:");
    case.lines.push(65.0);
    let run = whole::print(&text, "A4");
    let pages = content::of_pdf(run.file("strips.pdf"));
    assert_eq!(faults(&run, &pages, &case), Vec::<String>::new());
}

#[test]
fn the_check_bars_of_every_page_of_strips_are_a_hundred_millimetres_and_cards_have_none() {
    for (_, text) in whole::EXAMPLES {
        for paper in ["A4", "Legal", "A3"] {
            let run = whole::print(text, paper);
            for (name, bytes) in run.pdfs() {
                let pages = content::of_pdf(bytes);
                for page in 1..=content::page_sizes(bytes).len() {
                    for level in [true, false] {
                        let bars = check_bars(&run, &pages.segments, name, page, level);
                        let wanted = usize::from(name == "strips.pdf");
                        assert_eq!(bars.len(), wanted, "{name} on {paper}, page {page}, level {level}: {bars:?}");
                    }
                }
                let words = tools::text_of(bytes);
                assert_eq!(words.contains("tick"), name == "strips.pdf", "{name} says what the bars measure, if any");
            }
        }
    }
}

/// Straight lines of 100 mm between two ticks, outside every card on the page.
fn check_bars(run: &Run, segments: &[Segment], file: &str, page: usize, level: bool) -> Vec<Line> {
    let cards = run.cards.iter().flat_map(|card| {
        card.printed.iter().filter(|at| at.file == file && at.page == page).map(|at| at.area(card.size()))
    });
    let cards: Vec<_> = cards.collect();
    let free: Vec<Line> = segments
        .iter()
        .filter(|segment| segment.page == page && !cards.iter().any(|card| card.contains(segment.line.midpoint())))
        .map(|segment| segment.line)
        .collect();
    let along = |line: &Line| (line.p1 - line.p0, if level { line.p1.x - line.p0.x } else { line.p1.y - line.p0.y });
    let is_tick_at = |end: kurbo::Point| {
        free.iter().any(|line| {
            let (whole, part) = along(line);
            let off = line.midpoint() - end;
            whole.hypot() > 1.0 && part.abs() < TRUE_MM && off.hypot() < TRUE_MM
        })
    };
    let bar = |line: &&Line| {
        let (whole, part) = along(line);
        (part.abs() - 100.0).abs() <= TRUE_MM && (whole.hypot() - part.abs()).abs() < TRUE_MM
    };
    free.iter().filter(bar).filter(|line| is_tick_at(line.p0) && is_tick_at(line.p1)).copied().collect()
}
