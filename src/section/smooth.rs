//! Roughness of a contour, and the contour without it.

use super::Contour;
use super::hull::distance;
use nalgebra::{Matrix3, Vector3};
use std::borrow::Cow;
use std::f64::consts::{PI, TAU};

/// Half-width along the contour of the parabolas laid through it, in steps of
/// the contour and in mm: enough points to take off three quarters of the
/// noise, and no more than a finger's breadth, so that folds a tape would
/// follow stay.
const REACH_STEPS: f64 = 5.0;
const REACH_MM: (f64, f64) = (8.0, 20.0);
/// Points on either side beyond which more would smooth no better.
const MOST_POINTS: usize = 64;

impl Contour {
    /// The contour with parabolas laid along it, and its roughness: the standard
    /// deviation of its points about them, across the skin, in mm.
    ///
    /// Definition: each point moves to the value of the parabola of least
    /// squares through all points within five steps along the contour, 8 to 20 mm. A circle or
    /// ellipse keeps its girth (a parabola follows a curve of radius 50 mm to
    /// 0.02 mm over that reach).
    ///
    /// Why: a noisy skin has a longer girth than a smooth one, along the skin
    /// by its zigzag, under a taut tape because the tape rides on the peaks.
    #[must_use]
    pub fn smoothed(&self) -> (Self, f64) {
        let points = self.points();
        let n = points.len();
        if n < 8 || !self.is_closed() {
            return (self.clone(), 0.0);
        }
        let steps: Vec<f64> = (0..n)
            .map(|i| distance(points[i], points[(i + 1) % n]))
            .collect();
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 points")]
        let step = steps.iter().sum::<f64>() / n as f64;
        let reach = (REACH_STEPS * step).clamp(REACH_MM.0, REACH_MM.1);
        let mut square = 0.0;
        let mut freedom = 0.0;
        let smooth: Vec<[f64; 2]> = (0..n)
            .map(|i| {
                let Some(fit) = Local::about(points, &steps, i, reach) else {
                    return points[i];
                };
                square += fit.across * fit.across;
                freedom += 1.0 - fit.own_weight;
                fit.point
            })
            .collect();
        let roughness = if freedom > 0.0 {
            (square / freedom).sqrt()
        } else {
            0.0
        };
        (self.with_points(smooth), roughness)
    }
}

/// Jitter from which a contour is smoothed before it is read, in mm, over what its facets explain.
/// Points of a cut share vertices, so that their jitter is a third to a half of the skin's noise.
const JITTER_MM: f64 = 0.06;

/// Jitter of a regular polygon, in depths of its facets: each corner lies a whole depth off the line
/// between its neighbours, of which a single point's share is 1/√1.5 (see [`Contour::jitter_mm`]). The
/// corners of a polygon whose sides are not all alike lie half as far to twice as far off, the middle one nearer.
const FACET_JITTER: f64 = 1.4826 * 0.816_496_580_927_726;

/// Of a polygon whose sides are not all alike the middle corner lies so much of that off, at most: on legs of four model
/// bodies the middle of all levels is 0.37 to 0.54.
const MIDDLE_CORNER: f64 = 0.6;

impl Contour {
    /// True if its skin is rougher than its facets explain.
    pub(crate) fn is_rough(&self) -> bool {
        self.jitter_mm() > self.least_rough_mm()
    }

    /// Jitter beyond which its skin is rougher than its facets explain: noise up to it may hide among them.
    pub(crate) fn least_rough_mm(&self) -> f64 {
        JITTER_MM + FACET_JITTER * facet_depth(self)
    }

    /// Its jitter, if its skin is rougher than its facets explain; otherwise 0.
    pub(crate) fn noise_mm(&self) -> f64 {
        if self.is_rough() {
            self.jitter_mm()
        } else {
            0.0
        }
    }

    /// How far its points may lie off a round skin for the facets' sake alone, as a standard deviation
    /// in mm: points spread evenly over chords of depth d lie 2d/3 inside the arc, give or take 0.3 d.
    pub(crate) fn facet_jitter_mm(&self) -> f64 {
        0.3 * facet_depth(self)
    }

    /// By how much a girth is short for the facets' sake, as a standard uncertainty in mm: a skin that
    /// lies 2d/3 inside the round one all round is short by 2π of it, and half of that may be known.
    pub(crate) fn facet_shortfall_mm(&self) -> f64 {
        TAU * facet_depth(self) / 3.0
    }

    /// By how much taut girths of neighbouring levels may differ for the scan's sake alone, in mm.
    ///
    /// A tape rides on the peaks of rough skin: it jitters by about π times one point's noise. An
    /// inscribed polygon of n equal sides is short by π²/6n², which facets of many sizes change from
    /// level to level.
    pub(crate) fn girth_jitter_mm(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 points")]
        let n = self.points().len().max(1) as f64;
        let short = self.surface_girth_mm() * PI * PI / (6.0 * n * n);
        short.hypot(PI * self.noise_mm())
    }

