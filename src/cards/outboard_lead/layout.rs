//! How the card of an outboard lead is laid out: plan over side view at one scale, the tweaker's table, the order of
//! rigging. Knows no arithmetic of gear.

use kurbo::{Point, Rect, Size};

use super::OutboardLeadCard;
use crate::book::problem::Wrong;
use crate::cards::flow::{self, Line};
use crate::cards::frame::{self, Frame, LINE_PITCH, Surround, draw_lines, lines_height};
use crate::cards::label::{Label, legend_cap_mm};
use crate::cards::scaled::{self, FINE, HEAVY, View, dashed, dot, note, ring};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight};
use crate::length::Length;

const ORDER: [&str; 6] = [
    "Block and tweaker on their eyes, tweaker slack.",
    "New sheet from the clew, outside lifelines and shrouds, through tweaker block and outboard block, to a free winch.",
    "Take up on the new sheet until it holds the sail.",
    "Only then ease the old sheet, slowly, and leave it slack.",
    "Tweaker in to its mark; look at leech and foot; trim.",
    "Before a tack: old sheet on, tweaker off, new sheet off.",
];
const CAUTION: &str = "Caution: loaded blocks. Never stand or reach inside the bight of the sheet. Keep within the makers' \
                       working loads, the class and the race rules; have pad eyes and rail holes looked at by a rigger.";
/// The smallest view that a hand can work from: 1 m aboard is this on the card.
const LEAST_SCALE: f64 = 0.008;
const MOST_SCALE: f64 = 0.05;
/// Room around the gear aboard.
const MARGIN_MM: f64 = 250.0;

pub fn outboard_lead(card: &OutboardLeadCard, label: &Label) -> Result<Drawing, Wrong> {
    frame::fitted(card.size.as_ref(), label, |size, least| {
        frame::both_ways(size, label).into_iter().find_map(|size| draw(card, label, size, least))
    })
}

fn draw(card: &OutboardLeadCard, label: &Label, size: Size, cap: f64) -> Option<Drawing> {
    let surround = Surround {
        title: vec!["Outboard lead".to_owned()],
        at_right: card.side.to_owned(),
        subtitle: card.sail.clone().unwrap_or_default(),
        foot: vec![(card.facts.join(" "), Weight::Regular), (CAUTION.to_owned(), Weight::Bold)],
    };
    let frame = Frame::new(size, &surround, label, cap)?;
    let body = frame.body;
    let columns = scaled::table(&card.tweaker, cap, body.width())?;
    let table_height = card.tweaker.len() as f64 * cap * LINE_PITCH + cap;
    let steps: Vec<Vec<Line>> = ORDER
        .iter()
        .enumerate()
        .map(|(index, step)| {
            let words = format!("{}. {step}", index + 1);
            flow::wrapped(&words, cap, Weight::Regular, CARD_DISTANCE, body.width())
        })
        .collect();
    let steps_height: f64 = steps.iter().map(|lines| lines_height(lines)).sum();
    let views = Rect::new(body.x0, body.y0, body.x1, body.y1 - table_height - steps_height - cap);
    let mut drawing = frame.start(
        format!("{}: outboard lead", card.boat),
        "Plan and side view to scale, tweaker table and order of rigging".to_owned(),
        label,
    );
    draw_views(&mut drawing, card, views)?;
    let mut y = views.y1 + cap / 2.0;
    drawing.print(Shape::line((body.x0, y), (body.x1, y), FINE));
    y += cap / 2.0;
    for (index, row) in card.tweaker.iter().enumerate() {
        for (cell, left) in row.iter().zip(&columns) {
            let weight = if index == 0 { Weight::Regular } else { Weight::Bold };
            drawing.print(Text::new(cell, (body.x0 + left, y + cap), Anchor::Start, cap, weight));
        }
        y += cap * LINE_PITCH;
    }
    drawing.print(Shape::line((body.x0, y), (body.x1, y), FINE));
    y += cap / 2.0;
    for lines in &steps {
        y = draw_lines(&mut drawing, lines, body.x0, y);
    }
    Some(drawing)
}

/// Plan above, side view below, one scale, the same places under each other.
fn draw_views(drawing: &mut Drawing, card: &OutboardLeadCard, area: Rect) -> Option<()> {
    let places = &card.places;
    let mut all = vec![places.tack, places.clew, places.car.1, places.outboard_block, places.pad_eye];
    all.extend(places.leads_on_to);
    all.extend(places.track.iter().map(|(_, place)| *place));
    all.extend(places.tweaker_block.iter().map(|(_, place)| *place));
    let span = |axis: usize, with: f64| {
        let values = all.iter().map(|place| place[axis]);
        let low = values.clone().fold(with, f64::min) - MARGIN_MM;
        (low, values.fold(with, f64::max) + MARGIN_MM)
    };
    let (x, y, z) = (span(0, places.tack[0]), span(1, 0.0), span(2, places.clew[2]));
    let words = legend_cap_mm() * LINE_PITCH;
    let room = Rect::new(area.x0, area.y0, area.x1, area.y1 - scaled::bar_height() - 2.0 * words);
    let heights = (y.1 - y.0) + (z.1 - z.0);
    let scale = (room.width() / (x.1 - x.0)).min(room.height() / heights).min(MOST_SCALE);
    if scale < LEAST_SCALE || room.height() <= 0.0 {
        return None;
    }
    let plan_area = Rect::new(room.x0, room.y0 + words, room.x1, room.y0 + words + (y.1 - y.0) * scale);
    let side_top = plan_area.y1 + words;
    let side_area = Rect::new(room.x0, side_top, room.x1, side_top + (z.1 - z.0) * scale);
    let plan = View::at(scale, Rect::new(x.0, y.0, x.1, y.1), plan_area);
    let side = View::at(scale, Rect::new(x.0, z.0, x.1, z.1), side_area);
    note(drawing, "← BOW. From above", (area.x0, area.y0 + legend_cap_mm()), Anchor::Start);
    note(drawing, "← BOW. From the side", (area.x0, side_top - words + legend_cap_mm()), Anchor::Start);
    draw_view(drawing, card, &plan, 1, (plan_area, x));
    draw_view(drawing, card, &side, 2, (side_area, x));
    scaled::scale_bar(
        drawing,
        scale,
        Point::new(area.x0, area.y1 - scaled::bar_height() / 2.0),
        area.width() / 2.0,
        card.units,
        "both views at one scale",
    );
    Some(())
}

