//! Named sizes of paper and cards. Knows what they measure, not what is on them.

use kurbo::Size;

use crate::length::{Length, MM_PER_INCH};
use crate::wrong::Wrong;

/// Longest side that a PDF page can have: 14,400 units of 1/72 inch (ISO 32000-1, annex C.2).
pub const LONGEST_SIDE: Length = Length::mm(5080.0);

/// Slack when one length is held against another, millimetres: above rounding, far below any knife.
pub(crate) const SLACK_MM: f64 = 1e-6;

/// A width and a height in millimetres with the name people call it by.
///
/// ```
/// use cockpit_cards::size::NamedSize;
///
/// # fn main() -> Result<(), cockpit_cards::wrong::Wrong> {
/// let card = NamedSize::parse("a6-landscape")?;
/// assert_eq!((card.name.as_str(), card.size.width, card.size.height), ("A6 landscape", 148.0, 105.0));
/// // Numbers are width first, and what is written stays the name.
/// let own = NamedSize::parse("4x6in")?;
/// assert_eq!(own.name, "4 × 6 in");
/// assert!((own.size.width - 101.6).abs() < 1e-9);
/// # Ok(())
/// # }
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct NamedSize {
    /// `A6`, `Letter`, `120 × 80 mm`.
    pub name: String,
    /// Millimetres; portrait for the named ones.
    pub size: Size,
}

/// Which paper drawer a size comes out of: someone with A4 is not helped by the name of an inch size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Family {
    Metric,
    Inch,
    /// Sold everywhere.
    Both,
}

struct Known {
    name: &'static str,
    family: Family,
    width: f64,
    height: f64,
}

const fn metric(name: &'static str, width: f64, height: f64) -> Known {
    Known { name, family: Family::Metric, width, height }
}

const fn inch(name: &'static str, width: f64, height: f64) -> Known {
    Known { name, family: Family::Inch, width: width * MM_PER_INCH, height: height * MM_PER_INCH }
}

/// Portrait, smallest first within a family. A series: ISO 216. ID-1: ISO/IEC 7810, held upright like the rest. Letter and Tabloid: sizes A and B of ASME Y14.1. Legal, half and quarter Letter: common practice.
const KNOWN: &[Known] = &[
    metric("A8", 52.0, 74.0),
    metric("A7", 74.0, 105.0),
    metric("A6", 105.0, 148.0),
    metric("A5", 148.0, 210.0),
    metric("A4", 210.0, 297.0),
    metric("A3", 297.0, 420.0),
    inch("quarter-letter", 4.25, 5.5),
    inch("half-letter", 5.5, 8.5),
    inch("Letter", 8.5, 11.0),
    inch("Legal", 8.5, 14.0),
    inch("Tabloid", 11.0, 17.0),
    Known { name: "ID-1", family: Family::Both, width: 53.98, height: 85.60 },
];

const LANDSCAPE: &str = "landscape";
const PORTRAIT: &str = "portrait";
const EXAMPLES: &str =
    "A3 to A8, Letter, Legal, Tabloid, half-letter, quarter-letter, ID-1, or width and height such as `120 x 80 mm`";
/// A name this many slips away is a slip of the keys; one further off is another word.
const MOST_SLIPS: usize = 2;

impl NamedSize {
    /// Reads `A6`, `a6 landscape`, `Letter`, `half-letter`, `ID-1`, `120 x 80 mm`, `4×6in`.
    pub fn parse(text: &str) -> Result<Self, Wrong> {
        let text = text.trim();
        match text.chars().next() {
            None => Err(Wrong { what: "the size is empty".into(), instead: format!("write one of {EXAMPLES}") }),
            Some(first) if first.is_alphabetic() => parse_name(text),
            Some(_) => parse_numbers(text),
        }
    }

    /// One of the names of the table; `None` for any other word.
    pub fn known(name: &str) -> Option<Self> {
        KNOWN.iter().find(|known| known.name == name).map(NamedSize::from)
    }

    /// A size of so many millimetres, by the name of the table if it has one, lying or standing.
    pub(crate) fn of(size: Size) -> Self {
        let alike = |a: f64, b: f64| (a - b).abs() <= SLACK_MM;
        let known = KNOWN.iter().map(NamedSize::from).flat_map(|known| [known.turned(), known]);
        let mut found =
            known.filter(|known| alike(known.size.width, size.width) && alike(known.size.height, size.height));
        found.next().unwrap_or_else(|| NamedSize { name: numbers_name(size.width, size.height, "mm"), size })
    }

