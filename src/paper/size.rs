//! What goes into the printer: its size and the rim that no printer reaches. Does not know what is printed.

use kurbo::{Rect, Size};

use crate::length::Length;
use crate::size::{NamedSize, SizeError};

/// Rim that a printer leaves white. Common practice: most desktop printers reach to 4.2 mm or nearer.
pub const MARGIN: Length = Length::mm(5.0);

/// The least short and long side that still holds two check bars with their words and something beside them.
const LEAST_MM: Size = Size::new(100.0, 140.0);

/// The papers that people are offered when theirs is too small.
const COMMON: [&str; 6] = ["A5", "A4", "A3", "Letter", "Legal", "Tabloid"];

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
pub struct PaperSize(NamedSize);

impl Default for PaperSize {
    /// A4, as ISO 216 has it.
    fn default() -> Self {
        PaperSize(NamedSize { name: "A4".into(), size: Size::new(210.0, 297.0) })
    }
}

impl PaperSize {
    /// Reads `A4`, `letter`, `297 x 420 mm`; refuses what is too small for the check bars.
    pub fn parse(text: &str) -> Result<Self, SizeError> {
        let size = NamedSize::parse(text)?.portrait();
        if size.size.width < LEAST_MM.width || size.size.height < LEAST_MM.height {
            return Err(SizeError {
                what: format!("{} is too small a paper: two check bars and their words would fill it", size.name),
                instead: format!(
                    "write {}, or at least `{} x {} mm`",
                    COMMON.join(", "),
                    LEAST_MM.width,
                    LEAST_MM.height
                ),
            });
        }
        Ok(PaperSize(size))
    }

    /// What people call it.
    pub fn name(&self) -> &str {
        &self.0.name
    }

    /// Width and height in millimetres, the height never the shorter.
    pub fn size(&self) -> Size {
        self.0.size
    }

    /// What a printer reaches, in the page's millimetres.
    pub fn printable(&self) -> Rect {
        self.size().to_rect().inset(-MARGIN.to_mm())
    }

    pub(crate) fn is_inch(&self) -> bool {
        self.0.is_inch()
    }

    /// The common papers, this one's family first, each smallest first.
    pub(crate) fn common(&self) -> impl Iterator<Item = PaperSize> {
        self.0.cousins().into_iter().filter(|size| COMMON.contains(&size.name.as_str())).map(PaperSize)
    }
}
