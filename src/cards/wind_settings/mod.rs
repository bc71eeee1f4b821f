//! The kind `wind-settings`: which mark on which scale for each band of wind, for one set of sails and point of sail.

mod adjusting;
mod by_angle;
mod by_angle_layout;
mod changes;
mod layout;
mod parting;
mod sharing;
mod sheet;
mod usually_below;
mod ways;
mod working;

use crate::wrong::Wrong;
use adjusting::Adjusting;
use parting::Page;
use serde::Serialize;
use usually_below::UsuallyBelow;

use super::parts::evidence::{OfNotes, disputed_words};
use super::parts::hydraulics;
use super::parts::matrix::{bands, columns, out_of_use};
use super::parts::moves::{limits, offset_by_hand, offset_words};
use super::parts::read_at::targets_ground;
use super::parts::sided;
use super::parts::words::{
    LimitWords, bare_words, called, end_words, ground_sign, known_words, more_words, narrowed_sails, open_span,
    point_of_sail, sail_names, wind_words, winds_of_bands, winds_with_unit,
};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Stock, Usual};
use crate::book::{
    Adjustment, Book, Control, Problem, Recorded, Row, Section, Settings, Spanned, Table, Target, WindUnit,
};
use crate::drawing::Drawing;
use crate::size::NamedSize;
use crate::tuning::adjust::Offset;
use crate::tuning::{Angle, Axis, Band, BoatSpeed, Figure, Ground, Setting, Side, Sided, Stretches, Told, Wind, mark};

pub const KIND: Kind = Kind {
    name: "wind-settings",
    about: "Which mark on which scale, for each band of wind",
    made_of: &[Section::WindBands, Section::WindSource, Section::Adjustments, Section::Crew, Section::Righting],
    from_entry,
    by_default: |book| Usual::of_settings(book, false),
    changes: changes::changes,
};

/// Places told of a cell at which a control is not used: more would hide what to set.
const MOST_PLACES: usize = 2;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WindSettings {
    /// The size asked for; `None`: the handiest that holds it. It is looks, not content.
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// Most telling first: the headsail before the mainsail.
    pub sails: Vec<String>,
    pub point_of_sail: String,
    /// What tells it from another card of these sails: `flat water`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// `5 to 14 kn, 1 of 2`, where one card does not hold it all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// `true wind, kn: masthead, calibrated 2027-04-11`.
    pub wind: String,
    /// `kn`.
    pub wind_unit: String,
    /// The winds that every sail of the set is for now: `5 to 16 kn`.
    pub range: Option<String>,
    pub columns: Vec<ColumnHead>,
    /// For whom below each row says in which winds it is to be read: `4 below, leeward`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below: Option<String>,
    /// Why the rows do not say it, where they should: `4 below, leeward: not reckoned: no target heel`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below_says: Option<String>,
    /// Heads of the target columns: `speed kn`.
    pub targets: Vec<String>,
    pub rows: Vec<BandRow>,
    /// How it should look, by wind.
    pub looks: Vec<String>,
    /// Sails that are for less than they were made for: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    pub cautions: Vec<LimitWords>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub adjustments: Vec<AdjustmentRow>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// What to move for chop, flat water and the like.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AdjustmentRow {
    pub name: String,
    pub moves: Vec<AdjustedControl>,
    /// What the card is called that has what was sailed in this sea: that needs no adjusting.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sailed: Option<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AdjustedControl {
    pub control: String,
    /// `½ less`.
    pub by: String,
    /// The same as it is printed, in the control's own words: `½ EASED`.
    #[serde(skip)]
    pub by_hand: String,
    /// Where a limit or the end of the scale stands: `24 to 28: only to 7`.
    pub held: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ColumnHead {
    pub control: String,
    /// What a higher number does.
    pub higher_is: Option<String>,
    /// The unit of a gauge.
    pub unit: Option<String>,
    /// What the letters of a two-way scale stand for: `W windward`.
    pub ends: Option<[String; 2]>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BandRow {
    /// In the book's wind unit.
    pub low: String,
    pub high: String,
    /// The winds in which it is to be read with the usual number below: `7 to 8½`; a sign where that is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below: Option<String>,
    /// One a column; `None` where nothing at all is recorded.
    pub cells: Vec<Option<Cell>>,
    /// One a target column: given in the band, `6.8`, else worked out, `6.8 between`, or not known.
    pub targets: Vec<String>,
}

/// What to set in a band, and what is known there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cell {
    /// What to set: `4½`; the least and the greatest in the order they are met if no one mark serves: `4 to 5½`.
    pub text: String,
    /// What that is known from; `None` where the rows tell it.
    pub ground: Option<Ground>,
    /// The rows known in the band, two at most.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rows: Vec<KnownRow>,
    /// How many more there are.
    #[serde(skip_serializing_if = "is_none")]
    pub more: usize,
    /// Where in it the control is not used, in the book's wind unit: `14`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_used: Vec<String>,
    /// The parts of it of which nothing is known, next to those: `10 to 11`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unknown: Vec<String>,
}

impl Cell {
    /// What stands small beneath the figure: `● 4 at 14`, `and 2 more`, `– at 16`, `? 14 to 17`.
    pub fn beneath(&self) -> Vec<String> {
        let row = |row: &KnownRow| known_words(&row.mark, &row.wind, row.ground);
        let not_used = not_used_words(&self.not_used);
        let unknown = self.unknown.iter().map(|part| format!("{} {part}", sided::UNKNOWN));
        self.rows.iter().map(row).chain(more_words(self.more)).chain(not_used).chain(unknown).collect()
    }

    /// Whether its figure tells the two sides of a control apart.
    pub fn tells_sides(&self) -> bool {
        sheet::tells_sides(&self.text)
    }

    /// Whether it has a dash on it.
    pub fn tells_not_used(&self) -> bool {
        !self.not_used.is_empty()
    }

    /// Whether it says that something is not known.
    pub fn tells_unknown(&self) -> bool {
        !self.unknown.is_empty() || self.text.contains(sided::UNKNOWN)
    }

    /// Every ground that a sign of it tells.
    pub fn grounds(&self) -> impl Iterator<Item = Ground> {
        self.ground.into_iter().chain(self.rows.iter().map(|row| row.ground))
    }
}

/// What the book has for one wind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct KnownRow {
    /// `4`, or `4 or 5½` where that is disputed; a quantity without its unit, which stands with the figure.
    pub mark: String,
    /// In the book's wind unit: `14`.
    pub wind: String,
    pub ground: Ground,
}

