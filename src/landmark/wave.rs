//! Smooth waves of a scan's skin, told by what its two sides do not share.
//!
//! A hand-held scanner leaves waves of some centimetres on the skin. On one side alone they look like
//! shape: along a leg its own muscles swell and taper as hard. But a body's left and right are alike in
//! detail, and waves are not. So the left leg is laid over the right one in the mirror, and the trunk
//! over itself; what is left over after all that changes slowly along a band of levels is waves, noise
//! apart, as that is not shared by levels a finger's breadth apart.

use crate::part::{Branch, Parts, Piece};
use crate::section::Contour;
use crate::side::Side;
use nalgebra::{Matrix3, Vector3};
use std::f64::consts::{PI, TAU};

/// How much a scan's skin waves.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Waves {
    /// Standard deviation of the skin across itself, in mm; 0 where none shows.
    pub(crate) rms_mm: f64,
}

/// Correlation length of the waves, in mm: two places of the skin so far apart have exp(−½) of them in
/// common. That of a hand-held scanner's blurring (assumed; a band is too short to tell it).
const LENGTH_MM: f64 = 25.0;
/// Rays about a contour's middle on which its sides are compared.
const RAYS: usize = 48;
/// Levels that are compared: every third, 7.5 mm apart on a grown person.
const STEPS: f64 = 3.0;
/// Levels so many apart share waves, but no noise of the skin: 15 mm.
const APART: usize = 2;
/// A band with fewer levels tells nothing.
const LEAST_LEVELS: usize = 12;
/// Bands of the legs and of the trunk, in shares of the stature: shank, knee, thigh; seat, waist.
const LEG_BANDS: [(f64, f64); 3] = [(0.07, 0.25), (0.20, 0.34), (0.29, 0.42)];
const TRUNK_BANDS: [(f64, f64); 2] = [(0.48, 0.60), (0.56, 0.70)];
/// What the sides of a band differ by on a clean skin, in mm, of the same kind as what is found on
/// waves: the second least of five bands is 0.06 in the middle of 60 study bodies, 0.17 at most.
const OWN_MM: f64 = 0.14;
/// By how much waves are more than the differences of sides show of them, which are about slow
/// parabolas and of levels apart: chosen on 60 study bodies with waves of 0.8 mm, which came out as 0.31.
const SHOWN: f64 = 2.9;

impl Waves {
    /// From the parts of a standing body.
    ///
    /// A body's sides may differ in one place or other, waves are everywhere: the second least band counts.
    pub(super) fn of(parts: &Parts, stature_mm: f64) -> Self {
        let [left, right] = Side::BOTH.map(|side| parts.leg(side));
        let trunk = &parts.trunk;
        let legs = LEG_BANDS.iter().map(|&band| (left, right, band));
        let all = legs.chain(TRUNK_BANDS.iter().map(|&band| (trunk, trunk, band)));
        let mut shown: Vec<f64> = all
            .filter_map(|(left, right, (low, high))| {
                let band = (low * stature_mm, high * stature_mm);
                unshared(left, right, band, parts.step_mm)
            })
            .collect();
        shown.sort_by(f64::total_cmp);
        let square = shown.get(1).copied().unwrap_or(0.0) - OWN_MM * OWN_MM;
        Self {
            rms_mm: SHOWN * square.max(0.0).sqrt(),
        }
    }

    /// What the waves do to a girth, as a standard deviation in mm.
    ///
    /// A girth errs by 2π times the mean of the waves all round. Of waves of correlation length l their
    /// variance on a circle of radius r is the mean of exp(−c²/2l²) over the chords c from one place to
    /// all others, exp(−r²/l²)·I₀(r²/l²).
    pub(crate) fn girth_sd(self, girth_mm: f64) -> f64 {
        const PARTS: u32 = 32;
        let across = girth_mm / PI / LENGTH_MM;
        let shared = (0..PARTS).map(|i| {
            let half = 0.5 * PI * (f64::from(i) + 0.5) / f64::from(PARTS);
            (-0.5 * (across * half.sin()).powi(2)).exp()
        });
        TAU * self.rms_mm * (shared.sum::<f64>() / f64::from(PARTS)).sqrt()
    }
}

