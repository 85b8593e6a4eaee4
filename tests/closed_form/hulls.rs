//! Taut girths over outlines with hollows, corners and flat sides.

use super::common::solid::{ellipse, polar, prism_of, together};
use super::{ROUND_OFF_MM, facets, near, only, short_by};
use girthwise::section::{Hull, Slicer};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Hull perimeters (support function, Cauchy): the tape round all loops of a level at once.
#[test]
fn hulls_of_discs() {
    let n = 720;
    let disc = |r: f64, at: [f64; 2]| (ellipse(r, r, n, at), TAU * r);
    let third = 200.0 * 0.75_f64.sqrt();
    let cases: [(&[_], f64); 5] = [
        // 2πr + 2d
        (
            &[disc(90.0, [-85.0, 0.0]), disc(90.0, [85.0, 0.0])],
            905.486_677_646_162_8,
        ),
        (
            &[disc(85.0, [-90.0, 0.0]), disc(85.0, [90.0, 0.0])],
            894.070_751_110_265,
        ),
        // 2d cos α + r₁(π + 2α) + r₂(π − 2α), α = asin((r₁ − r₂)/d)
        (
            &[disc(90.0, [0.0, 0.0]), disc(80.0, [170.0, 0.0])],
            874.659_156_198_749_3,
        ),
        (
            &[disc(100.0, [0.0, 0.0]), disc(60.0, [0.0, 150.0])],
            813.386_094_137_058_4,
        ),
        // 600 + 2π·50
        (
            &[
                disc(50.0, [0.0, 0.0]),
                disc(50.0, [200.0, 0.0]),
                disc(50.0, [100.0, third]),
            ],
            914.159_265_358_979_3,
        ),
    ];
    for (discs, exact) in cases {
        let tubes: Vec<_> = discs
            .iter()
            .map(|(outline, _)| prism_of(outline, 0.0, 60.0, 2))
            .collect();
        let section = Slicer::level(&together(&tubes)).cut(31.0);
        assert_eq!(section.contours.len(), discs.len());
        let all: Vec<_> = section
            .contours
            .iter()
            .flat_map(|c| c.points().iter().copied())
            .collect();
        // Arcs are short as facets are; where a tangent touches between two
        // points of a disc, it is lower by at most the sagitta r(1 − cos(π/n)) each.
        let around: f64 = discs.iter().map(|(_, girth)| girth).sum();
        let sagittas = 2.0 * around / TAU * (1.0 - (PI / f64::from(n)).cos());
        short_by(
            Hull::of(&all).perimeter(),
            exact,
            facets(around, n, 1.0) + sagittas,
        );
    }
}

/// A trunk's girth never holds an arm: the contours stay apart, and only a tape round all of them reads 36 % more.
#[test]
fn a_trunk_beside_its_arms() {
    let n = 720;
    let trunk = ellipse(180.0, 120.0, n, [0.0; 2]);
    let arms = [-235.0, 235.0].map(|x| ellipse(50.0, 50.0, n, [x, 0.0]));
    let tubes = [&trunk, &arms[0], &arms[1]].map(|outline| prism_of(outline, 0.0, 60.0, 2));
    let section = Slicer::level(&together(&tubes)).cut(17.0);
    assert_eq!(section.contours.len(), 3);
    let alone = section
        .contours
        .iter()
        .max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))
        .unwrap();
    near(alone.taut_girth_mm(), 951.923_354_804_516_1, ROUND_OFF_MM);
    let all: Vec<_> = section
        .contours
        .iter()
        .flat_map(|c| c.points().iter().copied())
        .collect();
    let swallowed = Hull::of(&all).perimeter();
    short_by(swallowed, 1_299.313_326_690_143, facets(1_300.0, n, 1.5));
    near(swallowed / alone.taut_girth_mm(), 1.364_930_482_362, 1e-5);
}

/// A torso with two bust discs grown into it: the tape bridges the hollows.
#[test]
fn a_taut_tape_over_a_bust() {
    let n = 720;
    let parts = [
        ellipse(140.0, 105.0, n, [0.0; 2]),
        ellipse(55.0, 55.0, n, [-75.0, 70.0]),
        ellipse(55.0, 55.0, n, [75.0, 70.0]),
    ];
    let tubes = parts
        .each_ref()
        .map(|outline| prism_of(outline, 0.0, 60.0, 2));
    let section = Slicer::level(&together(&tubes)).cut(17.0);
    let all: Vec<_> = section
        .contours
        .iter()
        .flat_map(|c| c.points().iter().copied())
        .collect();
    short_by(
        Hull::of(&all).perimeter(),
        851.043_619_245_409_8,
        facets(1_465.0, n, 1.5),
    );
}

