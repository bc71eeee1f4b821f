//! One control's cells worked out from its known values alone, without asking the program for more than its types.

use cockpit_cards::book::WindUnit;
use cockpit_cards::tuning::{Between, Fineness, Ground, Scale, ScaleKind};

use super::expected::Band;
use super::words::{print_decimal, print_mark, print_wind, sign_of};
use super::{Cell, SAME, Seen};

/// Samples of a curve over a band.
const SAMPLES: usize = 2_000;

/// One control's known values over the winds, in the unit of the book.
#[derive(Clone)]
pub(super) struct Known {
    pub(super) points: Vec<(f64, f64, Ground)>,
    /// Where the control is not used.
    pub(super) nones: Vec<f64>,
    pub(super) between: Between,
    pub(super) fineness: Fineness,
    pub(super) scale: Scale,
}

impl Known {
    /// The curve: piecewise cubic with the weighted harmonic mean of the chords at the knots, as SciPy's documentation of
    /// `PchipInterpolator` gives it (from memory), in the basis of Hermite.
    fn at(&self, wind: f64) -> Option<f64> {
        let points = &self.points;
        if let Some(known) = points.iter().find(|point| (point.0 - wind).abs() < SAME) {
            return Some(known.1);
        }
        let piece = points.windows(2).position(|pair| pair[0].0 < wind && wind < pair[1].0)?;
        let ((x0, y0, _), (x1, y1, _)) = (points[piece], points[piece + 1]);
        let (h, t) = (x1 - x0, (wind - x0) / (x1 - x0));
        Some(match self.way() {
            Between::Step => {
                if t <= 0.5 + SAME {
                    y0
                } else {
                    y1
                }
            }
            Between::Linear => y0 * (1.0 - t) + y1 * t,
            Between::Monotone => {
                let (m0, m1) = (self.slope(piece), self.slope(piece + 1));
                let (t2, t3) = (t * t, t * t * t);
                let value = y0 * (2.0 * t3 - 3.0 * t2 + 1.0)
                    + y1 * (3.0 * t2 - 2.0 * t3)
                    + h * m0 * (t3 - 2.0 * t2 + t)
                    + h * m1 * (t3 - t2);
                value.max(y0.min(y1)).min(y0.max(y1))
            }
        })
    }

    fn way(&self) -> Between {
        let only_steps = matches!(self.scale.kind, ScaleKind::Turns { .. } | ScaleKind::Tapes(_) | ScaleKind::Words(_));
        if only_steps { Between::Step } else { self.between }
    }

    fn slope(&self, knot: usize) -> f64 {
        let points = &self.points;
        let width = |piece: usize| points[piece + 1].0 - points[piece].0;
        let chord = |piece: usize| (points[piece + 1].1 - points[piece].1) / width(piece);
        let last = points.len() - 1;
        if last == 1 {
            return chord(0);
        }
        if knot == 0 || knot == last {
            let (outer, inner) = if knot == 0 { (0, 1) } else { (last - 1, last - 2) };
            let three = ((2.0 * width(outer) + width(inner)) * chord(outer) - width(outer) * chord(inner))
                / (width(outer) + width(inner));
            return match () {
                () if three * chord(outer) <= 0.0 => 0.0,
                () if chord(outer) * chord(inner) <= 0.0 && three.abs() > 3.0 * chord(outer).abs() => {
                    3.0 * chord(outer)
                }
                () => three,
            };
        }
        let (before, after) = (chord(knot - 1), chord(knot));
        if before * after <= 0.0 {
            return 0.0;
        }
        let (w1, w2) = (2.0 * width(knot) + width(knot - 1), width(knot) + 2.0 * width(knot - 1));
        (w1 + w2) / (w1 / before + w2 / after)
    }

    /// What can be read, in the scale's own numbers.
    fn step(&self) -> f64 {
        let parts = match self.fineness {
            Fineness::Whole => 1.0,
            Fineness::Halves => 2.0,
            Fineness::Quarters => 4.0,
        };
        match &self.scale.kind {
            ScaleKind::Measured { every, .. } | ScaleKind::Gauge { every, .. } => every / parts,
            ScaleKind::Tapes(_) | ScaleKind::Words(_) => 1.0,
            _ => 1.0 / parts,
        }
    }

