//! What was sailed with one control, as a picture: every note a dot with its bar, every trial a line through its readings. Reckons
//! nothing.

use kurbo::{Circle, Point, Rect, Size};

use crate::book::Control;
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};
use crate::season::{Cell, Comparison, Input, Reading};
use crate::tuning::mark;

/// The whole picture, millimetres.
const SIZE: Size = Size::new(160.0, 80.0);
/// Where the dots lie.
const FIELD: Rect = Rect::new(18.0, 8.0, 156.0, 66.0);
/// Capital height of its words, millimetres.
const CAP: f64 = 2.4;
const FINE: f64 = 0.15;
const TRIAL: f64 = 0.35;
const MEAN: f64 = 0.9;
const DOT: f64 = 0.9;
const QUIET: Colour = Colour::grey(0.45);
const RULE: Colour = Colour::grey(0.82);
/// Blank beyond the farthest thing, as a part of the span.
const MARGIN: f64 = 0.12;
/// The least span up and down, percent, so that noise does not look like a mountain.
const LEAST_SPAN: f64 = 2.0;
/// Lines across, at most.
const MOST_LINES: f64 = 8.0;

/// Something seen at a place on the scale: how well she went, and how unsure that is.
struct Seen {
    reading: f64,
    percent: f64,
    bar: Option<f64>,
}

/// The picture of one cell; `None` where nothing in it has a performance.
pub fn figure(control: &Control, input: &Input<'_>, comparison: &Comparison, cell: &Cell) -> Option<Drawing> {
    let notes = notes(input, comparison, cell);
    let trials = trials(comparison, cell);
    let all = || notes.iter().chain(trials.iter().flatten());
    let percents =
        || all().flat_map(|seen| [seen.percent - seen.bar.unwrap_or(0.0), seen.percent + seen.bar.unwrap_or(0.0)]);
    let (low, high) = (percents().reduce(f64::min)?, percents().reduce(f64::max)?);
    let middle = low.midpoint(high);
    let half = ((high - low) * (0.5 + MARGIN)).max(LEAST_SPAN / 2.0);
    let book = input.tables.get(cell.table)?.controls.get(cell.at)?.book_reading(cell.row);
    let readings = || all().map(|seen| seen.reading).chain(book).chain(cell.proposed_reading);
    let (first, last) = (readings().reduce(f64::min)?, readings().reduce(f64::max)?);
    let room = ((last - first) * MARGIN).max(control.scale.whole_mark() / 2.0).max(f64::MIN_POSITIVE);
    let axes = Axes { readings: (first - room, last + room), percents: (middle - half, middle + half) };
    let title = format!("{}: what was sailed", control.name);
    let mut drawing = Drawing::new(SIZE, title, "Performance in percent over the readings");
    axes.draw(&mut drawing, control, readings().collect());
    for trial in &trials {
        draw_line(&mut drawing, &axes, trial, TRIAL, QUIET);
    }
    if let Some(shown) = cell.question.and_then(|at| comparison.questions.get(at)) {
        let means = shown.shown.iter().flat_map(|means| shown.question.readings.iter().zip(&means.means));
        let means: Vec<Seen> =
            means.map(|(reading, percent)| Seen { reading: *reading, percent: *percent, bar: None }).collect();
        draw_line(&mut drawing, &axes, &means, MEAN, Colour::BLACK);
    }
    for note in &notes {
        let at = axes.place(note.reading, note.percent);
        if let Some(bar) = note.bar {
            let (top, bottom) =
                (axes.place(note.reading, note.percent + bar), axes.place(note.reading, note.percent - bar));
            drawing.print(Shape::line(top, bottom, FINE));
        }
        drawing.print(Shape::fill(Circle::new(at, DOT), Colour::BLACK));
    }
    draw_answer(&mut drawing, &axes, book, cell.proposed_reading);
    Some(drawing)
}

/// Every note that has a performance, but for legs of trials, which their trial speaks for.
fn notes(input: &Input<'_>, comparison: &Comparison, cell: &Cell) -> Vec<Seen> {
    let here = comparison.sightings.iter().filter(|own| (own.table, own.row) == (cell.table, Some(cell.row)));
    let seen = here.filter_map(|own| {
        let note = input.notes.get(own.note)?;
        let noted = note.trial.is_none().then(|| note.reading_of(&cell.control)).flatten()?;
        let reading = noted.sides().into_iter().flatten().map(|reading: Reading| reading.middle()).next()?;
        Some(Seen { reading, percent: own.mean?, bar: own.bar })
    });
    seen.collect()
}

