//! A value by height, and where it has an extreme or a bend.

use nalgebra::{Matrix3, Vector3};

/// A value sampled at rising places (heights, or lengths along a curve), in mm.
#[derive(Clone, Debug, Default)]
pub(crate) struct Series {
    pub(crate) at: Vec<f64>,
    pub(crate) value: Vec<f64>,
}

/// A parabola laid through a stretch of a series by least squares, about its middle:
/// value = `level` + `slope`·d + `bend`·d².
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fit {
    pub(crate) level: f64,
    pub(crate) slope: f64,
    pub(crate) bend: f64,
    /// Standard deviation of the samples about the parabola, as of samples that err apart.
    pub(crate) noise: f64,
    /// Sum of squared distances from the middle: scale of the slope's variance.
    spread: f64,
    count: f64,
}

impl Fit {
    /// Standard uncertainty of the bend from the samples' scatter: over evenly spaced samples the
    /// squares of the distances scatter by √(4/5) of their mean.
    pub(crate) fn bend_sd(&self) -> f64 {
        let mean_square = self.spread / self.count.max(1.0);
        self.noise / (0.8 * self.count).sqrt() / mean_square.max(f64::MIN_POSITIVE)
    }
}

/// An inner extreme of a series.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Extreme {
    /// Where.
    pub(crate) at: f64,
    /// The value there.
    pub(crate) value: f64,
    /// Standard uncertainty of `at` from the samples' scatter about the parabola.
    pub(crate) sd: f64,
    /// Half-width over which the value stays within [`FLAT_MM`] of the extreme.
    pub(crate) flat: f64,
}

/// Which extreme to look for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Least,
    Greatest,
}

/// Longer stretches without samples than this, in mm, may hide an extreme: four levels of a body.
const GAP_MM: f64 = 10.0;
/// Half-width of the parabola that tells how a series leaves its last sample, in mm.
const EDGE_MM: f64 = 15.0;
/// Missing samples no farther than this from an extreme, in mm, make it less sure and no more.
const NEAR_MM: f64 = 30.0;

/// Greatest correlation of neighbouring samples that is told from their scatter.
const MOST_KIN: f64 = 0.8;

/// A change of the value that neither tape nor eye can tell.
const FLAT_MM: f64 = 0.5;

impl Series {
    pub(crate) fn new(samples: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let (at, value) = samples.into_iter().unzip();
        Self { at, value }
    }

    /// Samples between two places.
    pub(crate) fn window(&self, low: f64, high: f64) -> impl Iterator<Item = (f64, f64)> {
        let first = self.at.partition_point(|&a| a < low);
        let last = self.at.partition_point(|&a| a <= high).max(first);
        self.at[first..last]
            .iter()
            .copied()
            .zip(self.value[first..last].iter().copied())
    }

    /// The parabola of least squares through all samples within `reach` of `middle`.
    pub(crate) fn fit(&self, middle: f64, reach: f64) -> Option<Fit> {
        let mut normal = Matrix3::zeros();
        let mut right = Vector3::zeros();
        let (mut count, mut spread) = (0.0, 0.0);
        for (at, value) in self.window(middle - reach, middle + reach) {
            // In units of the reach, so that the normal matrix stays well scaled.
            let d = (at - middle) / reach;
            let row = Vector3::new(1.0, d, d * d);
            normal += row * row.transpose();
            right += row * value;
            count += 1.0;
            spread += (at - middle) * (at - middle);
        }
        if count < 4.0 {
            return None;
        }
        let found = normal.cholesky()?.solve(&right);
        let (mut square, mut kin, mut last) = (0.0, 0.0, 0.0);
        for (at, value) in self.window(middle - reach, middle + reach) {
            let d = (at - middle) / reach;
            let off = value - found[0] - found[1] * d - found[2] * d * d;
            square += off * off;
            kin += off * last;
            last = off;
        }
        // Neighbouring levels cut the same facets and err together: n of them tell as much as
        // n·(1 − ρ)/(1 + ρ) that err apart, ρ being the correlation of neighbours.
        let rho = if square > 0.0 {
            (kin / square).clamp(0.0, MOST_KIN)
        } else {
            0.0
        };
        Some(Fit {
            level: found[0],
            slope: found[1] / reach,
            bend: found[2] / (reach * reach),
            noise: (square / (count - 3.0) * (1.0 + rho) / (1.0 - rho)).sqrt(),
            spread,
            count,
        })
    }

