//! A reissue: a book and its editions to `reissue.pdf` and the editions that follow, all in memory. Joins the stages for
//! the cards that changed and adds nothing of its own.

use kurbo::Size;

use crate::book::{Book, Problem};
use crate::cards::Card;
use crate::drawing::Drawing;
use crate::editions::slip::Slip;
use crate::editions::{Due, Editions};
use crate::output::pdf;
use crate::paper::{Correction, Flip, Heading, Page, PaperSize, Piece, Printer, lay_out_for};
use crate::printing::{
    Drawn, STACKS, Stack, check_ids, cut_to_paper, draw_all, failure, sound, stamped_cards, too_many_pages,
};

/// The file with the change slip and the cards.
pub const FILE: &str = "reissue.pdf";

/// What to reissue and how.
#[derive(Clone, Debug)]
pub struct Request {
    /// The day of the new editions: `2027-05-01`.
    pub date: String,
    /// Ids of the cards to take; empty: all that are due.
    pub only: Vec<String>,
    /// Strips whose label has an older name of the boat, too.
    pub labels: bool,
    pub paper: PaperSize,
    pub printer: Option<Correction>,
}

/// A reissue before it is written.
#[derive(Debug)]
pub struct Reissue {
    pub due: Due,
    /// `None` if nothing is due.
    pub pdf: Option<Vec<u8>>,
    pub pages: usize,
    /// The editions once the PDF is safe.
    pub next: Editions,
}

/// What is due of a book; `None` if the book has an error.
pub fn due(
    book: &Book,
    editions: &Editions,
    only: &[String],
    labels: bool,
    problems: &mut Vec<Problem>,
) -> Option<(Vec<Card>, Due)> {
    let cards = stamped_cards(book, editions, problems);
    let mut due = Due::of(book, &cards, editions, labels);
    let known = cards.iter().map(|card| card.id.as_str());
    check_ids(only, known.chain(editions.cards.keys().map(String::as_str)), problems);
    due.items.retain(|item| only.is_empty() || only.contains(&item.id));
    sound(problems).then_some((cards, due))
}

/// Makes the PDF and the next editions, or nothing if there is an error among `problems`, which it adds to.
pub fn reissue(book: &Book, editions: &Editions, request: &Request, problems: &mut Vec<Problem>) -> Option<Reissue> {
    let (cards, due) = due(book, editions, &request.only, request.labels, problems)?;
    if let Some(last) = due.not_before().filter(|last| *last > request.date.as_str()) {
        problems.push(Problem::error(
            None,
            format!("a card that is due was last released on {last}, after {}", request.date),
            format!("set the clock right, or give the day: --date {last}"),
        ));
        return None;
    }
    let next = due.released(book, &cards, editions, &request.date);
    // All are drawn, so that a reissue is refused for whatever a build would be refused for.
    let mut drawn = draw_all(book, cards, &next, problems);
    if !sound(problems) {
        return None;
    }
    drawn.retain(|drawn| due.items.iter().any(|item| item.id == drawn.card.id));
    let titles = STACKS.each_ref().map(|stack| stack.title_of(book));
    let printer = Printer { correction: request.printer.as_ref(), flip: Flip::default() };
    cut_to_paper(&mut drawn, &titles, &request.paper, printer);
    let printed = if due.is_empty() { Some((None, 0)) } else { pages(book, &due, &drawn, &next, request, problems) };
    let (pdf, pages) = printed?;
    sound(problems).then_some(Reissue { due, pdf, pages, next })
}

