//! Which question is asked next, and how it is planned. All of it made up.

use cockpit_cards::season::plan::{NoPlan, Plan, Wanted, Why, plan, propose};
use cockpit_cards::season::{Verdict, compare};
use cockpit_cards::tuning::Wind;

use crate::season_notes::{note, one};
use crate::season_sailed::{GOOD, Sailed, nothing, one_trial};

fn planned(sailed: &Sailed, wanted: Option<Wanted>) -> Result<Plan, NoPlan> {
    sailed.with(|input| {
        let comparison = compare(input);
        wanted.map_or_else(|| propose(input, &comparison), |wanted| plan(input, &comparison, &wanted))
    })
}

#[test]
fn the_question_that_a_person_names_is_planned_round_the_books_reading() {
    let wanted = Wanted { settings: "upwind", wind: Wind::knots(11.5), angle: None, control: "lead" };
    let own = planned(&nothing(), Some(wanted)).unwrap();
    assert_eq!((own.legs.clone(), own.sailed, own.why), (vec![4.0, 5.0, 6.0, 6.0, 5.0, 4.0], 0, Why::Named));
    assert_eq!((own.winds, own.angles), ((Wind::knots(10.5), Wind::knots(13.0)), None));
    assert_eq!(own.expected.iter().map(|own| own.trials).collect::<Vec<_>>(), [4, 8, 16]);
    assert!(own.expected.windows(2).all(|pair| pair[1].half_width < pair[0].half_width));
    let begun = planned(&one_trial(), Some(wanted)).unwrap();
    assert_eq!((begun.sailed, begun.legs[0]), (1, 5.0), "the order goes round");
    let no = |wanted: Wanted| planned(&nothing(), Some(wanted)).unwrap_err();
    assert_eq!(no(Wanted { settings: "reach", ..wanted }), NoPlan::NoSettings);
    assert_eq!(no(Wanted { wind: Wind::knots(20.0), ..wanted }), NoPlan::NoRow);
    assert_eq!(no(Wanted { control: "cunningham", ..wanted }), NoPlan::NoControl);
    assert_eq!(no(Wanted { wind: Wind::knots(14.0), ..wanted }), NoPlan::NoReading);
    let mut tight = nothing();
    tight.limits = (Some(4.5), Some(5.5));
    assert_eq!(planned(&tight, Some(wanted)).unwrap_err(), NoPlan::NoRoom);
}

#[test]
fn what_is_disputed_is_asked_first_then_what_was_begun_then_what_most_notes_doubt() {
    assert_eq!(planned(&nothing(), None), Err(NoPlan::NothingOpen));
    let with_outhaul = |when: &str, reading: f64| {
        let mut own = note(when, 12.0, "lead", one(5.0));
        own.readings.push(("outhaul".to_owned(), one(reading)));
        own
    };
    let mut sailed = nothing();
    sailed.notes = vec![with_outhaul("2027-06-01 10:00", 4.0), with_outhaul("2027-06-02 10:00", 3.0)];
    let own = planned(&sailed, None).unwrap();
    assert_eq!((own.control, own.why), (1, Why::MostSailed { minutes: 0.0, slow: 0, other: 1 }));
    sailed.trial("t", "2027-06-12 14:00", &GOOD);
    let own = planned(&sailed, None).unwrap();
    assert_eq!((own.control, own.why, own.sailed), (0, Why::Begun, 1));
    sailed.notes[0].verdict = Some(Verdict::Fast);
    sailed.notes[1].verdict = Some(Verdict::Fast);
    sailed.notes[0].readings[1].1 = one(6.0);
    let own = planned(&sailed, None).unwrap();
    assert_eq!((own.control, own.why), (1, Why::Disputed));
}

#[test]
fn what_is_kept_or_to_be_changed_is_not_asked_again() {
    let mut sailed = nothing();
    sailed.trials(8, [-0.2, 0.0, -0.1]);
    assert_eq!(planned(&sailed, None), Err(NoPlan::NothingOpen));
}