    /// The known values on both sides of a wind between two.
    fn around(&self, wind: f64) -> [(f64, f64, Ground); 2] {
        let above = self.points.iter().position(|point| point.0 > wind).unwrap_or(self.points.len() - 1).max(1);
        [self.points[above - 1], self.points[above]]
    }

    /// The mark at a wind where the curve has this value, and what it is known from.
    fn mark(&self, wind: f64, value: f64) -> (f64, Ground) {
        // A step has been made at the place where it begins, so its value decides; elsewhere a known wind does.
        let known = self.points.iter().find(|point| (point.0 - wind).abs() < SAME && point.1 == value);
        if let Some(known) = known {
            return (known.1, known.2);
        }
        let [below, above] = self.around(wind);
        let weaker = |used: &[(f64, f64, Ground)]| used.iter().map(|point| point.2).max().unwrap_or(Ground::Sailed);
        if self.way() == Between::Step {
            let used: Vec<_> = [below, above].into_iter().filter(|point| point.1 == value).collect();
            return (value, weaker(&used).max(Ground::Between));
        }
        let ground = weaker(&[below, above]).max(Ground::Between);
        if value == below.1 || value == above.1 {
            return (value, ground);
        }
        let steps = value / self.step();
        let up = match steps - steps.floor() {
            part if (part - 0.5).abs() < SAME => {
                // A tie: toward the known value below the wind; the lower mark if both are as near.
                let (lower, upper) = (steps.floor() * self.step(), (steps.floor() + 1.0) * self.step());
                (upper - below.1).abs() < (lower - below.1).abs()
            }
            part => part > 0.5,
        };
        let nearest = (steps.floor() + f64::from(u8::from(up))) * self.step();
        let nearest = self.ends().map_or(nearest, |(least, most)| nearest.max(least).min(most));
        (nearest.max(below.1.min(above.1)).min(below.1.max(above.1)), ground)
    }

    fn ends(&self) -> Option<(f64, f64)> {
        match &self.scale.kind {
            ScaleKind::Even { first, last, .. } | ScaleKind::Around { first, last, .. } => {
                Some((f64::from(*first), f64::from(*last)))
            }
            ScaleKind::Centre { marks, .. } => Some((-f64::from(*marks), f64::from(*marks))),
            ScaleKind::Measured { pairs, .. } => Some((pairs.first()?.0, pairs.last()?.0)),
            ScaleKind::Gauge { least, most, .. } => least.zip(*most),
            _ => None,
        }
    }

    /// The winds of a band where its curve is looked at, with its values there.
    fn scan(&self, low: f64, high: f64) -> Vec<(f64, f64)> {
        let (low, high) = (low.max(self.points[0].0), high.min(self.points[self.points.len() - 1].0));
        // A step at the edge of a band is not in it: the edges themselves are not looked at.
        let inset = if self.way() == Between::Step { 0.5 } else { 0.0 };
        let count = SAMPLES as f64 + 2.0 * inset;
        let even = (0..=SAMPLES).map(|sample| low + (high - low) * (sample as f64 + inset) / count);
        let knots = self.points.iter().map(|point| point.0).filter(|wind| low < *wind && *wind < high);
        let mut winds: Vec<f64> = even.chain(knots).collect();
        winds.sort_by(f64::total_cmp);
        winds.into_iter().filter(|_| low <= high).filter_map(|wind| Some((wind, self.at(wind)?))).collect()
    }

