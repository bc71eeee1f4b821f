//! A settings table kept in a file of its own: winds down the side, controls along the top. Gives every cell a place.

use crate::wrong::{Wrong, shown};
use std::ops::Range;

use super::form::Form;
use super::heading;
use super::raw_rows::{Column, Known, RawRow, check_row_count, check_row_length, column};
use super::recorded::says_not_used;
use super::tables::{Rows, Tables, Text};
use crate::book::characters;
use crate::book::model::{Control, Row, Sections, Spanned, Units};
use crate::book::problem::{Place, Problem, SourceId};
use crate::book::quantity::{self, Dimension};
use crate::book::tree::{Node, Value};
use crate::book::words::{self, Names};
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
    let file = File::of(&text, tables.printable(), Bounds::TABLE);
    let rows = tables.rows(&name, &text, problems, |problems| file.read(what, known, problems))?;
    Some(Rows::clone(&rows))
}

/// A cell's text as it was meant, and where it stands.
pub(super) struct Cell {
    pub text: String,
    pub bytes: Range<usize>,
}

/// A table in memory.
pub(super) struct File<'a> {
    pub source: SourceId,
    pub text: &'a str,
    pub form: Form,
    /// Whether it is a sheet of a workbook, whose rows end where nothing follows.
    pub is_sheet: bool,
    pub printable: fn(char) -> bool,
    pub bounds: Bounds,
}

/// A column of a table of settings: the control, and on which of its sides.
struct Headed {
    column: Column,
    side: Option<Side>,
}

/// What stands over all columns of a table of settings.
struct Header {
    columns: Vec<Headed>,
    with_angle: bool,
    wind_unit: Option<String>,
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

impl<'a> File<'a> {
    /// A table as it was read.
    pub fn of(text: &'a Text, printable: fn(char) -> bool, bounds: Bounds) -> Self {
        let form = if text.is_sheet { Form::COMMAS } else { Form::of(&text.text) };
        File { source: text.source, text: &text.text, form, is_sheet: text.is_sheet, printable, bounds }
    }

    /// A table that was saved as text and is to be changed.
    pub fn of_text(text: &'a str, bounds: Bounds) -> Self {
        let form = Form::of(text);
        File { source: SourceId(0), text, form, is_sheet: false, printable: |_| true, bounds }
    }
}

impl File<'_> {
    fn read(&self, what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) -> Option<(Vec<Column>, Vec<RawRow>)> {
        let mut records = self.records(problems);
        self.leave_out_empty_columns(&mut records);
        let mut records = records.into_iter();
        let Some(header) = records.next() else { return self.empty(what, problems) };
        let header_range = record_range(&header);
        let header = self.header(&header, what, known, problems)?;
        let rows: Vec<Vec<Cell>> = records.collect();
        check_row_count(rows.len(), &self.place(header_range), &format!("the table of {what}"), problems)?;
        let rows = rows.iter().filter_map(|row| self.row(row, &header, what, known, problems)).collect();
        // The two sides of a control are one column of the table.
        let mut named: Vec<Column> = Vec::new();
        for Headed { column, side } in header.columns {
            if side.is_none() || named.iter().all(|other| other.id != column.id) {
                named.push(column);
            }
        }
        Some((named, rows))
    }

    /// Takes out the columns that have nothing in them, over them included: spreadsheets leave them at the side, and between. The
    /// rows of a sheet get the empty cells at their ends that it does not keep.
    fn leave_out_empty_columns(&self, records: &mut [Vec<Cell>]) {
        let width = records.iter().map(Vec::len).max().unwrap_or_default();
        let is_used =
            |column: usize| records.iter().any(|cells| cells.get(column).is_some_and(|cell| !cell.text.is_empty()));
        let used: Vec<bool> = (0..width).map(is_used).collect();
        let wanted = records.first().map(Vec::len).unwrap_or_default();
        for cells in records {
            let end = cells.last().map_or(0, |cell| cell.bytes.end);
            if self.is_sheet {
                while cells.len() < wanted {
                    cells.push(Cell { text: String::new(), bytes: end..end });
                }
            }
            let mut column = 0;
            cells.retain(|_| {
                column += 1;
                used.get(column - 1).copied().unwrap_or(true)
            });
        }
    }

    fn empty<T>(&self, what: &str, problems: &mut Vec<Problem>) -> Option<T> {
        let complaint = format!("the table of {what} is empty");
        problems.push(Problem::error(self.place(0..0), complaint, "start it with `wind, backstay, jib_lead`"));
        None
    }

