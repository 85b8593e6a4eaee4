use super::super::samples::{cube, icosphere, mesh};
use super::*;
use std::f64::consts::{PI, TAU};

/// A round tube or cone about z: radius by height, `n` facets round, heights `step` apart; every
/// second ring turned by half a facet, so that no edge runs along the path.
fn turned(radius: impl Fn(f64) -> f64, low: f64, rings: u32, step: f64, n: u32) -> TriMesh {
    let mut points = Vec::new();
    for ring in 0..=rings {
        let z = low + step * f64::from(ring);
        for i in 0..n {
            let t = TAU * (f64::from(i) + 0.5 * f64::from(ring % 2)) / f64::from(n);
            points.push(Point3::new(radius(z) * t.cos(), radius(z) * t.sin(), z));
        }
    }
    let mut faces = Vec::new();
    for ring in 0..rings {
        for i in 0..n {
            let j = (i + 1) % n;
            let (a, b) = (ring * n, (ring + 1) * n);
            let (p, q) = if ring % 2 == 0 {
                (b + i, b + i)
            } else {
                (b + j, b + j)
            };
            faces.push([a + i, a + j, p]);
            let (from, to) = if ring % 2 == 0 {
                (b + i, b + j)
            } else {
                (b + j, b + i)
            };
            faces.push(if ring % 2 == 0 {
                [a + j, to, from]
            } else {
                [a + i, q, to]
            });
        }
    }
    TriMesh::new(points, faces).unwrap()
}

fn at(radius: f64, turn: f64, z: f64) -> Point3<f64> {
    Point3::new(radius * turn.cos(), radius * turn.sin(), z)
}

/// Closed form: √((R Δθ)² + Δz²) on a cylinder, R 50.
#[test]
fn cylinder() {
    let tube = turned(|_| 50.0, -160.0, 64, 5.0, 360);
    let ways = Geodesics::new(tube).unwrap();
    for (degrees, rise, exact) in [
        (90.0_f64, 0.0, 78.539_816_339_744_83),
        (90.0, 100.0, 127.155_427_531_351_8),
        (175.0, 100.0, (50.0 * 175.0_f64.to_radians()).hypot(100.0)),
        (60.0, 250.0, 255.424_268_185_465_1),
        (270.0, 100.0, 127.155_427_531_351_8),
    ] {
        let turn = degrees.to_radians();
        let (a, b) = (at(50.0, 0.3, -0.5 * rise), at(50.0, 0.3 + turn, 0.5 * rise));
        let found = ways.distance(&a, &b).unwrap();
        // Inscribed facets: short by π²/6·360² of the turn, and the ends lie under the surface by 0.002.
        assert!(
            (found / exact - 1.0).abs() < 3e-5,
            "{degrees} {rise}: {found}"
        );
    }
}

/// Closed form: a cone unrolls: √(s₁² + s₂² − 2 s₁ s₂ cos ψ), ψ = Δφ sin α.
#[test]
fn cone() {
    for (half, from, to, degrees, exact) in [
        (30.0_f64, 100.0, 100.0, 90.0_f64, 76.536_686_473_017_95),
        (30.0, 100.0, 200.0, 120.0, 173.205_080_756_887_7),
        (15.0, 300.0, 400.0, 180.0, 291.651_743_088_918_1),
        (10.0, 300.0, 500.0, 60.0, 212.005_731_456_588_7),
        (45.0, 100.0, 150.0, 180.0, 225.102_190_154_526),
    ] {
        let half = half.to_radians();
        let cone = turned(|z| z * half.tan(), 10.0, 130, 4.0, 360);
        let ways = Geodesics::new(cone).unwrap();
        let place = |slant: f64, turn: f64| at(slant * half.sin(), turn, slant * half.cos());
        let (a, b) = (place(from, 0.1), place(to, 0.1 + degrees.to_radians()));
        let found = ways.distance(&a, &b).unwrap();
        assert!(
            (found / exact - 1.0).abs() < 3e-5,
            "{half} {from} {to}: {found} {exact}"
        );
    }
}

