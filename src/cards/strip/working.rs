//! The working of a strip: from the control's own travel to where each mark stands.

use crate::book::Control;
use crate::cards::parts::working::Passage;
use crate::tuning::{Graduation, ScaleKind, mark};

use super::settled_mm;

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

/// Spacing × purchase × n, n counted from the lowest mark.
fn even(spacing: String, purchase: f64, first: f64) -> Box<dyn Fn(&Graduation) -> String> {
    Box::new(move |graduation| {
        let n = mark::print_decimal(graduation.reading - first);
        format!("{spacing} × {} × {n}", mark::print_decimal(purchase))
    })
}
