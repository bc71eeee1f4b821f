//! Books spoilt on purpose: fields dropped, doubled, renamed and moved, numbers and units changed, odd texts put in, brackets
//! without end, references to references, bytes lost.

use super::{Book, Choices, words};

/// A fault that can be put into a text.
type Fault = fn(&mut Choices<'_>, &mut String);

const FAULTS: [Fault; 16] = [
    drop_line,
    double_line,
    swap_lines,
    rename_word,
    change_number,
    change_number,
    change_unit,
    change_value,
    change_value,
    hostile_text,
    lose_bytes,
    odd_character,
    deep_nesting,
    references,
    indent,
    cut_short,
];
const UNITS: &[&str] = &[
    "mm", "cm", "m", "in", "ft", "kn", "m/s", "km/h", "kg", "t", "lb", "bar", "psi", "deg", "kN", "h", "min", "furlong",
];
/// Values of another kind than the one that stands there.
const VALUES: &[&str] = &[
    "[]",
    "{}",
    "~",
    "\"\"",
    "''",
    "[[]]",
    "{a: b}",
    "[1, 2, 3]",
    "true",
    "no",
    "0..8",
    "8..0",
    "1e9",
    "2027-02-30",
    "25:61",
    "&a [1, *a]",
    "*nowhere",
    "!!str x",
    "? [a]",
    "|\n  block\n  text",
    ">-\n    folded",
    "\"\\0\"",
    "\"\\uD800\"",
    "{a: 1, a: 2}",
    "{<<: x}",
    "[1,2",
    "{a",
    "\"open",
    "'open",
    "@at",
    "`tick`",
    "%percent",
    "- dash",
    "# all comment",
    "a: b: c",
    "A6",
    "both",
    "far",
    "never",
    "1 in 2 ft",
];

/// A book with one to four faults, in its text or in one of its tables.
pub fn spoilt(book: &Book, c: &mut Choices<'_>) -> Book {
    let mut book = book.clone();
    for _ in 0..1 + c.below(4) {
        let fault = c.one(&FAULTS);
        let in_table = !book.tables.is_empty() && c.chance(40);
        let text = if in_table {
            let index = c.below(book.tables.len());
            &mut book.tables[index].1
        } else {
            &mut book.text
        };
        fault(c, text);
    }
    book
}

/// A text alone with one to four faults.
pub fn spoilt_text(text: &str, c: &mut Choices<'_>) -> String {
    spoilt(&Book { text: text.to_owned(), ..Book::default() }, c).text
}

/// The nearest character boundary at or below a place chosen.
fn place(c: &mut Choices<'_>, text: &str) -> usize {
    let mut at = c.below(text.len() + 1);
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn lines(text: &str) -> Vec<String> {
    text.split_inclusive('\n').map(str::to_owned).collect()
}

fn drop_line(c: &mut Choices<'_>, text: &mut String) {
    let mut lines = lines(text);
    if !lines.is_empty() {
        lines.remove(c.below(lines.len()));
    }
    *text = lines.concat();
}

fn double_line(c: &mut Choices<'_>, text: &mut String) {
    let mut lines = lines(text);
    if !lines.is_empty() {
        let line = lines[c.below(lines.len())].clone();
        for _ in 0..c.one(&[1, 1, 1, 2, 30]) {
            lines.insert(c.below(lines.len() + 1), line.clone());
        }
    }
    *text = lines.concat();
}

fn swap_lines(c: &mut Choices<'_>, text: &mut String) {
    let mut lines = lines(text);
    if lines.len() > 1 {
        let (one, other) = (c.below(lines.len()), c.below(lines.len()));
        lines.swap(one, other);
    }
    *text = lines.concat();
}

/// Stretches of a text that are of one sort of character.
fn stretches(text: &str, belongs: fn(char) -> bool) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut start = None;
    for (at, letter) in text.char_indices() {
        match (belongs(letter), start) {
            (true, None) => start = Some(at),
            (false, Some(from)) => {
                found.push((from, at));
                start = None;
            }
            _ => {}
        }
    }
    found.extend(start.map(|from| (from, text.len())));
    found
}

fn replace_one(c: &mut Choices<'_>, text: &mut String, belongs: fn(char) -> bool, with: &str) {
    let found = stretches(text, belongs);
    if !found.is_empty() {
        let (from, to) = c.one(&found);
        text.replace_range(from..to, with);
    }
}

fn rename_word(c: &mut Choices<'_>, text: &mut String) {
    let found = stretches(text, |letter| letter.is_ascii_lowercase() || letter == '_');
    if found.is_empty() {
        return;
    }
    let (from, to) = c.one(&found);
    let (other_from, other_to) = c.one(&found);
    let word = text[from..to].to_owned();
    let renamed = match c.below(5) {
        0 => format!("{word}s"),
        1 => word.chars().rev().collect(),
        2 => word.to_uppercase(),
        3 => text[other_from..other_to].to_owned(),
        _ => word[..word.len() - 1].to_owned(),
    };
    text.replace_range(from..to, &renamed);
}

fn change_number(c: &mut Choices<'_>, text: &mut String) {
    let number = c.one(words::NUMBERS);
    replace_one(c, text, |letter| letter.is_ascii_digit(), number);
}

fn change_unit(c: &mut Choices<'_>, text: &mut String) {
    let found: Vec<(usize, usize)> = UNITS
        .iter()
        .flat_map(|unit| {
            text.match_indices(&format!(" {unit}")).map(|(at, unit)| (at, at + unit.len())).collect::<Vec<_>>()
        })
        .collect();
    if !found.is_empty() {
        let (from, to) = c.one(&found);
        let unit = format!(" {}", c.one(UNITS));
        text.replace_range(from..to, &unit);
    }
}

fn change_value(c: &mut Choices<'_>, text: &mut String) {
    let found: Vec<usize> = text.match_indices(": ").map(|(at, _)| at + 2).collect();
    if found.is_empty() {
        return;
    }
    let from = c.one(&found);
    let to = text[from..].find([',', '}', ']', '\n']).map_or(text.len(), |length| from + length);
    let value = match c.below(4) {
        0 => c.one(words::NUMBERS).to_owned(),
        1 => format!("{} {}", c.one(words::NUMBERS), c.one(UNITS)),
        _ => c.one(VALUES).to_owned(),
    };
    text.replace_range(from..to, &value);
}

fn hostile_text(c: &mut Choices<'_>, text: &mut String) {
    let found: Vec<usize> = text.match_indices(": ").map(|(at, _)| at + 2).collect();
    if found.is_empty() {
        return;
    }
    let from = c.one(&found);
    let to = text[from..].find([',', '}', ']', '\n']).map_or(text.len(), |length| from + length);
    let hostile = c.one(words::HOSTILE);
    let value = match c.below(4) {
        0 => words::in_double_quotes(&hostile.repeat(c.one(&[1, 7, 40]))),
        1 => hostile.to_owned(),
        _ => words::in_double_quotes(hostile),
    };
    text.replace_range(from..to, &value);
}

fn lose_bytes(c: &mut Choices<'_>, text: &mut String) {
    let (one, other) = (place(c, text), place(c, text));
    let (from, most) = (one.min(other), one.max(other));
    let mut to = most.min(from + c.one(&[1, 2, 5, 40]));
    while !text.is_char_boundary(to) {
        to += 1;
    }
    text.replace_range(from..to, "");
}

fn odd_character(c: &mut Choices<'_>, text: &mut String) {
    let at = place(c, text);
    let odd = [
        '\0', '\t', '\u{7F}', '\u{85}', '\u{2028}', '\u{202E}', '\u{FEFF}', '½', '−', '⁄', '"', '\'', '#', '&', '*',
        '!', '|', '>', '%', '@',
    ];
    let more = [
        '{',
        '}',
        '[',
        ']',
        ',',
        ':',
        '?',
        '-',
        '\\',
        '\r',
        '\n',
        ' ',
        '٣',
        'é',
        '\u{301}',
        '帆',
        '⛵',
        '\u{10FFFF}',
        '.',
        '~',
    ];
    let character = if c.chance(50) { c.one(&odd) } else { c.one(&more) };
    text.insert(at, character);
}

fn deep_nesting(c: &mut Choices<'_>, text: &mut String) {
    let at = place(c, text);
    let depth = c.one(&[5, 31, 32, 33, 64, 500, 5_000]);
    let (open, close) = c.one(&[("[", "]"), ("{a: ", "}"), ("- ", ""), ("[{a: [", "]}]"), ("{[", "]}")]);
    let closed = if c.chance(50) { close.repeat(depth) } else { String::new() };
    text.insert_str(at, &format!("{}{closed}", open.repeat(depth)));
}

fn references(c: &mut Choices<'_>, text: &mut String) {
    let mut block = "bombs:\n  a0: &a0 [x, x, x, x, x, x, x, x]\n".to_owned();
    for level in 1..c.one(&[2, 4, 6, 9, 30]) {
        let below = level - 1;
        block.push_str(&format!(
            "  a{level}: &a{level} [*a{below}, *a{below}, *a{below}, *a{below}, *a{below}, *a{below}]\n"
        ));
    }
    if c.chance(50) {
        // A field that is written once and used in many places.
        *text = text.replacen("scale: {", "scale: &scale {", 1).replacen("scale: {", "scale: *scale # {", c.below(4));
    } else {
        text.push_str(&block);
    }
}

fn indent(c: &mut Choices<'_>, text: &mut String) {
    let mut lines = lines(text);
    if !lines.is_empty() {
        let index = c.below(lines.len());
        let by = c.one(&[" ", "  ", "\t", "        "]);
        lines[index] =
            if c.chance(30) { lines[index].trim_start().to_owned() } else { format!("{by}{}", lines[index]) };
    }
    *text = lines.concat();
}

fn cut_short(c: &mut Choices<'_>, text: &mut String) {
    // Most of a book is more telling than a little of it.
    let at = place(c, text).max(place(c, text));
    text.truncate(at);
}

/// Slips of a hand that means well: most of the book stays as it was.
const SLIPS: [Fault; 9] = [
    swap_tokens,
    swap_numbers,
    drop_digit,
    double_digit,
    another_digit,
    move_point,
    drop_line,
    double_line_below,
    swap_lines,
];

/// A book with one to three slips of the keys, in its text or in one of its tables.
pub fn mistyped(book: &Book, c: &mut Choices<'_>) -> Book {
    let mut book = book.clone();
    for _ in 0..1 + c.below(3) {
        let slip = c.one(&SLIPS);
        let in_table = !book.tables.is_empty() && c.chance(20);
        let index = c.below(book.tables.len());
        let text = if in_table { &mut book.tables[index].1 } else { &mut book.text };
        slip(c, text);
    }
    book
}

/// Two stretches of a text in each other's place.
fn swap(text: &mut String, one: (usize, usize), other: (usize, usize)) {
    let (first, last) = if one <= other { (one, other) } else { (other, one) };
    if first.1 > last.0 {
        return;
    }
    let [a, b] = [first, last].map(|(from, to)| text[from..to].to_owned());
    text.replace_range(last.0..last.1, &a);
    text.replace_range(first.0..first.1, &b);
}

/// Two words or numbers that stand beside each other, or anywhere.
fn swap_tokens(c: &mut Choices<'_>, text: &mut String) {
    let found = stretches(text, |letter| letter.is_alphanumeric() || letter == '_');
    if found.len() > 1 {
        let index = c.below(found.len() - 1);
        let other = if c.chance(50) { index + 1 } else { c.below(found.len()) };
        swap(text, found[index], found[other]);
    }
}

fn swap_numbers(c: &mut Choices<'_>, text: &mut String) {
    let found = stretches(text, |letter| letter.is_ascii_digit());
    if found.len() > 1 {
        let index = c.below(found.len());
        let other = if c.chance(60) { (index + 1 + c.below(4)).min(found.len() - 1) } else { c.below(found.len()) };
        swap(text, found[index], found[other]);
    }
}

/// The place of a digit.
fn a_digit(c: &mut Choices<'_>, text: &str) -> Option<usize> {
    let found: Vec<usize> =
        text.bytes().enumerate().filter(|(_, byte)| byte.is_ascii_digit()).map(|(at, _)| at).collect();
    (!found.is_empty()).then(|| c.one(&found))
}

fn drop_digit(c: &mut Choices<'_>, text: &mut String) {
    if let Some(at) = a_digit(c, text) {
        text.remove(at);
    }
}

fn double_digit(c: &mut Choices<'_>, text: &mut String) {
    if let Some(at) = a_digit(c, text) {
        let digit = text[at..=at].to_owned();
        text.insert_str(at, &digit);
    }
}

fn another_digit(c: &mut Choices<'_>, text: &mut String) {
    if let Some(at) = a_digit(c, text) {
        let digit = c.below(10).to_string();
        text.replace_range(at..=at, &digit);
    }
}

fn move_point(c: &mut Choices<'_>, text: &mut String) {
    if let Some(at) = a_digit(c, text) {
        text.insert(at, '.');
    }
}

fn double_line_below(c: &mut Choices<'_>, text: &mut String) {
    let mut lines = lines(text);
    if !lines.is_empty() {
        let index = c.below(lines.len());
        lines.insert(index, lines[index].clone());
    }
    *text = lines.concat();
}
