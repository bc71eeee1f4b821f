//! Masses, rope, heights and inertia in the units of the book: what is rounded, which way, and that 0 has no sign.

use cockpit_cards::book::{LengthUnit, MassUnit, Units};
use cockpit_cards::cards::parts::measures::{fixed, height, inertia, mass, mass_number, rope, two_digits};
use cockpit_cards::length::Length;

fn pounds_and_inches() -> Units {
    Units { length: LengthUnit::Inch, mass: MassUnit::Pound, ..Units::default() }
}

#[test]
fn a_mass_is_told_in_the_unit_of_the_book_and_never_cut_short() {
    let told = [0.9, 2.25, 16.0, 18.5, 0.0, -0.0].map(|kilograms| mass_number(kilograms, Units::default()));
    assert_eq!(told, ["0.9", "2.25", "16", "18.5", "0", "0"]);
    // NIST SP 811, appendix B.8: 1 lb = 0.453 592 37 kg.
    assert_eq!(mass(35.0 * 0.453_592_37, pounds_and_inches()), "35 lb");
}

#[test]
fn rope_is_told_in_metres_or_in_feet_and_inches_and_never_short() {
    let metric = [9400.0, 14_500.4, 800.0].map(|mm| rope(Length::mm(mm), Units::default()));
    assert_eq!(metric, ["9.4 m", "14.501 m", "0.8 m"]);
    let feet = [570.0, 570.87, 24.0, 7.0].map(|inches| rope(Length::inches(inches), pounds_and_inches()));
    assert_eq!(feet, ["47 ft 6 in", "47 ft 7 in", "2 ft", "7 in"]);
}

#[test]
fn zero_has_no_sign() {
    let told = [-0.001, 0.0, -0.104].map(|metres| height(Length::metres(metres), Units::default()));
    assert_eq!(told, ["0.00", "0.00", "−0.10"]);
    assert_eq!(fixed(-0.0, 0), "0");
}

#[test]
fn what_is_not_known_better_is_told_in_two_digits() {
    assert_eq!([702.0, 2.08, 0.0352, 9960.0, 0.0].map(two_digits), ["700", "2.1", "0.035", "10000", "0"]);
}

#[test]
fn inertia_goes_with_the_square_of_the_length() {
    // By hand from NIST SP 811: 1/(0.453 592 37 · 0.3048²).
    assert!((inertia(1.0, pounds_and_inches()) - 23.730_36).abs() < 1e-5);
}
