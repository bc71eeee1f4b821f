//! A page for a screen: everything that was sailed, what it says and what it cannot say, in one HTML file that needs nothing else.

use std::sync::OnceLock;

use serde::Serialize;
use tera::Tera;

use super::figure::figure;
use super::told::{self, Said};
use crate::book::Book;
use crate::drawing::Drawing;
use crate::output::svg;
use crate::season::{Cell, Comparison, Input};
use crate::tuning::mark;

/// It ends in `.html`, so that the template engine escapes every value.
const NAME: &str = "season.html";
const TEMPLATE: &str = include_str!("../../templates/season.html.tera");

#[derive(Serialize)]
struct Page<'a> {
    producer: &'static str,
    boat: &'a str,
    why_trials: [&'static str; 5],
    held_against: Vec<String>,
    scatter: Option<String>,
    options: &'a str,
    left_out: Vec<String>,
    trials: Vec<String>,
    heads: [&'static str; 5],
    glyphs: String,
    tables: Vec<OfTable>,
}

#[derive(Serialize)]
struct OfTable {
    settings: String,
    cells: Vec<OfCell>,
}

#[derive(Serialize)]
struct OfCell {
    said: Said,
    figure: Option<String>,
}

/// The page of these cells of a comparison; `options` says by which numbers it was made.
///
/// # Errors
/// Only if the template, which is part of the program, is damaged.
pub fn page(
    book: &Book,
    input: &Input<'_>,
    comparison: &Comparison,
    cells: &[&Cell],
    options: &str,
) -> Result<String, tera::Error> {
    let drawn: Vec<(Said, Option<Drawing>)> = cells
        .iter()
        .filter_map(|cell| {
            let said = told::said(book, input, comparison, cell)?;
            let figure = book.control(&cell.control).and_then(|control| figure(control, input, comparison, cell));
            Some((said, figure))
        })
        .collect();
    let glyphs = svg::glyph_definitions(drawn.iter().filter_map(|(_, figure)| figure.as_ref())).into_string();
    let mut tables: Vec<OfTable> = Vec::new();
    for (said, figure) in drawn {
        let settings = said.settings.clone();
        let cell = OfCell { said, figure: figure.as_ref().map(|figure| svg::svg_in_page(figure).into_string()) };
        match tables.last_mut().filter(|table| table.settings == settings) {
            Some(table) => table.cells.push(cell),
            None => tables.push(OfTable { settings, cells: vec![cell] }),
        }
    }
    let scatter = comparison
        .scatter
        .map(|scatter| format!("{} % ({} degrees of freedom)", mark::print_to(scatter.deviation, 2), scatter.freedom));
    let page = Page {
        producer: concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION")),
        boat: &book.boat.name.value,
        why_trials: told::WHY_TRIALS,
        held_against: told::held_against(book, comparison),
        scatter,
        options,
        left_out: told::left_out(comparison),
        trials: told::trials(comparison),
        heads: told::HEADS,
        glyphs,
        tables,
    };
    engine()?.render(NAME, &tera::Context::from_serialize(&page)?)
}

/// The template engine, which reads the template once in the process.
fn engine() -> Result<&'static Tera, tera::Error> {
    static ENGINE: OnceLock<Tera> = OnceLock::new();
    if let Some(engine) = ENGINE.get() {
        return Ok(engine);
    }
    let mut engine = Tera::default();
    engine.add_raw_template(NAME, TEMPLATE)?;
    Ok(ENGINE.get_or_init(|| engine))
}
