//! Words, names and numbers to put into a book: plain ones mostly, odd ones now and then.

use super::Choices;

const NAMES: &[&str] = &[
    "Chervil",
    "Yarrow",
    "Sea Kale",
    "Åsnebo",
    "Łubin",
    "Žito",
    "Πεύκο",
    "Ковыль",
    "Nº 4",
    "Büffelgras",
    "L'Ortie",
    "Tom & Ada",
    "A <b> B",
    "Sorrel (2)",
    "½ Moon",
    "Mme. O\u{301}rla",
    "{{ thyme }}",
    "R#7",
    "50 % cord",
    "]]> rue",
];
const PHRASES: &[&str] = &[
    "beside the ram",
    "coachroof",
    "masthead",
    "tip of the ram",
    "forward edge of the car",
    "splice in the line",
    "on the beam",
    "the load is on the clutch",
    "aft face of the winch",
    "below the gooseneck",
    "two hands off the spreader",
    "rigger's figure",
    "a place that takes a good many words to say, on the starboard side under the lid",
    "x",
    "№ 7, «left»",
    "μ-metal & <iron>",
    "¾ of the way, ↑ up",
    "\\ ( ) % $ #1",
    "the {{ second }} {% one %}",
    "C:\\tmp/..//x",
];
const COLOURS: &[&str] =
    &["red", "white", "blue", "green", "yellow", "orange", "purple", "pink", "brown", "grey", "black"];

/// Texts that mean something to some reader of some file: markup, templates, PDF strings, paths, devices, odd characters.
pub const HOSTILE: &[&str] = &[
    "<script>alert(1)</script>",
    "</title><b>x</b>",
    "]]>",
    "<![CDATA[x]]>",
    "<!-- x",
    "-->",
    "&",
    "&amp;",
    "&#60;b&#62;",
    "&x;",
    "\"double\" and 'single'",
    "'>\"><b>",
    "one\ntwo",
    "tab\tbed",
    "\u{202E}desrever\u{202C}",
    "\u{2066}isolate\u{2069}",
    "zero\u{200B}width",
    "join\u{200D}er",
    "\u{FEFF}mark",
    "soft\u{AD}hyphen",
    "e\u{301}\u{302}\u{303}\u{304}",
    "Z\u{351}\u{36B}\u{343}a",
    "{{ title }}",
    "{{ 7 * 7 }}",
    "{% for x in cards %}x{% endfor %}",
    "{# gone #}",
    "{{ title | safe }}",
    "${HOME} $(id) `id`",
    "(unbalanced",
    "balanced (as) it is)",
    "back\\slash",
    "\\",
    "\\\\n \\) \\(",
    "<< /Type /Catalog >>",
    "endobj endstream %%EOF",
    "/etc/passwd",
    "../../up",
    "..\\..\\up",
    "..",
    ".",
    "C:\\boat",
    "a/b",
    "nul\0byte",
    "bell\u{7}",
    "escape\u{1B}[31m",
    "next\u{85}line",
    "line\u{2028}separator",
    "con",
    "nul.svg",
    "emoji ⛵",
    "帆",
    "\u{E000}",
    "\u{FFFD}",
    "\u{10FFFF}",
    "\u{FFFE}",
    "data:text/html,x",
    "javascript:alert(1)",
    "onload=alert(1)",
    "style=\"x\"",
    "%s %n %x",
    "=1+1",
    "null",
    "true",
    "~",
    "1e309",
    "NaN",
    "- dash",
    "key: value",
    "# comment",
    "*alias",
    "&anchor",
    "!!tag",
    "%YAML",
    "---",
];

