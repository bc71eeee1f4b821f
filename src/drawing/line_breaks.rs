//! Breaks words into lines, once for every size of type. Knows widths of letters, not what they say.

use super::{TypeSize, Weight, font};

/// What a number is not parted from.
const UNITS: [&str; 14] = ["mm", "cm", "m", "in", "ft", "bar", "psi", "kn", "m/s", "kg", "t", "lb", "deg", "°"];

/// What is not parted from the number or the word after it: the signs that say where a mark is known from.
const SIGNS: [&str; 6] = ["●", "◆", "★", "≠", "»", "±"];

/// The words before a limit, the second of which is not parted from it: `NEVER PAST 7`.
const NEVER: (&str, [&str; 2]) = ("NEVER", ["PAST", "BELOW"]);

/// The words of a text, a number and its unit as one, and a sign and what it stands before.
fn words(text: &str) -> impl Iterator<Item = &str> {
    const BETWEEN: &str = " ";
    let end_of_word = |text: &str| text.find(char::is_whitespace).unwrap_or(text.len());
    let mut rest = text.trim_start();
    let mut before = "";
    std::iter::from_fn(move || {
        let mut end = end_of_word(rest);
        let leads = |word: &str| SIGNS.contains(&word) || before == NEVER.0 && NEVER.1.contains(&word);
        if leads(&rest[..end])
            && let Some(after) = rest[end..].strip_prefix(BETWEEN)
        {
            end += BETWEEN.len() + end_of_word(after);
        }
        if rest.starts_with(|character: char| character.is_ascii_digit())
            && let Some(after) = rest[end..].strip_prefix(BETWEEN)
        {
            let next = &after[..end_of_word(after)];
            if UNITS.contains(&next.trim_end_matches(['.', ',', ':', ';', ')'])) {
                end += BETWEEN.len() + next.len();
            }
        }
        let (word, after) = rest.split_at(end);
        rest = after.trim_start();
        before = word;
        (!word.is_empty()).then_some(word)
    })
}

/// Words that are wrapped together, measured once and for every size of type.
pub struct Words<'a>(Vec<Word<'a>>);

/// A word and the room it takes.
pub struct Word<'a> {
    text: &'a str,
    weight: Weight,
    /// Of its letters and of its fractions, in ems.
    width: (f64, f64),
    /// Of the space before it, if it does not begin a line, in ems.
    space: f64,
    /// It begins no line, if the line can hold the word before it too.
    is_glued: bool,
    /// Its height as a part of that of the line's capitals.
    share: f64,
}

/// Words of one weight and height that stand beside each other.
pub struct Run {
    /// Where it starts, millimetres.
    pub x: f64,
    /// The words.
    pub text: String,
    /// Their weight.
    pub weight: Weight,
    /// Their height as a part of that of the line's capitals.
    pub share: f64,
}

/// A line this much too long is arithmetic, not a choice.
const SLACK_MM: f64 = 1e-9;

