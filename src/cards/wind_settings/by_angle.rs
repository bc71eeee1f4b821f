//! The card of settings that are kept by wind and angle: what to set in each cell of a band of wind and a band of angle.

use std::ops::Range;

use serde::Serialize;

use super::adjusting::Adjusting;
use super::parting::{self, Page};
use super::usually_below::UsuallyBelow;
use super::working::{curve_words, fineness_words};
use super::{AdjustmentRow, Cell, ColumnHead, KIND, by_angle_layout, head, held_words, known_rows, told};
use crate::book::{Adjustment, Angled, AngledTarget, Book, Control, Problem, Scope, Settings, Target, WindUnit};
use crate::cards::parts::comparing::Fields;
use crate::cards::parts::evidence::{OfNotes, disputed, disputed_words};
use crate::cards::parts::hydraulics;
use crate::cards::parts::matrix::{angle_bands, angled_columns, bands};
use crate::cards::parts::sided;
use crate::cards::parts::telling::{Said, by_lines, optional, taken};
use crate::cards::parts::words::{
    LimitWords, angle_span, figure_words, ground_legend, narrowed_sails, open_span, point_of_sail, sail_names,
    wind_span, wind_words, winds_of_bands,
};
use crate::cards::parts::working::{Line, Passage};
use crate::cards::{Card, Content, Label, Stock};
use crate::drawing::Drawing;
use crate::size::NamedSize;
use crate::tuning::adjust::Offset;
use crate::tuning::angled::KnownAt;
use crate::tuning::{
    Angle, AngledStretches, Axis, Band, BoatSpeed, Figure, Ground, InCell, Setting, Side, Sided, Stretches, Told, Wind,
    mark,
};
use crate::wrong::Wrong;

/// No block of a table that can be read is lower than this for each of its rows, millimetres, and no column narrower: what
/// would not fit for certain is not tried.
const LEAST_ROW_MM: f64 = 4.0;
const LEAST_COLUMN_MM: f64 = 12.0;
/// A spread this small a part over a mark is arithmetic.
const SAME: f64 = 1e-9;
/// Digits of an unrounded value that anybody checks.
const EXACT_STEPS: f64 = 1e4;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AngledSettings {
    /// The size asked for; `None`: the handiest that holds it. It is looks, not content.
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// Most telling first: the headsail before the mainsail.
    pub sails: Vec<String>,
    /// `50° to 110°`, after the point of sail if the book names one.
    pub course: String,
    /// `1 of 2`, where one card does not hold it all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// What tells it from another card of these sails: `flat water`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// `true wind, masthead, calibrated 2027-04-11`.
    pub wind: String,
    /// `kn`.
    pub wind_unit: String,
    /// The winds that every sail of the set is for now: `5 to 16 kn`.
    pub range: Option<String>,
    pub controls: Vec<ColumnHead>,
    /// For whom below each cell upwind says in which winds it is to be read: `4 below, leeward`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below: Option<String>,
    /// Why none does, where they should: `4 below, leeward: not reckoned: no target heel in these winds`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below_says: Option<String>,
    /// Names of the target rows: `speed kn`.
    pub targets: Vec<String>,
    /// One a band of wind.
    pub blocks: Vec<Block>,
    /// How it should look, by wind and angle.
    pub looks: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    pub cautions: Vec<LimitWords>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub adjustments: Vec<AdjustmentRow>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// A band of wind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Block {
    /// In the book's wind unit: `8 to 11`.
    pub winds: String,
    /// One a band of angle.
    pub angles: Vec<AngleCells>,
}

/// What to set in a band of wind and of angle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AngleCells {
    /// `50° to 70°`.
    pub angles: String,
    /// One a control; `None` where nothing at all is recorded.
    pub cells: Vec<Option<Cell>>,
    /// One a target row; empty where no target was given in this cell.
    pub targets: Vec<String>,
    /// The winds in which the cell is to be read with the usual number below: `7 to 8½`; none where heel does not limit her.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below: Option<String>,
}

