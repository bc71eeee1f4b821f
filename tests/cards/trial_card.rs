//! The card to sail a trial by: legs in the order they were planned in, what must stay the same, and no way to miss a limit.

use crate::reading;

use cockpit_cards::book::Book;
use cockpit_cards::cards::trial::{self, Question, Trial};
use cockpit_cards::cards::{Card, Edition, Label};
use cockpit_cards::drawing::{Drawing, Shape};
use cockpit_cards::output::png;
use cockpit_cards::tuning::{Angle, Wind};
use reading::load;

const FULL: &str = include_str!("../../examples/full.yaml");

fn full() -> Book {
    load(FULL).book.expect("the example is sound")
}

/// The backstay of the example round 14 kn.
fn question<'a>(book: &'a Book, readings: &[f64], legs: &[f64]) -> Question<'a> {
    Question {
        settings: book.settings("j1-upwind").expect("they are there"),
        row: (Wind::knots(10.0), None),
        control: book.controls.iter().position(|control| control.id.value == "backstay").expect("it is there"),
        readings: readings.to_vec(),
        legs: legs.to_vec(),
        winds: (Wind::knots(8.5), Wind::knots(11.5)),
        angles: None,
        name: "backstay-10-1".to_owned(),
    }
}

fn of(book: &Book, readings: &[f64], legs: &[f64]) -> Card {
    trial::card(book, &question(book, readings, legs), None).expect("a card")
}

fn drawn(book: &Book, card: &Card) -> Drawing {
    card.content.layout(&Label::new(book, &card.stamp, Edition::Draft)).expect("a drawing")
}

#[test]
fn each_leg_has_its_letter_its_reading_and_three_boxes_and_the_second_half_mirrors_the_first() {
    let book = full();
    let card = of(&book, &[1.0, 2.0, 3.0], &[2.0, 3.0, 1.0, 1.0, 3.0, 2.0]);
    let says: &Trial = card.says().expect("a trial");
    let legs: Vec<(&str, &str)> = says.legs.iter().map(|(letter, mark)| (letter.as_str(), mark.as_str())).collect();
    assert_eq!(legs, [("M", "2"), ("H", "3"), ("L", "1"), ("L", "1"), ("H", "3"), ("M", "2")]);
    assert!(legs.iter().eq(legs.iter().rev()));
    assert_eq!(card.title, "Trial backstay-10-1: Backstay 1, 2 or 3 at 10 kn?");
    let drawing = drawn(&book, &card);
    let is_box = |shape: &&Shape| matches!(shape, Shape::Stroke { path, .. } if path.elements().len() == 5);
    // Three to a leg, and the one round what must be read.
    assert_eq!(drawing.items.iter().map(|item| &item.shape).filter(is_box).count(), 3 * 6 + 1);
}

#[test]
fn everything_else_on_the_settings_card_stands_there_to_stay_the_same() {
    let book = full();
    let card = of(&book, &[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0, 3.0, 2.0, 1.0]);
    let says: &Trial = card.says().expect("a trial");
    let settings = book.settings("j1-upwind").expect("they are there");
    assert_eq!(says.same.len(), settings.controls.len() - 1);
    assert!(says.same.iter().all(|(control, _)| *control != says.control));
    let texts: Vec<String> = drawn(&book, &card).texts().map(|text| text.content.clone()).collect();
    for (control, mark) in &says.same {
        assert!(texts.contains(control) && texts.contains(mark), "{control} {mark}");
    }
}

#[test]
fn the_limit_stands_in_the_box_and_two_readings_make_four_legs() {
    let book = full();
    let card = of(&book, &[6.0, 7.0], &[6.0, 7.0, 7.0, 6.0]);
    let says: &Trial = card.says().expect("a trial");
    assert_eq!(says.limits, ["NEVER PAST 7: 180 bar at mark 7, measured 2027-04-11"]);
    assert_eq!(says.readings, "6 or 7");
    let letters: Vec<&str> = says.legs.iter().map(|(letter, _)| letter.as_str()).collect();
    assert_eq!(letters, ["L", "H", "H", "L"]);
    assert!(drawn(&book, &card).texts().any(|text| text.content.starts_with("NEVER PAST 7")));
}

#[test]
fn with_an_angle_the_card_says_so_in_its_title_and_where_it_ends() {
    let book = full();
    let mut question = question(&book, &[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0, 3.0, 2.0, 1.0]);
    question.settings = book.settings.iter().find(|settings| settings.angled.is_some()).expect("one by angle");
    question.row.1 = Some(Angle::degrees(80.0));
    question.angles = Some((Angle::degrees(70.0), Angle::degrees(90.0)));
    let card = trial::card(&book, &question, None).expect("a card");
    let says: &Trial = card.says().expect("a trial");
    assert_eq!((says.at.as_str(), says.within.as_str()), ("10 kn, 80°", "8½ to 11½ kn, 70° to 90°"));
    drawn(&book, &card);
}

#[test]
fn nothing_on_the_card_touches_anything_else() {
    let book = full();
    let card = of(&book, &[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0, 3.0, 2.0, 1.0]);
    let drawing = drawn(&book, &card);
    let texts: Vec<_> = drawing.texts().filter(|text| text.content != "EXAMPLE").collect();
    for (nth, one) in texts.iter().enumerate() {
        for other in &texts[nth + 1..] {
            let both = one.ink().intersect(other.ink());
            assert!(both.is_zero_area() || both.width() < 0.0, "{} over {}", one.content, other.content);
        }
    }
    if let Ok(file) = std::env::var("TRIAL_PNG") {
        std::fs::write(file, png::png(&drawing, 150.0).expect("a picture")).expect("written");
    }
}

#[test]
fn what_nobody_may_miss_and_which_kind_of_card_it_is_have_capitals_of_3_mm_and_the_bounds_are_those_that_count() {
    let book = full();
    let card = of(&book, &[1.0, 2.0, 3.0], &[1.0, 2.0, 3.0, 3.0, 2.0, 1.0]);
    let drawing = drawn(&book, &card);
    for words in ["NEVER PAST 7 on the backstay.", "SAFETY FIRST", "TRIAL · HELM NOT TOLD · J1 + Main, UPWIND"] {
        let text = drawing.texts().find(|text| text.content.starts_with(words)).unwrap_or_else(|| panic!("{words}"));
        assert!(text.cap_height() >= 3.0 - 1e-9, "{words}: {}", text.cap_height());
    }
    // The headline is the question, and nothing is larger.
    let headline = drawing.texts().find(|text| text.content == "Backstay 1, 2 or 3 at 10 kn?").expect("the question");
    let texts = drawing.texts().filter(|text| text.content != "EXAMPLE");
    let largest = texts.map(|text| text.cap_height()).fold(0.0, f64::max);
    assert!((headline.cap_height() - largest).abs() < 1e-9);
    let words = drawing.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
    // The same bound as a trial is counted by.
    assert!(words.contains("the winds of two legs are over 3 kn apart"), "{words}");
    // What stays the same is as easily read.
    let mark = drawing.texts().find(|text| text.content == "MUST STAY THE SAME").expect("a heading");
    assert!(mark.cap_height() >= 2.96, "{}", mark.cap_height());
}
