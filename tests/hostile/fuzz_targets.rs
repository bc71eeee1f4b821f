//! The fuzz targets are those that `fuzz/README.md` lists: each is there, goes in by the door of the commands, and has the seeds that are
//! told of it.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::common::inputs::SORTS;

/// The target whose bytes are no text, so that it has no seeds.
const WITHOUT_SEEDS: &str = "made_up";

fn read(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The targets by `fuzz/Cargo.toml`.
fn targets() -> BTreeSet<String> {
    let manifest = read("fuzz/Cargo.toml");
    let named = manifest.split("[[bin]]").skip(1).filter_map(|bin| bin.split('"').nth(1));
    named.map(str::to_owned).collect()
}

#[test]
fn every_sort_of_input_has_a_fuzz_target_and_every_target_is_listed() {
    let sorts: BTreeSet<String> =
        SORTS.iter().map(|sort| sort.name()).chain([WITHOUT_SEEDS]).map(str::to_owned).collect();
    assert_eq!(targets(), sorts);
    let table = read("fuzz/README.md");
    let listed: BTreeSet<String> =
        table.lines().filter_map(|line| line.strip_prefix("| `")?.split('`').next()).map(str::to_owned).collect();
    assert_eq!(listed, sorts);
    let files = fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/fuzz/fuzz_targets")).expect("the targets");
    let files: BTreeSet<String> = files
        .map(|file| file.expect("an entry").path().file_stem().unwrap_or_default().to_string_lossy().into_owned())
        .collect();
    assert_eq!(files, sorts);
}

#[test]
fn every_target_goes_through_the_door_and_has_the_seeds_that_are_told_of_it() {
    // Each target hands its bytes to `attempt` or its kin, which hand them to the readers of `tests/common/inputs` and to nothing else.
    let library = read("fuzz/src/lib.rs");
    assert!(library.contains("inputs::attempt(") && library.contains("door::check("));
    let inputs = ["mod", "sailed", "workbook"].map(|file| read(&format!("tests/common/inputs/{file}.rs"))).concat();
    assert!(inputs.matches("door::through(").count() >= 4);
    for target in targets() {
        let text = read(&format!("fuzz/fuzz_targets/{target}.rs"));
        let way = if target == WITHOUT_SEEDS { "attempt_made_up(bytes)" } else { "attempt(Sort::" };
        assert!(text.contains(way), "{target}: {text}");
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/seeds").join(&target);
        let seeds = fs::read_dir(&folder).map_or(0, Iterator::count);
        let row = format!("| `tests/seeds/{target}` |");
        assert_eq!(seeds > 1, target != WITHOUT_SEEDS, "{target}");
        assert_eq!(read("fuzz/README.md").contains(&row), target != WITHOUT_SEEDS, "{target}");
    }
}
