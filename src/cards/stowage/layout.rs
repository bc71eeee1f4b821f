//! How the card of the stowage is laid out: where everything goes in words, two views to scale in which each thing bears
//! its number, and how the boat floats. Knows no arithmetic of gear.

use crate::wrong::Wrong;
use std::f64::consts::TAU;

use kurbo::{Arc, BezPath, Circle, Point, Rect, Size, Triangle, Vec2};

use super::{Disc, Figure, Floats, StowageCard};
use crate::cards::parts::flow::{self, Line};
use crate::cards::parts::frame::{Frame, LINE_PITCH, Surround, draw_lines, lines_height};
use crate::cards::parts::gear;
use crate::cards::parts::label::{Label, legend_cap_mm};
use crate::cards::parts::placing::{ABOVE, BELOW, Named, Placing};
use crate::cards::parts::scaled::{self, FINE, View, note};
use crate::drawing::legibility::{CARD_DISTANCE, LEGEND_DISTANCE};
use crate::drawing::line_breaks::{Run, Word, Words};
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, TypeSize, Weight};
use crate::length::Length;

/// Racing Rules of Sailing, rule 51, Movable Ballast (from memory).
const CAUTION: &str = "Shifting gear for trim or stability while racing is restricted: Racing Rules of Sailing 51, Movable \
                       Ballast. Check the rules in force. Lash heavy gear: it must not come adrift in a knockdown.";
const LEGEND: &str =
    "Disc: as planned, mass by area. Dashed: as it was. △ ▲ their centres. Heights from the waterline.";
/// Over and under the heights together, in capital heights.
const HEIGHTS_GAP: f64 = 0.5;
/// The largest disc, millimetres across.
const LARGEST_DISC: f64 = 8.0;
const DISC_CLEAR: f64 = 0.8;
/// Light enough for a number on it.
const DISC_INK: Colour = Colour::grey(0.85);
const LEAST_SCALE: f64 = 0.005;
const MOST_SCALE: f64 = 0.05;
/// Ahead and astern of all, millimetres aboard.
const MARGIN_MM: f64 = 300.0;
/// Things whose middles are no further apart on the card, millimetres, bear their numbers together.
const ONE_PLACE: f64 = 1.0;
/// At the largest disc, 0.005 mm off.
const RIM_CORNERS: u32 = 64;
/// A disc that leaves less than this of the rim of a larger one to see, millimetres, would only blacken it.
const LEAST_RIM: f64 = 0.5;
/// From the middle of one dash of a ring to that of the next, millimetres.
const DASH_PITCH: f64 = 1.3;
const LEAST_DASHES: f64 = 5.0;
/// Half the width of the sign of a centre, and the room it takes from the view down, millimetres.
const CENTRE_SIGN: f64 = 1.1;
const CENTRE_ROW: f64 = 2.6;
/// Above and below a line that shows stem and stern, millimetres.
const END_TICK: f64 = 1.0;
/// From this many numbers in a row on they are told by the first and the last.
const LEAST_RUN: usize = 3;

pub fn stowage(card: &StowageCard, label: &Label) -> Result<Drawing, Wrong> {
    gear::fitted(card.size.as_ref(), label, |size, least| draw(card, label, size, least))
}

fn draw(card: &StowageCard, label: &Label, size: Size, cap: f64) -> Option<Drawing> {
    let surround =
        Surround { title: vec!["Stowage".to_owned()], must: vec![CAUTION.to_owned()], ..Surround::default() };
    let frame = Frame::new(size, &surround, label, cap)?;
    let body = frame.body;
    let states = gear::small_table(&state_rows(card), LEGEND_DISTANCE, Weight::Bold, Weight::Regular);
    let states = states.measured();
    let states = states.laid_out(legend_cap_mm(), body.width())?;
    let mut drawing =
        frame.start(format!("{}: stowage", card.boat), "Where the gear goes, with views to scale".to_owned(), label);
    let top = draw_list(&mut drawing, card, cap, body);
    let heights: Vec<_> = heights(card, cap, body.width());
    let foot = body.y1 - states.height();
    let views = Rect::new(body.x0, top + cap, body.x1, foot - lines_height(&heights) - cap * HEIGHTS_GAP);
    draw_views(&mut drawing, card, cap, views)?;
    draw_lines(&mut drawing, &heights, body.x0, views.y1 + cap * HEIGHTS_GAP / 2.0);
    states.draw(&mut drawing, Point::new(body.x0, foot));
    Some(drawing)
}

