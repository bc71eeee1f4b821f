//! Every crate in the tree, for every system and for the tests too: it comes under a licence that lets anyone have and pass
//! on what we make, and it is none that is known to be given up. Needs no network where the crates are there already
//! (`cargo fetch --locked` gets those of other systems).

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use serde::Deserialize;
use spdx::{Expression, ParseMode};

/// Licences that any crate may come under, by their SPDX names.
const ALLOWED: [&str; 7] = ["MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "ISC", "Zlib", "Unicode-3.0"];

/// What a crate may come under besides, and why.
const EXCEPTIONS: [(&str, &str, &str); 5] = [
    ("notify", "CC0-1.0", "its authors keep no right in it; watches the files of `build --on-save`"),
    ("option-ext", "MPL-2.0", "under directories; used as it is, and its source is on crates.io for whoever asks"),
    ("borrow-or-share", "MIT-0", "under jsonschema, for the tests alone; asks for even less than MIT"),
    ("cockpit-cards", "OFL-1.1", "the B612 faces, whose licence stands beside them in fonts/"),
    ("cockpit-cards", "Bitstream-Vera", "the DejaVu faces, whose licence stands beside them in fonts/"),
];

/// Crates that nobody mends any more, by their own word or by the RustSec advisory named (the numbers from memory).
const GIVEN_UP: [(&str, &str); 32] = [
    ("adler", "RUSTSEC-2025-0056: use adler2"),
    ("ansi_term", "RUSTSEC-2021-0139"),
    ("async-std", "RUSTSEC-2025-0052"),
    ("atty", "RUSTSEC-2024-0375: the standard library has IsTerminal"),
    ("backoff", "RUSTSEC-2025-0012"),
    ("bincode", "RUSTSEC-2025-0141"),
    ("derivative", "RUSTSEC-2024-0388"),
    ("dotenv", "RUSTSEC-2021-0141"),
    ("encoding", "RUSTSEC-2021-0153: use encoding_rs"),
    ("failure", "RUSTSEC-2020-0036"),
    ("fxhash", "RUSTSEC-2025-0057: use rustc-hash"),
    ("instant", "RUSTSEC-2024-0384"),
    ("json", "RUSTSEC-2022-0081"),
    ("libyml", "RUSTSEC-2025-0067"),
    ("mach", "RUSTSEC-2020-0168"),
    ("memmap", "RUSTSEC-2020-0077"),
    ("net2", "RUSTSEC-2020-0016"),
    ("number_prefix", "RUSTSEC-2025-0119: use unit-prefix"),
    ("parity-wasm", "RUSTSEC-2022-0061"),
    ("paste", "RUSTSEC-2024-0436"),
    ("proc-macro-error", "RUSTSEC-2024-0370"),
    ("rusttype", "RUSTSEC-2021-0140"),
    ("safemem", "RUSTSEC-2023-0081"),
    ("serde_cbor", "RUSTSEC-2021-0127"),
    ("serde_yaml", "marked deprecated by its author: use serde-saphyr"),
    ("serde_yml", "RUSTSEC-2025-0068"),
    ("stb_truetype", "RUSTSEC-2020-0020"),
    ("stdweb", "RUSTSEC-2020-0056"),
    ("term_size", "RUSTSEC-2020-0163"),
    ("tui", "RUSTSEC-2023-0049"),
    ("wee_alloc", "RUSTSEC-2022-0054"),
    ("yaml-rust", "RUSTSEC-2024-0320"),
];

/// Crates of that list which we have to live with for now, and why.
const GIVEN_UP_BUT_NEEDED: [(&str, &str); 0] = [];

#[derive(Deserialize)]
struct Metadata {
    packages: Vec<Package>,
}

#[derive(Deserialize)]
struct Package {
    name: String,
    version: String,
    license: Option<String>,
}

/// Every crate that Cargo.lock holds.
fn packages() -> Vec<Package> {
    let metadata = |more: &[&str]| {
        let mut command = Command::new(env!("CARGO"));
        command.args(["metadata", "--locked", "--format-version", "1"]).args(more);
        command.current_dir(Path::new(env!("CARGO_MANIFEST_DIR"))).output().expect("cargo runs")
    };
    let offline = metadata(&["--offline"]);
    // In a fresh clone the crates of other systems were never fetched.
    let output = if offline.status.success() { offline } else { metadata(&[]) };
    assert!(output.status.success(), "cargo metadata: {}", String::from_utf8_lossy(&output.stderr));
    let metadata: Metadata = serde_json::from_slice(&output.stdout).expect("the shape of cargo metadata");
    assert!(metadata.packages.len() > 100, "the whole tree");
    metadata.packages
}

/// Whether a crate's licence can be chosen so that each part of it is one of these.
fn can_be_taken_under(package: &Package, licences: &BTreeSet<&str>) -> Result<bool, String> {
    let wrong = |what: String| format!("{} {}: {what}", package.name, package.version);
    let licence = package.license.as_deref().ok_or_else(|| wrong("it names no licence".to_owned()))?;
    // Old crates write `MIT/Apache-2.0`.
    let expression =
        Expression::parse_mode(licence, ParseMode::LAX).map_err(|error| wrong(error.reason.to_string()))?;
    Ok(expression.evaluate(|part| licences.contains(part.to_string().as_str())))
}

/// What is wrong with a tree under these licences; and with the lists, if something in them is no longer needed.
fn complaints(packages: &[Package], allowed: &[&str], exceptions: &[(&str, &str, &str)]) -> Vec<String> {
    let mut complaints = Vec::new();
    let with_exceptions = |package: &Package, without: Option<&str>| -> BTreeSet<&str> {
        let own = exceptions.iter().filter(|(name, _, _)| *name == package.name).map(|(_, licence, _)| *licence);
        allowed.iter().copied().chain(own).filter(|licence| Some(*licence) != without).collect()
    };
    for package in packages {
        match can_be_taken_under(package, &with_exceptions(package, None)) {
            Ok(true) => {}
            Ok(false) => complaints.push(format!(
                "{} {} comes under {}: choose another crate, or give the reason among the exceptions",
                package.name,
                package.version,
                package.license.as_deref().unwrap_or_default()
            )),
            Err(wrong) => complaints.push(wrong),
        }
    }
    let needed = |licence: &str, of: &dyn Fn(&Package) -> bool| {
        let can =
            |package: &Package, without| can_be_taken_under(package, &with_exceptions(package, without)) == Ok(true);
        packages.iter().any(|package| of(package) && can(package, None) && !can(package, Some(licence)))
    };
    complaints.extend(
        allowed.iter().filter(|licence| !needed(licence, &|_| true)).map(|licence| format!("no crate needs {licence}")),
    );
    complaints.extend(
        exceptions
            .iter()
            .filter(|(name, licence, _)| !needed(licence, &|package| package.name == *name))
            .map(|(name, licence, _)| format!("{name} no longer needs the exception for {licence}")),
    );
    complaints
}

/// Crates of the tree that are given up, without those we have to live with; and those of the latter that are gone.
fn given_up(packages: &[Package], needed: &[(&str, &str)]) -> Vec<String> {
    let is_there = |name: &str| packages.iter().any(|package| package.name == name);
    let is_needed = |name: &str| needed.iter().any(|(known, _)| *known == name);
    let unwanted = GIVEN_UP.iter().filter(|(name, _)| is_there(name) && !is_needed(name));
    let deprecated =
        packages.iter().filter(|package| package.version.contains("deprecated") && !is_needed(&package.name));
    let gone = needed.iter().filter(|(name, _)| !is_there(name));
    unwanted
        .map(|(name, why)| format!("{name} is given up: {why}"))
        .chain(deprecated.map(|package| format!("{} {} says it is deprecated", package.name, package.version)))
        .chain(gone.map(|(name, _)| format!("{name} is not in the tree any more: take it off the list")))
        .collect()
}

#[test]
fn every_crate_comes_under_a_licence_on_the_list_and_no_exception_is_stale() {
    assert_eq!(complaints(&packages(), &ALLOWED, &EXCEPTIONS), [] as [&str; 0]);
}

#[test]
fn no_crate_in_the_tree_is_given_up() {
    assert_eq!(given_up(&packages(), &GIVEN_UP_BUT_NEEDED), [] as [&str; 0]);
}

#[test]
fn the_checks_see_what_they_are_for() {
    let package = |name: &str, version: &str, licence: Option<&str>| Package {
        name: name.to_owned(),
        version: version.to_owned(),
        license: licence.map(str::to_owned),
    };
    let tree = [
        package("good", "1.0.0", Some("GPL-3.0-only OR MIT")),
        package("old", "1.0.0", Some("MIT/Apache-2.0")),
        package("both", "1.0.0", Some("MIT AND GPL-3.0-only")),
        package("silent", "1.0.0", None),
        package("odd", "1.0.0", Some("do what you like")),
        package("serde_yaml", "0.9.34+deprecated", Some("MIT")),
    ];
    let said = complaints(&tree, &["MIT", "Zlib"], &[("good", "MPL-2.0", "none")]);
    let named: Vec<&str> = said.iter().map(|words| words.split(' ').next().unwrap_or_default()).collect();
    assert_eq!(named, ["both", "silent", "odd", "no", "good"], "{said:?}");
    assert!(said[3].contains("Zlib"));
    let said = given_up(&tree, &[("long-gone", "it was needed")]);
    assert_eq!(said.len(), 3, "{said:?}");
    assert_eq!(given_up(&tree, &[("serde_yaml", "it is needed")]), [] as [&str; 0]);
}
