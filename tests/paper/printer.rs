//! From a printer's own error to a true print: the page is measured in the raster as a person would with a rule, and
//! what is then built is measured in the raster of the same printer.
use crate::common;
use crate::swap::Swap;

use std::path::{Path, PathBuf};

use approx::assert_abs_diff_eq;
use assert_cmd::Command;
use cockpit_cards::drawing::{Drawing, Shape};
use cockpit_cards::output::pdf::{Options, pdf};
use cockpit_cards::paper::printer::{BackShift, Feed, Flip, Measured, Reading};
use cockpit_cards::paper::readings::Readings;
use cockpit_cards::paper::{Correction, Heading, PaperSize, Piece, Printer, lay_out_for, printer_page};
use common::content;
use common::raster::Raster;
use common::seamanship::Way;
use common::ticks;
use common::whole::{Entry, Printed};
use kurbo::{Point, Rect, Size, Vec2};

const DOTS_PER_INCH: f64 = 300.0;
const MM_PER_INCH: f64 = 25.4;
const A4: Size = Size::new(210.0, 297.0);
const RULE_STEP: f64 = 0.5;

/// What a printer does: stretches a page about its middle, and moves its second side.
#[derive(Clone, Copy, Debug)]
struct Machine {
    across: f64,
    along: f64,
    back: Vec2,
}

/// Twenty printers within 1.5 % each way, none of them true, no two errors related.
fn machines() -> Vec<Machine> {
    let error = |index: u32| {
        let step = f64::from(index % 10) * 0.0014 + 0.0024;
        1.0 + if index.is_multiple_of(2) { step } else { -step }
    };
    let shift = |index: u32| match index % 4 {
        0 => Vec2::new(1.5, -0.5),
        1 => Vec2::new(-2.5, 3.0),
        _ => Vec2::ZERO,
    };
    let machine = |index| Machine { across: error(index * 7 + 3), along: error(index), back: shift(index) };
    let mut machines: Vec<Machine> = (0..18).map(machine).collect();
    machines.push(Machine { across: 0.985, along: 1.015, back: Vec2::ZERO });
    machines.push(Machine { across: 1.015, along: 0.985, back: Vec2::new(3.0, 3.0) });
    machines
}

/// A sheet as it comes out of a printer.
struct Sheet {
    raster: Raster,
    /// From the raster's own millimetres to the paper's.
    offset: Vec2,
}

impl Machine {
    fn print(self, pdf: &[u8], page: usize, is_back: bool) -> Sheet {
        let raster = Raster::by_printer(pdf, page, DOTS_PER_INCH, (self.across, self.along));
        let offset = Vec2::new(A4.width / 2.0 * (1.0 - self.across), A4.height / 2.0 * (1.0 - self.along));
        Sheet { raster, offset: offset + if is_back { self.back } else { Vec2::ZERO } }
    }
}

impl Sheet {
    /// Centre of the ink in a rectangle of the paper, seen along one axis.
    fn ink_centre(&self, area: Rect, level: bool) -> Option<f64> {
        let profile = self.profile(area, level);
        let total: f64 = profile.iter().map(|(_, ink)| ink).sum();
        (total > 0.0).then(|| profile.iter().map(|(at, ink)| at * ink).sum::<f64>() / total)
    }

    /// Where the heaviest line across a rectangle stands.
    fn line(&self, area: Rect, level: bool) -> f64 {
        /// Wider than any line: a fine one in a single column of pixels may be as black as a heavy one.
        const PIXELS: usize = 5;
        let profile = self.profile(area, level);
        let sum = |some: &&[(f64, f64)]| some.iter().map(|(_, ink)| ink).sum::<f64>();
        let heaviest = profile.windows(PIXELS).max_by(|a, b| sum(a).total_cmp(&sum(b)));
        let heaviest = heaviest.expect("an area with pixels");
        heaviest.iter().map(|(at, ink)| at * ink).sum::<f64>() / sum(&heaviest)
    }

