//! The mid-sagittal plane: the upright plane in which the trunk mirrors itself best.
//!
//! Each section of trunk and thighs is mirrored in a plane and laid on
//! itself; turn and offset of the plane are moved until the skin lies on the
//! skin. Skin that finds no counterpart (a hand on one hip, a heavier
//! breast) loses its say, after Tukey's biweight, instead of pulling the
//! plane over.

use super::levels::{Level, Loop};
use crate::parallel::map_indices;
use nalgebra::{Matrix2, Vector2};

/// An upright plane: points with `normal · p = offset`, the normal at `angle` from the first axis.
#[derive(Clone, Copy, Debug)]
pub(super) struct Midline {
    pub(super) angle: f64,
    pub(super) offset: f64,
    /// Middle of the trunk.
    pub(super) centre: Vector2<f64>,
    /// Spread of the residuals of the fit, in mm.
    pub(super) misfit: f64,
    /// Standard uncertainty of the offset, in mm.
    pub(super) offset_sd: f64,
}

/// Points of a level's skin with outward or inward unit normals (the same way for all).
struct Skin {
    points: Vec<Vector2<f64>>,
    normals: Vec<Vector2<f64>>,
    share: f64,
}

/// Skin points a loop: 3 mm to 9 mm apart, well below what yaw or offset depend on.
const POINTS: u32 = 120;
/// Tukey's biweight constant for 95 % efficiency under Gaussian noise.
const TUKEY: f64 = 4.685;
/// A fit to better than this is no better: the spread used for weights does not fall below it (mm).
const LEAST_SPREAD_MM: f64 = 1.0;
/// Sections nearer than this share of the height tell the same.
const KIN: f64 = 0.05;

/// Fits the plane to `levels`, starting from each of `starts` (angles of the normal); the best fit is kept.
pub(super) fn fit(levels: &[Level], starts: &[f64]) -> Option<Midline> {
    let skins: Vec<Skin> = levels.iter().filter_map(skin).collect();
    if skins.len() < 5 {
        return None;
    }
    let centre = centre(&skins);
    starts
        .iter()
        .filter_map(|&start| descend(&skins, start, centre))
        .min_by(|a, b| a.misfit.total_cmp(&b.misfit))
}

fn centre(skins: &[Skin]) -> Vector2<f64> {
    let mut middles: [Vec<f64>; 2] = [Vec::new(), Vec::new()];
    for skin in skins {
        for (k, middle) in middles.iter_mut().enumerate() {
            let sum: f64 = skin.points.iter().map(|p| p[k]).sum();
            middle.push(sum / count(skin.points.len()));
        }
    }
    let [mut u, mut v] = middles;
    Vector2::new(median(&mut u), median(&mut v))
}

/// Trunk or both thighs of a level: loops at least half as large as the largest.
fn skin(level: &Level) -> Option<Skin> {
    let largest = level.loops.first()?.area;
    let mut skin = Skin {
        points: Vec::new(),
        normals: Vec::new(),
        share: level.share,
    };
    for part in level.loops.iter().filter(|l| l.area > 0.5 * largest) {
        sample(part, &mut skin);
    }
    (!skin.points.is_empty()).then_some(skin)
}

/// Equal steps along the loop, counter-clockwise.
fn sample(part: &Loop, skin: &mut Skin) {
    let mut ring: Vec<Vector2<f64>> = part.points.iter().map(|&p| Vector2::from(p)).collect();
    let turn: f64 = (0..ring.len())
        .map(|i| ring[i].perp(&ring[(i + 1) % ring.len()]))
        .sum();
    if turn < 0.0 {
        ring.reverse();
    }
    let lengths: Vec<f64> = (0..ring.len())
        .map(|i| (ring[(i + 1) % ring.len()] - ring[i]).norm())
        .collect();
    let step = lengths.iter().sum::<f64>() / f64::from(POINTS);
    if step <= 0.0 {
        return;
    }
    let first = skin.points.len();
    let (mut edge, mut walked) = (0, 0.0);
    for i in 0..POINTS {
        let at = (f64::from(i) + 0.5) * step;
        while edge + 1 < ring.len() && walked + lengths[edge] < at {
            walked += lengths[edge];
            edge += 1;
        }
        let t = ((at - walked) / lengths[edge].max(f64::MIN_POSITIVE)).min(1.0);
        skin.points
            .push(ring[edge] + (ring[(edge + 1) % ring.len()] - ring[edge]) * t);
    }
    // Normals across two steps each way, so that noise of one point does not turn them.
    let points = &skin.points[first..];
    let n = points.len();
    let normals: Vec<Vector2<f64>> = (0..n)
        .map(|i| {
            let along = points[(i + 2) % n] - points[(i + n - 2) % n];
            Vector2::new(along.y, -along.x)
                .try_normalize(0.0)
                .unwrap_or_else(Vector2::zeros)
        })
        .collect();
    skin.normals.extend(normals);
}

