//! What a page of cards carries besides them: a line of words at its foot, crop marks and, for cards with two sides,
//! crosses. Does not know what lies on the page.
//!
//! Cards are not measured, so there are no check bars; whoever prints too small sees it by the letters.

use kurbo::{Affine, Point, Rect, Vec2};

use super::furniture::{CROP_WIDTH_MM, CROSS_ARM_MM, Heading, Side, TICK_WIDTH_MM, shortened, usable, words};
use super::pack::{FreeArea, NO_GAP_MM};
use super::printer::{Correction, Flip};
use super::{PaperSize, crop};
use crate::card_sizes::{self, EDGE};
use crate::drawing::{Drawing, Shape, Text, Weight, font};

/// From the corners of cards, where crop marks stand, to words and crosses.
const BESIDE_MM: f64 = 2.5;
/// From the left and right edges of what the printer reaches to the middle of a cross: clear of crop marks at corners.
const CROSS_INSET_MM: f64 = 12.0;
/// Between the sentence and the page's number, and between that and the title.
const WORDS_GAP_MM: f64 = 3.0;

/// The furniture of every page of cards of one document.
pub(super) struct Foot<'a> {
    paper: &'a PaperSize,
    heading: Heading<'a>,
    /// What the printer reaches and what may be used of it.
    pub printable: Rect,
    /// Where the words stand, from the top of their capitals to below their tails.
    words: Rect,
    /// Places at which both sides of the paper have a cross, on the front.
    crosses: Vec<Point>,
    duplex: Option<Flip>,
}

impl<'a> Foot<'a> {
    pub fn new(
        paper: &'a PaperSize,
        heading: Heading<'a>,
        correction: Option<&Correction>,
        duplex: Option<Flip>,
    ) -> Self {
        let correction = correction.map(|correction| correction.on_page(paper.size()));
        let printable = usable(paper, correction.as_ref(), duplex);
        let line = card_sizes::foot(printable, paper.size());
        let cap = words("", Weight::Regular).cap_height();
        let depth = cap * (1.0 + font::DESCENT_EM / font::CAP_HEIGHT_EM);
        let x0 = printable.x0.max(EDGE.to_mm()) + BESIDE_MM;
        let mut said = Rect::new(x0, line.y1 - depth, paper.size().width - x0, line.y1);
        let mut crosses = Vec::new();
        if duplex.is_some() {
            let top = printable.y0 + CROSS_ARM_MM;
            let at_foot = Point::new(said.x0 + CROSS_ARM_MM, said.center().y);
            crosses = vec![
                Point::new(printable.x0 + CROSS_INSET_MM, top),
                Point::new(printable.x1 - CROSS_INSET_MM, top),
                at_foot,
            ];
            said.x0 = at_foot.x + CROSS_ARM_MM + BESIDE_MM;
        }
        Foot { paper, heading, printable, words: said, crosses, duplex }
    }

    /// The part of the page that no card may touch.
    pub fn area(&self) -> Rect {
        self.words
    }

    /// What is left for cards.
    pub fn free(&self) -> FreeArea {
        let wide = card_sizes::room(self.printable, self.paper.size(), self.duplex.is_some());
        FreeArea { wide, tall: Rect { x0: wide.x1, ..wide }, gap: NO_GAP_MM }
    }

    /// The furniture of page `number` of `count`, with crop marks around the cards on it unless they are the page itself.
    /// On a back it takes the same parts of the paper as on the front.
    pub fn draw(&self, number: usize, count: usize, cards: &[Rect], side: Side) -> Drawing {
        let size = self.paper.size();
        let to_back = match side {
            Side::Back(flip) => flip.to_back(size),
            Side::Only | Side::Front => Affine::IDENTITY,
        };
        let said = to_back.transform_rect_bbox(self.words);
        let side_words = match side {
            Side::Only => "",
            Side::Front => ", front",
            Side::Back(_) => ", back",
        };
        let page = format!("Page {number} of {count}{side_words}, {}", self.paper.name());
        let mut drawing = Drawing::new(size, self.heading.title, format!("{page}."));
        for text in self.line(&page, said) {
            drawing.print(text);
        }
        let mut taken = vec![said];
        for &cross in &self.crosses {
            let cross = to_back * cross;
            for arm in [Vec2::new(CROSS_ARM_MM, 0.0), Vec2::new(0.0, CROSS_ARM_MM)] {
                drawing.print(Shape::line(cross - arm, cross + arm, TICK_WIDTH_MM));
            }
            taken.push(Rect::from_center_size(cross, (2.0 * CROSS_ARM_MM, 2.0 * CROSS_ARM_MM)));
        }
        let is_page = |card: &Rect| self.paper.card_sizes(self.duplex.is_some()).is_uncut(card.size());
        if !cards.iter().any(is_page) {
            for mark in crop::marks(cards, &taken, to_back.transform_rect_bbox(self.printable)) {
                drawing.print(Shape::line(mark.p0, mark.p1, CROP_WIDTH_MM));
            }
        }
        drawing
    }

    /// The sentence at the left, title and number of the page at the right, as far as there is room for them.
    fn line(&self, page: &str, within: Rect) -> Vec<Text> {
        let cap = words("", Weight::Regular).cap_height();
        let baseline = within.y0 + cap;
        let page = words(page, Weight::Regular);
        let beside_page = within.width() - page.width() - WORDS_GAP_MM;
        let short = || words("Print at actual size, 100 %.", Weight::Bold);
        let whole = words(&sentence(self.duplex), Weight::Bold);
        let sentence = if whole.width() <= beside_page { whole } else { short() };
        let end_at = Point::new(within.x1 - page.width(), baseline);
        let end = Text { origin: end_at, ..page };
        let left_for_title = beside_page - sentence.width() - WORDS_GAP_MM;
        let mut shown = shortened(self.heading.title, left_for_title);
        if shown.chars().count() * 2 < self.heading.title.chars().count() {
            shown.clear();
        }
        let title = words(&shown, Weight::Bold);
        let title_at = Point::new(end_at.x - WORDS_GAP_MM - title.width(), baseline);
        let title = Text { origin: title_at, ..title };
        let sentence_fits = sentence.width() <= beside_page;
        let sentence = Text { origin: Point::new(within.x0, baseline), ..sentence };
        let mut line = vec![sentence];
        line.extend(sentence_fits.then_some(end));
        line.extend(Some(title).filter(|title| sentence_fits && !title.content.is_empty()));
        line
    }
}

/// What the person at the printer has to know.
fn sentence(duplex: Option<Flip>) -> String {
    match duplex {
        None => "Print at actual size, 100 %: nothing here is measured, but smaller letters are harder to read.".into(),
        Some(flip) => {
            format!("Print at actual size, 100 %, {}; against the light the crosses of both sides meet.", flip.words())
        }
    }
}
