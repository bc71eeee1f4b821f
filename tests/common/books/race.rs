//! The wardrobe, what was fast with it, and the race: sails, settings in the book and in tables, crew, watches, forecast.

use std::fmt::Write as _;

use super::controls::{Control, Kind, in_a_list};
use super::{Choices, Known, Sail, Settings, words};

const PEOPLE: &[&str] =
    &["Ada", "Bo", "Cleo", "Dan", "Eve", "Finn", "Gus", "Hana", "Ívar", "Jørn", "Κώστας", "Mary-Jo", "Zoë", "Ο'Niall"];

pub fn sails(c: &mut Choices<'_>, known: &mut Known, text: &mut String) {
    text.push_str("sails:\n  main: {kind: mainsail}\n");
    let main = Sail {
        id: "main".to_owned(),
        kind: "mainsail",
        wind: (0, 60),
        has_wind: false,
        aboard: true,
        flies_with: None,
    };
    known.sails.push(main);
    if c.chance(25) {
        text.push_str("  main_r1: {kind: mainsail, name: \"Main, 1 reef\", reef_of: main, wind: 18..40}\n");
        let id = "main_r1".to_owned();
        known.sails.push(Sail { id, kind: "mainsail", wind: (18, 40), has_wind: true, aboard: true, flies_with: None });
    }
    let count = 1 + c.below(5);
    let mut low = c.between(3, 6);
    let names = ["j1", "j2", "j3", "kite", "staysail"];
    for (index, name) in names.iter().enumerate().take(count) {
        let id = (*name).to_owned();
        let kind = if index < 3 { "headsail" } else { c.one(&["spinnaker", "gennaker", "staysail", "other"]) };
        let high = low + c.between(6, 12);
        // A staysail flies with one or two of the sails before it, in some of the winds of the first.
        let others: Vec<Sail> =
            known.sails.iter().filter(|sail| sail.kind != "mainsail" && sail.aboard).cloned().collect();
        let flies_with = if index == 4 && c.chance(70) { c.some(&others, 1, 30) } else { Vec::new() };
        let (low_of_it, high) = flies_with.first().map_or((low, high), |other| (other.wind.0 + 1, other.wind.1 + 2));
        let mut fields = vec![format!("kind: {kind}")];
        if c.chance(60) {
            let name = words::name(c);
            fields.push(format!("name: {name}"));
        }
        let has_wind = c.chance(80);
        if has_wind {
            fields.push(format!("wind: {low_of_it}..{high} kn"));
        }
        if !flies_with.is_empty() {
            let ids: Vec<&str> = flies_with.iter().map(|sail| sail.id.as_str()).collect();
            fields.push(format!("flies_with: [{}], angle: 30..150", ids.join(", ")));
        } else if c.chance(60) {
            let angle = c.between(30, 60);
            fields.push(format!("angle: {angle}..{}", angle + c.between(20, 90)));
        }
        if c.chance(40) {
            fields.push(format!("luff: {}.{} m", c.between(9, 18), c.between(0, 9)));
        }
        if c.chance(20) {
            fields.push(format!("strop: {} mm", c.between(0, 900)));
        }
        if c.chance(15) {
            fields.push(format!("status: {}", words::phrase(c)));
        }
        if has_wind && c.chance(10) {
            fields.push(format!("max_now: {} kn", high - 2));
        }
        if c.chance(15) {
            fields.push(format!("since: {}", words::day(c)));
        }
        let aboard = !c.chance(6);
        if !aboard {
            fields.push(format!("retired: {}", words::day(c)));
        }
        let _ = writeln!(text, "  {id}: {{{}}}", fields.join(", "));
        // Both of a set are for its rows.
        let wind = flies_with.first().map_or((low, high), |other| (low_of_it, other.wind.1));
        let flies_with = flies_with.first().map(|sail| sail.id.clone());
        known.sails.push(Sail { id, kind, wind, has_wind, aboard, flies_with });
        low = high - c.between(1, 4);
    }
    if c.chance(25) {
        let wind = c.between(4, 8);
        let bands = if c.chance(50) { ", angle_bands: [30, 50, 70, 100, 140, 170]" } else { "" };
        let _ = writeln!(text, "wardrobe: {{wind: {wind}..{} kn, angle: 40..120{bands}}}", wind + c.between(10, 25));
        known.has_wardrobe = true;
    }
}

