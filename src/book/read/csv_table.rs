//! A settings table kept in a CSV file: winds down the side, controls along the top. Gives every cell a place.

use crate::wrong::shown;
use std::ops::Range;

use super::raw_rows::{Column, Known, RawRow, check_row_count, check_row_length, column};
use super::recorded::says_not_used;
use super::tables::{Rows, Tables};
use crate::book::characters;
use crate::book::model::Spanned;
use crate::book::problem::{Place, Problem, SourceId};
use crate::book::quantity;
use crate::book::tree::{Node, Value};
use crate::book::words;
use crate::limits;
use crate::tuning::{Angle, Side};

/// The first column of a table.
const WIND: &str = "wind";
/// The second one, of a table by wind and angle.
const ANGLE: &str = "angle";
pub(super) const BYTE_ORDER_MARK: char = '\u{FEFF}';
/// Starts a line that is for people only.
const COMMENT: char = '#';

/// Reads the table that `node` names. `None` if there is nothing in it to go on with; a problem then says why.
pub fn read(
    node: &Node,
    what: &str,
    known: &Known<'_>,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Rows> {
    let name = words::words(node, &format!("the table of {what}"), problems)?;
    let text = tables.table(&name, problems)?;
    let file = File { source: text.source, text: &text.text, printable: tables.printable(), bounds: Bounds::TABLE };
    let rows = tables.rows(&name, &text, problems, |problems| file.read(what, known, problems))?;
    Some(Rows::clone(&rows))
}

/// A cell's text as it was meant, and where it stands.
pub(super) struct Cell {
    pub text: String,
    pub bytes: Range<usize>,
}

/// A CSV file in memory.
pub(super) struct File<'a> {
    pub source: SourceId,
    pub text: &'a str,
    pub printable: fn(char) -> bool,
    pub bounds: Bounds,
}

/// How much of a file is read.
#[derive(Clone, Copy)]
pub(super) struct Bounds {
    /// Lines with something in them, the header not counted.
    pub rows: usize,
    /// Cells of a line.
    pub cells: usize,
}

impl Bounds {
    pub const TABLE: Bounds = Bounds { rows: limits::MAX_ROWS, cells: limits::MAX_DECLARED + 1 };
}

