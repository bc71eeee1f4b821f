//! Workbooks in the place of a table: their bytes as they are, and their parts zipped anew, so that what is made up gets past the
//! checksums of the zip. Knows the form of the package (ECMA-376), not who reads it.

use std::fmt::Write as _;
use std::io::{Cursor, Write as _};

use cockpit_cards::book;
use cockpit_cards::drawing::font::has_glyph;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use super::super::books::{self, Choices};
use super::looked_over;

const FILE: &str = "j1.xlsx";
const ABOARD: &str = "\
book: 1
boat: {name: Chervil}
controls:
  backstay: {scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  lead: {scale: {marks: 0..20, spacing: 25 mm}, strip: {grows: aft}}
  vang: {scale: {words: [eased, snug, hard]}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 5..16}
settings:
  - {id: j1-upwind, sails: [main, j1], point_of_sail: upwind, table: j1.xlsx}
cards: [{kind: strip, control: lead}]
";
/// What stands before the name of a part in the text of one.
pub const PART: &str = "== ";
const WORKBOOK: &str = "xl/workbook.xml";
const RELATIONS: &str = "xl/_rels/workbook.xml.rels";
const SHEET: &str = "xl/worksheets/sheet1.xml";
const STYLES: &str = "xl/styles.xml";
const STRINGS: &str = "xl/sharedStrings.xml";
const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006/relationships";

/// The parts that a workbook needs, where a text names none of its own.
fn usual(name: &str) -> String {
    let relation = |id: &str, kind: &str, target: &str| {
        format!("<Relationship Id=\"{id}\" Type=\"{OFFICE}/{kind}\" Target=\"{target}\"/>")
    };
    match name {
        WORKBOOK => format!(
            "<workbook xmlns=\"{MAIN}\" xmlns:r=\"{OFFICE}\"><sheets><sheet name=\"J1\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>"
        ),
        RELATIONS => format!(
            "<Relationships xmlns=\"{PACKAGE}\">{}{}{}</Relationships>",
            relation("r1", "worksheet", "worksheets/sheet1.xml"),
            relation("r2", "styles", "styles.xml"),
            relation("r3", "sharedStrings", "sharedStrings.xml")
        ),
        SHEET => format!("<worksheet xmlns=\"{MAIN}\"><sheetData/></worksheet>"),
        STYLES => format!("<styleSheet xmlns=\"{MAIN}\"/>"),
        STRINGS => "<sst/>".to_owned(),
        _ => {
            format!("<Relationships xmlns=\"{PACKAGE}\">{}</Relationships>", relation("r1", "officeDocument", WORKBOOK))
        }
    }
}

/// A workbook of parts in one text, each under a line with its name; those it needs and has not are the usual ones. `None` where two
/// have one name.
pub fn zipped(text: &str) -> Option<Vec<u8>> {
    let mut parts: Vec<(&str, String)> = Vec::new();
    for line in text.split_inclusive('\n') {
        match (line.strip_prefix(PART), parts.last_mut()) {
            (Some(name), _) => parts.push((name.trim_end(), String::new())),
            (None, Some((_, content))) => content.push_str(line),
            (None, None) => {}
        }
    }
    for name in ["_rels/.rels", WORKBOOK, RELATIONS, SHEET, STYLES, STRINGS] {
        if !parts.iter().any(|(known, _)| *known == name) {
            parts.push((name, usual(name)));
        }
    }
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for (name, content) in parts {
        archive.start_file(name, stored).ok()?;
        archive.write_all(content.as_bytes()).ok()?;
    }
    archive.finish().ok().map(Cursor::into_inner)
}

/// Parts with a sheet of settings, its cells of every sort.
pub fn made_up_parts(c: &mut Choices<'_>) -> String {
    const HEADS: [&str; 4] = ["wind", "backstay", "lead", "vang"];
    const FORMATS: [&str; 8] = ["0", "0.00", "# ?/?", "0%", "yyyy-mm-dd", "0.0&quot; kn&quot;", "[h]:mm", "General"];
    let mut sheet = String::new();
    let _ = write!(sheet, "<dimension ref=\"{}\"/><sheetData><row r=\"1\">", c.one(&["A1:D9", "A1", "A1:XFD1048576"]));
    for (column, head) in ('A'..).zip(HEADS) {
        let _ = write!(sheet, "<c r=\"{column}1\" t=\"inlineStr\"><is><t>{head}</t></is></c>");
    }
    sheet.push_str("</row>\n");
    let mut wind = 4;
    for row in 2..3 + c.below(6) {
        wind += c.between(1, 4);
        let readings = [wind, c.between(0, 8), c.between(0, 20)];
        let _ = write!(sheet, "<row r=\"{row}\">");
        for (column, reading) in ('A'..).zip(readings) {
            sheet.push_str(&cell(c, &format!("{column}{row}"), reading));
        }
        let _ = writeln!(
            sheet,
            "<c r=\"D{row}\" t=\"s\"><v>{}</v></c></row>",
            if c.chance(4) { c.one(&[3, 4_000_000_000_u64]) } else { c.one(&[0, 1, 2]) }
        );
    }
    sheet.push_str("</sheetData>");
    let formats: String = (164..)
        .zip(FORMATS)
        .fold(String::new(), |text, (id, code)| text + &format!("<numFmt numFmtId=\"{id}\" formatCode=\"{code}\"/>"));
    let uses: String = (0..9).fold(String::new(), |text, nth| {
        text + &format!("<xf numFmtId=\"{}\"/>", if nth == 0 { 0 } else { 163 + nth })
    });
    format!(
        "{PART}{SHEET}\n<worksheet xmlns=\"{MAIN}\">{sheet}</worksheet>\n{PART}{STYLES}\n<styleSheet xmlns=\"{MAIN}\"><numFmts>{formats}</numFmts>\n\
         <cellXfs>{uses}</cellXfs></styleSheet>\n{PART}{STRINGS}\n<sst uniqueCount=\"3\"><si><t>eased</t></si><si><t>snug</t></si>\n\
         <si><r><t>ha</t></r><r><t>rd</t></r></si></sst>\n"
    )
}

/// A cell with a number in it, in one of the ways in which a number can stand there.
fn cell(c: &mut Choices<'_>, place: &str, number: i64) -> String {
    match c.below(40) {
        0..=34 => format!("<c r=\"{place}\"><v>{number}</v></c>"),
        35 => format!("<c r=\"{place}\" s=\"{}\"><v>{number}</v></c>", c.below(12)),
        36 => format!("<c r=\"{place}\"><f>{number}+0</f><v>{number}</v></c>"),
        37 => format!("<c r=\"{place}\" t=\"str\"><f>T({number})</f><v>{number}</v></c>"),
        38 => format!("<c r=\"{place}\" t=\"{}\"><v>{number}</v></c>", c.one(&["b", "e", "d", "n", "s", "x"])),
        _ => format!("<c r=\"{place}\"><v>{}</v></c>", c.one(books::NUMBERS)),
    }
}

/// Reads a book whose table is a workbook of these bytes, as every command does.
pub fn workbook(bytes: &[u8]) -> Result<bool, String> {
    let file = |name: &str| (name == FILE).then(|| bytes.to_vec());
    looked_over(book::from_memory("boat.yaml", ABOARD, &file, has_glyph))
}

/// As [`workbook`], of parts that are zipped.
pub fn sheet(text: &str) -> Result<bool, String> {
    zipped(text).map_or(Ok(false), |bytes| workbook(&bytes))
}

/// Bytes as a text that can be spoilt like any other: each is the letter of its number.
pub fn as_text(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| char::from(*byte)).collect()
}

/// The bytes of such a text; what no byte is a letter of is in UTF-8.
pub fn as_bytes(text: &str) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(text.len());
    for letter in text.chars() {
        match u8::try_from(letter) {
            Ok(byte) => bytes.push(byte),
            Err(_) => bytes.extend(letter.to_string().bytes()),
        }
    }
    bytes
}
