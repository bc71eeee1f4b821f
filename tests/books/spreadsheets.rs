//! Tables as spreadsheets leave them: workbooks with sheets, semicolons and decimal commas, the letters of other systems, headings
//! for people. What they say is what the same rows in the book would say, and what they cannot say has its cell.

use std::fs;
use std::io::Write as _;
use std::path::PathBuf;

use cockpit_cards::book::{self, Level, Loaded, Settings, report};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::limits;
use proptest::prelude::*;
use rust_xlsxwriter::{ExcelDateTime, Format, Formula, Workbook, Worksheet, XlsxError};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::reading::{SOUND, complaints, load};

/// A folder with a book and the files that it names.
struct Folder {
    directory: tempfile::TempDir,
}

impl Folder {
    fn new() -> Self {
        Folder { directory: tempfile::tempdir().unwrap() }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.directory.path().join(name)
    }

    fn with(self, name: &str, bytes: impl AsRef<[u8]>) -> Self {
        fs::write(self.path(name), bytes).unwrap();
        self
    }

    fn load(&self, text: &str) -> Loaded {
        let path = self.path("boat.yaml");
        fs::write(&path, text).unwrap();
        book::from_path(&path, has_glyph).unwrap()
    }
}

/// The sound book with its rows in the table of this name.
fn naming(table: &str) -> String {
    let (start, _) = SOUND.split_once("    controls: [backstay, lead, vang]").unwrap();
    format!("{start}    table: {table}\n")
}

/// A book whose backstay is a gauge in bar, with its rows in the table of this name.
fn with_gauge(table: &str) -> String {
    naming(table).replace(
        "scale: {marks: 0..8, spacing: 20 mm, halves: true}",
        "scale: {gauge: {unit: bar, least: 0, most: 180}}",
    )
}

/// A workbook of one sheet.
fn workbook(fill: impl FnOnce(&mut Worksheet) -> Result<(), XlsxError>) -> Vec<u8> {
    sheets(|book| {
        let sheet = book.add_worksheet().set_name("J1")?;
        fill(sheet)
    })
}

fn sheets(fill: impl FnOnce(&mut Workbook) -> Result<(), XlsxError>) -> Vec<u8> {
    let mut book = Workbook::new();
    fill(&mut book).unwrap();
    book.save_to_buffer().unwrap()
}

/// Writes rows of text and numbers into a sheet: what is a number is written as one.
fn fill(sheet: &mut Worksheet, rows: &[&[&str]]) -> Result<(), XlsxError> {
    for (row, cells) in (0..).zip(rows) {
        for (column, cell) in (0..).zip(*cells) {
            match cell.parse::<f64>() {
                _ if cell.is_empty() => {}
                Ok(number) => drop(sheet.write_number(row, column, number)?),
                Err(_) => drop(sheet.write_string(row, column, *cell)?),
            }
        }
    }
    Ok(())
}

const ROWS: [&[&str]; 4] = [
    &["wind", "backstay", "lead", "vang"],
    &["6", "0", "13", "eased"],
    &["10", "2", "12", "snug"],
    &["14", "4.5", "14", "hard"],
];

/// The readings of the first settings, row by row.
fn readings(settings: &Settings) -> Vec<(f64, Vec<Option<f64>>)> {
    let row = |row: &book::Row| {
        let readings = row.readings.iter().map(|recorded| recorded.one().map(|reading| reading.value));
        (row.at.value.to_knots(), readings.collect())
    };
    settings.rows.iter().map(row).collect()
}

/// Asserts that a table means what the sound book says in rows of its own.
fn assert_as_inline(loaded: &Loaded, about: &str) {
    let inline = load(SOUND).book.unwrap();
    let is_error = |problem: &&book::Problem| problem.level == Level::Error;
    assert_eq!(loaded.problems.iter().find(is_error), None, "{about}: {}", complaints(loaded));
    let settings = &loaded.book.as_ref().unwrap().settings[0];
    assert_eq!(settings.controls, inline.settings[0].controls, "{about}");
    assert_eq!(readings(settings), readings(&inline.settings[0]), "{about}");
}

