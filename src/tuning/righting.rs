//! How hard the boat feels the wind when part of the crew is below: righting moments, and the wind to read a card at.
//! Knows no book, no watches and no card.
//!
//! **The moment.** At the heel φ of a settings row, with the crew that was on the rail when it was sailed, wind and water
//! heeled her with H = RM_then(φ). Today's crew can hold RM_now(φ*), where φ* is the heel at which she is limited, or the
//! row's own if that is more. While H is no more than that nothing changes: she only heels further, and not too far. Where
//! it is more, she has to be set as for a wind that heels her more by that ratio. The heeling moment goes with the square of
//! the apparent wind, so the apparent wind is multiplied by k = √(H/RM_now(φ*)), at least 1, and at most
//! √(RM_then(φ*)/RM_now(φ*)). It is turned back into true wind at the boat speed and true wind angle of the row.
//!
//! So nothing jumps: k leaves 1 at the wind in which the boat with today's crew reaches the limit, and has grown to the
//! whole ratio of the moments where she reached it then. Past the limit both moments are taken at the heel she is sailed
//! at, which the row tells, and not at the limit, which she has passed.
//!
//! **Below the wind of a limit.** Where it is only known at which wind she reaches the limit, she is under full sail up to
//! there, and H goes with the square of the apparent wind.
//!
//! RM(φ) = Δ·g·GZ(φ) + Σ m·g·(y·cos φ − z·sin φ), with y to windward of the centreline and z above the boat's centre of
//! gravity. Δ is the mass that floats, crew and stores and all; GZ is the curve for that mass with the crew's weight in
//! the boat's own centre of gravity; a person then adds the moment of the way from there to where they are. The hull is
//! taken to float the same wherever they are. Upright, GZ is 0: she is the same on both sides.

use std::f64::consts::FRAC_PI_2;

use super::curve::{Between, Curve};
use super::mark;
use super::working::Step;
use super::{Angle, BoatSpeed, Wind};
use crate::length::Length;

/// Standard acceleration of gravity, m/s² (3rd CGPM, 1901; NIST SP 811, appendix B.8). It is off by at most 0.3 % anywhere
/// at sea, and falls out of the ratio of two righting moments.
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// What rights the hull.
#[derive(Clone, Debug, PartialEq)]
pub struct Hull {
    /// What floats, crew and stores included.
    pub displacement_kg: f64,
    /// The lever that her weight rights her by.
    pub lever: Lever,
}

impl Hull {
    /// Whether its table of GZ does so at no heel at all: then it has more in it than the hull.
    pub fn rights_upright(&self) -> bool {
        match &self.lever {
            Lever::Gm(_) => false,
            Lever::Gz(curve) => curve.0.points().first().is_some_and(|first| first.0 == 0.0 && first.1 > 0.0),
        }
    }
}

/// The righting lever over heel.
#[derive(Clone, Debug, PartialEq)]
pub enum Lever {
    /// GZ = GM·sin φ: what an inclining test gives. Good for small heel; a card has to say that it was used.
    Gm(Length),
    /// From a stability booklet or a measurement certificate.
    Gz(GzCurve),
}

/// A measured or computed curve of GZ, monotone between its points.
#[derive(Clone, Debug, PartialEq)]
pub struct GzCurve(Curve);

impl GzCurve {
    /// From heel in degrees and GZ, in order of heel. Heel runs from 0 to 180.
    pub fn new(points: &[(f64, Length)]) -> Result<Self, RightingError> {
        if let Some((heel_deg, _)) = points.iter().find(|(heel_deg, _)| !(0.0..=HALF_TURN_DEG).contains(heel_deg)) {
            return Err(bad("heel", *heel_deg, "°", "from 0 to 180°"));
        }
        let metres = points.iter().map(|(heel_deg, gz)| (*heel_deg, metres(*gz))).collect();
        Curve::new(metres, Between::Monotone).map(GzCurve).ok_or(RightingError::TableOutOfOrder)
    }

