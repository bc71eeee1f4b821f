//! The kind `sail-change`: what to do before, during and after one sail gives way to another.

use crate::wrong::{Wrong, shown};
use std::collections::BTreeSet;

use serde::Serialize;
use serde_json::json;

use super::parts::comparing::{Fields, text};
use super::parts::frame::Surround;
use super::parts::matrix::{angle_bands, columns_at};
use super::parts::moves::direction;
use super::parts::sets::{SailSet, sets};
use super::parts::sided::{self, AtWind};
use super::parts::table::{Cell, Column as Ruling, Paragraph, Row, Ruled, Under};
use super::parts::telling::{Said, bare, by_lines, optional, taken, texts};
use super::parts::words::{
    LimitWords, WITHIN_MAKERS_LIMITS, angle_span, bare_words, boxed_limits, ground_legend, limit_words, narrowed_sails,
    point_of_sail, reasons, wind_span, wind_words,
};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Nothing, Stock, Usual};
use crate::book::{Book, Control, Problem, Sail, Section, Settings, Table, suggest};
use crate::drawing::Drawing;
use crate::limits;
use crate::size::NamedSize;
use crate::tuning::wardrobe::{HandOver, hand_overs};
use crate::tuning::{Angle, Axis, Band, Ground, Setting, Sided, Span, Stretches, Told};

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
    /// The bands in which they may swap, as far as both are for them.
    pub winds: Vec<String>,
    pub parts: Vec<Part>,
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
    /// One a band.
    pub cells: Vec<ChangeCell>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChangeCell {
    /// `4 to 5½, TIGHTER`; `stays 5`.
    pub text: String,
    pub changed: bool,
    /// Of the new mark; `None` where the new sail has none.
    pub ground: Option<Ground>,
}

impl Content for SailChange {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let winds = self.winds.iter().map(|wind| Ruling::wrapped(format!("{wind} {}", self.wind_unit)));
        Ruled {
            size: self.size.clone(),
            surround: self.surround(),
            name: format!("{}: {}", self.boat, self.title()),
            description: "Settings before, during and after a sail change".to_owned(),
            columns: [Ruling::narrow("WHEN"), Ruling::wrapped("CONTROL")].into_iter().chain(winds).collect(),
            rows: self.rows(),
            boxed_in: true,
            ..Ruled::default()
        }
        .draw(label)
    }
}

impl SailChange {
    /// `J1 to J2, upwind`.
    pub fn title(&self) -> String {
        format!("{} to {}, {}", self.from, self.to, self.point_of_sail)
    }

    fn rows(&self) -> Vec<Row> {
        let part = |part: &Part| -> Vec<Row> {
            let count = part.controls.len();
            let row = |(index, row): (usize, &ControlRow)| {
                let when = if index == 0 { Cell::bold(&part.name) } else { Cell::empty() };
                let cell = |cell: &ChangeCell| match cell.changed {
                    true => Cell::bold(&cell.text),
                    false => Paragraph::small(&cell.text).into(),
                };
                let cells = [when, Cell::plain(&row.control)].into_iter().chain(row.cells.iter().map(cell));
                Row::Cells(cells.collect(), if index + 1 == count { Under::HeavyLine } else { Under::Line })
            };
            part.controls.iter().enumerate().map(row).collect()
        };
        self.parts.iter().flat_map(part).collect()
    }

