//! Whether the words of a picture stand apart: the boxes around their ink, whatever drew them.

use cockpit_cards::drawing::{Drawing, Text};
use kurbo::{Rect, Shape as _};

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
