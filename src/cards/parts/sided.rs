//! What is set of a control, as it is printed: one mark, `2 P, 2½ S` where its two sides differ, a dash where it is not used,
//! `?` where nothing is known. Every kind of card asks here. Lays nothing out.

use serde_json::{Value, json};

use super::words::{figure_words, signed};
use crate::book::{Control, Place, Recorded};
use crate::tuning::{Axis, BandSetting, Figure, Ground, Scale, Setting, Side, Sided, Stretches, Told, Wind};

/// Printed where a control is not used.
pub const NOT_USED: &str = "–";
/// Printed where nothing is known.
pub const UNKNOWN: &str = "?";
/// What a legend says of the dash.
pub const NOT_USED_LEGEND: &str = "– not used";

/// What a legend says of the letters of the sides.
pub const SIDES_LEGEND: &str = "P port, S starboard";

/// What a control is to be set to at one wind.
pub type AtWind = Sided<Told<Setting>>;

/// What a control is to be set to at one wind.
pub fn at(column: &Sided<Stretches>, wind: Wind) -> AtWind {
    column.map(|column| column.at(wind))
}

/// Something told of both sides in words; what is not known or not used has its sign.
pub fn words<T: Copy>(told: &Sided<Told<T>>, print: impl Fn(T) -> String) -> String {
    told.map(|told| match told {
        Told::Set(known) => print(*known),
        Told::NotUsed => NOT_USED.to_owned(),
        Told::Unknown => UNKNOWN.to_owned(),
    })
    .words()
}

/// What a setting is known from; of two sides the weaker. `None` where nothing is set.
pub fn ground(told: &AtWind) -> Option<Ground> {
    told.each().filter_map(|(_, told)| told.set()).map(|setting| setting.ground).max()
}

/// The mark without its sign, unit included: `4½`, `2 P, 2½ S`, `–`.
pub fn mark(scale: &Scale, told: &AtWind) -> String {
    words(told, |setting| scale.print(setting.reading))
}

/// The mark with its sign or its brackets: `● 4`, `● 2 P, 2½ S`, `(4)`, `–`.
pub fn signed_mark(scale: &Scale, told: &AtWind) -> String {
    ground(told).map_or_else(|| mark(scale, told), |ground| signed(&mark(scale, told), ground))
}

/// A setting for those who reckon on: not rounded, by side where the sides differ.
pub fn exact_json(wind: Wind, told: &AtWind) -> Value {
    let value = |told: &Told<Setting>| told.set().map(|setting| setting.exact);
    let mut json = match told.map(value).settled() {
        Sided::Alike(value) => json!({"wind_kn": wind, "value": value, "ground": ground(told)}),
        Sided::Each { port, starboard } => {
            json!({"wind_kn": wind, "value": null, "port": port, "starboard": starboard, "ground": ground(told)})
        }
    };
    if told.each().any(|(_, told)| *told == Told::NotUsed) {
        json["not_used"] = json!(true);
    }
    json
}

/// A name with the letter of a side: `Jib lead P`.
pub fn named(name: &str, side: Option<Side>) -> String {
    side.map_or_else(|| name.to_owned(), |side| format!("{name} {}", side.letter()))
}

/// Rows known on either side, at whatever places they stand, told together: `2 P, 2½ S`. `also` finds what is known on a
/// side at a place beyond the rows that are told of it.
pub fn rows<P: Copy + PartialEq>(
    told: &Sided<Vec<(P, f64, Ground)>>,
    print: impl Fn(f64) -> String,
    also: impl Fn(Side, P) -> Option<(f64, Ground)>,
) -> Vec<(P, String, Ground)> {
    let (port, starboard) = match told {
        Sided::Alike(rows) => {
            return rows.iter().map(|(at, reading, ground)| (*at, print(*reading), *ground)).collect();
        }
        Sided::Each { port, starboard } => (port, starboard),
    };
    let mut places: Vec<P> = port.iter().map(|row| row.0).collect();
    for (at, ..) in starboard {
        if !places.contains(at) {
            places.push(*at);
        }
    }
    let at_place = |at: P| {
        let found = Side::BOTH.map(|side| also(side, at));
        let ground = found.iter().flatten().map(|(_, ground)| *ground).max()?;
        let words = match found {
            [Some((port, _)), Some((starboard, _))] => {
                let [port, starboard] = [port, starboard].map(&print);
                Sided::Each { port, starboard }.words()
            }
            [port, starboard] => {
                let side = if port.is_some() { Side::Port } else { Side::Starboard };
                named(&print(port.or(starboard)?.0), Some(side))
            }
        };
        Some((at, words, ground))
    };
    places.into_iter().filter_map(at_place).collect()
}

/// What to set in a band of wind or a cell, in words: `4 to 5½`, `2 P, 2½ S`, `–`; `None` where nothing is known of it.
pub fn figure(scale: &Scale, told: &Sided<Told<Figure>>) -> Option<String> {
    let is_known = told.each().any(|(_, told)| *told != Told::Unknown);
    is_known.then(|| words(told, |figure| figure_words(scale, figure)))
}

/// The figure of a band.
pub fn figure_of<A>(told: &Told<BandSetting<A>>) -> Told<Figure> {
    match told {
        Told::Set(setting) => Told::Set(setting.figure),
        Told::NotUsed => Told::NotUsed,
        Told::Unknown => Told::Unknown,
    }
}

/// What a row has of a control on a side, printed, and where that stands in the book; `None` in place of the words where the
/// control is not used. Without a side what is one reading for both.
pub fn recorded<'a>(
    recorded: &'a Recorded,
    control: &Control,
    side: Option<Side>,
) -> Option<(Option<String>, &'a Place)> {
    if let Recorded::NotUsed(place) = recorded {
        return Some((None, place));
    }
    let side = side.unwrap_or(Side::Port);
    let written = recorded.written().find(|(of, _)| of.is_none_or(|of| of == side));
    Some((Some(control.scale.print(recorded.on(side, control)?)), &written?.1.place))
}

/// Places in order, each once.
pub fn once<A: Axis>(places: impl Iterator<Item = A>) -> Vec<A> {
    let mut places: Vec<A> = places.collect();
    places.sort();
    places.dedup();
    places
}