    fn surround(&self) -> Surround {
        let mut must: Vec<String> = self.luff.iter().cloned().collect();
        let legend: Vec<&str> = self.grounds.iter().copied().map(ground_legend).collect();
        let angle = self.at_angle.iter().map(|angle| format!(" and of the angles, {angle}")).collect::<String>();
        let mut words = format!("Marks for the middle of the winds{angle}. Of the new mark: {}.", legend.join(" · "));
        let cells = self.parts.iter().flat_map(|part| &part.controls).flat_map(|row| &row.cells);
        if cells.into_iter().any(|cell| cell.text.contains(sided::NOT_USED)) {
            words.push_str(&format!(" {}.", sided::NOT_USED_LEGEND));
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
                for (index, course) in courses.into_iter().enumerate() {
                    let content = content(book, (old, new), (settings, next), (both, course), &asked);
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
             share any wind",
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

/// What a sail wants in a band: that at its middle, so that both sails are held against each other in the same wind.
fn in_band(column: &Sided<Stretches>, band: Band) -> AtWind {
    sided::at(column, band.middle())
}

fn content(
    book: &Book,
    (old, new): (&SailSet<'_>, &SailSet<'_>),
    (from, to): (&Settings, &Settings),
    (both, course): (Span, Option<CourseOf>),
    asked: &Asked,
) -> SailChange {
    let unit = book.units.wind;
    let words = |span: Span| wind_span(span, unit);
    let mut bands: Vec<Band> = book.bands.iter().filter_map(|band| band.within(both)).collect();
    if bands.is_empty() {
        bands.push(both.into());
    }
    let angle = course.map(|course| course.band.middle());
    let (old_columns, new_columns) = (columns_at(book, from, angle), columns_at(book, to, angle));
    let column =
        |settings: &Settings, columns: &[Option<Sided<Stretches>>], control: usize| -> Option<Sided<Stretches>> {
            columns.get(settings.controls.iter().position(|index| *index == control)?)?.clone()
        };
    // The new sail's order of work first, then what only the old one has.
    let only_old = from.controls.iter().filter(|index| !to.controls.contains(index));
    let order: Vec<usize> = to.controls.iter().chain(only_old).copied().collect();
    let mut working: Vec<Passage> = Vec::new();
    for index in &order {
        let Some(control) = book.controls.get(*index) else { continue };
        for band in &bands {
            let mut passage = Passage::new(format!("{}, {} {}", control.name, words((*band).into()), unit.symbol()));
            passage.input("winds of both sails", words(both), &new.lead.place);
            if let Some(CourseOf { both, .. }) = course {
                passage.input("angles of both sails and tables", angle_span(both.low, both.high), &new.lead.place);
            }
            for (set, settings, columns) in [(old, from, &old_columns), (new, to, &new_columns)] {
                let Some(column) = column(settings, columns, *index) else { continue };
                let (setting, middle) = (in_band(&column, *band), band.middle());
                let by_angle = angle.filter(|_| settings.angled.is_some());
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
    }
    let mut grounds = BTreeSet::new();
    let mut row = |index: usize| -> Option<ControlRow> {
        let control = book.controls.get(index)?;
        let (before, after) = (column(from, &old_columns, index), column(to, &new_columns, index));
        let cell = |band: &Band| {
            let at = |column: &Option<Sided<Stretches>>| {
                column.as_ref().map_or(Sided::Alike(Told::Unknown), |column| in_band(column, *band))
            };
            let cell = change_cell(control, &at(&before), &at(&after));
            grounds.extend(cell.ground);
            cell
        };
        Some(ControlRow { control: control.name.clone(), cells: bands.iter().map(cell).collect() })
    };
    let in_part = |part: &str, index: &usize| match part {
        "BEFORE" => asked.before.contains(index),
        "DURING" => asked.during.contains(index) && !asked.before.contains(index),
        _ => !asked.before.contains(index) && !asked.during.contains(index),
    };
    let parts: Vec<Part> = ["BEFORE", "DURING", "AFTER"]
        .into_iter()
        .map(|name| {
            let controls = order.iter().filter(|index| in_part(name, index)).filter_map(|index| row(*index)).collect();
            Part { name: name.to_owned(), controls }
        })
        .filter(|part: &Part| !part.controls.is_empty())
        .collect();
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
        at_angle: angle.map(Angle::print),
        winds: bands.into_iter().map(|band| words(band.into())).collect(),
        parts,
        luff: asked.halyard.and_then(|index| luff_words(book.controls.get(index)?, old.lead, new.lead)),
        working,
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

fn change_cell(control: &Control, before: &AtWind, after: &AtWind) -> ChangeCell {
    let both = before.with(after, |before, after| (*before, *after));
    let is_any = |wanted: fn(Told<Setting>) -> bool, told: &AtWind| told.each().any(|(_, told)| wanted(*told));
    let (is_set, is_told) = (|told| matches!(told, Told::Set(_)), |told| told != Told::Unknown);
    let mark = sided::signed_mark(&control.scale, after);
    let reading = |told: Told<Setting>| told.map(|setting| setting.reading);
    let stays = both.each().all(|(_, (before, after))| reading(*before) == reading(*after));
    let (text, changed) = match (is_any(is_told, before), is_any(is_told, after)) {
        (true, true) if stays => (format!("stays {mark}"), false),
        (true, true) => {
            // The unit once, with the mark that it comes to.
            let from = match is_any(is_set, after) {
                true => sided::words(before, |setting| bare_words(&control.scale, setting.reading)),
                false => sided::mark(&control.scale, before),
            };
            (format!("{from} to {mark}{}", way_words(control, &both)), true)
        }
        (false, true) => (format!("to {mark}"), true),
        (true, false) => ("no mark with the new sail".to_owned(), false),
        (false, false) => (sided::UNKNOWN.to_owned(), false),
    };
    ChangeCell { text, changed, ground: sided::ground(after) }
}

/// Which way a control goes, `, TIGHTER`; by side where not both go the same way.
fn way_words(control: &Control, both: &Sided<(Told<Setting>, Told<Setting>)>) -> String {
    let way = both.map(|(before, after)| {
        let (before, after) = before.set().zip(after.set()).filter(|(one, other)| one.reading != other.reading)?;
        Some(direction(control, after.reading > before.reading)).filter(|way| !way.is_empty())
    });
    match way.settled() {
        Sided::Alike(way) => way.map(|way| format!(", {way}")).unwrap_or_default(),
        by_side => {
            let told = by_side.each().filter_map(|(side, way)| Some(sided::named(way.as_ref()?, side)));
            told.map(|way| format!(", {way}")).collect()
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
    let winds = texts(content, "winds");
    for part in taken(content, "parts") {
        let when = text(part.get("name")).to_lowercase();
        for row in part.get("controls").and_then(serde_json::Value::as_array).into_iter().flatten() {
            let control = text(row.get("control"));
            lines.push(Said::one(format!("when to set {control}"), when.clone()));
            for (wind, cell) in
                winds.iter().zip(row.get("cells").and_then(serde_json::Value::as_array).into_iter().flatten())
            {
                lines.push(Said::one(format!("{} {unit}, {control}", bare(wind, &unit)), text(cell.get("text"))));
            }
        }
    }
    lines.extend(optional(content, "both", "winds for both sails"));
    lines.extend(optional(content, "angles", "angles for both sails"));
    lines.extend(optional(content, "at_angle", "the angle of the marks"));
    lines.extend(optional(content, "luff", "halyard"));
    content.shift_remove("grounds");
}
