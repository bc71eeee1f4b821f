//! What rights the boat, when heel is what limits her, and the air she is to sail in.

use crate::book::model::{CrewSection, Righting, Units};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::limits;
use crate::tuning::Wind;
use crate::tuning::air::Air;
use crate::tuning::righting::{GzCurve, Hull, Lever};
use crate::wrong::Wrong;

/// No keelboat carries a crew heavier than this part of all that floats: common practice, and far above it.
const MOST_CREW_SHARE: f64 = 0.5;

pub fn righting(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Righting> {
    let mut fields = Table::open(node, "the righting", problems)?;
    fields.place = super::start_of(node);
    let displacement = fields
        .need("displacement", "displacement: 6400 kg", problems)
        .and_then(|node| quantity::mass_kg(node, units, "the displacement", &limits::DISPLACEMENT_KG, problems));
    let gm = fields
        .take("gm")
        .map(|node| quantity::length(node, units, "GM", &limits::METACENTRIC_HEIGHT, problems).map(Lever::Gm));
    let gz = fields.take("gz").map(|node| (node, gz_curve(node, units, problems)));
    let lever = match (gm, gz) {
        (Some(gm), None) => gm,
        (None, Some((_, gz))) => gz,
        (Some(_), Some((node, _))) => {
            problems.push(Problem::error(
                super::start_of(node),
                "the righting has both `gm` and `gz`",
                "keep the table of GZ if you trust it, else GM",
            ));
            None
        }
        (None, None) => {
            problems.push(Problem::error(
                fields.place.clone(),
                "the righting has neither `gm` nor `gz`",
                "write `gm: 1.25 m` from an inclining test, or a table `gz: {0: 0 mm, 10: 215 mm, 20: 410 mm}`",
            ));
            None
        }
    };
    let limited = fields.need("heel_limited", "heel_limited: {from: 20 deg}", problems);
    let limited = limited.and_then(|node| heel_limited(node, units, problems));
    let upwind_angle = fields
        .take("upwind_angle")
        .and_then(|node| quantity::wind_angle(node, "the wind angle upwind", &limits::UPWIND_ANGLE_DEG, problems));
    let air_node = fields.take("air");
    let air_now = air_node.and_then(|node| air(node, Humidity::Given, problems));
    let humidity = match (air_node, air_now) {
        (None, _) => Humidity::Given,
        (Some(_), Some(air)) => Humidity::Like(air.relative_humidity_percent),
        (Some(_), None) => Humidity::LikeFaulty,
    };
    let tuned_in = fields.take("tuned_in").map(|node| air(node, humidity, problems));
    if let (Some(node), true, None) = (air_node, air_now.is_some(), &tuned_in) {
        problems.push(Problem::warning(
            super::start_of(node),
            "the air is given, but not the air she was tuned in: its density does not count",
            "write the day she was tuned as well, like `tuned_in: {celsius: 18, hpa: 1016}`, or leave `air` out",
        ));
    }
    fields.finish(problems);
    let (limited_from_deg, limited_from_wind) = limited?;
    Some(Righting {
        hull: Hull { displacement_kg: displacement?, lever: lever? },
        limited_from_deg,
        limited_from_wind,
        upwind_angle,
        air: air_now,
        tuned_in: tuned_in.flatten(),
        place: node.place.clone(),
    })
}

/// Asks whether the crew is in what floats and not in the levers, where the numbers say that it cannot be so.
pub fn check_crew_counts(crew: &CrewSection, righting: &Righting, problems: &mut Vec<Problem>) {
    let crew_kg = f64::from(crew.crew.aboard) * crew.crew.mass_each_kg;
    if crew_kg > righting.hull.displacement_kg * MOST_CREW_SHARE {
        problems.push(Problem::warning(
            righting.place.clone(),
            "her crew weighs more than half of what floats: is the crew in the displacement?",
            "the displacement, and the GM or GZ that go with it, are those of the boat with crew and stores aboard",
        ));
    }
    if righting.hull.rights_upright() {
        problems.push(Problem::warning(
            righting.place.clone(),
            "the table of GZ rights her upright: is a crew on the rail in it already?",
            "give GZ with the crew on the centreline, which is 0 at 0°; the card adds the way to the rail",
        ));
    }
}

/// `{0: 0 mm, 10: 215 mm}`: GZ by heel in degrees.
fn gz_curve(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Lever> {
    let what = "the table of GZ";
    let mut points = Vec::new();
    let mut whole = true;
    for (heel, gz) in node.some_entries(what, 0..=limits::MAX_ROWS, "{0: 0 mm, 10: 215 mm}", problems)? {
        let heel = quantity::angle_deg(heel, "a heel in the table of GZ", &limits::RIGHTING_LEVER_HEEL_DEG, problems);
        let gz = quantity::length(gz, units, "a GZ of the table", &limits::RIGHTING_LEVER, problems);
        match heel.zip(gz) {
            Some(point) => points.push(point),
            None => whole = false,
        }
    }
    if !whole {
        return None;
    }
    match GzCurve::new(&points) {
        Ok(curve) => Some(Lever::Gz(curve)),
        Err(error) => {
            problems.push(Wrong::new(error.what(), error.instead()).about(what).at(&node.place));
            None
        }
    }
}

/// `{from: 20 deg, wind: 12 kn}`.
fn heel_limited(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<(f64, Option<Wind>)> {
    let mut fields = Table::open(node, "`heel_limited`", problems)?;
    fields.place = super::start_of(node);
    let from = fields
        .need("from", "from: 20 deg", problems)
        .and_then(|node| quantity::angle_deg(node, "the heel she is limited from", &limits::HEEL_DEG, problems));
    let wind = fields
        .take("wind")
        .and_then(|node| quantity::wind(node, units, "the wind she is limited from", &limits::WIND_KN, problems));
    fields.finish(problems);
    Some((from?, wind))
}

/// How humid an air is of which the book does not say it.
#[derive(Clone, Copy)]
enum Humidity {
    /// It has to.
    Given,
    /// As the other air, percent.
    Like(f64),
    /// As the other air, which has a fault that was told already.
    LikeFaulty,
}

/// `{celsius: 8, hpa: 1025, humidity: 80}`.
fn air(node: &Node, otherwise: Humidity, problems: &mut Vec<Problem>) -> Option<Air> {
    const HUMIDITY: &str = "the relative humidity, percent";
    /// Wide enough that the formula's own limits are what is told.
    const ANY: std::ops::RangeInclusive<f64> = -10_000.0..=10_000.0;
    let mut fields = Table::open(node, "the air", problems)?;
    fields.place = super::start_of(node);
    let number =
        |node: &Node, what: &str, problems: &mut Vec<Problem>| quantity::plain_number(node, what, &ANY, problems);
    let temperature_c = fields
        .need("celsius", "celsius: 8", problems)
        .and_then(|node| number(node, "the temperature of the air, °C", problems));
    let pressure_hpa = fields
        .need("hpa", "hpa: 1025", problems)
        .and_then(|node| number(node, "the pressure of the air, hPa", problems));
    let humidity = match (otherwise, fields.take("humidity")) {
        (Humidity::Like(percent), None) => Some(percent),
        (Humidity::LikeFaulty, None) => None,
        (Humidity::Given, None) => {
            fields.need("humidity", "humidity: 80", problems).and_then(|node| number(node, HUMIDITY, problems))
        }
        (_, Some(node)) => number(node, HUMIDITY, problems),
    };
    fields.finish(problems);
    let air = Air { temperature_c: temperature_c?, pressure_hpa: pressure_hpa?, relative_humidity_percent: humidity? };
    match air.density_kg_m3() {
        Ok(_) => Some(air),
        Err(error) => {
            problems.push(Problem::error(super::start_of(node), error.what(), error.instead()));
            None
        }
    }
}
