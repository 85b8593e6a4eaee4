//! Makers of tubes, balls and figures of known form, and what tests do to meshes.

use girthwise::mesh::TriMesh;
use nalgebra::Point3;
use std::f64::consts::TAU;

/// A closed outline in x and y, counter-clockwise.
pub(crate) type Outline = Vec<[f64; 2]>;

/// Ellipse with half axes `a` (x) and `b` (y) about `centre`, in `n` equal parameter steps.
pub(crate) fn ellipse(a: f64, b: f64, n: u32, centre: [f64; 2]) -> Outline {
    polar(n, |angle| {
        [centre[0] + a * angle.cos(), centre[1] + b * angle.sin()]
    })
}

/// `n` points at equal steps of the angle.
pub(crate) fn polar(n: u32, point: impl Fn(f64) -> [f64; 2]) -> Outline {
    (0..n)
        .map(|i| point(TAU * f64::from(i) / f64::from(n)))
        .collect()
}

/// Upright tube of one outline, scaled ring by ring: (height, scale), rising; closed by a fan at both ends.
pub(crate) fn tube(outline: &[[f64; 2]], rings: &[(f64, f64)]) -> TriMesh {
    let count = u32::try_from(outline.len()).expect("test outlines are small");
    let mut points = Vec::new();
    for &(z, scale) in rings {
        points.extend(
            outline
                .iter()
                .map(|p| Point3::new(p[0] * scale, p[1] * scale, z)),
        );
    }
    let mut faces = Vec::new();
    let levels = u32::try_from(rings.len()).expect("few rings");
    for level in 1..levels {
        let (below, above) = ((level - 1) * count, level * count);
        for i in 0..count {
            let j = (i + 1) % count;
            faces.push([below + i, below + j, above + j]);
            faces.push([below + i, above + j, above + i]);
        }
    }
    let top = (levels - 1) * count;
    for i in 1..count - 1 {
        faces.push([0, i + 1, i]);
        faces.push([top, top + i, top + i + 1]);
    }
    TriMesh::new(points, faces).expect("a sound tube")
}

/// Upright tube of one outline from `low` to `high`, in `levels` equal steps.
pub(crate) fn prism_of(outline: &[[f64; 2]], low: f64, high: f64, levels: u32) -> TriMesh {
    let rings: Vec<_> = (0..=levels)
        .map(|k| (low + (high - low) * f64::from(k) / f64::from(levels), 1.0))
        .collect();
    tube(outline, &rings)
}

/// Ellipsoid of half axes a, b, c about the origin: `n` meridians, `m` steps from pole to pole.
pub(crate) fn ellipsoid([a, b, c]: [f64; 3], n: u32, m: u32) -> TriMesh {
    let mut points = vec![Point3::new(0.0, 0.0, -c)];
    for k in 1..m {
        let lift = TAU / 2.0 * f64::from(k) / f64::from(m);
        let (r, z) = (lift.sin(), -lift.cos());
        points.extend(
            ellipse(a * r, b * r, n, [0.0; 2])
                .iter()
                .map(|p| Point3::new(p[0], p[1], c * z)),
        );
    }
    let top = u32::try_from(points.len()).expect("small");
    points.push(Point3::new(0.0, 0.0, c));
    let mut faces = Vec::new();
    for i in 0..n {
        let j = (i + 1) % n;
        faces.push([0, 1 + j, 1 + i]);
        for k in 1..m - 1 {
            let (below, above) = (1 + (k - 1) * n, 1 + k * n);
            faces.push([below + i, below + j, above + j]);
            faces.push([below + i, above + j, above + i]);
        }
        faces.push([top - n + i, top - n + j, top]);
    }
    TriMesh::new(points, faces).expect("a sound ball")
}

/// Several meshes as one.
pub(crate) fn together(parts: &[TriMesh]) -> TriMesh {
    let mut points = Vec::new();
    let mut faces = Vec::new();
    for part in parts {
        let first = u32::try_from(points.len()).expect("small");
        points.extend_from_slice(part.points());
        faces.extend(part.faces().iter().map(|face| face.map(|at| at + first)));
    }
    TriMesh::new(points, faces).expect("sound parts")
}

/// Each face in four by its edge middles: the same surface with finer facets.
pub(crate) fn refined(mesh: &TriMesh) -> TriMesh {
    let mut points: Vec<[f64; 3]> = mesh.points().iter().map(|p| p.coords.into()).collect();
    let faces = super::samples::split(&mut points, mesh.faces());
    super::mesh(&points, faces)
}

/// Random numbers that are the same on every machine: xorshift64*, Vigna 2016, doi 10.1145/2845077.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.max(1))
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// Evenly between 0 and 1.
    pub(crate) fn unit(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
        let bits = (self.next() >> 11) as f64;
        bits / (1_u64 << 53) as f64
    }

    /// Normal with mean 0 and standard deviation 1 (Box and Muller 1958, doi 10.1214/aoms/1177706645).
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (TAU * self.unit()).cos()
    }

    /// The items in random order (Fisher and Yates).
    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            let at = usize::try_from(self.next() % (last as u64 + 1)).expect("an index");
            items.swap(at, last);
        }
    }
}

/// The mesh with normal noise of `sd` on every coordinate.
pub(crate) fn noisy(mesh: &TriMesh, sd: f64, seed: u64) -> TriMesh {
    let mut dice = Dice::new(seed);
    let points = mesh.points().iter().map(|p| {
        Point3::new(
            p.x + sd * dice.normal(),
            p.y + sd * dice.normal(),
            p.z + sd * dice.normal(),
        )
    });
    TriMesh::new(points.collect(), mesh.faces().to_vec()).expect("finite")
}
