//! The list of contents of a PDF: a line for each card, in the book's order. Knows cards and where they lie, no format.

use kurbo::Point;

use super::Drawn;
use crate::drawing::Drawing;
use crate::output::pdf::Bookmark;
use crate::paper::{Page, Tile};

/// A line for each card that lies on the pages. Under it stand its pieces, its back, or the cards that it goes on to.
pub(crate) fn bookmarks<'a>(pages: &[Page], drawn: impl IntoIterator<Item = &'a Drawn>) -> Vec<Bookmark> {
    let mut bookmarks: Vec<Bookmark> = Vec::new();
    for (bookmark, of) in drawn.into_iter().filter_map(|drawn| Some((card(pages, drawn)?, part(&drawn.card.title)))) {
        match (of, bookmarks.last_mut()) {
            (Some((whole, 1)), _) => {
                bookmarks.push(Bookmark { title: whole.to_owned(), parts: vec![bookmark.clone()], ..bookmark })
            }
            (Some((whole, number)), Some(first)) if first.parts.len() + 1 == number => {
                first.title = in_common(&first.title, whole).to_owned();
                first.parts.push(bookmark);
            }
            _ => bookmarks.push(bookmark),
        }
    }
    bookmarks
}

fn card(pages: &[Page], drawn: &Drawn) -> Option<Bookmark> {
    let title = &drawn.card.title;
    let piece =
        |tile: &Tile| bookmark(pages, &tile.drawing, &format!("{title}, piece {} of {}", tile.number, tile.count));
    let pieces: Vec<Bookmark> = drawn.tiles.iter().filter_map(piece).collect();
    let whole = bookmark(pages, &drawn.drawing, title);
    let first = pieces.first().map(|piece| Bookmark { title: title.clone(), ..piece.clone() });
    let label = drawn.label().and_then(|label| bookmark(pages, label, &format!("{title}, label")));
    let back = drawn.sides().nth(1).and_then(|(card, drawing)| bookmark(pages, drawing, &card.title));
    let parts = pieces.into_iter().chain(label).chain(back).collect();
    Some(Bookmark { parts, ..whole.or(first)? })
}

/// A line that leads to one drawing, if it lies on the pages.
pub(crate) fn bookmark(pages: &[Page], drawing: &Drawing, title: &str) -> Option<Bookmark> {
    let on = |page: &Page| {
        let placed = page.placed.iter().find(|placed| std::ptr::eq(placed.drawing, drawing))?;
        let area = (page.to_file * placed.to_page).transform_rect_bbox(drawing.size.to_rect());
        Some(Point::new(area.x0, area.y0))
    };
    let (page, at) = (1..).zip(pages).find_map(|(number, page)| Some((number, on(page)?)))?;
    Some(Bookmark { title: title.to_owned(), page, at, parts: Vec::new() })
}

/// What a card is a part of and which part it is, if its title ends as in `Watches, 1 of 2`.
fn part(title: &str) -> Option<(&str, usize)> {
    let (whole, number) = title.rsplit_once(", ")?;
    let (number, count) = number.split_once(" of ")?;
    let (number, count): (usize, usize) = (number.parse().ok()?, count.parse().ok()?);
    (number <= count).then_some((whole, number))
}

/// What two titles begin with, as far as whole phrases go; the first one where that is nothing.
fn in_common<'a>(one: &'a str, other: &str) -> &'a str {
    let mut end = 0;
    for (phrase, of_other) in one.split(", ").zip(other.split(", ")) {
        if phrase != of_other {
            break;
        }
        end += phrase.len() + if end > 0 { ", ".len() } else { 0 };
    }
    one.get(..end).filter(|common| !common.is_empty()).unwrap_or(one)
}
