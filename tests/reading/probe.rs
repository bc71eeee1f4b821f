//! What the program itself says that it knows: the fields of each of its tables, and the words of each choice.

use std::collections::BTreeSet;

use cockpit_cards::book::Problem;
use cockpit_cards::door;

use super::load;

/// A book with a field that nobody knows in each of its tables, and a word that nobody knows wherever there is a choice.
pub const PROBE: &str = "\
book: 1
QQQQ: 0
example: true
boat: {name: Chervil, QQQQ: 0}
units: {QQQQ: 0}
printing: {flip: QQQQ, QQQQ: 0}
wind_bands: [4, 20]
wind_source: {kind: true, QQQQ: 0}
points_of_sail: {QQQQ: 0}
dark: {change_earlier: 2, QQQQ: 0}
change_points: {apart: 1, QQQQ: 0}
wardrobe: {wind: 4..20, angle: 40..60, QQQQ: 0}
adjust: {chop: {for: {QQQQ: 0}, even: 1}}
controls:
  even: {QQQQ: 0, scale: {marks: 0..8, spacing: 20 mm, QQQQ: 0}, limit: {never_above: 7, QQQQ: 0}, strip: {QQQQ: 0, winds: [{settings: a, QQQQ: 0}], datum: {from: eye, distance: 0, QQQQ: 0}}}
  centre: {scale: {centre: C, marks: 4, spacing: 25 mm, ends: [W, L], QQQQ: 0}}
  measured: {scale: {measured: {0: 0, 1: 10}, every: 1, QQQQ: 0}}
  holes: {scale: {track_holes: {first: 0, last: 100, count: 5, QQQQ: 0}, QQQQ: 0}}
  around: {scale: {marks: 0..8, around: {diameter: 40, thickness: 0.2, QQQQ: 0}, QQQQ: 0}}
  tapes: {scale: {tapes: [{name: red, from: 0, to: 10, QQQQ: 0}], QQQQ: 0}}
  turns: {scale: {turns: {base: on 2027-04-02, QQQQ: 0}, QQQQ: 0}}
  gauge: {scale: {gauge: {unit: bar, QQQQ: 0}, QQQQ: 0}}
  words: {scale: {words: [a, b], QQQQ: 0}}
  unknown: {scale: {QQQQ: 0}}
  chosen: {scale: {words: [a, b]}, when: QQQQ, strip: {sides: QQQQ, grows: QQQQ, reader_stands: QQQQ, ticks: QQQQ}}
  coloured: {scale: {tapes: [{name: a, colour: QQQQ, from: 0, to: 10}]}}
  driven: {scale: {gauge: {unit: bar}}, ram: {acts: QQQQ, bore: 40 mm, rod: 20 mm, max: 180 bar, QQQQ: 0}}
  twin: {scale: {marks: 0..8, spacing: 20 mm, difference: {QQQQ: 0}}}
  bent: {scale: {marks: 0..8, spacing: 20 mm}, strip: {arc: {radius: 2 m, QQQQ: 0}}}
sails:
  jib: {kind: headsail, QQQQ: 0}
  odd: {kind: QQQQ}
settings:
  - {id: a, sails: [jib], point_of_sail: upwind, controls: [even], at: {6: [1]}, targets: {6: {speed: 5, QQQQ: 0}}, QQQQ: 0}
  - {id: b, sails: [jib], point_of_sail: QQQQ, controls: [even], at: {6: [{QQQQ: 0}]}, between: {even: QQQQ}}
  - {id: c, title: other, when: QQQQ, sails: [jib], point_of_sail: upwind, controls: [even], at: {6: [1]}}
crew: {aboard: 8, mass: 80 kg, rail: {out: 1 m, above: 1 m, QQQQ: 0}, bunks: {out: 1 m, above: 0 m, QQQQ: 0}, usually_below: {hands: 4, side: QQQQ, QQQQ: 0}, QQQQ: 0}
righting: {displacement: 6 t, gm: 1 m, heel_limited: {from: 20 deg, QQQQ: 0}, air: {celsius: 8, hpa: 1025, humidity: 80, QQQQ: 0}, tuned_in: {celsius: 8, hpa: 1025, QQQQ: 0}, QQQQ: 0}
watches: {start: 2027-06-12 18:40, finish: 2027-06-13 22:00, time_zone: Europe/London, least_on_deck: 1, lengths: [4 h], rolling: {people: [Ada, Bo], on_deck: 1, changing: 1, QQQQ: 0}, floaters: {Cleo: changes}, outside: [{who: Dan, QQQQ: 0}], QQQQ: 0}
forecast: [{time: 2027-06-12 18:40, wind: 4..6, QQQQ: 0}]
checks: [{what: x, QQQQ: 0}]
outboard_lead: {working_loads: {QQQQ: 0}, QQQQ: 0}
stowage: {displacement: 6 t, items: [{what: x, mass: 3 kg, now: [1 m, 0 m, 1 m], plan: QQQQ, stages: {middle: {left: 1, QQQQ: 0}, QQQQ: {left: 1}}, QQQQ: 0}], QQQQ: 0}
sailed: {file: sailed.csv, QQQQ: 0}
lacing: {pattern: QQQQ, spacing: 350 mm, foot: {eyes: 6 mm, QQQQ: 0}, both: {posts: [0 m, 2 m], wires: [300 mm, 600 mm], QQQQ: 0}, QQQQ: 0}
";

