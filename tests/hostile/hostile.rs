//! Whatever a book, a table or a file holds: nothing panics, nothing hangs, and no mark is printed that is not true.
//!
//! Books are made up by `common::books` from rows of numbers, and spoilt; the same seed gives the same input. The tests here
//! try as many as a run of all tests has time for. `a_long_run` tries as many as it is asked for and prints what it counted:
//!
//! ```sh
//! HOSTILE_INPUTS=10000000 HOSTILE_BOOKS=10000 HOSTILE_PDFS=500 cargo test --profile long-run --test hostile -- --ignored --nocapture
//! HOSTILE_SHOW=Book:12345 cargo test --test hostile -- --ignored --nocapture   # prints one input
//! ```
use crate::common;
use crate::reading::shape;

use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use cockpit_cards::book::Book;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::editions::Editions;
use cockpit_cards::paper::{Flip, PaperSize, PrintJob};
use cockpit_cards::printing::{self, Options};
use cockpit_cards::reissuing::{self, Request};
use common::inputs::{self, SORTS, Sort, attempt, input};
use common::whole::Run;
use common::{books, content, tools, truth, two_sides};
use proptest::prelude::*;
use shape::Used;

/// Spoilt inputs of each sort in a run of all tests; fewer of those of which all that is left is drawn, and fewest of tables,
/// which are all read into one book. `a_long_run` tries more.
const SPOILT: u64 = 1_000;
const SPOILT_BOOKS: u64 = 300;
const SPOILT_TABLES: u64 = 100;
/// Spoilt copies of each seed.
const SPOILT_OF_A_SEED: u64 = 40;
/// Made-up books that are read, so many that each word a book may hold is in one; and how many of them are printed whole.
const MADE_UP: u64 = 1_000;
const PRINTED: u64 = 50;
/// Books of which a long run found a word that touched a line, a sign or another word, a line that ran out of its card, or a
/// strip that was printed as a draft and could not be released.
const ONCE_WRONG: [u64; 20] = [
    1_000_100,
    2_000_048,
    100_000_024,
    100_000_352,
    600_000_232,
    600_250_105,
    600_500_313,
    601_250_258,
    601_500_191,
    601_750_304,
    602_500_234,
    603_000_268,
    603_250_255,
    608_000_022,
    608_500_148,
    609_250_267,
    610_000_111,
    701_750_033,
    701_750_152,
    702_000_128,
];
/// Spoilt books that are still sound are printed too.
const PRINTED_THOUGH_SPOILT: u64 = 120;

/// What became of a book.
enum Fate {
    Refused,
    Printed(Box<(truth::Count, Run)>),
}

/// What a book is printed on, and how.
fn options(book: &books::Book) -> Result<Options, String> {
    let paper = PaperSize::parse(book.paper).map_err(|error| error.to_string())?;
    let flip = if book.flips_short { Flip::Short } else { Flip::Long };
    Ok(Options { job: PrintJob { flip, ..PrintJob::on(paper) }, ..Options::default() })
}

/// Reads a book, and prints it whole if it is sound; `Err` holds what is untrue or badly told.
fn print_whole(book: &books::Book, known: &[books::Control]) -> Result<Fate, String> {
    let options = options(book)?;
    let passed = door::through(inputs::load(book), |model, problems| {
        let files = printing::print(model, &options, problems)?;
        Some((model.clone(), files))
    });
    inputs::told_of(&passed)?;
    let Passed { made, problems, .. } = passed;
    let Some((model, files)) = made else { return Ok(Fate::Refused) };
    let run = Run::of(files, problems);
    let (mut faults, count) = truth::faults(&model, &run, known, options.job.flip);
    faults.extend(truth::hard_to_read(&model));
    faults.extend(truth::not_explained(&model));
    faults.extend(reissued(&model, &options).err());
    match faults.first() {
        None => Ok(Fate::Printed(Box::new((count, run)))),
        Some(first) => Err(format!("{} faults: {first}", faults.len())),
    }
}

