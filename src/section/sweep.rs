//! Which faces cross which planes.

use crate::parallel::{map_chunks, map_slice};
use std::ops::Range;

/// Faces that the plane at `height` crosses, in the order of the mesh, block by block.
///
/// `height_of` gives the height of a point; it is cheaper to work out again than to fetch.
pub(super) fn crossing<P: Sync>(
    faces: &[[u32; 3]],
    points: &[P],
    height_of: impl Fn(&P) -> f64 + Sync + Send,
    height: f64,
) -> Vec<Vec<u32>> {
    // One byte a vertex stays in the cache where eight would not.
    let above: Vec<bool> = map_slice(points, |p| height_of(p) >= height);
    map_blocks(faces, |first, block| {
        let crosses = |face: &[u32; 3]| {
            let [a, b, c] = face.map(|v| above[v as usize]);
            a != b || b != c
        };
        let numbered = block.iter().zip(first..);
        numbered
            .filter_map(|(face, index)| crosses(face).then_some(index))
            .collect()
    })
}

/// Faces bucketed by the planes they cross, for many planes at once.
///
/// The faces are dealt out in fixed blocks, each with its own table, so that
/// blocks can be filled at the same time and the order of faces at a plane is
/// that of the mesh at any number of threads.
#[derive(Debug)]
pub(super) struct Buckets {
    /// For each plane as asked for, its rank from below.
    rank: Vec<u32>,
    blocks: Vec<Block>,
}

#[derive(Clone, Debug)]
struct Block {
    /// Start of each bucket's run in `faces`; one more at the end.
    starts: Vec<u32>,
    faces: Vec<u32>,
}

/// Faces a block: small enough to share out, large enough that its table costs nothing.
const BLOCK: usize = 1 << 17;

impl Buckets {
    pub(super) fn fill<P: Sync>(
        faces: &[[u32; 3]],
        points: &[P],
        height_of: impl Fn(&P) -> f64 + Sync + Send,
        planes: &[f64],
    ) -> Self {
        let count = number(planes.len());
        let mut order: Vec<u32> = (0..count).collect();
        order.sort_by(|&a, &b| planes[a as usize].total_cmp(&planes[b as usize]));
        let sorted: Vec<f64> = order.iter().map(|&plane| planes[plane as usize]).collect();
        let mut rank = vec![0; planes.len()];
        for (place, &plane) in (0..count).zip(&order) {
            rank[plane as usize] = place;
        }
        // Planes at or below a vertex: a face crosses exactly the planes
        // between the smallest and the largest such count of its corners.
        let below: Vec<u32> = map_slice(points, |p| {
            let h = height_of(p);
            number(sorted.partition_point(|&plane| plane <= h))
        });
        let span = |face: &[u32; 3]| {
            let [a, b, c] = face.map(|v| below[v as usize]);
            a.min(b).min(c)..a.max(b).max(c)
        };
        let blocks = map_blocks(faces, |first, block| {
            Block::fill(block, first, count as usize, span)
        });
        Self { rank, blocks }
    }

    /// Faces that cross a plane, block by block.
    pub(super) fn faces_at(&self, plane: usize) -> impl Iterator<Item = &[u32]> {
        let rank = self.rank[plane] as usize;
        self.blocks.iter().map(move |block| block.bucket(rank))
    }
}

/// Faces by the slab of height they reach into, so that a single cut looks only at those near it.
#[derive(Clone, Debug)]
pub(super) struct Slabs {
    low: f64,
    /// Slabs per unit of height.
    per_height: f64,
    count: u32,
    blocks: Vec<Block>,
}

/// Slabs a mesh is divided into: each holds a few thousand faces of the largest scans.
const SLABS: u32 = 384;

