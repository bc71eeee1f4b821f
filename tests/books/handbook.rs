//! The handbook is whole: every page is in its contents, every link leads somewhere, and the README leads to it.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(file: &Path) -> String {
    fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

/// Where the links of a text lead, those in its code excepted.
fn links(text: &str) -> Vec<String> {
    let mut in_code = false;
    let prose = text.lines().filter(|line| {
        if line.starts_with("```") {
            in_code = !in_code;
        }
        !in_code
    });
    let of_line = |line: &str| {
        let targets = line.split("](").skip(1).filter_map(|rest| Some(rest.split_once(')')?.0.to_owned()));
        targets.collect::<Vec<_>>()
    };
    prose.flat_map(of_line).collect()
}

/// The anchors that readers of Markdown give its headings: small letters, no signs, gaps as hyphens.
fn anchors(text: &str) -> BTreeSet<String> {
    let headings = text
        .lines()
        .filter_map(|line| line.trim_start_matches('#').strip_prefix(' ').filter(|_| line.starts_with('#')));
    let plain = |c: char| c.is_alphanumeric() || c == '-' || c == '_' || c == ' ';
    headings
        .map(|heading| heading.to_lowercase().chars().filter(|c| plain(*c)).collect::<String>().replace(' ', "-"))
        .collect()
}

fn texts() -> Vec<PathBuf> {
    let pages = fs::read_dir(root().join("docs/src")).expect("pages").map(|entry| entry.expect("a page").path());
    let own = ["README.md", "DEVELOPERS.md", "CONTRIBUTING.md", "CHANGELOG.md"].map(|name| root().join(name));
    own.into_iter().chain(pages).collect()
}

#[test]
fn every_link_in_readme_and_handbook_leads_to_a_file_and_a_heading_that_are_there() {
    let mut seen = 0;
    for file in texts() {
        for link in links(&read(&file)).iter().filter(|link| !link.starts_with("https://")) {
            let (to, anchor) = link.split_once('#').unwrap_or((link, ""));
            let target = if to.is_empty() { file.clone() } else { file.parent().expect("a folder").join(to) };
            assert!(target.exists(), "{}: {link}", file.display());
            assert!(anchor.is_empty() || anchors(&read(&target)).contains(anchor), "{}: {link}", file.display());
            seen += 1;
        }
    }
    assert!(seen > 30, "{seen}");
}

#[test]
fn every_page_of_the_handbook_is_in_its_contents_once() {
    let folder = root().join("docs/src");
    let listed: Vec<String> = links(&read(&folder.join("SUMMARY.md")));
    let each: BTreeSet<&str> = listed.iter().map(String::as_str).collect();
    assert_eq!(each.len(), listed.len(), "{listed:?}");
    let pages = fs::read_dir(&folder)
        .expect("pages")
        .map(|entry| entry.expect("a page").file_name().into_string().expect("a name"));
    let pages: BTreeSet<String> = pages.filter(|name| name != "SUMMARY.md").collect();
    assert_eq!(each, pages.iter().map(String::as_str).collect());
}

#[test]
fn every_command_in_the_readme_is_one_that_the_program_takes() {
    let readme = read(&root().join("README.md"));
    let lines: Vec<&str> = readme.lines().filter(|line| line.starts_with("cockpit-cards ")).collect();
    assert!(lines.len() >= 6, "{lines:?}");
    let folder = tempfile::tempdir().expect("a folder");
    let (_, rest) = readme.split_once("\n```yaml book\n").expect("a book");
    let book =
        rest.split("\n```").next().expect("its end").replace("controls: [backstay]", "controls: [backstay, jib_lead]");
    let book = book.replace("[2]", "[2, 3]").replace("[4½]", "[4½, 4]").replace("[6]", "[6, 5]").replace("j2", "j1");
    let lead = "  jib_lead: {scale: {marks: 0..8, spacing: 20 mm, halves: true}}\nsails:";
    let book = book.replacen("sails:", lead, 1) + "\n";
    for line in lines {
        let starts_anew = line.contains(" new");
        if !starts_anew {
            fs::write(folder.path().join("boat.yaml"), &book).expect("a book");
        }
        let mut run = assert_cmd::Command::cargo_bin("cockpit-cards").expect("the program");
        run.args(line.split_whitespace().skip(1)).current_dir(&folder).assert().success();
        fs::remove_file(folder.path().join("boat.yaml")).unwrap_or_default();
    }
}
