//! Readings put into one row of settings, where they stand in the book or in the table that the book names; a row that is not there
//! is put in at its wind. Knows where rows stand in a book; whether a reading is a good one, the caller knows.

use std::ops::Range;

use super::{
    Edit, edited, entries, in_brackets, is_text, line_break, line_end, line_start, parsed, same, scalar, start,
};
use crate::book::model::Units;
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::read::table_row;
use crate::book::tree::{Node, Value};
use crate::book::words::text_of;
use crate::limits;
use crate::tuning::{Angle, Axis as _, Wind};

/// What is to stand in one row of settings.
pub struct Readings<'a> {
    /// The id of the settings.
    pub settings: &'a str,
    /// The wind of the row.
    pub wind: Wind,
    /// Its true wind angle, where the settings go by angle.
    pub angle: Option<Angle>,
    /// The units of the book.
    pub units: Units,
    /// One for each control that is to change.
    pub readings: Vec<Reading>,
    /// What is to stand behind the row, where its line has room for a remark: one for each control, without the sign that starts a
    /// remark. A remark that stands there already is not repeated.
    pub remarks: Vec<String>,
}

/// What a control is to be set to.
pub struct Reading {
    /// The id of the control.
    pub control: String,
    /// The reading as a book has it: `4½`, `60 bar`, `{port: 3, starboard: 4}`.
    pub full: String,
    /// The same without a unit, for where the old reading has none.
    pub bare: String,
    /// What it is on the port and on the starboard side, without a unit, for a table with a column for each.
    pub sides: [String; 2],
}

/// Where the rows of some settings stand.
#[derive(Clone, Debug, PartialEq)]
pub enum Rows {
    /// Under `at`, in the book.
    Inline,
    /// In the CSV file of this name.
    Table(String),
}

/// Where the rows of some settings stand; `None` if no settings of this id are written in the book.
pub fn rows_of(text: &str, settings: &str) -> Option<Rows> {
    let book = parsed(text)?;
    let (_, item) = settings_item(&book, settings)?;
    match field(item, "table") {
        Some((_, table)) => Some(Rows::Table(text_of(table)?.to_owned())),
        None => field(item, "at").map(|_| Rows::Inline),
    }
}

/// The text of a book with these readings in their row; every other byte stays.
///
/// # Errors
/// The row, or a reading in it, is written in a form that cannot be changed without touching the rest, such as a reference.
pub fn with_readings(text: &str, wanted: &Readings<'_>) -> Result<String, Problem> {
    let by_hand = |place| wanted.by_hand(place);
    let book = parsed(text).ok_or_else(|| by_hand(start()))?;
    let (path, item) = settings_item(&book, wanted.settings).ok_or_else(|| by_hand(start()))?;
    let found = || {
        let columns = columns(item, &wanted.readings)?;
        let (at, _) = field(item, "at")?;
        let (key, map) = entries(item)?.get(at)?;
        Some((columns, [path.as_slice(), &[at]].concat(), key, map))
    };
    let (columns, path, key, map) = found().ok_or_else(|| by_hand(item.place.clone()))?;
    let winds = Along { text, wanted, controls: columns.0, columns: columns.1 };
    winds.changed(&book, path, key, map)
}

/// The text of a table with these readings in their row; every other byte stays. A table has no room for remarks.
///
/// # Errors
/// As [`with_readings`].
pub fn with_cells(text: &str, wanted: &Readings<'_>) -> Result<String, Problem> {
    let number = |angle: Angle| angle.print_number();
    let row = table_row::Row {
        wind: wanted.wind,
        angle: wanted.angle,
        units: &wanted.units,
        wind_cell: wanted.wind.written_number(wanted.units.wind),
        angle_cell: wanted.angle.map(number),
        readings: &wanted.readings,
    };
    table_row::changed(text, &row).ok_or_else(|| {
        let (what, instead) = wanted.by_hand_words();
        Problem::error(None, what, instead)
    })
}