/// One mirrored skin point against its counterpart: residual and its slopes by angle and offset.
struct Match {
    residual: f64,
    slopes: Vector2<f64>,
    skin: usize,
}

fn descend(skins: &[Skin], start: f64, centre: Vector2<f64>) -> Option<Midline> {
    let mut angle = start;
    let mut offset = 0.0;
    let mut spread = f64::INFINITY;
    for _ in 0..40 {
        let matches = matches(skins, angle, offset, centre);
        spread = scale(&matches);
        let (mut normal, mut right) = (Matrix2::zeros(), Vector2::zeros());
        for m in &matches {
            let w = weight(m.residual, spread);
            normal += m.slopes * m.slopes.transpose() * w;
            right -= m.slopes * (w * m.residual);
        }
        let step = normal.lu().solve(&right)?;
        angle += step.x.clamp(-0.1, 0.1);
        offset += step.y;
        if step.x.abs() < 1e-6 && step.y.abs() < 1e-3 {
            break;
        }
    }
    let along = Vector2::new(angle.cos(), angle.sin());
    Some(Midline {
        angle,
        offset: offset + along.dot(&centre),
        centre,
        misfit: spread,
        offset_sd: offset_sd(skins, angle, offset, centre),
    })
}

fn matches(skins: &[Skin], angle: f64, offset: f64, centre: Vector2<f64>) -> Vec<Match> {
    let n = Vector2::new(angle.cos(), angle.sin());
    let t = Vector2::new(-n.y, n.x);
    let of_skin = |index: usize| {
        let skin = &skins[index];
        let matched = skin.points.iter().zip(&skin.normals);
        matched
            .filter_map(|(point, facing)| {
                let p = point - centre;
                let beyond = n.dot(&p) - offset;
                let image = p - n * (2.0 * beyond) + centre;
                let facing = facing - n * (2.0 * n.dot(facing));
                let other = nearest(skin, &image, &facing)?;
                let normal = skin.normals[other];
                Some(Match {
                    residual: normal.dot(&(image - skin.points[other])),
                    slopes: Vector2::new(
                        normal.dot(&(n * (-2.0 * t.dot(&p)) - t * (2.0 * beyond))),
                        2.0 * normal.dot(&n),
                    ),
                    skin: index,
                })
            })
            .collect::<Vec<_>>()
    };
    map_indices(skins.len(), of_skin)
        .into_iter()
        .flatten()
        .collect()
}

/// The nearest skin point that looks the same way within 60 degrees.
fn nearest(skin: &Skin, image: &Vector2<f64>, facing: &Vector2<f64>) -> Option<usize> {
    let mut best = None;
    let mut least = f64::INFINITY;
    for (i, (p, normal)) in skin.points.iter().zip(&skin.normals).enumerate() {
        let d = (p - image).norm_squared();
        if d < least && normal.dot(facing) > 0.5 {
            least = d;
            best = Some(i);
        }
    }
    best
}

fn scale(matches: &[Match]) -> f64 {
    let mut sizes: Vec<f64> = matches.iter().map(|m| m.residual.abs()).collect();
    (1.4826 * median(&mut sizes)).max(LEAST_SPREAD_MM)
}

fn weight(residual: f64, spread: f64) -> f64 {
    let x = residual / (TUKEY * spread);
    if x.abs() < 1.0 {
        (1.0 - x * x).powi(2)
    } else {
        0.0
    }
}

