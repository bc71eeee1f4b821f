//! How the card of an outboard lead is laid out: plan over side view at one scale, the tweaker's table, the order of
//! rigging. Knows no arithmetic of gear.

use crate::wrong::Wrong;
use kurbo::{Point, Rect, Size};

use super::OutboardLeadCard;
use crate::cards::parts::frame::{Frame, LINE_PITCH, Surround};
use crate::cards::parts::gear::{self, Steps};
use crate::cards::parts::label::{Label, legend_cap_mm};
use crate::cards::parts::placing::{ABOVE, BELOW, Named, Placing};
use crate::cards::parts::scaled::{self, FINE, HEAVY, View, dashed, dot, note, ring};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight};
use crate::length::Length;
use crate::tuning::mark::print;

const CAUTION: &str = "LOADED BLOCKS: keep out of the bight of the sheet.";
const WITHIN_LIMITS: &str = "Keep within the makers' working loads, the class and the race rules; have pad eyes and rail holes \
                             looked at by a rigger.";
/// The smallest view that a hand can work from: 1 m aboard is this on the card.
const LEAST_SCALE: f64 = 0.008;
const MOST_SCALE: f64 = 0.05;
/// Room around the gear aboard.
pub(super) const MARGIN_MM: f64 = 250.0;
/// Of the foot of the sail so much is drawn, on the card.
const FOOT_SHOWN: f64 = 6.0;
/// Dot and gap, and the samples of lines in the key, all in millimetres.
const DOTS: (f64, f64) = (0.5, 0.9);
const KEY_LINE: f64 = 9.0;

pub fn outboard_lead(card: &OutboardLeadCard, label: &Label) -> Result<Drawing, Wrong> {
    gear::fitted(card.size.as_ref(), label, |size, least| draw(card, label, size, least))
}

fn draw(card: &OutboardLeadCard, label: &Label, size: Size, cap: f64) -> Option<Drawing> {
    let surround = Surround {
        title: vec!["Outboard lead".to_owned()],
        at_right: card.side.to_owned(),
        kind: card.sail.clone().unwrap_or_default(),
        subtitle: format!("compared with lead {}", print(card.places.car.0)),
        must: card.cautions.iter().cloned().chain([CAUTION.to_owned()]).chain(card.loads.iter().cloned()).collect(),
        foot: vec![format!("{} {WITHIN_LIMITS}", card.facts.join(" "))],
        ..Surround::default()
    };
    let frame = Frame::new(size, &surround, label, cap)?;
    let body = frame.body;
    let table = gear::small_table(&card.tweaker, CARD_DISTANCE, Weight::Regular, Weight::Bold);
    let table = table.measured();
    let table = table.laid_out(cap, body.width())?;
    let steps = Steps::new(card.steps.iter().copied(), cap, body.width());
    let views = Rect::new(body.x0, body.y0, body.x1, body.y1 - table.height() - steps.height() - cap);
    let mut drawing = frame.start(
        format!("{}: outboard lead", card.boat),
        "Plan and side view to scale, tweaker table and order of rigging".to_owned(),
        label,
    );
    draw_views(&mut drawing, card, views)?;
    let foot = table.draw(&mut drawing, Point::new(body.x0, views.y1 + cap / 2.0));
    steps.draw(&mut drawing, body.x0, foot + cap / 2.0);
    Some(drawing)
}

