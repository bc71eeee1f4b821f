//! Logs of sentences of NMEA 0183: what is read of them, and that a sentence that is not whole changes nothing.

use crate::common::sailed_log::{STEADY, Shown, at, rmc, sentence, sentences};
use approx::assert_abs_diff_eq;
use cockpit_cards::logs::{self, Level, Options, Read, What};
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;

fn read(log: &str) -> Read {
    logs::read("night.nmea", log.as_bytes(), &Options::default())
}

fn told(read: &Read) -> Vec<(What, Option<u64>, u64)> {
    read.told.iter().map(|told| (told.what.clone(), told.line, told.count)).collect()
}

/// A minute in which these sentences follow each time.
fn minute(bodies: &[&str]) -> Read {
    let one = |second| rmc(second) + &bodies.iter().map(|body| sentence(body)).collect::<String>();
    read(&(0..60).map(one).collect::<String>())
}

#[test]
fn sentences_are_worth_as_much_as_a_table() {
    let shown = |second: i64| Shown { stw: 6.0 + (second % 10) as f64 / 10.0, ..STEADY };
    let read = read(&sentences(0..600, shown));
    let table = crate::common::sailed_log::table(0..600, shown);
    let table = logs::read("night.csv", table.as_bytes(), &Options::default());
    assert_eq!((read.blocks.len(), told(&read)), (10, vec![]));
    for (one, other) in read.blocks.iter().zip(&table.blocks) {
        assert_eq!(one.start, other.start);
        assert_abs_diff_eq!(one.speed.to_knots(), other.speed.to_knots(), epsilon = 1e-9);
        assert_abs_diff_eq!(one.angle.to_degrees(), other.angle.to_degrees(), epsilon = 1e-9);
        assert_abs_diff_eq!(one.heading_deg.unwrap_or(0.0), other.heading_deg.unwrap_or(1.0), epsilon = 1e-9);
    }
}

#[test]
fn winds_come_relative_or_true_and_in_four_units() {
    for (speed, unit) in [("10.0", "N"), ("18.52", "K"), ("5.14444444444444", "M"), ("11.5077944802354", "S")] {
        let read = minute(&[&format!("WIMWV,318.0,T,{speed},{unit},A"), "VWVHW,,,,,6.5,N,12.0,K"]);
        assert_abs_diff_eq!(read.blocks[0].wind.to_knots(), 10.0, epsilon = 1e-9);
        assert_abs_diff_eq!(read.blocks[0].angle.to_degrees(), 42.0, epsilon = 1e-9);
        assert!(!read.blocks[0].is_starboard_tack);
    }
    // 5 kn felt from the triangle of 3, 4 and 5.
    let felt = format!("WIMWV,{},R,5.0,N,A", 3.0f64.atan2(4.0).to_degrees());
    let read = minute(&[&felt, "VWVHW,,,,,4.0,N,,"]);
    assert_abs_diff_eq!(read.blocks[0].wind.to_knots(), 3.0, epsilon = 1e-9);
    assert_eq!(told(&read), [(What::WorkedOut, None, 1)]);
}

#[test]
fn older_winds_say_left_and_right() {
    for (side, is_starboard) in [("L", false), ("R", true)] {
        let read = minute(&[&format!("WIVWT,42.0,{side},10.0,N,5.1,M,18.5,K"), "VWVHW,,,,,,,18.52,K"]);
        assert_eq!(read.blocks[0].is_starboard_tack, is_starboard);
        assert_abs_diff_eq!(read.blocks[0].angle.to_degrees(), 42.0, epsilon = 1e-9);
        assert_abs_diff_eq!(read.blocks[0].speed.to_knots(), 10.0, epsilon = 1e-9);
        let felt = minute(&[&format!("WIVWR,28.0,{side},,,8.0,M,,"), "VWVHW,,,,,6.5,N,,"]);
        assert_eq!(felt.blocks[0].is_starboard_tack, is_starboard);
    }
}

