//! A folder to work in with the program in it: what the tests of files and of the terminal have in common.
#![allow(dead_code)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_cockpit-cards");

/// A folder to work in, and the program in it.
pub struct Desk(pub tempfile::TempDir);

pub type Files = BTreeMap<String, Vec<u8>>;

impl Desk {
    pub fn new() -> Self {
        Desk(tempfile::tempdir().expect("a folder"))
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn write(&self, name: &str, text: &str) {
        fs::create_dir_all(self.path(name).parent().expect("a folder")).expect("a folder");
        fs::write(self.path(name), text).expect("a file");
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(PROGRAM);
        command.args(arguments).current_dir(&self.0);
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().expect("a run")
    }

    /// Runs a command that asks nobody anything; its exit code and all it said.
    pub fn tried(&self, arguments: &[&str]) -> (Option<i32>, String) {
        let output = self.command(arguments).stdin(std::process::Stdio::null()).output().expect("a run");
        (output.status.code(), said(&output))
    }

    /// What a run says that ends well.
    pub fn done(&self, arguments: &[&str]) -> String {
        let (code, said) = self.tried(arguments);
        assert_eq!(code, Some(0), "{arguments:?}: {said}");
        said
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub fn built(&self, arguments: &[&str]) {
        let output = self.run(&[&["build"], arguments].concat());
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    }

    pub fn shell(&self, script: &str) -> Output {
        Command::new("sh").args(["-c", script]).current_dir(&self.0).output().expect("a shell")
    }

    /// Every file below a folder, links as what they say, empty folders too.
    pub fn files(&self, folder: &str) -> Files {
        fn walk(root: &Path, folder: &Path, found: &mut Files) {
            for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
                let (path, kind) = (entry.path(), entry.file_type().expect("a kind"));
                let name = path.strip_prefix(root).expect("below").display().to_string();
                if kind.is_dir() {
                    found.insert(format!("{name}/"), Vec::new());
                    walk(root, &path, found);
                } else if kind.is_symlink() {
                    found.insert(name, fs::read_link(&path).expect("a link").display().to_string().into_bytes());
                } else {
                    found.insert(name, fs::read(&path).expect("a file"));
                }
            }
        }
        let (root, mut found) = (self.path(folder), Files::new());
        walk(&root, &root, &mut found);
        found
    }
}

/// All that a run said, on both channels.
pub fn said(output: &Output) -> String {
    String::from_utf8_lossy(&[&output.stdout[..], &output.stderr].concat()).into_owned()
}
