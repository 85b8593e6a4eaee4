//! The shift that all girths of a sheet share, as a reason of one of them.

use super::{Reason, Why, gained, reason};
use crate::crosscheck::common::{Common, Shift};
use crate::crosscheck::compare::Pair;
use std::f64::consts::TAU;

const COST_COMMON: f64 = 1.5;

/// How far a sheet may be off as a whole, each way, as a share of a girth: all is as likely up to that
/// (assumption; a tape in the wrong unit is another slip).
const REACH: f64 = 0.10;

/// The shared shift, for a girth; what it comes from stands in [`Common::explanations`].
///
/// What the other girths gain by it speaks for it. Its size was fitted to them, which costs the
/// logarithm of how many sizes could be told apart within reach.
pub(super) fn shift(pair: &Pair<'_>, sheet: &[Pair<'_>], common: &Common) -> Option<Reason> {
    if !is_girth(pair) {
        return None;
    }
    let others = sheet
        .iter()
        .filter(|other| is_girth(other) && other.id() != pair.id())
        .map(|other| {
            (
                other.z(),
                other.z_of(common.corrected(other.value.value).mm()),
            )
        });
    let sd = match common.shift {
        Shift::Factor { factor, sd } => sd / factor,
        Shift::Offset { sd_mm, .. } => sd_mm.mm() / pair.scan_mm(),
    };
    let sizes = (2.0 * REACH / (sd * TAU.sqrt())).max(1.0);
    let cost = COST_COMMON - (gained(others) - sizes.ln()).max(0.0);
    let tape = common.corrected(pair.value.value);
    let left_over = pair.z_of(tape.mm()).abs();
    Some(reason(Why::Common, tape, left_over, cost))
}

fn is_girth(pair: &Pair<'_>) -> bool {
    pair.id().key.definition().is_girth()
}