    /// Every line that has something in it, cell by cell; of too long a table no more than shows that it is.
    pub fn records(&self, problems: &mut Vec<Problem>) -> Vec<Vec<Cell>> {
        let mut records = Vec::new();
        self.each_record(problems, &mut |cells, _| records.push(cells));
        records
    }

    /// Hands on every line that has something in it, cell by cell; of too long a file no more than shows that it is.
    pub fn each_record(&self, problems: &mut Vec<Problem>, use_it: &mut dyn FnMut(Vec<Cell>, &mut Vec<Problem>)) {
        let Form { start, delimiter, .. } = self.form;
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
            let is_filled = |at: &usize| record.get(*at).is_some_and(|cell| !cell.trim().is_empty());
            let filled = (0..record.len()).rev().find(is_filled).map_or(0, |last| last + 1);
            if filled > self.bounds.cells {
                let place = self.place(start + from..start + from);
                let what = format!("this line has {filled} cells, more than {}", self.bounds.cells);
                problems.push(Problem::error(place, what, "keep those that are used"));
                break;
            }
            let (places, is_open) = cell_places(body, from..until, delimiter as char);
            // Empty ones at the end, however many a spreadsheet puts there, say nothing.
            let cells = record.iter().take(self.bounds.cells).enumerate().map(|(index, text)| {
                let bytes = places.get(index).cloned().unwrap_or(from..until);
                Cell { text: characters::tidy(text), bytes: start + bytes.start..start + bytes.end }
            });
            let mut cells: Vec<Cell> = cells.collect();
            if let Some(cell) = cells.last_mut().filter(|_| is_open) {
                let first_line = body.get(cell.bytes.start - start..).map_or(0, lines_end);
                let until = cell.bytes.end.min(cell.bytes.start + first_line);
                problems.push(Problem::error(
                    self.place(cell.bytes.start..until),
                    "a quotation mark before this is never closed, so that all lines after it are one cell",
                    "close it at the end of its cell, or take it away",
                ));
                // What is in it is of other cells.
                cell.text.clear();
            }
            if cells.iter().all(|cell| cell.text.is_empty()) {
                continue;
            }
            for cell in &mut cells {
                if problems.len() < limits::MAX_ODD_CHARACTERS {
                    let faults = characters::faults(&cell.text, self.printable);
                    let two_ways = self.form.two_ways(&cell.text);
                    let faults = faults.into_iter().chain(two_ways);
                    problems.extend(faults.map(|fault| fault.at(&self.place(cell.bytes.clone()))));
                }
                characters::shorten(&mut cell.text);
            }
            used += 1;
            use_it(cells, problems);
        }
    }

    fn header(&self, header: &[Cell], what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) -> Option<Header> {
        let with_angle = has_angles(header, known);
        let (first, rest) = header.split_first()?;
        let (angle, rest) =
            rest.split_first().filter(|_| with_angle).map_or((None, rest), |(angle, rest)| (Some(angle), rest));
        let (name, wind_unit) = heading::split(&first.text);
        if !name.eq_ignore_ascii_case(WIND) {
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
        let told = problems.len();
        let of_quantity = |unit: Option<&str>, cell: &Cell, dimension, problems: &mut Vec<Problem>| {
            let checked = heading::check_quantity(unit?, known.units.bare(dimension));
            problems.extend(checked.err().map(|wrong| wrong.at(&self.place(cell.bytes.clone()))));
            unit.map(str::to_owned)
        };
        let wind_unit = of_quantity(wind_unit, first, Dimension::Speed, problems);
        if let Some(angle) = angle {
            of_quantity(heading::split(&angle.text).1, angle, Dimension::Angle, problems);
        }
        if problems.len() > told {
            return None;
        }
        let about = format!("the table of {what}");
        let columns: Vec<Headed> = rest.iter().map(|cell| self.headed(cell, &about, known, problems)).collect();
        self.check_sides(&columns, &about, problems).then_some(Header { columns, with_angle, wind_unit })
    }

    /// What stands over one column of readings: a control by its id or its printed name, with its side and its unit if it has any.
    fn headed(&self, cell: &Cell, what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) -> Headed {
        let (name, in_brackets) = heading::split(&cell.text);
        let whole = control_of(&cell.text, known).map(|found| (found, None));
        let found = whole.or_else(|| Some((control_of(name, known)?, in_brackets)));
        let ((id, side), unit) = found.unwrap_or_else(|| {
            let (name, side) = name_and_side(name, known);
            ((name.to_owned(), side), None)
        });
        // What was tidied may have another length in the file.
        let stands = self.text.get(cell.bytes.clone()).is_some_and(|written| written.starts_with(&id));
        let end = if stands { cell.bytes.start + id.len() } else { cell.bytes.end };
        let named = Cell { text: id, bytes: cell.bytes.start..end.min(cell.bytes.end) };
        let column = column(&self.node(&named), what, known, problems);
        if let (Some(unit), Some(control)) = (unit, known.control(&column)) {
            let checked = heading::check_reading(unit, &control.scale);
            problems.extend(checked.err().map(|wrong| wrong.at(&self.place(cell.bytes.clone()))));
        }
        Headed { column, side }
    }

    /// Whether each control has one column, or one for each of its sides; says so if not.
    fn check_sides(&self, columns: &[Headed], what: &str, problems: &mut Vec<Problem>) -> bool {
        let mut is_sound = true;
        for (nth, Headed { column, side }) in columns.iter().enumerate() {
            let before = columns[..nth].iter().find(|Headed { column: other, side: of }| {
                other.id == column.id
                    && (side.is_some() || of.is_some())
                    && (of == side || side.is_none() || of.is_none())
            });
            if let Some(Headed { side: of, .. }) = before.filter(|_| column.index.is_some()) {
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
        header: &Header,
        what: &str,
        known: &Known<'_>,
        problems: &mut Vec<Problem>,
    ) -> Option<RawRow> {
        let columns = &header.columns;
        let (wind, readings) = cells.split_first()?;
        let wind_at = self.place(wind.bytes.clone());
        let wind = self.quantity(wind, header.wind_unit.as_deref());
        let wind = quantity::wind(&wind, &known.units, &format!("a wind of {what}"), &limits::WIND_KN, problems);
        let (angle, readings) = match readings.split_first().filter(|_| header.with_angle) {
            Some((angle, readings)) => (Some(self.angle(angle, what, problems)?), readings),
            None => (None, readings),
        };
        let mut recorded = |cell: &Cell| {
            if self.is_sheet && is_a_day(&cell.text) {
                problems.push(taken_for_a_day(cell).at(&self.place(cell.bytes.clone())));
                return None;
            }
            (!matches!(cell.text.as_str(), "" | "~")).then(|| self.quantity(cell, None))
        };
        let place = self.place(record_range(cells));
        let mut recorded: Vec<Option<Node>> = readings.iter().map(&mut recorded).collect();
        let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        // Where something else parts the cells, a comma in a number stands in its cell.
        let may_be_cut = !self.is_sheet && self.form.delimiter == b',';
        let is_cut = |pair: &&[Cell]| may_be_cut && digits(&pair[0].text) && digits(&pair[1].text);
        let comma = readings.windows(2).find(is_cut);
        let comma = comma.map(|pair| (pair[0].text.as_str(), pair[1].text.as_str()));
        let name = |Headed { column, side }: &Headed| {
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
        columns: &[Headed],
        problems: &mut Vec<Problem>,
    ) -> Vec<Option<Node>> {
        let mut joined: Vec<Option<Node>> = Vec::new();
        let written = |nth: usize| cells.get(nth).cloned().flatten();
        for (nth, Headed { column, side }) in columns.iter().enumerate().take(cells.len()) {
            let of_it = |(_, other): &(usize, &Headed)| other.column.id == column.id;
            let Some(own) = side else {
                joined.push(written(nth));
                continue;
            };
            let others: Vec<(usize, &Headed)> = columns.iter().enumerate().filter(of_it).collect();
            if others.first().is_some_and(|(first, _)| *first < nth) {
                continue;
            }
            let other = others.iter().find(|(_, other)| other.side.is_some_and(|side| side != *own));
            let (one, other) = (written(nth), other.and_then(|(nth, other)| Some((written(*nth)?, other.side?))));
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
        let value = quantity::wind_angle(&self.quantity(cell, None), &about, &limits::WIND_ANGLE_DEG, problems)?;
        Some(Spanned { value, place })
    }

    pub fn node(&self, cell: &Cell) -> Node {
        let value = Value::Text { text: cell.text.clone(), plain: true };
        Node { place: self.place(cell.bytes.clone()), value }
    }

    /// A cell that a number may stand in: with a point as the book writes it, and the unit of its column where it has none.
    pub fn quantity(&self, cell: &Cell, unit: Option<&str>) -> Node {
        let text = self.form.with_points(&cell.text);
        let text = unit.and_then(|unit| heading::with_unit(&text, unit)).unwrap_or_else(|| text.into_owned());
        Node { place: self.place(cell.bytes.clone()), value: Value::Text { text, plain: true } }
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

/// Whether a cell shows a day, as the reader of workbooks writes one.
fn is_a_day(text: &str) -> bool {
    text.parse::<jiff::civil::Date>().is_ok() || text.parse::<jiff::civil::DateTime>().is_ok()
}

/// A fraction that was typed, such as 1/2 or 4-5, and is a day from then on.
fn taken_for_a_day(cell: &Cell) -> Wrong {
    Wrong::new(
        format!("the spreadsheet took what was typed here for a day, {}", shown(&cell.text)),
        "give the cell the format of a text, and type it again",
    )
}

/// The control that a heading names, by its id or its printed name, and the side that follows it; `None` if there is no such one, or
/// two are printed alike.
fn control_of(name: &str, known: &Known<'_>) -> Option<(String, Option<Side>)> {
    let (by_id, side) = name_and_side(name, known);
    if known.control_names.has(by_id) {
        return Some((by_id.to_owned(), side));
    }
    let printed = |name: &str| {
        let name = heading::plain(name);
        let is_it = |text: &str| heading::plain(text) == name;
        let mut found = known
            .controls
            .iter()
            .filter(|control| is_it(&control.name) || is_it(&control.id.value))
            .map(|control| &control.id.value);
        let only = found.next()?;
        found.next().is_none().then(|| only.clone())
    };
    printed(name).map(|id| (id, None)).or_else(|| Some((printed(by_id)?, Some(side?))))
}

/// Whether a table is kept by wind and angle: its second column says so, unless a control of the book is called that.
fn has_angles(header: &[Cell], known: &Known<'_>) -> bool {
    let is_it = |cell: &Cell| heading::split(&cell.text).0.eq_ignore_ascii_case(ANGLE);
    header.get(1).is_some_and(is_it) && !known.control_names.has(ANGLE)
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

/// How long the first line of a text is, without its end.
fn lines_end(text: &str) -> usize {
    text.find(['\r', '\n']).unwrap_or(text.len())
}

/// Where in a cell a reader of CSV is (RFC 4180, section 2).
#[derive(Clone, Copy, PartialEq)]
enum In {
    Start,
    Plain,
    Quotes,
    /// Past a quotation mark that closes the cell, unless another follows it.
    Closed,
}

/// Where the cells of one record stand, without the quotes and spaces around them, and whether the last is in quotation marks that are
/// never closed. The CSV reader gives the text of a cell but not its place.
fn cell_places(text: &str, record: Range<usize>, delimiter: char) -> (Vec<Range<usize>>, bool) {
    let Some(raw) = text.get(record.clone()) else { return (Vec::new(), false) };
    let skipped: usize = lines(raw).take_while(|(_, line)| is_for_people(line)).map(|(_, line)| line.len()).sum();
    let raw = raw[skipped..].trim_end_matches(['\r', '\n']);
    let mut places = Vec::new();
    let mut start = 0;
    let mut state = In::Start;
    for (at, character) in raw.char_indices() {
        state = match (state, character) {
            (In::Start | In::Closed, '"') => In::Quotes,
            (In::Quotes, '"') => In::Closed,
            (In::Quotes, _) => In::Quotes,
            (_, character) if character == delimiter => {
                places.push(start..at);
                start = at + character.len_utf8();
                In::Start
            }
            _ => In::Plain,
        };
    }
    places.push(start..raw.len());
    let base = record.start + skipped;
    let trimmed = places.into_iter().map(|cell| {
        let inside = raw[cell.clone()].trim_matches(|c: char| c == '"' || c.is_whitespace());
        let offset = raw[cell.clone()].find(inside).unwrap_or_default();
        let from = base + cell.start + offset;
        from..from + inside.len()
    });
    (trimmed.collect(), state == In::Quotes)
}

/// Fields of a list whose commas are commas, and whose numbers have no unit.
const OF_WORDS: [&str; 6] = ["what", "stow", "plan", "required", "wet_from", "stages"];

fn is_of_words(key: &Node) -> bool {
    words::text_of(key).is_some_and(|field| OF_WORDS.contains(&field))
}

impl File<'_> {
    /// A column of a list: its field, whatever its capitals and whether its words are joined, and the unit that stands over it.
    fn field(&self, cell: &Cell, units: &Units, problems: &mut Vec<Problem>) -> (Node, Option<String>) {
        let (name, unit) = heading::split(&cell.text);
        let field = heading::plain(name).replace(' ', "_");
        let dimension = match field.as_str() {
            "mass" => Some(Dimension::Mass),
            "aft" | "starboard" | "up" | "to_aft" | "to_starboard" | "to_up" => Some(Dimension::Length),
            _ => None,
        };
        let (text, unit) = match (unit, dimension) {
            (Some(unit), Some(dimension)) => {
                let checked = heading::check_quantity(unit, units.bare(dimension));
                problems.extend(checked.err().map(|wrong| wrong.at(&self.place(cell.bytes.clone()))));
                (field, Some(unit.to_owned()))
            }
            (Some(_), None) => (cell.text.clone(), None),
            (None, _) => (field, None),
        };
        (Node { place: self.place(cell.bytes.clone()), value: Value::Text { text, plain: true } }, unit)
    }

    fn empty_list<T>(&self, what: &str, problems: &mut Vec<Problem>) -> Option<T> {
        let complaint = format!("the table of {what} is empty");
        problems.push(Problem::error(self.place(0..0), complaint, "start it with `what, mass, aft, starboard, up`"));
        None
    }
}

/// Every line of the table that `node` names as its fields: the header's cell and the line's own.
pub fn records(
    node: &Node,
    what: &str,
    units: &Units,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Vec<(Node, Node)>>> {
    let name = words::words(node, &format!("the table of {what}"), problems)?;
    let text = tables.table(&name, problems)?;
    if !text.is_sound {
        return None;
    }
    let file = File::of(&text, tables.printable(), Bounds::TABLE);
    let mut records = file.records(problems);
    file.leave_out_empty_columns(&mut records);
    let mut rows = records.into_iter();
    let Some(header) = rows.next() else { return file.empty_list(what, problems) };
    let fields: Vec<(Node, Option<String>)> = header.iter().map(|cell| file.field(cell, units, problems)).collect();
    let entry = |((key, unit), cell): (&(Node, Option<String>), &Cell)| {
        let value = if is_of_words(key) { file.node(cell) } else { file.quantity(cell, unit.as_deref()) };
        (key.clone(), value)
    };
    let row = |row: Vec<Cell>| fields.iter().zip(&row).map(entry).collect();
    let rows: Vec<Vec<(Node, Node)>> = rows.map(row).collect();
    // What is stowed is printed as it is written here.
    for (_, cell) in rows.iter().flatten() {
        let doubt = words::text_of(cell).and_then(characters::runs_otherwise);
        problems.extend(doubt.map(|doubt| Problem::warning(cell.place.clone(), doubt.what, doubt.instead)));
    }
    Some(rows)
}

/// Rows as text with commas between the cells.
pub fn as_text<R: Iterator<Item = String>>(rows: impl Iterator<Item = R>) -> String {
    let quoted = |cell: String| {
        let is_plain = !cell.contains([',', '"', '\n', '\r']) && cell.trim() == cell && !cell.starts_with(COMMENT);
        if is_plain { cell } else { format!("\"{}\"", cell.replace('"', "\"\"")) }
    };
    let line = |row: R| row.map(quoted).collect::<Vec<_>>().join(",") + "\n";
    rows.map(line).collect()
}

/// Controls by index, and rows with their angles.
type Again = (Vec<usize>, Vec<(Option<Angle>, Row)>);

/// A table that was just made of a book, read as that book would read it: its controls by index, and its rows with their angles.
pub fn table_again(text: &str, book: &Sections, names: &Names, problems: &mut Vec<Problem>) -> Option<Again> {
    let known = known(book, names);
    let file = File { is_sheet: true, form: Form::COMMAS, ..File::of_text(text, Bounds::TABLE) };
    let (columns, raw) = file.read("this table", &known, problems)?;
    let angles: Vec<Option<Angle>> = raw.iter().map(|row| row.angle.as_ref().map(|angle| angle.value)).collect();
    let rows = super::settings::rows(raw, &columns, &known, problems);
    let controls: Option<Vec<usize>> = columns.iter().map(|column| column.index).collect();
    Some((controls?, angles.into_iter().zip(rows).collect()))
}

/// Whether a heading names a control, and this side of it, in the tables of a book.
pub fn names_control(heading: &str, control: &Control, side: Option<Side>, book: &Sections, names: &Names) -> bool {
    let is_taken = [WIND, ANGLE].iter().any(|taken| heading.eq_ignore_ascii_case(taken));
    !is_taken && control_of(heading, &known(book, names)) == Some((control.id.value.clone(), side))
}

fn known<'a>(book: &'a Sections, names: &Names) -> Known<'a> {
    Known {
        units: book.units,
        controls: &book.controls,
        control_names: names.clone(),
        sails: &book.sails,
        sail_names: Names::new("sail"),
        points_of_sail: book.points_of_sail,
    }
}