#[test]
fn a_sheet_of_a_workbook_means_the_same_as_rows_in_the_book() {
    let plain = workbook(|sheet| fill(sheet, &ROWS));
    let named: [&[&str]; 4] = [&["Wind (kn)", "Backstay [marks]", "Lead", "Vang"], ROWS[1], ROWS[2], ROWS[3]];
    let spaced: [&[&str]; 7] = [
        &["# sailed in spring", "and again"],
        &[],
        &["", "wind", "", "backstay", "lead", "vang", ""],
        &["", "6", "", "0", "13", "eased"],
        &[],
        &["", "10 kn", "", "2", "12", "snug"],
        &["", "14", "", "4½", "14", "hard"],
    ];
    for (about, bytes, table) in [
        ("the only sheet", plain.clone(), "j1.xlsx"),
        ("by its name", plain.clone(), "j1.xlsx#J1"),
        ("by its name in other capitals", plain, "j1.xlsx#j1"),
        ("headings for people", workbook(|sheet| fill(sheet, &named)), "j1.xlsx"),
        ("away from the corner, with empty rows and columns", workbook(|sheet| fill(sheet, &spaced)), "j1.xlsx"),
    ] {
        let folder = Folder::new().with("j1.xlsx", bytes);
        let loaded = folder.load(&naming(table));
        assert_eq!(complaints(&loaded), "", "{about}");
        assert_as_inline(&loaded, about);
    }
}

#[test]
fn a_number_of_a_sheet_is_read_as_its_cell_shows_it() {
    let bytes = workbook(|sheet| {
        fill(sheet, &ROWS)?;
        // A sum of tenths, as binary numbers have it: what is shown is 2.
        sheet.write_number(2, 1, 0.1 + 0.7 + 1.2 + 4.0 - 4.0)?;
        sheet.write_number_with_format(3, 1, 4.5, &Format::new().set_num_format("# ?/?"))?;
        sheet.write_number_with_format(3, 2, 14.0, &Format::new().set_num_format("0.00"))?;
        sheet.write_number_with_format(1, 0, 6.0, &Format::new().set_num_format("0.0\" kn\""))?;
        Ok(())
    });
    assert_as_inline(&Folder::new().with("j1.xlsx", bytes).load(&naming("j1.xlsx")), "formats");

    let formula = workbook(|sheet| {
        fill(sheet, &ROWS)?;
        sheet.write_formula(3, 1, Formula::new("=B3*2+0.5").set_result("4.5"))?;
        sheet.write_formula(3, 3, Formula::new("=LOWER(\"HARD\")").set_result("hard"))?;
        Ok(())
    });
    assert_as_inline(&Folder::new().with("j1.xlsx", formula).load(&naming("j1.xlsx")), "formulas");
}

#[test]
fn a_percentage_and_a_unit_that_a_format_adds_are_read_with_the_number() {
    let book = with_gauge("j1.xlsx").replace("unit: bar", "unit: '%'");
    let percent = Format::new().set_num_format("0%");
    let bytes = workbook(|sheet| {
        fill(sheet, &ROWS)?;
        sheet.write_number_with_format(2, 1, 0.12, &percent)?;
        Ok(())
    });
    let loaded = Folder::new().with("j1.xlsx", bytes).load(&book);
    let settings = &loaded.book.as_ref().unwrap_or_else(|| panic!("{}", complaints(&loaded))).settings[0];
    assert_eq!(readings(settings)[1].1[0], Some(12.0));

    // A gauge in bar is not read in psi, whoever adds the unit.
    let psi = workbook(|sheet| {
        fill(sheet, &ROWS)?;
        sheet.write_number_with_format(2, 1, 870.0, &Format::new().set_num_format("0 \"psi\""))?;
        Ok(())
    });
    let loaded = Folder::new().with("j1.xlsx", psi).load(&with_gauge("j1.xlsx"));
    assert!(complaints(&loaded).contains("another unit"), "{}", complaints(&loaded));
}