impl<'a> Words<'a> {
    /// Runs of text, each in its weight; they are broken at white space and between runs, but no
    /// number from its unit.
    pub fn of(runs: impl IntoIterator<Item = (&'a str, Weight)>) -> Self {
        Words(runs.into_iter().flat_map(|(text, weight)| words(text).map(move |text| Word::of(text, weight))).collect())
    }

    /// As [`Words::of`], but the words of each group stay on one line if a line can hold them.
    pub fn of_groups<Runs: IntoIterator<Item = (&'a str, Weight)>>(groups: impl IntoIterator<Item = Runs>) -> Self {
        let glued = groups.into_iter().flat_map(|group| {
            let words = Words::of(group).0.into_iter().enumerate();
            words.map(|(index, word)| Word { is_glued: index > 0, ..word })
        });
        Words(glued.collect())
    }

    /// Runs of text that are broken between runs only.
    pub fn of_whole(runs: impl IntoIterator<Item = (&'a str, Weight)>) -> Self {
        Words(runs.into_iter().map(|(text, weight)| Word::of(text, weight)).collect())
    }

    /// The same, its regular words among bold ones this part as high: `to` between two marks. A fraction stays as high.
    pub fn with_regular(self, share: f64) -> Self {
        let word = |word: Word<'a>| match (word.weight, word.width) {
            (Weight::Regular, (letters, 0.0)) => Word { width: (letters / word.share * share, 0.0), share, ..word },
            _ => word,
        };
        Words(self.0.into_iter().map(word).collect())
    }

    /// Of the widest word, millimetres.
    pub fn widest(&self, size: TypeSize) -> f64 {
        self.0.iter().map(|word| word.at(size)).fold(0.0, f64::max)
    }

    /// Of each word, in ems: its letters and its fractions.
    pub fn each(&self) -> impl Iterator<Item = (f64, f64)> {
        self.0.iter().map(|word| word.width)
    }

    /// Of all the words on one line, in ems: their letters and their fractions.
    pub fn whole(&self) -> (f64, f64) {
        Word::widths_of(&self.0)
    }

    /// Lines of at most `room` millimetres; a longer word stands alone and sticks out.
    pub fn lines(&self, size: TypeSize, room: f64) -> impl Iterator<Item = &[Word<'a>]> {
        let words = self.0.as_slice();
        // The line begins with the first of these and holds all before the second; so much of its room is used.
        let (mut start, mut next, mut may_begin, mut used) =
            (0, if room < f64::INFINITY { 0 } else { words.len() }, 0, 0.0);
        std::iter::from_fn(move || {
            loop {
                if next > start + 1 && used > room + SLACK_MM {
                    let line = start..if may_begin > start { may_begin } else { next - 1 };
                    start = line.end;
                    used = Word::width_of(&words[start..next], size);
                    return Some(&words[line]);
                }
                let Some(word) = words.get(next) else { break };
                if !word.is_glued {
                    may_begin = next;
                }
                used += if next == start { word.at(size) } else { size.of_widths((word.space, 0.0)) + word.at(size) };
                next += 1;
            }
            let last = &words[start..];
            start = words.len();
            (!last.is_empty()).then_some(last)
        })
    }
}

impl<'a> Word<'a> {
    fn of(text: &'a str, weight: Weight) -> Self {
        let space = font::widths(" ", weight).0;
        Word { text, weight, width: font::widths(text, weight), space, is_glued: false, share: 1.0 }
    }
}

impl Word<'_> {
    /// As it was written.
    pub fn text(&self) -> &str {
        self.text
    }

    fn at(&self, size: TypeSize) -> f64 {
        size.of_widths(self.width)
    }

    fn widths_of(line: &[Word]) -> (f64, f64) {
        let spaces: f64 = line.iter().skip(1).map(|word| word.space).sum();
        line.iter().fold((spaces, 0.0), |(letters, fractions), word| (letters + word.width.0, fractions + word.width.1))
    }

    /// Whether some of these words hold a fraction.
    pub fn have_fractions(line: &[Word]) -> bool {
        line.iter().any(|word| word.width.1 > 0.0)
    }

    /// Of a line of words, millimetres.
    pub fn width_of(line: &[Word], size: TypeSize) -> f64 {
        size.of_widths(Word::widths_of(line))
    }

    /// A line of words as one text.
    pub fn joined(line: &[Word]) -> String {
        line.iter().map(Word::text).collect::<Vec<_>>().join(" ")
    }

    /// A line of words as texts of one weight and height each.
    pub fn runs(line: &[Word], size: TypeSize) -> Vec<Run> {
        let mut runs: Vec<Run> = Vec::new();
        let mut x = 0.0;
        for (index, word) in line.iter().enumerate() {
            x += if index == 0 { 0.0 } else { size.of_widths((word.space, 0.0)) };
            match runs.last_mut() {
                Some(run) if run.weight == word.weight && run.share == word.share => {
                    run.text.push(' ');
                    run.text.push_str(word.text);
                }
                _ => runs.push(Run { x, text: word.text.to_owned(), weight: word.weight, share: word.share }),
            }
            x += word.at(size);
        }
        runs
    }
}
