//! Logs that are tables: what their heads and cells may say, and what is told of those that are cut, jump or lack something.

use crate::common::sailed_log::{HEAD, STEADY, Shown, at, row, table};
use approx::assert_abs_diff_eq;
use cockpit_cards::limits::{MAX_BLOCK_RECORDS, MAX_LOG_LINE_BYTES};
use cockpit_cards::logs::{self, Level, Options, Read, What};
use cockpit_cards::season::Block;
use cockpit_cards::season::steady::{Steadiness, Why};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;

fn read(log: &str) -> Read {
    read_with(log, &Options::default())
}

fn read_with(log: &str, options: &Options) -> Read {
    logs::read("night.csv", log.as_bytes(), options)
}

fn london() -> Options {
    Options { zone: TimeZone::get("Europe/London").ok(), ..Options::default() }
}

/// What was told, with the line and how often.
fn told(read: &Read) -> Vec<(What, Option<u64>, u64)> {
    read.told.iter().map(|told| (told.what.clone(), told.line, told.count)).collect()
}

/// A minute under a head, of one line: `{time}` stands for the time in UTC, `{second}` for the second.
fn minute(head: &str, line: &str) -> String {
    let lines = (0..60).map(|second| {
        line.replace("{time}", &at(second).to_string()).replace("{second}", &format!("{second:02}")) + "\n"
    });
    std::iter::once(format!("{head}\n")).chain(lines).collect()
}

#[track_caller]
fn only_block(read: &Read) -> Block {
    let [block] = read.blocks[..] else { panic!("{read:?}") };
    block
}

#[track_caller]
fn assert_is(block: Block, wind_kn: f64, angle_deg: f64, speed_kn: f64) {
    assert_eq!(block.start, at(0));
    assert_abs_diff_eq!(block.wind.to_knots(), wind_kn, epsilon = 1e-9);
    assert_abs_diff_eq!(block.angle.to_degrees(), angle_deg, epsilon = 1e-9);
    assert_abs_diff_eq!(block.speed.to_knots(), speed_kn, epsilon = 1e-9);
}

#[test]
fn heads_may_name_quantities_and_units_in_many_ways() {
    for head in [
        "time, tws kn, twa deg, stw kn",
        "Time,TWS (kn),TWA (°),STW [kn]",
        "time_utc,tws_kts,twa_deg,bsp_kn",
        "Timestamp,True wind speed [knots],True wind angle [deg],Speed through water [kn]",
        "when, wind speed true kn, wind angle true, boat speed kt",
        "UTC,TWS kn,TWA,Boatspeed/kn",
        "\u{FEFF}time,\"tws kn\",\"twa deg\",\"stw kn\"",
    ] {
        let read = read(&minute(head, "{time}, 12.5, -42, 6.75"));
        assert_is(only_block(&read), 12.5, 42.0, 6.75);
        assert_eq!(told(&read), [], "{head}");
        assert!(!read.blocks[0].is_starboard_tack);
    }
}

#[test]
fn units_are_converted_exactly() {
    // 1 nmi = 1852 m, 1 mile = 1609.344 m (NIST SP 811).
    let read =
        read(&minute("time; tws m/s; twa rad; stw km/h; heel rad", "{time}; 6.173333333333333; 0,5; 18.52; 0.25"));
    assert_is(only_block(&read), 12.0, 0.5f64.to_degrees(), 10.0);
    assert_abs_diff_eq!(read.blocks[0].heel.unwrap_or_default().to_degrees(), 0.25f64.to_degrees(), epsilon = 1e-9);
    let read =
        self::read(&minute("time, tws mph, twa, stw mph", "{time}, 11.5077944802354243, 90, 5.75389724011771214"));
    assert_is(only_block(&read), 10.0, 90.0, 5.0);
}

#[test]
fn a_spreadsheets_idea_of_a_table_is_read() {
    let semicolons = minute("\u{FEFF}sep=;\ntime;tws kn;twa deg;stw kn;;", "\"{time}\";\"12,5\";42;6,75;;");
    let read = read(&semicolons.replace('\n', "\r\n"));
    assert_is(only_block(&read), 12.5, 42.0, 6.75);
    assert_eq!(told(&read), []);
    let tabs = self::read(&minute("time\ttws kn\ttwa deg\tstw kn", "{time}\t12,5\t42\t6,75"));
    assert_is(only_block(&tabs), 12.5, 42.0, 6.75);
}

