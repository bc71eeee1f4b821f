//! Settings cards read back from the SVG they are printed in, and held against what is worked out here from the rows of the
//! book: curve, rounding, bands, signs and words are all done once more, in another way. Nothing of `tuning` but its types is
//! asked.
//!
//! ```sh
//! AUDIT_BOOKS=300 cargo test --test hostile settings_audit -- --nocapture
//! ```
use crate::common::{books, inputs};

use std::collections::BTreeMap;

use cockpit_cards::book::{Book, Recorded, Settings, WindUnit};
use cockpit_cards::cards::{self, Card, Edition, Label};
use cockpit_cards::output::svg::{self, Options, TextAs};
use cockpit_cards::tuning::{Axis, Between, Fineness, Ground, Scale, ScaleKind};
use resvg::usvg::roxmltree;

/// Books in a run of all tests.
const BOOKS: u64 = 40;
/// Samples of a curve over a band.
const SAMPLES: usize = 2_000;
/// Two numbers so near are one: far more than either way of working leaves, far less than a mark.
const SAME: f64 = 1e-7;
/// Two upright rules so near are one, millimetres.
const ONE_COLUMN: f64 = 0.05;
/// NIST SP 811, appendix B.8.
const KNOTS_PER_METRE_PER_SECOND: f64 = 3600.0 / 1852.0;

/// What a cell says: its sign, the figure, and what stands small beneath it.
type Cell = (String, String, String);

/// The winds of a row and its cells.
type PrintedRow = (String, Vec<Cell>);

// What the card should say.

