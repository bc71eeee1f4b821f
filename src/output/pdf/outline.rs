//! The list of contents that a viewer shows beside the pages. Knows titles and places, not what is printed there.

use kurbo::Point;
use pdf_writer::{Ref, TextStr};

use super::file::File;

/// A line of the list of contents, with the lines under it.
#[derive(Clone, Debug, PartialEq)]
pub struct Bookmark {
    /// What the line says.
    pub title: String,
    /// The page it leads to, counted from 1.
    pub page: usize,
    /// The place there that comes to the upper left of the window, page millimetres.
    pub at: Point,
    /// The lines under it, which a viewer can fold away.
    pub parts: Vec<Bookmark>,
}

/// Writes the bookmarks (ISO 32000-1, 12.3.3) of a document with these pages and gives the number of their root; `None` if
/// there is none. A place in page millimetres becomes one in points by `to_points`; a bookmark of a page that is not there
/// is left out.
pub fn write(
    file: &mut File,
    bookmarks: &[Bookmark],
    pages: &[Ref],
    to_points: impl Fn(Point) -> [f32; 2],
) -> Option<Ref> {
    let root = file.number();
    let level = Outline { file, pages, to_points }.level(bookmarks, root);
    file.object(root, |objects| {
        let mut written = objects.outline(root);
        if let Some(Level { first, last, count }) = &level {
            written.first(*first).last(*last).count(*count);
        }
    });
    level.map(|_| root)
}

struct Outline<'a, F> {
    file: &'a mut File,
    pages: &'a [Ref],
    to_points: F,
}

/// The lines under one: the first, the last, and how many.
struct Level {
    first: Ref,
    last: Ref,
    count: i32,
}

impl<F: Fn(Point) -> [f32; 2]> Outline<'_, F> {
    /// Writes some lines and all under them; none if they lead nowhere.
    fn level(&mut self, bookmarks: &[Bookmark], over: Ref) -> Option<Level> {
        let page_of = |bookmark: &Bookmark| self.pages.get(bookmark.page.checked_sub(1)?).copied();
        let lines: Vec<_> = bookmarks.iter().filter_map(|bookmark| Some((bookmark, page_of(bookmark)?))).collect();
        let ids: Vec<Ref> = lines.iter().map(|_| self.file.number()).collect();
        for (nth, (bookmark, page)) in lines.into_iter().enumerate() {
            let id = ids[nth];
            let [x, y] = (self.to_points)(bookmark.at);
            let under = self.level(&bookmark.parts, id);
            self.file.object(id, |objects| {
                let mut line = objects.outline_item(id);
                line.title(TextStr(&bookmark.title)).parent(over);
                // The zoom stays what it is.
                line.dest().page(page).xyz(x, y, None);
                if let Some(before) = nth.checked_sub(1).and_then(|before| ids.get(before)) {
                    line.prev(*before);
                }
                if let Some(after) = ids.get(nth + 1) {
                    line.next(*after);
                }
                if let Some(Level { first, last, count }) = under {
                    // A negative count says that they are folded away.
                    line.first(first).last(last).count(-count);
                }
            });
        }
        Some(Level { first: *ids.first()?, last: *ids.last()?, count: i32::try_from(ids.len()).ok()? })
    }
}
