//! Every limit that ordinary work can meet: what stands at it is taken, what is one past it is a problem in words, and the
//! handbook's table gives the same numbers.

use crate::reading;

use cockpit_cards::book::{Book, Loaded, Node, SourceId, Value, tree};
use cockpit_cards::drawing::Drawing;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::editions::Editions;
use cockpit_cards::editions::store::{self, Failure};
use cockpit_cards::length::Length;
use cockpit_cards::output::png;
use cockpit_cards::paper::{PaperSize, PrintJob};
use cockpit_cards::printing::{self, Options};
use cockpit_cards::tuning::watches::MOST_WATCHES;
use cockpit_cards::{cards, limits};
use kurbo::Size;
use reading::{load, load_with, spoilt};

/// One limit.
struct Limit {
    /// As the handbook's table has it.
    what: &'static str,
    most: u64,
    /// As the handbook's table has it, where it is not the bare number.
    shown: &'static str,
    /// What is said about a book, a table or a print with so many.
    complaints: fn(u64) -> Vec<String>,
    /// Part of what is said about one too many.
    says: &'static str,
}

const LIMITS: &[Limit] = &[
    Limit {
        what: "the file of a book",
        most: limits::MAX_FILE_BYTES as u64,
        shown: "4 MB",
        complaints: |bytes| of(&load(&padded(reading::SOUND, bytes))),
        says: "`boat.yaml` is larger than 4 MB",
    },
    Limit {
        what: "the file of a table",
        most: limits::MAX_FILE_BYTES as u64,
        shown: "4 MB",
        complaints: |bytes| of_csv(&format!("{CSV}{}", " ".repeat(bytes as usize - CSV.len()))),
        says: "larger than 4 MB",
    },
    Limit {
        what: "the file of editions",
        most: limits::MAX_EDITIONS_BYTES as u64,
        shown: "16 MB",
        complaints: of_editions,
        says: "it is larger than 16 MB",
    },
    Limit {
        what: "the file of printer readings",
        most: limits::MAX_READINGS_BYTES as u64,
        shown: "1 MB",
        complaints: of_readings,
        says: "it is larger than 1 MB",
    },
    Limit {
        what: "lists and fields inside one another",
        most: limits::MAX_NESTING as u64,
        shown: "",
        // The book itself is the first.
        complaints: |depth| {
            let inner = depth as usize - 1;
            of(&load(&format!("{}deep: {}{}\n", reading::SOUND, "[".repeat(inner), "]".repeat(inner))))
        },
        says: "more than 32 deep",
    },
    Limit {
        what: "values in a book, references written out",
        most: limits::MAX_VALUES as u64,
        shown: "200,000",
        // A field that no book has: its name, its list, and what is in the list.
        complaints: |values| {
            let before = values_in(reading::SOUND) + 2;
            of(&load(&format!("{}many: [{}]\n", reading::SOUND, "1,".repeat(values as usize - before))))
        },
        says: "more than 200000 values",
    },
    Limit {
        what: "characters in a text",
        most: limits::MAX_TEXT_CHARACTERS as u64,
        shown: "",
        complaints: |characters| {
            of(&load(&spoilt("name: Chervil", &format!("name: {}", "ö".repeat(characters as usize)))))
        },
        says: "longer than 400 characters",
    },
    Limit {
        what: "characters in an id",
        most: limits::MAX_ID_CHARACTERS as u64,
        shown: "",
        complaints: |characters| {
            of(&load(&spoilt(
                "  main: {kind",
                &format!("  {}: {{kind: mainsail}}\n  main: {{kind", "m".repeat(characters as usize)),
            )))
        },
        says: "longer than 40 characters",
    },
    Limit {
        what: "characters in the name of a scale's end",
        most: limits::MAX_END_CHARACTERS as u64,
        shown: "",
        complaints: |characters| {
            let end = "w".repeat(characters as usize);
            of(&with_scale(&format!("{{centre: C, marks: 4, spacing: 40 mm, ends: [{end}, L]}}")))
        },
        says: "at most 12 letters",
    },
    Limit {
        what: "controls",
        most: limits::MAX_DECLARED as u64,
        shown: "",
        complaints: |count| of(&load(&spoilt("controls:\n", &format!("controls:\n{}", controls(count - 3))))),
        says: "controls, more than 300",
    },
    Limit {
        what: "sails",
        most: limits::MAX_DECLARED as u64,
        shown: "",
        complaints: |count| {
            let sails: String = (2..count).map(|index| format!("  s{index}: {{kind: spinnaker}}\n")).collect();
            of(&load(&spoilt("sails:\n", &format!("sails:\n{sails}"))))
        },
        says: "sails, more than 300",
    },
    Limit {
        what: "sails that one sail flies with",
        most: limits::MAX_PARTNERS as u64,
        shown: "",
        complaints: |count| {
            let sails: String = (0..count).map(|index| format!("  s{index}: {{kind: gennaker}}\n")).collect();
            let names: Vec<String> = (0..count).map(|index| format!("s{index}")).collect();
            let under = format!("  under: {{kind: staysail, flies_with: [{}]}}\n", names.join(", "));
            of(&load(&spoilt("sails:\n", &format!("sails:\n{sails}{under}"))))
        },
        says: "at most 12 wanted",
    },
    Limit {
        what: "sets of sails in `flies_with`",
        most: limits::MAX_SETS as u64,
        shown: "",
        complaints: |count| {
            let sails: String =
                (0..count).map(|index| format!("  s{index}: {{kind: staysail, flies_with: j1}}\n")).collect();
            of(&load(&spoilt("sails:\n", &format!("sails:\n{sails}"))))
        },
        says: "more than 200 sets of sails",
    },
    Limit {
        what: "settings",
        most: limits::MAX_DECLARED as u64,
        shown: "",
        complaints: |count| {
            let one = |index| {
                format!(
                    "  - {{id: s{index}, sails: [main], point_of_sail: upwind, controls: [lead], at: {{8: [3]}}}}\n"
                )
            };
            of(&load(&format!("{}{}", reading::SOUND, (1..count).map(one).collect::<String>())))
        },
        says: "at most 300 wanted",
    },
    Limit {
        what: "things stowed",
        most: limits::MAX_DECLARED as u64,
        shown: "",
        complaints: |count| {
            let one = "{what: tin, mass: 1 kg, now: [4 m, 0 m, 1 m], plan: keep}, ";
            let items = one.repeat(count as usize);
            of(&load(&format!("{}stowage: {{displacement: 6000 kg, items: [{items}]}}\n", reading::SOUND)))
        },
        says: "at most 300 wanted",
    },
    Limit {
        what: "entries in the list of cards",
        most: limits::MAX_CARDS as u64,
        shown: "1,000",
        complaints: |count| {
            let entries = "  - {kind: strip, control: lead}\n".repeat(count as usize);
            of(&load(&format!("{}cards:\n{entries}", reading::SOUND)))
        },
        says: "at most 1000 wanted",
    },
    Limit {
        what: "cards and strips of a book",
        most: limits::MAX_CARDS as u64,
        shown: "1,000",
        complaints: of_cards,
        says: "more than 1000 cards and strips",
    },
    Limit {
        what: "pages of a PDF",
        most: limits::MAX_PAGES as u64,
        shown: "1,000",
        complaints: of_pages,
        says: "more than 1000 in one file",
    },
    Limit {
        what: "rows of settings",
        most: limits::MAX_ROWS as u64,
        shown: "",
        complaints: |count| {
            let rows: String =
                (1..=count).map(|row| format!("      {}: [2, 12, snug]\n", row as f64 / 4.0 + 20.0)).collect();
            of(&load(&spoilt("      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n", &rows)))
        },
        says: "has more than 200 rows",
    },
    Limit {
        what: "rows of a table",
        most: limits::MAX_ROWS as u64,
        shown: "",
        complaints: |count| {
            let rows: String = (1..=count).map(|row| format!("{},2,12,snug\n", row as f64 / 4.0)).collect();
            of_csv(&format!("wind,backstay,lead,vang\n{rows}"))
        },
        says: "more than 200 rows",
    },
    Limit {
        what: "wind bands, their edges",
        most: limits::MAX_ROWS as u64,
        shown: "",
        complaints: |count| {
            let edges: Vec<String> = (0..count).map(|edge| (edge as f64 / 4.0).to_string()).collect();
            of(&load(&spoilt("controls:\n", &format!("wind_bands: [{}]\ncontrols:\n", edges.join(", ")))))
        },
        says: "at most 200 wanted",
    },
    Limit {
        what: "pairs of a measured scale",
        most: limits::MAX_ROWS as u64,
        shown: "",
        complaints: |count| {
            let pairs: Vec<String> = (0..count).map(|pair| format!("{pair} bar: {} mm", pair * 2)).collect();
            of(&with_scale(&format!("{{measured: {{{}}}, every: 20 bar}}", pairs.join(", "))))
        },
        says: "at most 200",
    },
    Limit {
        what: "words of a scale",
        most: limits::MAX_ROWS as u64,
        shown: "",
        complaints: |count| {
            let words: Vec<String> = (0..count).map(|word| format!("w{word}")).collect();
            of(&with_scale(&format!("{{words: [{}]}}", words.join(", "))))
        },
        says: "at most 200 wanted",
    },
    Limit {
        what: "marks on a strip, halves and quarters included",
        most: limits::MAX_MARKS,
        shown: "",
        complaints: |count| of(&with_scale(&format!("{{marks: 1..{count}, spacing: 5 mm}}"))),
        says: "501 marks, more than 500",
    },
    Limit {
        what: "the number of a mark",
        most: limits::MAX_MARK_NUMBER as u64,
        shown: "10,000",
        complaints: |last| of(&with_scale(&format!("{{marks: 9900..{last}, spacing: 5 mm}}"))),
        says: "run past 10000",
    },
    Limit {
        what: "steps of its scale that a control runs through in one group of settings",
        most: limits::MAX_STEPS_OF_A_COLUMN as u64,
        shown: "100,000",
        complaints: |steps| of(&load(&gauges(1, steps))),
        says: "more than 100000",
    },
    Limit {
        what: "the same of all settings of a book",
        most: limits::MAX_STEPS_OF_A_BOOK as u64,
        shown: "5,000,000",
        // The last group has what the others leave.
        complaints: |steps| of(&load(&gauges(steps.div_ceil(100_000), steps))),
        says: "more than 5000000",
    },
    Limit {
        what: "millimetres of strip, first mark to last",
        most: 5000,
        shown: "5,000",
        complaints: |length| {
            let last = length - 1000;
            of(&with_scale(&format!("{{measured: {{0 bar: -1000 mm, 100 bar: {last} mm}}, every: 1 bar}}")))
        },
        says: "5.001 m long in print, more than 5 m",
    },
    Limit {
        what: "lanes of winds on a strip",
        most: limits::MAX_LANES as u64,
        shown: "",
        complaints: |count| {
            let lanes = vec!["j1-upwind"; count as usize].join(", ");
            let strip =
                format!("    scale: {{marks: 0..20, spacing: 25 mm}}\n    strip: {{width: 60 mm, winds: [{lanes}]}}\n");
            of(&load(&spoilt("    scale: {marks: 0..20, spacing: 25 mm}\n", &strip)))
        },
        says: "at most 4 wanted",
    },
    Limit {
        what: "people aboard",
        most: limits::MAX_CREW as u64,
        shown: "",
        complaints: |count| of(&load(&format!("{}crew: {{aboard: {count}}}\n", reading::SOUND))),
        says: "from 0 to 60",
    },
    Limit {
        what: "watches of a race",
        most: MOST_WATCHES as u64,
        shown: "3,000",
        complaints: |minutes| {
            let finish = format!("2027-06-{:02} {:02}:{:02}", 1 + minutes / 1_440, minutes / 60 % 24, minutes % 60);
            of(&load(&format!(
                "{}watches: {{start: 2027-06-01 00:00, finish: {finish}, time_zone: UTC, least_on_deck: 1, lengths: [1 min], \
                 teams: {{red: [Ada], blue: [Bo]}}}}\n",
                reading::SOUND
            )))
        },
        says: "more than 3000 watches",
    },
    Limit {
        what: "pixels of a picture",
        most: limits::MAX_PIXELS,
        shown: "64 million",
        // One row of pixels, a millimetre each: it takes as much memory as a square.
        complaints: |pixels| {
            let drawing = Drawing::new(Size::new(pixels as f64, 1.0), "", "");
            match png::png(&drawing, 25.4) {
                Ok(_) => Vec::new(),
                Err(error) => vec![error.to_string()],
            }
        },
        says: "ask for fewer dots per inch",
    },
];

