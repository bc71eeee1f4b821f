//! A PDF is true to length, sound to outside readers, the same on any day, and says nothing about other programs.
use crate::common;

use std::collections::BTreeSet;
use std::f64::consts::FRAC_PI_2;
use std::path::Path;
use std::process::Command;

use cockpit_cards::drawing::{Anchor, Colour, Drawing, Layer, Shape, Text, Weight, font};
use cockpit_cards::output::{pdf, svg};
use common::{content, sample, tools};
use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape as _, Size};
use lopdf::{Document, Object};

/// How far a mark may stand from its true place, millimetres.
const TRUE_MM: f64 = 0.005;
const MM_PER_INCH: f64 = 25.4;

/// Programs and libraries whose names a PDF, SVG or font file might carry; from memory of what each one writes.
const OTHER_PROGRAMS: &[&str] = &[
    "printpdf",
    "azul",
    "lopdf",
    "allsorts",
    "krilla",
    "usvg",
    "resvg",
    "rust",
    "fonttools",
    "fontforge",
    "fontlab",
    "glyphs.app",
    "glyphsapp",
    "ttfautohint",
    "afdko",
    "makeotf",
    "skia",
    "cairo",
    "pango",
    "inkscape",
    "illustrator",
    "acrobat",
    "distiller",
    "indesign",
    "ghostscript",
    "poppler",
    "mupdf",
    "qpdf",
    "itext",
    "pdftk",
    "pdflib",
    "pdfium",
    "reportlab",
    "fpdf",
    "latex",
    "quartz",
    "microsoft word",
    "libreoffice",
    "typst",
    "tera ",
    "pdf-writer",
    "pdf_writer",
    "kurbo",
];

/// What the standards themselves prescribe: the character collection's registry, the same with its ordering in a table of
/// outlines (the Compact Font Format's ROS operator), a CMap's first line, and the name of the metadata's PDF schema
/// (ISO 16684-1 and XMP part 2).
const WORDS_OF_THE_STANDARDS: &[&str] = &[
    "/Registry (Adobe)",
    "/Registry(Adobe)",
    "AdobeIdentity",
    "%!PS-Adobe-3.0 Resource-CMap",
    "http://ns.adobe.com/pdf/1.3/",
];

fn places(length: f64, spacing: f64) -> Vec<f64> {
    (0..).map(|index| 5.0 + f64::from(index) * spacing).take_while(|place| *place <= length - 5.0).collect()
}

fn marks_of(segments: &[content::Segment]) -> Vec<f64> {
    segments.iter().map(|segment| segment.line.p0.x).collect()
}

fn assert_true(found: &[f64], wanted: &[f64], what: &str) {
    assert_eq!(found.len(), wanted.len(), "{what}: every mark is there");
    for (found, wanted) in found.iter().zip(wanted) {
        assert!((found - wanted).abs() < TRUE_MM, "{what}: a mark for {wanted} mm stands at {found} mm");
    }
}

#[test]
fn every_mark_from_20_mm_to_two_metres_is_true_to_five_microns() {
    for length in [20.0, 105.0, 297.0, 1000.0, 2000.0] {
        for spacing in [1.0, 7.0 / 3.0, MM_PER_INCH / 8.0, MM_PER_INCH, 7.37] {
            let wanted = places(length, spacing);
            let drawing = sample::ticks(&wanted, length);
            let what = format!("{length} mm long, {spacing} mm apart");
            let in_pdf = content::of_pdf(&sample::pdf_of(&drawing)).segments;
            assert_true(&marks_of(&in_pdf), &wanted, &format!("PDF, {what}"));
            let in_svg = content::of_svg(&svg::svg(&drawing, svg::Options::default()).into_string());
            assert_true(&marks_of(&in_svg), &wanted, &format!("SVG, {what}"));
            for segment in in_pdf.iter().chain(&in_svg) {
                assert!((segment.line.p0.y - 5.0).abs() < TRUE_MM && (segment.line.p1.y - 15.0).abs() < TRUE_MM);
                assert!((segment.width - 0.4).abs() < TRUE_MM, "{what}: {segment:?}");
                assert_eq!(segment.layer, "print");
            }
        }
    }
}

