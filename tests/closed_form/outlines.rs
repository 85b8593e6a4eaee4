//! Tubes of known outline, cut square and aslant.

use super::common::solid::{ellipse, polar, prism_of};
use super::{ROUND_OFF_MM, facets, near, only, short_by};
use girthwise::section::{PlaneAxes, Slicer, cut_at};
use nalgebra::{Isometry3, Point3, Vector3};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// P = 4a·E(1 − b²/a²), area πab.
#[test]
fn ellipses() {
    let n = 720;
    for (a, b, girth, area) in [
        (100.0, 100.0, 628.318_530_717_958_6, 31_415.926_535_897_93),
        (150.0, 100.0, 793.271_979_464_529_5, 47_123.889_803_846_9),
        (180.0, 120.0, 951.926_375_357_435_4, 67_858.401_317_539_53),
        (140.0, 105.0, 773.622_225_624_832_7, 46_181.412_007_769_96),
        (60.0, 55.0, 361.453_914_075_885_2, 10_367.255_756_846_32),
        (200.0, 50.0, 857.842_177_515_683_4, 31_415.926_535_897_93),
    ] {
        let centre = [31.0, -17.0];
        let contour = only(&prism_of(&ellipse(a, b, n, centre), 0.0, 100.0, 3), 41.7);
        // In equal parameter steps the ellipse is the affine image of the circle:
        // each chord is short by (TAU/n)³/24 · a²b²/|p'|³, whose sum is at most
        // the circle's of radius a times (a/b).
        short_by(contour.surface_girth_mm(), girth, facets(TAU * a, n, a / b));
        near(
            contour.taut_girth_mm(),
            contour.surface_girth_mm(),
            ROUND_OFF_MM,
        );
        // Area of the inscribed polygon: n/2 · sin(2π/n) · ab, exactly.
        let step = TAU / f64::from(n);
        near(
            contour.area_mm2(),
            f64::from(n) / 2.0 * step.sin() * a * b,
            1e-7,
        );
        near(contour.area_mm2(), area, area * step * step / 6.0);
        near(contour.centroid()[0], centre[0], ROUND_OFF_MM);
        near(contour.centroid()[1], centre[1], ROUND_OFF_MM);
        near(contour.breadth_mm(), 2.0 * a, ROUND_OFF_MM);
        near(contour.depth_mm(), 2.0 * b, ROUND_OFF_MM);
    }
}

/// Facet by facet: circle r 150 and ellipse 180 × 120 in n equal parameter steps.
#[test]
fn faceted_tubes_have_the_girth_of_their_polygon() {
    for (a, b, n, girth) in [
        (150.0, 150.0, 36, 941.282_021_674_708_3),
        (150.0, 150.0, 72, 942.178_767_091_257_6),
        (150.0, 150.0, 90, 942.286_410_967_526_2),
        (150.0, 150.0, 180, 942.429_947_613_309_7),
        (150.0, 150.0, 360, 942.465_833_824_385),
        (150.0, 150.0, 720, 942.474_805_505_259_3),
        (180.0, 120.0, 72, 951.624_348_530_224_8),
        (180.0, 120.0, 180, 951.878_047_200_806_5),
        (180.0, 120.0, 360, 951.914_293_180_262_3),
        (180.0, 120.0, 720, 951.923_354_804_516_1),
    ] {
        // A cut of the upright facets anywhere gives the outline itself, with
        // one more point on each facet's diagonal: it lies on the chord.
        for height in [0.001, 333.3, 500.0, 999.9] {
            let contour = only(
                &prism_of(&ellipse(a, b, n, [0.0; 2]), 0.0, 1000.0, 7),
                height,
            );
            near(contour.surface_girth_mm(), girth, ROUND_OFF_MM);
            near(contour.taut_girth_mm(), girth, ROUND_OFF_MM);
        }
    }
}

/// Facets cost π²/6n²: each doubling of n takes three quarters of the rest away.
#[test]
fn facets_converge_with_the_square_of_their_number() {
    let gap = |n: u32| {
        let body = prism_of(&ellipse(180.0, 120.0, n, [0.0; 2]), 0.0, 100.0, 1);
        951.926_375_357_435_4 - only(&body, 50.0).taut_girth_mm()
    };
    for n in [45, 90, 180, 360] {
        let order = (gap(n) / gap(2 * n)).log2();
        // The next term of the chord's series is smaller by (π/n)²/20 · (a/b)² < 1e-3.
        near(order, 2.0, 0.01);
    }
}

