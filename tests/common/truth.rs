//! Whether a run's files tell the truth of its book: every mark of every strip in the PDF, the SVG and the manifest where the
//! scale puts it, every picture well formed and where the manifest says, every back behind its front, every text on its
//! card. Reckons the places itself and reads the files with other people's readers.

use std::collections::BTreeMap;

use cockpit_cards::book::{Book, Control, Direction, Sides, Stands, StripPlan, TickEdge};
use cockpit_cards::cards::strip::Strip;
use cockpit_cards::cards::{self, Card};
use cockpit_cards::drawing::Drawing;
use cockpit_cards::paper::{Flip, Heading, PrintJob};
use cockpit_cards::tuning::{Fineness, Scale, ScaleKind};
use kurbo::{Point, Rect, Shape as _, Size};
use resvg::usvg::roxmltree;

use super::content::{self, Contents, Segment};
use super::seamanship::{Lie, Seen, Way};
use super::whole::{Entry, Run, within};
use super::{books, clear};
use super::{ticks, two_sides};

/// How far a mark may stand from its true place, millimetres.
pub const TRUE_MM: f64 = 0.005;
/// The manifest is not printed: its numbers are rounded to a ten-thousandth.
const LISTED_MM: f64 = 0.0001;
/// Marks of a curved strip begin a rim inside the edge that the pointer runs along, millimetres.
const RIM_MM: f64 = 0.6;
/// A line of a curved strip is a mark if it looks this well at the middle of the circle, millimetres along the edge.
const RADIAL_MM: f64 = 0.01;
/// No printer prints nearer the rim of a page, millimetres.
const MARGIN_MM: f64 = 5.0;
/// Text may reach this far over the edge of its card: a letter's side, which has no ink.
const OVER_MM: f64 = 0.05;

/// Where the marks and the other lines of a strip belong.
struct Wanted {
    /// From the lowest mark, rising.
    marks: Vec<f64>,
    /// Lines across the strip that are no marks: limits, and the far ends of tapes.
    lines: Vec<f64>,
}

/// What was looked at.
#[derive(Clone, Copy, Debug, Default)]
pub struct Count {
    pub cards: usize,
    pub two_sided: usize,
    pub strips: usize,
    pub curved: usize,
    pub curved_in_pieces: usize,
    pub pieces: usize,
    pub marks: usize,
}

impl Count {
    pub fn add(&mut self, other: Count) {
        self.cards += other.cards;
        self.two_sided += other.two_sided;
        self.strips += other.strips;
        self.curved += other.curved;
        self.curved_in_pieces += other.curved_in_pieces;
        self.pieces += other.pieces;
        self.marks += other.marks;
    }
}

/// Everything untrue in the files of a book printed for a printer that flips the paper so. `known` is what its maker knows
/// of its controls; empty if it was spoilt since.
pub fn faults(book: &Book, run: &Run, known: &[books::Control], flip: Flip) -> (Vec<String>, Count) {
    let made = cards::cards(book, &mut Vec::new());
    let pairs = made.iter().filter_map(|front| Some((front.id.as_str(), front.back.as_ref()?.id.as_str())));
    let pairs: Vec<(&str, &str)> = pairs.collect();
    let mut faults = two_sides::faults(run, &pairs, flip);
    let mut seen = Count { cards: run.cards.len(), two_sided: pairs.len(), ..Count::default() };
    let sides = made.iter().flat_map(Card::sides);
    let files: BTreeMap<&str, Contents> = run.pdfs().map(|(name, bytes)| (name, content::of_pdf(bytes))).collect();
    let nothing = Contents::default();
    let pages = files.get("strips.pdf").unwrap_or(&nothing);
    faults.extend(on_each_other(run));
    for entry in &run.cards {
        faults.extend(well_formed(entry, run));
        faults.extend(another_picture(entry, run, &files));
        let Some(card) = sides.clone().find(|card| card.id == entry.id) else {
            faults.push(format!("{}: no such card", entry.id));
            continue;
        };
        if entry.printed.is_empty() {
            faults.push(format!("{}: on no page", entry.id));
        }
        if card.kind == "strip" {
            faults.extend(strip(book, card, entry, run, pages, known, &mut seen));
        }
    }
    let wanted = sides.count();
    if wanted != run.cards.len() {
        faults.push(format!("{wanted} sides of cards were asked for and {} printed", run.cards.len()));
    }
    (faults, seen)
}