#[test]
fn marks_follow_their_drawing_wherever_it_is_placed() {
    let wanted = places(200.0, 7.37);
    let drawing = sample::ticks(&wanted, 200.0);
    let page = Size::new(297.0, 420.0);
    let placements = [
        ("moved", sample::moved(31.7, 12.3)),
        ("turned a quarter", Affine::translate((100.0, 10.0)) * Affine::rotate(FRAC_PI_2)),
        ("mirrored", Affine::translate((250.0, 10.0)) * Affine::FLIP_X),
        ("corrected for a printer", Affine::translate((10.0, 10.0)) * Affine::scale_non_uniform(1.0042, 0.9971)),
    ];
    for (what, to_page) in placements {
        let bytes = pdf::pdf(&[sample::placed_on(page, &drawing, to_page)], &pdf::Options::default()).expect("a PDF");
        let found = content::of_pdf(&bytes).segments;
        assert_eq!(found.len(), wanted.len(), "{what}");
        for (segment, place) in found.iter().zip(&wanted) {
            for (end, y) in [(segment.line.p0, 5.0), (segment.line.p1, 15.0)] {
                let off = (end - to_page * Point::new(*place, y)).hypot();
                assert!(off < TRUE_MM, "{what}: {off} mm off");
            }
        }
    }
}

#[test]
fn text_starts_runs_and_turns_where_the_drawing_says() {
    let mut drawing = Drawing::new(Size::new(200.0, 100.0), "Text", "");
    // Four runs: B612, fractions, B612, DejaVu Sans.
    let mixed = Text::new("Mark 4½ Ж", (20.0, 30.0), Anchor::Start, 6.0, Weight::Bold);
    let turned =
        Text::new("up", (50.0, 80.0), Anchor::Start, 4.0, Weight::Regular).turned_about((50.0, 80.0), -FRAC_PI_2);
    drawing.print(mixed.clone());
    drawing.print(turned.clone());
    let shown = content::of_pdf(&sample::pdf_of(&drawing)).texts;
    let before = ["", "Mark 4", "Mark 4½", "Mark 4½ "].map(|words| mixed.size().width(words, Weight::Bold));
    assert_eq!(shown.len(), before.len() + 1, "four runs and the turned word: {shown:?}");
    for (run, before) in shown.iter().zip(before) {
        assert!((run.origin - Point::new(20.0 + before, 30.0)).hypot() < TRUE_MM, "{run:?} after {before} mm");
        assert!((run.em - mixed.em).abs() < TRUE_MM);
    }
    assert!((shown[4].origin - turned.origin).hypot() < TRUE_MM);
    assert!((shown[4].turn + FRAC_PI_2).abs() < 1e-6, "{:?}", shown[4]);
}

#[test]
fn a_fraction_of_small_text_is_set_larger_in_the_middle_of_its_numerals_in_the_pdf_too() {
    let mut drawing = Drawing::new(Size::new(200.0, 100.0), "Text", "");
    // Three runs: B612, fractions, B612. Digits of 15 minutes of arc at 0.6 m, 2.618 mm, are six tenths of 4.363 mm.
    let small = Text::new("4½ at", (20.0, 30.0), Anchor::Start, 3.0, Weight::Bold);
    drawing.print(small.clone());
    let shown = content::of_pdf(&sample::pdf_of(&drawing)).texts;
    let larger = 4.363 / 3.0;
    for (run, times) in shown.iter().zip([1.0, larger, 1.0]) {
        assert!((run.em / small.em - times).abs() < 1e-3, "{run:?}");
        assert!((run.origin.y - (30.0 + 1.5 * (times - 1.0))).abs() < 1e-3, "{run:?}");
    }
    let before = ["", "4", "4½"].map(|words| small.size().width(words, Weight::Bold));
    for (run, before) in shown.iter().zip(before) {
        assert!((run.origin.x - 20.0 - before).abs() < TRUE_MM, "{run:?} after {before} mm");
    }
}

/// The digits of a fraction, told by their outlines: of a half its numerator and its denominator are contours of their own.
#[test]
fn the_digits_of_a_half_are_six_tenths_of_a_numeral() {
    for weight in [Weight::Regular, Weight::Bold] {
        let outline = font::outline(font::glyph('½', weight).expect("a glyph"));
        let contours = outline.elements().split_inclusive(|element| matches!(element, PathEl::ClosePath));
        let heights = contours.map(|contour| contour.iter().copied().collect::<BezPath>().bounding_box().height());
        let least = heights.fold(f64::INFINITY, f64::min) / font::CAP_HEIGHT_EM;
        assert!((font::FRACTION_DIGITS - 1e-3..0.7).contains(&least), "{weight:?}: {least}");
    }
}

