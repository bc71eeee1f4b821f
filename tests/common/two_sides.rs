//! Paper held against the light: whether what a file has on the back of a page lies behind what it has on the front, once
//! the printer has turned the paper. Reckons what the printer does by itself.

use std::collections::BTreeMap;

use cockpit_cards::paper::Flip;
use kurbo::{Line, Point, Size};

use super::content::{self, Segment};
use super::whole::{Entry, Run};

/// The most that a back may be off in the file, millimetres.
pub const TRUE_MM: f64 = 0.005;
/// Where both sides are printed.
pub const TWO_SIDED: &str = "cards-two-sided.pdf";

/// What the printer does when it turns the paper: a place of the back, as seen from the front.
pub fn through_the_paper(flip: Flip, page: Size, back: Point) -> Point {
    match flip {
        Flip::Long => Point::new(page.width - back.x, back.y),
        Flip::Short => Point::new(back.x, page.height - back.y),
    }
}

/// The straight parts of the cut outlines and the crop marks on one page.
pub fn cuts(segments: &[Segment], page: usize) -> Vec<Line> {
    segments.iter().filter(|one| one.page == page && one.layer == "cut").map(|one| one.line).collect()
}

/// How far the ends of two lines are from each other, whichever way they were drawn.
pub fn apart(one: &Line, other: &Line) -> f64 {
    let straight = (one.p0 - other.p0).hypot().max((one.p1 - other.p1).hypot());
    straight.min((one.p0 - other.p1).hypot().max((one.p1 - other.p0).hypot()))
}

/// What is wrong between lines of a front and those of its back, as seen from the front: each has one of the other under it.
pub fn off_each_other(front: &[Line], back: &[Line]) -> Vec<String> {
    let nearest =
        |line: &Line, others: &[Line]| others.iter().map(|other| apart(line, other)).fold(f64::INFINITY, f64::min);
    let mut faults = Vec::new();
    if front.is_empty() || front.len() != back.len() {
        faults.push(format!("{} lines on the front, {} on the back", front.len(), back.len()));
    }
    for (side, lines, others) in [("back", back, front), ("front", front, back)] {
        let off = lines.iter().map(|line| (line, nearest(line, others))).filter(|(_, off)| *off > TRUE_MM);
        faults.extend(
            off.map(|(line, off)| format!("{line:?} of the {side} is {off} mm from the nearest line behind it")),
        );
    }
    faults
}

/// What is wrong with the cut outlines and crop marks of a file whose pages are fronts and backs by turns.
pub fn cuts_off_each_other(bytes: &[u8], segments: &[Segment], flip: Flip) -> Vec<String> {
    let sizes = content::page_sizes(bytes);
    if !sizes.len().is_multiple_of(2) || sizes.iter().any(|size| *size != sizes[0]) {
        return vec![format!("its pages are not fronts and backs of one size: {sizes:?}")];
    }
    let page = Size::from(sizes[0]);
    let fronts = (1..=sizes.len()).step_by(2);
    let faults = fronts.flat_map(|front| {
        let back = seen_from_front(&cuts(segments, front + 1), |at| through_the_paper(flip, page, at));
        let lines = cuts(segments, front);
        // A card that is the page is not cut, on neither side.
        let off = if lines.is_empty() && back.is_empty() { Vec::new() } else { off_each_other(&lines, &back) };
        off.into_iter().map(move |fault| format!("pages {front} and {}: {fault}", front + 1))
    });
    faults.collect()
}

/// Lines of a back, each of their places moved by `through`.
pub fn seen_from_front(back: &[Line], through: impl Fn(Point) -> Point) -> Vec<Line> {
    back.iter().map(|line| Line::new(through(line.p0), through(line.p1))).collect()
}

