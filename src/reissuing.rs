//! A reissue: a book and its editions to what has to be printed and the editions that follow, all in memory. Joins the
//! stages for the cards that changed and adds nothing of its own.

use kurbo::Size;

use crate::book::{Book, Problem};
use crate::cards::Card;
use crate::drawing::Drawing;
use crate::editions::slip::Slip;
use crate::editions::{Due, Editions};
use crate::output::pdf::{self, Bookmark};
use crate::paper::{Flip, Heading, Page, PaperSize, Piece, PrintJob};
use crate::printing::{
    Drawn, STACKS, Stack, Stacked, bookmark, bookmarks, check_ids, cut_to_paper, draw_all, failure, layouts, sound,
    stamped,
};

/// The file with the change slip, and with whatever can be printed along with it.
pub const FILE: &str = "reissue.pdf";
/// What the first page of [`FILE`] is called.
const SLIP: &str = "Change slip";
/// Before the name of the file that a stack has to itself.
const OWN_FILE_PREFIX: &str = "reissue-";

/// What to reissue and how.
#[derive(Clone, Debug)]
pub struct Request {
    /// The day of the new editions: `2027-05-01`.
    pub date: String,
    /// The day it is, in the same form; new editions of a later one are told.
    pub today: String,
    /// Whether the day may be one before the last edition's.
    pub force_date: bool,
    /// The ids of the cards to take; all that are due are taken if it is empty.
    pub only: Vec<String>,
    /// Whether strips whose label has an older name of the boat are reissued too.
    pub labels: bool,
    /// The paper, the printer and how it turns the paper over.
    pub job: PrintJob,
}

/// A reissue before it is written.
#[derive(Debug)]
pub struct Reissue {
    /// Which cards are reissued and why.
    pub due: Due,
    /// None if nothing is due; else the one with the slip comes first.
    pub files: Vec<File>,
    /// The editions once the files are safe.
    pub next: Editions,
}

/// A PDF: pages of one size, all printed in one way.
#[derive(Debug)]
pub struct File {
    /// The name of the file in the output folder.
    pub name: String,
    /// What goes into the file.
    pub bytes: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// Its pages are fronts and backs by turns, for a printer that turns the paper like this.
    pub flip: Option<Flip>,
}

/// The name of every file that some reissue writes; what an earlier one left of them is waste after the next.
pub fn file_names() -> impl Iterator<Item = String> {
    std::iter::once(FILE.to_owned()).chain(STACKS.iter().map(own_file))
}

/// What is due of a book; `None` if the book has an error.
pub fn due(
    book: &Book,
    editions: &Editions,
    only: &[String],
    labels: bool,
    problems: &mut Vec<Problem>,
) -> Option<(Vec<Card>, Due)> {
    let cards = stamped(book, editions, problems).cards;
    let mut due = Due::of(book, &cards, editions, labels);
    let known = cards.iter().flat_map(Card::sides).map(|side| side.id.as_str());
    check_ids(only, known.chain(editions.cards.keys().map(String::as_str)), problems);
    let back_of = |id: &str| cards.iter().find(|card| card.id == id)?.back.as_ref();
    let is_named = |id: &String| only.contains(id) || back_of(id).is_some_and(|back| only.contains(&back.id));
    due.items.retain(|item| only.is_empty() || is_named(&item.id));
    sound(problems).then_some((cards, due))
}

/// Makes the PDF and the next editions, or nothing if there is an error among `problems`, which it adds to.
pub fn reissue(book: &Book, editions: &Editions, request: &Request, problems: &mut Vec<Problem>) -> Option<Reissue> {
    let (cards, due) = due(book, editions, &request.only, request.labels, problems)?;
    if !due.is_empty() {
        check_date(editions, request, problems);
    }
    if !sound(problems) {
        return None;
    }
    let next = due.released(book, &cards, editions, &request.date);
    // All are drawn, so that a reissue is refused for whatever a build would be refused for.
    let mut drawn = draw_all(book, cards, &next, &request.job, problems);
    if !sound(problems) {
        return None;
    }
    drawn.retain(|drawn| due.items.iter().any(|item| item.id == drawn.card.id));
    cut_to_paper(book, &mut drawn, &request.job);
    let files = if due.is_empty() { Some(Vec::new()) } else { files(book, &due, &drawn, &next, request, problems) };
    sound(problems).then_some(Reissue { due, files: files?, next })
}

/// Whether new editions can have this day: of two editions the later one should be the one that is right.
fn check_date(editions: &Editions, request: &Request, problems: &mut Vec<Problem>) {
    let Request { date, today, .. } = request;
    if let Some(last) = editions.last_day().filter(|last| *last > date.as_str() && !request.force_date) {
        problems.push(Problem::error(
            None,
            format!("the last edition is of {last}, after {date}"),
            format!("set the clock right, or give the day: --date {last}; to take {date} all the same: --force-date"),
        ));
    } else if date > today {
        let what = format!("{date} is yet to come: today is {today}");
        problems.push(Problem::warning(
            None,
            what,
            "give the day on which the cards come into use, or leave --date out",
        ));
    }
}

