//! The tape at another of the places that people call the waist.
//!
//! A waist that the scan shows has its girth. One that it withholds lies somewhere in the window
//! it was looked for in: the girth there is the scan's own, read off its curve height by height, and
//! the reading's likelihood is the mean over the window.

use super::{Reason, Why, surprise, weighed};
use crate::crosscheck::AGREE;
use crate::crosscheck::compare::{Pair, curve_of};
use crate::landmark::{MIDWAY_WINDOW, NAVEL_WINDOW};
use crate::length::Length;
use crate::measure::{Key, Measure};

const COST_WAIST: f64 = 0.5;

/// The places that people call the waist, or lay the tape at when asked for it, and how often: the navel
/// as often as the others together, since it is the one that is seen (assumption).
const WAISTS: [(Key, f64); 4] = [
    (Key::WaistNarrowestGirth, 1.0),
    (Key::WaistMidwayGirth, 1.0),
    (Key::NavelGirth, 3.0),
    (Key::BellyGirth, 1.0),
];

/// Where a waist that the scan withholds was looked for on it, in shares of the stature: windows from a survey
/// (ANSUR II; their sources stand beside them), every height in them as likely.
const WINDOWS: [(Key, (f64, f64)); 2] = [
    (Key::NavelGirth, NAVEL_WINDOW),
    (Key::WaistMidwayGirth, MIDWAY_WINDOW),
];

/// Heights are tried this far apart.
const STEP_MM: f64 = 2.5;

/// Places nearer to each other than this are one to a tape: its own width.
const SAME_MM: f64 = 15.0;

/// The likeliest of the other waists, with those that may lie at the same height.
pub(super) fn other_waist(pair: &Pair<'_>) -> Option<Reason> {
    let own = pair.id().key;
    if !WAISTS.iter().any(|&(key, _)| key == own) {
        return None;
    }
    let mut places: Vec<(f64, Place)> = WAISTS
        .into_iter()
        .filter(|&(key, _)| key != own)
        .filter_map(|(key, often)| {
            let place = match pair.scan.get(key) {
                Some(other) => Some(shown(pair, other)),
                None => withheld(pair, key),
            };
            Some((often, place?))
        })
        .collect();
    let all: f64 = places.iter().map(|(often, _)| often).sum();
    for (often, place) in &mut places {
        place.rank += (all / *often).ln();
    }
    places.sort_by(|a, b| a.1.rank.total_cmp(&b.1.rank));
    let (_, best) = places.first()?;
    let alike = |place: &Place| {
        place.left_over <= AGREE
            && place
                .at
                .zip(best.at)
                .is_some_and(|(one, other)| (one - other).abs().mm() <= SAME_MM)
    };
    let also: Vec<&Place> = places
        .iter()
        .skip(1)
        .map(|(_, place)| place)
        .filter(|place| alike(place))
        .collect();
    // Any of the places told: their likelihoods add up.
    let together: f64 = also
        .iter()
        .map(|place| (best.rank - place.rank).exp())
        .sum();
    let elsewhere = best.at.and_then(|at| {
        let found = pair.tape_height(|height| (height - at).abs().mm() > SAME_MM)?;
        Some(found.at)
    });
    let why = Why::OtherWaist {
        fits: best.key,
        also: also.iter().map(|place| place.key).collect(),
        reads_mm: best.reads,
        at_mm: best.at,
        within_mm: best.within,
        or_at_mm: elsewhere,
    };
    Some(weighed(
        why,
        None,
        best.left_over,
        best.rank - together.ln_1p(),
    ))
}

/// A place called the waist, as the reading fits it.
struct Place {
    key: Key,
    at: Option<Length>,
    within: Option<[Length; 2]>,
    reads: Length,
    left_over: f64,
    rank: f64,
}

/// A waist that the scan measured.
fn shown(pair: &Pair<'_>, other: &Measure) -> Place {
    // The tape's part of the spread stays; the scan's is that of the other place.
    let variance = pair.sd_mm().powi(2) - pair.measure.spread.sd.powi(2);
    let sd = (variance.max(0.0) + other.spread.sd.powi(2))
        .sqrt()
        .max(pair.sd_mm());
    let left_over = (pair.tape_mm() - other.value).abs() / sd;
    Place {
        key: other.id.key,
        at: other.level_mm,
        within: None,
        reads: Length::from_mm(other.value),
        left_over,
        rank: COST_WAIST + (sd / pair.sd_mm()).ln() + left_over * left_over / 2.0,
    }
}

/// A waist that it withholds: of the heights in its window that fit, the one nearest to where the tape belongs.
fn withheld(pair: &Pair<'_>, key: Key) -> Option<Place> {
    let stature = pair.scan.get(Key::Stature)?.value;
    let (_, (low, high)) = WINDOWS.into_iter().find(|&(other, _)| other == key)?;
    let (low, high) = (low * stature, high * stature);
    let curve = curve_of(pair.scan, pair.id())?;
    let own = pair.measure.level_mm?;
    let heights =
        std::iter::successors(Some(low), |at| Some(at + STEP_MM).filter(|&at| at <= high));
    let tried: Vec<(Length, Length, f64)> = heights
        .filter_map(|at| {
            let girth = curve.taut_at(Length::from_mm(at))?;
            let left = (pair.tape_mm() - girth.mm()) / pair.sd_mm();
            Some((Length::from_mm(at), girth, left))
        })
        .collect();
    let away = |at: Length| (at - own).abs().mm();
    let crossing = curve
        .heights_reading(pair.value.value)
        .into_iter()
        .filter(|at| (low..=high).contains(&at.mm()))
        .min_by(|&a, &b| away(a).total_cmp(&away(b)))
        .map(|at| (at, pair.value.value, 0.0));
    let nearest = || {
        tried
            .iter()
            .copied()
            .min_by(|a, b| a.2.abs().total_cmp(&b.2.abs()))
    };
    let (at, reads, left) = crossing.or_else(nearest)?;
    Some(Place {
        key,
        at: Some(at),
        within: Some([low, high].map(Length::from_mm)),
        reads,
        left_over: left.abs(),
        rank: COST_WAIST + surprise(tried.iter().map(|&(.., left)| (1.0, left))),
    })
}
