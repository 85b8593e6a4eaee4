//! From the bytes of a file to all measures, and the steps on the way.
#![allow(missing_docs, reason = "a benchmark")]

mod common;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
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
        let body = find_frame(read().mesh, &FrameOptions::default()).expect("a body");
        let mut group = c.benchmark_group("pipeline");
        group.sample_size(10);
        group.throughput(Throughput::Elements(read().mesh.faces().len() as u64));
        group.bench_function(BenchmarkId::new("ingest", name), |b| b.iter(read));
        group.bench_function(BenchmarkId::new("frame", name), |b| {
            b.iter_batched(
                || read().mesh,
                |mesh| find_frame(mesh, &FrameOptions::default()),
                criterion::BatchSize::PerIteration,
            );
        });
        let survey = || Survey::new(&body);
        group.bench_function(BenchmarkId::new("parts", name), |b| b.iter(survey));
        let surveyed = survey();
        group.bench_function(BenchmarkId::new("landmarks", name), |b| {
            b.iter(|| Landmarks::find(&surveyed));
        });
        let marks = Landmarks::find(&surveyed);
        group.bench_function(BenchmarkId::new("measures", name), |b| {
            b.iter(|| measure_body(&surveyed, &marks));
        });
        group.bench_function(BenchmarkId::new("whole", name), |b| {
            b.iter(|| measure_scan(read(), &FrameOptions::default(), |_| ()));
        });
        group.finish();
    }
}

criterion_group!(benches, pipeline);
criterion_main!(benches);