/// Releases every card of a book that prints; `Err` says what does not follow.
fn reissued(book: &Book, options: &Options) -> Result<(), String> {
    let request = |date: &str| Request {
        date: date.to_owned(),
        today: date.to_owned(),
        force_date: false,
        only: Vec::new(),
        labels: false,
        job: options.job.clone(),
    };
    let mut problems = Vec::new();
    let Some(first) = reissuing::reissue(book, &Editions::default(), &request("2041-05-01"), &mut problems) else {
        return Err(format!("printed and not reissued: {problems:?}"));
    };
    for file in first.files.iter().filter(|file| file.flip.is_some()) {
        let segments = content::of_pdf(&file.bytes).segments;
        if let Some(fault) = two_sides::cuts_off_each_other(&file.bytes, &segments, options.job.flip).first() {
            return Err(format!("{}: {fault}", file.name));
        }
    }
    let text = first.next.text().map_err(|error| error.to_string())?;
    let next = Editions::parse(&text).map_err(|wrong| format!("what was released cannot be read: {}", wrong.what))?;
    match reissuing::reissue(book, &next, &request("2041-05-02"), &mut problems) {
        Some(again) if again.due.is_empty() && again.files.is_empty() => Ok(()),
        Some(again) => Err(format!("due again right after its release: {:?}", again.due)),
        None => Err(format!("not reissued a second time: {problems:?}")),
    }
}

#[test]
fn what_is_spoilt_is_taken_or_refused_in_words_with_a_place() {
    for sort in SORTS {
        let tried = match sort {
            Sort::Book => SPOILT_BOOKS,
            Sort::Table => SPOILT_TABLES,
            _ => SPOILT,
        };
        let taken = (0..tried).filter(|seed| {
            attempt(sort, &input(sort, *seed)).unwrap_or_else(|fault| panic!("HOSTILE_SHOW={sort:?}:{seed}: {fault}"))
        });
        let taken = taken.count() as u64;
        // A generator whose every input is taken, or refused, tries nothing.
        assert!((tried / 50..tried - tried / 50).contains(&taken), "{sort:?}: {taken} of {tried} taken");
    }
}

/// The texts kept in `tests/seeds` for one sort.
fn seeds(sort: Sort) -> Vec<(String, String)> {
    let folder = format!("{}/tests/seeds/{}", env!("CARGO_MANIFEST_DIR"), sort.name());
    let files = std::fs::read_dir(&folder).unwrap_or_else(|error| panic!("{folder}: {error}"));
    let mut found: Vec<(String, String)> = files
        .map(|file| file.expect("an entry").path())
        .map(|path| (path.display().to_string(), sort.text(&std::fs::read(&path).expect("a file"))))
        .collect();
    found.sort();
    found
}

#[test]
fn every_seed_and_what_is_spoilt_of_it_is_taken_or_refused_in_words() {
    for sort in SORTS {
        let found = seeds(sort);
        assert!(found.len() > 1, "{sort:?} has no seeds");
        for (name, text) in found {
            let try_out = |text: String| attempt(sort, &books::Book { text, ..books::Book::default() });
            try_out(text.clone()).unwrap_or_else(|fault| panic!("{name}: {fault}"));
            for seed in 0..SPOILT_OF_A_SEED {
                let row = books::row(seed);
                let spoilt = books::spoilt_text(&text, &mut books::Choices::new(&row));
                try_out(spoilt).unwrap_or_else(|fault| panic!("{name} spoilt by {seed}: {fault}"));
            }
        }
    }
}