    /// By how much noise of the skin moves its girth once it is smoothed, as a standard deviation in mm: as it
    /// moves the mean radius. A point of the mesh errs by about 2.5 times the jitter (see [`JITTER_MM`]), and a
    /// cut passes between two points of the mesh for every two of its own.
    ///
    /// It counts noise too small for a contour to be read as rough, and single contours may seem to have some that
    /// their facets make: the middle of many tells.
    pub(crate) fn girth_noise_mm(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 points")]
        let n = self.points().len().max(2) as f64;
        let facets = MIDDLE_CORNER * FACET_JITTER * facet_depth(self);
        let noise = (self.jitter_mm().powi(2) - facets.powi(2)).max(0.0).sqrt();
        TAU * 2.5 * noise / (0.5 * n).sqrt()
    }

    /// The contour as it should be read: smoothed if its skin is rough.
    pub(crate) fn settled(&self) -> Cow<'_, Self> {
        if self.is_rough() {
            Cow::Owned(self.smoothed().0)
        } else {
            Cow::Borrowed(self)
        }
    }

    /// Half the breadth of a fold that smoothing fills, in mm.
    pub(crate) fn smoothing_reach_mm(&self) -> f64 {
        (REACH_STEPS * self.step_mm()).clamp(REACH_MM.0, REACH_MM.1)
    }

    /// Mean distance between its points in mm.
    pub(crate) fn step_mm(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 points")]
        let n = self.points().len().max(1) as f64;
        self.surface_girth_mm() / n
    }

    /// How far its points jitter off the straight line between their
    /// neighbours, as the standard deviation of a single point, in mm.
    ///
    /// Unlike the roughness of [`smoothed`](Self::smoothed) it does not count
    /// large flat facets, whose kinks are few: it is the middle of all
    /// deviations that is taken, times 1.4826 (the ratio of the standard
    /// deviation to the median absolute deviation of a normal distribution).
    #[must_use]
    pub fn jitter_mm(&self) -> f64 {
        let points = self.points();
        let n = points.len();
        if n < 8 {
            return 0.0;
        }
        let mut off: Vec<f64> = (0..n)
            .map(|i| {
                let (a, p, b) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
                let (run, back) = (distance(a, b), distance(a, p));
                if run <= 0.0 {
                    return 0.0;
                }
                let cross = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
                // The neighbours jitter too: variance 1 + w² + (1 − w)² of one point's.
                let w = (back / run).clamp(0.0, 1.0);
                (cross / run).abs() / (1.0 + w * w + (1.0 - w) * (1.0 - w)).sqrt()
            })
            .collect();
        let (_, median, _) = off.select_nth_unstable_by(n / 2, f64::total_cmp);
        1.4826 * *median
    }
}

/// How far facets as long as two steps of a round contour lie inside it: s²/2r.
fn facet_depth(contour: &Contour) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 points")]
    let n = contour.points().len().max(1) as f64;
    contour.step_mm() * PI / n
}

/// The parabola about one point of a contour.
struct Local {
    point: [f64; 2],
    /// Distance of the given point from the parabola, across it.
    across: f64,
    /// Share of the given point in its own smoothed place.
    own_weight: f64,
}

