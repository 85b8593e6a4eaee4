//! Slips of the hand: the tape at another level, another waist, along the skin, too tight, the other side.

use super::{Reason, Why, explains, gained, level, reason, surprise, tilt, waist, weighed};
use crate::crosscheck::WRONG;
use crate::crosscheck::compare::{Pair, curve_of};
use crate::length::Length;
use crate::measure::{MeasureId, Mode, Tilted};
use crate::tape::repeat::count;

/// How much a tape that is pulled presses a girth in, least and most: assumptions, no study of a hand
/// tape's tension was found. The expected spread holds the ordinary habit of a hand already.
const LEAST_PULL: f64 = 0.003;
const MOST_PULL: f64 = 0.03;

/// Pulls tried between the two.
const PULLS: usize = 20;

const COST_SIDE: f64 = 1.0;
const COST_PULL: f64 = 1.0;
const COST_SKIN: f64 = 1.5;

/// Every slip of this kind.
pub(super) fn reasons(pair: &Pair<'_>, tilts: &[Tilted]) -> Vec<Reason> {
    [
        other_height(pair),
        along_skin(pair),
        pulled_tight(pair),
        tilt::tilted(pair, tilts),
        other_side(pair),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The tape at another height: by the name of a waist where one may lie there.
///
/// A tape at another waist lies at another level. That is one slip, told once: as a waist with its height
/// and the other height that reads alike, likely by all of them together.
fn other_height(pair: &Pair<'_>) -> Option<Reason> {
    let level = level::other_level(pair);
    let Some(mut waist) = waist::other_waist(pair).filter(|reason| explains(pair, reason)) else {
        return level;
    };
    if let Some(level) = level {
        waist.rank -= (waist.rank - level.rank).exp().ln_1p();
    }
    Some(waist)
}

/// The girth along the skin, where a taut girth is asked for.
fn along_skin(pair: &Pair<'_>) -> Option<Reason> {
    let skin = skin_girth(pair).filter(|&skin| skin > pair.scan_mm())?;
    let why = Why::AlongSkin {
        skin_mm: Length::from_mm(skin),
    };
    let taut = pair.value.value * (pair.scan_mm() / skin);
    let left_over = (pair.tape_mm() - skin).abs() / pair.sd_mm();
    Some(reason(why, taut, left_over, COST_SKIN))
}

/// The scan's measure along the skin beside a taut one, else what its girth curve reads at that level.
fn skin_girth(pair: &Pair<'_>) -> Option<f64> {
    let id = pair.id();
    let row = id.key.definition();
    if row.mode == Mode::Surface || !row.is_girth() {
        return None;
    }
    let beside = id
        .key
        .along_skin()
        .and_then(|key| pair.scan.get(MeasureId::new(key, id.side)));
    if let Some(skin) = beside {
        return Some(skin.value);
    }
    let level = pair.measure.level_mm?;
    let skin = curve_of(pair.scan, id)?.surface_at(level)?;
    Some(skin.mm())
}

/// The least pull that explains most of a girth too short.
fn pulled_tight(pair: &Pair<'_>) -> Option<Reason> {
    let missing = 1.0 - pair.tape_mm() / pair.scan_mm();
    let is_short = pair.scan_mm() > 0.0 && missing > LEAST_PULL;
    if !is_short || !pair.id().key.definition().is_girth() {
        return None;
    }
    let share = missing.min(MOST_PULL);
    let tape = pair.value.value / (1.0 - share);
    let left_over = pair.z_of(tape.mm()).abs();
    let pulls = (1..=PULLS).map(|n| {
        let share = MOST_PULL * count(n) / count(PULLS);
        (1.0, pair.z_of(pair.tape_mm() / (1.0 - share)))
    });
    let rank = COST_PULL + surprise(pulls);
    Some(weighed(Why::PulledTight { share }, tape, left_over, rank))
}

/// The tape fits the other side of the scan, and the other side's tape, if there is one, fits this.
///
/// Two readings exchanged keep an ordinary error each, so both are judged together: two that are honest
/// leave more than [`WRONG`] spreads between them, as the root of the sum of squares, once in ninety
/// (normal law: exp(−3²/2)).
fn other_side(pair: &Pair<'_>) -> Option<Reason> {
    let reads = pair.id().side?.other();
    let other = MeasureId::new(pair.id().key, reads);
    let scan = pair.scan.get(other)?.value;
    let left_over = ((pair.tape_mm() - scan) / pair.sd_mm()).abs();
    let tape = pair.tape.get(other).map(|value| value.value);
    let there = tape.map_or(0.0, |tape| pair.z_of(tape.mm()));
    let fits_both = left_over.hypot(there) <= WRONG;
    // What the other side's reading gains by standing here.
    let gain = gained(tape.into_iter().map(|tape| {
        let there = (tape.mm() - scan) / pair.sd_mm();
        (there, pair.z_of(tape.mm()))
    }));
    fits_both.then(|| reason(Why::OtherSide { reads }, tape, left_over, COST_SIDE - gain))
}
