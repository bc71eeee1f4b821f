//! The card that notes are written on has the lines of the notes' file, and can be written on.

use crate::common::whole;

use cockpit_cards::book::{Book, NoteColumn, NoteField, notes};
use cockpit_cards::cards::notes_blank::{NotesBlank, Spread, card};
use cockpit_cards::cards::{Card, Label, draw_sides};
use cockpit_cards::drawing::{Drawing, Shape};
use cockpit_cards::size::NamedSize;
use kurbo::Shape as _;

fn example() -> Book {
    whole::load(whole::EXAMPLES[1].1).book.expect("the example is sound")
}

fn lines(card: &Card) -> Vec<String> {
    let sides = card.sides().map(|side| side.says::<NotesBlank>().expect("a card to write on").lines());
    sides.flatten().map(|line| line.name.clone()).collect()
}

#[test]
fn its_lines_are_the_columns_of_the_file_in_their_order_by_names_that_the_file_takes() {
    let book = example();
    let size = NamedSize::parse("A5").expect("a size");
    let wanted: Vec<NoteColumn> =
        book.note_columns().into_iter().filter(|column| *column != NoteColumn::Always(NoteField::Found)).collect();
    let both = lines(&card(&book, None, &size, Spread::BothSides));
    let read: Vec<NoteColumn> = both.iter().filter_map(|line| notes::column(line, &book.controls)).collect();
    assert_eq!(read, wanted);
    let one = card(&book, None, &size, Spread::OneSide);
    assert_eq!(lines(&one), [both.clone(), both].concat(), "each side holds them all");
}

#[test]
fn of_some_settings_it_has_their_controls_alone() {
    let book = example();
    let size = NamedSize::parse("A5").expect("a size");
    let all = lines(&card(&book, book.settings("j1-upwind"), &size, Spread::BothSides));
    assert!(all.iter().any(|line| line == "Inhauler") && !all.iter().any(|line| line == "Checkstay"), "{all:?}");
    assert!(all.iter().any(|line| line == "Jib lead starboard"), "{all:?}");
}

#[test]
fn on_both_sides_of_a_pocket_card_there_is_room_for_a_gloved_hand() {
    let book = example();
    let size = NamedSize::parse("148 x 210 mm").expect("a size");
    let card = card(&book, None, &size, Spread::BothSides);
    let label = Label::new(&book, &card.stamp, cockpit_cards::cards::Edition::Loose);
    let (front, back) = draw_sides(&card, &label, &mut Vec::new()).expect("it fits");
    let back = back.expect("a back");
    for (drawing, least) in [(&front, 12), (&back, 11)] {
        assert_eq!((drawing.size.width, drawing.size.height), (148.0, 210.0));
        let rules = rules(drawing);
        let gaps: Vec<f64> = rules.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let rows = gaps.iter().filter(|gap| **gap >= cockpit_cards::cards::LEAST_ROW_MM - 0.01).count();
        assert!(rows >= least, "{gaps:?}");
    }
}

/// Where level lines across the card lie, from the top.
fn rules(drawing: &Drawing) -> Vec<f64> {
    let level = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Stroke { path, .. } => Some(path.bounding_box()).filter(|area| area.height() == 0.0),
        _ => None,
    });
    level.filter(|area| area.width() > drawing.size.width / 2.0).map(|area| area.y0).collect()
}
