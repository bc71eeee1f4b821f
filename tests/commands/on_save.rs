//! `build --on-save`: one build for one save, however an editor saves; a broken book keeps the files of the last good build.

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::Duration;

use tempfile::TempDir;

/// Far more than a build takes on a machine with much else to do.
const PATIENCE: Duration = Duration::from_secs(120);

/// A book of so many strips.
fn book(strips: usize) -> String {
    let controls: String =
        (0..strips).map(|nth| format!("  c{nth}: {{higher_is: aft, scale: {{marks: 0..4, spacing: 25 mm}}, strip: {{place: deck, grows: aft, reader_stands: aft}}}}\n")).collect();
    format!("book: 1\nboat: {{name: Chervil}}\ncontrols:\n{controls}")
}

/// A book with settings in a table beside it.
fn with_table(table: &str) -> String {
    format!(
        "{}sails: {{main: {{kind: mainsail}}, jib: {{kind: headsail, wind: 4..20}}}}\n\
         settings: [{{id: up, sails: [main, jib], point_of_sail: upwind, table: {table}}}]\n",
        book(1)
    )
}

/// A run that goes on until it is ended.
struct Run {
    folder: TempDir,
    child: Child,
    lines: Receiver<String>,
    problems: Receiver<String>,
}

/// The lines of a stream as they come.
fn lines_of(stream: impl std::io::Read + Send + 'static) -> Receiver<String> {
    let (tell, told) = mpsc::channel();
    thread::spawn(move || BufReader::new(stream).lines().map_while(Result::ok).for_each(|line| drop(tell.send(line))));
    told
}

impl Run {
    fn start(files: &[(&str, &str)]) -> Self {
        Run::start_with(files, |_, _| {})
    }

    /// The same with more said to the program, which runs in the folder.
    fn start_with(files: &[(&str, &str)], more: impl FnOnce(&mut Command, &Path)) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            fs::create_dir_all(folder.path().join(name).parent().unwrap()).unwrap();
            fs::write(folder.path().join(name), text).unwrap();
        }
        let mut command = Command::new(env!("CARGO_BIN_EXE_cockpit-cards"));
        command.current_dir(&folder).args(["build", "--on-save", "boat.yaml"]);
        more(&mut command, folder.path());
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let (lines, problems) = (lines_of(child.stdout.take().unwrap()), lines_of(child.stderr.take().unwrap()));
        Run { folder, child, lines, problems }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// What the next build says, without its clock and how long it took.
    fn next(&self) -> String {
        let line = self.lines.recv_timeout(PATIENCE).expect("a line of a build");
        let (clock, said) = line.split_once("  ").unwrap_or_else(|| panic!("{line}"));
        let digits = clock.bytes().filter(u8::is_ascii_digit).count();
        assert!(digits == 6 && clock.len() == 8 && line.ends_with(" ms"), "{line}");
        said.rsplit_once(", ").unwrap().0.to_owned()
    }

    /// Saves and waits for the build that comes of it.
    fn after(&self, save: impl FnOnce(&Path)) -> String {
        save(&self.path("boat.yaml"));
        self.next()
    }

    fn said_on_stderr(&self) -> String {
        self.problems.try_iter().map(|line| format!("{line}\n")).collect()
    }
}

