//! A cheap printer and a steel rule give true strips: measured once, corrected ever after, and refused where the print
//! dialogue is to blame.

mod common;
mod reading;

use std::fs;

use approx::assert_abs_diff_eq;
use assert_cmd::Command;
use cockpit_cards::length::Length;
use cockpit_cards::output::pdf;
use cockpit_cards::paper::printer::Distances;
use cockpit_cards::paper::printer_page::{crosses, printer_page};
use cockpit_cards::paper::{Correction, PaperSize, Reading};
use cockpit_cards::printing::{self, Options};
use common::content::of_pdf;
use common::raster::Raster;
use kurbo::Line;

/// What the rule can be read to, millimetres.
const RULE: f64 = 0.5;
const DOTS: f64 = 200.0;
/// A steel rule and an eye: what a raster's ink centre is itself good to, millimetres.
const EYE: f64 = 0.02;

/// Twenty printers, from 0.985 to 1.015 each way, no two alike.
fn printers() -> impl Iterator<Item = (f64, f64)> {
    (0..20).map(|index| (0.985 + 0.03 * f64::from(index) / 19.0, 0.985 + 0.03 * f64::from((index * 7 + 3) % 20) / 19.0))
}

fn page_bytes(paper: &PaperSize) -> Vec<u8> {
    let options = pdf::Options { title: "Printer page", ..pdf::Options::default() };
    pdf::pdf(&[printer_page(paper)], &options).expect("a page")
}

/// The two distances on the printed page, as found in its picture.
fn measured(bytes: &[u8], paper: &PaperSize, makes: (f64, f64)) -> (f64, f64) {
    let raster = Raster::by_printer(bytes, 1, DOTS, makes);
    let [left, right, upper, lower] = crosses(paper);
    let across = |x: f64, y: f64| {
        let (x, y) = (x * makes.0, y * makes.1);
        raster.ink_centre((x - 4.0, x + 4.0), (y + 1.5, y + 4.0)).expect("an arm of a cross")
    };
    let across = across(right.x, right.y) - across(left.x, left.y);
    // Turned to the left, what ran down the page runs across it, and what ran across runs up.
    let turned = raster.turned_left();
    let height = paper.size().width * makes.0;
    let along = |x: f64, y: f64| {
        let (x, y) = (y * makes.1, height - x * makes.0);
        turned.ink_centre((x - 4.0, x + 4.0), (y + 1.5, y + 4.0)).expect("an arm of a cross")
    };
    (across, along(lower.x, lower.y) - along(upper.x, upper.y))
}

fn to_rule(distance: f64) -> f64 {
    (distance / RULE).round() * RULE
}

/// From the first to the last mark; as long as A4 still holds when a printer prints short.
const TRUE_STRIP: f64 = 12.0 * 19.0;
const STRIP: &str = "book: 1\nboat: {name: Pepperwort}\ncontrols:\n  lead: {name: L, scale: {marks: 0..12, spacing: 19 mm}, strip: {width: 32 mm}}\n";

fn strip(paper: &PaperSize, correction: Option<Correction>) -> Vec<u8> {
    let mut problems = Vec::new();
    let book = reading::load(STRIP).book.expect("a book");
    let printer = correction.map(|correction| ("office".to_owned(), correction));
    let options = Options { paper: paper.clone(), printer, ..Options::default() };
    let files = printing::print(&book, &options, &mut problems);
    let files = files.unwrap_or_else(|| panic!("{problems:?}"));
    files.files.into_iter().find(|(name, _)| name == "strips.pdf").expect("strips").1
}

/// From the first to the last mark as that printer prints them, found in the picture.
fn printed_strip(bytes: &[u8], makes: (f64, f64)) -> f64 {
    let ticks: Vec<Line> = of_pdf(bytes)
        .segments
        .into_iter()
        .filter(|segment| (segment.width - 0.55).abs() < 0.01 && segment.line.length() < 12.0)
        .map(|segment| segment.line)
        .collect();
    assert_eq!(ticks.len(), 13, "the whole marks of the strip");
    let turned = Raster::by_printer(bytes, 1, DOTS, makes).turned_left();
    let height = turned.height as f64 / DOTS * 25.4;
    let at = |tick: &Line| {
        let middle = tick.midpoint();
        let (x, y) = (middle.y * makes.1, height - middle.x * makes.0);
        turned.ink_centre((x - 2.0, x + 2.0), (y - 1.0, y + 1.0)).expect("a mark")
    };
    (at(&ticks[12]) - at(&ticks[0])).abs()
}

