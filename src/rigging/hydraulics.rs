//! The force of a hydraulic ram at a pressure, the way it acts, and the lowest of the limits on it. Knows nothing of its
//! stroke: how far a ram has come in or out does not say what pressure it holds.

use std::f64::consts::FRAC_PI_4;

use super::is_positive;
use crate::length::Length;

/// Newtons on a square millimetre at 1 bar: 10⁵ N over 10⁶ mm² (NIST SP 811, appendix B.8).
const NEWTON_PER_MM2_PER_BAR: f64 = 0.1;
const NEWTON_PER_KILONEWTON: f64 = 1000.0;

/// Which way a ram acts, and so what its oil presses on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Acts {
    /// It draws its rod in: the oil presses on the ring between bore and rod.
    Pull,
    /// It drives its rod out: the oil presses on the whole bore.
    Push,
}

/// A ram and what stands between it and the rig.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ram {
    /// The inner diameter of the cylinder.
    pub bore: Length,
    /// The diameter of the piston's rod.
    pub rod: Length,
    /// Which way it works under pressure.
    pub acts: Acts,
    /// The force at the rig for one at the ram; 1 if the ram works on the rig directly.
    pub lever: f64,
}

/// The most that one thing in the line of the load may see.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// A pressure in the oil: of the ram, the hose, the pump.
    PressureBar(f64),
    /// A force on the ram's side of the lever: of its pins and its foot.
    AtRamKilonewton(f64),
    /// A force on the rig's side of the lever: of the stay, its terminals, the mast, the chainplate.
    AtRigKilonewton(f64),
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// The bore is 0, negative or not a number.
    Bore {
        /// The bore that was given.
        bore: Length,
    },
    /// The rod is negative or not a number.
    Rod {
        /// The rod that was given.
        rod: Length,
    },
    /// The rod fills the bore: no such ram can be built.
    RodFillsBore {
        /// The bore that was given.
        bore: Length,
        /// The rod that was given.
        rod: Length,
    },
    /// The ratio of forces is 0, negative or not a number.
    Lever {
        /// The ratio that was given.
        lever: f64,
    },
    /// No limit is given, so nothing says how hard is too hard.
    NoLimit,
    /// A limit, by its place in the list, is 0, negative or not a number.
    Limit {
        /// The place of the limit in the list, counted from 0.
        limit: usize,
        /// The limit that was given, in bar or kilonewtons.
        value: f64,
    },
    /// The numbers are too large to work with.
    TooLarge,
}

/// One limit, as it was given and as the gauge, the ram and the rig feel it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkedLimit {
    /// The limit as it was given.
    pub given: Limit,
    /// The pressure in the oil at the limit.
    pub pressure_bar: f64,
    /// The force of the ram at the limit.
    pub at_ram_kilonewton: f64,
    /// The force on the rig at the limit.
    pub at_rig_kilonewton: f64,
}

/// The working behind a ram.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// The ram as it was given.
    pub ram: Ram,
    /// What the oil presses on: π/4·(bore² − rod²) if it pulls, π/4·bore² if it pushes.
    pub area_mm2: f64,
    /// The limits worked out, in the order given.
    pub limits: Vec<WorkedLimit>,
    /// The place in `limits` of the lowest: nothing may be pumped past it. The first, if two are as low.
    pub lowest: usize,
}

impl Worked {
    /// The limit that holds.
    pub fn limit(&self) -> WorkedLimit {
        self.limits[self.lowest]
    }

    /// The ram's force at a pressure: F = p·A.
    pub fn at_ram_kilonewton(&self, pressure_bar: f64) -> f64 {
        pressure_bar * NEWTON_PER_MM2_PER_BAR * self.area_mm2 / NEWTON_PER_KILONEWTON
    }

    /// The force on the rig at a pressure: lever times the ram's own.
    pub fn at_rig_kilonewton(&self, pressure_bar: f64) -> f64 {
        self.at_ram_kilonewton(pressure_bar) * self.ram.lever
    }

    /// The pressure at which the ram has this force.
    pub fn pressure_bar(&self, at_ram_kilonewton: f64) -> f64 {
        at_ram_kilonewton * NEWTON_PER_KILONEWTON / (NEWTON_PER_MM2_PER_BAR * self.area_mm2)
    }