    /// Short of the table's first heel on the line from upright, where nothing rights.
    fn at(&self, heel_deg: f64) -> Result<Length, RightingError> {
        let (first, last) = (self.0.points().first(), self.0.points().last());
        let (first, last_deg) = first.zip(last).map(|(first, last)| (*first, last.0)).unwrap_or_default();
        let beyond = RightingError::HeelBeyondTable { heel_deg, first_deg: first.0, last_deg };
        if heel_deg >= 0.0 && heel_deg < first.0 {
            return Ok(Length::metres(first.1 * heel_deg / first.0));
        }
        self.0.at(heel_deg).map(Length::metres).ok_or(beyond)
    }
}

/// Where someone sits or lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// How far it is from the centreline; to leeward is negative.
    pub to_windward: Length,
    /// How far it is above the boat's centre of gravity; below it is negative.
    pub above: Length,
}

/// People in one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// Where they are, by its name.
    pub post: Post,
    /// How many; between two rows that were sailed with different numbers it may be a part of one.
    pub people: f64,
    /// What each of them weighs, in kilograms.
    pub mass_each_kg: f64,
    /// Where they are, as a place that moments are reckoned from.
    pub station: Station,
}

/// Where a part of the crew is, by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Post {
    /// They sit on the windward rail.
    Rail,
    /// They lie in these bunks.
    Below(Bunks),
}

/// The side on which those below sleep.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bunks {
    /// They lie to windward of the centreline.
    Windward,
    /// They lie on the centreline.
    Centre,
    /// They lie to leeward of the centreline.
    Leeward,
}

impl Bunks {
    /// Every side, from windward to leeward.
    pub const ALL: [Bunks; 3] = [Bunks::Windward, Bunks::Centre, Bunks::Leeward];

    /// As it is said: `windward`.
    pub const fn word(self) -> &'static str {
        match self {
            Bunks::Windward => "windward",
            Bunks::Centre => "centre",
            Bunks::Leeward => "leeward",
        }
    }
}

/// A crew and where it can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crew {
    /// How many people sail.
    pub aboard: u32,
    /// What each of them weighs, in kilograms.
    pub mass_each_kg: f64,
    /// Where those on the rail sit.
    pub rail: Station,
    /// Where those in the windward bunks lie.
    pub windward_bunks: Station,
    /// Where those on the centreline lie.
    pub centre_bunks: Station,
    /// Where those in the leeward bunks lie.
    pub leeward_bunks: Station,
}

impl Crew {
    /// All hands on the rail.
    pub fn all_up(&self) -> Vec<Group> {
        vec![self.group(Post::Rail, f64::from(self.aboard))]
    }

    /// So many on the rail, all at most, and the rest in these bunks.
    pub fn with_up(&self, up: f64, bunks: Bunks) -> Vec<Group> {
        let aboard = f64::from(self.aboard);
        let up = up.max(0.0).min(aboard);
        vec![self.group(Post::Rail, up), self.group(Post::Below(bunks), aboard - up)]
    }

    /// `below` of them in these bunks, the rest on the rail.
    pub fn with_below(&self, below: u32, bunks: Bunks) -> Result<Vec<Group>, RightingError> {
        let too_many = RightingError::MoreBelowThanAboard { below, aboard: self.aboard };
        let up = self.aboard.checked_sub(below).ok_or(too_many)?;
        Ok(vec![self.group(Post::Rail, f64::from(up)), self.group(Post::Below(bunks), f64::from(below))])
    }

    fn group(&self, post: Post, people: f64) -> Group {
        let station = match post {
            Post::Rail => self.rail,
            Post::Below(Bunks::Windward) => self.windward_bunks,
            Post::Below(Bunks::Centre) => self.centre_bunks,
            Post::Below(Bunks::Leeward) => self.leeward_bunks,
        };
        Group { post, people, mass_each_kg: self.mass_each_kg, station }
    }
}

/// An upwind row of settings, with what is known of her heel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// The wind of the row.
    pub wind: RowWind,
    /// The heel she is sailed at in this row; or, with `reached_at`, in that wind.
    pub heel_deg: f64,
    /// The heel from which the crew eases because she heels, and for no other reason.
    pub limit_deg: f64,
    /// Where her heel in this row is not known: a stronger wind in which it is, and up to which she is under full sail.
    pub reached_at: Option<RowWind>,
}

