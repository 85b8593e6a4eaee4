//! The navel: a small hollow in the midline of the belly.

use super::missing;
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use crate::section::Contour;
use nalgebra::{Matrix6, Vector6};

/// Where the navel can lie, in shares of the stature: ANSUR II has it at 0.6017 ± 0.0135 (women) and
/// 0.6014 ± 0.0129 (men); four standard deviations about either.
pub(crate) const WINDOW: (f64, f64) = (0.547, 0.656);
/// Half-breadth of the strip about the mid-sagittal plane in which hollows are weighed, and of the
/// middle of it in which the navel may lie, in mm: a trunk that leans takes it along.
const STRIP_MM: f64 = 39.0;
const MIDLINE_MM: f64 = 18.0;
/// Distance between the columns of the strip, in mm.
const COLUMN_MM: f64 = 3.0;

/// A hollow is as deep as the skin within the first radius lies behind the rounded surface through
/// the ring between the others, in mm: the navel's opening and the belly about it.
const INSIDE_MM: f64 = 8.0;
const RING_MM: (f64, f64) = (14.0, 30.0);
/// Hollows whose middles are nearer than this are the same one, in mm.
const SAME_MM: f64 = 25.0;
/// Least depth of a navel in mm: over the noise of a hand-held scan.
const LEAST_DEPTH_MM: f64 = 1.5;
/// How many times deeper it is than any other hollow of the strip; a groove across the belly has
/// others as deep beside it.
const STANDS_OUT: f64 = 2.0;
/// How far the middle of the hollow lies from the middle of the navel, as a standard deviation in
/// mm: skin folds over it from above, so that the hollow may be its lower part (common practice, no
/// source).
const NAVEL_SD_MM: f64 = 13.0;

/// The navel, if it stands out from the skin about it.
pub(in crate::landmark) fn navel(survey: &Survey<'_>) -> Found {
    let key = LandmarkKey::Navel;
    let strip = Strip::of(survey);
    let hollows = strip.hollows();
    let Some(deepest) = hollows
        .iter()
        .filter(|h| h.x.abs() <= MIDLINE_MM)
        .max_by(|a, b| a.depth.total_cmp(&b.depth))
    else {
        let reason = "there is no whole skin in the midline of the belly";
        return Err(missing(key, None, reason));
    };
    let apart = |h: &&Hollow| f64::hypot(h.x - deepest.x, h.z - deepest.z) > SAME_MM;
    let next = hollows
        .iter()
        .filter(apart)
        .map(|h| h.depth)
        .fold(0.0, f64::max);
    if deepest.depth < LEAST_DEPTH_MM || deepest.depth < STANDS_OUT * next {
        return Err(missing(
            key,
            None,
            "no hollow in the midline of the belly stands out from the skin about it; pin the navel's height",
        ));
    }
    Ok(Landmark {
        key,
        side: None,
        point_mm: [deepest.x, deepest.y, deepest.z],
        sd_mm: NAVEL_SD_MM,
        confidence: Confidence::Fair,
        rule: "deepest small hollow in the midline of the belly".to_owned(),
    })
}

/// Front of the belly about the midline: y by level and column.
struct Strip {
    /// Height of the first row and distance between rows, in mm.
    low: f64,
    step: f64,
    rows: Vec<Vec<Option<f64>>>,
}

/// How deep the skin lies behind the surface about it.
struct Hollow {
    x: f64,
    y: f64,
    z: f64,
    depth: f64,
}

/// A place of the kernel: rows up, columns to the right, weight.
type Weight = (isize, isize, f64);

impl Strip {
    fn of(survey: &Survey<'_>) -> Self {
        let s = survey.stature_mm;
        let step = survey.parts.step_mm;
        let pieces = survey.parts.trunk.between(
            WINDOW.0 * s - RING_MM.1 - step,
            WINDOW.1 * s + RING_MM.1 + step,
        );
        let low = pieces.first().map_or(0.0, |piece| piece.height_mm);
        let mut rows: Vec<Vec<Option<f64>>> = Vec::new();
        for piece in pieces {
            // Levels without whole skin are left out of the trunk.
            let row = index((piece.height_mm - low) / step);
            rows.resize(row, vec![None; columns()]);
            rows.push(front(&piece.contour));
        }
        Self { low, step, rows }
    }

    /// Depth of every place that has whole skin about it.
    fn hollows(&self) -> Vec<Hollow> {
        let Some(kernel) = kernel(self.step) else {
            return Vec::new();
        };
        let mut found = Vec::new();
        for (row, fronts) in self.rows.iter().enumerate() {
            for (column, y) in fronts.iter().enumerate() {
                if let (Some(y), Some(depth)) = (y, self.depth(&kernel, row, column)) {
                    #[expect(clippy::cast_precision_loss, reason = "some hundred rows")]
                    let z = self.low + row as f64 * self.step;
                    let (x, y) = (column_x(column), *y);
                    found.push(Hollow { x, y, z, depth });
                }
            }
        }
        found
    }

    fn depth(&self, kernel: &[Weight], row: usize, column: usize) -> Option<f64> {
        kernel.iter().try_fold(0.0, |sum, &(up, right, weight)| {
            let row = self.rows.get(row.checked_add_signed(up)?)?;
            let y = (*row.get(column.checked_add_signed(right)?)?)?;
            Some(sum + weight * y)
        })
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "some hundred rows or columns"
)]
fn index(count: f64) -> usize {
    count.round().clamp(0.0, 10_000.0) as usize
}

/// Columns of the strip and of the rings about its edges.
fn columns() -> usize {
    2 * index((STRIP_MM + RING_MM.1) / COLUMN_MM) + 1
}