impl Content for AngledSettings {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        by_angle_layout::angled_settings(self, label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

impl AngledSettings {
    /// `J1 + Main, 50° to 110°`.
    pub fn title(&self) -> String {
        let more = self.title.iter().map(|title| format!(", {title}"));
        let part = self.part.iter().map(|part| format!(", {part}"));
        let more: String = more.chain(part).collect();
        format!("{}, {}{more}", self.sails.join(" + "), self.course)
    }
}

/// What the cards of one table are made of.
struct Making<'a> {
    book: &'a Book,
    settings: &'a Settings,
    angled: &'a Angled,
    controls: Vec<&'a Control>,
    notes: Option<OfNotes<'a>>,
    columns: Vec<Option<Sided<AngledStretches>>>,
    winds: Vec<Band>,
    angles: Vec<Band<Angle>>,
    /// By band of wind, band of angle and control.
    found: Vec<Vec<Vec<Option<Sided<InCell>>>>>,
    /// For the usual number below, by band of angle.
    usual: Vec<Option<UsuallyBelow>>,
    /// What is printed of each cell, by band of wind and of angle: the same on whichever card it stands.
    said: Vec<Vec<AngleCells>>,
    adjusting: Vec<Adjusting<'a, (usize, usize)>>,
}

type Reader = fn(&Target) -> Option<String>;
const READERS: [(&str, Reader); 2] = [
    ("speed kn", |target| target.speed.map(BoatSpeed::print)),
    ("heel °", |target| target.heel_deg.map(mark::print_decimal)),
];

/// The cards of settings by wind and angle: one, or as many as it takes to be read.
pub fn cards(
    book: &Book,
    (settings, angled): (&Settings, &Angled),
    id: Option<String>,
    size: Option<&NamedSize>,
    problems: &mut Vec<Problem>,
) -> Vec<Card> {
    let controls: Vec<&Control> = settings.controls.iter().filter_map(|index| book.controls.get(*index)).collect();
    let (winds, angles) = (bands(book, settings), angle_bands(book, settings));
    if winds.is_empty() || angles.is_empty() {
        let (what, field) =
            if winds.is_empty() { ("wind band", "`wind_bands`") } else { ("band of angle", "its `angle_bands`") };
        problems.push(Problem::error(
            settings.place.clone(),
            format!("the settings `{}` fall into no {what}", settings.id.value),
            format!("widen {field}, or the ranges of its sails"),
        ));
        return Vec::new();
    }
    let making = Making::new(book, (settings, angled), controls, (winds, angles));
    problems.extend(making.spread());
    let pages = making.pages(size);
    let count = pages.len();
    let stem = id.unwrap_or_else(|| settings.id.value.clone());
    let page = |(index, cells): (usize, Page)| {
        let working = making.all_working(&cells);
        let content = AngledSettings { working, ..making.content(size, cells, (index, count)) };
        Card::new(parting::id(&stem, index), KIND.name, content.title(), Stock::Card, settings.place.clone(), content)
    };
    pages.into_iter().enumerate().map(page).collect()
}

impl<'a> Making<'a> {
    fn new(
        book: &'a Book,
        (settings, angled): (&'a Settings, &'a Angled),
        controls: Vec<&'a Control>,
        (winds, angles): (Vec<Band>, Vec<Band<Angle>>),
    ) -> Self {
        let columns = angled_columns(book, settings);
        let in_cell = |wind: Band, angle: Band<Angle>| {
            let in_cell = |column: &Option<Sided<AngledStretches>>| {
                column.as_ref()?.map(|column| column.in_cell(wind, angle)).all()
            };
            columns.iter().map(in_cell).collect::<Vec<_>>()
        };
        let found = winds.iter().map(|wind| angles.iter().map(|angle| in_cell(*wind, *angle)).collect()).collect();
        let usual =
            angles.iter().map(|angle| UsuallyBelow::at_angle(book, settings, &winds, heeled_at(angled, *angle)));
        let usual = usual.collect();
        let (said, adjusting) = (Vec::new(), Vec::new());
        let notes = OfNotes::on(book, settings);
        let mut making =
            Making { book, settings, angled, controls, notes, columns, winds, angles, found, usual, said, adjusting };
        let of_wind = |wind| (0..making.angles.len()).filter_map(|angle| making.cells(wind, angle)).collect();
        making.said = (0..making.winds.len()).map(of_wind).collect();
        making.adjusting = making.adjusted();
        making
    }