/// Plan above, side view below, one scale, the same places under each other.
fn draw_views(drawing: &mut Drawing, card: &OutboardLeadCard, area: Rect) -> Option<()> {
    let places = &card.places;
    let mut all = vec![places.clew, places.car.1, places.outboard_block, places.pad_eye];
    all.extend(places.leads_on_to);
    all.extend(places.track.iter().map(|(_, place)| *place));
    all.extend(places.tweaker_block.iter().map(|(_, place)| *place));
    let span = |axis: usize, with: f64| {
        let values = all.iter().map(|place| place[axis]);
        let low = values.clone().fold(with, f64::min) - MARGIN_MM;
        (low, values.fold(with, f64::max) + MARGIN_MM)
    };
    let [x, y, z] = [0, 1, 2].map(|axis| span(axis, places.clew[axis]));
    let words = legend_cap_mm() * LINE_PITCH;
    let room = Rect::new(area.x0, area.y0, area.x1, area.y1 - scaled::bar_height() - 3.0 * words);
    let heights = (y.1 - y.0) + (z.1 - z.0);
    let scale = (room.width() / (x.1 - x.0)).min(room.height() / heights).min(MOST_SCALE);
    if scale < LEAST_SCALE || room.height() <= 0.0 {
        return None;
    }
    // What the width leaves of the height is room for names.
    let spare = (room.height() - heights * scale) / 2.0;
    let plan_area = Rect::new(room.x0, room.y0 + words, room.x1, room.y0 + words + (y.1 - y.0) * scale + spare);
    let side_top = plan_area.y1 + words;
    let side_area = Rect::new(room.x0, side_top, room.x1, side_top + (z.1 - z.0) * scale + spare);
    let plan = View::at(scale, Rect::new(x.0, y.0, x.1, y.1), plan_area);
    let side = View::at(scale, Rect::new(x.0, z.0, x.1, z.1), side_area);
    let mut placing = Placing::within(room);
    placing.to_rim = true;
    let top = area.y0 + legend_cap_mm();
    for (words, top) in [("← BOW. From above", top), ("← BOW. From the side", top + plan_area.y1 - area.y0)] {
        placing.hold_words(note(drawing, words, (area.x0, top), Anchor::Start));
    }
    draw_view(drawing, &mut placing, card, &plan, 1, (plan_area, x))?;
    draw_view(drawing, &mut placing, card, &side, 2, (side_area, x))?;
    draw_key(drawing, card, Point::new(area.x0, area.y1 - scaled::bar_height() - words / 2.0), area.width());
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

/// One view with the names of everything in it; `None` if a name has no room.
fn draw_view(
    drawing: &mut Drawing,
    placing: &mut Placing,
    card: &OutboardLeadCard,
    view: &View,
    up: usize,
    (area, x): (Rect, (f64, f64)),
) -> Option<()> {
    const DOT: f64 = 0.9;
    const TICK: f64 = 0.8;
    let places = &card.places;
    let at = |place: [f64; 3]| view.point(Length::mm(place[0]), Length::mm(place[up]));
    let mut line = |drawing: &mut Drawing, from: Point, to: Point, width: f64| {
        placing.hold_line(from, to);
        drawing.print(Shape::line(from, to, width));
    };
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
                    line(drawing, from, to, FINE * 2.0);
                }
            }
        }
    }
    let (tack, clew, eye, block) = (at(places.tack), at(places.clew), at(places.pad_eye), at(places.outboard_block));
    let car = at(places.car.1);
    // Of the foot as much as the view shows.
    let foot = clew + (tack - clew) * (FOOT_SHOWN / (tack - clew).hypot().max(FOOT_SHOWN));
    line(drawing, clew, foot, FINE);
    if let (Some(first), Some(last)) = (places.track.first(), places.track.last()) {
        line(drawing, at(first.1), at(last.1), HEAVY);
        for (_, place) in &places.track {
            let place = at(*place);
            line(drawing, Point::new(place.x, place.y - TICK), Point::new(place.x, place.y + TICK), FINE);
        }
    }
    if let Some(on_to) = places.leads_on_to {
        line(drawing, block, at(on_to), FINE * 2.0);
    }
    for (_, place) in &places.tweaker_block {
        line(drawing, at(*place), eye, FINE);
    }
    if let Some((_, place)) = places.tweaker_block.last() {
        for end in [clew, block] {
            line(drawing, at(*place), end, HEAVY);
        }
    }
    drawing.print(dashed(clew, car, FINE * 2.0));
    drawing.print(dotted(clew, block));
    for end in [car, block] {
        placing.hold_line(clew, end);
    }
    for (_, place) in &places.tweaker_block {
        ring(drawing, at(*place), DOT);
        placing.hold_disc(at(*place), DOT);
    }
    if let Some(on_to) = places.leads_on_to {
        ring(drawing, at(on_to), DOT);
        placing.hold_disc(at(on_to), DOT);
    }
    for place in [clew, eye, block, car] {
        dot(drawing, place, DOT);
        placing.hold_disc(place, DOT);
    }
    placing.area = Rect::new(area.x0, area.y0 - legend_cap_mm() * LINE_PITCH, area.x1, area.y1);
    // Centreline in plan, waterline from the side.
    let centreline = view.point(Length::ZERO, Length::ZERO).y;
    if (area.y0..=area.y1).contains(&centreline) {
        let (bow, stern) = (Point::new(area.x0, centreline), Point::new(area.x1, centreline));
        drawing.print(dashed(bow, stern, FINE));
        placing.hold_line(bow, stern);
        let words = scaled::legend(if up == 1 { "centreline" } else { "waterline" });
        let along = Point::new(area.x1 - words.width() / 2.0, centreline);
        placing.set_beside(drawing, &words, Named::new(along, 0.0, ABOVE))?;
    }
    // From above, gear on the rail is named outside the boat, and the rest inside.
    let (outside, inside) = match (up, card.side) {
        (1, "PORT") => (BELOW, ABOVE),
        (1, _) => (ABOVE, BELOW),
        _ => (BELOW, BELOW),
    };
    let lead = format!("lead {}", print(places.car.0));
    let on_to = places.leads_on_to.map(|on_to| ("to winch", at(on_to), if up == 1 { inside } else { ABOVE }));
    let names = [
        ("clew", clew, ABOVE),
        ("outboard block", block, outside),
        ("pad eye", eye, outside),
        (lead.as_str(), car, inside),
    ];
    for (name, point, best) in names.into_iter().chain(on_to) {
        placing.set_beside(drawing, &scaled::legend(name), Named::new(point, DOT, best))?;
    }
    // The table tells the marks too, so one that finds no room is left out.
    for (mark, place) in &places.tweaker_block {
        let words = Text { weight: Weight::Bold, ..scaled::legend(&print(*mark)) };
        placing.set_beside(drawing, &words, Named::new(at(*place), DOT, if up == 1 { inside } else { ABOVE }));
    }
    Some(())
}

/// A line of points: where the sheet goes if the tweaker is slack.
fn dotted(from: Point, to: Point) -> Shape {
    match Shape::line(from, to, FINE * 2.0) {
        Shape::Stroke { path, colour, width, .. } => Shape::Stroke { path, colour, width, dash: Some(DOTS) },
        other => other,
    }
}

/// What the lines of both views are.
fn draw_key(drawing: &mut Drawing, card: &OutboardLeadCard, at: Point, width: f64) {
    let sheet = card.places.tweaker_block.last().map(|(mark, _)| format!("sheet, tweaker at {}", print(*mark)));
    let keys = [sheet, Some("tweaker slack".to_owned()), Some("usual sheet".to_owned())];
    let step = width / keys.len() as f64;
    for (index, words) in keys.into_iter().enumerate() {
        let Some(words) = words else { continue };
        let from = Point::new(at.x + step * index as f64, at.y);
        let to = from + (KEY_LINE, 0.0);
        drawing.print(match index {
            0 => Shape::line(from, to, HEAVY),
            1 => dotted(from, to),
            _ => dashed(from, to, FINE * 2.0),
        });
        note(drawing, &words, (to.x + 1.5, at.y + legend_cap_mm() / 2.0), Anchor::Start);
    }
}
