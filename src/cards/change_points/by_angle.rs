//! Change points along the angle: every mark to have in one wind as the boat bears away or heads up. A ladder for each wind.

use std::borrow::Cow;

use super::climbing::{self, Climber, Ways};
use super::{ChangePoints, working};
use crate::book::{Angled, Book, Control, Problem, Settings, Spanned};
use crate::cards::Label;
use crate::cards::parts::matrix::{angled_columns, bands, out_of_use, recorded_of};
use crate::cards::parts::sided;
use crate::cards::parts::words::{course_words, limit_words, narrowed_sails, sail_names, wind_words};
use crate::size::NamedSize;
use crate::tuning::ladder::{Lane, Spacing};
use crate::tuning::{Angle, AngledColumn, AngledStretches, Axis, Change, Known, Side, Sided, Told, Wind};

/// Changes of one control past which no card can be read: a gauge read too finely.
const MOST_CHANGES: usize = 200;
/// Printed steps from heading up to bearing away: a helmsman keeps within two degrees of a course on either side in a fair
/// sea (common practice).
const DEGREES_APART: i64 = 4;

/// The cards of settings by wind and angle: at one wind, or at the middle of each band in which something moves.
pub(super) fn contents(
    book: &Book,
    (settings, angled): (&Settings, &Angled),
    size: Option<NamedSize>,
    at_wind: Option<&Spanned<Wind>>,
    problems: &mut Vec<Problem>,
) -> Vec<ChangePoints> {
    if let Some(problem) = out_of_use(book, settings) {
        problems.push(problem);
        return Vec::new();
    }
    let winds = match at_wind {
        Some(wind) => vec![wind.value],
        None => bands(book, settings).into_iter().map(|band| band.middle()).collect(),
    };
    let making = Making { book, settings, angled, columns: angled_columns(book, settings) };
    let label = Label::longest(book);
    let whole = winds.iter().filter_map(|wind| making.content(*wind, size.as_ref()));
    let found: Vec<ChangePoints> = whole.flat_map(|whole| climbing::parted(whole, &label)).collect();
    if found.is_empty() {
        let place = at_wind.map_or(&settings.place, |wind| &wind.place);
        let wind = at_wind.map(|wind| format!(" at {}", wind.value.as_written(book.units.wind)));
        problems.push(Problem::error(
            place.clone(),
            format!(
                "nothing moves with the angle{} in the settings `{}`, so they have no change points",
                wind.unwrap_or_default(),
                settings.id.value
            ),
            "leave the card out, or choose a wind between the known ones at which two angles are known",
        ));
    }
    found
}

/// What the cards of one table are made of.
struct Making<'a> {
    book: &'a Book,
    settings: &'a Settings,
    angled: &'a Angled,
    columns: Vec<Option<Sided<AngledStretches>>>,
}

