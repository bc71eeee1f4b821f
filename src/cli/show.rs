//! `show`: the settings at a wind speed, in the terminal.

use clap::Args;
use cockpit_cards::book::{Adjustment, Book, DockTune, PointOfSail, Sail, SailKind, Settings, suggest};
use cockpit_cards::cards::parts::evidence::{disputed, disputed_words};
use cockpit_cards::cards::parts::into_rows::goes_by_apparent;
use cockpit_cards::cards::parts::matrix::{bands, columns_at};
use cockpit_cards::cards::parts::moves::limits as control_limits;
use cockpit_cards::cards::parts::sided;
use cockpit_cards::cards::parts::words::{
    bare_words, called, ground_legend, ground_sign, grounded, known_words, more_words, narrowed_sails, open_span,
    point_of_sail,
};
use cockpit_cards::cards::{Feel, Felt, past_this_sail};
use cockpit_cards::door::{self, Passed};
use cockpit_cards::limits;
use cockpit_cards::tuning::adjust::Held;
use cockpit_cards::tuning::righting::Bunks;
use cockpit_cards::tuning::{Angle, Ground, Known, Setting, Side, Sided, Stretches, Told, Wind};
use cockpit_cards::wrong::Wrong;
use serde_json::json;

use super::chosen::{ChosenBook, Usage};
use super::typed;
use super::{Outcome, complain, headed, refuse, refused, say, say_json, show_dock};

/// Change points listed of one control; a gauge read to 1 psi may have more than anyone wants.
const MOST_CHANGES: usize = 2_000;

const USAGE: Usage = Usage { before: "show", after: " --wind 13", has_example: true };

#[derive(Args)]
pub struct Show {
    #[command(flatten)]
    book: ChosenBook,
    /// Wind speed, 13 or `13 kn` or `6.5 m/s`, in the book's unit if it names none: the wind of its rows, apparent where its `wind_source` is
    #[arg(long, value_name = "SPEED", value_parser = typed::wind)]
    wind: typed::WindSpeed,
    /// True wind angle in degrees, off the bow: what goes by angle too is shown there, and only what is for it
    #[arg(long, value_name = "DEGREES", value_parser = typed::degrees)]
    angle: Option<f64>,
    /// Only these settings, by id
    #[arg(long, value_name = "ID")]
    settings: Option<String>,
    /// Only settings for this point of sail, such as upwind or close-reach
    #[arg(long, value_name = "POINT")]
    point_of_sail: Option<String>,
    /// Adjusted for the sea, by its name in the book, such as chop
    #[arg(long, value_name = "NAME")]
    adjust: Option<String>,
    /// This many are below: shows the wind to read a card at, and the settings there
    #[arg(long, value_name = "NUMBER", value_parser = typed::whole::<u32>)]
    below: Option<u32>,
    /// The side they sleep on
    #[arg(long, value_enum, default_value_t = BunkSide::Windward, requires = "below")]
    bunks: BunkSide,
    /// A JSON list of {settings, wind_kn, controls} on standard output, with angle_deg where settings go by angle too
    #[arg(long)]
    json: bool,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum BunkSide {
    Windward,
    Centre,
    Leeward,
}

impl From<BunkSide> for Bunks {
    fn from(side: BunkSide) -> Self {
        match side {
            BunkSide::Windward => Bunks::Windward,
            BunkSide::Centre => Bunks::Centre,
            BunkSide::Leeward => Bunks::Leeward,
        }
    }
}

/// Settings to show, and the wind to read them at.
struct Shown<'a> {
    settings: &'a Settings,
    /// The wind that blows.
    wind: Wind,
    /// The angle that is sailed, where the settings go by angle too and it was given.
    angle: Option<Angle>,
    /// In its place, with part of the crew below.
    read_at: Wind,
    /// `4 below in windward bunks`.
    because: Option<String>,
    /// Whether it is known at which wind to read them.
    is_reckoned: bool,
}

