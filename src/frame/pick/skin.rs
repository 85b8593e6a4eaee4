//! The room that a piece's skin takes up, to tell which pieces touch.

use crate::mesh::TriMesh;
use nalgebra::Point3;
use std::collections::HashSet;

/// The space about some skin, in cubes as wide as the gap that shells may leave.
///
/// Boxes about the pieces do not do: that of a body with its arms held out has room for lumps of
/// debris as large as a foot.
#[derive(Clone, Debug, Default)]
pub(super) struct Skin {
    cubes: HashSet<[i64; 3]>,
}

/// Steps along a side of a face at most: a face that large is no skin, and is passed over in leaps.
const MOST_STEPS: usize = 64;
/// Places on all pieces together for about so many steps squared at most, however many faces there are and however
/// long.
const MOST_PLACES: usize = 1 << 23;

impl Skin {
    pub(super) fn of(mesh: &TriMesh, faces: &[usize], gap: f64) -> Self {
        let corners = faces.iter().map(|&face| mesh.corners(face));
        let most = (MOST_PLACES / mesh.faces().len().max(1))
            .isqrt()
            .clamp(1, MOST_STEPS);
        let places = corners.flat_map(|corners| places(corners, gap, most));
        Self {
            cubes: places.map(|place| cube(&place, gap)).collect(),
        }
    }

    /// Takes in the room of another.
    pub(super) fn join(&mut self, other: Self) {
        self.cubes.extend(other.cubes);
    }

    /// True if any of its cubes is one of the other's or next to one.
    pub(super) fn touches(&self, other: &Self) -> bool {
        let next = || -1..=1;
        let steps: Vec<[i64; 3]> = next()
            .flat_map(|i| next().flat_map(move |j| next().map(move |k| [i, j, k])))
            .collect();
        self.cubes.iter().any(|cube| {
            let beside = |step: &[i64; 3]| [0, 1, 2].map(|n| cube[n].saturating_add(step[n]));
            steps.iter().any(|step| other.cubes.contains(&beside(step)))
        })
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a body is a few hundred gaps long; what is farther off saturates"
)]
fn cube(p: &Point3<f64>, gap: f64) -> [i64; 3] {
    [p.x, p.y, p.z].map(|x| (x / gap).floor() as i64)
}

/// Corners and middle of a face; of one that is wider than the gap, places so near each other or in so many steps.
fn places([a, b, c]: [Point3<f64>; 3], gap: f64, most: usize) -> impl Iterator<Item = Point3<f64>> {
    let side = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "clamped to a few dozen"
    )]
    let steps = (side / gap).ceil().clamp(1.0, most as f64) as u32;
    let step = 1.0 / f64::from(steps);
    let grid = (0..=steps).flat_map(move |i| (0..=steps - i).map(move |j| (i, j)));
    let place = move |(i, j)| a + (b - a) * (step * f64::from(i)) + (c - a) * (step * f64::from(j));
    let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0);
    grid.map(place).chain([middle])
}
