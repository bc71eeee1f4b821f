//! What any table on a card may hold, and that it stands clear of everything else: figures with signs, small print beneath
//! them, boxes to tick, lines to write on, heads read from below.
use crate::common;

use cockpit_cards::cards::Label;
use cockpit_cards::cards::parts::table::{
    Cell, Column, Head, Letters, Look, Over, Paragraph, Row, Ruled, Under, transposed,
};
use cockpit_cards::drawing::{Anchor, Drawing, Shape, Text, Weight};
use cockpit_cards::size::NamedSize;
use common::clear::clashes;
use kurbo::Shape as _;

fn card(size: &str, columns: Vec<Column>, rows: Vec<Row>) -> Ruled {
    let size = Some(NamedSize::parse(size).expect("a size"));
    Ruled { size, columns, rows, boxed_in: true, ..Ruled::default() }
}

fn drawn(card: &Ruled) -> Drawing {
    let drawing = card.draw(&Label::default()).expect("it fits");
    assert_eq!(clashes(&drawing), Vec::<String>::new());
    drawing
}

fn find<'a>(drawing: &'a Drawing, words: &str) -> &'a Text {
    drawing.texts().find(|text| text.content == words).unwrap_or_else(|| panic!("{words:?} is printed"))
}

fn centred(head: &str) -> Column {
    Column { anchor: Anchor::Middle, ..Column::wide(head, 1.0) }
}

fn signed(sign: &str, words: &str) -> Cell {
    Cell { sign: Some(sign.to_owned()), ..Cell::bold(words) }
}

fn beneath(figure: &str, small: &[&str]) -> Cell {
    let small =
        small.iter().map(|words| Paragraph { letters: Letters::Beneath, ..Paragraph::whole(*words, Weight::Regular) });
    let paragraphs = std::iter::once(Paragraph::whole(figure, Weight::Bold)).chain(small).collect();
    Cell { paragraphs, ..signed("●", "") }
}

#[test]
fn figures_stand_under_each_other_whether_or_not_a_sign_stands_before_them() {
    for column in [centred("lead"), Column::narrow("lead")] {
        let rows = vec![Row::of([signed("●", "13")]), Row::of([Cell::bold("14")]), Row::of([signed("»", "15")])];
        let drawing = drawn(&card("A6", vec![column], rows));
        let lefts = ["13", "14", "15"].map(|words| find(&drawing, words).origin.x);
        assert!(lefts.iter().all(|left| (left - lefts[0]).abs() < 1e-6), "{lefts:?}");
        let sign = find(&drawing, "●");
        assert!(sign.origin.x + sign.width() < lefts[0], "the sign stands before its figure");
        assert_eq!(sign.origin.y, find(&drawing, "13").origin.y);
    }
}

#[test]
fn numbers_end_under_each_other_and_under_their_head_whether_a_sign_or_small_print_stands_with_them() {
    let small =
        Cell { paragraphs: vec![Paragraph::of("8", Weight::Bold), Paragraph::small("mark 1")], ..Cell::empty() };
    let row = |number: Cell| Row::of([number, Cell::plain("words")]);
    let rows = vec![row(signed("●", "160")), row(small), row(Cell::bold("51"))];
    let drawing = drawn(&card("A6", vec![Column::numbers("LENGTH mm"), Column::wrapped("READ AT")], rows));
    let right = |words: &str| {
        let text = find(&drawing, words);
        text.origin.x + text.width()
    };
    let rights = ["LENGTH mm", "160", "8", "mark 1", "51"].map(right);
    assert!(rights.iter().all(|end| (end - rights[0]).abs() < 1e-6), "{rights:?}");
    let (words, cap) = (find(&drawing, "words").origin.x, find(&drawing, "160").cap_height());
    assert!(words - rights[0] > 1.5 * cap, "words that follow stand clear of them");
}

