//! The kind `sail-change`: what to do before, during and after one sail gives way to another.

use crate::wrong::{Wrong, shown};
use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::json;

use super::parts::comparing::{Fields, text};
use super::parts::frame::{HEAVY_RULE, Surround};
use super::parts::matrix::{angle_bands, columns_at};
use super::parts::moves::direction;
use super::parts::sets::{SailSet, sets};
use super::parts::sided::{self, AtWind};
use super::parts::table::{Cell, Column as Ruling, Look, Paragraph, Row, Ruled, Under};
use super::parts::telling::{Said, bare, by_lines, optional, taken, texts};
use super::parts::words::{
    LimitWords, WITHIN_MAKERS_LIMITS, angle_span, bare_words, boxed_limits, ground_legend, limit_words, narrowed_sails,
    point_of_sail, reasons, signed, wind_span, wind_words, winds_with_unit,
};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Nothing, Stock, Usual};
use crate::book::{Book, Control, Problem, Sail, Section, Settings, Table, suggest};
use crate::drawing::{Drawing, Weight};
use crate::limits;
use crate::size::NamedSize;
use crate::tuning::wardrobe::{HandOver, hand_overs};
use crate::tuning::{Angle, Axis, Band, Ground, Setting, Sided, Span, Stretches, Told, Wind};

pub const KIND: Kind = Kind {
    name: "sail-change",
    about: "Before, during and after a change from one sail to another",
    made_of: &[Section::Sails, Section::Settings, Section::Controls],
    from_entry,
    by_default: |book| match book.sails.first() {
        Some(sail) => Ok(vec![Usual { or_nothing: true, ..Usual::of(&sail.place) }]),
        None => Err(Nothing::Section("sails")),
    },
    changes: |old, new| by_lines(old, new, lines),
};

/// What a control does that has the same mark with both sails.
const STAYS: &str = "stays";
/// Control, from, to, goes.
const COLUMNS: usize = 4;
/// Between the rule over the heads and the heads, in capital heights.
const OVER_HEADS: f64 = 0.4;
/// What holds for every change of sails.
const CAUTION: &str = "Ease loaded lines under control; keep clear of sheets and blocks.";

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SailChange {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    pub from: String,
    pub to: String,
    /// `upwind`; where one of the tables is kept by angle, the angles of this card: `50° to 70°`.
    pub point_of_sail: String,
    pub wind: String,
    pub wind_unit: String,
    /// The winds that both sails are for: `13 to 16`.
    pub both: String,
    /// The angles that both sails are for and both tables tell of, where one of them is kept by angle: `50° to 80°`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub angles: Option<String>,
    /// The angle that the marks are for, then: `60°`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_angle: Option<String>,
    /// The winds of this card, in which they may swap: all that both are for, where one mark serves.
    pub winds: String,
    pub parts: Vec<Part>,
    /// Controls of which no mark is known with one of them: `J2: Inhauler, Vang`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unmarked: Vec<String>,
    /// What the luffs mean for the halyard.
    pub luff: Option<String>,
    /// Grounds in use, as the legend explains them.
    pub grounds: Vec<Ground>,
    /// Sails that are for less than they were made for: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    pub cautions: Vec<LimitWords>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// `BEFORE`, `DURING` or `AFTER`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    pub name: String,
    pub controls: Vec<ControlRow>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ControlRow {
    pub control: String,
    /// `bar`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The mark with the old sail: `4½`, `–`.
    pub from: String,
    /// With the new one, its sign or brackets included.
    pub to: String,
    /// Which way, for the hand to check itself by: `FORWARD`, `SET`, `OFF`, `stays`.
    pub goes: String,
    pub changed: bool,
    /// Of the new mark; `None` where the new sail has none.
    pub ground: Option<Ground>,
}

/// Over the controls of a part, beside its name.
fn state(part: &str, from: &str, to: &str) -> String {
    match part {
        "BEFORE" => format!("BEFORE · {from} still up"),
        "AFTER" => format!("AFTER · {to} set and sheeted"),
        other => other.to_owned(),
    }
}

impl Content for SailChange {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let must = |words: String| Ruling::wrapped(Paragraph::must(words, Weight::Bold));
        let heads = [
            format!("WIND {} {}", self.winds, self.wind_unit),
            format!("FROM {}", self.from),
            format!("TO {}", self.to),
            "GOES".to_owned(),
        ];
        Ruled {
            size: self.size.clone(),
            surround: self.surround(),
            name: format!("{}: {}", self.boat, self.title()),
            description: "Settings before, during and after a sail change".to_owned(),
            columns: heads.map(must).into(),
            rows: self.rows(),
            boxed_in: true,
            look: Look { top_rule: Some(HEAVY_RULE), over_heads: OVER_HEADS, ..Look::WORDS },
            ..Ruled::default()
        }
        .draw(label)
    }
}

