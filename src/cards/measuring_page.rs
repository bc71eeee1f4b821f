//! The page to fill in on the dock with a tape measure: a line for each length that the book wants, in the order of the book. It is
//! printed by a command and belongs to no book's cards.

use serde::Serialize;

use super::parts::frame::Surround;
use super::parts::label::Label;
use super::parts::table::{Cell, Column, Row, Ruled};
use super::{Card, Content, Stock};
use crate::book::{Book, Control, Dimension, SailKind};
use crate::drawing::Drawing;
use crate::size::NamedSize;
use crate::tuning::ScaleKind;
use crate::wrong::Wrong;

/// What such a card is called where others have the name of their kind.
const NAME: &str = "measuring-page";
/// Room to write in for a wet hand with a pencil: across and down, millimetres.
const WRITE_MM: f64 = 45.0;
const ROW_MM: f64 = 9.0;
/// Its part of the room that is left over, beside 1 for the words.
const WRITE_SHARE: f64 = 0.5;
/// Posts of the lifelines that a boat without a lacing section has lines for, from bow to stern.
const POSTS: usize = 6;
const WIRES: usize = 2;

/// One page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasuringPage {
    #[serde(skip)]
    size: NamedSize,
    boat: String,
    /// What a length without a unit is in.
    unit: &'static str,
    /// Which page it is, and of how many.
    page: (usize, usize),
    groups: Vec<Group>,
}

/// What belongs together: a control, the sails, the posts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Group {
    /// What it is, as the book has it.
    pub name: String,
    /// What to measure of it.
    pub lines: Vec<Line>,
}

/// A line to write on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// What is measured.
    pub what: String,
    /// From where to where, or where it goes in the book.
    pub how: String,
}

impl MeasuringPage {
    /// What is measured, from the top.
    pub fn groups(&self) -> &[Group] {
        &self.groups
    }
}

impl Content for MeasuringPage {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let line = |line: &Line| Row::of([Cell::bold(&line.what), Cell::plain(&line.how), Cell::empty()]);
        let rows = self
            .groups
            .iter()
            .flat_map(|group| std::iter::once(Row::Heading(group.name.clone())).chain(group.lines.iter().map(line)));
        let (page, pages) = self.page;
        let of = if pages > 1 { format!("page {page} of {pages}") } else { String::new() };
        Ruled {
            size: Some(self.size.clone()),
            surround: Surround {
                title: vec!["To measure".to_owned()],
                at_right: of,
                kind: "with a tape measure, on the dock, nothing under load".to_owned(),
                to_write: vec![("measured by", 2.0), ("day", 1.0)],
                foot: vec![
                    "Each length from the same hard point, and not from mark to mark. Then copy them into the book."
                        .to_owned(),
                ],
                ..Surround::default()
            },
            name: format!("{}: to measure", self.boat),
            description: "To write down what is measured on the boat".to_owned(),
            columns: vec![
                Column::narrow(""),
                Column::wide("from where to where", 1.0),
                Column { least_mm: WRITE_MM, ..Column::wide(self.unit, WRITE_SHARE) },
            ],
            rows: rows.collect(),
            least_row_mm: ROW_MM,
            boxed_in: true,
            ..Ruled::default()
        }
        .draw(label)
    }
}

/// The page of a book on so many cards.
pub fn cards(book: &Book, size: &NamedSize, pages: usize) -> Vec<Card> {
    let groups = groups(book);
    let parts = parted(&groups, pages.max(1));
    let count = parts.len();
    let card = |(index, groups): (usize, Vec<Group>)| {
        let content = MeasuringPage {
            size: size.clone(),
            boat: book.boat.name.value.clone(),
            unit: book.units.bare(Dimension::Length).name,
            page: (index + 1, count),
            groups,
        };
        let id = if index == 0 { NAME.to_owned() } else { format!("{NAME}-{}", index + 1) };
        Card::new(id, NAME, "To measure".to_owned(), Stock::Card, book.boat.name.place.clone(), content)
    };
    parts.into_iter().enumerate().map(card).collect()
}

/// Groups on so many pages, about as many lines on each; no group is parted unless it is longer than a page.
fn parted(groups: &[Group], pages: usize) -> Vec<Vec<Group>> {
    let height = |group: &Group| group.lines.len() + 1;
    let all: usize = groups.iter().map(height).sum();
    let each = all.div_ceil(pages).max(2);
    let mut parts: Vec<Vec<Group>> = vec![Vec::new()];
    let mut used = 0;
    for group in groups {
        for lines in group.lines.chunks(each - 1) {
            let piece = Group { name: group.name.clone(), lines: lines.to_vec() };
            if used > 0 && used + height(&piece) > each {
                parts.push(Vec::new());
                used = 0;
            }
            used += height(&piece);
            if let Some(last) = parts.last_mut() {
                last.push(piece);
            }
        }
    }
    parts
}

