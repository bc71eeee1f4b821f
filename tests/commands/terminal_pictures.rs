//! The pictures of a terminal in the README are what the commands say now, letter for letter.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Draws them anew in place of looking at them, where it is set.
const DRAW: &str = "DRAW_TERMINAL_PICTURES";
const PROGRAM: &str = env!("CARGO_BIN_EXE_cockpit-cards");
const README: &str = include_str!("../../README.md");
/// How many letters a line of the terminal holds that is drawn.
const COLUMNS: usize = 92;
/// In pixels: a letter, a line, and the space around all.
const LETTER: f64 = 8.0;
const LINE: f64 = 19.0;
const EDGE: f64 = 14.0;

/// What is typed and what is said, and under which name it is drawn.
struct Scene {
    name: &'static str,
    /// Is `boat.yaml` before anything is typed.
    book: Option<String>,
    command: &'static [&'static str],
    /// The end of each question, and what is answered.
    answers: &'static [(&'static str, &'static str)],
}

/// The whole book that the README shows.
fn book() -> String {
    let (_, rest) = README.split_once("\n```yaml book\n").expect("a book");
    rest.split("\n```").next().expect("its end").to_owned() + "\n"
}

fn scenes() -> [Scene; 3] {
    let slip = book().replacen("controls: [backstay]", "controls: [backsaty]", 1);
    assert_ne!(slip, book());
    [
        Scene {
            name: "new",
            book: None,
            command: &["new"],
            answers: &[
                ("Her name: ", "Tansy"),
                ("(mm or in): ", "mm"),
                ("or all: ", "1 3 4 7"),
                ("(Enter: none, or all): ", ""),
                ("(0 to 6): ", "2"),
            ],
        },
        Scene { name: "check", book: Some(slip), command: &["check"], answers: &[] },
        Scene { name: "show", book: Some(book()), command: &["show", "--wind", "13"], answers: &[] },
    ]
}

/// What stands on the terminal in the end, with what was typed.
fn played(scene: &Scene) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    if let Some(book) = &scene.book {
        fs::write(folder.path().join("boat.yaml"), book).expect("a book");
    }
    let asked: &[&str] = if scene.answers.is_empty() { &[] } else { &["--ask"] };
    let mut run = Command::new(PROGRAM)
        .args(scene.command)
        .args(asked)
        .current_dir(folder.path())
        .env("COLUMNS", COLUMNS.to_string())
        .env("NO_COLOR", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a run");
    let typed: String = scene.answers.iter().map(|(_, answer)| format!("{answer}\n")).collect();
    run.stdin.take().expect("a pipe").write_all(typed.as_bytes()).expect("answers");
    let output = run.wait_with_output().expect("an end");
    // Questions and problems come before what came of them.
    let said = String::from_utf8([output.stderr, output.stdout].concat()).expect("UTF-8");
    let mut shown = format!("$ cockpit-cards {}\n", scene.command.join(" "));
    let mut rest = said.as_str();
    for (question, answer) in scene.answers {
        let (before, after) = rest.split_once(question).unwrap_or_else(|| panic!("no {question:?} in {said}"));
        shown.push_str(&format!("{before}{question}{answer}\n"));
        rest = after;
    }
    shown + rest
}

/// The terminal as a picture: each line a text, light on dark.
fn picture(words: &str) -> String {
    let lines: Vec<&str> = words.trim_end().lines().collect();
    let columns = lines.iter().map(|line| line.chars().count()).max().unwrap_or(0).max(COLUMNS);
    let (width, height) = (columns as f64 * LETTER + 2.0 * EDGE, lines.len() as f64 * LINE + 2.0 * EDGE);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
         font-family=\"ui-monospace, Menlo, Consolas, 'DejaVu Sans Mono', monospace\" font-size=\"13\" fill=\"#e8e8e6\">\n\
         <rect width=\"100%\" height=\"100%\" rx=\"6\" fill=\"#20242a\"/>\n"
    );
    for (number, line) in lines.iter().enumerate() {
        let escaped = line.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let weight = if line.starts_with("$ ") { " font-weight=\"bold\"" } else { "" };
        let y = EDGE + LINE * (number as f64 + 0.75);
        let length = line.chars().count() as f64 * LETTER;
        if length > 0.0 {
            svg.push_str(&format!(
                "<text xml:space=\"preserve\" x=\"{EDGE}\" y=\"{y}\" textLength=\"{length}\"{weight}>{escaped}</text>\n"
            ));
        }
    }
    svg + "</svg>\n"
}

fn file_of(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/pictures").join(format!("{name}.svg"))
}

#[test]
fn the_pictures_of_a_terminal_show_what_the_commands_say_now() {
    for scene in scenes() {
        let (file, drawn) = (file_of(scene.name), picture(&played(&scene)));
        if std::env::var_os(DRAW).is_some() {
            fs::write(&file, drawn).expect("a picture");
            continue;
        }
        let kept = fs::read_to_string(&file).unwrap_or_default();
        assert_eq!(kept, drawn, "{} is stale: run examples/pictures.sh and look at it", file.display());
        assert!(README.contains(&format!("(examples/pictures/{}.svg)", scene.name)), "{} is shown nowhere", scene.name);
    }
}
