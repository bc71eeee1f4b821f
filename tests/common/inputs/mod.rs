//! Inputs of every sort that the program reads, spoilt: books, tables, quantities, printer readings, editions, notes, logs, workbooks and
//! tables by angle. Each is made from its seed alone, and trying one says whether it was taken or what it broke.

pub mod sailed;
pub mod workbook;

use cockpit_cards::book::quantity::{self, Dimension};
use cockpit_cards::book::{self, Level, Loaded, Problem, Source, Units, report};
use cockpit_cards::cards;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::editions::{Due, Editions};
use cockpit_cards::length::Length;
use cockpit_cards::paper::PaperSize;
use cockpit_cards::paper::readings::Readings;
use cockpit_cards::size::NamedSize;
use cockpit_cards::tuning::{Fineness, Scale, ScaleKind, mark};

use super::books::{self, Book, Choices};

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sort {
    Book,
    Table,
    Quantity,
    Readings,
    Editions,
    /// What was sailed, line by line.
    Notes,
    /// What the instruments logged.
    Log,
    /// The bytes of a workbook.
    Workbook,
    /// The parts of a workbook, to be zipped.
    Sheet,
    /// A table by wind and angle.
    Angled,
}

pub const SORTS: [Sort; 10] = [
    Sort::Book,
    Sort::Table,
    Sort::Quantity,
    Sort::Readings,
    Sort::Editions,
    Sort::Notes,
    Sort::Log,
    Sort::Workbook,
    Sort::Sheet,
    Sort::Angled,
];

impl Sort {
    /// What an input of this sort is called, with its seeds and its fuzz target.
    pub const fn name(self) -> &'static str {
        match self {
            Sort::Book => "book",
            Sort::Table => "table",
            Sort::Quantity => "quantity",
            Sort::Readings => "readings",
            Sort::Editions => "editions",
            Sort::Notes => "notes",
            Sort::Log => "log",
            Sort::Workbook => "workbook",
            Sort::Sheet => "sheet",
            Sort::Angled => "angled_table",
        }
    }

    /// The text of an input that is in a file; of a workbook, each byte is a letter.
    pub fn text(self, bytes: &[u8]) -> String {
        match self {
            Sort::Workbook => workbook::as_text(bytes),
            _ => String::from_utf8_lossy(bytes).into_owned(),
        }
    }
}

/// Books of this repository that spoilt ones are made from besides made-up ones.
const SEEDS: [&str; 3] = [
    include_str!("../../../examples/smallest.yaml"),
    include_str!("../../../examples/full.yaml"),
    include_str!("../../../examples/imperial.yaml"),
];
const TABLE: &str = include_str!("../../../examples/imperial-genoa.csv");
const NOTES: &str = include_str!("../../../examples/full-sailed.csv");

const READINGS: &str = "\
readings: 1
printers:
- name: office
  paper: A4
  feed: long-edge
  across: {nominal_mm: 180.0, measured_mm: 179.4}
  along: {nominal_mm: 250.0, measured_mm: 250.9}
  rule_step_mm: 0.5
  back_shift: {x_mm: 1.5, y_mm: -0.5, flip: long}
  date: 2027-04-11
- name: loft
  paper: Letter
  feed: short-edge
  across: {nominal_mm: 180.0, measured_mm: 180.0}
  along: {nominal_mm: 250.0, measured_mm: 249.5}
  rule_step_mm: 1.0
  date: 2027-04-12
";

