//! How the book is printed: the paper, the printer, the edge that it turns the paper about.

use crate::book::model::{Printing, Spanned};
use crate::book::problem::Problem;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::flip::Flip;
use crate::paper_size::PaperSize;

pub fn printing(node: &Node, problems: &mut Vec<Problem>) -> Printing {
    let Some(mut fields) = Table::open(node, "the printing", problems) else { return Printing::default() };
    let paper = fields.take("paper").and_then(|node| paper(node, problems));
    let printer = fields.take("printer").and_then(|node| words::words(node, "the printer", problems));
    let flip = fields.take("flip").and_then(|node| {
        let edges = [("long", Flip::Long), ("short", Flip::Short)];
        let value = words::choice(node, "the edge that the paper is turned about", &edges, problems)?;
        Some(Spanned { value, place: node.place.clone() })
    });
    fields.finish(problems);
    Printing { paper, printer, flip }
}

fn paper(node: &Node, problems: &mut Vec<Problem>) -> Option<Spanned<PaperSize>> {
    match PaperSize::parse(node.text("the paper", problems)?) {
        Ok(value) => Some(Spanned { value, place: node.place.clone() }),
        Err(wrong) => {
            problems.push(wrong.about("the paper").at(&node.place));
            None
        }
    }
}
