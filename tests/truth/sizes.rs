//! Sizes of paper and cards against the standards that fix them, and what is said to someone who mistypes one.

use approx::assert_abs_diff_eq;
use cockpit_cards::size::{NamedSize, next_size_up};
use kurbo::Size;
use proptest::prelude::*;

fn size(text: &str) -> Size {
    NamedSize::parse(text).unwrap_or_else(|error| panic!("{text}: {error}")).size
}

/// ISO 216, trimmed sizes in millimetres (from memory).
const ISO_216: [(&str, f64, f64); 6] = [
    ("A3", 297.0, 420.0),
    ("A4", 210.0, 297.0),
    ("A5", 148.0, 210.0),
    ("A6", 105.0, 148.0),
    ("A7", 74.0, 105.0),
    ("A8", 52.0, 74.0),
];

#[test]
fn the_a_series_measures_what_iso_216_prints() {
    for (name, width, height) in ISO_216 {
        assert_eq!(size(name), Size::new(width, height), "{name}");
    }
}

#[test]
fn each_a_size_is_half_the_one_before_as_iso_216_builds_them() {
    // ISO 216: A0 is 841 mm × 1189 mm; each next size halves the long side, and fractions of a millimetre fall away.
    let (mut width, mut height) = (841.0_f64, 1189.0_f64);
    for step in 1..=8 {
        (width, height) = ((height / 2.0).floor(), width);
        if step >= 3 {
            assert_eq!(size(&format!("A{step}")), Size::new(width, height), "A{step}");
        }
    }
}

#[test]
fn an_id_1_card_measures_what_iso_iec_7810_says() {
    // ISO/IEC 7810: ID-1 is 85.60 mm wide and 53.98 mm high (from memory).
    assert_eq!(size("ID-1 landscape"), Size::new(85.60, 53.98));
    assert_eq!(size("id1"), Size::new(53.98, 85.60));
}

#[test]
fn inch_papers_convert_by_nist_sp_811() {
    // 1 in = 25.4 mm exactly (NIST SP 811, B.8). Letter and Tabloid are ASME Y14.1 sizes A and B; the others are
    // common practice.
    for (name, width, height) in [
        ("Letter", 8.5, 11.0),
        ("Legal", 8.5, 14.0),
        ("Tabloid", 11.0, 17.0),
        ("half-letter", 5.5, 8.5),
        ("quarter-letter", 4.25, 5.5),
    ] {
        let found = size(name);
        assert_abs_diff_eq!(found.width, width * 25.4, epsilon = 1e-9);
        assert_abs_diff_eq!(found.height, height * 25.4, epsilon = 1e-9);
    }
}

#[test]
fn names_may_be_spelled_as_people_spell_them() {
    for (text, name) in [
        ("a6", "A6"),
        (" A6 ", "A6"),
        ("A6 portrait", "A6"),
        ("a6-landscape", "A6 landscape"),
        ("A6_Landscape", "A6 landscape"),
        ("half letter", "half-letter"),
        ("Quarter-Letter", "quarter-letter"),
        ("LETTER", "Letter"),
        ("ID 1", "ID-1"),
        ("120 x 80 mm", "120 × 80 mm"),
        ("120x80mm", "120 × 80 mm"),
        ("120mm × 80mm", "120 × 80 mm"),
        ("12 X 8 cm", "12 × 8 cm"),
        ("4 x 6 in", "4 × 6 in"),
        ("3.5x5 inches", "3.5 × 5 in"),
        ("4\" x 6\"", "4 × 6 in"),
        ("1 in x 50 mm", "25.4 × 50 mm"),
    ] {
        assert_eq!(NamedSize::parse(text).map(|size| size.name), Ok(name.to_owned()), "{text}");
    }
    assert_eq!(size("4 x 6 in"), Size::new(4.0 * 25.4, 6.0 * 25.4));
    assert_eq!(size("12 x 8 cm"), Size::new(120.0, 80.0));
    assert_eq!(size("1 in x 50 mm"), Size::new(25.4, 50.0));
}

