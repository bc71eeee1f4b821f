//! A scale as a printed thing, true to length.
use super::{Card, Kind};

pub const KIND: Kind = Kind {
    name: "strip",
    about: "A control's scale, true to length, to stick on deck",
    from_entry: |_, _, _| Vec::<Card>::new(),
    by_default: |_, _| Vec::new(),
};
