//! The program as a shell runs it: the same bytes on any day and in any folder, exit codes that scripts may rely on, and
//! a failed run that leaves the files of the last good one alone.

use crate::reading;
use crate::swap::Swap;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use cockpit_cards::door;
use cockpit_cards::printing::Options;

fn program() -> Command {
    Command::cargo_bin("cockpit-cards").expect("the program")
}

fn code(output: &Output) -> Option<i32> {
    output.status.code()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)
}

/// Every file below a folder, by its name from there.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fn walk(root: &Path, folder: &Path, found: &mut BTreeMap<String, Vec<u8>>) {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                walk(root, &path, found);
            } else {
                let name = path.strip_prefix(root).expect("below").to_string_lossy().replace('\\', "/");
                found.insert(name, fs::read(&path).expect("a file"));
            }
        }
    }
    let mut found = BTreeMap::new();
    walk(folder, folder, &mut found);
    found
}

fn build(book: &Path, out: &Path) -> Output {
    program().arg("build").arg(book).arg("--out").arg(out).output().expect("it runs")
}

const BOOK: &str = "\
book: 1
boat: {name: Łódź}
controls:
  backstay: {higher_is: tighter, scale: {marks: 0..6, spacing: 20 mm, halves: true}, strip: {pointer: tip of the ram}}
sails:
  main: {kind: mainsail}
settings:
  - {id: up, sails: [main], point_of_sail: upwind, controls: [backstay], at: {6: [0], 12: [2½], 20: [5]}}
";

#[test]
fn build_writes_the_files_that_it_promises() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = program().current_dir(&folder).args(["build", "--example", "--png"]).output().expect("it runs");
    assert_eq!(code(&output), Some(0), "{}", said(&output));
    let files = files(&folder.path().join("out"));
    let manifest: serde_json::Value = serde_json::from_slice(&files["manifest.json"]).expect("JSON");
    let cards = manifest["cards"].as_array().expect("cards");
    let said = String::from_utf8_lossy(&output.stdout).replace('\\', "/");
    assert!(said.contains("out/watch-plan.ics: 9 watches, for the calendar of a telephone"), "{said}");
    let all = ["cards.pdf", "cards-two-sided.pdf", "strips.pdf", "watch-plan.ics", "proof.html", "manifest.json"];
    let mut wanted: Vec<String> = all.map(str::to_owned).into_iter().collect();
    for card in cards {
        let id = card["id"].as_str().expect("an id");
        wanted.extend([format!("svg/{id}.svg"), format!("png/{id}.png")]);
        if !card["label"].is_null() {
            wanted.extend([format!("svg/{id}.label.svg"), format!("png/{id}.label.png")]);
        }
    }
    wanted.sort();
    assert_eq!(files.keys().cloned().collect::<Vec<_>>(), wanted);
    let ids: Vec<&str> = cards.iter().filter_map(|card| card["id"].as_str()).collect();
    for id in ["j1-upwind", "strip-jib_lead-port", "strip-jib_lead-starboard", "strip-checkstay"] {
        assert!(ids.contains(&id), "{id} in {ids:?}");
    }
    for (name, start) in
        [("cards.pdf", &b"%PDF-1.7"[..]), ("svg/j1-upwind.svg", b"<"), ("png/j1-upwind.png", b"\x89PNG")]
    {
        assert!(files[name].starts_with(start), "{name}");
    }
}

#[test]
fn a_warning_stands_on_the_proof_page_without_a_place_where_nobody_names_the_files() {
    let sail = "  j1: {kind: headsail, wind: 5..16";
    let book = reading::SOUND.swap(sail, &format!("{sail}, retired: 2027-05-01"));
    let cards = "wardrobe: {wind: 5..16, angle: 40..60}\ncards: [{kind: wardrobe, size: A5, back: change-j1-upwind}]\n";
    let printed = door::print(reading::load(&format!("{book}{cards}")), &Options::default());
    let files = printed.made.expect("a book without errors").in_memory().expect("files");
    let page = files.into_iter().find(|(name, _)| name == "proof.html").expect("a page").1;
    let page = String::from_utf8(page).expect("UTF-8");
    assert!(page.contains("<b>warning</b>: `wardrobe` is printed without its back"), "{page}");
    assert!(!page.contains("<code></code>"), "{page}");
}

