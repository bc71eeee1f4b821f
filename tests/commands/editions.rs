//! What was released of a book is told from what it says now: card by card, in words, and whatever happened to the file.

use crate::reading;
use crate::swap::Swap;

use cockpit_cards::book::Book;
use cockpit_cards::cards::{self, Card, Edition};
use cockpit_cards::editions::due::check_stamp;
use cockpit_cards::editions::slip::Slip;
use cockpit_cards::editions::{Due, Editions, Holding, Why};
use reading::{SOUND, load, spoilt};

fn read(text: &str) -> (Book, Vec<Card>) {
    let loaded = load(text);
    assert!(loaded.is_sound(), "{}", reading::complaints(&loaded));
    let book = loaded.book.expect("a book");
    let cards = cards::cards(&book, &mut Vec::new());
    (book, cards)
}

/// The cards of a text with their settled stamps, and what is due of them.
fn due(text: &str, editions: &Editions, labels: bool) -> (Book, Vec<Card>, Due) {
    let (book, mut cards) = read(text);
    editions.settle_stamps(&mut cards);
    let due = Due::of(&book, &cards, editions, labels);
    (book, cards, due)
}

fn release(text: &str, editions: &Editions, date: &str) -> Editions {
    let (book, cards, due) = due(text, editions, false);
    due.released(&book, &cards, editions, date)
}

fn first() -> Editions {
    release(SOUND, &Editions::default(), "2027-05-01")
}

