//! How the program behaves in a terminal: colours, the width of lines, how much is told, numbers as they are typed, help that can be
//! pasted, manual pages and completions.
#![cfg(unix)]

use std::collections::BTreeSet;
use std::process::Command;

use crate::desk::{Desk, PROGRAM, said};
use crate::reading::SOUND;

/// What every escape sequence of a terminal begins with (ECMA-48).
const ESCAPE: &str = "\u{1b}[";
/// Seconds after which a command is stopped that goes on by itself, and the exit code of `timeout` then (GNU coreutils).
const STOPPED_AFTER_S: u32 = 5;
const STOPPED: i32 = 124;
/// A fault whose remedy is longer than a line of a small terminal.
const FAULT: &str = "book: 1\nboat: {name: Chervil, long: 3}\ncontrols:\n  backstay:\n    scale: {marks: 0..6, spacing: 20 mm, speed: 3}\n";

/// A desk with the full example as the book of the folder, with its notes and a log.
fn desk_with_example() -> Desk {
    let desk = Desk::new();
    for (file, name) in
        [("full.yaml", "boat.yaml"), ("full-sailed.csv", "full-sailed.csv"), ("full-log.csv", "full-log.csv")]
    {
        let from = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/").to_owned() + file;
        desk.write(name, &std::fs::read_to_string(from).expect("an example"));
    }
    desk
}

/// Takes away what in the surroundings of the tests would decide for the program.
fn plain(mut command: Command) -> Command {
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "CI", "COLUMNS"] {
        command.env_remove(name);
    }
    command.stdin(std::process::Stdio::null());
    command
}

/// What a command tells with this in its environment, where no terminal is.
fn on_a_pipe(desk: &Desk, variables: &[(&str, &str)], arguments: &[&str]) -> String {
    let output = plain(desk.command(arguments)).envs(variables.iter().copied()).output().expect("a run");
    said(&output)
}

/// What it tells on a terminal so many letters wide.
fn on_a_terminal(desk: &Desk, columns: usize, variables: &[(&str, &str)], arguments: &str) -> String {
    let line = format!("stty rows 24 cols {columns}; '{PROGRAM}' {arguments}");
    let mut command = plain(Command::new("script"));
    command.args(["-qec", &line, "/dev/null"]).current_dir(&desk.0).envs([("TERM", "xterm"), ("SHELL", "/bin/sh")]);
    let output = command.envs(variables.iter().copied()).output().expect("script of util-linux");
    said(&output)
}

