//! The printed files show one picture: each card cut out of its PDF page, as a reader that shares no code with us reads it,
//! equals its SVG, and the ticks in the PDF's picture stand where the book puts them.
use crate::common;

use common::raster::Raster;
use common::whole::{self, Entry, Run};
use kurbo::Size;
use lopdf::{Document, Object};

const DOTS_PER_INCH: f64 = 300.0;
const MM_PER_INCH: f64 = 25.4;
const PIXEL: f64 = MM_PER_INCH / DOTS_PER_INCH;
/// Largest mean of any 8 × 8 window; a tick moved by 0.05 mm gives 20 to 40. A pixel is drawn in four rows: a line of which
/// both edges lie a hair to the other side of such a row gives 2 rows of 8 and a quarter of 255, which is 16.
const WINDOW_LIMIT: f64 = 17.0;
/// Darker than this is ink, of 255: a tick's edge pixels are mixed, the word EXAMPLE is lighter.
const INK: f64 = 100.0;

/// A card as the PDF prints it: its page cut down to the card and turned upright.
fn cut_out(run: &Run, card: &Entry) -> Raster {
    let [printed] = card.printed.as_slice() else { panic!("{} is printed once", card.id) };
    let mut document = Document::load_mem(run.file(&printed.file)).expect("a readable PDF");
    let page = document.get_pages()[&(printed.page as u32)];
    let height = common::content::page_box(&document, page, b"MediaBox").height();
    // Up to whole pixels and a hair, away from the card's own origin, so that both pictures lie on one grid.
    let whole = |millimetres: f64| ((millimetres / PIXEL).round() + 0.0005) * PIXEL;
    let size = Size::new(whole(card.width_mm), whole(card.height_mm));
    let area = printed.to_card(card.size()).inverse().transform_rect_bbox(size.to_rect());
    let points = |millimetres: f64| millimetres / MM_PER_INCH * 72.0;
    let sides = [points(area.x0), height - points(area.y1), points(area.x1), height - points(area.y0)];
    let cut = Object::Array(sides.map(|side| Object::Real(side as f32)).to_vec());
    let dictionary = document.get_object_mut(page).and_then(Object::as_dict_mut).expect("a page");
    for name in ["MediaBox", "CropBox", "TrimBox", "BleedBox", "ArtBox"] {
        dictionary.set(name, cut.clone());
    }
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).expect("a PDF");
    let picture = Raster::of_pdf(&bytes, printed.page, DOTS_PER_INCH);
    match printed.turned_degrees {
        0.0 => picture,
        -90.0 => picture.turned_right(),
        90.0 => picture.turned_right().turned_right().turned_right(),
        180.0 | -180.0 => picture.turned_right().turned_right(),
        other => panic!("{} is turned by {other}", card.id),
    }
}

fn agree(run: &Run, card: &Entry) -> Result<(), String> {
    let difference = cut_out(run, card).difference(&Raster::of_svg(run.text(&card.svg), DOTS_PER_INCH));
    if difference.worst_window > WINDOW_LIMIT {
        return Err(format!("{}: {difference:?}", card.id));
    }
    Ok(())
}

fn assert_agree(text: &str) {
    let run = whole::print(text, "A4");
    // Each card by itself: where two lie edge to edge, half of the line between them is the other one's.
    let alone = |card: &Entry| {
        let run = whole::print_only(text, "A4", &card.id);
        agree(&run, run.card(&card.id)).err()
    };
    let faults: Vec<String> = run.cards.iter().filter_map(alone).collect();
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn every_card_of_the_smallest_example_is_one_picture_in_pdf_and_svg() {
    assert_agree(whole::EXAMPLES[0].1);
}

#[test]
fn every_card_of_the_full_example_is_one_picture_in_pdf_and_svg() {
    assert_agree(whole::EXAMPLES[1].1);
}

#[test]
fn every_card_of_the_example_in_inches_is_one_picture_in_pdf_and_svg() {
    assert_agree(whole::EXAMPLES[2].1);
}

#[test]
fn a_card_that_is_printed_a_twentieth_of_a_millimetre_off_is_another_picture() {
    let mut run = whole::print(whole::EXAMPLES[0].1, "A4");
    let card = run.cards.iter_mut().find(|card| card.kind == "strip").expect("a strip");
    card.printed[0].y_mm += 0.05;
    let card = card.clone();
    assert!(agree(&run, &card).is_err());
}

/// Centres of what is inked along a level line `down_mm` from the top, millimetres from the left.
fn inked(picture: &Raster, down_mm: f64) -> Vec<f64> {
    let y = picture.to_pixels(down_mm) as usize;
    let (mut centres, mut moment, mut total, mut darkest) = (Vec::new(), 0.0, 0.0, 0.0_f64);
    for x in 0..=picture.width {
        let ink = if x < picture.width { picture.ink(x, y) } else { 0.0 };
        (moment, total, darkest) = (moment + ink * (x as f64 + 0.5), total + ink, darkest.max(ink));
        if ink == 0.0 {
            if darkest > INK {
                centres.push(moment / total * PIXEL);
            }
            (moment, total, darkest) = (0.0, 0.0, 0.0);
        }
    }
    centres
}

#[test]
fn ticks_in_the_picture_of_the_printed_pdf_stand_within_a_pixel_of_their_places() {
    // From the book's own words: marks 0 to 10 at 10 mm with halves, marks 0 to 8 at 25 mm with halves, and so on.
    let steps = |count: u32, spacing: f64| (0..=count).map(|step| f64::from(step) * spacing).collect::<Vec<_>>();
    let [halyard, outhaul] = [steps(14, 10.0), steps(12, 12.0)];
    let strips = [
        (format!("{PLAIN}  halyard: {{scale: {{marks: 0..7, spacing: 20 mm, halves: true}}}}\n"), "halyard", halyard),
        (
            format!("{PLAIN}  outhaul: {{scale: {{marks: 0..6, spacing: 8 mm, purchase: 3, halves: true}}}}\n"),
            "outhaul",
            outhaul,
        ),
        (format!("{PLAIN}  lead: {{scale: {{marks: 2..9, spacing: 1/2 in}}}}\n"), "lead", steps(7, 12.7)),
    ];
    for (text, control, wanted) in strips {
        let run = whole::print(&text, "A4");
        let card = run.card(&format!("strip-{control}"));
        let picture = cut_out(&run, card);
        // The words begin beyond the marks; the cut line is the first thing on the left.
        let length = wanted.last().expect("a mark") + 2.0;
        let found = inked(&picture, 1.5);
        assert!(found[0] < 0.2, "{control}: the edge at {}", found[0]);
        let found: Vec<f64> = found[1..].iter().copied().filter(|place| place - found[1] < length).collect();
        assert_eq!(found.len(), wanted.len(), "{control}: {found:?}");
        for (place, wanted) in found.iter().zip(&wanted) {
            let off = (place - found[0]) - wanted;
            assert!(off.abs() <= PIXEL, "{control}: a tick for {wanted} mm stands {off:.3} mm off");
        }
    }
}

const PLAIN: &str = "book: 1\nboat: {name: Chervil}\ncards: [{kind: strip}]\ncontrols:\n";
