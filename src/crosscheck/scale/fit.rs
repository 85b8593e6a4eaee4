//! What all heights of a standing body share between two takings: a factor, or a length.

use super::super::common::Shift;
use crate::length::Length;

/// A length from the floor up, taken twice.
#[derive(Clone, Copy, Debug)]
pub(super) struct Upright {
    pub(super) before: f64,
    pub(super) after: f64,
    /// Standard uncertainty of the difference.
    pub(super) sd: f64,
}

/// What all heights differ by.
pub(super) struct Heights {
    pub(super) shift: Shift,
    /// Heights that it was found on.
    pub(super) count: usize,
    /// True if factor and length can be told apart.
    pub(super) form_is_clear: bool,
}

/// Least share that is told: 7 mm of 1.7 m. A stature is so much less in the evening than in the morning, and
/// more, but by the spine alone (common practice, no source); that is what [`LOW`] is asked for.
const LEAST_SHARE: f64 = 0.004;
/// Least length that is told, in mm.
const LEAST_MM: f64 = 7.0;
/// A shift counts from this many standard deviations on.
const CLEAR: f64 = 3.0;
/// A height goes with a shift if it lies within this many of its spreads.
const WITH: f64 = 2.0;
/// Of so many heights so many must go with the shift.
const MOST: [usize; 2] = [4, 3];
/// Heights up to this share of the tallest are those of the legs: a stooped or shorter spine leaves them as they are.
const LOW: f64 = 0.56;

/// What the heights share, if they do, at least so many, and legs and trunk each show it by so many of their own
/// standard deviations.
pub(super) fn heights(all: &[Upright], least: usize, alone: f64) -> Option<Heights> {
    let tallest = all.iter().map(|one| one.before).fold(0.0, f64::max);
    let (legs, trunk): (Vec<Upright>, Vec<Upright>) =
        all.iter().partition(|one| one.before < LOW * tallest);
    let by = [Form::Share, Form::Length].map(|form| {
        let (size, sd) = form.mean(all)?;
        let parts = [&legs, &trunk].map(|part| form.shows(part, size, sd, alone));
        let goes_with = |one: &&Upright| form.off(one, size).abs() <= WITH.hypot(sd / form.sd(one));
        let with = all.iter().filter(goes_with).count();
        let left: f64 = all.iter().map(|one| form.off(one, size).abs()).sum();
        let told = size.abs() > form.least().max(CLEAR * sd);
        let shared = parts == [true; 2] && MOST[0] * with >= MOST[1] * all.len();
        Some((told && shared && with >= least, size, sd, with, left))
    });
    let [Some(share), Some(length)] = by else {
        return None;
    };
    let form_is_clear = (share.4 - length.4).abs() > 1.0;
    let (told, size, sd, count, _) = if share.4 <= length.4 { share } else { length };
    let shift = if share.4 <= length.4 {
        Shift::Factor {
            factor: 1.0 + size,
            sd,
        }
    } else {
        Shift::Offset {
            offset_mm: Length::from_mm(size),
            sd_mm: Length::from_mm(sd),
        }
    };
    told.then_some(Heights {
        shift,
        count,
        form_is_clear,
    })
}

/// How all heights may differ.
#[derive(Clone, Copy)]
enum Form {
    Share,
    Length,
}

impl Form {
    /// By how much one differs.
    fn of(self, one: &Upright) -> f64 {
        match self {
            Self::Share => one.after / one.before - 1.0,
            Self::Length => one.after - one.before,
        }
    }

    fn sd(self, one: &Upright) -> f64 {
        match self {
            Self::Share => one.sd / one.before,
            Self::Length => one.sd,
        }
    }

    const fn least(self) -> f64 {
        match self {
            Self::Share => LEAST_SHARE,
            Self::Length => LEAST_MM,
        }
    }

    /// How far one lies from a shift, in its own spreads.
    fn off(self, one: &Upright, size: f64) -> f64 {
        (self.of(one) - size) / self.sd(one)
    }

    /// Weighted mean of those that lie within three spreads of the weighted median, and its standard uncertainty.
    fn mean(self, all: &[Upright]) -> Option<(f64, f64)> {
        let mut sorted = all.to_vec();
        sorted.sort_by(|a, b| self.of(a).total_cmp(&self.of(b)));
        let weight = |one: &Upright| self.sd(one).powi(-2);
        let total: f64 = sorted.iter().map(weight).sum();
        let mut below = 0.0;
        let middle = sorted.iter().find(|one| {
            below += weight(one);
            2.0 * below >= total
        })?;
        let middle = self.of(middle);
        let near = sorted
            .iter()
            .filter(|one| self.off(one, middle).abs() <= CLEAR);
        let (sum, weights) = near.fold((0.0, 0.0), |(sum, weights), one| {
            (sum + weight(one) * self.of(one), weights + weight(one))
        });
        Some((sum / weights, weights.sqrt().recip()))
    }

    /// True if a part of the heights shows a shift by itself, and no other.
    fn shows(self, part: &[Upright], size: f64, sd: f64, alone: f64) -> bool {
        self.mean(part).is_some_and(|(own, own_sd)| {
            own * size.signum() > alone * own_sd && (own - size).abs() <= WITH * own_sd.hypot(sd)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stature, neck, bust, waist, hip, crotch and knees of a person of 1.66 m, as scans know them.
    const BODY: [(f64, f64); 8] = [
        (1660.0, 1.4),
        (1420.0, 14.0),
        (1180.0, 4.0),
        (1040.0, 4.0),
        (850.0, 4.0),
        (770.0, 2.0),
        (450.0, 15.0),
        (452.0, 15.0),
    ];

    fn shifted(by: impl Fn(f64) -> f64) -> Option<Heights> {
        let all = BODY.map(|(before, sd)| Upright {
            before,
            after: by(before),
            sd,
        });
        heights(&all, 4, 2.0)
    }

    #[test]
    fn one_share_or_one_length() {
        let share = shifted(|h| 0.99 * h).unwrap();
        let Shift::Factor { factor, sd } = share.shift else {
            panic!("{:?}", share.shift);
        };
        assert!((factor - 0.99).abs() < 1e-9 && sd < 0.001 && share.form_is_clear);
        // A sole of 20 mm.
        let shoe = shifted(|h| h + 20.0).unwrap();
        assert!(
            matches!(shoe.shift, Shift::Offset { offset_mm, .. } if (offset_mm.mm() - 20.0).abs() < 1e-9)
        );
        assert!(shifted(|h| h).is_none() && shifted(|h| 1.002 * h).is_none());
    }

    /// A spine that is shorter, or a back that is bent, leaves the legs: no scale. A waist found elsewhere is none either.
    #[test]
    fn a_spine_is_no_scale() {
        assert!(shifted(|h| if h > 800.0 { 0.985 * h } else { h }).is_none());
        assert!(shifted(|h| h - 20.0 * ((h - 780.0) / 880.0).max(0.0)).is_none());
        assert!(
            shifted(|h| if (1000.0..1100.0).contains(&h) {
                h + 30.0
            } else {
                h
            })
            .is_none()
        );
    }
}