/// Of the fields and words that the schema has, those that no made-up book uses, and why.
const UNUSED: [(&str, &str); 4] = [
    (
        "/properties/cards/items/anyOf/13/properties/back",
        "of a strip: it is known only so that it can be refused with a reason",
    ),
    ("/$defs/scale/anyOf/1/properties/difference", "of a scale with a centre: the same"),
    ("/$defs/scale/anyOf/5/properties/difference", "of tapes: the same"),
    ("/$defs/scale/anyOf/8/properties/difference", "of words: the same"),
];

#[test]
fn made_up_books_are_sound_and_use_every_field_and_every_word_of_the_schema() {
    let schema = shape::schema();
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let (mut used, mut faults, mut sound) = (Used::default(), Vec::new(), 0);
    for seed in 0..MADE_UP {
        let book = books::sound(&books::row(seed));
        if inputs::load(&book).is_sound() {
            let json = shape::as_json(&book.text);
            let objections = validator.iter_errors(&json).map(|error| format!("{}: {error}", error.instance_path()));
            faults.extend(objections.map(|fault| format!("HOSTILE_SHOW=sound:{seed}: {fault}")));
            used.add(&schema, &json);
            sound += 1;
        }
    }
    assert!(sound * 100 >= MADE_UP * 95, "{sound} of {MADE_UP} are sound");
    assert_eq!(faults, [""; 0], "taken, and refused by the schema");
    let missing: BTreeSet<String> = Used::all(&schema).difference(&used.places).cloned().collect();
    let excused: BTreeSet<String> = UNUSED.iter().map(|(place, _)| (*place).to_owned()).collect();
    assert_eq!(missing, excused, "in no made-up book");
}

#[test]
fn every_mark_of_a_made_up_book_is_true_in_every_file() {
    let mut count = truth::Count::default();
    let (mut printed, mut flips) = (0, BTreeSet::new());
    for seed in (0..PRINTED).chain(ONCE_WRONG) {
        let book = books::sound(&books::row(seed));
        match print_whole(&book, &book.controls) {
            Ok(Fate::Printed(run)) => {
                if run.0.two_sided > 0 {
                    flips.insert(book.flips_short);
                }
                count.add(run.0);
                printed += 1;
            }
            Ok(Fate::Refused) => {}
            Err(fault) => panic!("HOSTILE_SHOW=sound:{seed}: {fault}"),
        }
    }
    assert!(printed * 2 > PRINTED, "{printed} of {PRINTED} were printed");
    assert!(count.strips > 100 && count.curved > 2 && count.pieces > count.strips && count.marks > 1_000, "{count:?}");
    assert!(count.curved_in_pieces > 2, "{count:?}");
    assert!(count.two_sided > 20 && flips.len() == 2, "{count:?}, {flips:?}");
}

#[test]
fn a_spoilt_book_that_is_still_sound_prints_true() {
    let mut printed = 0;
    for seed in 0..PRINTED_THOUGH_SPOILT {
        let book = books::Book { paper: "roll-610mm", ..input(Sort::Book, seed) };
        match print_whole(&book, &[]) {
            Ok(Fate::Printed(_)) => printed += 1,
            Ok(Fate::Refused) => {}
            Err(fault) => panic!("HOSTILE_SHOW=Book:{seed}: {fault}"),
        }
    }
    assert!(printed > 4, "{printed} were printed");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn whatever_the_row_of_numbers_a_book_is_told_about_and_never_panics(book in books::any_spoilt()) {
        prop_assert_eq!(attempt(Sort::Book, &book).err(), None);
    }

    #[test]
    fn whatever_the_row_of_numbers_a_made_up_book_is_read(book in books::any_sound()) {
        prop_assert_eq!(attempt(Sort::Book, &book).err(), None);
    }
}

/// How a long run is told what to do.
fn asked(name: &str, otherwise: u64) -> u64 {
    std::env::var(name).ok().and_then(|number| number.replace('_', "").parse().ok()).unwrap_or(otherwise)
}

/// The most memory this process has held, as the system counts it; `None` where it does not tell.
fn most_memory_mb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse::<u64>().ok().map(|kilobytes| kilobytes / 1024)
}

