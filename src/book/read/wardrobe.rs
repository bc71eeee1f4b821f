//! The winds and angles that the sails together should cover, and the columns of the table that shows it.

use crate::book::model::{Units, WardrobePlan};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::limits;
use crate::tuning::wardrobe::Area;
use crate::tuning::{Angle, Span};

pub fn plan(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<WardrobePlan> {
    let mut fields = Table::open(node, "the wardrobe", problems)?;
    let wind = fields
        .need("wind", "wind: 4..30", problems)
        .and_then(|node| quantity::wind_range(node, units, "the wind of the wardrobe", &limits::WIND_KN, problems));
    let angle = fields.need("angle", "angle: 40..170", problems).and_then(|node| {
        quantity::angle_range(node, units, "the wind angle of the wardrobe", &limits::WIND_ANGLE_DEG, problems)
    });
    let edges = fields.take("angle_bands").map(|node| angle_edges(node, problems));
    fields.finish(problems);
    let asked = Area { wind: wind?.value, angle: angle?.value };
    let edges = match edges {
        Some(edges) => edges?,
        None => usual_edges(asked.angle),
    };
    let angle_bands: Vec<Span<Angle>> = edges.windows(2).filter_map(|pair| Span::new(pair[0], pair[1])).collect();
    let span = Span::new(edges.first().copied()?, edges.last().copied()?)?;
    if !span.holds_all_of(asked.angle) {
        problems.push(Problem::error(
            node.place.clone(),
            format!(
                "`angle_bands` run from {} to {}, and `angle` reaches beyond them",
                span.low.as_written(),
                span.high.as_written()
            ),
            "let the bands reach over all of `angle`, or leave them out",
        ));
        return None;
    }
    Some(WardrobePlan { asked, angle_bands, place: node.place.clone() })
}

fn usual_edges(angle: Span<Angle>) -> Vec<Angle> {
    let (low, high) = (angle.low.to_degrees(), angle.high.to_degrees());
    let inner = std::iter::successors(Some(low), |edge| Some(edge + limits::DEFAULT_ANGLE_STEP_DEG));
    // A last column narrower than half the others would say too little.
    let last = high - limits::DEFAULT_ANGLE_STEP_DEG / 2.0;
    let inner = inner.take_while(|edge| *edge == low || *edge <= last);
    let mut edges: Vec<Angle> = inner.map(Angle::degrees).collect();
    edges.push(angle.high);
    edges
}

fn angle_edges(node: &Node, problems: &mut Vec<Problem>) -> Option<Vec<Angle>> {
    let what = "`angle_bands`";
    let items = node.some_items(what, 2..=limits::MAX_ROWS, "[40, 60, 90, 120, 170]", problems)?;
    let mut edges: Vec<Angle> = Vec::new();
    for item in items {
        let edge = quantity::wind_angle(item, what, &limits::WIND_ANGLE_DEG, problems)?;
        if edges.last().is_some_and(|last| *last >= edge) {
            problems.push(Problem::error(
                item.place.clone(),
                format!("{what} do not rise at {}", edge.as_written()),
                "write each edge once, from close to broad",
            ));
            return None;
        }
        edges.push(edge);
    }
    Some(edges)
}
