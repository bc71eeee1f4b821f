//! What is written down while sailing: the notes of a small boat, her table by wind and angle, and the logs of her instruments, made up
//! and read as the commands read them. Knows her book, and nothing of how the readers work.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use cockpit_cards::book::{self, Book, Loaded, NoteColumn, NoteField, notes};
use cockpit_cards::cards::parts::matrix::columns_at;
use cockpit_cards::comparing::{self, told};
use cockpit_cards::door::{self, Passed};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::logs::{self, Read};
use cockpit_cards::season::steady::Steadiness;
use cockpit_cards::season::{self, Block, Options};
use cockpit_cards::tuning::{Angle, Sided, Wind};
use jiff::tz::TimeZone;

use super::super::books::Choices;
use super::super::sailed_log::{STEADY, Shown, sentences, table};
use super::told_of;

const NOTES_FILE: &str = "sailed.csv";
const ANGLED_FILE: &str = "reach.csv";
/// A boat with notes, a control with two sides, and settings by wind alone and by wind and angle.
const ABOARD: &str = "\
book: 1
boat: {name: Chervil}
controls:
  backstay: {higher_is: tighter, scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  lead: {higher_is: aft, scale: {marks: 0..20, spacing: 25 mm}, strip: {sides: both, grows: aft, reader_stands: inboard}}
  vang: {scale: {words: [eased, snug, hard]}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 5..22, angle: 36..120}
settings:
  - {id: j1-upwind, sails: [main, j1], point_of_sail: upwind, controls: [backstay, lead, vang], at: {6: [0, 13, eased], 10: [2, 12, snug], 14: [4½, 14, hard]}}
  - {id: j1-reach, sails: [main, j1], table: reach.csv, angle_bands: [50, 70, 90, 110]}
cards: [{kind: strip, control: lead}]
sailed: {file: sailed.csv, time_zone: Europe/Copenhagen}
";
const ANGLED: &str =
    "wind, angle, backstay, lead\n10,60,4,13\n10,80,3,12\n10,100,2½,11\n16,60,5,14\n16,90,3½,12\n20,100,~,none\n";
const HEADINGS: &str =
    "when,until,settings,wind,angle,sea,below,helm,trial,backstay,lead port,lead starboard,vang,speed,verdict,who,note";
const NOTES: &str = "\
2027-05-08 15:10,15:50,j1-upwind,10.5,42,flat,,Bo,,2,13,13,snug,6.5,fast,Ada,
2027-05-15 21:05,21:40,j1-upwind,10,43,chop,2,Finn,,1..2,12,12,,6.2,ok,Eve,\"flat water, then not\"
2027-06-12 14:00,14:10,j1-upwind,12,42,flat,,Cleo,tr1,2,13,13,snug,,,Ada,
2027-06-12 14:10,14:20,j1-upwind,12,42,flat,,Cleo,tr1,3,13,13,snug,,,Ada,
2027-06-12 14:20,14:30,j1-upwind,12,42,flat,,Cleo,tr1,3,13,13,snug,,,Ada,
2027-06-12 14:30,14:40,j1-upwind,12,42,flat,,Cleo,tr1,2,13,13,snug,,,Ada,
,,j1-reach,11,80,,,,,3,12,12,,7.2,slow,,none too wet
";
/// Winds and angles to ask about: from less than any book has to more.
const WINDS_KN: [f64; 4] = [0.1, 9.0, 13.7, 60.0];
const ANGLES_DEG: [f64; 4] = [0.0, 55.0, 84.2, 180.0];
/// Seconds of a log that is made up, and of a block in it: a log has a few blocks.
const LOG_SECONDS: i64 = 90;
const BLOCK_SECONDS: u32 = 20;
const CLEAR_SECONDS: u32 = 10;
const LOG_DAY: jiff::civil::Date = jiff::civil::date(2027, 6, 12);
/// The knots and degrees that a steady block can have, whatever a log says.
const MOST_SPEED_KN: f64 = 50.0;
const MOST_HEEL_DEG: f64 = 90.0;

/// Notes with a made-up line here and there.
pub fn made_up_notes(c: &mut Choices<'_>) -> String {
    const WHENS: [&str; 8] = [
        "",
        "2027-06-12 14:02",
        "2027-10-31 02:30",
        "2027-03-28 02:30",
        "2027-02-30 10:00",
        "14:02",
        "9999-12-31 23:59",
        "2027-06-12T14:02:11Z",
    ];
    const UNTILS: [&str; 5] = ["", "14:12", "2027-06-13 01:00", "00:00", "2027-10-31 02:30+01:00"];
    const SETTINGS: [&str; 5] = ["j1-upwind", "j1-reach", "main+j1", "j2-upwind", ""];
    const TRIALS: [&str; 4] = ["", "tr1", "tr2", "½"];
    const READINGS: [&str; 8] = ["", "2", "4½", "3..4", "4..3", "none", "99", "-"];
    const VERDICTS: [&str; 5] = ["", "fast", "ok", "slow", "quick"];
    let mut text = format!("{HEADINGS}\n{NOTES}");
    for _ in 0..c.below(8) {
        // Mostly the plainest of each, so that most lines can be read.
        let mut one = |of: &[&'static str]| if c.chance(15) { c.one(of) } else { of[0] };
        let (when, until, settings, trial) = (one(&WHENS), one(&UNTILS), one(&SETTINGS), one(&TRIALS));
        let (backstay, port, starboard) = (one(&READINGS), one(&READINGS), one(&READINGS));
        let (verdict, wind) = (one(&VERDICTS), one(&["9", "12.5", "6 m/s", "-3", "1e9", "9,5", "NaN"]));
        let _ = writeln!(
            text,
            "{when},{until},{settings},{wind},42,,,Bo,{trial},{backstay},{port},{starboard},,,{verdict},,"
        );
    }
    text
}

/// A table by wind and angle that is sound.
pub fn made_up_angles(c: &mut Choices<'_>) -> String {
    if c.below(2) == 0 {
        return ANGLED.to_owned();
    }
    let mut text = "wind,angle,backstay,lead\n".to_owned();
    let mut wind = 4;
    for _ in 0..1 + c.below(5) {
        wind += c.between(1, 4);
        let mut angle = c.between(36, 60);
        for _ in 0..1 + c.below(4) {
            let _ = writeln!(text, "{wind},{angle},{},{}", c.between(0, 8), c.between(0, 20));
            angle += c.between(2, 25);
        }
    }
    text
}

/// A log in either form, with a tack or a gap in it.
pub fn made_up_log(c: &mut Choices<'_>) -> String {
    let tacks_at = c.between(0, LOG_SECONDS * 2);
    let gap = c.between(0, LOG_SECONDS * 2);
    let step = c.one(&[1, 1, 1, 2, 5]);
    let seconds = (0..LOG_SECONDS).filter(|second| second % step == 0 && !(gap..gap + 7).contains(second));
    let shown = |second: i64| if second < tacks_at { STEADY } else { Shown { twa: -42.0, heading: 284.0, ..STEADY } };
    if c.below(2) == 0 { table(seconds, shown) } else { sentences(seconds, shown) }
}

/// The boat's book with these notes and this table.
fn aboard(notes: &str, angled: &str) -> Loaded {
    let file = |name: &str| match name {
        NOTES_FILE => Some(notes.to_owned()),
        ANGLED_FILE => Some(angled.to_owned()),
        _ => None,
    };
    book::from_text("boat.yaml", ABOARD, &file, has_glyph)
}

/// Reads notes as every command does, compares them as `sailed compare` does, and adds a line as `sailed add` does.
pub fn notes(text: &str) -> Result<bool, String> {
    let passed = door::through(aboard(text, ANGLED), |book, _| Some(book.clone()));
    told_of(&passed)?;
    let Passed { made: Some(book), .. } = passed else { return Ok(false) };
    compared(&book, &[])?;
    added(&book, text)?;
    Ok(true)
}

/// One more line: what stood there stands there still, and is read as it was.
fn added(book: &Book, text: &str) -> Result<(), String> {
    let values = [(NoteField::Settings, "j1-upwind"), (NoteField::Wind, "9"), (NoteField::Verdict, "ok")];
    let values: Vec<_> =
        values.into_iter().map(|(field, value)| (NoteColumn::Always(field), value.to_owned())).collect();
    let next = match notes::with_line(text, &values, book) {
        Ok(next) => next,
        Err(wrong) => return super::in_words(&wrong.what, &wrong.instead).map(drop),
    };
    if !next.starts_with(text) {
        return Err("a line was added, and what stood before it is another".to_owned());
    }
    let again = door::through(aboard(&next, ANGLED), |book, _| Some(book.clone()));
    told_of(&again)?;
    let count = |book: &Book| book.sailed.as_ref().map_or(0, |sailed| sailed.notes.len());
    match &again.made {
        Some(now) if count(now) == count(book) + 1 => {}
        Some(now) => return Err(format!("{} notes, and with one more {}", count(book), count(now))),
        // `sailed add` reads the file again before it keeps it, and says what is wrong.
        None => return Ok(()),
    }
    let (was, is) = (book.sailed.as_ref(), again.made.as_ref().and_then(|book| book.sailed.as_ref()));
    let same = was.zip(is).is_some_and(|(was, is)| is.notes.starts_with(&was.notes));
    if same { Ok(()) } else { Err("a note is read otherwise once there is one more".to_owned()) }
}

/// Compares what was sailed; whatever is said of it is said in words.
fn compared(book: &Book, blocks: &[Block]) -> Result<(), String> {
    let said = comparing::with_input(book, (blocks, BTreeMap::new()), Options::default(), |input| {
        let comparison = season::compare(input);
        let mut words: Vec<String> = told::left_out(&comparison);
        words.extend(told::trials(&comparison));
        words.extend(told::held_against(book, &comparison));
        for said in comparison.cells.iter().filter_map(|cell| told::said(book, input, &comparison, cell)) {
            words.extend([said.settings, said.of, said.answer]);
            words.extend(said.why);
            words.extend(said.ask);
        }
        words
    });
    match said.iter().flatten().find(|words| words.trim().is_empty() || words.contains("NaN") || words.contains("inf "))
    {
        None => Ok(()),
        Some(odd) => Err(format!("said of what was sailed: {odd:?}")),
    }
}

/// Reads a table by wind and angle, and asks for each control at some winds and angles.
pub fn angled(text: &str) -> Result<bool, String> {
    let passed = door::through(aboard(NOTES_HEADED, text), |book, _| {
        let settings = book.settings("j1-reach")?;
        for angle in ANGLES_DEG {
            let columns = columns_at(book, settings, Some(Angle::degrees(angle)));
            for (_, column) in columns.iter().flatten().flat_map(Sided::each) {
                let told = WINDS_KN.map(|wind| column.at(Wind::knots(wind)).set());
                if told.iter().flatten().any(|setting| !setting.reading.is_finite()) {
                    return Some(Err(format!("{told:?} at {angle}°")));
                }
            }
        }
        Some(Ok(()))
    });
    told_of(&passed)?;
    passed.made.map_or(Ok(false), |asked| asked.map(|()| true))
}

/// Notes that say nothing yet.
const NOTES_HEADED: &str = "when,settings,wind,backstay,verdict\n";

/// Reads a log as `sailed compare` does, and compares the notes by it. Whether it had a steady block in it.
pub fn log(bytes: &[u8]) -> Result<bool, String> {
    let options = logs::Options {
        zone: TimeZone::get("Europe/Copenhagen").ok(),
        day: Some(LOG_DAY),
        steadiness: Steadiness { block_seconds: BLOCK_SECONDS, clear_seconds: CLEAR_SECONDS, ..Steadiness::default() },
        ..logs::Options::default()
    };
    let read = logs::read("a.log", bytes, &options);
    if let Some(fault) = faults(&read) {
        return Err(fault);
    }
    let passed =
        door::through(aboard(&format!("{HEADINGS}\n{NOTES}"), ANGLED), |book, _| Some(compared(book, &read.blocks)));
    passed.made.ok_or("the book aboard is no book")??;
    Ok(!read.blocks.is_empty())
}

/// What cannot be of any log that was read.
pub fn faults(read: &Read) -> Option<String> {
    if !read.blocks.is_sorted_by_key(|block| block.start) {
        return Some("blocks out of order".to_owned());
    }
    let is_possible = |block: &&Block| {
        block.wind.is_finite()
            && block.wind.to_knots() >= 0.0
            && (0.0..=180.0).contains(&block.angle.to_degrees())
            && (0.0..=MOST_SPEED_KN).contains(&block.speed.to_knots())
            && block.heel.is_none_or(|heel| (0.0..=MOST_HEEL_DEG).contains(&heel.to_degrees()))
            && block.heading_deg.is_none_or(|heading| (0.0..=360.0).contains(&heading))
    };
    if let Some(block) = read.blocks.iter().find(|block| !is_possible(block)) {
        return Some(format!("{block:?}"));
    }
    let is_told = |words: &str| !words.trim().is_empty() && !words.chars().any(char::is_control);
    let odd = read.told.iter().find(|told| told.count == 0 || !is_told(&told.to_string()));
    odd.map(|told| format!("{:?}", told.to_string()))
}
