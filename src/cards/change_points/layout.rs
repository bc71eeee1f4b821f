//! The looks of a ladder: a row of marks for each rung, the strongest wind at the top, so that a building wind climbs; along
//! the angle the closest at the top, so that heading up climbs. Knows no book.

use std::rc::Rc;

use super::{ChangePoints, ControlHead, Mark, Row as Rung};
use crate::cards::parts::frame::{self, CHANGED_ABOARD, HEAVY_RULE, Surround, good_cap_mm};
use crate::cards::parts::label::Label;
use crate::cards::parts::sided::{NOT_USED, NOT_USED_LEGEND, SIDES_LEGEND, UNKNOWN};
use crate::cards::parts::table::{
    Cell, Column, Head, HeadGap, Letters, Look, MeasuredCard, Over, Paragraph, Row, RowHeights, Ruled, largest_of,
};
use crate::cards::parts::words::{WITHIN_MAKERS_LIMITS, boxed_limits, ground_legend, ground_sign, grounded, reasons};
use crate::drawing::{Anchor, Drawing, Weight};
use crate::size::NamedSize;
use crate::wrong::Wrong;

/// The marks are as large as fits, up to this capital height, millimetres.
const MARK_MOST: f64 = 6.8;
/// Rows are spread by this at most, in capital heights a row.
const AIR_MOST: f64 = 1.6;
/// Between two columns, and half of it at either edge, in capital heights.
const COLUMN_GAP: f64 = 0.6;
/// Between the heads and the rule under them, in capital heights.
const HEAD_GAP: f64 = 0.5;

/// Marks to find.
const LOOK: Look = Look {
    most_mm: MARK_MOST,
    gap: COLUMN_GAP,
    outer_gaps: true,
    under_heads: HeadGap::OfRows(HEAD_GAP),
    rows: RowHeights::AsNeeded { air_most: AIR_MOST },
    top_rule: Some(HEAVY_RULE),
    head_rule: Some(HEAVY_RULE),
    foot_rule: Some(HEAVY_RULE),
    over_heads: HEAD_GAP,
    ..Look::WORDS
};

/// How the names of the controls stand over their columns, the most readable first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Names {
    /// Level, and as large as the table lets them be.
    Large,
    /// Level, no larger than what must be read.
    Narrow,
    /// Read from below, where there are many.
    Turned,
}

impl Names {
    const ALL: [Names; 3] = [Names::Large, Names::Narrow, Names::Turned];
}

/// With the names of the controls as it reads best.
pub fn ladder(card: &ChangePoints, label: &Label) -> Result<Drawing, Wrong> {
    let ways = Names::ALL.map(|names| card.table(names));
    let small = Rc::new(ways[0].small_prints());
    let measured: Vec<MeasuredCard> = ways.iter().map(|way| way.measured_with(&small)).collect();
    frame::fitted(card.size.as_ref(), label, |size, least| {
        let plan = match least >= good_cap_mm() {
            true => measured.iter().find_map(|table| table.largest(label, size, least)),
            false => largest_of(&measured, label, size, least),
        };
        plan.map(|plan| plan.draw(label))
    })
}

/// Whether it can be read on a card of this size.
pub(super) fn fits(card: &ChangePoints, label: &Label, size: &NamedSize) -> bool {
    Names::ALL.iter().any(|names| card.table(*names).measured().fits(label, size, frame::wanted_cap_mm()))
}

impl ChangePoints {
    fn is_by_angle(&self) -> bool {
        self.at_wind.is_some()
    }

    fn table(&self, names: Names) -> Ruled {
        let [first, second] = match self.is_by_angle() {
            true => [("BEARING AWAY".to_owned(), "down, from"), ("HEADING UP".to_owned(), "up, below")],
            false => {
                let of = |way: &str| format!("{way} {}", self.wind_unit);
                [(of("BUILDING"), "up, from"), (of("EASING"), "down, below")]
            }
        };
        let controls = self
            .columns
            .iter()
            .enumerate()
            .map(|(nth, head)| Column { ruled_off: nth == 0, ..centred(head.words(names)) });
        let columns = self.way(first).into_iter().chain(controls).chain(ruled_off(self.way(second)));
        let rows = self.rows.iter().map(|row| self.row(row));
        Ruled {
            size: self.size.clone(),
            surround: self.surround(),
            name: format!("{}: {}", self.boat, self.title()),
            description: format!("Every mark to have, rung by rung, {} controls", self.columns.len()),
            columns: columns.collect(),
            // A building wind climbs, and so does a boat that heads up.
            rows: if self.is_by_angle() { rows.collect() } else { rows.rev().collect() },
            boxed_in: true,
            look: LOOK,
            ..Ruled::default()
        }
    }

    /// The column of one way, or two by day and by night.
    fn way(&self, (name, to_act): (String, &str)) -> Vec<Column> {
        let words = vec![Paragraph::whole(name, Weight::Bold), Paragraph::must(to_act, Weight::Regular)];
        match self.earlier {
            None => vec![centred(Head { paragraphs: words, turned: false })],
            Some(_) => {
                let over = Over { paragraphs: words, columns: 2 };
                vec![Column { over: Some(over), ..centred(head("DAY")) }, centred(head("NIGHT"))]
            }
        }
    }

