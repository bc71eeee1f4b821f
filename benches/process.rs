//! What a user waits for: the whole program from its start to its exit, faces parsed and files on the disk.

use std::process::{Command, Stdio};

use criterion::{Criterion, criterion_group, criterion_main};

fn process(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut group = criterion.benchmark_group("process");
    // Each sample starts a program and flushes some twenty files: fewer of them tell as much.
    group.sample_size(20);
    let mut of = |name: &str, arguments: &[&str]| {
        group.bench_function(name, |bench| {
            bench.iter(|| {
                let status = Command::new(env!("CARGO_BIN_EXE_cockpit-cards"))
                    .args(arguments)
                    .current_dir(folder.path())
                    .stdout(Stdio::null())
                    .stderr(Stdio::null())
                    .status()
                    .expect("the program starts");
                assert!(status.success(), "{arguments:?}: {status}");
            });
        });
    };
    of("build", &["build", "--example"]);
    of("check", &["check", "--example"]);
    of("show", &["show", "--example", "--wind", "13"]);
    group.finish();
}

criterion_group!(benches, process);
criterion_main!(benches);
