//! A watch as a telephone's calendar keeps it: when, who, and what to expect. Knows no file format.

use super::{Making, SailPlan, Weather, team_of};
use crate::cards::Appointment;

/// The watch of this number.
pub(super) fn appointment(making: &Making<'_>, index: usize) -> Appointment {
    let plan = &making.whole.plan;
    let watch = &plan.watches[index];
    let people: Vec<&str> =
        watch.on_deck.iter().filter_map(|person| plan.people.get(*person).map(String::as_str)).collect();
    let who = team_of(&making.whole.section, watch).map_or_else(|| people.join(", "), |team| team.name.clone());
    let mut words = vec![format!("On deck: {}", people.join(", "))];
    words.extend(making.whole.weather(index).into_iter().flat_map(|weather| expected(weather, making)));
    Appointment {
        from: watch.from.timestamp(),
        to: watch.to.timestamp(),
        title: format!("{}: {who} on deck", making.book.boat.name.value),
        words,
    }
}

/// Wind, sails and their bands, a line each.
fn expected(weather: &Weather, making: &Making<'_>) -> Vec<String> {
    let unit = making.book.units.wind.symbol();
    let gusts = weather.gusts.as_ref().map(|gusts| format!(", gusts {gusts}")).unwrap_or_default();
    let wind = format!("Wind {} {unit}{gusts}", weather.wind);
    let sails = |plan: &SailPlan| {
        let from = plan.from.as_ref().map(|from| format!("from {from} ")).unwrap_or_default();
        let rest: Vec<String> =
            [plan.bands_words(), plan.counted_words(), plan.past.clone()].into_iter().flatten().collect();
        let rest = if rest.is_empty() { String::new() } else { format!(": {}", rest.join(", ")) };
        format!("{from}{}{rest}", plan.sails)
    };
    std::iter::once(wind).chain(weather.beyond.iter().cloned()).chain(weather.sails.iter().map(sails)).collect()
}
