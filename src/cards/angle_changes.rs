//! Change points along the angle: what moves next in one wind as the boat bears away or heads up. One card a wind.

use std::borrow::Cow;
use std::collections::BTreeSet;

use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::frame::{self, Surround};
use super::parts::matrix::{angled_columns, bands, out_of_use, recorded_of};
use super::parts::moves::Move;
use super::parts::sided;
use super::parts::table::{Breaks, Cell, Column as Ruling, Paragraph, Row, Ruled};
use super::parts::telling::{Said, item, taken, texts};
use super::parts::words::{
    LimitWords, WITHIN_MAKERS_LIMITS, angle_span, boxed_limits, course_words, ground_legend, ground_sign, grounded,
    limit_words, narrowed_sails, reasons, sail_names, wind_words,
};
use super::parts::working::Passage;
use super::{Card, Content, Label, Stock};
use crate::book::{Angled, Book, Control, Problem, Settings, Spanned};
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::{Angle, AngledColumn, AngledStretches, Axis, Change, Ground, Side, Sided, Wind, mark};
use crate::wrong::Wrong;

/// Changes of one control past which no card can be read: a gauge read too finely.
const MOST_CHANGES: usize = 200;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AngleChanges {
    /// It is looks, not content.
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    pub sails: Vec<String>,
    /// `50° to 110°`.
    pub course: String,
    /// What tells it from another card of these sails: `flat water`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// `2 of 3`, where one card does not hold all of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// What the winds are.
    pub wind: String,
    /// `12 kn`.
    pub at_wind: String,
    /// The closest angle, or one above all the rungs of this part, and what is set there.
    pub start: (String, Vec<(String, String)>),
    /// From close to broad.
    pub rungs: Vec<Rung>,
    /// The grounds that the marks are known from, for the legend.
    pub grounds: Vec<Ground>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    /// Controls of which it is not told where they change, and why.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_used: Vec<String>,
    pub cautions: Vec<LimitWords>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// An angle, and what moves there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rung {
    /// `80°`.
    pub angle: String,
    /// Bearing away, in the order of the settings: control, and `● FORWARD to 2½`.
    pub away: Vec<(String, String)>,
    /// Heading up.
    pub up: Vec<(String, String)>,
    /// The exact angles, degrees.
    pub exact: Vec<(String, Change<Angle>)>,
}

