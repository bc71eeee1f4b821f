//! The rows of some settings as a table of a spreadsheet, which read again says the same: looked at by the reader of such tables before
//! anybody gets it. Knows no file.

use super::model::{Control, DockTune, Recorded, Row, Sections, Settings, Spanned};
use super::problem::Problem;
use super::quantity::{self, Dimension};
use super::read::{self, NOT_USED};
use super::words::Names;
use crate::tuning::{Angle, Axis, Ground, ScaleKind, Side, Wind};
use crate::wrong::{Wrong, shown};

/// What stands in a cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// Nothing.
    Empty,
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
}

/// Rows with as many cells each; the first is what stands over the columns.
pub type Grid = Vec<Vec<Entry>>;

/// A column of readings.
struct Column<'a> {
    /// Its place among the columns of the settings.
    at: usize,
    index: usize,
    control: &'a Control,
    side: Option<Side>,
}

/// What is common to settings that are made afloat and at the dock.
struct Rows<'a> {
    id: &'a str,
    controls: &'a [usize],
    rows: Vec<(Option<Angle>, &'a Row)>,
    /// Whether there are others that are carried over, and come back by themselves.
    has_carried: bool,
}

impl Entry {
    /// A number as one where a spreadsheet keeps all its digits, else as a text.
    fn exact(number: f64) -> Entry {
        let kept = read::kept(number) == number;
        if kept { Entry::Number(number) } else { Entry::Text(number.to_string()) }
    }

    /// As it stands in a file of text.
    pub fn text(&self) -> String {
        match self {
            Entry::Empty => String::new(),
            Entry::Number(number) => number.to_string(),
            Entry::Text(text) => text.clone(),
        }
    }
}

/// The rows of settings as a table.
///
/// # Errors
/// There are none of this id, all their rows are carried over from others, or a table cannot say what they say.
pub fn grid(book: &Sections, id: &str) -> Result<Grid, Wrong> {
    let settings = book.settings.iter().find(|settings| settings.id.value == id).map(Rows::afloat);
    let tune = || book.dock_tunes.iter().find(|tune| tune.id.value == id).map(Rows::at_the_dock);
    let Some(rows) = settings.or_else(tune) else {
        let ids = book.settings.iter().map(|settings| settings.id.value.as_str());
        let ids = ids.chain(book.dock_tunes.iter().map(|tune| tune.id.value.as_str()));
        return Err(Wrong::new(format!("there are no settings {}", shown(id)), super::suggest::advice(id, ids)));
    };
    if rows.rows.is_empty() {
        return Err(Wrong::new(
            format!("all rows of {} are carried over from the settings of another sail", shown(id)),
            "write the table of those; what is carried over is worked out from them again",
        ));
    }
    let columns = rows.columns(book);
    let mut grid = vec![rows.header(book, &columns)];
    for (angle, row) in &rows.rows {
        grid.push(line(book, *angle, row, &columns)?);
    }
    rows.check(book, &grid, &columns)?;
    Ok(grid)
}

impl<'a> Rows<'a> {
    fn afloat(settings: &'a Settings) -> Self {
        let angled = settings.angled.iter().flat_map(|angled| &angled.rows);
        let all = settings.rows.iter().map(|row| (None, row));
        let all: Vec<_> = all.chain(angled.map(|row| (Some(row.angle.value), &row.row))).collect();
        let own = |(_, row): &(Option<Angle>, &Row)| row.ground != Ground::CarriedOver;
        let rows: Vec<_> = all.iter().copied().filter(own).collect();
        Rows { id: &settings.id.value, controls: &settings.controls, has_carried: rows.len() < all.len(), rows }
    }

    fn at_the_dock(tune: &'a DockTune) -> Self {
        let rows = tune.rows.iter().map(|row| (None, row)).collect();
        Rows { id: &tune.id.value, controls: &tune.controls, rows, has_carried: false }
    }