#[test]
fn numbers_with_decimals_have_their_points_under_each_other_and_words_among_them_end_at_the_right() {
    let rows = ["30", "28.6", "4.25", "unknown"].map(|words| Row::of([Cell::bold(words)]));
    let drawing = drawn(&card("A6", vec![Column::numbers("MASS kg")], rows.to_vec()));
    let wide = |words: &str, like: &Text| Text { content: words.to_owned(), ..like.clone() }.width();
    let point = |words: &str| {
        let text = find(&drawing, words);
        text.origin.x + wide(words.split('.').next().expect("a number"), text)
    };
    let points = ["30", "28.6", "4.25"].map(point);
    assert!(points.iter().all(|at| (at - points[0]).abs() < 1e-6), "{points:?}");
    let right = |words: &str| find(&drawing, words).origin.x + find(&drawing, words).width();
    assert!((right("4.25") - right("MASS kg")).abs() < 1e-6 && (right("unknown") - right("MASS kg")).abs() < 1e-6);
}

#[test]
fn small_print_beneath_a_figure_keeps_clear_of_its_tails_and_stands_level_in_a_row() {
    let rows = vec![Row::of([beneath("ça", &["● 4 at 14", "● 5 at 16"]), beneath("5", &["● 5 at 15"])])];
    let drawing = drawn(&card("A6", vec![centred("lead"), centred("vang")], rows));
    let (first, second, other) =
        (find(&drawing, "● 4 at 14"), find(&drawing, "● 5 at 16"), find(&drawing, "● 5 at 15"));
    let figure = find(&drawing, "ça");
    assert!(first.cap_height() < figure.cap_height() && first.distance < figure.distance);
    assert!(first.origin.y < second.origin.y, "one under the other");
    // The figure with one line stands in the middle of its row by itself; the drop to its small print is the same.
    let drop = first.origin.y - figure.origin.y;
    assert!((other.origin.y - find(&drawing, "5").origin.y - drop).abs() < 1e-6);
}

#[test]
fn a_line_to_write_on_begins_after_the_words_and_is_as_long_as_it_must_be() {
    const LEAST: f64 = 42.0;
    for column in [Column::narrow(""), Column::wrapped(""), centred("")] {
        let alone = Cell { write_mm: LEAST, ..Cell::empty() };
        let rows =
            vec![Row::of([Cell::bold("one"), Cell::to_write("mast:", LEAST)]), Row::of([Cell::bold("two"), alone])];
        let drawing = drawn(&card("A6", vec![Column::narrow(""), column], rows));
        let line_beside = |words: &Text| {
            let level = |line: &kurbo::Rect| line.height() < 0.5 && (line.center().y - words.origin.y).abs() < 0.2;
            let lines = drawing.items.iter().filter(|item| matches!(item.shape, Shape::Stroke { .. }));
            lines.map(|item| item.shape.bounds()).find(level).unwrap_or_else(|| panic!("a line at {:?}", words.content))
        };
        let words = find(&drawing, "mast:");
        let (beside, alone) = (line_beside(words), line_beside(find(&drawing, "two")));
        assert!(beside.x0 > words.origin.x + words.width() && beside.width() >= LEAST, "{beside:?}");
        assert!(alone.x0 <= words.origin.x && alone.width() > beside.width(), "{alone:?}, {beside:?}");
        assert!((alone.x1 - beside.x1).abs() < 1e-6, "both end with their column");
    }
}

#[test]
fn a_box_to_tick_stands_before_its_words_in_any_column() {
    for column in [Column::narrow("done"), centred("done")] {
        let rows = vec![Row::of([Cell::ticked("pin in")]), Row::of([Cell { tick: true, ..Cell::empty() }])];
        let drawing = drawn(&card("A6", vec![column], rows));
        let boxes = drawing.items.iter().map(|item| item.shape.bounds());
        let boxes: Vec<_> =
            boxes.filter(|area| area.width() > 2.0 && (area.width() - area.height()).abs() < 1e-6).collect();
        assert_eq!(boxes.len(), 2, "{boxes:?}");
        assert!(boxes[0].x1 < find(&drawing, "pin in").origin.x);
    }
}

