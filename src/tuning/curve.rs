//! A curve through known points: how a setting runs over wind speed, or a place over a measured quantity. Knows nothing
//! of scales or bands.

use super::tolerance::{is_below, is_same};

/// How a control runs between two known winds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Between {
    /// A smooth curve that rises where the known values rise and is flat where they are: piecewise cubic Hermite.
    #[default]
    Monotone,
    /// Straight lines.
    Linear,
    /// The value of the nearer known point; halfway exactly, that of the lower one.
    Step,
}

/// A curve through known points; never outside the range of the two known values around any place.
///
/// ```
/// use cockpit_cards::tuning::{Between, Curve};
///
/// let lead = Curve::new(vec![(6.0, 13.0), (10.0, 12.0), (14.0, 13.5)], Between::Monotone).unwrap();
/// assert_eq!(lead.at(10.0), Some(12.0));
/// // It turns at the known point, not before: no value below 12 is ever made up.
/// assert!(lead.at(9.9).unwrap() > 12.0);
/// // Nothing is known beyond the ends.
/// assert_eq!(lead.at(14.1), None);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    points: Vec<(f64, f64)>,
    /// At each point; only the monotone curve uses them.
    slopes: Vec<f64>,
    between: Between,
}

/// Where a curve stands at a level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Crossing<X = f64> {
    /// At one place: it passes through, touches, or ends there.
    At(X),
    /// All the way from the first place to the second.
    Along(X, X),
}

impl<X> Crossing<X> {
    /// The same crossing with its places told in another way.
    pub fn map<Y>(self, told: impl Fn(X) -> Y) -> Crossing<Y> {
        match self {
            Crossing::At(place) => Crossing::At(told(place)),
            Crossing::Along(from, to) => Crossing::Along(told(from), told(to)),
        }
    }
}

impl Curve {
    /// `None` if there is no point, the abscissae do not strictly rise, a number is not finite, or two points stand so
    /// close or so far apart that a slope is not.
    pub fn new(points: Vec<(f64, f64)>, between: Between) -> Option<Self> {
        let finite = points.iter().all(|(x, y)| x.is_finite() && y.is_finite());
        let rising = points.windows(2).map(|pair| pair[1].0 - pair[0].0).all(|width| width > 0.0 && width.is_finite());
        if points.is_empty() || !finite || !rising {
            return None;
        }
        let slopes = monotone_slopes(&points);
        slopes.iter().all(|slope| slope.is_finite()).then_some(Curve { points, slopes, between })
    }

    /// The value at `x`; `None` beyond the first and last point.
    pub fn at(&self, x: f64) -> Option<f64> {
        let above = self.points.partition_point(|(known, _)| is_below(*known, x));
        let (end, value) = *self.points.get(above)?;
        if is_same(x, end) {
            return Some(value);
        }
        (above > 0).then(|| self.between_points(above - 1, x))
    }

    /// The value at `x`; beyond the first and last point, that of the nearer of them.
    pub fn at_or_nearest(&self, x: f64) -> Option<f64> {
        let (first, last) = (self.points.first()?, self.points.last()?);
        self.at(x.max(first.0).min(last.0))
    }

    /// Every place where the curve stands at `level`, in rising order: one for each crossing of a bent curve, and a
    /// stretch where it is flat. A step that jumps over the level is not there at any place.
    pub fn crossings(&self, level: f64) -> Vec<Crossing> {
        let mut found: Vec<Crossing> = Vec::new();
        for crossing in self.crossings_by_piece(level) {
            match (found.last_mut(), crossing) {
                (Some(Crossing::At(x) | Crossing::Along(_, x)), Crossing::At(start)) if *x == start => {}
                (Some(last @ Crossing::At(_)), Crossing::Along(start, _)) if *last == Crossing::At(start) => {
                    *last = crossing;
                }
                (Some(Crossing::Along(_, end)), Crossing::Along(start, new_end)) if *end == start => *end = new_end,
                _ => found.push(crossing),
            }
        }
        found
    }

