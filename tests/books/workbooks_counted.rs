//! What the workbooks of one book unpack to is counted over all of them, and so is what is read of them: a few kilobytes cannot stand for
//! gigabytes, whether in many files or under many names.

use std::fmt::Write as _;

use cockpit_cards::book::{self, Loaded};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::limits::MAX_NUMBER_FORMAT_BYTES;

use crate::common::inputs::workbook::{PART, zipped};
use crate::reading::{SOUND, complaints};

/// Settings of one book, at its limit (`limits::MAX_DECLARED`).
const SETTINGS: usize = 300;
const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
const HEAD: &str = "<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>wind</t></is></c><c r=\"B1\" t=\"inlineStr\"><is><t>lead</t></is></c></row>\
                    <row r=\"2\"><c r=\"A2\"><v>8</v></c><c r=\"B2\"><v>12</v></c></row>";

/// The sound book with this many settings, each with a table of its own name.
fn book(tables: impl Fn(usize) -> String) -> String {
    let (start, _) = SOUND.split_once("settings:\n").expect("settings");
    let mut text = format!("{start}settings:\n");
    for nth in 0..SETTINGS {
        let _ =
            writeln!(text, "  - {{id: s{nth}, sails: [main, j1], point_of_sail: upwind, table: '{}'}}", tables(nth));
    }
    text
}

/// A sheet with two cells, and so many bytes of nothing after them.
fn sheet(spaces: usize) -> String {
    format!(
        "{PART}xl/worksheets/sheet1.xml\n<worksheet xmlns=\"{MAIN}\"><sheetData>{HEAD}{}</sheetData></worksheet>\n",
        " ".repeat(spaces)
    )
}

fn load(text: &str, workbook: &[u8]) -> Loaded {
    book::from_memory("boat.yaml", text, &|_| Some(workbook.to_vec()), has_glyph)
}

#[test]
fn many_workbooks_of_one_book_are_counted_together() {
    let small = zipped(&sheet(0)).expect("a workbook");
    let loaded = load(&book(|nth| format!("{nth}.xlsx")), &small);
    assert!(!complaints(&loaded).contains("MB"), "{}", complaints(&loaded));
    // Each is under the limit of one, and unpacks to three thousand times what it takes on a disk once it is packed.
    let large = packed(&sheet(3_000_000));
    assert!(large.len() < 10_000, "{}", large.len());
    let report = complaints(&load(&book(|nth| format!("{nth}.xlsx")), &large));
    assert!(
        report.contains("with this workbook, those that the book names have more in them than the 32 MB"),
        "{report}"
    );
    assert!(report.contains("as a workbook of their own"), "{report}");
}

#[test]
fn what_no_setting_names_is_counted_where_it_is_unpacked() {
    let unnamed =
        |spaces: usize| format!("{PART}xl/worksheets/sheet2.xml\n<worksheet>{}</worksheet>\n", " ".repeat(spaces));
    let with = |spaces: usize| packed(&format!("{}{}", sheet(0), unnamed(spaces)));
    let named = book(|nth| format!("{nth}.xlsx"));
    assert!(!complaints(&load(&named, &with(1_000))).contains("MB"));
    let report = complaints(&load(&named, &with(200_000)));
    assert!(report.contains("have more in them than the 32 MB that are read"), "{report}");
}

/// As `zipped`, and packed.
fn packed(text: &str) -> Vec<u8> {
    use std::io::{Cursor, Read as _, Write as _};
    let whole = zipped(text).expect("a workbook");
    let mut from = zip::ZipArchive::new(Cursor::new(whole)).expect("an archive");
    let mut to = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for index in 0..from.len() {
        let mut part = from.by_index(index).expect("a part");
        let name = part.name().expect("a name").into_owned();
        let mut content = Vec::new();
        part.read_to_end(&mut content).expect("content");
        to.start_file(name, zip::write::SimpleFileOptions::default()).expect("started");
        to.write_all(&content).expect("written");
    }
    to.finish().expect("finished").into_inner()
}

/// A workbook with one sheet under so many names.
fn under_names(names: usize, spaces: usize) -> String {
    let sheets: String = (0..names).fold(String::new(), |text, nth| {
        text + &format!("<sheet name=\"S{nth}\" sheetId=\"{}\" r:id=\"r1\"/>", nth + 1)
    });
    format!(
        "{PART}xl/workbook.xml\n<workbook xmlns=\"{MAIN}\" xmlns:r=\"{OFFICE}\"><sheets>{sheets}</sheets></workbook>\n{}",
        sheet(spaces)
    )
}

#[test]
fn one_part_under_many_names_is_read_so_often_and_no_more() {
    let named = |nth: usize| format!("a.xlsx#S{nth}");
    let loaded = load(&book(named), &zipped(&under_names(SETTINGS, 0)).expect("a workbook"));
    assert!(!complaints(&loaded).contains("MB"), "{}", complaints(&loaded));
    let report = complaints(&load(&book(named), &zipped(&under_names(SETTINGS, 1_000_000)).expect("a workbook")));
    assert!(report.contains("have more in them than the 32 MB that are read"), "{report}");
}

#[test]
fn of_ten_thousand_sheets_a_message_names_a_few() {
    let workbook = zipped(&under_names(10_000, 0)).expect("a workbook");
    for table in ["a.xlsx", "a.xlsx#none"] {
        let report = complaints(&load(&book(|_| table.to_owned()), &workbook));
        assert!(report.contains("and 9988 more") && report.len() < 200_000, "{}", report.len());
    }
}

/// A sheet, a format of so many letters, and as many styles that show numbers in it.
fn with_styles(letters: usize, uses: usize) -> Vec<u8> {
    let format = format!("<numFmts><numFmt numFmtId=\"164\" formatCode=\"{}\"/></numFmts>", "0".repeat(letters));
    let uses = "<xf numFmtId=\"164\"/>".repeat(uses);
    packed(&format!(
        "{PART}xl/styles.xml\n<styleSheet xmlns=\"{MAIN}\">{format}<cellXfs><xf numFmtId=\"0\"/>{uses}</cellXfs></styleSheet>\n{}",
        sheet(0)
    ))
}

/// The sound book with the sheet of a workbook for its table.
fn with_sheet(workbook: &[u8]) -> Loaded {
    let (start, _) = SOUND.split_once("    controls: [backstay, lead, vang]").expect("controls");
    load(&format!("{start}    table: a.xlsx\n"), workbook)
}

#[test]
fn a_format_of_a_thousand_letters_is_not_kept_for_each_of_half_a_million_styles() {
    let loaded = with_sheet(&with_styles(900, 1_000));
    assert!(loaded.is_sound(), "{}", complaints(&loaded));
    let report = complaints(&with_sheet(&with_styles(900, 500_000)));
    assert!(report.contains("no workbook that can be read"), "{report}");
}

#[test]
fn a_format_longer_than_any_spreadsheet_keeps_is_not_kept_at_all() {
    let loaded = with_sheet(&with_styles(MAX_NUMBER_FORMAT_BYTES, 1));
    assert!(loaded.is_sound(), "{}", complaints(&loaded));
    let report = complaints(&with_sheet(&with_styles(MAX_NUMBER_FORMAT_BYTES + 1, 1)));
    assert!(report.contains("no workbook that can be read"), "{report}");
}