/// What is to be measured of a boat, in the order of her book.
fn groups(book: &Book) -> Vec<Group> {
    let boat = Group { name: "The boat".to_owned(), lines: vec![line("Length", "over all, with all that sticks out")] };
    let controls = book.controls.iter().map(of_control);
    let all = std::iter::once(boat).chain(controls).chain([sails(book), posts(book)]);
    all.filter(|group| !group.lines.is_empty()).collect()
}

fn line(what: impl Into<String>, how: impl Into<String>) -> Line {
    Line { what: what.into(), how: how.into() }
}

fn of_control(control: &Control) -> Group {
    let mut lines = Vec::new();
    if control.scale.spacing().is_some() || has_places(&control.scale.kind) {
        let strips = control.strip.as_ref();
        let how = match strips.and_then(|strip| strip.datum.as_ref()) {
            Some(datum) => format!("from {} to the lowest mark", datum.from),
            None => "from which hard point; to the lowest mark".to_owned(),
        };
        lines.push(line("Datum", how));
    }
    lines.extend(of_scale(control));
    Group { name: control.name.clone(), lines }
}

fn has_places(kind: &ScaleKind) -> bool {
    matches!(kind, ScaleKind::Measured { .. } | ScaleKind::Tapes(_))
}

fn of_scale(control: &Control) -> Vec<Line> {
    let named = control.strip.as_ref().and_then(|strip| strip.pointer.as_deref());
    let pointer = named.unwrap_or("the pointer");
    let print = |reading: f64| control.scale.print(reading);
    match &control.scale.kind {
        ScaleKind::Even { first, last, .. } => vec![
            line("First mark", format!("{first}: {pointer}, at one end of its travel")),
            line("Last mark", format!("{last}: {pointer}, at the other end; from the first mark")),
        ],
        ScaleKind::Centre { centre, ends: [windward, leeward], .. } => vec![
            line("First mark", format!("from {centre} to {pointer}, at the end of {windward}")),
            line("Last mark", format!("from {centre} to {pointer}, at the end of {leeward}")),
        ],
        ScaleKind::Measured { pairs, .. } => {
            pairs.iter().map(|(quantity, _)| line(print(*quantity), format!("from the datum to {pointer}"))).collect()
        }
        ScaleKind::Tapes(tapes) => tapes
            .iter()
            .flat_map(|tape| [line(tape.name.clone(), "where it begins"), line(tape.name.clone(), "where it ends")])
            .collect(),
        ScaleKind::Around { .. } => {
            vec![line("Diameter", "of the tube or drum"), line("Thickness", "of the film, of ten layers and divided")]
        }
        ScaleKind::Turns { base } => vec![line("Gauge", format!("what it shows, and the day; in the book: {base}"))],
        ScaleKind::Gauge { .. } | ScaleKind::Words(_) => Vec::new(),
    }
}

fn sails(book: &Book) -> Group {
    let has_luff = |kind: SailKind| matches!(kind, SailKind::Headsail | SailKind::Staysail | SailKind::Mainsail);
    let sails =
        book.sails.iter().filter(|sail| has_luff(sail.kind) && sail.retired.is_none() && sail.reef_of.is_none());
    let lines = sails.map(|sail| line(format!("Luff {}", sail.name), "head to tack, stretched by hand")).collect();
    Group { name: "Sails".to_owned(), lines }
}

fn posts(book: &Book) -> Group {
    let known = book.rigging.lacing.as_ref();
    let sides: Vec<(&str, usize)> = known.map_or_else(
        || vec![("", POSTS)],
        |lacing| lacing.sides.iter().map(|side| (side.side, side.rail.posts.len())).collect(),
    );
    let lines = sides.into_iter().flat_map(|(side, count)| {
        (1..=count).map(move |nth| {
            let from = if nth == 1 {
                "from the foremost, which is 0".to_owned()
            } else {
                "from the foremost post, along the deck".to_owned()
            };
            line(format!("Post {nth} {}", side.to_lowercase()).trim_end().to_owned(), from)
        })
    });
    let wires = known.and_then(|lacing| lacing.sides.first()).map_or(WIRES, |side| side.rail.wires.len());
    let wires = (1..=wires).map(|nth| line(format!("Lifeline {nth}"), "from the deck edge up, the lowest first"));
    Group { name: "Posts of the lifelines".to_owned(), lines: lines.chain(wires).collect() }
}
