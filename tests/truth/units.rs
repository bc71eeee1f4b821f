//! Numbers with units come out as the standards have it: NIST Special Publication 811 (2008), appendix B.8.

use approx::assert_relative_eq;
use cockpit_cards::book::quantity::{Dimension, parse};
use cockpit_cards::book::{LengthUnit, MassUnit, PressureUnit, Units, WindUnit};
use proptest::prelude::*;

fn read(text: &str, dimension: Dimension) -> f64 {
    parse(text, Units::default().bare(dimension)).unwrap_or_else(|wrong| panic!("{text}: {wrong:?}"))
}

fn mm(text: &str) -> f64 {
    read(text, Dimension::Length)
}

#[test]
fn factors_equal_those_printed_in_sp_811() {
    // Factors as printed there, seven digits; the exact ones stand in bold there and are in the next test.
    const PRINTED_DIGITS: f64 = 1e-7;
    const KNOT_IN_METRE_PER_SECOND: f64 = 5.144444e-1;
    let printed = [
        ("1 lb", Dimension::Mass, 4.535924e-1, 1.0),
        ("1 psi", Dimension::Pressure, 6.894757e3, 1e5),
        ("1 lbf", Dimension::Force, 4.448222, 1.0),
        ("1 m/s", Dimension::Speed, 1.0, KNOT_IN_METRE_PER_SECOND),
        ("1 km/h", Dimension::Speed, 2.777778e-1, KNOT_IN_METRE_PER_SECOND),
    ];
    for (text, dimension, si, unit_in_si) in printed {
        assert_relative_eq!(read(text, dimension), si / unit_in_si, max_relative = 2.0 * PRINTED_DIGITS);
    }
}

#[test]
fn factors_that_are_exact_by_definition_are_exact() {
    let exact = [
        ("1 in", Dimension::Length, 25.4),
        ("1 ft", Dimension::Length, 304.8),
        ("1 cm", Dimension::Length, 10.0),
        ("1 m", Dimension::Length, 1000.0),
        ("1 t", Dimension::Mass, 1000.0),
        ("1 lb", Dimension::Mass, 0.453_592_37),
        ("1 kgf", Dimension::Force, 9.806_65),
        ("1 kN", Dimension::Force, 1000.0),
        ("1 h", Dimension::Duration, 3600.0),
        ("1852 km/h", Dimension::Speed, 1000.0),
    ];
    for (text, dimension, value) in exact {
        assert_relative_eq!(read(text, dimension), value, max_relative = f64::EPSILON);
    }
    // psi from the pound, standard gravity and the inch, all exact: 4.4482216152605 / 0.0254² Pa.
    assert_relative_eq!(read("1800 psi", Dimension::Pressure), 124.105_631_2, max_relative = 1e-9);
}

#[test]
fn thirds_are_read_however_they_are_written() {
    for text in ["2 1/3 in", "2-1/3 in", "2⅓ in", "2 ⅓ in", "2 1/3\""] {
        assert_relative_eq!(mm(text), 7.0 * 25.4 / 3.0, max_relative = 1e-15);
    }
    assert_relative_eq!(mm("⅔ in"), 2.0 * 25.4 / 3.0, max_relative = 1e-15);
    assert_relative_eq!(mm("-1/3 m"), -1000.0 / 3.0, max_relative = 1e-15);
    assert_relative_eq!(mm("5 ft 2 2/3 in"), (62.0 + 2.0 / 3.0) * 25.4, max_relative = 1e-15);
    for refused in ["3/3 in", "4/3 in", "21/3 in", "½⅓ in", "⅓⅓ in", "1/6 in", "1.5⅓ in", "1/2⅓ in", "2⅓3 in"]
    {
        assert!(parse(refused, Units::default().bare(Dimension::Length)).is_err(), "{refused}");
    }
}

#[test]
fn lengths_are_read_in_every_way_a_tape_measure_is() {
    let same_62_inches =
        ["62 in", "5 ft 2 in", "5'2\"", "5' 2\"", "5ft 2in", "5′ 2″", "1574.8", "1574.8 mm", "157.48 cm", "1.5748 m"];
    for text in same_62_inches {
        assert_relative_eq!(mm(text), 1574.8, max_relative = 1e-15);
    }
    for (text, inches) in [
        ("3/8 in", 0.375),
        ("3/16 in", 0.1875),
        ("11/32 in", 0.34375),
        ("1 5/64\"", 1.078125),
        ("2-1/2 in", 2.5),
        ("2½ in", 2.5),
        ("½\"", 0.5),
        ("-3/16 in", -0.1875),
        ("−1 3/16 in", -1.1875),
        ("5 ft 2 3/8 in", 62.375),
        (".5 in", 0.5),
    ] {
        assert_relative_eq!(mm(text), inches * 25.4, max_relative = 1e-15);
    }
}

#[test]
fn four_and_a_half_is_never_forty_one_halves() {
    for text in ["4 1/2", "4-1/2", "4½", "4 ½", "4.5", " 4 1/2 mm "] {
        assert_eq!(mm(text), 4.5, "{text}");
    }
    for text in [
        "41/2",
        "41/2 mm",
        "4,5",
        "4 1",
        "4/1/2",
        "1/0",
        "4 1/0",
        "4 -1/2",
        "½½",
        "4½½",
        "--4",
        "4 5 in",
        "61 16/16 in",
    ] {
        let read = parse(text, Units::default().bare(Dimension::Length));
        assert!(read.is_err(), "{text} read as {read:?}");
    }
}

#[test]
fn a_bare_number_is_in_the_unit_of_its_book() {
    let book = Units {
        length: LengthUnit::Inch,
        wind: WindUnit::MetrePerSecond,
        mass: MassUnit::Pound,
        pressure: PressureUnit::Psi,
    };
    let read = |text, dimension| parse(text, book.bare(dimension)).unwrap();
    assert_eq!(read("2", Dimension::Length), 50.8);
    assert_eq!(read("2 mm", Dimension::Length), 2.0);
    assert_relative_eq!(read("10", Dimension::Speed), 19.438_444_924_406, max_relative = 1e-12);
    assert_relative_eq!(read("100", Dimension::Mass), 45.359_237, max_relative = 1e-15);
    assert_eq!(read("1000", Dimension::Pressure), read("1000 psi", Dimension::Pressure));
    assert_eq!(read("18", Dimension::Angle), read("18°", Dimension::Angle));
}

#[test]
fn capitals_do_not_turn_knots_into_newtons() {
    assert_eq!(read("10 KN", Dimension::Speed), 10.0);
    assert_eq!(read("10 Kts", Dimension::Speed), 10.0);
    assert_eq!(read("10 kN", Dimension::Force), 10_000.0);
    assert!(parse("10 kN", Units::default().bare(Dimension::Speed)).is_err());
    assert_eq!(mm("10 MM"), 10.0);
}

proptest! {
    #[test]
    fn what_is_written_in_decimals_is_read_back(value in -1e6_f64..1e6) {
        assert_eq!(mm(&format!("{value} mm")), value);
    }

    #[test]
    fn sixty_fourths_read_as_they_are_counted(whole in 0_u32..100, part in 1_u32..64) {
        prop_assert_eq!(mm(&format!("{whole} {part}/64 in")), (f64::from(whole) + f64::from(part) / 64.0) * 25.4);
    }

    #[test]
    fn no_text_makes_a_number_that_is_not_finite(text in "[-+0-9./½ infat'\"e,]{0,40}") {
        if let Ok(value) = parse(&text, Units::default().bare(Dimension::Length)) {
            prop_assert!(value.is_finite(), "{} read as {}", text, value);
        }
    }
}