#[test]
fn heads_read_from_below_let_more_columns_on_a_card() {
    let table = |turned: bool| {
        let column = |name: &str| Column {
            head: Head { turned, ..Head::from(Paragraph::whole(name, Weight::Bold)) },
            ..centred("")
        };
        let names = [
            "Backstay",
            "Halyard",
            "Traveller",
            "Outhaul",
            "Checkstay",
            "Inhauler",
            "Cunningham",
            "Tweaker",
            "Mast jack",
        ];
        card("A6 landscape", names.map(column).to_vec(), vec![Row::of(vec![Cell::bold("4½"); 9])])
    };
    assert!(table(false).draw(&Label::default()).is_err(), "level heads are too wide");
    let drawing = drawn(&table(true));
    let head = find(&drawing, "Cunningham");
    assert!((head.turn + std::f64::consts::FRAC_PI_2).abs() < 1e-9, "{}", head.turn);
    assert!(find(&drawing, "4½").origin.y > head.origin.y, "heads end above the rows");
}

#[test]
fn a_table_transposed_says_the_same_and_twice_transposed_is_itself() {
    let columns = [Column::narrow("WIND"), centred("Backstay"), centred("Vang")];
    let rows =
        [vec![Cell::bold("4 to 8"), Cell::bold("1"), Cell::bold("2")], vec![Cell::bold("8 to 11"), signed("●", "3")]];
    let (across, down) = transposed(&columns, &rows);
    let words = |cell: &Cell| cell.paragraphs.iter().flat_map(|words| words.runs.clone()).map(|run| run.0).collect();
    let told =
        |rows: &[Vec<Cell>]| -> Vec<Vec<String>> { rows.iter().map(|row| row.iter().map(words).collect()).collect() };
    let heads = |columns: &[Column]| -> Vec<String> {
        columns.iter().flat_map(|column| &column.head.paragraphs).map(|words| words.runs[0].0.clone()).collect()
    };
    assert_eq!(heads(&across), ["WIND", "4 to 8", "8 to 11"]);
    assert_eq!(told(&down), [vec!["Backstay", "1", "3"], vec!["Vang", "2", ""]]);
    assert_eq!(down[0][2].sign.as_deref(), Some("●"));
    assert!(across.iter().skip(1).all(|column| column.anchor == Anchor::Middle), "columns are made as they were");
    let (columns, rows) = transposed(&across, &down);
    assert_eq!(heads(&columns), ["WIND", "Backstay", "Vang"]);
    assert_eq!(told(&rows), [vec!["4 to 8", "1", "2"], vec!["8 to 11", "3", ""]]);
    let rows = down.into_iter().map(Row::of).collect();
    drawn(&card("A6", across, rows));
}

#[test]
fn letters_are_as_large_as_the_room_and_the_look_let_them_be() {
    let cap = |size: &str, most_mm: f64| {
        let rows = (0..9).map(|wind| Row::of([Cell::bold(format!("{wind} kn")), Cell::plain("ease the vang first")]));
        let table = card(size, vec![Column::narrow("WIND"), Column::wrapped("FIRST")], rows.collect());
        let look = Look { most_mm, ..Look::default() };
        find(&drawn(&Ruled { look, ..table }), "3 kn").cap_height()
    };
    let (small, large) = (cap("A6", 20.0), cap("A5", 20.0));
    assert!(small < large, "{small} on A6, {large} on A5");
    assert!((cap("A5", small) - small).abs() < 0.06, "no larger than the look wants, to a step");
}