    /// Ink by place along one axis.
    fn profile(&self, area: Rect, level: bool) -> Vec<(f64, f64)> {
        let own = area - self.offset;
        let pixels = |low: f64, high: f64, most: usize| {
            let at = |mm: f64| (self.raster.to_pixels(mm).round().max(0.0) as usize).min(most);
            at(low)..at(high)
        };
        let (columns, rows) = (pixels(own.x0, own.x1, self.raster.width), pixels(own.y0, own.y1, self.raster.height));
        let to_mm = |pixel: usize| (pixel as f64 + 0.5) / DOTS_PER_INCH * MM_PER_INCH;
        if level {
            let ink = |x| rows.clone().map(|y| self.raster.ink(x, y)).sum();
            columns.clone().map(|x| (to_mm(x) + self.offset.x, ink(x))).collect()
        } else {
            let ink = |y| columns.clone().map(|x| self.raster.ink(x, y)).sum();
            rows.clone().map(|y| (to_mm(y) + self.offset.y, ink(y))).collect()
        }
    }

    /// The middle of a cross that stands within 5 mm of a place.
    fn cross(&self, near: Point) -> Point {
        let around = |middle: Point, reach: f64| Rect::from_center_size(middle, (2.0 * reach, 2.0 * reach));
        let found = Point::new(self.line(around(near, 5.0), true), self.line(around(near, 5.0), false));
        // Each arm beside the other one.
        let arm = |level: bool| {
            let (along, across) = (Vec2::new(0.0, 2.5), Vec2::new(2.5, 0.0));
            let (away, size) = if level { (along, Size::new(0.8, 2.0)) } else { (across, Size::new(2.0, 0.8)) };
            let side = |sign: f64| self.ink_centre(Rect::from_center_size(found + away * sign, size), level);
            (side(1.0).expect("an arm") + side(-1.0).expect("an arm")) / 2.0
        };
        Point::new(arm(true), arm(false))
    }
}

fn to_step(length: f64) -> f64 {
    (length / RULE_STEP).round() * RULE_STEP
}

fn command(arguments: &[&str]) -> Command {
    let mut command = Command::cargo_bin("cockpit-cards").expect("the program");
    command.args(arguments);
    command
}

/// Runs the program; gives what it says.
fn run(arguments: &[&str]) -> String {
    let output = command(arguments).output().expect("the program runs");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("text")
}

/// Runs the program where it must refuse; gives its exit code and its words.
fn refused(arguments: &[&str]) -> (i32, String) {
    let output = command(arguments).output().expect("the program runs");
    (output.status.code().expect("a code"), String::from_utf8(output.stderr).expect("text"))
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a path in UTF-8")
}

/// A strip of 240 mm, which only lies up the page, and one of 60 mm.
const BOOK: &str = "book: 1
boat: {name: Tansy}
controls:
  vang: {scale: {marks: 0..12, spacing: 20 mm}, strip: {width: 30 mm, reading_distance: 600 mm}}
  lead: {scale: {marks: 0..3, spacing: 20 mm}, strip: {width: 30 mm, reading_distance: 600 mm}}
cards: [{kind: strip}]
";

#[derive(serde::Deserialize)]
struct Manifest {
    cards: Vec<Entry>,
}

struct Built {
    said: String,
    cards: Vec<Entry>,
    pdf: Vec<u8>,
    folder: PathBuf,
}

fn build(folder: &Path, name: &str, more: &[&str]) -> Built {
    let (book, out) = (folder.join("boat.yaml"), folder.join(name));
    std::fs::write(&book, BOOK).expect("a book");
    let said = run(&[&["build", text(&book), "--out", text(&out)], more].concat());
    let manifest: Manifest =
        serde_json::from_slice(&std::fs::read(out.join("manifest.json")).expect("a manifest")).expect("a manifest");
    Built { said, cards: manifest.cards, pdf: std::fs::read(out.join("strips.pdf")).expect("strips"), folder: out }
}