impl Drop for Run {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn in_place(path: &Path, text: &str) {
    fs::write(path, text).unwrap();
}

fn by_renaming(path: &Path, text: &str) {
    let new = path.with_extension("new");
    fs::write(&new, text).unwrap();
    fs::rename(new, path).unwrap();
}

fn by_deleting(path: &Path, text: &str) {
    fs::remove_file(path).unwrap();
    // Long enough for a run that does not wait for the file to come back to miss it.
    thread::sleep(Duration::from_millis(400));
    fs::write(path, text).unwrap();
}

fn by_moving_away(path: &Path, text: &str) {
    let away = path.with_extension("yaml~");
    fs::rename(path, &away).unwrap();
    thread::sleep(Duration::from_millis(400));
    fs::write(path, text).unwrap();
    fs::remove_file(away).unwrap();
}

#[test]
fn one_save_is_one_build_however_an_editor_saves() {
    let run = Run::start(&[("boat.yaml", &book(1))]);
    assert_eq!(run.next(), "1 card");
    let savers: [fn(&Path, &str); 6] = [in_place, by_renaming, by_deleting, by_moving_away, by_renaming, in_place];
    // Each has one strip more, so that a build too many would stand in the place of the next.
    for (strips, save) in (2..).zip(savers) {
        assert_eq!(run.after(|path| save(path, &book(strips))), format!("{strips} cards"));
        assert!(run.path(&format!("out/svg/strip-c{}.svg", strips - 1)).exists(), "{strips}");
    }
    assert_eq!(run.said_on_stderr(), "");
}

#[test]
#[cfg(target_os = "linux")]
fn the_proof_page_is_opened_once_by_what_the_desktop_opens_pages_with() {
    use std::os::unix::fs::PermissionsExt as _;
    let (there, said) = ("desktop/xdg-open", "opened.txt");
    let desktop = "#!/bin/sh\nprintf '%s\\n' \"$*\" >> opened.txt\n";
    let run = Run::start_with(&[("boat.yaml", &book(1)), (there, desktop)], |command, folder| {
        fs::set_permissions(folder.join(there), fs::Permissions::from_mode(0o755)).unwrap();
        let path = std::env::var("PATH").unwrap();
        command.arg("--open").env("PATH", format!("{}:{path}", folder.join("desktop").display()));
    });
    run.next();
    for strips in [2, 3] {
        run.after(|path| in_place(path, &book(strips)));
    }
    let opened = fs::read_to_string(run.path(said)).unwrap();
    assert_eq!(opened.lines().collect::<Vec<_>>(), ["out/proof.html"]);
}

#[test]
fn a_file_that_the_book_names_is_watched_too_wherever_it_lies() {
    let one = "wind,c0\n6,1\n10,2\n";
    let run = Run::start(&[("boat.yaml", &with_table("tables/up.csv")), ("tables/up.csv", one)]);
    let first = run.next();
    let svg = || fs::read_to_string(run.path("out/svg/up.svg")).unwrap();
    let before = svg();
    by_renaming(&run.path("tables/up.csv"), "wind,c0\n6,1\n10,3\n");
    assert_eq!(run.next(), first);
    assert_ne!(svg(), before);

    // A book that names a file which is not there yet is built when it comes.
    let missing = run.after(|path| in_place(path, &with_table("tables/new.csv")));
    assert!(missing.ends_with("stay: 1 error"), "{missing}");
    in_place(&run.path("tables/new.csv"), one);
    assert_eq!(run.next(), first);
    assert_eq!(svg(), before);
}

#[test]
fn a_broken_book_keeps_the_files_of_the_last_good_build() {
    let run = Run::start(&[("boat.yaml", &book(2))]);
    assert_eq!(run.next(), "2 cards");
    let before = fs::read(run.path("out/strips.pdf")).unwrap();
    let said = run.after(|path| in_place(path, &book(3).replace("marks: 0..4", "marks: 4..0")));
    assert_eq!(said, "not built, the files of the last good build stay: 3 errors");
    assert!(fs::read(run.path("out/strips.pdf")).unwrap() == before, "the files were changed");
    let told = run.problems.recv_timeout(PATIENCE).unwrap();
    assert!(told.starts_with("error: "), "{told}");
    assert_eq!(run.after(|path| in_place(path, "book: 1\n  boat: [")).split(',').next(), Some("not built"));
    assert_eq!(run.after(|path| in_place(path, &book(3))), "3 cards");
}

#[cfg(unix)]
#[test]
fn an_interrupt_from_the_terminal_ends_it_well() {
    let mut run = Run::start(&[("boat.yaml", &book(1))]);
    assert_eq!(run.next(), "1 card");
    let killed = Command::new("kill").args(["-INT", &run.child.id().to_string()]).status().unwrap();
    assert!(killed.success());
    assert_eq!(run.child.wait().unwrap().code(), Some(0));
    assert!(run.lines.recv_timeout(PATIENCE).is_err(), "nothing more is said");
}

#[test]
fn only_one_book_is_built_on_saving() {
    let folder = tempfile::tempdir().unwrap();
    for (arguments, remedy) in [
        (vec!["build", "--on-save", "one.yaml", "two.yaml"], "name the one that is worked on"),
        (vec!["build", "--on-save", "."], "name the one that is worked on"),
        (vec!["build", "--open", "one.yaml"], "--on-save"),
        (vec!["build", "--on-save", "--example"], "cannot be used"),
    ] {
        let output =
            Command::new(env!("CARGO_BIN_EXE_cockpit-cards")).current_dir(&folder).args(&arguments).output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(output.status.code() == Some(2) && said.contains(remedy), "{arguments:?}: {said}");
    }
}
