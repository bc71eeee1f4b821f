//! The angles of the five points of sail, as far as a book sets them. Knows no settings and no sail.

use crate::book::model::{PointOfSail, PointsOfSail, Spanned, Units};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::limits;
use crate::tuning::Angle;

/// What a book calls the points of sail.
pub const NAMES: [(&str, PointOfSail); 5] = [
    ("upwind", PointOfSail::Upwind),
    ("close-reach", PointOfSail::CloseReach),
    ("beam-reach", PointOfSail::BeamReach),
    ("broad-reach", PointOfSail::BroadReach),
    ("downwind", PointOfSail::Downwind),
];

/// `{upwind: 0..52, close-reach: 52..85}`: what is left out begins and ends where its neighbours say, or as usual.
pub fn points_of_sail(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> PointsOfSail {
    let usual = PointsOfSail::default();
    let Some(mut fields) = Table::open(node, "`points_of_sail`", problems) else { return usual };
    // Head to wind, the four edges between neighbours, right astern.
    let mut edges: [Option<Spanned<Angle>>; 6] = Default::default();
    for (index, (name, _)) in NAMES.iter().enumerate() {
        let Some(node) = fields.take(name) else { continue };
        let what = format!("the angles of {name}");
        let range = quantity::angle_range(node, units, &what, &limits::WIND_ANGLE_DEG, problems);
        let Some(range) = range else { continue };
        for (edge, angle) in [(index, range.value.low), (index + 1, range.value.high)] {
            let written = Spanned { value: angle, place: range.place.clone() };
            set(&mut edges[edge], written, (edge, name), problems);
        }
    }
    fields.finish(problems);
    let [_, inner @ .., _] = &edges;
    let mut given = usual.edges();
    for (edge, written) in given.iter_mut().zip(inner) {
        *edge = written.as_ref().map_or(*edge, |written| written.value);
    }
    PointsOfSail::new(given).unwrap_or_else(|| {
        let places = inner.iter().flatten().last().map_or(&node.place, |written| &written.place);
        let told: Vec<String> = given.iter().map(|edge| edge.as_written()).collect();
        problems.push(Problem::error(
            places.clone(),
            format!("one point of sail would give way to the next at {}: these angles do not rise", told.join(", ")),
            "write the range of each neighbour as well, such as `upwind: 0..52, close-reach: 52..80`",
        ));
        usual
    })
}

/// One edge between two points of sail; says so if the ends disagree, or if it is not where all of them start and end.
fn set(
    edge: &mut Option<Spanned<Angle>>,
    written: Spanned<Angle>,
    (index, name): (usize, &str),
    problems: &mut Vec<Problem>,
) {
    let at = written.value;
    let wrong = match (index, edge.as_ref()) {
        (0, _) if at != Angle::AHEAD => {
            Some((format!("{name} starts at {}", at.as_written()), "let it start at 0".to_owned()))
        }
        (5, _) if at != Angle::ASTERN => {
            Some((format!("{name} ends at {}", at.as_written()), "let it end at 180".to_owned()))
        }
        (_, Some(before)) if before.value != at => Some((
            format!(
                "{name} starts at {}, and the point of sail before it ends at {}",
                at.as_written(),
                before.value.as_written()
            ),
            "let each begin where the one before it ends".to_owned(),
        )),
        _ => None,
    };
    if let Some((what, instead)) = wrong {
        problems.push(Problem::error(written.place.clone(), what, instead));
    }
    *edge = Some(written);
}
