//! The two faces of the product and their wide fallbacks: coverage, widths, outlines. Knows glyphs, not layout.
//!
//! Fractions have a face of their own, heavier than B612's, because 4½ read as 4 is a wrong setting. Then B612 is
//! tried; a character it lacks comes from DejaVu Sans, glyph by glyph. A fallback face is parsed only when a character
//! asks for it. There is no kerning, in any output, so that PDF and SVG agree.

use std::borrow::Cow;
use std::ops::Range;
use std::sync::{LazyLock, OnceLock};

use kurbo::{BezPath, Point, Rect, Shape as _};
use ttf_parser::{Face, GlyphId, OutlineBuilder};

/// Height of a capital letter in ems: B612 declares 1500 of 2000 units.
pub const CAP_HEIGHT_EM: f64 = 0.75;
/// Room below the baseline for the deepest tail, that of B612's g, in ems.
pub const DESCENT_EM: f64 = 0.26;
/// B612 was drawn in quadratic curves and is kept in cubic ones on a grid of 2000 to the em, so the two control points
/// of a cubic may each be a unit off. Turned back, an outline is a third shorter and moves by a fifth of a unit at most
/// (√3/18 of the distance between the two).
const RAISED_QUADRATIC_EM: f64 = 2.0 / 2000.0;
/// Stretches of characters that almost every text on a boat keeps to: Latin, Greek and Cyrillic; punctuation, arrows
/// and geometric shapes (Unicode 16, Blocks.txt).
const LETTERS: Range<usize> = 0..0x530;
const SIGNS: Range<usize> = 0x2000..0x2600;
const COMMON_CHARACTERS: usize = LETTERS.end + SIGNS.end - SIGNS.start;
/// Those of most words by far, whose widths stand in a table of their own.
const ASCII_CHARACTERS: usize = 0x80;

/// The two weights a card may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// For words that are read at leisure.
    Regular,
    /// For marks, titles and whatever is read at a glance.
    Bold,
}

/// One of the bundled font files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaceId {
    /// Our own fractions, to stand among regular numerals.
    FractionsRegular,
    /// Our own fractions, to stand among bold numerals.
    FractionsBold,
    /// The face of the product.
    B612Regular,
    /// Its bold weight.
    B612Bold,
    /// The fallback for characters that B612 lacks.
    DejaVuSans,
    /// The same in bold.
    DejaVuSansBold,
}

impl FaceId {
    /// Every bundled face.
    pub const ALL: [FaceId; 6] = [
        FaceId::FractionsRegular,
        FaceId::FractionsBold,
        FaceId::B612Regular,
        FaceId::B612Bold,
        FaceId::DejaVuSans,
        FaceId::DejaVuSansBold,
    ];

    /// The faces to try for a weight, best first.
    pub const fn for_weight(weight: Weight) -> [FaceId; 3] {
        match weight {
            Weight::Regular => [FaceId::FractionsRegular, FaceId::B612Regular, FaceId::DejaVuSans],
            Weight::Bold => [FaceId::FractionsBold, FaceId::B612Bold, FaceId::DejaVuSansBold],
        }
    }

    /// The weight that it is tried for.
    const fn weight(self) -> Weight {
        match self {
            FaceId::FractionsRegular | FaceId::B612Regular | FaceId::DejaVuSans => Weight::Regular,
            FaceId::FractionsBold | FaceId::B612Bold | FaceId::DejaVuSansBold => Weight::Bold,
        }
    }