impl Making<'_> {
    /// The controls of which anything is recorded.
    fn recorded(&self) -> impl Iterator<Item = (&Control, &Sided<AngledStretches>)> {
        recorded_of(self.book, self.settings, &self.columns)
    }

    /// The controls that are not used somewhere around a wind.
    fn not_used(&self, wind: Wind) -> Vec<String> {
        let is_left_out = |(_, column): &(&Control, &Sided<AngledStretches>)| {
            column.each().any(|(_, column)| column.around(wind).is_none())
        };
        let why = "not used at some angles in this wind or the next";
        self.recorded().filter(is_left_out).map(|(control, _)| format!("{}: {why}", control.name)).collect()
    }

    /// Every change at one wind inside the angles of the sails, from close to broad.
    fn changes(&self, wind: Wind) -> Vec<(String, Change<Angle>)> {
        let Some(range) = self.book.range_of(self.settings).angles() else { return Vec::new() };
        let mut changes = Vec::new();
        for (control, columns) in self.recorded() {
            for (side, column) in columns.each() {
                let name = sided::named(&control.name, side);
                let column = column.around(wind);
                let own = column.iter().flat_map(|column| column.changes_at(wind));
                let inside = own.filter(|change| range.holds(change.at)).take(MOST_CHANGES);
                changes.extend(inside.map(|change| (name.clone(), change)));
            }
        }
        changes.sort_by_key(|(_, change)| change.at);
        changes
    }

    /// The ladder at one wind, however long; `None` where nothing moves or nothing is known.
    fn content(&self, wind: Wind, size: Option<&NamedSize>) -> Option<ChangePoints> {
        let Making { book, settings, angled, .. } = *self;
        let range = book.range_of(settings).angles()?;
        // Who prints the card has the marks of its rungs; the changes between them are for who asks after them.
        let exact = book.explained(|| self.changes(wind));
        let known: Vec<(Angle, Angle)> = self
            .recorded()
            .flat_map(|(_, column)| column.each())
            .filter_map(|(_, column)| column.around(wind)?.known_angles(wind))
            .collect();
        let start = known.iter().map(|(low, _)| *low).min()?.max(range.low);
        let last = known.iter().map(|(_, high)| *high).max()?.min(range.high);
        let spacing = Spacing { step: Angle::degrees(1.0), steps_apart: DEGREES_APART, start, top: last };
        let around: Vec<Sided<Option<AngledColumn>>> =
            self.recorded().map(|(_, column)| column.map(|column| column.around(wind).map(Cow::into_owned))).collect();
        let climbers = self.recorded().zip(&around).map(|((control, column), around)| Climber {
            control,
            lanes: match column {
                Sided::Alike(both) => Sided::Alike(lane(control, both, around.on(Side::Port).as_ref(), wind)),
                Sided::Each { port, starboard } => Sided::Each {
                    port: lane(control, port, around.on(Side::Port).as_ref(), wind),
                    starboard: lane(control, starboard, around.on(Side::Starboard).as_ref(), wind),
                },
            },
        });
        let climbers: Vec<Climber<'_, Angle>> = climbers.collect();
        let rows = climbing::rows(&climbers, &spacing, last);
        if rows.len() < 2 {
            return None;
        }
        let ways = Ways {
            print: Box::new(|steps| Angle::degrees(steps as f64).print()),
            lowest: spacing.steps(start),
            earlier: None,
        };
        let content = ChangePoints {
            size: size.cloned(),
            boat: book.boat.name.value.clone(),
            sails: sail_names(book, settings),
            point_of_sail: course_words(settings),
            title: settings.title.clone(),
            part: None,
            span: None,
            wind: wind_words(book),
            wind_unit: book.units.wind.symbol().to_owned(),
            at_wind: Some(wind.print_with_unit(book.units.wind)),
            start: start.print(),
            columns: climbers.iter().map(Climber::head).collect(),
            rows: climbing::told(&climbers, &rows, &ways),
            not_used: self.not_used(wind),
            apart: Some(spacing.apart().print()),
            earlier: None,
            grounds: Vec::new(),
            assumptions: Vec::new(),
            narrowed: narrowed_sails(book, settings),
            cautions: self.recorded().flat_map(|(control, _)| limit_words(control)).collect(),
            exact: Vec::new(),
            working: book
                .explained(|| working::by_angle(book, (settings, angled, &climbers), (&rows, &spacing), &exact)),
            exact_angles: exact,
        };
        Some(content.with_grounds())
    }
}

/// A control on one side along the angle in one wind.
fn lane<'a>(
    control: &'a Control,
    column: &'a AngledStretches,
    around: Option<&'a AngledColumn>,
    wind: Wind,
) -> Lane<'a, Angle> {
    let told = move |angle: Angle| match around {
        Some(column) => column.at(wind, angle).map_or(Told::Unknown, Told::Set),
        None => column.at(wind, angle).unwrap_or(Told::Unknown),
    };
    let recorded = column.known().filter(|known| known.wind.is_at(wind)).map(|known| known.known);
    let not_used = column.not_used().filter(|(at, _)| at.is_at(wind)).map(|(_, angle)| angle);
    Lane {
        scale: &control.scale,
        told: Box::new(told),
        recorded: recorded.collect::<Vec<Known<Angle>>>(),
        not_used: not_used.collect(),
    }
}
