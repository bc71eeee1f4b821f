//! What a user waits for: the whole program from its start to its exit, faces parsed and files on the disk.

use std::env;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use tempfile::TempDir;

/// The program of today's sources, which cargo puts into the folder above the one of this bench.
fn program() -> PathBuf {
    let manifest = concat!(env!("CARGO_MANIFEST_DIR"), "/../Cargo.toml");
    let built = Command::new(env!("CARGO")).args(["build", "--release", "--manifest-path", manifest]).status();
    assert!(built.expect("cargo starts").success(), "the program compiles");
    let bench = env::current_exe().expect("a path");
    bench.ancestors().nth(2).expect("two folders up").join("cockpit-cards").with_extension(env::consts::EXE_EXTENSION)
}

fn process(criterion: &mut Criterion) {
    let program = program();
    let mut group = criterion.benchmark_group("process");
    // Each sample starts a program and writes some forty files: fewer of them tell as much.
    group.sample_size(20);
    let mut of = |name: &str, arguments: &[&str]| {
        group.bench_function(name, |bench| {
            let run = |folder: TempDir| {
                let status = Command::new(&program)
                    .args(arguments)
                    .current_dir(folder.path())
                    .stdout(Stdio::null())
                    .stderr(Stdio::null())
                    .status()
                    .expect("the program starts");
                assert!(status.success(), "{arguments:?}: {status}");
                folder
            };
            // Into a new folder each time: what stands in its place already is not written again.
            bench.iter_batched(|| tempfile::tempdir().expect("a folder"), run, BatchSize::PerIteration);
        });
    };
    of("build", &["build", "--example"]);
    of("check", &["check", "--example"]);
    of("show", &["show", "--example", "--wind", "13"]);
    group.finish();
}

criterion_group!(benches, process);
criterion_main!(benches);
