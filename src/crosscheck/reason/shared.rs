//! The shift that all girths of a sheet share, as a reason of one of them.

use super::{Reason, Why, reason};
use crate::crosscheck::common::Common;
use crate::crosscheck::compare::Pair;

const COST_COMMON: f64 = 1.5;

/// The shared shift, for a girth; what it comes from stands in [`Common::explanations`].
pub(super) fn shift(pair: &Pair<'_>, common: &Common) -> Option<Reason> {
    if !pair.id().key.definition().is_girth() {
        return None;
    }
    let tape = common.corrected(pair.value.value);
    let left_over = pair.z_of(tape.mm()).abs();
    Some(reason(Why::Common, tape, left_over, COST_COMMON))
}