#[test]
fn bytes_that_are_no_utf_8_are_read_as_western_letters() {
    // ISO 8859-1: the sign of degrees is the byte B0.
    let log = minute("time,tws kn,twa °,stw kn", "{time},12.5,42,6.75");
    let bytes: Vec<u8> = log.chars().map(|character| character as u8).collect();
    let read = logs::read("night.csv", &bytes[..], &Options::default());
    assert_is(only_block(&read), 12.5, 42.0, 6.75);
    assert_eq!(told(&read), []);
}

#[test]
fn units_may_stand_in_a_line_of_their_own_under_the_names() {
    let read = read(&minute("time,tws,twa,stw\niso,m/s,deg,kn", "{time},10,42,6.75"));
    assert_abs_diff_eq!(only_block(&read).wind.to_knots(), 10.0 * 3600.0 / 1852.0, epsilon = 1e-9);
    assert_eq!(told(&read), []);
}

#[test]
fn speeds_without_a_unit_are_taken_as_knots_and_told() {
    let read = read(&minute("time,tws,twa,stw kn", "{time},12.5,42,6.75"));
    assert_is(only_block(&read), 12.5, 42.0, 6.75);
    assert_eq!(told(&read), [(What::NoUnit("tws".to_owned()), Some(2), 1)]);
}

#[test]
fn a_column_in_an_unknown_unit_is_left_out_and_told() {
    let read = read(&minute("time,tws kn,twa deg,stw kn,heel mils", "{time},12.5,42,6.75,300"));
    assert_eq!(only_block(&read).heel, None);
    assert_eq!(told(&read), [(What::UnknownUnit("heel mils".to_owned()), Some(2), 1)]);
}

#[test]
fn columns_that_are_not_used_are_told_once_by_name() {
    let read = read(&minute("time,sog,tws kn,depth m,twa deg,stw kn", "{time},6,12.5,10,42,6.75"));
    assert_is(only_block(&read), 12.5, 42.0, 6.75);
    let unused = vec!["sog".to_owned(), "depth m".to_owned()];
    assert_eq!(told(&read), [(What::Unused(unused), Some(2), 1)]);
    assert_eq!(read.told[0].level(), Level::Note);
}

#[test]
fn the_head_may_follow_lines_about_the_instrument() {
    let log =
        format!("Logger 3\nboat: Pepperwort, $5\n\n{}", minute("time,tws kn,twa deg,stw kn", "{time},12.5,42,6.75"));
    assert_is(only_block(&read(&log)), 12.5, 42.0, 6.75);
}

#[test]
fn an_angle_may_be_written_all_the_way_round() {
    let read = read(&minute("time,tws kn,twa deg,stw kn", "{time},12.5,318,6.75"));
    assert_is(only_block(&read), 12.5, 42.0, 6.75);
    assert!(!read.blocks[0].is_starboard_tack);
}

#[test]
fn times_may_be_written_in_many_ways() {
    let seconds = at(0).as_second();
    let cases = [
        ("time", "2027-06-12T12:00:{second}Z".to_owned()),
        ("time", "2027-06-12 14:00:{second}+02:00".to_owned()),
        ("time", "2027-06-12T14:00:{second}.000+0200[Europe/Paris]".to_owned()),
        ("time", "2027-06-12 13:00:{second}".to_owned()),
        ("time utc", "2027-06-12 12:00:{second}".to_owned()),
        ("date", "12.06.2027 13:00:{second}".to_owned()),
        ("date,time", "2027-06-12,13:00:{second}".to_owned()),
        ("day,time utc", "2027/06/12,12:00:{second}".to_owned()),
        ("time s", format!("{}{{second}}", seconds / 100)),
        ("time ms", format!("{}{{second}}000", seconds / 100)),
        ("unix time", format!("{}{{second}}.0", seconds / 100)),
    ];
    assert_eq!(seconds % 100, 0, "the seconds are put behind the hundreds");
    for (head, time) in cases {
        let log = minute(&format!("{head},tws kn,twa deg,stw kn"), &format!("{time},12.5,42,6.75"));
        let read = read_with(&log, &london());
        assert_eq!(read.told, [], "{head}: {time}");
        assert_is(only_block(&read), 12.5, 42.0, 6.75);
    }
}