/// The readings of each trial that counts.
fn trials(comparison: &Comparison, cell: &Cell) -> Vec<Vec<Seen>> {
    let counting = comparison.trials.iter().filter_map(|trial| trial.outcome.as_ref().ok());
    let here = counting.filter(|trial| (trial.table, trial.row, trial.control) == (cell.table, cell.row, cell.at));
    here.map(|trial| {
        let way = |way: &crate::season::trial::Way| Seen { reading: way.reading, percent: way.performance, bar: None };
        trial.ways.iter().map(way).collect()
    })
    .collect()
}

/// Where readings and percentages lie.
struct Axes {
    readings: (f64, f64),
    percents: (f64, f64),
}

impl Axes {
    fn place(&self, reading: f64, percent: f64) -> Point {
        let part = |(low, high): (f64, f64), at: f64| (at - low) / (high - low);
        Point::new(
            FIELD.x0 + part(self.readings, reading) * FIELD.width(),
            FIELD.y1 - part(self.percents, percent) * FIELD.height(),
        )
    }

    fn draw(&self, drawing: &mut Drawing, control: &Control, mut readings: Vec<f64>) {
        let span = self.percents.1 - self.percents.0;
        let step = [0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0]
            .into_iter()
            .find(|step| span / step <= MOST_LINES)
            .unwrap_or(span);
        let first = (self.percents.0 / step).ceil() as i64;
        let last = (self.percents.1 / step).floor() as i64;
        for line in first..=last {
            let percent = line as f64 * step;
            let (left, right) = (self.place(self.readings.0, percent), self.place(self.readings.1, percent));
            drawing.print(coloured(Shape::line(left, right, FINE), RULE));
            let words = super::told::percent(percent);
            let at = (FIELD.x0 - CAP, left.y + CAP / 2.0);
            drawing.print(Text::new(words, at, Anchor::End, CAP, Weight::Regular));
        }
        readings.sort_by(f64::total_cmp);
        readings.dedup();
        let mut free = f64::NEG_INFINITY;
        for reading in readings {
            let x = self.place(reading, self.percents.0).x;
            let text =
                Text::new(control.scale.print(reading), (x, FIELD.y1 + CAP * 2.0), Anchor::Middle, CAP, Weight::Bold);
            // Readings that lie too close are told by their neighbours.
            if x - text.width() / 2.0 > free {
                free = x + text.width() / 2.0 + CAP / 2.0;
                drawing.print(text);
            }
        }
        drawing.print(Shape::line((FIELD.x0, FIELD.y1), (FIELD.x1, FIELD.y1), FINE * 2.0));
        let name = Text::new(&control.name, (FIELD.x1, SIZE.height - CAP), Anchor::End, CAP, Weight::Regular);
        drawing.print(name);
        let legend = format!(
            "dot: a note, its bar inside this note only · thin: a trial · heavy: the mean of {}",
            "the question"
        );
        drawing.print(Text::new(legend, (FIELD.x0, SIZE.height - CAP), Anchor::Start, CAP, Weight::Regular));
    }
}

fn draw_line(drawing: &mut Drawing, axes: &Axes, seen: &[Seen], width: f64, colour: Colour) {
    for pair in seen.windows(2) {
        let [from, to] = [&pair[0], &pair[1]].map(|seen| axes.place(seen.reading, seen.percent));
        drawing.print(coloured(Shape::line(from, to, width), colour));
    }
}

/// The book's reading is marked with a ring under the axis, what is proposed with a triangle over the field.
fn draw_answer(drawing: &mut Drawing, axes: &Axes, book: Option<f64>, proposed: Option<f64>) {
    let x = |reading: f64| axes.place(reading, axes.percents.0).x;
    if let Some(book) = book {
        let words = Text::new("book", (x(book), FIELD.y1 + CAP * 3.7), Anchor::Middle, CAP, Weight::Regular);
        drawing.print(words);
    }
    if let Some(proposed) = proposed {
        let (x, y) = (x(proposed), FIELD.y0);
        let mut triangle = kurbo::BezPath::new();
        triangle.move_to((x - CAP, y - CAP * 2.0));
        triangle.line_to((x + CAP, y - CAP * 2.0));
        triangle.line_to((x, y));
        triangle.close_path();
        drawing.print(Shape::fill(triangle, Colour::BLACK));
        let words = Text::new(
            format!("answer {}", mark::print(proposed)),
            (x + CAP * 1.5, y - CAP * 0.5),
            Anchor::Start,
            CAP,
            Weight::Bold,
        );
        drawing.print(words);
    }
}

fn coloured(shape: Shape, colour: Colour) -> Shape {
    match shape {
        Shape::Stroke { path, width, dash, .. } => Shape::Stroke { path, colour, width, dash },
        other => other,
    }
}