impl ControlRow {
    /// The new mark is what is looked for; the old one only tells whether the hand is on the right control.
    fn cells(&self) -> Vec<Cell> {
        let mut name = Paragraph::must(&self.control, Weight::Bold);
        name.runs.extend(self.unit.iter().map(|unit| (unit.clone(), Weight::Regular)));
        let weight = if self.changed { Weight::Bold } else { Weight::Regular };
        vec![
            name.into(),
            Paragraph::must(&self.from, Weight::Regular).into(),
            Paragraph::of(&self.to, weight).into(),
            Paragraph::must(&self.goes, weight).into(),
        ]
    }
}

impl SailChange {
    /// `J1 to J2, upwind`.
    pub fn title(&self) -> String {
        format!("{} to {}, {}", self.from, self.to, self.point_of_sail)
    }

    fn rows(&self) -> Vec<Row> {
        let last = self.parts.len().saturating_sub(1);
        let across = |words: String, weight, under| {
            Row::Cells(Cell::from(Paragraph::must(words, weight)).over_columns(COLUMNS).collect(), under)
        };
        let part = |(nth, part): (usize, &Part)| -> Vec<Row> {
            let count = part.controls.len();
            let row = |(index, row): (usize, &ControlRow)| {
                let ends = index + 1 == count && (nth < last || self.unmarked.is_empty());
                Row::Cells(row.cells(), if ends { Under::HeavyLine } else { Under::Line })
            };
            let head = across(state(&part.name, &self.from, &self.to), Weight::Bold, Under::Line);
            std::iter::once(head).chain(part.controls.iter().enumerate().map(row)).collect()
        };
        let unmarked = (!self.unmarked.is_empty()).then(|| {
            let words = self.unmarked.iter().map(|words| format!("No mark for {words}."));
            across(words.collect::<Vec<String>>().join(" "), Weight::Regular, Under::HeavyLine)
        });
        self.parts.iter().enumerate().flat_map(part).chain(unmarked).collect()
    }

    fn surround(&self) -> Surround {
        let mut must: Vec<String> = self.luff.iter().cloned().collect();
        let legend: Vec<&str> = self.grounds.iter().copied().map(ground_legend).collect();
        let angle = self.at_angle.iter().map(|angle| format!(" and of the angles, {angle}")).collect::<String>();
        let mut words = format!("Marks for the middle of the winds{angle}. Of the new mark: {}.", legend.join(" · "));
        let mut says = self.parts.iter().flat_map(|part| &part.controls).flat_map(|row| [&row.from, &row.to]);
        if says.any(|mark| mark.contains(sided::NOT_USED)) {
            words.push_str(&format!(" {}.", sided::NOT_USED_LEGEND));
        }
        let mut says = self.parts.iter().flat_map(|part| &part.controls).flat_map(|row| [&row.from, &row.to]);
        if says.any(|mark| mark.contains(sided::UNKNOWN)) {
            words.push_str(&format!(" {} not known.", sided::UNKNOWN));
        }
        must.extend(self.narrowed.iter().map(|words| format!("{words}.")));
        must.push(boxed_limits(&self.cautions, &format!("{CAUTION} {WITHIN_MAKERS_LIMITS}")));
        let angles = self.angles.iter().map(|angles| format!(" and {angles}")).collect::<String>();
        let wind = format!("{}{}", self.wind, if angles.is_empty() { "" } else { ", and true wind angle" });
        Surround {
            title: vec![self.from.clone(), format!("to {}", self.to)],
            at_right: self.point_of_sail.to_uppercase(),
            kind: format!("SAIL CHANGE · both sails: {} {}{angles}", self.both, self.wind_unit),
            subtitle: wind,
            must,
            foot: std::iter::once(words).chain(reasons(&self.cautions)).collect(),
            ..Surround::default()
        }
    }
}