#[test]
fn no_line_ends_with_a_sign_whose_number_begins_the_next() {
    let words =
        "Backstay 3½ to ● 4, TIGHTER, Jib lead 12 to » 13½, AFT, Cunningham off to ● wrinkles out, Vang ± 25 bar";
    let mut lines = 0;
    for width in 60..180 {
        let card =
            card(&format!("{width} x 160 mm"), vec![Column::wrapped("MOVES")], vec![Row::of([Cell::plain(words)])]);
        let Ok(drawing) = card.draw(&Label::default()) else { continue };
        for text in drawing.texts() {
            assert!(!["●", "»", "±"].iter().any(|sign| text.content.ends_with(sign)), "{width} mm: {:?}", text.content);
            lines += 1;
        }
    }
    assert!(lines > 500, "{lines}");
}

#[test]
fn a_regular_word_between_bold_marks_can_be_smaller_and_stands_on_their_line() {
    let range = |share: Option<f64>| {
        let runs =
            vec![("4".to_owned(), Weight::Bold), ("to".to_owned(), Weight::Regular), ("5".to_owned(), Weight::Bold)];
        let cell = Cell::from(Paragraph { runs, regular_share: share, ..Paragraph::default() });
        drawn(&card("A6", vec![Column::narrow("lead")], vec![Row::of([cell])]))
    };
    let (whole, small) = (range(None), range(Some(0.74)));
    let [mark, to] = ["4", "to"].map(|words| find(&small, words));
    assert!((to.cap_height() / mark.cap_height() - 0.74).abs() < 1e-9);
    assert_eq!(to.origin.y, mark.origin.y);
    let reach = |drawing: &Drawing| {
        let [first, last] = ["4", "5"].map(|words| find(drawing, words));
        (last.origin.x - first.origin.x) / first.cap_height()
    };
    assert!(reach(&small) < reach(&whole), "the room it leaves is not kept");
}

#[test]
fn letters_of_what_must_be_read_keep_their_size_in_any_table() {
    for size in ["A6", "A5"] {
        let must = Paragraph { letters: Letters::Must, ..Paragraph::of("higher: TIGHTER", Weight::Regular) };
        let cell = Cell { paragraphs: vec![Paragraph::of("Vang", Weight::Bold), must], ..Cell::default() };
        let drawing = drawn(&card(size, vec![Column::narrow("name")], vec![Row::of([cell])]));
        assert!((find(&drawing, "higher: TIGHTER").cap_height() - 3.0).abs() < 1e-9);
        assert!(find(&drawing, "Vang").cap_height() > 3.0);
    }
}

/// The upright lines of a drawing at a place across, from where to where.
fn upright(drawing: &Drawing) -> Vec<kurbo::Rect> {
    let bounds = drawing.items.iter().map(|item| item.shape.bounds());
    bounds.filter(|area| (0.1..1.0).contains(&area.width()) && area.height() > 1.0).collect()
}

#[test]
fn words_over_several_columns_are_crossed_by_no_line_and_make_their_columns_wide_enough() {
    let words = "neither is known of these two";
    let rows = vec![
        Row::of([Cell::bold("8"), Cell::bold("1"), Cell::bold("2")]),
        Row::of(std::iter::once(Cell::bold("9")).chain(Cell::plain(words).over_columns(2))),
        Row::of([Cell::bold("10"), Cell::bold("3"), Cell::bold("4")]),
    ];
    let drawing = drawn(&card("A5", vec![Column::narrow("WIND"), Column::narrow("A"), Column::narrow("B")], rows));
    let across = find(&drawing, words);
    let crossing = |line: &&kurbo::Rect| {
        let (left, right) = (across.origin.x, across.origin.x + across.width());
        left < line.x0 && line.x1 < right && line.y0 < across.origin.y && across.origin.y < line.y1
    };
    let lines = upright(&drawing);
    assert_eq!(lines.iter().filter(crossing).count(), 0);
    let beside = |words: &str| {
        let figure = find(&drawing, words).origin;
        lines.iter().any(|line| line.x0 > figure.x && line.y0 < figure.y && figure.y < line.y1)
    };
    assert!(beside("1") && beside("3"), "the rows above and below have it");
}

