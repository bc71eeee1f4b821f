//! Embedded faces without what no reader of a PDF looks at. Knows the objects of a finished file, not what is printed.

use lopdf::{Document, Object, Stream};
use subsetter::GlyphRemapper;
use ttf_parser::{Face, RawFace, Tag};

const CFF: Tag = Tag::from_bytes(b"CFF ");

/// Leaves only the glyph outlines of each CFF face: the names of all the glyphs that the whole face has, its character
/// map and its licence text fill half of a file of one card. Glyphs keep their numbers.
///
/// A face that cannot be made smaller stays as it is.
pub fn shrink(file: &mut Document) {
    for object in file.objects.values_mut() {
        let Ok(stream) = object.as_stream_mut() else { continue };
        let is_open_type = stream.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|name| name == b"OpenType");
        if !is_open_type || stream.is_compressed() {
            continue;
        }
        if let Some(outlines) = outlines(&stream.content).filter(|outlines| outlines.len() < stream.content.len()) {
            // ISO 32000-1, table 126: a bare CFF table of a CIDFont.
            *stream = Stream::new(lopdf::dictionary! { "Subtype" => "CIDFontType0C" }, outlines);
        }
    }
}

/// The CFF table of a face, with every glyph of it under its number.
fn outlines(face: &[u8]) -> Option<Vec<u8>> {
    let glyphs: Vec<u16> = (0..Face::parse(face, 0).ok()?.number_of_glyphs()).collect();
    let remapper = GlyphRemapper::new_from_glyphs_sorted(&glyphs);
    let smaller = subsetter::subset(face, 0, &remapper).ok()?;
    RawFace::parse(&smaller, 0).ok()?.table(CFF).map(<[u8]>::to_vec)
}
