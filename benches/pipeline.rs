//! From the bytes of a file to all measures, and the steps on the way; on all cores and on one.
#![allow(missing_docs, reason = "a benchmark")]

mod common;

use criterion::{BatchSize, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use girthwise::frame::{FrameOptions, find_frame};
use girthwise::ingest::{Limits, read_scan_bytes};
use girthwise::landmark::{Landmarks, Survey};
use girthwise::measure::measure_body;
use girthwise::scan::measure_scan;

fn pipeline(c: &mut Criterion) {
    let raw = common::demo();
    for (name, times) in common::SIZES {
        let bytes = common::ply(&common::refined(&raw.mesh, times));
        let read = || read_scan_bytes("scan.ply", &bytes, &Limits::default()).expect("reads");
        let mesh = read().mesh;
        let body = find_frame(mesh.clone(), &FrameOptions::default()).expect("a body");
        let survey = || Survey::new(&body);
        let surveyed = survey();
        let marks = Landmarks::find(&surveyed);
        for cores in common::CORES {
            let mut group = c.benchmark_group(cores.group("pipeline"));
            group.sample_size(10);
            group.throughput(Throughput::Elements(mesh.faces().len() as u64));
            let id = |step: &str| BenchmarkId::new(step, name);
            group.bench_function(id("ingest"), |b| cores.run(|| b.iter(read)));
            group.bench_function(id("frame"), |b| {
                let frame = |mesh| find_frame(mesh, &FrameOptions::default());
                cores.run(|| b.iter_batched(|| mesh.clone(), frame, BatchSize::PerIteration));
            });
            group.bench_function(id("parts"), |b| cores.run(|| b.iter(survey)));
            group.bench_function(id("landmarks"), |b| {
                cores.run(|| b.iter(|| Landmarks::find(&surveyed)));
            });
            group.bench_function(id("measures"), |b| {
                cores.run(|| b.iter(|| measure_body(&surveyed, &marks)));
            });
            group.bench_function(id("whole"), |b| {
                let whole = || measure_scan(read(), &FrameOptions::default(), |_| ());
                cores.run(|| b.iter(whole));
            });
            group.finish();
        }
    }
}

criterion_group!(benches, pipeline);
criterion_main!(benches);