impl Readings<'_> {
    fn by_hand(&self, place: crate::book::problem::Place) -> Problem {
        let (what, instead) = self.by_hand_words();
        Problem::error(place, what, instead)
    }

    fn by_hand_words(&self) -> (String, String) {
        let unit = self.units.wind;
        let angle = self.angle.map(|angle| format!(" and {}", angle.as_written())).unwrap_or_default();
        let readings: Vec<String> = self.readings.iter().map(|own| format!("{} {}", own.control, own.full)).collect();
        (
            format!(
                "the row of {} at {}{angle} is written in a form that cannot be changed without touching the rest",
                self.settings,
                self.wind.as_written(unit)
            ),
            format!(
                "write by hand: {}; a value that others refer to (`&`, `*`) has to be written out first",
                readings.join(", ")
            ),
        )
    }
}

/// The rows of one settings under `at`.
struct Along<'a> {
    text: &'a str,
    wanted: &'a Readings<'a>,
    /// How many controls a row has a reading of.
    controls: usize,
    /// Which of them each reading is for.
    columns: Vec<usize>,
}

/// What to do to the text, and what the tree is then to be.
struct Way {
    edits: Vec<Edit>,
    tree: Node,
}

impl Along<'_> {
    fn changed(&self, book: &Node, mut path: Vec<usize>, key: &Node, map: &Node) -> Result<String, Problem> {
        let refused = |place: &Node| self.wanted.by_hand(place.place.clone());
        let winds = entries(map).ok_or_else(|| refused(key))?;
        let wind_of =
            |node: &Node| quantity::wind(node, &self.wanted.units, "a wind", &limits::WIND_KN, &mut Vec::new());
        let Some(at) = winds.iter().position(|(key, _)| wind_of(key).is_some_and(|wind| wind.is_at(self.wanted.wind)))
        else {
            let before = winds.iter().take_while(|(key, _)| wind_of(key).is_some_and(|wind| wind < self.wanted.wind));
            let entry = match self.wanted.angle {
                Some(angle) => format!("{}: {{{}: {}}}", self.wind_key(), angle_key(angle), self.new_row()),
                None => format!("{}: {}", self.wind_key(), self.new_row()),
            };
            let angle = self.wanted.angle.map(|angle| format!("{} ", angle.print())).unwrap_or_default();
            return self.inserted(book, &path, (key, map), before.count(), &entry, &angle).ok_or_else(|| refused(key));
        };
        let (wind_key, row) = &winds[at];
        path.push(at);
        let Some(angle) = self.wanted.angle else {
            return self.replaced(book, &path, row, &[(wind_key, row, "")]).ok_or_else(|| refused(wind_key));
        };
        let angle_of = |node: &Node| quantity::wind_angle(node, "an angle", &limits::WIND_ANGLE_DEG, &mut Vec::new());
        let angles = entries(row).ok_or_else(|| refused(wind_key))?;
        let is_it = |key: &Node| angle_of(key).is_some_and(|own| own.compare(angle).is_eq());
        match angles.iter().position(|(key, _)| is_it(key)) {
            Some(of_angle) => {
                let (angle_key, readings) = &angles[of_angle];
                path.push(of_angle);
                let prefix = format!("{} ", angle.print());
                let lines = [(angle_key, readings, ""), (wind_key, row, prefix.as_str())];
                self.replaced(book, &path, readings, &lines).ok_or_else(|| refused(angle_key))
            }
            None => {
                let before = angles.iter().take_while(|(key, _)| angle_of(key).is_some_and(|own| own < angle)).count();
                let entry = format!("{}: {}", angle_key(angle), self.new_row());
                self.inserted(book, &path, (wind_key, row), before, &entry, "").ok_or_else(|| refused(wind_key))
            }
        }
    }

    fn wind_key(&self) -> String {
        self.wanted.wind.written_number(self.wanted.units.wind)
    }

    /// A row with nothing in it but what is wanted.
    fn new_row(&self) -> String {
        let mut cells = vec!["~".to_owned(); self.controls];
        for (column, reading) in self.columns.iter().zip(&self.wanted.readings) {
            if let Some(cell) = cells.get_mut(*column) {
                *cell = written(&reading.bare);
            }
        }
        format!("[{}]", cells.join(", "))
    }

    /// The text with the readings in a row that is there. `lines` are the entries, innermost first, on whose line a remark may stand.
    fn replaced(&self, book: &Node, path: &[usize], row: &Node, lines: &[(&Node, &Node, &str)]) -> Option<String> {
        let Value::List(items) = &row.value else { return None };
        let mut way = Way { edits: Vec::new(), tree: book.clone() };
        let mut last = None;
        for (column, reading) in self.columns.iter().zip(&self.wanted.readings) {
            let old = items.get(*column)?;
            let has_unit = text_of(old).is_some_and(|text| text.ends_with(char::is_alphabetic));
            let new = written(if has_unit { &reading.full } else { &reading.bare });
            let node = parsed(&format!("a: {new}")).and_then(|map| Some(entries(&map)?.first()?.1.clone()))?;
            // Where nothing is written the dash that starts the item stands alone.
            let gap = if old.place.bytes.is_empty() { " " } else { "" };
            way.edits.push((old.place.bytes.clone(), format!("{gap}{new}")));
            *place(&mut way.tree, &[path, &[*column]].concat())? = node;
            last = Some(old);
        }
        let in_flow = self.text.get(row.place.bytes.clone())?.starts_with('[');
        let remark = match last {
            Some(item) if !in_flow => self.remark_behind(item, line_start(self.text, item.place.bytes.start), ""),
            _ => lines.iter().find_map(|(key, value, prefix)| {
                let from = line_start(self.text, key.place.bytes.start);
                let is_first = self.text.get(from..key.place.bytes.start)?.trim().is_empty();
                // The row of a reference stands elsewhere.
                let is_here = is_first && value.place.bytes.start >= key.place.bytes.end;
                is_here.then(|| self.remark_behind(value, from, prefix)).flatten()
            }),
        };
        self.first_that_fits(&way.tree, [with(&way.edits, remark), way.edits.clone()])
    }

    /// The remark at the end of the line that a value ends on, if nothing else stands behind it there.
    fn remark_behind(&self, value: &Node, from: usize, prefix: &str) -> Option<Edit> {
        let end = value.place.bytes.end.max(from);
        let to = line_end(self.text, end);
        let rest = self.text.get(end..to)?.trim();
        let rest = rest.strip_prefix(',').unwrap_or(rest).trim_start();
        if !rest.is_empty() && !rest.starts_with('#') {
            return None;
        }
        let remarks = self.wanted.remarks.iter().map(|remark| format!("{prefix}{remark}"));
        let new: Vec<String> = remarks.filter(|remark| !rest.contains(remark.as_str())).collect();
        let bare = self.text.get(..to)?.trim_end_matches([' ', '\t']).len();
        let words = match (new.is_empty(), rest.is_empty()) {
            (true, _) => return None,
            (_, true) => format!("  # {}", new.join("; ")),
            (_, false) => format!("; {}", new.join("; ")),
        };
        Some((bare..bare, words))
    }

    /// The text with one more entry in a map, after so many of those that it has.
    fn inserted(
        &self,
        book: &Node,
        path: &[usize],
        (name, map): (&Node, &Node),
        before: usize,
        entry: &str,
        prefix: &str,
    ) -> Option<String> {
        let all = entries(map)?;
        let new = parsed(entry)?;
        let mut tree = book.clone();
        let Value::Map(of_tree) = &mut place(&mut tree, path)?.value else { return None };
        of_tree.insert(before, entries(&new)?.first()?.clone());
        let line = line_break(self.text, name.place.bytes.end);
        let remarks: Vec<String> = self.wanted.remarks.iter().map(|remark| format!("{prefix}{remark}")).collect();
        let remarked = format!("{entry}  # {}", remarks.join("; "));
        let mut ways: Vec<Vec<Edit>> = Vec::new();
        let is_flow = self.text.get(map.place.bytes.clone())?.starts_with('{');
        let previous = before.checked_sub(1).and_then(|before| all.get(before));
        match (is_flow, previous, all.get(before)) {
            (true, Some((last_name, last)), None) => {
                ways.extend(in_brackets(self.text, map, last_name, last, entry, line))
            }
            (true, _, Some((next, _))) => {
                let at = next.place.bytes.start;
                let indent = self.text.get(line_start(self.text, at)..at)?;
                if indent.trim().is_empty() {
                    let words = remarks.join("; ");
                    ways.push(vec![(at..at, format!("{entry},  # {words}{line}{indent}"))]);
                }
                ways.push(vec![(at..at, format!("{entry}, "))]);
            }
            (false, Some((last_name, last)), _) => {
                for entry in [&remarked, entry] {
                    ways.extend(super::in_block(self.text, last_name, last, entry, line));
                }
            }
            (false, None, Some((next, _))) => {
                let at = next.place.bytes.start;
                let indent = self.text.get(line_start(self.text, at)..at)?;
                // Remarks above the first row stay with it.
                let head = line_end(self.text, name.place.bytes.end);
                for entry in [&remarked, entry] {
                    ways.push(vec![(head..head, format!("{line}{indent}{entry}"))]);
                    ways.push(vec![(at..at, format!("{entry}{line}{indent}"))]);
                }
            }
            (_, _, None) => {}
        }
        self.first_that_fits(&tree, ways)
    }

    /// The text changed in the first of these ways that makes it what it is to be, and no more.
    fn first_that_fits(&self, tree: &Node, ways: impl IntoIterator<Item = Vec<Edit>>) -> Option<String> {
        let fits = |changed: &String| parsed(changed).is_some_and(|new| same(&new, tree));
        ways.into_iter().filter_map(|way| edited(self.text, &way)).find(fits)
    }
}