    /// The same size with its long side across, or itself if it lies so already.
    pub fn landscape(&self) -> Self {
        if self.size.width >= self.size.height { self.clone() } else { self.turned() }
    }

    /// The same size with its long side up, or itself if it stands so already.
    pub fn portrait(&self) -> Self {
        if self.size.width <= self.size.height { self.clone() } else { self.turned() }
    }

    /// The same size with its sides exchanged.
    pub(crate) fn turned(&self) -> Self {
        let size = Size::new(self.size.height, self.size.width);
        let plain = self.name.strip_suffix(LANDSCAPE).map(str::trim_end);
        let name = match plain {
            Some(plain) => plain.to_owned(),
            None if KNOWN.iter().any(|known| known.name == self.name) => format!("{} {LANDSCAPE}", self.name),
            None => numbers_name(size.width, size.height, "mm"),
        };
        NamedSize { name, size }
    }

    /// Whether something of `needed` millimetres fits on it as it lies.
    pub fn holds(&self, needed: Size) -> bool {
        needed.width <= self.size.width + SLACK_MM && needed.height <= self.size.height + SLACK_MM
    }

    /// The sizes kept in the same drawer first, then the others; each smallest first.
    pub(crate) fn cousins(&self) -> Vec<NamedSize> {
        let own = self.family();
        let mut all: Vec<&Known> = KNOWN.iter().collect();
        all.sort_by(|a, b| {
            let foreign = |known: &Known| known.family != own && known.family != Family::Both;
            foreign(a).cmp(&foreign(b)).then((a.width * a.height).total_cmp(&(b.width * b.height)))
        });
        all.into_iter().map(NamedSize::from).collect()
    }

    /// Whether people who use it are likely to own a rule in inches.
    pub(crate) fn is_inch(&self) -> bool {
        self.family() == Family::Inch
    }

    fn family(&self) -> Family {
        let plain = self.name.strip_suffix(LANDSCAPE).unwrap_or(&self.name).trim_end();
        match KNOWN.iter().find(|known| known.name == plain) {
            Some(known) if known.family == Family::Inch => Family::Inch,
            None if plain.ends_with(" in") => Family::Inch,
            _ => Family::Metric,
        }
    }
}

impl From<&Known> for NamedSize {
    fn from(known: &Known) -> Self {
        NamedSize { name: known.name.into(), size: Size::new(known.width, known.height) }
    }
}

/// The smallest card size that holds `needed` millimetres, for someone who asked for `asked` and ran out of room.
///
/// Sizes of the same family come first (no inch size for someone with A6), lying or standing as needed. Nothing
/// beyond A4 or Letter is offered: that is no longer a card. `None` if none holds it.
pub fn next_size_up(needed: Size, asked: &NamedSize) -> Option<NamedSize> {
    const NO_CARDS: [&str; 3] = ["A3", "Legal", "Tabloid"];
    let upright_first = asked.size.width <= asked.size.height;
    asked
        .cousins()
        .into_iter()
        .filter(|size| !NO_CARDS.contains(&size.name.as_str()))
        .flat_map(|size| if upright_first { [size.portrait(), size.landscape()] } else { [size.landscape(), size] })
        .find(|size| size.holds(needed))
}

fn parse_name(text: &str) -> Result<NamedSize, Wrong> {
    let mut key = bare(text);
    let mut lying = false;
    if let Some(plain) = key.strip_suffix(LANDSCAPE) {
        lying = true;
        key = plain.to_owned();
    } else if let Some(plain) = key.strip_suffix(PORTRAIT) {
        key = plain.to_owned();
    }
    let found = KNOWN.iter().find(|known| bare(known.name) == key);
    match found.map(NamedSize::from) {
        Some(size) if lying => Ok(size.landscape()),
        Some(size) => Ok(size),
        None => Err(Wrong { what: format!("there is no size named \"{text}\""), instead: did_you_mean(&key) }),
    }
}