    /// The bands of each card, so that there are as few cards as can be read.
    fn pages(&self, size: Option<&NamedSize>) -> Vec<Page> {
        let counts = (self.winds.len(), self.angles.len());
        let label = Label::longest(self.book);
        let Some(room) = parting::room(size) else { return parting::pages(counts, counts) };
        let rows = (room.size.width.max(room.size.height) / LEAST_ROW_MM) as usize / (1 + self.controls.len());
        let columns = (room.size.width.max(room.size.height) / LEAST_COLUMN_MM) as usize;
        let fits = |each: (usize, usize)| {
            let pages = parting::pages(counts, each);
            let count = pages.len();
            let fits = |(index, page): (usize, Page)| {
                by_angle_layout::fits(&self.content(size, page, (index, count)), &label, &room)
            };
            each.0 <= rows.max(1) && each.1 <= columns.max(1) && pages.into_iter().enumerate().all(fits)
        };
        parting::pages(counts, parting::each(counts, fits))
    }

    /// What is told where a control moves by more than a mark from one edge of a band of angle to the other: a narrower band would
    /// have it one mark. The widest of them, and how many more there are.
    fn spread(&self) -> Option<Problem> {
        let unit = self.book.units.wind;
        let mut found: Vec<(f64, &Control, Band, Band<Angle>)> = Vec::new();
        for (control, column) in self.controls.iter().zip(&self.columns) {
            // Of what is read in bar or in words nobody counts marks.
            let counts = column.as_ref().filter(|_| control.scale.unit().is_none() && !control.scale.steps());
            let cells = self.winds.iter().flat_map(|wind| self.angles.iter().map(move |angle| (*wind, *angle)));
            let spreads = counts
                .into_iter()
                .flat_map(|column| cells.clone().map(move |(wind, angle)| (widest(column, wind, angle), wind, angle)));
            let mark = control.scale.whole_mark() * (1.0 + SAME);
            found.extend(spreads.filter(|of| of.0 > mark).map(|(marks, wind, angle)| (marks, *control, wind, angle)));
        }
        let (marks, control, wind, angle) = found.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0))?;
        let more = match found.len() - 1 {
            0 => String::new(),
            more => format!(", and {more} more cells spread like it"),
        };
        let narrower = ((angle.high.to_degrees() - angle.low.to_degrees()) / marks).floor().max(1.0);
        Some(Problem::warning(
            self.settings.place.clone(),
            format!(
                "{} of `{}` moves by {} marks from {} in {} {}{more}: its card has a range where a hand wants a mark",
                control.name,
                self.settings.id.value,
                mark::print_to(marks, 1),
                angle_span(angle.low, angle.high),
                wind_span(wind, unit),
                unit.symbol(),
            ),
            format!("write narrower `angle_bands`, there no wider than {}°", mark::print_decimal(narrower)),
        ))
    }

    /// The target rows that some target names.
    fn given(&self) -> impl Iterator<Item = (&'static str, Reader)> {
        let is_given = |read: Reader| self.angled.targets.iter().any(|target| read(&target.target).is_some());
        READERS.into_iter().filter(move |(_, read)| is_given(*read))
    }

    fn content(
        &self,
        size: Option<&NamedSize>,
        (winds, angles): Page,
        (index, count): (usize, usize),
    ) -> AngledSettings {
        let Making { book, settings, .. } = *self;
        let unit = book.units.wind;
        let block = |wind: usize| Block {
            winds: self.winds.get(wind).map(|wind| wind_span(*wind, unit)).unwrap_or_default(),
            angles: self.said.get(wind).and_then(|said| said.get(angles.clone())).unwrap_or_default().to_vec(),
        };
        let blocks: Vec<Block> = winds.clone().map(block).collect();
        let is_here = |target: &&AngledTarget| {
            let held = |bands: &[Band]| bands.iter().any(|band| band.holds(target.target.at.value));
            let at = |bands: &[Band<Angle>]| bands.iter().any(|band| band.holds(target.angle.value));
            self.winds.get(winds.clone()).is_some_and(held) && self.angles.get(angles.clone()).is_some_and(at)
        };
        let looks = self.angled.targets.iter().filter(is_here).filter_map(|target| {
            let look = target.target.look.as_ref()?;
            let wind = target.target.at.value.print_with_unit(unit);
            Some(format!("{wind} at {}: {look}", target.angle.value.print()))
        });
        let bands = self.angles.get(angles.clone()).unwrap_or_default();
        let span = bands.first().zip(bands.last()).map(|(first, last)| angle_span(first.low, last.high));
        let here = self.winds.get(winds.clone()).unwrap_or_default();
        let winds_here = winds_of_bands(here, unit).filter(|_| here.len() < self.winds.len());
        let point = self.angled.names_point_of_sail.then(|| point_of_sail(settings.point_of_sail).to_uppercase());
        // Where some angle has its winds, the others say what is not known for themselves.
        let usual = || self.usual.get(angles.clone()).into_iter().flatten().flatten();
        let below = usual().find(|usual| !usual.winds.is_empty()).map(|usual| usual.who.clone());
        let below_says = usual().find_map(|usual| usual.says.clone()).filter(|_| below.is_none());
        let is_on_card = |(wind, angle): (usize, usize)| winds.contains(&wind) && angles.contains(&angle);
        let adjustments = self.adjusting.iter().filter_map(|one| one.row(is_on_card));
        AngledSettings {
            size: size.cloned(),
            below,
            below_says,
            boat: book.boat.name.value.clone(),
            sails: sail_names(book, settings),
            course: point.into_iter().chain(span).collect::<Vec<String>>().join(" "),
            part: (count > 1).then(|| parting::words(winds_here, index, count)),
            title: settings.title.clone(),
            wind: wind_words(book),
            wind_unit: unit.symbol().to_owned(),
            range: book.range_of(settings).wind_now().and_then(|winds| open_span(winds, unit)),
            controls: self.controls.iter().map(|control| head(control)).collect(),
            targets: self.given().map(|(name, _)| name.to_owned()).collect(),
            blocks,
            looks: looks.collect(),
            narrowed: narrowed_sails(book, settings),
            cautions: hydraulics::all_limits(self.controls.iter().copied(), book.units),
            adjustments: adjustments.collect(),
            working: Vec::new(),
        }
    }

    /// What to set in one cell; `None` if there is no such cell.
    fn cells(&self, wind: usize, angle: usize) -> Option<AngleCells> {
        let (unit, found) = (self.book.units.wind, self.found.get(wind)?.get(angle)?);
        let usual = self.usual.get(angle)?.as_ref();
        let below = usual.and_then(|usual| usual.winds.get(wind).cloned());
        let (wind, angle) = (*self.winds.get(wind)?, *self.angles.get(angle)?);
        let columns = self.columns.iter().zip(found).zip(&self.controls);
        type Found<'b> = ((&'b Option<Sided<AngledStretches>>, &'b Option<Sided<InCell>>), &'b &'b Control);
        let cell = |((column, found), control): Found<'_>| {
            let both = |(wind, angle): (Wind, Angle)| {
                let both = self.notes.as_ref()?.disputed(&control.id.value, (wind, Some(angle)))?;
                Some(disputed_words(&both))
            };
            cell(column.as_ref()?, found.as_ref()?, (wind, angle), (unit, &both))
        };
        let target = self.target((wind, angle));
        Some(AngleCells {
            angles: angle_span(angle.low, angle.high),
            below,
            cells: columns.map(cell).collect(),
            targets: self
                .given()
                .map(|(_, read)| target.and_then(|target| told(&target.target, read)).unwrap_or_default())
                .collect(),
        })
    }

    /// Every cell of a card, with what was found in it, of one control after the other.
    fn each_cell<'b>(
        &'b self,
        position: usize,
        (winds, angles): &(Range<usize>, Range<usize>),
    ) -> impl Iterator<Item = (Band, Band<Angle>, &'b Sided<InCell>)> {
        let angles = angles.clone();
        winds.clone().flat_map(move |wind| angles.clone().map(move |angle| (wind, angle))).filter_map(
            move |(wind, angle)| {
                let found = self.found.get(wind)?.get(angle)?.get(position)?.as_ref()?;
                Some((*self.winds.get(wind)?, *self.angles.get(angle)?, found))
            },
        )
    }

    /// The working of every figure on a card.
    fn all_working(&self, cells: &(Range<usize>, Range<usize>)) -> Vec<Passage> {
        let of_control = |(position, control): (usize, &&Control)| {
            let mut passages = Vec::new();
            let Some(Some(column)) = self.columns.get(position) else { return passages };
            for (side, column) in column.each() {
                let known = self.known_lines((control, position, side), column);
                let side_of = |found: &Sided<InCell>| found.on(side.unwrap_or(Side::Port)).clone();
                passages.extend(self.each_cell(position, cells).filter_map(|(wind, angle, found)| {
                    self.working((control, column, side), (wind, angle), (&known, side_of(found)))
                }));
            }
            passages
        };
        self.book.explained(|| self.controls.iter().enumerate().flat_map(of_control).collect())
    }

    /// The target in a cell that is nearest its middle angle, then its middle wind.
    fn target(&self, (wind, angle): (Band, Band<Angle>)) -> Option<&AngledTarget> {
        let held = self.angled.targets.iter();
        let held = held.filter(|target| wind.holds(target.target.at.value) && angle.holds(target.angle.value));
        held.min_by_key(|target| {
            (target.angle.value.apart(angle.middle()), target.target.at.value.apart(wind.middle()))
        })
    }

    /// The book's adjustments of the controls, checked in every cell.
    fn adjusted(&self) -> Vec<Adjusting<'a, (usize, usize)>> {
        let (book, settings) = (self.book, self.settings);
        let one = |adjustment: &'a Adjustment| {
            adjustment.moves.iter().fold(Adjusting::new(book, adjustment, None), |adjusting, one| {
                adjusting.with((book, settings), one, |control, position| {
                    Some(self.held((control, position), &adjustment.scope, one.1.value))
                })
            })
        };
        let is_for = |adjustment: &&Adjustment| settings.sea.is_none() && book.is_adjusted_by(settings, adjustment);
        book.adjustments.iter().filter(is_for).map(one).collect()
    }

    /// The cells in which a limit stops an adjustment of a control, each in words.
    fn held(
        &self,
        (control, position): (&Control, usize),
        scope: &Scope,
        offset: Offset,
    ) -> Vec<((usize, usize), String)> {
        let cells = (0..self.winds.len()).flat_map(|wind| (0..self.angles.len()).map(move |angle| (wind, angle)));
        let held = cells.filter_map(|(nth, other)| {
            let (wind, angle) = (*self.winds.get(nth)?, *self.angles.get(other)?);
            let found = self.found.get(nth)?.get(other)?.get(position)?.as_ref().filter(|_| scope.reaches(wind))?;
            let found = found.map(|found| found.told.clone().map(|found| (found.figure, found.setting)));
            let words = held_words(control, offset, &found)?;
            let winds = wind_span(wind, self.book.units.wind);
            Some(((nth, other), format!("{winds}, {}: {words}", angle_span(angle.low, angle.high))))
        });
        held.collect()
    }

    /// For each known wind of a control, as it was written, what is known there; every cell's working tells it.
    fn known_lines(
        &self,
        (control, position, side): (&Control, usize, Option<Side>),
        column: &AngledStretches,
    ) -> Vec<(String, Vec<Line>)> {
        let of_wind = |(wind, _): &(Wind, Stretches<Angle>)| {
            let written = wind.as_written(self.book.units.wind);
            let mut known = Passage::default();
            for row in self.angled.rows.iter().filter(|row| row.row.at.value == *wind) {
                let recorded = row.row.readings.get(position);
                let Some((printed, place)) = recorded.and_then(|of| sided::recorded(of, control, side)) else {
                    continue;
                };
                let finds = format!("known at {written}, {}", row.angle.value.as_written());
                known.input(finds, printed.unwrap_or_else(|| sided::NOT_USED.to_owned()), place);
            }
            (written, known.lines)
        };
        column.winds().iter().map(of_wind).collect()
    }

    /// How one figure comes from what is known.
    fn working(
        &self,
        (control, column, side): (&Control, &AngledStretches, Option<Side>),
        (winds, angles): (Band, Band<Angle>),
        (known, found): (&[(String, Vec<Line>)], InCell),
    ) -> Option<Passage> {
        let unit = self.book.units.wind;
        let print = |reading: f64| column.scale().print(reading);
        let cell = format!(
            "{} to {}, {} to {}",
            winds.low.as_written(unit),
            winds.high.as_written(unit),
            angles.low.as_written(),
            angles.high.as_written()
        );
        let mut passage = Passage::new(format!("{}, {cell}", sided::named(&control.name, side)));
        let (wind, angle) = (winds.middle(), angles.middle());
        let at_angle = angle.as_written();
        for ((_, along), (known, lines)) in column.winds().iter().zip(known) {
            passage.lines.extend(lines.iter().cloned());
            let at = format!("at {known} and {at_angle}");
            let (how, exact) = match along.at(angle) {
                Told::Set(read) if read.ground == Ground::Outside => {
                    ("beyond the angles known there: the nearest of them", exact_words(read))
                }
                Told::Set(read) => (curve_words(column.between()), exact_words(read)),
                Told::NotUsed => ("not used there", sided::NOT_USED.to_owned()),
                Told::Unknown => ("next to an angle at which it is not used", sided::UNKNOWN.to_owned()),
            };
            passage.step(at, how, exact);
        }
        let exact = sided::words(&Sided::Alike(column.at(wind, angle)?), exact_words);
        let along = format!("along the wind through these: {}", curve_words(column.between()));
        passage.step(format!("at the middle of the cell, {} and {at_angle}", wind.as_written(unit)), along, exact);
        let Told::Set(setting) = &found.told else {
            let printed = sided::figure(column.scale(), &Sided::Alike(figure_of(&found)));
            let why = "no known reading reaches into the cell from this side of where it is not used";
            passage.step("what to set", why, printed.unwrap_or_else(|| sided::UNKNOWN.to_owned()));
            return Some(passage);
        };
        let rule = "the curves over the known part of the cell: the mark at its middle where they stay within one step, \
                    else least and greatest in the order they are met, by wind and then by angle";
        let rounded = format!("{rule}; rounded to {}", fineness_words(column.scale()));
        passage.step("what to set", rounded, figure_words(column.scale(), setting.figure));
        if found.is_in_part {
            let why = "next to where it is not used: nothing is known as far as the next known reading";
            passage.step("not known", why, "in part");
        }
        for row in &setting.rows {
            let words = format!("known in the cell, at {}, {}", row.wind.as_written(unit), row.known.at.as_written());
            let at = (row.wind, Some(row.known.at));
            let both = (row.known.ground == Ground::Disputed)
                .then(|| disputed(self.book, self.settings, &control.id.value, at))
                .flatten();
            let value = both.map_or_else(|| print(row.known.reading), |both| disputed_words(&both));
            passage.step(words, ground_legend(row.known.ground), value);
        }
        let between = "between only where each neighbouring known wind has the angle among its own";
        passage.step(
            "ground",
            between,
            setting.ground_of_figure().map_or("as what is known in the cell", ground_legend),
        );
        Some(passage)
    }
}

