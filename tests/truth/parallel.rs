//! Nothing that is printed depends on how many of the processor's cores made it.

use crate::common::whole;

use cockpit_cards::book;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::printing::{self, Options};

/// Every file of the built-in example, and every problem, made by so many threads.
fn made_by(threads: usize) -> (Vec<(String, Vec<u8>)>, Vec<String>) {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    pool.install(|| {
        let loaded = book::from_text("full.yaml", include_str!("../../examples/full.yaml"), &whole::table, has_glyph);
        let mut problems = loaded.problems;
        let book = loaded.book.expect("a book");
        let files = printing::print(&book, &Options { png: true, ..Options::default() }, &mut problems);
        let words = problems.iter().map(|problem| format!("{problem:?}")).collect();
        (files.expect("files").in_memory().expect("every file can be made"), words)
    })
}

#[test]
fn one_thread_and_many_write_the_same_bytes() {
    let (one, said) = made_by(1);
    assert!(one.len() > 50, "{} files", one.len());
    let (many, also_said) = made_by(7);
    let names = |files: &[(String, Vec<u8>)]| files.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
    assert_eq!(names(&one), names(&many));
    for ((name, bytes), (_, others)) in one.iter().zip(&many) {
        assert!(bytes == others, "{name}");
    }
    assert_eq!(said, also_said);
}

#[test]
fn problems_come_in_the_order_of_the_cards_whoever_finds_them() {
    let mut text = String::from(
        "book: 1\nboat: {name: Glasswort}\nwind_bands: [4, 8, 11, 14, 17, 20]\ncontrols:\n  backstay: {higher_is: \
         tighter, scale: {marks: 0..10, spacing: 15 mm, halves: true}}\nsails:\n  main: {kind: mainsail}\nsettings:\n",
    );
    let ids: Vec<String> = (0..40).map(|index| format!("s{index:02}")).collect();
    for id in &ids {
        text += &format!(
            "  - {{id: {id}, title: {id}, sails: [main], point_of_sail: upwind, controls: [backstay], at: {{6: [0], 18: [5]}}}}\n"
        );
    }
    text += "cards:\n";
    for id in &ids {
        text += &format!("  - {{kind: wind-settings, settings: {id}, size: 15 x 15 mm, id: {id}}}\n");
    }
    let loaded = book::from_text("book.yaml", &text, &whole::table, has_glyph);
    let mut problems = loaded.problems;
    let book = loaded.book.unwrap_or_else(|| panic!("{problems:#?}"));
    let pool = rayon::ThreadPoolBuilder::new().num_threads(7).build().expect("threads");
    assert!(pool.install(|| printing::print(&book, &Options::default(), &mut problems)).is_none());
    let named: Vec<&str> = problems.iter().filter_map(|problem| problem.what.split('`').nth(1)).collect();
    assert_eq!(named, ids);
}
