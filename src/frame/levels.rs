//! Sections reduced to what the frame decisions look at: their main loops.

use crate::mesh::TriMesh;
use crate::section::{Contour, PlaneAxes, Slicer};

/// One loop of a level, in the plane's coordinates.
#[derive(Clone, Debug)]
pub(super) struct Loop {
    pub(super) area: f64,
    pub(super) centre: [f64; 2],
    /// Least and greatest coordinate along each direction of the plane.
    pub(super) extent: [(f64, f64); 2],
    pub(super) points: Vec<[f64; 2]>,
}

impl Loop {
    fn of(contour: &Contour) -> Self {
        Self {
            area: contour.area_mm2(),
            centre: contour.centroid(),
            extent: [contour.extent(0), contour.extent(1)],
            points: contour.points().to_vec(),
        }
    }

    pub(super) fn size(&self, direction: usize) -> f64 {
        self.extent[direction].1 - self.extent[direction].0
    }
}

/// One level: its height as a share of the whole and its loops, largest first.
#[derive(Clone, Debug)]
pub(super) struct Level {
    pub(super) share: f64,
    pub(super) loops: Vec<Loop>,
    /// True if some skin is missing and too wide to bridge.
    pub(super) torn: bool,
}

/// Loops smaller than this share of the squared height are no limb: a third
/// of an ankle's area at a stature of 1.7 m (about 1200 mm²).
const LEAST_AREA: f64 = 4e-4;

/// Two loose ends of the same skin are this near to each other, as a share of the height.
const TORN: f64 = 0.012;

impl Level {
    pub(super) fn area(&self) -> f64 {
        self.loops.iter().map(|l| l.area).sum()
    }

    /// The two legs: two loops of similar size that are most of the level.
    pub(super) fn pair(&self) -> Option<[&Loop; 2]> {
        let [a, b, ..] = self.loops.as_slice() else {
            return None;
        };
        let alone = a.area + b.area > 0.75 * self.area();
        (b.area > 0.5 * a.area && alone).then_some([a, b])
    }

    /// The one loop that is nearly all of the level.
    pub(super) fn single(&self) -> Option<&Loop> {
        self.loops.first().filter(|l| l.area > 0.9 * self.area())
    }
}

/// Cuts `mesh` at shares of its extent along the normal of `axes`, from `low` over a length of `height`.
pub(super) fn cut(
    mesh: &TriMesh,
    axes: PlaneAxes,
    (low, height): (f64, f64),
    shares: &[f64],
) -> Vec<Level> {
    let heights: Vec<f64> = shares.iter().map(|s| low + s * height).collect();
    let sections = Slicer::along(mesh, axes).cut_many(&heights);
    let levels = sections.iter().zip(shares);
    levels
        .map(|(section, &share)| Level {
            share,
            loops: main_loops(&section.contours, height),
            torn: section
                .contours
                .iter()
                .any(|c| !c.is_closed() && c.surface_girth_mm() > TORN * height),
        })
        .collect()
}

/// Shares from `low` to `high`, both included, about `step` apart.
pub(super) fn shares(low: f64, high: f64, count: u32) -> Vec<f64> {
    (0..count)
        .map(|i| low + (high - low) * f64::from(i) / f64::from(count - 1))
        .collect()
}

fn main_loops(contours: &[Contour], height: f64) -> Vec<Loop> {
    let (closed, open): (Vec<&Contour>, Vec<&Contour>) =
        contours.iter().partition(|c| c.is_closed());
    let mut loops: Vec<Loop> = closed.into_iter().map(Loop::of).collect();
    loops.extend(mend(
        open.into_iter().map(Loop::of).collect(),
        TORN * height,
    ));
    loops.retain(|l| l.area > LEAST_AREA * height * height);
    loops.sort_by(|a, b| b.area.total_cmp(&a.area));

    // A second skin inside the first is no limb.
    let mut outer: Vec<Loop> = Vec::with_capacity(loops.len());
    for candidate in loops {
        let nested = outer
            .iter()
            .any(|big| contains(&big.points, candidate.points[0]));
        if !nested {
            outer.push(candidate);
        }
    }
    outer
}

/// Joins open pieces that lie within `gap` of each other: the hull of the pieces stands for the loop they are torn from.
fn mend(mut pieces: Vec<Loop>, gap: f64) -> Vec<Loop> {
    let near = |a: &Loop, b: &Loop| {
        (0..2).all(|k| a.extent[k].0 - gap < b.extent[k].1 && b.extent[k].0 - gap < a.extent[k].1)
    };
    let mut whole: Vec<Loop> = Vec::new();
    while let Some(mut piece) = pieces.pop() {
        while let Some(next) = pieces.iter().position(|other| near(&piece, other)) {
            let mut points = piece.points;
            points.extend(pieces.swap_remove(next).points);
            piece = hull_loop(&points);
        }
        whole.push(hull_loop(&piece.points));
    }
    whole
}

fn hull_loop(points: &[[f64; 2]]) -> Loop {
    let hull = crate::section::Hull::of(points).points;
    let origin = hull.first().copied().unwrap_or_default();
    let (mut twice, mut sum) = (0.0, [0.0; 2]);
    for pair in hull.windows(2) {
        let [a, b] = [pair[0], pair[1]].map(|p| [p[0] - origin[0], p[1] - origin[1]]);
        let cross = a[0] * b[1] - b[0] * a[1];
        twice += cross;
        sum = [
            sum[0] + cross * (a[0] + b[0]),
            sum[1] + cross * (a[1] + b[1]),
        ];
    }
    let extent = [0, 1].map(|k| {
        hull.iter()
            .map(|p| p[k])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(x), high.max(x))
            })
    });
    let centre = if twice > 0.0 {
        [0, 1].map(|k| origin[k] + sum[k] / (3.0 * twice))
    } else {
        origin
    };
    Loop {
        area: twice / 2.0,
        centre,
        extent,
        points: hull,
    }
}

fn contains(polygon: &[[f64; 2]], [u, v]: [f64; 2]) -> bool {
    let next = polygon.iter().cycle().skip(1);
    polygon.iter().zip(next).fold(false, |inside, (a, b)| {
        let crosses =
            (a[1] > v) != (b[1] > v) && u < (b[0] - a[0]) * (v - a[1]) / (b[1] - a[1]) + a[0];
        inside != crosses
    })
}
