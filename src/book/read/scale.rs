//! How a control is measured: each kind of scale as the book writes it. A new kind is one line in `KINDS` and one reader.

use super::offset::offset;
use super::recorded::is_free;
use super::start_of;
use crate::book::model::{Difference, Spanned, Units};
use crate::book::number;
use crate::book::problem::{Place, Problem};
use crate::book::quantity;
use crate::book::suggest;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::length::Length;
use crate::limits;
use crate::tuning::tolerance::is_same;
use crate::tuning::{Fineness, Scale, ScaleKind, Tape, mark};
use crate::wrong::{Wrong, shown};

/// The colours a tape can have.
pub const TAPE_COLOURS: [&str; 11] =
    ["red", "orange", "yellow", "green", "blue", "purple", "pink", "brown", "white", "grey", "black"];

/// The field that tells a kind of scale from the others, and its reader.
const KINDS: [(&str, Reader); 9] = [
    ("track_holes", track_holes),
    ("around", around),
    ("centre", centre),
    ("measured", measured),
    ("tapes", tapes),
    ("turns", turns),
    ("gauge", gauge),
    ("words", named),
    // Last: other kinds have marks as well.
    ("marks", even),
];

type Reader = fn(&mut Fields<'_, '_>, &mut Vec<Problem>) -> Option<ScaleKind>;

/// The fields of one scale, and what its reader must know besides.
struct Fields<'a, 'b> {
    table: Table<'a>,
    what: &'b str,
    units: &'b Units,
}

/// The scale, and how its two sides are read where it says that there are two.
pub fn scale(
    node: &Node,
    control: &str,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<(Scale, Option<Difference>)> {
    let what = format!("the scale of {control}");
    let mut table = Table::open(node, what.as_str(), problems)?;
    table.place = start_of(node);
    let given: Vec<&(&str, Reader)> = KINDS.iter().filter(|(field, _)| table.has(field)).collect();
    let (field, read) = match given.as_slice() {
        [kind] | [kind, ("marks", _)] => **kind,
        [] if table.has("spacing") => ("marks", even as Reader),
        [] => {
            let place = table.place.clone();
            // A misspelt field may be the one that says it.
            if complain_of_unknown(table, problems) {
                problems.push(Problem::error(
                    place,
                    format!("{what} does not say how it is measured"),
                    "write `marks: 0..8` with `spacing: 20 mm`, or one of `centre`, `measured`, `track_holes`, `around`, `tapes`, `turns`, `gauge`, `words`",
                ));
            }
            return None;
        }
        [(first, _), (second, _), ..] => {
            let places = [table.place_of(first), table.place_of(second)];
            problems.push(Problem::error(
                places.into_iter().max_by_key(|place| place.bytes.start),
                format!("{what} is measured in two ways, `{first}` and `{second}`"),
                "keep one of them",
            ));
            return None;
        }
    };
    let mut fields = Fields { table, what: &what, units };
    let kind = read(&mut fields, problems);
    let fineness =
        if matches!(field, "tapes" | "words") { Some(Fineness::Whole) } else { fineness(&mut fields, problems) };
    let gap_place = [("spacing"), ("every")].into_iter().find(|field| fields.table.has(field));
    let gap_place = gap_place.map_or_else(|| start_of(node), |field| fields.table.place_of(field));
    let apart = fields.table.take("difference");
    fields.table.finish(problems);
    let scale = Scale { kind: kind?, fineness: fineness? };
    let difference = apart.and_then(|node| difference(node, &scale, &what, units, problems));
    check_print(&scale, &what, &gap_place, problems).then_some((scale, difference))
}

/// `{starboard: ½}`: what starboard reads more than port at the same place; 0 says that there are two, and that they agree.
fn difference(
    node: &Node,
    scale: &Scale,
    what: &str,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<Difference> {
    let about = format!("the difference of {what}");
    let mut fields = Table::open(node, about.as_str(), problems)?;
    fields.place = start_of(node);
    if fields.has("port") {
        problems.push(Problem::error(
            fields.place_of("port"),
            format!("{about} is told from the port side, which a reading written once is of"),
            "write how much more starboard reads, like `{starboard: ½}`, or less, like `{starboard: -½}`",
        ));
        return None;
    }
    let starboard = fields.need("starboard", "starboard: ½", problems);
    fields.finish(problems);
    let node = starboard?;
    let refusal = match &scale.kind {
        ScaleKind::Centre { .. } => Some("it lies across the boat, so that there is one of it"),
        ScaleKind::Words(_) | ScaleKind::Tapes(_) => Some("nothing lies between two of its names"),
        _ => None,
    };
    if let Some(why) = refusal {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} has no difference of its sides: {why}"),
            "take `difference` out; what is set differently is written in the rows, like `{port: red, starboard: blue}`, \
             once its strip says `sides: both`",
        ));
        return None;
    }
    let text = node.text(&about, problems)?;
    if mark::parse(text) == Some(0.0) {
        return Some(Difference { starboard: None });
    }
    match offset(text, scale, units) {
        Ok(value) => Some(Difference { starboard: Some(Spanned { value, place: node.place.clone() }) }),
        Err(wrong) => {
            problems.push(wrong.about(&about).at(&node.place));
            None
        }
    }
}

