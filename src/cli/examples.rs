//! An example or two of every command, as its `--help` and its manual page show them. Knows command lines and nothing of what they do.

use clap::Command;

/// How a command is typed, by its name; each line can be pasted where there is a book, with its own names in the place of these.
const EXAMPLES: [(&str, &[&str]); 23] = [
    (
        "",
        &[
            "cockpit-cards build --example",
            "cockpit-cards new pepperwort.yaml --boat Pepperwort",
            "cockpit-cards check",
        ],
    ),
    (
        "build",
        &[
            "cockpit-cards build",
            "cockpit-cards build boat.yaml --paper letter -o cards",
            "cockpit-cards build --only j1-upwind --only strip-backstay --png",
            "cockpit-cards build boat.yaml --on-save --open",
        ],
    ),
    ("check", &["cockpit-cards check", "cockpit-cards check boat.yaml --json"]),
    (
        "show",
        &[
            "cockpit-cards show --wind 13",
            "cockpit-cards show boat.yaml --wind '6.5 m/s' --point-of-sail upwind --below 4",
        ],
    ),
    ("explain", &["cockpit-cards explain j1-upwind", "cockpit-cards explain wind-settings boat.yaml --about backstay"]),
    ("due", &["cockpit-cards due", "cockpit-cards due boat.yaml --labels"]),
    ("reissue", &["cockpit-cards reissue --dry-run", "cockpit-cards reissue boat.yaml --only j1-upwind -o reissued"]),
    ("sail", &["cockpit-cards sail add --id j5 --kind headsail --name 'J5' --wind 24..34"]),
    (
        "sail add",
        &[
            "cockpit-cards sail add --id j5 --kind headsail --name 'J5' --wind 24..34",
            "cockpit-cards sail add boat.yaml --id j3b --kind headsail --replaces j3 --luff '13.4 m'",
        ],
    ),
    ("sailed", &["cockpit-cards sailed add j1-upwind 12 backstay=3 fast"]),
    (
        "sailed add",
        &[
            "cockpit-cards sailed add j1-upwind 12 backstay=3 fast",
            "cockpit-cards sailed add j1-upwind 12 jib_halyard=3..4 slow --note 'too full'",
        ],
    ),
    ("sailed adopt", &["cockpit-cards sailed adopt j1-upwind 14 backstay=3 --dry-run"]),
    ("sailed blank", &["cockpit-cards sailed blank", "cockpit-cards sailed blank j1-upwind --size A5"]),
    (
        "sailed compare",
        &["cockpit-cards sailed compare", "cockpit-cards sailed compare --settings j1-upwind -o season"],
    ),
    ("sailed plan", &["cockpit-cards sailed plan j1-upwind 14 backstay -o trial"]),
    (
        "strip",
        &[
            "cockpit-cards strip --marks 0..8 --spacing 20mm -o outhaul.pdf",
            "cockpit-cards strip --marks 0..12 --spacing '3/4 in' --halves --paper letter -o vang.pdf",
        ],
    ),
    ("printer", &["cockpit-cards printer page -o printer.pdf"]),
    ("printer page", &["cockpit-cards printer page -o printer.pdf", "cockpit-cards printer page --paper letter"]),
    ("printer set", &["cockpit-cards printer set office --across 179.4 --along 250.9"]),
    ("printer list", &["cockpit-cards printer list"]),
    ("table", &["cockpit-cards table j1-upwind -o j1.xlsx", "cockpit-cards table j1-upwind boat.yaml -o j1.csv"]),
    (
        "new",
        &[
            "cockpit-cards new pepperwort.yaml --boat Pepperwort",
            "cockpit-cards new --measuring-page boat.yaml -o measure.pdf",
        ],
    ),
    ("schema", &["cockpit-cards schema > book.schema.json"]),
];

/// Those of the commands that write what belongs to a shell or a system.
const OF_THE_SYSTEM: [(&str, &[&str]); 2] = [
    ("completions", &["cockpit-cards completions bash > cockpit-cards.bash"]),
    ("manuals", &["cockpit-cards manuals manuals"]),
];

/// The command line with an example in the help of every command.
pub fn with_examples(command: Command) -> Command {
    let of = |path: &str| {
        let lines = EXAMPLES.iter().chain(&OF_THE_SYSTEM).find(|(name, _)| *name == path).map(|(_, lines)| lines);
        lines.map(|lines| format!("Examples:\n{}", lines.iter().map(|line| format!("  {line}\n")).collect::<String>()))
    };
    with(command, "", &of)
}

fn with(command: Command, path: &str, of: &dyn Fn(&str) -> Option<String>) -> Command {
    let command = match of(path) {
        Some(examples) => command.after_help(examples),
        None => command,
    };
    command.mut_subcommands(|below| {
        let path = format!("{path} {}", below.get_name());
        with(below, path.trim_start(), of)
    })
}