/// What an entry asks for beside the pair of sails.
struct Asked {
    size: Option<NamedSize>,
    before: BTreeSet<usize>,
    during: BTreeSet<usize>,
    /// The halyard that the sails share.
    halyard: Option<usize>,
}

/// `{kind: sail-change, from: j1, to: j2, before: [jib_lead], during: [jib_halyard], halyard: jib_halyard}`; without
/// `from` or `to`, every change that fits.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let place = entry.place.clone();
    let from = set_of(book, &mut entry, "from", problems);
    let to = set_of(book, &mut entry, "to", problems);
    let before = controls_of(book, &mut entry, "before", problems);
    let during = controls_of(book, &mut entry, "during", problems);
    let halyard = controls_of(book, &mut entry, "halyard", problems).into_iter().next();
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    entry.finish(problems);
    let (Ok(from), Ok(to)) = (from, to) else { return Vec::new() };
    let asked = Asked { size, before, during, halyard };
    let (sets, ranges) = sets(book);
    let wanted =
        |set: &SailSet<'_>, asked: &Option<Vec<&Sail>>| asked.as_ref().is_none_or(|asked| is_meant(set, asked));
    let mut cards = Vec::new();
    // Who names both sails wants that change, whatever else could be set between them.
    let is_asked = from.is_some() && to.is_some();
    let is_due = |change: &&HandOver| (change.neighbours || is_asked) && change.from.is_below(change.to);
    for change in hand_overs(&ranges).iter().filter(is_due) {
        for (old, new) in [(change.lighter, change.heavier), (change.heavier, change.lighter)] {
            let (Some(old), Some(new)) = (sets.get(old), sets.get(new)) else { continue };
            if !wanted(old, &from) || !wanted(new, &to) {
                continue;
            }
            for (settings, next) in pairs(book, old, new) {
                let Some(both) = winds_of_both(book, settings, next, change) else { continue };
                let point = point_of_sail(settings.point_of_sail).replace(' ', "-");
                let sea = settings.sea.as_ref().map(|sea| format!("-{sea}")).unwrap_or_default();
                let (courses, usual) = match settings.angled.is_none() && next.angled.is_none() {
                    true => (vec![None], format!("{}-to-{}-{point}{sea}", old.id(), new.id())),
                    false => (
                        courses(book, settings, next, change.angle).into_iter().map(Some).collect(),
                        format!("{}-to-{}", settings.id.value, next.id.value),
                    ),
                };
                let stem = id.clone().unwrap_or(usual);
                let made = courses.into_iter().flat_map(|course| {
                    let tables = Tables::new(book, (settings, next), course);
                    let winds = tables.winds(both);
                    let of = |winds: Span| content((old, new), &tables, (both, winds), &asked);
                    winds.into_iter().map(of).collect::<Vec<SailChange>>()
                });
                for (index, content) in made.enumerate() {
                    let id = if index == 0 { stem.clone() } else { format!("{stem}-{}", index + 1) };
                    cards.push(Card::new(id, KIND.name, content.title(), Stock::Card, place.clone(), content));
                }
            }
        }
    }
    if cards.is_empty() {
        problems.push(Problem::error(
            place,
            "there is no such sail change: no two sails with settings for the same point of sail or the same angles \
             have a `wind` and an `angle` that overlap",
            "give both sails `wind` and `angle` ranges that overlap, and settings on the same point of sail or at \
             angles that overlap",
        ));
    }
    cards
}