/// Unknown fields of a scale whose kind is unknown too: the misspelt one is most likely the kind.
fn complain_of_unknown(mut table: Table<'_>, problems: &mut Vec<Problem>) -> bool {
    for field in [
        "marks",
        "spacing",
        "halves",
        "quarters",
        "purchase",
        "centre",
        "ends",
        "measured",
        "every",
        "tapes",
        "turns",
        "gauge",
        "words",
        "track_holes",
        "around",
        "difference",
    ] {
        table.take(field);
    }
    table.finish(problems)
}

fn fineness(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<Fineness> {
    let what = fields.what;
    let mut given = |field: &'static str, problems: &mut Vec<Problem>| match fields.table.take(field) {
        Some(node) => words::flag(node, &format!("`{field}` of {what}"), problems),
        None => Some(false),
    };
    match (given("halves", problems)?, given("quarters", problems)?) {
        (_, true) => Some(Fineness::Quarters),
        (true, false) => Some(Fineness::Halves),
        (false, false) => Some(Fineness::Whole),
    }
}

fn even(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let marks = fields.table.need("marks", "marks: 0..8", problems);
    let marks = marks.and_then(|node| mark_range(node, fields.what, problems));
    let (spacing, purchase) = (spacing(fields, problems), purchase(fields, problems));
    let (first, last) = marks?;
    Some(ScaleKind::Even { first, last, spacing: spacing?, purchase: purchase? })
}

/// `{first: 0 mm, last: 1016 mm, count: 41}`: the measured span of a track's holes, which are numbered from 1.
fn track_holes(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let what = fields.what;
    let node = fields.table.need("track_holes", "track_holes: {first: 0 mm, last: 1016 mm, count: 41}", problems)?;
    let mut holes = Table::open(node, format!("the track holes of {what}"), problems)?;
    holes.place = start_of(node);
    let mut length = |field: &'static str, example: &str, problems: &mut Vec<Problem>| {
        let node = holes.need(field, example, problems)?;
        quantity::length(node, fields.units, &format!("`{field}` of {what}"), &limits::PLACE_ON_SCALE, problems)
    };
    let first = length("first", "first: 0 mm", problems);
    let last = length("last", "last: 1016 mm", problems);
    let count = holes.need("count", "count: 41", problems);
    let count = count.and_then(|node| {
        let count = words::whole_number(node, &format!("the number of holes of {what}"), "41", problems)?;
        let fits = (2..=limits::MAX_MARK_NUMBER).contains(&count);
        if !fits {
            let found = format!("{what} has {count} holes");
            problems.push(Problem::error(
                node.place.clone(),
                found,
                "count them from the first to the last, like `41`",
            ));
        }
        fits.then_some(count)
    });
    let pitch = holes.take("pitch").and_then(|node| {
        let pitch = quantity::length(node, fields.units, &format!("the pitch of {what}"), &limits::SPACING, problems)?;
        Some((pitch, node.place.clone()))
    });
    holes.finish(problems);
    let (first, last, count) = (first?, last?, count?);
    if last <= first {
        problems.push(Problem::error(
            start_of(node),
            format!("the last hole of {what} is not beyond the first"),
            "measure from one end, the first hole's centre and then the last's",
        ));
        return None;
    }
    let spacing = (last - first) / f64::from(count - 1);
    if let Some((pitch, place)) = pitch {
        // A tape measure is read to a millimetre at each end of the span, at best.
        let off = (pitch * f64::from(count - 1) - (last - first)).abs();
        if off > limits::TAPE_READING + (last - first) * limits::TAPE_SHARE {
            problems.push(Problem::error(
                place,
                format!(
                    "{count} holes at {pitch} span {}, but {} was measured",
                    pitch * f64::from(count - 1),
                    last - first
                ),
                format!(
                    "the span decides: take `pitch` out, or write {spacing}; 25 mm and 1 in differ by 5 mm in 13 holes"
                ),
            ));
            return None;
        }
    }
    Some(ScaleKind::Even { first: 1, last: count, spacing, purchase: 1.0 })
}