/// Some edits and perhaps one more, in the order of the text.
fn with(edits: &[Edit], more: Option<Edit>) -> Vec<Edit> {
    let mut all: Vec<Edit> = edits.iter().cloned().chain(more).collect();
    all.sort_by_key(|(range, _): &(Range<usize>, String)| range.start);
    all
}

/// A reading as YAML: bare where that reads as the same text. A sign may stand before a number.
fn written(reading: &str) -> String {
    let after_sign = reading.strip_prefix(['+', '−']).unwrap_or(reading);
    let is_map = reading.starts_with('{');
    if is_map || scalar(after_sign) == after_sign { reading.to_owned() } else { scalar(reading) }
}

fn angle_key(angle: Angle) -> String {
    angle.as_written().trim_end_matches('°').to_owned()
}

/// The settings of this id: the steps to them from the top of the book, and what they are.
fn settings_item<'a>(book: &'a Node, id: &str) -> Option<(Vec<usize>, &'a Node)> {
    let (section, list) = field(book, "settings")?;
    let Value::List(items) = &list.value else { return None };
    let has_id = |item: &Node| field(item, "id").is_some_and(|(_, value)| is_text(value, id));
    let at = items.iter().position(has_id)?;
    Some((vec![section, at], &items[at]))
}

/// The place of a field among the entries of a map, and its value.
fn field<'a>(node: &'a Node, name: &str) -> Option<(usize, &'a Node)> {
    let all = entries(node)?;
    let at = all.iter().position(|(key, _)| is_text(key, name))?;
    Some((at, &all[at].1))
}

/// How many controls the settings have, and which of them each reading is for.
fn columns(item: &Node, readings: &[Reading]) -> Option<(usize, Vec<usize>)> {
    let (_, list) = field(item, "controls")?;
    let Value::List(items) = &list.value else { return None };
    let column = |reading: &Reading| items.iter().position(|item| is_text(item, &reading.control));
    Some((items.len(), readings.iter().map(column).collect::<Option<Vec<usize>>>()?))
}

/// What lies at the end of some steps from a node.
fn place<'a>(node: &'a mut Node, path: &[usize]) -> Option<&'a mut Node> {
    let Some((first, rest)) = path.split_first() else { return Some(node) };
    let next = match &mut node.value {
        Value::List(items) => items.get_mut(*first)?,
        Value::Map(all) => &mut all.get_mut(*first)?.1,
        Value::Null | Value::Text { .. } => return None,
    };
    place(next, rest)
}
