//! What a PDF says about itself, for windows, searchers and screen readers. Knows nothing of pages.

use pdf_writer::writers::DocumentInfo;
use pdf_writer::{Name, Ref, TextStr};
use quick_xml::escape::escape;

use super::file::File;
use super::{Error, Options};

/// The language of the program's own words, which are most of what is printed (BCP 47).
pub const LANGUAGE: &str = "en";
const PRODUCER: &str = concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION"));

/// Writes the title and its like into an information dictionary (ISO 32000-1, 14.3.3).
pub fn information(file: &mut File, options: &Options) -> Ref {
    let id = file.number();
    file.object(id, |objects| {
        let mut information = objects.indirect(id).start::<DocumentInfo>();
        information.title(TextStr(options.title)).producer(TextStr(PRODUCER));
        if !options.subject.is_empty() {
            information.subject(TextStr(options.subject));
        }
    });
    id
}

/// Writes the same, and the language, where newer readers look for it.
///
/// # Errors
/// A title of 2 GB or more.
pub fn metadata(file: &mut File, options: &Options) -> Result<Ref, Error> {
    let id = file.number();
    // Left as it is: what looks for it in a file that it cannot read as a PDF finds it (ISO 32000-1, 14.3.2).
    file.stream(id, packet(options).as_bytes(), |stream| {
        stream.pair(Name(b"Type"), Name(b"Metadata")).pair(Name(b"Subtype"), Name(b"XML"));
    })?;
    Ok(id)
}

/// An XMP packet (ISO 16684-1): what is in the information dictionary, and the language.
fn packet(options: &Options) -> String {
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
