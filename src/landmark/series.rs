//! A value by height, and where it has an extreme or a bend.

use nalgebra::{Matrix3, Vector3};
use std::ops::Range;

mod missing;

pub(crate) use missing::GIRTH_ROUND_MM;

/// A value sampled at rising places (heights, or lengths along a curve), in mm.
#[derive(Clone, Debug, Default)]
pub(crate) struct Series {
    pub(crate) at: Vec<f64>,
    pub(crate) value: Vec<f64>,
    /// Least scatter of a sample, as of samples that err apart, in mm: what scatter about a parabola does not show.
    unseen: f64,
    /// Where it steps: samples before which it leaps, rising.
    steps: Vec<usize>,
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
    /// Standard uncertainty of the slope from the samples' scatter.
    fn slope_sd(&self) -> f64 {
        self.noise / self.spread.sqrt()
    }

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

/// Greatest correlation of neighbouring samples that is told from their scatter.
const MOST_KIN: f64 = 0.8;

/// By how much each parabola of [`Series::steadied`] is wider than the last.
const WIDER: f64 = 1.5;

/// Two places that differ by less than so many standard uncertainties may be one.
const SURE: f64 = 2.0;

/// A change of the value that neither tape nor eye can tell.
const FLAT_MM: f64 = 0.5;

/// An extreme is believed so far beyond the values it is fitted to, as a share of what these span: between two samples
/// a parabola rises over both by far less.
const BEYOND: f64 = 0.25;

/// Values that differ by less than this share are alike.
const ROUNDING: f64 = 1e-9;

impl Series {
    pub(crate) fn new(samples: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let (at, value) = samples.into_iter().unzip();
        Self {
            at,
            value,
            unseen: 0.0,
            steps: Vec::new(),
        }
    }

    /// The same, parted wherever neighbours differ by more than `steep` mm a mm and `least` mm besides: a parabola laid
    /// across a step swings out beside it, over a top that no sample has.
    pub(crate) fn parted(self, steep: f64, least: f64) -> Self {
        let leaps = |i: &usize| {
            let run = self.at[*i] - self.at[*i - 1];
            (self.value[*i] - self.value[*i - 1]).abs() > steep * run + least
        };
        let steps = (1..self.at.len()).filter(leaps).collect();
        Self { steps, ..self }
    }