/// A hairline half beside a bold 4 is a setting misread: the fraction is as tall as a numeral and no thinner in stroke.
#[test]
fn a_fraction_is_as_tall_as_a_numeral_and_nearly_as_black() {
    for weight in [Weight::Regular, Weight::Bold] {
        let blackness = |character| {
            let glyph = font::glyph(character, weight).expect("a glyph");
            let outline = font::outline(glyph);
            (outline.bounding_box().height(), outline.area().abs() / glyph.advance)
        };
        let (digit_height, digit) = blackness('4');
        for character in ['¼', '½', '¾', '⅓', '⅔', '⅛', '⅜', '⅝', '⅞'] {
            let (height, fraction) = blackness(character);
            assert!((height / digit_height - 1.0).abs() < 0.1, "{weight:?} {character}: {height} em");
            assert!(fraction > 0.75 * digit, "{weight:?} {character}: {fraction} beside {digit}");
        }
    }
}

#[test]
fn ink_and_knife_have_a_layer_each() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Layers", "");
    drawing.cut(Shape::line((1.0, 1.0), (99.0, 1.0), 0.1));
    drawing.print(Shape::line((10.0, 10.0), (10.0, 20.0), 0.5));
    drawing.print(Text::new("7", (20.0, 20.0), Anchor::Start, 5.0, Weight::Bold));
    let bytes = sample::pdf_of(&drawing);
    let contents = content::of_pdf(&bytes);
    let layers: Vec<_> = contents.segments.iter().map(|segment| (segment.line.p0.x.round(), &*segment.layer)).collect();
    assert_eq!(layers, [(10.0, "print"), (1.0, "cut")], "ink first, then the lines to cut along");
    assert!(contents.texts.iter().all(|text| text.layer == Layer::Print.name()));

    let document = Document::load_mem(&bytes).expect("a PDF");
    let groups =
        document.catalog().and_then(|catalog| catalog.get(b"OCProperties")).and_then(Object::as_dict).expect("layers");
    let groups = groups.get(b"OCGs").and_then(Object::as_array).expect("a list of layers");
    let names: BTreeSet<_> = groups.iter().map(|group| name_of(&document, group)).collect();
    assert_eq!(names, BTreeSet::from(["cut".to_owned(), "print".to_owned()]));
}

fn name_of(document: &Document, group: &Object) -> String {
    let group = group.as_reference().and_then(|id| document.get_dictionary(id)).expect("a layer");
    String::from_utf8_lossy(group.get(b"Name").and_then(Object::as_str).expect("its name")).into_owned()
}

#[test]
fn blacks_and_greys_are_grey_ink_and_colours_are_red_green_and_blue() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Inks", "");
    for (index, colour) in [Colour::BLACK, Colour::grey(0.7), Colour::rgb(0.8, 0.1, 0.2)].into_iter().enumerate() {
        let x = 10.0 + 20.0 * index as f64;
        drawing.print(Text::new("8", (x, 20.0), Anchor::Start, 5.0, Weight::Bold).coloured(colour));
        drawing.print(Shape::fill(Rect::new(x, 30.0, x + 10.0, 40.0), colour));
    }
    let contents = content::of_pdf(&sample::pdf_of(&drawing));
    let wanted = [vec![0.0], vec![0.7], vec![0.8, 0.1, 0.2]];
    let texts: Vec<_> = contents.texts.iter().map(|text| text.colour.clone()).collect();
    let fills: Vec<_> = contents.fills.iter().map(|fill| fill.colour.clone()).collect();
    assert_eq!((texts.as_slice(), fills.as_slice()), (&wanted[..], &wanted[..]));
}

