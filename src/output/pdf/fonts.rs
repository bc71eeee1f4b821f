//! The faces of one document, each cut down to the glyphs that its pages show. Knows faces and glyphs, not where on a
//! page they stand.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo};
use pdf_writer::writers::CidFont;
use pdf_writer::{Name, Rect, Ref, Str};
use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId, RawFace, Tag, name_id};

use super::Error;
use super::file::{File, compressed};
use crate::drawing::Text;
use crate::drawing::font::{self, FaceId, Glyph};
use crate::parallel;

/// Lines that a list of a character map may have (ISO 32000-1, 9.7.5.4: the operators of Technical Note 5014).
const MOST_IN_A_LIST: usize = 100;
/// What thousandths of an em are counted in (ISO 32000-1, 9.2.4).
const UNITS_PER_EM: i32 = 1000;
/// About how wide stems are, in such thousandths, for readers that have to stand another face in. Measured in the i of B612
/// and of DejaVu Sans: 101 and 90, in bold 164 and 175.
const REGULAR_STEM: f32 = 95.0;
const BOLD_STEM: f32 = 170.0;
/// Which character collection glyph numbers are of: none but the face's own (ISO 32000-1, 9.7.5.2).
const OWN_NUMBERS: SystemInfo = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// The faces that a document's text needs, with the characters that each shows and their glyphs.
pub struct Fonts(BTreeMap<FaceId, Used>);

/// What a document shows of a face.
struct Used {
    /// The first character that each glyph stands for.
    characters: BTreeMap<u16, char>,
    /// From the numbers of glyphs in the face to those in the document. They keep their order: letters follow each other
    /// there as in the alphabet, and a table from numbers to characters that both rise is compressed best.
    numbers: GlyphRemapper,
}

/// A face as it goes into the file.
pub struct Cut {
    /// The face's own name behind the tag of a subset, as in `BREGUL+B612-Regular`.
    name: String,
    outlines: Vec<u8>,
    /// Length of the outlines before they were compressed.
    length: usize,
    to_characters: Vec<u8>,
}

impl Fonts {
    /// What these texts need; a character without a glyph is left out.
    pub fn of<'a>(texts: impl Iterator<Item = &'a Text>) -> Self {
        let mut used: BTreeMap<FaceId, BTreeMap<u16, char>> = BTreeMap::new();
        for glyph in texts.flat_map(|text| font::glyphs(&text.content, text.weight)) {
            let first = used.entry(glyph.face).or_default().entry(glyph.id).or_insert(glyph.character);
            *first = glyph.character.min(*first);
        }
        let numbered = used.into_iter().map(|(face, characters)| {
            let glyphs: Vec<u16> = characters.keys().copied().collect();
            (face, Used { characters, numbers: GlyphRemapper::new_from_glyphs_sorted(&glyphs) })
        });
        Fonts(numbered.collect())
    }

    /// A glyph's number in the document.
    ///
    /// # Errors
    /// The face, if it was not made for this glyph.
    pub fn number(&self, glyph: Glyph) -> Result<u16, Error> {
        let used = self.0.get(&glyph.face);
        used.and_then(|used| used.numbers.get(glyph.id)).ok_or(Error::Face(glyph.face))
    }

    /// Every face without the glyphs that a document of so many pages does not show.
    ///
    /// # Errors
    /// The face, if a bundled one cannot be read.
    pub fn cut(&self, pages: usize) -> Result<Vec<Cut>, Error> {
        let used: Vec<(&FaceId, &Used)> = self.0.iter().collect();
        parallel::each(&used, pages, |(face, used)| used.cut(**face).ok_or(Error::Face(**face))).into_iter().collect()
    }

    /// Writes every face as it was [`cut`](Fonts::cut); the name of each, as pages call it, and its number.
    ///
    /// # Errors
    /// As [`Fonts::cut`].
    pub fn write(&self, cut: Vec<Cut>, file: &mut File) -> Result<Vec<(&'static str, Ref)>, Error> {
        let written =
            self.0.iter().zip(cut).map(|((face, used), cut)| Ok((name(*face), used.write(*face, &cut, file)?)));
        written.collect()
    }
}

impl Used {
    /// The glyphs used alone, without the rest of the face.
    fn cut(&self, id: FaceId) -> Option<Cut> {
        let face = subsetter::subset(id.bytes(), 0, &self.numbers).ok()?;
        // Of outlines of cubic curves their table alone (ISO 32000-1, table 126).
        let outlines = match RawFace::parse(&face, 0).ok()?.table(Tag::from_bytes(b"CFF ")) {
            Some(table) => table,
            None => &face,
        };
        let mut names = id.face()?.names().into_iter();
        let own_name =
            names.find_map(|name| (name.name_id == name_id::POST_SCRIPT_NAME).then(|| name.to_string()).flatten())?;
        Some(Cut {
            name: format!("{}+{own_name}", name(id)),
            outlines: compressed(outlines).ok()?,
            length: outlines.len(),
            to_characters: compressed(self.to_characters(id)?.as_bytes()).ok()?,
        })
    }

