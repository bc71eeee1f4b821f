//! A book to start from, made of what a boat has: controls with numbers that print as they stand, each number that only a tape measure
//! can give marked in a comment. Knows no terminal; what it writes is read like any other book.

use std::fmt::Write as _;

use super::edit::scalar;

/// What stands in a comment beside a number that has to be measured on the boat.
pub const MEASURE: &str = "measure";
/// The file of the book's shape, as editors find it beside the book; never an address, since a boat has no network.
pub const SCHEMA_FILE: &str = "cockpit-cards.schema.json";
/// As many headsails as a book to start from has names and winds for.
pub const MOST_HEADSAILS: usize = 6;
/// The winds that the headsails share, knots, and by how much each goes on into the next one's.
const WINDS_KN: (usize, usize) = (4, 28);
const OVERLAP_KN: usize = 2;
/// A row of settings for every so much of the wind of a sail, knots.
const ROW_EVERY_KN: usize = 4;
/// The tapes of a control without numbered marks, and how long each is in the book's units.
const TAPES: [&str; 3] = ["red", "green", "blue"];

/// The lengths that a book is written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lengths {
    /// Millimetres, with bar and kilograms.
    Metric,
    /// Inches, with psi and pounds, printed on Letter.
    Inches,
}

/// A control that many boats have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Usual {
    /// What the book calls it.
    pub id: &'static str,
    /// What people call it.
    pub name: &'static str,
    higher_is: &'static str,
    kind: Kind,
    /// The fields of its strip but for the datum.
    strip: &'static str,
    /// A hard point to measure its place from.
    from: &'static str,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// Numbered marks, or tapes: so many marks, so far apart in millimetres and in inches.
    Marks(usize, usize, &'static str),
    /// Marks both ways from a centre.
    Centre,
    /// Turns of a screw at the dock.
    Turns,
}

/// The controls to choose from, in the order that a trimmer sets them.
pub const USUAL: [Usual; 12] = [
    usual(
        "backstay",
        "Backstay",
        "tighter",
        Kind::Marks(6, 20, "3/4 in"),
        "place: beside the tackle, pointer: lower edge of the block",
        "chainplate",
    ),
    usual(
        "main_halyard",
        "Main halyard",
        "tighter",
        Kind::Marks(8, 10, "3/8 in"),
        "place: coachroof, grows: aft, reader_stands: aft, pointer: whipping on the halyard",
        "aft face of the clutch",
    ),
    usual(
        "jib_halyard",
        "Jib halyard",
        "tighter",
        Kind::Marks(8, 10, "3/8 in"),
        "place: coachroof, grows: aft, reader_stands: aft, pointer: whipping on the halyard",
        "aft face of the clutch",
    ),
    usual(
        "jib_lead",
        "Jib lead",
        "aft",
        Kind::Marks(8, 20, "3/4 in"),
        "sides: both, grows: aft, reader_stands: inboard, pointer: forward edge of the car",
        "chainplate",
    ),
    usual(
        "inhauler",
        "Inhauler",
        "further in",
        Kind::Marks(6, 20, "3/4 in"),
        "place: on the coachroof, grows: aft, reader_stands: aft, pointer: whipping on the line",
        "aft face of the clutch",
    ),
    usual(
        "traveller",
        "Traveller",
        "",
        Kind::Centre,
        "place: aft face of the beam, reader_stands: aft, pointer: centre of the car",
        "",
    ),
    usual(
        "outhaul",
        "Outhaul",
        "tighter",
        Kind::Marks(6, 10, "3/8 in"),
        "place: boom, grows: forward, reader_stands: aft, pointer: end of the sail",
        "end of the boom",
    ),
    usual(
        "cunningham",
        "Cunningham",
        "tighter",
        Kind::Marks(5, 10, "3/8 in"),
        "place: mast, grows: down, pointer: eye of the sail",
        "gooseneck",
    ),
    usual(
        "vang",
        "Vang",
        "tighter",
        Kind::Marks(6, 10, "3/8 in"),
        "place: beside the tackle, pointer: lower edge of the block",
        "foot of the mast",
    ),
    usual(
        "checkstay",
        "Checkstay",
        "tighter",
        Kind::Marks(6, 15, "1/2 in"),
        "place: beside the tackle, pointer: lower edge of the block",
        "chainplate",
    ),
    usual("caps", "Cap shrouds", "tighter", Kind::Turns, "", ""),
    usual("lowers", "Lower shrouds", "tighter", Kind::Turns, "", ""),
];

