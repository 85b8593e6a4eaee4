//! What missing samples may hide.

use super::{Extreme, Kind, Series};

/// Longer stretches without samples than this, in mm, may hide an extreme: four levels of a body.
const GAP_MM: f64 = 10.0;
/// Half-width of the parabola that tells how a series leaves its last sample, in mm.
const EDGE_MM: f64 = 15.0;
/// Radius of the hardest bend of a girth by height that missing skin is taken to hide, in mm: the
/// trunk's under a bust, the leg's between ankle and heel (12 % more girth 35 mm below the least).
pub(crate) const GIRTH_ROUND_MM: f64 = 25.0;
/// Missing samples no farther than this from an extreme, in mm, make it less sure and no more.
const NEAR_MM: f64 = 30.0;

impl Series {
    /// A stretch between `low` and `high` without samples in which a stronger value than `found`
    /// may lie, if the series bends no harder than a circle of `radius` does.
    ///
    /// A curve bent so departs from its chord over w by at most w²/8r, from its tangent by w²/2r.
    pub(crate) fn hidden(
        &self,
        kind: Kind,
        (low, high): (f64, f64),
        found: f64,
        radius: f64,
    ) -> Option<(f64, f64)> {
        let sign = if kind == Kind::Greatest { 1.0 } else { -1.0 };
        let inside: Vec<(f64, f64)> = self.window(low, high).collect();
        let (first, last) = (inside.first()?, inside.last()?);
        let beyond = |edge: f64, value: f64, out: f64, width: f64| {
            let slope = self.fit(edge, EDGE_MM).map_or(0.0, |fit| fit.slope);
            sign * value + (sign * out * slope * width).max(0.0) + width * width / (2.0 * radius)
        };
        let ends = [
            (low, first.0, beyond(first.0, first.1, -1.0, first.0 - low)),
            (last.0, high, beyond(last.0, last.1, 1.0, high - last.0)),
        ];
        let between = inside.windows(2).map(|w| {
            let ((from, a), (to, b)) = (w[0], w[1]);
            let bulge = (to - from).powi(2) / (8.0 * radius);
            (from, to, (sign * a).max(sign * b) + bulge)
        });
        ends.into_iter()
            .chain(between)
            .filter(|&(from, to, _)| to - from > GAP_MM)
            .find(|&(_, _, most)| most > sign * found)
            .map(|(from, to, _)| (from, to))
    }

    /// An extreme whose uncertainty covers the missing samples about it.
    ///
    /// # Errors
    /// A stretch without samples, wide or away from the extreme, in which a stronger one may lie.
    pub(crate) fn sure(
        &self,
        mut extreme: Extreme,
        kind: Kind,
        window: (f64, f64),
        radius: f64,
    ) -> Result<Extreme, (f64, f64)> {
        if let Some((from, to)) = self.hidden(kind, window, extreme.value, radius) {
            let far = (from - extreme.at).abs().max((to - extreme.at).abs());
            if far > NEAR_MM {
                return Err((from, to));
            }
            // Anywhere in the stretch: half its width over √3.
            extreme.sd = extreme.sd.hypot(far / 3.0_f64.sqrt());
        }
        Ok(extreme)
    }

    /// The first stretch between two places that is too long without samples to say anything of it.
    pub(crate) fn gap(&self, low: f64, high: f64) -> Option<(f64, f64)> {
        let inside = self.window(low, high).map(|(at, _)| at);
        let mut last = low;
        for at in inside.chain([high]) {
            if at - last > GAP_MM {
                return Some((last, at));
            }
            last = at;
        }
        None
    }
}