#[test]
fn heel_and_heading_are_read() {
    let sailing = ["WIMWV,42.0,T,12.0,N,A", "VWVHW,,,,,6.5,N,,"];
    let with = |more: &str| minute(&[sailing[0], sailing[1], more]).blocks[0];
    let heel = |more: &str| with(more).heel.map(|heel| heel.to_degrees());
    assert_eq!(heel("IIXDR,A,-18.5,D,HEEL"), Some(18.5));
    assert_eq!(heel("YXXDR,A,1.2,D,PITCH,A,18.5,D,ROLL"), Some(18.5));
    assert_eq!(heel("YXXDR,C,18.5,C,AIRTEMP"), None);
    let heading = |more: &str| with(more).heading_deg.map(|heading| heading.round());
    assert_eq!(heading("HCHDG,101.0,,,7.0,W"), Some(94.0));
    assert_eq!(heading("HCHDG,358.0,1.0,E,4.0,E"), Some(3.0));
    assert_eq!(heading("HEHDT,101.0,T"), Some(101.0));
    assert_eq!(heading("HCHDM,101.0,M"), Some(101.0));
    assert_eq!(
        minute(&["WIMWV,42.0,T,12.0,N,A", "VWVHW,88.0,T,95.0,M,6.5,N,,"]).blocks[0].heading_deg.map(f64::round),
        Some(88.0)
    );
}

/// Sentences as they are printed in public descriptions of the standard; from memory, which their checks bear out.
#[test]
fn published_examples_of_sentences_are_read() {
    let zda = "$GPZDA,160012.71,11,03,2004,-1,00*7D\n";
    let others = "$WIMWV,214.8,R,0.1,K,A*28\n$HCHDG,101.1,,,7.1,W*3C\n\
                  $HCXDR,A,171,D,PITCH,A,-37,D,ROLL,G,367,,MAGX,G,2420,,MAGY,G,-8984,,MAGZ*41\n";
    let speed = sentence("VWVHW,,,,,6.5,N,,");
    let read = read(&format!("{zda}{others}{speed}"));
    let start: Timestamp = "2004-03-11T16:00:00Z".parse().expect("a time");
    assert_eq!(read.dropped.iter().map(|dropped| dropped.start).collect::<Vec<_>>(), [start]);
    assert_eq!(told(&read), []);
    // The one that most descriptions begin with; a receiver's years of two digits.
    let rmc = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\n";
    let read = self::read(&format!("{rmc}{others}{speed}"));
    let start: Timestamp = "1994-03-23T12:35:00Z".parse().expect("a time");
    assert_eq!(read.dropped.iter().map(|dropped| dropped.start).collect::<Vec<_>>(), [start]);
    assert_eq!(told(&read), []);
}

/// Ten minutes with something put before, behind or in place of some lines.
fn with(change: impl Fn(usize, &str) -> String) -> Read {
    let log = sentences(0..600, |_| STEADY);
    read(&log.split_inclusive('\n').enumerate().map(|(index, line)| change(index, line)).collect::<String>())
}

#[test]
fn what_stands_around_sentences_is_passed_over() {
    let plain = with(|_, line| line.to_owned());
    let around = [
        with(|_, line| format!("\\s:masthead,c:1812801600*5B\\{line}")),
        with(|_, line| format!("2027-06-12T12:00:00.123 {line}")),
        with(|index, line| {
            if index % 2 == 0 {
                format!("!AIVDM,1,1,,A,13u?etPv2;0n:dDPwUM1U1Cb069D,0*24\r\n{line}")
            } else {
                line.to_owned()
            }
        }),
        with(|_, line| format!("\\g:1-2-1234,s:ais*0F\\!AIVDM,1,1,,A,13u?etPv2;0n:dDPwUM1U1Cb069D,0*24\n{line}")),
        with(|_, line| format!("{line}$PMAKER,1,2,3*00\r\n").replace("*00", "")),
        with(|_, line| format!("# a remark\n\n{line}")),
        with(|_, line| {
            format!("{}{line}", sentence("GPGSV,3,1,11,03,03,111,00,04,15,270,00,06,01,010,00,13,06,292,00"))
        }),
        with(|_, line| line.replace("\r\n", "\n")),
    ];
    for (index, read) in around.iter().enumerate() {
        assert_eq!((&read.blocks, told(read)), (&plain.blocks, vec![]), "{index}");
    }
}

#[test]
fn talkers_are_of_every_kind() {
    for talker in ["II", "WI", "GP", "GN", "VW", "SD", "U0", "YX"] {
        let log = sentences(0..120, |_| STEADY);
        let body = |line: &str| sentence(&format!("{talker}{}", line[3..].split('*').next().unwrap_or_default()));
        assert_eq!(read(&log.lines().map(body).collect::<String>()).blocks.len(), 2, "{talker}");
    }
}

#[test]
fn a_log_without_checks_is_read() {
    let bare = |line: &str| format!("{}\r\n", line.split('*').next().unwrap_or_default());
    let read = with(|_, line| bare(line));
    assert_eq!((&read.blocks, told(&read)), (&with(|_, line| line.to_owned()).blocks, vec![]));
}