#[test]
fn the_same_book_is_the_same_bytes_in_any_process_folder_zone_and_year() {
    // No clock can be set here, so a build is told other dates in every way a program might ask for one.
    let worlds: [&[(&str, &str)]; 3] = [
        &[("TZ", "UTC"), ("SOURCE_DATE_EPOCH", "0"), ("LANG", "C")],
        &[
            ("TZ", "Pacific/Kiritimati"),
            ("SOURCE_DATE_EPOCH", "4102444800"),
            ("LANG", "pl_PL.UTF-8"),
            ("LC_ALL", "tr_TR.UTF-8"),
        ],
        &[("TZ", "America/Noronha"), ("HOME", "/nowhere"), ("USER", "skipper"), ("TMPDIR", "/tmp"), ("COLUMNS", "20")],
    ];
    for (book, pictures) in [("full.yaml", None), ("imperial.yaml", Some("--png"))] {
        let mut first: Option<BTreeMap<String, Vec<u8>>> = None;
        for (number, world) in worlds.iter().enumerate() {
            let folder = tempfile::Builder::new().prefix(&format!("world {number} ")).tempdir().expect("a folder");
            // Run from within, beside a copy of the book: only its name is the same.
            for entry in fs::read_dir(example("")).expect("examples") {
                let path = entry.expect("an example").path();
                if path.is_file() {
                    fs::copy(&path, folder.path().join(path.file_name().expect("a name"))).expect("a copy");
                }
            }
            let mut build = program();
            build.current_dir(&folder).args(["build", book]).args(pictures).envs(world.iter().copied());
            let output = build.output().expect("it runs");
            assert_eq!(code(&output), Some(0), "{}", said(&output));
            let files = files(&folder.path().join("out"));
            match &first {
                None => first = Some(files),
                Some(first) => {
                    let other: Vec<_> = first.keys().filter(|name| first.get(*name) != files.get(*name)).collect();
                    assert!(other.is_empty() && first.len() == files.len(), "{book}, world {number}: {other:?}");
                }
            }
        }
    }
}

#[test]
fn no_file_says_when_or_where_it_was_made() {
    let folder = tempfile::Builder::new().prefix("whereabouts").tempdir().expect("a folder");
    let book = folder.path().join("boat.yaml");
    fs::write(&book, BOOK).expect("a file");
    let output = build(&book, &folder.path().join("out"));
    assert_eq!(code(&output), Some(0), "{}", said(&output));
    for (name, bytes) in files(&folder.path().join("out")) {
        let text = String::from_utf8_lossy(&bytes);
        for word in ["whereabouts", "CreationDate", "ModDate", "CreateDate", env!("CARGO_MANIFEST_DIR")] {
            assert!(!text.contains(word), "{word} in {name}");
        }
    }
}

/// Programs whose names an SVG, PDF or HTML file might carry; from memory of what each one writes.
const OTHER_PROGRAMS: &[&str] = &[
    "printpdf",
    "azul",
    "lopdf",
    "krilla",
    "usvg",
    "resvg",
    "cairo",
    "inkscape",
    "illustrator",
    "acrobat",
    "distiller",
    "ghostscript",
    "mupdf",
    "fonttools",
    "fontforge",
    "skia",
    "typst",
    "latex",
    "tera ",
    "serde",
];

#[test]
fn no_file_of_a_run_names_another_program() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = build(&example("full.yaml"), folder.path());
    assert_eq!(code(&output), Some(0), "{}", said(&output));
    let mut named_ourselves = 0;
    for (name, bytes) in files(folder.path()) {
        let bytes = if name.ends_with(".pdf") { unpacked(&bytes) } else { bytes };
        let text = String::from_utf8_lossy(&bytes).to_lowercase();
        let found: Vec<_> = OTHER_PROGRAMS.iter().filter(|program| text.contains(**program)).collect();
        assert!(found.is_empty(), "{name}: {found:?}");
        named_ourselves += usize::from(text.contains("cockpit-cards"));
    }
    assert!(named_ourselves >= 3, "the search would have found a name: {named_ourselves}");
}

/// A PDF with its streams unpacked.
fn unpacked(bytes: &[u8]) -> Vec<u8> {
    let mut document = lopdf::Document::load_mem(bytes).expect("a PDF");
    document.decompress();
    let mut plain = Vec::new();
    document.save_to(&mut plain).expect("a PDF");
    plain
}