    fn row(&self, row: &Rung) -> Row {
        let columns = if self.earlier.is_some() { 2 } else { 1 };
        let [building, easing]: [Vec<Cell>; 2] = match &row.rung {
            None => {
                let lowest = if self.is_by_angle() { "CLOSEST" } else { "LIGHTEST" };
                let must = |words: &str, weight| Cell::from(Paragraph::must(words, weight));
                let over = |cell: Cell| cell.over_columns(columns).collect();
                [over(must(lowest, Weight::Bold)), over(must("stay here", Weight::Regular))]
            }
            Some(rung) => {
                let night = |of: fn(&super::Night) -> &String| rung.night.as_ref().map(|night| Cell::bold(of(night)));
                let both = |day: &String, night: Option<Cell>| std::iter::once(Cell::bold(day)).chain(night).collect();
                [both(&rung.building, night(|night| &night.building)), both(&rung.easing, night(|night| &night.easing))]
            }
        };
        Row::of(building.into_iter().chain(row.marks.iter().map(Mark::cell)).chain(easing))
    }

    fn surround(&self) -> Surround {
        let sails = self.sails.iter().enumerate();
        let at_wind = self.at_wind.iter().map(|wind| format!("· {wind}"));
        let (span, part) = (self.span.iter(), self.part.iter().map(|part| format!("part {part}")));
        let kind = std::iter::once("CHANGE POINTS".to_owned()).chain(span.cloned()).chain(part);
        Surround {
            title: sails
                .map(|(index, sail)| if index == 0 { sail.clone() } else { format!("+ {sail}") })
                .chain(self.title.iter().map(|title| format!("· {title}")))
                .chain(at_wind)
                .collect(),
            at_right: match self.is_by_angle() {
                true => self.point_of_sail.clone(),
                false => self.point_of_sail.to_uppercase(),
            },
            kind: kind.collect::<Vec<String>>().join(" · "),
            subtitle: match self.is_by_angle() {
                true => format!("{} · true wind angle", self.wind),
                false => self.wind.clone(),
            },
            must: self.must(),
            to_write: CHANGED_ABOARD.to_vec(),
            foot: self.foot(),
            ..Surround::default()
        }
    }

    fn must(&self) -> Vec<String> {
        let beneath = if self.is_by_angle() { "above" } else { "beneath" };
        let mut must = vec![format!("Have all marks of a row. Underlined: not as in the row {beneath}.")];
        must.extend(self.narrowed.iter().map(|words| format!("{words}.")));
        must.extend((!self.cautions.is_empty()).then(|| boxed_limits(&self.cautions, WITHIN_MAKERS_LIMITS)));
        must
    }

    fn foot(&self) -> Vec<String> {
        let to_act = match self.is_by_angle() {
            true => "BEARING AWAY, from an angle on: its row. HEADING UP, below it: the row above.",
            false => "BUILDING, from a wind on: its row. EASING, below it: the row beneath.",
        };
        let mut foot = vec![to_act.to_owned()];
        foot.extend(self.part.is_some().then(|| "The rows before and after stand on the other parts.".to_owned()));
        foot.extend(self.not_used.iter().map(|words| format!("{words}.")));
        foot.push(self.legend());
        foot.extend((!self.assumptions.is_empty()).then(|| self.assumptions.join(" ")));
        foot.extend(reasons(&self.cautions));
        foot
    }

    fn legend(&self) -> String {
        let says = |words: &str| self.rows.iter().flat_map(|row| &row.marks).any(|mark| mark.mark.contains(words));
        let mut legend = vec!["word under a name: what a higher mark does".to_owned()];
        legend.extend(self.grounds.iter().map(|ground| ground_legend(*ground).to_owned()));
        legend.extend(says(" P, ").then(|| SIDES_LEGEND.to_owned()));
        legend.extend(says(NOT_USED).then(|| NOT_USED_LEGEND.to_owned()));
        legend.extend(says(UNKNOWN).then(|| format!("{UNKNOWN} not known")));
        format!("{}.", legend.join(" · "))
    }
}

impl ControlHead {
    /// The name, its unit, and what a higher mark does.
    fn words(&self, names: Names) -> Head {
        let of = |text: &str, weight| match names {
            Names::Narrow => Paragraph { letters: Letters::Must, ..Paragraph::whole(text, weight) },
            Names::Large | Names::Turned => Paragraph::whole(text, weight),
        };
        let higher = self.higher.as_deref().unwrap_or_default();
        let must = |text: &str| Paragraph { letters: Letters::Must, ..Paragraph::whole(text, Weight::Regular) };
        let turned = names == Names::Turned;
        // Level words stand one under the other; turned ones run on.
        let broken = |text: &str| -> Vec<String> {
            match turned || text.is_empty() {
                true => Some(text.to_owned()).filter(|text| !text.is_empty()).into_iter().collect(),
                false => text.split_whitespace().map(str::to_owned).collect(),
            }
        };
        let name = broken(&self.control).into_iter().map(|word| of(&word, Weight::Bold));
        let unit = self.unit.iter().map(|unit| of(unit, Weight::Regular));
        let higher = broken(higher).into_iter().map(|word| must(&word));
        Head { paragraphs: name.chain(unit).chain(higher).collect(), turned }
    }
}

impl Mark {
    /// Bold and underlined where it is new; its sign before it.
    fn cell(&self) -> Cell {
        let text = self.ground.map_or_else(|| self.mark.clone(), |ground| grounded(&self.mark, ground));
        let cell = if self.is_new { Cell::bold(text) } else { Cell::plain(text) };
        Cell { sign: self.ground.and_then(ground_sign).map(str::to_owned), underlined: self.is_new, ..cell }
    }
}

fn head(words: &str) -> Head {
    Head::from(Paragraph::whole(words, Weight::Bold))
}

/// The room that is left over is shared out evenly, so that the table fills the card.
fn centred(head: Head) -> Column {
    Column { anchor: Anchor::Middle, ..Column::wide(head, 1.0) }
}

/// Columns that belong together, parted from those before them.
fn ruled_off(columns: Vec<Column>) -> impl Iterator<Item = Column> {
    columns.into_iter().enumerate().map(|(index, column)| Column { ruled_off: index == 0, ..column })
}
