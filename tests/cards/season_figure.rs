//! The picture of what was sailed with one control: everything in it can be read, and it says what the comparison says.
//!
//! ```sh
//! SHOW_FIGURES=/a/folder cargo test --test cards season_figure::
//! ```

use crate::common::clear::clashes;
use crate::common::raster::Raster;
use crate::common::season_files::{HEADER, Trials, backstay_wants_more, lead_is_right};
use crate::reading;

use std::collections::BTreeMap;
use std::path::Path;

use cockpit_cards::comparing::{figure, with_input};
use cockpit_cards::drawing::Drawing;
use cockpit_cards::logs;
use cockpit_cards::output::svg::{self, svg};
use cockpit_cards::season::steady::Steadiness;
use cockpit_cards::season::{Options, compare};
use jiff::SignedDuration;

/// The pictures of everything that was sailed in these trials, by control; notes are changed before they are read.
fn figures(trials: &[Trials<'_>], changed: impl Fn(String) -> String) -> Vec<(String, Drawing)> {
    let sailed: Vec<(String, String)> = trials.iter().map(Trials::sail).collect();
    let notes: String = sailed.iter().map(|(notes, _)| notes.as_str()).collect();
    let book = format!("{}sailed: {{file: sailed.csv, time_zone: Europe/Copenhagen}}\n", reading::SOUND);
    let loaded = reading::load_with(&book, &[("sailed.csv", &format!("{HEADER}{}", changed(notes)))]);
    let book = loaded.book.expect("a book");
    let zone = book.sailed.as_ref().map(|sailed| sailed.clock.clone());
    let options =
        logs::Options { zone, day: None, clock_offset: SignedDuration::ZERO, steadiness: Steadiness::default() };
    let mut files: Vec<(String, &[u8])> =
        sailed.iter().enumerate().map(|(nth, (_, log))| (format!("log{nth}"), log.as_bytes())).collect();
    let read = logs::read_all(files.iter_mut().map(|(name, file)| (name.as_str(), file)), &options);
    let made = with_input(&book, (&read.blocks, BTreeMap::new()), Options::default(), |input| {
        let comparison = compare(input);
        let of_cell = |cell: &cockpit_cards::season::Cell| {
            let control = book.control(&cell.control)?;
            Some((format!("{}-{}", cell.control, cell.wind_kn), figure::figure(control, input, &comparison, cell)?))
        };
        comparison.cells.iter().filter_map(of_cell).collect()
    });
    let made: Vec<(String, Drawing)> = made.expect("notes");
    if let Ok(folder) = std::env::var("SHOW_FIGURES") {
        for (name, drawing) in &made {
            Raster::of_svg(&svg(drawing, svg::Options::default()).into_string(), 150.0)
                .save(&Path::new(&folder).join(format!("{name}-{}.png", trials.len())));
        }
    }
    made
}

/// The legs of the last two trials as notes by themselves.
fn without_the_last(notes: String) -> String {
    ["backstay-10-3", "backstay-10-4"].into_iter().fold(notes, |notes, name| notes.replace(name, ""))
}

fn words(drawing: &Drawing) -> String {
    drawing.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ")
}

#[test]
fn nothing_in_a_picture_of_what_was_sailed_lies_over_anything_else() {
    let both = [backstay_wants_more(4), lead_is_right(4)];
    let shown = [figures(&both, |notes| notes), figures(&both[..1], without_the_last)].concat();
    assert!(shown.len() >= 4, "{:?}", shown.iter().map(|(name, _)| name).collect::<Vec<_>>());
    for (name, drawing) in &shown {
        assert_eq!(clashes(drawing), [""; 0], "{name}");
    }
}

#[test]
fn a_picture_names_its_control_the_books_reading_and_the_answer() {
    let shown = figures(&[backstay_wants_more(4), lead_is_right(4)], |notes| notes);
    let of = |name: &str| words(&shown.iter().find(|(own, _)| own == name).expect("a picture").1);
    let backstay = of("backstay-10");
    for said in ["Backstay", "answer 3", "book", "1", "2", "performance"] {
        assert!(backstay.contains(said), "{said}: {backstay}");
    }
    assert!(of("lead-10").contains("answer 12"), "{}", of("lead-10"));
    // Legs of trials speak by their trial alone; a scale of words says its words.
    let notes = figures(&[backstay_wants_more(4)], without_the_last);
    let vang = words(&notes.iter().find(|(own, _)| own == "vang-10").expect("a picture").1);
    assert!(vang.contains("snug") && vang.contains("a note; bar: inside this note only"), "{vang}");
    assert!(!vang.contains("answer") && !vang.contains("a trial"), "{vang}");
}