/// The slip and the pages of cards and strips as one PDF; every page has the size of the paper.
fn pages(
    book: &Book,
    due: &Due,
    drawn: &[Drawn],
    next: &Editions,
    request: &Request,
    problems: &mut Vec<Problem>,
) -> Option<(Option<Vec<u8>>, usize)> {
    let boat = &book.boat.name.value;
    if request.paper.is_roll() {
        problems.push(Problem::error(
            None,
            "a reissue is one file of sheets of one size, and a roll has none",
            "reissue on sheets; print long strips on the roll with cockpit-cards build --only ID",
        ));
        return None;
    }
    let printer = Printer { correction: request.printer.as_ref(), flip: Flip::default() };
    let mut layouts = Vec::new();
    for stack in &STACKS {
        let stacked: Vec<&Drawn> = drawn.iter().filter(|drawn| drawn.card.stock == stack.stock).collect();
        if stacked.is_empty() {
            continue;
        }
        let pieces: Vec<Piece> = stacked.iter().flat_map(|drawn| drawn.pieces()).collect();
        let title = stack.title_of(book);
        match lay_out_for(&pieces, &request.paper, Heading { title: &title, note: stack.note }, printer) {
            Ok(layout) => {
                problems.extend(too_many_pages(stack.title, layout.pages.len()));
                layouts.push((stack, layout));
            }
            Err(misfits) => problems.extend(misfits.into_iter().map(|misfit| {
                let card = stacked.iter().find(|drawn| drawn.card.id == misfit.id);
                Problem::error(card.map(|drawn| drawn.card.place.clone()), misfit.what(), misfit.instead())
            })),
        }
    }
    if !sound(problems) {
        return None;
    }
    let mut follows = Vec::new();
    let mut count = 1;
    for (stack, layout) in &layouts {
        follows.push(page_words(stack, count + 1, count + layout.pages.len(), request));
        count += layout.pages.len();
    }
    let printed = |id: &str| {
        let release = next.cards.get(id).and_then(|record| record.releases.last());
        release.map(|release| format!("{} · {}", release.stamp, release.words())).unwrap_or_default()
    };
    let slip = Slip { boat, date: &request.date, due, printed: &printed, pages: follows };
    let title = format!("{boat}: change slip");
    let heading = Heading { title: &title, note: "For the table ashore; it does not go aboard." };
    let holds = |size: Size| {
        let blank = Drawing::new(size, "", "");
        let layout = lay_out_for(&[slip_piece(&blank)], &request.paper, heading, printer);
        layout.is_ok_and(|layout| layout.positions.iter().all(|position| !position.turned))
    };
    let Some(size) = largest(request.paper.printable().size(), holds) else {
        problems.push(Problem::error(
            None,
            format!("the change slip does not fit {}", request.paper.name()),
            "print on larger paper: --paper a5 or more",
        ));
        return None;
    };
    let slip = slip.draw(size);
    let slip_layout = match lay_out_for(&[slip_piece(&slip)], &request.paper, heading, printer) {
        Ok(layout) => layout,
        Err(misfits) => {
            problems.extend(misfits.into_iter().map(|misfit| Problem::error(None, misfit.what(), misfit.instead())));
            return None;
        }
    };
    let all: Vec<Page> = slip_layout.pages.into_iter().chain(layouts.into_iter().flat_map(|(_, l)| l.pages)).collect();
    let title = format!("{boat}: reissue of {}", request.date);
    let subject = "What changed since the last edition, after a slip that says what to bin";
    let options = pdf::Options { title: &title, subject };
    match pdf::pdf(&all, &options) {
        Ok(bytes) => Some((Some(bytes), all.len())),
        Err(error) => {
            problems.push(failure(FILE, &error));
            None
        }
    }
}

fn slip_piece(drawing: &Drawing) -> Piece<'_> {
    Piece::new("change-slip", drawing)
}

/// `Pages 2 to 3: cards. Print at 100 % on stiff paper; laminate with matt film.`
fn page_words(stack: &Stack, first: usize, last: usize, request: &Request) -> String {
    let pages = if first == last { format!("Page {first}") } else { format!("Pages {first} to {last}") };
    let corrected = request.printer.as_ref().map(|printer| format!(" {}", printer.words())).unwrap_or_default();
    format!("{pages}: {}. {}{corrected}", stack.title, stack.note)
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
