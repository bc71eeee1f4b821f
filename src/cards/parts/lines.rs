//! The lines to write on that a card may have on its back. Knows the name of its front, not what the front says.

use crate::wrong::Wrong;
use kurbo::{Line, Size};
use serde::Serialize;

use super::flow;
use super::frame::{self, Frame, Surround, TITLE_OVER_BODY};
use super::label::Label;
use crate::cards::Content;
use crate::cards::handover::LEAST_ROW_MM;
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Drawing, Shape, Weight};

/// How such a side is called where other sides have their kind of card; none can be asked for by itself.
pub const KIND_NAME: &str = "lines";

const RULE: f64 = 0.2;
/// A side with fewer lines is not worth its title.
const LEAST_LINES: usize = 2;

/// What the side says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lines {
    /// The name of the boat.
    pub boat: String,
    /// What is to be written here: `Notes`.
    pub title: String,
    /// The title of the front: `J1 + Main, upwind`.
    pub front: String,
}

impl Content for Lines {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        frame::fitted(None, label, |size, least| {
            frame::both_ways(size, label).into_iter().find_map(|size| self.draw(label, size, least))
        })
    }
}

impl Lines {
    fn draw(&self, label: &Label, size: Size, least: f64) -> Option<Drawing> {
        // In lines as long as the card, should it be too long for one.
        let title_cap = least * TITLE_OVER_BODY;
        let title = flow::wrapped(&self.title, title_cap, Weight::Bold, CARD_DISTANCE, frame::inner_width(size));
        let surround = Surround {
            title: title.into_iter().map(|line| line.text).collect(),
            subtitle: format!("on the back of {}", self.front),
            ..Surround::default()
        };
        let frame = Frame::new(size, &surround, label, least)?;
        let count = (frame.body.height() / LEAST_ROW_MM).floor() as usize;
        if count < LEAST_LINES {
            return None;
        }
        let name = format!("{}: {}, {}", self.boat, self.front, self.title);
        let mut drawing = frame.start(name, "To write on".to_owned(), label);
        let pitch = frame.body.height() / count as f64;
        for line in 1..=count {
            let y = frame.body.y0 + line as f64 * pitch;
            drawing.print(Shape::stroke(Line::new((frame.body.x0, y), (frame.body.x1, y)), RULE));
        }
        Some(drawing)
    }
}
