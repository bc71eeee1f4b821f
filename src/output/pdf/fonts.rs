//! The faces of one document, each cut down to the glyphs that its pages show. Knows faces and glyphs, not where on a
//! page they stand.

use std::collections::BTreeMap;

use printpdf::{FontId, FontMetrics, ParsedFont, PdfFont, PdfFontMetricsStub};
use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId, name_id};

use crate::drawing::Text;
use crate::drawing::font::{self, FaceId};

/// The faces that a document's text needs, with the characters that each shows and their glyphs.
pub struct Fonts(BTreeMap<FaceId, BTreeMap<char, u16>>);

impl Fonts {
    /// What these texts need; a character without a glyph is left out.
    pub fn of<'a>(texts: impl Iterator<Item = &'a Text>) -> Self {
        let mut used: BTreeMap<FaceId, BTreeMap<char, u16>> = BTreeMap::new();
        for glyph in texts.flat_map(|text| font::glyphs(&text.content, text.weight)) {
            used.entry(glyph.face).or_default().insert(glyph.character, glyph.id);
        }
        Fonts(used)
    }

    /// Each face as the PDF library wants it, under its [`id`].
    ///
    /// # Errors
    /// The face, if a bundled one cannot be read.
    pub fn embedded(&self) -> impl Iterator<Item = Result<(FontId, PdfFont), FaceId>> {
        self.0.iter().map(|(&face, used)| Ok((id(face), embedded(face, used).map(PdfFont::new).ok_or(face)?)))
    }
}

/// A fixed name for each face: six capitals, because it also tags the subset (ISO 32000-1, 9.6.4). The library's own
/// names come from a counter of the process and would differ from file to file.
pub fn id(face: FaceId) -> FontId {
    FontId(
        match face {
            FaceId::FractionsRegular => "FREGUL",
            FaceId::FractionsBold => "FSTRNG",
            FaceId::B612Regular => "BREGUL",
            FaceId::B612Bold => "BSTRNG",
            FaceId::DejaVuSans => "DREGUL",
            FaceId::DejaVuSansBold => "DSTRNG",
        }
        .to_owned(),
    )
}

/// A font of the glyphs used alone, with their widths and what a PDF says of the face they come from.
///
/// Glyphs are numbered in the order they have in their face. Letters follow each other there as in the alphabet, and a
/// table from numbers to characters that both rise is compressed best.
fn embedded(id: FaceId, used: &BTreeMap<char, u16>) -> Option<ParsedFont> {
    let face = id.face()?;
    let numbers = GlyphRemapper::new_from_glyphs_sorted(&used.values().copied().collect::<Vec<_>>());
    let outlines = subsetter::subset(id.bytes(), 0, &numbers).ok()?;
    let characters = used.iter().map(|(character, glyph)| Some((u32::from(*character), numbers.get(*glyph)?)));
    let widths = (0..).zip(numbers.remapped_gids().map(|glyph| face.glyph_hor_advance(GlyphId(glyph)).unwrap_or(0)));
    let (header, bounds) = (face.tables().hhea, face.global_bounding_box());
    let mut font = ParsedFont::with_glyph_data(
        outlines,
        0,
        Some(tagged_name(id, face)?),
        characters.collect::<Option<_>>()?,
        widths.collect(),
        face.units_per_em(),
        FontMetrics { ascent: header.ascender, descent: header.descender },
    );
    font.pdf_font_metrics = PdfFontMetricsStub {
        units_per_em: face.units_per_em(),
        x_min: bounds.x_min,
        y_min: bounds.y_min,
        x_max: bounds.x_max,
        y_max: bounds.y_max,
        us_weight_class: face.weight().to_number(),
        // The bundled faces are upright.
        ..PdfFontMetricsStub::default()
    };
    Some(font)
}

/// The face's own name behind the tag of a subset, as in `BREGUL+B612-Regular`.
fn tagged_name(face: FaceId, parsed: &Face) -> Option<String> {
    let names = parsed.names().into_iter();
    let mut of_the_face = names.filter(|name| name.name_id == name_id::POST_SCRIPT_NAME);
    Some(format!("{}+{}", id(face).0, of_the_face.find_map(|name| name.to_string())?))
}
