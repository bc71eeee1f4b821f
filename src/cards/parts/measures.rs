//! Masses, lengths of rope, heights and small changes as a card writes them, in the units of the book. Knows how finely
//! each is told; not what is measured.

use crate::book::quantity::Dimension;
use crate::book::{LengthUnit, Units};
use crate::length::Length;
use crate::tuning::mark::{MINUS, print_decimal};

const INCHES_PER_FOOT: f64 = 12.0;
const MM_PER_METRE: f64 = 1000.0;
/// A number that `f64` arithmetic misses by this is taken as met.
const AS_GOOD_AS: f64 = 1e-6;
/// From this mass on, in the book's unit, a tenth is fine enough; below it a hundredth.
const COARSE_MASS: f64 = 10.0;

/// Whether the book measures lengths in inches or feet.
pub fn in_feet(units: Units) -> bool {
    matches!(units.length, LengthUnit::Inch | LengthUnit::Foot)
}

/// `kg` or `lb`.
pub fn mass_unit(units: Units) -> &'static str {
    units.bare(Dimension::Mass).name
}

/// A mass as a number of the book's unit.
pub fn mass_in(kilograms: f64, units: Units) -> f64 {
    kilograms / units.bare(Dimension::Mass).factor
}

/// A mass in the book's unit, without it: `16`, `18.5`, `0.9`.
pub fn mass_number(kilograms: f64, units: Units) -> String {
    let mass = mass_in(kilograms, units);
    let steps = if mass.abs() < COARSE_MASS { 100.0 } else { 10.0 };
    print_decimal((mass * steps).round() / steps)
}

/// `18.5 kg`, `35 lb`.
pub fn mass(kilograms: f64, units: Units) -> String {
    format!("{} {}", mass_number(kilograms, units), mass_unit(units))
}

/// A length of rope to cut: `14.5 m`, `47 ft 7 in`; up to the next millimetre or inch, never short.
pub fn rope(length: Length, units: Units) -> String {
    let up = |value: f64| (value - AS_GOOD_AS).ceil();
    if !in_feet(units) {
        return format!("{} m", print_decimal(up(length.to_mm()) / MM_PER_METRE));
    }
    let inches = up(length / Length::inches(1.0));
    let (feet, rest) = ((inches / INCHES_PER_FOOT).trunc(), inches % INCHES_PER_FOOT);
    match (feet != 0.0, rest != 0.0) {
        (true, true) => format!("{} ft {} in", print_decimal(feet), print_decimal(rest)),
        (true, false) => format!("{} ft", print_decimal(feet)),
        (false, _) => format!("{} in", print_decimal(rest)),
    }
}

/// The larger unit of length that goes with the book's: `m` or `ft`.
pub fn long_unit(units: Units) -> &'static str {
    if in_feet(units) { "ft" } else { "m" }
}

/// A length in metres or feet.
pub fn in_long(length: Length, units: Units) -> f64 {
    length / if in_feet(units) { Length::inches(INCHES_PER_FOOT) } else { Length::metres(1.0) }
}

/// A height or a place in metres or feet, without the unit, to hundredths: `0.46`, `−0.10`, `0.00`.
pub fn height(length: Length, units: Units) -> String {
    fixed(in_long(length, units), 2)
}

/// The same to the last digit that a working needs: ten thousandths.
pub fn height_fine(length: Length, units: Units) -> String {
    fixed(in_long(length, units), 4)
}

/// What a change of trim is counted in: a centimetre or an inch.
pub fn trim_length(units: Units) -> Length {
    if in_feet(units) { Length::inches(1.0) } else { Length::cm(1.0) }
}

/// The unit of a change of trim: `cm` or `in`.
pub fn trim_unit(units: Units) -> &'static str {
    if in_feet(units) { "in" } else { "cm" }
}

/// A change of trim, without sign or unit, to tenths.
pub fn trim(change: Length, units: Units) -> String {
    fixed((change / trim_length(units)).abs(), 1)
}

/// The unit of a change of draught: `mm` or `in`.
pub fn sinkage_unit(units: Units) -> &'static str {
    if in_feet(units) { "in" } else { "mm" }
}

/// A change of draught, without sign or unit: whole millimetres, or tenths of an inch.
pub fn sinkage(change: Length, units: Units) -> String {
    if in_feet(units) { fixed((change / Length::inches(1.0)).abs(), 1) } else { fixed(change.to_mm().abs(), 0) }
}

/// `kg·m²`, `lb·ft²`.
pub fn inertia_unit(units: Units) -> &'static str {
    match (mass_unit(units), in_feet(units)) {
        ("lb", true) => "lb·ft²",
        ("lb", false) => "lb·m²",
        (_, true) => "kg·ft²",
        (_, false) => "kg·m²",
    }
}

/// A moment of inertia in [`inertia_unit`].
pub fn inertia(kg_m2: f64, units: Units) -> f64 {
    mass_in(kg_m2, units) * in_long(Length::metres(1.0), units).powi(2)
}

/// A number that is not known better than to two digits: `700`, `2.1`, `0.035`, `0`.
pub fn two_digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return print_decimal(0.0);
    }
    let step = 10.0_f64.powf(value.abs().log10().floor() - 1.0);
    print_decimal((value / step).round() * step)
}

/// A number with so many decimals, a real minus sign, and no sign where only zeros are left.
pub fn fixed(value: f64, decimals: usize) -> String {
    let size = format!("{:.decimals$}", value.abs());
    let is_zero = size.chars().all(|digit| matches!(digit, '0' | '.'));
    if value < 0.0 && !is_zero { format!("{MINUS}{size}") } else { size }
}
