//! From trials to an answer: what a question says, what is proposed, and what is warned of. All of it made up.

use std::collections::BTreeMap;

use approx::assert_relative_eq;
use cockpit_cards::season::performance::HeldAgainst;
use cockpit_cards::season::propose::{Answer, Basis, Side};
use cockpit_cards::season::warning::{Instrument, Warning};
use cockpit_cards::season::{
    Asking, Control, Found, Input, Measure, Note, Noted, Options, Reading, Row, Table, Verdict, compare,
};
use cockpit_cards::tuning::righting::{Course, apparent_wind};
use cockpit_cards::tuning::{Angle, BoatSpeed, Scale, Wind};
use jiff::{SignedDuration, Timestamp};

use crate::season_notes::{at, fast, note, one};
use crate::season_sailed::{GOOD, Sailed, TARGET_KN, block, nothing, one_trial};
use crate::season_world::scale;

#[test]
fn before_four_trials_nothing_is_said_however_large_the_gain() {
    let mut sailed = nothing();
    sailed.trials(3, [-5.0, 0.0, 5.0]);
    let cell = sailed.lead();
    assert_eq!((cell.verdict, cell.trials, cell.next_checkpoint), (Answer::TooLittle, 3, Some(4)));
    assert_eq!((cell.proposed, cell.effect_percent), (None, None));
    assert_eq!(sailed.compared().scatter_percent, None);
    assert_eq!(cell.asking, Some(Asking { readings: vec![4.0, 5.0, 6.0], middle: 1 }));
}

#[test]
fn a_reading_told_faster_than_the_books_is_proposed_with_its_interval() {
    let mut sailed = nothing();
    sailed.trials(4, [-2.0, 0.0, 2.0]);
    let cell = sailed.lead();
    assert_eq!((cell.verdict, cell.basis, cell.open), (Answer::Change, Some(Basis::Told), Some(Side::Up)));
    assert_eq!((cell.book.as_deref(), cell.proposed.as_deref()), (Some("5"), Some("6")));
    let ([low, high], by) = (cell.interval_percent.unwrap(), cell.effect_percent.unwrap());
    assert!(low < by && by < high && (by - 2.0).abs() < 0.3, "{low} {by} {high}");
    // Turned round, the lower one.
    let mut sailed = nothing();
    sailed.trials(4, [2.0, 0.0, -2.0]);
    assert_eq!((sailed.lead().proposed.as_deref(), sailed.lead().open), (Some("4"), Some(Side::Down)));
}

#[test]
fn between_checkpoints_further_trials_wait_and_change_nothing() {
    let mut sailed = nothing();
    sailed.trials(4, [0.0, 0.0, 0.2]);
    let before = sailed.compared();
    (4..7).for_each(|number| sailed.trial_round_five(number, [9.0, 0.0, -9.0], 3.0));
    let after = sailed.compared();
    assert_eq!(before.scatter_percent, after.scatter_percent);
    let [before, after] = [before, after].map(|own| own.cells[0].clone());
    assert_eq!((before.verdict, before.effect_percent), (after.verdict, after.effect_percent));
    assert_eq!((before.trials, after.trials, after.next_checkpoint), (4, 7, Some(8)));
    sailed.trial_round_five(7, [9.0, 0.0, -9.0], 3.0);
    assert_ne!(sailed.lead().effect_percent, before.effect_percent);
}

#[test]
fn readings_that_lie_close_together_are_kept() {
    let mut sailed = nothing();
    sailed.trials(8, [-0.2, 0.0, -0.1]);
    let cell = sailed.lead();
    assert_eq!((cell.verdict, cell.proposed.as_deref(), cell.basis), (Answer::Keep, Some("5"), None));
    assert!(cell.interval_percent.unwrap()[1] < 1.0);
    // Unless a gain that small is worth a change.
    sailed.options.worth_percent = 0.02;
    assert_eq!(sailed.lead().verdict, Answer::NotToldApart);
}

