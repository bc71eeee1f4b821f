//! A bad book is told what is wrong, where, and what would be right: all of it in one run, and never a panic.
//!
//! In the texts below `«` and `»` stand around each fault; they are taken out before reading.

use crate::reading;

use reading::{SOUND, complaints, load, spoilt, unmarked};

/// A fault put into a book, and words that its remedy must hold.
struct Fault {
    name: &'static str,
    book: String,
    remedy: &'static str,
}

impl Fault {
    /// The same with another piece replaced.
    fn and(self, piece: &str, replacement: &str) -> Self {
        assert_eq!(self.book.matches(piece).count(), 1, "{}: the book has `{piece}` not just once", self.name);
        Fault { book: self.book.replacen(piece, replacement, 1), ..self }
    }
}

/// A piece of the sound book replaced by one with faults.
fn fault(name: &'static str, piece: &str, replacement: &str, remedy: &'static str) -> Fault {
    Fault { name, book: spoilt(piece, replacement), remedy }
}

/// A book given whole.
fn whole(name: &'static str, book: impl Into<String>, remedy: &'static str) -> Fault {
    Fault { name, book: book.into(), remedy }
}

/// Every fault is reported once, at its place, with its remedy, and nothing else is; the words are kept as a snapshot.
fn check(snapshot: &str, faults: Vec<Fault>) {
    let mut reports = String::new();
    for Fault { name, book, remedy } in faults {
        let (text, places) = unmarked(&book);
        let loaded = load(&text);
        let report = complaints(&loaded);
        let found: Vec<_> = loaded.problems.iter().filter_map(|problem| problem.place.clone()).collect();
        let found: Vec<_> = found.iter().map(|place| (place.source.0, place.bytes.start)).collect();
        let wanted: Vec<_> = places.iter().map(|place| (0, place.start)).collect();
        assert_eq!(found, wanted, "{name}: the faults are elsewhere\n{report}");
        assert!(
            loaded.problems.iter().any(|problem| problem.instead.contains(remedy)),
            "{name}: nothing says `{remedy}`\n{report}"
        );
        reports.push_str(&format!("## {name}\n\n{report}\n\n"));
    }
    insta::with_settings!({omit_expression => true}, {
        insta::assert_snapshot!(snapshot, reports);
    });
}

#[test]
fn the_book_that_these_tests_spoil_is_sound() {
    assert_eq!(complaints(&load(SOUND)), "");
}

#[test]
fn unknown_names_are_answered_with_the_nearest_known_one() {
    check(
        "unknown_names",
        vec![
            fault("field", "spacing: 20 mm", "«spaceing»: 20 mm", "did you mean `spacing`?"),
            fault("field far from all", "higher_is: aft", "«wibble»: aft", "its fields are `name`"),
            fault("top-level field", "\nsails:\n", "\n«sail»:\n", "did you mean `sails`?"),
            fault("control", "controls: [backstay,", "controls: [«backstray»,", "did you mean `backstay`?"),
            fault("sail", "sails: [main, j1]", "sails: [main, «j11»]", "did you mean `j1`?"),
            fault("kind of sail", "{kind: mainsail}", "{kind: «main»}", "did you mean `mainsail`?"),
            fault("point of sail", "point_of_sail: upwind", "point_of_sail: «up-wind»", "did you mean `upwind`?"),
            fault(
                "reef of a sail that is not there",
                "{kind: mainsail}",
                "{kind: mainsail, reef_of: «mian»}",
                "did you mean `main`?",
            ),
            fault("yes for true", "halves: true", "halves: «yes»", "write `true` or `false`"),
            fault(
                "unit",
                "boat: {name: Chervil}",
                "boat: {name: Chervil}\nunits: {length: «mmm»}",
                "did you mean `mm`?",
            ),
        ],
    );
}