/// `marks: 0..12, around: {diameter: 40 mm, thickness: 0.25 mm}`: once around a tube or drum.
fn around(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let what = fields.what;
    let marks = fields.table.need("marks", "marks: 0..12", problems);
    let marks = marks.and_then(|node| mark_range(node, what, problems));
    let node = fields.table.need("around", "around: {diameter: 40 mm, thickness: 0.25 mm}", problems)?;
    let mut tube = Table::open(node, format!("the tube of {what}"), problems)?;
    tube.place = start_of(node);
    let diameter = tube.need("diameter", "diameter: 40 mm", problems).and_then(|node| {
        quantity::length(node, fields.units, &format!("the diameter of {what}"), &limits::TUBE_DIAMETER, problems)
    });
    let thickness = tube.need("thickness", "thickness: 0.25 mm", problems).and_then(|node| {
        quantity::length(node, fields.units, &format!("the thickness of {what}"), &limits::FILM_THICKNESS, problems)
    });
    tube.finish(problems);
    let (first, last) = marks?;
    Some(ScaleKind::Around { first, last, diameter: diameter?, thickness: thickness? })
}

/// `0..8`: the first and the last mark.
fn mark_range(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<(i32, i32)> {
    let text = node.text(&format!("`marks` of {what}"), problems)?;
    let ends = text.split_once("..").and_then(|(first, last)| {
        let number = |text: &str| text.trim().replace(crate::tuning::mark::MINUS, "-").parse::<i32>().ok();
        number(first).zip(number(last))
    });
    let fault = match ends {
        Some((first, last)) if first >= last => Wrong::new(
            format!("the marks of {what} run from {first} to {last}"),
            "write the lower mark first, like `0..8`; `higher_is` tells which way is more",
        ),
        Some((first, last)) if first < -limits::MAX_MARK_NUMBER || last > limits::MAX_MARK_NUMBER => {
            Wrong::new(format!("the marks of {what} run past {}", limits::MAX_MARK_NUMBER), "number them from 0")
        }
        Some(ends) => return Some(ends),
        None => Wrong::new(
            format!("the marks of {what} are {}", shown(text)),
            "write the first and the last, whole numbers, like `0..8`",
        ),
    };
    problems.push(fault.at(&node.place));
    None
}

fn centre(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let what = fields.what;
    let centre = fields.table.need("centre", "centre: C", problems);
    let centre = centre.and_then(|node| end_name(node, what, problems));
    let marks = fields.table.need("marks", "marks: 6", problems).and_then(|node| {
        let count = words::whole_number(node, &format!("the number of marks on each side of {what}"), "6", problems)?;
        if (1..=limits::MAX_MARK_NUMBER).contains(&count) {
            return Some(count);
        }
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} has {count} marks on each side"),
            "write how many there are on one side, like `6`",
        ));
        None
    });
    let (spacing, purchase) = (spacing(fields, problems), purchase(fields, problems));
    let ends = fields.table.need("ends", "ends: [W, L]", problems).and_then(|node| {
        let items = node.some_items(&format!("`ends` of {what}"), 2..=2, "[W, L]", problems)?;
        let [low, high] = items else { return None };
        let [low, high] = [low, high].map(|node| end_name(node, what, problems));
        Some(([low?, high?], node.place.clone()))
    });
    let (ends, ends_place) = ends?;
    let centre = centre?;
    let same = |a: &str, b: &str| a.to_lowercase() == b.to_lowercase();
    if same(&ends[0], &ends[1]) || ends.iter().any(|end| same(end, &centre)) {
        problems.push(Problem::error(
            ends_place,
            format!("the centre and the two ends of {what} do not all differ"),
            "name them apart, like `centre: C` and `ends: [W, L]`",
        ));
        return None;
    }
    Some(ScaleKind::Centre { centre, marks: marks?, spacing: spacing?, purchase: purchase?, ends })
}