const CSV: &str = "wind,backstay,lead,vang\n6,2,12,snug\n10,3,13,snug\n";

fn of(loaded: &Loaded) -> Vec<String> {
    loaded.problems.iter().map(|problem| format!("{}: {}", problem.what, problem.instead)).collect()
}

/// What is said about the sound book with one scale in the place of another.
fn with_scale(scale: &str) -> Loaded {
    load(&spoilt("scale: {marks: 0..8, spacing: 20 mm, halves: true}", &format!("scale: {scale}")))
}

fn of_csv(table: &str) -> Vec<String> {
    let rows = "    controls: [backstay, lead, vang]\n    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n";
    of(&load_with(&spoilt(rows, "    table: j1.csv\n"), &[("j1.csv", table)]))
}

fn controls(count: u64) -> String {
    (0..count).map(|index| format!("  c{index}: {{scale: {{marks: 0..4, spacing: 20 mm}}}}\n")).collect()
}

/// So many groups of settings of one gauge, which run through so many steps of it together and as many each as they may.
fn gauges(groups: u64, steps: u64) -> String {
    let group = |nth: u64| {
        let own = (steps - nth * 100_000).min(if groups == 1 { steps } else { 100_000 });
        format!(
            "  - {{id: g{nth}, title: t{nth}, sails: [j1], point_of_sail: upwind, controls: [load], at: {{6: [0], 10: [{own}]}}}}\n"
        )
    };
    let settings: String = (0..groups).map(group).collect();
    format!(
        "book: 1\nboat: {{name: Sedge}}\ncontrols: {{load: {{higher_is: tighter, scale: {{gauge: {{unit: kg}}}}}}}}\n\
         sails: {{j1: {{kind: headsail, wind: 4..12}}}}\nsettings:\n{settings}"
    )
}