#[test]
fn a_sentence_without_its_check_is_cut_where_its_talker_gives_one() {
    // Every hundredth line lost its end in the middle of a number.
    let read = with(
        |index, line| if index % 100 == 50 { format!("{}\r\n", &line[..line.len() - 10]) } else { line.to_owned() },
    );
    assert_eq!(told(&read).iter().map(|(what, ..)| what.clone()).collect::<Vec<_>>(), [What::NotWhole]);
    assert_eq!(read.blocks.len(), 10);
    for block in &read.blocks {
        assert_abs_diff_eq!(block.speed.to_knots(), STEADY.stw, epsilon = 1e-9);
    }
}

#[test]
fn nothing_shows_that_a_sentence_was_cut_but_its_check() {
    // All fields are there, but for the last digits of the speed.
    let read =
        with(
            |index, line| {
                if index % 4 == 2 && index > 40 { format!("$VWVHW,,T,,M,0.5,N,,K\r\n{line}") } else { line.to_owned() }
            },
        );
    assert_eq!(told(&read), [(What::NotWhole, Some(43), 590)]);
    assert!(read.blocks.iter().all(|block| block.speed.to_knots() > 6.0));
    // The last line of a log without checks has no end: who knows what is missing.
    let bare = "$GPRMC,120000,A,,,,,,,120627,,\n$VWVHW,,,,,6.5,N,,\n$WIMWV,42.0,T,12.0,N,A";
    assert_eq!(told(&self::read(bare)), [(What::NoWind, None, 1), (What::NotWhole, Some(3), 1)]);
}

#[test]
fn a_broken_check_changes_nothing_of_what_is_known() {
    let plain = with(|_, line| line.to_owned());
    let wrong = sentence("VWVHW,,,,,0.5,N,,").replace("$VWVHW,,,,,0.5", "$VWVHW,,,,,9.5");
    let read = with(|_, line| format!("{wrong}{line}"));
    assert_eq!((read.blocks, read.told[0].what.clone(), read.told[0].count), (plain.blocks, What::BrokenCheck, 2400));
}

#[test]
fn sentences_that_are_not_whole_change_nothing() {
    let plain = with(|_, line| line.to_owned());
    for body in [
        "VWVHW,,,,,9.5",
        "VWVHW,,,,,9.5,X,,K",
        "VWVHW,,,,,9..5,N,,K",
        "WIMWV,9,T,30.0,N",
        "WIMWV,9,Q,30.0,N,A",
        "WIMWV,9,T,30.0,Z,A",
        "WIMWV,nine,T,30.0,N,A",
        "GPRMC,129999,A,,,,,,,120627,,",
        "GPRMC,120000,A,,,,,,,320627,,",
        "GPRMC,120000,A",
        "GPZDA,120000,12,13,2031,,",
        "WI",
        "WIMWVX,9,T,30.0,N,A",
        "HCHDT,9.0,M",
        "IIXDR,A,80,D",
    ] {
        let read = with(|_, line| format!("{}{line}", sentence(body)));
        assert_eq!((&read.blocks, read.told.len()), (&plain.blocks, 1), "{body}");
        assert_eq!(read.told[0].what, What::NotWhole, "{body}");
    }
    // Two in one line: the first lost its end.
    let read = with(|index, line| if index % 4 == 1 { format!("$VWVHW,,,,,9.{line}") } else { line.to_owned() });
    assert_eq!((&read.blocks, told(&read)), (&plain.blocks, vec![(What::NotWhole, Some(2), 600)]));
}

#[test]
fn what_an_instrument_calls_invalid_counts_for_nothing() {
    let read = minute(&["WIMWV,42.0,T,12.0,N,V", "VWVHW,,,,,6.5,N,,"]);
    assert_eq!((read.blocks.len(), told(&read)), (0, vec![(What::NoWind, None, 1)]));
}

#[test]
fn two_clocks_are_not_mixed() {
    // The date comes from a second receiver, half a second behind.
    let behind = |second| {
        sentence(&format!(
            "GPZDA,{},12,06,2027,00,00",
            jiff::tz::Offset::UTC.to_datetime(at(second)).strftime("%H%M%S")
        ))
    };
    let log = sentences(0..600, |_| STEADY);
    let mixed: String = log
        .split_inclusive('\n')
        .enumerate()
        .map(|(index, line)| if index % 4 == 2 { behind(index as i64 / 4 - 1) + line } else { line.to_owned() })
        .collect();
    let read = read(&mixed);
    assert_eq!((read.blocks.len(), told(&read)), (10, vec![]));
}