#[test]
fn missing_parts_and_wrong_types_say_how_they_are_written() {
    check(
        "missing_and_wrong",
        vec![
            whole("no form", "«»boat: {name: Chervil}\ncontrols: {vang: {scale: {words: [a, b]}}}", "book: 1"),
            fault("another form", "book: 1", "book: «2»", "book: 1"),
            fault("no boat", "boat: {name: Chervil}\n", "", "boat: {name: Pepperwort}").and("book: 1", "«»book: 1"),
            fault("no name", "{name: Chervil}", "«»{length: 9 m}", "name: Pepperwort"),
            fault("empty name", "{name: Chervil}", "{«name»: }", "name: Pepperwort"),
            fault(
                "no scale",
                "  vang: {scale: {words: [eased, snug, hard]}}",
                "  «vang»: {name: Vang}",
                "scale: {marks",
            ),
            fault("no spacing", ", spacing: 25 mm}", "}", "spacing: 20 mm").and("{marks: 0..20", "«»{marks: 0..20"),
            fault("no id", "  - id: j1-upwind\n    sails", "  - «»sails", "id: j1-upwind"),
            fault("no point of sail", "    point_of_sail: upwind\n", "", "point_of_sail: upwind")
                .and("j1-upwind", "«»j1-upwind"),
            fault("list for a word", "higher_is: aft", "higher_is: «[aft]»", "write a word"),
            fault("word for fields", "{name: Chervil}", "«Chervil»", "name: value"),
            fault("fields for a list", "[main, j1]", "«{main: j1}»", "write a list"),
            fault("list for fields", "boat: {name: Chervil}", "boat: «[Chervil]»", "name: value"),
            whole("a list for a book", "«- book: 1»", "name: value"),
            whole("a word for a book", "«hello»", "name: value"),
        ],
    );
}

#[test]
fn numbers_and_units_say_how_they_are_written() {
    let spacing = |name, written: &str, remedy| fault(name, "spacing: 20 mm", &format!("spacing: «{written}»"), remedy);
    check(
        "numbers",
        vec![
            spacing("0", "0 mm", "from 0.1 mm"),
            spacing("negative", "-20 mm", "from 0.1 mm"),
            spacing("not a number", ".nan", "write the number itself"),
            spacing("infinity", ".inf", "write the number itself"),
            spacing("infinity with a unit", "inf mm", "write the number itself"),
            spacing("exponent", "2e1", "in digits"),
            spacing("foreign unit", "25 kg", "write it like `25 mm`"),
            spacing("unknown unit", "25 furlongs", "mm, cm, m, in, ft"),
            spacing("a word", "wide", "write it like `25 mm`"),
            spacing("decimal comma", "\"20,5 mm\"", "write `20.5`"),
            spacing("thousands comma", "\"1,000 mm\"", "write `1000`"),
            spacing("fraction without a gap", "41/2 mm", "`4 1/2`"),
            spacing("two numbers", "5 mm 3 mm", "write it like `25 mm`"),
            fault(
                "boat length without a unit",
                "{name: Chervil}",
                "{name: Chervil, length: «11.5»}",
                "without a unit is in mm",
            ),
            fault("range that falls", "wind: 5..16", "wind: «16..5»", "lower end first"),
            fault("range with a hyphen", "wind: 5..16", "wind: «5-16»", "5..16 kn"),
            fault("range of masses", "wind: 5..16", "wind: «5..16 kg»", "25 kn"),
            fault("wind past all reason", "wind: 5..16", "wind: «5..1600»", "100 kn"),
            fault("day that does not exist", "wind: 5..16", "wind: 5..16, since: «2027-02-29»", "2027-04-11"),
            fault("day written day first", "wind: 5..16", "wind: 5..16, since: «11.4.2027»", "2027-04-11"),
        ],
    );
}