fn strip(
    book: &Book,
    card: &Card,
    entry: &Entry,
    run: &Run,
    pages: &Contents,
    known: &[books::Control],
    seen: &mut Count,
) -> Vec<String> {
    let Some(control) = book.controls.iter().find(|control| control.place == card.place) else {
        return vec![format!("{}: a strip of no control", entry.id)];
    };
    let Some(mut wanted) = wanted(control) else { return vec![format!("{}: a strip without a scale", entry.id)] };
    let mut faults = Vec::new();
    if let Some(places) =
        known.iter().find(|known| known.id == control.id.value).and_then(|known| known.places.as_ref())
    {
        let agree = places.len() == wanted.marks.len()
            && places
                .iter()
                .zip(&wanted.marks)
                .all(|(written, read)| (written - read).abs() <= 1e-9 * (1.0 + written.abs()));
        if !agree {
            faults.push(format!("{}: written {places:?}, read {:?}", entry.id, wanted.marks));
        }
    }
    ask_for(book, control, &mut wanted);
    seen.strips += 1;
    seen.pieces += entry.printed.len();
    seen.marks += wanted.marks.len();
    let listed: Vec<f64> = entry.marks.iter().map(|mark| mark.at_mm).collect();
    let same = listed.len() == wanted.marks.len()
        && listed.iter().zip(&wanted.marks).all(|(found, wanted)| (found - wanted).abs() <= LISTED_MM);
    if !same {
        faults.push(format!("{}, manifest: {listed:?}, wanted {:?}", entry.id, wanted.marks));
    }
    let Some(lie) = seen_by_the_reader(control.strip.as_ref(), &entry.id) else {
        faults.push(format!("{}: nobody can tell how it lies", entry.id));
        return faults;
    };
    let radius = control.strip.as_ref().and_then(|plan| plan.arc.as_ref()).map(|arc| arc.radius.to_mm());
    seen.curved += usize::from(radius.is_some());
    seen.curved_in_pieces += usize::from(radius.is_some() && entry.printed.len() > 1);
    let strip = card.says::<Strip>().expect("a strip");
    let middle_at_ticks = strip.arc.is_some_and(|arc| arc.middle_at_ticks);
    let look = Look { lie, radius, middle_at_ticks, width: strip.width_mm };
    let in_svg = content::of_svg(run.text(&entry.svg));
    faults.extend(look.faults(&in_svg, entry.size(), &wanted).into_iter().map(|f| format!("{}, SVG: {f}", entry.id)));
    if let [whole] = entry.printed.as_slice() {
        let in_pdf = within(pages, whole, entry.size()).segments;
        faults
            .extend(look.faults(&in_pdf, entry.size(), &wanted).into_iter().map(|f| format!("{}, PDF: {f}", entry.id)));
    } else {
        let found = look.along_the_pieces(pages, entry);
        faults.extend(judged(&found, &wanted).into_iter().map(|f| format!("{}, PDF in pieces: {f}", entry.id)));
    }
    faults
}

/// Places reckoned from the numbers of the scale; only where a curve runs through measured pairs is the scale itself asked.
fn wanted(control: &Control) -> Option<Wanted> {
    let scale = &control.scale;
    let parts = match scale.fineness {
        Fineness::Whole => 1,
        Fineness::Halves => 2,
        Fineness::Quarters => 4,
    };
    let even = |first: i32, last: i32, step: f64| -> Vec<f64> {
        (0..=(i64::from(last) - i64::from(first)) * parts).map(|part| part as f64 / parts as f64 * step).collect()
    };
    let mut lines = Vec::new();
    let marks = match &scale.kind {
        ScaleKind::Even { first, last, spacing, purchase } => even(*first, *last, spacing.to_mm() * purchase),
        ScaleKind::Centre { marks, spacing, purchase, .. } => even(-marks, *marks, spacing.to_mm() * purchase),
        ScaleKind::Around { first, last, diameter, thickness } => {
            let around = std::f64::consts::PI * (diameter.to_mm() + thickness.to_mm());
            even(*first, *last, around / f64::from(last - first))
        }
        ScaleKind::Tapes(tapes) => {
            let datum = tapes.first()?.from.to_mm();
            lines.extend(tapes.iter().map(|tape| tape.to.to_mm() - datum));
            tapes.iter().map(|tape| tape.from.to_mm() - datum).collect()
        }
        ScaleKind::Measured { .. } => measured(scale, parts as f64)?,
        ScaleKind::Turns { .. } | ScaleKind::Gauge { .. } | ScaleKind::Words(_) => return None,
    };
    for limit in [&control.never_above, &control.never_below].into_iter().flatten() {
        lines.extend(scale.at(limit.reading.value).map(|at| at.to_mm()));
    }
    Some(Wanted { marks, lines })
}

