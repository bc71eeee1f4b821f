//! Words broken into lines no longer than a terminal is wide, with nothing broken that is there to be pasted. Knows no terminal and
//! what no word means.

use std::fmt::Write as _;

/// What a command begins with that is there to be pasted.
const COMMAND: &str = "cockpit-cards ";
/// How much further in a line begins that goes on with the one before it.
const HANG: usize = 4;
/// What a command ends with where words go on behind it.
const ENDS_OF_COMMAND: [char; 4] = [';', ',', ')', '`'];

/// The text with each line that is too long broken at gaps between words; what goes on hangs by four letters more than the line begins
/// with. A word, or a command, that is longer than the width stays whole.
///
/// ```
/// use cockpit_cards::lines::broken;
///
/// assert_eq!(broken("  one two three\nfour", 14), "  one two\n      three\nfour");
/// assert_eq!(broken("type cockpit-cards build other.yaml", 12), "type\n    cockpit-cards build other.yaml");
/// ```
pub fn broken(text: &str, width: usize) -> String {
    let mut told = String::new();
    for line in text.split_inclusive('\n') {
        let (words, end) = line.strip_suffix('\n').map_or((line, ""), |words| (words, "\n"));
        let lead = words.chars().take_while(|letter| *letter == ' ').count();
        if words.chars().count() <= width {
            told.push_str(words);
        } else {
            break_line(words, width, lead, &mut told);
        }
        told.push_str(end);
    }
    told
}

fn break_line(line: &str, width: usize, lead: usize, told: &mut String) {
    let hang = (lead + HANG).min(width / 2);
    let _ = write!(told, "{:lead$}", "");
    let (mut used, mut is_first) = (lead, true);
    for (gap, word) in unbroken(line.trim_start_matches(' ')) {
        let length = word.chars().count();
        if is_first {
            used += length;
        } else if used + gap + length <= width {
            let _ = write!(told, "{:gap$}", "");
            used += gap + length;
        } else {
            let _ = write!(told, "\n{:hang$}", "");
            used = hang + length;
        }
        told.push_str(word);
        is_first = false;
    }
}

/// What must stay on one line, each with the number of spaces before it: a word, or a command with all that belongs to it.
fn unbroken(line: &str) -> Vec<(usize, &str)> {
    let mut parts = Vec::new();
    let mut rest = line;
    while !rest.is_empty() {
        let word = rest.trim_start_matches(' ');
        let gap = rest.len() - word.len();
        let end = if word.trim_start_matches('`').starts_with(COMMAND) { end_of_command(word) } else { word.find(' ') };
        let (part, after) = word.split_at(end.unwrap_or(word.len()));
        parts.push((gap, part));
        rest = after;
    }
    parts
}

/// Where a command that begins a text ends: behind the first word that a sentence would go on after, outside of quotes.
fn end_of_command(text: &str) -> Option<usize> {
    let mut quote = None;
    let mut before = ' ';
    for (at, letter) in text.char_indices() {
        match letter {
            '"' | '\'' if quote.is_none() => quote = Some(letter),
            _ if quote == Some(letter) => quote = None,
            ' ' if quote.is_none() && ENDS_OF_COMMAND.contains(&before) => return Some(at),
            _ => {}
        }
        before = letter;
    }
    None
}
