//! Looking a girth up among the sizes of a table.

use super::{Between, Beyond};
use crate::fit::plan::ROUND_OFF_MM;
use crate::length::Length;

/// The size nearest to `want`; of two equally near the larger, since taking in is easier than
/// letting out (common practice, no source).
pub(super) fn nearest(table: &[Length], want: Length) -> Option<usize> {
    let miss = |at: usize| (table[at] - want).abs().mm();
    (0..table.len()).reduce(|best, at| {
        if miss(at) <= miss(best) + ROUND_OFF_MM {
            at
        } else {
            best
        }
    })
}

/// True if no other size would be the nearest of a body that may be `reach_mm` more or less.
pub(super) fn is_clear(table: &[Length], want: Length, best: usize, reach_mm: f64) -> bool {
    let miss = |at: usize| (table[at] - want).abs().mm();
    // A body that moves by `reach` gains and loses as much: twice the reach.
    (0..table.len()).all(|at| at == best || miss(at) - miss(best) >= 2.0 * reach_mm)
}

/// Between which sizes of a table a body lies.
pub(super) fn between(names: &[String], table: &[Length], want: Length) -> Option<Between> {
    let at = table
        .windows(2)
        .position(|pair| pair[0] <= want && want <= pair[1] && pair[0] < pair[1])?;
    let (low, high) = (table[at].mm(), table[at + 1].mm());
    Some(Between {
        lower: names.get(at)?.clone(),
        upper: names.get(at + 1)?.clone(),
        fraction: (want.mm() - low) / (high - low),
    })
}

/// How far a body lies outside a table, if it does. The grade goes on as the last two sizes show
/// it; a table of one size has none.
pub(super) fn beyond(table: &[Length], want: Length) -> Option<Beyond> {
    let (first, last) = (*table.first()?, *table.last()?);
    let (by, larger) = if want < first {
        (first - want, false)
    } else {
        (want - last, true)
    };
    let step = match (table, larger) {
        ([first, second, ..], false) => (*second - *first).abs(),
        ([.., before, last], true) => (*last - *before).abs(),
        _ => Length::ZERO,
    };
    (by.mm() > ROUND_OFF_MM).then(|| Beyond {
        larger,
        by,
        grade_step: step,
        steps: (step.mm() > ROUND_OFF_MM).then(|| by.mm() / step.mm()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(table: &[f64]) -> Vec<Length> {
        table.iter().copied().map(Length::from_inch).collect()
    }

    /// Straight waists of sizes 8 to 14, ASTM D5585-11e1 as its public page shows them; the
    /// fraction is plain arithmetic.
    #[test]
    fn a_waist_between_two_sizes() {
        let table = inches(&[29.5, 30.5, 32.25, 34.0]);
        let names = ["8", "10", "12", "14"].map(str::to_owned);
        let found = between(&names, &table, Length::from_inch(31.0)).unwrap();
        assert_eq!((found.lower.as_str(), found.upper.as_str()), ("10", "12"));
        assert!((found.fraction - 0.285_714_285_714).abs() < 1e-9);
        assert_eq!(nearest(&table, Length::from_inch(31.0)), Some(1));
        assert_eq!(between(&names, &table, Length::from_inch(29.0)), None);
    }

    #[test]
    fn of_two_sizes_equally_near_the_larger_is_taken() {
        let table = inches(&[30.0, 32.0, 34.0]);
        assert_eq!(nearest(&table, Length::from_inch(31.0)), Some(1));
        assert_eq!(nearest(&table, Length::from_inch(30.9)), Some(0));
        assert_eq!(nearest(&[], Length::ZERO), None);
    }
}