#[test]
fn scales_are_checked_before_anything_is_printed_from_them() {
    let scale =
        |name, written: &str, remedy| fault(name, "{marks: 0..8, spacing: 20 mm, halves: true}", written, remedy);
    let vang = |name, written: &str, remedy| fault(name, "{words: [eased, snug, hard]}", written, remedy);
    check(
        "scales",
        vec![
            scale("one mark", "{marks: «8», spacing: 20 mm}", "`0..8`"),
            scale("marks that fall", "{marks: «8..0», spacing: 20 mm}", "lower mark first"),
            scale("broken marks", "{marks: «0..4.5», spacing: 20 mm}", "whole numbers"),
            scale("more than 500 marks", "{marks: 0..300, «spacing»: 4 mm, halves: true}", "leave out halves"),
            scale("longer than 5 m", "{marks: 0..8, «spacing»: 700 mm}", "check the unit"),
            scale("longer than 5 m by its purchase", "{marks: 0..8, «spacing»: 160 mm, purchase: 4}", "purchase"),
            scale("marks too close", "{marks: 0..8, «spacing»: 1.5 mm, halves: true}", "larger step"),
            scale("purchase of 0", "{marks: 0..8, spacing: 20 mm, purchase: «0»}", "at most 48"),
            vang("two kinds", "{words: [eased, hard], «gauge»: {unit: bar}}", "keep one"),
            vang("no kind", "«»{halves: true}", "`marks: 0..8`"),
            vang("one word", "{words: «eased»}", "[eased, snug, hard]"),
            vang("a word twice", "{words: [eased, snug, «Eased»]}", "keep one"),
            vang("a gauge that falls", "{gauge: {unit: bar, least: 180, most: «0»}}", "higher than `least`"),
            vang("a gauge without a unit", "{gauge: «»{least: 0}}", "unit: bar"),
            vang("a gauge in two units", "{gauge: {unit: bar, least: 0 bar, most: «1800 psi»}}", "write it in bar"),
            vang("turns from nowhere", "{turns: «»{}}", "base:"),
            vang("centre without ends", "«»{centre: C, marks: 6, spacing: 25 mm}", "ends: [W, L]"),
            vang("three ends", "{centre: C, marks: 6, spacing: 25 mm, ends: «[A, B, D]»}", "[W, L]"),
            vang("ends alike", "{centre: C, marks: 6, spacing: 25 mm, ends: «[W, w]»}", "name them apart"),
            vang("an end with a digit", "{centre: C, marks: 6, spacing: 25 mm, ends: [«W1», L]}", "short word"),
            vang("one measured pair", "{measured: «»{0 bar: 0 mm}, every: 30 bar}", "pairs"),
            vang(
                "quantities that fall",
                "{measured: {60 bar: 14 mm, «0 bar»: 20 mm}, every: 30 bar}",
                "lowest quantity",
            ),
            vang("places that fall", "{measured: {0 bar: 14 mm, 60 bar: «0 mm»}, every: 30 bar}", "least"),
            vang("pairs in two units", "{measured: {0 bar: 0 mm, «900 psi»: 14 mm}, every: 30 bar}", "write it in bar"),
            vang(
                "a step wider than the scale",
                "{measured: {0 bar: 0 mm, 60 bar: 14 mm}, every: «90 bar»}",
                "every: 30 bar",
            ),
            vang("a tape of no known colour", "{tapes: [{name: «teal», from: 0 mm, to: 30 mm}]}", "add `colour:`"),
            vang(
                "tapes over one another",
                "{tapes: [{name: red, from: 0 mm, to: 30 mm}, {name: «blue», from: 20 mm, to: 60 mm}]}",
                "none over another",
            ),
            vang("a tape that ends before it starts", "{tapes: [{name: red, from: 30 mm, «to»: 0 mm}]}", "past `from`"),
            fault(
                "a strip for words",
                "vang: {scale: {words: [eased, snug, hard]}}",
                "vang: {scale: {words: [eased, snug, hard]}, strip: «»{width: 20 mm}}",
                "take `strip` out",
            ),
            fault(
                "a purchase on a double-ended line",
                "    scale: {marks: 0..20, spacing: 25 mm}",
                "    scale: {marks: 0..20, spacing: 25 mm, purchase: 4}\n    double_ended: «true»",
                "mark the part that moves",
            ),
            fault(
                "a limit off the scale",
                "    scale: {marks: 0..20, spacing: 25 mm}",
                "    scale: {marks: 0..20, spacing: 25 mm}\n    limit: {never_above: «21»}",
                "0 to 20",
            ),
            fault(
                "limits that leave nothing",
                "    scale: {marks: 0..20, spacing: 25 mm}",
                "    scale: {marks: 0..20, spacing: 25 mm}\n    limit: {never_above: «3», never_below: 5}",
                "higher than",
            ),
        ],
    );
}