/// The wind that a settings table goes by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RowWind {
    /// The table goes by true wind, with the row's targets if it has them.
    True {
        /// How hard it blows.
        speed: Wind,
        /// How the boat goes through it.
        course: Option<Course>,
    },
    /// The table goes by the wind as the boat feels it.
    Apparent {
        /// How hard it blows.
        speed: Wind,
    },
}

impl RowWind {
    /// How hard it blows, whichever wind it is.
    pub const fn speed(self) -> Wind {
        match self {
            RowWind::True { speed, .. } | RowWind::Apparent { speed } => speed,
        }
    }

    /// The wind that acts on her, as far as it is known.
    fn acting(self) -> Wind {
        match self {
            RowWind::True { speed, course: Some(course) } => apparent_wind(speed, course),
            RowWind::True { speed, course: None } | RowWind::Apparent { speed } => speed,
        }
    }

    const fn basis(self) -> Basis {
        match self {
            RowWind::True { course: Some(_), .. } => Basis::ApparentFromTargets,
            RowWind::True { course: None, .. } => Basis::TrueWindOnly,
            RowWind::Apparent { .. } => Basis::Apparent,
        }
    }
}

/// How the boat goes through the wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    /// Her speed through the water.
    pub boat_speed: BoatSpeed,
    /// The angle between the bow and the true wind, 0 to 180°.
    pub true_wind_angle: Angle,
}

/// Which wind the factor was laid on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// The apparent wind found from true wind, boat speed and true wind angle.
    ApparentFromTargets,
    /// The table's own apparent wind.
    Apparent,
    /// True wind for want of targets: a card must say so. With part of the crew below it reads a little low, since the
    /// wind that the boat makes herself heels her as well.
    TrueWindOnly,
}

/// The wind to read a card at, with all that led to it.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadAt {
    /// In place of the row's wind, and of the same kind (true or apparent). Never to be added to anything.
    pub wind: Wind,
    /// Which wind the factor was laid on.
    pub basis: Basis,
    /// √(H/RM_now), at least 1.
    pub factor: f64,
    /// RM_then at the row's heel.
    pub then: Moment,
    /// H: what heels her in this row, N·m, in today's air.
    pub heeling_nm: f64,
    /// The heel that `now` is taken at, degrees: the limit, or the row's own if that is more.
    pub held_at_deg: f64,
    /// What today's crew can hold.
    pub now: Moment,
    /// The factor of the air on the wind.
    pub air_factor: Option<f64>,
    /// The row that was asked about.
    pub row: Row,
    /// The apparent wind; with the basis [`Basis::TrueWindOnly`] the true wind.
    pub acting: Wind,
    /// The wind that would heel her as much with all hands on the rail; of the same kind as `acting`.
    pub felt: Wind,
    hull: Hull,
}

/// A righting moment in its two parts, N·m.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Moment {
    /// The part of the hull, in newton-metres.
    pub hull_nm: f64,
    /// The part of the crew, in newton-metres.
    pub crew_nm: f64,
}