/// Whether there is nothing to tell.
fn is_none(count: &usize) -> bool {
    *count == 0
}

impl Content for WindSettings {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        layout::wind_settings(self, label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

impl WindSettings {
    /// `J1 + Main, upwind`.
    pub fn title(&self) -> String {
        let more: String = self.title.iter().chain(&self.part).map(|more| format!(", {more}")).collect();
        format!("{}, {}{more}", self.sails.join(" + "), self.point_of_sail)
    }
}

/// `{kind: wind-settings, settings: j1-upwind, size: A6, id: ...}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let settings = super::entry_settings(book, &mut entry, problems);
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    entry.finish(problems);
    let Some(settings) = settings else { return Vec::new() };
    cards(book, settings, id, size, problems)
}

fn cards(
    book: &Book,
    settings: &Settings,
    id: Option<String>,
    size: Option<NamedSize>,
    problems: &mut Vec<Problem>,
) -> Vec<Card> {
    if let Some(problem) = out_of_use(book, settings) {
        problems.push(problem);
        return Vec::new();
    }
    match &settings.angled {
        Some(angled) => by_angle::cards(book, (settings, angled), id, size.as_ref(), problems),
        None => parted(book, settings, id, size, problems),
    }
}

/// One card, or as many as it takes to be read.
fn parted(
    book: &Book,
    settings: &Settings,
    id: Option<String>,
    size: Option<NamedSize>,
    problems: &mut Vec<Problem>,
) -> Vec<Card> {
    let making = Making::new(book, settings, size);
    let (bands, controls) = (making.bands.len(), making.controls.len());
    if bands == 0 {
        problems.push(Problem::error(
            settings.place.clone(),
            format!("the settings `{}` fall into no wind band", settings.id.value),
            "widen `wind_bands`, or the `wind` ranges of its sails",
        ));
        return Vec::new();
    }
    let label = Label::longest(book);
    let room = parting::room(making.whole.size.as_ref());
    let fits = |each: (usize, usize)| {
        room.as_ref().is_none_or(|room| making.pages(each).all(|page| layout::fits(&page, &label, room)))
    };
    let each = parting::each((bands, controls), fits);
    let stem = id.unwrap_or_else(|| settings.id.value.clone());
    let pages = parting::pages((bands, controls), each).into_iter().zip(making.pages(each)).enumerate();
    let card = |(index, (page, content)): (usize, (Page, WindSettings))| {
        let content = WindSettings { working: making.working(&page), ..content };
        Card::new(parting::id(&stem, index), KIND.name, content.title(), Stock::Card, settings.place.clone(), content)
    };
    pages.map(card).collect()
}

/// What the cards of one table are made of.
struct Making<'a> {
    book: &'a Book,
    settings: &'a Settings,
    controls: Vec<&'a Control>,
    columns: Vec<Option<Sided<Stretches>>>,
    bands: Vec<Band>,
    /// All of it on one card, but for its rows.
    whole: WindSettings,
    /// The rows, which stand on one card or are shared among several.
    rows: Vec<BandRow>,
    adjusting: Vec<Adjusting<'a, usize>>,
}