/// The heights, on one line if they fit, else each from a line of its own.
fn heights(card: &StowageCard, cap: f64, width: f64) -> Vec<Line> {
    let wrapped = |words: &str| flow::wrapped(words, cap, Weight::Bold, CARD_DISTANCE, width);
    let together = wrapped(&card.heights.join(" "));
    if together.len() > 1 { card.heights.iter().flat_map(|words| wrapped(words)).collect() } else { together }
}

/// The states as rows of a table, heads first.
fn state_rows(card: &StowageCard) -> Vec<Vec<String>> {
    let row = |first: &str, cells: &dyn Fn(&Figure) -> String, state: &Floats| -> Vec<String> {
        std::iter::once(first.to_owned()).chain(state.figures.iter().map(cells)).collect()
    };
    let head = |figure: &Figure| format!("{} {}", figure.name.to_uppercase(), figure.unit);
    let cell = |figure: &Figure| format!("{} {}", figure.size, figure.way).trim_end().to_owned();
    let heads = card.states.first().map(|state| row("STAGE", &head, state));
    heads.into_iter().chain(card.states.iter().map(|state| row(&state.stage, &cell, state))).collect()
}

/// Places and what goes there, then what each stage changes, a thing and its number on one line where it fits; gives
/// where the last line ends.
fn draw_list(drawing: &mut Drawing, card: &StowageCard, cap: f64, body: Rect) -> f64 {
    let ashore = (!card.ashore.is_empty()).then_some(("STAYS ASHORE", &card.ashore));
    let (mut top, mut numbers) = (body.y0, 1_usize..);
    for (to, gear) in card.destinations.iter().map(|place| (place.to.as_str(), &place.gear)).chain(ashore) {
        let things: Vec<_> = gear.iter().map(String::as_str).zip(numbers.by_ref()).collect();
        top = draw_things(drawing, to, &things, ",", (cap, body, top));
    }
    for at in &card.changes {
        let things: Vec<_> = at.gear.iter().map(|changed| (changed.says.as_str(), changed.number)).collect();
        top = draw_things(drawing, at.from, &things, ";", (cap, body, top));
    }
    top
}

/// A head and the things that stand under it, each behind its number; gives where the last line ends.
fn draw_things(
    drawing: &mut Drawing,
    head: &str,
    things: &[(&str, usize)],
    between: &str,
    (cap, body, mut top): (f64, Rect, f64),
) -> f64 {
    let last = things.len().saturating_sub(1);
    let things = things.iter().enumerate().map(|(index, (thing, number))| {
        let end = if index < last { between } else { "" };
        (number.to_string(), format!("{thing}{end}"))
    });
    let (head, things): (String, Vec<_>) = (format!("{head}:"), things.collect());
    let groups =
        things.iter().map(|(number, thing)| vec![(number.as_str(), Weight::Bold), (thing.as_str(), Weight::Regular)]);
    // The words of a place may be broken anywhere.
    let head = head.split_whitespace().map(|word| vec![(word, Weight::Bold)]);
    let size = TypeSize::in_hand(cap);
    for line in Words::of_groups(head.chain(groups)).lines(size, body.width()) {
        for Run { x, text: words, weight, .. } in Word::runs(line, size) {
            drawing.print(Text::new(words, (body.x0 + x, top + cap), Anchor::Start, cap, weight));
        }
        top += cap * LINE_PITCH;
    }
    top
}

