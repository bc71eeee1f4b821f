//! The heights of what moves, as bars on the waterline: hollow as they were, solid as they will be. Knows no list.

use kurbo::{Point, Rect};

use super::StowageCard;
use super::sign::Sign;
use crate::book::Units;
use crate::cards::parts::label::legend_cap_mm;
use crate::cards::parts::measures;
use crate::cards::parts::scaled::{FINE, HEAVY, dashed, legend, note};
use crate::drawing::{Anchor, Colour, Drawing, Shape};
use crate::length::Length;
use crate::tuning::mark::print_decimal;

/// A bar and its line, millimetres.
const BAR: f64 = 1.9;
const BAR_LINE: f64 = 0.3;
/// White between two signs beside each other, and beside a line from a sign to its bar, millimetres.
const CLEAR: f64 = 0.7;
/// White over a row of signs, millimetres.
const OVER_SIGNS: f64 = 0.9;
/// From the water down to where things may be told from it, millimetres.
const LEAST_BAR: f64 = 0.6;
/// Steps of the lines that tell a height, in metres or feet, and how many of them there may be.
const STEPS: [f64; 7] = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0];
const LINES_MOST: f64 = 3.0;
/// From one of these lines to the next at least, in capitals of the words at their ends.
const WORDS_APART: f64 = 1.7;
/// Heights are shown against no less than this, millimetres aboard.
const LEAST_HEIGHT_MM: f64 = 500.0;
const WATER: &str = "water";

/// One height of one thing, or of the things that are in one place.
struct Bar {
    sign: Sign,
    /// Along the card, from the left of the view, millimetres.
    at: f64,
    /// Above the waterline, millimetres aboard.
    height: f64,
    is_new: bool,
}

/// All the bars, each at a place of its own, their signs in one row or in two.
pub struct Heights {
    bars: Vec<Bar>,
    rows: usize,
    /// The lowest and the highest of all, millimetres aboard.
    span: (f64, f64),
    width: f64,
    units: Units,
}

impl Heights {
    /// Millimetres that the bars take at least, from the lowest to the highest.
    pub const LEAST_BARS: f64 = 9.0;

    /// The room at the right for the heights that are told, millimetres.
    pub fn lane(units: Units) -> f64 {
        let words = [WATER.to_owned(), format!("−0.5 {}", measures::long_unit(units))];
        words.iter().map(|words| legend(words).width()).fold(0.0, f64::max) + legend_cap_mm()
    }

    /// On a view so wide, which begins so far aft, millimetres aboard, at a scale; `None` if there are more of them than it
    /// holds.
    pub fn of(card: &StowageCard, (from, scale): (f64, f64), width: f64) -> Option<Heights> {
        let mut found: Vec<(Vec<usize>, [f64; 3], bool)> = Vec::new();
        for moved in &card.moves {
            for (place, is_new) in [(Some(moved.was), false), (moved.to, true)] {
                let Some(place) = place else { continue };
                match found.iter_mut().find(|(_, other, new)| *new == is_new && *other == place) {
                    Some((numbers, ..)) => numbers.push(moved.number),
                    None => found.push((vec![moved.number], place, is_new)),
                }
            }
        }
        let bar = |(numbers, place, is_new): (Vec<usize>, [f64; 3], bool)| Bar {
            sign: Sign::of(&numbers, is_new),
            at: (place[0] - from) * scale,
            height: place[2],
            is_new,
        };
        let mut bars: Vec<Bar> = found.into_iter().map(bar).collect();
        bars.sort_by(|one, other| one.at.total_cmp(&other.at));
        let heights = bars.iter().map(|bar| bar.height);
        let span = (heights.clone().fold(0.0, f64::min), heights.fold(LEAST_HEIGHT_MM, f64::max));
        let rows = [1, 2].into_iter().find(|rows| set_apart(&mut bars, *rows, width))?;
        Some(Heights { bars, rows, span, width, units: card.units })
    }

    /// What it takes down the card at least, millimetres.
    pub fn least(&self) -> f64 {
        Heights::LEAST_BARS + self.rows as f64 * (Sign::HEIGHT + OVER_SIGNS)
    }

