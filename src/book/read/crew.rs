//! How many sail, how heavy they are, and where they sit and sleep.

use crate::book::model::{CrewSection, Units, UsuallyBelow};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::length::Length;
use crate::limits;
use crate::tuning::righting::{Bunks, Crew, Station};

pub fn crew(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<CrewSection> {
    let mut fields = Table::open(node, "the crew", problems)?;
    fields.place = super::start_of(node);
    let aboard = fields
        .need("aboard", "aboard: 8", problems)
        .and_then(|node| super::watches::count(node, "the number aboard", 0..=limits::MAX_CREW, problems));
    let mass = fields.need("mass", "mass: 82 kg", problems).and_then(|node| {
        quantity::mass_kg(node, units, "the mass of one of the crew", &limits::CREW_MASS_KG, problems)
    });
    let rail = fields
        .need("rail", "rail: {out: 1.6 m, above: 0.9 m}", problems)
        .and_then(|node| station(node, units, "the place on the rail", problems));
    let bunks = fields
        .need("bunks", "bunks: {out: 1.1 m, above: 0.1 m}", problems)
        .and_then(|node| station(node, units, "the place of the bunks", problems));
    let usual = fields.take("usually_below").map(|node| usually_below(node, aboard, problems));
    fields.finish(problems);
    let (aboard, mass_each_kg, rail, windward_bunks) = (aboard?, mass?, rail?, bunks?);
    let across = |to_windward: Length| Station { to_windward, ..windward_bunks };
    let crew = Crew {
        aboard,
        mass_each_kg,
        rail,
        windward_bunks,
        centre_bunks: across(Length::ZERO),
        leeward_bunks: across(Length::ZERO - windward_bunks.to_windward),
    };
    Some(CrewSection { crew, usually_below: usual.flatten(), place: node.place.clone() })
}

/// `{hands: 4, side: leeward}`.
fn usually_below(node: &Node, aboard: Option<u32>, problems: &mut Vec<Problem>) -> Option<UsuallyBelow> {
    const EXAMPLE: &str = "{hands: 4, side: leeward}";
    let mut fields = Table::open(node, "the usual number below", problems)?;
    fields.place = super::start_of(node);
    let hands = fields.need("hands", &format!("usually_below: {EXAMPLE}"), problems).and_then(|node| {
        let most = aboard.unwrap_or(limits::MAX_CREW);
        super::watches::count(node, "the usual number below", 1..=most.max(1), problems)
    });
    let choices = Bunks::ALL.map(|bunks| (bunks.word(), bunks));
    let side = fields
        .need("side", &format!("usually_below: {EXAMPLE}"), problems)
        .and_then(|node| words::choice(node, "the side of the bunks", &choices, problems));
    fields.finish(problems);
    Some(UsuallyBelow { hands: hands?, side: side? })
}

/// `{out: 1.6 m, above: 0.9 m}`.
fn station(node: &Node, units: &Units, what: &str, problems: &mut Vec<Problem>) -> Option<Station> {
    let mut fields = Table::open(node, what, problems)?;
    fields.place = super::start_of(node);
    let out = fields
        .need("out", "out: 1.6 m", problems)
        .and_then(|node| quantity::length(node, units, &format!("`out` of {what}"), &limits::CREW_OUT, problems));
    let above = fields
        .need("above", "above: 0.9 m", problems)
        .and_then(|node| quantity::length(node, units, &format!("`above` of {what}"), &limits::CREW_ABOVE, problems));
    fields.finish(problems);
    Some(Station { to_windward: out?, above: above? })
}
