//! Adjustments: a setting moved by so many marks for chop or flat water, held at the end of its scale and at its limits.
//! Knows no names of controls and no card.

use super::scale::SAME;
use super::table::{Ground, Setting};
use super::{Scale, mark};
use crate::wrong::Wrong;

/// How far a control is moved, in whole marks of its scale: `−½`, `1`. On a gauge or a measured scale a mark is a step of
/// `every`; turns are turns; tapes and words go up or down the list.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Offset(f64);

/// Readings never to pass, over and above the scale's own ends.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// The reading it must not go below, if there is one.
    pub never_below: Option<f64>,
    /// The reading it must not go above, if there is one.
    pub never_above: Option<f64>,
}

/// A setting with an adjustment on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Adjusted {
    /// The reading after the move, in the coordinate of the scale.
    pub reading: f64,
    /// What the reading is known from: moved readings are [`Ground::Adjusted`].
    pub ground: Ground,
    /// What kept it from going all the way; a card marks it.
    pub held: Option<Held>,
}

/// What an adjusted setting was held at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Held {
    /// The scale has no mark beyond it.
    ScaleEnd,
    /// The control is never to be set below it.
    NeverBelow,
    /// The control is never to be set above it.
    NeverAbove,
}

impl Offset {
    /// Marks as the sailor wrote them. `Err` if they are nought, or finer than the scale can be read to: nobody could
    /// set them.
    pub fn new(marks: f64, scale: &Scale) -> Result<Self, Wrong> {
        let steps = marks * scale.whole_mark() / scale.step();
        let refuse = |what: String, instead: &str| Err(Wrong { what, instead: instead.to_owned() });
        if !marks.is_finite() || marks == 0.0 {
            let what = format!("an adjustment of {} changes nothing", mark::print(marks));
            return refuse(what, "write by how many marks to move it, or leave the control out");
        }
        if (steps - steps.round()).abs() > SAME {
            let step = mark::print(scale.step() / scale.whole_mark());
            let what = format!("an adjustment of {} is finer than the scale can be read to", mark::print(marks));
            return refuse(what, &format!("write a multiple of {step}"));
        }
        Ok(Offset(marks))
    }

    /// The distance in whole marks; negative is down the scale.
    pub fn marks(self) -> f64 {
        self.0
    }

    /// The setting moved by this offset from what is printed, as far as scale and limits let it.
    ///
    /// Adjusted settings are on the ground [`Ground::Adjusted`]; a setting on a weaker ground stays there, and one that
    /// could not move at all keeps its own. A setting already past a limit is never moved further past it, nor brought
    /// back by more than the offset.
    ///
    /// ```
    /// use cockpit_cards::length::Length;
    /// use cockpit_cards::tuning::adjust::{Held, Limits, Offset};
    /// use cockpit_cards::tuning::{Fineness, Ground, Scale, ScaleKind, Setting};
    ///
    /// let kind = ScaleKind::Even { first: 0, last: 8, spacing: Length::mm(20.0), purchase: 1.0 };
    /// let backstay = Scale { kind, fineness: Fineness::Halves };
    /// let sailed = Setting { exact: 6.5, reading: 6.5, ground: Ground::Sailed };
    /// let limits = Limits { never_above: Some(7.0), never_below: None };
    /// let tighter = Offset::new(1.0, &backstay).unwrap().apply(sailed, &backstay, limits);
    /// assert_eq!((tighter.reading, tighter.held), (7.0, Some(Held::NeverAbove)));
    /// ```
    pub fn apply(self, setting: Setting, scale: &Scale, limits: Limits) -> Adjusted {
        let wanted = setting.reading + self.0 * scale.whole_mark();
        let (least, most) = scale.limits();
        let ends = if self.0 > 0.0 {
            [(limits.never_above, Held::NeverAbove), (most, Held::ScaleEnd)]
        } else {
            [(limits.never_below, Held::NeverBelow), (least, Held::ScaleEnd)]
        };
        // Whichever stop comes first; the limit if the scale ends at the same mark.
        let stops = ends.into_iter().filter_map(|(at, held)| Some((at?, held)));
        let stop = stops.min_by(|a, b| (self.way() * a.0).total_cmp(&(self.way() * b.0)));
        let is_short_of_wanted = |at: f64| self.way() * (wanted - at) > SAME * scale.whole_mark();
        let held = stop.filter(|(at, _)| is_short_of_wanted(*at));
        let is_past = |at: f64| self.way() * (setting.reading - at) > 0.0;
        let moved = match held {
            None => wanted,
            Some((at, _)) if is_past(at) => setting.reading,
            Some((at, _)) => at,
        };
        let ground = if moved == setting.reading { setting.ground } else { setting.ground.max(Ground::Adjusted) };
        Adjusted { reading: moved, ground, held: held.map(|(_, held)| held) }
    }

    fn way(self) -> f64 {
        self.0.signum()
    }
}