impl Slabs {
    pub(super) fn fill<P: Sync>(
        faces: &[[u32; 3]],
        points: &[P],
        height_of: impl Fn(&P) -> f64 + Sync + Send,
    ) -> Self {
        let ends = map_chunks(points, BLOCK, |_, points| {
            let nothing = (f64::INFINITY, f64::NEG_INFINITY);
            points
                .iter()
                .map(&height_of)
                .fold(nothing, |(l, h), x| (l.min(x), h.max(x)))
        });
        let low = ends.iter().map(|e| e.0).fold(f64::INFINITY, f64::min);
        let high = ends.iter().map(|e| e.1).fold(f64::NEG_INFINITY, f64::max);
        let mut slabs = Self {
            low,
            per_height: f64::from(SLABS) / (high - low),
            count: SLABS,
            blocks: Vec::new(),
        };
        if !slabs.per_height.is_finite() {
            slabs.per_height = 0.0;
        }
        let slab: Vec<u32> = map_slice(points, |p| slabs.slab(height_of(p)));
        let span = |face: &[u32; 3]| {
            let [a, b, c] = face.map(|v| slab[v as usize]);
            a.min(b).min(c)..a.max(b).max(c) + 1
        };
        slabs.blocks = map_blocks(faces, |first, block| {
            Block::fill(block, first, SLABS as usize, span)
        });
        slabs
    }

    /// Rises with height, so a plane and the faces it crosses share a slab.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the slabs there are"
    )]
    fn slab(&self, height: f64) -> u32 {
        let place = (height - self.low) * self.per_height;
        (place.max(0.0) as u32).min(self.count - 1)
    }

    /// Faces that may cross a plane, block by block.
    pub(super) fn faces_near(&self, height: f64) -> impl Iterator<Item = &[u32]> {
        let slab = self.slab(height) as usize;
        self.blocks.iter().map(move |block| block.bucket(slab))
    }
}

impl Block {
    /// A counting sort: count the faces of each bucket, then place them.
    fn fill(
        faces: &[[u32; 3]],
        first: u32,
        buckets: usize,
        span: impl Fn(&[u32; 3]) -> Range<u32>,
    ) -> Self {
        let mut starts = vec![0_u32; buckets + 1];
        for face in faces {
            for bucket in span(face) {
                starts[bucket as usize + 1] += 1;
            }
        }
        for bucket in 0..buckets {
            starts[bucket + 1] += starts[bucket];
        }
        let mut next = starts.clone();
        let mut placed = vec![0; starts[buckets] as usize];
        for (face, index) in faces.iter().zip(first..) {
            for bucket in span(face) {
                let place = &mut next[bucket as usize];
                placed[*place as usize] = index;
                *place += 1;
            }
        }
        Self {
            starts,
            faces: placed,
        }
    }

    fn bucket(&self, bucket: usize) -> &[u32] {
        &self.faces[self.starts[bucket] as usize..self.starts[bucket + 1] as usize]
    }
}

/// Counts of planes and faces fit: faces are checked when a mesh is made.
fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// `make` of each block of faces, with the number of its first, in order.
fn map_blocks<T: Send>(
    faces: &[[u32; 3]],
    make: impl Fn(u32, &[[u32; 3]]) -> T + Sync + Send,
) -> Vec<T> {
    map_chunks(faces, BLOCK, |first, block| make(number(first), block))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn buckets_hold_what_one_plane_alone_finds() {
        // A fan of thin faces with heights that repeat and planes that meet vertices exactly.
        let heights: Vec<f64> = (0..200).map(|i| f64::from((i * 37) % 50)).collect();
        let faces: Vec<[u32; 3]> = (0..198).map(|i| [i, i + 1, i + 2]).collect();
        let planes = [25.0, -1.0, 0.0, 49.0, 49.5, 12.25, 25.0, 60.0];
        let buckets = Buckets::fill(&faces, &heights, |&h| h, &planes);
        for (index, &plane) in planes.iter().enumerate() {
            let together: Vec<u32> = buckets.faces_at(index).flatten().copied().collect();
            let alone: Vec<u32> = crossing(&faces, &heights, |&h| h, plane).concat();
            assert_eq!(together, alone, "plane {plane}");
            let near: Vec<u32> = Slabs::fill(&faces, &heights, |&h| h)
                .faces_near(plane)
                .flatten()
                .copied()
                .collect();
            assert!(
                alone.iter().all(|face| near.contains(face)),
                "plane {plane}"
            );
        }
    }
}
