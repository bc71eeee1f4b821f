//! Settings that are kept by wind and angle: their rows, their bands of angle and their targets. Knows what settings can
//! refer to; reads no file.

use super::raw_rows::{Column, Known, RawRow, check_row_count};
use super::settings::{cells, target_at};
use super::{entry_place, start_of};
use crate::book::model::{Angled, AngledRow, AngledTarget, PointOfSail, PointsOfSail, Row, Spanned};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::tree::{Node, Value};
use crate::book::words;
use crate::limits;
use crate::tuning::{Angle, Axis, Band, Span, Wind};

/// Angles closer than this share a band where the book names none: no helmsman steers finer on a reach (common practice).
const ONE_BAND: f64 = 10.0;
/// Edges of bands that nobody named are whole steps of this, where such a step parts the angles: easy to remember.
const EDGE_STEP: f64 = 5.0;

/// What is said of these settings, and what they refer to.
pub struct About<'a> {
    pub what: &'a str,
    pub known: &'a Known<'a>,
    pub sails: &'a [Spanned<String>],
    /// Nothing was wrong with the rows, so that what is not among them is nowhere.
    pub rows_are_sound: bool,
}

/// A wind with readings by angle: `10: {60: [4, 1], 80: [3, ½]}`.
pub fn inline_rows(
    (key, by_angle): (&Node, &[(Node, Node)]),
    wind: Option<Spanned<Wind>>,
    what: &str,
    columns: Option<&[Column]>,
    problems: &mut Vec<Problem>,
) -> Vec<RawRow> {
    let shown = words::text_of(key).unwrap_or("this wind");
    if by_angle.is_empty() {
        let instead = "write the readings of each angle that was sailed, like `{60: [4, 1], 80: [3, 2]}`";
        problems.push(Problem::error(key.place.clone(), format!("{what} has no angle at {shown}"), instead));
    }
    let mut rows = Vec::new();
    for (key, value) in by_angle {
        let about = format!("an angle of {what}");
        let angle = quantity::wind_angle(key, &about, &limits::WIND_ANGLE_DEG, problems);
        let at = words::text_of(key).unwrap_or("this angle");
        let Some(items) = value.items(&format!("the row at {shown} and {at}°"), problems) else { continue };
        let cells = cells(items, &value.place, columns, problems);
        let angle = angle.map(|angle| Spanned { value: angle, place: key.place.clone() });
        rows.extend(wind.clone().zip(angle).map(|(at, angle)| RawRow { at, angle: Some(angle), cells }));
    }
    rows
}

/// Whether what stands at a wind goes by angle, and does not name controls or anything else.
pub fn has_angles(entries: &[(Node, Node)]) -> bool {
    let starts_a_number = |text: &str| text.starts_with(|first: char| first.is_ascii_digit() || "-+.".contains(first));
    entries.is_empty() || entries.iter().any(|(key, _)| words::text_of(key).is_some_and(starts_a_number))
}

/// Whether rows are kept by wind and angle; says so if some are and some are not.
pub fn are_angled(rows: &[RawRow], what: &str, problems: &mut Vec<Problem>) -> bool {
    let with_angle = rows.iter().filter(|row| row.angle.is_some()).count();
    if with_angle > 0 && with_angle < rows.len() {
        for row in rows.iter().filter(|row| row.angle.is_none()) {
            problems.push(Problem::error(
                row.at.place.clone(),
                format!("{what} has angles at some winds and none at this one"),
                "write the angle here too, like `16: {90: [4, 1]}`, or take the angles out of the others",
            ));
        }
    }
    with_angle > 0
}

/// The point of sail of settings that name none: that of the middle of their angles.
pub fn point_of_sail(angled: &Angled, points: &PointsOfSail) -> PointOfSail {
    let span = angled.span().map(|(low, high)| low.midway(high));
    points.at(span.unwrap_or(Angle::AHEAD))
}