#[test]
fn words_over_several_heads_stand_above_them_and_no_line_parts_them() {
    let day = Column {
        over: Some(Over { paragraphs: vec![Paragraph::of("BUILDING", Weight::Bold)], columns: 2 }),
        ..centred("DAY")
    };
    let columns = vec![day, centred("NIGHT"), centred("Backstay")];
    let drawing = drawn(&card("A6", columns, vec![Row::of(vec![Cell::bold("4"); 3])]));
    let (over, day, night) = (find(&drawing, "BUILDING"), find(&drawing, "DAY"), find(&drawing, "NIGHT"));
    assert!(over.origin.y < day.origin.y - day.cap_height() && day.origin.y == night.origin.y);
    assert!(day.origin.x < over.origin.x + over.width() && over.origin.x < night.origin.x + night.width());
    let tops: Vec<f64> = upright(&drawing).iter().map(|line| line.y0).collect();
    assert_eq!(tops.iter().filter(|top| **top < over.origin.y).count(), 1, "only that before the third: {tops:?}");
}

#[test]
fn a_heavy_line_parts_columns_that_belong_together_where_lines_part_all() {
    let columns = vec![centred("A"), centred("B"), Column { ruled_off: true, ..centred("C") }];
    let drawing = drawn(&card("A6", columns, vec![Row::of(vec![Cell::bold("4"); 3])]));
    let widths: Vec<f64> = upright(&drawing).iter().map(kurbo::Rect::width).collect();
    assert!(widths.len() == 2 && widths[1] > widths[0] * 2.0, "{widths:?}");
}

#[test]
fn what_is_new_is_underlined_as_wide_as_its_words_and_clear_of_them() {
    for column in [centred("lead"), Column::narrow("lead")] {
        let new = Cell { underlined: true, ..signed("●", "4½") };
        let rows = vec![Row::Cells(vec![new], Under::Line), Row::of([Cell::bold("12")])];
        let drawing = drawn(&card("A6", vec![column], rows));
        let words = find(&drawing, "4½");
        let is_under =
            |area: &kurbo::Rect| (0.1..1.2).contains(&area.height()) && (area.x0 - words.origin.x).abs() < 0.8;
        let lines: Vec<_> = drawing.items.iter().map(|item| item.shape.bounds()).filter(is_under).collect();
        let [line] = lines[..] else { panic!("{lines:?}") };
        assert!((line.width() - words.width()).abs() < 1.5 && line.y0 > words.origin.y, "{line:?}");
    }
}

#[test]
fn a_name_and_what_is_said_of_it_hang_in_a_lane_unless_the_name_is_long() {
    let named = |name: &str| {
        let says = "Backstay ½ EASED · Jib halyard ½ EASED · Outhaul ½ EASED · Checkstay ½ EASED";
        let mut table = card("A6", vec![Column::narrow("lead")], vec![Row::of([Cell::bold("4")])]);
        table.surround.title = vec!["J1".to_owned()];
        table.surround.named =
            vec![(name.to_owned(), says.to_owned()), ("FLAT".to_owned(), "Backstay ½ TIGHTER".to_owned())];
        table.surround.must = vec!["Backstay NEVER PAST 7".to_owned()];
        drawn(&table)
    };
    let drawing = named("CHOP");
    let (name, other) = (find(&drawing, "CHOP"), find(&drawing, "Backstay ½ TIGHTER"));
    let first = drawing.texts().find(|text| text.content.starts_with("Backstay ½ EASED")).expect("what is said");
    assert_eq!(first.origin.y, name.origin.y);
    assert_eq!(first.origin.x, other.origin.x, "one lane");
    assert!(name.cap_height() >= 3.0 - 1e-9 && first.cap_height() >= 3.0 - 1e-9);
    assert!(other.origin.y < find(&drawing, "Backstay NEVER PAST 7").origin.y, "over the box");
    let long = named("CHOP FROM AN OLD SWELL, 8 TO 20 KN");
    let under = long.texts().find(|text| text.content.starts_with("Backstay ½ EASED")).expect("what is said");
    assert!(under.origin.y > find(&long, "CHOP FROM AN OLD SWELL, 8 TO 20 KN").origin.y);
}

