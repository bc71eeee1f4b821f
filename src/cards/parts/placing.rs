//! Words set into a picture, each beside its point where nothing else is yet. Knows lines, discs and words, not what they
//! mean.

use std::f64::consts::TAU;

use kurbo::{Circle, Line, ParamCurve as _, ParamCurveNearest as _, Point, Rect, Shape as _, Size, Vec2};

use super::scaled::{FINE, dot};
use crate::drawing::{Colour, Drawing, Shape, Text};

/// Places tried around a point at each distance.
const WAYS: u32 = 16;
/// Distances tried, from close by to where a line back to the point is needed, in heights of the word.
const DISTANCES: [f64; 8] = [0.0, 0.6, 1.2, 2.0, 3.0, 4.5, 6.5, 9.0];
/// White between a word and another, in heights of the one that is set.
const CLEAR: f64 = 0.5;
/// White between a sign and another sign or a word, millimetres.
const SIGN_CLEAR: f64 = 0.6;
/// White between a word and a mark or a line, millimetres.
const BESIDE: f64 = 0.5;
/// White around a word that stands on a line, millimetres.
const HALO: f64 = 0.25;
/// A word this much nearer is arithmetic, not a choice.
const SLACK: f64 = 1e-6;
/// A word this close to its point needs no line to it, millimetres past the white.
const CLOSE: f64 = 0.8;
/// Two lines this close, millimetres, are taken for one.
const ALONG: f64 = 1.0;
/// At the end of a line from a word, millimetres.
const LEADER_DOT: f64 = 0.4;
/// Straight outlines have no error to bound; the shapes ask for one.
const STRAIGHT: f64 = 1.0;

/// What a picture holds already.
#[derive(Clone, Debug)]
pub struct Placing {
    /// No word leaves it.
    pub area: Rect,
    /// A line from a word to a mark ends at its rim; else in its middle, in a dot, as marks need that lie over each other.
    pub to_rim: bool,
    words: Vec<Rect>,
    discs: Vec<Circle>,
    lines: Vec<Line>,
    /// Thin lines from words to what they name.
    leaders: Vec<Line>,
}

/// What a word names: the point, how far its mark reaches, and the way in which the word stands best.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Named {
    /// Where it is, in millimetres on the card.
    pub point: Point,
    /// How far its mark goes out from there, in millimetres: no word may stand on it.
    pub reach: f64,
    /// A unit vector, y down; the word goes round from it until it finds room.
    pub best: Vec2,
}

impl Named {
    /// What stands at `point`, with a mark that reaches so far.
    pub fn new(point: Point, reach: f64, best: Vec2) -> Self {
        Named { point, reach, best }
    }
}

/// The word would stand best over what it names.
pub const ABOVE: Vec2 = Vec2::new(0.0, -1.0);
/// The word would stand best under what it names.
pub const BELOW: Vec2 = Vec2::new(0.0, 1.0);

impl Placing {
    /// An empty picture: nothing is held yet, and no word may leave this area.
    pub fn within(area: Rect) -> Self {
        Placing { area, to_rim: false, words: Vec::new(), discs: Vec::new(), lines: Vec::new(), leaders: Vec::new() }
    }

    /// Words that stand already.
    pub fn hold_words(&mut self, area: Rect) {
        self.words.push(area);
    }

    /// Keeps words off a disc, such as a block or an item of gear.
    pub fn hold_disc(&mut self, at: Point, radius: f64) {
        self.discs.push(Circle::new(at, radius));
    }

    /// Keeps words off a line that is drawn.
    pub fn hold_line(&mut self, from: Point, to: Point) {
        self.lines.push(Line::new(from, to));
    }

    /// Sets `words` beside what they name: in the nearest place free of everything, to which no other mark stands in the
    /// way; else in the nearest that is free; else in the nearest that only lines run through, which then stop short of the
    /// words. Words that end up apart from it get a thin line to it. `None` if no such place is left.
    pub fn set_beside(&mut self, drawing: &mut Drawing, words: &Text, named: Named) -> Option<()> {
        let places = self.places_of(words, named);
        let is_off_lines = |place: &&(Rect, Option<Line>)| self.is_off_lines(place.0);
        let is_plain = |place: &&(Rect, Option<Line>)| is_off_lines(place) && self.is_plain(place.1, named);
        let best = places.iter().find(is_plain).or_else(|| places.iter().find(is_off_lines));
        let on_a_line = best.is_none();
        let (room, leader) = best.or_else(|| places.first()).copied()?;
        if on_a_line {
            drawing.print(Shape::fill(room.inflate(HALO, HALO), Colour::WHITE));
        }
        self.lead(drawing, leader);
        self.print(drawing, words, room);
        Some(())
    }

