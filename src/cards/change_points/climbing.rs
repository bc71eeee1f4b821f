//! From the rows of a ladder as numbers to what a card says of them, and on how many cards it says it. Lays nothing out.

use super::{ChangePoints, ControlHead, ExactChange, Mark, Night, Row, Rung};
use crate::book::Control;
use crate::cards::Label;
use crate::cards::parts::frame;
use crate::cards::parts::sided;
use crate::cards::parts::words::bare_words;
use crate::cards::parts::working::Passage;
use crate::size::NamedSize;
use crate::tuning::ladder::{self, Lane, MOST_ROWS, Spacing};
use crate::tuning::{Angle, Axis, Change, Sided};

/// A control on a ladder, with a lane for each of its sides that are told apart.
pub(super) struct Climber<'a, A> {
    pub control: &'a Control,
    pub lanes: Sided<Lane<'a, A>>,
}

/// How the two ways of a rung are printed.
pub(super) struct Ways<'a> {
    /// A place, by its printed steps.
    pub print: Box<dyn Fn(i64) -> String + 'a>,
    /// The start of the ladder: nobody acts below it, by night either.
    pub lowest: i64,
    /// By how much earlier at night, in printed steps.
    pub earlier: Option<i64>,
}

impl<A> Climber<'_, A> {
    /// The head of its column.
    pub fn head(&self) -> ControlHead {
        ControlHead {
            control: self.control.name.clone(),
            higher: self.control.higher_is.as_ref().map(|higher| higher.to_uppercase()),
            unit: self.control.scale.unit().map(str::to_owned),
        }
    }
}

/// The rows of a ladder over all the lanes.
pub(super) fn rows<A: Axis>(climbers: &[Climber<'_, A>], spacing: &Spacing<A>, last: A) -> Vec<ladder::Row<A>> {
    let lanes: Vec<&Lane<'_, A>> =
        climbers.iter().flat_map(|climber| climber.lanes.each().map(|(_, lane)| lane)).collect();
    ladder::rows(&lanes, spacing, last)
}

/// What a card says of each row.
pub(super) fn told<A: Axis>(climbers: &[Climber<'_, A>], rows: &[ladder::Row<A>], ways: &Ways<'_>) -> Vec<Row> {
    let mut before: Option<Vec<String>> = None;
    let row = |row: &ladder::Row<A>| {
        let marks = marks(climbers, row, before.as_deref());
        before = Some(marks.iter().map(|mark| mark.mark.clone()).collect());
        Row { rung: row.rung.map(|rung| ways.printed(rung)), marks }
    };
    rows.iter().map(row).collect()
}

fn marks<A: Axis>(climbers: &[Climber<'_, A>], row: &ladder::Row<A>, before: Option<&[String]>) -> Vec<Mark> {
    let mut told = row.marks.iter();
    let of_climber = |(nth, climber): (usize, &Climber<'_, A>)| {
        let told = climber.lanes.map(|_| *told.next().unwrap_or(&crate::tuning::Told::Unknown));
        let mark = sided::words(&told, |mark| bare_words(&climber.control.scale, mark.reading));
        let ground = told.each().filter_map(|(_, told)| told.set()).map(|mark| mark.ground).max();
        let is_new = before.and_then(|before| before.get(nth)).is_some_and(|before| *before != mark);
        Mark { mark, ground, is_new }
    };
    climbers.iter().enumerate().map(of_climber).collect()
}

impl Ways<'_> {
    fn printed(&self, rung: ladder::Rung) -> Rung {
        let (building, easing) = (rung.rising, rung.falling);
        let earlier = |by: i64, steps: i64| (self.print)((steps - by).max(self.lowest));
        Rung {
            building: (self.print)(building),
            easing: (self.print)(easing),
            night: self.earlier.map(|by| Night { building: earlier(by, building), easing: earlier(by, easing) }),
        }
    }
}

/// On one card, or on as many as it takes to be read, all about as full.
pub(super) fn parted(mut whole: ChangePoints, label: &Label) -> Vec<ChangePoints> {
    let (rows, unprinted) = (std::mem::take(&mut whole.rows), Unprinted::taken_from(&mut whole));
    let count = rows.len();
    let cuts = |parts: usize| (0..parts).map(move |nth| (nth, (count * nth / parts, count * (nth + 1) / parts)));
    let ladder = (&whole, rows.as_slice());
    let in_parts = |parts: usize| cuts(parts).map(move |(nth, cut)| part(ladder, cut, (nth, parts)));
    let usual = NamedSize::known(frame::LARGEST_USUAL);
    let size = whole.size.as_ref().or(usual.as_ref());
    let fits = |card: ChangePoints| size.is_none_or(|size| super::layout::fits(&card, label, size));
    let fewest = count.div_ceil(MOST_ROWS).max(1);
    // A part holds two rows at least: one alone is no ladder.
    let readable = (fewest..=(count / 2).max(fewest)).find(|parts| in_parts(*parts).all(fits));
    // What no number of cards holds takes a larger size, or is refused with the words of the first.
    in_parts(readable.unwrap_or(fewest)).map(|card| unprinted.given_to(card)).collect()
}

/// What a card of part of a ladder has of the whole, and does not print: the search for the parts does not carry it along.
struct Unprinted {
    exact: Vec<ExactChange>,
    exact_angles: Vec<(String, Change<Angle>)>,
    working: Vec<Passage>,
}

impl Unprinted {
    fn taken_from(whole: &mut ChangePoints) -> Self {
        let ChangePoints { exact, exact_angles, working, .. } = whole;
        use std::mem::take;
        Unprinted { exact: take(exact), exact_angles: take(exact_angles), working: take(working) }
    }

    fn given_to(&self, card: ChangePoints) -> ChangePoints {
        let Unprinted { exact, exact_angles, working } = self;
        ChangePoints { exact: exact.clone(), exact_angles: exact_angles.clone(), working: working.clone(), ..card }
    }
}

/// A part of a ladder; `whole` is what the parts have in common.
fn part(
    (whole, rows): (&ChangePoints, &[Row]),
    (from, to): (usize, usize),
    (nth, parts): (usize, usize),
) -> ChangePoints {
    let part = ChangePoints { rows: rows[from..to].to_vec(), ..whole.clone() };
    if parts == 1 {
        return part;
    }
    let unit = if whole.at_wind.is_some() { String::new() } else { format!(" {}", whole.wind_unit) };
    let place = |row: Option<&Row>| Some(row?.rung.as_ref().map_or(&whole.start, |rung| &rung.building).clone());
    let low = place(rows.get(from)).unwrap_or_default();
    let span = match place(rows.get(to)) {
        Some(high) => format!("{low} to {high}{unit}"),
        None => format!("from {low}{unit}"),
    };
    let part = ChangePoints { part: Some(format!("{} of {parts}", nth + 1)), span: Some(span), ..part };
    part.with_grounds()
}