/// r = 150(1 + ε cos 2θ): along the skin and taut differ once the waist turns hollow (ε > 0.2).
#[test]
fn waisted_outlines() {
    let n = 1440;
    for (waist, taut, skin, area) in [
        (
            0.1,
            951.856_029_801_250_4,
            951.856_029_801_250_4,
            71_039.263_879_299_2,
        ),
        (
            0.2,
            979.458_345_095_900_4,
            979.458_345_095_900_4,
            72_099.551_399_885_75,
        ),
        (
            0.3,
            1_022.788_167_606_245,
            1_023.859_379_073_652,
            73_866.697_267_53,
        ),
        (
            0.4,
            1_075.351_827_653_811,
            1_083.138_842_212_187,
            76_340.701_482_231_98,
        ),
    ] {
        let outline = polar(n, |t| {
            let r = 150.0 * (1.0 + waist * (2.0 * t).cos());
            [r * t.cos(), r * t.sin()]
        });
        let contour = only(&prism_of(&outline, 0.0, 60.0, 2), 11.0);
        // ∫|κ|² of these is under ten times the circle's of the same length.
        short_by(contour.surface_girth_mm(), skin, facets(skin, n, 10.0));
        short_by(contour.taut_girth_mm(), taut, facets(taut, n, 10.0));
        near(
            contour.area_mm2(),
            area,
            area * 10.0 * (PI / f64::from(n)).powi(2),
        );
        assert!(contour.taut_girth_mm() <= contour.surface_girth_mm() + ROUND_OFF_MM);
    }
}

/// Outlines of constant width and with straight sides.
#[test]
fn straight_sides_and_constant_width() {
    // Rounded rectangle 320 × 220, corners r 80: 2(160 + 60) + 2π·80.
    let n = 180;
    let mut outline = Vec::new();
    for (quarter, centre) in [[80.0, 30.0], [-80.0, 30.0], [-80.0, -30.0], [80.0, -30.0]]
        .into_iter()
        .enumerate()
    {
        outline.extend((0..=n).map(|i| {
            let t = FRAC_PI_2 * (quarter as f64 + f64::from(i) / f64::from(n));
            [centre[0] + 80.0 * t.cos(), centre[1] + 80.0 * t.sin()]
        }));
    }
    let contour = only(&prism_of(&outline, 0.0, 60.0, 2), 11.0);
    short_by(
        contour.taut_girth_mm(),
        942.654_824_574_366_9,
        facets(TAU * 80.0, 4 * n, 1.0),
    );

    // Reuleaux triangle of width 300: π · 300 (Barbier's theorem).
    let side = 300.0;
    let corners = [0.0, 1.0, 2.0].map(|k| {
        let t = TAU * k / 3.0;
        [
            side / 3.0_f64.sqrt() * f64::cos(t),
            side / 3.0_f64.sqrt() * f64::sin(t),
        ]
    });
    let mut outline = Vec::new();
    for k in 0..3 {
        // The arc opposite to corner k runs from corner k + 1 to corner k + 2.
        let (centre, from) = (corners[k], corners[(k + 1) % 3]);
        let start = (from[1] - centre[1]).atan2(from[0] - centre[0]);
        outline.extend((0..n).map(|i| {
            let t = start + PI / 3.0 * f64::from(i) / f64::from(n);
            [centre[0] + side * t.cos(), centre[1] + side * t.sin()]
        }));
    }
    let contour = only(&prism_of(&outline, 0.0, 60.0, 2), 11.0);
    // Three arcs of a sixth of a turn of radius 300 in n steps each: 6n to the turn.
    short_by(
        contour.taut_girth_mm(),
        942.477_796_076_937_9,
        facets(PI * side, 6 * n, 1.0),
    );
}

/// |x/180|ᵉ + |y/120|ᵉ = 1; area 4ab·Γ(1 + 1/e)²/Γ(1 + 2/e).
#[test]
fn superellipses() {
    let n = 2880;
    for (exponent, girth, area) in [
        (2.0, 951.926_375_357_435_4, 67_858.401_317_539_53),
        (2.5, 989.488_999_929_689, 73_028.203_830_807_48),
        (3.0, 1_017.944_012_085_652, 76_318.794_012_331_44),
        (4.0, 1_057.266_897_734_366, 80_096.026_059_419_27),
    ] {
        let outline = polar(n, |t| {
            // In polar form, so that corners and flats get steps alike.
            let (c, s) = (t.cos(), t.sin());
            let r = ((c.abs() / 180.0).powf(exponent) + (s.abs() / 120.0).powf(exponent))
                .powf(-1.0 / exponent);
            [r * c, r * s]
        });
        let contour = only(&prism_of(&outline, 0.0, 60.0, 2), 11.0);
        // Corners of e = 4 bend about three times as hard as the circle: squared, on steps up to 1.5 times as long.
        short_by(contour.taut_girth_mm(), girth, facets(girth, n, 20.0));
        near(
            contour.area_mm2(),
            area,
            area * 20.0 * (PI / f64::from(n)).powi(2),
        );
    }
}