/// Adds a mark for each reading of a measured quantity that some settings ask for, unless it would run into a neighbour.
fn ask_for(book: &Book, control: &Control, wanted: &mut Wanted) {
    /// No two marks stand nearer to each other, millimetres.
    const NEAREST_MM: f64 = 1.0;
    if !matches!(control.scale.kind, ScaleKind::Measured { .. }) {
        return;
    }
    let afloat = book.afloat();
    let mut readings: Vec<f64> = Vec::new();
    for settings in &afloat.settings {
        for (column, index) in settings.controls.iter().enumerate() {
            if book.controls[*index].id.value == control.id.value {
                let written = settings.rows.iter().flat_map(|row| row.readings[column].written());
                readings.extend(written.map(|(_, reading)| reading.value));
            }
        }
    }
    readings.sort_by(f64::total_cmp);
    for at in readings.into_iter().filter_map(|reading| Some(control.scale.at(reading)?.to_mm())) {
        if wanted.marks.iter().all(|mark| (mark - at).abs() >= NEAREST_MM) {
            wanted.marks.push(at);
        }
    }
    wanted.marks.sort_by(f64::total_cmp);
}

/// The two ends, and every multiple of the step that keeps half a whole step clear of both.
fn measured(scale: &Scale, parts: f64) -> Option<Vec<f64>> {
    let ScaleKind::Measured { pairs, every, .. } = &scale.kind else { return None };
    let (first, last) = (pairs.first()?.0, pairs.last()?.0);
    let step = every / parts;
    let clear =
        |reading: f64| reading - first > every / 2.0 - step * 1e-6 && last - reading > every / 2.0 - step * 1e-6;
    let between = ((first / step).floor() as i64..=(last / step).ceil() as i64).map(|count| count as f64 * step);
    let readings = std::iter::once(first).chain(between.filter(|reading| clear(*reading))).chain([last]);
    readings.map(|reading| scale.at(reading).map(|at| at.to_mm())).collect()
}

/// How the reader of a strip sees it, by what the book says and nothing of the program's.
fn seen_by_the_reader(plan: Option<&StripPlan>, id: &str) -> Option<Seen> {
    let Some(plan) = plan else { return Lie { grows: None, reader_stands: None, side: None, ticks: None }.seen() };
    let side = match plan.sides {
        Sides::One => None,
        Sides::Port => Some("port"),
        Sides::Starboard => Some("starboard"),
        Sides::Both if id.ends_with("-port") => Some("port"),
        Sides::Both => Some("starboard"),
    };
    let grows = plan.grows.map(|grows| match grows {
        Direction::Forward => "forward",
        Direction::Aft => "aft",
        Direction::Outboard => "outboard",
        Direction::Inboard => "inboard",
        Direction::Port => "port",
        Direction::Starboard => "starboard",
        Direction::Up => "up",
        Direction::Down => "down",
    });
    let reader_stands = plan.reader_stands.map(|stands| match stands {
        Stands::Inboard => "inboard",
        Stands::Outboard => "outboard",
        Stands::Aft => "aft",
        Stands::Forward => "forward",
    });
    let ticks = plan.ticks.as_ref().map(|ticks| match ticks.value {
        TickEdge::Far => "far",
        TickEdge::Near => "near",
        TickEdge::Left => "left",
        TickEdge::Right => "right",
        TickEdge::Inboard => "inboard",
        TickEdge::Outboard => "outboard",
    });
    let seen = Lie { grows, reader_stands, side, ticks }.seen()?;
    Some(match plan.mirror {
        true => Seen { along: seen.along.mirrored(), ticks: seen.ticks.mirrored(), bow: None },
        false => seen,
    })
}

/// How a strip lies and how it is bent.
struct Look {
    lie: Seen,
    radius: Option<f64>,
    middle_at_ticks: bool,
    width: f64,
}

