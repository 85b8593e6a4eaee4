//! Which faces cross which planes.

/// Faces that the plane at `height` crosses, in the order of the mesh.
pub(super) fn crossing(faces: &[[u32; 3]], heights: &[f64], height: f64) -> Vec<u32> {
    let crosses = |face: &[u32; 3]| {
        let above = face.map(|v| heights[v as usize] >= height);
        above[0] != above[1] || above[1] != above[2]
    };
    faces
        .iter()
        .zip(0..)
        .filter_map(|(face, index)| crosses(face).then_some(index))
        .collect()
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

#[derive(Debug)]
struct Block {
    /// Start of each plane's run in `faces`, by rank; one more at the end.
    starts: Vec<u32>,
    faces: Vec<u32>,
}

/// Faces a block: small enough to share out, large enough that its table costs nothing.
const BLOCK: usize = 1 << 17;

impl Buckets {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "planes and faces are fewer than 2^32: faces are checked when a mesh is made"
    )]
    pub(super) fn fill(faces: &[[u32; 3]], heights: &[f64], planes: &[f64]) -> Self {
        let mut order: Vec<u32> = (0..planes.len() as u32).collect();
        order.sort_by(|&a, &b| planes[a as usize].total_cmp(&planes[b as usize]));
        let sorted: Vec<f64> = order.iter().map(|&plane| planes[plane as usize]).collect();
        let mut rank = vec![0; planes.len()];
        for (place, &plane) in order.iter().enumerate() {
            rank[plane as usize] = place as u32;
        }

        // Planes at or below a vertex: a face crosses exactly the planes
        // between the smallest and the largest such count of its corners.
        let below: Vec<u32> = map_slice(heights, |&h| {
            sorted.partition_point(|&plane| plane <= h) as u32
        });
        let blocks = faces.len().div_ceil(BLOCK);
        let blocks = map_indices(blocks, |block| {
            let first = block * BLOCK;
            let last = faces.len().min(first + BLOCK);
            Block::fill(&faces[first..last], first as u32, &below, sorted.len())
        });
        Self { rank, blocks }
    }

    /// Faces that cross a plane, block by block.
    pub(super) fn faces_at(&self, plane: usize) -> impl Iterator<Item = &[u32]> {
        let rank = self.rank[plane] as usize;
        self.blocks.iter().map(move |block| {
            &block.faces[block.starts[rank] as usize..block.starts[rank + 1] as usize]
        })
    }
}

impl Block {
    /// A counting sort: count the faces of each plane, then place them.
    fn fill(faces: &[[u32; 3]], first: u32, below: &[u32], planes: usize) -> Self {
        let span = |face: &[u32; 3]| {
            let [a, b, c] = face.map(|v| below[v as usize]);
            a.min(b).min(c) as usize..a.max(b).max(c) as usize
        };
        let mut starts = vec![0_u32; planes + 1];
        for face in faces {
            for plane in span(face) {
                starts[plane + 1] += 1;
            }
        }
        for plane in 0..planes {
            starts[plane + 1] += starts[plane];
        }
        let mut next = starts.clone();
        let mut placed = vec![0; starts[planes] as usize];
        for (face, index) in faces.iter().zip(first..) {
            for plane in span(face) {
                placed[next[plane] as usize] = index;
                next[plane] += 1;
            }
        }
        Self {
            starts,
            faces: placed,
        }
    }
}

/// `make` of each index below `count`, in order; on all cores if the feature is on.
#[cfg(feature = "parallel")]
pub(super) fn map_indices<T: Send>(
    count: usize,
    make: impl Fn(usize) -> T + Sync + Send,
) -> Vec<T> {
    use rayon::prelude::*;
    (0..count).into_par_iter().map(make).collect()
}

/// `make` of each index below `count`, in order.
#[cfg(not(feature = "parallel"))]
pub(super) fn map_indices<T>(count: usize, make: impl Fn(usize) -> T) -> Vec<T> {
    (0..count).map(make).collect()
}

#[cfg(feature = "parallel")]
fn map_slice<S: Sync, T: Send>(from: &[S], make: impl Fn(&S) -> T + Sync + Send) -> Vec<T> {
    use rayon::prelude::*;
    from.par_iter().with_min_len(4096).map(make).collect()
}

#[cfg(not(feature = "parallel"))]
fn map_slice<S, T>(from: &[S], make: impl Fn(&S) -> T) -> Vec<T> {
    from.iter().map(make).collect()
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
        let buckets = Buckets::fill(&faces, &heights, &planes);
        for (index, &plane) in planes.iter().enumerate() {
            let together: Vec<u32> = buckets.faces_at(index).flatten().copied().collect();
            assert_eq!(together, crossing(&faces, &heights, plane), "plane {plane}");
        }
    }
}
