//! A closed contour with what is needed to tell whether it belongs to another.

use crate::section::{Contour, contains};

/// Least area of a contour that is followed: a finger has about 150 mm².
pub(super) const SPECK_MM2: f64 = 60.0;
/// Share of one contour inside another from which they belong together.
pub(super) const MOSTLY: f64 = 0.5;
/// Share from which one contour is a hollow or an inner skin of another.
pub(super) const WHOLLY: f64 = 0.98;

/// Directions in which a contour is sampled.
const SPOKES: usize = 16;

#[derive(Clone, Debug)]
pub(super) struct Blob<'c> {
    pub(super) contour: &'c Contour,
    pub(super) area: f64,
    pub(super) centre: [f64; 2],
    low: [f64; 2],
    high: [f64; 2],
    samples: Vec<[f64; 2]>,
    /// The contour with fewer points: enough to tell inside from outside.
    outline: Vec<[f64; 2]>,
}

/// Points of an outline: a trunk's is then within 1 mm of its contour.
const OUTLINE: usize = 96;

impl<'c> Blob<'c> {
    /// `None` for a contour without area.
    pub(super) fn new(contour: &'c Contour) -> Option<Self> {
        let area = contour.area_mm2();
        if area.is_nan() || area <= 0.0 {
            return None;
        }
        let (x, y) = (contour.extent(0), contour.extent(1));
        let centre = contour.centroid();
        let mut blob = Self {
            contour,
            area,
            centre,
            low: [x.0, y.0],
            high: [x.1, y.1],
            samples: Vec::new(),
            outline: thinned(contour.points()),
        };
        blob.samples = blob.inner_points();
        Some(blob)
    }

    /// Points spread over the inside: the centre, and along spokes to the skin.
    fn inner_points(&self) -> Vec<[f64; 2]> {
        let points = self.contour.points();
        let along = |to: [f64; 2], share: f64| {
            [0, 1].map(|k| self.centre[k] + share * (to[k] - self.centre[k]))
        };
        let mut inner: Vec<[f64; 2]> = (0..SPOKES.min(points.len()))
            .map(|i| points[i * points.len() / SPOKES.min(points.len())])
            .flat_map(|to| [0.45, 0.85].map(|share| along(to, share)))
            .chain([self.centre])
            .filter(|&p| contains(&self.outline, p))
            .collect();
        if inner.is_empty() {
            inner.push(self.centre);
        }
        inner
    }

    /// Share of this contour's inside that lies in `other`.
    pub(super) fn within(&self, other: &Blob<'_>) -> f64 {
        let apart = (0..2).any(|k| self.high[k] < other.low[k] || self.low[k] > other.high[k]);
        if apart {
            return 0.0;
        }
        let inside = self
            .samples
            .iter()
            .filter(|&&p| contains(&other.outline, p))
            .count();
        #[expect(clippy::cast_precision_loss, reason = "a few dozen samples")]
        let share = inside as f64 / self.samples.len() as f64;
        share
    }

    /// True if the two are contours of one part at neighbouring levels.
    pub(super) fn continues(&self, other: &Blob<'_>) -> bool {
        self.within(other) >= MOSTLY || other.within(self) >= MOSTLY
    }
}

/// Every so many points of a contour.
fn thinned(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    points
        .iter()
        .step_by(points.len().div_ceil(OUTLINE).max(1))
        .copied()
        .collect()
}