pub fn settings(c: &mut Choices<'_>, known: &mut Known, tables: &mut Vec<(String, String)>, text: &mut String) {
    let racing: Vec<usize> = (0..known.controls.len()).filter(|index| !known.controls[*index].dock).collect();
    if racing.is_empty() || c.chance(6) {
        return;
    }
    let mut heads: Vec<Sail> = known.sails.iter().filter(|sail| sail.kind != "mainsail").cloned().collect();
    if c.chance(40) {
        heads.truncate(2);
    }
    text.push_str("settings:\n");
    for head in heads {
        let point = match head.kind {
            "headsail" => c.one(&["upwind", "upwind", "close-reach"]),
            _ => c.one(&["beam-reach", "broad-reach", "downwind"]),
        };
        let id = format!("{}-{point}", head.id);
        let titled = id.len() % 2 == 0;
        let columns: Vec<usize> = c.some(&racing, 1, 70).into_iter().take(7).collect();
        let with = head.flies_with.as_ref().map(|other| format!(", {other}")).unwrap_or_default();
        let _ = writeln!(text, "  - id: {id}\n    sails: [main, {}{with}]\n    point_of_sail: {point}", head.id);
        if titled {
            text.push_str(c.one(&["    title: flat water\n", "    title: flat water\n", "    sea: chop\n"]));
        } else if id.len() % 3 == 0 {
            text.push_str("    when: racing\n");
        }
        let winds = winds(c, &head);
        let angles =
            if head.kind != "mainsail" && point != "upwind" && c.chance(40) { angles(c, point) } else { Vec::new() };
        if !angles.is_empty() {
            by_angle(c, known, (&id, &columns), (&winds, &angles), tables, text);
        } else if c.chance(15) {
            let name = format!("{id}.csv");
            let table = table(c, known, &columns, &winds);
            let _ = writeln!(text, "    table: {name}");
            tables.push((name, table));
        } else {
            inline(c, known, &columns, &winds, text);
        }
        if c.chance(15) {
            let up = c.between(0, 4);
            let all = c.chance(50);
            let _ = match winds.first().filter(|_| !all) {
                Some(wind) => writeln!(text, "    on_rail: {{{wind} kn: {up}}}"),
                None => writeln!(text, "    on_rail: {up}"),
            };
        }
        if c.chance(40) && angles.is_empty() {
            targets(c, &winds, point, text);
        }
        let steps: Vec<&str> = columns.iter().map(|index| known.controls[*index].id.as_str()).collect();
        if c.chance(20) {
            let control = &known.controls[columns[0]];
            let only_steps = matches!(control.kind, Kind::Tapes | Kind::Words | Kind::Turns);
            let way = if only_steps { "step" } else { c.one(&["linear", "step", "monotone"]) };
            let _ = writeln!(text, "    between: {{{}: {way}}}", steps[0]);
        }
        let by_angle = winds.first().copied().zip(angles.first().copied());
        known.settings.push(Settings { id, was: None, columns, aboard: head.aboard, by_angle });
    }
    carried(c, known, text);
    at_the_dock(c, known, text);
}

/// What is set before leaving, on one line, by the wind to expect.
fn at_the_dock(c: &mut Choices<'_>, known: &mut Known, text: &mut String) {
    let dock: Vec<usize> = (0..known.controls.len()).filter(|index| known.controls[*index].dock).collect();
    if dock.is_empty() || !c.chance(50) {
        return;
    }
    let columns = c.some(&dock, 1, 70);
    let ids: Vec<&str> = columns.iter().map(|index| known.controls[*index].id.as_str()).collect();
    let sea = c.one(&["", "", ", sea: chop", ", title: flat water"]);
    let (count, mut wind, mut rows) = (1 + c.below(4), c.between(3, 8), Vec::new());
    for row in 0..count {
        let cells = columns.iter().map(|index| {
            reading(c, &known.controls[*index].readings, row, count)
                .map_or_else(|| "~".to_owned(), |reading| in_a_list(&reading))
        });
        rows.push(format!("{wind} kn: [{}]", cells.collect::<Vec<_>>().join(", ")));
        wind += c.between(2, 7);
    }
    let (ids, rows) = (ids.join(", "), rows.join(", "));
    let _ = writeln!(text, "  - {{id: rig, when: dock{sea}, controls: [{ids}], at: {{{rows}}}}}");
    known.has_dock_tune = true;
}

