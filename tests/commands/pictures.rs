//! The README's pictures show the cards as they are printed now.

use std::fs;
use std::path::Path;

use assert_cmd::Command;

/// Grey levels that another machine's rounding may differ by, and the part of the pixels that may differ by more.
const ROUNDING: u8 = 24;
const SPECKS: f64 = 0.0005;

fn pixels(path: &Path) -> ((u32, u32), Vec<u8>) {
    let file = fs::File::open(path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
    let mut reader = png::Decoder::new(std::io::BufReader::new(file)).read_info().expect("a PNG");
    let mut bytes = vec![0; reader.output_buffer_size().expect("a size")];
    let frame = reader.next_frame(&mut bytes).expect("a picture");
    bytes.truncate(frame.buffer_size());
    ((frame.width, frame.height), bytes)
}

fn pictures() -> Vec<String> {
    let readme = include_str!("../../README.md");
    let named =
        readme.split("examples/pictures/").skip(1).filter_map(|rest| Some(rest.split_once(".png")?.0.to_owned()));
    let mut named: Vec<String> = named.collect();
    named.sort();
    named.dedup();
    named
}

#[test]
fn the_pictures_in_the_readme_are_the_cards_as_they_are_printed_now() {
    let names = pictures();
    assert!(names.len() >= 3, "{names:?}");
    let folder = tempfile::tempdir().expect("a folder");
    let mut arguments = vec!["build", "--example", "--png", "--out", "out"];
    names.iter().for_each(|name| arguments.extend(["--only", name]));
    Command::cargo_bin("cockpit-cards").expect("the program").args(arguments).current_dir(&folder).assert().success();
    for name in &names {
        let shown = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/pictures").join(format!("{name}.png"));
        let (shown, printed) = (pixels(&shown), pixels(&folder.path().join("out/png").join(format!("{name}.png"))));
        let remedy = "run examples/pictures.sh and look at what it drew";
        assert_eq!(shown.0, printed.0, "{name} has another size now: {remedy}");
        let differ = shown.1.iter().zip(&printed.1).filter(|(one, other)| one.abs_diff(**other) > ROUNDING).count();
        let part = differ as f64 / shown.1.len() as f64;
        assert!(part < SPECKS, "{name} looks otherwise now ({:.2} % of it): {remedy}", part * 100.0);
    }
}
