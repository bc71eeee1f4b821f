//! The looks of a ladder of change points: strongest wind at the top; where one ladder is too long, two beside each other.
//! Knows no book.

use super::{ChangePoints, Rung, StartMark, Step};
use crate::cards::parts::frame::{MUST_CAP, Surround, good_cap_mm};
use crate::cards::parts::label::Label;
use crate::cards::parts::table::{Cell, Column as Ruling, Halves, Paragraph, Row, Ruled, Under};
use crate::cards::parts::words::{WITHIN_MAKERS_LIMITS, boxed_limits, ground_legend, reasons, signed};
use crate::drawing::Drawing;
use crate::drawing::legibility::CARD_DISTANCE;
use crate::wrong::Wrong;

/// Words that need more room may make another seam than the most even the better one.
const SEAMS_TRIED: usize = 3;

/// Two heights that differ by less than this, in millimetres, are one.
const SETTLED: f64 = 1e-9;

/// In whole words; else in few; else in few and two ladders beside each other: the first in letters that read well, or
/// that with the largest.
pub fn ladder(card: &ChangePoints, label: &Label) -> Result<Drawing, Wrong> {
    let halves = card.seams().into_iter().take(SEAMS_TRIED).filter_map(|seam| card.halves(seam));
    let ways = [card.in_whole_words(), card.in_few_words()].into_iter().chain(halves);
    let (mut best, mut refusal): (Option<Drawing>, Option<Wrong>) = (None, None);
    for (nth, way) in ways.enumerate() {
        match way.draw(label) {
            Ok(drawing) if least_mm(&drawing) >= good_cap_mm() => return Ok(drawing),
            Ok(drawing) if best.as_ref().is_none_or(|best| least_mm(&drawing) > least_mm(best)) => best = Some(drawing),
            // Whoever has to choose a larger card is told what one ladder in few words needs.
            Err(wrong) if nth <= 1 => refusal = Some(wrong),
            Ok(_) | Err(_) => {}
        }
    }
    best.ok_or_else(|| refusal.unwrap_or_else(|| Wrong::new("it has no rungs", "record a second wind")))
}

/// The smallest of the letters that are read on the card, millimetres.
fn least_mm(drawing: &Drawing) -> f64 {
    // What must be read around a ladder is as large whichever way the ladder is set.
    let is_around = |height: f64| (height - MUST_CAP).abs() < SETTLED;
    let read = drawing.texts().filter(|text| text.distance == CARD_DISTANCE && !is_around(text.cap_height()));
    read.map(|text| text.cap_height()).fold(f64::INFINITY, f64::min)
}

impl ChangePoints {
    /// One ladder of all the rungs, each move told from mark to mark and back.
    fn in_whole_words(&self) -> Ruled {
        let wind = || Ruling::narrow(format!("WIND {}", self.wind_unit));
        let rows = self.rows(
            &self.rungs,
            |up| vec![Paragraph::named(&up.moved.control, up.words()).into()],
            |down| Cell::plain(down.back_words()),
        );
        let [building, easing] = ["BUILDING: read up", "EASING: down"].map(Ruling::wrapped);
        self.ruled(self.columns(wind, vec![building], easing), rows)
    }

    /// The same with each move told by the marks above and below the rung, and which way it is to the one above.
    fn in_few_words(&self) -> Ruled {
        let wind = || Ruling::narrow(format!("WIND {}", self.wind_unit));
        let building = vec![Ruling::wrapped(""), Ruling::wrapped("BUILDING: read up")];
        let columns = self.columns(wind, building, Ruling::wrapped("EASING: down"));
        self.ruled(columns, self.rows(&self.rungs, above, below))
    }

    /// Two ladders in few words beside each other, the lighter winds at the left, the rung numbered `seam` the first at the
    /// right.
    fn halves(&self, seam: usize) -> Option<Ruled> {
        let (low, high) = self.rungs.split_at_checked(seam)?;
        // The unit stands in the titles.
        let building = vec![Ruling::narrow(""), Ruling::wrapped("BUILDING")];
        let columns = self.columns(|| Ruling::narrow("WIND"), building, Ruling::wrapped("EASING"));
        let mut ladder = self.ruled(columns, self.rows(low, above, below));
        ladder.surround.subtitle = format!("Building, read up; easing, read down · {}", self.wind);
        let titles = [self.span(low), format!("then {}", self.span(high))];
        ladder.halves = Some(Halves { second_from: ladder.rows.len(), titles });
        ladder.rows.extend(self.rows(high, above, below));
        Some(ladder)
    }