impl About<'_> {
    /// The rows with their angles, and the bands of angle that they print in. Targets come after.
    pub fn rows(
        &self,
        bands: Option<&Node>,
        rows: Vec<Row>,
        angles: Vec<Spanned<Angle>>,
        problems: &mut Vec<Problem>,
    ) -> Angled {
        let rows: Vec<AngledRow> = rows.into_iter().zip(angles).map(|(row, angle)| AngledRow { angle, row }).collect();
        self.check_rising(rows.iter().map(|row| (&row.row.at, &row.angle)), self.what, problems);
        self.check_sails(&rows, problems);
        let mut angled = Angled { rows, bands: Vec::new(), targets: Vec::new(), names_point_of_sail: false };
        let node = bands;
        angled.bands =
            node.and_then(|node| self.bands(node, &angled, problems)).unwrap_or_else(|| usual_bands(&angled.angles()));
        angled
    }

    /// Winds from light to strong, at each the angles from close to broad, none twice.
    fn check_rising<'a>(
        &self,
        places: impl Iterator<Item = (&'a Spanned<Wind>, &'a Spanned<Angle>)>,
        what: &str,
        problems: &mut Vec<Problem>,
    ) {
        let mut seen: Vec<(Wind, Angle)> = Vec::new();
        for (wind, angle) in places {
            let at = (wind.value, angle.value);
            let unit = self.known.units.wind;
            let shown = format!("{} at {}", at.1.as_written(), at.0.as_written(unit));
            let last = seen.last().copied();
            let (complaint, instead) = if seen.contains(&at) {
                (format!("{what} has {shown} twice"), "keep the better of the two rows")
            } else if last.is_some_and(|last| last.0 > at.0) {
                (format!("the winds of {what} do not rise at {shown}"), "write the rows from light wind to strong")
            } else if last.is_some_and(|last| last > at) {
                let complaint = format!("the angles of {what} do not rise at {shown}");
                (complaint, "write the angles of each wind from close to broad")
            } else {
                seen.push(at);
                continue;
            };
            let place = if last.is_some_and(|last| last.0 > at.0) { &wind.place } else { &angle.place };
            problems.push(Problem::error(place.clone(), complaint, instead));
            seen.push(at);
        }
    }

    /// Rows at angles that the sails are not for.
    fn check_sails(&self, rows: &[AngledRow], problems: &mut Vec<Problem>) {
        let Some(span) = self.sails_angles() else { return };
        for row in rows.iter().filter(|row| !span.holds(row.angle.value)) {
            let (low, high) = (span.low.as_written(), span.high.as_written());
            problems.push(Problem::warning(
                row.angle.place.clone(),
                format!("{} is outside the angles of these sails, {low} to {high}", row.angle.value.as_written()),
                "correct the row or the `angle` of the sail; no card prints an angle out there",
            ));
        }
    }

    /// The angles that all the sails are for; `None` where nobody wrote any down, or they share none.
    fn sails_angles(&self) -> Option<Span<Angle>> {
        let known = self.known.sails.iter().filter(|sail| self.sails.iter().any(|name| name.value == sail.id.value));
        let spans: Vec<Span<Angle>> = known.filter_map(|sail| sail.angle).collect();
        let (first, rest) = spans.split_first()?;
        rest.iter().try_fold(*first, |all, span| all.common(*span))
    }

    /// `angle_bands: [50, 70, 90, 110]`.
    fn bands(&self, node: &Node, angled: &Angled, problems: &mut Vec<Problem>) -> Option<Vec<Band<Angle>>> {
        let about = format!("`angle_bands` of {}", self.what);
        let items = node.some_items(&about, 2..=limits::MAX_ROWS, "[50, 70, 90, 110]", problems)?;
        let mut edges: Vec<Angle> = Vec::new();
        for item in items {
            let edge = quantity::wind_angle(item, &about, &limits::WIND_ANGLE_DEG, problems)?;
            if edges.last().is_some_and(|last| *last >= edge) {
                let complaint = format!("{about} do not rise at {}", edge.as_written());
                problems.push(Problem::error(
                    item.place.clone(),
                    complaint,
                    "write each edge once, from close to broad",
                ));
                return None;
            }
            edges.push(edge);
        }
        let bands = bands(&edges);
        let (first, last) = (edges.first()?.as_written(), edges.last()?.as_written());
        let outside: Vec<String> = angled
            .angles()
            .into_iter()
            .filter(|angle| bands.iter().all(|band| !band.holds(*angle)))
            .map(Angle::as_written)
            .collect();
        if !self.rows_are_sound {
            return Some(bands);
        }
        if outside.len() == angled.angles().len() {
            let complaint = format!("{about} run from {first} to {last}, and nothing was sailed there");
            let instead = format!("let them reach over what was sailed: {}", outside.join(", "));
            problems.push(Problem::error(node.place.clone(), complaint, instead));
            return None;
        }
        if !outside.is_empty() {
            let complaint = format!("{about} run from {first} to {last}, and leave out {}", outside.join(", "));
            let instead = "widen them; an angle that is in no band stands on no card";
            problems.push(Problem::warning(node.place.clone(), complaint, instead));
        }
        Some(bands)
    }

    /// `{10: {60: {speed: 7.2 kn}, 80: {speed: 7.6 kn}}}`.
    pub fn targets(&self, node: &Node, angled: &Angled, problems: &mut Vec<Problem>) -> Vec<AngledTarget> {
        let about = format!("`targets` of {}", self.what);
        let example = "{10: {60: {speed: 7.2 kn}}}";
        let winds = node.some_entries(&about, 0..=limits::MAX_ROWS, example, problems).unwrap_or_default();
        let mut targets = Vec::new();
        for (key, value) in winds {
            let what = format!("a target wind of {}", self.what);
            let wind = quantity::wind(key, &self.known.units, &what, &limits::WIND_KN, problems);
            let wind = wind.map(|wind| Spanned { value: wind, place: key.place.clone() });
            let shown = words::text_of(key).unwrap_or("this wind");
            let Value::Map(entries) = &value.value else {
                let complaint = format!("the target at {shown} has no angle, and the rows of {} have", self.what);
                let instead = format!("write it by angle too, like `{example}`");
                problems.push(Problem::error(entry_place(key, value), complaint, instead));
                continue;
            };
            for (key, value) in entries {
                targets.extend(self.target((shown, wind.clone()), key, value, angled, problems));
            }
        }
        if targets.len() > limits::MAX_ROWS {
            check_row_count(targets.len(), &start_of(node), &about, problems);
            return Vec::new();
        }
        self.check_rising(targets.iter().map(|target| (&target.target.at, &target.angle)), &about, problems);
        targets.sort_by_key(|target| (target.target.at.value, target.angle.value));
        targets.dedup_by_key(|target| (target.target.at.value, target.angle.value));
        targets
    }

    fn target(
        &self,
        (wind_shown, wind): (&str, Option<Spanned<Wind>>),
        key: &Node,
        value: &Node,
        angled: &Angled,
        problems: &mut Vec<Problem>,
    ) -> Option<AngledTarget> {
        const FIELDS: [&str; 4] = ["speed", "heel", "angle", "look"];
        if words::text_of(key).is_some_and(|text| FIELDS.contains(&text)) {
            problems.push(Problem::error(
                key.place.clone(),
                format!("the target at {wind_shown} has no angle, and the rows of {} have", self.what),
                "write it by angle too, like `{10: {60: {speed: 7.2 kn}}}`",
            ));
            return None;
        }
        let angle =
            quantity::wind_angle(key, &format!("a target angle of {}", self.what), &limits::WIND_ANGLE_DEG, problems)?;
        let what = format!("the target at {wind_shown} and {}", angle.as_written());
        if self.rows_are_sound && !angled.angles().contains(&angle) {
            let sailed: Vec<String> = angled.angles().into_iter().map(Angle::as_written).collect();
            problems.push(Problem::error(
                key.place.clone(),
                format!("{what} is at an angle that {} was not sailed at", self.what),
                format!("write it at one of {}, or record a row there", sailed.join(", ")),
            ));
            return None;
        }
        let target = target_at(wind, key, value, &what, problems)?;
        if target.angle.is_some() {
            problems.push(Problem::error(
                entry_place(key, value),
                format!("{what} names another angle"),
                "take `angle` out: the target is for the angle it stands under",
            ));
        }
        Some(AngledTarget { angle: Spanned { value: angle, place: key.place.clone() }, target })
    }
}