#[test]
fn one_workbook_with_several_sheets_is_read_for_each_that_is_named() {
    let bytes = sheets(|book| {
        fill(book.add_worksheet().set_name("J1")?, &ROWS)?;
        fill(book.add_worksheet().set_name("light air")?, &[&["wind", "lead"], &["4", "12"]])?;
        book.add_worksheet().set_name("workings")?.set_hidden(true);
        Ok(())
    });
    let folder = Folder::new().with("tables.xlsx", bytes);
    let second = "  - {id: light, sails: [j1], point_of_sail: upwind, table: 'tables.xlsx#light air'}\n";
    let loaded = folder.load(&format!("{}{second}", naming("tables.xlsx#J1")));
    assert!(loaded.is_sound(), "{}", complaints(&loaded));
    let names: Vec<_> = loaded.sources.iter().map(|source| source.name.rsplit(['/', '\\']).next().unwrap()).collect();
    assert_eq!(names, ["boat.yaml", "tables.xlsx#J1", "tables.xlsx#light air"]);

    let several = complaints(&folder.load(&naming("tables.xlsx")));
    assert!(several.contains("several sheets: `J1`, `light air`"), "{several}");
    assert!(!several.contains("workings"), "{several}");
    let unknown = complaints(&folder.load(&naming("tables.xlsx#J2")));
    assert!(unknown.contains("no sheet `J2`") && unknown.contains("`light air`"), "{unknown}");
}

#[test]
fn a_hidden_sheet_is_not_counted_and_can_be_named() {
    let bytes = sheets(|book| {
        book.add_worksheet().set_name("workings")?.set_hidden(true);
        fill(book.add_worksheet().set_name("J1")?, &ROWS)?;
        book.worksheet_from_name("J1")?.set_active(true);
        Ok(())
    });
    let folder = Folder::new().with("j1.xlsx", bytes);
    assert_as_inline(&folder.load(&naming("j1.xlsx")), "the only one that is seen");
    let empty = complaints(&folder.load(&naming("j1.xlsx#workings")));
    assert!(empty.contains("is empty"), "{empty}");
}

/// Saved by LibreOffice Calc: `tests/reference/spreadsheet_program.py` made both and says which version in the JSON beside them.
#[test]
fn what_a_spreadsheet_program_saved_means_the_same_as_rows_in_the_book() {
    let saved = include_bytes!("../reference/spreadsheet_program.xlsx");
    let folder = Folder::new().with("tuning.xlsx", saved);
    assert_as_inline(&folder.load(&naming("tuning.xlsx#J1 upwind")), "a workbook");
    let several = complaints(&folder.load(&naming("tuning.xlsx")));
    assert!(several.contains("several sheets: `J1 upwind`, `workings`"), "{several}");
    let german = Folder::new().with("j1.csv", include_bytes!("../reference/spreadsheet_program_de.csv"));
    assert_as_inline(&german.load(&naming("j1.csv")), "a German CSV");
}

#[test]
fn warnings_alike_of_a_sheet_are_told_once_with_the_cells_of_the_others() {
    let folder = Folder::new().with("j1.xlsx", workbook(|sheet| fill(sheet, &ROWS)));
    let told = complaints(&folder.load(&naming("j1.xlsx#J1").replace("wind: 5..16", "wind: 4..5")));
    assert_eq!(told.matches("outside the wind of these sails").count(), 1, "{told}");
    assert!(told.contains("j1.xlsx#J1!A2") && told.contains("and 2 more like it: cells A3, A4"), "{told}");
}

/// The sound rows with one cell written otherwise.
fn with_cell(write: impl FnOnce(&mut Worksheet) -> Result<(), XlsxError>) -> Vec<u8> {
    workbook(|sheet| {
        fill(sheet, &ROWS)?;
        write(sheet)
    })
}