/// Of [`ABOARD`], one strip of which was another when it was released.
const EDITIONS: &str = "\
editions: 1
cards:
  strip-backstay:
    kind: strip
    title: Backstay
    releases:
    - {edition: 1, stamp: 3KQ7M, digest: 3KQ7MACDEFGHJKMNPQRST, date: 2027-05-01, boat: Chervil}
    - edition: 2
      stamp: 4KQ7M
      digest: 4KQ7MACDEFGHJKMNPQRST
      date: 2027-05-02
      boat: Chervil
      changed: [mark 4 moved]
    content: {marks: [{label: '0', rank: whole, at_mm: 0.0}, {label: '1', rank: whole, at_mm: 30.0}], width_mm: 22.0}
  gone:
    kind: wind-settings
    title: J0, upwind
    withdrawn: 2027-05-03
    releases:
    - {edition: 1, stamp: 5KQ7M, digest: 5KQ7MACDEFGHJKMNPQRST, date: 2027-05-01, boat: Chervil}
    content: {rows: [{band: [4, 8], cells: ['1', ~]}], columns: []}
cards_in_all: 2
";
const ABOARD: &str = "\
book: 1
boat: {name: Chervil}
controls: {backstay: {scale: {marks: 0..4, spacing: 20 mm}}}
";

/// A text to try, and the tables a book names.
pub fn input(sort: Sort, seed: u64) -> Book {
    let row = books::row(seed ^ (sort as u64) << 56);
    let c = &mut Choices::new(&row);
    let small = |text: &str| Book { text: text.to_owned(), ..Book::default() };
    match sort {
        Sort::Book => {
            let of = c.below(12);
            // What is spoilt has a row of its own.
            let faults = books::row(seed.wrapping_add(0x5EED_0000_0000));
            let whole = match SEEDS.get(of) {
                Some(text) => {
                    let tables = [("imperial-genoa.csv", TABLE), ("full-sailed.csv", NOTES)];
                    Book { tables: tables.map(|(name, text)| (name.to_owned(), text.to_owned())).into(), ..small(text) }
                }
                None => books::sound(&row[1..]),
            };
            books::spoilt(&whole, &mut Choices::new(&faults))
        }
        Sort::Table => small(&books::spoilt_text(TABLE, c)),
        Sort::Quantity => small(&quantity_text(c)),
        Sort::Readings => small(&books::spoilt_text(READINGS, c)),
        Sort::Editions => small(&books::spoilt_text(EDITIONS, c)),
        Sort::Notes => spoilt_after(seed, sailed::made_up_notes(c)),
        Sort::Log => spoilt_after(seed, sailed::made_up_log(c)),
        Sort::Sheet => spoilt_after(seed, workbook::made_up_parts(c)),
        Sort::Angled => spoilt_after(seed, sailed::made_up_angles(c)),
        Sort::Workbook => {
            let bytes = workbook::zipped(&workbook::made_up_parts(c)).unwrap_or_default();
            spoilt_after(seed, workbook::as_text(&bytes))
        }
    }
}

/// A text that was made up, spoilt by a row of its own; one in eight stays as it is.
fn spoilt_after(seed: u64, text: String) -> Book {
    let faults = books::row(seed.wrapping_add(0x5EED_0000_0000));
    let c = &mut Choices::new(&faults);
    let text = if c.below(8) == 0 { text } else { books::spoilt_text(&text, c) };
    Book { text, ..Book::default() }
}

/// A number with a unit, of pieces that may or may not belong together.
fn quantity_text(c: &mut Choices<'_>) -> String {
    const PIECES: [&str; 44] = [
        "0", "1", "4", "9", "12", "250", " ", " ", ".", ",", "/", "-", "−", "+", "½", "¼", "⅜", "1/2", "3/8", "7/64",
        "⁄", "..", " mm", " cm", " m", " in", " ft", "\"", "'", "″", "′", " kn", " m/s", " kg", " lb", " bar", " psi",
        " deg", "°", " kN", " h", " min", "e3", "W",
    ];
    let mut text = String::new();
    for _ in 0..1 + c.below(7) {
        text.push_str(if c.chance(4) { c.one(books::NUMBERS) } else { c.one(&PIECES) });
    }
    if c.chance(3) {
        text.push_str(c.one(books::HOSTILE));
    }
    if c.chance(1) {
        text = text.repeat(200);
    }
    text
}

/// Reads a book and its tables.
pub fn load(book: &Book) -> Loaded {
    book::from_text("boat.yaml", &book.text, &|name| book.table(name), has_glyph)
}