impl Local {
    fn about(points: &[[f64; 2]], steps: &[f64], i: usize, reach: f64) -> Option<Self> {
        let n = points.len();
        let mut normal = Matrix3::zeros();
        let mut right = [Vector3::zeros(); 2];
        let mut add = |along: f64, at: usize| {
            let d = along / reach;
            let row = Vector3::new(1.0, d, d * d);
            normal += row * row.transpose();
            for k in 0..2 {
                right[k] += row * (points[at][k] - points[i][k]);
            }
        };
        add(0.0, i);
        let most = MOST_POINTS.min((n - 1) / 2);
        let mut used = 0;
        for step in [1, n - 1] {
            let (mut at, mut along) = (i, 0.0);
            for _ in 0..most {
                let to = (at + step) % n;
                along += if step == 1 { steps[at] } else { -steps[to] };
                if f64::abs(along) > reach {
                    break;
                }
                at = to;
                add(along, at);
                used += 1;
            }
        }
        if used < 4 {
            return None;
        }
        let solver = normal.cholesky()?;
        let [u, v] = right.map(|r| solver.solve(&r));
        let own = solver.solve(&Vector3::new(1.0, 0.0, 0.0));
        // Direction along the contour is (u1, v1); only what is across it is roughness.
        let along = f64::hypot(u[1], v[1]);
        let across = if along > 0.0 {
            (u[0] * v[1] - v[0] * u[1]) / along
        } else {
            f64::hypot(u[0], v[0])
        };
        Some(Self {
            point: [points[i][0] + u[0], points[i][1] + v[0]],
            across,
            own_weight: own[0],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Circle r 150 in 360 steps with radial noise of a uniform distribution of
    /// known standard deviation.
    fn rough(sd: f64) -> Contour {
        let mut seed = 11_u64;
        let mut noise = || {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            #[expect(clippy::cast_precision_loss, reason = "a random number")]
            let unit = (seed >> 11) as f64 / (1_u64 << 53) as f64;
            (unit - 0.5) * 12.0_f64.sqrt() * sd
        };
        let points = (0..360)
            .map(|i| {
                let (angle, r) = (TAU * f64::from(i) / 360.0, 150.0 + noise());
                [r * angle.cos(), r * angle.sin()]
            })
            .collect();
        Contour::new(points, true)
    }

    /// Closed form: a regular polygon of n sides in a circle of radius r is short of its 2πr by
    /// 2πr − 2nr·sin(π/n), 0.0388 mm at n = 200 and r = 150 (computed); noise of 1 mm adds π of it.
    #[test]
    fn a_girth_jitters_by_its_facets_and_its_noise() {
        let coarse = (0..200).map(|i| {
            let angle = TAU * f64::from(i) / 200.0;
            [150.0 * angle.cos(), 150.0 * angle.sin()]
        });
        let found = Contour::closed(coarse.collect()).girth_jitter_mm();
        assert!((found - 0.0388).abs() < 0.0004, "{found}");
        let noisy = rough(1.0).girth_jitter_mm();
        assert!((noisy / PI - 1.0).abs() < 0.3, "{noisy}");
    }

    /// Chord polygons of circles, as a well-made mesh of a cylinder is cut, are no rough skin, however
    /// coarse and whether their corners are spaced alike or at random; noise that outweighs the facets is.
    #[test]
    fn facets_are_not_rough() {
        let mut seed = 5_u64;
        let mut uniform = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from((seed >> 33) as u32) / f64::from(u32::MAX >> 1)
        };
        for r in [30.0, 60.0, 150.0] {
            for n in [16_u32, 40, 90, 120, 200, 400] {
                // Of few corners at random the middle one may lie off by more.
                let spreads = if n < 40 { &[0.0][..] } else { &[0.0, 0.5, 0.9] };
                for &spread in spreads {
                    let points = (0..n).map(|i| {
                        let place = f64::from(i) + spread * (uniform() - 0.5);
                        let angle = TAU * place / f64::from(n);
                        [r * angle.cos(), r * angle.sin()]
                    });
                    let contour = Contour::closed(points.collect());
                    assert!(!contour.is_rough(), "r {r} n {n} spread {spread}");
                    assert!(contour.noise_mm() <= 0.0);
                }
            }
        }
        assert!(rough(0.2).is_rough());
    }

    #[test]
    fn a_smooth_circle_stays() {
        let (smooth, roughness) = rough(0.0).smoothed();
        let exact = 720.0 * 150.0 * (TAU / 720.0).sin();
        assert!((smooth.surface_girth_mm() - exact).abs() < 0.05);
        assert!(roughness < 0.01, "{roughness}");
    }

    /// Jitter finds noise as its standard deviation, and none in large flat facets: a
    /// square of side 200 in steps of 2.
    #[test]
    fn jitter_is_noise_and_not_facets() {
        let found = rough(1.0).jitter_mm();
        assert!((0.8..1.3).contains(&found), "{found}");
        // A circle's own bow over two steps of 2.618: s²/2r, as a deviation of one point.
        let bow = (300.0 * (TAU / 720.0).sin()).powi(2) / 300.0;
        let exact = 1.4826 * bow / 1.5_f64.sqrt();
        assert!((rough(0.0).jitter_mm() / exact - 1.0).abs() < 1e-3);
        let side = |i: u32| 2.0 * f64::from(i);
        let square = (0..100)
            .map(|i| [side(i), 0.0])
            .chain((0..100).map(|i| [200.0, side(i)]))
            .chain((0..100).map(|i| [200.0 - side(i), 200.0]))
            .chain((0..100).map(|i| [0.0, 200.0 - side(i)]))
            .collect();
        assert!(Contour::new(square, true).jitter_mm() < 1e-12);
    }

    /// Noise of 1 mm lengthens the zigzag of 2.6 mm steps by several per cent;
    /// smoothing leaves about 0.45 of it (eleven points to a parabola: √(9/44)) at a tenth of its
    /// steepness, and brings the girths back to the circle's within 1 and 0.5 per cent.
    #[test]
    fn noise_is_found_and_taken_off() {
        let noisy = rough(1.0);
        let (smooth, roughness) = noisy.smoothed();
        let exact = 300.0 * TAU / 2.0;
        assert!(noisy.surface_girth_mm() > 1.05 * exact);
        assert!((roughness - 1.0).abs() < 0.15, "{roughness}");
        assert!((smooth.surface_girth_mm() / exact - 1.0).abs() < 0.01);
        assert!((smooth.taut_girth_mm() / exact - 1.0).abs() < 0.005);
    }
}
