//! Adjustments: a setting moved by so many marks for chop or flat water, held at the end of its scale and at its limits.
//! Knows no names of controls and no card.

use super::table::{Ground, Setting};
use super::tolerance::is_same;
use super::{Scale, mark};
use crate::wrong::Wrong;

/// How far a control is moved, in whole marks of its scale: `−½`, `1`. On a gauge or a measured scale a mark is a step of
/// `every`; turns are turns; tapes and words go up or down the list. It is never less than the scale can be read to.
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
    /// Marks, from what the sailor wrote. `Err` if they are 0, or finer than the scale can be read to: nobody could set
    /// them, and on a card they would vanish.
    pub fn new(marks: f64, scale: &Scale) -> Result<Self, Wrong> {
        let steps = marks * scale.whole_mark() / scale.step();
        let told = |marks: f64| match scale.unit() {
            Some(_) => scale.print(marks * scale.whole_mark()),
            None if mark::is_fraction(marks) => mark::print(marks),
            None => mark::print_to(marks, 2),
        };
        if !marks.is_finite() || marks == 0.0 {
            return Err(Wrong {
                what: format!("to move it by {} changes nothing", mark::print(marks)),
                instead: "write how far to move it, or leave the control out".to_owned(),
            });
        }
        if !is_same(steps, steps.round()) {
            let is = if scale.unit().is_some() { "" } else { " marks" };
            return Err(Wrong {
                what: format!("to move it by {}{is} is finer than the scale can be read to", told(marks)),
                instead: format!("write a multiple of {}", told(scale.step() / scale.whole_mark())),
            });
        }
        Ok(Offset(steps.round() * scale.step() / scale.whole_mark()))
    }

    /// Where a reading comes to, be it on the scale or past its end. One as fine as the scale is read comes to another
    /// such; one that was recorded finer keeps its fraction.
    pub fn moved(self, reading: f64, scale: &Scale) -> f64 {
        let steps = (reading + self.0 * scale.whole_mark()) / scale.step();
        // What the arithmetic leaves is no fraction.
        (if is_same(steps, steps.round()) { steps.round() } else { steps }) * scale.step()
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
        let wanted = self.moved(setting.reading, scale);
        let (least, most) = scale.limits();
        let ends = if self.0 > 0.0 {
            [(limits.never_above, Held::NeverAbove), (most, Held::ScaleEnd)]
        } else {
            [(limits.never_below, Held::NeverBelow), (least, Held::ScaleEnd)]
        };
        // Whichever stop comes first; the limit if the scale ends at the same mark.
        let stops = ends.into_iter().filter_map(|(at, held)| Some((at?, held)));
        let stop = stops.min_by(|a, b| (self.way() * a.0).total_cmp(&(self.way() * b.0)));
        let is_short_of_wanted = |at: f64| self.way() * (wanted - at) > 0.0 && !is_same(wanted, at);
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
