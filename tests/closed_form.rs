//! Sections of solids of known form against their closed forms.
//!
//! Exact values were computed with mpmath at 40 digits and are printed to 16;
//! hulls and superellipses were confirmed with polygons of 400 000 points. The
//! formula stands beside each.
//!
//! Tolerances. A polygon of n equal steps inscribed in a curve of length P is
//! short by π²/6n² · P on a circle, and to leading order by
//! h²/24 · ∫κ² ds on any smooth curve in steps h of length. On the shapes
//! below that is at most [`facets`] with the factor given there; never is it
//! longer. Values of the polygon itself are met to round-off.

mod common;

use common::solid::{ellipse, ellipsoid, polar, prism_of, together, tube};
use girthwise::mesh::TriMesh;
use girthwise::section::{Contour, Hull, PlaneAxes, Slicer, cut_at};
use nalgebra::{Isometry3, Point3, Vector3};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Round-off of sums over a thousand points near 1000 mm: 1000 · 2^-53 · 1000 < 2e-10.
const ROUND_OFF_MM: f64 = 1e-9;

/// What a polygon of `n` steps may be short by: π²/6n² of the length, times how
/// much more than a circle's the curve's bending needs.
fn facets(length: f64, n: u32, bending: f64) -> f64 {
    bending * length * PI * PI / (6.0 * f64::from(n).powi(2))
}

fn only(mesh: &TriMesh, height: f64) -> Contour {
    let section = Slicer::level(mesh).cut(height);
    assert_eq!(section.contours.len(), 1, "at {height}");
    assert!(section.contours[0].is_closed());
    section.contours[0].clone()
}

/// Asserts that `found` is short of `exact` by no more than `bound`, and not longer.
fn short_by(found: f64, exact: f64, bound: f64) {
    let gap = exact - found;
    assert!(
        (-ROUND_OFF_MM..=bound).contains(&gap),
        "{found} is short of {exact} by {gap}, allowed {bound}"
    );
}

fn near(found: f64, exact: f64, tolerance: f64) {
    assert!(
        (found - exact).abs() <= tolerance,
        "{found} instead of {exact}, allowed {tolerance}"
    );
}

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