/// From the first mark of a strip to its last, in the raster of a printed sheet.
fn span(sheet: &Sheet, built: &Built, card: &Entry) -> f64 {
    let svg = std::fs::read_to_string(built.folder.join(&card.svg)).expect("an SVG");
    let places = ticks::marks(&content::of_svg(&svg), card.size(), Way::Right, Way::Up);
    let printed: &Printed = &card.printed[0];
    let to_page = printed.to_card(card.size()).inverse();
    let level = printed.turned_degrees == 0.0;
    let find = |at: f64| {
        // Just inside the pointer's edge there is nothing but ticks.
        let near = to_page.transform_rect_bbox(Rect::new(at - 7.0, 2.0, at + 7.0, 4.0));
        sheet.ink_centre(near, level).expect("a tick")
    };
    (find(places[places.len() - 1]) - find(places[0])).abs()
}

#[test]
fn twenty_printers_print_true_once_they_are_measured_and_not_before() {
    let folder = tempfile::tempdir().expect("a folder");
    let page = folder.path().join("page.pdf");
    let readings = folder.path().join("own").join("printers.yaml");
    run(&["printer", "page", "-o", text(&page)]);
    let page = std::fs::read(&page).expect("the page");
    let distances = printer_page::distances(&PaperSize::default(), Feed::ShortEdge).expect("A4");
    let plain = build(folder.path(), "plain", &[]);

    for (index, machine) in machines().into_iter().enumerate() {
        let sheet = machine.print(&page, 1, false);
        let measured = |ends: [Point; 2]| (sheet.cross(ends[1]) - sheet.cross(ends[0])).hypot();
        let (across, along) = (to_step(measured(distances.level)), to_step(measured(distances.upright)));
        let middle = A4.to_rect().center();
        let off = to_mesh(&machine.print(&page, 2, true), middle);
        let name = format!("printer-{index}");
        run(&[
            "printer",
            "set",
            &name,
            &format!("--across={across}"),
            &format!("--along={along}"),
            &format!("--back-shift-x={}", off.x),
            &format!("--back-shift-y={}", off.y),
            "--readings",
            text(&readings),
        ]);
        let built = build(folder.path(), &name, &["--printer", &name, "--readings", text(&readings)]);
        let sheet = machine.print(&built.pdf, 1, false);
        let uncorrected = machine.print(&plain.pdf, 1, false);
        for (id, length) in [("strip-vang", 240.0), ("strip-lead", 60.0)] {
            let card = built.cards.iter().find(|card| card.id == id).expect(id);
            assert_eq!(card.marks.last().map(|mark| mark.at_mm), Some(length), "the manifest keeps true lengths");
            let stated = stated(&built.said, id);
            let printed = span(&sheet, &built, card);
            assert!((printed - length).abs() <= stated, "{machine:?}: {id} is {printed:.3} mm, said ± {stated}");
            if id == "strip-vang" {
                assert!(stated <= 0.35 && (printed - length).abs() <= 0.35, "{machine:?}: {printed:.3}, ± {stated}");
                assert_ne!(card.printed[0].turned_degrees, 0.0, "it lies up the page");
                let card = plain.cards.iter().find(|card| card.id == id).expect(id);
                let before = span(&uncorrected, &plain, card);
                assert!((before - length).abs() > stated, "{machine:?}: {before:.3} mm before it was measured");
            }
        }
        let kept = Readings::from_yaml(&std::fs::read_to_string(&readings).expect("readings")).expect("readings");
        let known = kept.get(&name).expect("the reading that was kept").clone();
        let unknown = Reading { back_shift: None, ..known.clone() };
        let apart = |reading: &Reading| between_sides(machine, reading);
        assert!(apart(&known) <= 0.35, "{machine:?}: a back is {:.3} mm off its front", apart(&known));
        assert!(machine.back == Vec2::ZERO || apart(&unknown) > 0.35, "{machine:?}: uncorrected it was no better");
        // The bars measure 100 mm on the printer that the page is for, and the drawing itself is not touched.
        let same =
            |name: &str| (std::fs::read(built.folder.join(name)).ok(), std::fs::read(plain.folder.join(name)).ok());
        let (corrected, original) = same("svg/strip-vang.svg");
        assert_eq!(corrected, original);
    }
    let kept = Readings::from_yaml(&std::fs::read_to_string(&readings).expect("readings")).expect("sound readings");
    assert_eq!(kept.iter().count(), machines().len());
    assert!(run(&["printer", "list", "--readings", text(&readings)]).contains("printer-19"));
}