/// Numbers that no boat has, or that are hard to read.
pub const NUMBERS: &[&str] = &[
    "0",
    "-0",
    "-1",
    "1",
    "½",
    "4 1/2",
    "41/2",
    "3,5",
    "1e3",
    "1e309",
    "-1e309",
    "nan",
    "inf",
    "999999999999999999999",
    "0.00000000000000000001",
    "2147483647",
    "2147483648",
    "-2147483648",
    "-2147483649",
    "9007199254740993",
    "00012",
    "+7",
    ".5",
    "5.",
    "--1",
    "1..2",
    "..",
    "0..0",
    "0..1000000",
    "-9..9",
    "9..-9",
    "0x10",
    "1_000",
    "−3",
    "⅞",
    "7/64",
    "1/0",
    "0/0",
    "٣",
    "1 2 3",
    "5 ft 2 in",
    "-5 ft 2 in",
    "1 m 2",
    "100000000000000000000000000000000000000000000000000000000000000000000000000000000",
];

/// A text as YAML writes it, in quotes where it needs them.
pub fn quoted(c: &mut Choices<'_>, text: &str) -> String {
    let plain = text.chars().next().is_some_and(char::is_alphabetic)
        && text.chars().all(|letter| letter.is_alphanumeric() || matches!(letter, ' ' | '-' | '.' | '_'))
        && !text.ends_with([' ', '.'])
        && !matches!(text.to_lowercase().as_str(), "null" | "true" | "false");
    if plain && !c.chance(15) {
        text.to_owned()
    } else if c.chance(50) && text.chars().all(|letter| !letter.is_control() && letter != '\u{FEFF}') {
        format!("'{}'", text.replace('\'', "''"))
    } else {
        in_double_quotes(text)
    }
}

/// A text in double quotes, every odd character escaped.
pub fn in_double_quotes(text: &str) -> String {
    let escaped = text.chars().map(|letter| match letter {
        '"' | '\\' => format!("\\{letter}"),
        letter if letter.is_control() || matches!(u32::from(letter), 0x200B..=0x206F | 0xFEFF | 0xE000.. | 0xAD) => {
            format!("\\U{:08X}", u32::from(letter))
        }
        letter => letter.to_string(),
    });
    format!("\"{}\"", escaped.collect::<String>())
}

/// What a boat, a control or a sail is called.
pub fn name(c: &mut Choices<'_>) -> String {
    let name = c.one(NAMES);
    quoted(c, name)
}

/// Some words.
pub fn phrase(c: &mut Choices<'_>) -> String {
    let phrase = c.one(PHRASES);
    quoted(c, phrase)
}

pub fn day(c: &mut Choices<'_>) -> String {
    format!("20{}-{:02}-{:02}", c.between(20, 39), c.between(1, 12), c.between(1, 28))
}

pub fn colour(c: &mut Choices<'_>) -> &'static str {
    c.one(COLOURS)
}

pub const fn colours() -> &'static [&'static str] {
    COLOURS
}

/// A length in some unit: how it is written, and millimetres.
pub fn length(c: &mut Choices<'_>, low_mm: i64, high_mm: i64) -> (String, f64) {
    match c.below(8) {
        0..=3 => {
            let mm = c.between(low_mm, high_mm);
            (format!("{mm} mm"), mm as f64)
        }
        4 => {
            let tenths = c.between(low_mm * 10, high_mm * 10);
            (format!("{}.{} mm", tenths / 10, tenths % 10), tenths as f64 / 10.0)
        }
        5 => {
            let tenths = c.between(low_mm, high_mm);
            (format!("{}.{} cm", tenths / 10, tenths % 10), tenths as f64)
        }
        6 => {
            let eighths = c.between(low_mm * 8 * 10 / 254 + 1, (high_mm * 8 * 10 / 254).max(low_mm * 8 * 10 / 254 + 1));
            let (whole, part) = (eighths / 8, eighths % 8);
            let text = match (whole, part) {
                (whole, 0) => format!("{whole} in"),
                (0, part) => format!("{} in", eighth(part)),
                (whole, part) => format!("{whole} {} in", eighth(part)),
            };
            (text, eighths as f64 / 8.0 * 25.4)
        }
        _ => {
            let mm = c.between(low_mm, high_mm);
            (format!("{}.{:03} m", mm / 1000, mm % 1000), mm as f64)
        }
    }
}

fn eighth(part: i64) -> &'static str {
    ["0", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"][part as usize]
}