/// The same of the entries of the list of cards, which are looked at only where what they are made of has no error.
pub const CARDS_PROBE: &str = "\
book: 1
boat: {name: Chervil}
wind_bands: [4, 20]
wardrobe: {wind: 4..20, angle: 40..60}
controls:
  even: {scale: {marks: 0..8, spacing: 20 mm}, strip: {datum: {from: eye, distance: 0}}}
  caps: {when: dock, scale: {turns: {base: on 2027-04-02}}}
sails: {jib: {kind: headsail, wind: 4..20, angle: 40..60}}
settings:
  - {id: a, sails: [jib], point_of_sail: upwind, controls: [even], at: {6: [1], 10: [2]}}
  - {id: d, when: dock, controls: [caps], at: {6: [1]}}
cards:
  - {kind: crew-below, bunks: QQQQ, QQQQ: 0}
  - {kind: watch-plan, QQQQ: 0}
  - {kind: dock-tune, settings: d, QQQQ: 0}
  - {kind: handover, QQQQ: 0}
  - {kind: readiness, QQQQ: 0}
  - {kind: outboard-lead, QQQQ: 0}
  - {kind: lacing, QQQQ: 0}
  - {kind: stowage, QQQQ: 0}
  - {kind: wind-settings, settings: a, QQQQ: 0}
  - {kind: change-points, settings: a, QQQQ: 0}
  - {kind: wardrobe, QQQQ: 0}
  - {kind: wardrobe, back: {QQQQ: 0}}
  - {kind: sail-change, QQQQ: 0}
  - {kind: re-mark, QQQQ: 0}
  - {kind: strip, QQQQ: 0}
  - {kind: QQQQ}
";

/// The same for all cards but some.
const ALL_PROBE: &str = "\
book: 1
boat: {name: a}
controls: {even: {scale: {marks: 0..8, spacing: 20 mm}}}
cards: {all: true, except: [], sizes: {}, QQQQ: 0}
";

/// Loads and draws a book; everything it is told.
pub fn problems(text: &str) -> Vec<Problem> {
    door::check(load(text)).problems
}

/// What the probes are told, with this for each name that nobody knows.
pub fn told(name: &str) -> Vec<Problem> {
    [PROBE, CARDS_PROBE, ALL_PROBE].iter().flat_map(|probe| problems(&probe.replace("QQQQ", name))).collect()
}

/// Whether some probe has this.
pub fn has(text: &str) -> bool {
    [PROBE, CARDS_PROBE, ALL_PROBE].iter().any(|probe| probe.contains(text))
}

/// What stands between backticks.
pub fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// One list of names that the program offers in place of one that nobody knows.
pub struct Offer {
    pub names: BTreeSet<String>,
    /// Fields of a table, or else words of a choice.
    pub are_fields: bool,
}

/// Every list of names that the probe brings out.
pub fn offers() -> Vec<Offer> {
    // A name unlike any other, so that all are listed and none is suggested.
    let found = told("qqqqqqqqqqqq").into_iter().map(|problem| Offer {
        names: quoted(&problem.instead).map(str::to_owned).collect(),
        are_fields: problem.instead.starts_with("its fields are"),
    });
    found.collect()
}

/// The words of each choice that the probe brings out.
pub fn choices() -> Vec<BTreeSet<String>> {
    let is_choice = |problem: &Problem| {
        problem.what.contains(" cannot be `qqqqqqqqqqqq`") && !problem.what.starts_with("a stage cannot")
    };
    let found = told("qqqqqqqqqqqq").into_iter().filter(is_choice);
    found.map(|problem| quoted(&problem.instead).map(str::to_owned).collect()).collect()
}