impl Show {
    pub fn run(self) -> Outcome {
        let opened = match self.book.open(USAGE) {
            Ok(opened) => opened,
            Err(outcome) => return outcome,
        };
        let Passed { made, mut problems, sources } = door::through(opened.loaded, |book, _| Some(book.afloat()));
        complain(&mut problems, &sources);
        let Some(book) = made else { return refused(&problems, &opened.name) };
        let wind = match self.wind.of(&book.units) {
            Ok(wind) if wind.to_knots() > 0.0 => wind,
            Ok(_) => {
                return refuse(
                    &format!("--wind {}: no wind speed", self.wind.as_typed()),
                    "give a number above 0, such as --wind 13",
                );
            }
            Err(wrong) => return refuse(&format!("--wind: {}", wrong.what), &wrong.instead),
        };
        if let Some(angle) = self.angle.filter(|angle| !limits::WIND_ANGLE_DEG.contains(angle)) {
            return refuse(
                &format!("--angle {angle}: no true wind angle"),
                "give degrees from 0 to 180, such as --angle 80",
            );
        }
        if let Some(tune) = self.settings.as_deref().and_then(|id| book.dock_tune(id)) {
            return self.at_the_dock(&book, tune, wind, &opened.name);
        }
        let chosen: Vec<&Settings> = match &self.settings {
            Some(id) => match book.settings(id) {
                Some(settings) => vec![settings],
                None => {
                    let racing = book.settings.iter().map(|settings| settings.id.value.as_str());
                    let ids = racing.chain(book.dock_tunes.iter().map(|tune| tune.id.value.as_str()));
                    return refuse(&format!("there are no settings `{id}`"), &suggest::advice(id, ids));
                }
            },
            None => at_angle(&book, from_wardrobe(&book, wind), self.angle.map(Angle::degrees)),
        };
        let chosen = match on_point_of_sail(&book, chosen, self.point_of_sail.as_deref()) {
            Ok(chosen) => chosen,
            Err(outcome) => return outcome,
        };
        let sea = self.adjust.as_deref().map(|name| Sea { name, adjustment: book.adjustment(name) });
        if let Some(Sea { name, adjustment: None }) = sea {
            let sailed = || book.settings.iter().filter_map(|settings| settings.sea.as_deref());
            if !sailed().any(|sea| sea == name) {
                let names = book.adjustments.iter().map(|known| known.id.value.as_str()).chain(sailed());
                return refuse(&format!("there is no adjustment `{name}`"), &suggest::advice(name, names));
            }
        }
        let sea = sea.as_ref();
        let chosen = sea.map_or_else(|| chosen.clone(), |sea| sea.among(&book, &chosen));
        let shown: Vec<Shown<'_>> = match chosen.iter().map(|settings| self.shown(&book, settings, wind)).collect() {
            Ok(shown) => shown,
            Err(wrong) => return refuse(&wrong.what, &wrong.instead),
        };
        if self.json {
            let list: Vec<_> = shown.iter().map(|shown| as_json(&book, shown, sea)).collect();
            return say_json(&serde_json::Value::Array(list));
        }
        let head = headed(&book, &opened.name);
        if chosen.is_empty() {
            return say(&format!("{head}no sails are for {}\n", wind.as_written(book.units.wind)));
        }
        let mut used = Vec::new();
        let tables: Vec<String> = shown.iter().map(|shown| as_text(&book, shown, sea, &mut used)).collect();
        used.sort_unstable();
        used.dedup();
        let legend: Vec<&str> = used.into_iter().map(ground_legend).collect();
        say(&format!("{head}{}\n{}\n", tables.join("\n"), legend.join("   ")))
    }

    /// What is set before leaving, for a wind to expect.
    fn at_the_dock(&self, book: &Book, tune: &DockTune, wind: Wind, name: &str) -> Outcome {
        let afloat = [
            ("--angle", self.angle.is_some()),
            ("--point-of-sail", self.point_of_sail.is_some()),
            ("--adjust", self.adjust.is_some()),
            ("--below", self.below.is_some()),
        ];
        if let Some((flag, _)) = afloat.into_iter().find(|(_, given)| *given) {
            let what = format!("{flag}: the settings `{}` are made at the dock", tune.id.value);
            return refuse(&what, "give just the wind to expect, such as --wind 13");
        }
        if self.json {
            return say_json(&serde_json::Value::Array(vec![show_dock::as_json(book, tune, wind)]));
        }
        say(&format!("{}{}", headed(book, name), show_dock::as_text(book, tune, wind)))
    }

    /// The wind to read the settings at.
    fn shown<'a>(&self, book: &Book, settings: &'a Settings, wind: Wind) -> Result<Shown<'a>, Wrong> {
        let angle = self.angle.map(Angle::degrees).filter(|_| settings.angled.is_some());
        let as_it_blows = Shown { settings, wind, angle, read_at: wind, because: None, is_reckoned: true };
        let Some(below) = self.below else {
            // With nobody below the air may still be another than on the day she was tuned, and this is told here too.
            let felt = Feel::of(book)
                .filter(|feel| feel.air_factor().is_some())
                .map(|feel| feel.read_at(settings, (wind, angle), 0, Bunks::Windward));
            return Ok(match felt {
                Some(Ok(Felt::At(read_at))) if read_at.changes() => Shown {
                    read_at: read_at.wind,
                    because: Some("the air is heavier than on the day she was tuned".to_owned()),
                    ..as_it_blows
                },
                _ => as_it_blows,
            });
        };
        let Some(feel) = Feel::of(book) else {
            return Err(Wrong::new(
                "--below needs `crew` and `righting` of the book",
                "write both; the built-in example shows how: cockpit-cards show --example --wind 13 --below 4",
            ));
        };
        let bunks = Bunks::from(self.bunks);
        let felt = feel
            .read_at(settings, (wind, angle), below, bunks)
            .map_err(|error| Wrong::new(format!("--below {below}: {}", error.what()), error.instead()))?;
        let crew = format!("{below} below in {} bunks", bunks.word());
        let because = match (&felt, felt.not_reckoned()) {
            (_, Some(why)) => format!("{crew}: {why}"),
            (Felt::At(read_at), _) if read_at.changes() => match past_this_sail(book, settings, read_at.wind) {
                Some(past) => format!("{crew}; {}", past.words()),
                None => crew,
            },
            (Felt::At(read_at), _) if !read_at.is_limited() => format!("{crew}: no change, heel is not the limit"),
            _ => format!("{crew}: no change"),
        };
        let is_reckoned = felt.not_reckoned().is_none();
        Ok(Shown { read_at: felt.wind_or(wind), because: Some(because), is_reckoned, ..as_it_blows })
    }
}