impl File<'_> {
    fn read(&self, what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) -> Option<(Vec<Column>, Vec<RawRow>)> {
        let Some((start, header)) = lines(self.text).find(|(_, line)| !is_for_people(line)) else {
            return self.empty(what, problems);
        };
        let delimiter = self.delimiter(start, header, problems)?;
        let mut records = self.records(delimiter, problems).into_iter();
        let Some(header) = records.next() else { return self.empty(what, problems) };
        let with_angle = has_angles(&header, known);
        let columns = self.columns(&header, with_angle, what, known, problems)?;
        let rows: Vec<Vec<Cell>> = records.collect();
        check_row_count(rows.len(), &self.place(record_range(&header)), &format!("the table of {what}"), problems)?;
        let rows = rows.iter().filter_map(|row| self.row(row, (&columns, with_angle), what, known, problems)).collect();
        // The two sides of a control are one column of the table.
        let mut named: Vec<Column> = Vec::new();
        for (column, side) in columns {
            if side.is_none() || named.iter().all(|other| other.id != column.id) {
                named.push(column);
            }
        }
        Some((named, rows))
    }

    fn empty<T>(&self, what: &str, problems: &mut Vec<Problem>) -> Option<T> {
        let complaint = format!("the table of {what} is empty");
        problems.push(Problem::error(self.place(0..0), complaint, "start it with `wind, backstay, jib_lead`"));
        None
    }

    /// What parts the cells: a tab if the header has one, else a comma.
    fn delimiter(&self, start: usize, header: &str, problems: &mut Vec<Problem>) -> Option<u8> {
        if header.contains('\t') {
            return Some(b'\t');
        }
        if !header.contains(',') && header.contains(';') {
            let at = start + header.find(';').unwrap_or_default();
            problems.push(Problem::error(
                self.place(at..at + 1),
                "semicolons part the cells of this table",
                "save it with commas or tabs between the cells, and points in the numbers",
            ));
            return None;
        }
        Some(b',')
    }

    /// Every line that has something in it, cell by cell; of too long a table no more than shows that it is.
    pub fn records(&self, delimiter: u8, problems: &mut Vec<Problem>) -> Vec<Vec<Cell>> {
        let start = if self.text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
        let mut records = Vec::new();
        self.each_record(start, delimiter, problems, &mut |cells, _| records.push(cells));
        records
    }

    /// Hands on every line from a byte of the text on that has something in it, cell by cell; of too long a file no more
    /// than shows that it is.
    pub fn each_record(
        &self,
        start: usize,
        delimiter: u8,
        problems: &mut Vec<Problem>,
        use_it: &mut dyn FnMut(Vec<Cell>, &mut Vec<Problem>),
    ) {
        let Some(body) = self.text.get(start..) else { return };
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter)
            .comment(Some(COMMENT as u8))
            .from_reader(body.as_bytes());
        let mut used = 0;
        let mut record = csv::StringRecord::new();
        // The text is in memory and UTF-8: there is nothing left for the reader to fail at.
        while used <= self.bounds.rows + 1 && reader.read_record(&mut record).unwrap_or(false) {
            let from = record.position().map_or(0, |position| position.byte() as usize);
            let until = (reader.position().byte() as usize).max(from).min(body.len());
            if record.len() > self.bounds.cells {
                let place = self.place(start + from..start + from);
                let what = format!("this line has {} cells, more than {}", record.len(), self.bounds.cells);
                problems.push(Problem::error(place, what, "keep those that are used"));
                break;
            }
            let places = cell_places(body, from..until, delimiter as char);
            let cells = record.iter().enumerate().map(|(index, text)| {
                let bytes = places.get(index).cloned().unwrap_or(from..until);
                Cell { text: characters::tidy(text), bytes: start + bytes.start..start + bytes.end }
            });
            let mut cells: Vec<Cell> = cells.collect();
            if cells.iter().all(|cell| cell.text.is_empty()) {
                continue;
            }
            for cell in &mut cells {
                if problems.len() < limits::MAX_ODD_CHARACTERS {
                    let faults = characters::faults(&cell.text, self.printable);
                    problems.extend(faults.into_iter().map(|fault| fault.at(&self.place(cell.bytes.clone()))));
                }
                characters::shorten(&mut cell.text);
            }
            used += 1;
            use_it(cells, problems);
        }
    }

    fn columns(
        &self,
        header: &[Cell],
        with_angle: bool,
        what: &str,
        known: &Known<'_>,
        problems: &mut Vec<Problem>,
    ) -> Option<Vec<(Column, Option<Side>)>> {
        let (first, rest) = header.split_first()?;
        let rest = if with_angle { rest.get(1..)? } else { rest };
        if !first.text.eq_ignore_ascii_case(WIND) {
            problems.push(Problem::error(
                self.place(first.bytes.clone()),
                format!("the table of {what} starts with {}, not with its winds", shown(&first.text)),
                "write the column names in the first line, `wind` first: `wind, backstay, jib_lead`",
            ));
            return None;
        }
        if rest.is_empty() {
            problems.push(Problem::error(
                self.place(first.bytes.clone()),
                format!("the table of {what} has no control"),
                "write a control's id over each column, after `wind`",
            ));
            return None;
        }
        if rest.len() > limits::MAX_DECLARED {
            problems.push(Problem::error(
                self.place(first.bytes.clone()),
                format!("the table of {what} has {} columns, more than {}", rest.len(), limits::MAX_DECLARED),
                "keep those that are used",
            ));
            return None;
        }
        let about = format!("the table of {what}");
        let name = |cell: &Cell| {
            let (name, side) = name_and_side(&cell.text, known);
            let end = cell.bytes.end.saturating_sub(cell.text.len() - name.len()).max(cell.bytes.start);
            let bytes = cell.bytes.start..end;
            let named = Cell { text: name.to_owned(), bytes };
            (column(&self.node(&named), &about, known, problems), side)
        };
        let read: Vec<(Column, Option<Side>)> = rest.iter().map(name).collect();
        self.check_sides(&read, &about, problems).then_some(read)
    }

    /// Whether each control has one column, or one for each of its sides; says so if not.
    fn check_sides(&self, columns: &[(Column, Option<Side>)], what: &str, problems: &mut Vec<Problem>) -> bool {
        let mut is_sound = true;
        for (nth, (column, side)) in columns.iter().enumerate() {
            let before = columns[..nth].iter().find(|(other, of)| {
                other.id == column.id
                    && (side.is_some() || of.is_some())
                    && (of == side || side.is_none() || of.is_none())
            });
            if let Some((_, of)) = before.filter(|_| column.index.is_some()) {
                let (complaint, instead) = match (of, side) {
                    (Some(one), Some(_)) => {
                        (format!("two columns for {} of", one.word().to_lowercase()), "keep one of them")
                    }
                    _ => ("a column for both sides and one for a side of".to_owned(), "keep one, or one for each side"),
                };
                let what = format!("{what} has {complaint} {}", shown(&column.id));
                problems.push(Problem::error(column.place.clone(), what, instead));
                is_sound = false;
            }
        }
        is_sound
    }

    fn row(
        &self,
        cells: &[Cell],
        (columns, with_angle): (&[(Column, Option<Side>)], bool),
        what: &str,
        known: &Known<'_>,
        problems: &mut Vec<Problem>,
    ) -> Option<RawRow> {
        let (wind, readings) = cells.split_first()?;
        let wind_at = self.place(wind.bytes.clone());
        let wind =
            quantity::wind(&self.node(wind), &known.units, &format!("a wind of {what}"), &limits::WIND_KN, problems);
        let (angle, readings) = match readings.split_first().filter(|_| with_angle) {
            Some((angle, readings)) => (Some(self.angle(angle, what, problems)?), readings),
            None => (None, readings),
        };
        let recorded = |cell: &Cell| (!matches!(cell.text.as_str(), "" | "~")).then(|| self.node(cell));
        let place = self.place(record_range(cells));
        let mut recorded: Vec<Option<Node>> = readings.iter().map(recorded).collect();
        let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        let comma = readings.windows(2).find(|pair| digits(&pair[0].text) && digits(&pair[1].text));
        let comma = comma.map(|pair| (pair[0].text.as_str(), pair[1].text.as_str()));
        let name = |(column, side): &(Column, Option<Side>)| {
            let side = side.map(|side| format!(" {}", side.word().to_lowercase())).unwrap_or_default();
            format!("{}{side}", column.id)
        };
        let names: Vec<String> = columns.iter().map(name).collect();
        let ids: Vec<&str> = names.iter().map(String::as_str).collect();
        check_row_length(&mut recorded, &place, &ids, comma, problems);
        let cells = self.both_sides(recorded, columns, problems);
        Some(RawRow { at: Spanned { value: wind?, place: wind_at }, angle, cells })
    }

    /// The cells of a row with those of the two sides of a control as one, as the book writes them: `{port: 2, starboard: 2½}`.
    fn both_sides(
        &self,
        cells: Vec<Option<Node>>,
        columns: &[(Column, Option<Side>)],
        problems: &mut Vec<Problem>,
    ) -> Vec<Option<Node>> {
        let mut joined: Vec<Option<Node>> = Vec::new();
        let written = |nth: usize| cells.get(nth).cloned().flatten();
        for (nth, (column, side)) in columns.iter().enumerate().take(cells.len()) {
            let of_it = |(_, (other, _)): &(usize, &(Column, Option<Side>))| other.id == column.id;
            let Some(own) = side else {
                joined.push(written(nth));
                continue;
            };
            let others: Vec<(usize, &(Column, Option<Side>))> = columns.iter().enumerate().filter(of_it).collect();
            if others.first().is_some_and(|(first, _)| *first < nth) {
                continue;
            }
            let other = others.iter().find(|(_, (_, side))| side.is_some_and(|side| side != *own));
            let (one, other) = (written(nth), other.and_then(|(nth, (_, side))| Some((written(*nth)?, (*side)?))));
            joined.push(self.one_of_two((one, *own), other, problems));
        }
        joined
    }

    /// What two cells say of the two sides of a control; not used only where both do.
    fn one_of_two(
        &self,
        (one, side): (Option<Node>, Side),
        other: Option<(Node, Side)>,
        problems: &mut Vec<Problem>,
    ) -> Option<Node> {
        let is_not_used = |node: &Node| words::text_of(node).is_some_and(says_not_used);
        let both: Vec<(Node, Side)> = one.map(|one| (one, side)).into_iter().chain(other).collect();
        let first = both.first()?.0.clone();
        if both.iter().all(|(node, _)| is_not_used(node)) {
            return Some(first);
        }
        if let Some((node, _)) = both.iter().find(|(node, _)| is_not_used(node)) {
            problems.push(Problem::error(
                node.place.clone(),
                "a control is not used on one side alone",
                "write `none` under both sides, or leave empty what nobody wrote down",
            ));
            return None;
        }
        let entry = |(node, side): (Node, Side)| {
            let text = side.word().to_lowercase();
            (Node { place: node.place.clone(), value: Value::Text { text, plain: true } }, node)
        };
        Some(Node { place: first.place.clone(), value: Value::Map(both.into_iter().map(entry).collect()) })
    }

    /// The angle of a row, which no row of a table by wind and angle leaves out.
    fn angle(&self, cell: &Cell, what: &str, problems: &mut Vec<Problem>) -> Option<Spanned<Angle>> {
        let place = self.place(cell.bytes.clone());
        if matches!(cell.text.as_str(), "" | "~") {
            problems.push(Problem::error(
                place,
                format!("this row of the table of {what} has no angle"),
                "write the true wind angle it was sailed at, such as `80`",
            ));
            return None;
        }
        let about = format!("an angle of {what}");
        let value = quantity::wind_angle(&self.node(cell), &about, &limits::WIND_ANGLE_DEG, problems)?;
        Some(Spanned { value, place })
    }

    pub fn node(&self, cell: &Cell) -> Node {
        let value = Value::Text { text: cell.text.clone(), plain: true };
        Node { place: self.place(cell.bytes.clone()), value }
    }

    pub fn place(&self, bytes: Range<usize>) -> Place {
        Place { source: self.source, bytes }
    }
}

