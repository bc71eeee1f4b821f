//! Words on a curved strip: all of them on it, none on another, however tight the arc.

use crate::reading;

use cockpit_cards::cards::{self, Edition, Label};
use cockpit_cards::drawing::{Drawing, Text};
use kurbo::{Affine, Point, Shape as _, Vec2};
use proptest::prelude::*;
use reading::load;

/// How far ink may reach over the edge that is drawn in straight pieces, millimetres.
const OVER: f64 = 0.05;

/// The corners of the smallest rectangle in a text's own direction that holds its ink.
fn corners(text: &Text) -> Option<[Point; 4]> {
    let ink = (Affine::rotate(-text.turn) * text.outlines()).bounding_box();
    let corners = [(ink.x0, ink.y0), (ink.x1, ink.y0), (ink.x1, ink.y1), (ink.x0, ink.y1)];
    (ink.area() > 0.0).then(|| corners.map(|corner| Affine::rotate(text.turn) * Point::from(corner)))
}

/// Whether two turned rectangles share any area: no side of either parts them.
fn overlap(one: [Point; 4], other: [Point; 4]) -> bool {
    let sides = [one, other].into_iter().flat_map(|corners| [corners[1] - corners[0], corners[2] - corners[1]]);
    !sides.into_iter().any(|side| {
        let across: Vec2 = side.turn_90();
        let reach = |corners: [Point; 4]| {
            let places = corners.map(|corner| across.dot(corner.to_vec2()));
            (
                places.iter().copied().fold(f64::INFINITY, f64::min),
                places.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            )
        };
        let ((from, to), (low, high)) = (reach(one), reach(other));
        to <= low || high <= from
    })
}

fn faults(drawing: &Drawing) -> Vec<String> {
    let sector = drawing.sector.expect("a curved strip lies on a sector");
    let (inner, outer) = (sector.radius.min(sector.other_radius), sector.radius.max(sector.other_radius));
    let mut faults = Vec::new();
    let texts: Vec<&Text> = drawing.texts().filter(|text| text.content != "EXAMPLE").collect();
    for text in &texts {
        for element in text.outlines().elements() {
            let Some(end) = element.end_point() else { continue };
            let reach = (end - sector.centre).length();
            if reach < inner - OVER || reach > outer + OVER {
                faults
                    .push(format!("“{}” reaches over the edge: {reach:.2} of {inner:.2} to {outer:.2}", text.content));
                break;
            }
        }
    }
    let boxes: Vec<_> = texts.iter().filter_map(|text| Some((corners(text)?, text.content.as_str()))).collect();
    for (index, (one, first)) in boxes.iter().enumerate() {
        for (other, second) in &boxes[index + 1..] {
            if overlap(*one, *other) {
                faults.push(format!("“{first}” lies on “{second}”"));
            }
        }
    }
    faults
}

fn drawn(text: &str) -> Result<Drawing, String> {
    let loaded = load(text);
    let book = loaded.book.unwrap_or_else(|| panic!("a book: {:?} {text}", loaded.problems));
    let mut problems = Vec::new();
    let card = cards::cards(&book, &mut problems).into_iter().find(|card| card.kind == "strip");
    let card = card.ok_or_else(|| format!("{problems:?}"))?;
    cards::draw(&card, &Label::new(&book, &card.stamp, Edition::Draft), &mut problems)
        .ok_or_else(|| format!("{problems:?}"))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn words_on_an_arc_stay_on_it_and_off_each_other(
        radius in prop_oneof![150_u32..400, 400_u32..3000],
        last in 4_u32..40,
        spacing in 8_u32..60,
        width in 22_u32..50,
        way in prop::sample::select(&["grows: up", "grows: port, reader_stands: aft", "grows: down", "grows: aft, reader_stands: inboard, sides: port"][..]),
        near in any::<bool>(),
        more in prop::sample::subsequence(
            vec!["pointer: forward edge of the car", "datum: {from: port track stop, distance: 120 mm}",
                 "winds: [up, up]", "place: cabin top under the dodger", "beside: {0: 10 bar, 2: 120 bar}"], 0..=5),
        name in prop::sample::select(&["Car", "Mainsheet traveller", "Genoa lead, outer track on the side deck"][..]),
        limit in any::<bool>(),
    ) {
        let level = way.contains("reader");
        let middle = match (level, near) { (true, true) => "near", (true, _) => "far", (_, true) => "right", _ => "left" };
        let limit = if limit { "limit: {never_above: 3, why: the car jumps off its track}, " } else { "" };
        let half = last / 2;
        let text = format!(
            "book: 1\nboat: {{name: Pepperwort}}\ncontrols:\n  lead: {{name: \"{name}\", higher_is: tighter, {limit}scale: {{marks: 0..{last}, spacing: {spacing} mm}}, strip: {{{way}, width: {width} mm, reading_distance: 700 mm, arc: {{radius: {radius} mm, middle: {middle}}}, {}}}}}\nsails: {{j: {{kind: headsail}}}}\nsettings:\n  - {{id: up, sails: [j], point_of_sail: upwind, controls: [lead], at: {{6: [0], 9: [{half}], 15: [{last}]}}}}\n",
            more.join(", ")
        );
        let text = if limit.is_empty() { text } else { text.replace(&format!("15: [{last}]"), "15: [3]").replace(&format!("9: [{half}]"), "9: [2]") };
        match drawn(&text) {
            // Too many words, or too tight: said, not drawn.
            Err(said) => prop_assert!(said.contains("width") || said.contains("radius") || said.contains("further apart"), "{}", said),
            Ok(drawing) => prop_assert!(faults(&drawing).is_empty(), "{:?}\n{}", faults(&drawing), text),
        }
    }
}

#[test]
fn words_on_the_tightest_arcs_have_the_room_of_the_inner_edge() {
    for (radius, width, spacing, last) in [(160, 30, 20, 12), (150, 40, 15, 20), (180, 60, 14, 34)] {
        let beside: Vec<String> = (0..=last).map(|mark| format!("{mark}: {} bar", 100 + mark)).collect();
        let beside = beside.join(", ");
        let text = format!(
            "book: 1\nboat: {{name: Chervil}}\ncontrols:\n  car: {{higher_is: tighter, scale: {{marks: 0..{last}, spacing: {spacing} mm}}, strip: {{width: {width} mm, reading_distance: 1.1 m, beside: {{{beside}}}, arc: {{radius: {radius} mm, middle: near}}}}}}\n"
        );
        let drawing = drawn(&text).unwrap_or_else(|said| panic!("{said}"));
        assert_eq!(faults(&drawing), Vec::<String>::new(), "{text}");
    }
}