    /// All inner extremes of the smoothed series between `low` and `high`, `reach` wide fits, in rising order.
    pub(crate) fn extremes(&self, kind: Kind, low: f64, high: f64, reach: f64) -> Vec<Extreme> {
        let sign = if kind == Kind::Greatest { 1.0 } else { -1.0 };
        let smooth: Vec<(f64, f64)> = self
            .window(low, high)
            .filter_map(|(at, _)| Some((at, sign * self.fit(at, reach)?.level)))
            .collect();
        let mut found: Vec<Extreme> = Vec::new();
        for w in smooth.windows(3) {
            // Flat tops count once, at their start.
            if w[0].1 < w[1].1
                && w[1].1 >= w[2].1
                && let Some(extreme) = self.refine(w[1].0, kind, reach)
            {
                found.push(extreme);
            }
        }
        found
    }

    /// The strongest inner extreme between two places.
    pub(crate) fn extreme(&self, kind: Kind, low: f64, high: f64, reach: f64) -> Option<Extreme> {
        let found = self.extremes(kind, low, high, reach);
        let order = |a: &Extreme, b: &Extreme| a.value.total_cmp(&b.value);
        match kind {
            Kind::Greatest => found.into_iter().max_by(order),
            Kind::Least => found.into_iter().min_by(order),
        }
    }

    /// The extreme by narrower parabolas, as far as the samples bear them.
    ///
    /// Where a series rises faster on one side of its extreme than on the other, the vertex of a
    /// parabola lies off to the slow side, by more the wider it is. A parabola of half and then of a
    /// quarter the reach is believed where it moves by at least twice its own uncertainty.
    pub(crate) fn sharpened(&self, wide: Extreme, kind: Kind, reach: f64) -> Extreme {
        let mut best = wide;
        for reach in [0.5 * reach, 0.25 * reach] {
            let (low, high) = (best.at - 2.0 * reach, best.at + 2.0 * reach);
            match self.extreme(kind, low, high, reach) {
                Some(narrow) if (narrow.at - best.at).abs() > 2.0 * narrow.sd => best = narrow,
                _ => break,
            }
        }
        best
    }

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

    /// The vertex of the parabola about a sample that is an extreme of the smoothed series.
    fn refine(&self, near: f64, kind: Kind, reach: f64) -> Option<Extreme> {
        let fit = self.fit(near, reach)?;
        let right_way = (fit.bend < 0.0) == (kind == Kind::Greatest);
        let shift = if right_way && fit.bend.abs() > 0.0 {
            (-fit.slope / (2.0 * fit.bend)).clamp(-reach / 2.0, reach / 2.0)
        } else {
            0.0
        };
        let slope_sd = fit.noise / fit.spread.sqrt();
        let sd = if fit.bend.abs() > 0.0 {
            slope_sd / (2.0 * fit.bend.abs())
        } else {
            reach
        };
        let value = fit.level + fit.slope * shift + fit.bend * shift * shift;
        let at = near + shift;
        Some(Extreme {
            at,
            value,
            sd: sd.min(reach),
            flat: self.flat_about(at, value, FLAT_MM),
        })
    }

    /// The extreme as samples that jitter by `noise` show it: flat over all that noise may have lifted above it.
    pub(crate) fn jittered(&self, mut extreme: Extreme, noise: f64) -> Extreme {
        if noise > 0.0 {
            extreme.flat = self.flat_about(extreme.at, extreme.value, FLAT_MM + 2.0 * noise);
        }
        extreme
    }

    /// Half the width over which the value stays `within` so much of `value` about `at`.
    pub(crate) fn flat_about(&self, at: f64, value: f64, within: f64) -> f64 {
        let (low, high) = self.band(at, value, within);
        0.5 * (high - low)
    }

    /// An extreme moved to the middle of all that noise alone may have lifted above it: where a
    /// series is nearly straight, which of its levels noise makes the strongest says nothing.
    pub(crate) fn centred(&self, extreme: Extreme, noise: f64) -> Extreme {
        if noise <= 0.0 {
            return extreme;
        }
        let (low, high) = self.band(extreme.at, extreme.value, FLAT_MM + 2.0 * noise);
        Extreme {
            at: 0.5 * (low + high),
            ..extreme
        }
    }

    /// The stretch about `at` over which the value stays `within` so much of `value`.
    fn band(&self, at: f64, value: f64, within: f64) -> (f64, f64) {
        let middle = self.at.partition_point(|&a| a < at);
        let near = |i: &usize| (self.value[*i] - value).abs() <= within;
        let up = (middle..self.at.len()).take_while(near).last();
        let down = (0..middle).rev().take_while(near).last();
        let high = up.map_or(at, |i| self.at[i]);
        let low = down.map_or(at, |i| self.at[i]);
        (low, high)
    }