/// The settings for a wind. Where the book plans its wardrobe, for each point of sail only those of the sail that comes
/// first in the book and may be used in this wind as it is now.
fn from_wardrobe(book: &Book, wind: Wind) -> Vec<&Settings> {
    let fits = |settings: &&Settings| book.range_of(settings).holds_winds(wind, wind);
    let all: Vec<&Settings> = book.settings.iter().filter(fits).collect();
    if book.wardrobe.is_none() {
        return all;
    }
    // The headsail, and not the mainsail or its reef, is what the wardrobe chooses.
    let rank = |settings: &Settings| {
        let is_up = |sail: &&Sail| settings.sails.iter().any(|id| id.value == sail.id.value);
        // Nor is it what flies under another: with and without it stand beside each other.
        let leads = |sail: &Sail| !book.sails.iter().filter(is_up).any(|other| book.flies_under(sail, other));
        book.sails.iter().position(|sail| sail.kind != SailKind::Mainsail && is_up(&sail) && leads(sail))
    };
    let is_first = |settings: &&Settings| {
        let same_course = |other: &&&Settings| {
            other.point_of_sail == settings.point_of_sail && other.angled.is_some() == settings.angled.is_some()
        };
        let rivals = all.iter().filter(same_course);
        rivals.filter_map(|other| rank(other)).min().is_none_or(|first| rank(settings).is_none_or(|own| own == first))
    };
    all.iter().copied().filter(is_first).collect()
}