#[test]
fn settings_are_checked_against_their_controls_and_sails() {
    check(
        "settings",
        vec![
            fault("row too short", "[2, 12, snug]", "«[2, 12]»", "`~` for not recorded, `none` for not used"),
            fault("row too long", "[2, 12, snug]", "«[2, 12, snug, 4]»", "and no more"),
            fault("decimal comma in a row", "[4½, 14, hard]", "«[4,5, 14, hard]»", "write `4.5`"),
            fault("winds out of order", "      14: [", "      «8»: [", "from light wind to strong"),
            fault("one wind written twice", "      14: [", "      «10»: [", "keep one of the two"),
            fault("one wind in two spellings", "      14: [", "      «10.0»: [", "the better of the two rows"),
            fault("wind of nothing", "      6:  [", "      «-6»:  [", "from 0 kn"),
            fault("mark off the scale", "[4½, 14, hard]", "[«9», 14, hard]", "0 to 8"),
            fault("word not in the list", "[2, 12, snug]", "[2, 12, «tight»]", "`eased`, `snug`, `hard`"),
            fault("fraction without a gap", "[4½, 14, hard]", "[«41/2», 14, hard]", "`4 1/2`"),
            fault("quoted decimal comma", "[4½, 14, hard]", "[«\"4,5\"», 14, hard]", "`4.5`"),
            fault(
                "mark past its limit",
                "spacing: 20 mm, halves: true}",
                "spacing: 20 mm, halves: true}\n    limit: {never_above: 4, why: \"rigger's figure\"}",
                "stay at 4",
            )
            .and("4½, 14", "«4½», 14"),
            fault(
                "not one row",
                "    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n",
                "    at: «»{}\n",
                "each wind that was sailed",
            ),
            fault("a row of fields", "[2, 12, snug]", "«{backstay: 2}»", "write a list"),
            fault("a column twice", "[backstay, lead, vang]", "[backstay, lead, vang, «lead»]", "keep one")
                .and("13, eased]", "13, eased, 1]")
                .and("12, snug]", "12, snug, 1]")
                .and("14, hard]", "14, hard, 1]"),
            fault("a sail twice", "sails: [main, j1]", "sails: [main, j1, «j1»]", "once"),
            fault("no sail", "sails: [main, j1]", "sails: «[]»", "[main, j1]"),
            fault(
                "two mainsails",
                "  j1: {kind: headsail, wind: 5..16}",
                "  j1: {kind: mainsail, wind: 5..16}",
                "the one that is set",
            )
            .and("j1]\n    point", "«j1»]\n    point"),
            fault("sails that share no wind", "main: {kind: mainsail}", "main: {kind: mainsail, wind: 20..30}", "wind")
                .and("j1]\n    point", "«j1»]\n    point"),
            fault("a row outside the wind of the sails", "wind: 5..16", "wind: 5..12", "correct the row")
                .and("14: [4", "«14»: [4"),
            fault(
                "a control of the dock as a column",
                "vang: {scale",
                "vang: {when: dock, scale",
                "take the column out",
            )
            .and("vang]", "«vang»]"),
            fault(
                "two settings of one name",
                "settings:\n",
                "settings:\n  - {id: j1-upwind, sails: [j1], point_of_sail: upwind, controls: [lead], at: {8: [3]}}\n",
                "id of its own",
            )
            .and("j1-upwind\n", "«j1-upwind»\n"),
            fault("a target of nothing", "    at:\n", "    targets: {«10: {}»}\n    at:\n", "`speed`"),
            fault(
                "targets out of order",
                "    at:\n",
                "    targets: {10: {heel: 18 deg}, «8»: {heel: 15 deg}}\n    at:\n",
                "light wind",
            ),
            fault("a target in metres", "    at:\n", "    targets: {10: {speed: «6 m»}}\n    at:\n", "25 kn"),
            fault(
                "between for no column",
                "    controls: [backstay, lead, vang]",
                "    controls: [backstay, lead, vang]\n    between: {«backsty»: step}",
                "`backstay`",
            ),
            fault("words that should glide", "    at:\n", "    between: {vang: «linear»}\n    at:\n", "write `step`"),
            fault("bands that fall", "boat:", "wind_bands: [4, 8, «6», 12]\nboat:", "light to strong"),
            fault("one band edge", "boat:", "wind_bands: «[4]»\nboat:", "[4, 8, 11"),
            fault("a band edge twice", "boat:", "wind_bands: [4, 8, «8.0», 12]\nboat:", "each edge once"),
            fault("a reef of itself", "{kind: mainsail}", "{kind: mainsail, reef_of: «main»}", "the whole sail"),
            fault("cards without a kind", "boat:", "cards: [«»{size: A6}]\nboat:", "kind: wind-settings"),
        ],
    );
}

