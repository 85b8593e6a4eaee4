//! Plane cuts: 1, 100 and 1000 level planes, contours chained and ordered; on all cores and on one.
#![allow(missing_docs, reason = "a benchmark")]

mod common;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use girthwise::section::{PlaneAxes, Slicer};

fn section(c: &mut Criterion) {
    let raw = common::demo();
    for (name, times) in common::SIZES {
        let mesh = common::refined(&raw.mesh, times);
        let bounds = mesh.bounds().expect("a mesh with points");
        // The demo's file stands y up; planes across its height, off the vertices.
        let axes = PlaneAxes::square_to(nalgebra::Vector3::y()).expect("an axis");
        for cores in common::CORES {
            let mut group = c.benchmark_group(cores.group("section"));
            group.sample_size(10);
            group.throughput(Throughput::Elements(mesh.faces().len() as u64));
            for planes in [1_u32, 100, 1000] {
                let heights: Vec<f64> = (0..planes)
                    .map(|i| {
                        let share = (f64::from(i) + 0.5) / f64::from(planes);
                        bounds.min.y + share * (bounds.max.y - bounds.min.y)
                    })
                    .collect();
                let cut = || Slicer::along(&mesh, axes).cut_many(&heights);
                let id = BenchmarkId::new(format!("{planes}-planes"), name);
                group.bench_function(id, |b| cores.run(|| b.iter(cut)));
            }
            group.finish();
        }
    }
}

criterion_group!(benches, section);
criterion_main!(benches);
