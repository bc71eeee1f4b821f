//! A strip to be stuck behind clear acrylic: the same drawing, left for right. Letters become outlines on the way.

use kurbo::Affine;

use crate::drawing::{Drawing, Item, Joint, Shape};

/// The drawing as a mirror shows it.
pub fn mirrored(drawing: &Drawing) -> Drawing {
    let flip = Affine::new([-1.0, 0.0, 0.0, 1.0, drawing.size.width, 0.0]);
    let turned = |shape: &Shape| match shape {
        Shape::Fill { path, colour } => Shape::Fill { path: flip * path, colour: *colour },
        Shape::Stroke { path, colour, width, dash } => {
            Shape::Stroke { path: flip * path, colour: *colour, width: *width, dash: *dash }
        }
        Shape::Text(text) => Shape::Fill { path: flip * text.outlines(), colour: text.colour },
    };
    let items = drawing.items.iter().map(|item| Item { layer: item.layer, shape: turned(&item.shape) }).collect();
    let length = match drawing.sector {
        Some(sector) if sector.is_level() => Some(sector.length()),
        None if drawing.size.width >= drawing.size.height => Some(drawing.size.width),
        _ => None,
    };
    let turned_joint = |joint: &Joint| match length {
        Some(length) => Joint { at: length - joint.at, ..joint.clone() },
        None => joint.clone(),
    };
    let sector = drawing.sector.map(|sector| sector.mirrored(drawing.size.width));
    let joints = drawing.joints.iter().map(turned_joint).collect();
    let apart = drawing.apart.as_ref().map(|apart| Box::new(mirrored(apart)));
    let from_far_end = drawing.from_far_end != length.is_some();
    Drawing { items, joints, sector, apart, from_far_end, ..drawing.clone() }
}