/// Gives an input to whatever reads it. `Ok` says whether it was taken.
///
/// # Errors
/// A refusal that does not tell where and what instead, or a value that cannot be.
pub fn attempt(sort: Sort, input: &Book) -> Result<bool, String> {
    match sort {
        Sort::Book => looked_over(load(input)),
        Sort::Table => {
            let book = Book {
                text: SEEDS[2].to_owned(),
                tables: vec![("imperial-genoa.csv".to_owned(), input.text.clone())],
                ..Book::default()
            };
            looked_over(load(&book))
        }
        Sort::Quantity => quantities(&input.text),
        Sort::Readings => match Readings::from_yaml(&input.text) {
            Ok(readings) => {
                let again = readings.to_yaml().map_err(|refusal| refusal.what)?;
                let same = Readings::from_yaml(&again).map_err(|refusal| refusal.what)?;
                if same == readings { Ok(true) } else { Err("readings are not what was written of them".to_owned()) }
            }
            Err(refusal) => in_words(&refusal.what, &refusal.instead),
        },
        Sort::Editions => match Editions::parse(&input.text) {
            Ok(editions) => {
                let again = editions.text().map_err(|error| error.to_string())?;
                let same = Editions::parse(&again).map_err(|wrong| wrong.what)?;
                if same != editions {
                    return Err("editions are not what was written of them".to_owned());
                }
                compared(&editions).map(|()| true)
            }
            Err(wrong) => in_words(&wrong.what, &wrong.instead),
        },
        Sort::Notes => sailed::notes(&input.text),
        Sort::Log => sailed::log(input.text.as_bytes()),
        Sort::Workbook => workbook::workbook(&workbook::as_bytes(&input.text)),
        Sort::Sheet => workbook::sheet(&input.text),
        Sort::Angled => sailed::angled(&input.text),
    }
}

/// Reads a book by the door that every command goes in by; whether it is sound.
fn looked_over(loaded: Loaded) -> Result<bool, String> {
    let passed = door::through(loaded, |_, _| Some(()));
    told_of(&passed)?;
    Ok(passed.made.is_some())
}

/// Holds what was released against a book, as `due` and `reissue` do.
fn compared(editions: &Editions) -> Result<(), String> {
    let loaded = book::from_text("boat.yaml", ABOARD, &|_| None, has_glyph);
    let book = loaded.book.ok_or("the book aboard is no book")?;
    let mut cards = cards::cards(&book, &mut Vec::new());
    editions.settle_stamps(&mut cards);
    let due = Due::of(&book, &cards, editions, true);
    let next = due.released(&book, &cards, editions, "2027-06-01");
    match next.text().map(|text| Editions::parse(&text)) {
        Ok(Ok(same)) if same.cards == next.cards => Ok(()),
        Ok(Ok(_)) => Err("the next editions are not what was written of them".to_owned()),
        Ok(Err(wrong)) => Err(format!("the next editions cannot be read: {}", wrong.what)),
        Err(error) => Err(error.to_string()),
    }
}

fn in_words(what: &str, instead: &str) -> Result<bool, String> {
    if what.trim().is_empty() || instead.trim().is_empty() {
        return Err(format!("a refusal says too little: {what:?}, {instead:?}"));
    }
    Ok(false)
}

/// Whether all that is said of a book is said well, and nothing is refused without a word or made in spite of one.
pub fn told_of<T>(passed: &Passed<T>) -> Result<(), String> {
    told(&passed.problems, &passed.sources)?;
    let has_error = passed.problems.iter().any(|problem| problem.level == Level::Error);
    match (&passed.made, has_error) {
        (None, false) => Err("refused without a word".to_owned()),
        (Some(_), true) => Err(format!("made in spite of {:?}", passed.problems)),
        _ => Ok(()),
    }
}