/// Mean square of what the mirrored sides do not share along a band, in mm².
fn unshared(left: &Branch, right: &Branch, band: (f64, f64), step_mm: f64) -> Option<f64> {
    let step = STEPS * step_mm;
    let levels: Vec<Option<[f64; RAYS]>> =
        std::iter::successors(Some(band.0), |at| Some(at + step))
            .take_while(|&at| at <= band.1)
            .take(MOST_LEVELS)
            .map(|at| {
                let (left, right) = (at_level(left, at, step_mm)?, at_level(right, at, step_mm)?);
                let (left, right) = (rays(&left.contour)?, rays(&right.contour)?);
                let mirrored = |ray: usize| left[(RAYS + RAYS / 2 - ray) % RAYS];
                Some(std::array::from_fn(|ray| right[ray] - mirrored(ray)))
            })
            .collect();
    if levels.iter().flatten().count() < LEAST_LEVELS {
        return None;
    }
    let levels = without_slow(&levels)?;
    let pairs = levels.iter().zip(levels.iter().skip(APART));
    let (mut sum, mut count) = (0.0, 0.0);
    for (one, other) in pairs.filter_map(|(one, other)| one.as_ref().zip(other.as_ref())) {
        sum += one.iter().zip(other).map(|(a, b)| a * b).sum::<f64>();
        count += 1.0;
    }
    #[expect(clippy::cast_precision_loss, reason = "a few dozen rays")]
    let rays = RAYS as f64;
    // Either side has its own.
    (count > 0.0).then(|| 0.5 * sum / (count * rays))
}

/// No band has more levels than a body of 680.
const MOST_LEVELS: usize = 240;

/// The piece at a level, if there is one.
fn at_level(branch: &Branch, at: f64, step_mm: f64) -> Option<&Piece> {
    let piece = branch.nearest(at)?;
    ((piece.height_mm - at).abs() <= step_mm).then_some(piece)
}

/// How far a contour reaches from its middle along each ray; none if it does not go all round it.
fn rays(contour: &Contour) -> Option<[f64; RAYS]> {
    #[expect(clippy::cast_precision_loss, reason = "a few dozen rays")]
    let apart = TAU / RAYS as f64;
    let [x, y] = contour.centroid();
    let points = contour.points();
    let mut reach = [0.0_f64; RAYS];
    let around = |p: [f64; 2]| [p[0] - x, p[1] - y];
    let mut from = around(*points.last()?);
    let mut angle = from[1].atan2(from[0]);
    for &point in points {
        let to = around(point);
        let next = to[1].atan2(to[0]);
        let turn = (next - angle + PI).rem_euclid(TAU) - PI;
        let (low, high) = (
            angle.min(angle + turn) / apart,
            angle.max(angle + turn) / apart,
        );
        let area = from[0] * to[1] - from[1] * to[0];
        let mut ray = low.ceil();
        while ray <= high {
            let (sin, cos) = (ray * apart).sin_cos();
            let out = area / (cos * (to[1] - from[1]) - sin * (to[0] - from[0]));
            if out.is_finite() {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    clippy::cast_precision_loss,
                    reason = "the remainder of a few dozen"
                )]
                let at = ray.rem_euclid(RAYS as f64) as usize % RAYS;
                reach[at] = reach[at].max(out);
            }
            ray += 1.0;
        }
        (from, angle) = (to, next);
    }
    reach.iter().all(|&out| out > 0.0).then_some(reach)
}

