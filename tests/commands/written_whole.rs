//! Files go onto the disk all or none, inside their folder, and nothing of anyone else's is touched.
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use cockpit_cards::output::write::{ToWrite, write_all, write_to_last};

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

/// A file that is written in pieces of so many bytes.
struct InPieces(&'static str, Vec<u8>, usize);

impl ToWrite for InPieces {
    fn name(&self) -> &Path {
        Path::new(self.0)
    }

    fn write(&self, to: &mut dyn io::Write) -> io::Result<()> {
        self.1.chunks(self.2).try_for_each(|piece| to.write_all(piece))
    }
}

#[test]
fn a_file_is_the_new_one_wherever_it_differs_from_the_old() {
    // Around the ends of what is looked at in one go, 64 KiB.
    const LENGTHS: [usize; 8] = [0, 1, 2, 65_535, 65_536, 65_537, 131_072, 200_000];
    let out = tempfile::tempdir().expect("a folder");
    let file = out.path().join("cards.pdf");
    let text = |length: usize| (0..length).map(|place| (place % 251) as u8).collect::<Vec<u8>>();
    let write = |bytes: Vec<u8>, piece| write_all(out.path(), &[InPieces("cards.pdf", bytes, piece)]).expect("written");
    for piece in [1_000, 65_536, 70_000, 1_000_000] {
        for (old, new) in LENGTHS.into_iter().flat_map(|old| LENGTHS.map(|new| (old, new))) {
            fs::write(&file, text(old)).expect("a file");
            write(text(new), piece);
            assert!(fs::read(&file).expect("a file") == text(new), "{old} bytes, then {new} in pieces of {piece}");
        }
        for (length, at) in LENGTHS.into_iter().flat_map(|length| LENGTHS.map(|at| (length, at))) {
            let mut other = text(length);
            let Some(byte) = other.get_mut(at) else { continue };
            *byte ^= 1;
            fs::write(&file, text(length)).expect("a file");
            write(other.clone(), piece);
            assert!(fs::read(&file).expect("a file") == other, "byte {at} of {length} in pieces of {piece}");
        }
    }
    assert_eq!(files_below(out.path()), [PathBuf::from("cards.pdf")]);
}

#[cfg(unix)]
#[test]
fn what_can_be_made_again_and_would_say_the_same_is_left_as_it_is_and_what_cannot_is_written() {
    use std::os::unix::fs::MetadataExt;
    let out = tempfile::tempdir().expect("a folder");
    let which = |name: &str| fs::metadata(out.path().join(name)).expect("a file").ino();
    let files = [("cards.pdf", "cards"), ("svg/a.svg", "one"), ("svg/b.svg", "two")];
    write_all(out.path(), &files).expect("written");
    let [cards, one, two] = ["cards.pdf", "svg/a.svg", "svg/b.svg"].map(which);
    write_all(out.path(), &[files[0], files[1], ("svg/b.svg", "two, and more")]).expect("written");
    assert_eq!([which("cards.pdf"), which("svg/a.svg")], [cards, one]);
    assert_ne!(which("svg/b.svg"), two);
    write_to_last(out.path(), &files[..1]).expect("written");
    assert_ne!(which("cards.pdf"), cards);
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