#[test]
fn readings_that_scatter_are_not_told_apart_and_what_would_settle_it_is_said() {
    let mut sailed = nothing();
    (0..4).for_each(|number| sailed.trial_round_five(number, [0.0, 0.0, 0.5], 4.0));
    let comparison = sailed.compared();
    let (cell, own) = (&comparison.cells[0], &comparison.questions[0]);
    assert_eq!((cell.verdict, cell.proposed.as_deref(), cell.next_checkpoint), (Answer::NotToldApart, None, Some(8)));
    let (settle, shown) = (own.settle.unwrap(), own.shown.as_ref().unwrap());
    assert_eq!((settle.trials, settle.hours), (4, 4.0));
    // Twice the trials: narrower by √2, and a little more, since the scatter is known better.
    let narrower = shown.half_width / settle.half_width;
    assert!((std::f64::consts::SQRT_2..1.7).contains(&narrower), "{narrower}");
}

#[test]
fn leaning_needs_the_two_sides_told_apart_and_a_lead_over_the_middle() {
    let answer = |gains, scatter| {
        let mut sailed = nothing();
        (0..8).for_each(|number| sailed.trial_round_five(number, gains, scatter));
        (sailed.lead().verdict, sailed.lead().basis)
    };
    assert_eq!(answer([-1.0, 0.0, 0.35], 0.6), (Answer::Change, Some(Basis::Leaning)));
    // No lead, and kept or open by how wide the interval is.
    assert_eq!(answer([-1.0, 0.0, 0.0], 0.6), (Answer::Keep, None));
    assert_eq!(answer([0.0, 0.0, 0.55], 0.9).1, None, "the sides are not told apart");
}

#[test]
fn where_a_limit_forbids_one_side_two_readings_can_keep_the_books_and_else_they_cannot() {
    let legs = [[5.0, 6.0, 6.0, 5.0], [6.0, 5.0, 5.0, 6.0]];
    let mut sailed = nothing();
    for number in 0..8 {
        let luck = |reading: f64| if (reading as usize + number).is_multiple_of(2) { 0.2 } else { 0.0 };
        let own: Vec<(f64, f64)> = legs[number % 2].iter().map(|leg| (*leg, luck(*leg))).collect();
        sailed.trial(&format!("t{number}"), &format!("2027-06-{:02} 10:00", number + 1), &own);
    }
    assert_eq!(sailed.lead().verdict, Answer::NotToldApart, "nobody tried 4");
    sailed.limits = (Some(4.5), None);
    assert_eq!(sailed.lead().verdict, Answer::Keep);
    assert_eq!(sailed.lead().asking, Some(Asking { readings: vec![5.0, 6.0], middle: 0 }));
}

#[test]
fn past_a_limit_nothing_is_proposed() {
    let mut sailed = nothing();
    sailed.trials(4, [-2.0, 0.0, 2.0]);
    sailed.limits = (None, Some(5.5));
    let cell = sailed.lead();
    assert_eq!((cell.verdict, cell.proposed), (Answer::NotToldApart, None));
}

#[test]
fn once_a_change_is_taken_in_the_next_question_is_asked_round_it() {
    let mut sailed = nothing();
    sailed.trials(4, [-2.0, 0.0, 2.0]);
    sailed.book[0] = Some(one(6.0));
    let cell = sailed.lead();
    assert_eq!((cell.verdict, cell.trials, cell.next_checkpoint), (Answer::TooLittle, 0, Some(4)));
    assert_eq!(cell.asking.unwrap().readings, [5.0, 6.0, 7.0]);
}

/// Blocks of another question that says the contrary.
fn against(sailed: &mut Sailed, readings: [f64; 3], gains: [f64; 3]) {
    let asking = Asking { readings: readings.to_vec(), middle: 1 };
    for number in 0..4 {
        let lucky = |way: usize| if (way + number).is_multiple_of(3) { 0.3 } else { 0.0 };
        let legs: Vec<(f64, f64)> = asking
            .legs(number)
            .iter()
            .map(|leg| {
                let way = readings.iter().position(|reading| reading == leg).unwrap();
                (*leg, gains[way] + lucky(way))
            })
            .collect();
        sailed.trial(&format!("u{number}"), &format!("2027-07-{:02} 10:00", number + 1), &legs);
    }
}