/// The levels less a parabola of least squares along each ray.
fn without_slow(levels: &[Option<[f64; RAYS]>]) -> Option<Vec<Option<[f64; RAYS]>>> {
    #[expect(clippy::cast_precision_loss, reason = "a few dozen levels")]
    let row = |i: usize| {
        let d = 2.0 * i as f64 / levels.len() as f64 - 1.0;
        Vector3::new(1.0, d, d * d)
    };
    let there = || levels.iter().enumerate();
    let mut normal = Matrix3::zeros();
    for (i, _) in there().filter(|(_, level)| level.is_some()) {
        normal += row(i) * row(i).transpose();
    }
    let normal = normal.cholesky()?;
    let mut slow = [Vector3::zeros(); RAYS];
    for (ray, slow) in slow.iter_mut().enumerate() {
        let values = there().filter_map(|(i, level)| Some(row(i) * level.as_ref()?[ray]));
        *slow = normal.solve(&values.sum());
    }
    let less = |(i, level): (usize, &Option<[f64; RAYS]>)| {
        let level = level.as_ref()?;
        Some(std::array::from_fn(|ray| {
            level[ray] - row(i).dot(&slow[ray])
        }))
    };
    Some(there().map(less).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::closed_for_tests;

    /// A circle's rays are its radius, also about a middle off the origin; a square's those to its sides.
    #[test]
    fn rays_of_circle_and_square() {
        let circle = (0..3600).map(|i| {
            let (sin, cos) = (TAU * f64::from(i) / 3600.0).sin_cos();
            [70.0 + 40.0 * cos, -20.0 + 40.0 * sin]
        });
        let found = rays(&closed_for_tests(circle.collect())).unwrap();
        assert!(found.iter().all(|r| (r - 40.0).abs() < 1e-3), "{found:?}");
        let square = vec![[-10.0, -10.0], [10.0, -10.0], [10.0, 10.0], [-10.0, 10.0]];
        let found = rays(&closed_for_tests(square)).unwrap();
        for (at, reach) in [(0, 10.0), (6, 10.0 * 2.0_f64.sqrt()), (12, 10.0)] {
            assert!((found[at] - reach).abs() < 1e-9, "{at}: {}", found[at]);
        }
    }

    /// exp(−a)·I₀(a) at a = r²/l² (I₀ from tables: I₀(1) = 1.266 066, I₀(4) = 11.301 922): circles of r
    /// 25 and 50 mm at l = 25, waves of 0.8 mm. Half as many waves do half as much.
    #[test]
    fn waves_of_a_circle() {
        let waves = Waves { rms_mm: 0.8 };
        for (radius, bessel) in [(25.0, 1.266_066), (50.0, 11.301_922)] {
            let a: f64 = (radius / LENGTH_MM).powi(2);
            let exact = TAU * 0.8 * ((-a).exp() * bessel).sqrt();
            let found = waves.girth_sd(TAU * radius);
            assert!((found - exact).abs() < 1e-4, "{found} {exact}");
            let half = Waves { rms_mm: 0.4 }.girth_sd(TAU * radius);
            assert!((half - 0.5 * exact).abs() < 1e-4);
        }
    }

    /// Legs of cones that taper alike have no waves, however much fuller one of them is; sines of 0.8·√2
    /// mm that run up only one of them, 80 mm long, come out as waves.
    #[test]
    fn waves_are_what_the_sides_do_not_share() {
        let leg = |out: f64, radius: f64, wave: f64| Branch {
            pieces: (0..300)
                .map(|i| {
                    let z = 2.5 * f64::from(i);
                    let points = (0..360).map(|k| {
                        let angle = TAU * f64::from(k) / 360.0;
                        let (sin, cos) = angle.sin_cos();
                        let shape = 4.0 * (2.0 * angle).cos() + 6.0 * (z / 40.0).sin() * sin;
                        let wave = wave * (TAU * z / 80.0 + 3.0 * angle).sin();
                        let r = radius + 0.05 * z + shape + wave;
                        [out + r * cos, r * sin]
                    });
                    let contour = closed_for_tests(points.collect());
                    Piece {
                        height_mm: z,
                        taut_mm: contour.taut_girth_mm(),
                        contour,
                    }
                })
                .collect(),
        };
        let band = (120.0, 420.0);
        let (left, fuller) = (leg(-100.0, 50.0, 0.0), leg(100.0, 54.0, 0.0));
        let clean = unshared(&left, &fuller, band, 2.5).unwrap();
        assert!(clean.abs() < 1e-3, "{clean}");
        let waving = leg(100.0, 50.0, 0.8 * 2.0_f64.sqrt());
        let found = unshared(&left, &waving, band, 2.5).unwrap();
        // Half of 0.64, as one side has none, times the cosine of 15 mm in 80.
        let exact = 0.5 * 0.64 * (TAU * 15.0 / 80.0).cos();
        assert!((found / exact - 1.0).abs() < 0.15, "{found} {exact}");
        assert!(unshared(&left, &Branch::default(), band, 2.5).is_none());
    }
}
