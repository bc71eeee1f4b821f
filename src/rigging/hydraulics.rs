//! The pull of a hydraulic ram at a pressure, and the lowest of the limits on it. Knows nothing of its stroke: how far a
//! ram has come in does not say what pressure it holds.

use std::f64::consts::FRAC_PI_4;

use super::is_above_nought;
use crate::length::Length;

/// Newtons on a square millimetre at 1 bar: 10⁵ N over 10⁶ mm² (NIST SP 811, appendix B.8).
const NEWTON_PER_MM2_PER_BAR: f64 = 0.1;
const NEWTON_PER_KILONEWTON: f64 = 1000.0;

/// A ram that pulls: its oil presses on the ring between bore and rod.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ram {
    pub bore: Length,
    pub rod: Length,
}

/// The most that one thing in the line of the load may see.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// A pressure in the oil: of the ram, the hose, the pump.
    PressureBar(f64),
    /// A pull: of the stay, its terminals, the mast, the chainplate.
    PullKilonewton(f64),
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// The bore is nought, negative or not a number.
    Bore { bore: Length },
    /// The rod is negative or not a number.
    Rod { rod: Length },
    /// The rod fills the bore: nothing is left for the oil to press on.
    RodFillsBore { bore: Length, rod: Length },
    /// No limit is given, so nothing says how hard is too hard.
    NoLimit,
    /// A limit, by its place in the list, is nought, negative or not a number.
    Limit { limit: usize, value: f64 },
    /// The numbers are too large to work with.
    TooLarge,
}

/// One limit, both ways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkedLimit {
    /// As it was given.
    pub given: Limit,
    pub pressure_bar: f64,
    pub pull_kilonewton: f64,
}

/// The working behind a ram.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    pub ram: Ram,
    /// The ring that the oil presses on: π/4·(bore² − rod²).
    pub ring_mm2: f64,
    /// One for each limit, in the order given.
    pub limits: Vec<WorkedLimit>,
    /// The place in `limits` of the lowest: nothing may be pumped past it. The first, if two are as low.
    pub lowest: usize,
}

impl Worked {
    /// The limit that holds.
    pub fn limit(&self) -> WorkedLimit {
        self.limits[self.lowest]
    }

    /// The ram's pull at a pressure: pull = p·π/4·(bore² − rod²).
    pub fn pull_kilonewton(&self, pressure_bar: f64) -> f64 {
        pressure_bar * NEWTON_PER_MM2_PER_BAR * self.ring_mm2 / NEWTON_PER_KILONEWTON
    }

    /// The pressure that holds a pull.
    pub fn pressure_bar(&self, pull_kilonewton: f64) -> f64 {
        pull_kilonewton * NEWTON_PER_KILONEWTON / (NEWTON_PER_MM2_PER_BAR * self.ring_mm2)
    }
}

/// The pull of a ram and the lowest of its limits; or everything that is wrong with them.
///
/// ```
/// use cockpit_cards::length::Length;
/// use cockpit_cards::rigging::hydraulics::{Limit, Ram, work_out};
///
/// let ram = Ram { bore: Length::mm(40.0), rod: Length::mm(20.0) };
/// let worked = work_out(ram, &[Limit::PressureBar(250.0), Limit::PullKilonewton(17.0)]).unwrap();
/// // The rig gives out before the ram does:
/// assert_eq!(worked.lowest, 1);
/// assert!((worked.limit().pressure_bar - 180.4).abs() < 0.05);
/// ```
pub fn work_out(ram: Ram, limits: &[Limit]) -> Result<Worked, Vec<Impossible>> {
    let mut faults = faults_of_ram(ram);
    if limits.is_empty() {
        faults.push(Impossible::NoLimit);
    }
    faults.extend(limits.iter().enumerate().filter_map(|(limit, given)| {
        let (Limit::PressureBar(value) | Limit::PullKilonewton(value)) = *given;
        (!is_above_nought(value)).then_some(Impossible::Limit { limit, value })
    }));
    if !faults.is_empty() {
        return Err(faults);
    }

    let (bore_mm, rod_mm) = (ram.bore.to_mm(), ram.rod.to_mm());
    // As a product, since the difference of two large squares loses digits.
    let ring_mm2 = FRAC_PI_4 * (bore_mm - rod_mm) * (bore_mm + rod_mm);
    let mut worked = Worked { ram, ring_mm2, limits: Vec::new(), lowest: 0 };
    worked.limits = limits
        .iter()
        .map(|given| match *given {
            Limit::PressureBar(bar) => {
                WorkedLimit { given: *given, pressure_bar: bar, pull_kilonewton: worked.pull_kilonewton(bar) }
            }
            Limit::PullKilonewton(pull) => {
                WorkedLimit { given: *given, pressure_bar: worked.pressure_bar(pull), pull_kilonewton: pull }
            }
        })
        .collect();
    let usable = |limit: &WorkedLimit| is_above_nought(limit.pressure_bar) && is_above_nought(limit.pull_kilonewton);
    if !worked.limits.iter().all(usable) {
        return Err(vec![Impossible::TooLarge]);
    }
    worked.lowest = (0..limits.len())
        .min_by(|a, b| worked.limits[*a].pressure_bar.total_cmp(&worked.limits[*b].pressure_bar))
        .unwrap_or(0);
    Ok(worked)
}

fn faults_of_ram(ram: Ram) -> Vec<Impossible> {
    let mut faults = Vec::new();
    if !is_above_nought(ram.bore.to_mm()) {
        faults.push(Impossible::Bore { bore: ram.bore });
    }
    if !(ram.rod.to_mm() >= 0.0 && ram.rod.to_mm().is_finite()) {
        faults.push(Impossible::Rod { rod: ram.rod });
    }
    if faults.is_empty() && ram.rod >= ram.bore {
        faults.push(Impossible::RodFillsBore { bore: ram.bore, rod: ram.rod });
    }
    faults
}