impl Moment {
    /// Both parts together, in newton-metres.
    pub fn total_nm(self) -> f64 {
        self.hull_nm + self.crew_nm
    }
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum RightingError {
    /// A number that no boat has.
    Bad {
        /// What the number is of, in words.
        quantity: &'static str,
        /// The number that was given.
        value: f64,
        /// The unit of the number; empty for a plain one.
        unit: &'static str,
        /// What it could be, in words.
        wanted: &'static str,
    },
    /// Heel has to rise from row to row.
    TableOutOfOrder,
    /// The heel is not within the table of GZ.
    HeelBeyondTable {
        /// The heel that was asked about, in degrees.
        heel_deg: f64,
        /// The least heel of the table, in degrees.
        first_deg: f64,
        /// The greatest heel of the table, in degrees.
        last_deg: f64,
    },
    /// At this heel she does not right herself.
    NothingRights {
        /// The heel that was asked about, in degrees.
        heel_deg: f64,
        /// How many were below.
        people_below: u32,
        /// The righting moment then, in newton-metres; 0 or less.
        moment_nm: f64,
    },
    /// More people are said to be below than sail.
    MoreBelowThanAboard {
        /// How many are said to be below.
        below: u32,
        /// How many sail.
        aboard: u32,
    },
    /// This apparent wind cannot come from this angle at this boat speed.
    NoTrueWind {
        /// The apparent wind that was asked for.
        apparent: Wind,
        /// The boat's speed and angle.
        course: Course,
    },
}

const HALF_TURN_DEG: f64 = 180.0;
const MM_PER_METRE: f64 = 1000.0;
const CREW_FORMULA: &str = "Σ m·g·(y·cos φ − z·sin φ)";

fn metres(length: Length) -> f64 {
    length.to_mm() / MM_PER_METRE
}

fn bad(quantity: &'static str, value: f64, unit: &'static str, wanted: &'static str) -> RightingError {
    RightingError::Bad { quantity, value, unit, wanted }
}

/// The righting moment at a heel.
pub fn righting_moment(hull: &Hull, crew: &[Group], heel_deg: f64) -> Result<Moment, RightingError> {
    if !(hull.displacement_kg.is_finite() && hull.displacement_kg > 0.0) {
        return Err(bad("displacement", hull.displacement_kg, "kg", "more than 0"));
    }
    let lever = righting_lever(hull, heel_deg)?;
    let (sine, cosine) = heel_deg.to_radians().sin_cos();
    let mut crew_nm = 0.0;
    for group in crew {
        let mass_kg = group.mass_each_kg;
        if !(mass_kg.is_finite() && mass_kg >= 0.0) {
            return Err(bad("mass of a person", mass_kg, "kg", "0 or more"));
        }
        let (across, up) = (metres(group.station.to_windward), metres(group.station.above));
        if let Some(arm) = [across, up].into_iter().find(|arm| !arm.is_finite()) {
            return Err(bad("distance of a person", arm, "m", "a number"));
        }
        crew_nm += group.people * mass_kg * STANDARD_GRAVITY * (across * cosine - up * sine);
    }
    Ok(Moment { hull_nm: hull.displacement_kg * STANDARD_GRAVITY * metres(lever), crew_nm })
}

fn righting_lever(hull: &Hull, heel_deg: f64) -> Result<Length, RightingError> {
    let heel = heel_deg.to_radians();
    match &hull.lever {
        Lever::Gz(curve) => curve.at(heel_deg),
        Lever::Gm(gm) if !gm.to_mm().is_finite() => Err(bad("GM", metres(*gm), "m", "a number")),
        Lever::Gm(gm) if (0.0..FRAC_PI_2).contains(&heel) => Ok(*gm * heel.sin()),
        Lever::Gm(_) => Err(bad("heel", heel_deg, "°", "from 0 up to 90°")),
    }
}

/// The apparent wind: the true wind and the boat's own, as one vector.
///
/// ```
/// use cockpit_cards::tuning::righting::{Course, apparent_wind};
/// use cockpit_cards::tuning::{Angle, BoatSpeed, Wind};
///
/// // With the wind on the beam the two stand at right angles: 3, 4 and 5.
/// let reaching = Course { boat_speed: BoatSpeed::knots(3.0), true_wind_angle: Angle::degrees(90.0) };
/// assert!((apparent_wind(Wind::knots(4.0), reaching).to_knots() - 5.0).abs() < 1e-12);
/// ```
pub fn apparent_wind(true_wind: Wind, course: Course) -> Wind {
    let (across, along) = course.true_wind_angle.sin_cos();
    let (wind_kn, boat_kn) = (true_wind.to_knots(), course.boat_speed.to_knots());
    Wind::knots((wind_kn * across).hypot(wind_kn * along + boat_kn))
}

/// The true wind that makes this apparent wind at the same boat speed and true wind angle: W = √(A² − V²·sin²θ) − V·cos θ.
///
/// Where two winds would (a boat running away from less wind than she makes herself), the stronger. `None` if none does.
pub fn true_wind(apparent: Wind, course: Course) -> Option<Wind> {
    let (across, along) = course.true_wind_angle.sin_cos();
    let (apparent_kn, boat_kn) = (apparent.to_knots(), course.boat_speed.to_knots());
    let abeam = boat_kn * across;
    let ahead = ((apparent_kn - abeam) * (apparent_kn + abeam)).sqrt();
    let wind_kn = ahead - boat_kn * along;
    (wind_kn >= 0.0 && wind_kn.is_finite()).then_some(Wind::knots(wind_kn))
}

/// The wind to read the card at with the crew at the posts of `now` instead of `then`, with which the row was sailed.
/// `air_factor` is the density's factor on the wind, if it is to count (see
/// [`Air::wind_factor`](super::air::Air::wind_factor)): the heeling moment goes with the density, the square of this.
///
/// ```
/// use cockpit_cards::length::Length;
/// use cockpit_cards::tuning::righting::{Bunks, Course, Crew, Hull, Lever, Row, RowWind, Station, wind_to_read_at};
/// use cockpit_cards::tuning::{Angle, BoatSpeed, Wind};
///
/// let at = |y, z| Station { to_windward: Length::metres(y), above: Length::metres(z) };
/// let hull = Hull { displacement_kg: 6400.0, lever: Lever::Gm(Length::metres(1.25)) };
/// let crew = Crew {
///     aboard: 9,
///     mass_each_kg: 82.0,
///     rail: at(1.65, 0.9),
///     windward_bunks: at(1.1, 0.1),
///     centre_bunks: at(0.0, 0.1),
///     leeward_bunks: at(-1.1, 0.1),
/// };
/// let course = Course { boat_speed: BoatSpeed::knots(6.8), true_wind_angle: Angle::degrees(41.0) };
/// let wind = RowWind::True { speed: Wind::knots(14.0), course: Some(course) };
/// let row = Row { wind, heel_deg: 22.0, limit_deg: 20.0, reached_at: None };
/// let read_at = |bunks| {
///     let now = crew.with_below(4, bunks).unwrap();
///     wind_to_read_at(&hull, &crew.all_up(), &now, row, None).unwrap().wind
/// };
/// // Four in the leeward bunks feel like two and a half knots more; to windward they still do some work.
/// assert!((Wind::knots(16.0)..Wind::knots(17.0)).contains(&read_at(Bunks::Leeward)));
/// assert!((Wind::knots(14.0)..Wind::knots(15.0)).contains(&read_at(Bunks::Windward)));
/// ```
pub fn wind_to_read_at(
    hull: &Hull,
    then: &[Group],
    now: &[Group],
    row: Row,
    air_factor: Option<f64>,
) -> Result<ReadAt, RightingError> {
    check_row(row)?;
    if let Some(factor) = air_factor.filter(|factor| !(factor.is_finite() && *factor > 0.0)) {
        return Err(bad("factor of the air", factor, "", "more than 0"));
    }
    let held_at_deg = row.heel_deg.max(row.limit_deg);
    let most = righting(hull, then, held_at_deg)?;
    let then = righting_moment(hull, then, row.heel_deg)?;
    let now = righting(hull, now, held_at_deg)?;
    let acting = row.wind.acting();
    let air = air_factor.map_or(1.0, |factor| factor * factor);
    let heeling_nm = then.total_nm() * share(row, acting) * air;
    let times = (heeling_nm / now.total_nm()).min(most.total_nm() * air / now.total_nm());
    if !times.is_finite() {
        return Err(bad("heeling moment", heeling_nm, "N·m", "a number"));
    }
    let factor = times.max(1.0).sqrt();
    let felt = acting * factor;
    let wind = match row.wind {
        // Nothing has changed: not even the last bit may.
        RowWind::True { speed, .. } if factor == 1.0 => speed,
        RowWind::True { course: Some(course), .. } => {
            true_wind(felt, course).ok_or(RightingError::NoTrueWind { apparent: felt, course })?
        }
        RowWind::True { course: None, .. } | RowWind::Apparent { .. } => felt,
    };
    if !wind.is_finite() {
        return Err(bad("wind to read at", wind.to_knots(), "kn", "a wind that blows"));
    }
    let basis = row.wind.basis();
    let hull = hull.clone();
    Ok(ReadAt { wind, basis, factor, then, heeling_nm, held_at_deg, now, air_factor, row, acting, felt, hull })
}

/// The part of the moment of the row's heel that this wind makes: all of it where the heel is the row's own.
fn share(row: Row, acting: Wind) -> f64 {
    let reached = row.reached_at.map_or(acting, RowWind::acting);
    let ratio = (acting.to_knots() / reached.to_knots()).min(1.0);
    ratio * ratio
}

/// A righting moment that rights.
fn righting(hull: &Hull, crew: &[Group], heel_deg: f64) -> Result<Moment, RightingError> {
    let moment = righting_moment(hull, crew, heel_deg)?;
    let below: f64 = crew.iter().filter(|group| group.post != Post::Rail).map(|group| group.people).sum();
    // A cast of too large a number ends at the largest.
    let people_below = below.round() as u32;
    let nothing = RightingError::NothingRights { heel_deg, people_below, moment_nm: moment.total_nm() };
    if moment.total_nm() > 0.0 && moment.total_nm().is_finite() { Ok(moment) } else { Err(nothing) }
}

fn check_row(row: Row) -> Result<(), RightingError> {
    [Some(row.wind), row.reached_at].into_iter().flatten().try_for_each(check_wind)
}

fn check_wind(wind: RowWind) -> Result<(), RightingError> {
    let speed_kn = wind.speed().to_knots();
    if !(speed_kn.is_finite() && speed_kn > 0.0) {
        return Err(bad("wind", speed_kn, "kn", "more than 0"));
    }
    let RowWind::True { course: Some(Course { boat_speed, true_wind_angle }), .. } = wind else { return Ok(()) };
    let (boat_speed_kn, true_wind_angle_deg) = (boat_speed.to_knots(), true_wind_angle.to_degrees());
    if !(boat_speed_kn.is_finite() && boat_speed_kn >= 0.0) {
        return Err(bad("boat speed", boat_speed_kn, "kn", "0 or more"));
    }
    // Abaft the beam more apparent wind can mean less true wind, and there she is not heel-limited anyway.
    if !(0.0..=HALF_TURN_DEG / 2.0).contains(&true_wind_angle_deg) {
        return Err(bad(
            "true wind angle",
            true_wind_angle_deg,
            "°",
            "from 0 to 90°: further off, heel is not the limit",
        ));
    }
    Ok(())
}

impl ReadAt {
    /// Whether the card is to be read at another wind than the one that blows.
    pub fn changes(&self) -> bool {
        self.factor > 1.0
    }