#[test]
fn two_questions_that_contradict_each_other_dispute_the_reading() {
    let told_up = || {
        let mut sailed = nothing();
        sailed.trials(4, [-2.0, 0.0, 2.0]);
        sailed
    };
    let mut sailed = told_up();
    against(&mut sailed, [4.0, 6.0, 8.0], [2.0, 0.0, -2.0]);
    let cell = sailed.lead();
    assert_eq!((cell.verdict, cell.proposed), (Answer::Disputed, None), "6 beats 4, and 4 beats 6");
    let mut sailed = told_up();
    against(&mut sailed, [2.0, 3.0, 4.0], [2.0, 0.0, -2.0]);
    assert_eq!(sailed.lead().verdict, Answer::Disputed, "faster up from 4, and down from 4");
    let mut sailed = nothing();
    sailed.trials(4, [-2.0, 0.0, 0.0]);
    against(&mut sailed, [2.0, 3.0, 4.0], [0.0, 0.0, -2.0]);
    assert_eq!(sailed.lead().verdict, Answer::Disputed, "the best lies above 4, and below 4");
    let mut sailed = told_up();
    against(&mut sailed, [6.0, 7.0, 8.0], [2.0, 0.0, -2.0]);
    assert_eq!(sailed.lead().verdict, Answer::Change, "the best may lie at 6");
}

#[test]
fn fast_notes_more_than_a_mark_apart_dispute_a_reading_that_nobody_asked_about() {
    let mut sailed = nothing();
    sailed.notes =
        vec![fast("2027-06-01 10:00", 12.0, "lead", one(4.0)), fast("2027-06-03 10:00", 12.4, "lead", one(6.0))];
    assert_eq!((sailed.lead().verdict, sailed.lead().apart), (Answer::Disputed, Some((one(4.0), one(6.0)))));
    sailed.notes[1].readings[0].1 = one(5.0);
    assert_eq!(sailed.lead().verdict, Answer::TooLittle);
    sailed.notes[1].readings[0].1 = one(6.0);
    sailed.trial("t", "2027-06-12 14:00", &GOOD);
    assert_eq!(sailed.lead().verdict, Answer::TooLittle, "now there is a question");
}

#[test]
fn a_slow_leg_counts_as_any_other() {
    let mut sailed = nothing();
    sailed.trials(4, [-2.0, 0.0, 2.0]);
    let before = sailed.lead();
    sailed.notes.iter_mut().step_by(2).for_each(|note| note.verdict = Some(Verdict::Slow));
    assert_eq!(format!("{:?}", sailed.lead()), format!("{before:?}"));
}

#[test]
fn a_reading_that_moves_the_wind_instrument_is_warned_of() {
    let mut sailed = nothing();
    sailed.trials(4, [-2.0, 0.0, 2.0]);
    // Under 6 the vane shows three degrees more.
    let high: Vec<(Timestamp, Timestamp)> = sailed
        .notes
        .iter()
        .filter(|note| note.readings[0].1 == one(6.0))
        .map(|note| (note.when.unwrap(), note.until.unwrap()))
        .collect();
    for (number, block) in sailed.blocks.iter_mut().enumerate() {
        let wander = f64::from(number as u32 % 3) * 0.1;
        let shown = if high.iter().any(|(from, to)| (*from..*to).contains(&block.start)) { 3.0 } else { 0.0 };
        block.angle = Angle::degrees(100.0 + shown + wander);
    }
    // Legs begin at different minutes of the wander, or nothing would scatter.
    sailed.blocks.remove(5);
    let warnings = sailed.compared().questions[0].warnings.clone();
    assert_eq!(warnings, [Warning::MovesInstrument(Instrument::Angle)]);
    assert!(warnings[0].to_string().contains("not to be trusted"));
}