#[test]
fn twenty_printers_print_true_strips_once_measured_and_none_before() {
    let paper = PaperSize::default();
    let page = page_bytes(&paper);
    let plain = strip(&paper, None);
    let mut untrue_before = 0;
    for makes in printers() {
        let (across, along) = measured(&page, &paper, makes);
        let reading = Reading {
            paper: "A4".to_owned(),
            across_mm: to_rule(across),
            along_mm: to_rule(along),
            rule_step_mm: RULE,
            date: "2027-04-11".to_owned(),
        };
        // A reading right at the border may round to either side of it.
        let Ok(correction) = reading.correction() else {
            assert!(makes.0.min(makes.1) < 0.987 || makes.0.max(makes.1) > 1.013, "{makes:?} was refused");
            continue;
        };
        let promised = |length: f64| correction.leaves_of(Length::mm(length)).to_mm();
        assert!(promised(240.0) <= 0.35, "240 mm is promised to {} mm", promised(240.0));
        let stated = promised(TRUE_STRIP);
        let printed = printed_strip(&strip(&paper, Some(correction)), makes);
        assert!((printed - TRUE_STRIP).abs() <= stated + EYE, "{makes:?}: {printed} mm, promised to {stated} mm");
        let before = printed_strip(&plain, makes);
        untrue_before += usize::from((before - TRUE_STRIP).abs() > stated + EYE);
    }
    assert!(untrue_before >= 16, "the same check must fail where nothing is corrected: {untrue_before}");
}

#[test]
fn the_distances_are_as_long_as_the_paper_allows() {
    let a4 = Distances::on(&PaperSize::default());
    assert!(a4.across >= 180.0 && a4.along >= 250.0, "{a4:?}");
    for name in ["A5", "A4", "A3", "Letter", "Legal", "Tabloid"] {
        let paper = PaperSize::parse(name).expect("a paper");
        let [left, right, upper, lower] = crosses(&paper);
        assert_abs_diff_eq!(right.x - left.x, Distances::on(&paper).across);
        assert_abs_diff_eq!(lower.y - upper.y, Distances::on(&paper).along);
        let printable = paper.printable().inset(-5.0);
        assert!([left, right, upper, lower].into_iter().all(|cross| printable.contains(cross)), "{name}");
    }
}

fn reading(across_mm: f64, along_mm: f64) -> Reading {
    Reading { paper: "A4".to_owned(), across_mm, along_mm, rule_step_mm: 0.5, date: "2027-04-11".to_owned() }
}

#[test]
fn what_the_print_dialogue_did_is_refused_by_its_name() {
    let cases = [
        (reading(174.6, 261.9), "fit to page", "100 %"),
        (reading(169.2, 253.8), "A4 fitted onto Letter", "100 %"),
        (reading(185.4, 278.1), "Letter fitted onto A4", "100 %"),
        (reading(127.3, 190.9), "two pages on one", "100 %"),
        (reading(270.5, 180.5), "wrong way round", "across is the short"),
        (reading(180.0, 240.0), "no printer errs", "100 %"),
        (reading(f64::NAN, 270.0), "no distance", "measure it"),
        (reading(0.0, 270.0), "no distance", "measure it"),
        (Reading { rule_step_mm: 5.0, ..reading(180.0, 270.0) }, "rule", "0.5"),
        (Reading { rule_step_mm: f64::NAN, ..reading(180.0, 270.0) }, "rule", "0.5"),
    ];
    for (reading, what, instead) in cases {
        let wrong = reading.correction().expect_err("a refusal");
        assert!(wrong.what.contains(what) && wrong.instead.contains(instead), "{wrong:?}");
    }
}

