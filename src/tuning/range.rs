//! What sails are for: as they were made, as they are now, and why that is less. One answer for a sail and for sails that
//! are set together. Knows no book and no card.

use super::{Angle, Axis, Band, Span, Wind};

/// Winds by angles.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Area {
    /// The wind that the sails' ranges are written in.
    pub wind: Span<Wind>,
    /// True wind angle.
    pub angle: Span<Angle>,
}

impl Area {
    /// Whether this wind at this angle lies in it.
    pub fn holds(self, wind: Wind, angle: Angle) -> bool {
        self.wind.holds(wind) && self.angle.holds(angle)
    }

    /// Whether no part of the other lies outside it.
    pub fn holds_all_of(self, other: Area) -> bool {
        self.wind.holds_all_of(other.wind) && self.angle.holds_all_of(other.angle)
    }

    /// What two areas have in common; `None` if they only touch.
    pub fn common(self, other: Area) -> Option<Area> {
        Some(Area { wind: self.wind.common(other.wind)?, angle: self.angle.common(other.angle)? })
    }
}

/// What a sail is for, or what sails set together are all for.
///
/// A range that nobody wrote down is not known, which is neither "any wind" nor "none": it sets no bounds to what is
/// set with it, but nothing is said to be for a wind because of it; see [`SailRange::knows_wind`].
///
/// ```
/// use cockpit_cards::tuning::range::SailRange;
/// use cockpit_cards::tuning::{Span, Wind};
///
/// let main = SailRange::default();
/// let torn = SailRange::new(Span::new(Wind::knots(5.0), Wind::knots(20.0)), None, Some(Wind::knots(16.0)));
/// // The mainsail, whose range nobody wrote down, leaves the jib its own.
/// let both = SailRange::together([main, torn]);
/// assert_eq!(both.wind_made(), Span::new(Wind::knots(5.0), Wind::knots(20.0)));
/// assert_eq!(both.wind_now(), Span::new(Wind::knots(5.0), Wind::knots(16.0)));
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SailRange {
    wind: Ends<Wind>,
    angle: Ends<Angle>,
    max_now: Option<Wind>,
    narrowed: Vec<Narrowed>,
}

/// The ends of a range as far as they are known. They may have passed each other where sails share nothing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Ends<A> {
    low: Option<A>,
    high: Option<A>,
}

/// Why a sail is for less than it was made for.
#[derive(Clone, Debug, PartialEq)]
pub struct Narrowed {
    /// The sail, as printed.
    pub sail: String,
    /// What is wrong with it, in the book's words.
    pub status: Option<String>,
    /// The winds it was made for, if they are known.
    pub made: Option<Span<Wind>>,
    /// The winds it is for now; `None` if that is nothing.
    pub now: Option<Span<Wind>>,
}

impl<A: Copy + Ord> Ends<A> {
    fn of(span: Option<Span<A>>) -> Self {
        Ends { low: span.map(|span| span.low), high: span.map(|span| span.high) }
    }

    fn within(self, other: Self) -> Self {
        // `None` is less than any wind, so of two lower ends the known one is the higher.
        let high = [self.high, other.high].into_iter().flatten().min();
        Ends { low: self.low.max(other.low), high }
    }

    fn is_known(self) -> bool {
        self.low.is_some() && self.high.is_some()
    }
}

impl SailRange {
    /// One sail's, each range `None` where it is not known; `max_now` is the most wind it may be used in as it is now.
    pub fn new(wind: Option<Span<Wind>>, angle: Option<Span<Angle>>, max_now: Option<Wind>) -> Self {
        SailRange { wind: Ends::of(wind), angle: Ends::of(angle), max_now, narrowed: Vec::new() }
    }

    /// The same, with the reason to give wherever its state takes something away from it.
    #[must_use]
    pub fn because(mut self, sail: &str, status: Option<&str>) -> Self {
        if self.is_narrowed() {
            let (made, now) = (self.wind_made().filter(|_| self.knows_wind()), self.wind_now());
            let (sail, status) = (sail.to_owned(), status.map(str::to_owned));
            self.narrowed = vec![Narrowed { sail, status, made, now }];
        }
        self
    }

    /// What sails set together are for: what each of them is for.
    pub fn together(ranges: impl IntoIterator<Item = SailRange>) -> Self {
        ranges.into_iter().fold(SailRange::default(), |mut all, range| {
            all.narrowed.extend(range.narrowed);
            SailRange {
                wind: all.wind.within(range.wind),
                angle: all.angle.within(range.angle),
                max_now: [all.max_now, range.max_now].into_iter().flatten().min(),
                narrowed: all.narrowed,
            }
        })
    }

    /// The winds it was made for, open where no end is known; `None` where the sails share none.
    pub fn wind_made(&self) -> Option<Span<Wind>> {
        Span::new(self.wind.low.unwrap_or(Wind::CALM), self.wind.high.unwrap_or(Wind::ENDLESS))
    }

    /// The winds it is for now, open where no end is known; `None` if that is nothing.
    pub fn wind_now(&self) -> Option<Span<Wind>> {
        let made = self.wind_made()?;
        Span::new(made.low, self.max_now.map_or(made.high, |max| max.min(made.high)))
    }

    /// The angles it is for, open where they are not known; `None` where the sails share none.
    pub fn angles(&self) -> Option<Span<Angle>> {
        Span::new(self.angle.low.unwrap_or(Angle::AHEAD), self.angle.high.unwrap_or(Angle::ASTERN))
    }

    /// What it was made for; `None` where the sails share nothing.
    pub fn made(&self) -> Option<Area> {
        Some(Area { wind: self.wind_made()?, angle: self.angles()? })
    }

    /// What it may be used for as it is now; `None` if that is nothing.
    pub fn now(&self) -> Option<Area> {
        Some(Area { wind: self.wind_now()?, angle: self.angles()? })
    }

    /// Whether its winds are known, as made: only then is it said to be *for* a wind.
    pub fn knows_wind(&self) -> bool {
        self.wind.is_known()
    }

    /// Whether its angles are known.
    pub fn knows_angle(&self) -> bool {
        self.angle.is_known()
    }

    /// Whether its state takes something away from its range.
    pub fn is_narrowed(&self) -> bool {
        self.max_now.is_some_and(|max| self.wind.high.is_none_or(|high| max.is_below(high)))
    }

    /// Each sail that is for less than it was made for.
    pub fn narrowed(&self) -> &[Narrowed] {
        &self.narrowed
    }

    /// The part of a band that it is for now.
    pub fn part_of(&self, band: Band) -> Option<Band> {
        band.within(self.wind_now()?)
    }

    /// Whether it may be used now in every one of these winds.
    pub fn holds_winds(&self, low: Wind, high: Wind) -> bool {
        self.wind_now().is_some_and(|now| now.holds(low) && now.holds(high))
    }
}
