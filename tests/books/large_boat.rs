//! A boat of forty feet goes from what `new` writes to a green build in a handful of rounds: each round a sailor corrects what
//! was told, and nothing that could have been told before is told later. Every message met on the way is a snapshot.

use assert_cmd::Command;
use std::fs;
use std::path::Path;

/// The book as it is in the end.
const BOAT: &str = include_str!("large-boat.yaml");
/// Rounds from the first draft to a book without a word of complaint.
const ROUNDS: usize = 3;

/// What a sailor wrote at first: the piece of the book in the end, what stood in its place, and the words by which the message
/// that leads to it is known.
const SLIPS: [(&str, &str, &str); 23] = [
    (
        "grows: down, pointer: lower edge of the sleeve",
        "grows: downward, pointer: lower edge of the sleeve",
        "downward",
    ),
    ("ends: [W, L]}\n    strip", "ends: [W, L, C]}\n    strip", "ends"),
    ("limit: {never_above: 160 bar, why: relief valve}", "limit: {never_above: 170 bar, why: relief valve}", "170 bar"),
    ("{name: red, from: 80 mm, to: 120 mm}", "{name: red, from: 70 mm, to: 120 mm}", "red"),
    ("{turns: {base: gauge 29 on 2027-03-18}, halves: true}", "{turns: {base: gauge 29}, halves: true}", "gauge 29"),
    ("sails: [j1, j2]}, jib_halyard", "sails: [j1, jib2]}, jib_halyard", "jib2"),
    ("j1: {kind: headsail, name: J1, wind: 4..15", "j1: {kind: headsail, name: J1, wind: 15..4", "15..4"),
    ("luff: 15.6 m, since", "luff: 15.6, since", "15.6"),
    ("name: Staysail, flies_with: [a3], wind", "name: Staysail, wind", "flies_with"),
    (
        "sails: [main, j1]\n    point_of_sail: upwind\n    controls",
        "sails: [main, jl]\n    point_of_sail: upwind\n    controls",
        "`jl`",
    ),
    ("9:  [60,  3½, 5,  red,   W2, 4, 5]", "9:  [60,  3,5, 5,  red,   W2, 4, 5]", "3,5"),
    ("12: [80, 4,  C]", "12: [80, 4,  M]", "`M`"),
    (
        "controls: [backstay, jib_halyard, jib_lead, traveller, runner]",
        "controls: [backstay, jib_halyard, jib_lead, traveller, caps]",
        "set at the dock",
    ),
    ("13: [0,   0,  3]", "13: [0,   0]", "2 readings"),
    ("heel_limited: {from: 20 deg, wind: 9 kn}", "heel_limited: {wind: 9 kn}", "`from`"),
    ("time_zone: Europe/Dublin", "time_zone: Europe/Dublinn", "Europe/Dublin"),
    ("Starboard: [Eve, Finn, Gus, Hana]", "Starboard: [Eve, Finn, Gus, Gus]", "Gus is named twice"),
    ("gust: 23}", "gust: 7}", "gust"),
    ("sheet_load: 3.2 kN", "sheet_load: 320 kg", "320 kg"),
    ("pattern: vee\n  spacing: 350 mm", "pattern: zigzag\n  spacing: 350 mm", "zigzag"),
    ("moment_to_trim: 108 kg·m/cm", "moment_to_trim: 108 kg", "108 kg"),
    (
        "{what: chain, mass: 34 kg, now: [1.2 m, 0 m, 0.6 m], plan: move, to: [6.3 m, 0 m, -0.1 m], stow: Under the sole}",
        "{what: chain, mass: 34 kg, now: [1.2 m, 0 m, 0.6 m], plan: move, stow: Under the sole}",
        "not where to",
    ),
    ("handover: A4, wardrobe: A4,", "handover: A4, wardrope: A4,", "wardrope"),
];

fn run(folder: &Path, command: &[&str]) -> (Option<i32>, String) {
    let mut program = Command::cargo_bin("cockpit-cards").expect("the program");
    let output = program.args(command).current_dir(folder).output().expect("a run");
    let said = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code(), said(&output.stderr) + &said(&output.stdout))
}

#[test]
fn a_large_boat_is_green_in_a_handful_of_rounds_and_each_tells_all_it_can() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("boat.yaml");
    assert_eq!(run(folder.path(), &["new", "boat.yaml", "--boat", "Quillwort"]).0, Some(0));
    assert_eq!(run(folder.path(), &["build", "--strict"]).0, Some(0), "what `new` writes prints");
    let mut text = BOAT.to_owned();
    for (piece, slip, _) in SLIPS {
        assert_eq!(text.matches(piece).count(), 1, "{piece}");
        text = text.replacen(piece, slip, 1);
    }
    let mut told = Vec::new();
    let mut open: Vec<_> = SLIPS.to_vec();
    loop {
        fs::write(&path, &text).expect("a book is written");
        let (code, said) = run(folder.path(), &["check", "--paper", "a3"]);
        told.push(format!("# round {}\n\n{said}", told.len() + 1));
        if code == Some(0) && open.is_empty() {
            break;
        }
        assert!(told.len() <= ROUNDS, "still open after {ROUNDS} rounds: {open:#?}\n{}", told.join("\n"));
        let (now, later): (Vec<_>, Vec<_>) = open.into_iter().partition(|(_, _, known_by)| said.contains(known_by));
        for (piece, slip, _) in now {
            text = text.replacen(slip, piece, 1);
        }
        open = later;
    }
    insta::assert_snapshot!("rounds", told.join("\n"));
    let (code, said) = run(folder.path(), &["build", "--strict", "--paper", "a3"]);
    assert_eq!(code, Some(0), "{said}");
}