    /// The font file's bytes.
    pub const fn bytes(self) -> &'static [u8] {
        match self {
            FaceId::FractionsRegular => include_bytes!("../../fonts/CockpitFractions-Regular.otf"),
            FaceId::FractionsBold => include_bytes!("../../fonts/CockpitFractions-Bold.otf"),
            FaceId::B612Regular => include_bytes!("../../fonts/B612-Regular.otf"),
            FaceId::B612Bold => include_bytes!("../../fonts/B612-Bold.otf"),
            FaceId::DejaVuSans => include_bytes!("../../fonts/DejaVuSans.ttf"),
            FaceId::DejaVuSansBold => include_bytes!("../../fonts/DejaVuSans-Bold.ttf"),
        }
    }

    /// The parsed face; `None` only if the bundled file were damaged.
    pub fn face(self) -> Option<&'static Face<'static>> {
        static FACES: [OnceLock<Option<Face<'static>>>; FaceId::ALL.len()] =
            [const { OnceLock::new() }; FaceId::ALL.len()];
        FACES[self as usize].get_or_init(|| Face::parse(self.bytes(), 0).ok()).as_ref()
    }
}

/// Height of a fraction's digits, as a part of its capitals': two of them stand across one another with little overlap.
pub const FRACTION_DIGITS: f64 = 0.6;

/// A character as a glyph of one face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glyph {
    /// The face it belongs to.
    pub face: FaceId,
    /// Its number in that face.
    pub id: u16,
    /// What it shows.
    pub character: char,
    /// Advance width in ems.
    pub advance: f64,
}

impl Glyph {
    /// Whether it is a fraction, whose digits are smaller than the numerals beside it.
    pub fn is_fraction(self) -> bool {
        matches!(self.face, FaceId::FractionsRegular | FaceId::FractionsBold)
    }
}

/// What was once found out about each common character, in each weight. Layouts measure the same words again and again,
/// and a search of a face's character table takes a hundred times as long as this look-up, its outline longer still.
struct Common<Known>([[OnceLock<Known>; COMMON_CHARACTERS]; 2]);

impl<Known> Common<Known> {
    const fn new() -> Self {
        Common([const { [const { OnceLock::new() }; COMMON_CHARACTERS] }; 2])
    }

    /// Where it is kept, if the character is common.
    fn place(&self, character: char, weight: Weight) -> Option<&OnceLock<Known>> {
        let code = character as usize;
        let index = if LETTERS.contains(&code) {
            code
        } else if SIGNS.contains(&code) {
            code - SIGNS.start + LETTERS.end
        } else {
            return None;
        };
        Some(&self.0[weight as usize][index])
    }
}

impl<Known: Copy> Common<Known> {
    fn get_or(&self, character: char, weight: Weight, find: impl FnOnce() -> Known) -> Known {
        match self.place(character, weight) {
            Some(place) => *place.get_or_init(find),
            None => find(),
        }
    }
}

/// The glyph for a character, or `None` if no bundled face has it. Control and private-use characters have none.
pub fn glyph(character: char, weight: Weight) -> Option<Glyph> {
    static GLYPHS: Common<Option<Glyph>> = Common::new();
    GLYPHS.get_or(character, weight, || search(character, weight))
}

fn search(character: char, weight: Weight) -> Option<Glyph> {
    if character.is_control() || is_private_use(character) {
        return None;
    }
    FaceId::for_weight(weight).into_iter().find_map(|id| {
        let face = id.face()?;
        let glyph = face.glyph_index(character)?;
        let advance = f64::from(face.glyph_hor_advance(glyph)?) / f64::from(face.units_per_em());
        Some(Glyph { face: id, id: glyph.0, character, advance })
    })
}

/// Whether a character can be printed in both weights.
pub fn has_glyph(character: char) -> bool {
    glyph(character, Weight::Regular).is_some() && glyph(character, Weight::Bold).is_some()
}

/// The glyphs of a line of text; a character without a glyph is left out, so check with [`has_glyph`] first.
pub fn glyphs(text: &str, weight: Weight) -> impl Iterator<Item = Glyph> {
    text.chars().filter_map(move |character| glyph(character, weight))
}