#[test]
fn times_without_a_zone_need_one() {
    let log = minute("time,tws kn,twa deg,stw kn", "2027-06-12 14:00:{second},12.5,42,6.75");
    let read = read(&log);
    assert_eq!((told(&read), read.blocks.len()), (vec![(What::NoZone, None, 1)], 0));
    assert_eq!(read.told[0].level(), Level::Error);
}

#[test]
fn a_day_that_can_be_read_in_two_ways_is_not_guessed() {
    let read = read_with(&minute("time,tws kn,twa deg,stw kn", "06/12/2027 14:00:{second},12.5,42,6.75"), &london());
    assert_eq!((told(&read), read.blocks.len()), (vec![(What::WhichDay, Some(2), 60)], 0));
}

#[test]
fn the_clock_of_a_log_can_be_set_right() {
    let slow = Options { clock_offset: SignedDuration::from_secs(7), ..Options::default() };
    let log = table(-7..53, |_| STEADY);
    assert_eq!(only_block(&read_with(&log, &slow)).start, at(0));
}

#[test]
fn over_midnight_nothing_is_lost() {
    let midnight: Timestamp = "2027-06-12T23:00:00Z".parse().expect("midnight in London");
    let lines = |format: &str| -> String {
        let line = |second| {
            let time = jiff::tz::Offset::from_hours(1)
                .expect("summer time")
                .to_datetime(midnight + SignedDuration::from_secs(second));
            format!("{},12.5,42,6.75\n", time.strftime(format))
        };
        (-600..600).map(line).collect()
    };
    let with_day = format!("time,tws kn,twa deg,stw kn\n{}", lines("%Y-%m-%d %H:%M:%S"));
    let without_day = format!("time,tws kn,twa deg,stw kn\n{}", lines("%H:%M:%S"));
    let day = Options { day: Some(jiff::civil::date(2027, 6, 12)), ..london() };
    for (log, options) in [(with_day, &london()), (without_day.clone(), &day)] {
        let read = read_with(&log, options);
        assert_eq!((read.blocks.len(), told(&read)), (20, vec![]));
        assert_eq!(read.blocks[10].start, midnight);
    }
    assert_eq!(told(&read_with(&without_day, &london())), [(What::NoDay, None, 1)]);
}

#[test]
fn the_night_when_clocks_go_back_has_both_its_hours() {
    // In London clocks go back at 01:00 UTC on 31 October 2027, the last Sunday of the month.
    let change: Timestamp = "2027-10-31T01:00:00Z".parse().expect("a time");
    let zone = TimeZone::get("Europe/London").expect("a zone");
    let line = |second| {
        let time = zone.to_datetime(change + SignedDuration::from_secs(second));
        format!("{},12.5,42,6.75\n", time.strftime("%Y-%m-%d %H:%M:%S"))
    };
    let log: String = (-3600..3600).map(line).collect();
    assert_eq!(log.matches(" 01:30:00").count(), 2);
    let read = read_with(&format!("time,tws kn,twa deg,stw kn\n{log}"), &london());
    assert_eq!((read.blocks.len(), told(&read)), (120, vec![]));
}

#[test]
fn a_part_that_is_there_twice_counts_once() {
    let first = table(0..600, |_| STEADY);
    let again: String = (300..600).map(|second| row(second, Shown { stw: 1.0, ..STEADY })).collect();
    let rest: String = (600..900).map(|second| row(second, STEADY)).collect();
    let read = read(&format!("{first}{again}{rest}"));
    assert_eq!(told(&read), [(What::StepBack, Some(602), 300)]);
    assert_eq!(read.blocks, self::read(&table(0..900, |_| STEADY)).blocks);
}

#[test]
fn the_same_time_twice_counts_once() {
    let log = table((0..120).flat_map(|second| [second, second]), |_| STEADY);
    let read = read(&log);
    assert_eq!((read.blocks.len(), told(&read)), (2, vec![(What::Duplicate, Some(3), 120)]));
}

#[test]
fn lines_of_one_time_that_complete_each_other_are_one_record() {
    let line = |second| format!("{},12.5,42,\n{},,,6.75\n", at(second), at(second));
    let log: String = (0..60).map(line).collect();
    let read = read(&format!("time,tws kn,twa deg,stw kn\n{log}"));
    assert_is(only_block(&read), 12.5, 42.0, 6.75);
    assert_eq!(told(&read), []);
}