/// How far the middle of a card's back is from the middle of its front, in the rasters of both sides.
fn between_sides(machine: Machine, reading: &Reading) -> f64 {
    let size = Size::new(90.0, 60.0);
    let mut card = Drawing::new(size, "", "");
    let middle = size.to_rect().center();
    for arm in [Vec2::new(4.0, 0.0), Vec2::new(0.0, 4.0)] {
        card.print(Shape::line(middle - arm, middle + arm, 0.15));
    }
    let correction = Correction::new(reading, &PaperSize::default(), None, Flip::Long).expect("a correction");
    let printer = Printer { correction: Some(&correction), flip: Flip::Long };
    let piece = Piece::new("card", &card).with_back(&card);
    let layout = lay_out_for(&[piece], &PaperSize::default(), Heading::default(), printer).expect("it fits");
    let bytes = pdf(&layout.pages, &Options::default()).expect("a PDF");
    let place = layout.positions[0].area.center();
    let front = machine.print(&bytes, 1, false).cross(place);
    let back = machine.print(&bytes, 2, true).cross(Point::new(A4.width - place.x, place.y));
    // Turned over the long edge, left is right.
    let apart = front - Point::new(A4.width - back.x, back.y);
    apart.x.abs().max(apart.y.abs())
}

/// What the mesh on the back says at the paper's middle, to half a millimetre, as its numbers count.
fn to_mesh(back: &Sheet, middle: Point) -> Vec2 {
    // The two heavy lines of the mesh cross where its numbers begin; beside the mesh nothing else stands.
    let around = |size: (f64, f64)| Rect::from_center_size(middle, size);
    let heavy = Vec2::new(back.line(around((11.0, 4.0)), true), back.line(around((4.0, 11.0)), false));
    let off = heavy - middle.to_vec2();
    Vec2::new(to_step(off.x), to_step(off.y))
}

/// How far a strip may be off, as the summary says.
fn stated(said: &str, id: &str) -> f64 {
    let line = said.lines().find(|line| line.contains(id)).unwrap_or_else(|| panic!("{id} in {said}"));
    let stated = line.split("± ").nth(1).and_then(|rest| rest.strip_suffix(" mm"));
    stated.and_then(|number| number.parse().ok()).unwrap_or_else(|| panic!("what is left: {line}"))
}

#[test]
fn the_mesh_on_the_back_is_numbered_by_how_far_the_back_is_off() {
    let pages = printer_page::pages(&PaperSize::default(), Feed::ShortEdge, Flip::Long).expect("A4");
    let middle = A4.to_rect().center();
    let numbers: Vec<(Point, f64)> = pages[1]
        .furniture
        .texts()
        .filter_map(|text| Some((text.bounds().center(), text.content.replace('−', "-").parse().ok()?)))
        .collect();
    assert_eq!(numbers.len(), 8);
    for (at, number) in numbers {
        // The paper's middle is seen at this place of the mesh when the mesh has moved the other way.
        let place = at - middle;
        let (along, across) = if place.y.abs() > place.x.abs() { (place.x, place.y) } else { (place.y, place.x) };
        assert_abs_diff_eq!(along, -number, epsilon = 0.5);
        assert!(across > 5.0, "{number} stands beside the mesh");
    }
}