/// Whether every problem says where it is, what is wrong and what would be right, and can be shown to people and machines.
pub fn told(problems: &[Problem], sources: &[Source]) -> Result<(), String> {
    for problem in problems {
        in_words(&problem.what, &problem.instead)?;
        let Some(place) = &problem.place else { return Err(format!("no place: {problem:?}")) };
        let Some(source) = sources.get(place.source.0) else { return Err(format!("no such file: {problem:?}")) };
        let inside = place.bytes.start <= place.bytes.end && place.bytes.end <= source.text.len();
        if !inside || source.text.get(place.bytes.clone()).is_none() {
            return Err(format!("not a place in its file: {problem:?}"));
        }
    }
    if problems.is_empty() {
        return Ok(());
    }
    let plain = report::for_people(problems, sources, false);
    let coloured = report::for_people(problems, sources, true);
    if let Some(odd) = plain.chars().find(|letter| letter.is_control() && *letter != '\n') {
        return Err(format!("U+{:04X} goes to the terminal", u32::from(odd)));
    }
    if coloured.len() < plain.len() {
        return Err("colours take words away".to_owned());
    }
    let listed = report::for_machines(problems, sources);
    match listed.as_array() {
        Some(list) if list.len() == problems.len() => Ok(()),
        _ => Err("the list for machines is another one".to_owned()),
    }
}

/// Every reader of a number has a go at the text; whatever is taken is finite and within what was asked.
fn quantities(text: &str) -> Result<bool, String> {
    let mut taken = false;
    let units = Units::default();
    let dimensions = [
        Dimension::Length,
        Dimension::Speed,
        Dimension::Mass,
        Dimension::Pressure,
        Dimension::Angle,
        Dimension::Force,
        Dimension::Duration,
    ];
    for dimension in dimensions {
        match quantity::parse(text, units.bare(dimension)) {
            Ok(value) if value.is_finite() => taken = true,
            Ok(value) => return Err(format!("{value} of {text:?}")),
            Err(wrong) => taken |= in_words(&wrong.what, &wrong.instead)?,
        }
    }
    if let Some(value) = mark::parse(text) {
        if !value.is_finite() {
            return Err(format!("the mark {value} of {text:?}"));
        }
        // A mark finer than print can show is rounded there; any other comes back as it was.
        let again = mark::parse(&mark::print(value));
        if value.abs() < 1e9 && again.is_none_or(|again| (again - value).abs() > 1e-6) {
            return Err(format!("the mark {value} of {text:?} is printed so that it reads {again:?}"));
        }
    }
    let even = ScaleKind::Even { first: -3, last: 12, spacing: Length::mm(20.0), purchase: 1.0 };
    let centre = ScaleKind::Centre {
        centre: "C".to_owned(),
        marks: 6,
        spacing: Length::mm(20.0),
        purchase: 1.0,
        ends: ["W".to_owned(), "L".to_owned()],
    };
    let gauge = ScaleKind::Gauge { unit: "bar".to_owned(), least: Some(0.0), most: Some(180.0), every: 5.0 };
    for kind in [even, centre, gauge, ScaleKind::Turns { base: "2027-04-02".to_owned() }] {
        let scale = Scale { kind, fineness: Fineness::Halves };
        match scale.parse(text) {
            Ok(reading) => {
                let (low, high) = scale.ends().unwrap_or((f64::MIN, f64::MAX));
                if !(low..=high).contains(&reading) {
                    return Err(format!("{reading} of {text:?} is off its scale"));
                }
                taken = true;
            }
            Err(error) => taken |= in_words(&error.what, &error.instead)?,
        }
    }
    for size in [NamedSize::parse(text).map(|size| size.size), PaperSize::parse(text).map(|paper| paper.size())] {
        match size {
            Ok(size) if size.width > 0.0 && size.height > 0.0 && size.is_finite() => taken = true,
            Ok(size) => return Err(format!("the size {size} of {text:?}")),
            Err(error) => taken |= in_words(&error.what, &error.instead)?,
        }
    }
    Ok(taken)
}