/// Whether a set is the one that an entry names: by all its sails, or by the one that never flies alone.
fn is_meant(set: &SailSet<'_>, asked: &[&Sail]) -> bool {
    let names_all = asked.len() == set.sails().count();
    let names_under = asked.len() == 1 && set.under.is_some_and(|under| under.id.value == asked[0].id.value);
    (names_all || names_under) && asked.iter().all(|sail| set.has(&sail.id.value))
}

/// The settings of the old set and of the new one that differ in nothing else: the sea and the other sails the same, and the
/// point of sail, where both go by that. Beside a table by point of sail one that is kept by angle serves where there is no
/// other.
fn pairs<'a>(book: &'a Book, old: &SailSet<'_>, new: &SailSet<'_>) -> Vec<(&'a Settings, &'a Settings)> {
    let of = |set: &SailSet<'_>, rest: &BTreeSet<String>| -> Vec<&'a Settings> {
        book.settings.iter().filter(|settings| others(book, settings, set).as_ref() == Some(rest)).collect()
    };
    let is_same_point = |one: &Settings, other: &Settings| {
        one.angled.is_none() && other.angled.is_none() && one.point_of_sail == other.point_of_sail
    };
    let mut found = Vec::new();
    for from in &book.settings {
        let Some(rest) = others(book, from, old) else { continue };
        let (of_old, of_new) = (of(old, &rest), of(new, &rest));
        let has_same = |settings: &Settings, among: &[&Settings]| among.iter().any(|to| is_same_point(settings, to));
        let fits = |to: &&&Settings| {
            let is_by_angle = from.angled.is_some() || to.angled.is_some();
            let is_alone = is_by_angle && !has_same(from, &of_new) && !has_same(to, &of_old);
            to.sea == from.sea && (is_same_point(from, to) || is_alone)
        };
        found.extend(of_new.iter().filter(fits).map(|to| (from, *to)));
    }
    found
}

/// What is set beside a set of sails; `None` where the settings are not of this set but of another, be it that with a
/// staysail under the same sail.
fn others(book: &Book, settings: &Settings, set: &SailSet<'_>) -> Option<BTreeSet<String>> {
    let is_set = |sail: &Sail| settings.sails.iter().any(|id| id.value == sail.id.value);
    let others: Vec<&Sail> = settings.sails.iter().filter_map(|id| book.sail(&id.value)).collect();
    let others = others.into_iter().filter(|sail| !set.has(&sail.id.value));
    let is_whole = set.sails().all(is_set) && !others.clone().any(|sail| book.flies_under(sail, set.lead));
    is_whole.then(|| others.map(|sail| sail.id.value.clone()).collect())
}

/// Where a boat may sail that changes sails by tables of which one is kept by angle at least.
#[derive(Clone, Copy)]
struct CourseOf {
    /// The angles of one card, a band of the new sail's table, or of the old one's if that alone is kept by angle.
    band: Band<Angle>,
    /// All the angles that both sails are for and both tables tell of.
    both: Span<Angle>,
}

/// A card for each band of angle: on a reach marks go by the angle as much as by the wind, and one card tells of one course.
fn courses(book: &Book, from: &Settings, to: &Settings, of_both: Span<Angle>) -> Vec<CourseOf> {
    let told = |settings: &Settings| match settings.angled {
        None => Some(book.points_of_sail.of(settings.point_of_sail).into()),
        Some(_) => {
            let bands = angle_bands(book, settings);
            Span::new(bands.first()?.low, bands.last()?.high)
        }
    };
    let of_all = [from, to].into_iter().filter_map(|settings| book.range_of(settings).angles());
    let told = [told(from), told(to)].into_iter().collect::<Option<Vec<Span<Angle>>>>();
    let common = told.and_then(|told| told.into_iter().chain(of_all).try_fold(of_both, Span::common));
    let Some(both) = common else { return Vec::new() };
    let bands = angle_bands(book, if to.angled.is_some() { to } else { from });
    bands.into_iter().filter_map(|band| Some(CourseOf { band: band.within(both)?, both })).collect()
}

