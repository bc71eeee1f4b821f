//! A strip reads the right way round where it lies: every combination of growth, reader, side and pointer's edge against
//! a table written by hand from a drawing of a boat (`common::seamanship`).
use crate::common;

use std::path::Path;

use cockpit_cards::cards::strip::Strip;
use cockpit_cards::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};
use cockpit_cards::output::png;
use common::content;
use common::seamanship::{self, Lie, Seen, Way};
use common::ticks;
use common::whole::{self, Drawn};
use kurbo::{Affine, PathEl, Point, Size, Vec2};

/// Uneven, so that a strip laid the wrong way round cannot pass; 6 and 9 would stand on their heads.
const SCALE: &str = "{measured: {3 bar: 0 mm, 6 bar: 9 mm, 9 bar: 24 mm, 12 bar: 46 mm}, every: 3 bar}";
const PLACES: [(&str, f64); 4] = [("3", 0.0), ("6", 9.0), ("9", 24.0), ("12", 46.0)];
/// Controls that one book may have.
const A_BOOKFUL: usize = 250;

fn book<'a>(lies: impl IntoIterator<Item = (usize, &'a Lie)>) -> String {
    let mut text = "book: 1\nboat: {name: Chervil}\ncontrols:\n".to_owned();
    for (index, lie) in lies {
        text.push_str(&format!(
            "  lie_{index}:\n    scale: {SCALE}\n    strip: {{reading_distance: 500 mm, {}}}\n",
            lie.fields()
        ));
    }
    text.push_str("cards: [{kind: strip}]\n");
    text
}

/// Every lie with the card that the product makes of it, or the complaint it makes instead.
fn every_lie() -> Vec<(Lie, Result<Drawn, String>)> {
    let lies: Vec<Lie> = seamanship::all().collect();
    let mut all = Vec::new();
    for (start, some) in lies.chunks(A_BOOKFUL).enumerate() {
        let numbered = || some.iter().enumerate().map(|(index, lie)| (start * A_BOOKFUL + index, lie));
        let (drawn, problems) = whole::draw(&book(numbered()));
        let mut drawn = drawn.into_iter().peekable();
        for (index, lie) in numbered() {
            let id = format!("strip-lie_{index}");
            let card = drawn.next_if(|drawn| drawn.card.id == id || drawn.card.id.starts_with(&format!("{id}-")));
            let about = format!("the strip of Lie {index}:");
            let complaint = problems.iter().find(|problem| problem.what.starts_with(&about));
            all.push((
                *lie,
                card.ok_or_else(|| complaint.map(|it| format!("{} / {}", it.what, it.instead)).unwrap_or_default()),
            ));
        }
        assert!(drawn.next().is_none(), "every card belongs to a lie");
    }
    all
}

fn seen_by_the_product(drawn: &Drawn) -> serde_json::Value {
    serde_json::to_value(drawn.card.says::<Strip>().expect("a strip").view).expect("JSON")
}

