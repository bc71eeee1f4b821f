//! What each kind of scale has, told once: of a new kind the compiler asks here, and everything else asks the scale. Knows
//! no reading.

use super::{Scale, ScaleKind, Tape};
use crate::length::Length;

/// The parts that some kinds have and others do not.
#[derive(Clone, Copy, Default)]
struct Parts<'a> {
    /// The unit of a quantity, and how much of it one whole mark is.
    quantity: Option<(&'a str, f64)>,
    /// How far the control moves from one mark to the next, and how many times as far the marked part does.
    travel: Option<(Length, f64)>,
    /// The diameter of a tube, and the thickness of the film around it.
    tube: Option<(Length, Length)>,
    /// What stands before the numbers on either side of a centre.
    sides: Option<&'a [String; 2]>,
    /// Measured quantities, each with its place.
    pairs: &'a [(f64, Length)],
    tapes: &'a [Tape],
    /// What turns are counted from.
    base: Option<&'a str>,
    /// Readings are names and not numbers.
    has_only_names: bool,
    /// Its marks have places along a line.
    has_strip: bool,
}

impl ScaleKind {
    fn parts(&self) -> Parts<'_> {
        let strip = Parts { has_strip: true, ..Parts::default() };
        match self {
            ScaleKind::Even { spacing, purchase, .. } => Parts { travel: Some((*spacing, *purchase)), ..strip },
            ScaleKind::Around { diameter, thickness, .. } => Parts { tube: Some((*diameter, *thickness)), ..strip },
            ScaleKind::Centre { spacing, purchase, ends, .. } => {
                Parts { travel: Some((*spacing, *purchase)), sides: Some(ends), ..strip }
            }
            ScaleKind::Measured { pairs, unit, every } => Parts { quantity: Some((unit, *every)), pairs, ..strip },
            ScaleKind::Tapes(tapes) => Parts { tapes, has_only_names: true, ..strip },
            ScaleKind::Turns { base } => Parts { base: Some(base), ..Parts::default() },
            ScaleKind::Gauge { unit, every, .. } => Parts { quantity: Some((unit, *every)), ..Parts::default() },
            ScaleKind::Words(_) => Parts { has_only_names: true, ..Parts::default() },
        }
    }
}

impl Scale {
    /// One whole mark in the scale's own coordinate: 1 for numbered marks, turns, tapes and words; `every` for
    /// quantities.
    pub fn whole_mark(&self) -> f64 {
        self.kind.parts().quantity.map_or(1.0, |(_, every)| every)
    }

    /// The unit of a quantity: `bar`. A strip states it once, a table in every cell.
    pub fn unit(&self) -> Option<&str> {
        self.kind.parts().quantity.map(|(unit, _)| unit)
    }

    /// How far the control itself moves from one mark to the next, where all marks are as far apart.
    pub fn spacing(&self) -> Option<Length> {
        self.kind.parts().travel.map(|(spacing, _)| spacing)
    }

    /// How many times as far the marked part moves as the control itself, where marks have a spacing.
    pub fn purchase(&self) -> Option<f64> {
        self.kind.parts().travel.map(|(_, purchase)| purchase)
    }

    /// The diameter of the tube that the strip goes around, and the thickness of the film.
    pub fn tube(&self) -> Option<(Length, Length)> {
        self.kind.parts().tube
    }

    /// What stands before the numbers on the negative and on the positive side of a centre.
    pub fn sides(&self) -> Option<&[String; 2]> {
        self.kind.parts().sides
    }

    /// The measured quantities with their places, in rising order; empty for every other kind.
    pub fn pairs(&self) -> &[(f64, Length)] {
        self.kind.parts().pairs
    }

    /// The tapes, in rising order; empty for every other kind.
    pub fn tapes(&self) -> &[Tape] {
        self.kind.parts().tapes
    }

    /// What turns are counted from.
    pub fn base(&self) -> Option<&str> {
        self.kind.parts().base
    }

    /// Whether a reading is a name, of a tape or a word, and half of one is no setting.
    pub fn has_only_names(&self) -> bool {
        self.kind.parts().has_only_names
    }

    /// Whether its marks have places along a line, so that they can be printed as a strip.
    pub fn has_strip(&self) -> bool {
        self.kind.parts().has_strip
    }
}