#[test]
fn ids_and_texts_hold_only_what_can_be_printed() {
    check(
        "characters",
        vec![
            fault("id with capitals and a space", "  j1: {", "  «J 1»: {}\n  j1: {", "`j_1`"),
            fault("id of settings", "id: j1-upwind", "id: «j1/upwind»", "`j1_upwind`"),
            fault("an id too long", "id: j1-upwind", &format!("id: «{}»", "a".repeat(41)), "shorten"),
            fault("Han character", "Chervil", "«Chervil 帆»", "another way"),
            fault("emoji", "Chervil", "«Chervil ⛵»", "another way"),
            fault("nul", "Chervil", "«\"Cher\\0vil\"»", "take it out"),
            fault("escape", "Chervil", "«\"Cher\\evil\"»", "take it out"),
            fault("next line", "Chervil", "«\"Cher\\Nvil\"»", "take it out"),
            fault("bidirectional override", "Chervil", "«Cher\u{202E}vil»", "type it again"),
            fault("zero-width space", "Chervil", "«Cher\u{200B}vil»", "type it again"),
            fault("a text too long", "Chervil", &format!("«{}»", "long ".repeat(100).trim_end()), "shorten it"),
            fault("a comment glued to a name", "higher_is: aft", "higher_is: aft «#not forward»", "in quotes"),
        ],
    );
}

#[test]
fn yaml_faults_are_told_in_plain_words() {
    check(
        "yaml",
        vec![
            whole("empty", "«»", "book: 1"),
            whole("comments only", "«»# nothing yet\n", "book: 1"),
            fault(
                "field written twice",
                "higher_is: aft",
                "higher_is: aft\n    «higher_is»: forward",
                "keep one of the two",
            ),
            fault("tab for indentation", "  main: {kind", "«\t»main: {kind", "with spaces"),
            whole("second document", format!("{SOUND}«---»\n{SOUND}"), "take the line `---` out"),
            fault("tag", "name: Chervil", "name: «!!str» Chervil", "take the `!` out"),
            whole("directive", format!("«%»YAML 1.2\n---\n{SOUND}"), "take it out"),
            fault("merge key", "higher_is: aft", "«<<»: aft", "write the fields out"),
            fault("reference to nothing", "higher_is: aft", "higher_is: «*aft»", "in quotes"),
            fault("reference to itself", "[main, j1]", "&loop [main, «*loop»]", "write the value out"),
            fault("list as a key", "higher_is: aft", "? «[a]»\n    : aft", "a word before the colon"),
            fault("at sign", "higher_is: aft", "higher_is: «@»aft", "in quotes"),
            fault("bracket never closed", "[main, j1]", "«»[main, j1", "close"),
            fault("text never closed", "name: Chervil}", "name: «»\"Chervil}", "quote"),
            fault("colon in a text", "higher_is: aft", "higher_is: aft«:» more", "put quotes round"),
            fault("no colon", "higher_is: aft", "«»higher_is aft", "name: value"),
        ],
    );
}
