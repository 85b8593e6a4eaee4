//! Slips of the hand: the tape at another level, another waist, along the skin, too tight, the other side.

use super::{Reason, Why, reason, tilt};
use crate::crosscheck::Verdict;
use crate::crosscheck::compare::{Pair, TapeHeight, curve_of};
use crate::length::Length;
use crate::measure::{Key, MeasureId, Mode};
use crate::tape::repeat::count;

/// How far from its level a hand without marks lays a tape, as a standard deviation (assumption).
const LEVEL_SD_MM: f64 = 25.0;

/// How much a tape that is pulled presses a girth in, least and most, and as a
/// standard deviation: assumptions, no study of a hand tape's tension was
/// found. The expected spread holds the ordinary habit of a hand already.
const LEAST_PULL: f64 = 0.003;
const MOST_PULL: f64 = 0.03;
const PULL_SD: f64 = 0.015;

const COST_LEVEL: f64 = 0.5;
const COST_WAIST: f64 = 0.5;
const COST_SIDE: f64 = 1.0;
const COST_PULL: f64 = 1.0;
const COST_SKIN: f64 = 1.5;

/// The places that people call the waist, or lay the tape at when asked for it.
const WAISTS: [Key; 4] = [
    Key::WaistNarrowestGirth,
    Key::WaistMidwayGirth,
    Key::NavelGirth,
    Key::BellyGirth,
];

/// Every slip of this kind.
pub(super) fn reasons(pair: &Pair<'_>, height: Option<&TapeHeight>) -> Vec<Reason> {
    [
        height.map(other_level),
        other_waist(pair),
        along_skin(pair),
        pulled_tight(pair),
        tilt::tilted(pair),
        other_side(pair),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn other_level(height: &TapeHeight) -> Reason {
    let far = (height.at - height.level).mm() / LEVEL_SD_MM;
    let why = Why::OtherLevel {
        at_mm: height.at,
        level_mm: height.level,
        give_mm: height.give,
    };
    reason(why, None, 0.0, COST_LEVEL + far * far / 2.0)
}

/// The waist whose girth by the scan lies nearest to the tape's value.
fn other_waist(pair: &Pair<'_>) -> Option<Reason> {
    if !WAISTS.contains(&pair.id().key) {
        return None;
    }
    let others: Vec<_> = WAISTS
        .into_iter()
        .filter(|&key| key != pair.id().key)
        .filter_map(|key| pair.scan.get(key))
        .collect();
    let away = |value: f64| (pair.tape_mm() - value).abs();
    let nearest = others
        .iter()
        .min_by(|a, b| away(a.value).total_cmp(&away(b.value)))?;
    let why = Why::OtherWaist {
        fits: nearest.id.key,
        reads_mm: Length::from_mm(nearest.value),
    };
    let left_over = away(nearest.value) / pair.sd_mm();
    let cost = COST_WAIST + count(others.len()).ln();
    Some(reason(why, None, left_over, cost))
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
    let cost = COST_PULL + (share / PULL_SD).powi(2) / 2.0;
    Some(reason(Why::PulledTight { share }, tape, left_over, cost))
}

/// The tape fits the other side of the scan, and the other side's tape, if there is one, fits this.
fn other_side(pair: &Pair<'_>) -> Option<Reason> {
    let reads = pair.id().side?.other();
    let other = MeasureId::new(pair.id().key, reads);
    let scan = pair.scan.get(other)?.value;
    let left_over = ((pair.tape_mm() - scan) / pair.sd_mm()).abs();
    let tape = pair.tape.get(other).map(|value| value.value);
    let fits_both = tape.is_none_or(|tape| Verdict::of(pair.z_of(tape.mm())) == Verdict::Agrees);
    fits_both.then(|| reason(Why::OtherSide { reads }, tape, left_over, COST_SIDE))
}