/// A text made so many bytes long by a comment.
fn padded(text: &str, bytes: u64) -> String {
    format!("{text}{}", "#".repeat(bytes as usize - text.len()))
}

/// How many values a book has, the names of its fields and the book itself included.
fn values_in(text: &str) -> usize {
    fn count(node: &Node) -> usize {
        1 + match &node.value {
            Value::Null | Value::Text { .. } => 0,
            Value::List(items) => items.iter().map(count).sum(),
            Value::Map(entries) => entries.iter().map(|(name, value)| count(name) + count(value)).sum(),
        }
    }
    count(&tree::parse(SourceId(0), text, has_glyph, &mut Vec::new()).unwrap())
}

fn of_editions(bytes: u64) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("boat.yaml");
    let text = padded(&Editions::default().text().unwrap(), bytes);
    std::fs::write(store::path_of(&book), text).unwrap();
    match store::load(&book) {
        Ok(editions) => {
            assert_eq!(editions, Some(Editions::default()));
            Vec::new()
        }
        Err(Failure::Bad(wrong)) => vec![wrong.what],
        Err(Failure::Machine(error)) => panic!("{error}"),
    }
}

fn of_readings(bytes: u64) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("printers.yaml");
    std::fs::write(&file, padded("readings: 1\nprinters: []\n", bytes)).unwrap();
    let mut command = assert_cmd::Command::cargo_bin("cockpit-cards").unwrap();
    let output = command.args(["printer", "list", "--readings"]).arg(&file).output().unwrap();
    String::from_utf8(output.stderr).unwrap().lines().map(str::to_owned).collect()
}