/// ISO 32000-1, 12.2 (viewer preferences), 14.11.2 (page boundaries), 14.3.3 (information dictionary).
#[test]
fn the_file_asks_to_be_printed_at_its_own_size() {
    let bytes = sample::pdf_of(&sample::drawing());
    let document = Document::load_mem(&bytes).expect("a PDF");
    assert_eq!(document.version, "1.7");
    let catalog = document.catalog().expect("a catalog");
    let preferences = catalog.get(b"ViewerPreferences").and_then(Object::as_dict).expect("preferences");
    assert_eq!(preferences.get(b"PrintScaling").and_then(Object::as_name).ok(), Some(b"None".as_slice()));
    assert_eq!(preferences.get(b"PickTrayByPDFSize").and_then(Object::as_bool).ok(), Some(true));

    let points = |millimetres: f64| millimetres * 72.0 / MM_PER_INCH;
    for page in document.get_pages().into_values() {
        for name in ["MediaBox", "CropBox", "BleedBox", "TrimBox"] {
            let area = content::page_box(&document, page, name.as_bytes());
            assert_eq!((area.x0, area.y0), (0.0, 0.0), "{name}");
            assert!((area.x1 - points(sample::SIZE.width)).abs() < 1e-4, "{name}: {area:?}");
            assert!((area.y1 - points(sample::SIZE.height)).abs() < 1e-4, "{name}: {area:?}");
        }
        let keys = document.get_dictionary(page).expect("a page");
        assert!(keys.get(b"UserUnit").is_err() && keys.get(b"Rotate").is_err(), "a page is what it measures");
    }
}

/// Not at -0.0000000000001, as what is left over from turning 297 mm upside down.
#[test]
fn a_page_begins_at_nothing() {
    for (width, height) in [(210.0, 297.0), (297.0, 210.0), (215.9, 279.4)] {
        let drawing = Drawing::new(Size::new(width, height), "Blank", "");
        let document = Document::load_mem(&sample::pdf_of(&drawing)).expect("a PDF");
        for page in document.get_pages().into_values() {
            for name in ["MediaBox", "CropBox", "BleedBox", "TrimBox"] {
                let area = content::page_box(&document, page, name.as_bytes());
                assert_eq!((area.x0, area.y0), (0.0, 0.0), "{name} of {width} by {height} mm");
            }
        }
    }
}

/// More objects than one byte counts, and a file longer than two bytes count: where each is stands in columns as wide as need
/// be (ISO 32000-1, 7.5.8.3).
#[test]
fn three_hundred_pages_are_as_sound_as_one() {
    let mut drawing = Drawing::new(Size::new(210.0, 297.0), "One of many", "");
    for index in 0..40 {
        let y = 5.0 + 7.0 * f64::from(index);
        drawing.print(Text::new(format!("row {index} 4½"), (10.0, y), Anchor::Start, 3.0, Weight::Bold));
    }
    let pages: Vec<_> = (0..300).map(|_| sample::page_of(&drawing)).collect();
    let bytes = pdf::pdf(&pages, &pdf::Options::default()).expect("a PDF");
    assert!(bytes.len() > usize::from(u16::MAX), "{} bytes", bytes.len());
    tools::assert_sound(&bytes);
    assert_eq!(Document::load_mem(&bytes).expect("a PDF").get_pages().len(), 300);
}

#[test]
fn the_file_names_itself_and_no_day() {
    let title = "Ślimak & «4½»";
    let options = pdf::Options { title, subject: "Strips", ..pdf::Options::default() };
    let bytes = pdf::pdf(&[sample::page_of(&sample::drawing())], &options).expect("a PDF");
    let document = Document::load_mem(&bytes).expect("a PDF");
    let information = document.trailer.get(b"Info").and_then(Object::as_reference).expect("a reference");
    let information = document.get_dictionary(information).expect("information");
    let keys: BTreeSet<_> = information.iter().map(|(key, _)| String::from_utf8_lossy(key).into_owned()).collect();
    assert_eq!(keys, BTreeSet::from(["Producer", "Subject", "Title"].map(str::to_owned)));
    let read = |key: &[u8]| lopdf::decode_text_string(information.get(key).expect("an entry")).expect("text");
    assert_eq!(read(b"Title"), title);
    assert_eq!(read(b"Producer"), concat!("cockpit-cards ", env!("CARGO_PKG_VERSION")));
}

#[test]
fn no_other_program_is_named_anywhere_in_the_file() {
    let bytes = sample::pdf_of(&sample::drawing());
    let mut document = Document::load_mem(&bytes).expect("a PDF");
    document.decompress();
    let mut plain = Vec::new();
    document.save_to(&mut plain).expect("bytes");
    for (what, bytes) in [("as written", &bytes), ("unpacked", &plain)] {
        let mut text = String::from_utf8_lossy(bytes).into_owned();
        for words in WORDS_OF_THE_STANDARDS {
            text = text.replace(words, "");
        }
        let text = text.to_lowercase();
        let found: Vec<_> = OTHER_PROGRAMS.iter().chain(&["adobe"]).filter(|name| text.contains(**name)).collect();
        assert!(found.is_empty(), "{what}: {found:?}");
    }
    assert!(String::from_utf8_lossy(&plain).contains("cockpit-cards"), "the search would have found a name");
}