fn did_you_mean(key: &str) -> String {
    let slips = |known: &Known| strsim::damerau_levenshtein(&bare(known.name), key);
    let fewest = KNOWN.iter().map(slips).min().unwrap_or(usize::MAX);
    let mut nearest = KNOWN.iter().filter(|known| slips(known) == fewest);
    match (nearest.next(), nearest.next()) {
        (Some(only), None) if fewest <= MOST_SLIPS => format!("did you mean {}?", only.name),
        _ => format!("write one of {EXAMPLES}"),
    }
}

/// Letters and digits only, small: what is left of a name when people spell it their way.
fn bare(name: &str) -> String {
    name.chars().filter(|character| character.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

fn parse_numbers(text: &str) -> Result<NamedSize, Wrong> {
    let sides: Vec<&str> = text.split(['x', 'X', '×']).map(str::trim).collect();
    let [width, height] = sides[..] else {
        return Err(Wrong {
            what: format!("\"{text}\" is not a width and a height"),
            instead: format!("write one of {EXAMPLES}"),
        });
    };
    let (height, height_unit) = split_unit(height);
    let (width, width_unit) = split_unit(width);
    if height_unit.is_empty() {
        return Err(Wrong {
            what: format!("\"{text}\" has no unit"),
            instead: format!("write `{width} x {height} mm` or `{width} x {height} in`"),
        });
    }
    let height_unit = unit(text, height_unit)?;
    let width_unit = if width_unit.is_empty() { height_unit } else { unit(text, width_unit)? };
    let (width, height) = (side(text, width)?, side(text, height)?);
    let size = Size::new(width_unit.length(width).to_mm(), height_unit.length(height).to_mm());
    if size.max_side() > LONGEST_SIDE.to_mm() {
        return Err(Wrong {
            what: format!("\"{text}\" is longer than a page can be"),
            instead: format!("write a size of at most {LONGEST_SIDE} a side"),
        });
    }
    let name = if width_unit == height_unit {
        numbers_name(width, height, width_unit.symbol())
    } else {
        numbers_name(size.width, size.height, Unit::Millimetre.symbol())
    };
    Ok(NamedSize { name, size })
}

fn numbers_name(width: f64, height: f64, unit: &str) -> String {
    /// Names are for people: hundredths are plenty.
    const HUNDREDTHS: f64 = 100.0;
    let short = |number: f64| (number * HUNDREDTHS).round() / HUNDREDTHS;
    format!("{} × {} {unit}", short(width), short(height))
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Unit {
    Millimetre,
    Centimetre,
    Inch,
}

impl Unit {
    fn length(self, number: f64) -> Length {
        match self {
            Unit::Millimetre => Length::mm(number),
            Unit::Centimetre => Length::cm(number),
            Unit::Inch => Length::inches(number),
        }
    }

    fn symbol(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Centimetre => "cm",
            Unit::Inch => "in",
        }
    }
}

fn unit(text: &str, word: &str) -> Result<Unit, Wrong> {
    match word.to_lowercase().as_str() {
        "mm" => Ok(Unit::Millimetre),
        "cm" => Ok(Unit::Centimetre),
        "in" | "inch" | "inches" | "\"" | "″" => Ok(Unit::Inch),
        _ => Err(Wrong {
            what: format!("\"{word}\" in \"{text}\" is not a unit for a size"),
            instead: "write mm, cm or in, with the width first: `120 x 80 mm`".into(),
        }),
    }
}

/// Where the number ends and the unit begins.
fn split_unit(side: &str) -> (&str, &str) {
    let end = side.find(|character: char| character.is_alphabetic() || matches!(character, '"' | '″'));
    let (number, unit) = side.split_at(end.unwrap_or(side.len()));
    (number.trim(), unit.trim())
}

fn side(text: &str, number: &str) -> Result<f64, Wrong> {
    let refuse = |what: String, instead: &str| Err(Wrong { what, instead: instead.to_owned() });
    if number.contains(',') {
        let pointed = number.replace(',', ".");
        return refuse(
            format!("\"{number}\" in \"{text}\" has a decimal comma"),
            &format!("write it with a point: `{pointed}`"),
        );
    }
    match number.parse::<f64>() {
        Ok(value) if value.is_finite() && value > 0.0 => Ok(value),
        Ok(_) => refuse(format!("a side of \"{text}\" is not more than nothing"), "write a size such as `120 x 80 mm`"),
        Err(_) => refuse(
            format!("\"{number}\" in \"{text}\" is not a number"),
            "write numbers such as 120 or 3.5: `3.5 x 5 in`",
        ),
    }
}