#[test]
fn the_page_has_the_longest_round_distances_its_paper_holds() {
    for (name, feed, across, along) in [
        ("a4", Feed::ShortEdge, 180.0, 250.0),
        ("letter", Feed::ShortEdge, 180.0, 250.0),
        ("a4", Feed::LongEdge, 250.0, 180.0),
        ("a3", Feed::ShortEdge, 250.0, 400.0),
        ("a5", Feed::ShortEdge, 120.0, 180.0),
        ("roll-610mm", Feed::ShortEdge, 500.0, 700.0),
    ] {
        let paper = PaperSize::parse(name).expect(name);
        let found = printer_page::distances(&paper, feed).expect(name);
        assert_eq!((found.across_mm, found.along_mm), (across, along), "{name}");
        let pages = printer_page::pages(&paper, feed, Flip::Long).expect(name);
        for page in &pages {
            let reach = page.size.to_rect().inset(-5.0 + 1e-9);
            for item in &page.furniture.items {
                let ink = item.shape.bounds();
                assert!(reach.contains_rect(ink.inset(-0.1)), "{name}: {ink} inside what the printer reaches");
            }
        }
    }
    assert!(printer_page::distances(&PaperSize::parse("100 x 140 mm").expect("a paper"), Feed::ShortEdge).is_err());
}

fn reading(across: f64, along: f64) -> Reading {
    Reading {
        name: "chart-table".into(),
        paper: "A4".into(),
        feed: Feed::ShortEdge,
        across: Measured { nominal_mm: 180.0, measured_mm: across },
        along: Measured { nominal_mm: 250.0, measured_mm: along },
        rule_step_mm: RULE_STEP,
        back_shift: None,
        date: "2027-04-11".into(),
    }
}

#[test]
fn a_print_dialogue_is_told_from_a_printer() {
    assert_eq!(reading(179.4, 250.9).check(), Ok(()));
    // At the very limit and read half a step beyond it.
    assert_eq!(reading(182.9, 246.0).check(), Ok(()));
    for (across, along, words) in [
        // 210 / 215.9 and 279.4 / 297: the two papers' sides in ISO 216 and ASME Y14.1.
        (175.1, 243.2, "a page of Letter fitted onto A4 (about 97 %)"),
        (169.3, 235.2, "a page of A4 fitted onto Letter (about 94 %)"),
        (254.6, 353.6, "a page of A5 fitted onto A4 (about 141 %)"),
        (201.6, 280.0, "fit to page"),
        (250.5, 179.0, "look swapped"),
        (17.95, 25.05, "look like centimetres"),
        (7.08, 9.86, "look like inches"),
        (180.0, 257.0, "a slip of the rule"),
        (0.0, 250.0, "not more than nothing"),
        (f64::NAN, 250.0, "not more than nothing"),
    ] {
        let refusal = reading(across, along).check().expect_err(words);
        assert!(refusal.what.contains(words), "{across} × {along}: {}", refusal.what);
    }
    assert!(Reading { rule_step_mm: 5.0, ..reading(180.0, 250.0) }.check().is_err());
    let far = BackShift { x_mm: 12.0, y_mm: 0.0, flip: Flip::Long };
    assert!(Reading { back_shift: Some(far), ..reading(180.0, 250.0) }.check().is_err());
}