/// Spread of the middles the levels would have each on its own, over the
/// root of how many of them are independent.
fn offset_sd(skins: &[Skin], angle: f64, offset: f64, centre: Vector2<f64>) -> f64 {
    let matches = matches(skins, angle, offset, centre);
    let spread = scale(&matches);
    let mut sums = vec![(0.0, 0.0); skins.len()];
    for m in &matches {
        let w = weight(m.residual, spread);
        let slope = m.slopes.y;
        sums[m.skin].0 += w * slope * slope;
        sums[m.skin].1 -= w * slope * m.residual;
    }
    let mut shifts: Vec<f64> = sums
        .iter()
        .filter(|(weight, _)| *weight > 0.0)
        .map(|(weight, sum)| (sum / weight).abs())
        .collect();
    let shares = skins.iter().map(|s| s.share);
    let (low, high) = shares.fold((1.0_f64, 0.0_f64), |(l, h), s| (l.min(s), h.max(s)));
    let independent = ((high - low) / KIN).max(1.0);
    1.4826 * median(&mut shifts) / independent.sqrt()
}

/// Median; 0 of none.
pub(super) fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    match values.len() {
        0 => 0.0,
        n if n % 2 == 1 => values[middle],
        _ => f64::midpoint(values[middle - 1], values[middle]),
    }
}

#[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 points")]
fn count(n: usize) -> f64 {
    n.max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Egg-shaped sections, 150 broad and 100 to 120 deep: mirror images about the plane through (40, −25) whose
    /// normal is at `angle`. `bump` mm are added
    /// to an eighth of the girth, on one side ahead, in a third of the levels: a heavier breast.
    fn levels(angle: f64, bump: f64) -> Vec<Level> {
        let turn = nalgebra::Rotation2::new(angle);
        let ring = |share: f64| {
            let points: Vec<[f64; 2]> = (0..360)
                .map(|i| {
                    let t = TAU * (f64::from(i) + 0.5) / 360.0;
                    let breast = (0.5..0.6).contains(&share) && (0.08..0.205).contains(&(t / TAU));
                    let grown = if breast { 1.0 + bump / 150.0 } else { 1.0 };
                    let deep = 100.0 + 10.0 * t.sin() + 20.0 * share;
                    let p = Vector2::new(150.0 * t.cos(), deep * t.sin()) * grown;
                    let p = turn * p + Vector2::new(40.0, -25.0);
                    [p.x, p.y]
                })
                .collect();
            let part = Loop {
                area: 47_000.0,
                centre: [0.0; 2],
                extent: [(0.0, 0.0); 2],
                points,
            };
            Level {
                share,
                loops: vec![part],
                torn: false,
            }
        };
        (0..12).map(|i| ring(0.4 + 0.025 * f64::from(i))).collect()
    }

    fn off(found: &Midline, angle: f64) -> (f64, f64) {
        let middle = Vector2::new(40.0, -25.0);
        let normal = Vector2::new(found.angle.cos(), found.angle.sin());
        (
            (found.angle - angle).to_degrees(),
            normal.dot(&middle) - found.offset,
        )
    }

    /// Samples are 2 mm to 7 mm apart on sections that mirror themselves exactly: what is left is
    /// the sagitta between two samples, 7²/(8·70) = 0.09 mm.
    #[test]
    fn a_mirrored_shape_gives_its_plane() {
        for angle in [0.0, 0.3, -0.7] {
            let found = fit(&levels(angle, 0.0), &[angle + 0.15]).unwrap();
            let (turned, aside) = off(&found, angle);
            assert!(turned.abs() < 0.05 && aside.abs() < 0.1, "{turned} {aside}");
            assert!(found.offset_sd < 0.05);
        }
    }

    /// Shared between both sides, 20 mm at 110 mm from the middle would turn those levels by 10/110, 5 degrees.
    #[test]
    fn a_one_sided_bump_does_not_pull() {
        let found = fit(&levels(0.2, 20.0), &[0.2]).unwrap();
        let (turned, aside) = off(&found, 0.2);
        assert!(turned.abs() < 0.2 && aside.abs() < 0.3, "{turned} {aside}");
    }

    #[test]
    fn too_few_levels_give_nothing() {
        assert!(fit(&levels(0.0, 0.0)[..4], &[0.0]).is_none());
    }
}