    /// The same of samples that err by `noise` each, and together over a stretch of `grain`, both in mm: a parabola
    /// over a few facets follows what all levels of each err, and what is left over tells nothing of it.
    pub(crate) fn grained(self, noise: f64, grain: f64) -> Self {
        let steps = self.at.windows(2).map(|w| w[1] - w[0]);
        let kin = (grain / steps.fold(f64::INFINITY, f64::min)).max(1.0);
        let unseen = noise * kin.sqrt();
        Self { unseen, ..self }
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

    /// The samples within `reach` of `middle` that no step parts from the sample nearest to it.
    fn about(&self, middle: f64, reach: f64) -> Range<usize> {
        let first = self.at.partition_point(|&a| a < middle - reach);
        let last = self.at.partition_point(|&a| a <= middle + reach).max(first);
        if self.steps.is_empty() || first == last {
            return first..last;
        }
        let after = self.at.partition_point(|&a| a < middle).min(last - 1);
        let before = after.saturating_sub(1).max(first);
        let nearer = middle - self.at[before] < self.at[after] - middle;
        let seed = if nearer { before } else { after };
        let next = self.steps.partition_point(|&step| step <= seed);
        let low = next.checked_sub(1).map_or(0, |i| self.steps[i]);
        let high = self.steps.get(next).copied().unwrap_or(self.at.len());
        first.max(low)..last.min(high)
    }

    /// True if no step lies between two places.
    pub(crate) fn is_whole(&self, low: f64, high: f64) -> bool {
        let parts = |&step: &usize| self.at[step - 1] < high && self.at[step] > low;
        !self.steps.iter().any(parts)
    }

    /// The parabola of least squares through all samples within `reach` of `middle`, on its side of any step.
    pub(crate) fn fit(&self, middle: f64, reach: f64) -> Option<Fit> {
        let mut normal = Matrix3::zeros();
        let mut right = Vector3::zeros();
        let (mut count, mut spread) = (0.0, 0.0);
        let about = self.about(middle, reach);
        let samples = || {
            let places = self.at[about.clone()].iter().copied();
            places.zip(self.value[about.clone()].iter().copied())
        };
        for (at, value) in samples() {
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
        for (at, value) in samples() {
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
            noise: (square / (count - 3.0) * (1.0 + rho) / (1.0 - rho))
                .sqrt()
                .max(self.unseen),
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
                && self.is_whole(w[0].0, w[2].0)
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

    /// By how much an extreme stands out: what must be lost on the way to any stronger value, on the
    /// cheaper side; where none is stronger, on the way to the end of the series.
    pub(crate) fn prominence(&self, extreme: &Extreme, kind: Kind, reach: f64) -> f64 {
        let sign = if kind == Kind::Greatest { 1.0 } else { -1.0 };
        let smooth = |&at: &f64| self.fit(at, reach).map(|fit| sign * fit.level);
        let top = sign * extreme.value;
        let lost = |side: &mut dyn Iterator<Item = f64>| {
            let weaker = side.take_while(|&value| value <= top);
            top - weaker.fold(top, f64::min)
        };
        let at = self.at.partition_point(|&a| a < extreme.at);
        let down = lost(&mut self.at[..at].iter().rev().filter_map(smooth));
        down.min(lost(&mut self.at[at..].iter().filter_map(smooth)))
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

    /// The extreme by wider parabolas, as far as they tell of the same place, up to `most` wide.
    ///
    /// A wider parabola is surer of its vertex, but lies off it where the series rises unlike on
    /// either side. Half as wide again, and again, is believed as long as its vertex lies within two
    /// standard uncertainties of each narrower one's (Lepski's way to let the samples' own noise choose
    /// the window): a smooth series keeps its narrow one, a noisy or a coarsely faceted one is averaged.
    /// How far noise moves a narrow vertex is told by the bend of the wide one, as a narrow one that
    /// noise made bends harder than the series does.
    pub(crate) fn steadied(&self, narrow: Extreme, kind: Kind, reach: f64, most: f64) -> Extreme {
        let Some(first) = self.fit(narrow.at, reach) else {
            return narrow;
        };
        let mut best = narrow;
        let mut believed = vec![(narrow.at, first.slope_sd())];
        let mut reach = WIDER * reach;
        while reach <= most {
            let Some((wide, fit)) = self.vertex(best.at, kind, reach) else {
                break;
            };
            let steep = 2.0 * fit.bend.abs();
            if !believed
                .iter()
                .all(|&(at, slope_sd)| (wide.at - at).abs() <= SURE * slope_sd / steep)
            {
                break;
            }
            believed.push((wide.at, fit.slope_sd()));
            best = wide;
            reach *= WIDER;
        }
        best
    }

    /// The vertex of the parabola about a place, and the parabola, if it bends the right way and the
    /// samples go on to both sides of it.
    fn vertex(&self, near: f64, kind: Kind, reach: f64) -> Option<(Extreme, Fit)> {
        let fit = self.fit(near, reach)?;
        let (first, last) = (*self.at.first()?, *self.at.last()?);
        let whole = first <= near - 0.9 * reach && near + 0.9 * reach <= last;
        let bends = fit.bend.abs() > 0.0 && (fit.bend < 0.0) == (kind == Kind::Greatest);
        Some((self.refine(near, kind, reach)?, fit)).filter(|_| whole && bends)
    }

    /// How far from an extreme the farthest other one lies whose value is worse by no more than `within`; 0 if none.
    pub(crate) fn rival(
        &self,
        extreme: &Extreme,
        kind: Kind,
        (low, high): (f64, f64),
        reach: f64,
        within: f64,
    ) -> f64 {
        let sign = if kind == Kind::Greatest { 1.0 } else { -1.0 };
        let others = self.extremes(kind, low, high, reach).into_iter();
        others
            .filter(|other| sign * (extreme.value - other.value) <= within)
            .map(|other| (other.at - extreme.at).abs())
            .fold(0.0, f64::max)
    }

    /// An extreme among others that are as strong but for what `jitter` makes: in the middle of them.
    pub(crate) fn settled(
        &self,
        extreme: Extreme,
        kind: Kind,
        window: (f64, f64),
        reach: f64,
        jitter: f64,
    ) -> Extreme {
        let rivalled = self.rival(&extreme, kind, window, reach, 2.0 * jitter) > reach;
        self.centred(extreme, if rivalled { jitter } else { 0.0 })
    }

    /// The vertex of the parabola about a sample that is an extreme of the smoothed series; `None` if it runs off beyond
    /// its samples, or over them by more than a quarter of what they span: there is none to be seen then.
    fn refine(&self, near: f64, kind: Kind, reach: f64) -> Option<Extreme> {
        let fit = self.fit(near, reach)?;
        let right_way = (fit.bend < 0.0) == (kind == Kind::Greatest);
        let shift = if right_way && fit.bend.abs() > 0.0 {
            (-fit.slope / (2.0 * fit.bend)).clamp(-reach / 2.0, reach / 2.0)
        } else {
            0.0
        };
        let sd = if fit.bend.abs() > 0.0 {
            fit.slope_sd() / (2.0 * fit.bend.abs())
        } else {
            reach
        };
        let value = fit.level + fit.slope * shift + fit.bend * shift * shift;
        let about = self.about(near, reach);
        let (first, last) = (self.at[about.start], self.at[about.end - 1]);
        let span = |(l, h): (f64, f64), &v: &f64| (l.min(v), h.max(v));
        let samples = self.value[about].iter();
        let (least, most) = samples.fold((f64::INFINITY, f64::NEG_INFINITY), span);
        let room = BEYOND * (most - least) + ROUNDING * most.abs();
        let at = near + shift;
        let seen = (first..=last).contains(&at) && (least - room..=most + room).contains(&value);
        if !seen {
            return None;
        }
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

    /// How far off an extreme at `at` may truly lie where values that differ by `within` tell nothing: the root mean square
    /// distance of all levels about it, as far as they come up to the best one within `reach` but for so much.
    pub(crate) fn unsure(&self, at: f64, kind: Kind, reach: f64, within: f64) -> f64 {
        let sign = if kind == Kind::Greatest { 1.0 } else { -1.0 };
        let near = self.about(at, reach);
        let best = self.value[near]
            .iter()
            .map(|&v| sign * v)
            .fold(f64::NEG_INFINITY, f64::max);
        let middle = self.at.partition_point(|&a| a < at);
        let alike = |i: &usize| sign * self.value[*i] >= best - within;
        let up = (middle..self.at.len()).take_while(alike);
        let alike = up.chain((0..middle).rev().take_while(alike));
        let (sum, count) = alike.fold((0.0, 0.0), |(sum, count), i| {
            (sum + (self.at[i] - at).powi(2), count + 1.0)
        });
        if count > 0.0 {
            f64::sqrt(sum / count)
        } else {
            0.0
        }
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
        linear(&self.at, &self.value, at)
    }
}

/// The value at a place on the straight line between the samples on either side of it, their places
/// rising; `None` outside them.
pub(crate) fn linear(places: &[f64], values: &[f64], at: f64) -> Option<f64> {
    let after = places.partition_point(|&a| a < at);
    let (a1, v1) = (*places.get(after)?, values[after]);
    let Some(before) = after.checked_sub(1) else {
        return (a1 <= at).then_some(v1);
    };
    let (a0, v0) = (places[before], values[before]);
    Some(v0 + (v1 - v0) * (at - a0) / (a1 - a0))
}

#[cfg(test)]
mod tests;