/// Winds of the rows: inside the sail's own, from light to strong.
fn winds(c: &mut Choices<'_>, sail: &Sail) -> Vec<i64> {
    let (low, high) = if sail.has_wind { sail.wind } else { (3, 30) };
    let mut winds = Vec::new();
    let mut wind = low + c.between(0, 2);
    for _ in 0..1 + c.below(5) {
        if wind > high {
            break;
        }
        winds.push(wind);
        wind += c.between(1, 4);
    }
    winds
}

/// A reading for each column at each wind, rising or wandering; now and then not recorded, or not used.
fn reading(c: &mut Choices<'_>, readings: &[String], row: usize, rows: usize) -> Option<String> {
    if readings.is_empty() {
        return None;
    }
    if c.chance(8) {
        return row.is_multiple_of(2).then(|| "none".to_owned());
    }
    let last = readings.len() - 1;
    let index = if c.chance(70) { (last * (row + 1) / (rows + 1)).min(last) } else { c.below(readings.len()) };
    Some(readings[index].clone())
}

/// A reading in a list; of a control that has a twin now and then one for each side.
fn on_both_sides(control: &Control, row: usize, reading: &str) -> String {
    let port = in_a_list(reading);
    let place = control.readings.iter().position(|known| known == reading);
    match place.filter(|_| control.has_twin && row.is_multiple_of(3)) {
        Some(_) if row == 3 => format!("{{port: {port}, starboard: ~}}"),
        Some(place) => {
            let starboard = in_a_list(&control.readings[place.saturating_sub(1)]);
            format!("{{port: {port}, starboard: {starboard}}}")
        }
        None => port,
    }
}

fn inline(c: &mut Choices<'_>, known: &Known, columns: &[usize], winds: &[i64], text: &mut String) {
    let ids: Vec<&str> = columns.iter().map(|index| known.controls[*index].id.as_str()).collect();
    let _ = writeln!(text, "    controls: [{}]\n    at:", ids.join(", "));
    for (row, wind) in winds.iter().enumerate() {
        let cells = columns.iter().map(|index| {
            let control = &known.controls[*index];
            reading(c, &control.readings, row, winds.len())
                .map_or_else(|| "~".to_owned(), |reading| on_both_sides(control, row, &reading))
        });
        let cells: Vec<String> = cells.collect();
        let _ = writeln!(text, "      {wind} kn: [{}]", cells.join(", "));
    }
}

/// Angles of the rows of a reach, from close to broad.
fn angles(c: &mut Choices<'_>, point: &str) -> Vec<i64> {
    let mut angle = match point {
        "close-reach" => c.between(50, 60),
        "beam-reach" => c.between(70, 90),
        "broad-reach" => c.between(100, 120),
        _ => c.between(130, 150),
    };
    let mut angles = Vec::new();
    for _ in 0..1 + c.below(4) {
        if angle > 180 {
            break;
        }
        angles.push(angle);
        angle += c.between(5, 25);
    }
    angles
}

/// Rows by wind and angle, in the book or in a table; not every wind has every angle.
fn by_angle(
    c: &mut Choices<'_>,
    known: &Known,
    (id, columns): (&str, &[usize]),
    (winds, angles): (&[i64], &[i64]),
    tables: &mut Vec<(String, String)>,
    text: &mut String,
) {
    let places: Vec<(i64, Vec<i64>)> = winds.iter().map(|wind| (*wind, c.some(angles, 1, 80))).collect();
    let ids: Vec<&str> = columns.iter().map(|index| known.controls[*index].id.as_str()).collect();
    let count = places.iter().map(|(_, angles)| angles.len()).sum();
    let in_a_table = c.chance(25);
    let mut table = format!("wind,angle,{}\n", ids.join(","));
    let mut rows = String::new();
    let mut row = 0;
    for (wind, angles) in &places {
        let mut at = Vec::new();
        for angle in angles {
            let cells = columns.iter().map(|index| reading(c, &known.controls[*index].readings, row, count));
            let cells: Vec<Option<String>> = cells.collect();
            let bare: Vec<String> = cells.iter().map(|cell| cell.clone().unwrap_or_default()).collect();
            let listed: Vec<String> =
                cells.iter().map(|cell| cell.as_deref().map_or_else(|| "~".to_owned(), in_a_list)).collect();
            let _ = writeln!(table, "{wind} kn,{angle},{}", bare.join(","));
            at.push(format!("{angle}: [{}]", listed.join(", ")));
            row += 1;
        }
        let _ = writeln!(rows, "      {wind} kn: {{{}}}", at.join(", "));
    }
    if in_a_table {
        let name = format!("{id}.csv");
        let _ = writeln!(text, "    table: {name}");
        tables.push((name, table));
    } else {
        let _ = writeln!(text, "    controls: [{}]\n    at:\n{rows}", ids.join(", "));
    }
    if c.chance(40) {
        text.push_str("    angle_bands: [40, 60, 80, 100, 130, 180]\n");
    }
    if c.chance(40) {
        let sailed: Vec<(i64, i64)> =
            places.iter().flat_map(|(wind, angles)| angles.iter().map(|angle| (*wind, *angle))).collect();
        let (wind, angle) = c.one(&sailed);
        let look = if c.chance(50) { format!(", look: {}", words::phrase(c)) } else { String::new() };
        let (whole, tenth) = (c.between(4, 9), c.between(0, 9));
        let _ = writeln!(text, "    targets: {{{wind} kn: {{{angle}: {{speed: {whole}.{tenth} kn{look}}}}}}}");
    }
}