    /// Its columns: one for each side of a control that was written down side by side.
    fn columns(&self, book: &'a Sections) -> Vec<Column<'a>> {
        let mut columns = Vec::new();
        for (at, index) in self.controls.iter().copied().enumerate() {
            let Some(control) = book.controls.get(index) else { continue };
            let recorded = || self.rows.iter().filter_map(|(_, row)| row.readings.get(at));
            // What only the rows that are carried over know comes back with them.
            if self.has_carried && !recorded().any(Recorded::is_something) {
                continue;
            }
            let by_side = recorded().any(|recorded| matches!(recorded, Recorded::Sides { .. }));
            let sides = if by_side { Side::BOTH.map(Some).to_vec() } else { vec![None] };
            columns.extend(sides.into_iter().map(|side| Column { at, index, control, side }));
        }
        columns
    }

    fn header(&self, book: &Sections, columns: &[Column<'_>]) -> Vec<Entry> {
        let mut header = vec![Entry::Text(format!("Wind [{}]", book.units.bare(Dimension::Speed).name))];
        if self.rows.iter().any(|(angle, _)| angle.is_some()) {
            header.push(Entry::Text("Angle [°]".to_owned()));
        }
        header.extend(columns.iter().map(|column| Entry::Text(column.heading(book))));
        header
    }

    /// Whether the table, read again, says what these rows say.
    fn check(&self, book: &Sections, grid: &Grid, columns: &[Column<'_>]) -> Result<(), Wrong> {
        let text = read::as_text(grid.iter().map(|row| row.iter().map(Entry::text)));
        let mut problems = Vec::new();
        let read = read::table_again(&text, book, &names(book), &mut problems);
        let is_error = |problem: &&Problem| problem.level == super::Level::Error;
        if let Some(problem) = problems.iter().find(is_error) {
            return Err(Wrong::new(
                format!("a table cannot say what {} say: {}", shown(self.id), problem.what),
                problem.instead.clone(),
            ));
        }
        let own = self.rows.iter().map(|(angle, row)| (row.at.value, *angle, self.readings(row, columns)));
        let same = read.is_some_and(|(controls, rows)| {
            let wanted: Vec<usize> = {
                let mut wanted: Vec<usize> = columns.iter().map(|column| column.index).collect();
                wanted.dedup();
                wanted
            };
            let found = rows.iter().map(|(angle, row)| {
                let readings = row
                    .readings
                    .iter()
                    .zip(&controls)
                    .map(|(recorded, index)| book.controls.get(*index).map(|control| Said::of(recorded, control)));
                (row.at.value, *angle, readings.collect::<Vec<_>>())
            });
            controls == wanted && found.eq(own)
        });
        if same {
            return Ok(());
        }
        Err(Wrong::new(
            format!("a table would not say all that {} say", shown(self.id)),
            "keep these rows in the book, under `at`",
        ))
    }

    fn readings(&self, row: &Row, columns: &[Column<'_>]) -> Vec<Option<Said>> {
        let mut readings = Vec::new();
        for (nth, column) in columns.iter().enumerate() {
            let is_first = nth == 0 || columns.get(nth - 1).is_none_or(|before| before.at != column.at);
            if is_first {
                readings.push(row.readings.get(column.at).map(|recorded| Said::of(recorded, column.control)));
            }
        }
        readings
    }
}

/// What is recorded, side by side, however it was written.
#[derive(PartialEq)]
enum Said {
    Nothing,
    NotUsed,
    Sides([Option<f64>; 2]),
}

impl Said {
    fn of(recorded: &Recorded, control: &Control) -> Said {
        let on = |side: Side| on_side(recorded, control, side);
        match recorded {
            Recorded::Not => Said::Nothing,
            Recorded::NotUsed(_) => Said::NotUsed,
            Recorded::One(_) | Recorded::Sides { .. } => Said::Sides(Side::BOTH.map(on)),
        }
    }
}

/// What is recorded of one side.
fn on_side(recorded: &Recorded, control: &Control, side: Side) -> Option<f64> {
    match recorded {
        Recorded::Not | Recorded::NotUsed(_) => None,
        Recorded::One(reading) => Some(control.reading_on(side, reading.value)),
        Recorded::Sides { port, starboard } => {
            let own = if side == Side::Port { port } else { starboard };
            own.as_ref().map(|Spanned { value, .. }| *value)
        }
    }
}

impl Column<'_> {
    /// The printed name where it names this control and no other, else the id; the side; and the unit of its numbers.
    fn heading(&self, book: &Sections) -> String {
        let side = self.side.map(|side| format!(" {}", side.name())).unwrap_or_default();
        let unit = match &self.control.scale.kind {
            ScaleKind::Measured { unit, .. } | ScaleKind::Gauge { unit, .. } if !unit.is_empty() => {
                format!(" [{unit}]")
            }
            _ => String::new(),
        };
        let names_it = |heading: &str| read::names_control(heading, self.control, self.side, book, &names(book));
        let by_name = format!("{}{side}", self.control.name);
        // A spreadsheet takes what starts with such a sign for a formula.
        let is_plain = by_name.starts_with(char::is_alphanumeric);
        let name = if is_plain && names_it(&by_name) { by_name } else { format!("{}{side}", self.control.id.value) };
        format!("{name}{unit}")
    }

    fn entry(&self, recorded: &Recorded) -> Result<Entry, Wrong> {
        match recorded {
            Recorded::Not => Ok(Entry::Empty),
            Recorded::NotUsed(_) => Ok(Entry::Text(NOT_USED.to_owned())),
            Recorded::One(reading) if self.side.is_none() => self.reading(reading.value),
            Recorded::One(_) | Recorded::Sides { .. } => {
                let side = self.side.unwrap_or(Side::Port);
                on_side(recorded, self.control, side).map_or(Ok(Entry::Empty), |reading| self.reading(reading))
            }
        }
    }

    /// A reading as the shortest text that is read as just it.
    fn reading(&self, reading: f64) -> Result<Entry, Wrong> {
        let scale = &self.control.scale;
        let is_it = |text: &str| scale.parse(text).is_ok_and(|read| read == reading);
        // The centre has a name of its own.
        let is_number = !scale.has_only_names() && !matches!(scale.kind, ScaleKind::Centre { .. });
        if is_number && is_it(&reading.to_string()) {
            return Ok(Entry::exact(reading));
        }
        let printed = scale.print(reading);
        let exact = match &scale.kind {
            ScaleKind::Centre { ends: [low, high], .. } => {
                format!("{} {}", if reading < 0.0 { low } else { high }, reading.abs())
            }
            _ => printed.clone(),
        };
        [printed, exact].into_iter().find(|text| is_it(text)).map(Entry::Text).ok_or_else(|| {
            Wrong::new(
                format!("a reading of {} is finer than a table can say", shown(&self.control.name)),
                "keep these rows in the book, under `at`",
            )
        })
    }
}

/// One row: its wind, its angle if it has one, and its readings.
fn line(book: &Sections, angle: Option<Angle>, row: &Row, columns: &[Column<'_>]) -> Result<Vec<Entry>, Wrong> {
    let mut line = vec![wind(book, row.at.value)];
    line.extend(angle.map(|angle| Entry::exact(angle.number())));
    for column in columns {
        let recorded = row.readings.get(column.at).unwrap_or(&Recorded::Not);
        line.push(column.entry(recorded)?);
    }
    Ok(line)
}

/// A wind as it is written in the book's unit, where that is read as just it.
fn wind(book: &Sections, wind: Wind) -> Entry {
    let bare = book.units.bare(Dimension::Speed);
    let is_it = |text: &str| quantity::parse(text, bare).is_ok_and(|read| Wind::knots(read) == wind);
    let number = [wind.written_number(book.units.wind), wind.number_in(book.units.wind).to_string()];
    let exact = number.into_iter().filter(|text| is_it(text)).find_map(|text| text.parse::<f64>().ok());
    match exact.map(Entry::exact) {
        Some(number @ Entry::Number(_)) => number,
        _ => Entry::Text(format!("{} kn", wind.to_knots())),
    }
}

fn names(book: &Sections) -> Names {
    let mut names = Names::new("control");
    for (index, control) in book.controls.iter().enumerate() {
        names.declare(control.id.value.as_str(), Some(index));
    }
    names
}