    /// The wind to act at before each way, with that of the night after the first; easing has none where it is the same.
    fn columns(&self, wind: impl Fn() -> Ruling, building: Vec<Ruling>, easing: Ruling) -> Vec<Ruling> {
        let night = self.earlier.is_some().then(|| Ruling::narrow("NIGHT"));
        let ease_at = self.apart.is_some().then(&wind);
        std::iter::once(wind()).chain(night).chain(building).chain(ease_at).chain([easing]).collect()
    }

    fn ruled(&self, columns: Vec<Ruling>, rows: Vec<Row>) -> Ruled {
        Ruled {
            size: self.size.clone(),
            surround: self.surround(),
            name: format!("{}: {}", self.boat, self.title()),
            description: format!("What moves at which wind, {} winds", self.rungs.len()),
            columns,
            rows,
            boxed_in: true,
            ..Ruled::default()
        }
    }

    /// Rungs at which the ladder can be parted; first that which leaves the most even number of moves on either side.
    fn seams(&self) -> Vec<usize> {
        let moves = |rungs: &[Rung]| rungs.iter().map(|rung| rung.building.len()).sum::<usize>();
        let mut seams: Vec<usize> = (1..self.rungs.len()).collect();
        seams.sort_by_key(|seam| moves(&self.rungs[..*seam]).abs_diff(moves(&self.rungs[*seam..])));
        seams
    }

    /// `8 to 12½ kn`.
    fn span(&self, rungs: &[Rung]) -> String {
        let (first, last) = (rungs.first().map(|rung| &rung.wind), rungs.last().map(|rung| &rung.wind));
        let winds = [first, last.filter(|last| Some(*last) != first)];
        let winds: Vec<&str> = winds.into_iter().flatten().map(String::as_str).collect();
        format!("{} {}", winds.join(" to "), self.wind_unit)
    }

    /// Strongest wind at the top, so that a building wind climbs.
    fn rows(&self, rungs: &[Rung], up: impl Fn(&Step) -> Vec<Cell>, down: impl Fn(&Step) -> Cell) -> Vec<Row> {
        let (night, apart) = (self.earlier.is_some(), self.apart.is_some());
        let rung = |rung: &Rung| -> Vec<Row> {
            let count = rung.building.len();
            let row = |(index, (above, below)): (usize, (&Step, &Step))| {
                let once = |text: &str| if index == 0 { Cell::bold(text) } else { Cell::empty() };
                let mut cells = vec![once(&rung.wind)];
                cells.extend(night.then(|| once(rung.night.as_deref().unwrap_or_default())));
                cells.extend(up(above));
                cells.extend(apart.then(|| once(&rung.ease_at)));
                cells.push(down(below));
                Row::Cells(cells, if index + 1 < count { Under::Nothing } else { Under::Line })
            };
            rung.building.iter().zip(&rung.easing).enumerate().map(row).collect()
        };
        rungs.iter().rev().flat_map(rung).collect()
    }

    fn surround(&self) -> Surround {
        let sails = self.sails.iter().enumerate();
        let mark = |start: &StartMark| start.ground.map_or_else(|| start.mark.clone(), |of| signed(&start.mark, of));
        let marks = self.foot.1.iter().map(|start| format!("{} {}", start.control, mark(start)));
        let marks: Vec<String> = marks.collect();
        let start = format!("Start at {} {}: {}.", self.foot.0, self.wind_unit, marks.join(" · "));
        let mut must: Vec<String> = self.narrowed.iter().map(|words| format!("{words}.")).collect();
        must.extend((!self.cautions.is_empty()).then(|| boxed_limits(&self.cautions, WITHIN_MAKERS_LIMITS)));
        let legend: Vec<&str> = self.grounds.iter().copied().map(ground_legend).collect();
        let mut foot = vec![start];
        foot.extend(self.not_used.iter().map(|words| format!("{words}.")));
        foot.push(format!("Of each new mark: {}.", legend.join(" · ")));
        foot.extend((!self.assumptions.is_empty()).then(|| self.assumptions.join(" ")));
        foot.extend(reasons(&self.cautions));
        Surround {
            title: sails
                .map(|(index, sail)| if index == 0 { sail.clone() } else { format!("+ {sail}") })
                .chain(self.title.iter().map(|title| format!("· {title}")))
                .collect(),
            at_right: self.point_of_sail.to_uppercase(),
            kind: "CHANGE POINTS".to_owned(),
            subtitle: self.wind.clone(),
            must,
            foot,
            ..Surround::default()
        }
    }
}

/// A move by the mark above the rung and the way to it: the control, then `● 4 TIGHTER`.
fn above(up: &Step) -> Vec<Cell> {
    let mark = format!("{} {}", up.mark(), up.moved.direction);
    vec![Cell::bold(&up.moved.control), Cell::plain(mark.trim_end())]
}

/// The mark below the rung.
fn below(down: &Step) -> Cell {
    Cell::plain(down.mark())
}
