//! Small closed shapes for tests, as plain numbers.

/// Points and faces.
pub(crate) type Shape = (Vec<[f64; 3]>, Vec<[u32; 3]>);

/// A cube of side 2 about the origin: 8 points, 12 faces.
pub(crate) fn cube() -> Shape {
    let points = (0..8)
        .map(|corner| [0, 1, 2].map(|axis| if corner >> axis & 1 == 1 { 1.0 } else { -1.0 }))
        .collect();
    let quads: [[u32; 4]; 6] = [
        [0, 2, 3, 1],
        [4, 5, 7, 6],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 4, 6, 2],
        [1, 3, 7, 5],
    ];
    let faces = quads
        .iter()
        .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]);
    (points, faces.collect())
}

/// A sphere of radius 1: an icosahedron split `levels` times, 20 * 4^levels faces.
pub(crate) fn icosphere(levels: u32) -> Shape {
    let golden = f64::midpoint(1.0, 5.0_f64.sqrt());
    let mut points = Vec::new();
    for axis in 0..3 {
        for (one, other) in [
            (1.0, golden),
            (-1.0, golden),
            (1.0, -golden),
            (-1.0, -golden),
        ] {
            let mut point = [0.0; 3];
            point[(axis + 1) % 3] = one;
            point[(axis + 2) % 3] = other;
            points.push(on_sphere(point));
        }
    }
    let mut faces = hull_of_icosahedron(&points);
    for _ in 0..levels {
        faces = split(&mut points, &faces);
        points = points.into_iter().map(on_sphere).collect();
    }
    (points, faces)
}

/// Each face in four, by its edge middles: points are appended, faces keep their order.
pub(crate) fn split(points: &mut Vec<[f64; 3]>, faces: &[[u32; 3]]) -> Vec<[u32; 3]> {
    let mut middles = std::collections::BTreeMap::new();
    let mut middle = |a: u32, b: u32| {
        *middles.entry((a.min(b), a.max(b))).or_insert_with(|| {
            let (p, q) = (points[a as usize], points[b as usize]);
            points.push([0, 1, 2].map(|axis| f64::midpoint(p[axis], q[axis])));
            u32::try_from(points.len() - 1).expect("test meshes are small")
        })
    };
    let mut finer = Vec::with_capacity(4 * faces.len());
    for &[a, b, c] in faces {
        let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
        finer.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
    }
    finer
}

/// The 20 triples of points one edge apart, turned to look outwards.
fn hull_of_icosahedron(points: &[[f64; 3]]) -> Vec<[u32; 3]> {
    let near = |a: usize, b: usize| {
        let cosine: f64 = (0..3).map(|axis| points[a][axis] * points[b][axis]).sum();
        // Neighbours: cosine 1/√5 = 0.447; the next ones have its negative.
        cosine > 0.4
    };
    let mut faces = Vec::new();
    for a in 0..12 {
        for b in a + 1..12 {
            for c in b + 1..12 {
                if near(a, b) && near(b, c) && near(c, a) {
                    let face = [a, b, c].map(|at| u32::try_from(at).expect("below 12"));
                    let [p, q, r] = [a, b, c].map(|at| points[at]);
                    let turn = p[0] * (q[1] * r[2] - q[2] * r[1])
                        + p[1] * (q[2] * r[0] - q[0] * r[2])
                        + p[2] * (q[0] * r[1] - q[1] * r[0]);
                    faces.push(if turn > 0.0 {
                        face
                    } else {
                        [face[0], face[2], face[1]]
                    });
                }
            }
        }
    }
    faces
}

fn on_sphere(point: [f64; 3]) -> [f64; 3] {
    let norm = point.iter().map(|value| value * value).sum::<f64>().sqrt();
    point.map(|value| value / norm)
}

/// The shape as a mesh.
#[cfg(test)]
pub(crate) fn mesh((points, faces): Shape) -> super::TriMesh {
    let points = points.into_iter().map(nalgebra::Point3::from).collect();
    super::TriMesh::new(points, faces).expect("a sound test shape")
}