    /// Whether heel is what limits her with today's crew.
    pub fn is_limited(&self) -> bool {
        self.changes() || (self.row.heel_deg >= self.row.limit_deg && self.row.reached_at.is_none())
    }

    /// Every step of the arithmetic, in order.
    pub fn steps(&self) -> Vec<Step> {
        let hull = |heel_deg: f64| match self.hull.lever {
            Lever::Gm(gm) => format!("Δ·g·GM·sin φ, {} m of GM at {}°", printed(metres(gm)), printed(heel_deg)),
            Lever::Gz(_) => format!("Δ·g·GZ(φ), the table's GZ at {}°", printed(heel_deg)),
        };
        let (heel_deg, held_deg) = (self.row.heel_deg, self.held_at_deg);
        let mut steps = vec![
            Step::new("displacement, Δ", "crew and stores included", self.hull.displacement_kg, "kg"),
            Step::new("acceleration of gravity, g", "standard: 3rd CGPM, 1901", STANDARD_GRAVITY, "m/s²"),
            Step::new("righting moment of the hull, as sailed", hull(heel_deg), self.then.hull_nm, "N·m"),
            Step::new("righting moment of the crew, as sailed", CREW_FORMULA, self.then.crew_nm, "N·m"),
            Step::new("RM_then", "hull and crew, at the heel of the row", self.then.total_nm(), "N·m"),
        ];
        steps.extend(self.air_factor.map(|factor| Step::new("factor of the air", "√(ρ/ρ₀)", factor, "")));
        steps.extend([
            Step::new("heeling moment, H", self.heeling_formula(), self.heeling_nm, "N·m"),
            Step::new("righting moment of the hull, now", hull(held_deg), self.now.hull_nm, "N·m"),
            Step::new("righting moment of the crew, now", CREW_FORMULA, self.now.crew_nm, "N·m"),
            Step::new(
                "RM_now",
                "hull and crew, at the heel she is limited at, or the row's if that is more",
                self.now.total_nm(),
                "N·m",
            ),
            Step::new(
                "factor on the wind",
                "√(H/RM_now), at least 1: heeling moment goes with the square of the wind",
                self.factor,
                "",
            ),
        ]);
        steps.extend(self.wind_steps());
        steps
    }