#[test]
fn a_mistyped_size_says_what_is_wrong_and_what_would_be_right() {
    let said: Vec<String> = [
        "",
        "Leter",
        "tabliod",
        "A9",
        "postcard",
        "120 x 80",
        "120",
        "120 x 80 x 3 mm",
        "120,5 x 80 mm",
        "120 x 80 kg",
        "0 x 80 mm",
        "-120 x 80 mm",
        "nan x 80 mm",
        "1e999 x 80 mm",
        "3 1/2 x 5 in",
        "x 80 mm",
        "6000 x 80 mm",
        "120 x 80 mm landscape",
    ]
    .into_iter()
    .map(|text| match NamedSize::parse(text) {
        Ok(size) => panic!("{text} was read as {size:?}"),
        Err(error) => format!("{text:?}\n    {}\n    {}\n", error.what, error.instead),
    })
    .collect();
    insta::assert_snapshot!(said.join(""));
}

#[test]
fn a_name_written_out_reads_back_as_the_same_size() {
    for name in ["A3", "A8 landscape", "half-letter landscape", "ID-1", "120 × 80 mm", "4.25 × 5.5 in"] {
        let once = NamedSize::parse(name).expect(name);
        assert_eq!(once.name, name);
        assert_eq!(NamedSize::parse(&once.name), Ok(once));
    }
}

#[test]
fn turning_twice_changes_nothing() {
    for name in ["A6", "ID-1", "80 × 120 mm"] {
        let upright = NamedSize::parse(name).expect(name);
        let lying = upright.landscape();
        assert_eq!((lying.size.width, lying.size.height), (upright.size.height, upright.size.width));
        assert_eq!(lying.landscape(), lying);
        assert_eq!(lying.portrait(), upright);
    }
}

#[test]
fn the_next_size_up_is_the_smallest_that_holds_the_need_and_comes_from_the_same_drawer() {
    let next = |width, height, asked: &str| {
        next_size_up(Size::new(width, height), &NamedSize::parse(asked).expect(asked)).map(|size| size.name)
    };
    assert_eq!(next(74.0, 120.0, "A7").as_deref(), Some("A6"));
    assert_eq!(next(106.0, 148.0, "A6").as_deref(), Some("A5"), "not an inch size, though half-letter is smaller");
    assert_eq!(next(106.0, 148.0, "quarter-letter").as_deref(), Some("half-letter"));
    assert_eq!(next(110.0, 70.0, "A7 landscape").as_deref(), Some("A6 landscape"));
    assert_eq!(next(140.0, 100.0, "A7").as_deref(), Some("A6 landscape"), "lying, where upright is too narrow");
    assert_eq!(next(84.0, 53.0, "A8 landscape").as_deref(), Some("ID-1 landscape"));
    assert_eq!(next(300.0, 300.0, "A4"), None);
}

proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,24}") {
        let _ = NamedSize::parse(&text);
    }

    #[test]
    fn a_size_in_numbers_measures_what_it_says(width in 1_u32..5000, height in 1_u32..5000) {
        let read = size(&format!("{width}x{height} mm"));
        prop_assert_eq!((read.width, read.height), (f64::from(width), f64::from(height)));
    }

    #[test]
    fn whatever_is_offered_holds_what_is_needed(width in 1.0_f64..320.0, height in 1.0_f64..320.0) {
        let asked = NamedSize::parse("A6").expect("A6");
        match next_size_up(Size::new(width, height), &asked) {
            Some(offer) => prop_assert!(offer.size.width + 1e-6 >= width && offer.size.height + 1e-6 >= height),
            // Letter is the widest and A4 the longest card there is.
            None => prop_assert!(width.min(height) > 210.0 || width.max(height) > 279.4),
        }
    }
}