/// The words that a change of the book is told in, for one card.
fn words(piece: &str, replacement: &str, id: &str) -> Vec<String> {
    let (_, _, due) = due(&spoilt(piece, replacement), &first(), false);
    match due.items.into_iter().find(|item| item.id == id).map(|item| item.why) {
        Some(Why::Changed { words, .. }) => words,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_released_book_has_nothing_due_and_its_cards_carry_their_edition() {
    let editions = first();
    let (_, cards, due) = due(SOUND, &editions, true);
    assert!(due.is_empty(), "{due:?}");
    assert_eq!(due.unchanged.len(), cards.len());
    for card in &cards {
        let released = Edition::Released { number: 1, date: "2027-05-01".to_owned() };
        assert_eq!(editions.edition_of(card), released);
    }
    let (_, changed) = read(&spoilt("14: [4½, 14, hard]", "14: [4, 14, hard]"));
    let drafts: Vec<&str> =
        changed.iter().filter(|c| editions.edition_of(c) == Edition::Draft).map(|c| c.id.as_str()).collect();
    assert_eq!(drafts, ["j1-upwind", "change-j1-upwind"]);
}

#[test]
fn a_change_is_told_in_words() {
    assert_eq!(
        words("10: [2, 12, snug]", "10: [3, 12, hard]", "j1-upwind"),
        [
            "5 to 8 kn: Backstay was 0 to 1, now 0 to 1½",
            "8 to 11 kn: Backstay was 1 to 2½, now 1½ to 3½, Vang snug to hard",
            "11 to 14 kn: Backstay was 2½ to 4½, now 3½ to 4½, Vang was snug to hard, now hard"
        ]
    );
    // What is known, where what to set stays.
    let rows = "14: [4½, 14, hard]\n      15: [4½, ~, ~]\n      16: [4½, ~, ~]";
    assert_eq!(
        words("14: [4½, 14, hard]", rows, "j1-upwind"),
        ["14 to 16 kn: Backstay 4½, known was ● 4½ at 14, now ● 4½ at 14 and ● 4½ at 15 and 1 more"]
    );
    assert_eq!(
        words("lead:\n    higher_is: aft", "lead:\n    name: Car\n    higher_is: aft", "j1-upwind"),
        ["new column Car", "column Lead taken out"]
    );
    assert_eq!(
        words("spacing: 20 mm", "spacing: 21 mm", "strip-backstay"),
        ["mark 8 stands 168 mm from the first, not 160 mm"]
    );
    assert_eq!(words("marks: 0..8,", "marks: 0..9,", "strip-backstay")[0], "marks were 0 to 8, now 0 to 9");
    assert_eq!(words("Chervil", "Saltwort", "j1-upwind"), ["boat Chervil to Saltwort"]);
    let rows = "controls: [backstay, lead, vang]\n    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]";
    let turned = "controls: [lead, backstay, vang]\n    at:\n      6:  [13, 0, eased]\n      10: [12, 2, snug]\n      14: [14, 4½, hard]";
    assert_eq!(words(rows, turned, "j1-upwind"), ["columns in another order"]);
}

#[test]
fn the_file_gives_back_what_was_put_in_and_the_same_bytes_for_the_same_records() {
    let awkward = spoilt("name: Chervil", "name: \"no: ~ # 1e3, 'yes' — ½ 012\"");
    let mut editions = release(&awkward, &first(), "2027-06-01");
    for (index, text) in
        ["true", "~", "1e3", "0x1F", "- a", "a: b", " lead", "#", "'", "\"", "12:30", "y", "½"].iter().enumerate()
    {
        let record = editions.cards.get_mut("j1-upwind").expect("a card");
        record.content[format!("field {index}")] =
            serde_json::json!({ "text": text, "list": [[text], null, 1.5, false] });
    }
    let text = editions.text().expect("YAML");
    let again = Editions::parse(&text).expect("the same");
    assert_eq!(again.cards, editions.cards);
    assert_eq!(again.text().expect("YAML"), text);
    // One value a line: a change of one value shows as one line in version control.
    assert!(text.lines().all(|line| line.len() < 160), "{text}");
}

#[test]
fn a_damaged_file_or_one_of_a_later_form_says_so() {
    let sound = first().text().expect("YAML");
    let fault = |text: &str| Editions::parse(text).expect_err("damaged").what;
    assert!(fault(&sound.swap("editions: 1", "editions: 2\nnovelty: {}")).contains("form 2"));
    for (end, _) in sound.match_indices('\n').filter(|(end, _)| end + 1 < sound.len()) {
        assert!(fault(&sound[..=end]).contains("damaged"), "cut short after {end} bytes");
    }
    assert!(fault("").contains("damaged"));
    assert!(fault(&sound.swap("- edition: 1", "- edition: 1\n      novelty: 2")).contains("novelty"));
    assert!(fault(&sound.swap("2027-05-01", "2027-02-30")).contains("2027-02-30"));
    assert!(fault(&sound.replacen("stamp: ", "stamp: O", 1)).contains("stamp"));
    let twice = sound.replacen("  strip-lead:", "  strip-backstay:", 1);
    assert!(fault(&twice).contains("strip-backstay"), "{}", fault(&twice));
}

#[test]
fn a_new_name_for_the_boat_asks_for_no_strip_unless_labels_are_asked_for() {
    let renamed = spoilt("Chervil", "Saltwort");
    let kinds = |labels| {
        let (_, _, due) = due(&renamed, &first(), labels);
        due.items.iter().map(|item| item.id.clone()).collect::<Vec<_>>()
    };
    assert_eq!(kinds(false), ["j1-upwind", "change-j1-upwind"]);
    assert_eq!(kinds(true), ["j1-upwind", "change-j1-upwind", "strip-backstay", "strip-lead"]);

    let (book, cards, due_now) = due(&renamed, &first(), true);
    let next = due_now.released(&book, &cards, &first(), "2027-06-01");
    assert_eq!(next.cards["strip-lead"].releases.len(), 1, "the same content is the same edition");
    assert!(due(&renamed, &next, true).2.is_empty());
}

#[test]
fn a_card_that_leaves_the_book_is_waste_once_and_comes_back_as_a_new_edition() {
    let without = spoilt(
        "  lead:\n    higher_is: aft\n    scale: {marks: 0..20, spacing: 25 mm}",
        "  lead: {scale: {words: [in, out]}}",
    )
    .swap("13, eased", "in, eased")
    .swap("12, snug", "in, snug")
    .swap("14, hard", "out, hard");
    let (_, _, due_now) = due(&without, &first(), false);
    let gone = due_now.items.iter().find(|item| item.id == "strip-lead").expect("the strip");
    assert!(matches!(&gone.why, Why::Withdrawn { old, now_on: None } if old.edition == 1));
    let next = release(&without, &first(), "2027-06-01");
    assert!(due(&without, &next, false).2.is_empty());
    let back = release(SOUND, &next, "2027-07-01");
    assert_eq!(back.cards["strip-lead"].releases.iter().map(|r| r.edition).collect::<Vec<_>>(), [1, 2]);
    assert_eq!(back.cards["strip-lead"].withdrawn, None);
}

#[test]
fn a_stamp_in_the_hand_is_current_superseded_or_unknown() {
    let editions = first();
    let changed = spoilt("14: [4½, 14, hard]", "14: [4, 14, hard]");
    let stamp = editions.cards["j1-upwind"].releases[0].stamp.clone();
    let (_, cards, _) = due(SOUND, &editions, false);
    let held = |stamp: &str, cards: &[Card], editions: &Editions| Holding::of(stamp, cards, editions).remove(0);
    assert!(held(&stamp.to_lowercase(), &cards, &editions).is_good());
    assert_eq!(held("AAAAA", &cards, &editions), Holding::Unknown);

    let (_, cards, _) = due(&changed, &editions, false);
    let draft = cards[0].stamp.clone();
    assert!(matches!(held(&draft, &cards, &editions), Holding::Draft { .. }));
    assert!(matches!(held(&stamp, &cards, &editions), Holding::Current { due: Some(_), .. }));

    let next = release(&changed, &editions, "2027-06-01");
    match held(&stamp, &cards, &next) {
        Holding::Superseded { held, by, .. } => {
            assert_eq!((held.edition, by.len()), (1, 1));
            assert_eq!((by[0].edition, by[0].date.as_str()), (2, "2027-06-01"));
            assert_eq!(
                by[0].changed,
                ["11 to 14 kn: Backstay was 2½ to 4½, now 2½ to 4", "14 to 16 kn: Backstay 4½ to 4"]
            );
        }
        other => panic!("{other:?}"),
    }
    // Back to the first content: what was printed then is right again.
    let again = release(SOUND, &next, "2027-07-01");
    let (_, cards, _) = due(SOUND, &again, false);
    assert!(held(&stamp, &cards, &again).is_good());
}

#[test]
fn a_character_that_no_stamp_has_is_pointed_out() {
    assert_eq!(check_stamp("7fk2m"), Ok(()));
    assert_eq!(check_stamp("7FK0M"), Err('0'));
    assert_eq!(check_stamp("7FKéM"), Err('é'));
}

#[test]
fn a_stamp_that_older_content_has_is_lengthened_and_one_released_stays() {
    let (_, cards) = read(SOUND);
    let mut editions = first();
    let record = editions.cards.get_mut("strip-lead").expect("a card");
    // Another content of long ago whose first five characters are those of the new card's.
    let twin = &cards.iter().find(|card| card.id == "strip-backstay").expect("a strip").digest;
    record.releases[0].digest = format!("{}AAAAAAAAAAAAAAA", &twin[..5]);
    record.releases[0].stamp = twin[..5].to_owned();
    let mut released = read(SOUND).1;
    editions.settle_stamps(&mut released);
    assert_eq!(released.iter().find(|c| c.id == "strip-backstay").map(|c| c.stamp.len()), Some(5));
    editions.cards.remove("strip-backstay");
    let mut unreleased = read(SOUND).1;
    editions.settle_stamps(&mut unreleased);
    let longer = unreleased.iter().find(|c| c.id == "strip-backstay").expect("a strip");
    assert!(longer.stamp.len() > 5 && twin.starts_with(&longer.stamp), "{}", longer.stamp);
}

#[test]
fn a_slip_stays_on_its_page_and_counts_what_finds_no_room() {
    let (_, _, due_now) = due(&spoilt("14: [4½, 14, hard]", "14: [4, 14, hard]"), &first(), false);
    let long = |items: usize, words: usize| {
        let mut item = due_now.items[0].clone();
        if let Why::Changed { words: said, .. } = &mut item.why {
            *said = vec!["14 to 17 kn: Backstay 3½ to 4".to_owned(); words];
        }
        Due { items: vec![item; items], unchanged: Vec::new() }
    };
    let size = kurbo::Size::new(180.0, 240.0);
    let written = |due: &Due| -> Vec<String> {
        let slip = Slip { boat: "Chervil", date: "2027-06-01", due, printed: &|_| String::new(), pages: Vec::new() };
        let drawing = slip.draw(size);
        for item in &drawing.items {
            let bounds = item.shape.bounds();
            assert!(bounds.x0 >= 0.0 && bounds.y0 >= 0.0 && bounds.x1 <= size.width && bounds.y1 <= size.height);
        }
        drawing.texts().map(|text| text.content.clone()).collect()
    };
    let counted = |due: &Due, words: &str| written(due).iter().filter(|text| text.contains(words)).count();
    assert_eq!(counted(&long(2, 5), "Backstay 3½ to 4"), 10);
    assert_eq!(counted(&long(2, 200), "188 changes more"), 2);
    assert_eq!(counted(&long(400, 3), "lines more"), 1);
}
