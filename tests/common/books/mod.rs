//! Whole books made up from a row of numbers: sound ones of every section and option, and spoilt ones. Knows the form of a
//! book as the handbook tells it, and nothing of the program that reads it.
//!
//! The same numbers give the same book, so a book is told by its seed. A row that runs out goes on with zeros, and
//! 0 is always the plainest choice: what shrinks the numbers shrinks the book.

mod cards;
mod controls;
mod gear;
mod race;
pub mod spoil;
mod words;

use std::fmt::Write as _;

use proptest::prelude::*;

pub use controls::Control;
pub use spoil::{spoilt, spoilt_text};
pub use words::{HOSTILE, NUMBERS};

/// Numbers that a whole book is made of; a longer row changes nothing.
pub const ROW: usize = 1_500;

/// A book of much on A4 is a book in pieces; a roll holds whatever there is.
const PAPERS: [&str; 6] = ["A4", "A4", "A3", "Letter", "roll-610mm", "900 x 2500 mm"];

/// A row of numbers that choices are read from.
pub struct Choices<'a> {
    row: &'a [u32],
    next: usize,
}

impl<'a> Choices<'a> {
    pub fn new(row: &'a [u32]) -> Self {
        Choices { row, next: 0 }
    }

    fn word(&mut self) -> u32 {
        let word = self.row.get(self.next).copied().unwrap_or(0);
        self.next += 1;
        word
    }

    /// From 0 to one below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        self.word() as usize % count.max(1)
    }

    /// Both ends included.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        low + i64::from(self.word()) % (high - low + 1)
    }

    /// One of them; the first is the plainest.
    pub fn one<T: Clone>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())].clone()
    }

    /// So many times in a hundred; never where the row has run out.
    pub fn chance(&mut self, percent: u32) -> bool {
        self.word() % 100 >= 100 - percent
    }

    /// Some of them in their order, `least` or more where there are so many.
    pub fn some<T: Clone>(&mut self, of: &[T], least: usize, percent: u32) -> Vec<T> {
        let mut left = of.len();
        let mut taken = Vec::new();
        for item in of {
            let needed = taken.len() + left <= least;
            if self.chance(percent) || needed {
                taken.push(item.clone());
            }
            left -= 1;
        }
        taken
    }
}

/// Numbers from a seed: the splitting generator of Steele, Lea and Flood (2014), which needs no table.
pub fn row(seed: u64) -> Vec<u32> {
    let mut state = seed;
    let mut next = || {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) as u32
    };
    (0..ROW).map(|_| next()).collect()
}

/// A book with the tables it names and what is known of its strips.
#[derive(Clone, Debug, Default)]
pub struct Book {
    pub text: String,
    /// File name and text.
    pub tables: Vec<(String, String)>,
    pub controls: Vec<Control>,
    /// What it is printed on.
    pub paper: &'static str,
    /// The printer turns the paper for backs about its short edge.
    pub flips_short: bool,
}

impl Book {
    pub fn table(&self, name: &str) -> Option<String> {
        self.tables.iter().find(|(known, _)| known == name).map(|(_, text)| text.clone())
    }
}

/// What sails, for the sections that name it.
#[derive(Clone, Debug)]
pub struct Sail {
    pub id: String,
    pub kind: &'static str,
    pub wind: (i64, i64),
    pub has_wind: bool,
    pub aboard: bool,
    /// The first sail that it is set with, if it is not set by itself.
    pub flies_with: Option<String>,
}

/// Settings, for the sections that name them.
#[derive(Clone, Debug)]
pub struct Settings {
    pub id: String,
    /// What they were called before the sail they are for was replaced.
    pub was: Option<String>,
    /// Indices into the controls.
    pub columns: Vec<usize>,
    pub aboard: bool,
    /// A wind and an angle of theirs, where they go by angle too.
    pub by_angle: Option<(i64, i64)>,
}

/// What the rest of a book can refer to.
#[derive(Default)]
struct Known {
    controls: Vec<Control>,
    sails: Vec<Sail>,
    settings: Vec<Settings>,
    has_crew: bool,
    has_righting: bool,
    has_watches: bool,
    gear: Vec<&'static str>,
    has_checks: bool,
    has_wardrobe: bool,
    has_dock_tune: bool,
}

