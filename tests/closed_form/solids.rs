//! Level cuts of solids whose outline changes with height.

use super::common::solid::{ellipse, ellipsoid, tube};
use super::{ROUND_OFF_MM, facets, near, only, short_by};
use girthwise::section::Slicer;
use std::f64::consts::{PI, TAU};

/// Sphere R 120: 2π√(R² − z²).
#[test]
fn levels_of_a_sphere() {
    let (n, m) = (360, 720);
    let ball = ellipsoid([120.0; 3], n, m);
    let heights = [0.0, 30.0, 60.0, 90.0, 110.0];
    let girths = [
        753.982_236_861_550_4,
        730.040_161_675_250_1,
        652.967_771_124_318_4,
        498.712_372_923_964_9,
        301.330_981_629_871_7,
    ];
    for (section, (z, girth)) in Slicer::level(&ball)
        .cut_many(&heights)
        .iter()
        .zip(heights.iter().zip(girths))
    {
        assert_eq!(section.contours.len(), 1);
        // Between rings the ball is lower by the sagitta of its meridian,
        // R(1 − cos(π/2m)); the radius of the cut by that over its slope √(1 − z²/R²).
        let lower = 120.0 * (1.0 - (PI / (2.0 * f64::from(m))).cos())
            / (1.0 - z * z / 120.0_f64.powi(2)).sqrt();
        short_by(
            section.contours[0].taut_girth_mm(),
            girth,
            facets(girth, n, 1.0) + TAU * lower,
        );
    }
}

/// Ellipsoid 180, 120, 300: the level at z is the ellipse shrunk by √(1 − z²/c²).
#[test]
fn levels_of_an_ellipsoid() {
    let (n, m) = (720, 720);
    let body = ellipsoid([180.0, 120.0, 300.0], n, m);
    let slicer = Slicer::level(&body);
    for (z, girth) in [
        (0.0, 951.926_375_357_435_4),
        (100.0, 897.484_793_607_431_2),
        (150.0, 824.392_423_591_980_1),
        (200.0, 709.524_028_291_402_1),
    ] {
        let shrink = f64::sqrt(1.0 - z * z / 9e4);
        let lower = (1.0 - (PI / (2.0 * f64::from(m))).cos()) / shrink / shrink;
        let contour = &slicer.cut(z).contours[0];
        short_by(
            contour.taut_girth_mm(),
            girth,
            facets(TAU * 180.0, n, 1.5) + girth * lower,
        );
        near(
            contour.breadth_mm(),
            360.0 * shrink,
            360.0 * lower + ROUND_OFF_MM,
        );
        near(
            contour.depth_mm(),
            240.0 * shrink,
            240.0 * lower + ROUND_OFF_MM,
        );
    }
}

/// Round frustum, girth 960 at height 850 to 700 at 1050: 1.3 mm of girth per mm of height.
#[test]
fn levels_of_a_frustum() {
    let n = 720;
    let body = tube(
        &ellipse(1.0, 1.0, n, [0.0; 2]),
        &[(850.0, 960.0 / TAU), (1_050.0, 700.0 / TAU)],
    );
    for (z, girth) in [
        (850.001, 959.998_7),
        (900.0, 895.0),
        (950.0, 830.0),
        (1_049.999, 700.001_3),
    ] {
        short_by(only(&body, z).taut_girth_mm(), girth, facets(girth, n, 1.0));
    }
}

/// A level exactly at a step of the tube, and at its flat ends: one clean outline or none, by the half-open rule.
#[test]
fn flat_levels_belong_to_one_side() {
    let (wide, narrow) = (942.477_796_076_938, 628.318_530_717_958_6);
    let n = 720;
    let step = [(0.0, 150.0), (50.0, 150.0), (50.0, 100.0), (90.0, 100.0)];
    let body = tube(&ellipse(1.0, 1.0, n, [0.0; 2]), &step);
    for (z, girth) in [
        (49.999, wide),
        (50.0, wide),
        (50.001, narrow),
        (90.0, narrow),
    ] {
        short_by(only(&body, z).taut_girth_mm(), girth, facets(girth, n, 1.0));
    }
    let slicer = Slicer::level(&body);
    for outside in [-1.0, 0.0, 90.001] {
        assert!(slicer.cut(outside).contours.is_empty(), "at {outside}");
    }
}
