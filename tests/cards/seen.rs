//! Every text and sign of the examples' cards stands out from what lies under it: in white light, under a red lamp, and
//! for people who tell fewer colours apart.
use crate::common;

use cockpit_cards::drawing::sight::Sight;
use cockpit_cards::drawing::{Colour, Drawing, Item, Layer, Shape};
use common::whole;
use kurbo::{BezPath, ParamCurve, ParamCurveDeriv, ParamCurveNearest, PathSeg, Point, Rect, Shape as _};

/// What large text and signs need (WCAG 2.1, success criteria 1.4.3 and 1.4.11).
const LEAST: f64 = 3.0;
/// Part of a text or a sign that has to stand out; a rule or a hatch may cross the rest.
const MOST_OF_IT: f64 = 0.9;

/// What is drawn with its outline and the box around it.
type Inked = (Item, BezPath, Rect);

fn on(path: &BezPath, around: Rect, at: Point, width: f64) -> bool {
    around.inflate(width, width).contains(at)
        && path.segments().any(|segment| segment.nearest(at, 0.01).distance_sq.sqrt() <= width / 2.0)
}

/// What one sees at a place of what is drawn first.
fn seen_at(drawn: &[Inked], at: Point) -> Colour {
    let inked = drawn.iter().rev().find_map(|(item, outline, around)| match &item.shape {
        Shape::Fill { colour, .. } => (around.contains(at) && outline.contains(at)).then_some(*colour),
        Shape::Text(text) => (around.contains(at) && outline.contains(at)).then_some(text.colour),
        Shape::Stroke { width, colour, dash: None, .. } => on(outline, *around, at, *width).then_some(*colour),
        Shape::Stroke { .. } => None,
    });
    inked.unwrap_or(Colour::WHITE)
}

fn outline(item: &Item) -> BezPath {
    match &item.shape {
        Shape::Fill { path, .. } | Shape::Stroke { path, .. } => path.clone(),
        Shape::Text(text) => text.outlines(),
    }
}

/// Places along a path and the direction across it.
fn places(path: &BezPath) -> Vec<(Point, kurbo::Vec2)> {
    let segments: Vec<PathSeg> = path.segments().collect();
    let step = (segments.len() / 24).max(1);
    let place = |segment: &PathSeg| {
        let along = segment.to_cubic().deriv().eval(0.5).to_vec2();
        (segment.eval(0.5), kurbo::Vec2::new(-along.y, along.x) / along.hypot().max(1e-9))
    };
    segments.iter().step_by(step).map(place).collect()
}

/// What one sees on either side of a line, or of the outline of a letter or a sign, at some places of it.
fn sides(drawn: &[Inked], path: &BezPath, half: f64) -> Vec<[Colour; 2]> {
    let beside =
        |(at, across): (Point, kurbo::Vec2)| [half + 0.05, -half - 0.05].map(|away| seen_at(drawn, at + across * away));
    places(path).into_iter().map(beside).collect()
}

/// The texts and signs of a drawing that cannot be told from what lies under them, with how they are seen.
fn lost(drawing: &Drawing) -> Vec<String> {
    let printed: Vec<Item> = drawing.items.iter().filter(|item| item.layer == Layer::Print).cloned().collect();
    let inked = |item: Item| {
        let outline = outline(&item);
        let around = outline.bounding_box();
        (item, outline, around)
    };
    let printed: Vec<Inked> = printed.into_iter().map(inked).collect();
    let mut lost = Vec::new();
    for (index, (item, outline, around)) in printed.iter().enumerate() {
        // Lines and signs that run into each other in one ink are one sign; a word has to stand out by itself.
        let (colour, half, joins, what) = match &item.shape {
            Shape::Text(text) if text.content == "EXAMPLE" || text.content.trim().is_empty() => continue,
            Shape::Text(text) => (text.colour, 0.0, false, format!("“{}”", text.content)),
            Shape::Stroke { colour, width, .. } => (*colour, width / 2.0, true, "a line".to_owned()),
            // What is not black is a ground for words and lines: each tape bears its name and an outline.
            Shape::Fill { colour, .. } if *colour != Colour::BLACK => continue,
            Shape::Fill { colour, .. } => (*colour, 0.0, true, "a sign".to_owned()),
        };
        let sides = sides(&printed[..index], outline, half);
        for sight in Sight::ALL {
            let tells = |ground: &Colour| (joins && *ground == colour) || sight.contrast(colour, *ground) >= LEAST;
            let share = sides.iter().filter(|both| both.iter().any(tells)).count() as f64 / sides.len().max(1) as f64;
            if share < MOST_OF_IT && !sides.is_empty() {
                lost.push(format!("{what} at {:?}, {}: {share:.2}", around.center(), sight.name));
            }
        }
    }
    lost
}

#[test]
fn every_text_and_sign_stands_out_in_white_light_in_red_and_for_three_deficiencies() {
    for (name, text) in whole::EXAMPLES {
        let (drawn, _) = whole::draw(text);
        for card in &drawn {
            let drawing = card.drawing.as_ref().unwrap_or_else(|| panic!("{} is drawn", card.card.id));
            assert_eq!(lost(drawing), [""; 0], "{name}, {}", card.card.id);
        }
    }
}

#[test]
fn a_red_word_on_white_is_lost_under_a_red_lamp_and_only_there() {
    let mut drawing = Drawing::new(kurbo::Size::new(40.0, 20.0), "", "");
    let word = |colour| {
        use cockpit_cards::drawing::{Anchor, Text, Weight};
        Text::new("STOP", (5.0, 10.0), Anchor::Start, 5.0, Weight::Bold).coloured(colour)
    };
    drawing.print(word(Colour::rgb(1.0, 0.0, 0.0)));
    let lost = lost(&drawing);
    assert_eq!(lost.len(), 1, "{lost:?}");
    assert!(lost[0].contains("red lamp"), "{lost:?}");
}

#[test]
fn the_three_deficiencies_are_those_of_the_published_tables() {
    // Machado, Oliveira & Fernandes (2009), tables of the authors at severity 1.0, as the Python library colorspacious 1.1.2
    // carries them (machado_et_al_2009_matrix, severity 100), read there on 2026-11-26.
    let published = [
        ("no red cones", [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998]),
        (
            "no green cones",
            [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881],
        ),
        (
            "no blue cones",
            [1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900],
        ),
    ];
    for (name, matrix) in published {
        let sight = Sight::ALL.iter().find(|sight| sight.name == name).unwrap_or_else(|| panic!("{name}"));
        assert_eq!(sight.matrix.as_flattened(), matrix, "{name}");
        // Whoever tells fewer colours apart still sees white as white: each row adds up to one.
        for row in sight.matrix {
            assert!((row.iter().sum::<f64>() - 1.0).abs() < 2e-6, "{name}: {row:?}");
        }
    }
}

#[test]
fn contrast_is_that_of_the_published_formula() {
    let [white_light, red_lamp, ..] = Sight::ALL;
    assert!((white_light.contrast(Colour::BLACK, Colour::WHITE) - 21.0).abs() < 1e-9);
    // WCAG 2.1, failure F83 and others use #777777 on white: 4.48 to 1 (from memory).
    let grey = Colour::grey(119.0 / 255.0);
    assert!((white_light.contrast(grey, Colour::WHITE) - 4.48).abs() < 0.005);
    assert!((red_lamp.contrast(Colour::rgb(1.0, 0.0, 0.0), Colour::WHITE) - 1.0).abs() < 1e-9);
    assert!((red_lamp.contrast(Colour::rgb(0.0, 0.0, 1.0), Colour::BLACK) - 1.0).abs() < 1e-9);
}