/// The slip and the pages of cards and strips.
fn files(
    book: &Book,
    due: &Due,
    drawn: &[Drawn],
    next: &Editions,
    request: &Request,
    problems: &mut Vec<Problem>,
) -> Option<Vec<File>> {
    let job = &request.job;
    let layouts = Some(layouts(book, drawn, job, problems)).filter(|_| sound(problems))?;
    let (with_slip, by_itself): (Vec<_>, Vec<_>) =
        layouts.into_iter().partition(|stacked| goes_with_slip(stacked.stack, &job.paper));
    let mut to_print = Vec::new();
    let mut count = 1;
    for Stacked { stack, layout, .. } in &with_slip {
        let (first, last) = (count + 1, count + layout.pages.len());
        let pages = if first == last { format!("Page {first}") } else { format!("Pages {first} to {last}") };
        to_print.push(print_words(&pages, stack, job));
        count = last;
    }
    to_print.extend(by_itself.iter().map(|stacked| print_words(&own_file(stacked.stack), stacked.stack, job)));

    let printed = |id: &str| {
        let release = next.cards.get(id).and_then(|record| record.releases.last());
        release.map(|release| format!("{} · {}", release.stamp, release.words())).unwrap_or_default()
    };
    let boat = &book.boat.name.value;
    let slip = Slip { boat, date: &request.date, due, printed: &printed, pages: to_print };
    let title = format!("{boat}: change slip");
    let heading = Heading { title: &title, note: "For the table ashore; it does not go aboard." };
    let Some(size) = slip_size(job, heading) else {
        problems.push(Problem::error(
            None,
            format!("the change slip does not fit {}", job.paper.name()),
            "print on larger paper: --paper a5 or more",
        ));
        return None;
    };
    let slip = slip.draw(size);
    let slip_pages = match job.lay_out(&[slip_piece(&slip)], heading) {
        Ok(layout) => layout.pages,
        Err(misfits) => {
            problems.extend(misfits.into_iter().map(|misfit| Problem::error(None, misfit.what(), misfit.instead())));
            return None;
        }
    };
    let all: Vec<Page> =
        slip_pages.into_iter().chain(with_slip.into_iter().flat_map(|stacked| stacked.layout.pages)).collect();
    let title = format!("{boat}: reissue of {}", request.date);
    let subject = "What changed since the last edition, after a slip that says what to bin";
    let contents: Vec<Bookmark> = bookmark(&all, &slip, SLIP).into_iter().chain(bookmarks(&all, drawn)).collect();
    let options = pdf::Options { title: &title, subject, duplex: None, bookmarks: &contents };
    let mut files = vec![file(FILE.to_owned(), &all, &options, problems)?];
    for Stacked { stack, layout, .. } in by_itself {
        let title = format!("{title}: {}", stack.title);
        let duplex = stack.two_sided.then_some(job.flip);
        let contents = bookmarks(&layout.pages, drawn);
        let options = pdf::Options { title: &title, subject: stack.note, duplex, bookmarks: &contents };
        files.push(file(own_file(stack), &layout.pages, &options, problems)?);
    }
    Some(files)
}

fn file(name: String, pages: &[Page], options: &pdf::Options, problems: &mut Vec<Problem>) -> Option<File> {
    match pdf::pdf(pages, options) {
        Ok(bytes) => Some(File { name, bytes, pages: pages.len(), flip: options.duplex }),
        Err(error) => {
            problems.push(failure(&name, &error));
            None
        }
    }
}

/// Whether a stack can be printed in one go with the slip: what has two sides cannot, and off a roll each file has
/// pages of its own length.
fn goes_with_slip(stack: &Stack, paper: &PaperSize) -> bool {
    !stack.two_sided && !paper.is_roll()
}

fn own_file(stack: &Stack) -> String {
    format!("{OWN_FILE_PREFIX}{}", stack.file)
}

fn slip_piece(drawing: &Drawing) -> Piece<'_> {
    Piece::new("change-slip", drawing)
}

/// `Pages 2 to 3: cards, A4. Print at 100 % on stiff paper; laminate with matt film.`
fn print_words(pages: &str, stack: &Stack, job: &PrintJob) -> String {
    let job = stack.job(job);
    let corrected = job.correction.as_ref().map(|correction| format!(" {}", correction.words())).unwrap_or_default();
    let flip = if stack.two_sided { format!(", {}", job.flip.words()) } else { String::new() };
    format!("{pages}: {}, {}{flip}. {}{corrected}", stack.title, job.paper.name(), stack.note)
}

/// The largest slip that a page holds; off a roll, one that lies on a table like any letter.
fn slip_size(job: &PrintJob, heading: Heading) -> Option<Size> {
    let paper = &job.paper;
    let holds = |size: Size| {
        let blank = Drawing::new(size, "", "");
        let layout = job.lay_out(&[slip_piece(&blank)], heading);
        layout.is_ok_and(|layout| paper.is_roll() || layout.positions.iter().all(|position| !position.turned))
    };
    let room = paper.printable().size();
    let letter = paper.usual().printable().size();
    let room = if paper.is_roll() { Size::new(room.width.min(letter.width), letter.height) } else { room };
    largest(room, holds)
}

/// Width and height are found to this, millimetres.
const SLIP_STEP: f64 = 2.0;
/// A slip shorter than this is none.
const SLIP_LEAST: Size = Size::new(60.0, 40.0);

/// The widest upright rectangle within `area` that a page holds, and then the highest of that width.
fn largest(area: Size, holds: impl Fn(Size) -> bool) -> Option<Size> {
    let down_to = |from: f64, least: f64| {
        let steps = ((from - least) / SLIP_STEP).floor().max(0.0) as usize;
        (0..=steps).map(move |step| from - step as f64 * SLIP_STEP)
    };
    let width = down_to(area.width, SLIP_LEAST.width).find(|width| holds(Size::new(*width, SLIP_LEAST.height)))?;
    let height = down_to(area.height, SLIP_LEAST.height).find(|height| holds(Size::new(width, *height)))?;
    Some(Size::new(width, height))
}
