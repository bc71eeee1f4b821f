//! What goes into the printer: its size and the rim that no printer reaches. Does not know what is printed.

use crate::wrong::Wrong;
use kurbo::{Rect, Size};

use crate::card_sizes::COMMON_PAPERS as COMMON;
pub use crate::card_sizes::{CardSizes, MARGIN};
use crate::length::Length;
use crate::size::NamedSize;

/// The least short and long side that still holds two check bars with their words and something beside them.
const LEAST_MM: Size = Size::new(100.0, 140.0);

/// The most that is printed off a roll at once.
pub const LONGEST_ROLL: Length = Length::mm(5000.0);
/// The narrowest roll that still holds a check bar beside the words.
const LEAST_ROLL_WIDTH_MM: f64 = 60.0;
const ROLL: &str = "roll";

/// A paper, always upright: a page is never turned, what lies on it is.
///
/// ```
/// use cockpit_cards::paper::PaperSize;
///
/// assert_eq!(PaperSize::default().name(), "A4");
/// // A paper has no lying form: it is the same paper.
/// assert_eq!(PaperSize::parse("A4 landscape"), PaperSize::parse("a4"));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct PaperSize {
    named: NamedSize,
    /// It is of the width given and as long as needed.
    roll: bool,
}

impl Default for PaperSize {
    /// A4, as ISO 216 has it.
    fn default() -> Self {
        PaperSize { named: NamedSize { name: "A4".into(), size: Size::new(210.0, 297.0) }, roll: false }
    }
}

impl PaperSize {
    /// Reads `A4`, `letter`, `297 x 420 mm`, `roll-610mm`; refuses what is too small for the check bars.
    pub fn parse(text: &str) -> Result<Self, Wrong> {
        if let Some(width) = roll_width(text) {
            return parse_roll(text, width);
        }
        let size = NamedSize::parse(text)?.portrait();
        if size.size.width < LEAST_MM.width || size.size.height < LEAST_MM.height {
            return Err(Wrong {
                what: format!("{} is too small a paper: two check bars and their words would fill it", size.name),
                instead: format!(
                    "write {}, or at least `{} x {} mm`",
                    COMMON.join(", "),
                    LEAST_MM.width,
                    LEAST_MM.height
                ),
            });
        }
        Ok(PaperSize { named: size, roll: false })
    }

    /// What people call it.
    pub fn name(&self) -> &str {
        &self.named.name
    }

    /// Whether it comes off a roll: a page is then cut as long as it needs to be.
    pub fn is_roll(&self) -> bool {
        self.roll
    }

    /// A page of this length off a roll.
    pub(crate) fn cut(&self, length: Length) -> PaperSize {
        let size = Size::new(self.named.size.width, length.to_mm());
        PaperSize { named: NamedSize { size, ..self.named.clone() }, roll: self.roll }
    }

    /// Width and height in millimetres; the height is never the shorter but on a roll, where it is all that can be
    /// printed at once.
    pub fn size(&self) -> Size {
        self.named.size
    }

    /// What a printer reaches, in the page's millimetres.
    pub fn printable(&self) -> Rect {
        self.size().to_rect().inset(-MARGIN.to_mm())
    }

    /// Which sizes cards come in on it; off a roll, those with one side.
    pub fn card_sizes(&self, two_sided: bool) -> CardSizes {
        CardSizes::of(&self.named, self.roll, two_sided)
    }

    pub(crate) fn is_inch(&self) -> bool {
        self.named.is_inch() || self.roll && self.named.name.ends_with("in")
    }

    /// What such a book's letters are printed on: A4, or Letter for a roll measured in inches.
    pub(crate) fn usual(&self) -> PaperSize {
        let letter = NamedSize::known("Letter").filter(|_| self.is_inch());
        letter.map_or_else(PaperSize::default, |named| PaperSize { named, roll: false })
    }

    /// The common papers, this one's family first, each smallest first.
    pub(crate) fn common(&self) -> impl Iterator<Item = PaperSize> {
        let known = |size: &NamedSize| COMMON.contains(&size.name.as_str());
        self.named.cousins().into_iter().filter(known).map(|named| PaperSize { named, roll: false })
    }
}

/// What stands behind `roll`, if it does.
fn roll_width(text: &str) -> Option<&str> {
    let text = text.trim();
    let start = text.get(..ROLL.len())?;
    start.eq_ignore_ascii_case(ROLL).then(|| text[ROLL.len()..].trim_start_matches(['-', ' ', '_']).trim())
}

fn parse_roll(text: &str, width: &str) -> Result<PaperSize, Wrong> {
    let refuse = |what: String| Wrong { what, instead: "write its width, like `roll-610mm` or `roll-24in`".into() };
    let square = |width: &str| NamedSize::parse(&format!("{width} x {width}"));
    let square = square(width).map_err(|_| {
        let pointed = width.replacen(',', ".", 1);
        let name = text.trim();
        if pointed != width && square(&pointed).is_ok() {
            let instead = format!("write it with a point: `{ROLL}-{pointed}`");
            return Wrong { what: format!("the width in \"{name}\" has a decimal comma"), instead };
        }
        refuse(format!("\"{name}\" has no width that can be read"))
    })?;
    let across = square.size.width;
    if across < LEAST_ROLL_WIDTH_MM {
        return Err(Wrong {
            what: format!("a roll of {across:.0} mm is too narrow for a check bar beside its words"),
            instead: format!("use a roll of at least {LEAST_ROLL_WIDTH_MM} mm"),
        });
    }
    let name = format!("{ROLL}-{}", width.replace(' ', "").to_lowercase());
    let size = Size::new(across, LONGEST_ROLL.to_mm());
    Ok(PaperSize { named: NamedSize { name, size }, roll: true })
}
