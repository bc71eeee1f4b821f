//! Gear to rig and to stow before the start: outboard lead, lacing and stowage, each from a sound plan with its numbers moved.

use std::fmt::Write as _;

use super::{Choices, Known, words};

pub fn gear(
    c: &mut Choices<'_>,
    known: &mut Known,
    tables: &mut Vec<(String, String)>,
    text: &mut String,
    length: i64,
) {
    if c.chance(25) {
        outboard_lead(c, text);
        known.gear.push("outboard-lead");
    }
    if c.chance(25) {
        lacing(c, text);
        known.gear.push("lacing");
    }
    if c.chance(25) {
        stowage(c, tables, text, length);
        known.gear.push("stowage");
    }
}

fn metres(mm: i64) -> String {
    let sign = if mm < 0 { "-" } else { "" };
    format!("{sign}{}.{:03} m", mm.abs() / 1000, mm.abs() % 1000)
}

/// A place near one that works.
fn near(c: &mut Choices<'_>, place: [i64; 3], by: i64) -> String {
    let moved = place.map(|side| if side == 0 { 0 } else { side + c.between(-by, by) });
    format!("[{}]", moved.map(metres).join(", "))
}

fn outboard_lead(c: &mut Choices<'_>, text: &mut String) {
    text.push_str("outboard_lead:\n");
    if c.chance(70) {
        let _ = writeln!(text, "  sail: {}", words::phrase(c));
    }
    let _ = writeln!(text, "  tack: {}", near(c, [500, 0, 1250], 60));
    let _ = writeln!(text, "  clew: {}", near(c, [5000, 1150, 2300], 60));
    let _ = writeln!(text, "  track: {{0: [5.3 m, 0.85 m, 1.15 m], 14: {}}}", near(c, [7400, 1000, 1150], 40));
    let _ = writeln!(text, "  car: {}", c.between(2, 14));
    let _ = writeln!(text, "  outboard_block: {}", near(c, [8100, 1500, 1050], 40));
    if c.chance(70) {
        let _ = writeln!(text, "  leads_on_to: {}", near(c, [9200, 1200, 1200], 40));
    }
    let _ = writeln!(text, "  pad_eye: {}", near(c, [6000, 1500, 1100], 30));
    let _ = writeln!(text, "  tweaker: {{0: 900 mm, 2: 500 mm, 4: {} mm}}", c.between(330, 450));
    if c.chance(70) {
        text.push_str("  sheet_load: 2 kN\n");
        if c.chance(60) {
            text.push_str("  working_loads: {sheet: 19 kN, outboard_block: 18 kN, tweaker_block: 15 kN, tweaker: 15 kN, pad_eye: 16 kN}\n");
        }
    }
    if c.chance(40) {
        text.push_str("  hull_line: [[0 m, 0 m], [1.5 m, 0.9 m], [4 m, 1.6 m], [7 m, 1.9 m], [11 m, 1.7 m]]\n");
    }
}

fn lacing(c: &mut Choices<'_>, text: &mut String) {
    let pattern = c.one(&["vee", "uprights"]);
    let _ = writeln!(text, "lacing:\n  pattern: {pattern}\n  spacing: {} mm", c.between(310, 450));
    if c.chance(50) {
        let _ = writeln!(text, "  line: {} mm\n  wire: {} mm", c.between(3, 6), c.between(4, 8));
    }
    let foot = c.one(&["{eyes: 6 mm}", "{line: 5 mm, bases: 25 mm}"]);
    let has_eyes = foot.contains("eyes") && c.chance(50);
    let _ = writeln!(text, "  foot: {foot}");
    if c.chance(30) {
        let _ = writeln!(text, "  hitch: {}", c.one(&["half hitch", "1", "2½"]));
    }
    if c.chance(30) {
        let _ = writeln!(text, "  crests: {}", c.one(&["hitched", "over"]));
    }
    if c.chance(30) {
        let _ = writeln!(
            text,
            "  tail: {} mm\n  allowance: 0.1\n  cut_to: 50 mm\n  spares: {}\n  hitch_takes: {} mm",
            c.between(100, 500),
            c.between(0, 3),
            c.between(20, 120)
        );
    }
    let deck = if c.chance(30) { format!(", deck_edge: {} mm", c.between(0, 60)) } else { String::new() };
    let wires = c.one(&["[300 mm, 610 mm]", "[0.3 m, 0.6 m]", "[250 mm, 450 mm, 650 mm]"]);
    let second = c.between(1300, 1900);
    let third = second + c.between(1400, 1900);
    let posts = format!("[0 m, {}, {}]", metres(second), metres(third));
    // Two in each bay at least, whether the first one is a gate or not.
    let eyes = |first: i64, c: &mut Choices<'_>| -> String {
        let mut at = first + c.between(20, 200);
        let mut eyes = Vec::new();
        while at < third {
            eyes.push(metres(at));
            at += c.between(250, 500);
        }
        if has_eyes { format!(", eyes: [{}]", eyes.join(", ")) } else { String::new() }
    };
    if c.chance(40) {
        let gates = if c.chance(40) { ", gates: [1]" } else { "" };
        let (port, starboard) = (eyes(if gates.is_empty() { 0 } else { second }, c), eyes(0, c));
        let _ = writeln!(text, "  port: {{posts: {posts}, wires: {wires}{deck}{gates}{port}}}");
        let _ = writeln!(text, "  starboard: {{posts: {posts}, wires: {wires}{starboard}}}");
    } else {
        let eyes = eyes(0, c);
        let _ = writeln!(text, "  both: {{posts: {posts}, wires: {wires}{deck}{eyes}}}");
    }
}