    fn heeling_formula(&self) -> String {
        let air = if self.air_factor.is_some() { ", times ρ/ρ₀" } else { "" };
        match self.row.reached_at {
            Some(reached) => format!(
                "RM_then·(A/A_L)²{air}: full sail up to {} kn, where A_L is {} kn",
                printed(reached.speed().to_knots()),
                printed(reached.acting().to_knots()),
            ),
            None => format!("RM_then{air}: what rights her is what heels her"),
        }
    }

    fn wind_steps(&self) -> Vec<Step> {
        let read = |formula: String| Step::new("read the card at", formula, self.wind.to_knots(), "kn");
        let speed = printed(self.row.wind.speed().to_knots());
        match self.row.wind {
            RowWind::True { course: Some(Course { boat_speed, true_wind_angle }), .. } => {
                let with = format!("W {speed} kn, V {} kn, θ {}", boat_speed.print(), true_wind_angle.as_written());
                vec![
                    Step::new(
                        "apparent wind, A",
                        format!("√(W² + V² + 2·W·V·cos θ), {with}"),
                        self.acting.to_knots(),
                        "kn",
                    ),
                    Step::new("apparent wind as she feels it, A′", "A × factor", self.felt.to_knots(), "kn"),
                    read("√(A′² − V²·sin² θ) − V·cos θ: true wind at the same speed and angle".to_owned()),
                ]
            }
            RowWind::True { course: None, .. } => {
                vec![read(format!("{speed} kn × factor, on true wind: the row has no targets"))]
            }
            RowWind::Apparent { .. } => vec![read(format!("{speed} kn × factor, on apparent wind"))],
        }
    }
}

impl RightingError {
    /// What is wrong, for people.
    pub fn what(&self) -> String {
        match self {
            RightingError::Bad { quantity, value, unit, .. } => {
                let gap = if *unit == "°" || unit.is_empty() { "" } else { " " };
                format!("the {quantity} is {}{gap}{unit}", printed(*value))
            }
            RightingError::TableOutOfOrder => "the heel of the GZ table does not rise from row to row".to_owned(),
            RightingError::HeelBeyondTable { heel_deg, first_deg, last_deg } => {
                let [heel, first, last] = [heel_deg, first_deg, last_deg].map(|heel| printed(*heel));
                format!("a heel of {heel}° is beyond the GZ table, which runs from {first} to {last}°")
            }
            RightingError::NothingRights { heel_deg, people_below, moment_nm } => {
                let (heel, moment) = (printed(*heel_deg), printed(moment_nm.round()));
                format!("at {heel}° with {people_below} below nothing rights the boat: the moment is {moment} N·m")
            }
            RightingError::MoreBelowThanAboard { below, aboard } => {
                format!("{below} below are more than the {aboard} aboard")
            }
            RightingError::NoTrueWind { apparent, course } => format!(
                "no true wind makes {} kn of apparent wind at {} kn of boat speed, {}° off the wind",
                printed(apparent.to_knots()),
                printed(course.boat_speed.to_knots()),
                printed(course.true_wind_angle.to_degrees())
            ),
        }
    }

    /// What would be right.
    pub fn instead(&self) -> String {
        match self {
            RightingError::Bad { wanted, .. } => format!("it has to be {wanted}"),
            RightingError::TableOutOfOrder => "give each heel once, the smallest first".to_owned(),
            RightingError::HeelBeyondTable { .. } => {
                "extend the table from the stability booklet, or correct the heel".to_owned()
            }
            RightingError::NothingRights { .. } => {
                "check the units of displacement, GM or GZ, and which way the distances of the crew count".to_owned()
            }
            RightingError::MoreBelowThanAboard { aboard, .. } => format!("write a number from 0 to {aboard}"),
            RightingError::NoTrueWind { .. } => "check the row's wind, boat speed and angle".to_owned(),
        }
    }
}

/// Two decimals are plenty in a sentence.
fn printed(value: f64) -> String {
    const HUNDREDTHS: f64 = 100.0;
    mark::print_decimal((value * HUNDREDTHS).round() / HUNDREDTHS)
}