const fn usual(
    id: &'static str,
    name: &'static str,
    higher_is: &'static str,
    kind: Kind,
    strip: &'static str,
    from: &'static str,
) -> Usual {
    Usual { id, name, higher_is, kind, strip, from }
}

impl Usual {
    /// Whether it can have coloured tapes in place of numbered marks.
    pub fn can_have_tapes(&self) -> bool {
        matches!(self.kind, Kind::Marks(..))
    }

    /// Whether it is set before leaving and not while racing.
    pub fn is_set_at_the_dock(&self) -> bool {
        self.kind == Kind::Turns
    }
}

/// A control that the boat has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Has {
    /// Which one.
    pub control: &'static Usual,
    /// Coloured tapes in place of numbered marks, where it can have them.
    pub tapes: bool,
}

/// What a boat has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Boat {
    /// Her name, whatever letters it has.
    pub name: String,
    /// What she is measured in.
    pub lengths: Lengths,
    /// In the order that they are set.
    pub controls: Vec<Has>,
    /// How many headsails she has, at most [`MOST_HEADSAILS`].
    pub headsails: usize,
}

/// The first line of a book whose shape an editor is to find in the file beside it.
pub fn schema_line() -> String {
    format!("# yaml-language-server: $schema={SCHEMA_FILE}\n")
}

/// What is to be measured for a book, from its comments: the line that it is on, counted from 1, and what it is.
pub fn to_measure(book: &str) -> Vec<(usize, &str)> {
    let sign = format!("# {MEASURE}: ");
    let found = book.lines().enumerate().filter_map(|(index, line)| Some((index + 1, line.split_once(&sign)?.1)));
    found.collect()
}

impl Boat {
    /// The book of this boat.
    pub fn book(&self) -> String {
        let mut text = schema_line();
        text.push_str(
            "# Put your own numbers in. What only a tape measure knows is marked: measure. Then: cockpit-cards build\n",
        );
        text.push_str("book: 1\n");
        text.push_str(
            "example: true      # every card says EXAMPLE; take this line out once the numbers are your own\n",
        );
        let _ = writeln!(text, "boat: {{name: {}}}", scalar(&self.name));
        text.push_str(match self.lengths {
            Lengths::Metric => "units: {length: mm, wind: kn}\n",
            Lengths::Inches => "units: {length: in, wind: kn, mass: lb, pressure: psi}\nprinting: {paper: letter}\n",
        });
        text.push_str("\n# What a trimmer moves, in the order it is set.\ncontrols:\n");
        self.controls.iter().for_each(|has| self.control(*has, &mut text));
        self.sails(&mut text);
        self.settings(&mut text);
        text
    }

    fn control(&self, has: Has, text: &mut String) {
        let Has { control: Usual { id, name, higher_is, kind, strip, from }, tapes } = has;
        let _ = writeln!(text, "  {id}:\n    name: {name}");
        if !higher_is.is_empty() {
            let _ = writeln!(text, "    higher_is: {higher_is}");
        }
        let inches = self.lengths == Lengths::Inches;
        match kind {
            Kind::Turns => {
                text.push_str("    when: dock\n    scale:\n      turns:\n");
                let _ = writeln!(
                    text,
                    "        base: \"gauge 30 on 2027-04-01\"   # {MEASURE}: {name}: what the gauge shows, and the day"
                );
                text.push_str("      halves: true\n");
                return;
            }
            Kind::Centre => {
                let spacing = if inches { "3/4 in" } else { "20 mm" };
                let _ =
                    writeln!(text, "    scale:\n      centre: C\n      ends: [W, L]      # to windward, to leeward");
                let _ = writeln!(
                    text,
                    "      marks: 6          # {MEASURE}: {name}: how many marks the track holds each way"
                );
                let _ = writeln!(text, "      spacing: {spacing}");
            }
            Kind::Marks(..) if tapes => {
                text.push_str("    scale:\n      tapes:\n");
                for (index, tape) in TAPES.iter().enumerate() {
                    let (from, to) = if inches {
                        (format!("{} in", index * 2), format!("{} in", index * 2 + 2))
                    } else {
                        (format!("{} mm", index * 40), format!("{} mm", index * 40 + 40))
                    };
                    let _ = writeln!(
                        text,
                        "        - {{name: {tape}, from: {from}, to: {to}}}   # {MEASURE}: {name}: where the {tape} tape begins and ends"
                    );
                }
            }
            Kind::Marks(most, metric, inch) => {
                let spacing = if inches { (*inch).to_owned() } else { format!("{metric} mm") };
                let _ = writeln!(
                    text,
                    "    scale:\n      marks: 0..{most}       # {MEASURE}: {name}: how many marks its travel holds"
                );
                let _ = writeln!(text, "      spacing: {spacing}    # from mark to mark\n      halves: true");
            }
        }
        let _ = writeln!(text, "    strip:");
        strip.split(", ").for_each(|field| {
            let _ = writeln!(text, "      {field}");
        });
        if tapes {
            // The names of tapes are wider than numbers.
            let _ = writeln!(text, "      width: {}", if inches { "1 1/2 in" } else { "36 mm" });
        }
        if !from.is_empty() {
            let example = if inches { "10 in" } else { "250 mm" };
            let _ = writeln!(
                text,
                "      # datum: {{from: {from}, distance: {example}}}   # {MEASURE}: {name}: from a hard point to the lowest mark"
            );
        }
    }

