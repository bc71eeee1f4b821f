//! What the cards of gear to rig and to stow share: a small table, an order of work, an entry of the book's `cards`.
//! Knows no gear.

use crate::wrong::Wrong;
use kurbo::Size;

use super::flow::{self, Line};
use super::frame::{self, LINE_PITCH, draw_lines, lines_height};
use super::label::Label;
use super::scaled::FINE;
use super::table::{Cell, Column, Head, HeadGap, Inset, Look, Paragraph, Row, RowHeights, Under};
use crate::book::{Problem, Table};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Anchor, Drawing, Text, TypeSize, Weight};
use crate::length::Length;
use crate::size::NamedSize;

/// A card at the size asked for, or at the handiest that holds it, standing or lying; `draw` gets width and height, and
/// the least capital height.
///
/// # Errors
/// It fits none.
pub fn fitted(
    asked: Option<&NamedSize>,
    label: &Label,
    draw: impl Fn(Size, f64) -> Option<Drawing>,
) -> Result<Drawing, Wrong> {
    frame::fitted(asked, label, |size, least| {
        frame::both_ways(size, label).into_iter().find_map(|size| draw(size, least))
    })
}

/// Between columns, in capital heights.
const LEAST_GAP: f64 = 0.8;
const MOST_GAP: f64 = 3.0;
/// From the upper rule to the heads, in capital heights.
const RULE_GAP: f64 = 0.5;
/// Half the white between two lines stands under the heads, the other half over the first row; so it is at the foot.
const HALF_WHITE: f64 = (LINE_PITCH - 1.0) / 2.0;

/// Rows of short cells between two rules, in columns as wide as their widest cell; the spare room is shared between the
/// columns. A head of several words may be broken, and may reach into half the white beside it.
const SMALL_TABLE: Look = Look {
    gap: LEAST_GAP,
    gap_most: Some(MOST_GAP),
    head_reach: 0.5,
    over_heads: RULE_GAP,
    under_heads: HeadGap::OfHeads(HALF_WHITE),
    under_rows: HALF_WHITE,
    rows: RowHeights::AsNeeded { air_most: 0.0 },
    top_rule: Some(FINE),
    head_rule: None,
    foot_rule: Some(FINE),
    ..Look::WORDS
};

/// A small table of short cells, heads first, read from `distance`; `heads` and `cells` are how bold they are.
pub fn small_table(rows: &[Vec<String>], distance: Length, heads: Weight, cells: Weight) -> Inset {
    let mut rows = rows.iter();
    let head = |head: &String| Column::narrow(Head::from(Paragraph::of(head, heads)));
    let columns = rows.next().into_iter().flatten().map(head).collect();
    let cell = |words: &String| match words.is_empty() {
        true => Cell::empty(),
        false => Paragraph::whole(words, cells).into(),
    };
    let rows = rows.map(|row| Row::Cells(row.iter().map(cell).collect(), Under::Nothing)).collect();
    Inset { columns, rows, look: Look { distance, ..SMALL_TABLE } }
}

/// Between the number of a step and its words, in capital heights.
const NUMBER_GAP: f64 = 0.6;

/// What is done first, second and so on: numbered, and wrapped so that every line of a step begins under its first word.
pub struct Steps {
    /// The lines of each step.
    steps: Vec<Vec<Line>>,
    cap: f64,
    indent: f64,
}

impl Steps {
    /// The steps numbered from 1, on lines of this width, with capitals of this height: both in millimetres.
    pub fn new<'a>(steps: impl IntoIterator<Item = &'a str>, cap: f64, width: f64) -> Self {
        let steps: Vec<&str> = steps.into_iter().collect();
        let widest = TypeSize::in_hand(cap).width(&number(steps.len()), Weight::Bold);
        let indent = widest + NUMBER_GAP * cap;
        let wrapped = |step: &&str| flow::wrapped(step, cap, Weight::Regular, CARD_DISTANCE, width - indent);
        Steps { steps: steps.iter().map(wrapped).collect(), cap, indent }
    }

    /// How high they stand together, in millimetres.
    pub fn height(&self) -> f64 {
        self.steps.iter().map(|lines| lines_height(lines)).sum()
    }

    /// Draws them with the top of the first line at this place.
    pub fn draw(&self, drawing: &mut Drawing, left: f64, top: f64) {
        let mut y = top;
        for (lines, nth) in self.steps.iter().zip(1..) {
            let place = (left, y + self.cap);
            drawing.print(Text::new(number(nth), place, Anchor::Start, self.cap, Weight::Bold));
            y = draw_lines(drawing, lines, left + self.indent, y);
        }
    }
}

/// `3.`
fn number(nth: usize) -> String {
    format!("{nth}.")
}

/// What an entry `{kind: …, id: …, size: …}` asks for: the gear of the book's section `name`, if it is described there so
/// that it can be used; else the problem says what the section `needs`.
pub fn from_entry<'a, Gear>(
    mut entry: Table,
    (name, needs): (&str, &str),
    gear: Option<&'a Gear>,
    problems: &mut Vec<Problem>,
) -> Option<(&'a Gear, Option<String>, Option<NamedSize>)> {
    let place = entry.place.clone();
    let id = crate::cards::entry_id(&mut entry, problems);
    let size = crate::cards::entry_size(&mut entry, problems);
    entry.finish(problems);
    if gear.is_none() {
        let what = format!("the book says nothing usable of the {}", name.replace('_', " "));
        problems.push(Problem::error(place, what, format!("describe it under `{name}`: {needs}")));
    }
    Some((gear?, id, size))
}