impl Look {
    fn faults(&self, segments: &[Segment], size: Size, wanted: &Wanted) -> Vec<String> {
        match self.radius {
            None => judged(&ticks::from_datum(segments, size, self.lie.along, self.lie.ticks), wanted),
            Some(radius) => judged(&from_the_first(self.along_the_arc(segments, size, radius)), wanted),
        }
    }

    /// Places of the marks along the edge whose radius the book gives, from the middle of the card or of a piece of it. The
    /// middle of the circle lies on its middle line; how far from it is told by its own size, which just holds the strip.
    fn along_the_arc(&self, segments: &[Segment], size: Size, radius: f64) -> Vec<f64> {
        let level = self.lie.along.is_level();
        let (length, depth) = if level { (size.width, size.height) } else { (size.height, size.width) };
        // From the upper left corner along the way the numbers grow, and inward from the pointer's edge.
        let flat = |point: Point| {
            let along = match self.lie.along {
                Way::Right => point.x,
                Way::Left => size.width - point.x,
                Way::Down => point.y,
                Way::Up => size.height - point.y,
            };
            let inward = match self.lie.ticks {
                Way::Up => point.y,
                Way::Down => size.height - point.y,
                Way::Left => point.x,
                Way::Right => size.width - point.x,
            };
            (along - length / 2.0, inward)
        };
        let middle = if self.middle_at_ticks { depth - (radius + self.width) } else { radius };
        let polar = |point: Point| {
            let (along, inward) = flat(point);
            let off = if self.middle_at_ticks { inward - middle } else { middle - inward };
            (along.atan2(off), along.hypot(off))
        };
        let begins = if self.middle_at_ticks { radius + RIM_MM } else { radius - RIM_MM };
        let printed = segments.iter().filter(|segment| segment.layer == "print" && !segment.dashed);
        let places = printed.filter_map(|segment| {
            let [(one, far), (other, near)] = [segment.line.p0, segment.line.p1].map(polar);
            let radial = ((one - other) * radius).abs() < RADIAL_MM && (far - near).abs() > 1.0;
            let at_edge = (far - begins).abs().min((near - begins).abs()) < 0.02;
            (radial && at_edge).then_some((one + other) / 2.0 * radius)
        });
        places.collect()
    }

    /// Places of the marks of a strip, read off all its pieces.
    fn along_the_pieces(&self, pages: &Contents, entry: &Entry) -> Vec<f64> {
        let mut found = Vec::new();
        for printed in &entry.printed {
            let Some(part) = printed.piece else { continue };
            let size = entry.size_of(printed);
            let strokes = within(pages, printed, size).segments;
            let (places, begins) = match self.radius {
                None => (ticks::marks(&strokes, size, self.lie.along, self.lie.ticks), part.from_mm),
                Some(radius) => (self.along_the_arc(&strokes, size, radius), part.from_mm + part.length_mm / 2.0),
            };
            let origin = match self.lie.along {
                Way::Right | Way::Down => begins,
                Way::Left | Way::Up => -begins,
            };
            found.extend(places.into_iter().map(|at| at + origin));
        }
        from_the_first(found)
    }
}

/// Places in rising order, measured from the lowest.
fn from_the_first(mut places: Vec<f64>) -> Vec<f64> {
    places.sort_by(f64::total_cmp);
    let datum = places.first().copied().unwrap_or_default();
    places.into_iter().map(|place| place - datum).collect()
}

/// Marks that are missing, and lines that belong nowhere.
fn judged(found: &[f64], wanted: &Wanted) -> Vec<String> {
    let all: Vec<f64> = wanted.marks.iter().chain(&wanted.lines).copied().collect();
    ticks::faults(found, &all, TRUE_MM)
}

/// Whatever overlaps something else on its page, or reaches into the margin that no printer prints on.
fn on_each_other(run: &Run) -> Vec<String> {
    let mut faults = Vec::new();
    let mut taken: BTreeMap<(&str, usize), Vec<(Rect, &str)>> = BTreeMap::new();
    let sizes: BTreeMap<&str, Size> =
        run.pdfs().map(|(name, bytes)| (name, content::page_sizes(bytes)[0].into())).collect();
    for entry in &run.cards {
        let label = entry.label.iter().map(|label| (&label.printed, Size::new(label.width_mm, label.height_mm)));
        for (printed, size) in entry.printed.iter().map(|printed| (printed, entry.size_of(printed))).chain(label) {
            let area = printed.area(size);
            let page = sizes.get(printed.file.as_str()).copied().unwrap_or_default();
            let reach = page.to_rect().inset(-MARGIN_MM).inflate(TRUE_MM, TRUE_MM);
            if !reach.contains_rect(area) {
                faults.push(format!("{}: {area} reaches beyond what is printed of {page}", entry.id));
            }
            let others = taken.entry((&printed.file, printed.page)).or_default();
            let on = others.iter().find(|(other, _)| !area.inset(-TRUE_MM).intersect(*other).is_zero_area());
            faults.extend(
                on.map(|(_, other)| format!("{} lies on {other}, {} page {}", entry.id, printed.file, printed.page)),
            );
            others.push((area, &entry.id));
        }
    }
    faults
}

