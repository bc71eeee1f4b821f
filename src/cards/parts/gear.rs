//! What the cards of gear to rig and to stow share: a small table, an order of work, an entry of the book's `cards`.
//! Knows no gear.

use crate::wrong::Wrong;
use kurbo::{Point, Size};

use super::flow::{self, Line};
use super::frame::{self, LINE_PITCH, draw_lines, lines_height};
use super::label::Label;
use super::scaled::FINE;
use crate::book::{Problem, Table};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::line_breaks::Words;
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight};
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
/// From the rules to the rows, in capital heights; the last row has the white of a line under it besides.
const RULE_GAP: f64 = 0.5;

/// Rows of short cells, heads first, in columns as wide as their widest cell; a head of several words may be broken.
pub struct SmallTable<'a> {
    look: Look,
    heads: Vec<Vec<Line>>,
    cells: &'a [Vec<String>],
    lefts: Vec<f64>,
}

/// The letters of a small table.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    pub cap: f64,
    pub distance: Length,
    pub heads: Weight,
    pub cells: Weight,
}

impl<'a> SmallTable<'a> {
    /// The spare room is shared between the columns. `None` if they are wider than `room`.
    pub fn new(rows: &'a [Vec<String>], look: Look, room: f64) -> Option<Self> {
        let (heads, cells) = rows.split_first()?;
        let width = |(column, head): (usize, &String)| {
            let cells = cells.iter().filter_map(|row| row.get(column)).map(|cell| look.cell(cell).width());
            cells.fold(Words::of([(head.as_str(), look.heads)]).widest() * look.cap, f64::max)
        };
        let widths: Vec<f64> = heads.iter().enumerate().map(width).collect();
        let spare = room - widths.iter().sum::<f64>();
        let gap = (spare / widths.len().saturating_sub(1).max(1) as f64).min(look.cap * MOST_GAP);
        (gap >= look.cap * LEAST_GAP).then(|| {
            let lefts = widths.iter().scan(0.0, |next, width| {
                let left = *next;
                *next += width + gap;
                Some(left)
            });
            let head = |(head, width): (&String, &f64)| {
                // A head that is wider than what stands under it may reach into half the white beside it.
                flow::wrapped(head, look.cap, look.heads, look.distance, width + gap / 2.0)
            };
            SmallTable { look, lefts: lefts.collect(), heads: heads.iter().zip(&widths).map(head).collect(), cells }
        })
    }

    fn heads_height(&self) -> f64 {
        self.heads.iter().map(|lines| lines_height(lines)).fold(0.0, f64::max)
    }

    pub fn height(&self) -> f64 {
        self.heads_height() + self.look.cap * (self.cells.len() as f64 * LINE_PITCH + RULE_GAP)
    }

    /// Between two rules from `left` to `right`; gives where the lower one is.
    pub fn draw(&self, drawing: &mut Drawing, (left, right): (f64, f64), top: f64) -> f64 {
        let foot = top + self.height();
        for y in [top, foot] {
            drawing.print(Shape::line((left, y), (right, y), FINE));
        }
        let mut y = top + self.look.cap * RULE_GAP + self.heads_height();
        for (head, start) in self.heads.iter().zip(&self.lefts) {
            draw_lines(drawing, head, left + start, y - lines_height(head));
        }
        for row in self.cells {
            for (words, start) in row.iter().zip(&self.lefts).filter(|(words, _)| !words.is_empty()) {
                let mut text = self.look.cell(words);
                text.origin = Point::new(left + start, y + self.look.cap);
                drawing.print(text);
            }
            y += self.look.cap * LINE_PITCH;
        }
        foot
    }
}

impl Look {
    fn cell(&self, words: &str) -> Text {
        Text::new(words, Point::ZERO, Anchor::Start, self.cap, self.cells).read_from(self.distance)
    }
}

/// What is done first, second and so on, numbered and wrapped.
pub struct Steps(Vec<Line>);

impl Steps {
    pub fn new<'a>(steps: impl IntoIterator<Item = &'a str>, cap: f64, width: f64) -> Self {
        let numbered = steps.into_iter().zip(1..).flat_map(|(step, number)| {
            flow::wrapped(&format!("{number}. {step}"), cap, Weight::Regular, CARD_DISTANCE, width)
        });
        Steps(numbered.collect())
    }

    pub fn height(&self) -> f64 {
        lines_height(&self.0)
    }

    pub fn draw(&self, drawing: &mut Drawing, left: f64, top: f64) {
        draw_lines(drawing, &self.0, left, top);
    }
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
