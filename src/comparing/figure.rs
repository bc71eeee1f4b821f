//! What was sailed with one control, as a picture: every note a dot with its bar, every trial a line through its readings. Reckons
//! nothing.

use kurbo::{Circle, Point, Rect, Size};

use crate::book::Control;
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};
use crate::season::{Cell, Comparison, Input, Reading};
use crate::tuning::tolerance::is_same;

/// The whole picture, millimetres.
const SIZE: Size = Size::new(160.0, 96.0);
/// Where the dots lie.
const FIELD: Rect = Rect::new(18.0, 16.0, 156.0, 76.0);
/// The foot of its title, and of the line that explains its signs.
const TITLE_FOOT: f64 = 6.0;
const LEGEND_FOOT: f64 = 92.0;
/// What words keep clear of the edge.
const EDGE: f64 = 2.0;
/// Capital height of its words, millimetres.
const CAP: f64 = 2.4;
const FINE: f64 = 0.15;
const TRIAL: f64 = 0.35;
const MEAN: f64 = 0.9;
const DOT: f64 = 0.9;
/// Notes of one reading stand side by side, so far apart and over no more than this part of the way to the next reading.
const BESIDE: f64 = 3.0;
const SPREAD: f64 = 0.6;
/// How long the sample of a line is where it is explained.
const SAMPLE: f64 = 8.0;
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
    draw_notes(&mut drawing, &axes, &notes, &readings().collect::<Vec<f64>>());
    let answer = cell.proposed_reading.map(|reading| (reading, control.scale.print(reading)));
    draw_answer(&mut drawing, &axes, book, answer);
    let has_mean = cell.question.and_then(|at| comparison.questions.get(at)).is_some_and(|own| own.shown.is_some());
    draw_legend(&mut drawing, [!notes.is_empty(), !trials.is_empty(), has_mean]);
    Some(drawing)
}

/// The notes, those of one reading side by side in the order of the file.
fn draw_notes(drawing: &mut Drawing, axes: &Axes, notes: &[Seen], readings: &[f64]) {
    let x = |reading: f64| axes.place(reading, axes.percents.0).x;
    for (at, note) in notes.iter().enumerate() {
        let is_beside = |other: &&Seen| is_same(other.reading, note.reading);
        let (all, before) = (notes.iter().filter(is_beside).count(), notes[..at].iter().filter(is_beside).count());
        let others = readings.iter().filter(|other| !is_same(**other, note.reading));
        let room = others.map(|other| (x(*other) - x(note.reading)).abs()).fold(FIELD.width() / 2.0, f64::min) * SPREAD;
        let step = if all > 1 { BESIDE.min(room / (all - 1) as f64) } else { 0.0 };
        let aside = step * (before as f64 - (all - 1) as f64 / 2.0);
        let place = |percent: f64| axes.place(note.reading, percent) + (aside, 0.0);
        if let Some(bar) = note.bar {
            drawing.print(Shape::line(place(note.percent + bar), place(note.percent - bar), FINE));
        }
        drawing.print(Shape::fill(Circle::new(place(note.percent), DOT), Colour::BLACK));
    }
}

/// What the dots, the thin lines and the heavy one are, as far as there are any.
fn draw_legend(drawing: &mut Drawing, [notes, trials, mean]: [bool; 3]) {
    let mut left = FIELD.x0;
    let y = LEGEND_FOOT - CAP / 2.0;
    let mut explain = |is_there: bool, words: &str, sample: &mut dyn FnMut(&mut Drawing, f64)| {
        if !is_there {
            return;
        }
        sample(drawing, left);
        let text = Text::new(words, (left + SAMPLE + CAP, LEGEND_FOOT), Anchor::Start, CAP, Weight::Regular);
        left += SAMPLE + CAP + text.width() + 2.0 * CAP;
        drawing.print(text);
    };
    explain(notes, "a note; bar: inside this note only", &mut |drawing, left| {
        let middle = left + SAMPLE / 2.0;
        drawing.print(Shape::line((middle, y - CAP), (middle, y + CAP), FINE));
        drawing.print(Shape::fill(Circle::new((middle, y), DOT), Colour::BLACK));
    });
    let line = |width: f64, colour: Colour| {
        move |drawing: &mut Drawing, left: f64| {
            drawing.print(coloured(Shape::line((left, y), (left + SAMPLE, y), width), colour));
        }
    };
    explain(trials, "a trial", &mut line(TRIAL, QUIET));
    explain(mean, "the mean of the trials", &mut line(MEAN, Colour::BLACK));
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
        let name = Text::new(&control.name, (FIELD.x0, TITLE_FOOT), Anchor::Start, CAP, Weight::Bold);
        let beside = (FIELD.x0 + name.width() + CAP, TITLE_FOOT);
        drawing.print(name);
        drawing.print(Text::new("performance over what was set", beside, Anchor::Start, CAP, Weight::Regular));
    }
}

fn draw_line(drawing: &mut Drawing, axes: &Axes, seen: &[Seen], width: f64, colour: Colour) {
    for pair in seen.windows(2) {
        let [from, to] = [&pair[0], &pair[1]].map(|seen| axes.place(seen.reading, seen.percent));
        drawing.print(coloured(Shape::line(from, to, width), colour));
    }
}

/// The book's reading is named under the axis; what is proposed is marked with a triangle over the field.
fn draw_answer(drawing: &mut Drawing, axes: &Axes, book: Option<f64>, answer: Option<(f64, String)>) {
    let x = |reading: f64| axes.place(reading, axes.percents.0).x;
    if let Some(book) = book {
        let words = Text::new("book", (x(book), FIELD.y1 + CAP * 3.8), Anchor::Middle, CAP, Weight::Regular);
        drawing.print(words);
    }
    let Some((reading, printed)) = answer else { return };
    let (x, y) = (x(reading), FIELD.y0);
    let mut triangle = kurbo::BezPath::new();
    triangle.move_to((x - CAP / 2.0, y - CAP * 1.3));
    triangle.line_to((x + CAP / 2.0, y - CAP * 1.3));
    triangle.line_to((x, y - CAP * 0.3));
    triangle.close_path();
    drawing.print(Shape::fill(triangle, Colour::BLACK));
    let words = |at: f64, anchor: Anchor| {
        Text::new(format!("answer {printed}"), (at, y - CAP * 0.3), anchor, CAP, Weight::Bold)
    };
    let right = words(x + CAP, Anchor::Start);
    let has_room = x + CAP + right.width() < SIZE.width - EDGE;
    drawing.print(if has_room { right } else { words(x - CAP, Anchor::End) });
}

fn coloured(shape: Shape, colour: Colour) -> Shape {
    match shape {
        Shape::Stroke { path, width, dash, .. } => Shape::Stroke { path, colour, width, dash },
        other => other,
    }
}
