//! What moves, seen from above in true proportion: hollow where it was, solid where it goes. Knows no list.

use kurbo::{BezPath, Circle, Point, Rect, Vec2};
use std::f64::consts::FRAC_PI_2;

use super::StowageCard;
use super::sign::Sign;
use crate::cards::parts::placing::{ABOVE, BELOW, Named, Placing};
use crate::cards::parts::scaled::{FINE, View, dashed, legend};
use crate::drawing::{Colour, Drawing, Shape, Text};
use crate::length::Length;

/// Half as wide as a place that is marked, millimetres.
pub const DOT: f64 = 0.95;
/// Things whose places are no further apart on the card, millimetres, bear their numbers together.
const ONE_PLACE: f64 = 1.0;
/// The outline is drawn without lines of anyone's: a boat of common shape is widest here, a part of her length from the stem,
/// and her transom is this part of her beam.
const WIDEST_AT: f64 = 0.6;
const TRANSOM: f64 = 0.74;
const OUTLINE_PIECES: u32 = 60;
/// The line of the outline, millimetres.
const OUTLINE: f64 = 0.3;
/// The head of an arrow and the least way that has one, millimetres.
const HEAD: f64 = 2.0;
const HEAD_HALF: f64 = 0.7;
const LEAST_WAY: f64 = 4.5;
/// Where the words for the two sides stand, in parts of the length and of half the beam.
const SIDES_AFT: [f64; 3] = [0.86, 0.68, 0.36];
const SIDE_OUT: f64 = 0.55;

/// Where some things were, or go.
struct Spot {
    numbers: Vec<usize>,
    at: Point,
    is_new: bool,
}

/// Draws the view of a part of the boat (`x` aft, `y` to starboard, millimetres) into an area; `None` if a number has no
/// room.
pub fn draw(drawing: &mut Drawing, card: &StowageCard, (scale, world, area): (f64, Rect, Rect)) -> Option<()> {
    let view = View::at(scale, world, area);
    let at = |x: f64, y: f64| view.point(Length::mm(x), Length::mm(y));
    let mut placing = Placing::within(area);
    placing.to_rim = true;
    draw_hull(drawing, &mut placing, card, (&view, area));
    for moved in &card.moves {
        let Some(to) = moved.to else { continue };
        draw_way(drawing, &mut placing, at(moved.was[0], moved.was[1]), at(to[0], to[1]));
    }
    name_sides(drawing, &mut placing, card, &view);
    let spots = spots(card, |place| at(place[0], place[1]));
    // What goes somewhere is set last: solid signs over hollow ones.
    for spot in spots.iter().filter(|spot| !spot.is_new).chain(spots.iter().filter(|spot| spot.is_new)) {
        draw_dot(drawing, Circle::new(spot.at, DOT), spot.is_new);
        placing.hold_disc(spot.at, DOT);
    }
    let middle = at(0.0, 0.0).y;
    for spot in &spots {
        let sign = Sign::of(&spot.numbers, spot.is_new);
        let best = if spot.at.y > middle { BELOW } else { ABOVE };
        let place = placing.set_sign(drawing, sign.size(), Named::new(spot.at, DOT, best))?;
        sign.draw(drawing, place);
    }
    Some(())
}

/// A place: hollow, or solid.
pub fn draw_dot(drawing: &mut Drawing, dot: Circle, is_solid: bool) {
    drawing.print(Shape::fill(dot, if is_solid { Colour::BLACK } else { Colour::WHITE }));
    if !is_solid {
        drawing.print(Shape::stroke(Circle::new(dot.center, dot.radius - FINE), FINE * 2.0));
    }
}

