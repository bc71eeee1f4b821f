//! What goes into which PDF, and on which of its pages: cards, cards with a back, and strips, each printed in its own way. Knows
//! no content and no other file.

use super::Drawn;
use crate::book::{Book, Problem};
use crate::cards::Stock;
use crate::limits::MAX_PAGES;
use crate::paper::{Heading, Layout, Misfit, PaperSize, Piece, PrintJob};

/// What goes into one PDF.
pub(crate) struct Stack {
    pub stock: Stock,
    /// Whether its cards have a back: they are printed another way than those that have none, so they are apart.
    pub two_sided: bool,
    pub file: &'static str,
    pub title: &'static str,
    pub note: &'static str,
}

pub(crate) const STACKS: [Stack; 3] = [
    Stack {
        stock: Stock::Card,
        two_sided: false,
        file: "cards.pdf",
        title: "cards",
        note: "Print at 100 % on stiff paper; laminate with matt film.",
    },
    Stack {
        stock: Stock::Card,
        two_sided: true,
        file: "cards-two-sided.pdf",
        title: "cards with a back",
        note: "Print at 100 % on both sides of stiff paper that nothing shows through; laminate with matt film.",
    },
    Stack {
        stock: Stock::Strip,
        two_sided: false,
        file: "strips.pdf",
        title: "strips",
        note: "Print at 100 % on polyester film: paper swells with damp.",
    },
];

impl Stack {
    /// Whether a card goes into its file.
    pub fn holds(&self, drawn: &Drawn) -> bool {
        drawn.card.stock == self.stock && drawn.back.is_some() == self.two_sided
    }

    /// How it is printed in a run.
    pub fn job(&self, job: &PrintJob) -> PrintJob {
        if self.two_sided { two_sided_job(job) } else { job.clone() }
    }

    /// Its pages: strips are measured, cards are not.
    fn lay_out<'a>(&self, job: &PrintJob, pieces: &[Piece<'a>], heading: Heading) -> Result<Layout<'a>, Vec<Misfit>> {
        match self.stock {
            Stock::Card => self.job(job).lay_out_cards(pieces, heading),
            Stock::Strip => self.job(job).lay_out(pieces, heading),
        }
    }

    /// The problems of cards that the paper cannot hold. `asked` is the paper asked for, which is another one if a roll was
    /// asked for and they have two sides.
    pub fn not_held(&self, misfits: &[Misfit], cards: &[&Drawn], asked: &PaperSize) -> Vec<Problem> {
        let not_on_a_roll = self.two_sided && asked.is_roll();
        let problem = |misfit: &Misfit| {
            let card = cards.iter().find(|drawn| drawn.card.id == misfit.id);
            let (mut what, mut instead) = (misfit.what(), misfit.instead());
            if not_on_a_roll {
                let (usual, asked) = (misfit.paper.name(), asked.name());
                what = format!("{what}; a card with two sides goes on {usual}, for {asked} is printed on one side");
            }
            if let Some(paper) = misfit.fits_on.as_ref().filter(|_| not_on_a_roll) {
                instead =
                    format!("print it by itself: --only {} --paper {}, or make it smaller", misfit.id, paper.name());
            }
            Problem::error(card.map(|drawn| drawn.card.place.clone()), what, instead)
        };
        misfits.iter().map(problem).collect()
    }

    /// What its pages are headed with.
    pub fn title_of(&self, book: &Book) -> String {
        format!("{}: {}", book.boat.name.value, self.title)
    }
}

/// How what has two sides is printed in a run. A roll is printed on one side, so it goes on ordinary paper, through a
/// printer of which nothing is known.
pub fn two_sided_job(job: &PrintJob) -> PrintJob {
    if job.paper.is_roll() {
        PrintJob { paper: job.paper.usual(), correction: None, flip: job.flip }
    } else {
        job.clone()
    }
}

/// Cuts what is longer than the paper into pieces, where it can be cut.
pub(crate) fn cut_to_paper(book: &Book, drawn: &mut [Drawn], job: &PrintJob) {
    for stack in &STACKS {
        let title = stack.title_of(book);
        let heading = Heading { title: &title, note: stack.note };
        for drawn in drawn.iter_mut().filter(|drawn| stack.holds(drawn) && drawn.back.is_none()) {
            drawn.tiles = job.cut(&drawn.drawing, heading);
        }
    }
}

/// A stack with its cards on their pages.
pub(crate) struct Stacked<'a> {
    pub stack: &'static Stack,
    pub drawn: Vec<&'a Drawn>,
    pub title: String,
    pub layout: Layout<'a>,
}

/// The pages of each stack that has any card; says what its paper does not hold.
pub(crate) fn layouts<'a>(
    book: &Book,
    drawn: &'a [Drawn],
    job: &PrintJob,
    problems: &mut Vec<Problem>,
) -> Vec<Stacked<'a>> {
    let mut layouts = Vec::new();
    for stack in &STACKS {
        let in_stack: Vec<&Drawn> = drawn.iter().filter(|drawn| stack.holds(drawn)).collect();
        if in_stack.is_empty() {
            continue;
        }
        let pieces: Vec<Piece> = in_stack.iter().flat_map(|drawn| drawn.pieces()).collect();
        let title = stack.title_of(book);
        match stack.lay_out(job, &pieces, Heading { title: &title, note: stack.note }) {
            Ok(layout) => {
                problems.extend(too_many_pages(stack.title, layout.pages.len()));
                layouts.push(Stacked { stack, drawn: in_stack, title, layout });
            }
            Err(misfits) => problems.extend(stack.not_held(&misfits, &in_stack, &job.paper)),
        }
    }
    layouts
}

/// The problem of a print that nobody can cut out in one go.
fn too_many_pages(what: &str, pages: usize) -> Option<Problem> {
    (pages > MAX_PAGES).then(|| {
        Problem::error(
            None,
            format!("the {what} take {pages} pages, more than {MAX_PAGES} in one file"),
            "print some at a time with --only ID, or on larger paper with --paper",
        )
    })
}