/// Books that cannot be printed, each for a reason found at another stage.
fn bad_books() -> [(&'static str, String); 6] {
    [
        ("no YAML", "book: [1".to_owned()),
        ("an unknown field", BOOK.swap("controls:", "contrlos:")),
        ("a reading off its scale", BOOK.swap("[5]", "[9]")),
        ("a card too small", format!("{BOOK}cards: [{{kind: wind-settings, settings: up, size: 20 x 20 mm}}]\n")),
        ("a strip with marks further apart than the paper is long", BOOK.swap("spacing: 20 mm", "spacing: 400 mm")),
        ("an unknown kind of card", format!("{BOOK}cards: [{{kind: wind-setings}}]\n")),
    ]
}

#[test]
fn a_bad_book_is_exit_code_two_and_leaves_the_files_of_the_last_run_untouched() {
    let folder = tempfile::tempdir().expect("a folder");
    let (book, out) = (folder.path().join("boat.yaml"), folder.path().join("out"));
    fs::write(&book, BOOK).expect("a file");
    assert_eq!(code(&build(&book, &out)), Some(0));
    let before = files(&out);
    let times = |out: &Path| fs::metadata(out.join("cards.pdf")).and_then(|file| file.modified()).expect("a time");
    let time = times(&out);
    for (what, text) in bad_books() {
        fs::write(&book, text).expect("a file");
        let output = build(&book, &out);
        assert_eq!(code(&output), Some(2), "{what}: {}", said(&output));
        assert!(said(&output).contains("help"), "{what} comes with a remedy: {}", said(&output));
        assert!(said(&output).contains("nothing was written"), "{what}: {}", said(&output));
        assert!(output.stdout.is_empty(), "{what}: nothing to say on standard output");
        assert!(files(&out) == before && times(&out) == time, "{what} changed a file");
    }
}

#[test]
fn a_bad_book_makes_no_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let (book, out) = (folder.path().join("boat.yaml"), folder.path().join("out"));
    for (what, text) in bad_books() {
        fs::write(&book, text).expect("a file");
        assert_eq!(code(&build(&book, &out)), Some(2), "{what}");
        assert!(!out.exists(), "{what}");
    }
}

#[test]
fn three_faults_are_told_in_one_run() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("boat.yaml");
    let text = BOOK.swap("spacing: 20 mm", "spacing: 20 kg").swap("mainsail", "mainsial").swap("upwind", "upwnd");
    fs::write(&book, text).expect("a file");
    let told = said(&build(&book, &folder.path().join("out")));
    for wrong in ["20 kg", "mainsial", "upwnd", "3 errors"] {
        assert!(told.contains(wrong), "{wrong} in {told}");
    }
}

#[test]
fn under_strict_a_warning_stops_the_build_and_leaves_the_files_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let (book, out) = (folder.path().join("boat.yaml"), folder.path().join("out"));
    // A row beyond the wind of its sails is a warning.
    let text = BOOK.swap("{kind: mainsail}", "{kind: mainsail, wind: 5..15}");
    fs::write(&book, text).expect("a file");
    let output = build(&book, &out);
    assert_eq!(code(&output), Some(0), "{}", said(&output));
    assert!(said(&output).contains("warning"), "{}", said(&output));
    let before = files(&out);
    let output = program().arg("build").arg(&book).arg("--out").arg(&out).arg("--strict").output().expect("it runs");
    assert_eq!(code(&output), Some(2), "{}", said(&output));
    assert!(files(&out) == before);
}

#[test]
fn a_machine_that_cannot_write_is_exit_code_one_and_says_where() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("boat.yaml");
    fs::write(&book, BOOK).expect("a file");
    // No permission stops root, but nobody can make a folder out of a file.
    let file = folder.path().join("a file");
    fs::write(&file, "mine").expect("a file");
    for out in [file.clone(), file.join("below")] {
        let output = build(&book, &out);
        assert_eq!(code(&output), Some(1), "{}: {}", out.display(), said(&output));
        assert!(said(&output).contains("a file"), "{}", said(&output));
    }
    assert_eq!(fs::read(&file).expect("the file"), b"mine");
}

#[test]
fn when_one_file_cannot_be_written_the_others_stay_as_they_were() {
    let folder = tempfile::tempdir().expect("a folder");
    let (book, out) = (folder.path().join("boat.yaml"), folder.path().join("out"));
    fs::write(&book, BOOK).expect("a file");
    assert_eq!(code(&build(&book, &out)), Some(0));
    // A folder stands where the manifest belongs.
    fs::remove_file(out.join("manifest.json")).expect("a file");
    fs::create_dir(out.join("manifest.json")).expect("a folder");
    let before = files(&out);
    fs::write(&book, BOOK.swap("2½", "3")).expect("a file");
    let output = build(&book, &out);
    assert_eq!(code(&output), Some(1), "{}", said(&output));
    assert!(said(&output).contains("manifest.json"), "{}", said(&output));
    assert!(files(&out) == before, "nothing changed and nothing was left behind");
}