/// The outline and the centreline, as far as the book tells them.
fn draw_hull(drawing: &mut Drawing, placing: &mut Placing, card: &StowageCard, (view, area): (&View, Rect)) {
    let at = |x: f64, y: f64| view.point(Length::mm(x), Length::mm(y));
    let ends = match card.length_mm {
        Some(length) => (at(0.0, 0.0), at(length, 0.0)),
        None => (Point::new(area.x0, at(0.0, 0.0).y), Point::new(area.x1, at(0.0, 0.0).y)),
    };
    drawing.print(dashed(ends.0, ends.1, FINE));
    placing.hold_line(ends.0, ends.1);
    let (Some(length), Some(beam)) = (card.length_mm, card.beam_mm) else { return };
    let side = |way: f64| {
        (0..=OUTLINE_PIECES).map(move |piece| {
            let along = f64::from(piece) / f64::from(OUTLINE_PIECES);
            at(along * length, way * beam / 2.0 * breadth(along))
        })
    };
    let corners: Vec<Point> = side(1.0).chain(side(-1.0).rev()).collect();
    let mut path = BezPath::new();
    corners.iter().take(1).for_each(|corner| path.move_to(*corner));
    corners.iter().skip(1).for_each(|corner| path.line_to(*corner));
    path.close_path();
    drawing.print(Shape::stroke(path, OUTLINE));
    corners.iter().zip(corners.iter().skip(1)).for_each(|(from, to)| placing.hold_line(*from, *to));
}

/// Which side of an outline is which, off every place and every line.
fn name_sides(drawing: &mut Drawing, placing: &mut Placing, card: &StowageCard, view: &View) {
    let at = |x: f64, y: f64| view.point(Length::mm(x), Length::mm(y));
    let (Some(length), Some(beam)) = (card.length_mm, card.beam_mm) else { return };
    let places = || card.moves.iter().flat_map(|moved| std::iter::once(moved.was).chain(moved.to));
    for (words, way) in [("STARBOARD", 1.0), ("PORT", -1.0)] {
        let text = legend(words);
        let room = |aft: &f64| {
            let middle = at(length * aft, way * beam / 2.0 * SIDE_OUT);
            Rect::from_center_size(middle, text.ink().size())
        };
        let is_free = |room: &Rect| {
            let near = room.inflate(Sign::HEIGHT, Sign::HEIGHT / 2.0);
            placing.is_off_lines(*room) && !places().any(|place| near.contains(at(place[0], place[1])))
        };
        // A card that is full of gear goes without: its caption tells where the bow is.
        let Some(room) = SIDES_AFT.iter().map(room).find(is_free) else { continue };
        placing.hold_words(room);
        drawing.print(Text { origin: text.origin + (room.center() - text.ink().center()), ..text });
    }
}

/// Half the breadth of a hull of common shape, as a part of half its beam.
fn breadth(along: f64) -> f64 {
    if along < WIDEST_AT {
        (FRAC_PI_2 * along / WIDEST_AT).sin()
    } else {
        1.0 - (1.0 - TRANSOM) * ((along - WIDEST_AT) / (1.0 - WIDEST_AT)).powi(2)
    }
}

/// A dashed line from where a thing was to where it goes, with a head where there is room for one.
fn draw_way(drawing: &mut Drawing, placing: &mut Placing, was: Point, to: Point) {
    let way = to - was;
    if way.hypot() <= 2.0 * DOT {
        return;
    }
    let along = way.normalize();
    let (from, mut end) = (was + along * DOT, to - along * DOT);
    if way.hypot() > LEAST_WAY {
        let (foot, across) = (end - along * HEAD, Vec2::new(-along.y, along.x) * HEAD_HALF);
        let mut head = BezPath::new();
        head.move_to(end);
        head.line_to(foot + across);
        head.line_to(foot - across);
        head.close_path();
        drawing.print(Shape::fill(head, Colour::BLACK));
        end = foot;
    }
    drawing.print(dashed(from, end, FINE * 1.5));
    placing.hold_line(from, end);
}

/// The places of what moves, with all that are in one place.
fn spots(card: &StowageCard, at: impl Fn([f64; 3]) -> Point) -> Vec<Spot> {
    let mut spots: Vec<Spot> = Vec::new();
    for (is_new, moved) in [false, true].into_iter().flat_map(|new| card.moves.iter().map(move |moved| (new, moved))) {
        let place = if is_new { moved.to } else { Some(moved.was) };
        let Some(place) = place.map(&at) else { continue };
        let same = |spot: &&mut Spot| spot.is_new == is_new && spot.at.distance(place) <= ONE_PLACE;
        match spots.iter_mut().find(same) {
            Some(spot) => spot.numbers.push(moved.number),
            None => spots.push(Spot { numbers: vec![moved.number], at: place, is_new }),
        }
    }
    spots
}