/// Entries without a control ask for the strips of all of them, a hundred; the rest is asked for one by one.
fn of_cards(count: u64) -> Vec<String> {
    const CONTROLS: u64 = 100;
    let all = "  - {kind: strip}\n".repeat((count / CONTROLS) as usize);
    let one = "  - {kind: strip, control: c1}\n".repeat((count % CONTROLS) as usize);
    let text = format!("book: 1\nboat: {{name: Chervil}}\ncontrols:\n{}cards:\n{all}{one}", controls(CONTROLS));
    let mut problems = Vec::new();
    let cards = cards::cards(&load(&text).book.unwrap(), &mut problems);
    assert!(cards.len() as u64 <= CONTROLS, "each strip is made once");
    problems.into_iter().map(|problem| problem.what).collect()
}

/// Strips so wide that each piece of them fills its page.
fn of_pages(count: u64) -> Vec<String> {
    let paper = PaperSize::parse("210 x 190 mm").unwrap();
    // Strips of many pieces, and as many strips of one piece as are wanted besides.
    let pages_of_long = pages(&wide_strips(1, 0), &paper);
    let long = count / pages_of_long;
    let short = count % pages_of_long;
    let mut problems = Vec::new();
    let files = printing::print(
        &wide_strips(long, short),
        &Options { job: PrintJob::on(paper), ..Options::default() },
        &mut problems,
    );
    if let Some(files) = files {
        assert_eq!(files.documents[0].pages as u64, count);
    }
    problems.into_iter().map(|problem| problem.what).collect()
}