/// What is wrong with the lines that a page has where the manifest says that a card lies: they are those of its own picture.
/// Of what is printed in pieces, the marks are held true by themselves.
fn another_picture(entry: &Entry, run: &Run, files: &BTreeMap<&str, Contents>) -> Option<String> {
    let [printed] = &entry.printed[..] else { return None };
    let picture = content::of_svg(run.text(&entry.svg));
    let found = within(files.get(printed.file.as_str())?, printed, entry.size()).segments;
    let off = |lines: &[Segment], others: &[Segment]| {
        let is_among = |segment: &&Segment| {
            others
                .iter()
                .any(|other| other.layer == segment.layer && two_sides::apart(&other.line, &segment.line) <= TRUE_MM)
        };
        lines.iter().filter(|segment| !is_among(segment)).count()
    };
    // Cards lie edge to edge: the cut of a neighbour on a common edge is no line in this one.
    let size = entry.size();
    let is_common = |segment: &Segment| {
        let (from, to) = (segment.line.p0, segment.line.p1);
        let on = |edge: f64, from: f64, to: f64| (from - edge).abs() <= TRUE_MM && (to - edge).abs() <= TRUE_MM;
        let along = on(0.0, from.x, to.x) || on(size.width, from.x, to.x);
        let across = on(0.0, from.y, to.y) || on(size.height, from.y, to.y);
        segment.layer == "cut" && (along || across)
    };
    let inside: Vec<Segment> = found.iter().filter(|segment| !is_common(segment)).cloned().collect();
    let (missing, stray) = (off(&picture, &found), off(&inside, &picture));
    (missing + stray > 0).then(|| {
        let (id, all) = (&entry.id, picture.len());
        format!("{id}: of its {all} lines {missing} are not where it lies, and {stray} of another are")
    })
}

/// The card's own picture, read as XML: of the size that the manifest says, with a title and without anything live.
fn well_formed(entry: &Entry, run: &Run) -> Vec<String> {
    let source = run.text(&entry.svg);
    let mut faults = Vec::new();
    match roxmltree::Document::parse(source) {
        Err(error) => faults.push(format!("{}: {error}", entry.svg)),
        Ok(document) => {
            let root = document.root_element();
            let side = |name: &str| root.attribute(name)?.strip_suffix("mm")?.parse::<f64>().ok();
            let is = |found: Option<f64>, wanted: f64| found.is_some_and(|found| (found - wanted).abs() < 0.001);
            if !is(side("width"), entry.width_mm) || !is(side("height"), entry.height_mm) {
                faults.push(format!("{}: not of its size", entry.svg));
            }
            if !document.descendants().any(|node| node.has_tag_name("title") && node.text().is_some()) {
                faults.push(format!("{}: no title", entry.svg));
            }
            faults.extend(live(&document).into_iter().map(|what| format!("{}: {what}", entry.svg)));
        }
    }
    faults
}

/// Whether it leads to a place in a page, or to a file beside the page or in a folder beside it, and nowhere else.
fn leads_beside(link: &roxmltree::Node) -> bool {
    let plain =
        |to: &str| to.bytes().all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'/' | b'#' | b'='));
    link.attribute("href").is_some_and(|to| plain(to) && !to.starts_with('/') && !to.contains(".."))
}