#[test]
fn a_wrong_command_line_is_exit_code_two() {
    let folder = tempfile::tempdir().expect("a folder");
    let wrong: [&[&str]; 6] = [
        &[],
        &["bild"],
        &["build", "--example", "--paper", "a44"],
        &["build", "--example", "--paper", "30 x 40 mm"],
        &["build", "--example", "--only", "j1-upwnd"],
        &["new", "one.yaml", "two.yaml"],
    ];
    for arguments in wrong {
        let output = program().current_dir(&folder).args(arguments).output().expect("it runs");
        assert_eq!(code(&output), Some(2), "{arguments:?}: {}", said(&output));
        assert!(!said(&output).is_empty(), "{arguments:?}");
    }
    assert!(files(folder.path()).is_empty(), "none of them wrote anything");
}

#[test]
fn only_the_cards_asked_for_are_printed() {
    let folder = tempfile::tempdir().expect("a folder");
    let only = ["build", "--example", "--only", "j2-upwind", "--only", "strip-outhaul"];
    let output = program().current_dir(&folder).args(only).output().expect("it runs");
    assert_eq!(code(&output), Some(0), "{}", said(&output));
    let files = files(&folder.path().join("out"));
    let svg: Vec<_> = files.keys().filter(|name| name.starts_with("svg/")).collect();
    assert_eq!(svg, ["svg/j2-upwind.svg", "svg/strip-outhaul.svg"]);
}

#[test]
fn a_new_book_is_printed_without_a_word_and_never_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |arguments: &[&str]| program().current_dir(&folder).args(arguments).output().expect("it runs");
    // A name that YAML would read as something else.
    assert_eq!(code(&run(&["new", "--boat", "yes: \"Łódź\" # 1"])), Some(0));
    let book = fs::read(folder.path().join("boat.yaml")).expect("a book");
    let output = run(&["build", "boat.yaml", "--strict"]);
    assert_eq!((code(&output), said(&output)), (Some(0), String::new()));
    let manifest = fs::read_to_string(folder.path().join("out/manifest.json")).expect("a manifest");
    let manifest: serde_json::Value = serde_json::from_str(&manifest).expect("JSON");
    assert_eq!(manifest["boat"], "yes: \"Łódź\" # 1");
    let output = run(&["new"]);
    assert_eq!(code(&output), Some(2), "{}", said(&output));
    assert_eq!(fs::read(folder.path().join("boat.yaml")).expect("a book"), book);
}

#[test]
fn a_pdf_that_an_earlier_run_left_is_named_and_not_touched() {
    let out = tempfile::tempdir().unwrap();
    assert!(!said(&build(&example("full.yaml"), out.path())).contains("earlier run"));
    let left = fs::read(out.path().join("cards-two-sided.pdf")).unwrap();
    let output = build(&example("smallest.yaml"), out.path());
    let words = String::from_utf8_lossy(&output.stdout);
    assert!(words.contains("cards-two-sided.pdf is of an earlier run and was not printed now"), "{words}");
    assert_eq!(words.matches("earlier run").count(), 1, "{words}");
    assert_eq!(fs::read(out.path().join("cards-two-sided.pdf")).unwrap(), left);
}

#[test]
fn what_a_roll_cannot_take_is_said_to_be_uncorrected() {
    let folder = tempfile::tempdir().unwrap();
    let readings = folder.path().join("printers.yaml");
    let set = ["printer", "set", "plotter", "--across", "179.4", "--along", "250.9", "--readings"];
    assert!(program().args(set).arg(&readings).output().unwrap().status.success());
    let printed = |paper: &str| {
        let mut build = program();
        build.arg("build").arg(example("full.yaml")).args(["--printer", "plotter", "--paper", paper, "--readings"]);
        let output = build.arg(&readings).arg("--out").arg(folder.path().join("out")).output().unwrap();
        assert_eq!(code(&output), Some(0), "{}", said(&output));
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    assert!(!printed("a4").contains("not corrected"));
    let on_roll = printed("roll-610mm");
    assert!(on_roll.contains("cards-two-sided.pdf is for A4 and not corrected"), "{on_roll}");
}