/// The name of a control over a column, and the side that follows it, `jib_lead port`; unless a control of the book is called
/// all of that.
fn name_and_side<'b>(text: &'b str, known: &Known<'_>) -> (&'b str, Option<Side>) {
    let of_side = |side: Side| {
        let (name, word) = text.rsplit_once(' ')?;
        word.eq_ignore_ascii_case(side.word()).then_some((name.trim_end(), Some(side)))
    };
    let found = Side::BOTH.into_iter().find_map(of_side);
    found.filter(|_| !known.control_names.has(text)).unwrap_or((text, None))
}

/// Whether a table is kept by wind and angle: its second column says so, unless a control of the book is called that.
fn has_angles(header: &[Cell], known: &Known<'_>) -> bool {
    header.get(1).is_some_and(|cell| cell.text.eq_ignore_ascii_case(ANGLE)) && !known.control_names.has(ANGLE)
}

fn record_range(cells: &[Cell]) -> Range<usize> {
    match (cells.first(), cells.last()) {
        (Some(first), Some(last)) => first.bytes.start..last.bytes.end.max(first.bytes.start),
        _ => 0..0,
    }
}

/// The lines of a text, each with the byte it starts at.
pub(super) fn lines(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.split_inclusive('\n').scan(0, |at, line| {
        let start = *at;
        *at += line.len();
        Some((start, line))
    })
}

