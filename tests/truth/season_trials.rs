//! What counts as a trial, why one does not, and in which order its readings are sailed. All of it made up.

use cockpit_cards::season::trial::Reason;
use cockpit_cards::season::warning::Warning;
use cockpit_cards::season::{Asking, Note};
use cockpit_cards::tuning::Wind;
use jiff::SignedDuration;

use crate::season_notes::{at, one};
use crate::season_sailed::{Sailed, one_trial};

#[test]
fn a_whole_trial_counts_and_each_reading_has_the_mean_of_its_legs() {
    let comparison = one_trial().compared();
    let counting = comparison.trials[0].outcome.as_ref().unwrap();
    let ways: Vec<(f64, f64, usize)> =
        counting.ways.iter().map(|way| (way.reading, way.performance.round(), way.blocks)).collect();
    assert_eq!(
        ways,
        [(4.0, -1.0, 16), (5.0, 0.0, 16), (6.0, 1.0, 16)],
        "eight minutes of each leg, after two to settle"
    );
    assert!(!counting.helm_changed && !counting.helm_knew && !counting.is_uneven);
}

#[test]
fn a_trial_that_does_not_count_is_listed_with_every_reason() {
    let but = |change: &dyn Fn(&mut Sailed)| {
        let mut sailed = one_trial();
        change(&mut sailed);
        sailed.reasons()
    };
    let shift = |note: &mut Note, hours| note.when = note.when.map(|when| when + SignedDuration::from_hours(hours));
    assert_eq!(but(&|_| ()), []);
    assert_eq!(but(&|own| drop(own.notes.pop())), [Reason::Incomplete(5)]);
    assert_eq!(but(&|own| own.notes.swap(0, 1)), [], "the order in the file is not the order of time");
    assert_eq!(but(&|own| swap_readings(own, 0, 1)), [Reason::NotMirrored]);
    assert_eq!(but(&|own| own.notes.iter_mut().for_each(|note| note.readings.clear())), [Reason::NothingMoved]);
    let several = Reason::SeveralMoved(vec!["lead".to_owned(), "outhaul".to_owned()]);
    let moved = but(&|own| {
        own.notes.iter_mut().zip([1.0, 2.0]).for_each(|(note, at)| note.readings.push(("outhaul".to_owned(), one(at))))
    });
    assert_eq!(moved, [several]);
    assert!(but(&|own| own.notes[2].when = None).contains(&Reason::NoTime));
    assert!(but(&|own| shift(&mut own.notes[0], -3)).contains(&Reason::NotInOneGo));
    assert_eq!(but(&|own| drop(own.blocks.drain(13..17))), [Reason::FewBlocks(2, 4)]);
    assert_eq!(but(&|own| own.blocks.clear()), [Reason::FewBlocks(1, 0), Reason::OutOfRow]);
    assert_eq!(but(&|own| own.notes[1].sea = Some("flat".to_owned())), [], "other legs do not say");
    let seas =
        but(&|own| own.notes.iter_mut().zip(["flat", "chop"]).for_each(|(note, sea)| note.sea = Some(sea.to_owned())));
    assert_eq!(seas, [Reason::OtherSea]);
    assert_eq!(but(&|own| own.blocks[25].is_starboard_tack = true), [Reason::OtherBoard]);
    assert_eq!(but(&|own| own.blocks.iter_mut().for_each(|block| block.wind = Wind::knots(10.4))), [Reason::OutOfRow]);
    assert_eq!(
        but(&|own| own.blocks.iter_mut().for_each(|block| block.wind = Wind::knots(13.4))),
        [Reason::OutOfRow],
        "nearer to 14"
    );
    let changed = but(&|own| own.blocks[..10].iter_mut().for_each(|block| block.wind = Wind::knots(9.0)));
    assert_eq!(changed, [] as [Reason; 0], "three knots are allowed");
    let changed = but(&|own| own.blocks[..10].iter_mut().for_each(|block| block.wind = Wind::knots(8.9)));
    assert!(matches!(changed[..], [Reason::WindChanged(apart)] if (apart - 3.1).abs() < 1e-9));
    assert_eq!(but(&|own| own.measured = Some(at("2027-06-12 14:05"))), [Reason::MeasuredSince]);
}

fn swap_readings(own: &mut Sailed, one: usize, other: usize) {
    let kept = own.notes[one].readings.clone();
    own.notes[one].readings = std::mem::replace(&mut own.notes[other].readings, kept);
}

#[test]
fn each_reason_is_told_in_words_and_counted_under_a_name_of_its_own() {
    let all = [
        Reason::Incomplete(1),
        Reason::NotMirrored,
        Reason::NothingMoved,
        Reason::SeveralMoved(vec!["lead".to_owned()]),
        Reason::NoTime,
        Reason::NotInOneGo,
        Reason::FewBlocks(2, 4),
        Reason::OtherSails,
        Reason::OtherSea,
        Reason::OtherBoard,
        Reason::OutOfRow,
        Reason::WindChanged(3.2),
        Reason::MeasuredSince,
    ];
    let keys: std::collections::BTreeSet<&str> = all.iter().map(Reason::key).collect();
    let words: std::collections::BTreeSet<String> = all.iter().map(ToString::to_string).collect();
    assert_eq!((keys.len(), words.len()), (all.len(), all.len()));
    assert!(words.contains("leg 2 has 4 steady minutes, and 5 are needed"));
}

#[test]
fn a_helm_who_knew_and_one_who_took_over_are_told_and_the_trial_counts() {
    let mut sailed = one_trial();
    sailed.notes[0].helm = Some("Ines".to_owned());
    sailed.notes[3].helm = Some("Otto".to_owned());
    sailed.notes[3].who = Some("Otto".to_owned());
    let comparison = sailed.compared();
    let counting = comparison.trials[0].outcome.as_ref().unwrap();
    assert!(counting.helm_changed && counting.helm_knew);
    assert_eq!(comparison.questions[0].warnings, [Warning::HelmKnew(1)]);
}

#[test]
fn more_blocks_lost_under_one_reading_than_under_another_is_told() {
    let mut sailed = one_trial();
    // Of 4 three minutes of each leg go: six of sixteen.
    sailed.blocks.retain(|block| {
        let minute = (block.start.as_second() - at("2027-06-12 14:00").as_second()) / 60;
        !(3..6).contains(&minute) && !(53..56).contains(&minute)
    });
    assert_eq!(sailed.compared().questions[0].warnings, [Warning::Uneven(1)]);
}

#[test]
fn orders_mirror_and_rotate_so_that_over_three_trials_the_readings_share_each_place() {
    let asking = Asking { readings: vec![4.0, 5.0, 6.0], middle: 1 };
    let first: Vec<String> =
        (0..4).map(|after| asking.legs(after).iter().map(|leg| leg.to_string()).collect()).collect();
    assert_eq!(first, ["456654", "564465", "645546", "456654"]);
    for leg in 0..6 {
        let mut there: Vec<f64> = (0..3).map(|after| asking.legs(after)[leg]).collect();
        there.sort_by(f64::total_cmp);
        assert_eq!(there, asking.readings);
    }
    let two = Asking { readings: vec![5.0, 6.0], middle: 0 };
    assert_eq!([two.legs(0), two.legs(1)], [[5.0, 6.0, 6.0, 5.0], [6.0, 5.0, 5.0, 6.0]]);
}