#[test]
fn every_strip_lies_as_a_sailor_standing_there_sees_it() {
    let lies = every_lie();
    assert_eq!(lies.len(), 945);
    let mut wrong = Vec::new();
    for (lie, made) in &lies {
        let wanted = lie.seen().map(|seen| {
            serde_json::json!({"along": seen.along.word(), "ticks": seen.ticks.word(), "bow": seen.bow.map(Way::word)})
        });
        let found = made.as_ref().ok().map(seen_by_the_product);
        if wanted != found {
            wrong.push(format!("{lie:?}: wanted {wanted:?}, found {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong[..wrong.len().min(12)].join("\n"));
}

#[test]
fn what_nobody_can_tell_is_refused_with_a_remedy() {
    for (lie, made) in every_lie() {
        if let Err(complaint) = made {
            assert!(complaint.contains("`ticks: ") || complaint.contains("`sides: "), "{lie:?}: {complaint:?}");
        }
    }
}

#[test]
fn the_remedy_for_a_pair_that_stands_upright_is_one_that_works() {
    for reader_stands in seamanship::READERS {
        let lie = Lie { grows: Some("up"), reader_stands, side: Some("port"), ticks: None };
        let (drawn, problems) = whole::draw(&book([(0, &lie)]));
        assert!(drawn.is_empty(), "a pair that does not say its edge is refused");
        let advice = &problems[0].instead;
        let offered: Vec<&str> = ["left", "right", "inboard", "outboard"]
            .into_iter()
            .filter(|edge| advice.contains(&format!("`ticks: {edge}`")))
            .collect();
        assert!(!offered.is_empty(), "{advice}");
        for edge in offered {
            let mended = Lie { ticks: Some(edge), ..lie };
            let (drawn, problems) = whole::draw(&book([(0, &mended)]));
            assert!(!drawn.is_empty(), "{mended:?}: {advice:?} was followed, then {problems:?}");
        }
    }
}

#[test]
fn marks_numbers_and_arrow_are_drawn_the_way_the_strip_lies() {
    for (lie, made) in every_lie() {
        let (Some(seen), Ok(drawn)) = (lie.seen(), made) else { continue };
        let drawing = drawn.drawing.expect("a strip that fits");
        let faults = drawing_faults(&drawing, seen);
        assert!(faults.is_empty(), "{lie:?} seen as {seen:?}: {faults:?}");
    }
}

fn drawing_faults(drawing: &Drawing, seen: Seen) -> Vec<String> {
    let places = ticks::marks(&content::of_drawing(drawing), drawing.size, seen.along, seen.ticks);
    let Some(datum) = places.first() else { return vec!["no marks at the pointer's edge".to_owned()] };
    let found: Vec<f64> = places.iter().map(|place| place - datum).collect();
    let mut faults = ticks::faults(&found, &PLACES.map(|(_, at)| at), 0.005);
    for (label, at) in PLACES {
        let middle = |text: &Text| {
            let cap = Vec2::new(text.width() / 2.0, -text.cap_height() / 2.0);
            ticks::along(text.origin + cap, seen.along) - datum
        };
        let mut numbers = drawing.texts().filter(|text| text.content == label);
        match (numbers.next(), numbers.next()) {
            (Some(text), None) if text.turn != 0.0 => faults.push(format!("{label} does not stand upright")),
            (Some(text), None) if (middle(text) - at).abs() > 0.05 => {
                faults.push(format!("{label} stands at {:.2}, wanted {at}", middle(text)));
            }
            (Some(_), None) => {}
            (found, _) => faults.push(format!("{label} stands on it {} times", if found.is_some() { 2 } else { 0 })),
        }
    }
    let bow = arrow(drawing);
    if bow != seen.bow {
        faults.push(format!("the arrow to the bow points {bow:?}"));
    }
    faults
}

/// Which way the arrow beside the word BOW points; `None` without the word.
fn arrow(drawing: &Drawing) -> Option<Way> {
    let word = drawing.texts().find(|text| text.content == "BOW")?;
    let middle = word.bounds().center();
    let heads = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Fill { path, .. } => corners(path.elements()),
        _ => None,
    });
    let distance = |corners: &[Point; 3]| (centre(corners) - middle).hypot();
    let head = heads.min_by(|a, b| distance(a).total_cmp(&distance(b))).expect("an arrow beside the word");
    // The tip is the corner that lies furthest from the middle of the two others.
    let reach = |index: usize| head[index] - head[(index + 1) % 3].midpoint(head[(index + 2) % 3]);
    let tip = (0..3).map(reach).max_by(|a, b| a.hypot().total_cmp(&b.hypot()))?;
    Some(match (tip.x.abs() > tip.y.abs(), tip.x > 0.0, tip.y > 0.0) {
        (true, true, _) => Way::Right,
        (true, false, _) => Way::Left,
        (false, _, true) => Way::Down,
        (false, _, false) => Way::Up,
    })
}

fn corners(path: &[PathEl]) -> Option<[Point; 3]> {
    match path {
        [PathEl::MoveTo(a), PathEl::LineTo(b), PathEl::LineTo(c), PathEl::ClosePath] => Some([*a, *b, *c]),
        _ => None,
    }
}

fn centre(corners: &[Point; 3]) -> Point {
    ((corners[0].to_vec2() + corners[1].to_vec2() + corners[2].to_vec2()) / 3.0).to_point()
}

#[test]
fn starboard_is_port_in_a_mirror() {
    let lies = every_lie();
    let mut pairs = 0;
    for (port, made) in lies.iter().filter(|(lie, _)| lie.side == Some("port")) {
        // Port, starboard, left and right are the same for both; everything else is the other way about.
        let absolute =
            matches!(port.grows, None | Some("port" | "starboard")) || matches!(port.ticks, Some("left" | "right"));
        if absolute {
            continue;
        }
        let starboard = Lie { side: Some("starboard"), ..*port };
        let (_, other) = lies.iter().find(|(lie, _)| *lie == starboard).expect("the other side");
        let (Ok(one), Ok(other)) = (made, other) else {
            assert_eq!(made.is_ok(), other.is_ok(), "{port:?}: one side alone is refused");
            continue;
        };
        pairs += 1;
        let mirrored = |view: serde_json::Value| {
            let text = view.to_string();
            text.replace("right", "~").replace("left", "right").replace('~', "left")
        };
        assert_eq!(mirrored(seen_by_the_product(one)), seen_by_the_product(other).to_string(), "{port:?}");
        let places = |drawn: &Drawn, lie: &Lie| {
            let (drawing, seen) = (drawn.drawing.as_ref().expect("a strip"), lie.seen().expect("a lie"));
            ticks::from_datum(&content::of_drawing(drawing), drawing.size, seen.along, seen.ticks)
        };
        assert_eq!(places(one, port).len(), places(other, &starboard).len(), "{port:?}");
        assert_eq!(lies_mirrored(port), starboard.seen(), "{port:?}");
    }
    assert!(pairs > 50, "{pairs} pairs compared");
}

fn lies_mirrored(lie: &Lie) -> Option<Seen> {
    let seen = lie.seen()?;
    Some(Seen { along: seen.along.mirrored(), ticks: seen.ticks.mirrored(), bow: seen.bow.map(Way::mirrored) })
}

#[test]
fn a_lead_track_reads_as_the_trimmer_on_either_side_sees_it() {
    let lead = |side| Lie { grows: Some("aft"), reader_stands: Some("inboard"), side: Some(side), ticks: None };
    // Facing the sea with the bow on the right hand, aft is to the left.
    let (drawn, _) = whole::draw(&book([(0, &lead("port"))]));
    assert_eq!(seen_by_the_product(&drawn[0]), serde_json::json!({"along": "left", "ticks": "up", "bow": "right"}));
    let (drawn, _) = whole::draw(&book([(0, &lead("starboard"))]));
    assert_eq!(seen_by_the_product(&drawn[0]), serde_json::json!({"along": "right", "ticks": "up", "bow": "left"}));
}

/// Run by hand: `cargo test --test truth views -- --ignored`, then look at the pictures it names.
#[test]
#[ignore = "pictures for a person to look at"]
fn contact_pages_of_every_way_a_strip_can_lie() {
    const GAP: f64 = 4.0;
    const CAPTION: f64 = 2.6;
    const SHEET: Size = Size::new(400.0, 320.0);
    let lies = every_lie();
    let shown = lies.iter().filter_map(|(lie, made)| Some((lie, made.as_ref().ok()?.drawing.as_ref()?, lie.seen()?)));
    type Asked<'a> = [Option<&'a str>; 3];
    let mut seen_before: Vec<(Asked, Seen)> = Vec::new();
    let mut pages = [(true, Vec::new()), (false, Vec::new())];
    for (lie, drawing, seen) in shown {
        // The same strip again under another name of its edge adds nothing for the eye.
        let key = ([lie.grows, lie.reader_stands, lie.side], seen);
        if !seen_before.contains(&key) {
            seen_before.push(key);
            pages[usize::from(!seen.along.is_level())].1.push((lie, drawing));
        }
    }
    for (name, strips) in [("level", &pages[0].1), ("upright", &pages[1].1)] {
        let mut sheets = vec![Drawing::new(SHEET, "Contact page", "")];
        let (mut x, mut y, mut row) = (GAP, GAP, 0.0_f64);
        for (lie, drawing) in strips {
            let caption = lie.fields().replace("reader_stands", "reader");
            let text = Text::new(caption, Point::ZERO, Anchor::Start, CAPTION, Weight::Regular);
            let text = text.coloured(Colour::grey(0.45));
            let (width, height) = (drawing.size.width.max(text.width()), drawing.size.height + 2.0 * CAPTION);
            if x + width > SHEET.width {
                (x, y, row) = (GAP, y + row + GAP, 0.0);
            }
            if y + height > SHEET.height {
                (x, y, row) = (GAP, GAP, 0.0);
                sheets.push(Drawing::new(SHEET, "Contact page", ""));
            }
            let sheet = sheets.last_mut().expect("a page");
            sheet.print(Text { origin: Point::new(x, y + CAPTION), ..text });
            let to_page = Affine::translate((x, y + 2.0 * CAPTION));
            for item in &drawing.items {
                sheet.print(moved(item.shape.clone(), to_page));
            }
            (x, row) = (x + width + GAP, row.max(height));
        }
        for (index, sheet) in sheets.iter().enumerate() {
            let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("views-{name}-{}.png", index + 1));
            std::fs::write(&path, png::png(sheet, 110.0).expect("a picture")).expect("a file");
            println!("{}", path.display());
        }
    }
}

fn moved(shape: Shape, by: Affine) -> Shape {
    match shape {
        Shape::Fill { path, colour } => Shape::Fill { path: by * path, colour },
        Shape::Stroke { path, colour, width, dash } => Shape::Stroke { path: by * path, colour, width, dash },
        Shape::Text(text) => Text { origin: by * text.origin, ..text }.into(),
    }
}