/// From port over from above, one scale, the same places under each other.
fn draw_views(drawing: &mut Drawing, card: &StowageCard, cap: f64, area: Rect) -> Option<()> {
    let places: Vec<[f64; 3]> = card.discs.iter().flat_map(|disc| disc.at.into_iter().chain(disc.was)).collect();
    let span = |axis: usize| {
        let values = places.iter().map(|place| place[axis]);
        (values.clone().fold(0.0, f64::min), values.fold(0.0, f64::max))
    };
    let (mut x, y, z) = (span(0), span(1), span(2));
    // The whole boat, so that an eye can place the discs.
    x = (x.0 - MARGIN_MM, x.1.max(card.length_mm.unwrap_or(0.0)) + MARGIN_MM);
    let row = legend_cap_mm() * LINE_PITCH;
    let legend = format!("{LEGEND} {}", card.pitching);
    let legend = flow::wrapped(&legend, legend_cap_mm(), Weight::Regular, LEGEND_DISTANCE, area.width());
    // A disc stands out over the place of what it weighs, and clear of the words over and under the view.
    let around = LARGEST_DISC + DISC_CLEAR;
    let room = area.height() - 2.0 * (row + around) - CENTRE_ROW - lines_height(&legend) - scaled::bar_height();
    let scale = (area.width() / (x.1 - x.0)).min(room / (y.1 - y.0 + z.1 - z.0)).min(MOST_SCALE);
    if scale < LEAST_SCALE {
        return None;
    }
    let spare = room - (y.1 - y.0 + z.1 - z.0) * scale;
    let mut placing = Placing::within(area);
    let mut top = area.y0;
    for (axis, span, words) in
        [(2, z, "← BOW. From port; line: waterline"), (1, y, "← BOW. From above; line: centreline")]
    {
        placing.hold_words(note(drawing, words, (area.x0, top + legend_cap_mm()), Anchor::Start));
        let upper = top + row;
        let band = Rect::new(area.x0, upper, area.x1, upper + (span.1 - span.0) * scale + around + spare / 2.0);
        let view = View::at(scale, Rect::new(x.0, span.0, x.1, span.1), band);
        top = band.y1;
        // The words under a view have tall letters.
        placing.area = Rect { y1: band.y1 - DISC_CLEAR, ..band };
        draw_view(drawing, &mut placing, card, cap, (&view, axis))?;
        if axis == 2 {
            draw_centres(drawing, card, &view, top);
            top += CENTRE_ROW;
        }
    }
    top = draw_lines(drawing, &legend, area.x0, top);
    let bar = Point::new(area.x0, top + scaled::bar_height() / 2.0);
    scaled::scale_bar(drawing, scale, bar, area.width() / 3.0, card.units, "both views at one scale");
    Some(())
}

/// One view with every number in it; `None` if a number has no room.
fn draw_view(
    drawing: &mut Drawing,
    placing: &mut Placing,
    card: &StowageCard,
    cap: f64,
    (view, axis): (&View, usize),
) -> Option<()> {
    let at = |place: [f64; 3]| view.point(Length::mm(place[0]), Length::mm(place[axis]));
    let origin = at([0.0; 3]);
    let ends = match card.length_mm {
        Some(length) => (origin, at([length, 0.0, 0.0])),
        None => (Point::new(placing.area.x0, origin.y), Point::new(placing.area.x1, origin.y)),
    };
    drawing.print(Shape::line(ends.0, ends.1, FINE));
    placing.hold_line(ends.0, ends.1);
    if card.length_mm.is_some() {
        let tick = Vec2::new(0.0, END_TICK);
        for end in [ends.0, ends.1] {
            drawing.print(Shape::line(end - tick, end + tick, FINE));
            placing.hold_line(end - tick, end + tick);
        }
    }
    let heaviest = card.discs.iter().map(|disc| disc.mass_kg).fold(f64::MIN_POSITIVE, f64::max);
    // Area, not width, goes with mass.
    let circle =
        |disc: &Disc, place: [f64; 3]| Circle::new(at(place), (disc.mass_kg / heaviest).sqrt() * LARGEST_DISC / 2.0);
    for disc in &card.discs {
        let Some(was) = disc.was.map(|was| circle(disc, was)) else { continue };
        draw_dashed_ring(drawing, was);
        placing.hold_disc(was.center, was.radius);
        let Some(now) = disc.at.map(at) else { continue };
        let way = now - was.center;
        if way.hypot() > 2.0 * was.radius {
            let to_rim = way.normalize() * was.radius;
            drawing.print(Shape::line(was.center + to_rim, now - to_rim, FINE));
            placing.hold_line(was.center + to_rim, now - to_rim);
        }
    }
    let mut aboard: Vec<(usize, Circle)> = numbered(card, |disc| Some(circle(disc, disc.at?)));
    let ashore = numbered(card, |disc| disc.was.filter(|_| disc.at.is_none()).map(|was| circle(disc, was)));
    let moved = numbered(card, |disc| disc.was.filter(|_| disc.at.is_some()).map(|was| circle(disc, was)));
    // Small things over large ones.
    aboard.sort_by(|a, b| b.1.radius.total_cmp(&a.1.radius));
    let mut drawn: Vec<Circle> = Vec::new();
    for (_, disc) in &aboard {
        let hides = |other: &Circle| other.center.distance(disc.center) + other.radius - disc.radius < LEAST_RIM;
        if drawn.iter().any(hides) {
            continue;
        }
        drawing.print(Shape::fill(*disc, DISC_INK));
        drawing.print(Shape::stroke(rim(*disc), FINE));
        placing.hold_disc(disc.center, disc.radius);
        drawn.push(*disc);
    }
    let best = |disc: Circle| if disc.center.y > origin.y { BELOW } else { ABOVE };
    for group in groups(aboard).into_iter().chain(groups(ashore)) {
        let words = Text::new(number_words(group.numbers), Point::ZERO, Anchor::Start, cap, Weight::Bold);
        let Group { disc, .. } = group;
        if !(group.alone && placing.set_inside(drawing, &words, disc)) {
            placing.set_beside(drawing, &words, Named::new(disc.center, disc.radius, best(disc)))?;
        }
    }
    // The line from where a thing was tells which it is, so a number there is only set where it finds room close by.
    for group in groups(moved) {
        let words = Text::new(number_words(group.numbers), Point::ZERO, Anchor::Start, cap, Weight::Regular);
        let Group { disc, .. } = group;
        if !(group.alone && placing.set_inside(drawing, &words, disc)) {
            placing.set_close(drawing, &words, Named::new(disc.center, disc.radius, best(disc)));
        }
    }
    Some(())
}

