//! The file around the objects of a PDF: what each is numbered, how all are packed, and where a reader finds them. Knows
//! numbers and bytes, nothing of pages.
//!
//! What is no stream is packed into one stream (ISO 32000-1, 7.5.7), which is compressed as a whole: dictionaries are
//! alike, and compressed one by one they would be the larger part of a small file.

use std::cell::RefCell;
use std::io;

use flate2::{Compress, Compression, FlushCompress, Status};
use pdf_writer::{Chunk, Filter, Name, Pdf, Ref, Settings, Str, Stream};

use super::Error;

/// Of 9: more takes a fifth more time for a five-hundredth of the size.
const COMPRESSION: u32 = 6;
/// Room for the head and tail of a compressed stream, so that a short one is written at once.
const LEAST_COMPRESSED: usize = 64;
/// Bytes of a file identifier: those of the digest that the standard has in mind (ISO 32000-1, 14.4).
const IDENTIFIER_LENGTH: usize = 16;
/// How an object ends that stands by itself.
const END_OF_OBJECT: &[u8] = b"\nendobj\n";
/// White space and comments are for people; nobody reads a compressed stream.
const AS_SHORT_AS_CAN_BE: Settings = Settings { pretty: false };

/// A file as it grows.
pub struct File {
    /// The number of the next object.
    next: Ref,
    /// The file so far, with the streams that are written.
    bytes: Pdf,
    /// Each stream with its place in the file.
    streams: Vec<(Ref, usize)>,
    /// All other objects, to be packed.
    objects: Chunk,
    /// Each of them with the place where it ends among them.
    packed: Vec<(Ref, usize)>,
}

impl File {
    /// A file without anything in it.
    pub fn new() -> Self {
        File {
            next: Ref::new(1),
            bytes: Pdf::with_settings(AS_SHORT_AS_CAN_BE),
            streams: Vec::new(),
            objects: Chunk::with_settings(AS_SHORT_AS_CAN_BE),
            packed: Vec::new(),
        }
    }

    /// A number that no other object has.
    pub fn number(&mut self) -> Ref {
        self.next.bump()
    }

    /// Writes an object that is no stream.
    pub fn object(&mut self, id: Ref, write: impl FnOnce(&mut Chunk)) {
        write(&mut self.objects);
        self.packed.push((id, self.objects.len()));
    }

    /// Writes a stream as it is, with what `describe` adds to its dictionary.
    ///
    /// # Errors
    /// A stream of 2 GB or more.
    pub fn stream(&mut self, id: Ref, content: &[u8], describe: impl FnOnce(&mut Stream)) -> Result<(), Error> {
        // Lengths are whole numbers of 32 bits (ISO 32000-1, annex C).
        i32::try_from(content.len()).map_err(|error| Error::Write(io::Error::other(error)))?;
        self.streams.push((id, self.bytes.len()));
        describe(&mut self.bytes.stream(id, content));
        Ok(())
    }

    /// As [`File::stream`], of content that [`compressed`] has made.
    ///
    /// # Errors
    /// As [`File::stream`].
    pub fn compressed_stream(
        &mut self,
        id: Ref,
        content: &[u8],
        describe: impl FnOnce(&mut Stream),
    ) -> Result<(), Error> {
        self.stream(id, content, |stream| describe(stream.filter(Filter::FlateDecode)))
    }

    /// The whole file. Its identifier is made from all that is written of it. The standard would take the day as well; then
    /// the same book would be another file tomorrow.
    ///
    /// # Errors
    /// As [`File::stream`].
    pub fn finish(mut self, catalog: Ref, information: Ref) -> Result<Vec<u8>, Error> {
        let pack = self.number();
        let (index, objects) = self.pack();
        let content = compressed(&[index.as_bytes(), &objects].concat()).map_err(Error::Write)?;
        let (count, first) = (self.packed.len() as i32, index.len() as i32);
        self.compressed_stream(pack, &content, |stream| {
            stream.pair(Name(b"Type"), Name(b"ObjStm")).pair(Name(b"N"), count).pair(Name(b"First"), first);
        })?;
        let identifier = blake3::hash(self.bytes.as_bytes());
        let identifier = Str(&identifier.as_bytes()[..IDENTIFIER_LENGTH]);

        let table = self.number();
        let start = self.bytes.len();
        self.streams.push((table, start));
        let (places, widths) = self.places(pack);
        let size = self.next.get();
        let places = compressed(&places).map_err(Error::Write)?;
        self.compressed_stream(table, &places, |stream| {
            stream.pair(Name(b"Type"), Name(b"XRef")).pair(Name(b"Size"), size);
            stream.insert(Name(b"W")).array().items(widths);
            stream.pair(Name(b"Root"), catalog).pair(Name(b"Info"), information);
            // As it was made and as it is now: it is never changed.
            stream.insert(Name(b"ID")).array().items([identifier, identifier]);
        })?;
        let mut bytes = self.bytes.as_bytes().to_vec();
        bytes.extend_from_slice(format!("startxref\n{start}\n%%EOF\n").as_bytes());
        Ok(bytes)
    }