    fn limit_as_felt(&self, given: Limit) -> WorkedLimit {
        let lever = self.ram.lever;
        match given {
            Limit::PressureBar(pressure_bar) => WorkedLimit {
                given,
                pressure_bar,
                at_ram_kilonewton: self.at_ram_kilonewton(pressure_bar),
                at_rig_kilonewton: self.at_rig_kilonewton(pressure_bar),
            },
            Limit::AtRamKilonewton(force) => WorkedLimit {
                given,
                pressure_bar: self.pressure_bar(force),
                at_ram_kilonewton: force,
                at_rig_kilonewton: force * lever,
            },
            Limit::AtRigKilonewton(force) => WorkedLimit {
                given,
                pressure_bar: self.pressure_bar(force / lever),
                at_ram_kilonewton: force / lever,
                at_rig_kilonewton: force,
            },
        }
    }
}

/// The force of a ram and the lowest of its limits; or everything that is wrong with them.
///
/// The same ram under the same oil pushes harder than it pulls:
///
/// ```
/// use cockpit_cards::length::Length;
/// use cockpit_cards::rigging::hydraulics::{Acts, Limit, Ram, work_out};
///
/// let ram = |acts| Ram { bore: Length::mm(40.0), rod: Length::mm(20.0), acts, lever: 1.0 };
/// let limits = [Limit::PressureBar(250.0), Limit::AtRigKilonewton(17.0)];
/// let (pulls, pushes) = (work_out(ram(Acts::Pull), &limits).unwrap(), work_out(ram(Acts::Push), &limits).unwrap());
/// // The rig gives out before the ram does, and sooner if the ram pushes:
/// assert_eq!((pulls.lowest, pushes.lowest), (1, 1));
/// assert!((pulls.limit().pressure_bar - 180.4).abs() < 0.05);
/// assert!((pushes.limit().pressure_bar - 135.3).abs() < 0.05);
/// ```
pub fn work_out(ram: Ram, limits: &[Limit]) -> Result<Worked, Vec<Impossible>> {
    let mut faults = faults_of_ram(ram);
    if limits.is_empty() {
        faults.push(Impossible::NoLimit);
    }
    faults.extend(limits.iter().enumerate().filter_map(|(limit, given)| {
        let (Limit::PressureBar(value) | Limit::AtRamKilonewton(value) | Limit::AtRigKilonewton(value)) = *given;
        (!is_positive(value)).then_some(Impossible::Limit { limit, value })
    }));
    if !faults.is_empty() {
        return Err(faults);
    }

    let mut worked = Worked { ram, area_mm2: area_mm2(ram), limits: Vec::new(), lowest: 0 };
    worked.limits = limits.iter().map(|given| worked.limit_as_felt(*given)).collect();
    let usable = |limit: &WorkedLimit| {
        [limit.pressure_bar, limit.at_ram_kilonewton, limit.at_rig_kilonewton].into_iter().all(is_positive)
    };
    if !worked.limits.iter().all(usable) {
        return Err(vec![Impossible::TooLarge]);
    }
    worked.lowest = (0..limits.len())
        .min_by(|a, b| worked.limits[*a].pressure_bar.total_cmp(&worked.limits[*b].pressure_bar))
        .unwrap_or(0);
    Ok(worked)
}

fn area_mm2(ram: Ram) -> f64 {
    let (bore_mm, rod_mm) = (ram.bore.to_mm(), ram.rod.to_mm());
    match ram.acts {
        // As a product, since the difference of two large squares loses digits.
        Acts::Pull => FRAC_PI_4 * (bore_mm - rod_mm) * (bore_mm + rod_mm),
        Acts::Push => FRAC_PI_4 * bore_mm * bore_mm,
    }
}

fn faults_of_ram(ram: Ram) -> Vec<Impossible> {
    let mut faults = Vec::new();
    if !is_positive(ram.bore.to_mm()) {
        faults.push(Impossible::Bore { bore: ram.bore });
    }
    if !(ram.rod.to_mm() >= 0.0 && ram.rod.to_mm().is_finite()) {
        faults.push(Impossible::Rod { rod: ram.rod });
    }
    if faults.is_empty() && ram.rod >= ram.bore {
        faults.push(Impossible::RodFillsBore { bore: ram.bore, rod: ram.rod });
    }
    if !is_positive(ram.lever) {
        faults.push(Impossible::Lever { lever: ram.lever });
    }
    faults
}