fn stowage(c: &mut Choices<'_>, tables: &mut Vec<(String, String)>, text: &mut String, length: i64) {
    let half = length * 50;
    let _ = writeln!(text, "stowage:\n  displacement: {} kg", c.between(4000, 9000));
    let _ = writeln!(text, "  centre_of_gravity: [{}, 0 m, 0.1 m]", metres(half));
    if c.chance(60) {
        let _ =
            writeln!(text, "  centre_of_flotation: {}\n  moment_to_trim: {}", metres(half + 200), c.between(60, 150));
    }
    if c.chance(50) {
        text.push_str("  mass_to_sink: 190 kg\n");
    }
    if c.chance(60) {
        text.push_str("  gm: 1.25 m\n  beam: 3.6 m\n");
    }
    if c.chance(40) {
        text.push_str("  gyradius: 2.4 m\n");
    }
    if c.chance(20) {
        let mut table =
            "what,mass,aft,starboard,up,plan,to_aft,to_starboard,to_up,stow,required,wet,wet_from\n".to_owned();
        for index in 0..1 + c.below(6) {
            let _ = writeln!(
                table,
                "thing {index},{} kg,{},0.4 m,0.5 m,move,{},0 m,0.1 m,{},{},{}",
                c.between(2, 40),
                metres(c.between(500, half)),
                metres(half),
                c.one(&["", "under the sole"]),
                c.one(&["", "true", "false"]),
                c.one(&[",", "1.2,middle"])
            );
        }
        tables.push(("stowage.csv".to_owned(), table));
        text.push_str("  table: stowage.csv\n");
        return;
    }
    text.push_str("  items:\n");
    let things = ["anchor", "chain", "spare jib", "water", "tools", "awning", "\"<stove> & pans\"", "raft"];
    for thing in things.iter().take(1 + c.below(6)) {
        let now = format!(
            "[{}, {}, {}]",
            metres(c.between(500, half)),
            metres(c.between(-1200, 1200)),
            metres(c.between(-100, 900))
        );
        let mut fields =
            vec![format!("what: {thing}"), format!("mass: {} kg", c.between(2, 60)), format!("now: {now}")];
        let plan = c.below(4);
        match plan {
            0 => fields.push(format!("plan: move, to: [{}, 0 m, 0 m]", metres(half))),
            1 => fields.push("plan: ashore".to_owned()),
            2 => fields.push("plan: keep".to_owned()),
            _ => {}
        }
        if c.chance(40) {
            fields.push(format!("stow: {}", words::phrase(c)));
        }
        if c.chance(20) {
            fields.push("wet: 1.3".to_owned());
        }
        // What the rules make you carry cannot stay ashore.
        if plan != 1 && c.chance(20) {
            fields.push("required: true".to_owned());
        }
        if c.chance(20) {
            let start = format!("start: {{at: [{}, 0 m, 0.2 m]}}", metres(half));
            let stages = ["dock: {left: 0.9}", &start, "middle: {left: 0.6}", "finish: {left: 0.2, wet: true}"];
            fields.push(format!("stages: {{{}}}", c.some(&stages, 1, 60).join(", ")));
        }
        let _ = writeln!(text, "    - {{{}}}", fields.join(", "));
    }
}