#[test]
fn one_record_with_a_wrong_time_costs_no_other() {
    for wrong in [1_000_000, 1000, -1000, -1_000_000] {
        let seconds = (0..300).chain([300 + wrong]).chain(301..1800);
        let read = read(&table(seconds, |_| STEADY));
        assert!(read.blocks.len() >= 30, "{wrong}: {} blocks", read.blocks.len());
        let is_known = |what: &What| matches!(what, What::OutOfOrder | What::StepBack | What::Gaps(_));
        assert!(!read.told.is_empty() && read.told.iter().all(|told| is_known(&told.what)), "{:?}", read.told);
    }
}

#[test]
fn logs_in_the_wrong_order_lose_nothing() {
    let seconds = (3600..5400).chain(0..1800);
    let read = read(&table(seconds, |_| STEADY));
    assert_eq!(read.blocks.len(), 60);
    assert!(read.blocks.is_sorted_by_key(|block| block.start));
    assert_eq!(told(&read), [(What::OutOfOrder, Some(1802), 1), (What::Gaps(1800), None, 1)]);
}

#[test]
fn a_gap_is_told_and_costs_nothing_else() {
    let read = read(&table((0..600).chain(1200..1800), |_| STEADY));
    assert_eq!((read.blocks.len(), told(&read)), (20, vec![(What::Gaps(600), None, 1)]));
}

#[test]
fn a_log_that_lacks_a_column_says_which() {
    let no_speed = read(&minute("time,tws kn,twa deg", "{time},12.5,42"));
    assert_eq!(told(&no_speed), [(What::NoSpeed, None, 1)]);
    let half_a_wind = read(&minute("time,tws kn,awa deg,stw kn", "{time},12.5,42,6.75"));
    assert_eq!(told(&half_a_wind), [(What::NoWind, None, 1)]);
    assert_eq!((half_a_wind.blocks.len(), half_a_wind.dropped_for(Why::FewRecords)), (0, 1));
}

#[test]
fn cells_that_hold_no_value_cost_only_themselves() {
    let mut log = table(0..600, |_| STEADY);
    for (good, bad) in [
        (5, "12.000, 42.000, 6.5.1, 200.00"),
        (65, "12.000, 42.000, six, 200.00"),
        (70, "655.35, 42, 6.5, -"),
        (75, ""),
    ] {
        log = log.replace(row(good, STEADY).trim_end(), &format!("{}, {bad}", at(good)));
    }
    let read = read(&log);
    assert_eq!(read.blocks.len(), 10);
    for block in &read.blocks {
        assert_abs_diff_eq!(block.wind.to_knots(), STEADY.tws, epsilon = 1e-9);
        assert_abs_diff_eq!(block.speed.to_knots(), STEADY.stw, epsilon = 1e-9);
    }
    let expected =
        [(What::NoNumber("stw kn".to_owned()), Some(7), 2), (What::OutOfRange("tws kn".to_owned()), Some(72), 1)];
    assert_eq!(told(&read), expected);
}

#[test]
fn a_line_whose_time_is_spoilt_costs_only_itself() {
    let log = table(0..600, |_| STEADY).replace(&at(90).to_string(), "2027-13-12T12:00:00Z");
    let read = read(&log);
    assert_eq!((read.blocks.len(), told(&read)), (10, vec![(What::UnreadableTime, Some(92), 1)]));
}

#[test]
fn a_head_that_is_repeated_and_lines_for_people_are_passed_over() {
    let second: String = (60..120).map(|second| row(second, STEADY)).collect();
    let read = read(&format!("# of a night\n{}{HEAD}# and on\n\n{second}", table(0..60, |_| STEADY)));
    assert_eq!((read.blocks.len(), told(&read)), (2, vec![]));
}

#[test]
fn what_is_no_log_is_told_with_its_remedy() {
    assert_eq!(told(&read("")), [(What::Empty, None, 1)]);
    assert_eq!(told(&read("\n\n")), [(What::Empty, None, 1)]);
    assert_eq!(told(&read("a shopping list\nbread\n")), [(What::NoLog, None, 1)]);
    assert_eq!(told(&read(&"bread\n".repeat(1000))), [(What::NoLog, None, 1)]);
    let told = read("bread\n").told[0].to_string();
    assert!(told.starts_with("night.csv: this is no log"), "{told}");
}

