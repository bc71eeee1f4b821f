//! The list of contents that a viewer shows beside the pages. Knows titles and places, not what is printed there.

use kurbo::Point;
use lopdf::{Dictionary, Document, Object, ObjectId};

use super::{Error, unwritable};

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

/// Hangs the bookmarks onto the file (ISO 32000-1, 12.3.3). A place in page millimetres becomes one in points by
/// `to_points`; a bookmark of a page that is not there is left out.
pub fn attach(file: &mut Document, bookmarks: &[Bookmark], to_points: impl Fn(Point) -> [f32; 2]) -> Result<(), Error> {
    let mut outline = Outline { pages: file.page_iter().collect(), file, to_points };
    let root = outline.file.new_object_id();
    let Some(level) = outline.level(bookmarks, root) else { return Ok(()) };
    let mut dictionary = Dictionary::new();
    level.write(&mut dictionary, 1);
    file.set_object(root, dictionary);
    file.catalog_mut().map_err(unwritable)?.set("Outlines", root);
    Ok(())
}

struct Outline<'a, F> {
    file: &'a mut Document,
    pages: Vec<ObjectId>,
    to_points: F,
}

/// The lines under one: the first, the last, and how many.
struct Level {
    first: ObjectId,
    last: ObjectId,
    count: i64,
}

impl Level {
    /// Tells the line over it; a negative count says that it is folded away.
    fn write(&self, over: &mut Dictionary, sign: i64) {
        over.set("First", self.first);
        over.set("Last", self.last);
        over.set("Count", sign * self.count);
    }
}

impl<F: Fn(Point) -> [f32; 2]> Outline<'_, F> {
    /// Writes some lines and all under them; none if they lead nowhere.
    fn level(&mut self, bookmarks: &[Bookmark], over: ObjectId) -> Option<Level> {
        let pages = self.pages.clone();
        let page_of = |bookmark: &Bookmark| pages.get(bookmark.page.checked_sub(1)?).copied();
        let lines: Vec<_> = bookmarks.iter().filter_map(|bookmark| Some((bookmark, page_of(bookmark)?))).collect();
        let ids: Vec<ObjectId> = lines.iter().map(|_| self.file.new_object_id()).collect();
        for (nth, (bookmark, page)) in lines.into_iter().enumerate() {
            let [x, y] = (self.to_points)(bookmark.at).map(Object::Real);
            // The zoom stays what it is.
            let place = vec![page.into(), Object::Name(b"XYZ".to_vec()), x, y, Object::Null];
            let mut line = Dictionary::new();
            line.set("Title", lopdf::text_string(&bookmark.title));
            line.set("Parent", over);
            line.set("Dest", place);
            if let Some(before) = nth.checked_sub(1).and_then(|before| ids.get(before)) {
                line.set("Prev", *before);
            }
            if let Some(after) = ids.get(nth + 1) {
                line.set("Next", *after);
            }
            if let Some(under) = self.level(&bookmark.parts, ids[nth]) {
                under.write(&mut line, -1);
            }
            self.file.set_object(ids[nth], line);
        }
        Some(Level { first: *ids.first()?, last: *ids.last()?, count: i64::try_from(ids.len()).ok()? })
    }
}