    fn write(&self, id: FaceId, cut: &Cut, file: &mut File) -> Result<Ref, Error> {
        let face = id.face().ok_or(Error::Face(id))?;
        let name = Name(cut.name.as_bytes());
        let is_cubic = face.tables().cff.is_some();
        let outlines = file.number();
        file.compressed_stream(outlines, &cut.outlines, |stream| {
            if is_cubic {
                stream.pair(Name(b"Subtype"), Name(b"CIDFontType0C"));
            } else {
                stream.pair(Name(b"Length1"), cut.length as i32);
            }
        })?;
        let to_characters = file.number();
        file.compressed_stream(to_characters, &cut.to_characters, |_| {})?;
        let descriptor = file.number();
        file.object(descriptor, |objects| {
            let mut written = objects.font_descriptor(descriptor);
            let per_em = |units: i16| per_em(i32::from(units), face) as f32;
            let (header, bounds) = (face.tables().hhea, face.global_bounding_box());
            let corners = [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(per_em);
            // Numbers stand for glyphs here, not for letters. The bundled faces are upright.
            written.name(name).flags(FontFlags::SYMBOLIC).italic_angle(0.0);
            written.bbox(Rect::new(corners[0], corners[1], corners[2], corners[3]));
            written.ascent(per_em(header.ascender)).descent(per_em(header.descender));
            written.cap_height((font::CAP_HEIGHT_EM * f64::from(UNITS_PER_EM)) as f32);
            written.stem_v(if face.is_bold() { BOLD_STEM } else { REGULAR_STEM });
            if is_cubic {
                written.font_file3(outlines)
            } else {
                written.font_file2(outlines)
            };
        });
        let id = file.number();
        file.object(id, |objects| {
            let mut written = objects.type0_font(id);
            written.base_font(name).encoding_predefined(Name(b"Identity-H")).to_unicode(to_characters);
            let mut glyphs = written.insert(Name(b"DescendantFonts")).array();
            let mut glyphs = glyphs.push().start::<CidFont>();
            glyphs.subtype(if is_cubic { CidFontType::Type0 } else { CidFontType::Type2 });
            glyphs.base_font(name).system_info(OWN_NUMBERS).font_descriptor(descriptor);
            if !is_cubic {
                glyphs.cid_to_gid_map_predefined(Name(b"Identity"));
            }
            glyphs.widths().consecutive(0, self.numbers.remapped_gids().map(|glyph| width(glyph, face) as f32));
        });
        Ok(id)
    }

    /// A table from the numbers of glyphs to characters, by which words are found and copied (ISO 32000-1, 9.10.3).
    fn to_characters(&self, id: FaceId) -> Option<String> {
        let name = name(id);
        let mut table = format!(
            "/CIDInit/ProcSet findresource begin 12 dict begin begincmap\n\
             /CIDSystemInfo<</Registry({name})/Ordering({name})/Supplement 0>>def\n\
             /CMapName/{name} def/CMapType 2 def\n\
             1 begincodespacerange<0000><FFFF>endcodespacerange\n"
        );
        let pairs: Vec<(&u16, &char)> = self.characters.iter().collect();
        for pairs in pairs.chunks(MOST_IN_A_LIST) {
            let _ = writeln!(table, "{} beginbfchar", pairs.len());
            for (glyph, character) in pairs {
                let _ = write!(table, "<{:04X}><", self.numbers.get(**glyph)?);
                for unit in character.encode_utf16(&mut [0; 2]) {
                    let _ = write!(table, "{unit:04X}");
                }
                table.push_str(">\n");
            }
            table.push_str("endbfchar\n");
        }
        table.push_str("endcmap CMapName currentdict/CMap defineresource pop end end");
        Some(table)
    }
}

/// What pages call a face: six capitals, because it also tags the subset (ISO 32000-1, 9.6.4).
pub fn name(face: FaceId) -> &'static str {
    match face {
        FaceId::FractionsRegular => "FREGUL",
        FaceId::FractionsBold => "FSTRNG",
        FaceId::B612Regular => "BREGUL",
        FaceId::B612Bold => "BSTRNG",
        FaceId::DejaVuSans => "DREGUL",
        FaceId::DejaVuSansBold => "DSTRNG",
    }
}

/// A glyph's advance, rounded down: what is left of it is written with the text.
fn width(glyph: u16, face: &Face) -> i32 {
    per_em(i32::from(face.glyph_hor_advance(GlyphId(glyph)).unwrap_or(0)), face)
}

/// Units of a face as thousandths of an em, rounded down.
fn per_em(units: i32, face: &Face) -> i32 {
    (units * UNITS_PER_EM).div_euclid(i32::from(face.units_per_em()))
}