#[test]
fn lines_to_write_on_stand_beside_the_stamp_or_over_it_and_never_on_a_card_too_narrow() {
    let lines = |size: &str, boat: &str| {
        let mut table = card(size, vec![Column::narrow("lead")], vec![Row::of([Cell::bold("4")])]);
        table.surround.title = vec!["J1".to_owned()];
        table.surround.to_write = vec![("CHANGED ABOARD", 3.0), ("DATE", 1.0)];
        let label = Label { boat: boat.to_owned(), ..Label::default() };
        let drawing = table.draw(&label).expect("it fits");
        assert_eq!(clashes(&drawing), Vec::<String>::new());
        drawing
    };
    let stamp =
        |drawing: &Drawing| drawing.texts().find(|text| text.content.contains("DRAFT")).expect("a stamp").origin.y;
    let wide = lines("A5 landscape", "Chervil");
    assert_eq!(find(&wide, "CHANGED ABOARD").origin.y, stamp(&wide));
    let long = lines("A6", "Chervil of the long name that she was given at the yard");
    assert!(find(&long, "DATE").origin.y < stamp(&long));
    assert!(lines("40 x 60 mm", "Chervil").texts().all(|text| text.content != "DATE"));
}

#[test]
fn words_that_must_be_read_are_three_millimetres_high_however_large_the_rows_beside_them() {
    let beside = |cap: f64| Look { most_mm: cap, ..Look::default() };
    for cap in [2.8, 3.5, 6.0] {
        let cell = Cell {
            paragraphs: vec![Paragraph::of("J1", Weight::Bold), Paragraph::must("to 14½", Weight::Regular)],
            ..Cell::default()
        };
        let table = card("A6", vec![Column::narrow("38° to 55°")], vec![Row::of([cell])]);
        let drawing = drawn(&Ruled { look: beside(cap), ..table });
        let (first, other) = (find(&drawing, "J1"), find(&drawing, "to 14½"));
        assert!((other.cap_height() - first.cap_height().min(3.0)).abs() < 1e-6, "{}", other.cap_height());
        assert_eq!(other.distance, first.distance, "both are read in the hand");
    }
}

#[test]
fn words_across_a_table_stand_in_a_line_that_is_seen_on_both_sides_of_them_and_stays_on_the_card() {
    for words in ["noon", "midnight · Wed 30 September", "a day that takes a good many words to be told from others"] {
        let rows = vec![Row::of([Cell::bold("one")]), Row::Across(words.to_owned()), Row::of([Cell::bold("other")])];
        let drawing = drawn(&card("A6", vec![Column::narrow("")], rows));
        let text = find(&drawing, words);
        let level = text.origin.y - text.cap_height() / 2.0;
        let lines = drawing.items.iter().filter_map(|item| match &item.shape {
            Shape::Stroke { path, .. } => {
                Some(path.bounding_box()).filter(|area| area.height() == 0.0 && (area.y0 - level).abs() < 1e-6)
            }
            _ => None,
        });
        let lines: Vec<_> = lines.collect();
        assert_eq!(lines.len(), 2, "{words}: before and after");
        let (before, after) = (lines[0], lines[1]);
        assert!(before.x0 >= 0.0 && after.x1 <= drawing.size.width, "{words}: {before} and {after} stay on it");
        assert!(before.width() > 1.9 && before.x1 < text.origin.x, "{words}: {before}");
        assert!(after.width() > 1.9 && after.x0 > text.origin.x + text.width(), "{words}: {after}");
    }
}
