//! The change slip: the first page of a reissue, read ashore with the pouch of old cards on the table. What to bin, what
//! changed, what is new, what stays. Knows what is due; nothing of files.

use kurbo::{Rect, Size};

use super::due::{Due, Why};
use crate::cards::parts::flow::{self, Line};
use crate::drawing::legibility::{LEGEND_DISTANCE, WANTED_ARC_MINUTES, cap_height};
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight};

/// Blank edge inside the outline, millimetres.
const EDGE: f64 = 4.0;
/// From one baseline to the next, in capital heights.
const PITCH: f64 = 1.75;
/// Above a heading, in capital heights.
const HEADING_GAP: f64 = 1.2;
/// Headings and the title over the text.
const HEADING_SCALE: f64 = 1.25;
const TITLE_SCALE: f64 = 1.8;
/// The box to tick, in capital heights.
const BOX: f64 = 1.0;
const BOX_LINE: f64 = 0.25;
/// Text stands this far in from its box, in capital heights.
const INDENT: f64 = 2.0;
/// How many changes of one card are listed, the most first; a slip is one page whatever happens.
const CHANGES_SHOWN: [usize; 5] = [usize::MAX, 12, 6, 2, 0];

/// What a slip needs to know besides what is due.
#[derive(Clone)]
pub struct Slip<'a> {
    /// The boat's name.
    pub boat: &'a str,
    /// The day of the reissue: `2027-05-01`.
    pub date: &'a str,
    /// What is reissued, and what becomes waste.
    pub due: &'a Due,
    /// The new stamp and edition of a card, as printed on it: `7FK2M · edition 2, 2027-05-01`.
    pub printed: &'a dyn Fn(&str) -> String,
    /// What to print, and on what: `Pages 2 to 3: cards, on stiff paper`.
    pub pages: Vec<String>,
}

/// A line of the slip before it is placed.
struct Entry {
    text: String,
    weight: Weight,
    scale: f64,
    /// A box to tick stands before it.
    boxed: bool,
    indent: f64,
    gap: f64,
}

impl Entry {
    fn heading(text: &str) -> Entry {
        let scale = HEADING_SCALE;
        Entry { text: text.to_owned(), weight: Weight::Bold, scale, boxed: false, indent: 0.0, gap: HEADING_GAP }
    }

    fn plain(text: impl Into<String>, weight: Weight) -> Entry {
        Entry { text: text.into(), weight, scale: 1.0, boxed: false, indent: INDENT, gap: 0.0 }
    }

    fn boxed(text: impl Into<String>) -> Entry {
        Entry { boxed: true, ..Entry::plain(text, Weight::Bold) }
    }
}

impl Slip<'_> {
    /// The slip as a drawing of `size` millimetres; changes that find no room are counted instead of listed.
    pub fn draw(&self, size: Size) -> Drawing {
        let fits = |entries: &Vec<Entry>| place(entries, size).1 <= size.height - EDGE;
        let full = CHANGES_SHOWN.iter().map(|shown| self.entries(*shown)).find(fits);
        let entries = full.unwrap_or_else(|| {
            let cut = |kept: usize| {
                let mut entries = self.entries(0);
                let left = entries.len() - kept;
                entries.truncate(kept);
                entries.push(Entry::plain(format!("and {left} lines more: see the editions file"), Weight::Bold));
                entries
            };
            let counts: Vec<usize> = (0..self.entries(0).len()).collect();
            cut(counts.partition_point(|kept| fits(&cut(*kept))).saturating_sub(1))
        });
        let title = format!("{}: change slip of {}", self.boat, self.date);
        let mut drawing = Drawing::new(size, title, "What to bin, what changed, what is new");
        let (shapes, _) = place(&entries, size);
        shapes.into_iter().for_each(|shape| drawing.print(shape));
        drawing
    }

    fn entries(&self, shown: usize) -> Vec<Entry> {
        let mut entries = vec![Entry {
            scale: TITLE_SCALE,
            indent: 0.0,
            ..Entry::plain(format!("{}: change slip, {}", self.boat, self.date), Weight::Bold)
        }];
        let due = &self.due.items;
        let mut section = |heading: &str, lines: Vec<Entry>| {
            if !lines.is_empty() {
                entries.push(Entry::heading(heading));
                entries.extend(lines);
            }
        };
        let bin = due.iter().filter_map(|item| {
            let old = item.why.replaces()?;
            let title = match &item.why {
                Why::Changed { old_title, .. } => old_title,
                _ => &item.title,
            };
            Some(Entry::boxed(format!("{title}: {} · {}", old.stamp, old.words())))
        });
        section("Bin these", bin.collect());
        let mut changed = Vec::new();
        for item in due {
            let words = match &item.why {
                Why::Changed { words, .. } => words.clone(),
                Why::Label { old } => vec![format!("measures the same; the label says {} no more", old.boat)],
                Why::New | Why::Withdrawn { .. } => continue,
            };
            changed.push(Entry::boxed(format!("{}: {}", item.title, (self.printed)(&item.id))));
            changed.extend(words.iter().take(shown).map(|words| Entry::plain(words, Weight::Regular)));
            if let Some(more) = words.len().checked_sub(shown).filter(|more| *more > 0) {
                let count = if more == 1 { "1 change".to_owned() } else { format!("{more} changes") };
                changed.push(Entry::plain(format!("and {count} more"), Weight::Regular));
            }
        }
        section("Changed", changed);
        let new = due.iter().filter(|item| item.why == Why::New);
        section("New", new.map(|item| Entry::boxed(format!("{}: {}", item.title, (self.printed)(&item.id)))).collect());
        let gone = due.iter().filter(|item| matches!(item.why, Why::Withdrawn { .. }));
        let gone = gone.map(|item| {
            let instead = match &item.why {
                Why::Withdrawn { now_on: Some(front), .. } => format!("is now on the back of {front}"),
                _ => "nothing takes its place".to_owned(),
            };
            Entry::plain(format!("{}: {instead}", item.title), Weight::Regular)
        });
        section("No longer by themselves", gone.collect());
        let stay: Vec<&str> = self.due.unchanged.iter().map(|(_, title)| title.as_str()).collect();
        let stay = (!stay.is_empty()).then(|| {
            Entry::plain(
                format!("{}. Unchanged: leave them on the deck and in the pouch.", stay.join(" · ")),
                Weight::Regular,
            )
        });
        section("Keep", stay.into_iter().collect());
        let pages = self.pages.iter().map(|words| Entry::plain(words, Weight::Regular));
        section("To print", pages.collect());
        entries
    }
}

/// Every shape of the slip, and how far down they reach.
fn place(entries: &[Entry], size: Size) -> (Vec<Shape>, f64) {
    let cap = cap_height(LEGEND_DISTANCE, WANTED_ARC_MINUTES).to_mm();
    let mut shapes = Vec::new();
    let mut y = EDGE;
    for entry in entries {
        let left = EDGE + entry.indent * cap;
        let own = cap * entry.scale;
        y += entry.gap * own;
        if entry.boxed {
            let corner = (EDGE, y + own - BOX * cap);
            shapes.push(Shape::stroke(Rect::from_origin_size(corner, Size::new(BOX * cap, BOX * cap)), BOX_LINE));
        }
        let lines: Vec<Line> = flow::wrapped(&entry.text, own, entry.weight, LEGEND_DISTANCE, size.width - EDGE - left);
        for line in lines {
            let text = Text::new(line.text, (left, y + own), Anchor::Start, own, line.weight);
            shapes.push(text.read_from(LEGEND_DISTANCE).into());
            y += own * PITCH;
        }
    }
    (shapes, y)
}
