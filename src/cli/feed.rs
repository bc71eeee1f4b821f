//! Which edge of the paper goes into the printer first, as a flag.

use clap::ValueEnum;
use cockpit_cards::paper::printer::Feed;

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FeedFlag {
    /// As desktop printers take it
    ShortEdge,
    /// Sideways, as many office printers take A4 and Letter
    LongEdge,
}

impl From<FeedFlag> for Feed {
    fn from(flag: FeedFlag) -> Self {
        match flag {
            FeedFlag::ShortEdge => Feed::ShortEdge,
            FeedFlag::LongEdge => Feed::LongEdge,
        }
    }
}