impl Content for AngleChanges {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        self.table().draw(label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

impl AngleChanges {
    fn table(&self) -> Ruled {
        let heads = ["ANGLE", "BEARING AWAY", "HEADING UP"];
        let columns = heads.into_iter().enumerate().map(|(nth, head)| match nth {
            0 => Ruling::narrow(head),
            _ => Ruling::wrapped(head),
        });
        Ruled {
            size: self.size.clone(),
            surround: self.surround(),
            name: format!("{}: {}", self.boat, self.name()),
            description: "What to move next as the boat bears away or heads up".to_owned(),
            columns: columns.collect(),
            rows: self.rungs.iter().map(Rung::row).collect(),
            ..Ruled::default()
        }
    }
}

impl Rung {
    fn row(&self) -> Row {
        let told = |moves: &[(String, String)]| Cell {
            paragraphs: moves
                .iter()
                .map(|(control, words)| {
                    // A mark never stands on a line without its `to`.
                    let at = words.rfind("to ").unwrap_or_default();
                    let words = [words[..at].trim_end(), &words[at..]].into_iter().filter(|words| !words.is_empty());
                    let name = control.split_whitespace().map(|word| (word.to_owned(), Weight::Bold));
                    let runs = name.chain(words.map(|words| (words.to_owned(), Weight::Regular))).collect();
                    Paragraph { runs, breaks: Breaks::Runs, ..Paragraph::default() }
                })
                .collect(),
            ..Cell::default()
        };
        Row::of([Cell::bold(&self.angle), told(&self.away), told(&self.up)])
    }
}

impl AngleChanges {
    /// `J1 + Main, 50° to 110°: change points at 12 kn`.
    pub fn name(&self) -> String {
        let title = self.title.as_ref().map(|title| format!(", {title}")).unwrap_or_default();
        let part = self.part.as_ref().map(|part| format!(", {part}")).unwrap_or_default();
        format!("{}, {}{title}: change points at {}{part}", self.sails.join(" + "), self.course, self.at_wind)
    }

    fn surround(&self) -> Surround {
        let (angle, marks) = &self.start;
        let marks: Vec<String> = marks.iter().map(|(control, mark)| format!("{control} {mark}")).collect();
        let mut must: Vec<String> = self.narrowed.iter().map(|words| format!("{words}.")).collect();
        must.extend((!self.cautions.is_empty()).then(|| boxed_limits(&self.cautions, WITHIN_MAKERS_LIMITS)));
        let legend: Vec<&str> = self.grounds.iter().map(|ground| ground_legend(*ground)).collect();
        let foot = std::iter::once(format!("At {angle}: {}", marks.join(" · ")));
        let foot = foot.chain(self.not_used.iter().map(|words| format!("{words}.")));
        let foot = foot.chain([legend.join(" · ")]).chain(reasons(&self.cautions));
        let sails = self.sails.iter().enumerate();
        let sails = sails.map(|(index, sail)| if index == 0 { sail.clone() } else { format!("+ {sail}") });
        let title = self.title.iter().map(|title| format!("· {title}"));
        Surround {
            title: sails.chain(title).chain([format!("· {}", self.at_wind)]).collect(),
            at_right: self.course.clone(),
            kind: self
                .part
                .as_ref()
                .map_or_else(|| "CHANGE POINTS".to_owned(), |part| format!("CHANGE POINTS · part {part}")),
            subtitle: format!("By true wind angle, in {}: read down bearing away, up heading up", self.wind),
            must,
            foot: foot.collect(),
            ..Surround::default()
        }
    }
}

/// The cards of settings by wind and angle: at one wind, or at the middle of each band in which something moves.
pub fn cards(
    book: &Book,
    (settings, angled): (&Settings, &Angled),
    (id, size): (Option<String>, Option<NamedSize>),
    at_wind: Option<&Spanned<Wind>>,
    problems: &mut Vec<Problem>,
) -> Vec<Card> {
    if let Some(problem) = out_of_use(book, settings) {
        problems.push(problem);
        return Vec::new();
    }
    let winds = match at_wind {
        Some(wind) => vec![wind.value],
        None => bands(book, settings).into_iter().map(|band| band.middle()).collect(),
    };
    let making = Making::new(book, settings, angled);
    let label = Label::longest(book);
    let found: Vec<AngleChanges> = winds.iter().flat_map(|wind| making.parts(*wind, size.as_ref(), &label)).collect();
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
        return Vec::new();
    }
    let stem = id.unwrap_or_else(|| format!("change-{}", settings.id.value));
    let card = |(index, content): (usize, AngleChanges)| {
        let id = if index == 0 { stem.clone() } else { format!("{stem}-{}", index + 1) };
        Card::new(id, super::change_points::KIND.name, content.name(), Stock::Card, settings.place.clone(), content)
    };
    found.into_iter().enumerate().map(card).collect()
}

/// Which of the controls changes, and how.
type Moved = (usize, Change<Angle>);

/// What the cards of one table are made of.
struct Making<'a> {
    book: &'a Book,
    settings: &'a Settings,
    angled: &'a Angled,
    columns: Vec<Option<Sided<AngledStretches>>>,
}

/// A control on one side, along the angle at one wind.
struct Named<'a> {
    control: &'a Control,
    side: Option<Side>,
    column: Cow<'a, AngledColumn>,
}

impl<'a> Making<'a> {
    fn new(book: &'a Book, settings: &'a Settings, angled: &'a Angled) -> Self {
        Making { book, settings, angled, columns: angled_columns(book, settings) }
    }

    /// The controls of which anything is recorded.
    fn recorded(&self) -> impl Iterator<Item = (&Control, &Sided<AngledStretches>)> {
        recorded_of(self.book, self.settings, &self.columns)
    }