#[test]
fn a_correction_keeps_the_page_and_the_check_bars_read_true_on_that_printer() {
    let paper = PaperSize::default();
    let correction = reading(178.2, 272.7).correction().expect("within a printer's own error");
    let corrected = strip(&paper, Some(correction));
    assert_eq!(common::content::page_sizes(&corrected), common::content::page_sizes(&strip(&paper, None)));
    let bars: Vec<Line> = of_pdf(&corrected).segments.into_iter().map(|segment| segment.line).collect();
    let across = bars.iter().filter(|bar| (bar.length() - 100.0 / (178.2 / 180.0)).abs() < 0.005).count();
    let along = bars.iter().filter(|bar| (bar.length() - 100.0 / (272.7 / 270.0)).abs() < 0.005).count();
    assert!(across >= 1 && along >= 1, "both bars are corrected like everything else");
    // Enlarged or not, nothing leaves what the printer reaches.
    let reach = paper.printable().inflate(0.01, 0.01);
    assert!(bars.iter().all(|line| reach.contains(line.p0) && reach.contains(line.p1)));
}

fn command(folder: &tempfile::TempDir) -> Command {
    let mut command = Command::cargo_bin("cockpit-cards").expect("the program");
    command.current_dir(folder).env("XDG_CONFIG_HOME", folder.path().join("config")).env("HOME", folder.path());
    command
}

fn said(command: &mut Command, code: i32) -> String {
    let output = command.assert().code(code).get_output().clone();
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

#[test]
fn readings_are_kept_listed_and_used_and_a_damaged_file_is_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    said(command(&folder).args(["printer", "page", "-o", "page.pdf"]), 0);
    assert!(fs::metadata(folder.path().join("page.pdf")).is_ok());
    let set = ["printer", "set", "office", "--across", "179.5", "--along", "271", "--date", "2027-04-11"];
    assert!(said(command(&folder).args(set), 0).contains("240 mm is good to ± 0.35 mm"));
    assert!(said(command(&folder).args(["printer", "list"]), 0).contains("99.72 % across, 100.37 % along"));
    let build = said(command(&folder).args(["build", "--printer", "office", "--out", "out"]), 0);
    assert!(build.contains("Corrected for office"), "{build}");
    // True lengths stay in what no printer touches.
    said(command(&folder).args(["build", "--out", "plain"]), 0);
    for name in ["manifest.json", "svg/strip-backstay.svg"] {
        let read = |folder_name: &str| fs::read(folder.path().join(folder_name).join(name)).expect("a file");
        let (with, without) = (read("out"), read("plain"));
        if name.ends_with("svg") {
            assert!(with == without, "{name} is never corrected");
        }
    }
    assert!(said(command(&folder).args(["build", "--printer", "ofice"]), 2).contains("did you mean `office`"));
    assert!(
        said(command(&folder).args(["build", "--printer", "office", "--paper", "a3"]), 2).contains("measured on A4")
    );
    let bad = folder.path().join("bad.yaml");
    for text in ["printers: [", "printers: 1\nreadings: {x: 3}\n", "printers: 1\nreadings: {}\nmore: 1\n", "\u{0}"] {
        fs::write(&bad, text).expect("a file");
        let mut set = command(&folder);
        set.args(["printer", "set", "office", "--across", "180", "--along", "270", "--readings", "bad.yaml"]);
        assert!(said(&mut set, 2).contains("bad.yaml is damaged"), "{text}");
        assert_eq!(fs::read_to_string(&bad).expect("the file"), text, "it is left as it was");
    }
    fs::write(&bad, "printers: 2\nreadings: {}\n").expect("a file");
    assert!(said(command(&folder).args(["printer", "list", "--readings", "bad.yaml"]), 2).contains("form 2"));
}

#[test]
fn a_folder_that_cannot_be_written_is_the_machines_fault() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("wall"), "").expect("a file");
    let mut set = command(&folder);
    set.args(["printer", "set", "office", "--across", "180", "--along", "270", "--readings", "wall/printers.yaml"]);
    assert!(said(&mut set, 1).contains("error"));
}