#[test]
fn trials_in_two_seas_are_told_by_sea_as_well() {
    let mut sailed = nothing();
    sailed.trials(5, [-2.0, 0.0, 2.0]);
    for (number, note) in sailed.notes.iter_mut().enumerate() {
        note.sea = Some(if number < 18 { "flat" } else { "chop" }.to_owned());
    }
    let warnings = sailed.compared().questions[0].warnings.clone();
    let [Warning::Seas(seas)] = &warnings[..] else { panic!("{warnings:?}") };
    assert_eq!(seas.iter().map(|own| (own.sea.as_str(), own.trials)).collect::<Vec<_>>(), [("flat", 3), ("chop", 2)]);
    // Over three trials each reading has had its luck once, and the days were 0, 1 and 2.
    assert_relative_eq!(seas[0].means[2] - seas[0].means[0], 4.0, epsilon = 1e-9);
}

#[test]
fn what_was_left_out_is_counted_by_reason() {
    let mut sailed = one_trial();
    sailed.trial("u", "2027-06-13 14:00", &GOOD[..3]);
    sailed.notes.push(Note { settings: "unknown".to_owned(), ..note("2027-06-01 10:00", 12.0, "lead", one(4.0)) });
    sailed.notes.push(Note { when: None, ..note("2027-06-01 10:00", 12.0, "lead", one(4.0)) });
    sailed.notes.push(Note {
        found: Some(Found::Keep),
        when: None,
        ..note("2027-06-01 10:00", 12.0, "lead", one(4.0))
    });
    let dropped = serde_json::to_value(sailed.compared().dropped).unwrap();
    let expected = serde_json::json!({
        "blocks": {"few-records": 7}, "notes": {"no-time": 1, "unknown-settings": 1}, "trials": {"incomplete": 1},
    });
    assert_eq!(dropped, expected);
}

#[test]
fn notes_read_off_an_older_scale_are_no_evidence_and_are_counted() {
    let mut sailed = nothing();
    sailed.notes =
        vec![fast("2027-06-01 10:00", 12.0, "lead", one(4.0)), fast("2027-06-03 10:00", 12.0, "lead", one(6.0))];
    sailed.measured = Some(at("2027-06-02 00:00"));
    let comparison = sailed.compared();
    assert_eq!(comparison.cells[0].verdict, Answer::TooLittle);
    assert_eq!(comparison.cells[0].readings.iter().map(|own| own.notes).sum::<usize>(), 1);
    assert_eq!(comparison.dropped.notes, BTreeMap::from([("measured-since".to_owned(), 1)]));
}