    /// The place within one piece, from point `piece` to the next, where the curve reaches `level`; `None` if it does
    /// not, or does so all along or by a jump.
    pub(super) fn crossing_in_piece(&self, piece: usize, level: f64) -> Option<f64> {
        let &[(x0, y0), (x1, y1)] = self.points.get(piece..piece + 2)? else { return None };
        let within = (y0 < y1 && (y0..=y1).contains(&level)) || (y1 < y0 && (y1..=y0).contains(&level));
        if self.between == Between::Step || !within {
            return None;
        }
        if level == y0 {
            return Some(x0);
        }
        if level == y1 {
            return Some(x1);
        }
        // A piece between two different values never turns, so halving finds its one crossing to the last bit, even
        // where the curve sets out with no slope and Newton's method would leave the piece.
        let (mut before, mut after) = (x0, x1);
        loop {
            let middle = before + (after - before) / 2.0;
            if middle <= before || middle >= after {
                return Some(middle);
            }
            let value = self.between_points(piece, middle);
            if value == level {
                return Some(middle);
            }
            if (value < level) == (y0 < y1) {
                before = middle;
            } else {
                after = middle;
            }
        }
    }

    /// The lowest and the highest point of the curve from `low` to `high`, each as place and value; the first place if
    /// it stands there more than once. `None` if the curve does not reach into that range.
    pub fn extremes(&self, low: f64, high: f64) -> Option<[(f64, f64); 2]> {
        let mut stops = self.stops(low, high).into_iter();
        let first = stops.next()?;
        Some(stops.fold([first, first], |[lowest, highest], stop| {
            let lower = if is_below(stop.1, lowest.1) { stop } else { lowest };
            [lower, if is_below(highest.1, stop.1) { stop } else { highest }]
        }))
    }

    /// The known points, in rising order.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// How the curve runs between two known points.
    pub fn between(&self) -> Between {
        self.between
    }

    /// The value of a curve at `x`, or of the nearer of its ends, as [`Curve::at_or_nearest`] has it: for who asks a curve through
    /// a few points one thing alone. Each point is finite, and they rise.
    pub(super) fn once(points: &[(f64, f64)], between: Between, x: f64) -> Option<f64> {
        let (first, last) = (points.first()?, points.last()?);
        let x = x.max(first.0).min(last.0);
        let above = points.partition_point(|(known, _)| is_below(*known, x));
        let (end, value) = *points.get(above)?;
        if is_same(x, end) {
            return Some(value);
        }
        let piece = above.checked_sub(1)?;
        let value = piece_at(between, [points[piece], points[above]], |end| slope(points, piece + end), x);
        value.is_finite().then_some(value)
    }

    /// The value within the piece that starts at point `piece`.
    fn between_points(&self, piece: usize, x: f64) -> f64 {
        let ends = [self.points[piece], self.points[piece + 1]];
        piece_at(self.between, ends, |end| self.slopes[piece + end], x)
    }

    fn crossings_by_piece(&self, level: f64) -> Vec<Crossing> {
        if self.between == Between::Step || self.points.len() == 1 {
            let flats = self.flats().into_iter().filter(|(_, _, value)| *value == level);
            return flats
                .map(|(start, end, _)| if start == end { Crossing::At(start) } else { Crossing::Along(start, end) })
                .collect();
        }
        let pieces = self.points.windows(2).enumerate();
        pieces
            .filter_map(|(piece, ends)| {
                let flat = ends[0].1 == level && ends[1].1 == level;
                let along = flat.then_some(Crossing::Along(ends[0].0, ends[1].0));
                along.or_else(|| self.crossing_in_piece(piece, level).map(Crossing::At))
            })
            .collect()
    }

    /// The places that can be the lowest or the highest from `low` to `high`: since no piece turns inside, its ends
    /// and the known points.
    fn stops(&self, low: f64, high: f64) -> Vec<(f64, f64)> {
        let (first, last) = (self.points[0].0, self.points[self.points.len() - 1].0);
        let (low, high) = (low.max(first), high.min(last));
        if self.between == Between::Step {
            // A flat that only touches the range at its end does not count: there the jump has been made.
            let reaches = |start: f64, end: f64| {
                if is_below(low, high) {
                    is_below(start, high) && is_below(low, end)
                } else {
                    !is_below(low, start) && !is_below(end, low)
                }
            };
            let flats = self.flats().into_iter().filter(|(start, end, _)| reaches(*start, *end));
            return flats.map(|(start, _, value)| (start.max(low), value)).collect();
        }
        let known = self.points.iter().copied().filter(|(x, _)| is_below(low, *x) && is_below(*x, high));
        // A known point is where an end is: its value, and not what is a last digit beside it.
        let known_at = |end: f64| self.points.iter().copied().find(|(x, _)| is_same(*x, end));
        let at = |x: f64| known_at(x).or_else(|| Some((x, self.at(x)?))).filter(|_| !is_below(high, low));
        at(low).into_iter().chain(known).chain(at(high)).collect()
    }