/// A short name without digits: it stands right before a number.
fn end_name(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<String> {
    let name = words::words(node, &format!("a name on {what}"), problems)?;
    let text = name.value.as_str();
    if !is_free(&name, &format!("a place on {what}"), problems) {
        return None;
    }
    let ambiguous = text.chars().any(|c| c.is_numeric() || matches!(c, '+' | '-' | '.' | ',' | '/' | '−'));
    if !ambiguous && text.chars().count() <= limits::MAX_END_CHARACTERS {
        return Some(text.to_owned());
    }
    problems.push(Problem::error(
        node.place.clone(),
        format!("{} cannot stand before a number on {what}", shown(text)),
        format!("use a letter or a short word, at most {} letters: `W`, `port`", limits::MAX_END_CHARACTERS),
    ));
    None
}

fn spacing(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<Length> {
    let node = fields.table.need("spacing", "spacing: 20 mm", problems)?;
    quantity::length(node, fields.units, &format!("the spacing of {}", fields.what), &limits::SPACING, problems)
}

/// `4`, `4:1` or `1:2`: how far the marked tail moves for the control's own travel.
fn purchase(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<f64> {
    let Some(node) = fields.table.take("purchase") else { return Some(1.0) };
    let what = format!("the purchase of {}", fields.what);
    let text = node.text(&what, problems)?;
    let read = || {
        let (over, under) = text.split_once(':').unwrap_or((text, "1"));
        let ratio = number::parse(over)? / number::parse(under)?;
        if limits::PURCHASE.contains(&ratio) {
            return Ok(ratio);
        }
        Err(Wrong::new(
            format!("{} is out of reason", shown(text)),
            format!(
                "write how far the marked part moves for one of the control, like `4`; at most {}",
                limits::PURCHASE.end()
            ),
        ))
    };
    read().map_err(|wrong: Wrong| problems.push(wrong.about(&what).at(&node.place))).ok()
}

fn measured(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let what = fields.what;
    let node = fields.table.need("measured", "measured: {0 bar: 0 mm, 60 bar: 14 mm}", problems)?;
    let every = fields.table.need("every", "every: 30 bar", problems);
    let entries = node.entries(&format!("`measured` of {what}"), problems)?;
    if entries.len() < 2 || entries.len() > limits::MAX_ROWS {
        problems.push(Problem::error(
            start_of(node),
            format!("`measured` of {what}: {} given, at least 2 wanted", entries.len()),
            format!("write 2 pairs or more, at most {}, like `0 bar: 0 mm, 60 bar: 14 mm`", limits::MAX_ROWS),
        ));
        return None;
    }
    let mut pairs: Vec<(f64, Length)> = Vec::new();
    let mut unit: Option<String> = None;
    for (key, value) in entries {
        let quantity = reading_with_unit(key, what, unit.as_deref(), problems);
        let place =
            quantity::length(value, fields.units, &format!("a place on {what}"), &limits::PLACE_ON_SCALE, problems);
        let ((quantity, quantity_unit), place) = (quantity?, place?);
        if let Some((before, place_before)) = pairs.last().filter(|(q, p)| *q >= quantity || *p >= place) {
            let (complaint, instead) = if *before >= quantity {
                ("do not rise", "write them from the lowest quantity to the highest")
            } else {
                ("do not rise in place", "measure all places from the end where the quantity is least")
            };
            let place_node = if *before >= quantity { key } else { value };
            problems.push(Problem::error(
                place_node.place.clone(),
                format!("the pairs of {what} {complaint}: {quantity} at {place} follows {before} at {place_before}"),
                instead,
            ));
            return None;
        }
        unit.get_or_insert(quantity_unit);
        pairs.push((quantity, place));
    }
    let unit = unit?;
    let range = pairs.last()?.0 - pairs.first()?.0;
    let (node, (every, _)) = (every?, reading_with_unit(every?, what, Some(&unit), problems)?);
    if every > 0.0 && every <= range {
        return Some(ScaleKind::Measured { pairs, unit, every });
    }
    problems.push(Problem::error(
        node.place.clone(),
        format!("{what} would be marked at every {every} over a range of {range}"),
        "write the step from mark to mark, like `every: 30 bar`",
    ));
    None
}

/// A number in a unit that only has to stay the same: `60 bar`, `12 %`, `38`. If `unit` is given, it must be that one.
fn reading_with_unit(
    node: &Node,
    what: &str,
    unit: Option<&str>,
    problems: &mut Vec<Problem>,
) -> Option<(f64, String)> {
    let text = node.text(&format!("a quantity of {what}"), problems)?;
    let read = || {
        let (number, found) = quantity::split(text)
            .ok_or_else(|| Wrong::new(format!("{} is not one number", shown(text)), "write it like `60 bar`"))?;
        let value = number::parse(number)?;
        match unit {
            Some(unit) if !found.is_empty() && found != unit => Err(Wrong::new(
                format!("{} is in another unit than the quantities before it", shown(text)),
                if unit.is_empty() { "write them all with one unit".to_owned() } else { format!("write it in {unit}") },
            )),
            Some(unit) => Ok((value, unit.to_owned())),
            None => Ok((value, found.to_owned())),
        }
    };
    read().map_err(|wrong: Wrong| problems.push(wrong.about(what).at(&node.place))).ok()
}

fn tapes(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let what = fields.what;
    let example = "tapes: [{name: red, from: 0 mm, to: 30 mm}, {name: blue, from: 30 mm, to: 60 mm}]";
    let node = fields.table.need("tapes", example, problems)?;
    let items = node.some_items(&format!("`tapes` of {what}"), 1..=limits::MAX_ROWS, example, problems)?;
    let read: Vec<Option<(Tape, Place)>> = items.iter().map(|item| tape(item, fields, problems)).collect();
    let mut tapes: Vec<(Tape, Place)> = read.into_iter().collect::<Option<_>>()?;
    let_meet(&mut tapes);
    let mut sound = true;
    for (index, (tape, place)) in tapes.iter().enumerate() {
        let before = &tapes[..index];
        let twin = before.iter().any(|(other, _)| other.name.to_lowercase() == tape.name.to_lowercase());
        let fault = if twin {
            Some((format!("{what} has two tapes called {}", shown(&tape.name)), "give each a name of its own"))
        } else if before.last().is_some_and(|(last, _)| tape.from < last.to) {
            Some((
                format!("the tape {} of {what} starts before the one before it ends", shown(&tape.name)),
                "write the tapes in the order they lie in, none over another",
            ))
        } else {
            None
        };
        if let Some((complaint, instead)) = fault {
            problems.push(Problem::error(place.clone(), complaint, instead));
            sound = false;
        }
    }
    sound.then(|| ScaleKind::Tapes(tapes.into_iter().map(|(tape, _)| tape).collect()))
}

/// A bound that two tapes share may be written in two units, each of which leaves a last digit of its own in millimetres.
fn let_meet(tapes: &mut [(Tape, Place)]) {
    for nth in 1..tapes.len() {
        let end = tapes[nth - 1].0.to;
        let start = &mut tapes[nth].0.from;
        if is_same(start.to_mm(), end.to_mm()) {
            *start = end;
        }
    }
}

fn tape(node: &Node, fields: &Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<(Tape, Place)> {
    let what = format!("a tape on {}", fields.what);
    let mut table = Table::open(node, what.as_str(), problems)?;
    table.place = start_of(node);
    let name = table
        .need("name", "name: red", problems)
        .and_then(|node| words::words(node, &format!("the name of {what}"), problems));
    let name = name.filter(|name| is_free(name, &what, problems));
    let colour = table.take("colour");
    let colour = match (colour, &name) {
        (Some(node), _) => {
            let colours = TAPE_COLOURS.map(|colour| (colour, colour));
            words::choice(node, &format!("the colour of {what}"), &colours, problems).map(str::to_owned)
        }
        (None, Some(name)) => {
            let colour = TAPE_COLOURS.iter().find(|colour| **colour == name.value.to_lowercase());
            if colour.is_none() {
                problems.push(Problem::error(
                    name.place.clone(),
                    format!("{} is no colour this program knows, and {what} gives none", shown(&name.value)),
                    format!("add `colour:`; {}", suggest::one_of(TAPE_COLOURS)),
                ));
            }
            colour.map(|colour| (*colour).to_owned())
        }
        (None, None) => None,
    };
    let edge = |table: &mut Table<'_>, field: &'static str, example: &str, problems: &mut Vec<Problem>| {
        let node = table.need(field, example, problems)?;
        quantity::length(node, fields.units, &format!("`{field}` of {what}"), &limits::PLACE_ON_SCALE, problems)
    };
    let from = edge(&mut table, "from", "from: 0 mm", problems);
    let to = edge(&mut table, "to", "to: 30 mm", problems);
    let to_place = table.place_of("to");
    table.finish(problems);
    let (name, colour, from, to) = (name?, colour?, from?, to?);
    if to < from + limits::MIN_MARK_GAP {
        problems.push(Problem::error(
            to_place,
            format!("the tape {} runs from {from} to {to}", shown(&name.value)),
            format!("`to` must be at least {} past `from`", limits::MIN_MARK_GAP),
        ));
        return None;
    }
    Some((Tape { name: name.value, colour, from, to }, name.place))
}

fn turns(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let example = "turns: {base: \"gauge 38 on 2027-04-02\"}";
    let node = fields.table.need("turns", example, problems)?;
    let mut table = Table::open(node, format!("`turns` of {}", fields.what), problems)?;
    table.place = start_of(node);
    let base = table.need("base", "base: \"gauge 38 on 2027-04-02\"", problems);
    table.finish(problems);
    let base = words::words(base?, &format!("the base of {}", fields.what), problems)?;
    if !crate::book::date::is_in(&base.value) {
        problems.push(Problem::warning(
            base.place,
            format!("the base of {} has no date", fields.what),
            "say when it was set, like `gauge 38 on 2027-04-02`: turns count from that day",
        ));
    }
    Some(ScaleKind::Turns { base: base.value })
}

fn gauge(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let what = fields.what;
    let node = fields.table.need("gauge", "gauge: {unit: bar, least: 0, most: 180}", problems)?;
    let mut table = Table::open(node, format!("`gauge` of {what}"), problems)?;
    table.place = start_of(node);
    let unit = table
        .need("unit", "unit: bar", problems)
        .and_then(|node| end_name(node, &format!("the gauge of {what}"), problems));
    // `None`: given, but not a number.
    let number = |table: &mut Table<'_>, field: &'static str, problems: &mut Vec<Problem>| match table.take(field) {
        Some(node) => {
            reading_with_unit(node, what, unit.as_deref(), problems).map(|(value, _)| Some((value, node.place.clone())))
        }
        None => Some(None),
    };
    let least = number(&mut table, "least", problems);
    let most = number(&mut table, "most", problems);
    let every = number(&mut table, "every", problems);
    table.finish(problems);
    let (least, most, every) = (least?, most?, every?);
    let mut sound = true;
    if let (Some((least, _)), Some((most, place))) = (&least, &most)
        && least >= most
    {
        problems.push(Problem::error(
            place.clone(),
            format!("the gauge of {what} runs from {least} to {most}"),
            "`most` must be higher than `least`",
        ));
        sound = false;
    }
    if let Some((step, place)) = every.as_ref().filter(|(step, _)| *step <= 0.0) {
        problems.push(Problem::error(
            place.clone(),
            format!("the gauge of {what} would be read to every {step}"),
            "write the finest step it can be read to, like `every: 5`",
        ));
        sound = false;
    }
    let every = every.map_or(limits::DEFAULT_GAUGE_STEP, |(step, _)| step);
    let (least, most) = (least.map(|(least, _)| least), most.map(|(most, _)| most));
    let unit = unit.filter(|_| sound)?;
    Some(ScaleKind::Gauge { unit, least, most, every })
}

fn named(fields: &mut Fields<'_, '_>, problems: &mut Vec<Problem>) -> Option<ScaleKind> {
    let what = fields.what;
    let node = fields.table.need("words", "words: [eased, snug, hard]", problems)?;
    let example = "[eased, snug, hard]";
    let items = node.some_items(&format!("`words` of {what}"), 2..=limits::MAX_ROWS, example, problems)?;
    let mut names: Vec<String> = Vec::new();
    for item in items {
        let name = words::words(item, &format!("a word of {what}"), problems)?;
        if !is_free(&name, &format!("a word of {what}"), problems) {
            return None;
        }
        if names.iter().any(|other| other.to_lowercase() == name.value.to_lowercase()) {
            problems.push(Problem::error(
                name.place,
                format!("{what} has the word {} twice", shown(&name.value)),
                "keep one of them",
            ));
            return None;
        }
        names.push(name.value);
    }
    Some(ScaleKind::Words(names))
}

/// Whether the strip of a scale can be printed and read: not too many marks, not too long, not too close.
fn check_print(scale: &Scale, what: &str, place: &Place, problems: &mut Vec<Problem>) -> bool {
    let count = scale.mark_count();
    if count == 0 {
        return true;
    }
    let longest = match (&scale.kind, scale.ends()) {
        (ScaleKind::Tapes(tapes), _) => tapes.last().zip(tapes.first()).map(|(last, first)| last.to - first.from),
        (_, ends) => ends.and_then(|(_, last)| scale.at(last)),
    };
    let fault = if count > limits::MAX_MARKS {
        Some((
            format!("{what} has {count} marks, more than {}", limits::MAX_MARKS),
            "space them further apart, or leave out halves and quarters".to_owned(),
        ))
    } else if let Some(length) = longest.filter(|length| *length > limits::MAX_STRIP) {
        Some((
            format!(
                "{what} would be {} m long in print, more than {} m",
                length.to_mm().ceil() / 1000.0,
                limits::MAX_STRIP.to_mm() / 1000.0
            ),
            "check the unit of the spacing, and the purchase".to_owned(),
        ))
    } else {
        let places: Vec<Length> = scale.graduations().iter().map(|graduation| graduation.at).collect();
        let gaps = places.windows(2).map(|pair| pair[1] - pair[0]);
        gaps.reduce(Length::min).filter(|gap| *gap < limits::MIN_MARK_GAP).map(|gap| {
            (
                format!("two marks of {what} would be {gap} apart in print"),
                format!("keep them {} apart or more: a larger step, or no halves and quarters", limits::MIN_MARK_GAP),
            )
        })
    };
    let Some((complaint, instead)) = fault else { return true };
    problems.push(Problem::error(place.clone(), complaint, instead));
    false
}