#[test]
fn the_json_has_the_fields_that_scripts_read_and_no_other() {
    let mut sailed = nothing();
    sailed.trials(4, [-2.0, 0.0, 2.0]);
    sailed.notes.push(fast("2027-08-01 10:00", 12.0, "lead", Noted::One(Reading { least: 7.0, greatest: 8.5 })));
    let json = serde_json::to_value(sailed.compared()).unwrap();
    let keys = |value: &serde_json::Value| value.as_object().unwrap().keys().cloned().collect::<Vec<_>>().join(" ");
    assert_eq!(keys(&json), "dropped scatter_percent cells");
    let cell = &json["cells"][0];
    assert_eq!(
        keys(cell),
        "settings wind_kn angle_deg control book proposed verdict basis open trials next_checkpoint effect_percent interval_percent readings"
    );
    let told: Vec<_> = [
        "settings",
        "wind_kn",
        "angle_deg",
        "control",
        "book",
        "proposed",
        "verdict",
        "basis",
        "open",
        "trials",
        "next_checkpoint",
    ]
    .map(|key| cell[key].to_string())
    .to_vec();
    assert_eq!(told.join(" "), r#""upwind" 12.0 null "lead" "5" "6" "change" "told" "up" 4 8"#);
    let readings = cell["readings"].as_array().unwrap();
    assert_eq!(keys(&readings[0]), "reading notes trials blocks performance standard_error");
    assert_eq!(
        readings.iter().map(|own| own["reading"].as_str().unwrap()).collect::<Vec<_>>(),
        ["4", "5", "6", "7 to 8½"]
    );
    assert_eq!(
        (&readings[0]["notes"], &readings[0]["trials"], &readings[0]["blocks"]),
        (&8.into(), &4.into(), &64.into())
    );
    assert!(readings[0]["standard_error"].as_f64().unwrap() > 0.0 && readings[3]["standard_error"].is_null());
}

#[test]
fn a_note_speaks_until_other_readings_are_set_and_for_two_hours_at_most() {
    let mut sailed = nothing();
    let minutes = (0..300).map(|minute| at("2027-06-01 10:00") + SignedDuration::from_mins(minute));
    sailed.blocks = minutes.map(|start| block(start, 12.0, TARGET_KN)).collect();
    let minutes = |sailed: &Sailed| sailed.compared().sightings.iter().map(|own| own.minutes).collect::<Vec<_>>();
    sailed.notes = vec![note("2027-06-01 10:00", 12.0, "lead", one(4.0))];
    assert_eq!(minutes(&sailed), [118.0], "two hours, of which two minutes to settle");
    sailed.notes[0].until = Some(at("2027-06-01 14:00"));
    assert_eq!(minutes(&sailed), [118.0], "whatever it says");
    sailed.notes[0].until = None;
    sailed.notes.push(note("2027-06-01 10:30", 12.0, "lead", one(4.0)));
    assert_eq!(minutes(&sailed), [118.0, 118.0], "the same again ends nothing");
    sailed.notes.push(note("2027-06-01 11:00", 12.0, "lead", one(5.0)));
    assert_eq!(minutes(&sailed), [58.0, 28.0, 118.0]);
    sailed.notes[1].until = Some(at("2027-06-01 10:45"));
    assert_eq!(minutes(&sailed), [43.0, 13.0, 118.0]);
    sailed.notes[2].settings = "unknown".to_owned();
    sailed.notes[2].when = Some(at("2027-06-01 10:10"));
    assert_eq!(minutes(&sailed), [8.0, 13.0], "other sails end it as well");
    // Blocks under two notes are counted once.
    sailed.notes =
        vec![note("2027-06-01 10:00", 12.0, "lead", one(4.0)), note("2027-06-01 10:30", 12.0, "lead", one(4.0))];
    assert_eq!(sailed.lead().readings[0].blocks, 148);
    // What was decided in the meantime says nothing of what was set.
    let decided = note("2027-06-01 10:20", 12.0, "lead", one(5.0));
    sailed.notes.truncate(1);
    sailed.notes.push(Note { found: Some(Found::Change), ..decided });
    assert_eq!(minutes(&sailed), [118.0]);
}

#[test]
fn a_bar_is_wider_where_minutes_are_alike_than_where_they_alternate() {
    let bar_of = |every: usize, speed: fn(i64) -> f64| {
        let mut sailed = nothing();
        let start = |minute: i64| at("2027-06-01 10:00") + SignedDuration::from_mins(minute);
        sailed.blocks = (0..60).step_by(every).map(|minute| block(start(minute), 12.0, speed(minute))).collect();
        sailed.notes = vec![note("2027-06-01 10:00", 12.0, "lead", one(4.0))];
        sailed.compared().sightings[0].bar.unwrap()
    };
    let bar = |speed: fn(i64) -> f64| bar_of(1, speed);
    let alternating = bar(|minute| if minute % 2 == 0 { 7.9 } else { 8.1 });
    let slow = bar(|minute| if minute / 15 % 2 == 0 { 7.9 } else { 8.1 });
    assert!(slow > 2.5 * alternating, "{slow} and {alternating}");
    // With every second minute missing there are no neighbours to be alike: 29 values, fourteen of them 1.25 % under the target.
    let apart = bar_of(2, |minute| if minute / 15 % 2 == 0 { 7.9 } else { 8.0 });
    let share = 15.0 / 29.0;
    assert_relative_eq!(apart, 1.25 * (share * (1.0 - share) / 28.0_f64).sqrt(), max_relative = 1e-9);
}

#[test]
fn without_targets_she_is_held_against_her_own_line() {
    let mut sailed = nothing();
    sailed.trials(4, [-2.0, 0.0, 2.0]);
    // Faster in more wind, and the curve of the day takes that out.
    for (number, block) in sailed.blocks.iter_mut().enumerate() {
        let wind_kn = 11.0 + 2.0 * f64::from(number as u32 % 7) / 7.0;
        block.wind = Wind::knots(wind_kn);
        block.speed = BoatSpeed::knots(block.speed.to_knots() * (1.0 + 0.05 * (wind_kn - 12.0)));
    }
    sailed.has_targets = false;
    let comparison = sailed.compared();
    assert_eq!(comparison.held_against, [HeldAgainst::OwnLine]);
    assert_eq!((comparison.cells[0].verdict, comparison.cells[0].proposed.as_deref()), (Answer::Change, Some("6")));
    assert_relative_eq!(comparison.cells[0].effect_percent.unwrap(), 2.0, epsilon = 0.4);
    sailed.has_targets = true;
    assert_eq!(sailed.compared().held_against, [HeldAgainst::Targets]);
}

#[test]
fn upwind_it_is_the_speed_made_good_that_counts_and_apparent_rows_are_met_by_apparent_wind() {
    let scale = scale();
    let target = |wind: Wind, _: Angle| Some(wind.to_knots() / 4.0);
    let mut own = block(at("2027-06-01 10:05"), 12.0, 6.0);
    own.angle = Angle::degrees(60.0);
    let course = Course { boat_speed: own.speed, true_wind_angle: own.angle };
    let apparent = apparent_wind(own.wind, course);
    let notes = [Note { wind: None, ..note("2027-06-01 10:00", 12.0, "lead", one(4.0)) }];
    let seen = |is_apparent, measure| {
        let row = Row { wind: if is_apparent { apparent } else { Wind::knots(12.0) }, angle: None };
        let control = Control { id: "lead", scale: &scale, least: None, most: None, measured: None, book: vec![None] };
        let table = Table {
            id: "upwind",
            measure,
            is_apparent,
            rows: vec![row],
            target: Some(&target),
            controls: vec![control],
        };
        let input = Input {
            notes: &notes,
            blocks: &[own],
            left_out: BTreeMap::new(),
            tables: &[table],
            options: Options::default(),
        };
        let sighting = compare(&input).sightings[0].clone();
        (sighting.row, sighting.mean.unwrap())
    };
    // 6 kn at 60° make 3 kn good: just the target of 12 kn of wind.
    let (row, mean) = seen(false, Measure::MadeGood);
    assert_eq!(row, Some(0));
    assert_relative_eq!(mean, 0.0, epsilon = 1e-9);
    assert_relative_eq!(seen(false, Measure::Speed).1, 100.0, epsilon = 1e-9);
    let (row, mean) = seen(true, Measure::Speed);
    assert_eq!(row, Some(0));
    assert_relative_eq!(mean, 100.0 * (24.0 / apparent.to_knots() - 1.0), epsilon = 1e-9);
}
#[test]
fn readings_are_told_as_a_card_prints_them() {
    let scale: Scale = scale();
    let still = |at: f64| Reading { least: at, greatest: at };
    let print = |noted| cockpit_cards::season::print(&scale, noted);
    assert_eq!(print(one(4.5)), "4½");
    assert_eq!(print(Noted::One(Reading { least: 4.0, greatest: 5.0 })), "4 to 5");
    assert_eq!(print(Noted::Sides { port: Some(still(4.0)), starboard: Some(still(4.5)) }), "4 port, 4½ starboard");
    assert_eq!(print(Noted::Sides { port: None, starboard: Some(still(4.5)) }), "4½ starboard");
    assert_eq!(print(Noted::NotUsed), "none");
}