    /// The level stretches of a step curve: start, end, value.
    fn flats(&self) -> Vec<(f64, f64, f64)> {
        let points = &self.points;
        let edge = |point: usize| midway(points[point].0, points[point + 1].0);
        (0..points.len())
            .map(|point| {
                let start = if point == 0 { points[0].0 } else { edge(point - 1) };
                let end = if point + 1 == points.len() { points[point].0 } else { edge(point) };
                (start, end, points[point].1)
            })
            .collect()
    }
}

/// The value at `x` between the two ends of a piece; `slope` is that at the first or the second of them.
fn piece_at(between: Between, [(x0, y0), (x1, y1)]: [(f64, f64); 2], slope: impl Fn(usize) -> f64, x: f64) -> f64 {
    let width = x1 - x0;
    let part = (x - x0) / width;
    let value = match between {
        Between::Step if !is_below(midway(x0, x1), x) => y0,
        Between::Step => y1,
        Between::Linear => y0 + part * (y1 - y0),
        Between::Monotone => {
            let rest = 1.0 - part;
            let chord = (y1 - y0) * part * part * (1.0 + 2.0 * rest);
            let bow = width * part * rest * (slope(0) * rest - slope(1) * part);
            y0 + chord + bow
        }
    };
    // Only against the last bit of the arithmetic: the slopes already keep the curve between the two values.
    value.clamp(y0.min(y1), y0.max(y1))
}

fn midway(x0: f64, x1: f64) -> f64 {
    x0 + (x1 - x0) / 2.0
}

/// Slopes that keep a cubic Hermite curve monotone wherever its points are.
///
/// Inside: the weighted harmonic mean of the slopes of the two chords, 0 at a turn (F. N. Fritsch and J. Butland,
/// "A method for constructing local monotone piecewise cubic interpolants", SIAM J. Sci. Stat. Comput. 5, 1984). At the
/// ends: the three-point formula, held to the shape of the data. Two points: their chord.
fn monotone_slopes(points: &[(f64, f64)]) -> Vec<f64> {
    (0..points.len()).map(|point| slope(points, point)).collect()
}

/// The slope at one point.
fn slope(points: &[(f64, f64)], point: usize) -> f64 {
    let chord = |from: usize| Chord::new(points[from], points[from + 1]);
    match (points.len(), point) {
        (0 | 1, _) => 0.0,
        (2, _) => chord(0).slope,
        (_, 0) => end_slope(chord(0), chord(1)),
        (count, _) if point + 1 == count => end_slope(chord(point - 1), chord(point - 2)),
        _ => inner_slope(chord(point - 1), chord(point)),
    }
}

/// The straight line from one known point to the next.
#[derive(Clone, Copy)]
struct Chord {
    width: f64,
    slope: f64,
}

impl Chord {
    fn new((x0, y0): (f64, f64), (x1, y1): (f64, f64)) -> Self {
        Chord { width: x1 - x0, slope: (y1 - y0) / (x1 - x0) }
    }
}

fn inner_slope(left: Chord, right: Chord) -> f64 {
    if sign(left.slope) != sign(right.slope) || left.slope == 0.0 {
        return 0.0;
    }
    let (left_weight, right_weight) = (2.0 * right.width + left.width, right.width + 2.0 * left.width);
    (left_weight + right_weight) / (left_weight / left.slope + right_weight / right.slope)
}

/// The slope at the outer end of `outer`, of which `inner` is the neighbour.
fn end_slope(outer: Chord, inner: Chord) -> f64 {
    /// Three times the chord's slope is the steepest end a monotone cubic can have.
    const STEEPEST: f64 = 3.0;
    let three_point =
        ((2.0 * outer.width + inner.width) * outer.slope - outer.width * inner.slope) / (outer.width + inner.width);
    if sign(three_point) != sign(outer.slope) {
        0.0
    } else if sign(outer.slope) != sign(inner.slope) && three_point.abs() > STEEPEST * outer.slope.abs() {
        STEEPEST * outer.slope
    } else {
        three_point
    }
}

/// −1, 0 or 1, unlike [`f64::signum`], which gives 0 a sign.
fn sign(value: f64) -> i8 {
    i8::from(value > 0.0) - i8::from(value < 0.0)
}