#[test]
fn there_is_colour_on_a_terminal_alone_unless_someone_says_otherwise() {
    let desk = Desk::new();
    desk.write("boat.yaml", FAULT);
    let has = |told: String| {
        assert!(told.contains("error"), "{told}");
        told.contains(ESCAPE)
    };
    assert!(!has(on_a_pipe(&desk, &[], &["check"])));
    assert!(has(on_a_pipe(&desk, &[], &["check", "--color", "always"])));
    assert!(has(on_a_pipe(&desk, &[], &["--color=always", "check"])));
    assert!(has(on_a_pipe(&desk, &[("CLICOLOR_FORCE", "1")], &["check"])));
    assert!(!has(on_a_pipe(&desk, &[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")], &["check"])));
    assert!(!has(on_a_pipe(&desk, &[("CLICOLOR_FORCE", "1")], &["check", "--color", "never"])));
    assert!(has(on_a_terminal(&desk, 80, &[], "check")));
    assert!(!has(on_a_terminal(&desk, 80, &[("NO_COLOR", "1")], "check")));
    assert!(!has(on_a_terminal(&desk, 80, &[("TERM", "dumb")], "check")));
    assert!(!has(on_a_terminal(&desk, 80, &[], "check --color never")));
    assert!(has(on_a_terminal(&desk, 80, &[("NO_COLOR", "1")], "check --color always")));
    // Also of what is wrong with the command line itself.
    assert!(has(on_a_terminal(&desk, 80, &[], "check --nothing")));
    assert!(!has(on_a_terminal(&desk, 80, &[("NO_COLOR", "1")], "check --nothing")));
    assert!(!has(on_a_terminal(&desk, 80, &[], "check --nothing --color never")));
    assert!(has(on_a_pipe(&desk, &[], &["check", "--nothing", "--color", "always"])));
    assert!(!on_a_terminal(&desk, 80, &[("TERM", "dumb")], "build --help").contains(ESCAPE));
}

#[test]
fn no_colour_comes_out_of_a_name_and_none_reaches_what_was_asked_for() {
    let desk = desk_with_example();
    for arguments in
        [&["show", "--wind", "12", "--json"][..], &["schema"], &["show", "--wind", "12"], &["manuals", "m"]]
    {
        let told = on_a_pipe(&desk, &[("CLICOLOR_FORCE", "1")], &[arguments, &["--color", "always"]].concat());
        assert!(!told.contains(ESCAPE), "{arguments:?}: {told}");
    }
}

#[test]
fn a_report_is_as_wide_as_the_terminal() {
    let desk = Desk::new();
    desk.write("boat.yaml", FAULT);
    let widest = |told: &str| told.lines().map(|line| line.trim_end().chars().count()).max().unwrap_or_default();
    for columns in [50, 64, 90] {
        let told = on_a_terminal(&desk, columns, &[], "check --color never");
        assert!(widest(&told) <= columns, "{columns}: {told}");
        let piped = on_a_pipe(&desk, &[("COLUMNS", &columns.to_string())], &["check"]);
        // A terminal has both streams in one.
        let lines = |told: &str| told.lines().map(|line| line.trim_end().to_owned()).collect::<BTreeSet<_>>();
        assert_eq!(lines(&piped), lines(&told));
        let help = on_a_terminal(&desk, columns, &[], "reissue --help --color never");
        let help = help.split("Examples:").next().expect("help");
        assert!(widest(help) <= columns, "{columns}: {help}");
    }
    let whole = on_a_pipe(&desk, &[], &["check"]);
    assert!(whole.contains("`marks`, `spacing`, `purchase`, `halves`, `quarters` and `difference`"), "{whole}");
    // The environment is believed before the terminal.
    assert_eq!(
        on_a_terminal(&desk, 60, &[("COLUMNS", "90")], "check --color never"),
        on_a_terminal(&desk, 90, &[], "check --color never")
    );
}

#[test]
fn a_command_that_is_there_to_be_pasted_is_never_broken() {
    let desk = Desk::new();
    desk.write("one more boat of ours.yaml", SOUND);
    desk.write("yet another boat of theirs.yaml", SOUND);
    let told = on_a_pipe(&desk, &[("COLUMNS", "40")], &["check"]);
    assert!(told.contains("cockpit-cards check \"one more boat of ours.yaml\"\n"), "{told}");
}

#[test]
fn hints_name_files_so_that_a_shell_takes_them_for_one_word() {
    for name in
        ["my boat.yaml", "it's $HOME.yaml", "a \"b\" c.yaml", "~.yaml", "back\\slash.yaml", "plain.yaml", "!.yaml"]
    {
        let desk = Desk::new();
        let told = desk.done(&["new", name]);
        let hint = told.lines().last().expect("a hint").trim();
        let pasted = hint.replacen("cockpit-cards", &format!("'{PROGRAM}'"), 1);
        let output = desk.shell(&pasted);
        assert_eq!(output.status.code(), Some(0), "{hint}: {}", said(&output));
    }
    assert!(Desk::new().done(&["new", "plain.yaml"]).ends_with("cockpit-cards build plain.yaml\n"));
}

#[test]
fn a_quiet_run_tells_what_is_wrong_and_what_was_asked_for_and_nothing_else() {
    let desk = desk_with_example();
    for arguments in [
        "build",
        "build -o elsewhere boat.yaml boat.yaml",
        "check",
        "strip --marks 0..8 --spacing 20mm -o s.pdf",
        "printer page -o p.pdf",
        "printer set office --across 179.4 --along 250.9 --readings r.yaml",
        "new other/boat.yaml",
        "reissue --date 2026-11-01",
        "sailed add j1-upwind 12 backstay=3 fast --when 2026-11-01T12:00",
        "sailed blank -o blank",
        "manuals m",
    ] {
        desk.write("other/x", "");
        let told = desk.done(&[&["-q"], &arguments.split(' ').collect::<Vec<_>>()[..]].concat());
        let is_a_problem = told.is_empty() || told.starts_with("warning:") || told.starts_with("error:");
        assert!(is_a_problem && !told.contains("wrote") && !told.contains("Print at"), "{arguments}: {told}");
    }
    for arguments in
        ["show --wind 12", "explain j1-upwind", "printer list --readings r.yaml", "due", "schema", "check --json"]
    {
        let words: Vec<&str> = arguments.split(' ').collect();
        let asked = desk.run(&words);
        let quiet = desk.run(&[&words[..], &["--quiet"]].concat());
        assert!(!asked.stdout.is_empty() && asked == quiet, "{arguments}: {}", said(&quiet));
    }
    desk.write("bad.yaml", FAULT);
    let (code, told) = desk.tried(&["check", "bad.yaml", "-q"]);
    assert!(code == Some(2) && told.contains("`long` is no field of the boat"), "{told}");
    assert!(!told.contains("bad.yaml: "), "{told}");
}

#[test]
fn the_short_of_out_is_o_wherever_something_is_written_into_a_folder() {
    let desk = desk_with_example();
    for (arguments, file) in [
        ("build -o a", "a/cards.pdf"),
        ("reissue -o b", "b/reissue.pdf"),
        ("sailed blank -o c", "c/notes-blank.pdf"),
        ("sailed compare -o d", "d/season.html"),
        ("sailed plan j1-upwind 14 backstay -o e", "e"),
        ("strip --marks 0..8 --spacing 20mm --out f.pdf", "f.pdf"),
        ("printer page --out g.pdf", "g.pdf"),
    ] {
        desk.done(&arguments.split(' ').collect::<Vec<_>>());
        assert!(desk.path(file).exists(), "{arguments}");
    }
}

/// A flag or an argument with a number or a length: the command before it, how it is given, and the same with a unit or a fraction.
const NUMBERS: [(&str, &str, &str); 33] = [
    ("show --wind", "12,5", "6.5 m/s"),
    ("show --wind 80 --angle", "80,5", "80°"),
    ("show --wind 12 --below", "2,5", "2"),
    ("sailed add j1-upwind", "12,5", "12 kn"),
    ("sailed add j1-upwind 12 fast --angle", "42,5", "42 deg"),
    ("sailed add j1-upwind 12 fast --below", "1,5", "2"),
    ("sailed add j1-upwind 12 fast --speed", "6,4", "6.4 kn"),
    ("sailed adopt --dry-run j1-upwind 10 --note", "3,5", "4"),
    ("sailed adopt --dry-run --angle", "80,5", "80 deg"),
    ("sailed compare --clock-offset", "1,5", "1/2 min"),
    ("sailed compare --block", "60,5", "1 min"),
    ("sailed compare --records", "75,5", "75 %"),
    ("sailed compare --clear", "60,5", "1 min"),
    ("sailed compare --turn", "15,5", "15½°"),
    ("sailed compare --angle-within", "5,5", "5 1/2 deg"),
    ("sailed compare --wind-within", "15,5", "15½ %"),
    ("sailed compare --worth", "1,5", "1 %"),
    ("sailed blank --size", "120,5 x 250 mm", "5 x 8 in"),
    ("sail add --id j7 --kind headsail --wind", "20,5..34", "20..34 kn"),
    ("sail add --id j8 --kind headsail --angle", "38,5..80", "38..80 deg"),
    ("sail add --id j9 --kind headsail --luff", "13,4", "44 ft 6 in"),
    ("printer set a --readings r.yaml --along 250.9 --across", "179,4", "7 1/16 in"),
    ("printer set b --readings r.yaml --across 179.4 --along", "250,9", "9 7/8 in"),
    ("printer set c --readings r.yaml --across 179.4 --along 250.9 --rule-step", "0,5", "1/64 in"),
    ("printer set d --readings r.yaml --across 179.4 --along 250.9 --back-shift-x", "0,5", "-½"),
    ("printer set e --readings r.yaml --across 179.4 --along 250.9 --back-shift-y", "0,5", "1/16 in"),
    ("strip --marks 0..8 -o s.pdf --spacing", "20,5 mm", "3/4 in"),
    ("strip --marks 0..8 --spacing 20mm -o s.pdf --purchase", "2,5", "2"),
    ("strip --marks 0..8 --spacing 20mm -o s.pdf --width", "22,5 mm", "1 1/8 in"),
    ("strip --marks 0..8 --spacing 20mm -o s.pdf --reading-distance", "1,2 m", "4 ft"),
    ("strip --marks 0..8 --spacing 20mm -o s.pdf --middle far --radius", "2,4 m", "8 ft 3 in"),
    ("build --paper", "297,5 x 600 mm", "11 x 17 in"),
    ("sail add --id j6 --kind headsail --replaces j3 --offset", "jib_lead=0,5", "jib_lead=-½"),
];

#[test]
fn every_number_on_the_command_line_is_written_as_in_a_book() {
    for (command, comma, other) in NUMBERS {
        let desk = desk_with_example();
        let words = |last: &'static str| command.split(' ').chain([last]).collect::<Vec<_>>();
        let (code, told) = desk.tried(&words(comma));
        assert_eq!(code, Some(2), "{command} {comma}: {told}");
        let pointed = comma.split([' ', '.', '=']).find(|part| part.contains(',')).expect("a comma").replace(',', ".");
        let is_whole = ["--below", "--note"].iter().any(|flag| command.ends_with(flag));
        let remedy = if is_whole { "whole number".to_owned() } else { format!("`{pointed}") };
        assert!(told.contains(&remedy), "{command} {comma}: {told}");
        if command.ends_with("adopt --dry-run --angle") {
            // The example has no settings by angle with notes: the angle itself is what is read here.
            continue;
        }
        let (code, told) = desk.tried(&words(other));
        assert_eq!(code, Some(0), "{command} {other}: {told}");
    }
}

#[test]
fn the_same_wind_in_another_unit_shows_the_same_settings() {
    let desk = desk_with_example();
    let shown = |wind: &str| desk.done(&["show", "--wind", wind, "--json"]);
    assert_eq!(shown("13"), shown("13 kn"));
    // 1 kn is 1852 m in an hour, exactly (NIST SP 811).
    assert_eq!(shown("18 kn").replace("18.0", ""), shown("9.26 m/s").replace("18.0", ""));
    let metric = SOUND.replace("wind: kn", "wind: m/s");
    if metric != SOUND {
        desk.write("metric.yaml", &metric);
        let bare = desk.done(&["show", "metric.yaml", "--wind", "6", "--json"]);
        assert_eq!(bare, desk.done(&["show", "metric.yaml", "--wind", "6 m/s", "--json"]));
    }
}

/// Every command and every command below one, as `--help` lists them.
fn commands(desk: &Desk, before: &[String]) -> Vec<Vec<String>> {
    let mut words: Vec<&str> = before.iter().map(String::as_str).collect();
    words.push("--help");
    let help = desk.done(&words);
    let listed = help.split("Commands:\n").nth(1).and_then(|rest| rest.split("\n\n").next()).unwrap_or_default();
    let names = listed.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names = names.filter_map(|line| line.split_whitespace().next()).filter(|name| *name != "help");
    let below = names.flat_map(|name| commands(desk, &[before, &[name.to_owned()]].concat()));
    let mut all = vec![before.to_vec()];
    all.extend(below);
    all
}

#[test]
fn every_command_has_an_example_in_its_help_that_runs_as_it_stands() {
    let all = commands(&Desk::new(), &[]);
    assert!(all.len() > 20, "{all:?}");
    for command in all {
        let desk = desk_with_example();
        let words: Vec<&str> = command.iter().map(String::as_str).chain(["--help"]).collect();
        let help = desk.done(&words);
        let examples = help.split("Examples:\n").nth(1).unwrap_or_else(|| panic!("{command:?} has no example"));
        let mut tried = 0;
        for example in examples.lines().map(str::trim).filter(|line| !line.is_empty()) {
            assert!(
                example.starts_with(&format!("cockpit-cards {}", command.join(" "))) || command.is_empty(),
                "{example}"
            );
            let mut line = example.replacen("cockpit-cards", &format!("'{PROGRAM}'"), 1);
            if command.first().is_some_and(|first| first == "printer")
                && command.get(1).is_some_and(|word| word != "page")
            {
                line.push_str(" --readings readings.yaml");
            }
            // One that goes on until it is stopped is stopped, once it has had time to refuse what it cannot take; and nobody's
            // desktop is to open anything.
            let goes_on = line.contains("--on-save");
            if goes_on {
                line = format!("timeout {STOPPED_AFTER_S} {}", line.replace(" --open", ""));
            }
            let output = desk.shell(&format!("export HOME=$PWD; {line} </dev/null"));
            // `due` says with 3 that something is due.
            let codes: &[i32] = match goes_on {
                true => &[STOPPED],
                false if example.contains("cards due") => &[0, 3],
                false => &[0],
            };
            let code = output.status.code().unwrap_or(-1);
            assert!(codes.contains(&code), "{example}: exit code {code}\n{}", said(&output));
            tried += 1;
        }
        assert!(tried > 0, "{command:?}");
    }
}

#[test]
fn one_command_writes_a_manual_page_of_every_command_and_the_completions_of_every_shell() {
    let desk = Desk::new();
    desk.done(&["manuals", "m"]);
    let pages: BTreeSet<String> = commands(&desk, &[])
        .iter()
        .map(|words| [&["cockpit-cards".to_owned()], &words[..]].concat().join("-"))
        .collect();
    let written: BTreeSet<String> = desk
        .files("m/man1")
        .keys()
        .map(|name| name.rsplit('/').next().unwrap_or(name).trim_end_matches(".1").to_owned())
        .collect();
    assert_eq!(written, pages);
    for page in &pages {
        let text = desk.read(&format!("m/man1/{page}.1"));
        assert!(text.contains(&format!(".TH {page} 1")) && text.contains(".SH EXAMPLES\n"), "{text}");
    }
    for (shell, file) in [
        ("bash", "cockpit-cards.bash"),
        ("zsh", "_cockpit-cards"),
        ("fish", "cockpit-cards.fish"),
        ("powershell", "_cockpit-cards.ps1"),
        ("elvish", "cockpit-cards.elv"),
    ] {
        assert_eq!(desk.read(&format!("m/completions/{file}")), desk.done(&["completions", shell]));
    }
    let again = desk.files("m");
    desk.done(&["manuals", "m"]);
    assert!(again == desk.files("m"), "the same bytes");
}

#[test]
#[cfg(target_os = "linux")]
fn the_completions_of_bash_are_taken_by_bash() {
    let desk = Desk::new();
    desk.done(&["manuals", "m"]);
    let output = desk.shell("bash -n m/completions/cockpit-cards.bash");
    assert!(output.status.success(), "{}", said(&output));
}