impl<'a> Making<'a> {
    fn new(book: &'a Book, settings: &'a Settings, size: Option<NamedSize>) -> Self {
        let controls: Vec<&Control> = settings.controls.iter().filter_map(|index| book.controls.get(*index)).collect();
        let (columns, bands) = (columns(book, settings), bands(book, settings));
        let mut whole = content(book, settings, (&controls, &columns, &bands), size);
        let rows = std::mem::take(&mut whole.rows);
        let adjusting = adjusting::by_wind(book, settings, &columns, &bands);
        whole.adjustments = adjusting.iter().filter_map(|one| one.row(|_| true)).collect();
        Making { book, settings, controls, columns, bands, whole, rows, adjusting }
    }

    /// The cards of so many bands and controls each, made one by one: the first that does not fit is the last that is made.
    fn pages(&self, each: (usize, usize)) -> impl Iterator<Item = WindSettings> {
        let pages = parting::pages((self.bands.len(), self.controls.len()), each);
        let count = pages.len();
        pages.into_iter().enumerate().map(move |(index, page)| self.page(page, (index, count)))
    }

    fn page(&self, (winds, controls): Page, (index, count): (usize, usize)) -> WindSettings {
        if count < 2 {
            return WindSettings { rows: self.rows.clone(), ..self.whole.clone() };
        }
        let (whole, unit) = (&self.whole, self.book.units.wind);
        let bands = self.bands.get(winds.clone()).unwrap_or_default();
        let here = self.controls.get(controls.clone()).unwrap_or_default();
        let columns: Vec<ColumnHead> = whole.columns.get(controls.clone()).unwrap_or_default().to_vec();
        let rows = self.rows.get(winds.clone()).unwrap_or_default();
        let row = |row: &BandRow| BandRow {
            low: row.low.clone(),
            high: row.high.clone(),
            below: row.below.clone(),
            cells: row.cells.get(controls.clone()).unwrap_or_default().to_vec(),
            targets: row.targets.clone(),
        };
        let span = winds_of_bands(bands, unit).filter(|_| bands.len() < self.bands.len());
        let ends = here.first().zip(here.last()).filter(|_| here.len() < self.controls.len());
        let ends = ends.map(|(first, last)| match here.len() {
            1 => first.name.clone(),
            _ => format!("{} to {}", first.name, last.name),
        });
        let is_here = |name: &str| columns.iter().any(|column| column.control == name);
        let reaches = |one: &&Adjusting<'_, usize>| bands.iter().any(|band| one.adjustment.scope.reaches(*band));
        let adjustments = self.adjusting.iter().filter(reaches).filter_map(|one| one.row(|nth| winds.contains(&nth)));
        WindSettings {
            part: Some(parting::words(span.into_iter().chain(ends), index, count)),
            rows: rows.iter().map(row).collect(),
            looks: looks(self.settings, unit, |wind| bands.iter().any(|band| band.holds(wind))),
            cautions: hydraulics::all_limits(here.iter().copied(), self.book.units),
            adjustments: adjustments.filter_map(|row| row.of_controls(is_here)).collect(),
            columns,
            ..whole.clone()
        }
    }

    /// The working of every figure on a card.
    fn working(&self, (winds, controls): &Page) -> Vec<Passage> {
        let bands = self.bands.get(winds.clone()).unwrap_or_default();
        self.book.explained(|| working::working(self.book, self.settings, (&self.columns, controls), bands))
    }
}

