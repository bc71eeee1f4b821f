//! Books of one section of gear to rig or to stow, and the card or the refusal that comes of it.

use cockpit_cards::book::{Book, Level};
use cockpit_cards::drawing::Drawing;

use super::whole::{draw, load};

/// A book with this section.
pub fn book(section: &str) -> String {
    format!(
        "book: 1\nboat: {{name: Pepperwort, length: 11.5 m}}\ncontrols: {{backstay: {{scale: {{marks: 0..8, spacing: 20 mm}}}}}}\n{section}"
    )
}

/// The card with this id of a sound book.
pub fn drawing(book: &str, id: &str) -> Drawing {
    let (drawn, problems) = draw(book);
    assert!(problems.is_empty(), "{problems:?}");
    drawn.into_iter().find(|drawn| drawn.card.id == id).expect("the card").drawing.expect("it fits")
}

/// Each change of a sound section is told in these words, with place and remedy, and leaves nothing to print a card of.
pub fn assert_refused(section: &str, changes: &[(&str, &str, &str)], is_there: fn(&Book) -> bool) {
    for (from, to, told) in changes {
        assert!(section.contains(from), "{from}");
        let loaded = load(&book(&section.replace(from, to)));
        let errors: Vec<_> = loaded.problems.iter().filter(|problem| problem.level == Level::Error).collect();
        assert!(errors.iter().any(|problem| problem.what.contains(told)), "{told}: {errors:?}");
        for problem in errors {
            assert!(problem.place.is_some() && !problem.instead.is_empty(), "{problem:?}");
            assert!(!format!("{problem:?}").contains("NaN"), "{problem:?}");
        }
        assert!(loaded.book.is_none_or(|book| !is_there(&book)), "{told}");
    }
}