pub(super) fn is_for_people(line: &str) -> bool {
    line.starts_with(COMMENT) || line.trim_start_matches(BYTE_ORDER_MARK).trim().is_empty()
}

/// Where the cells of one record stand, without the quotes and spaces around them. The CSV reader gives the text of a
/// cell but not its place.
fn cell_places(text: &str, record: Range<usize>, delimiter: char) -> Vec<Range<usize>> {
    let Some(raw) = text.get(record.clone()) else { return Vec::new() };
    let skipped: usize = lines(raw).take_while(|(_, line)| is_for_people(line)).map(|(_, line)| line.len()).sum();
    let raw = raw[skipped..].trim_end_matches(['\r', '\n']);
    let mut places = Vec::new();
    let mut start = 0;
    let mut quoted = false;
    for (at, character) in raw.char_indices() {
        if character == '"' && (quoted || at == start) {
            quoted = !quoted;
        } else if character == delimiter && !quoted {
            places.push(start..at);
            start = at + character.len_utf8();
        }
    }
    places.push(start..raw.len());
    let base = record.start + skipped;
    let trimmed = places.into_iter().map(|cell| {
        let inside = raw[cell.clone()].trim_matches(|c: char| c == '"' || c.is_whitespace());
        let offset = raw[cell.clone()].find(inside).unwrap_or_default();
        let from = base + cell.start + offset;
        from..from + inside.len()
    });
    trimmed.collect()
}

/// Every line of the table that `node` names as its fields: the header's cell and the line's own.
pub fn records(
    node: &Node,
    what: &str,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Vec<(Node, Node)>>> {
    let name = words::words(node, &format!("the table of {what}"), problems)?;
    let text = tables.table(&name, problems)?;
    if !text.is_sound {
        return None;
    }
    let file = File { source: text.source, text: &text.text, printable: tables.printable(), bounds: Bounds::TABLE };
    let (start, header) = lines(&text.text).find(|(_, line)| !is_for_people(line))?;
    let delimiter = file.delimiter(start, header, problems)?;
    let mut rows = file.records(delimiter, problems).into_iter();
    let header: Vec<Node> = rows.next()?.iter().map(|cell| file.node(cell)).collect();
    let row = |row: Vec<Cell>| header.iter().cloned().zip(row.iter().map(|cell| file.node(cell))).collect();
    let rows: Vec<Vec<(Node, Node)>> = rows.map(row).collect();
    // What is stowed is printed as it is written here.
    for (_, cell) in rows.iter().flatten() {
        let doubt = words::text_of(cell).and_then(characters::runs_otherwise);
        problems.extend(doubt.map(|doubt| Problem::warning(cell.place.clone(), doubt.what, doubt.instead)));
    }
    Some(rows)
}