/// What is said of a wind that the sails of the settings are not for as they are now.
fn beyond(book: &Book, settings: &Settings, wind: Wind) -> Option<String> {
    let range = book.range_of(settings);
    let winds = range.wind_now();
    if winds.is_some_and(|winds| winds.holds(wind)) {
        return None;
    }
    let winds = winds.and_then(|winds| open_span(winds, book.units.wind));
    Some(winds.map_or_else(
        || "OUTSIDE: these sails are for no wind now".to_owned(),
        |winds| format!("OUTSIDE what these sails are for{}, {winds}", if range.is_narrowed() { " now" } else { "" }),
    ))
}

/// The settings for an angle: of those that go by angle, what has it within its bands, of the others what is for its point of
/// sail. Without an angle all of them.
fn at_angle<'a>(book: &Book, chosen: Vec<&'a Settings>, angle: Option<Angle>) -> Vec<&'a Settings> {
    let Some(angle) = angle else { return chosen };
    let point = book.points_of_sail.at(angle);
    let is_for = |settings: &&Settings| match &settings.angled {
        Some(angled) => angled.span().is_some_and(|(low, high)| low <= angle && angle <= high),
        None => settings.point_of_sail == point,
    };
    chosen.into_iter().filter(is_for).collect()
}

fn on_point_of_sail<'a>(
    book: &Book,
    chosen: Vec<&'a Settings>,
    asked: Option<&str>,
) -> Result<Vec<&'a Settings>, Outcome> {
    let Some(asked) = asked else { return Ok(chosen) };
    let name = |point| point_of_sail(point).replace(' ', "-");
    let asked = asked.replace(' ', "-");
    if !PointOfSail::ALL.iter().any(|point| name(*point) == asked) {
        let names: Vec<String> = PointOfSail::ALL.iter().map(|point| name(*point)).collect();
        let advice = suggest::advice(&asked, names.iter().map(String::as_str));
        return Err(refuse(&format!("--point-of-sail {asked}: no point of sail of {}", book.boat.name.value), &advice));
    }
    let point = PointOfSail::ALL.into_iter().find(|point| name(*point) == asked);
    let is_for = |settings: &&Settings| point.is_some_and(|point| settings.are_for(point, &book.points_of_sail));
    Ok(chosen.into_iter().filter(is_for).collect())
}

/// What is printed of a control on one side: its setting, moved if an adjustment says so, and what held it.
fn adjusted(
    book: &Book,
    id: &str,
    (column, side): (&Stretches, Option<Side>),
    wind: Wind,
    adjustment: Option<&Adjustment>,
) -> Told<(Setting, Option<Held>)> {
    column.at(wind).map(|setting| {
        let found = adjustment.and_then(|adjustment| {
            let (index, offset) = adjustment
                .moves
                .iter()
                .find(|(index, _)| book.controls.get(*index).is_some_and(|c| c.id.value == id))?;
            let limits = control_limits(book.controls.get(*index)?, side.unwrap_or(Side::Port));
            Some(offset.value.apply(setting, column.scale(), limits))
        });
        match found {
            Some(moved) => (Setting { reading: moved.reading, ground: moved.ground, ..setting }, moved.held),
            None => (setting, None),
        }
    })
}

/// What is known around a wind: the rows in its band of the card, and how many more there are.
fn known_around(book: &Book, settings: &Settings, column: &Stretches, wind: Wind) -> (Vec<Known>, usize) {
    let band = bands(book, settings).into_iter().find(|band| band.holds(wind));
    let found = band.and_then(|band| column.in_band(band).told.set());
    found.map_or_else(Default::default, |found| (found.rows, found.more))
}

/// What is known around a wind, of both sides together.
fn rows_around(
    book: &Book,
    settings: &Settings,
    column: &Sided<Stretches>,
    wind: Wind,
) -> (Vec<(Wind, String, Ground)>, usize) {
    let found = column.map(|column| known_around(book, settings, column, wind));
    let told = found.map(|(rows, _)| rows.iter().map(|row| (row.at, row.reading, row.ground)).collect());
    let known_at = |side: Side, at: Wind| {
        let known = column.on(side).known().find(|known| known.at == at);
        known.map(|known| (known.reading, known.ground))
    };
    let scale = column.on(Side::Port).scale();
    let mut rows = sided::rows(&told, |reading| bare_words(scale, reading), known_at);
    rows.sort_by_key(|(at, ..)| *at);
    (rows, found.each().map(|(_, (_, more))| *more).max().unwrap_or_default())
}