/// The angle of a band at which her heel is told, the nearest to its middle; its middle if it is told at none.
fn heeled_at(angled: &Angled, band: Band<Angle>) -> Angle {
    let told = angled.targets.iter().filter(|target| target.target.heel_deg.is_some());
    let told = told.map(|target| target.angle.value).filter(|angle| band.holds(*angle));
    told.min_by_key(|angle| angle.apart(band.middle())).unwrap_or_else(|| band.middle())
}

/// By how much a control moves along a band of angle, at one wind of a band: the most of it; in the scale's own coordinate.
fn widest(column: &Sided<AngledStretches>, wind: Band, angle: Band<Angle>) -> f64 {
    let angles = [angle.low, angle.middle(), angle.high];
    let at_wind = |column: &AngledStretches, wind: Wind| {
        let known = |angle: Angle| match column.at(wind, angle)? {
            Told::Set(found) => Some(found.exact),
            Told::NotUsed | Told::Unknown => None,
        };
        let known: Vec<f64> = angles.iter().filter_map(|angle| known(*angle)).collect();
        known.iter().copied().fold(f64::MIN, f64::max) - known.iter().copied().fold(f64::MAX, f64::min)
    };
    let winds = [wind.low, wind.middle(), wind.high];
    let spreads = column.each().flat_map(|(_, column)| winds.map(|wind| at_wind(column, wind)));
    spreads.filter(|spread| spread.is_finite()).fold(0.0, f64::max)
}

