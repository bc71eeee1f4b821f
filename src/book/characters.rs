//! Which characters a text of the book may hold, and the one form it is kept in. Knows no fields and no fonts.

use unicode_normalization::UnicodeNormalization;

use crate::limits::MAX_TEXT_CHARACTERS;
use crate::wrong::{Wrong, is_hidden, shown};

/// Whether a text could move the cursor of a terminal, or show otherwise than it reads.
pub fn misleads(text: &str) -> bool {
    text.chars().any(|character| character.is_control() || is_hidden(character))
}

/// A text in the form the book keeps: composed (NFC), on one line, without space at its ends.
pub fn tidy(text: &str) -> String {
    let one_line =
        text.split(['\n', '\r', '\t', '\u{2028}', '\u{2029}']).map(str::trim).filter(|part| !part.is_empty());
    one_line.collect::<Vec<_>>().join(" ").nfc().collect()
}

/// Cuts a text that is longer than any may be, which [`faults`] has told: whatever repeats it would repeat it whole.
pub fn shorten(text: &mut String) {
    if let Some((end, _)) = text.char_indices().nth(MAX_TEXT_CHARACTERS) {
        text.truncate(end);
        text.shrink_to_fit();
    }
}

/// What is to be said of a text with letters that are written from right to left: cards set all text from left to right.
pub fn runs_otherwise(text: &str) -> Option<Wrong> {
    let runs_left = |letter: char| {
        matches!(letter, '\u{590}'..='\u{8FF}' | '\u{FB1D}'..='\u{FDFF}' | '\u{FE70}'..='\u{FEFE}'
            | '\u{10800}'..='\u{10FFF}' | '\u{1E800}'..='\u{1EFFF}')
    };
    text.chars().any(runs_left).then(|| {
        Wrong::new(
            format!(
                "{} has letters that are written from right to left, and would be printed from left to right",
                shown(text)
            ),
            "write it in letters that run from left to right",
        )
    })
}

/// Everything wrong with the characters of a tidied text; each character is named once.
pub fn faults(text: &str, printable: fn(char) -> bool) -> Vec<Wrong> {
    let mut faults = Vec::new();
    if text.chars().nth(MAX_TEXT_CHARACTERS).is_some() {
        faults.push(Wrong::new(
            format!("{} is longer than {MAX_TEXT_CHARACTERS} characters", shown(text)),
            "no card holds so long a text: shorten it",
        ));
    }
    let mut seen: Vec<char> = Vec::new();
    for character in text.chars().take(MAX_TEXT_CHARACTERS) {
        let fault = if character.is_control() {
            Some(("a control character", "take it out"))
        } else if is_hidden(character) {
            Some(("a hidden character", "take it out: delete the word and type it again"))
        } else if !printable(character) {
            Some(("a character that cannot be printed", "none of the product's faces has it: write it another way"))
        } else {
            None
        };
        let Some((kind, instead)) = fault.filter(|_| !seen.contains(&character)) else { continue };
        seen.push(character);
        let code = u32::from(character);
        let name = if character.is_control() || is_hidden(character) {
            format!("U+{code:04X}")
        } else {
            format!("`{character}`, U+{code:04X}")
        };
        faults.push(Wrong::new(format!("{} holds {kind} ({name})", shown(text)), instead));
    }
    faults
}