/// What is wrong with the places that the manifest has for a front and its back. Turned over like the leaf of a book, a back
/// stands upright behind its front; where it lies while its front stands, or the other way round, it reads up.
pub fn off_the_front(front: &Entry, back: &Entry, flip: Flip, page: Size) -> Vec<String> {
    let mut faults = Vec::new();
    let sides = [("front", "back", front, back), ("back", "front", back, front)];
    for (side, other, entry, behind) in sides {
        if entry.side.as_deref() != Some(side) || entry.other_side.as_deref() != Some(&behind.id) {
            faults.push(format!("{} is no {side} of its {other} {}", entry.id, behind.id));
        }
    }
    if front.stamp != back.stamp || front.edition != back.edition {
        faults.push(format!("{} and {} have two stamps or editions", front.id, back.id));
    }
    let ([at], [behind]) = (&front.printed[..], &back.printed[..]) else {
        faults.push(format!("{} and {} are not each printed once", front.id, back.id));
        return faults;
    };
    if [&at.file, &behind.file].iter().any(|file| **file != TWO_SIDED) || at.page % 2 != 1 || behind.page != at.page + 1
    {
        faults.push(format!("{} on page {} is not followed by {} on page {}", front.id, at.page, back.id, behind.page));
    }
    let Size { width, height } = front.size();
    let lie_alike = (back.width_mm - width).abs() <= TRUE_MM && (back.height_mm - height).abs() <= TRUE_MM;
    let stand_across = (back.width_mm - height).abs() <= TRUE_MM && (back.height_mm - width).abs() <= TRUE_MM;
    // Of the back's upper left, upper right and lower left: what of the front lies behind them.
    let corners = if lie_alike {
        [(width, 0.0), (0.0, 0.0), (width, height)]
    } else if stand_across {
        [(width, height), (width, 0.0), (0.0, height)]
    } else {
        faults.push(format!("{} is of another size than {}", back.id, front.id));
        return faults;
    };
    let of_back = [(0.0, 0.0), (back.width_mm, 0.0), (0.0, back.height_mm)];
    for (on_back, on_front) in of_back.into_iter().zip(corners) {
        let seen = through_the_paper(flip, page, behind.to_card(back.size()).inverse() * Point::from(on_back));
        let wanted = at.to_card(front.size()).inverse() * Point::from(on_front);
        let off = (seen - wanted).hypot();
        if off > TRUE_MM {
            faults.push(format!("{on_back:?} of {} is {off} mm from {on_front:?} of {}", back.id, front.id));
        }
    }
    faults
}

/// Everything wrong with the cards of a run that have two sides; `pairs` are the ids of each front and its back.
pub fn faults(run: &Run, pairs: &[(&str, &str)], flip: Flip) -> Vec<String> {
    let by_id: BTreeMap<&str, &Entry> = run.cards.iter().map(|entry| (entry.id.as_str(), entry)).collect();
    let sides: Vec<&str> = pairs.iter().flat_map(|(front, back)| [*front, *back]).collect();
    let is_apart = |entry: &Entry| {
        let printed_apart = entry.printed.iter().any(|printed| printed.file == TWO_SIDED);
        entry.side.is_some() || entry.other_side.is_some() || printed_apart
    };
    let lone = run.cards.iter().filter(|entry| is_apart(entry) && !sides.contains(&entry.id.as_str()));
    let mut faults: Vec<String> = lone.map(|entry| format!("{} is no side of a card", entry.id)).collect();
    let bytes = run.files.iter().find(|(name, _)| name == TWO_SIDED).map(|(_, bytes)| bytes);
    let Some(bytes) = bytes else {
        if !pairs.is_empty() {
            faults.push(format!("no file {TWO_SIDED}"));
        }
        return faults;
    };
    let pages = content::of_pdf(bytes);
    let page = content::page_sizes(bytes).first().copied().map(Size::from).unwrap_or_default();
    faults.extend(cuts_off_each_other(bytes, &pages.segments, flip));
    // Only a card that is the page is not cut; there is one to a page, since it takes more than half of it.
    let is_page = |entry: &Entry| entry.size().area() > page.area() / 2.0;
    let is_cut = (1..=content::page_sizes(bytes).len()).any(|number| !cuts(&pages.segments, number).is_empty());
    if !is_cut && pairs.iter().filter_map(|(front, _)| by_id.get(front)).any(|front| !is_page(front)) {
        faults.push("nothing in it is cut".to_owned());
    }
    for (front, back) in pairs {
        let (Some(front), Some(back)) = (by_id.get(front), by_id.get(back)) else {
            faults.push(format!("{front} and {back} are not both in the manifest"));
            continue;
        };
        faults.extend(off_the_front(front, back, flip, page));
    }
    faults
}