fn table(c: &mut Choices<'_>, known: &Known, columns: &[usize], winds: &[i64]) -> String {
    let comma = c.one(&[", ", ",", "\t"]);
    let mut table = String::new();
    if c.chance(20) {
        table.push_str("# from the notebook\n");
    }
    let ids: Vec<&str> = columns.iter().map(|index| known.controls[*index].id.as_str()).collect();
    let _ = writeln!(table, "wind{comma}{}", ids.join(comma));
    for (row, wind) in winds.iter().enumerate() {
        let cells = columns.iter().map(|index| match reading(c, &known.controls[*index].readings, row, winds.len()) {
            Some(reading) if comma != ", " && c.chance(20) => format!("\"{reading}\""),
            Some(reading) => reading,
            None => c.one(&["", "~"]).to_owned(),
        });
        let cells: Vec<String> = cells.collect();
        let _ = writeln!(table, "{wind} kn{comma}{}", cells.join(comma));
    }
    table
}

fn targets(c: &mut Choices<'_>, winds: &[i64], point: &str, text: &mut String) {
    text.push_str("    targets:\n");
    for wind in winds {
        let mut fields = vec![format!("speed: {}.{} kn", c.between(4, 9), c.between(0, 9))];
        if c.chance(70) {
            fields.push(format!("heel: {} deg", c.between(5, 28)));
        }
        if c.chance(40) {
            let angle = if point == "upwind" { c.between(36, 50) } else { c.between(60, 160) };
            fields.push(format!("angle: {angle} deg"));
        }
        if c.chance(40) {
            fields.push(format!("look: {}", words::phrase(c)));
        }
        let _ = writeln!(text, "      {wind} kn: {{{}}}", fields.join(", "));
    }
}

/// A new sail that goes on with the settings of the one it replaces. Sails stand above the settings in the text, so its
/// line goes in there.
fn carried(c: &mut Choices<'_>, known: &mut Known, text: &mut String) {
    let Some(old) = known.settings.last().cloned().filter(|settings| settings.aboard) else { return };
    if !c.chance(12) {
        return;
    }
    let Some((sail, point)) = old.id.split_once('-') else { return };
    let kind = known.sails.iter().find(|known| known.id == sail).map_or("headsail", |known| known.kind);
    // Turns have no end that a move could go past.
    let turned = known.controls.iter().find(|control| control.kind == Kind::Turns);
    let far = c.one(&["1", "-2", "+3 turns", "-1 turn"]);
    let offsets = turned.map_or_else(String::new, |control| format!(", offsets: {{{}: {far}}}", control.id));
    let line = format!(
        "  {sail}_new: {{kind: {kind}, replaces: {sail}, start_from: [{}], since: {}{offsets}}}\n",
        old.id,
        words::day(c)
    );
    *text = text.replacen("settings:\n", &format!("{}{line}settings:\n", ""), 1);
    if let Some(wardrobe) = text.find("\nwardrobe:") {
        // The line belongs among the sails, above what follows them.
        *text = text.replacen(&line, "", 1);
        text.insert_str(wardrobe + 1, &line);
    }
    if let Some(last) = known.settings.last_mut() {
        last.was = Some(std::mem::replace(&mut last.id, format!("{sail}_new-{point}")));
    }
    for old in known.sails.iter_mut().filter(|known| known.id == sail) {
        old.aboard = false;
    }
}