#[test]
fn the_correction_turns_with_the_feed_and_never_leaves_the_middle() {
    let reading = reading(179.0, 252.0);
    let (across, along) = (180.0 / 179.0, 250.0 / 252.0);
    for (paper, feed, x, y) in [
        ("a4", None, across, along),
        ("a4", Some(Feed::LongEdge), along, across),
        ("a3", None, across, along),
        ("300 x 200 mm", None, across, along),
        // Off a roll the paper runs along its length, however short the piece.
        ("roll-610mm", None, across, along),
    ] {
        let paper = PaperSize::parse(paper).expect("a paper");
        let to_file = Correction::new(&reading, &paper, feed, Flip::Long).expect("a correction").to_file();
        let middle = paper.size().to_rect().center();
        assert_abs_diff_eq!((to_file * middle - middle).hypot(), 0.0, epsilon = 1e-9);
        let moved = to_file * (middle + Vec2::new(100.0, 100.0)) - middle;
        assert_abs_diff_eq!(moved.x, 100.0 * x, epsilon = 1e-9);
        assert_abs_diff_eq!(moved.y, 100.0 * y, epsilon = 1e-9);
    }
    let shifted = Reading { back_shift: Some(BackShift { x_mm: 1.5, y_mm: -0.5, flip: Flip::Long }), ..reading };
    let a4 = PaperSize::default();
    assert!(Correction::new(&shifted, &a4, Some(Feed::LongEdge), Flip::Long).is_err());
    let tumbled = Correction::new(&shifted, &a4, None, Flip::Short).expect("a correction");
    assert_eq!(tumbled.back_shift, Vec2::new(-1.5, 0.5));
}

#[test]
fn what_is_left_is_half_a_step_of_the_rule_over_the_length_it_measured() {
    let correction = |step: f64| {
        let reading = Reading { rule_step_mm: step, ..reading(180.0, 250.0) };
        Correction::new(&reading, &PaperSize::default(), None, Flip::Long).expect("a correction")
    };
    let mm = cockpit_cards::length::Length::mm;
    // 240 × 0.25 / 250 and a printer's dot, in whole tenths, upward.
    assert_eq!(correction(0.5).left_up(mm(240.0)), mm(0.3));
    assert_eq!(correction(0.5).left_across(mm(180.0)), mm(0.3));
    assert_eq!(correction(1.0).left_up(mm(240.0)), mm(0.6));
    assert_eq!(correction(0.1).left_up(mm(100.0)), mm(0.1));
    assert!(correction(0.5).words().contains("240 mm up the page is good to ± 0.3 mm"));
}

#[test]
fn a_damaged_file_of_readings_is_an_error_and_stays_as_it_is() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("printers.yaml");
    let good = Readings::from_yaml(&{
        let mut readings = Readings::default();
        readings.set(reading(179.4, 250.9));
        readings.to_yaml().expect("a text")
    });
    let good = good.expect("what was written can be read").to_yaml().expect("a text");
    let cases: Vec<Vec<u8>> = vec![
        b"".to_vec(),
        b"readings: 1\nprinters: [".to_vec(),
        b"{}".to_vec(),
        b"\xff\xfe\x00".to_vec(),
        good.swap("readings: 1", "readings: 7").into_bytes(),
        good.swap("measured_mm: 179.4", "measured_mm: 18").into_bytes(),
        good.swap("rule_step_mm", "rule_step").into_bytes(),
        good.swap("measured_mm: 250.9", "measured_mm: .nan").into_bytes(),
        format!("{good}{}", good.split_once("printers:\n").expect("printers").1).into_bytes(),
        good.as_bytes()[..good.len() / 2].to_vec(),
        b"# ".repeat(1 << 20),
    ];
    for bytes in cases {
        std::fs::write(&file, &bytes).expect("a file");
        let readings = text(&file);
        for arguments in [
            &["printer", "set", "office", "--across", "179.4", "--along", "250.9", "--readings", readings][..],
            &["printer", "list", "--readings", readings],
            &["build", "--example", "--printer", "office", "--readings", readings, "--out", text(folder.path())],
        ] {
            let (code, words) = refused(arguments);
            let start = String::from_utf8_lossy(&bytes[..bytes.len().min(60)]).into_owned();
            assert_eq!(code, 2, "{start:?}: {words}");
            assert!(words.contains("is damaged") && words.contains("left as it is"), "{start:?}: {words}");
            assert_eq!(std::fs::read(&file).expect("a file"), bytes, "{arguments:?} leaves it alone");
        }
    }
    assert!(!folder.path().join("cards.pdf").exists(), "nothing is printed with a reading that cannot be read");
}