#[test]
fn two_receivers_of_one_name_may_be_a_second_apart() {
    let read = with(|index, line| if index % 4 == 2 { rmc(index as i64 / 4 - 1) + line } else { line.to_owned() });
    assert_eq!((read.blocks.len(), told(&read)), (10, vec![]));
}

#[test]
fn two_compasses_are_not_mixed() {
    // One shows magnetic and one true: a mean of what happens to fall into a second would swing by its half.
    let log = with(|index, line| {
        let other = sentence("HCHDG,180.0,,,,");
        if index % 8 == 7 { other + line } else { line.to_owned() }
    });
    for block in &log.blocks {
        assert_abs_diff_eq!(block.heading_deg.unwrap_or_default(), STEADY.heading, epsilon = 1e-9);
    }
}

#[test]
fn a_clock_that_is_given_up_is_followed_by_another() {
    let log = sentences(0..1200, |_| STEADY);
    let zda = |second| {
        sentence(&format!(
            "GPZDA,{},12,06,2027,00,00",
            jiff::tz::Offset::UTC.to_datetime(at(second)).strftime("%H%M%S")
        ))
    };
    let change = |(index, line): (usize, &str)| match index / 4 {
        second if index % 4 == 0 && second >= 600 => zda(second as i64),
        _ => line.to_owned(),
    };
    let read = read(&log.split_inclusive('\n').enumerate().map(change).collect::<String>());
    assert_eq!((read.blocks.len(), read.dropped.len()), (19, 1));
    assert_eq!(read.told.iter().filter(|told| told.level() != Level::Note).count(), 0, "{:?}", read.told);
}

#[test]
fn values_before_the_first_time_and_without_a_clock_are_told() {
    let early = sentence("VWVHW,,,,,9.5,N,,");
    let read = read(&format!("{early}{early}{}", sentences(0..60, |_| STEADY)));
    assert_eq!((read.blocks.len(), told(&read)), (1, vec![(What::BeforeTime, Some(1), 2)]));
    let never = self::read(&early.repeat(3));
    assert_eq!(told(&never), [(What::NoClock, None, 1), (What::BeforeTime, Some(1), 3)]);
}

#[test]
fn a_clock_that_stands_still_is_told() {
    let still = sentence("VWVHW,,,,,9.5,N,,").repeat(1000);
    let read = read(&format!("{}{still}", sentences(0..60, |_| STEADY)));
    assert_eq!(read.blocks.len(), 1);
    assert_eq!(told(&read), [(What::ClockStandsStill, Some(440), 801)]);
}

#[test]
fn a_day_ends_within_a_log() {
    let midnight = "2027-06-13T00:00:00Z".parse::<Timestamp>().expect("a time").duration_since(at(0)).as_secs();
    let read = read(&sentences(midnight - 300..midnight + 300, |_| STEADY));
    assert_eq!((read.blocks.len(), told(&read)), (10, vec![]));
}

#[test]
fn a_replayed_part_counts_once_and_a_gap_is_told() {
    let part = |seconds| sentences(seconds, |_| STEADY);
    let read = read(&format!("{}{}{}", part(0..600), part(300..720), part(1200..1800)));
    assert_eq!((read.blocks.len(), read.dropped.len()), (22, 0));
    assert_eq!(told(&read), [(What::StepBack, Some(2401), 300), (What::Gaps(480), None, 1)]);
}

#[test]
fn a_clock_that_is_out_can_be_set_right() {
    let options = Options { clock_offset: SignedDuration::from_secs(-90), ..Options::default() };
    let log = sentences(90..150, |_| STEADY);
    assert_eq!(logs::read("night.nmea", log.as_bytes(), &options).blocks[0].start, at(0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// Wherever a log is cut, it is worth what its whole sentences are worth.
    #[test]
    fn a_log_cut_anywhere_is_worth_its_whole_sentences(share in 0.0..1.0f64) {
        let log = sentences(0..200, |second| Shown { stw: 6.0 + (second % 7) as f64 / 10.0, ..STEADY });
        let cut = &log.as_bytes()[..(log.len() as f64 * share) as usize];
        let whole_lines = &cut[..cut.iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1)];
        let read = |log: &[u8]| logs::read("night.nmea", log, &Options::default()).blocks;
        // With its check a sentence is whole though its line has no end.
        let with_check = cut.ends_with(b"\r") || (cut.len() > 3 && cut[cut.len() - 3] == b'*');
        if !with_check {
            prop_assert_eq!(read(cut), read(whole_lines));
        }
    }
}