    /// The last place between `low` and `high` at which the series passes a value, linear between samples.
    pub(crate) fn last_crossing(&self, value: f64, low: f64, high: f64) -> Option<f64> {
        let inside: Vec<(f64, f64)> = self.window(low, high).collect();
        let passes = |w: &&[(f64, f64)]| (w[0].1 < value) != (w[1].1 < value);
        let found = inside.windows(2).rev().find(passes)?;
        let ((a, va), (b, vb)) = (found[0], found[1]);
        Some(a + (b - a) * (value - va) / (vb - va))
    }

    /// Value at a place, linear between samples; `None` outside.
    pub(crate) fn value_at(&self, at: f64) -> Option<f64> {
        let after = self.at.partition_point(|&a| a < at);
        let (a1, v1) = (*self.at.get(after)?, self.value[after]);
        let Some(before) = after.checked_sub(1) else {
            return (a1 <= at).then_some(v1);
        };
        let (a0, v0) = (self.at[before], self.value[before]);
        Some(v0 + (v1 - v0) * (at - a0) / (a1 - a0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A parabola with its vertex between samples is found exactly.
    #[test]
    fn vertex_of_a_parabola() {
        let series = Series::new((0..200).map(|i| {
            let h = 2.5 * f64::from(i);
            (h, 700.0 + 0.01 * (h - 251.3).powi(2))
        }));
        let least = series.extreme(Kind::Least, 100.0, 400.0, 20.0).unwrap();
        assert!((least.at - 251.3).abs() < 1e-6, "{least:?}");
        assert!((least.value - 700.0).abs() < 1e-6);
        // 0.01·d² = 0.5 at d = 7.07: the flat reaches to the last sample within.
        assert!((least.flat - 7.07).abs() < 2.5);
        assert!(series.extreme(Kind::Least, 0.0, 200.0, 20.0).is_none());
        assert!(series.extreme(Kind::Greatest, 0.0, 500.0, 20.0).is_none());
    }

    /// |d|·0.2 above and |d| below: the least lies at the corner, and a wide parabola above it.
    #[test]
    fn a_lopsided_least_is_sharpened() {
        let series = Series::new((0..200).map(|i| {
            let d = 2.5 * f64::from(i) - 250.0;
            (250.0 + d, if d < 0.0 { -d } else { 0.2 * d })
        }));
        let wide = series.extreme(Kind::Least, 200.0, 300.0, 20.0).unwrap();
        let sharp = series.sharpened(wide, Kind::Least, 20.0);
        assert!(wide.at - 250.0 > 5.0, "{wide:?}");
        assert!((sharp.at - 250.0).abs() < 3.0, "{sharp:?}");
    }

    /// A least level over 60 mm, with a dip of 1 mm that noise of as much made near its upper end:
    /// the middle lies by 4 mm of the middle of the stretch, and without noise the dip is the least.
    #[test]
    fn noise_on_a_flat_least_is_centred() {
        let series = Series::new((0..80).map(|i| {
            let h = 2.5 * f64::from(i);
            let wall = ((h - 100.0).abs() - 30.0).max(0.0);
            (
                h,
                700.0 + wall - (1.0 - 0.02 * (h - 120.0).powi(2)).max(0.0),
            )
        }));
        let least = series.extreme(Kind::Least, 50.0, 150.0, 8.0).unwrap();
        assert!((least.at - 120.0).abs() < 3.0, "{least:?}");
        let middle = series.centred(least, 1.0).at;
        assert!((middle - 100.0).abs() < 4.0, "{middle}");
        assert!((series.centred(least, 0.0).at - least.at).abs() < 1e-12);
    }

    /// Known noise: the scatter of the vertex over shifts of the samples agrees with its stated sd within a factor of 2.
    #[test]
    fn stated_uncertainty_is_of_the_size_of_the_error() {
        let mut seed = 7_u64;
        let mut uniform = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from((seed >> 33) as u32) / f64::from(u32::MAX >> 1) - 0.5
        };
        let (mut square, mut stated, mut n) = (0.0, 0.0, 0.0);
        for _ in 0..200 {
            let series = Series::new((0..200).map(|i| {
                let h = 2.5 * f64::from(i);
                (h, 0.005 * (h - 250.0).powi(2) + 2.0 * uniform())
            }));
            if let Some(found) = series.extreme(Kind::Least, 150.0, 350.0, 40.0) {
                square += (found.at - 250.0_f64).powi(2);
                stated += found.sd * found.sd;
                n += 1.0;
            }
        }
        assert!(n > 190.0);
        let ratio: f64 = f64::sqrt(square / stated);
        assert!((0.5..2.0).contains(&ratio), "{ratio}");
    }
}