/// A control of some settings by its id and name, with what is known of it.
type Named<'a> = (&'a str, &'a str, Option<Sided<Stretches>>);

fn controls<'a>(book: &'a Book, settings: &'a Settings, angle: Option<Angle>) -> impl Iterator<Item = Named<'a>> {
    let names = settings.controls.iter().filter_map(|index| book.controls.get(*index));
    names
        .zip(columns_at(book, settings, angle))
        .map(|(control, column)| (control.id.value.as_str(), control.name.as_str(), column))
}

/// The sea that is asked for: what to move for it, and what was sailed in it, which goes before.
struct Sea<'a> {
    name: &'a str,
    adjustment: Option<&'a Adjustment>,
}

impl Sea<'_> {
    /// Settings without those of other seas, and without those that stand in for others of the list in this one.
    fn among<'a>(&self, book: &Book, chosen: &[&'a Settings]) -> Vec<&'a Settings> {
        let is_this = |settings: &Settings| settings.sea.as_deref().is_none_or(|sea| sea == self.name);
        let stands_in = |settings: &Settings| {
            let others = chosen.iter().filter_map(|other| book.sailed_in(other, self.name));
            others.into_iter().any(|sailed| sailed.id.value == settings.id.value)
        };
        chosen.iter().copied().filter(|settings| is_this(settings) && !stands_in(settings)).collect()
    }

    /// What was sailed of a control in this sea, where the wind is among those it was sailed in.
    fn column(&self, book: &Book, shown: &Shown<'_>, id: &str) -> Option<Sided<Stretches>> {
        let sailed = book.sailed_in(shown.settings, self.name)?;
        let column = controls(book, sailed, None).find(|(other, ..)| *other == id)?.2?;
        let is_known = column.each().all(|(_, column)| match column.at(shown.read_at) {
            Told::Set(setting) => setting.ground != Ground::Outside,
            Told::NotUsed => true,
            Told::Unknown => false,
        });
        is_known.then_some(column)
    }
}

/// What a known row is disputed between, if it is; of a sea, as it was sailed in that.
fn disputed_of(
    book: &Book,
    shown: &Shown<'_>,
    sea: Option<&Sea<'_>>,
    id: &str,
    (at, ground): (Wind, Ground),
) -> Option<[String; 2]> {
    let settings = sea.and_then(|sea| book.sailed_in(shown.settings, sea.name)).unwrap_or(shown.settings);
    let angle = shown.angle.filter(|_| settings.angled.is_some());
    (ground == Ground::Disputed).then(|| disputed(book, settings, id, (at, angle))).flatten()
}

/// Whether an adjustment is for these settings in this wind.
fn applies(book: &Book, shown: &Shown<'_>, adjustment: &Adjustment) -> bool {
    shown.settings.sea.is_none()
        && book.is_adjusted_by(shown.settings, adjustment)
        && adjustment.scope.holds_in(shown.read_at)
}