    /// The winds of each headsail, from the lightest on, knots.
    fn winds(&self) -> Vec<(usize, usize)> {
        let (low, high) = WINDS_KN;
        let count = self.headsails.clamp(1, MOST_HEADSAILS);
        let edge = |nth: usize| low + (high - low) * nth / count;
        (0..count).map(|nth| (edge(nth), (edge(nth + 1) + OVERLAP_KN).min(high))).collect()
    }

    fn sails(&self, text: &mut String) {
        let luff = if self.lengths == Lengths::Inches { "40 ft 6 in" } else { "12.35 m" };
        text.push_str("\nsails:\n  main:\n    kind: mainsail\n    name: Main\n");
        if self.headsails == 0 {
            return;
        }
        for (index, (low, high)) in self.winds().into_iter().enumerate() {
            let nth = index + 1;
            let _ = writeln!(
                text,
                "  j{nth}:\n    kind: headsail\n    name: J{nth}\n    wind: {low}..{high}       # your own"
            );
            let _ = writeln!(text, "    # luff: {luff}   # {MEASURE}: J{nth}: its luff");
        }
    }

    fn settings(&self, text: &mut String) {
        let (dock, racing): (Vec<Has>, Vec<Has>) =
            self.controls.iter().partition(|has| has.control.is_set_at_the_dock());
        text.push_str(
            "\n# What was fast: for each wind one reading for each control, ~ where none was noted. THESE ARE MADE UP: put in what you\n\
             # sailed before you take `example: true` out, or the cards will say of them that they were sailed.\nsettings:\n",
        );
        let ids = |controls: &[Has]| controls.iter().map(|has| has.control.id).collect::<Vec<_>>().join(", ");
        if !racing.is_empty() {
            for (index, (low, high)) in self.winds().into_iter().enumerate() {
                let (id, sails) = match self.headsails {
                    0 => ("main-upwind".to_owned(), "main".to_owned()),
                    _ => (format!("j{}-upwind", index + 1), format!("main, j{}", index + 1)),
                };
                let _ = writeln!(text, "  - id: {id}\n    sails: [{sails}]\n    point_of_sail: upwind");
                let _ = writeln!(text, "    controls: [{}]\n    at:", ids(&racing));
                for wind in (low..high).step_by(ROW_EVERY_KN).chain([high]) {
                    let part = (wind - low) as f64 / (high - low) as f64;
                    let readings: Vec<String> = racing.iter().map(|has| has.reading(part)).collect();
                    let _ = writeln!(text, "      {wind}: [{}]", readings.join(", "));
                }
            }
        }
        if !dock.is_empty() {
            let _ = writeln!(text, "  - id: dock\n    when: dock\n    controls: [{}]\n    at:", ids(&dock));
            for (wind, turns) in [(8, "-1"), (13, "0"), (20, "+1")] {
                let _ = writeln!(text, "      {wind}: [{}]", vec![turns; dock.len()].join(", "));
            }
        }
    }
}

impl Has {
    /// A made-up reading for so much of the wind of a sail, from 0 to 1.
    fn reading(&self, part: f64) -> String {
        match self.control.kind {
            Kind::Turns => "0".to_owned(),
            // From two marks to windward to two to leeward.
            Kind::Centre => match (part * 4.0).round() as i32 - 2 {
                0 => "C".to_owned(),
                marks if marks < 0 => format!("W{}", -marks),
                marks => format!("L{marks}"),
            },
            Kind::Marks(..) if self.tapes => {
                TAPES[((part * TAPES.len() as f64) as usize).min(TAPES.len() - 1)].to_owned()
            }
            Kind::Marks(most, ..) => ((part * most as f64).round() as usize).to_string(),
        }
    }
}
