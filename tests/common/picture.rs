//! What a picture holds: its words and where their ink is, its straight lines.

use cockpit_cards::drawing::{Drawing, Shape, Text};
use kurbo::{PathEl, Point, Rect, Shape as _};

/// The words of a card in the order they were printed, each with the box around its ink; not the pale EXAMPLE under them.
pub fn words(drawing: &Drawing) -> Vec<(&Text, Rect)> {
    let inked = drawing.texts().filter(|text| !text.content.trim().is_empty() && text.colour.red < 0.5);
    inked.map(|text| (text, text.outlines().bounding_box())).collect()
}

/// Every two words that lie over each other, or one that leaves the card.
pub fn clashes(drawing: &Drawing) -> Vec<String> {
    let (words, card) = (words(drawing), drawing.size.to_rect());
    let outside = words.iter().filter(|(_, ink)| card.union(*ink) != card);
    let mut found: Vec<String> = outside.map(|(text, _)| format!("{:?} leaves the card", text.content)).collect();
    for (index, (text, ink)) in words.iter().enumerate() {
        let over = words[index + 1..].iter().filter(|(_, other)| ink.overlaps(*other));
        found.extend(over.map(|(other, _)| format!("{:?} lies over {:?}", text.content, other.content)));
    }
    found
}

/// All the words in the order they were printed.
pub fn joined(drawing: &Drawing) -> String {
    drawing.texts().map(|text| text.content.clone()).collect::<Vec<_>>().join(" ")
}

/// The ends of every straight line.
pub fn lines(drawing: &Drawing) -> Vec<(Point, Point)> {
    let line = |shape: &Shape| match shape {
        Shape::Stroke { path, .. } => match path.elements() {
            [PathEl::MoveTo(a), PathEl::LineTo(b)] => Some((*a, *b)),
            _ => None,
        },
        _ => None,
    };
    drawing.items.iter().filter_map(|item| line(&item.shape)).collect()
}

/// The length of the scale bar, which stands before words that hold these.
pub fn scale_bar(drawing: &Drawing, words: &str) -> f64 {
    let words = drawing.texts().find(|text| text.content.contains(words)).expect("a bar").origin;
    let beside = lines(drawing).into_iter().filter(|(a, b)| a.y == b.y && (a.y - words.y).abs() < 3.0 && b.x < words.x);
    beside.map(|(a, b)| b.x - a.x).fold(0.0, f64::max)
}