fn as_json(book: &Book, shown: &Shown<'_>, sea: Option<&Sea<'_>>) -> serde_json::Value {
    let Shown { settings, wind, angle, read_at, .. } = *shown;
    let adjustment = sea.and_then(|sea| sea.adjustment).filter(|adjustment| applies(book, shown, adjustment));
    let list: Vec<_> = controls(book, settings, angle)
        .map(|(id, name, column)| (id, name, column, sea.and_then(|sea| sea.column(book, shown, id))))
        .map(|(id, _, column, sailed)| {
            let (adjustment, of_sea) = (adjustment.filter(|_| sailed.is_none()), sea.filter(|_| sailed.is_some()));
            let column = sailed.or(column);
            let fields = |side: Option<Side>, column: &Stretches| {
                side_json(book, (shown, of_sea), id, (side, column), adjustment)
            };
            let mut json = json!({
                "id": id, "value": null, "mark": null, "ground": null, "known": [], "more_known": 0, "held": null,
                "changes": [],
            });
            match column {
                None => {}
                Some(Sided::Alike(column)) => merge(&mut json, fields(None, &column)),
                Some(column) => {
                    // What is alike on both sides stands for the control; what differs, only under its side.
                    let sides = column.each().filter_map(|(side, column)| Some((side?, fields(side, column))));
                    let sides: Vec<(Side, serde_json::Value)> = sides.collect();
                    let is_alike = sides.windows(2).all(|pair| pair[0].1 == pair[1].1);
                    let told = column.map_sides(|side, column| {
                        adjusted(book, id, (column, side), read_at, adjustment).map(|(setting, _)| setting)
                    });
                    let value = told.map(|told| told.set().map(|setting| setting.exact)).settled();
                    let value = value.alike().copied().flatten();
                    let mark = sided::mark(column.on(Side::Port).scale(), &told);
                    match sides.first().filter(|_| is_alike) {
                        Some((_, alike)) => merge(&mut json, alike.clone()),
                        None => {
                            merge(&mut json, json!({"value": value, "mark": mark, "ground": sided::ground(&told)}));
                        }
                    }
                    for (side, told) in sides {
                        json[side.word().to_lowercase()] = told;
                    }
                }
            }
            json
        })
        .collect();
    let mut json = json!({"settings": settings.id.value, "wind_kn": wind, "controls": list});
    if let (Some(title), Some(fields)) = (&settings.title, json.as_object_mut()) {
        fields.insert("title".to_owned(), json!(title));
    }
    if let (Some(angled), Some(fields)) = (&settings.angled, json.as_object_mut()) {
        fields.insert("angle_deg".to_owned(), json!(angle));
        fields.insert("angles_deg".to_owned(), json!(angled.angles()));
    }
    if let (Some(beyond), Some(fields)) = (beyond(book, settings, wind), json.as_object_mut()) {
        fields.insert("beyond".to_owned(), json!(beyond));
    }
    if let (Some(because), Some(fields)) = (&shown.because, json.as_object_mut()) {
        fields.insert("read_at_kn".to_owned(), json!(shown.is_reckoned.then_some(read_at)));
        fields.insert("because".to_owned(), json!(because));
    }
    json
}

/// Puts the fields of one object into another.
fn merge(into: &mut serde_json::Value, from: serde_json::Value) {
    if let (Some(into), serde_json::Value::Object(from)) = (into.as_object_mut(), from) {
        into.extend(from);
    }
}

/// What is known of a control on one side, for those who reckon on.
fn side_json(
    book: &Book,
    (shown, of_sea): (&Shown<'_>, Option<&Sea<'_>>),
    id: &str,
    (side, column): (Option<Side>, &Stretches),
    adjustment: Option<&Adjustment>,
) -> serde_json::Value {
    let told = adjusted(book, id, (column, side), shown.read_at, adjustment);
    let (rows, more) = known_around(book, shown.settings, column, shown.read_at);
    let print = |reading: f64| column.scale().print(reading);
    let known = rows.iter().map(|row| {
        let mut known = json!({"wind_kn": row.at, "mark": print(row.reading), "ground": row.ground});
        if let Some(both) = disputed_of(book, shown, of_sea, id, (row.at, row.ground)) {
            known["disputed"] = json!(both);
        }
        known
    });
    let set = told.set();
    let mut json = json!({
        "value": set.map(|(setting, _)| setting.exact),
        "mark": set.map(|(setting, _)| print(setting.reading)),
        "ground": set.map(|(setting, _)| setting.ground),
        "known": known.collect::<Vec<_>>(),
        "more_known": more,
        "held": set.and_then(|(_, held)| held),
        "changes": column.changes().take(MOST_CHANGES).collect::<Vec<_>>(),
    });
    // Apart from what nobody recorded, and absent where a control is used everywhere.
    if told == Told::NotUsed {
        json["not_used"] = json!(true);
    }
    json
}