/// What came of one sort of input.
#[derive(Default)]
struct Tally {
    tried: u64,
    taken: u64,
    refused: u64,
    /// Seed and what was wrong.
    panics: Vec<(u64, String)>,
    faults: Vec<(u64, String)>,
    spent: Duration,
    /// The slowest, slowest first.
    slowest: Vec<(Duration, u64, usize)>,
}

impl Tally {
    fn add(&mut self, seed: u64, length: usize, run: impl FnOnce() -> Result<bool, String>) {
        const KEPT: usize = 5;
        let start = Instant::now();
        let outcome = catch_unwind(AssertUnwindSafe(run));
        let spent = start.elapsed();
        self.tried += 1;
        self.spent += spent;
        match outcome {
            Ok(Ok(true)) => self.taken += 1,
            Ok(Ok(false)) => self.refused += 1,
            Ok(Err(fault)) => self.faults.push((seed, fault)),
            Err(panic) => {
                let said = panic.downcast_ref::<String>().cloned();
                let said = said.or_else(|| panic.downcast_ref::<&str>().map(|said| (*said).to_owned()));
                self.panics.push((seed, said.unwrap_or_default()));
            }
        }
        if self.slowest.len() < KEPT || self.slowest.last().is_some_and(|(slow, ..)| *slow < spent) {
            self.slowest.push((spent, seed, length));
            self.slowest.sort_by_key(|(spent, ..)| std::cmp::Reverse(*spent));
            self.slowest.truncate(KEPT);
        }
    }

    fn say(&self, name: &str) {
        let each = self.spent.as_micros() as f64 / 1000.0 / self.tried.max(1) as f64;
        println!(
            "{name}: {} tried, {} taken, {} refused, {} untrue or badly told, {} panics; {each:.3} ms each",
            self.tried,
            self.taken,
            self.refused,
            self.faults.len(),
            self.panics.len()
        );
        for (spent, seed, length) in &self.slowest {
            println!(
                "    slow: {:.1} ms, HOSTILE_SHOW={name}:{seed}, {length} bytes",
                spent.as_micros() as f64 / 1000.0
            );
        }
        for (what, list) in [("panic", &self.panics), ("fault", &self.faults)] {
            for (seed, said) in list.iter().take(20) {
                println!("    {what}: HOSTILE_SHOW={name}:{seed}: {}", said.chars().take(400).collect::<String>());
            }
        }
    }
}

/// Of a hundred inputs, how many are of each sort: the dearer the fewer.
const SHARES: [(Sort, u64); 10] = [
    (Sort::Book, 12),
    (Sort::Table, 10),
    (Sort::Quantity, 36),
    (Sort::Readings, 8),
    (Sort::Editions, 8),
    (Sort::Notes, 5),
    (Sort::Log, 5),
    (Sort::Workbook, 3),
    (Sort::Sheet, 6),
    (Sort::Angled, 7),
];