/// The winds that every sail set before the change and every sail set after it is for: one wind where they only touch.
fn winds_of_both(book: &Book, from: &Settings, to: &Settings, change: &HandOver) -> Option<Span> {
    let winds = [book.range_of(from).wind_now()?, book.range_of(to).wind_now()?];
    let low = winds.iter().fold(change.from, |low, span| low.max(span.low));
    let high = winds.iter().fold(change.to, |high, span| high.min(span.high));
    (low <= high).then_some(Span { low, high })
}

/// What both tables say of their controls, at the middle of the angles of the card if they are kept by angle.
struct Tables<'a> {
    book: &'a Book,
    from: &'a Settings,
    to: &'a Settings,
    course: Option<CourseOf>,
    old: Vec<Option<Sided<Stretches>>>,
    new: Vec<Option<Sided<Stretches>>>,
}

impl<'a> Tables<'a> {
    fn new(book: &'a Book, (from, to): (&'a Settings, &'a Settings), course: Option<CourseOf>) -> Self {
        let angle = course.map(|course| course.band.middle());
        Tables { book, from, to, course, old: columns_at(book, from, angle), new: columns_at(book, to, angle) }
    }

    fn angle(&self) -> Option<Angle> {
        self.course.map(|course| course.band.middle())
    }

    /// Indices of controls: the new sail's order of work first, then what only the old one has.
    fn order(&self) -> Vec<usize> {
        let only_old = self.from.controls.iter().filter(|index| !self.to.controls.contains(index));
        self.to.controls.iter().chain(only_old).copied().collect()
    }

    /// What the old sail and the new one want of a control at a wind.
    fn at(&self, index: usize, wind: Wind) -> [AtWind; 2] {
        let tables = [(self.from, &self.old), (self.to, &self.new)];
        tables.map(|(settings, columns)| {
            let position = settings.controls.iter().position(|control| *control == index);
            let column = position.and_then(|position| columns.get(position)?.as_ref());
            column.map_or(Sided::Alike(Told::Unknown), |column| sided::at(column, wind))
        })
    }

    /// The winds of one card each: the book's bands as far as both sails are for them, joined as long as the marks of the middle
    /// serve all of them.
    fn winds(&self, both: Span) -> Vec<Span> {
        let mut bands: Vec<Span> =
            self.book.bands.iter().filter_map(|band| band.within(both)).map(Span::from).collect();
        if bands.is_empty() {
            bands.push(both);
        }
        let mut joined: Vec<(Span, Vec<Span>)> = Vec::new();
        for band in bands {
            let with = |(winds, parts): &(Span, Vec<Span>)| {
                let whole = Span { low: winds.low, high: band.high };
                let parts: Vec<Span> = parts.iter().copied().chain([band]).collect();
                parts.iter().all(|part| self.serves(whole, *part)).then_some((whole, parts))
            };
            match (joined.last().and_then(with), joined.last_mut()) {
                (Some(whole), Some(last)) => *last = whole,
                _ => joined.push((band, vec![band])),
            }
        }
        joined.into_iter().map(|(winds, _)| winds).collect()
    }

    /// Whether the marks at the middle of some winds are within a step of those at the middle of a part of them.
    fn serves(&self, whole: Span, part: Span) -> bool {
        let is_near = |index: &usize| {
            let Some(control) = self.book.controls.get(*index) else { return true };
            let (middle, other) = (self.at(*index, whole.middle()), self.at(*index, part.middle()));
            middle.iter().zip(&other).all(|(middle, other)| {
                let near = middle.with(other, |one, other| match (one.set(), other.set()) {
                    (Some(one), Some(other)) => !control.scale.are_apart(one.reading, other.reading),
                    _ => one.map(|_| ()) == other.map(|_| ()),
                });
                near.each().all(|(_, near)| *near)
            })
        };
        self.order().iter().all(is_near)
    }

