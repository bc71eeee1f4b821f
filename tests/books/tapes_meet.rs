//! Tapes that a sailor laid edge to edge lie so in the book, whatever units their bounds are written in.

use crate::reading::{complaints, load};
use proptest::prelude::*;

fn book(bound: &str, same: &str) -> String {
    format!(
        "book: 1\nboat: {{name: Chervil}}\ncontrols:\n  lead: {{scale: {{tapes: [{{name: white, from: 0 mm, to: {bound}}}, \
         {{name: red, from: {same}, to: 5 m}}]}}}}\n"
    )
}

/// So many hundredths of a millimetre in each unit. By definition 1 in = 25.4 mm (NIST SP 811), so 127 hundredths of a
/// millimetre are 0.05 in.
fn written(hundredths: u32) -> [String; 4] {
    let decimal = |places: usize| {
        let digits = format!("{hundredths:0>width$}", width = places + 1);
        let (whole, rest) = digits.split_at(digits.len() - places);
        format!("{whole}.{rest}")
    };
    let inches = f64::from(hundredths) / 127.0 * 0.05;
    [format!("{} mm", decimal(2)), format!("{} cm", decimal(3)), format!("{} m", decimal(5)), format!("{inches} in")]
}

proptest! {
    #[test]
    fn a_bound_that_two_tapes_share_is_one_in_any_two_units(
        hundredths in 200..200_000_u32, first in 0..3_usize, second in 0..3_usize,
    ) {
        let written = written(hundredths);
        let loaded = load(&book(&written[first], &written[second]));
        prop_assert!(loaded.is_sound(), "{}", complaints(&loaded));
    }

    #[test]
    fn a_bound_in_inches_is_the_same_in_millimetres(steps in 2..1_500_u32) {
        let written = written(steps * 127);
        for (one, other) in [(0, 3), (3, 0), (1, 3), (3, 2)] {
            let loaded = load(&book(&written[one], &written[other]));
            prop_assert!(loaded.is_sound(), "{}", complaints(&loaded));
        }
    }
}

#[test]
fn tapes_over_one_another_by_more_than_rounding_are_still_an_error() {
    let loaded = load(&book("54.4 mm", "5.439 cm"));
    assert!(complaints(&loaded).contains("starts before the one before it ends"), "{}", complaints(&loaded));
    // Of what meets, neither has a part of the other.
    let loaded = load(&book("5.44 cm", "54.4 mm"));
    let book = loaded.book.expect("a book");
    let cockpit_cards::tuning::ScaleKind::Tapes(tapes) = &book.controls[0].scale.kind else { panic!("no tapes") };
    assert_eq!(tapes[0].to, tapes[1].from);
}
