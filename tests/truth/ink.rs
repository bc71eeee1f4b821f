//! How far letters reach, which layouts ask of the same words again and again, against the outlines themselves.

use cockpit_cards::drawing::{Anchor, Text, Weight};
use kurbo::{Rect, Shape as _};

const WORDS: [&str; 6] = ["Jib lead 4½ FORWARD", "● 13½ to 16 kn, 44°", "Ågot łódź ž", " a ", "(6)", "gjpqy |"];

#[test]
fn the_ink_of_words_is_the_box_around_their_outlines() {
    for words in WORDS {
        for (weight, turn) in [(Weight::Regular, 0.0), (Weight::Bold, 0.0), (Weight::Bold, 0.7)] {
            let mut text = Text::new(words, (31.0, -4.5), Anchor::Middle, 3.1, weight);
            text.turn = turn;
            let (ink, wanted) = (text.ink(), text.outlines().bounding_box());
            let off = |side: fn(&Rect) -> f64| (side(&ink) - side(&wanted)).abs();
            let sides: [fn(&Rect) -> f64; 4] = [|ink| ink.x0, |ink| ink.y0, |ink| ink.x1, |ink| ink.y1];
            assert!(sides.into_iter().all(|side| off(side) < 1e-9), "{words}, {weight:?}, {turn}: {ink:?}, {wanted:?}");
            assert!(ink.width() > 0.0 && ink.height() > 0.0);
        }
    }
}