    fn working(&self, (old, new): (&SailSet<'_>, &SailSet<'_>), (both, winds): (Span, Span)) -> Vec<Passage> {
        let unit = self.book.units.wind;
        let middle = winds.middle();
        let mut working = Vec::new();
        for index in self.order() {
            let Some(control) = self.book.controls.get(index) else { continue };
            let of = format!("{}, {}", control.name, winds_with_unit(winds, unit));
            let mut passage = Passage::new(of);
            passage.input("winds of both sails", wind_span(both, unit), &new.lead.place);
            if let Some(CourseOf { both, .. }) = self.course {
                passage.input("angles of both sails and tables", angle_span(both.low, both.high), &new.lead.place);
            }
            let told = self.at(index, middle);
            for ((set, settings), setting) in [(old, self.from), (new, self.to)].into_iter().zip(told) {
                if !settings.controls.contains(&index) {
                    continue;
                }
                let by_angle = self.angle().filter(|_| settings.angled.is_some());
                let at_angle = by_angle.map(|angle| format!(" and {}", angle.as_written())).unwrap_or_default();
                let at = format!("{}{at_angle}", middle.as_written(unit));
                let how = format!(
                    "the mark of `{}` at the middle, {at}: {}",
                    settings.id.value,
                    sided::ground(&setting).map_or("no mark is known", ground_legend)
                );
                let mut exact = sided::exact_json(middle, &setting);
                if let Some(angle) = by_angle {
                    exact["angle_deg"] = json!(angle);
                }
                passage.exactly(set.name(), how, sided::signed_mark(&control.scale, &setting), exact);
            }
            working.push(passage);
        }
        working
    }
}

/// What one card says of the change in some of the winds that both are for.
fn content(
    (old, new): (&SailSet<'_>, &SailSet<'_>),
    tables: &Tables<'_>,
    (both, winds): (Span, Span),
    asked: &Asked,
) -> SailChange {
    let Tables { book, from, to, course, .. } = *tables;
    let unit = book.units.wind;
    let words = |span: Span| wind_span(span, unit);
    let order = tables.order();
    let told: Vec<(usize, &Control, [AtWind; 2])> = order
        .iter()
        .filter_map(|index| Some((*index, book.controls.get(*index)?, tables.at(*index, winds.middle()))))
        .collect();
    let is_told = |told: &AtWind| told.each().any(|(_, told)| *told != Told::Unknown);
    let (marked, bare): (Vec<_>, Vec<_>) = told.into_iter().partition(|(_, _, [_, after])| is_told(after));
    let in_part = |part: &str, index: &usize| match part {
        "BEFORE" => asked.before.contains(index),
        "DURING" => asked.during.contains(index) && !asked.before.contains(index),
        _ => !asked.before.contains(index) && !asked.during.contains(index),
    };
    let row = |(_, control, [before, after]): &(usize, &Control, [AtWind; 2])| control_row(control, before, after);
    let part = |name: &str| Part {
        name: name.to_owned(),
        controls: marked.iter().filter(|(index, ..)| in_part(name, index)).map(row).collect(),
    };
    let parts: Vec<Part> =
        ["BEFORE", "DURING", "AFTER"].map(part).into_iter().filter(|part| !part.controls.is_empty()).collect();
    let grounds: BTreeSet<Ground> = parts.iter().flat_map(|part| &part.controls).filter_map(|row| row.ground).collect();
    let names: Vec<&str> = bare.iter().map(|(_, control, _)| control.name.as_str()).collect();
    SailChange {
        size: asked.size.clone(),
        boat: book.boat.name.value.clone(),
        from: old.name(),
        to: new.name(),
        point_of_sail: match course {
            Some(CourseOf { band, .. }) => angle_span(band.low, band.high),
            None => point_of_sail(to.point_of_sail).to_owned(),
        },
        wind: wind_words(book),
        wind_unit: unit.symbol().to_owned(),
        both: words(both),
        angles: course.map(|course| angle_span(course.both.low, course.both.high)),
        at_angle: tables.angle().map(Angle::print),
        winds: words(winds),
        parts,
        unmarked: (!names.is_empty()).then(|| format!("{}: {}", new.name(), names.join(", "))).into_iter().collect(),
        luff: asked.halyard.and_then(|index| luff_words(book.controls.get(index)?, old.lead, new.lead)),
        working: book.explained(|| tables.working((old, new), (both, winds))),
        grounds: grounds.into_iter().collect(),
        narrowed: narrowed(book, from, to),
        cautions: order.iter().filter_map(|index| book.controls.get(*index)).flat_map(limit_words).collect(),
    }
}