#[test]
fn an_outside_reader_finds_every_word_with_its_fractions_and_letters() {
    let text = tools::text_of(&sample::pdf_of(&sample::drawing()));
    for words in ["Backstay 4½ to 13¾ TIGHTER → ≥ 12°", "Miłosz, żagiel 3¼ 5½ ⅜ – Ελλάδα – Ж", "EXAMPLE", "upright 69½"]
    {
        assert!(text.contains(words), "{words:?} is not in:\n{text}");
    }
}

#[test]
fn an_outside_reader_finds_no_fault() {
    let drawing = sample::drawing();
    tools::assert_sound(&sample::pdf_of(&drawing));
    let pages = [sample::page_of(&drawing), sample::page_of(&drawing), sample::page_of(&drawing)];
    tools::assert_sound(&pdf::pdf(&pages, &pdf::Options::default()).expect("a PDF"));
}

#[test]
fn only_the_faces_used_are_in_the_file_and_only_their_glyphs() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "One face", "");
    drawing.print(Text::new("Outhaul", (10.0, 20.0), Anchor::Start, 5.0, Weight::Regular));
    let bytes = sample::pdf_of(&drawing);
    let document = Document::load_mem(&bytes).expect("a PDF");
    let fonts: Vec<_> = document
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok())
        .filter(|dictionary| dictionary.get(b"Subtype").and_then(Object::as_name).ok() == Some(b"Type0"))
        .collect();
    assert_eq!(fonts.len(), 1);
    assert!(fonts[0].get(b"ToUnicode").is_ok());
    let name = fonts[0].get(b"BaseFont").and_then(Object::as_name).expect("a name");
    let (tag, face) = name.split_at(7);
    assert!(tag[..6].iter().all(u8::is_ascii_uppercase) && tag[6] == b'+', "a subset's tag: ISO 32000-1, 9.6.4");
    assert_eq!(face, b"B612-Regular");

    let streams = document.objects.values().filter_map(|object| object.as_stream().ok());
    let outlines: Vec<Vec<u8>> = streams
        .filter(|stream| stream.dict.get(b"Subtype").and_then(Object::as_name).ok() == Some(b"CIDFontType0C"))
        .map(|stream| stream.decompressed_content().expect("a sound stream"))
        .collect();
    assert_eq!(outlines.len(), 1, "one table of outlines: ISO 32000-1, table 126");
    let table = ttf_parser::cff::Table::parse(&outlines[0]).expect("a CFF table");
    // O, u, t, h, a, l, and the glyph that stands for none.
    assert_eq!(table.number_of_glyphs(), 7);
    // The face has a name for each glyph that it holds.
    let named = |bytes: &[u8]| bytes.windows(10).any(|window| window == b"Deltagreek");
    assert!(named(font::FaceId::B612Regular.bytes()) && !named(&outlines[0]));
}

/// DejaVu Sans has some six thousand glyphs, and its outlines are of the other kind (ISO 32000-1, table 126: TrueType).
#[test]
fn of_the_wide_fallback_too_only_the_glyphs_used_are_in_the_file() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "The fallback", "");
    drawing.print(Text::new("ЖЖ", (10.0, 20.0), Anchor::Start, 5.0, Weight::Bold));
    let bytes = sample::pdf_of(&drawing);
    let document = Document::load_mem(&bytes).expect("a PDF");
    let descriptor = document
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok())
        .find(|dictionary| dictionary.has(b"FontFile2"))
        .expect("a face of TrueType outlines");
    assert_eq!(descriptor.get(b"FontName").and_then(Object::as_name).ok(), Some(b"DSTRNG+DejaVuSans-Bold".as_slice()));
    let file = descriptor.get(b"FontFile2").and_then(Object::as_reference).expect("a reference");
    let file = document.get_object(file).and_then(Object::as_stream).expect("a stream");
    let face = file.decompressed_content().expect("a sound stream");
    assert_eq!(file.dict.get(b"Length1").and_then(Object::as_i64).ok(), Some(face.len() as i64));
    // The letter, and the glyph that stands for none.
    assert_eq!(ttf_parser::Face::parse(&face, 0).expect("a face").number_of_glyphs(), 2);
}