fn numbered(card: &StowageCard, circle: impl Fn(&Disc) -> Option<Circle>) -> Vec<(usize, Circle)> {
    (1..).zip(&card.discs).filter_map(|(number, disc)| Some((number, circle(disc)?))).collect()
}

/// What lies in one place as far as the card can show: all its numbers, and the largest of its discs.
struct Group {
    numbers: Vec<usize>,
    disc: Circle,
    alone: bool,
}

fn groups(discs: Vec<(usize, Circle)>) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (number, disc) in discs {
        match groups.iter_mut().find(|group| group.disc.center.distance(disc.center) <= ONE_PLACE) {
            Some(group) => {
                group.numbers.push(number);
                group.alone = false;
            }
            None => groups.push(Group { numbers: vec![number], disc, alone: true }),
        }
    }
    groups
}

/// `1, 4 to 7, 9`.
fn number_words(mut numbers: Vec<usize>) -> String {
    numbers.sort_unstable();
    let runs = numbers.chunk_by(|a, b| a + 1 == *b).flat_map(|run| match run {
        [first, .., last] if run.len() >= LEAST_RUN => vec![format!("{first} to {last}")],
        few => few.iter().map(usize::to_string).collect(),
    });
    runs.collect::<Vec<_>>().join(", ")
}

/// A circle of straight pieces, none of which leaves the round one by more than a printer shows: renderers agree on
/// the edges of straight lines to the pixel, not on those of curved ones.
fn rim(disc: Circle) -> BezPath {
    let corner =
        |index: u32| disc.center + Vec2::from_angle(f64::from(index) * TAU / f64::from(RIM_CORNERS)) * disc.radius;
    let mut path = BezPath::new();
    path.move_to(corner(0));
    (1..RIM_CORNERS).for_each(|index| path.line_to(corner(index)));
    path.close_path();
    path
}

/// Dashes of one length all the way round, whatever the size.
fn draw_dashed_ring(drawing: &mut Drawing, ring: Circle) {
    let dashes = (TAU * ring.radius / DASH_PITCH).round().max(LEAST_DASHES);
    for dash in 0..dashes as u32 {
        let start = f64::from(dash) * TAU / dashes;
        let radii = Vec2::new(ring.radius, ring.radius);
        drawing.print(Shape::stroke(Arc::new(ring.center, radii, start, TAU / dashes / 2.0, 0.0), FINE * 2.0));
    }
}

/// The centre of all the gear, fore and aft, before and after: a sign under the view from the side.
fn draw_centres(drawing: &mut Drawing, card: &StowageCard, view: &View, top: f64) {
    let sign = |centre: [f64; 3]| {
        let peak = Point::new(view.point(Length::mm(centre[0]), Length::ZERO).x, top);
        let foot = Vec2::new(CENTRE_SIGN, CENTRE_SIGN * 3.0_f64.sqrt());
        Triangle::new(peak, peak + foot, peak + Vec2::new(-foot.x, foot.y))
    };
    if let Some(old) = card.old_centre {
        drawing.print(Shape::stroke(sign(old), FINE));
    }
    if let Some(new) = card.new_centre {
        drawing.print(Shape::fill(sign(new), Colour::BLACK));
    }
}
