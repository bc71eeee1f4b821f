//! Where the time goes: each stage by itself, on one core, for the full example and for books of growing size.

use std::hint::black_box;
use std::time::Duration;

use common::Growth;
use criterion::measurement::WallTime;
use criterion::{BenchmarkGroup, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};

/// A picture takes as long as a hundred cards on paper, and each takes as long as the last.
const MOST_PICTURES: usize = 10;

/// Every stage of a book, each with what the stages before it made.
fn stages(group: &mut BenchmarkGroup<WallTime>, size: Option<usize>, text: &str) {
    let book = common::read(text);
    let cards = common::work_out(&book);
    let drawings = common::draw(&book, &cards);
    let cut = common::cut(&cards, &drawings);
    let layouts = common::pack(&cut);
    let pictures = &drawings[..drawings.len().min(MOST_PICTURES)];

    let mut of = |stage: &str, work: &mut dyn FnMut() -> usize| {
        let id = match size {
            Some(size) => BenchmarkId::new(stage, size),
            None => BenchmarkId::from_parameter(stage),
        };
        group.bench_function(id, |bench| bench.iter(|| black_box(work())));
    };
    of("read", &mut || common::read(black_box(text)).settings.len());
    of("work out", &mut || common::work_out(black_box(&book)).len());
    of("draw", &mut || common::draw(&book, black_box(&cards)).len());
    of("cut and pack", &mut || common::pack(&common::cut(&cards, black_box(&drawings))).len());
    of("write PDFs", &mut || common::pdfs(black_box(&layouts)));
    of("write SVGs", &mut || common::svgs(black_box(&drawings)));
    of("write the proof page", &mut || common::proof_page(black_box(&drawings)));
    of(&format!("write PNGs of {}", pictures.len()), &mut || common::pngs(black_box(pictures)));
}

fn full_example(criterion: &mut Criterion) {
    // What is shared among the cores would hide what it costs.
    rayon::ThreadPoolBuilder::new().num_threads(1).build_global().expect("the first pool of this process");
    let mut group = criterion.benchmark_group("full example");
    stages(&mut group, None, common::FULL_EXAMPLE);
    group.finish();
}

fn growth(criterion: &mut Criterion) {
    for Growth { what, sizes, book } in common::GROWTH {
        let mut group = criterion.benchmark_group(what);
        group.sample_size(10).warm_up_time(Duration::from_millis(500)).measurement_time(Duration::from_secs(2));
        for size in sizes {
            group.throughput(Throughput::Elements(size as u64));
            stages(&mut group, Some(size), &book(size));
        }
        group.finish();
    }
}

criterion_group!(benches, full_example, growth);
criterion_main!(benches);