fn pages(book: &Book, paper: &PaperSize) -> u64 {
    let options = Options { job: PrintJob::on(paper.clone()), ..Options::default() };
    printing::print(book, &options, &mut Vec::new()).unwrap().documents[0].pages as u64
}

fn wide_strips(long: u64, short: u64) -> Book {
    let control = |id: String, last: u64| {
        format!("  {id}: {{scale: {{marks: 0..{last}, spacing: 50 mm}}, strip: {{width: 110 mm}}}}\n")
    };
    let long: String = (0..long).map(|index| control(format!("long{index}"), 100)).collect();
    let short: String = (0..short).map(|index| control(format!("short{index}"), 1)).collect();
    load(&format!("book: 1\nboat: {{name: Chervil}}\ncontrols:\n{long}{short}")).book.unwrap()
}

#[test]
fn what_stands_at_a_limit_is_taken_and_one_past_it_is_a_problem_in_words() {
    let mut failures = Vec::new();
    for Limit { what, most, complaints, says, .. } in LIMITS {
        let (at, past) = (complaints(*most), complaints(*most + 1));
        let is_said = |complaints: &[String]| complaints.iter().any(|complaint| complaint.contains(says));
        if is_said(&at) {
            failures.push(format!("{what}: {most} is refused: {at:?}"));
        }
        if !is_said(&past) {
            failures.push(format!("{what}: {} is taken, or not in these words: {past:?}", most + 1));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

#[test]
fn watches_that_a_floater_cuts_are_counted_as_they_are_cut() {
    // Of four minutes each, cut in two where the floater comes up or goes below.
    let told = |finish: &str| {
        of(&load(&format!(
            "{}watches: {{start: 2027-06-01 00:00, finish: {finish}, time_zone: UTC, least_on_deck: 1, lengths: [4 min], \
             teams: {{red: [Ada], blue: [Bo]}}, floaters: {{Eve: changes}}}}\n",
            reading::SOUND
        )))
    };
    let has_too_many = |told: &[String]| told.iter().any(|told| told.contains("more than 3000 watches"));
    let (held, past) = (told("2027-06-05 03:56"), told("2027-06-05 04:04"));
    assert!(!has_too_many(&held), "1,499 watches: {held:?}");
    assert!(has_too_many(&past), "1,501 watches: {past:?}");
}

#[test]
fn the_handbook_lists_every_limit_with_its_number() {
    let readme = crate::reading::HANDBOOK;
    for Limit { what, most, shown, .. } in LIMITS {
        let number = if shown.is_empty() { most.to_string() } else { (*shown).to_owned() };
        let row = format!("| {what} | {number} |");
        assert!(readme.contains(&row), "the handbook's table of limits has no row `{row}`");
    }
    let rows = readme.lines().skip_while(|line| *line != "# Limits").skip_while(|line| !line.starts_with("|---"));
    assert_eq!(rows.skip(1).take_while(|line| line.starts_with('|')).count(), LIMITS.len(), "a row without a check");
}

#[test]
fn marks_stand_a_millimetre_apart_or_are_refused() {
    let said = |spacing: &str| of(&with_scale(&format!("{{marks: 0..8, spacing: {spacing}}}")));
    assert_eq!(said("1 mm"), Vec::<String>::new());
    assert!(said("0.999 mm").iter().any(|said| said.contains("keep them 1 mm apart")), "{:?}", said("0.999 mm"));
    assert_eq!(limits::MIN_MARK_GAP, Length::mm(1.0));
}
