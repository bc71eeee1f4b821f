//! From the tree of a book to its model, one section a file. Every complaint carries its place; nothing stops at the
//! first. Knows no YAML and opens no file itself.

mod adjust;
mod angled;
mod boat;
mod cards;
mod carried;
mod controls;
mod crew;
mod csv_table;
mod dock_tune;
mod encoding;
mod form;
mod heading;
mod lacing;
mod offset;
mod outboard_lead;
mod places;
mod points_of_sail;
mod printing;
mod ram;
mod raw_rows;
mod recorded;
mod righting;
pub(super) mod sailed;
mod sails;
mod scale;
mod settings;
mod shown_number;
mod stowage;
mod strip;
pub(super) mod table_row;
pub(super) mod tables;
mod travel;
mod wardrobe;
mod watches;
pub(super) mod workbook;

pub(super) use csv_table::{as_text, names_control, table_again};
pub use recorded::NOT_USED;
pub use scale::TAPE_COLOURS;
pub(super) use shown_number::kept;
pub(super) use tables::{Opening, Tables};

use super::model::{AllBut, CardList, PointsOfSail, RaceSections, RiggingSections, Sections, Settings, Units};
use super::problem::{Place, Problem};
use super::table::Table;
use super::tree::Node;
use super::words::{self, Names};
use crate::limits::DEFAULT_BAND_EDGES_KN;
use crate::tuning::Wind;
use crate::wrong::shown;

/// The form of the book that this release reads.
const FORM: &str = "1";

/// Reads the whole book. `None` if not even its boat could be made out.
pub(super) fn book(root: &Node, tables: &mut Tables<'_>, problems: &mut Vec<Problem>) -> Option<Sections> {
    let mut fields = Table::open(root, "the book", problems)?;
    fields.place = start_of(root);
    if let Some(form) = fields.need("book", "book: 1", problems) {
        check_form(form, problems);
    }
    let example = fields.take("example").and_then(|node| words::flag(node, "`example`", problems)).unwrap_or(false);
    let boat = fields.need("boat", "boat: {name: Pepperwort}", problems);
    let units = fields.take_nearest("units", problems).map(|node| boat::units(node, problems)).unwrap_or_default();
    let boat = boat.and_then(|node| boat::boat(node, &units, problems));
    let printing = fields.take("printing").map(|node| printing::printing(node, problems)).unwrap_or_default();
    let bands = match fields.take("wind_bands") {
        Some(node) => boat::wind_bands(node, &units, problems),
        None => boat::bands(&DEFAULT_BAND_EDGES_KN.map(Wind::knots)),
    };
    let wind_source = fields.take("wind_source").and_then(|node| boat::wind_source(node, &units, problems));
    let dark = fields.take("dark").and_then(|node| boat::dark(node, &units, problems));
    let rungs_apart = fields.take("change_points").and_then(|node| boat::rungs_apart(node, &units, problems));
    let wardrobe = fields.take("wardrobe").and_then(|node| wardrobe::plan(node, &units, problems));
    let points_of_sail = match fields.take("points_of_sail") {
        Some(node) => points_of_sail::points_of_sail(node, &units, problems),
        None => PointsOfSail::default(),
    };
    let (controls, control_names) =
        match fields.need("controls", "backstay: {scale: {marks: 0..8, spacing: 20 mm}}", problems) {
            Some(node) => controls::controls(node, &units, problems),
            None => (Vec::new(), Names::unreadable("control")),
        };
    let (sails, sail_names) = match fields.take_nearest("sails", problems) {
        Some(node) => sails::sails(node, &units, problems),
        None => (Vec::new(), Names::new("sail")),
    };
    let known =
        raw_rows::Known { units, controls: &controls, control_names, sails: &sails, sail_names, points_of_sail };
    let adjustments = match fields.take("adjust") {
        Some(node) => adjust::adjustments(node, &known, problems),
        None => Vec::new(),
    };
    let (mut settings, settings_names, dock_tunes) = match fields.take_nearest("settings", problems) {
        Some(node) => settings::settings(node, &known, tables, problems),
        None => (Vec::new(), Names::new("settings"), Vec::new()),
    };
    let known = carried::Known {
        units,
        controls: &controls,
        control_names: &known.control_names,
        bands: &bands,
        sails: &sails,
        settings_names: &settings_names,
    };
    carried::carry_over(&known, &mut settings, problems);
    travel::check(&settings, &controls, problems);
    let (race, no_watches) = race(&mut fields, &units, problems);
    check_on_rail(&settings, &race, problems);
    let rigging = rigging(&mut fields, boat.as_ref(), &units, tables, problems);
    let sailed = fields.take("sailed").and_then(|node| {
        let known = sailed::Known {
            units,
            controls: &controls,
            settings: &settings,
            sails: &sails,
            control_names: known.control_names,
            settings_names: &settings_names,
            points_of_sail: &points_of_sail,
            watches: race.watches.as_ref(),
            no_watches,
        };
        sailed::sailed(node, &known, tables, problems)
    });
    let cards = match fields.take("cards") {
        Some(node) => cards::cards(node, problems),
        None => CardList::All(AllBut::default()),
    };
    fields.finish(problems);
    Some(Sections {
        example,
        boat: boat?,
        units,
        printing,
        bands,
        wind_source,
        points_of_sail,
        controls,
        sails,
        settings,
        dock_tunes,
        dark,
        rungs_apart,
        wardrobe,
        adjustments,
        race,
        rigging,
        sailed,
        cards,
    })
}