#[test]
fn what_cannot_be_read_of_a_sheet_has_its_file_its_sheet_and_its_cell() {
    let error = |sheet: &mut Worksheet| sheet.write_formula(2, 1, Formula::new("=1/0").set_result("#DIV/0!")).map(drop);
    let day = |sheet: &mut Worksheet| {
        let format = Format::new().set_num_format("d-mmm");
        sheet.write_datetime_with_format(2, 1, &ExcelDateTime::from_ymd(2027, 2, 1)?, &format).map(drop)
    };
    let cases: [(&str, Vec<u8>, &str, &str); 8] = [
        ("a fraction taken for a day", with_cell(day), "B3", "the format of a text"),
        ("off the scale", with_cell(|sheet| sheet.write_number(3, 2, 99).map(drop)), "C4", "0 to 20"),
        ("an error of a formula", with_cell(error), "B3", "correct its formula"),
        ("a decimal comma", with_cell(|sheet| sheet.write_string(3, 1, "4,5").map(drop)), "B4", "`4.5`"),
        ("an unknown heading", with_cell(|sheet| sheet.write_string(0, 2, "leed").map(drop)), "C1", "did you mean"),
        ("a foreign unit", with_cell(|sheet| sheet.write_string(0, 1, "Backstay [psi]").map(drop)), "B1", "marks"),
        ("no unit of wind", with_cell(|sheet| sheet.write_string(0, 0, "wind [kg]").map(drop)), "A1", "kn"),
        ("past the columns", with_cell(|sheet| sheet.write_string(1, 27, "what").map(drop)), "A2", "no more"),
    ];
    for (about, bytes, cell, remedy) in cases {
        let folder = Folder::new().with("settings.xlsx", bytes);
        let loaded = folder.load(&naming("settings.xlsx#J1"));
        let report = complaints(&loaded);
        assert_eq!(loaded.problems.len(), 1, "{about}: {report}");
        assert!(report.contains(&format!("settings.xlsx#J1!{cell}\n")), "{about}: {report}");
        assert!(report.contains(remedy), "{about}: {report}");
        let for_machines = report::for_machines(&loaded.problems, &loaded.sources);
        let (column, row) = cell.split_at(1);
        assert_eq!(for_machines[0]["line"].to_string(), row, "{about}");
        assert_eq!(for_machines[0]["column"], u64::from(column.as_bytes()[0] - b'A' + 1), "{about}");
        let place = loaded.problems[0].place.as_ref().unwrap();
        assert!(report::place_words(place, &loaded.sources).unwrap().ends_with(&format!("settings.xlsx#J1!{cell}")));
    }
}

#[test]
fn a_sheet_shows_the_row_that_a_fault_stands_in() {
    let bytes = with_cell(|sheet| sheet.write_number(3, 2, 99).map(drop));
    let report = complaints(&Folder::new().with("settings.xlsx", bytes).load(&naming("settings.xlsx")));
    assert!(report.contains("4 | 14,4.5,99,hard"), "{report}");
    assert!(report.lines().any(|line| line.trim_end().ends_with("^^")), "{report}");
}