#[test]
#[ignore = "as long as it is asked to be: see the top of this file"]
fn a_long_run() {
    if let Ok(wanted) = std::env::var("HOSTILE_SHOW") {
        show(&wanted);
        return;
    }
    let (inputs, made, checked) =
        (asked("HOSTILE_INPUTS", 20_000), asked("HOSTILE_BOOKS", 100), asked("HOSTILE_PDFS", 10));
    let first = asked("HOSTILE_FIRST", 1_000_000);
    // A panic is counted and told at the end.
    std::panic::set_hook(Box::new(|_| {}));
    let now = AtomicU64::new(0);
    let done = AtomicU64::new(0);
    let (mut tallies, mut printed, mut count, mut opened) =
        (BTreeMap::new(), Tally::default(), truth::Count::default(), 0);
    std::thread::scope(|scope| {
        scope.spawn(|| watch(&now, &done));
        for number in 0..inputs {
            let (sort, seed) = (sort_of(number), first + number);
            now.store(number + 1, Ordering::Relaxed);
            let made = input(sort, seed);
            let tally: &mut Tally = tallies.entry(sort).or_default();
            tally.add(seed, made.text.len(), || attempt(sort, &made));
        }
        let after_inputs = most_memory_mb();
        println!("after {inputs} inputs: at most {after_inputs:?} MB");
        for (sort, tally) in &tallies {
            tally.say(&format!("{sort:?}"));
        }
        let mut seed = first;
        while printed.taken < made && printed.tried < made * 4 + 10 {
            now.store(inputs + printed.tried + 1, Ordering::Relaxed);
            let book = books::sound(&books::row(seed));
            let mut kept = None;
            printed.add(seed, book.text.len(), || match print_whole(&book, &book.controls)? {
                Fate::Refused => Ok(false),
                Fate::Printed(run) => {
                    kept = Some(run);
                    Ok(true)
                }
            });
            if let Some(run) = kept {
                count.add(run.0);
                let left = checked.saturating_sub(opened) as usize;
                for (_, bytes) in run.1.pdfs().take(left) {
                    let sound = catch_unwind(AssertUnwindSafe(|| tools::assert_sound(bytes)));
                    opened += 1;
                    if sound.is_err() {
                        printed.faults.push((seed, "qpdf finds fault with it".to_owned()));
                    }
                }
            }
            seed += 1;
        }
        done.store(1, Ordering::Relaxed);
    });
    let _ = std::panic::take_hook();
    printed.say("sound");
    println!("{count:?}; {opened} PDFs called sound by qpdf; at most {:?} MB", most_memory_mb());
    let all = tallies.values().chain([&printed]);
    let bad: usize = all.map(|tally| tally.panics.len() + tally.faults.len()).sum();
    assert_eq!(bad, 0, "see above");
}

fn sort_of(number: u64) -> Sort {
    // A step without a common part with 100 mixes the sorts and keeps their shares.
    let mut left = number * 37 % 100;
    for (sort, share) in SHARES {
        if left < share {
            return sort;
        }
        left -= share;
    }
    Sort::Quantity
}

/// Tells of an input that does not end, and now and then how far the run is.
fn watch(now: &AtomicU64, done: &AtomicU64) {
    const LOOK: Duration = Duration::from_secs(20);
    let (mut before, mut looked) = (0, Instant::now());
    while done.load(Ordering::Relaxed) == 0 {
        std::thread::sleep(Duration::from_millis(200));
        if looked.elapsed() < LOOK {
            continue;
        }
        looked = Instant::now();
        let number = now.load(Ordering::Relaxed);
        if number == before {
            eprintln!("input {number} has run for {} s", LOOK.as_secs());
        }
        before = number;
    }
}

/// Prints one input, `Book:12345` or `sound:12345`, and what is said of it.
fn show(wanted: &str) {
    let (sort, seed) = wanted.split_once(':').expect("a sort and a seed");
    let seed: u64 = seed.parse().expect("a seed");
    if sort == "sound" {
        let book = books::sound(&books::row(seed));
        println!("{}\n{:?}\non {}, flipped short: {}", book.text, book.tables, book.paper, book.flips_short);
        match print_whole(&book, &book.controls) {
            Ok(Fate::Printed(run)) => println!("printed, {:?}", run.0),
            Ok(Fate::Refused) => {
                let passed = door::print(inputs::load(&book), &options(&book).expect("a paper"));
                println!("{}", cockpit_cards::book::report::for_people(&passed.problems, &passed.sources, false));
            }
            Err(fault) => println!("{fault}"),
        }
        return;
    }
    let sort = SORTS.into_iter().find(|known| format!("{known:?}") == sort).expect("a sort of input");
    let input = input(sort, seed);
    println!("{}\n{:?}", input.text, input.tables);
    println!("{:?}", attempt(sort, &input));
}