/// Of the sails set before and after the change, each that is for less than it was made for, once.
fn narrowed(book: &Book, from: &Settings, to: &Settings) -> Vec<String> {
    let mut found = narrowed_sails(book, from);
    for words in narrowed_sails(book, to) {
        if !found.contains(&words) {
            found.push(words);
        }
    }
    found
}

/// One control from the old sail's mark to the new one's.
fn control_row(control: &Control, before: &AtWind, after: &AtWind) -> ControlRow {
    let scale = &control.scale;
    let both = before.with(after, |before, after| (*before, *after));
    let reading = |told: Told<Setting>| told.map(|setting| setting.reading);
    let stays = both.each().all(|(_, (before, after))| reading(*before) == reading(*after));
    let bare = |told: &AtWind| sided::words(told, |setting| bare_words(scale, setting.reading));
    let ground = sided::ground(after);
    ControlRow {
        control: control.name.clone(),
        unit: scale.unit().map(str::to_owned),
        from: bare(before),
        to: ground.map_or_else(|| bare(after), |ground| signed(&bare(after), ground)),
        goes: if stays { STAYS.to_owned() } else { way_words(control, &both) },
        changed: !stays,
        ground,
    }
}

/// Which way a control goes, `TIGHTER`; by side where not both go the same way.
fn way_words(control: &Control, both: &Sided<(Told<Setting>, Told<Setting>)>) -> String {
    let way = both.map(|(before, after)| match (before.set(), after.set()) {
        (Some(before), Some(after)) if before.reading == after.reading => String::new(),
        (Some(before), Some(after)) if !control.scale.has_only_names() || control.higher_is.is_some() => {
            direction(control, after.reading > before.reading)
        }
        // Words have no way of their own; or where it stands is not known, or it is not in use.
        (_, Some(_)) => "SET".to_owned(),
        (Some(_), None) if *after == Told::NotUsed => "OFF".to_owned(),
        (_, None) => String::new(),
    });
    match way.settled() {
        Sided::Alike(way) => way,
        by_side => {
            let told = by_side.each().filter(|(_, way)| !way.is_empty());
            told.map(|(side, way)| sided::named(way, side)).collect::<Vec<String>>().join(", ")
        }
    }
}

/// One strip serves both sails: a shorter luff with its strop leaves the halyard that much short of where it was.
fn luff_words(halyard: &Control, old: &Sail, new: &Sail) -> Option<String> {
    let whole = |sail: &Sail| Some(sail.luff?.to_mm() + sail.strop.map_or(0.0, |strop| strop.to_mm()));
    let longer = (whole(new)? - whole(old)?).round();
    let (more, way) = if longer > 0.0 { ("longer", "further in") } else { ("shorter", "further out") };
    let size = longer.abs();
    (size > 0.0).then(|| {
        format!(
            "Luff and strop of {} are {size} mm {more} than of {}: fully up, the {} stands {size} mm {way}.",
            new.name,
            old.name,
            halyard.name.to_lowercase(),
        )
    })
}

