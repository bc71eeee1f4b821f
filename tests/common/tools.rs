//! Outside programs that read our files: they must be there, because a check that is skipped is no check.

use std::path::Path;
use std::process::{Command, Output};

/// What a program says about a file.
pub fn run(program: &str, arguments: &[&str], file: &Path) -> Output {
    let debian_package = match program {
        "qpdf" => "qpdf",
        "mutool" => "mupdf-tools",
        "gs" => "ghostscript",
        _ => "poppler-utils",
    };
    Command::new(program).args(arguments).arg(file).output().unwrap_or_else(|error| {
        panic!("{program} is needed for this test and could not be run ({error}): install {debian_package}")
    })
}

/// The words of a PDF as `pdftotext` reads them, laid out as on the page.
pub fn text_of(bytes: &[u8]) -> String {
    words_of(bytes, &["-layout"])
}

/// The same with other arguments; without any, in the order in which they are to be read.
pub fn words_of(bytes: &[u8], arguments: &[&str]) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let (pdf, text) = (folder.path().join("in.pdf"), folder.path().join("out.txt"));
    std::fs::write(&pdf, bytes).expect("a file");
    let output = Command::new("pdftotext").args(arguments).args(["-enc", "UTF-8"]).arg(&pdf).arg(&text).output();
    let output = output.unwrap_or_else(|error| {
        panic!("pdftotext is needed for this test and could not be run ({error}): install poppler-utils")
    });
    assert!(output.status.success(), "pdftotext: {}", String::from_utf8_lossy(&output.stderr));
    assert!(output.stderr.is_empty(), "pdftotext warns: {}", String::from_utf8_lossy(&output.stderr));
    std::fs::read_to_string(text).expect("text in UTF-8")
}

/// Panics unless `qpdf --check` finds neither error nor warning.
pub fn assert_sound(bytes: &[u8]) {
    let folder = tempfile::tempdir().expect("a folder");
    let pdf = folder.path().join("in.pdf");
    std::fs::write(&pdf, bytes).expect("a file");
    let output = run("qpdf", &["--check"], &pdf);
    let said = format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success() && !said.contains("WARNING"), "qpdf: {said}");
}