/// An unrounded value with as many digits as anybody checks.
fn exact_words(setting: Setting) -> String {
    mark::print_decimal((setting.exact * EXACT_STEPS).round() / EXACT_STEPS)
}

/// The figure of a cell.
fn figure_of(found: &InCell) -> Told<Figure> {
    found.told.clone().map(|found| found.figure)
}

/// Finds the words of what a place is disputed between, if it is.
type BothOf<'a> = &'a dyn Fn((Wind, Angle)) -> Option<String>;

/// What to set in a cell; `None` where nothing is known of it. `both` gives the words of what a known place is disputed between.
fn cell(
    column: &Sided<AngledStretches>,
    found: &Sided<InCell>,
    (winds, angles): (Band, Band<Angle>),
    (unit, both): (WindUnit, BothOf<'_>),
) -> Option<Cell> {
    let scale = column.on(Side::Port).scale();
    let text = sided::figure(scale, &found.map(figure_of))?;
    let grounds = found.each().filter_map(|(_, found)| found.told.clone().set()?.ground_of_figure());
    let told = found.map(|found| match &found.told {
        Told::Set(found) => {
            found.rows.iter().map(|row| ((row.wind, row.known.at), row.known.reading, row.known.ground)).collect()
        }
        Told::NotUsed | Told::Unknown => Vec::new(),
    });
    let place = |known: KnownAt| (known.wind, known.known.at);
    let known_at = |side: Side, at: (Wind, Angle)| {
        let known = column.on(side).known().find(|known| place(*known) == at);
        known.map(|known| (known.known.reading, known.known.ground))
    };
    let held = column.each().flat_map(|(_, column)| column.known().map(place));
    let mut held: Vec<(Wind, Angle)> = held.filter(|at| winds.holds(at.0) && angles.holds(at.1)).collect();
    held.sort();
    held.dedup();
    let printed = |(wind, angle): (Wind, Angle)| format!("{}, {}", wind.print(unit), angle.print());
    let rows = known_rows(&told, |reading| scale.print(reading), known_at, (both, printed));
    let more = held.len().saturating_sub(rows.len());
    let in_part = found.map(|found| found.is_in_part).settled();
    let in_part = in_part.each().filter(|(_, is)| **is).map(|(side, _)| sided::named("in part", side));
    Some(Cell {
        text,
        ground: grounds.max(),
        rows,
        more,
        not_used: found.on(Side::Port).not_used.iter().copied().map(printed).collect(),
        unknown: in_part.collect(),
    })
}

/// What differs between two contents of such a card: cell by cell, with wind and angle.
pub fn changes(old: &mut Fields, new: &mut Fields) -> Vec<String> {
    by_lines(old, new, lines)
}

/// `8 to 12 kn at 50° to 70°, Jib lead: 3½ to 4, ● 4 at 10, 60°`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    use crate::cards::parts::comparing::text;
    let unit = text(content.get("wind_unit"));
    let heads = taken(content, "controls");
    let controls: Vec<String> = heads.iter().map(|head| text(head.get("control"))).collect();
    for (name, head) in controls.iter().zip(&heads) {
        lines.push(Said::one(format!("{name}, higher is"), text(head.get("higher_is"))));
        let ends = head.get("ends").and_then(serde_json::Value::as_array).into_iter().flatten();
        lines.push(Said::one(
            format!("{name}, its ends"),
            ends.map(|end| text(Some(end))).collect::<Vec<_>>().join(", "),
        ));
    }
    for field in ["below", "below_says"] {
        lines.extend(optional(content, field, "usual number below"));
    }
    let targets: Vec<String> = taken(content, "targets").iter().map(|target| text(Some(target))).collect();
    for block in taken(content, "blocks") {
        let winds = text(block.get("winds"));
        for angle in block.get("angles").and_then(serde_json::Value::as_array).into_iter().flatten() {
            let at = format!("{winds} {unit} at {}", text(angle.get("angles")));
            let each =
                |field: &str| angle.get(field).and_then(serde_json::Value::as_array).cloned().unwrap_or_default();
            for (name, cell) in controls.iter().zip(each("cells")) {
                let ground = text(cell.get("ground")).replace('-', " ");
                let ground = if ground.is_empty() { ground } else { format!(" {ground}") };
                let known = super::changes::known(Some(&cell));
                let known = if known.is_empty() { known } else { format!(", {known}") };
                lines.push(Said::one(format!("{at}, {name}"), format!("{}{ground}{known}", text(cell.get("text")))));
            }
            let below = text(angle.get("below"));
            if !below.is_empty() {
                lines.push(Said::one(format!("{at}, with the usual number below"), below));
            }
            for (name, says) in targets.iter().zip(each("targets")) {
                lines.push(Said::one(format!("{at}, target {name}"), text(Some(&says))));
            }
        }
    }
}