impl AdjustmentRow {
    /// Of some controls only; `None` where none of them is moved.
    fn of_controls(self, is_here: impl Fn(&str) -> bool) -> Option<Self> {
        let moves: Vec<AdjustedControl> = self.moves.into_iter().filter(|one| is_here(&one.control)).collect();
        (!moves.is_empty() || self.sailed.is_some()).then_some(AdjustmentRow { moves, ..self })
    }
}

/// How it should look in some winds.
fn looks(settings: &Settings, unit: WindUnit, is_here: impl Fn(Wind) -> bool) -> Vec<String> {
    let look = |target: &Target| {
        let look = target.look.as_ref().filter(|_| is_here(target.at.value))?;
        Some(format!("{}: {look}", target.at.value.print_with_unit(unit)))
    };
    settings.targets.iter().filter_map(look).collect()
}

/// A target as it is printed: `» 6.8` if it was carried over.
fn told(target: &Target, read: impl Fn(&Target) -> Option<String>) -> Option<String> {
    let sign = ground_sign(target.ground).filter(|_| target.ground != Ground::Sailed);
    read(target).map(|text| sign.map_or(text.clone(), |sign| format!("{sign} {text}")))
}

type TargetReader = fn(&Target) -> Option<f64>;
type Printer = fn(f64) -> String;
/// What targets name, how each is read and how one that was given is printed, and one that was worked out: no finer than anyone
/// can steer.
type TargetKind = (&'static str, TargetReader, [Printer; 2]);
const TARGETS: [TargetKind; 3] = [
    (
        "speed kn",
        |target| target.speed.map(BoatSpeed::to_knots),
        [|knots| BoatSpeed::knots(knots).print(), |knots| mark::print_to(knots, 1)],
    ),
    ("heel °", |target| target.heel_deg, [|degrees| mark::print_to(degrees, 1), |degrees| mark::print_to(degrees, 0)]),
    (
        "angle °",
        |target| target.angle.map(Angle::to_degrees),
        [|degrees| Angle::degrees(degrees).print_number(), |degrees| mark::print_to(degrees, 0)],
    ),
];

/// A target in a band: as given in it, nearest its middle; else as worked out at its middle between those given; else unknown.
fn target_in(settings: &Settings, band: Band, (_, read, [print, print_rounded]): &TargetKind) -> String {
    let inside = settings.targets.iter().filter(|target| band.holds(target.at.value));
    let nearest =
        inside.filter(|target| read(target).is_some()).min_by_key(|target| target.at.value.apart(band.middle()));
    if let Some(words) = nearest.and_then(|target| told(target, |target| read(target).map(print))) {
        return words;
    }
    let given = settings.targets.iter().filter(|target| read(target).is_some()).map(|target| target.at.value);
    let is_between =
        given.clone().any(|at| at.is_below(band.middle())) && given.clone().any(|at| at.is_above(band.middle()));
    let worked_out = settings.targets.at(band.middle(), *read).filter(|_| is_between);
    worked_out.map_or_else(
        || sided::UNKNOWN.to_owned(),
        |value| {
            let ground = targets_ground(settings, band.middle());
            let sign = ground_sign(ground).filter(|_| ground != Ground::Sailed).map(|sign| format!("{sign} "));
            format!("{}{}{}", sign.unwrap_or_default(), print_rounded(value), layout::WORKED_OUT)
        },
    )
}

/// The controls of a table, what is known of each, and the bands of its card.
type Parts<'a> = (&'a [&'a Control], &'a [Option<Sided<Stretches>>], &'a [Band]);

fn content(
    book: &Book,
    settings: &Settings,
    (controls, columns, bands): Parts<'_>,
    size: Option<NamedSize>,
) -> WindSettings {
    let unit = book.units.wind;
    let is_given = |read: TargetReader, band: &Band| {
        settings.targets.iter().any(|target| band.holds(target.at.value) && read(target).is_some())
    };
    let targets = TARGETS.iter().filter(|(_, read, _)| bands.iter().any(|band| is_given(*read, band)));
    let targets: Vec<&TargetKind> = targets.collect();
    let usual = UsuallyBelow::of(book, settings, bands);
    let notes = OfNotes::on(book, settings);
    let row = |(index, band): (usize, &Band)| BandRow {
        low: band.low.print(unit),
        high: band.high.print(unit),
        below: usual.as_ref().and_then(|usual| usual.winds.get(index).cloned()),
        cells: columns
            .iter()
            .zip(controls)
            .map(|(column, control)| cell((book, notes.as_ref()), control, column.as_ref()?, *band))
            .collect(),
        targets: targets.iter().map(|target| target_in(settings, *band, target)).collect(),
    };
    WindSettings {
        size,
        boat: book.boat.name.value.clone(),
        sails: sail_names(book, settings),
        point_of_sail: point_of_sail(settings.point_of_sail).to_owned(),
        title: settings.title.clone(),
        part: None,
        wind: wind_words(book),
        wind_unit: unit.symbol().to_owned(),
        range: book.range_of(settings).wind_now().and_then(|winds| open_span(winds, unit)),
        columns: controls.iter().map(|control| head(control)).collect(),
        below: usual.as_ref().filter(|usual| !usual.winds.is_empty()).map(|usual| usual.who.clone()),
        below_says: usual.as_ref().and_then(|usual| usual.says.clone()),
        targets: targets.iter().map(|(name, ..)| (*name).to_owned()).collect(),
        rows: bands.iter().enumerate().map(row).collect(),
        looks: looks(settings, unit, |_| true),
        narrowed: narrowed_sails(book, settings),
        cautions: hydraulics::all_limits(controls.iter().copied(), book.units),
        adjustments: Vec::new(),
        working: Vec::new(),
    }
}

/// One control of an adjustment, if these settings have it; `held` finds where it is stopped, from the control and its place among
/// theirs.
fn adjusted(
    book: &Book,
    settings: &Settings,
    (index, offset): &(usize, Spanned<Offset>),
    held: impl FnOnce(&Control, usize) -> Option<Vec<String>>,
) -> Option<AdjustedControl> {
    let position = settings.controls.iter().position(|of| of == index)?;
    let control = book.controls.get(*index)?;
    Some(AdjustedControl {
        control: control.name.clone(),
        by: offset_words(control, offset.value),
        by_hand: offset_by_hand(control, offset.value),
        held: held(control, position)?,
    })
}

/// Whether anything is known of a control in some settings.
fn has_readings(settings: &Settings, control: usize) -> bool {
    let position = settings.controls.iter().position(|index| *index == control);
    let is_known =
        |row: &Row| position.is_some_and(|position| row.readings.get(position).is_some_and(Recorded::is_something));
    settings.rows.iter().any(is_known)
}

/// What an adjustment is called on a card: `Chop`, and the winds it is for where those are not all: `Chop, 8 to 20 kn`.
pub fn adjustment_name(adjustment: &Adjustment, unit: WindUnit) -> String {
    let winds = adjustment.scope.winds.map(|winds| format!(", {}", winds_with_unit(winds, unit)));
    adjustment.name.clone() + &winds.unwrap_or_default()
}

fn head(control: &Control) -> ColumnHead {
    let ends = control.scale.sides().map(|ends| ends.each_ref().map(|end| end_words(end)));
    ColumnHead {
        control: control.name.clone(),
        higher_is: control.higher_is.clone(),
        unit: control.scale.unit().map(str::to_owned),
        ends,
    }
}

/// What to set in a band; `None` where nothing is known of it.
fn cell(
    (book, notes): (&Book, Option<&OfNotes<'_>>),
    control: &Control,
    column: &Sided<Stretches>,
    band: Band,
) -> Option<Cell> {
    let unit = book.units.wind;
    let found = column.map(|column| column.in_band(band));
    let scale = column.on(Side::Port).scale();
    let text = sided::figure(scale, &found.map(|found| sided::figure_of(&found.told)))?;
    let grounds = found.each().filter_map(|(_, found)| found.told.clone().set()?.ground_of_figure());
    let told = found.map(|found| match &found.told {
        Told::Set(found) => found.rows.iter().map(|row| (row.at, row.reading, row.ground)).collect(),
        Told::NotUsed | Told::Unknown => Vec::new(),
    });
    let known_at = |side: Side, wind: Wind| {
        let known = column.on(side).known().find(|known| known.at == wind);
        known.map(|known| (known.reading, known.ground))
    };
    let held = |(_, column): (Option<Side>, &Stretches)| {
        column.known().map(|known| known.at).filter(|at| band.holds(*at)).collect::<Vec<Wind>>()
    };
    let both = |at: Wind| Some(disputed_words(&notes?.disputed(&control.id.value, (at, None))?));
    let rows = known_rows(&told, |reading| bare_words(scale, reading), known_at, (both, |at| at.print(unit)));
    let more = sided::once(column.each().flat_map(held)).len().saturating_sub(rows.len());
    let not_used = sided::once(found.each().flat_map(|(_, found)| found.not_used.iter().copied()));
    Some(Cell {
        text,
        ground: grounds.max(),
        rows,
        more,
        not_used: not_used.into_iter().map(|at| at.print(unit)).collect(),
        unknown: unknown_words(&found.map(|found| found.unknown.clone()).settled(), unit),
    })
}

/// What is known in a band or a cell, in order of place, with both readings where it is disputed.
fn known_rows<P: Copy + Ord>(
    told: &Sided<Vec<(P, f64, Ground)>>,
    print: impl Fn(f64) -> String,
    known_at: impl Fn(Side, P) -> Option<(f64, Ground)>,
    (both, printed): (impl Fn(P) -> Option<String>, impl Fn(P) -> String),
) -> Vec<KnownRow> {
    let mut rows = sided::rows(told, print, known_at);
    rows.sort_by_key(|(at, ..)| *at);
    let row = |(at, mark, ground): (P, String, Ground)| {
        let disputed = if ground == Ground::Disputed { both(at) } else { None };
        KnownRow { mark: disputed.unwrap_or(mark), wind: printed(at), ground }
    };
    rows.into_iter().map(row).collect()
}

/// The parts of a band of which nothing is known, each with its side where the two differ; what is too narrow to be printed
/// as a range is none.
fn unknown_words(parts: &Sided<Vec<(Wind, Wind)>>, unit: WindUnit) -> Vec<String> {
    let of_side = |(side, parts): (Option<Side>, &Vec<(Wind, Wind)>)| {
        let printed = parts.iter().map(|(low, high)| (low.print(unit), high.print(unit)));
        let ranges = printed.filter(|(low, high)| low != high).map(|(low, high)| format!("{low} to {high}"));
        ranges.map(|range| sided::named(&range, side)).collect::<Vec<String>>()
    };
    parts.each().flat_map(of_side).collect()
}

/// Where a control is not used, two places at most: `– at 12, 14 and 1 more`.
fn not_used_words(places: &[String]) -> Option<String> {
    let told: Vec<&str> = places.iter().take(MOST_PLACES).map(String::as_str).collect();
    let more = more_words(places.len() - told.len()).map(|more| format!(" {more}")).unwrap_or_default();
    (!told.is_empty()).then(|| format!("{} at {}{more}", sided::NOT_USED, told.join(", ")))
}

/// What is said where a limit or the end of the scale stops an adjustment of what is set in a band or a cell.
fn held_words(control: &Control, offset: Offset, found: &Sided<Told<(Figure, Setting)>>) -> Option<String> {
    let held = |(side, found): (Option<Side>, &Told<(Figure, Setting)>)| {
        let (figure, setting) = found.set()?;
        let (first, last) = figure.ends();
        let side = side.unwrap_or(Side::Port);
        let moved = |reading: f64| {
            let setting = Setting { exact: reading, reading, ..setting };
            (reading, offset.apply(setting, &control.scale, limits(control, side)))
        };
        // Of two marks both may be held, the one that is at the limit already and the one that is not quite.
        let held: Vec<_> = [first, last].into_iter().map(moved).filter(|(_, moved)| moved.held.is_some()).collect();
        let (_, at) = held.first()?;
        let stays = held.iter().all(|(before, adjusted)| adjusted.reading == *before);
        let how = if stays { "stays" } else { "only to" };
        Some(format!("{how} {}", control.scale.print(at.reading)))
    };
    let told: Vec<(Option<Side>, String)> =
        found.each().filter_map(|(side, one)| Some((side, held((side, one))?))).collect();
    match told.as_slice() {
        [(_, port), (_, starboard)] if port == starboard => Some(port.clone()),
        told => {
            let words: Vec<String> = told.iter().map(|(side, words)| sided::named(words, *side)).collect();
            (!words.is_empty()).then(|| words.join(", "))
        }
    }
}