/// The sails that a field of the entry names; `Err` if there is none of some name, which has been said.
fn set_of<'a>(
    book: &'a Book,
    entry: &mut Table,
    field: &'static str,
    problems: &mut Vec<Problem>,
) -> Result<Option<Vec<&'a Sail>>, ()> {
    let Some(node) = entry.take(field) else { return Ok(None) };
    let about = format!("`{field}` of a card");
    let nodes = node.some_items(&about, 1..=limits::MAX_SET, "[a3, staysail]", problems).ok_or(())?;
    let mut sails = Vec::new();
    for node in nodes {
        let name = node.text("the sail of a card", problems).ok_or(())?;
        let Some(sail) = book.sail(name) else {
            let advice = suggest::advice(name, book.sails.iter().map(|sail| sail.id.value.as_str()));
            problems.push(Problem::error(node.place.clone(), format!("there is no sail {}", shown(name)), advice));
            return Err(());
        };
        sails.push(sail);
    }
    Ok(Some(sails))
}

/// Indices of the controls that a field of the entry names.
fn controls_of(book: &Book, entry: &mut Table, field: &'static str, problems: &mut Vec<Problem>) -> BTreeSet<usize> {
    let nodes = entry.take(field).and_then(|node| node.items("the controls of a card", problems)).unwrap_or_default();
    let mut found = BTreeSet::new();
    for node in nodes {
        let Some(name) = node.text("a control of a card", problems) else { continue };
        match book.controls.iter().position(|control| control.id.value == name) {
            Some(index) => found.extend([index]),
            None => {
                let advice = suggest::advice(name, book.controls.iter().map(|control| control.id.value.as_str()));
                let what = format!("there is no control {}", shown(name));
                problems.push(Problem::error(node.place.clone(), what, advice));
            }
        }
    }
    found
}

/// `11 to 14 kn, Jib lead: 4 to 3½, FORWARD`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let unit = text(content.get("wind_unit"));
    // A card of an earlier release has several bands beside each other.
    let winds: Vec<String> = match content.shift_remove("winds") {
        Some(serde_json::Value::Array(winds)) => winds.iter().map(|wind| text(Some(wind))).collect(),
        wind => vec![text(wind.as_ref())],
    };
    for part in taken(content, "parts") {
        let when = text(part.get("name")).to_lowercase();
        for row in part.get("controls").and_then(serde_json::Value::as_array).into_iter().flatten() {
            let control = text(row.get("control"));
            lines.push(Said::one(format!("when to set {control}"), when.clone()));
            let cells = match row.get("cells").and_then(serde_json::Value::as_array) {
                Some(cells) => cells.iter().map(|cell| text(cell.get("text"))).collect(),
                None => vec![row_words(row)],
            };
            for (wind, cell) in winds.iter().zip(cells) {
                lines.push(Said::one(format!("{} {unit}, {control}", bare(wind, &unit)), cell));
            }
        }
    }
    lines.extend(texts(content, "unmarked").into_iter().map(|words| Said::among("no mark for", words)));
    lines.extend(optional(content, "both", "winds for both sails"));
    lines.extend(optional(content, "angles", "angles for both sails"));
    lines.extend(optional(content, "at_angle", "the angle of the marks"));
    lines.extend(optional(content, "luff", "halyard"));
    content.shift_remove("grounds");
}

/// `4 to 5½ bar, TIGHTER`, `stays 5`.
fn row_words(row: &serde_json::Value) -> String {
    let [from, to, goes, unit] = ["from", "to", "goes", "unit"].map(|field| text(row.get(field)));
    let unit = if unit.is_empty() { unit } else { format!(" {unit}") };
    if goes == STAYS {
        return format!("stays {to}{unit}");
    }
    format!("{from} to {to}{unit}{}{goes}", if goes.is_empty() { "" } else { ", " })
}
