//! What a PDF says about itself, for windows, searchers and screen readers, and the fingerprint that it is told by.
//! Knows nothing of pages.

use lopdf::{Dictionary, Document, Object, Stream, StringFormat};
use quick_xml::escape::escape;

use super::{Error, Options, unwritable};

/// The language of the program's own words, which are most of what is printed (BCP 47).
const LANGUAGE: &str = "en";
const PRODUCER: &str = concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION"));
/// Bytes of a file identifier: those of the digest that the standard has in mind (ISO 32000-1, 14.4).
const IDENTIFIER_LENGTH: usize = 16;

/// Sets the title and its like where readers look for them: in the information dictionary, in the metadata, in the
/// catalogue.
pub fn describe(file: &mut Document, options: &Options) -> Result<(), Error> {
    let mut information = Dictionary::new();
    information.set("Title", lopdf::text_string(options.title));
    if !options.subject.is_empty() {
        information.set("Subject", lopdf::text_string(options.subject));
    }
    information.set("Producer", lopdf::text_string(PRODUCER));
    let information_id = file.trailer.get(b"Info").and_then(Object::as_reference).map_err(unwritable)?;
    file.set_object(information_id, information);

    let kind =
        Dictionary::from_iter([("Type", "Metadata"), ("Subtype", "XML")].map(|(key, name)| (key, Object::from(name))));
    // Left as it is: what looks for it in a file that it cannot read as a PDF finds it (ISO 32000-1, 14.3.2).
    let metadata = file.add_object(Stream::new(kind, metadata(options).into_bytes()).with_compression(false));
    let catalog = file.catalog_mut().map_err(unwritable)?;
    catalog.set("Metadata", metadata);
    catalog.set("Lang", lopdf::text_string(LANGUAGE));
    Ok(())
}

/// The same as an XMP packet (ISO 16684-1): what is in the information dictionary, and the language.
fn metadata(options: &Options) -> String {
    let words = |name: &str, words: &str| {
        let words = escape(words);
        format!("<dc:{name}><rdf:Alt><rdf:li xml:lang=\"x-default\">{words}</rdf:li></rdf:Alt></dc:{name}>")
    };
    let title = words("title", options.title);
    let subject = if options.subject.is_empty() { String::new() } else { words("description", options.subject) };
    format!(
        "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\"><rdf:Description rdf:about=\"\" \
         xmlns:dc=\"http://purl.org/dc/elements/1.1/\" xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\">{title}{subject}\
         <dc:language><rdf:Bag><rdf:li>{LANGUAGE}</rdf:li></rdf:Bag></dc:language>\
         <pdf:Producer>{PRODUCER}</pdf:Producer></rdf:Description></rdf:RDF><?xpacket end=\"r\"?>"
    )
}

/// Gives the file an identifier made from all that is written of it. The standard would take the day as well; then the
/// same book would be another file tomorrow.
pub fn identify(file: &mut Document) -> Result<(), Error> {
    file.trailer.remove(b"ID");
    let mut digest = blake3::Hasher::new();
    file.save_to(&mut digest).map_err(Error::Write)?;
    let mut identifier = digest.finalize().as_bytes().to_vec();
    identifier.truncate(IDENTIFIER_LENGTH);
    // As it was made and as it is now: it is never changed.
    let identifier = Object::String(identifier, StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![identifier.clone(), identifier]);
    Ok(())
}
