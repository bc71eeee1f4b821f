//! The files of a run, each made as it is written. Knows what they are made of, no folder and no disk.

use std::borrow::Cow;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::{Document, MANIFEST, PROOF_PAGE, STACKS, Summary, png_name, svg_name};
use crate::drawing::Drawing;
use crate::output::write::ToWrite;
use crate::output::{png, proof, svg};
use crate::parallel;

/// Every file of a run, and what is in it.
///
/// The pictures of a thousand cards take hundreds of megabytes, so they are not here: each is made as it is written.
#[derive(Debug)]
pub struct Files {
    /// Each side of each card, in the order they are printed.
    pub cards: Vec<Summary>,
    /// Name, pages, and how well the paper is used, of each PDF.
    pub documents: Vec<Document>,
    /// The calendars, each with how many watches it has.
    pub calendars: Vec<(String, usize)>,
    /// What has no card, and why, if the book leaves it to the program what to print: `wardrobe: the book has no ...`.
    pub left_out: Vec<String>,
    pub(super) pdfs: Vec<(&'static str, Vec<u8>)>,
    pub(super) manifest: Vec<u8>,
    pub(super) page: proof::Page,
    /// The calendars' own names and text.
    pub(super) diaries: Vec<(String, Vec<u8>)>,
    /// In the order of the proof page.
    pub(super) pictures: Vec<Picture>,
    pub(super) svg_text: svg::TextAs,
    /// Whether each picture is a PNG as well.
    pub(super) png: bool,
}

/// A side of a card, or a label, with the name of its files.
#[derive(Debug)]
pub(super) struct Picture {
    pub name: String,
    pub drawing: Drawing,
}

/// A file of a run.
#[derive(Clone, Debug)]
pub struct File<'a> {
    name: PathBuf,
    of: MadeOf<'a>,
}

/// What a file is made of.
#[derive(Clone, Copy, Debug)]
enum MadeOf<'a> {
    /// It is made.
    Bytes(&'a [u8]),
    Svg(&'a Drawing, svg::TextAs),
    Png(&'a Drawing),
    ProofPage(&'a proof::Page, &'a [Picture]),
}

impl Files {
    /// The PDFs that this book fills none of; what an earlier run left under these names is not of this book as it is now.
    pub fn unused_documents(&self) -> impl Iterator<Item = &'static str> {
        let is_made = |file: &str| self.documents.iter().any(|document| document.file == file);
        STACKS.iter().map(|stack| stack.file).filter(move |file| !is_made(file))
    }

    /// The files, to be written by [`write_all`](crate::output::write::write_all).
    pub fn files(&self) -> Vec<File<'_>> {
        let pdfs = self.pdfs.iter().map(|(name, bytes)| File::new(name, MadeOf::Bytes(bytes)));
        let pictures = self.pictures.iter().flat_map(|Picture { name, drawing }| {
            let svg = File::new(svg_name(name), MadeOf::Svg(drawing, self.svg_text));
            [Some(svg), self.png.then(|| File::new(png_name(name), MadeOf::Png(drawing)))].into_iter().flatten()
        });
        let manifest = File::new(MANIFEST, MadeOf::Bytes(&self.manifest));
        let page = File::new(PROOF_PAGE, MadeOf::ProofPage(&self.page, &self.pictures));
        let diaries = self.diaries.iter().map(|(name, bytes)| File::new(name, MadeOf::Bytes(bytes)));
        pdfs.chain(pictures).chain([manifest, page]).chain(diaries).collect()
    }

    /// Of a single card, which nobody prints with a book's: the PDF, under this name, and the pictures.
    pub fn of_one_card<'a>(&'a self, pdf: &str) -> Vec<File<'a>> {
        let of_a_card = |file: File<'a>| match file.of {
            MadeOf::Bytes(_) => file.is_pdf().then(|| File { name: pdf.into(), ..file }),
            MadeOf::Svg(..) => Some(file),
            MadeOf::Png(_) | MadeOf::ProofPage(..) => None,
        };
        self.files().into_iter().filter_map(of_a_card).collect()
    }

    /// Every file by its name, made at once. For those that write none: a large book takes hundreds of megabytes so.
    ///
    /// # Errors
    /// A file that cannot be made, which is a fault of the program.
    pub fn in_memory(&self) -> io::Result<Vec<(String, Vec<u8>)>> {
        let make =
            |file: &File| file.made().map(|bytes| (file.name.to_string_lossy().into_owned(), bytes.into_owned()));
        parallel::each(&self.files(), self.pictures.len(), make).into_iter().collect()
    }
}

impl<'a> File<'a> {
    fn new(name: impl Into<PathBuf>, of: MadeOf<'a>) -> Self {
        File { name: name.into(), of }
    }

    /// The same under another name.
    pub fn named(self, name: impl Into<PathBuf>) -> Self {
        File { name: name.into(), ..self }
    }

    /// The same in a folder of its own.
    pub fn inside(self, folder: &Path) -> Self {
        File { name: folder.join(self.name), ..self }
    }

    /// What is in it.
    fn made(&self) -> io::Result<Cow<'a, [u8]>> {
        match self.of {
            MadeOf::Bytes(bytes) => Ok(bytes.into()),
            MadeOf::Svg(drawing, text) => Ok(svg::svg(drawing, svg::Options { text }).into_bytes().into()),
            MadeOf::Png(drawing) => {
                let picture = png::png(drawing, png::most_dots_per_inch(drawing.size));
                picture.map(Cow::from).map_err(|error| cannot_be_made(&error))
            }
            MadeOf::ProofPage(..) => {
                let mut bytes = Vec::new();
                self.write(&mut bytes)?;
                Ok(bytes.into())
            }
        }
    }

    /// Whether it is one of the PDFs.
    pub fn is_pdf(&self) -> bool {
        self.name.extension().is_some_and(|ending| ending == "pdf")
    }
}

impl ToWrite for File<'_> {
    fn name(&self) -> &Path {
        &self.name
    }

    fn work(&self) -> usize {
        match self.of {
            MadeOf::Bytes(_) | MadeOf::ProofPage(..) => 0,
            MadeOf::Svg(..) | MadeOf::Png(_) => 1,
        }
    }

    fn write(&self, to: &mut dyn Write) -> io::Result<()> {
        match self.of {
            // A picture at a time, since all of them are large.
            MadeOf::ProofPage(page, pictures) => page.write(pictures.iter().map(|picture| &picture.drawing), to),
            MadeOf::Svg(drawing, text) => svg::write(drawing, svg::Options { text }, to),
            MadeOf::Bytes(_) | MadeOf::Png(_) => to.write_all(&self.made()?),
        }
    }
}

fn cannot_be_made(error: &dyn std::fmt::Display) -> io::Error {
    io::Error::other(format!("it could not be made: {error}; this is a fault of the program: please report it"))
}