    /// The cell of a band.
    fn cell(&self, band: &Band, unit: WindUnit, seen: &mut Seen) -> Cell {
        let slack = self.step() * SAME;
        let middle = (band.low + band.high) / 2.0;
        let mut held: Vec<_> = self.points.iter().filter(|point| band.holds(point.0)).collect();
        // A stable sort by distances told no finer than can be known leaves the lower of two that are as near first.
        held.sort_by_key(|point| ((point.0 - middle).abs() / SAME / 10.0).round() as i64);
        let more = held.len().saturating_sub(2);
        held.truncate(2);
        held.sort_by(|a, b| a.0.total_cmp(&b.0));

        let scan = self.scan(band.low, band.high);
        let mut low_high: Option<[(f64, f64); 2]> = None;
        for (wind, value) in scan {
            let [least, most] = low_high.unwrap_or([(wind, value); 2]);
            let least = if value < least.1 - slack { (wind, value) } else { least };
            let most = if value > most.1 + slack { (wind, value) } else { most };
            low_high = Some([least, most]);
        }
        let one = || match self.at(middle) {
            Some(value) => self.mark(middle, value),
            None => {
                let nearest =
                    if middle < self.points[0].0 { self.points[0] } else { self.points[self.points.len() - 1] };
                let is_held = held.iter().any(|point| point.0 == nearest.0);
                (nearest.1, if is_held { nearest.2.max(Ground::Between) } else { Ground::Outside })
            }
        };
        let only_steps = matches!(self.scale.kind, ScaleKind::Turns { .. } | ScaleKind::Tapes(_) | ScaleKind::Words(_));
        let ends = low_high.map(|mut ends| {
            ends.sort_by(|a, b| a.0.total_cmp(&b.0));
            ends.map(|(wind, value)| self.mark(wind, value))
        });
        let apart = |[a, b]: [(f64, Ground); 2]| {
            let off = (a.0 - b.0).abs();
            if only_steps { off > SAME } else { off > self.step() * (1.0 + SAME) }
        };
        let (figure, ground) = match ends.filter(|ends| apart(*ends)) {
            Some([first, last]) => {
                seen.add("ranges");
                let unit = self.unit();
                let words = format!("{} to {}", self.print(first.0, ""), self.print(last.0, &unit));
                (words, first.1.max(last.1))
            }
            None => {
                let (mark, ground) = one();
                (self.print(mark, &self.unit()), ground)
            }
        };
        let told = held.iter().map(|point| point.2.max(Ground::Between)).max();
        let ground = if told.is_some_and(|told| ground <= told) { None } else { Some(ground) };
        let sign = ground.map_or("", sign_of);
        let figure = if ground == Some(Ground::Outside) { format!("({figure})") } else { figure };
        let rows = held.iter().map(|point| {
            let before = if sign_of(point.2).is_empty() { String::new() } else { format!("{} ", sign_of(point.2)) };
            format!("{before}{} at {}", self.print(point.1, ""), print_wind(point.0, unit))
        });
        let more = (more > 0).then(|| format!("and {more} more"));
        for what in [ground.map(|ground| format!("figure {ground:?}")), more.clone().map(|_| "more".to_owned())] {
            what.iter().for_each(|what| seen.add(what));
        }
        seen.add(if held.is_empty() { "no row" } else { "rows" });
        // The word for what no row of the band tells.
        let word = match ground {
            Some(Ground::Between) if held.is_empty() => Some("between".to_owned()),
            Some(Ground::Outside) if held.is_empty() => Some("beyond".to_owned()),
            _ => None,
        };
        (sign.to_owned(), figure, word.into_iter().chain(rows).chain(more).collect::<Vec<_>>().join(" "))
    }

    /// The known values without a `none` between them, as controls of their own.
    fn runs(&self) -> Vec<Known> {
        let parted =
            |a: &(f64, f64, Ground), b: &(f64, f64, Ground)| self.nones.iter().all(|none| *none < a.0 || b.0 < *none);
        let run = |points: &[(f64, f64, Ground)]| Known { points: points.to_vec(), nones: Vec::new(), ..self.clone() };
        self.points.chunk_by(parted).map(run).collect()
    }