fn rigging(
    fields: &mut Table<'_>,
    boat: Option<&super::model::Boat>,
    units: &Units,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> RiggingSections {
    let outboard_lead =
        fields.take("outboard_lead").and_then(|node| outboard_lead::outboard_lead(node, units, problems));
    let lacing = fields.take("lacing").and_then(|node| lacing::lacing(node, boat, units, problems));
    let stowage = fields.take("stowage").and_then(|node| stowage::stowage(node, boat, units, tables, problems));
    RiggingSections { outboard_lead, lacing, stowage }
}

/// The sections of the race, and whether the book does not even try to say who is on watch.
fn race(fields: &mut Table<'_>, units: &Units, problems: &mut Vec<Problem>) -> (RaceSections, bool) {
    let crew = fields.take("crew").and_then(|node| crew::crew(node, units, problems));
    let righting = fields.take("righting").and_then(|node| righting::righting(node, units, problems));
    if let (Some(crew), Some(righting)) = (&crew, &righting) {
        righting::check_crew_counts(crew, righting, problems);
    }
    let watches_node = fields.take_nearest("watches", problems);
    let told = problems.len();
    let watches = watches_node.and_then(|node| watches::watches(node, units, problems));
    // Watches with a fault of their own are not whole, and so not to be counted.
    let whole = watches.as_ref().filter(|_| problems.len() == told);
    if let (Some(node), Some(watches), Some(crew), Some(_)) = (watches_node, whole, &crew, &righting) {
        watches::check_all_are_named(watches, crew, node, problems);
    }
    let forecast = fields.take("forecast").map(|node| {
        if watches_node.is_none() {
            watches::check_forecast_has_a_clock(node, problems);
        }
        watches::forecast(node, watches.as_ref(), units, problems)
    });
    let checks = fields.take("checks").map(|node| watches::checks(node, problems)).unwrap_or_default();
    let forecast = forecast.unwrap_or_default();
    (RaceSections { crew, righting, watches, forecast, checks }, watches_node.is_none())
}

/// Says so where more were on the rail than are aboard.
fn check_on_rail(settings: &[Settings], race: &RaceSections, problems: &mut Vec<Problem>) {
    let Some(aboard) = race.crew.as_ref().map(|crew| crew.crew.aboard) else { return };
    let mut told: Vec<&Place> = Vec::new();
    let rows = settings.iter().flat_map(Settings::all_rows);
    for up in rows.filter_map(|row| row.on_rail.as_ref()).filter(|up| up.value > aboard) {
        // One number may stand for many rows, and for those carried over to another sail.
        if !told.contains(&&up.place) {
            told.push(&up.place);
            let what = format!("{} on the rail are more than the {aboard} aboard", up.value);
            problems.push(Problem::error(up.place.clone(), what, format!("write a number from 0 to {aboard}")));
        }
    }
}

fn check_form(node: &Node, problems: &mut Vec<Problem>) {
    match node.text("`book`", problems) {
        Some(FORM) | None => {}
        Some(other) => problems.push(Problem::error(
            node.place.clone(),
            format!("this is a book of form {}; this release reads form {FORM}", shown(other)),
            format!("write `book: {FORM}`"),
        )),
    }
}

/// The place to report what a whole node lacks: its first character, and not its pages.
fn start_of(node: &Node) -> Place {
    let start = node.place.bytes.start;
    Place { source: node.place.source, bytes: start..start }
}

/// A key and its value as one place.
fn entry_place(key: &Node, value: &Node) -> Place {
    let start = key.place.bytes.start;
    // An alias stands for a value written elsewhere.
    let end = value.place.bytes.end;
    Place { source: key.place.source, bytes: if start < end { start..end } else { key.place.bytes.clone() } }
}