#[test]
fn a_disk_that_fails_midway_costs_what_was_not_read() {
    struct Failing<'a>(&'a [u8]);
    impl std::io::Read for Failing<'_> {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            match std::io::Read::read(&mut self.0, into)? {
                0 => Err(std::io::Error::other("the card is gone")),
                count => Ok(count),
            }
        }
    }
    let log = table(0..120, |_| STEADY);
    let read = logs::read("night.csv", std::io::BufReader::new(Failing(log.as_bytes())), &Options::default());
    assert_eq!(read.blocks.len(), 2);
    assert_eq!(told(&read), [(What::Unreadable("the card is gone".to_owned()), None, 1)]);
}

#[test]
fn a_line_as_long_as_the_limit_is_read_and_one_byte_more_is_not() {
    let log = table(0..120, |_| STEADY);
    let long = |bytes: usize| {
        let line = row(90, STEADY);
        log.replace(&line, &format!("{}{}\n", line.trim_end(), " ".repeat(bytes + 1 - line.len())))
    };
    assert_eq!(told(&read(&long(MAX_LOG_LINE_BYTES))), []);
    let read = read(&long(MAX_LOG_LINE_BYTES + 1));
    assert_eq!((told(&read), read.blocks.len()), (vec![(What::TooLong, Some(92), 1)], 2));
}

#[test]
fn a_block_has_room_for_as_many_records_as_the_limit() {
    let hour = Steadiness { block_seconds: 3600, ..Steadiness::default() };
    let options = Options { steadiness: hour, ..Options::default() };
    let record = |number: i64| format!("{},12.5,42,6.75\n", at(0) + SignedDuration::from_millis(50 * number));
    let log: String = (0..MAX_BLOCK_RECORDS as i64 + 2).map(record).collect();
    let read = read_with(&format!("time,tws kn,twa deg,stw kn\n{log}"), &options);
    assert_eq!((told(&read), read.dropped.len()), (vec![(What::TooManyRecords, None, 2)], 1));
}

#[test]
fn logs_of_one_night_are_one_log() {
    // A block that begins in one and ends in the next, a tack that lies in the first, and a part that stands in both.
    let shown = |second| if second < 400 { STEADY } else { Shown { twa: -42.0, ..STEADY } };
    let whole = read(&table(0..1200, shown));
    let parts = [("one.csv", table(0..610, shown)), ("two.csv", table(570..1200, shown))];
    let read = logs::read_all(parts.iter().map(|(name, log)| (*name, log.as_bytes())), &Options::default());
    assert_eq!((&read.blocks, &read.dropped), (&whole.blocks, &whole.dropped));
    let [back] = &read.told[..] else { panic!("{:?}", read.told) };
    assert_eq!((&back.what, back.log.as_str(), back.line, back.count), (&What::StepBack, "two.csv", Some(2), 40));
}

#[test]
fn what_is_told_names_the_log_the_line_and_the_remedy() {
    let read = read(&table((0..120).flat_map(|second| [second, second]), |_| STEADY));
    let expected = "night.csv, first in line 3: 120 records have the time of the one before: the first of a time counts, \
                    the others are left out";
    assert_eq!(read.told[0].to_string(), expected);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// Wherever a log is cut, in the middle of a number or of a letter, it is worth what its whole lines are worth.
    #[test]
    fn a_log_cut_anywhere_is_worth_its_whole_lines(share in 0.0..1.0f64) {
        let log = table(0..400, |second| Shown { stw: 6.0 + (second % 7) as f64 / 10.0, ..STEADY });
        let cut = &log.as_bytes()[..(log.len() as f64 * share) as usize];
        let whole_lines = &cut[..cut.iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1)];
        let read = |log: &[u8]| logs::read("night.csv", log, &Options::default());
        let (cut_read, whole) = (read(cut), read(whole_lines));
        prop_assert_eq!(cut_read.blocks, whole.blocks);
        let is_cut = cut.len() > whole_lines.len() && whole_lines.len() >= HEAD.len();
        prop_assert_eq!(cut_read.told.iter().any(|told| told.what == What::CutOff), is_cut);
    }
}
