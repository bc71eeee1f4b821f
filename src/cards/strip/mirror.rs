//! A strip to be stuck behind clear acrylic: the same drawing, left for right. Letters become outlines on the way.

use kurbo::{Affine, BezPath};

use crate::drawing::{Drawing, Item, Shape, Text, font};

/// The drawing as a mirror shows it.
pub fn mirrored(drawing: &Drawing) -> Drawing {
    let flip = Affine::new([-1.0, 0.0, 0.0, 1.0, drawing.size.width, 0.0]);
    let turned = |shape: &Shape| match shape {
        Shape::Fill { path, colour } => Shape::Fill { path: flip * path, colour: *colour },
        Shape::Stroke { path, colour, width, dash } => {
            Shape::Stroke { path: flip * path, colour: *colour, width: *width, dash: *dash }
        }
        Shape::Text(text) => Shape::Fill { path: flip * outlines(text), colour: text.colour },
    };
    let items = drawing.items.iter().map(|item| Item { layer: item.layer, shape: turned(&item.shape) }).collect();
    Drawing { items, ..drawing.clone() }
}

fn outlines(text: &Text) -> BezPath {
    let place = Affine::translate(text.origin.to_vec2()) * Affine::rotate(text.turn) * Affine::scale(text.em);
    let mut pen = 0.0;
    let mut path = BezPath::new();
    for glyph in font::glyphs(&text.content, text.weight) {
        path.extend(place * Affine::translate((pen, 0.0)) * font::outline(glyph));
        pen += glyph.advance;
    }
    path
}
