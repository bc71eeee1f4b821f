//! The settings of one set of sails, a row for each band of wind.
use super::{Card, Kind};

pub const KIND: Kind = Kind {
    name: "wind-settings",
    about: "Which mark on which scale, for each band of wind",
    from_entry: |_, _, _| Vec::<Card>::new(),
    by_default: |_, _| Vec::new(),
};