    /// Draws it from its upper left corner, the bars so high together.
    pub fn draw(&self, drawing: &mut Drawing, at: Point, bars: f64) {
        let scale = bars / (self.span.1 - self.span.0);
        let water = at.y + self.span.1 * scale;
        let (left, right) = (at.x, at.x + self.width);
        self.draw_lines(drawing, (left, right), (water, scale));
        for bar in &self.bars {
            let (x, top) = (left + bar.at, water - bar.height * scale);
            let top = if (top - water).abs() < LEAST_BAR { water - LEAST_BAR } else { top };
            let area = Rect::new(x - BAR / 2.0, top.min(water), x + BAR / 2.0, top.max(water));
            drawing.print(Shape::fill(area, if bar.is_new { Colour::BLACK } else { Colour::WHITE }));
            drawing.print(Shape::stroke(area.inset(-BAR_LINE / 2.0), BAR_LINE));
        }
        drawing.print(Shape::line((left, water), (right, water), HEAVY));
        let signs = at.y + bars + OVER_SIGNS;
        for (index, bar) in self.bars.iter().enumerate() {
            let x = left + bar.at;
            let row = signs + (index % self.rows) as f64 * (Sign::HEIGHT + OVER_SIGNS);
            let foot = if bar.height < 0.0 { water - bar.height * scale } else { water };
            if row - foot > OVER_SIGNS + FINE {
                drawing.print(Shape::line((x, foot), (x, row), FINE));
            }
            bar.sign.draw(drawing, Point::new(x, row + Sign::HEIGHT / 2.0));
        }
    }

    /// Thin lines at round heights, each with its height at the right, and the water.
    fn draw_lines(&self, drawing: &mut Drawing, (left, right): (f64, f64), (water, scale): (f64, f64)) {
        let unit = measures::long_unit(self.units);
        let one = Length::metres(1.0) / measures::in_long(Length::metres(1.0), self.units);
        let (low, high) = (self.span.0 / one.to_mm(), self.span.1 / one.to_mm());
        let apart = legend_cap_mm() * WORDS_APART;
        let step = STEPS.into_iter().find(|step| {
            let are_few = (high / step).floor() - (low / step).ceil() <= LINES_MOST;
            are_few && step * one.to_mm() * scale >= apart
        });
        let words_at = |drawing: &mut Drawing, words: &str, y: f64| {
            note(drawing, words, (right + legend_cap_mm() / 2.0, y + legend_cap_mm() / 2.0), Anchor::Start);
        };
        words_at(drawing, WATER, water);
        let Some(step) = step else { return };
        for nth in (low / step).ceil() as i32..=(high / step).floor() as i32 {
            let height = f64::from(nth) * step;
            let y = water - height * one.to_mm() * scale;
            // Words keep off those of the water.
            if (y - water).abs() < apart {
                continue;
            }
            drawing.print(dashed(Point::new(left, y), Point::new(right, y), FINE));
            words_at(drawing, &format!("{} {unit}", print_decimal(height)), y);
        }
    }
}

/// Moves the bars apart so that no sign meets another, nor a line to one, each as near its place as the ones before it let it
/// be; false if the width does not hold them.
fn set_apart(bars: &mut [Bar], rows: usize, width: f64) -> bool {
    let wide: Vec<f64> = bars.iter().map(|bar| bar.sign.size().width).collect();
    // Between the places of two bars, at least.
    let apart = |one: usize, other: usize| {
        let (one_half, other_half) = (wide[one] / 2.0, wide[other] / 2.0);
        match (one % rows == other % rows, one % rows) {
            (true, _) => one_half + other_half + CLEAR,
            // The line to a sign in the lower row passes beside the signs of the upper.
            (false, 0) => one_half + CLEAR,
            (false, _) => other_half + CLEAR,
        }
        .max(BAR + CLEAR)
    };
    let mut places: Vec<f64> = Vec::with_capacity(bars.len());
    for (index, bar) in bars.iter().enumerate() {
        let after = |back: usize| {
            let before = index.checked_sub(back)?;
            Some(places[before] + apart(before, index))
        };
        let least = after(1).into_iter().chain(after(2)).fold(wide[index] / 2.0, f64::max);
        places.push(bar.at.max(least));
    }
    for index in (0..places.len()).rev() {
        let before = |on: usize| (index + on < places.len()).then(|| places[index + on] - apart(index, index + on));
        let most = before(1).into_iter().chain(before(2)).fold(width - wide[index] / 2.0, f64::min);
        places[index] = places[index].min(most);
    }
    let fits = places.first().is_none_or(|first| *first >= wide[0] / 2.0 - f64::EPSILON * width);
    if fits {
        bars.iter_mut().zip(places).for_each(|(bar, place)| bar.at = place);
    }
    fits
}