pub fn race(c: &mut Choices<'_>, known: &mut Known, text: &mut String) {
    let aboard = c.between(4, 10);
    if c.chance(35) {
        let mass = c.between(60, 100);
        let usual = match mass % 2 == 0 {
            true => format!(
                ", usually_below: {{hands: {}, side: {}}}",
                mass % aboard + 1,
                ["windward", "centre", "leeward"][mass as usize % 3]
            ),
            false => String::new(),
        };
        let _ = writeln!(
            text,
            "crew: {{aboard: {aboard}, mass: {mass} kg, rail: {{out: 1.{} m, above: 0.{} m}}, bunks: {{out: {} mm, above: {} mm}}{usual}}}",
            c.between(2, 9),
            c.between(3, 9),
            c.between(500, 1300),
            c.between(-200, 300)
        );
        known.has_crew = true;
    }
    if c.chance(35) {
        righting(c, text);
        known.has_righting = true;
    }
    if c.chance(35) {
        watches(c, text);
        known.has_watches = true;
        if c.chance(50) {
            // Rows in apparent wind take a forecast only with targets for every sail.
            if !text.contains("kind: apparent") {
                forecast(c, text);
            }
        }
    }
    if c.chance(30) {
        text.push_str("checks:\n");
        for _ in 0..1 + c.below(6) {
            let mut fields = vec![format!("what: {}", words::phrase(c))];
            if c.chance(60) {
                fields.push(format!("who: {}", c.one(PEOPLE).replace('\'', "")));
            }
            if c.chance(50) {
                fields.push(format!("by: {}", c.one(&["Friday night", "Saturday noon", "the gun"])));
            }
            if c.chance(20) {
                fields.push("race_rule: true".to_owned());
            }
            let _ = writeln!(text, "  - {{{}}}", fields.join(", "));
        }
        known.has_checks = true;
    }
}

fn righting(c: &mut Choices<'_>, text: &mut String) {
    let lever = if c.chance(50) {
        "gz: {0: 0 mm, 10: 215 mm, 20: 410 mm, 30: 570 mm, 40: 680 mm}".to_owned()
    } else {
        format!("gm: 1.{} m", c.between(0, 9))
    };
    let wind = if c.chance(50) { format!(", wind: {} kn", c.between(6, 14)) } else { String::new() };
    let mut fields = vec![
        format!("displacement: {} kg", c.between(3000, 9000)),
        lever,
        format!("heel_limited: {{from: {} deg{wind}}}", c.between(12, 24)),
    ];
    if c.chance(60) {
        fields.push(format!("upwind_angle: {} deg", c.between(35, 50)));
    }
    if c.chance(50) {
        fields.push(format!(
            "air: {{celsius: {}, hpa: {}, humidity: {}}}",
            c.between(0, 30),
            c.between(980, 1035),
            c.between(20, 100)
        ));
        let humidity = if c.chance(50) { format!(", humidity: {}", c.between(20, 100)) } else { String::new() };
        fields.push(format!("tuned_in: {{celsius: {}, hpa: {}{humidity}}}", c.between(0, 30), c.between(980, 1035)));
    }
    let _ = writeln!(text, "righting: {{{}}}", fields.join(", "));
}