/// The bands between neighbouring edges.
fn bands(edges: &[Angle]) -> Vec<Band<Angle>> {
    edges.windows(2).filter(|pair| pair[0] < pair[1]).map(|pair| Band::new(pair[0], pair[1])).collect()
}

/// Bands around the angles that were sailed: those closer together than a helmsman steers share one, and an edge lies midway
/// between two of them. The first and the last reach as far out as in.
///
fn usual_bands(angles: &[Angle]) -> Vec<Band<Angle>> {
    let mut groups: Vec<(f64, f64)> = Vec::new();
    for angle in angles.iter().map(|angle| angle.number()) {
        match groups.last_mut() {
            Some((first, last)) if angle - *first < ONE_BAND => *last = angle,
            _ => groups.push((angle, angle)),
        }
    }
    let (Some(first), Some(last)) = (groups.first().copied(), groups.last().copied()) else { return Vec::new() };
    let inner: Vec<f64> = groups.windows(2).map(|pair| parting(pair[0].1, pair[1].0)).collect();
    let reach = |inner: Option<f64>, at: f64| inner.map_or(ONE_BAND, |inner| (inner - at).abs().max(EDGE_STEP));
    let low = first.0 - reach(inner.first().copied(), first.1);
    let high = last.1 + reach(inner.last().copied(), last.0);
    let step = |at: f64| (at / EDGE_STEP).round() * EDGE_STEP;
    let low = step(low).min(first.0).max(Angle::AHEAD.number());
    // The upper edge belongs to no band, so that it must lie past the last angle.
    let high = if step(high) > last.1 { step(high) } else { high }.min(Angle::ASTERN.number());
    let edges: Vec<Angle> = [low].into_iter().chain(inner).chain([high]).map(Angle::degrees).collect();
    let mut bands = bands(&edges);
    if let Some(last) = bands.last_mut() {
        last.with_high = last.high == Angle::ASTERN;
    }
    bands
}

/// An edge past one angle and not past the next: a whole step if one lies there, else midway.
fn parting(last: f64, next: f64) -> f64 {
    let midway = last.midpoint(next);
    let step = (midway / EDGE_STEP).round() * EDGE_STEP;
    if last < step && step <= next { step } else { midway }
}