/// A workbook with its parts written by hand.
fn package(sheet: &str, styles: &str, strings: &str) -> Vec<u8> {
    const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    const RELATIONS: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006/relationships";
    let relation = |id: &str, kind: &str, target: &str| {
        format!("<Relationship Id=\"{id}\" Type=\"{RELATIONS}/{kind}\" Target=\"{target}\"/>")
    };
    let relations = |all: String| format!("<Relationships xmlns=\"{PACKAGE}\">{all}</Relationships>");
    let parts = [
        ("_rels/.rels", relations(relation("r1", "officeDocument", "xl/workbook.xml"))),
        (
            "xl/workbook.xml",
            format!(
                "<workbook xmlns=\"{MAIN}\" xmlns:r=\"{RELATIONS}\"><sheets><sheet name=\"J1\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>"
            ),
        ),
        (
            "xl/_rels/workbook.xml.rels",
            relations(
                relation("r1", "worksheet", "worksheets/sheet1.xml")
                    + &relation("r2", "styles", "styles.xml")
                    + &relation("r3", "sharedStrings", "sharedStrings.xml"),
            ),
        ),
        ("xl/worksheets/sheet1.xml", format!("<worksheet xmlns=\"{MAIN}\"><sheetData>{sheet}</sheetData></worksheet>")),
        ("xl/styles.xml", format!("<styleSheet xmlns=\"{MAIN}\">{styles}</styleSheet>")),
        ("xl/sharedStrings.xml", strings.to_owned()),
    ];
    let mut archive = ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, content) in parts {
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
        archive.start_file(name, options).unwrap();
        archive.write_all(content.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

const HEADER: &str = "<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>wind</t></is></c><c r=\"B1\" t=\"inlineStr\"><is><t>lead</t></is></c></row>";
const NO_STRINGS: &str = "<sst/>";

#[test]
fn a_formula_whose_value_is_not_in_the_file_is_never_taken_for_an_empty_cell() {
    let row = "<row r=\"2\"><c r=\"A2\"><v>8</v></c><c r=\"B2\"><f>6+6</f></c></row>";
    let bytes = package(&format!("{HEADER}{row}"), "", NO_STRINGS);
    let loaded = Folder::new().with("j1.xlsx", bytes).load(&naming("j1.xlsx"));
    let report = complaints(&loaded);
    assert!(report.contains("j1.xlsx#J1!B2") && report.contains("value is not in the file"), "{report}");
    let row = row.replace("</f>", "</f><v>12</v>");
    let bytes = package(&format!("{HEADER}{row}"), "", NO_STRINGS);
    assert!(Folder::new().with("j1.xlsx", bytes).load(&naming("j1.xlsx")).is_sound());
}

#[test]
fn a_workbook_that_unpacks_to_a_great_deal_is_refused_by_counting() {
    let far =
        |cell: &str| format!("{HEADER}<row r=\"2\"><c r=\"A2\"><v>8</v></c><c r=\"B2\"><v>12</v></c></row>{cell}");
    let billion = "<row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row>";
    let many: String =
        (2..=420_000).map(|row| format!("<row r=\"{row}\"><c r=\"A{row}\"><v>8</v></c></row>")).collect();
    let texts = format!("<sst uniqueCount=\"4000000000000000000\"><si><t>{}</t></si></sst>", "x".repeat(9));
    let long = format!("<sst><si><t>{}</t></si></sst>", "x".repeat(30_000));
    let again: String =
        (2..=1_000).map(|row| format!("<row r=\"{row}\"><c r=\"A{row}\" t=\"s\"><v>0</v></c></row>")).collect();
    let spaces = " ".repeat(17_000_000);
    let name = "x".repeat(100_000);
    let fonts = format!(
        "<fonts><font><name val=\"{name}\"/></font></fonts><cellXfs>{}</cellXfs>",
        "<xf numFmtId=\"0\" fontId=\"0\"/>".repeat(60_000)
    );
    for (about, bytes, is_sound) in [
        ("a cell in the last corner", package(&far(billion), "", NO_STRINGS), false),
        ("more cells than are read", package(&format!("{HEADER}{many}"), "", NO_STRINGS), false),
        ("a list that claims a great length", package(&far(""), "", &texts), false),
        ("one long text many times", package(&format!("{HEADER}{again}"), "", &long), false),
        ("seventeen megabytes of nothing", package(&far(&spaces), "", NO_STRINGS), false),
        ("a font with a long name, many times", package(&far(""), &fonts, NO_STRINGS), true),
    ] {
        assert!(bytes.len() < 4_000_000, "{about}: {}", bytes.len());
        let loaded = Folder::new().with("j1.xlsx", bytes).load(&naming("j1.xlsx"));
        assert_eq!(loaded.is_sound(), is_sound, "{about}: {}", complaints(&loaded));
        assert!(is_sound || loaded.problems.len() < 3, "{about}: {}", complaints(&loaded));
    }
}

#[test]
fn what_is_no_workbook_of_this_kind_is_refused_with_the_remedy() {
    let good = workbook(|sheet| fill(sheet, &ROWS));
    let cut = good[..good.len() / 2].to_vec();
    for (name, bytes, remedy) in [
        ("j1.xls", good.clone(), "save it as .xlsx or as CSV"),
        ("j1.ods", good.clone(), "save it as .xlsx or as CSV"),
        ("j1.xlsx", b"wind,lead\n8,12\n".to_vec(), "save it once more as .xlsx"),
        ("j1.xlsx", cut, "save it once more as .xlsx"),
        ("j1.xlsx", Vec::new(), "save it once more as .xlsx"),
        ("j1.xlsx", b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1 and more".to_vec(), "without the password"),
        ("j1.csv", good, "a name that ends in .xlsx"),
    ] {
        let loaded = Folder::new().with(name, bytes).load(&naming(name));
        let report = complaints(&loaded);
        assert_eq!(loaded.problems.len(), 1, "{name}: {report}");
        assert!(report.contains(remedy) && report.contains("boat.yaml:"), "{name}: {report}");
    }
    let missing = complaints(&Folder::new().load(&naming("j1.xlsx#J1")));
    assert!(missing.contains("there is no file"), "{missing}");
}

#[test]
fn a_csv_file_of_another_country_means_the_same() {
    let plain = "wind;backstay;lead;vang\n6;0;13;eased\n10;2;12;snug\n14;4,5;14;hard\n";
    let utf_16 = |text: &str, bytes: fn(u16) -> [u8; 2]| -> Vec<u8> {
        format!("\u{FEFF}{text}").encode_utf16().flat_map(bytes).collect()
    };
    for (about, bytes) in [
        ("semicolons and decimal commas", plain.into()),
        ("a line that says so", format!("sep=;\r\n{plain}").into_bytes()),
        ("the same once saved again", format!("\"sep=;\";;;\n{plain}").into_bytes()),
        ("a mark at its beginning", format!("\u{FEFF}{plain}").into_bytes()),
        ("empty cells and rows", plain.replace('\n', ";;;\n;;;;;;\n").into_bytes()),
        ("empty cells beyond any table", plain.replace('\n', &format!("{}\n", ";".repeat(400))).into_bytes()),
        (
            "printed names and units",
            plain.replace("wind;backstay;lead", "Wind [kt];BACKSTAY (marks);Lead").into_bytes(),
        ),
        ("UTF-16, the small end first", utf_16(plain, u16::to_le_bytes)),
        ("UTF-16, the large end first", utf_16(&plain.replace(';', "\t").replace("4,5", "4½"), u16::to_be_bytes)),
    ] {
        let loaded = Folder::new().with("j1.csv", bytes).load(&naming("j1.csv"));
        assert_eq!(complaints(&loaded), "", "{about}");
        assert_as_inline(&loaded, about);
    }
    // Among decimal commas a point may stand between thousands.
    let thousands = plain.replace("10;2;", "10;1.000;");
    let report = complaints(&Folder::new().with("j1.csv", thousands).load(&naming("j1.csv")));
    assert!(report.contains("j1.csv:3:4") && report.contains("in two ways") && report.contains("`1000`"), "{report}");
    let points = plain.replace("4,5", "4.500");
    assert_as_inline(&Folder::new().with("j1.csv", points).load(&naming("j1.csv")), "semicolons and points");
    // A comma in a file with commas stays what it is: no decimal point.
    let commas = "wind,backstay,lead,vang\n6,\"4,5\",13,eased\n";
    let report = complaints(&Folder::new().with("j1.csv", commas).load(&naming("j1.csv")));
    assert!(report.contains("write it with a point: `4.5`"), "{report}");
}

#[test]
fn the_table_with_semicolons_in_the_readme_means_what_rows_in_the_book_would() {
    let readme = crate::reading::HANDBOOK;
    let (_, after) = readme.split_once("\n```csv semicolons\n").unwrap();
    let (table, _) = after.split_once("```").unwrap();
    assert_as_inline(&Folder::new().with("j1.csv", table).load(&naming("j1.csv")), table);
    for words in ["unpack to 16 MB", "hold 400,000 cells"] {
        assert!(readme.contains(words), "{words}");
    }
    assert_eq!((limits::MAX_UNPACKED_BYTES, limits::MAX_SHEET_CELLS), (16_000_000, 400_000));
}

#[test]
fn letters_of_windows_are_read_and_told_and_damaged_ones_are_refused() {
    // "½" is 0xBD in windows-1252 (Unicode's mapping table CP1252.TXT).
    let windows = b"wind,backstay,lead,vang\n6,0,13,eased\n10,2,12,snug\n14,4\xBD,14,hard\n";
    let loaded = Folder::new().with("j1.csv", windows).load(&naming("j1.csv"));
    assert_as_inline(&loaded, "windows-1252");
    let report = complaints(&loaded);
    assert!(
        report.contains("warning: ") && report.contains("windows-1252") && report.contains("j1.csv:4:5"),
        "{report}"
    );
    for (about, damaged) in [
        ("UTF-8 that was cut", &b"wind,lead\n# \xC2\xBD knot\n8,\xC2"[..]),
        ("a byte that is no letter", b"wind,lead\n# caf\xE9 \x81\n8,12\n"),
        ("an odd byte at the end of UTF-16", b"\xFF\xFEw\x00i\x00n\x00d\x00,"),
    ] {
        let report = complaints(&Folder::new().with("j1.csv", damaged).load(&naming("j1.csv")));
        assert!(report.contains("not UTF-8 text from here on"), "{about}: {report}");
    }
}

#[test]
fn a_unit_over_a_column_is_that_of_its_control_or_is_refused() {
    let table = |heading: &str| format!("wind,{heading},lead,vang\n6,20,13,eased\n10,40 bar,12,snug\n");
    for heading in ["Backstay [bar]", "backstay (bar)", "\"Backstay [BAR]\"", "Backstay"] {
        let loaded = Folder::new().with("j1.csv", table(heading)).load(&with_gauge("j1.csv"));
        assert_eq!(complaints(&loaded), "", "{heading}");
        assert_eq!(readings(&loaded.book.unwrap().settings[0])[1].1[0], Some(40.0));
    }
    for heading in ["Backstay [psi]", "Backstay [mm]", "Backstay (turns)", "Backstay [port]"] {
        let loaded = Folder::new().with("j1.csv", table(heading)).load(&with_gauge("j1.csv"));
        let report = complaints(&loaded);
        assert!(report.contains("`[bar]` over them") && report.contains("j1.csv:1:6"), "{heading}: {report}");
    }
    // Winds are converted, as in the book: 10 m/s are 19.438 kn (1852 m to the nautical mile).
    let loaded = Folder::new().with("j1.csv", "wind (m/s),lead\n4,13\n10 kn,12\n").load(&naming("j1.csv"));
    let winds: Vec<f64> = readings(&loaded.book.unwrap().settings[0]).iter().map(|row| row.0).collect();
    approx::assert_relative_eq!(winds[0], 4.0 * 3600.0 / 1852.0, max_relative = 1e-12);
    approx::assert_relative_eq!(winds[1], 10.0, max_relative = 1e-12);
}

#[test]
fn a_printed_name_that_two_controls_have_names_neither() {
    let book = naming("j1.csv")
        .replace("  vang: {scale", "  other: {name: Lead, scale")
        .replace("  lead:\n", "  lead:\n    name: Lead\n");
    let loaded =
        Folder::new().with("j1.csv", "wind,Lead\n6,13\n").load(&book.replace("lead:\n    name", "leads:\n    name"));
    assert!(complaints(&loaded).contains("there is no control `Lead`"), "{}", complaints(&loaded));
}

#[test]
fn the_days_and_times_of_a_sheet_are_those_of_the_notes() {
    let book = format!("{SOUND}sailed: {{file: 'sailed.xlsx#log', time_zone: Europe/London}}\n");
    let moment = Format::new().set_num_format("dd/mm/yyyy hh:mm");
    let time = Format::new().set_num_format("hh:mm");
    let bytes = sheets(|book| {
        let sheet = book.add_worksheet().set_name("log")?;
        fill(
            sheet,
            &[
                &["When", "Until", "Settings", "Wind [kn]", "Speed (kn)", "Backstay"],
                &["", "", "j1-upwind", "12", "6.4", "4½"],
            ],
        )?;
        // 2027-06-12 14:02 as a spreadsheet keeps it, a number with a long tail.
        sheet.write_datetime_with_format(1, 0, &ExcelDateTime::from_ymd(2027, 6, 12)?.and_hms(14, 2, 0)?, &moment)?;
        sheet.write_datetime_with_format(1, 1, &ExcelDateTime::from_hms(14, 12, 0)?, &time)?;
        fill_row(sheet, 2, &["2027-06-12 15:00", "15:10", "j1-upwind", "13", "6.5", "5"])?;
        Ok(())
    });
    let loaded = Folder::new().with("sailed.xlsx", bytes).load(&book);
    assert_eq!(complaints(&loaded), "");
    let notes = loaded.book.unwrap().sailed.clone().unwrap().notes;
    let at = |text: &str| Some(text.parse::<jiff::Timestamp>().unwrap());
    // British Summer Time is an hour ahead of UTC.
    assert_eq!((notes[0].when, notes[0].until), (at("2027-06-12T13:02:00Z"), at("2027-06-12T13:12:00Z")));
    assert_eq!((notes[1].when, notes[1].until), (at("2027-06-12T14:00:00Z"), at("2027-06-12T14:10:00Z")));
    assert_eq!((notes[0].line, notes[1].line), (2, 3));
}

fn fill_row(sheet: &mut Worksheet, row: u32, cells: &[&str]) -> Result<(), XlsxError> {
    for (column, cell) in (0..).zip(cells) {
        sheet.write_string(row, column, *cell)?;
    }
    Ok(())
}

#[test]
fn what_is_stowed_can_be_listed_in_a_sheet() {
    let book = "book: 1\nboat: {name: Chervil, length: 11 m}\ncontrols: {vang: {scale: {words: [eased, hard]}}}\nstowage:\n  displacement: 6400 kg\n  centre_of_gravity: [5 m, 0 m, 0.2 m]\n";
    let inline = "  items: [{what: anchor, mass: 16 kg, now: [1 m, 0 m, 1 m], plan: move, to: [5 m, 0 m, 0.1 m], stow: 'sole, aft'}]\n";
    let header: &[&str] = &[
        "What",
        "Mass [kg]",
        "Aft (m)",
        "Starboard (m)",
        "Up (m)",
        "Plan",
        "To aft (m)",
        "To starboard (m)",
        "To up (m)",
        "Stow",
    ];
    let row: &[&str] = &["anchor", "16", "1", "0", "1", "move", "5", "0", "0.1", "sole, aft"];
    let sheet = workbook(|sheet| fill(sheet, &[header, row]));
    let semicolons = format!("{}\n{}\n", header.join(";"), row.join(";").replace("0.1", "0,1"));
    let stowed = |loaded: Loaded| {
        let report = complaints(&loaded);
        let book = loaded.book.unwrap_or_else(|| panic!("{report}"));
        let stowage = book.rigging.stowage.clone().unwrap();
        let item = stowage.items[0].clone();
        (item.item, item.name, stowage.worked)
    };
    let expected = format!("{:?}", stowed(load(&format!("{book}{inline}"))));
    let folder = Folder::new().with("gear.xlsx", sheet).with("gear.csv", semicolons);
    for table in ["gear.xlsx", "gear.csv"] {
        let found = format!("{:?}", stowed(folder.load(&format!("{book}  table: {table}\n"))));
        assert_eq!(found, expected, "{table}");
    }
}

#[test]
fn merged_cells_are_read_once_and_told_where_they_leave_a_gap() {
    let bytes = workbook(|sheet| {
        fill(sheet, &ROWS)?;
        sheet.merge_range(2, 0, 3, 0, "10", &Format::new()).map(drop)
    });
    let report = complaints(&Folder::new().with("j1.xlsx", bytes).load(&naming("j1.xlsx")));
    assert!(report.contains("j1.xlsx#J1!A4"), "{report}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_workbook_with_a_piece_exchanged_can_be_read(
        at in any::<prop::sample::Index>(),
        cut in 0_usize..9,
        piece in "[ -~]{0,6}|</?[a-z]{1,9}/?>|(&#?[a-z0-9]{1,9};)|[A-Z]{1,9}[0-9]{1,12}",
        part in 0_usize..3,
    ) {
        let sheet = format!("<dimension ref=\"A1:B2\"/>{HEADER}<row r=\"2\"><c r=\"A2\" s=\"1\"><v>8</v></c><c r=\"B2\" t=\"s\"><v>0</v></c><c r=\"C2\"><f t=\"shared\" si=\"0\" ref=\"C2:C3\">1</f><v>1</v></c></row>");
        let styles = "<numFmts count=\"1\"><numFmt numFmtId=\"164\" formatCode=\"0.0&quot; kn&quot;\"/></numFmts><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"164\"/></cellXfs>";
        let strings = "<sst count=\"1\" uniqueCount=\"1\"><si><t>12</t></si></sst>";
        let mut parts = [sheet, styles.to_owned(), strings.to_owned()];
        let start = at.index(parts[part].len());
        let end = (start + cut).min(parts[part].len());
        parts[part].replace_range(start..end, &piece);
        let loaded = Folder::new().with("j1.xlsx", package(&parts[0], &parts[1], &parts[2])).load(&naming("j1.xlsx"));
        report::for_people(&loaded.problems, &loaded.sources, true);
        report::for_machines(&loaded.problems, &loaded.sources);
    }

    #[test]
    fn any_bytes_in_the_place_of_a_table_can_be_read(bytes in prop::collection::vec(any::<u8>(), 0..200), workbook in any::<bool>()) {
        let name = if workbook { "j1.xlsx" } else { "j1.csv" };
        let loaded = Folder::new().with(name, bytes).load(&naming(name));
        report::for_people(&loaded.problems, &loaded.sources, true);
    }
}