fn watches(c: &mut Choices<'_>, text: &mut String) {
    let people: Vec<String> = PEOPLE.iter().take(c.between(4, 12) as usize).map(|name| format!("\"{name}\"")).collect();
    let zone = c.one(&["Europe/London", "UTC", "Pacific/Auckland", "America/St_Johns", "Asia/Kathmandu"]);
    let _ = writeln!(text, "watches:\n  start: 2027-06-12 {:02}:{:02}", c.between(4, 20), c.between(0, 59));
    let _ = writeln!(text, "  finish: 2027-06-{} {:02}:00\n  time_zone: {zone}", c.between(13, 15), c.between(0, 23));
    let lengths =
        c.one(&["[4 h]", "[3 h, 3 h, 2 h]", "[4 h, 4 h, 4 h, 4 h, 2 h, 2 h, 4 h]", "[90 min, 2 h]", "[6 h, 4 h]"]);
    let _ = writeln!(text, "  lengths: {lengths}");
    if c.chance(50) {
        let _ = writeln!(text, "  from: {:02}:00", c.between(0, 23));
    }
    if c.chance(60) {
        let half = people.len() / 2;
        let _ = writeln!(text, "  least_on_deck: {}", c.between(1, 2).min(half as i64));
        let _ =
            writeln!(text, "  teams: {{Red: [{}], Blue: [{}]}}", people[..half].join(", "), people[half..].join(", "));
    } else {
        let on_deck = c.between(2, 3);
        let _ = writeln!(text, "  least_on_deck: {}", c.between(1, on_deck));
        let _ = writeln!(text, "  rolling: {{people: [{}], on_deck: {on_deck}, changing: 1}}", people.join(", "));
    }
    // The last two names are in no team.
    if c.chance(30) {
        let up = c.one(&["changes", "[20:00..23:00, 04:00..07:00]", "22:30..01:15"]);
        let _ = writeln!(text, "  floaters: {{Zoë: {up}}}");
    }
    if c.chance(30) {
        let who = c.one(&["Sam", "{who: Sam}", "{who: Sam, as: navigator}", "{who: Sam, as: skipper, on_rail: true}"]);
        let _ = writeln!(text, "  outside: [{who}]");
    }
}

fn forecast(c: &mut Choices<'_>, text: &mut String) {
    text.push_str("forecast:\n");
    let mut hour = c.between(0, 6);
    for _ in 0..1 + c.below(5) {
        let low = c.between(4, 20);
        let high = low + c.between(1, 5);
        let gust = if c.chance(30) { format!(", gust: {} kn", high + c.between(1, 10)) } else { String::new() };
        let _ = writeln!(
            text,
            "  - {{time: 2027-06-{} {:02}:00, wind: {low}..{high} kn, angle: {}{gust}}}",
            12 + hour / 24,
            hour % 24,
            c.between(38, 150)
        );
        hour += c.between(1, 12);
    }
}

/// Notes of what was sailed with the settings of the book, in a file of their own.
pub fn sailed(c: &mut Choices<'_>, known: &Known, tables: &mut Vec<(String, String)>, text: &mut String) {
    if known.settings.is_empty() || !c.chance(25) {
        return;
    }
    let comma = c.one(&[",", ";", "\t"]);
    let racing: Vec<&Control> = known.controls.iter().filter(|control| !control.dock).collect();
    let ids: Vec<&str> = racing.iter().map(|control| control.id.as_str()).collect();
    let heads = ["when", "until", "settings", "wind", "angle", "sea", "below", "helm", "trial"];
    let tails = ["speed", "verdict", "who", "note", "found"];
    let header: Vec<&str> = heads.into_iter().chain(ids).chain(tails).collect();
    let mut file = format!("{}\n", header.join(comma));
    for nth in 0..1 + c.below(8) {
        let settings = c.one(&known.settings);
        let when = format!("2027-05-{:02} 1{}:{:02}", c.between(1, 28), c.between(0, 9), c.between(0, 59));
        let mut cells = vec![
            c.one(&[when.as_str(), ""]).to_owned(),
            String::new(),
            settings.id.clone(),
            format!("{} kn", c.between(4, 30)),
            c.one(&["", "42", "60", "110"]).to_owned(),
            c.one(&["", "chop", "flat"]).to_owned(),
            c.one(&["", "2"]).to_owned(),
            c.one(&["", "Ada"]).to_owned(),
            c.one(&["", "tr1"]).to_owned(),
        ];
        for control in &racing {
            let reading = reading(c, &control.readings, nth % 4, 4).unwrap_or_default();
            let text = if c.chance(5) { "none".to_owned() } else { reading };
            cells.push(if text.is_empty() { text } else { format!("\"{text}\"") });
        }
        let found = c.one(&["", "", "", "keep", "change"]);
        cells.extend([c.one(&["", "6.4"]), c.one(&["fast", "ok", "slow", ""]), "Bo", "", found].map(str::to_owned));
        let _ = writeln!(file, "{}", cells.join(comma));
    }
    let zone = if known.has_watches && c.chance(50) { "" } else { ", time_zone: Europe/Copenhagen" };
    let _ = writeln!(text, "sailed: {{file: sailed.csv{zone}}}");
    tables.push(("sailed.csv".to_owned(), file));
}
