//! The least any slicer must do: fetch every coordinate and every face once. What a cut takes
//! beyond this is its own.
#![allow(missing_docs, reason = "a benchmark")]

mod common;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use girthwise::mesh::TriMesh;
use rayon::prelude::*;

/// Fetches the whole mesh on all cores; the sum keeps the compiler from leaving it out.
fn fetch(mesh: &TriMesh) -> (f64, u32) {
    let points = mesh.points().par_chunks(1 << 14);
    let faces = mesh.faces().par_chunks(1 << 14);
    rayon::join(
        || {
            points
                .map(|chunk| chunk.iter().map(|p| p.x + p.y + p.z).sum::<f64>())
                .sum::<f64>()
        },
        || {
            faces
                .map(|chunk| {
                    let numbers = chunk.as_flattened().iter();
                    numbers.fold(0_u32, |sum, &v| sum.wrapping_add(v))
                })
                .reduce(|| 0, u32::wrapping_add)
        },
    )
}

fn bound(c: &mut Criterion) {
    let raw = common::demo();
    let mut group = c.benchmark_group("bound");
    group.sample_size(20);
    for (name, times) in common::SIZES {
        let mesh = common::refined(&raw.mesh, times);
        let bytes = size_of_val(mesh.points()) + size_of_val(mesh.faces());
        group.throughput(Throughput::Bytes(bytes as u64));
        group.bench_function(BenchmarkId::new("fetch", name), |b| b.iter(|| fetch(&mesh)));
    }
    group.finish();
}

criterion_group!(benches, bound);
criterion_main!(benches);
