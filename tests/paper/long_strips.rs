//! Strips of a book that are longer than the paper: in pieces on sheets, in one on a roll.
use crate::common;

use approx::assert_abs_diff_eq;
use common::content;
use common::seamanship::Way;
use common::{ticks, tools, whole};
use kurbo::Size;

/// A book of one strip, `length` from its first mark to its last.
fn book(length: f64, spacing: f64, fields: &str) -> String {
    let last = (length / spacing).round();
    format!(
        "book: 1\nboat: {{name: Chervil}}\ncontrols:\n  lead:\n    scale: {{marks: 0..{last}, spacing: {spacing} mm, \
         halves: true}}\n    strip: {{width: 25 mm, {fields}}}\ncards: [{{kind: strip}}]\n"
    )
}

#[test]
fn a_strip_of_a_book_is_whole_again_from_the_pages_it_is_printed_on() {
    for (length, spacing, paper) in
        [(600.0, 20.0, "A4"), (1200.0, 50.0, "A4"), (3000.0, 50.0, "A4"), (1200.0, 25.0, "Letter")]
    {
        for (fields, way, edge) in [
            ("reading_distance: 600 mm", Way::Right, Way::Up),
            ("grows: up, reading_distance: 600 mm", Way::Up, Way::Left),
            ("grows: aft, reader_stands: inboard, sides: port, reading_distance: 600 mm", Way::Left, Way::Up),
        ] {
            let run = whole::print(&book(length, spacing, fields), paper);
            let pdf = run.file("strips.pdf");
            let sizes = content::page_sizes(pdf);
            assert!(sizes.windows(2).all(|pair| pair[0] == pair[1]), "one size: {sizes:?}");
            let pages = content::of_pdf(pdf);
            let card = run.cards.iter().find(|card| card.kind == "strip").expect("a strip");
            let level = card.width_mm >= card.height_mm;
            assert!(card.printed.len() > 1, "{length} mm on {paper} in {} pieces", card.printed.len());
            // Place of each mark along the whole strip, and the piece it was read from.
            let mut seen: Vec<(usize, f64)> = Vec::new();
            for printed in &card.printed {
                let part = printed.piece.expect("which piece it is");
                assert_eq!(part.of, card.printed.len());
                let size = if level {
                    Size::new(part.length_mm, card.height_mm)
                } else {
                    Size::new(card.width_mm, part.length_mm)
                };
                let strokes = whole::within(&pages, printed, size).segments;
                let origin = match way {
                    Way::Right | Way::Down => part.from_mm,
                    Way::Left | Way::Up => -part.from_mm,
                };
                let marks = ticks::marks(&strokes, size, way, edge).into_iter().map(|at| (part.number, at + origin));
                seen.extend(marks);
            }
            let datum = seen.iter().map(|(_, at)| *at).fold(f64::INFINITY, f64::min);
            // The datum is a tick and a line at one place.
            let mut pieces_of = vec![std::collections::BTreeSet::new(); card.marks.len()];
            for (piece, at) in &seen {
                let near = card.marks.iter().position(|mark| (mark.at_mm - (at - datum)).abs() <= 0.01);
                let index = near
                    .unwrap_or_else(|| panic!("piece {piece} has a mark at {} mm that belongs nowhere", at - datum));
                pieces_of[index].insert(*piece);
            }
            let times: Vec<usize> = pieces_of.iter().map(|pieces| pieces.len()).collect();
            assert!(times.iter().all(|count| (1..=2).contains(count)), "{length} mm on {paper}: {times:?}");
            let twice: Vec<usize> = (0..times.len()).filter(|index| times[*index] == 2).collect();
            assert_eq!(twice.len(), card.printed.len() - 1, "{fields}: marks {twice:?} stand on two pieces");
            assert!(twice.iter().all(|index| !card.marks[*index].label.is_empty()), "joints are numbered marks");
        }
    }
}