/// Tilted by φ, a plane cuts a round tube in half axes r and r/cos φ.
#[test]
fn tilted_planes_through_a_cylinder() {
    let n = 1440;
    let body = prism_of(&ellipse(150.0, 150.0, n, [0.0; 2]), -200.0, 200.0, 5);
    for (degrees, girth) in [
        (1.0, 942.549_580_343_204),
        (2.0, 942.765_058_939_715_4),
        (3.0, 943.124_609_754_161_5),
        (5.0, 944.278_709_963_521_2),
        (10.0, 949.761_326_614_335_2),
        (15.0, 959.173_337_054_492_9),
    ] {
        let phi = f64::to_radians(degrees);
        for turn in [0.0, 0.4, FRAC_PI_2, 3.0] {
            let normal = Vector3::new(
                phi.sin() * f64::cos(turn),
                phi.sin() * f64::sin(turn),
                phi.cos(),
            );
            let axes = PlaneAxes::square_to(normal).unwrap();
            let section = cut_at(&body, axes, 3.0);
            assert_eq!(section.contours.len(), 1);
            let contour = &section.contours[0];
            // The cut's corners lie on the lines of the tube: an affine image of the polygon.
            short_by(
                contour.surface_girth_mm(),
                girth,
                facets(girth, n, 1.0 / phi.cos()),
            );
            // Area π r²/cos φ, of the polygon n/2 · sin(2π/n).
            let area =
                f64::from(n) / 2.0 * (TAU / f64::from(n)).sin() * 150.0_f64.powi(2) / phi.cos();
            near(contour.area_mm2(), area, 1e-7);
            // The centre is where the plane meets the tube's axis: 3/cos φ up.
            let centre = axes.point(contour.centroid(), 3.0);
            near(
                (centre - Point3::new(0.0, 0.0, 3.0 / phi.cos())).norm(),
                0.0,
                1e-8,
            );
        }
    }
}

/// The same tube lying anyhow, cut square to its axis, is the same circle.
#[test]
fn any_plane_square_to_a_turned_tube() {
    let n = 360;
    let upright = prism_of(&ellipse(180.0, 120.0, n, [0.0; 2]), -300.0, 300.0, 4);
    for turn in [
        Vector3::new(0.7, 0.0, 0.0),
        Vector3::new(0.0, -1.3, 0.4),
        Vector3::new(2.0, 1.0, -0.5),
    ] {
        let by = Isometry3::new(Vector3::new(400.0, -250.0, 900.0), turn);
        let body = upright.clone().map_points(|p| by * p).unwrap();
        let normal = by.rotation * Vector3::z();
        let axes = PlaneAxes::square_to(normal).unwrap();
        let height = normal.dot(&by.transform_point(&Point3::new(0.0, 0.0, 55.0)).coords);
        let section = Slicer::along(&body, axes).cut(height);
        assert_eq!(section.contours.len(), 1);
        // 951.914… is the polygon's own girth; coordinates near 1000 turn with 1e-13 each.
        near(
            section.contours[0].taut_girth_mm(),
            951.914_293_180_262_3,
            ROUND_OFF_MM,
        );
        let centre = axes.point(section.contours[0].centroid(), height);
        near(
            (centre - by * Point3::new(0.0, 0.0, 55.0)).norm(),
            0.0,
            1e-8,
        );
    }
}

/// Half girths about the middle and beside it: a circle's share beyond a chord at c is 2 acos(c/r) · r.
#[test]
fn half_girths_of_round_and_lopsided_tubes() {
    let n = 1440;
    let hull = only(
        &prism_of(&ellipse(150.0, 150.0, n, [0.0; 2]), 0.0, 60.0, 2),
        9.0,
    )
    .hull();
    for c in [-120.0, -75.0, 0.0, 40.0, 149.0] {
        let (below, above) = hull.perimeter_sides(c);
        near(below + above, hull.perimeter(), ROUND_OFF_MM);
        // The line cuts one facet at each end. The facet lies up to its sagitta
        // inside the arc, so that it is met earlier by the sagitta over the tangent there.
        let sagitta = 150.0 * (1.0 - (PI / f64::from(n)).cos());
        let cosine = f64::abs(c / 150.0);
        let moved = sagitta * cosine / (1.0 - cosine * cosine).sqrt();
        let exact = 2.0 * 150.0 * f64::acos(c / 150.0);
        near(above, exact, facets(TAU * 150.0, n, 1.0) + 2.0 * moved);
    }
    // Half of one circle and half of an ellipse 180 × 150: π·150 and half of its 4aE.
    let lopsided = polar(n, |t| {
        let a = if t.cos() < 0.0 { 180.0 } else { 150.0 };
        [a * t.cos(), 150.0 * t.sin()]
    });
    let (left, right) = only(&prism_of(&lopsided, 0.0, 60.0, 2), 9.0)
        .hull()
        .perimeter_sides(0.0);
    short_by(right, PI * 150.0, facets(PI * 150.0, n, 1.0));
    // Ramanujan II for 180 × 150 is good to 1e-9: h = (30/330)².
    let h = (30.0_f64 / 330.0).powi(2);
    let half = PI / 2.0 * 330.0 * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
    short_by(left, half, facets(half, n, 1.2));
}