/// Elements and attributes that a viewer would act on, the links of a page to its own files excepted.
pub fn live(document: &roxmltree::Document) -> Vec<String> {
    let acts = |node: &roxmltree::Node| match node.tag_name().name() {
        "a" => !leads_beside(node),
        name => matches!(name, "script" | "foreignObject" | "image" | "iframe" | "animate" | "set"),
    };
    let elements = document.descendants().filter(|node| node.is_element() && acts(node));
    let attributes = document
        .descendants()
        .flat_map(|node| node.attributes().map(move |attribute| (node, attribute)))
        // Only what is drawn again may be referred to, and only within the file.
        .filter(|(node, attribute)| match attribute.name() {
            "href" if node.tag_name().name() == "a" => !leads_beside(node),
            "href" => !(node.tag_name().name() == "use" && attribute.value().starts_with('#')),
            name => name.starts_with("on"),
        });
    let elements = elements.map(|node| format!("an element {}", node.tag_name().name()));
    elements.chain(attributes.map(|(_, attribute)| format!("an attribute {}", attribute.name()))).collect()
}

/// Whether words hold a number that is none.
fn is_no_number(words: &str) -> bool {
    let bare = |word: &str| word.trim_start_matches(['-', '+', '±']).to_lowercase();
    words
        .split(|letter: char| letter.is_whitespace() || "(),:·".contains(letter))
        .any(|word| matches!(bare(word).as_str(), "nan" | "inf" | "infinity"))
}

/// Steps of the working behind a book's cards that say nothing, or hold a number that is none.
pub fn not_explained(book: &Book) -> Vec<String> {
    let cards = cards::cards(book, &mut Vec::new());
    let passages = cards
        .iter()
        .flat_map(Card::sides)
        .flat_map(|side| side.content.working().into_iter().map(|passage| (side.id.as_str(), passage)));
    let faults = passages.flat_map(|(id, passage)| {
        let lines = passage.lines.iter().map(|line| {
            let said = !line.finds.is_empty() && !line.value.is_empty();
            (said, format!("{}: {} {}", line.finds, line.value, line.how))
        });
        let all = std::iter::once((!passage.of.is_empty(), passage.of.clone())).chain(lines);
        let bad = all.filter(|(said, words)| !said || is_no_number(words) || words.chars().any(char::is_control));
        bad.map(|(_, words)| format!("{id}, worked out for {:?}: {words:?}", passage.of)).collect::<Vec<_>>()
    });
    faults.collect()
}

/// What nobody can read on a book's cards: texts over the edge, things over each other, numbers that are none. Only for
/// cards that print.
pub fn hard_to_read(book: &Book) -> Vec<String> {
    let mut faults = Vec::new();
    let mut problems = Vec::new();
    for card in cards::cards(book, &mut problems) {
        let label = cards::Label::new(book, &card.stamp, cards::Edition::Draft);
        let Some((front, back)) = cards::draw_sides(&card, &label, &mut problems) else { continue };
        // The same as on paper, where the words of a long strip become a sticker of their own.
        let job = PrintJob::default();
        let sizes = job.card_sizes(false).with_measured(job.measured_room(Heading::default()));
        let as_printed = (card.kind == "strip")
            .then(|| cards::draw_sides(&card, &cards::Label { sizes, ..label }, &mut problems)?.0.into())
            .flatten()
            .filter(|strip: &Drawing| strip.apart.is_some());
        let sticker = as_printed.as_ref().and_then(|strip| strip.apart.as_deref().cloned());
        let beside = as_printed.into_iter().chain(sticker).map(|drawing| (&card, drawing));
        for (side, drawing) in card.sides().zip(std::iter::once(front).chain(back)).chain(beside) {
            let found = texts_over_the_edge(&drawing).chain(clear::clashes(&drawing));
            faults.extend(found.map(|fault| format!("{}: {fault}", side.id)));
            let odd = drawing.texts().map(|text| &text.content).filter(|words| is_no_number(words));
            faults.extend(odd.map(|words| format!("{}: “{words}” is no number", side.id)));
        }
    }
    faults
}

fn texts_over_the_edge(drawing: &Drawing) -> impl Iterator<Item = String> {
    let edge = drawing.size.to_rect().inflate(OVER_MM, OVER_MM);
    let inside = move |area: Rect| edge.contains(area.origin()) && edge.contains(Point::new(area.x1, area.y1));
    drawing.texts().filter_map(move |text| {
        // The box of a line has room for tails that its letters may not have.
        let bounds = Some(text.bounds()).filter(|bounds| !inside(*bounds)).map(|_| text.outlines().bounding_box())?;
        (!inside(bounds)).then(|| format!("“{}” reaches over the edge, {bounds:?} on {:?}", text.content, drawing.size))
    })
}