/// Advance width of a line of text, in ems: of all but its fractions, and of its fractions, which may be set larger.
pub fn widths(text: &str, weight: Weight) -> (f64, f64) {
    static ASCII: LazyLock<[[(f64, f64); ASCII_CHARACTERS]; 2]> = LazyLock::new(|| {
        let of_weight = |weight| std::array::from_fn(|code| width(char::from(code as u8), weight));
        [Weight::Regular, Weight::Bold].map(of_weight)
    });
    let ascii = &ASCII[weight as usize];
    text.chars().fold((0.0, 0.0), |(letters, fractions), character| {
        let known = ascii.get(character as usize).copied();
        let (letter, fraction) = known.unwrap_or_else(|| width(character, weight));
        (letters + letter, fractions + fraction)
    })
}

/// The same of one character; none of one without a glyph.
fn width(character: char, weight: Weight) -> (f64, f64) {
    match glyph(character, weight) {
        Some(glyph) if glyph.is_fraction() => (0.0, glyph.advance),
        Some(glyph) => (glyph.advance, 0.0),
        None => (0.0, 0.0),
    }
}

/// How far the ink of a text reaches above and below its baseline, in ems.
pub fn reach(text: &str, weight: Weight) -> (f64, f64) {
    let boxes = glyphs(text, weight).filter_map(|glyph| ink(glyph, weight));
    boxes.fold((0.0, 0.0), |most, ink| (f64::max(most.0, -ink.y0), f64::max(most.1, ink.y1)))
}

/// How far the ink of a text reaches above its capitals and below its baseline, in capital heights.
pub fn past_capitals(text: &str, weight: Weight) -> (f64, f64) {
    let (over, under) = reach(text, weight);
    ((over / CAP_HEIGHT_EM - 1.0).max(0.0), under.max(0.0) / CAP_HEIGHT_EM)
}

/// The box around a glyph's ink, in ems, y down, origin on the baseline; `None` for a space.
pub fn ink(glyph: Glyph, weight: Weight) -> Option<Rect> {
    static INK: Common<Option<Rect>> = Common::new();
    INK.get_or(glyph.character, weight, || {
        let outline = outline(glyph);
        (!outline.elements().is_empty()).then(|| outline.bounding_box())
    })
}

/// A glyph's outline in ems, y down, origin on the baseline.
pub fn outline(glyph: Glyph) -> Cow<'static, BezPath> {
    static OUTLINES: Common<BezPath> = Common::new();
    match OUTLINES.place(glyph.character, glyph.face.weight()) {
        Some(place) => Cow::Borrowed(place.get_or_init(|| drawn(glyph))),
        None => Cow::Owned(drawn(glyph)),
    }
}

/// The outline as its face draws it.
fn drawn(glyph: Glyph) -> BezPath {
    let mut pen = Pen { path: BezPath::new(), scale: 0.0 };
    if let Some(face) = glyph.face.face() {
        pen.scale = 1.0 / f64::from(face.units_per_em());
        face.outline_glyph(GlyphId(glyph.id), &mut pen);
    }
    pen.path
}

fn is_private_use(character: char) -> bool {
    matches!(u32::from(character), 0xE000..=0xF8FF | 0xF0000..=0x10FFFF)
}

struct Pen {
    path: BezPath,
    scale: f64,
}

impl Pen {
    fn point(&self, x: f32, y: f32) -> (f64, f64) {
        (f64::from(x) * self.scale, -f64::from(y) * self.scale)
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.point(x, y));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.point(x, y));
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.path.quad_to(self.point(x1, y1), self.point(x, y));
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let [first, second, end] = [(x1, y1), (x2, y2), (x, y)].map(|(x, y)| Point::from(self.point(x, y)).to_vec2());
        let start = self.path.current_position().unwrap_or_default().to_vec2();
        // The control point of the quadratic that this cubic was raised from, as seen from either end.
        let (from_start, from_end) = ((3.0 * first - start) / 2.0, (3.0 * second - end) / 2.0);
        if (from_end - from_start).hypot() <= RAISED_QUADRATIC_EM {
            self.path.quad_to(((from_start + from_end) / 2.0).to_point(), end.to_point());
        } else {
            self.path.curve_to(first.to_point(), second.to_point(), end.to_point());
        }
    }
    fn close(&mut self) {
        self.path.close_path();
    }
}
