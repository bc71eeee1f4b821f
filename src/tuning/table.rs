//! What a settings table says at a wind or in a band, and on what ground.

use super::{Band, Between, Curve, Scale};

/// Where a number comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// Recorded under sail at a wind in the band (or at just this wind).
    Sailed,
    /// Read from the curve between two known winds.
    Between,
    /// The nearest known value, for a wind beyond all known ones.
    Outside,
    /// Copied from a replaced sail and not yet sailed with this one.
    CarriedOver,
    /// Moved by an adjustment.
    Adjusted,
}

/// One recorded value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    pub wind_kn: f64,
    /// In the scale's own coordinate; see [`Scale`].
    pub reading: f64,
    /// [`Ground::Sailed`] or [`Ground::CarriedOver`].
    pub ground: Ground,
}

/// One control's known values in order of wind, with the curve through them.
#[derive(Clone, Debug)]
pub struct Column {
    scale: Scale,
    known: Vec<Known>,
    curve: Curve,
}

/// A setting at one wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// The unrounded value.
    pub exact: f64,
    /// Rounded to what the scale can be read to (a sailed value: as recorded).
    pub reading: f64,
    pub ground: Ground,
}

/// A setting for a band of wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandSetting {
    pub setting: Setting,
    /// The lowest and highest rounded readings inside the band in order of rising wind, if the control moves more than one whole mark there.
    pub span: Option<(f64, f64)>,
}

impl Column {
    /// `None` if there is no known value, or winds do not strictly rise.
    pub fn new(_scale: Scale, _known: Vec<Known>, _between: Between) -> Option<Self> {
        todo!()
    }

    /// The setting at one wind: sailed where a known wind is just this one, outside beyond the known ones.
    pub fn at(&self, _wind_kn: f64) -> Setting {
        todo!()
    }

    /// The setting a card prints for a band; the rule is in the module's words.
    pub fn in_band(&self, _band: Band) -> BandSetting {
        todo!()
    }
}