/// A book that the program should take, of as many sections as the row says.
pub fn sound(row: &[u32]) -> Book {
    let c = &mut Choices::new(row);
    let mut known = Known::default();
    let mut tables = Vec::new();
    let mut text = String::new();
    if c.chance(3) {
        text.push('\u{FEFF}');
    }
    if c.chance(20) {
        text.push_str("# A book of made-up numbers.\n");
    }
    text.push_str("book: 1\n");
    if c.chance(20) {
        text.push_str("example: true\n");
    }
    let length = c.between(70, 160);
    let paper = c.one(&PAPERS);
    let flips_short = c.chance(50);
    let boat = words::name(c);
    let metres = format!("{}.{} m", length / 10, length % 10);
    let hull =
        if c.chance(30) { format!(", hull: {metres}, launched: {}", c.between(1960, 2027)) } else { String::new() };
    let _ = writeln!(text, "boat: {{name: {boat}, length: {metres}{hull}}}");
    if c.chance(25) {
        let units = [
            "{length: in, wind: kn, mass: lb, pressure: psi}",
            "{length: cm}",
            "{wind: m/s}",
            "{length: m, mass: kg}",
            "{length: mm, wind: kn}",
            "{length: ft, pressure: bar}",
        ];
        let _ = writeln!(text, "units: {}", c.one(&units));
    }
    if c.chance(50) {
        let mut edge = c.between(2, 6);
        let mut edges = vec![format!("{edge} kn")];
        while edge < 40 {
            edge += c.between(2, 9);
            edges.push(format!("{edge} kn"));
        }
        let _ = writeln!(text, "wind_bands: [{}]", edges.join(", "));
        if c.chance(30) {
            text.push_str("points_of_sail: {upwind: 0..52, close-reach: 52..78, beam-reach: 78..115, broad-reach: 115..155, downwind: 155..180}\n");
        }
    }
    if c.chance(40) {
        let kind = c.one(&["true", "apparent", "'true'"]);
        let sensor = words::phrase(c);
        let height = if c.chance(50) { format!(", height: {} m", c.between(8, 40)) } else { String::new() };
        let _ =
            writeln!(text, "wind_source: {{kind: {kind}, sensor: {sensor}, calibrated: {}{height}}}", words::day(c));
    }
    if c.chance(30) {
        let _ = writeln!(text, "dark: {{change_earlier: {} kn}}", c.one(&["1", "2", "2½", "4"]));
    }
    controls::controls(c, &mut known, &mut text);
    race::sails(c, &mut known, &mut text);
    race::settings(c, &mut known, &mut tables, &mut text);
    controls::lanes(c, &known, &mut text);
    controls::adjust(c, &known, &mut text);
    race::race(c, &mut known, &mut text);
    gear::gear(c, &mut known, &mut tables, &mut text, length);
    cards::cards(c, &known, &mut text);
    if c.chance(30) {
        let apart = c.one(&["1 kn", "0 kn", "½ kn", "1.3 kn", "3 kn", "1 m/s"]);
        let _ = writeln!(text, "change_points: {{apart: {apart}}}");
    }
    race::sailed(c, &known, &mut tables, &mut text);
    if c.chance(20) {
        let parts = [
            format!("paper: {}", c.one(&["a4", "letter", "A3", "'297 x 600 mm'", "roll-610mm", "tabloid"])),
            format!("printer: {}", words::name(c)),
            format!("flip: {}", c.one(&["long", "short"])),
        ];
        let parts: Vec<String> = parts.into_iter().filter(|_| c.chance(60)).collect();
        let _ = writeln!(text, "printing: {{{}}}", parts.join(", "));
    }
    if c.chance(3) {
        text = text.replace('\n', "\r\n");
    }
    Book { text, tables, controls: known.controls, paper, flips_short }
}

/// Any row of numbers, for a property test.
pub fn any_row() -> impl Strategy<Value = Vec<u32>> {
    prop::collection::vec(any::<u32>(), 0..ROW)
}

/// Books that the program should take.
pub fn any_sound() -> impl Strategy<Value = Book> {
    any_row().prop_map(|row| sound(&row))
}

/// Books with a few faults.
pub fn any_spoilt() -> impl Strategy<Value = Book> {
    (any_row(), any_row()).prop_map(|(row, faults)| spoilt(&sound(&row), &mut Choices::new(&faults)))
}
