//! What every fuzz target does with its bytes: gives them, as a text, to the reader of that sort of input, and stops at whatever
//! is untrue or badly told. The readers' own checks are those of `tests/hostile/hostile.rs`.

#[allow(dead_code)]
#[path = "../../tests/common/books/mod.rs"]
pub mod books;
#[allow(dead_code)]
#[path = "../../tests/common/inputs/mod.rs"]
pub mod inputs;
#[allow(dead_code)]
#[path = "../../tests/common/sailed_log.rs"]
pub mod sailed_log;

use books::Book;
use inputs::Sort;

/// Tries bytes as an input of a sort.
///
/// # Panics
/// If the refusal says too little, or what was taken cannot be: a find.
pub fn attempt(sort: Sort, bytes: &[u8]) {
    told(inputs::attempt(sort, &Book { text: sort.text(bytes), ..Book::default() }));
}

/// Makes up a book from bytes and tries it, its cards drawn.
///
/// # Panics
/// As [`attempt`].
pub fn attempt_made_up(bytes: &[u8]) {
    let row: Vec<u32> =
        bytes.chunks(4).map(|four| four.iter().fold(0, |number, byte| number << 8 | u32::from(*byte))).collect();
    let book = books::sound(&row);
    told(inputs::told_of(&cockpit_cards::door::check(inputs::load(&book))).map(|()| true));
}

fn told(outcome: Result<bool, String>) {
    if let Err(fault) = outcome {
        panic!("{fault}");
    }
}