    /// Each side of each control of which it is known where it changes with the angle at a wind.
    fn named(&self, wind: Wind) -> Vec<Named<'_>> {
        let by_side = self
            .recorded()
            .flat_map(|(control, column)| column.each().map(move |(side, column)| (control, side, column)));
        by_side
            .filter_map(|(control, side, column)| Some(Named { control, side, column: column.around(wind)? }))
            .collect()
    }

    /// The controls that are left out at a wind since they are not used somewhere around it.
    fn left_out(&self, wind: Wind) -> Vec<String> {
        let is_left_out = |(_, column): &(&Control, &Sided<AngledStretches>)| {
            column.each().any(|(_, column)| column.around(wind).is_none())
        };
        let why = "not used at some angles in this wind or the next; where it changes is not told here";
        self.recorded().filter(is_left_out).map(|(control, _)| format!("{}: {why}", control.name)).collect()
    }

    /// What moves at one wind: on one card, or on as many as it takes to be read, all about as full; none if nothing moves.
    fn parts(&self, wind: Wind, size: Option<&NamedSize>, label: &Label) -> Vec<AngleChanges> {
        let Some(changes) = self.changes(wind) else { return Vec::new() };
        let rungs: Vec<&[Moved]> = changes
            .chunk_by(|one, next| one.1.at.print() == next.1.at.print())
            .filter(|rung| Self::moves(rung))
            .collect();
        let usual = NamedSize::known(frame::LARGEST_USUAL);
        let fits = |card: &AngleChanges| {
            let sized = size.or(usual.as_ref());
            sized.is_none_or(|size| card.table().measured().fits(label, size, frame::least_cap_mm()))
        };
        let in_parts = |count: usize| -> Vec<AngleChanges> {
            let cuts: Vec<usize> = (0..=count).map(|cut| rungs.len() * cut / count).collect();
            // A part ends halfway to the first rung of the next.
            let seam = |cut: usize| {
                let (before, after) = (rungs.get(cut.checked_sub(1)?)?.last()?, rungs.get(cut)?.first()?);
                Some(before.1.at.midway(after.1.at))
            };
            let part = |(nth, cut): (usize, &[usize])| {
                let part = (count > 1).then(|| format!("{} of {count}", nth + 1));
                self.content(wind, &rungs[cut[0]..cut[1]], (seam(cut[0]), seam(cut[1])), size, part)
            };
            cuts.windows(2).enumerate().filter_map(part).collect()
        };
        let readable = (1..=rungs.len()).map(in_parts).find(|parts| parts.iter().all(fits));
        // What no number of cards holds is refused with the words of the first.
        readable.unwrap_or_else(|| in_parts(1))
    }

    /// Every change at one wind inside the angles of the sails, from close to broad; `None` if the sails are for no angle.
    fn changes(&self, wind: Wind) -> Option<Vec<Moved>> {
        let range = self.book.range_of(self.settings).angles()?;
        let mut changes = Vec::new();
        for (nth, Named { column, .. }) in self.named(wind).iter().enumerate() {
            let inside = column.changes_at(wind).into_iter().filter(|change| range.holds(change.at));
            changes.extend(inside.take(MOST_CHANGES).map(|change| (nth, change)));
        }
        changes.sort_by_key(|(nth, change)| (change.at, *nth));
        Some(changes)
    }

    /// Whether anything moves at one printed angle that does not come back to where it was.
    fn moves(changes: &[Moved]) -> bool {
        changes.iter().any(|(nth, _)| ends(*nth, changes).is_some())
    }

    /// The closest known angle at a wind.
    fn closest(&self, wind: Wind) -> Option<Angle> {
        let range = self.book.range_of(self.settings).angles()?;
        let named = self.named(wind);
        let known = named.iter().filter_map(|one| one.column.known_angles(wind)).map(|(low, _)| low);
        Some(known.min()?.max(range.low))
    }

    /// The course of a part, so that none is taken for another: `50° to 85°`.
    fn course(&self, (from, to): (Option<Angle>, Option<Angle>)) -> String {
        let span = self.angled.span().filter(|_| from.or(to).is_some());
        span.map_or_else(
            || course_words(self.settings),
            |(low, high)| angle_span(from.unwrap_or(low), to.unwrap_or(high)),
        )
    }

    /// What the card says of some rungs, from one seam to another; without a seam to the end of the angles.
    fn content(
        &self,
        wind: Wind,
        rungs: &[&[Moved]],
        seams: (Option<Angle>, Option<Angle>),
        size: Option<&NamedSize>,
        part: Option<String>,
    ) -> Option<AngleChanges> {
        let Making { book, settings, .. } = *self;
        let mut grounds = BTreeSet::new();
        if rungs.is_empty() {
            return None;
        }
        let start = seams.0.or_else(|| self.closest(wind))?;
        let mut at_start = |(control, column): (&Control, &Sided<AngledStretches>)| {
            let setting = column.map(|column| column.at(wind, start)).all()?;
            grounds.extend(sided::ground(&setting));
            Some((control.name.clone(), sided::signed_mark(&control.scale, &setting)))
        };
        let start = (start.print(), self.recorded().filter_map(&mut at_start).collect());
        let rungs = rungs.iter().filter_map(|rung| self.rung(wind, rung, &mut grounds)).collect();
        Some(AngleChanges {
            size: size.cloned(),
            boat: book.boat.name.value.clone(),
            sails: sail_names(book, settings),
            course: self.course(seams),
            title: settings.title.clone(),
            part,
            wind: wind_words(book),
            at_wind: wind.print_with_unit(book.units.wind),
            start,
            rungs,
            grounds: grounds.into_iter().collect(),
            narrowed: narrowed_sails(book, settings),
            not_used: self.left_out(wind),
            cautions: self.recorded().flat_map(|(control, _)| limit_words(control)).collect(),
            working: self.named(wind).iter().map(|one| self.working(one, wind)).collect(),
        })
    }

    /// What moves at one printed angle; `None` if all of it comes back to where it was.
    fn rung(&self, wind: Wind, changes: &[Moved], grounds: &mut BTreeSet<Ground>) -> Option<Rung> {
        let (mut away, mut up, mut exact) = (Vec::new(), Vec::new(), Vec::new());
        for (nth, Named { control, side, column }) in self.named(wind).iter().enumerate() {
            let name = sided::named(&control.name, *side);
            let own = changes.iter().filter(|(of, _)| *of == nth);
            exact.extend(own.map(|(_, change)| (name.clone(), *change)));
            let Some((first, last)) = ends(nth, changes) else { continue };
            // Between known angles nothing is just sailed: what it is known from there.
            let ground =
                column.at(wind, last.at).map_or(Ground::Between, |setting| setting.ground.max(Ground::Between));
            grounds.insert(ground);
            let told = |from: f64, to: f64| {
                let way = Move::new(control, from, to);
                let sign = ground_sign(ground).map(|sign| format!("{sign} ")).unwrap_or_default();
                let direction = if way.direction.is_empty() { String::new() } else { format!("{} ", way.direction) };
                (name.clone(), format!("{sign}{direction}to {}", grounded(&way.to, ground)))
            };
            away.push(told(first.from, last.to));
            up.push(told(last.to, first.from));
        }
        let angle = changes.first()?.1.at.print();
        (!away.is_empty()).then_some(Rung { angle, away, up, exact })
    }

    /// How a control's change points follow from its known rows.
    fn working(&self, Named { control, side, column }: &Named<'_>, wind: Wind) -> Passage {
        let Making { book, settings, angled, .. } = *self;
        let unit = book.units.wind;
        let mut passage =
            Passage::new(format!("{}, where it changes with the angle", sided::named(&control.name, *side)));
        let is_this = |index: &usize| book.controls.get(*index).is_some_and(|other| other.id.value == control.id.value);
        let position = settings.controls.iter().position(is_this);
        for row in &angled.rows {
            let recorded = position.and_then(|position| row.row.readings.get(position));
            let Some((printed, place)) = recorded.and_then(|of| sided::recorded(of, control, *side)) else { continue };
            let found = format!("known at {}, {}", row.row.at.value.as_written(unit), row.angle.value.as_written());
            passage.input(found, printed.unwrap_or_else(|| sided::NOT_USED.to_owned()), place);
        }
        let how = "the angle at which what is read along the angle in each known wind, and then along the wind, rounds to the next mark";
        for change in column.changes_at(wind).into_iter().take(MOST_CHANGES) {
            let (from, to) = (control.scale.print(change.from), control.scale.print(change.to));
            let at = format!("{}°", mark::print_decimal((change.at.number() * 100.0).round() / 100.0));
            passage.step(format!("{from} to {to}"), how, at);
        }
        passage
    }
}

