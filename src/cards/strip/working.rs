//! The working of a strip: from the control's own travel to where each mark stands.

use serde_json::json;

use crate::book::Control;
use crate::cards::parts::words::ground_legend;
use crate::cards::parts::working::Passage;
use crate::tuning::{Graduation, ScaleKind, mark};

use super::{Lane, settled_mm};

/// One passage: what the scale says, then a line for each mark, then one for each reading that settings ask for.
pub fn working(control: &Control, asked: &[f64]) -> Vec<Passage> {
    let mut passage = Passage::new(format!("Marks of {}, from the lowest", control.name));
    passage.input("scale", "as written", &control.place);
    let mm = |length: crate::length::Length| format!("{} mm", mark::print_decimal(settled_mm(length.to_mm())));
    let how: Box<dyn Fn(&Graduation) -> String> = match &control.scale.kind {
        ScaleKind::Even { spacing, purchase, first, .. } => {
            passage.step("spacing", "the control's own travel from mark to mark", mm(*spacing));
            passage.step(
                "purchase",
                "travel of the part that is marked, for one of the control",
                mark::print_decimal(*purchase),
            );
            even(mm(*spacing), *purchase, f64::from(*first))
        }
        ScaleKind::Centre { spacing, purchase, marks, .. } => {
            passage.step("spacing", "the control's own travel from mark to mark", mm(*spacing));
            passage.step(
                "purchase",
                "travel of the part that is marked, for one of the control",
                mark::print_decimal(*purchase),
            );
            even(mm(*spacing), *purchase, -f64::from(*marks))
        }
        ScaleKind::Around { diameter, thickness, first, last } => {
            passage.step(
                "diameter and thickness",
                "of the tube and of the film",
                format!("{} and {}", mm(*diameter), mm(*thickness)),
            );
            let (first, turns) = (f64::from(*first), f64::from(*last - *first));
            Box::new(move |graduation| {
                let n = mark::print_decimal(graduation.reading - first);
                format!("π·(d + t) × {n}/{}", mark::print_decimal(turns))
            })
        }
        ScaleKind::Measured { pairs, unit, .. } => {
            for (quantity, place) in pairs {
                passage.step(
                    format!("measured at {} {unit}", mark::print_decimal(*quantity)),
                    "stands in the book",
                    mm(*place),
                );
            }
            Box::new(|_| {
                "monotone cubic through the measured pairs (Fritsch & Butland 1984), less the first".to_owned()
            })
        }
        ScaleKind::Tapes(_) => Box::new(|_| "lower edge of the tape, less the first tape's".to_owned()),
        ScaleKind::Turns { .. } | ScaleKind::Gauge { .. } | ScaleKind::Words(_) => return Vec::new(),
    };
    for graduation in control.scale.graduations() {
        let name = if graduation.label.is_empty() {
            control.scale.print(graduation.reading)
        } else {
            graduation.label.clone()
        };
        passage.step(format!("mark {name}"), how(&graduation), mm(graduation.at));
    }
    for (reading, at) in asked.iter().filter_map(|reading| Some((*reading, control.scale.at(*reading)?))) {
        let finds = format!("{}, which settings ask for", control.scale.print(reading));
        passage.step(finds, "on the same curve", mm(at));
    }
    vec![passage]
}

/// One passage for each lane of winds: how it comes to name them, and what each is known from.
pub(super) fn of_lanes<'a>(control: &'a Control, lanes: &'a [Lane]) -> impl Iterator<Item = Passage> + 'a {
    lanes.iter().filter(|lane| lane.labels.iter().any(|label| !label.winds.is_empty())).map(|lane| {
        let mut passage = Passage::new(format!("Winds beside the marks of {}, {}", control.name, lane.title));
        for label in &lane.labels {
            let grounds: Vec<&str> = label.grounds.iter().copied().map(ground_legend).collect();
            let how = "where the curve through the known rows (Fritsch & Butland 1984) stands at this mark, within what \
                       the sails are for";
            let exact = json!({"winds_kn": label.winds, "grounds": label.grounds});
            let finds = format!("at {} mm", mark::print_decimal(label.at_mm));
            passage.exactly(finds, format!("{how}: {}", grounds.join(", ")), label.text.clone(), exact);
        }
        passage
    })
}

/// Spacing × purchase × n, n counted from the lowest mark.
fn even(spacing: String, purchase: f64, first: f64) -> Box<dyn Fn(&Graduation) -> String> {
    Box::new(move |graduation| {
        let n = mark::print_decimal(graduation.reading - first);
        format!("{spacing} × {} × {n}", mark::print_decimal(purchase))
    })
}
