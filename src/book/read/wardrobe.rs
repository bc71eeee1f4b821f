//! The winds and angles that the sails together should cover, and the columns of the table that shows it.

use crate::book::model::{Units, WardrobePlan};
use crate::book::problem::Problem;
use crate::book::quantity::{self, Dimension};
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::limits;
use crate::tuning::wardrobe::{Area, Span};

pub fn plan(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<WardrobePlan> {
    let mut fields = Table::open(node, "the wardrobe", problems)?;
    let wind = fields.need("wind", "wind: 4..30", problems).and_then(|node| {
        let bare = units.bare(Dimension::Speed);
        quantity::range(node, bare, "the wind of the wardrobe", &limits::WIND_KN, problems)
    });
    let angle = fields.need("angle", "angle: 40..170", problems).and_then(|node| {
        let bare = units.bare(Dimension::Angle);
        quantity::range(node, bare, "the wind angle of the wardrobe", &limits::WIND_ANGLE_DEG, problems)
    });
    let edges = fields.take("angle_bands").map(|node| angle_edges(node, problems));
    fields.finish(problems);
    let (wind, angle) = (wind?.value, angle?.value);
    let asked = Area { wind: Span::new(wind.0, wind.1)?, angle: Span::new(angle.0, angle.1)? };
    let edges = match edges {
        Some(edges) => edges?,
        None => usual_edges(asked.angle),
    };
    let angle_bands: Vec<Span> = edges.windows(2).filter_map(|pair| Span::new(pair[0], pair[1])).collect();
    let span = Span::new(edges.first().copied()?, edges.last().copied()?)?;
    if !span.holds_all_of(asked.angle) {
        problems.push(Problem::error(
            node.place.clone(),
            format!("`angle_bands` run from {}° to {}°, and `angle` reaches beyond them", span.low, span.high),
            "let the bands reach over all of `angle`, or leave them out",
        ));
        return None;
    }
    Some(WardrobePlan { asked, angle_bands, place: node.place.clone() })
}

fn usual_edges(angle: Span) -> Vec<f64> {
    let inner = std::iter::successors(Some(angle.low), |edge| Some(edge + limits::DEFAULT_ANGLE_STEP_DEG));
    // A last column narrower than half the others would say too little.
    let last = angle.high - limits::DEFAULT_ANGLE_STEP_DEG / 2.0;
    let mut edges: Vec<f64> = inner.take_while(|edge| *edge == angle.low || *edge <= last).collect();
    edges.push(angle.high);
    edges
}

fn angle_edges(node: &Node, problems: &mut Vec<Problem>) -> Option<Vec<f64>> {
    let what = "`angle_bands`";
    let items = node.some_items(what, 2..=limits::MAX_ROWS, "[40, 60, 90, 120, 170]", problems)?;
    let mut edges: Vec<f64> = Vec::new();
    for item in items {
        let edge = quantity::angle_deg(item, what, &limits::WIND_ANGLE_DEG, problems)?;
        if edges.last().is_some_and(|last| *last >= edge) {
            problems.push(Problem::error(
                item.place.clone(),
                format!("{what} do not rise at {edge}"),
                "write each edge once, from close to broad",
            ));
            return None;
        }
        edges.push(edge);
    }
    Some(edges)
}