#[test]
fn a_place_that_cannot_be_written_is_the_machines_failure() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("file"), "in the way").expect("a file");
    let below_a_file = folder.path().join("file").join("printers.yaml");
    // A folder is a slip of whoever named it.
    for (place, expected) in [(below_a_file.as_path(), 1), (folder.path(), 2)] {
        let (code, words) =
            refused(&["printer", "set", "office", "--across", "180", "--along", "250", "--readings", text(place)]);
        assert_eq!(code, expected, "{words}");
        assert!(words.contains("printers.yaml") || words.contains("directory"), "{words}");
    }
}

#[test]
fn readings_are_kept_in_the_users_own_configuration_directory() {
    let home = tempfile::tempdir().expect("a folder");
    let own = |arguments: &[&str]| {
        let mut command = command(arguments);
        command.env("HOME", home.path()).env_remove("XDG_CONFIG_HOME");
        String::from_utf8(command.output().expect("the program runs").stdout).expect("text")
    };
    assert!(own(&["printer", "list"]).contains("No printer has been measured"));
    own(&["printer", "set", "office", "--across", "179.4", "--along", "250.9"]);
    assert!(own(&["printer", "list"]).contains("office"));
    let mut kept = walk(home.path());
    kept.retain(|file| !file.ends_with(".printers.lock"));
    assert_eq!(kept.len(), 1, "one file, none left over: {kept:?}");
    assert!(kept[0].ends_with("printers.yaml"), "{kept:?}");
    // The second side is measured later and goes with the reading that is there.
    own(&["printer", "set", "office", "--back-shift-x", "-1.5", "--back-shift-y", "0.5"]);
    let listed = own(&["printer", "list"]);
    assert!(listed.contains("-1.5, 0.5 mm") && listed.contains("-0.33 %"), "{listed}");
}

/// The system's list of users, which would know, is on many systems asked through a socket.
#[cfg(unix)]
#[test]
fn where_no_home_is_named_a_file_has_to_be() {
    for home in [None, Some("")] {
        let mut command = command(&["printer", "list"]);
        command.env_remove("HOME").envs(home.map(|home| ("HOME", home)));
        let output = command.output().expect("the program runs");
        let words = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.code() == Some(2) && words.contains("--readings printers.yaml"), "{words}");
    }
}

fn walk(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    entries.flat_map(|path| if path.is_dir() { walk(&path) } else { vec![path] }).collect()
}

#[test]
fn flags_of_a_printer_are_refused_in_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("printers.yaml");
    let readings = ["--readings", text(&file)];
    run(&[&["printer", "set", "office", "--across", "179.4", "--along", "250.9"], &readings[..]].concat());
    for (arguments, words) in [
        (&["build", "--example", "--printer", "ofice"][..], "did you mean `office`?"),
        (&["printer", "set", "office", "--across", "174.6", "--along", "242.5"], "actual size, 100 %"),
        (&["printer", "set", "office", "--across", "180,5", "--along", "250"], "180.5"),
        (&["printer", "set", "office", "--across", "180 kg", "--along", "250"], "--across"),
        (&["printer", "set", "new", "--back-shift-x", "1"], "--across MM --along MM"),
        (&["printer", "set", "", "--across", "180", "--along", "250"], "is no name for a printer"),
        (&["printer", "set", "office", "--across", "180", "--along", "250", "--paper", "A9"], "--paper"),
    ] {
        let (code, said) = refused(&[arguments, &readings[..]].concat());
        assert_eq!(code, 2, "{said}");
        assert!(said.contains(words), "{arguments:?}: {said}");
    }
    let (_, said) = refused(&["build", "--example", "--printer", "office", "--readings", "nowhere.yaml"]);
    assert!(said.contains("printer page"), "a first step is named where there is no reading yet: {said}");
    assert!(run(&[&["printer", "list"], &readings[..]].concat()).contains("-0.33 %"), "refusals change nothing");
}