fn as_text(book: &Book, shown: &Shown<'_>, sea: Option<&Sea<'_>>, used: &mut Vec<Ground>) -> String {
    let Shown { settings, wind, angle, read_at, .. } = *shown;
    let unit = book.units.wind;
    let mut text = format!(
        "{} at {}{}  ({}){}\n",
        called(book, settings),
        wind.as_written(unit) + if goes_by_apparent(book) { " apparent wind" } else { "" },
        angle.map(|angle| format!(" and {}", angle.as_written())).unwrap_or_default(),
        settings.id.value,
        beyond(book, settings, wind).map(|words| format!("  {words}")).unwrap_or_default(),
    );
    for words in narrowed_sails(book, settings) {
        text.push_str(&format!("  {words}\n"));
    }
    if let Some(because) = &shown.because {
        let read_at =
            if shown.is_reckoned { format!("read at {}: ", read_at.print_with_unit(unit)) } else { String::new() };
        text.push_str(&format!("  {read_at}{because}\n"));
    }
    let adjustment = sea.and_then(|sea| sea.adjustment);
    if let Some(adjustment) = adjustment {
        let is_for = applies(book, shown, adjustment);
        let how = if is_for { "adjusted" } else { "not adjusted, it is not for this" };
        text.push_str(&format!("  {how}: {}\n", adjustment.name));
    }
    let adjustment = adjustment.filter(|adjustment| applies(book, shown, adjustment));
    let is_sailed =
        |sea: &&Sea<'_>| controls(book, settings, angle).any(|(id, ..)| sea.column(book, shown, id).is_some());
    if let Some(sailed) = sea.filter(is_sailed).and_then(|sea| book.sailed_in(settings, sea.name)) {
        text.push_str(&format!("  as sailed in this sea, where it was: {}\n", sailed.id.value));
    }
    if let (Some(angled), None) = (&settings.angled, angle) {
        let sailed: Vec<String> = angled.angles().into_iter().map(Angle::print).collect();
        text.push_str(&format!("  goes by angle too, sailed at {}: add --angle to see it\n", sailed.join(", ")));
        return text;
    }
    for (id, name, column) in controls(book, settings, angle) {
        let sailed = sea.and_then(|sea| sea.column(book, shown, id));
        let adjustment = adjustment.filter(|_| sailed.is_none());
        let is_of_sea = sailed.is_some();
        let Some(column) = sailed.or(column) else {
            text.push_str(&format!("  {name:<20}   not recorded\n"));
            continue;
        };
        let told = column.map_sides(|side, column| adjusted(book, id, (column, side), read_at, adjustment));
        let is_held = told.each().any(|(_, told)| told.set().is_some_and(|(_, held)| held.is_some()));
        let held = if is_held { "  (held at its limit)" } else { "" };
        let told = told.map(|told| told.map(|(setting, _)| setting));
        let scale = column.on(Side::Port).scale();
        if told.each().all(|(_, told)| *told == Told::Unknown) {
            text.push_str(&format!("  {name:<20}   {:<12} not known, next to where it is not used\n", sided::UNKNOWN));
            continue;
        }
        let ground = sided::ground(&told);
        used.extend(ground);
        let sign = ground.and_then(ground_sign).unwrap_or(" ");
        let figure = sided::mark(scale, &told);
        let figure = ground.map_or_else(|| figure.clone(), |ground| grounded(&figure, ground));
        let (rows, more) = rows_around(book, settings, &column, read_at);
        // What is known at just this wind is the figure.
        let is_told =
            |(at, _, of): &&(Wind, String, Ground)| *at != read_at || Some(*of) != ground || *of == Ground::Disputed;
        let known = rows.iter().filter(is_told).map(|(at, mark, ground)| {
            used.push(*ground);
            let both = disputed_of(book, shown, sea.filter(|_| is_of_sea), id, (*at, *ground));
            known_words(&both.map_or_else(|| mark.clone(), |both| disputed_words(&both)), &at.print(unit), *ground)
        });
        let not_used = if ground.is_none() { vec!["not used".to_owned()] } else { Vec::new() };
        let known: Vec<String> = not_used.into_iter().chain(known).chain(more_words(more)).collect();
        let line = format!("  {name:<20} {sign} {figure:<12} {}{held}", known.join(", "));
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}
