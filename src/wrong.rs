//! What is wrong and what would be right, before anybody knows where: the one error of everything below the book. Knows no
//! file and no place.

use std::fmt;

/// What is wrong and what would be right.
///
/// ```
/// use cockpit_cards::size::NamedSize;
///
/// let Err(wrong) = NamedSize::parse("A66") else { panic!("there is no such size") };
/// assert!(wrong.what.contains("A66") && !wrong.instead.is_empty());
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// What is wrong: `"Backstay" has no mark 9: its scale ends at 8`.
    pub what: String,
    /// What would be right: `write a mark from 0 to 8`.
    pub instead: String,
}

impl Wrong {
    /// From both in words.
    pub fn new(what: impl Into<String>, instead: impl Into<String>) -> Self {
        Wrong { what: what.into(), instead: instead.into() }
    }

    /// The same, said of something: `the spacing: ...`.
    pub fn about(self, what: &str) -> Self {
        Wrong { what: format!("{what}: {}", self.what), ..self }
    }
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.what, self.instead)
    }
}

impl std::error::Error for Wrong {}

/// Characters of a text that a message repeats: enough to know it again.
const SHOWN_CHARACTERS: usize = 40;

/// A text as a message repeats it: in backticks, shortened, and with nothing in it that could upset a terminal.
pub fn shown(text: &str) -> String {
    let safe = |character: char| {
        if character.is_control() || is_hidden(character) { char::REPLACEMENT_CHARACTER } else { character }
    };
    let mut start: String = text.chars().take(SHOWN_CHARACTERS).map(safe).collect();
    if text.chars().nth(SHOWN_CHARACTERS).is_some() {
        start.push('…');
    }
    if start.contains('`') { format!("\"{start}\"") } else { format!("`{start}`") }
}

/// Characters that show nothing and can make a text read otherwise than it is: bidirectional controls, zero-width
/// characters, the soft hyphen, variation selectors and tags (Unicode 16, property `Default_Ignorable_Code_Point`).
pub fn is_hidden(character: char) -> bool {
    matches!(character,
        '\u{AD}' | '\u{34F}' | '\u{61C}' | '\u{115F}' | '\u{1160}' | '\u{17B4}' | '\u{17B5}' | '\u{180B}'..='\u{180F}'
        | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{3164}'
        | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' | '\u{FFA0}' | '\u{FFF0}'..='\u{FFF8}' | '\u{1BCA0}'..='\u{1BCA3}'
        | '\u{1D173}'..='\u{1D17A}' | '\u{E0000}'..='\u{E0FFF}')
}
