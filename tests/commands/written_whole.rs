//! Files go onto the disk all or none, inside their folder, and nothing of anyone else's is touched.
use std::fs;
use std::path::{Path, PathBuf};

use cockpit_cards::output::write::write_all;

/// Every file below a folder, links not followed, as relative names in order.
fn files_below(folder: &Path) -> Vec<PathBuf> {
    fn walk(root: &Path, folder: &Path, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).expect("a folder") {
            let entry = entry.expect("an entry");
            if entry.file_type().expect("a type").is_dir() {
                walk(root, &entry.path(), found);
            } else {
                found.push(entry.path().strip_prefix(root).expect("below the root").to_owned());
            }
        }
    }
    let mut found = Vec::new();
    walk(folder, folder, &mut found);
    found.sort();
    found
}

#[test]
fn files_are_written_into_folders_made_as_needed_and_old_ones_replaced() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("not/yet/there");
    write_all(&out, &[("cards.pdf", "old"), ("svg/a.svg", "a")]).expect("written");
    fs::write(out.join("svg/a strangers file.svg"), "theirs").expect("a file");
    write_all(&out, &[("cards.pdf", "new"), ("svg/b.svg", "b")]).expect("written");
    let found = files_below(&out);
    assert_eq!(found, ["cards.pdf", "svg/a strangers file.svg", "svg/a.svg", "svg/b.svg"].map(PathBuf::from));
    assert_eq!(fs::read_to_string(out.join("cards.pdf")).expect("a file"), "new");
}

#[test]
fn when_one_file_cannot_be_written_none_is_and_nothing_is_left_behind() {
    let out = tempfile::tempdir().expect("a folder");
    write_all(out.path(), &[("cards.pdf", "good")]).expect("written");
    fs::create_dir(out.path().join("strips.pdf")).expect("a folder in the way");
    let error = write_all(out.path(), &[("cards.pdf", "bad"), ("strips.pdf", "bad")]).expect_err("a folder in the way");
    assert!(error.to_string().contains("strips.pdf"), "{error}");
    fs::write(out.path().join("svg"), "a file where a folder should be").expect("a file");
    let error = write_all(out.path(), &[("cards.pdf", "bad"), ("svg/a.svg", "bad")]).expect_err("a file in the way");
    assert!(error.to_string().contains("svg"), "{error}");
    assert_eq!(files_below(out.path()), ["cards.pdf", "svg"].map(PathBuf::from));
    assert_eq!(fs::read_to_string(out.path().join("cards.pdf")).expect("a file"), "good");
}

#[test]
fn a_file_in_the_place_of_the_folder_is_named_with_a_remedy_and_without_the_words_of_a_system() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("cards");
    fs::write(&file, "mine").expect("a file");
    for (out, remedy) in [(file.clone(), "this is no folder: name one"), (file.join("of/boat"), "name another")] {
        let error = write_all(&out, &[("cards.pdf", "x")]).expect_err("a file in the way").to_string();
        assert!(error.contains(remedy) && error.contains("cards") && !error.contains("os error"), "{error}");
    }
    assert_eq!(fs::read_to_string(&file).expect("a file"), "mine");
}

#[test]
fn a_name_that_leads_outside_or_stands_twice_is_refused_before_anything_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("out");
    let absolute = folder.path().join("elsewhere.pdf");
    for name in ["../up.pdf", "svg/../../up.pdf", "", ".", "svg/..", absolute.to_str().expect("a name")] {
        write_all(&out, &[("cards.pdf", "x"), (name, "x")]).expect_err(name);
    }
    write_all(&out, &[("cards.pdf", "x"), ("cards.pdf", "y")]).expect_err("twice");
    assert!(files_below(folder.path()).is_empty());
}

#[cfg(unix)]
#[test]
fn a_link_is_not_followed_out_of_the_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let (out, elsewhere) = (folder.path().join("out"), folder.path().join("elsewhere"));
    fs::create_dir(&out).expect("a folder");
    fs::create_dir(&elsewhere).expect("a folder");
    fs::write(elsewhere.join("precious.pdf"), "theirs").expect("a file");
    std::os::unix::fs::symlink(&elsewhere, out.join("svg")).expect("a link");
    let error =
        write_all(&out, &[("cards.pdf", "x"), ("svg/a.svg", "x"), ("svg/deep/b.svg", "x")]).expect_err("a link");
    assert!(error.to_string().contains("leads out"), "{error}");
    assert_eq!(files_below(&elsewhere), [PathBuf::from("precious.pdf")]);

    // A link in a file's own place is replaced, and what it pointed to stays as it was.
    std::os::unix::fs::symlink(elsewhere.join("precious.pdf"), out.join("strips.pdf")).expect("a link");
    write_all(&out, &[("strips.pdf", "ours")]).expect("written");
    assert_eq!(fs::read_to_string(elsewhere.join("precious.pdf")).expect("a file"), "theirs");
    assert!(fs::symlink_metadata(out.join("strips.pdf")).expect("a file").is_file());
}

#[cfg(unix)]
#[test]
fn an_output_folder_may_itself_be_a_link() {
    let folder = tempfile::tempdir().expect("a folder");
    let (real, link) = (folder.path().join("real"), folder.path().join("link"));
    fs::create_dir(&real).expect("a folder");
    std::os::unix::fs::symlink(&real, &link).expect("a link");
    write_all(&link, &[("svg/a.svg", "a")]).expect("written");
    assert_eq!(files_below(&real), [PathBuf::from("svg/a.svg")]);
}

#[cfg(unix)]
#[test]
fn a_new_file_is_as_readable_as_any_other() {
    use std::os::unix::fs::PermissionsExt;
    let out = tempfile::tempdir().expect("a folder");
    write_all(out.path(), &[("cards.pdf", "x")]).expect("written");
    fs::write(out.path().join("plain"), "x").expect("a file");
    let mode = |name: &str| fs::metadata(out.path().join(name)).expect("a file").permissions().mode();
    assert_eq!(mode("cards.pdf"), mode("plain"));
}