    /// The cell of a band of a control that is not used everywhere; `None` where it has figures from two sides of a `none`,
    /// which this does not put together.
    pub(super) fn cell_with_nones(&self, band: &Band, unit: WindUnit, seen: &mut Seen) -> Option<Cell> {
        if self.nones.is_empty() {
            return Some(self.cell(band, unit, seen));
        }
        let nones: Vec<f64> = self.nones.iter().copied().filter(|none| band.holds(*none)).collect();
        let told = nones.iter().take(2).map(|none| print_wind(*none, unit)).collect::<Vec<_>>().join(", ");
        let more = if nones.len() > 2 { format!(" and {} more", nones.len() - 2) } else { String::new() };
        let dash = if nones.is_empty() { String::new() } else { format!("– at {told}{more}") };
        let runs = self.runs();
        let reached: Vec<&Known> = runs
            .iter()
            .filter(|run| {
                let (first, last) = (run.points[0].0, run.points[run.points.len() - 1].0);
                run.points.iter().any(|point| band.holds(point.0)) || first < band.low + SAME && last > band.low - SAME
            })
            .collect();
        let rest = |cell: Cell, holes: String| {
            let words: Vec<String> = [cell.2, dash.clone(), holes].into_iter().filter(|of| !of.is_empty()).collect();
            (cell.0, cell.1, words.join(" "))
        };
        match reached.as_slice() {
            [] if !nones.is_empty() => {
                seen.add("not used");
                Some((String::new(), "–".to_owned(), dash))
            }
            [] => {
                let first = self.nones.iter().copied().fold(f64::INFINITY, f64::min);
                let last = self.nones.iter().copied().fold(f64::NEG_INFINITY, f64::max);
                let found = match runs.as_slice() {
                    [.., run] if run.points[0].0 > last && band.low > run.points[0].0 => {
                        Some(run.cell(band, unit, seen))
                    }
                    [run, ..] if run.points[0].0 < first && band.high < run.points[0].0 + SAME => {
                        Some(run.cell(band, unit, seen))
                    }
                    _ => None,
                };
                seen.add(if found.is_some() { "beyond, with a none" } else { "unknown" });
                Some(found.unwrap_or_else(|| (String::new(), "?".to_owned(), String::new())))
            }
            [run] => {
                seen.add("one side of a none");
                let mut holes: Vec<(f64, f64)> = Vec::new();
                for none in &self.nones {
                    let below = self.points.iter().map(|point| point.0).filter(|at| at < none).fold(band.low, f64::max);
                    let above =
                        self.points.iter().map(|point| point.0).filter(|at| at > none).fold(band.high, f64::min);
                    if below < above - SAME && holes.last() != Some(&(below, above)) {
                        holes.push((below, above));
                    }
                }
                let printed = holes.iter().map(|(low, high)| (print_wind(*low, unit), print_wind(*high, unit)));
                let printed = printed.filter(|(low, high)| low != high).map(|(low, high)| format!("? {low} to {high}"));
                Some(rest(run.cell(band, unit, seen), printed.collect::<Vec<_>>().join(" ")))
            }
            _ => None,
        }
    }

    /// It stands with the name of the control, once.
    fn unit(&self) -> String {
        String::new()
    }

    fn print(&self, mark: f64, unit: &str) -> String {
        let name = |names: Vec<&str>| names[mark as usize].to_owned();
        match &self.scale.kind {
            ScaleKind::Even { .. } | ScaleKind::Around { .. } => print_mark(mark),
            ScaleKind::Centre { centre, .. } if mark == 0.0 => centre.clone(),
            ScaleKind::Centre { ends, .. } => {
                let end = &ends[usize::from(mark > 0.0)];
                let gap = if end.chars().count() > 1 { " " } else { "" };
                format!("{end}{gap}{}", print_mark(mark.abs()))
            }
            ScaleKind::Measured { .. } | ScaleKind::Gauge { .. } => format!("{}{unit}", print_decimal(mark)),
            ScaleKind::Turns { .. } if mark == 0.0 => "0".to_owned(),
            ScaleKind::Turns { .. } => {
                let plus = if mark > 0.0 { "+" } else { "" };
                let word = if mark.abs() > 1.0 { "turns" } else { "turn" };
                format!("{plus}{} {word}", print_mark(mark))
            }
            ScaleKind::Tapes(tapes) => name(tapes.iter().map(|tape| tape.name.as_str()).collect()),
            ScaleKind::Words(words) => name(words.iter().map(String::as_str).collect()),
        }
    }
}
