//! Which sails are for which wind and angle: cells of a table, gaps, and the winds to change at. Knows no book and no
//! drawing.
//!
//! A sail's range is taken with its ends: one for 5 to 16 kn is for 16 kn too. A cell is a band of wind by a band of
//! angle. It claims a sail whole only if the sail's range holds all of the cell; a sail that holds a part is listed with
//! that part, and what no sail holds is listed as a gap, even inside a cell where every wind has *some* angle covered.
//! Ranges that only touch have nothing in common here, since nobody sails a line.

pub use super::Span;
pub use super::range::{Area, SailRange};
use super::{Angle, Axis, Wind};

/// What a cell of the table says. Sails are indices into the list they came in.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Cell {
    /// The winds and angles of the cell.
    pub area: Area,
    /// Sails for every wind and angle of the cell, first in the book first.
    pub whole: Vec<usize>,
    /// Sails for a part of it, first in the book first.
    pub part: Vec<Part>,
    /// What no sail is for.
    pub gaps: Vec<Area>,
}

/// A sail for a part of a cell.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Part {
    /// The place of the sail in the list.
    pub sail: usize,
    /// The part of the cell that it is for.
    pub area: Area,
}

/// Where one sail gives way to another as the wind builds; the other way as it eases.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct HandOver {
    /// The place of the sail for less wind in the list.
    pub lighter: usize,
    /// The place of the sail for more wind in the list.
    pub heavier: usize,
    /// The middle of the winds that both are for.
    #[serde(rename = "wind_kn")]
    pub wind: Wind,
    /// The winds that both are for: one wind only where the ranges touch.
    #[serde(rename = "from_kn")]
    pub from: Wind,
    /// The upper end of these winds.
    #[serde(rename = "to_kn")]
    pub to: Wind,
    /// The angles that both are for.
    pub angle: Span<Angle>,
    /// Whether no third sail comes between the two at all of these angles.
    pub neighbours: bool,
}

/// The sails for one wind and angle, first in the book first.
pub fn sails_for(sails: &[SailRange], wind: Wind, angle: Angle) -> impl Iterator<Item = usize> + '_ {
    usable(sails).filter(move |(_, area)| area.holds(wind, angle)).map(|(sail, _)| sail)
}

/// What one cell says.
pub fn cell(sails: &[SailRange], area: Area) -> Cell {
    let (mut whole, mut part) = (Vec::new(), Vec::new());
    for (sail, range) in usable(sails) {
        match range.common(area) {
            Some(common) if common.holds_all_of(area) => whole.push(sail),
            Some(common) => part.push(Part { sail, area: common }),
            None => {}
        }
    }
    Cell { area, whole, part, gaps: gaps(sails, area) }
}

/// A row of cells for each band of wind.
pub fn table(sails: &[SailRange], winds: &[Span<Wind>], angles: &[Span<Angle>]) -> Vec<Vec<Cell>> {
    let row = |wind| angles.iter().map(|angle| cell(sails, Area { wind, angle: *angle })).collect();
    winds.iter().map(|wind| row(*wind)).collect()
}

/// What no sail is for within `asked`: areas that do not overlap and, with what the sails are for, make up all of it. In
/// order of angle, then of wind.
pub fn gaps(sails: &[SailRange], asked: Area) -> Vec<Area> {
    let covers: Vec<Area> = usable(sails).filter_map(|(_, area)| area.common(asked)).collect();
    let ends = covers.iter().chain([&asked]).flat_map(|area| [area.angle.low, area.angle.high]);
    let mut edges: Vec<Angle> = ends.collect();
    edges.sort();
    edges.dedup_by(|higher, lower| higher.is_at(*lower));

    let (mut found, mut growing): (Vec<Area>, Vec<Area>) = (Vec::new(), Vec::new());
    for strip in edges.windows(2).filter_map(|ends| Span::new(ends[0], ends[1])) {
        let winds = covers.iter().filter(|area| area.angle.holds_all_of(strip)).map(|area| area.wind);
        let open = open_winds(winds.collect(), asked.wind);
        // A gap grows over the angles for as long as its winds stay the same.
        let (kept, closed) = growing.into_iter().partition(|area: &Area| open.iter().any(|wind| wind.is_at(area.wind)));
        found.extend::<Vec<Area>>(closed);
        let kept: Vec<Area> = kept;
        growing = open
            .into_iter()
            .map(|wind| {
                let before = kept.iter().find(|area| area.wind.is_at(wind));
                let low = before.map_or(strip.low, |area| area.angle.low);
                Area { wind, angle: Span { low, high: strip.high } }
            })
            .collect();
    }
    found.extend(growing);
    found.sort_by_key(|area| (area.angle.low, area.wind.low));
    found
}

/// What of `asked` none of the winds covers.
fn open_winds(mut winds: Vec<Span<Wind>>, asked: Span<Wind>) -> Vec<Span<Wind>> {
    winds.sort_by_key(|wind| wind.low);
    let (mut open, mut reached) = (Vec::new(), asked.low);
    for wind in winds {
        open.extend(Span::new(reached, wind.low));
        reached = reached.max(wind.high);
    }
    open.extend(Span::new(reached, asked.high));
    open
}

/// Every pair of sails of which one takes over from the other as the wind builds: lighter by both ends of its range, and
/// for some wind and some angles both. In order of wind.
pub fn hand_overs(sails: &[SailRange]) -> Vec<HandOver> {
    let usable: Vec<(usize, Area)> = usable(sails).collect();
    let mut found = Vec::new();
    for (lighter, light) in &usable {
        for (heavier, heavy) in &usable {
            let touches = !heavy.wind.low.is_above(light.wind.high);
            let Some(angle) = light.angle.common(heavy.angle).filter(|_| touches && is_lighter(*light, *heavy)) else {
                continue;
            };
            let between = |third: &Area| {
                is_lighter(*light, *third) && is_lighter(*third, *heavy) && third.angle.holds_all_of(angle)
            };
            let (from, to) = (heavy.wind.low, light.wind.high);
            found.push(HandOver {
                lighter: *lighter,
                heavier: *heavier,
                wind: from.midway(to),
                from,
                to,
                angle,
                neighbours: !usable.iter().any(|(_, third)| between(third)),
            });
        }
    }
    found.sort_by_key(|change| change.wind);
    found
}

fn is_lighter(light: Area, heavy: Area) -> bool {
    light.wind.low.is_below(heavy.wind.low) && light.wind.high.is_below(heavy.wind.high)
}

fn usable(sails: &[SailRange]) -> impl Iterator<Item = (usize, Area)> + '_ {
    sails.iter().enumerate().filter_map(|(sail, range)| Some((sail, range.now()?)))
}