#[test]
fn a_roll_of_two_or_five_metres_opens_in_three_readers_at_its_size() {
    for (roll, length, spacing) in [("roll-610mm", 1900.0, 50.0), ("roll-200mm", 4800.0, 100.0)] {
        let run = whole::print(&book(length, spacing, "reading_distance: 600 mm"), roll);
        let pdf = run.file("strips.pdf");
        let [(width, height)] = content::page_sizes(pdf)[..] else { panic!("one page") };
        assert_abs_diff_eq!(width, if roll == "roll-610mm" { 610.0 } else { 200.0 }, epsilon = 0.001);
        assert!(height > length && height < length + 200.0, "{height} mm for {length} mm");
        tools::assert_sound(pdf);
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("roll.pdf");
        std::fs::write(&file, pdf).expect("a file");
        let points = [width, height].map(|side| side / 25.4 * 72.0);
        for (program, arguments) in [
            ("pdfinfo", &[][..]),
            ("mutool", &["info"][..]),
            ("gs", &["-dNODISPLAY", "-dBATCH", "-dNOPAUSE", "-dQUIET", "-dPDFINFO"][..]),
        ] {
            let output = tools::run(program, arguments, &file);
            let said =
                format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
            assert!(output.status.success(), "{program}: {said}");
            let numbers: Vec<f64> = said
                .split(|c: char| !(c.is_ascii_digit() || c == '.'))
                .filter_map(|number| number.trim_matches('.').parse().ok())
                .collect();
            let has_both = numbers.windows(2).any(|pair| {
                (pair[0] - points[0]).abs() < 0.1 && numbers.iter().any(|side| (side - points[1]).abs() < 0.1)
            });
            assert!(has_both, "{program} sees {points:?}: {said}");
        }
    }
}

#[test]
fn a_strip_without_a_book_comes_in_pieces_and_for_its_printer() {
    let folder = tempfile::tempdir().expect("a folder");
    let (readings, file) = (folder.path().join("printers.yaml"), folder.path().join("outhaul.pdf"));
    let run = |arguments: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("cockpit-cards").expect("the program");
        let output = command.args(arguments).arg("--readings").arg(&readings).output().expect("the program runs");
        assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("text")
    };
    run(&["printer", "set", "office", "--across", "178.5", "--along", "252.5"]);
    let strip = ["strip", "--marks", "0..24", "--spacing", "50mm", "--printer", "office", "-o"];
    let said = run(&[&strip[..], &[file.to_str().expect("a path")]].concat());
    assert!(said.contains("± 0.3 mm"), "{said}");
    let segments = content::of_pdf(&std::fs::read(&file).expect("a PDF")).segments;
    // The bar up the page, as this printer needs it.
    let bar = segments.iter().map(|segment| segment.line.p1 - segment.line.p0).filter(|line| line.x.abs() < 1e-6);
    let nearest = bar.map(|line| (line.y.abs() - 100.0 * 250.0 / 252.5).abs()).fold(f64::INFINITY, f64::min);
    assert!(nearest < 0.005, "{nearest}");
    let words = tools::text_of(&std::fs::read(&file).expect("a PDF"));
    assert!(words.contains("Corrected for printer office"), "{words}");
}

#[test]
fn a_curved_strip_without_a_book_comes_in_pieces_too() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("traveller.pdf");
    let run = |more: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("cockpit-cards").expect("the program");
        let strip = ["strip", "--marks", "0..24", "--spacing", "50mm", "--radius", "2.4m"];
        command.args(strip).args(more).arg("--output").arg(&file).output().expect("the program runs")
    };
    assert!(run(&["--middle", "near"]).status.success());
    let pdf = std::fs::read(&file).expect("a PDF");
    assert!(tools::text_of(&pdf).contains("Cut this"), "it is in pieces");
    // No tick of a curve is level or upright but by chance.
    let ticks = content::of_pdf(&pdf)
        .segments
        .into_iter()
        .filter(|segment| (5.0..9.0).contains(&(segment.line.p1 - segment.line.p0).hypot()));
    let leaning = ticks.filter(|tick| tick.line.p0.x != tick.line.p1.x && tick.line.p0.y != tick.line.p1.y).count();
    assert!(leaning > 15, "{leaning} ticks lean");
    for (more, said) in [(&["--middle", "up"][..], "middle"), (&["--radius", "2.4"][..], "radius")] {
        let output = run(more);
        let words = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{words}");
        assert!(words.contains(said) && !words.contains("control \"scale\""), "{words}");
    }
}
