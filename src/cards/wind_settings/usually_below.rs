//! For the usual number below: in which winds each column of a settings card is to be read. The same arithmetic as that of the
//! crew-below card, turned round. Lays nothing out.

use crate::book::{Book, PointOfSail, Settings};
use crate::cards::parts::read_at::{Feel, Felt};
use crate::cards::parts::sided;
use crate::cards::parts::words::wind_span;
use crate::tuning::righting::Bunks;
use crate::tuning::{Angle, Axis, Band, Span, Wind};

/// Steps in which a wind is looked for below an edge, in the axis's numbers: knots. Finer than half of what is printed.
const STEP: f64 = 0.25;
/// Halvings that leave less of a step than anyone can print.
const HALVINGS: usize = 40;

/// What a card says of the usual number below.
#[derive(Clone, Debug, PartialEq)]
pub struct UsuallyBelow {
    /// `4 below, leeward`.
    pub who: String,
    /// One a band: `7 to 8½`, `up to 7` of the first where only that end is known, `? to 16½` of another, or the sign of what is not; none where there is no line.
    pub winds: Vec<String>,
    /// Why there is no line, or that nothing changes.
    pub says: Option<String>,
}

impl UsuallyBelow {
    /// `None` if the book has no usual number below, or more than heel limits her on this point of sail.
    pub fn of(book: &Book, settings: &Settings, bands: &[Band]) -> Option<Self> {
        let is_upwind = settings.point_of_sail == PointOfSail::Upwind && settings.angled.is_none();
        is_upwind.then(|| UsuallyBelow::upwind(book, settings, bands)).flatten()
    }

    /// The same of settings that go by angle, at one of them.
    pub fn at_angle(book: &Book, settings: &Settings, bands: &[Band], angle: Angle) -> Option<Self> {
        let is_upwind =
            Feel::of(book).map_or(settings.point_of_sail == PointOfSail::Upwind, |feel| feel.is_upwind(angle));
        // Seen once, not in each wind that is tried: a table by angle is a large thing.
        let seen = || Settings { point_of_sail: PointOfSail::Upwind, ..settings.seen_at(angle).into_owned() };
        let has_usual = book.race.crew.as_ref().is_some_and(|crew| crew.usually_below.is_some());
        (is_upwind && has_usual).then(|| UsuallyBelow::upwind(book, &seen(), bands)).flatten()
    }

    fn upwind(book: &Book, settings: &Settings, bands: &[Band]) -> Option<Self> {
        let usual = book.race.crew.as_ref()?.usually_below.as_ref()?;
        let who = format!("{} below, {}", usual.hands, usual.side.word());
        let says = |words: &str| {
            Some(UsuallyBelow { who: who.clone(), winds: Vec::new(), says: Some(format!("{who}: {words}")) })
        };
        let Some(feel) = Feel::of(book) else { return says("not reckoned: the book has no righting") };
        let asked = Asked { feel, settings, below: usual.hands, bunks: usual.side };
        // Where one band ends the next begins.
        let mut last: Option<(Wind, Option<Wind>)> = None;
        let mut blows_at = |edge: Wind| match last.filter(|(at, _)| *at == edge) {
            Some((_, blows)) => blows,
            None => last.insert((edge, asked.blows_at(edge))).1,
        };
        let edges: Vec<(Option<Wind>, Option<Wind>)> =
            bands.iter().map(|band| (blows_at(band.low), blows_at(band.high))).collect();
        let all = || {
            edges.iter().flat_map(|(low, high)| [*low, *high]).zip(bands.iter().flat_map(|band| [band.low, band.high]))
        };
        if all().all(|(blows, _)| blows.is_none()) {
            return says("not reckoned: no target heel in these winds");
        }
        if all().all(|(blows, edge)| blows.is_none_or(|blows| blows.is_at(edge))) {
            let is_known = all().all(|(blows, _)| blows.is_some());
            return says(if is_known { "no change in these winds" } else { "no change as far as her heel is known" });
        }
        let unit = book.units.wind;
        // Beyond the first and the last column there is none to read in its place; between two columns nobody knows.
        let words = |(index, edges): (usize, &(Option<Wind>, Option<Wind>))| match *edges {
            (Some(low), Some(high)) => wind_span(Span { low, high }, unit),
            (Some(low), None) if index + 1 == bands.len() => format!("from {}", low.print(unit)),
            (Some(low), None) => format!("{} to {}", low.print(unit), sided::UNKNOWN),
            (None, Some(high)) if index == 0 => format!("up to {}", high.print(unit)),
            (None, Some(high)) => format!("{} to {}", sided::UNKNOWN, high.print(unit)),
            (None, None) => sided::UNKNOWN.to_owned(),
        };
        Some(UsuallyBelow { who, winds: edges.iter().enumerate().map(words).collect(), says: None })
    }
}

/// Whom and what it is reckoned for.
#[derive(Clone, Copy)]
struct Asked<'a> {
    feel: Feel<'a>,
    /// By wind alone, or as they are at one angle.
    settings: &'a Settings,
    below: u32,
    bunks: Bunks,
}

impl Asked<'_> {
    /// The wind to read the card at while this one blows; `None` where that is not known.
    fn read_at(self, wind: Wind) -> Option<Wind> {
        match self.feel.read_at(self.settings, (wind, None), self.below, self.bunks).ok()? {
            Felt::At(found) => Some(found.wind),
            Felt::NoTargetHeel | Felt::NotUpwind | Felt::NoAngle => None,
        }
    }

    /// The wind that blows while the card is to be read at this one: no more than that, since with fewer on the rail she feels
    /// no less of it.
    fn blows_at(self, edge: Wind) -> Option<Wind> {
        let Some(at_edge) = self.read_at(edge) else { return self.is_light(edge).then_some(edge) };
        if !at_edge.is_above(edge) {
            return Some(edge);
        }
        let (mut over, mut under) = (edge, edge);
        while self.read_at(under)?.is_above(edge) {
            over = under;
            under = Wind::from_number(under.number() - STEP);
            if !under.is_above(Wind::CALM) {
                return None;
            }
        }
        for _ in 0..HALVINGS {
            let middle = Wind::from_number(under.number().midpoint(over.number()));
            match self.read_at(middle)?.is_above(edge) {
                true => over = middle,
                false => under = middle,
            }
        }
        Some(under)
    }

    /// Whether she heels less in this wind than in one in which nothing changes.
    fn is_light(self, wind: Wind) -> bool {
        let known = self.settings.targets.iter().map(|target| target.at.value).filter(|at| at.is_above(wind));
        known.into_iter().any(|at| self.read_at(at).is_some_and(|read| !read.is_above(at)))
    }
}