/// The first and the last change of one control at one printed angle; `None` if it ends where it began.
fn ends(nth: usize, changes: &[Moved]) -> Option<(Change<Angle>, Change<Angle>)> {
    let mut own = changes.iter().filter(|(of, _)| *of == nth).map(|(_, change)| *change);
    let first = own.next()?;
    let last = own.next_back().unwrap_or(first);
    (first.from != last.to).then_some((first, last))
}

/// `bearing away, Jib lead: FORWARD to 2½ at 80°`.
pub fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    content.shift_remove("grounds");
    lines.extend(texts(content, "not_used").into_iter().map(|words| Said::among("", words)));
    let wind = text(content.get("at_wind"));
    if let Some(serde_json::Value::Array(start)) = content.shift_remove("start") {
        let angle = start.first().map(short).unwrap_or_default();
        for pair in start.get(1).and_then(serde_json::Value::as_array).into_iter().flatten() {
            lines.push(Said::one(format!("{} at {wind}, {angle}", item(pair, 0)), item(pair, 1)));
        }
    }
    for rung in taken(content, "rungs") {
        let angle = text(rung.get("angle"));
        for (field, words) in [("away", "bearing away"), ("up", "heading up")] {
            for step in rung.get(field).and_then(serde_json::Value::as_array).into_iter().flatten() {
                lines.push(Said::one(format!("{words}, {} {}", item(step, 0), item(step, 1)), format!("at {angle}")));
            }
        }
    }
}
