//! What a reader sees of a card when things lie over each other: words on words, rules through words, ink at the cut.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use cockpit_cards::drawing::font::{self, FaceId, Glyph};
use cockpit_cards::drawing::{Colour, Drawing, Item, Layer, Shape, Text};
use kurbo::{Affine, ParamCurve as _, PathSeg, Rect, Shape as _, Vec2};

/// Nothing is printed nearer the cut, millimetres: the knife's own error.
const RIM: f64 = 0.5;
/// Ink that meets a rule by no more than this, millimetres, is not run through.
const TOUCH: f64 = 0.1;
/// White between two letters of different words, millimetres: less runs together under a laminate.
const CLEAR: f64 = 0.05;

/// The word EXAMPLE lies pale across a card, under everything else.
fn is_pale(colour: Colour) -> bool {
    colour.red.min(colour.green).min(colour.blue) > 0.75
}

pub fn words(drawing: &Drawing) -> Vec<&Text> {
    drawing.texts().filter(|text| !text.content.trim().is_empty() && !is_pale(text.colour)).collect()
}

/// What lies on or over something else, or too near the cut.
pub fn clashes(drawing: &Drawing) -> Vec<String> {
    let card = drawing.size.to_rect().inset(-RIM);
    let words = words(drawing);
    let mut found = Vec::new();
    // The letters of all words for each way that some word is turned: most lie one way.
    let mut turned: Vec<(f64, Vec<Vec<Rect>>)> = Vec::new();
    for (index, text) in words.iter().enumerate() {
        let capitals = capitals(text);
        if card.union(capitals) != card {
            found.push(format!("{:?} comes nearer than {RIM} mm to the cut: {capitals:?}", text.content));
        }
        // Boxes around slanting letters would take in what lies beside them.
        let level = Affine::rotate(-text.turn);
        if !turned.iter().any(|(turn, _)| *turn == text.turn) {
            turned.push((text.turn, words.iter().map(|word| ink_on(word, level)).collect()));
        }
        let (_, inked) = turned.iter().find(|(turn, _)| *turn == text.turn).expect("just put there");
        let letters = &inked[index];
        let area = around(letters);
        for (other, taken) in words.iter().zip(inked).skip(index + 1) {
            let touch = |letter: &Rect| taken.iter().any(|other| letter.inflate(CLEAR, CLEAR).overlaps(*other));
            if area.inflate(CLEAR, CLEAR).overlaps(around(taken)) && letters.iter().any(touch) {
                found.push(format!("{:?} touches {:?}", text.content, other.content));
            }
        }
        // What is drawn before a light ground under the words does not show through it.
        let on_paper = around(&ink(text));
        let is_ground = |item: &Item| match &item.shape {
            Shape::Fill { path, colour } => {
                is_pale(*colour) && path.bounding_box().union(on_paper) == path.bounding_box()
            }
            _ => false,
        };
        let shown = drawing.items.iter().rposition(is_ground).map_or(0, |index| index + 1);
        for item in drawing.items[shown..].iter().filter(|item| item.layer == Layer::Print) {
            let hit = match &item.shape {
                Shape::Stroke { path, width, .. } => {
                    let area = area.inflate(width / 2.0 - TOUCH, width / 2.0 - TOUCH);
                    path.segments().any(|piece| passes_through(level * piece, area))
                }
                // A light ground is what words may stand on.
                Shape::Fill { path, colour } => {
                    !is_pale(*colour) && path.segments().any(|piece| passes_through(level * piece, area))
                }
                Shape::Text(_) => false,
            };
            if hit {
                found.push(format!("{:?} runs through {:?} at {area:?}", item.shape.bounds(), text.content));
            }
        }
    }
    found
}

/// The boxes around the ink of a text, letter by letter, from their outlines.
pub fn ink(text: &Text) -> Vec<Rect> {
    ink_on(text, Affine::IDENTITY)
}

/// The same once the drawing is turned.
fn ink_on(text: &Text, turned: Affine) -> Vec<Rect> {
    let to_drawing =
        turned * Affine::translate(text.origin.to_vec2()) * Affine::rotate(text.turn) * Affine::scale(text.em);
    let mut pen = 0.0;
    let mut boxes = Vec::new();
    for glyph in font::glyphs(&text.content, text.weight) {
        if let Some(ink) = ink_of(glyph) {
            boxes.push(to_drawing.transform_rect_bbox(ink + Vec2::new(pen, 0.0)));
        }
        pen += glyph.advance;
    }
    boxes
}

/// The box around the outline of a glyph, found once for each; `None` if it has no ink.
fn ink_of(glyph: Glyph) -> Option<Rect> {
    static FOUND: Mutex<BTreeMap<(FaceId, u16), Option<Rect>>> = Mutex::new(BTreeMap::new());
    let mut found = FOUND.lock().unwrap_or_else(PoisonError::into_inner);
    *found.entry((glyph.face, glyph.id)).or_insert_with(|| {
        let outline = font::outline(glyph);
        (!outline.is_empty()).then(|| outline.bounding_box())
    })
}

/// The box from the baseline to the height of a capital.
fn capitals(text: &Text) -> Rect {
    let line = Rect::new(0.0, -text.cap_height(), text.width(), 0.0);
    (Affine::translate(text.origin.to_vec2()) * Affine::rotate(text.turn)).transform_rect_bbox(line)
}

pub fn around(boxes: &[Rect]) -> Rect {
    boxes.iter().copied().reduce(|all, next| all.union(next)).expect("a text with ink")
}

fn passes_through(piece: PathSeg, area: Rect) -> bool {
    const STEPS: u32 = 400;
    let near = piece.bounding_box();
    let apart = near.x0 > area.x1 || area.x0 > near.x1 || near.y0 > area.y1 || area.y0 > near.y1;
    !apart && (0..=STEPS).any(|step| area.contains(piece.eval(f64::from(step) / f64::from(STEPS))))
}