    /// The numbers and places of the packed objects, and these objects, without what stands around one by itself.
    fn pack(&self) -> (String, Vec<u8>) {
        let (mut index, mut objects) = (String::new(), Vec::with_capacity(self.objects.len()));
        let mut start = 0;
        for (id, end) in &self.packed {
            let object = self.objects.as_bytes().get(start..*end).unwrap_or_default();
            let head = format!("{} 0 obj\n", id.get());
            let object = object.strip_prefix(head.as_bytes()).unwrap_or(object);
            index.push_str(&format!("{} {} ", id.get(), objects.len()));
            objects.extend_from_slice(object.strip_suffix(END_OF_OBJECT).unwrap_or(object));
            objects.push(b'\n');
            start = *end;
        }
        (index, objects)
    }

    /// Where each object is, in the order of their numbers (ISO 32000-1, 7.5.8.3), and the widths of the three columns.
    fn places(&self, pack: Ref) -> (Vec<u8>, [i32; 3]) {
        const FREE: u8 = 0;
        const BY_ITSELF: u8 = 1;
        const PACKED: u8 = 2;
        let place = |id: &Ref, place| (id.get(), place);
        let streams = self.streams.iter().map(|(id, offset)| place(id, (BY_ITSELF, *offset, 0)));
        let in_pack = |index| (PACKED, pack.get() as usize, index);
        let packed = self.packed.iter().enumerate().map(|(index, (id, _))| place(id, in_pack(index)));
        let mut places: Vec<(i32, (u8, usize, usize))> = streams.chain(packed).collect();
        places.push((0, (FREE, 0, 0)));
        places.sort_unstable();
        let most = |of: fn(&(u8, usize, usize)) -> usize| {
            let most = places.iter().map(|(_, place)| of(place)).max().unwrap_or_default();
            (usize::BITS - most.leading_zeros()).div_ceil(u8::BITS).max(1) as usize
        };
        let (offsets, indices) = (most(|place| place.1), most(|place| place.2));
        let mut rows = Vec::with_capacity(places.len() * (1 + offsets + indices));
        for (_, (kind, offset, index)) in &places {
            rows.push(*kind);
            rows.extend_from_slice(&offset.to_be_bytes()[size_of::<usize>() - offsets..]);
            rows.extend_from_slice(&index.to_be_bytes()[size_of::<usize>() - indices..]);
        }
        (rows, [1, offsets as i32, indices as i32])
    }
}

thread_local! {
    /// Kept from stream to stream: to clear a new one's tables takes as long as to compress a short stream.
    static COMPRESSOR: RefCell<Compress> = RefCell::new(Compress::new(Compression::new(COMPRESSION), true));
}

/// The content in the zlib format, as the filter `FlateDecode` takes it (ISO 32000-1, 7.4.4).
///
/// # Errors
/// What the compressor reports.
pub fn compressed(content: &[u8]) -> io::Result<Vec<u8>> {
    COMPRESSOR.with_borrow_mut(|compressor| {
        compressor.reset();
        let mut bytes = Vec::with_capacity(content.len() / 2 + LEAST_COMPRESSED);
        let mut rest = content;
        while compressor.compress_vec(rest, &mut bytes, FlushCompress::Finish)? != Status::StreamEnd {
            let taken = usize::try_from(compressor.total_in()).map_err(io::Error::other)?;
            rest = content.get(taken..).unwrap_or_default();
            bytes.reserve(bytes.len() + LEAST_COMPRESSED);
        }
        Ok(bytes)
    })
}