/// Closed form: R times the angle on a sphere; the gap falls with the square of the edge.
#[test]
fn sphere() {
    let gap = |levels: u32| {
        let ways = Geodesics::new(mesh(icosphere(levels))).unwrap();
        let mut greatest = 0.0_f64;
        for (a, b, angle) in [
            ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0], 0.5 * PI),
            ([0.6, 0.0, 0.8], [0.0, 1.0, 0.0], 0.5 * PI),
            (
                [0.6, 0.8, 0.0],
                [0.28, 0.96, 0.0],
                (0.6_f64 * 0.28 + 0.8 * 0.96).acos(),
            ),
        ] {
            let found = ways.distance(&Point3::from(a), &Point3::from(b)).unwrap();
            greatest = greatest.max((found / angle - 1.0).abs());
        }
        greatest
    };
    let (coarse, fine) = (gap(3), gap(5));
    assert!(fine < 4e-4 && fine < coarse / 8.0, "{coarse} {fine}");
}

/// Closed form: between opposite corners of a cube of side 2 the way unfolds to √(4² + 2²).
#[test]
fn cube_from_corner_to_corner() {
    let ways = Geodesics::new(mesh(cube())).unwrap();
    for k in 0..4 {
        let a = Point3::new(
            if k & 1 == 0 { 1.0 } else { -1.0 },
            if k & 2 == 0 { 1.0 } else { -1.0 },
            1.0,
        );
        let found = ways.distance(&a, &(-a.coords).into()).unwrap();
        assert!((found - 20.0_f64.sqrt()).abs() < 1e-9, "{a}: {found}");
    }
    let one = Point3::new(0.3, 0.2, 1.0);
    assert!(ways.distance(&one, &one).unwrap().abs() < 1e-12);
}

/// Without its middle a plate has no straight way: told, not led round; beside the hole it has.
#[test]
fn a_hole_on_the_way_is_told() {
    let n = 10_u32;
    let points = (0..=n)
        .flat_map(|j| (0..=n).map(move |i| Point3::new(f64::from(i), f64::from(j), 0.0)))
        .collect();
    let mut faces = Vec::new();
    for j in 0..n {
        for i in 0..n {
            if (4..6).contains(&i) && (4..6).contains(&j) {
                continue;
            }
            let a = j * (n + 1) + i;
            faces.extend([[a, a + 1, a + n + 2], [a, a + n + 2, a + n + 1]]);
        }
    }
    let ways = Geodesics::new(TriMesh::new(points, faces).unwrap()).unwrap();
    let from = |x: f64, y: f64| Point3::new(x, y, 0.0);
    let told = ways.distance(&from(1.2, 5.1), &from(8.9, 4.9)).unwrap_err();
    assert!(told.contains("skin is missing"), "{told}");
    let free = ways.distance(&from(0.3, 1.2), &from(9.1, 2.7)).unwrap();
    assert!((free - 8.8_f64.hypot(1.5)).abs() < 1e-9, "{free}");
}

/// Two plates that do not touch have no way from one to the other.
#[test]
fn apart_is_told() {
    let points = [
        [0.0, 0.0],
        [1.0, 0.0],
        [0.0, 1.0],
        [5.0, 0.0],
        [6.0, 0.0],
        [5.0, 1.0],
    ];
    let points = points.map(|[x, y]| Point3::new(x, y, 0.0)).to_vec();
    let plates = TriMesh::new(points, vec![[0, 1, 2], [3, 4, 5]]).unwrap();
    let ways = Geodesics::new(plates).unwrap();
    let told = ways.distance(&Point3::new(0.2, 0.2, 0.0), &Point3::new(5.2, 0.2, 0.0));
    assert!(told.unwrap_err().contains("missing"));
}