    /// Where the middle of a sign of this size goes, which hides what is under it: found as [`Self::set_beside`] finds the place
    /// of words, and with a thin line if it ends up apart. `None` if no such place is left.
    pub fn set_sign(&mut self, drawing: &mut Drawing, size: Size, named: Named) -> Option<Point> {
        let places = self.places((size, SIGN_CLEAR), named);
        let is_plain = |place: &&(Rect, Option<Line>)| self.is_off_lines(place.0) && self.is_plain(place.1, named);
        let is_led_well = |place: &&(Rect, Option<Line>)| self.is_plain(place.1, named);
        let best = places.iter().find(is_plain).or_else(|| places.iter().find(is_led_well)).or_else(|| places.first());
        let (room, leader) = best.copied()?;
        self.lead(drawing, leader);
        self.words.push(room);
        Some(room.center())
    }

    /// Draws the line from a mark to what names it, if there is one.
    fn lead(&mut self, drawing: &mut Drawing, leader: Option<Line>) {
        if let Some(leader) = leader {
            drawing.print(Shape::line(leader.p0, leader.p1, FINE));
            if !self.to_rim {
                dot(drawing, leader.p0, LEADER_DOT);
            }
            self.leaders.push(leader);
        }
    }

    /// Where nothing but lines stands, the nearest first, and the line back to the point where one is needed.
    fn places_of(&self, words: &Text, named: Named) -> Vec<(Rect, Option<Line>)> {
        let size = centred(words, Point::ZERO).size();
        self.places((size, size.height * CLEAR), named)
    }

    /// The same of anything so large, with so much white around it.
    fn places(&self, (size, clear): (Size, f64), named: Named) -> Vec<(Rect, Option<Line>)> {
        let start = named.best.atan2();
        let mut places = Vec::new();
        for distance in DISTANCES {
            let away = named.reach + BESIDE + distance * size.height;
            for way in 0..WAYS {
                // To either side of the best way by turns.
                let steps = f64::from(way.div_ceil(2)) * if way % 2 == 0 { 1.0 } else { -1.0 };
                let way = Vec2::from_angle(start + steps * TAU / f64::from(WAYS));
                let half = way / way.x.abs().max(way.y.abs());
                let middle = named.point + way * away + Vec2::new(half.x * size.width, half.y * size.height) / 2.0;
                let room = Rect::from_center_size(middle, size);
                let leader = self.leader(room, named);
                let is_free = self.area.union(room) == self.area
                    && self.is_clear(room, clear)
                    && !self.discs.iter().any(|disc| reaches(*disc, room))
                    && leader.is_none_or(|leader| !self.words.iter().any(|word| comes_near(leader, *word)));
                if is_free {
                    places.push((room, leader));
                }
            }
        }
        places
    }

    fn is_clear(&self, room: Rect, clear: f64) -> bool {
        !self.words.iter().any(|word| word.inflate(clear, clear).overlaps(room))
            && !self.leaders.iter().any(|leader| comes_near(*leader, room))
    }

    /// Whether no line comes near it.
    pub fn is_off_lines(&self, room: Rect) -> bool {
        !self.lines.iter().any(|line| comes_near(*line, room))
    }

    fn leader(&self, room: Rect, named: Named) -> Option<Line> {
        let near = nearest(room.inflate(BESIDE / 2.0, BESIDE / 2.0), named.point);
        let apart = near.distance(named.point) > named.reach + BESIDE + CLOSE;
        let rim = (near - named.point).normalize() * named.reach;
        apart.then(|| Line::new(if self.to_rim { named.point + rim } else { named.point }, near))
    }

    /// Whether a line to what is named keeps off every mark but its own and those that lie over that, and runs along no
    /// other line.
    fn is_plain(&self, leader: Option<Line>, named: Named) -> bool {
        let Some(leader) = leader else { return true };
        let along = |line: &Line| {
            [0.5, 1.0].iter().all(|part| line.nearest(leader.eval(*part), SLACK).distance_sq < ALONG.powi(2))
        };
        let mut others = self.discs.iter().filter(|disc| disc.center.distance(named.point) > disc.radius + named.reach);
        others.all(|disc| leader.nearest(disc.center, SLACK).distance_sq > disc.radius.powi(2))
            && !self.lines.iter().any(along)
    }

    fn print(&mut self, drawing: &mut Drawing, words: &Text, room: Rect) {
        let mut text = words.clone();
        text.origin += room.center() - words.ink().center();
        drawing.print(text);
        self.words.push(room);
    }
}

/// The room that words take with their middle at `middle`.
fn centred(words: &Text, middle: Point) -> Rect {
    Rect::from_center_size(middle, words.ink().size())
}

fn nearest(room: Rect, to: Point) -> Point {
    Point::new(to.x.max(room.x0).min(room.x1), to.y.max(room.y0).min(room.y1))
}

fn reaches(disc: Circle, room: Rect) -> bool {
    nearest(room, disc.center).distance(disc.center) < disc.radius + BESIDE - SLACK
}

fn comes_near(line: Line, room: Rect) -> bool {
    let room = room.inflate(BESIDE - SLACK, BESIDE - SLACK);
    // Most lines are far off, and each edge they are tried against costs more than this.
    line.bounding_box().overlaps(room)
        && (room.contains(line.start())
            || room.path_segments(STRAIGHT).any(|edge| !edge.intersect_line(line).is_empty()))
}