#[expect(clippy::cast_precision_loss, reason = "some dozen columns")]
fn column_x(column: usize) -> f64 {
    (column as f64 - 0.5 * column_count()) * COLUMN_MM
}

/// The foremost crossing of a level contour with each column.
fn front(contour: &Contour) -> Vec<Option<f64>> {
    let mut fronts: Vec<Option<f64>> = vec![None; columns()];
    let points = contour.points();
    let next = points.iter().cycle().skip(1);
    for (a, b) in points.iter().zip(next) {
        let (low, high) = (a[0].min(b[0]), a[0].max(b[0]));
        let first = index(low / COLUMN_MM + 0.5 * column_count()).saturating_sub(1);
        for (column, front) in fronts.iter_mut().enumerate().skip(first) {
            let x = column_x(column);
            if x >= high {
                break;
            }
            if x >= low {
                let y = a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]);
                *front = Some(front.map_or(y, |f: f64| f.max(y)));
            }
        }
    }
    fronts
}

#[expect(clippy::cast_precision_loss, reason = "some dozen columns")]
fn column_count() -> f64 {
    (columns() - 1) as f64
}

/// Weights by which the front about a place adds up to its depth: the value there of the quadratic
/// surface of least squares through the ring, as its mean over the inside, less the mean inside.
///
/// All places have the same grid about them, so one kernel serves all.
fn kernel(step: f64) -> Option<Vec<Weight>> {
    let (up, right) = (reach(RING_MM.1 / step), reach(RING_MM.1 / COLUMN_MM));
    #[expect(clippy::cast_precision_loss, reason = "some dozen cells")]
    let cells: Vec<(isize, isize, [f64; 2])> = (-up..=up)
        .flat_map(|i| (-right..=right).map(move |j| (i, j)))
        .map(|(i, j)| {
            (
                i,
                j,
                [i as f64 * step, j as f64 * COLUMN_MM].map(|d| d / RING_MM.1),
            )
        })
        .collect();
    let row = |[u, v]: [f64; 2]| Vector6::new(1.0, u, v, u * u, u * v, v * v);
    let radius = |[u, v]: [f64; 2]| f64::hypot(u, v) * RING_MM.1;
    let on_ring = |d: [f64; 2]| (RING_MM.0..=RING_MM.1).contains(&radius(d));
    let inside = |d: [f64; 2]| radius(d) <= INSIDE_MM;
    let mut normal = Matrix6::zeros();
    let (mut within, mut count) = (Vector6::zeros(), 0.0);
    for &(_, _, d) in &cells {
        if on_ring(d) {
            normal += row(d) * row(d).transpose();
        } else if inside(d) {
            within += row(d);
            count += 1.0;
        }
    }
    let solved = normal.cholesky()?.solve(&(within / count));
    let weight = |d: [f64; 2]| {
        if on_ring(d) {
            Some(solved.dot(&row(d)))
        } else {
            inside(d).then_some(-1.0 / count)
        }
    };
    let weights = cells.iter();
    Some(
        weights
            .filter_map(|&(i, j, d)| Some((i, j, weight(d)?)))
            .collect(),
    )
}

#[expect(clippy::cast_possible_truncation, reason = "some dozen cells")]
fn reach(cells: f64) -> isize {
    cells.floor().clamp(1.0, 100.0) as isize
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A belly y = 150 − x²/400 − (z − 60)²/900, and in it what `dent` takes off.
    fn belly(dent: impl Fn(f64, f64) -> f64) -> Strip {
        let step = 2.5;
        let rows = (0..60_u32)
            .map(|row| {
                let z = f64::from(row) * step;
                (0..columns())
                    .map(column_x)
                    .map(|x| Some(150.0 - x * x / 400.0 - (z - 60.0).powi(2) / 900.0 - dent(x, z)))
                    .collect()
            })
            .collect();
        Strip {
            low: 0.0,
            step,
            rows,
        }
    }

    /// A round belly is a quadratic surface and has no hollow; a dent of 5 mm with sides that fall
    /// off within 10 mm is found at its middle, nearly as deep.
    #[test]
    fn a_dent_is_found_and_a_round_belly_has_none() {
        let plain = belly(|_, _| 0.0).hollows();
        assert!(!plain.is_empty() && plain.iter().all(|h| h.depth.abs() < 1e-9));
        let dent = |x: f64, z: f64| 5.0 * (-((x - 6.0).powi(2) + (z - 80.0).powi(2)) / 100.0).exp();
        let hollows = belly(dent).hollows();
        let deepest = hollows.iter().max_by(|a, b| a.depth.total_cmp(&b.depth));
        let deepest = deepest.unwrap();
        assert!((deepest.x - 6.0).abs() < 1e-9 && (deepest.z - 80.0).abs() < 1e-9);
        assert!((3.0..4.5).contains(&deepest.depth), "{}", deepest.depth);
        // A groove across is as deep beside the midline as in it.
        let groove = |_: f64, z: f64| 5.0 * (-(z - 80.0).powi(2) / 100.0).exp();
        let grooved = belly(groove).hollows();
        let most = |near: bool| {
            let rows = grooved.iter().filter(|h| (h.x.abs() < 10.0) == near);
            rows.map(|h| h.depth).fold(0.0, f64::max)
        };
        assert!((most(true) - most(false)).abs() < 1e-6);
    }

    /// A square's front is its front side, wherever the contour starts.
    #[test]
    fn the_front_of_a_square() {
        let square = vec![
            [-100.0, -90.0],
            [100.0, -90.0],
            [100.0, 90.0],
            [-100.0, 90.0],
        ];
        let outline = Contour::closed(square);
        assert!(front(&outline).iter().all(|y| *y == Some(90.0)));
    }
}