/// One control's known values over the winds, in the unit of the book.
#[derive(Clone)]
struct Known {
    points: Vec<(f64, f64, Ground)>,
    /// Where the control is not used.
    nones: Vec<f64>,
    between: Between,
    fineness: Fineness,
    scale: Scale,
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
    fn cell_with_nones(&self, band: &Band, unit: WindUnit, seen: &mut Seen) -> Option<Cell> {
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

fn sign_of(ground: Ground) -> &'static str {
    match ground {
        Ground::Sailed => "●",
        Ground::Repeated => "◆",
        Ground::Proven => "★",
        Ground::Disputed => "≠",
        Ground::CarriedOver => "»",
        Ground::Adjusted => "±",
        Ground::Between | Ground::Outside => "",
    }
}

fn print_mark(mark: f64) -> String {
    let quarters = (mark.abs() * 4.0).round() as i64;
    if (mark.abs() * 4.0 - quarters as f64).abs() > SAME {
        return print_decimal(mark);
    }
    let part = ["", "¼", "½", "¾"][(quarters % 4) as usize];
    let whole = if quarters >= 4 || part.is_empty() { (quarters / 4).to_string() } else { String::new() };
    format!("{}{whole}{part}", if mark < 0.0 { "−" } else { "" })
}

fn print_decimal(number: f64) -> String {
    let text = format!("{:.6}", number.abs());
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{}{text}", if number < 0.0 { "−" } else { "" })
}

/// Halves of a knot, quarters of a metre per second; halfway goes up.
fn print_wind(wind: f64, unit: WindUnit) -> String {
    let parts = match unit {
        WindUnit::Knot => 2.0,
        WindUnit::MetrePerSecond => 4.0,
    };
    print_mark((wind * parts + 0.5 + SAME).floor() / parts)
}

/// A band in the unit of the book, cut to what the sails are for now.
struct Band {
    low: f64,
    high: f64,
    with_high: bool,
}

impl Band {
    fn holds(&self, wind: f64) -> bool {
        self.low - SAME < wind && (wind < self.high - SAME || self.with_high && wind < self.high + SAME)
    }
}

fn in_unit(wind: cockpit_cards::tuning::Wind, unit: WindUnit) -> f64 {
    match unit {
        WindUnit::Knot => wind.number(),
        WindUnit::MetrePerSecond => wind.number() / KNOTS_PER_METRE_PER_SECOND,
    }
}

fn bands(book: &Book, settings: &Settings) -> Vec<Band> {
    let unit = book.units.wind;
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    for sail in settings.sails.iter().filter_map(|id| book.sails.iter().find(|sail| sail.id.value == id.value)) {
        if let Some(winds) = sail.wind {
            (low, high) = (low.max(in_unit(winds.low, unit)), high.min(in_unit(winds.high, unit)));
        }
        high = sail.max_now.as_ref().map_or(high, |most| high.min(in_unit(most.value, unit)));
    }
    let cut = |band: &cockpit_cards::tuning::Band| {
        let (from, to) = (in_unit(band.low, unit), in_unit(band.high, unit));
        let band = Band { low: from.max(low), high: to.min(high), with_high: high < to + SAME };
        (band.low < band.high - SAME).then_some(band)
    };
    book.bands.iter().filter_map(cut).collect()
}

/// All that the card of some settings should say.
fn worked_out(book: &Book, settings: &Settings, seen: &mut Seen) -> Vec<(String, Vec<Option<Cell>>)> {
    let unit = book.units.wind;
    let column = |(position, control): (usize, &usize)| {
        let scale = book.controls[*control].scale.clone();
        let points = settings
            .rows
            .iter()
            .filter_map(|row| Some((in_unit(row.at.value, unit), row.readings[position].one()?.value, row.ground)));
        let between = settings.between.get(control).copied().unwrap_or(Between::Monotone);
        let nones = settings.rows.iter().filter(|row| matches!(row.readings[position], Recorded::NotUsed(_)));
        let nones = nones.map(|row| in_unit(row.at.value, unit)).collect();
        Known { points: points.collect(), nones, between, fineness: scale.fineness, scale }
    };
    let columns: Vec<Known> = settings.controls.iter().enumerate().map(column).collect();
    // What two sides say together is held in `books::two_sides`.
    let is_sided: Vec<bool> = (0..columns.len())
        .map(|position| settings.rows.iter().any(|row| matches!(row.readings[position], Recorded::Sides { .. })))
        .collect();
    let row = |band: &Band| {
        let winds = format!("{} to {}", print_wind(band.low, unit), print_wind(band.high, unit));
        let cells = columns.iter().zip(&is_sided).map(|(column, is_sided)| {
            if *is_sided {
                seen.add("two sides");
                return None;
            }
            let kind = format!("{:?}", column.scale.kind);
            seen.add(kind.split([' ', '(']).next().unwrap_or_default());
            seen.add(unit.symbol());
            match column.points.is_empty() && column.nones.is_empty() {
                true => Some((String::new(), "?".to_owned(), String::new())),
                false => column.cell_with_nones(band, unit, seen),
            }
        });
        (winds, cells.collect())
    };
    bands(book, settings).iter().map(row).collect()
}

// What the card says.

/// A word of the SVG where it stands.
struct Word {
    text: String,
    left: f64,
    base: f64,
    is_bold: bool,
}

/// The rows of the table on a card, a band each, cut at its rules; winds may stand across or down.
fn read_back(svg: &str, winds: &[String]) -> Vec<PrintedRow> {
    let document = roxmltree::Document::parse(svg).expect("an SVG");
    let number =
        |node: &roxmltree::Node<'_, '_>, name: &str| node.attribute(name).and_then(|text| text.parse::<f64>().ok());
    let (mut level, mut upright) = (Vec::new(), Vec::new());
    let mut words = Vec::new();
    for node in document.descendants() {
        match node.tag_name().name() {
            "path" => {
                level.extend(node.attribute("d").and_then(|path| rule(path, false)));
                upright.extend(node.attribute("d").and_then(|path| rule(path, true)));
            }
            "text" if node.attribute("transform").is_none() && node.attribute("fill").is_none() => {
                // A fraction that is larger than its numerals is an element of its own.
                let leaves = node.descendants().filter(|leaf| leaf.is_text());
                let text: String = leaves.filter_map(|leaf| leaf.text()).collect();
                let (left, base) = (number(&node, "x").expect("a place"), number(&node, "y").expect("a place"));
                words.push(Word { text, left, base, is_bold: node.attribute("font-weight").is_some() });
            }
            _ => {}
        }
    }
    level.sort_by(f64::total_cmp);
    upright.sort_by(f64::total_cmp);
    upright.dedup_by(|a, b| (*a - *b).abs() < ONE_COLUMN);
    // Rules of the frame lie beyond the table; the one over the heads is the first under which the wind is told.
    let edges: Vec<f64> = [f64::MIN].into_iter().chain(upright).chain([f64::MAX]).collect();
    let row = |pair: &[f64]| -> Vec<Vec<&Word>> {
        let within = |left: f64, right: f64| {
            let here =
                |word: &&Word| pair[0] < word.base && word.base < pair[1] && left < word.left && word.left < right;
            let mut cell: Vec<&Word> = words.iter().filter(here).collect();
            cell.sort_by(|a, b| a.base.total_cmp(&b.base).then(a.left.total_cmp(&b.left)));
            cell
        };
        edges.windows(2).map(|edge| within(edge[0], edge[1])).collect()
    };
    let rows: Vec<Vec<Vec<&Word>>> = level.windows(2).map(row).collect();
    let all = |cell: &[&Word]| cell.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
    let Some(heads) = rows.iter().position(|row| all(&row[0]).contains(" WIND")) else { return Vec::new() };
    let is_wind = |cell: &[&Word]| winds.contains(&all(cell));
    let table = &rows[heads..];
    let (down, across) = (table.len(), table[0].len());
    if is_wind(&table[0][1]) {
        let of = |column: usize| (1..down).map(|row| cell_read(&table[row][column])).collect();
        return (1..across).map(|column| (all(&table[0][column]), of(column))).collect();
    }
    let of = |row: &Vec<Vec<&Word>>| (1..across).map(|column| cell_read(&row[column])).collect();
    table[1..].iter().filter(|row| is_wind(&row[0])).map(|row| (all(&row[0]), of(row))).collect()
}

/// How far down a level line stands, or how far right an upright one.
fn rule(path: &str, upright: bool) -> Option<f64> {
    const LEAST: f64 = 8.0;
    let (from, to) = path.strip_prefix('M')?.split_once('L')?;
    let ((x0, y0), (x1, y1)) = (from.split_once(' ')?, to.split_once(' ')?);
    let [x0, y0, x1, y1] = [x0, y0, x1, y1].map(|text| text.parse::<f64>().ok());
    let ((x0, y0), (x1, y1)) = (x0.zip(y0)?, x1.zip(y1)?);
    match upright {
        true => (x0 == x1 && (y1 - y0).abs() > LEAST).then_some(x0),
        false => (y0 == y1 && (x1 - x0).abs() > LEAST).then_some(y0),
    }
}

/// The sign that stands before a figure, the figure, and what stands beneath it.
fn cell_read(words: &[&Word]) -> Cell {
    let is_figure = |word: &&&Word| word.is_bold || word.text == "to";
    let joined = |words: Vec<&&Word>| words.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
    let figure = joined(words.iter().filter(is_figure).collect());
    let is_sign = |word: &&&Word| ["●", "»", "±"].contains(&word.text.as_str());
    let sign = words.iter().find(|word| is_sign(word)).map(|word| word.text.clone()).unwrap_or_default();
    let rest = joined(words.iter().filter(|word| !is_figure(word) && !is_sign(word)).collect());
    if figure.is_empty() { (sign, rest, String::new()) } else { (sign, figure, rest) }
}

// The books.

/// What the books had in them.
#[derive(Default)]
struct Seen(BTreeMap<String, usize>);

impl Seen {
    fn add(&mut self, what: &str) {
        *self.0.entry(what.to_owned()).or_default() += 1;
    }
}

/// What of a made-up book the settings come from.
const SECTIONS: [&str; 10] =
    ["book", "example", "boat", "units", "wind_bands", "wind_source", "controls", "sails", "settings", "adjust"];

/// Only the sections that settings come from, the winds in metres per second if asked.
fn made_up(seed: u64, unit: WindUnit) -> books::Book {
    let mut book = books::sound(&books::row(seed));
    let text = book.text.replace("\r\n", "\n");
    let mut kept = false;
    let mut lines: Vec<String> = Vec::new();
    for line in text.trim_start_matches('\u{FEFF}').lines() {
        if let Some(name) = line.split(':').next().filter(|name| !name.is_empty() && !name.starts_with([' ', '#', '-']))
        {
            kept = SECTIONS.contains(&name);
        }
        lines.extend(Some(line.to_owned()).filter(|_| kept));
    }
    with_turns(&mut lines);
    if unit == WindUnit::MetrePerSecond {
        lines.iter_mut().for_each(|line| *line = in_metres_per_second(line));
        let units = lines.iter_mut().find(|line| line.starts_with("units:"));
        match units {
            Some(line) => {
                *line =
                    line.replace(", wind: kn", "").replace('}', ", wind: m/s}").replace(", wind: m/s, wind", ", wind")
            }
            None => lines.push("units: {wind: m/s}".to_owned()),
        }
        if let Some(line) = lines.iter_mut().find(|line| line.matches("wind: m/s").count() > 1) {
            *line = "units: {wind: m/s}".to_owned();
        }
        for (_, table) in &mut book.tables {
            *table = in_metres_per_second(table);
        }
    } else if let Some(line) = lines.iter_mut().find(|line| line.starts_with("units:") && line.contains("m/s")) {
        *line = "units: {wind: kn}".to_owned();
    }
    book.text = lines.join("\n") + "\n";
    book
}

/// Turns of a screw are counted at the dock in a made-up book; here they are set afloat too, in a last column.
fn with_turns(lines: &mut Vec<String>) {
    const TURNS: [&str; 6] = ["0", "\"1/2\"", "\"-1\"", "\"-1\"", "~", "\"1 1/2\""];
    let Some(at) = lines.iter().position(|line| line.starts_with("settings:")) else { return };
    for (number, line) in lines.iter_mut().enumerate().skip(at) {
        if line.starts_with("      ") && line.contains(" kn: {") && line.contains(": [") {
            // A wind with a row for each of its angles.
            *line = line.replace(']', ", 0]");
            continue;
        }
        let is_row = line.starts_with("      ") && line.contains(" kn: [");
        let column = if is_row { TURNS[(number + line.len()) % TURNS.len()] } else { "screw" };
        if let Some(list) = line.strip_suffix(']').filter(|_| is_row || line.starts_with("    controls: [")) {
            *line = format!("{list}, {column}]");
        }
    }
    let screw = "  screw: {scale: {turns: {base: \"gauge 38 on 2027-04-02\"}, halves: true}}".to_owned();
    let at = lines.iter().position(|line| line.starts_with("controls:")).map_or(0, |at| at + 1);
    lines.insert(at, screw);
}

/// Every wind as half its number of metres per second; boat speeds, which have decimals, stay.
fn in_metres_per_second(text: &str) -> String {
    let mut pieces = text.split(" kn").peekable();
    let mut written = String::new();
    while let Some(piece) = pieces.next() {
        if pieces.peek().is_none() {
            written.push_str(piece);
            break;
        }
        let from = piece
            .rfind(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
            .map_or(0, |at| at + piece[at..].chars().next().map_or(1, char::len_utf8));
        let half = |number: &str| number.parse::<f64>().ok().map(|number| (number / 2.0).to_string());
        let numbers = &piece[from..];
        let converted = match numbers.split_once("..") {
            Some((low, high)) => half(low).zip(half(high)).map(|(low, high)| format!("{low}..{high}")),
            None if numbers.contains('.') => None,
            None => half(numbers),
        };
        match converted {
            Some(numbers) => written.push_str(&format!("{}{numbers} m/s", &piece[..from])),
            None => written.push_str(&format!("{piece} kn")),
        }
    }
    written
}

/// A card and its SVG, if any size holds it.
type Printed = (Card, Option<String>);

/// The settings cards of a book, each in a size that holds it.
fn settings_cards(book: &books::Book) -> Option<(Book, Vec<Printed>)> {
    let model = inputs::load(book).book?;
    let entry = |settings: &Settings, size: &str| {
        format!("  - {{kind: wind-settings, settings: {}{size}}}\n", settings.id.value)
    };
    let svgs = |size: &str| {
        let list: String = model.settings.iter().map(|settings| entry(settings, size)).collect();
        let text = if list.is_empty() { "cards: []\n".to_owned() } else { format!("cards:\n{list}") };
        let asked = books::Book { text: format!("{}{text}", book.text), ..book.clone() };
        let model = inputs::load(&asked).book.expect("the same book with its cards named");
        let cards = cards::cards(&model, &mut Vec::new());
        let drawn = cards.into_iter().map(|card| {
            let drawing = card.content.layout(&Label::new(&model, &card.stamp, Edition::Draft)).ok();
            let svg = drawing.map(|drawing| svg::svg(&drawing, Options { text: TextAs::Live }));
            (card, svg)
        });
        drawn.collect::<Vec<_>>()
    };
    let handiest = svgs("");
    let larger = if handiest.iter().all(|(_, svg)| svg.is_some()) { Vec::new() } else { svgs(", size: A3") };
    let of_a_size = |(card, svg): (Card, Option<String>)| {
        let again = || larger.iter().find(|(other, _)| other.id == card.id).and_then(|(_, svg)| svg.clone());
        let svg = svg.or_else(again);
        (card, svg)
    };
    let printed = handiest.into_iter().map(of_a_size).collect();
    Some((model, printed))
}

#[test]
fn every_cell_of_every_settings_card_is_what_the_rows_of_its_book_say() {
    let books = std::env::var("AUDIT_BOOKS").ok().and_then(|number| number.parse().ok()).unwrap_or(BOOKS);
    let mut seen = Seen::default();
    let mut mismatches = Vec::new();
    let mut cells = 0;
    for seed in 0..books {
        let unit = if seed % 2 == 0 { WindUnit::Knot } else { WindUnit::MetrePerSecond };
        let made_up = made_up(seed, unit);
        let Some((book, printed)) = settings_cards(&made_up) else {
            seen.add("books not read");
            continue;
        };
        assert_eq!(book.units.wind, unit, "seed {seed}");
        for settings in &book.settings {
            let stem = &settings.id.value;
            let is_of = |id: &str| {
                id.strip_prefix(stem.as_str()).is_some_and(|rest| {
                    rest.is_empty() || rest.strip_prefix('-').is_some_and(|nth| nth.parse::<usize>().is_ok())
                })
            };
            let is_other = |id: &str| book.settings.iter().any(|of| of.id.value == id && of.id.value != *stem);
            let parts: Vec<_> = printed.iter().filter(|(card, _)| is_of(&card.id) && !is_other(&card.id)).collect();
            if parts.is_empty() {
                // Of sails that are ashore, or in no band of the book.
                seen.add("settings without a card");
                continue;
            }
            if parts.iter().any(|(_, svg)| svg.is_none()) {
                seen.add("cards too small for their words");
                continue;
            }
            seen.add("cards");
            if parts.len() > 1 {
                seen.add("parted");
            }
            if settings.angled.is_some() {
                seen.add("cards by wind and angle");
                continue; // Their cells are held to a scan in `truth::angled`.
            }
            let expected = worked_out(&book, settings, &mut seen);
            let winds: Vec<String> = expected.iter().map(|row| row.0.clone()).collect();
            let mut found: Vec<PrintedRow> = Vec::new();
            for (card, svg) in parts {
                let controls = card.content.data()["columns"].as_array().map_or(0, Vec::len);
                for (wind, mut cells) in read_back(svg.as_deref().unwrap_or_default(), &winds) {
                    // Under the controls there may be a target.
                    cells.truncate(controls);
                    match found.iter_mut().find(|row| row.0 == wind) {
                        Some(row) => row.1.append(&mut cells),
                        None => found.push((wind, cells)),
                    }
                }
            }
            cells += expected.iter().map(|(_, cells)| cells.len()).sum::<usize>();
            let differs = |(expected, found): &(&(String, Vec<Option<Cell>>), &PrintedRow)| {
                let cells = expected.1.iter().zip(&found.1);
                expected.1.len() != found.1.len()
                    || cells.into_iter().any(|(of, is)| of.as_ref().is_some_and(|of| of != is))
            };
            if found.len() != expected.len() || expected.iter().zip(&found).any(|pair| differs(&pair)) {
                let first = expected.iter().zip(&found).find(differs);
                mismatches.push(format!("seed {seed}, {}: {first:#?}", settings.id.value));
            }
        }
    }
    println!("{cells} cells of {books} books: {:?}", seen.0);
    assert!(mismatches.is_empty(), "{} cards of {books} books: {}", mismatches.len(), mismatches[0]);
    let of = |what: &str| seen.0.get(what).copied().unwrap_or_default();
    for what in [
        "Even",
        "Centre",
        "Measured",
        "Gauge",
        "Tapes",
        "Words",
        "Around",
        "Turns",
        "figure Outside",
        "figure Between",
        "kn",
        "m/s",
        "ranges",
        "rows",
        "no row",
        "more",
        "not used",
        "unknown",
        "one side of a none",
        "two sides",
        "parted",
    ] {
        assert!(of(what) > 0, "no {what}: {:?}", seen.0);
    }
    assert!(
        of("cards too small for their words") * 20 < of("cards") && of("books not read") * 10 < books as usize,
        "{:?}",
        seen.0
    );
}