#[test]
fn the_same_pages_are_the_same_bytes_however_many_files_were_written_before() {
    let first = sample::pdf_of(&sample::drawing());
    for length in [50.0, 60.0, 70.0] {
        sample::pdf_of(&sample::ticks(&places(length, 3.0), length));
    }
    assert!(first == sample::pdf_of(&sample::drawing()));
}

const TARGET: &str = "COCKPIT_CARDS_TEST_TARGET";

/// Not a check: what the next test runs in processes of their own.
#[test]
#[ignore = "run by the test below"]
fn writes_the_sample_where_it_is_told() {
    let target = std::env::var_os(TARGET).expect("a place to write to");
    let drawing = sample::drawing();
    let both = [sample::pdf_of(&drawing), svg::svg(&drawing, svg::Options::default()).into_bytes()].concat();
    std::fs::write(target, both).expect("a file");
}

#[test]
fn the_same_pages_are_the_same_bytes_in_any_process_folder_and_time_zone() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |name: &str, directory: &Path, time_zone: &str| {
        let target = folder.path().join(name);
        let status = Command::new(std::env::current_exe().expect("this test"))
            .args(["--exact", "--ignored", "pdf_sound::writes_the_sample_where_it_is_told"])
            .current_dir(directory)
            .env(TARGET, &target)
            .env("TZ", time_zone)
            .output()
            .expect("a run");
        assert!(status.status.success());
        std::fs::read(target).expect("what was written")
    };
    let here = run("one", Path::new(env!("CARGO_MANIFEST_DIR")), "UTC");
    let there = run("two", folder.path(), "Pacific/Auckland");
    assert!(!here.is_empty() && here == there);
}

#[test]
fn what_cannot_be_a_pdf_is_refused_with_the_page_and_the_reason() {
    let build = |pages: &[cockpit_cards::paper::Page]| pdf::pdf(pages, &pdf::Options::default());
    let blank = |width: f64, height: f64| Drawing::new(Size::new(width, height), "", "");
    assert!(matches!(build(&[]), Err(pdf::Error::NoPages)));

    let (a4, letter) = (blank(210.0, 297.0), blank(215.9, 279.4));
    let mixed = build(&[sample::page_of(&a4), sample::page_of(&letter)]).expect_err("two sizes");
    assert!(matches!(mixed, pdf::Error::UnequalPages { page: 2, .. }));
    assert!(mixed.to_string().contains("page 2 is 215.9 by 279.4 mm and the first is 210 by 297 mm"), "{mixed}");

    // ISO 32000-1, annex C.2: 14 400 units of 1/72 inch.
    assert!(build(&[sample::page_of(&blank(5080.0, 30.0))]).is_ok());
    for (width, height) in
        [(5080.1, 30.0), (30.0, 5080.1), (0.0, 30.0), (30.0, -1.0), (f64::NAN, 30.0), (f64::INFINITY, 1.0)]
    {
        let refused = build(&[sample::page_of(&blank(width, height))]);
        assert!(matches!(refused, Err(pdf::Error::PageSize { page: 1, .. })), "{width} by {height}");
    }

    // The last two are places that no whole number of a reader holds: ISO 32000-1, annex C.2.
    for place in [f64::NAN, f64::NEG_INFINITY, f64::from(i32::MIN), 1e12] {
        let mut nowhere = blank(100.0, 100.0);
        nowhere.print(Shape::line((0.0, 0.0), (place, 10.0), 0.5));
        assert!(matches!(build(&[sample::page_of(&nowhere)]), Err(pdf::Error::NotFinite { page: 1 })), "{place}");
    }

    for character in ['\u{7}', '\u{E000}', '漢'] {
        let mut unknown = blank(100.0, 100.0);
        unknown.print(Text::new(character.to_string(), (1.0, 10.0), Anchor::Start, 5.0, Weight::Bold));
        let refused = build(&[sample::page_of(&a4), sample::page_of(&unknown)]);
        assert!(refused.is_err(), "of two sizes as well");
        let refused = build(&[sample::page_of(&unknown)]);
        assert!(matches!(refused, Err(pdf::Error::NoGlyph { page: 1, character: found }) if found == character));
    }
}
