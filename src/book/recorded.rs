//! What a row of settings holds of one control. Knows no scale and no other row.

use super::problem::Place;
use super::spanned::Spanned;
use crate::tuning::Side;

/// What was written of a control at one wind, in the coordinate of its scale.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Recorded {
    /// `~`, or nothing: nobody wrote it down.
    #[default]
    Not,
    /// `none`: it was not used.
    NotUsed(Place),
    /// One reading. Of a control whose scale reads differently on its two sides it is that of the port side.
    One(Spanned<f64>),
    /// `{port: 2, starboard: 2½}`: each as it is read on its own side; `None`: that side was not written down.
    Sides {
        /// On the port side.
        port: Option<Spanned<f64>>,
        /// On the starboard side.
        starboard: Option<Spanned<f64>>,
    },
}

impl Recorded {
    /// Whether anything was written down, be it that the control was not used.
    pub fn is_something(&self) -> bool {
        *self != Recorded::Not
    }

    /// The one reading, if there is just one for both sides.
    pub fn one(&self) -> Option<&Spanned<f64>> {
        match self {
            Recorded::One(reading) => Some(reading),
            _ => None,
        }
    }

    /// Every reading as it was written, with its side where it has one.
    pub fn written(&self) -> impl Iterator<Item = (Option<Side>, &Spanned<f64>)> {
        let (first, second) = match self {
            Recorded::Not | Recorded::NotUsed(_) => (None, None),
            Recorded::One(reading) => (Some((None, reading)), None),
            Recorded::Sides { port, starboard } => (
                port.as_ref().map(|port| (Some(Side::Port), port)),
                starboard.as_ref().map(|starboard| (Some(Side::Starboard), starboard)),
            ),
        };
        first.into_iter().chain(second)
    }

    /// Every reading, to be changed.
    pub(super) fn written_mut(&mut self) -> impl Iterator<Item = &mut Spanned<f64>> {
        let (first, second) = match self {
            Recorded::Not | Recorded::NotUsed(_) => (None, None),
            Recorded::One(reading) => (Some(reading), None),
            Recorded::Sides { port, starboard } => (port.as_mut(), starboard.as_mut()),
        };
        first.into_iter().chain(second)
    }
}