fn draw_view(drawing: &mut Drawing, card: &OutboardLeadCard, view: &View, up: usize, (area, x): (Rect, (f64, f64))) {
    /// From a point to the baseline of the word right under it, in capital heights.
    const CLOSE_UNDER: f64 = 1.1;
    const DOT: f64 = 0.9;
    const TICK: f64 = 0.8;
    let places = &card.places;
    let at = |place: [f64; 3]| view.point(Length::mm(place[0]), Length::mm(place[up]));
    // Centreline in plan, waterline from the side.
    let nought = view.point(Length::ZERO, Length::ZERO).y;
    if (area.y0..=area.y1).contains(&nought) {
        drawing.print(dashed(Point::new(area.x0, nought), Point::new(area.x1, nought), FINE));
        let line = if up == 1 { "centreline" } else { "waterline" };
        note(drawing, line, (area.x1, nought - TICK), Anchor::End);
    }
    if up == 1 {
        let outward = if card.side == "PORT" { -1.0 } else { 1.0 };
        for ends in places.hull_line.windows(2) {
            // Only as much of the hull as the view shows.
            let part = |x: f64| {
                let part = (x - ends[0][0]) / (ends[1][0] - ends[0][0]);
                view.point(Length::mm(x), Length::mm((ends[0][1] + (ends[1][1] - ends[0][1]) * part) * outward))
            };
            let (from, to) = (ends[0][0].max(x.0), ends[1][0].min(x.1));
            if from < to {
                let (from, to) = (part(from), part(to));
                let inside = |point: Point| (area.y0..=area.y1).contains(&point.y);
                if inside(from) && inside(to) {
                    drawing.print(Shape::line(from, to, FINE * 2.0));
                }
            }
        }
    }
    let (tack, clew, eye, block) = (at(places.tack), at(places.clew), at(places.pad_eye), at(places.outboard_block));
    drawing.print(Shape::line(tack, clew, FINE));
    if let (Some(first), Some(last)) = (places.track.first(), places.track.last()) {
        drawing.print(Shape::line(at(first.1), at(last.1), HEAVY));
        for (_, place) in &places.track {
            let place = at(*place);
            drawing.print(Shape::line((place.x, place.y - TICK), (place.x, place.y + TICK), FINE));
        }
    }
    drawing.print(dashed(clew, at(places.car.1), FINE * 2.0));
    drawing.print(dashed(clew, block, FINE * 2.0));
    if let Some(on_to) = places.leads_on_to {
        drawing.print(Shape::line(block, at(on_to), FINE * 2.0));
        ring(drawing, at(on_to), DOT);
    }
    for (_, place) in &places.tweaker_block {
        let tweaker = at(*place);
        drawing.print(Shape::line(clew, tweaker, FINE));
        drawing.print(Shape::line(tweaker, block, FINE));
        drawing.print(Shape::line(tweaker, eye, FINE));
    }
    if let Some((_, place)) = places.tweaker_block.last() {
        let tweaker = at(*place);
        drawing.print(Shape::line(clew, tweaker, HEAVY));
        drawing.print(Shape::line(tweaker, block, HEAVY));
    }
    for (_, place) in &places.tweaker_block {
        ring(drawing, at(*place), DOT);
    }
    for place in [tack, clew, eye, block, at(places.car.1)] {
        dot(drawing, place, DOT);
    }
    let cap = legend_cap_mm();
    let above = |point: Point| Point::new(point.x, point.y - cap / 2.0 - DOT);
    let below = |point: Point| Point::new(point.x, point.y + cap * LINE_PITCH + DOT);
    note(drawing, "clew", above(clew), Anchor::End);
    let (out, inn): (&dyn Fn(Point) -> Point, &dyn Fn(Point) -> Point) =
        if up == 1 && card.side == "PORT" { (&below, &above) } else { (&above, &below) };
    let (low, aside) = if up == 1 { (out, Anchor::Middle) } else { (&below as &dyn Fn(Point) -> Point, Anchor::End) };
    // From above the rail runs past the tack on its outer side.
    let close = Point::new(tack.x, tack.y + cap * CLOSE_UNDER + DOT);
    let tack = if up == 1 && card.side != "PORT" { close } else { above(tack) };
    note(drawing, "tack", tack, Anchor::Start);
    note(drawing, "outboard block", low(block), Anchor::Middle);
    note(drawing, "pad eye", low(eye), aside);
    let lead = format!("lead {}", crate::tuning::mark::print(places.car.0));
    note(drawing, &lead, inn(at(places.car.1)), if up == 1 { Anchor::Middle } else { Anchor::Start });
    if let Some(on_to) = places.leads_on_to {
        note(drawing, "to winch", if up == 1 { inn(at(on_to)) } else { above(at(on_to)) }, Anchor::End);
    }
}
