//! A scale that is off from one scan to another: no one grows in stature and girth by the same factor.

use crate::finding::Finding;
use crate::measure::{Key, Measure, Mode, Unit};
use crate::tape::pool::breath;

/// One measure, taken twice.
pub(crate) struct Pair {
    pub(crate) key: Key,
    pub(crate) unit: Unit,
    pub(crate) before: f64,
    pub(crate) after: f64,
    /// Standard uncertainty of the difference.
    pub(crate) sd: f64,
}

impl Pair {
    /// Two takings of one measure, in one unit. Their errors are taken as independent, with a quiet
    /// breath between the two.
    pub(crate) fn between(a: &Measure, b: &Measure) -> Self {
        let breath = breath(a.id.key, a.value.abs().max(b.value.abs()));
        Self {
            key: a.id.key,
            unit: a.unit,
            before: a.value,
            after: b.value,
            sd: a.spread.sd.hypot(b.spread.sd).hypot(breath),
        }
    }

    /// Second less first.
    pub(crate) fn difference(&self) -> f64 {
        self.after - self.before
    }
}

/// Heights and girths that grew by the same factor: scale, not body. Fewer of either tell nothing.
const LEAST_OF_EACH: usize = 4;
/// Least factor that is told: a stature of 1.7 m then differs by 7 mm, more than people shrink in a day.
const LEAST_FACTOR: f64 = 0.004;
/// Heights and girths have changed alike if their factors lie this near to each other.
const ALIKE: f64 = 0.003;

/// What to say of a scale that is off.
pub(crate) fn one_factor(pairs: &[Pair]) -> Option<Finding> {
    let middle = |modes: &[Mode]| {
        let of_mode = |pair: &&Pair| modes.contains(&pair.key.definition().mode);
        let mut ratios: Vec<f64> = pairs
            .iter()
            .filter(|pair| pair.unit == Unit::Mm && pair.before > 0.0)
            // A value that is hardly known says nothing of a per cent.
            .filter(|pair| pair.sd < 0.02 * pair.before)
            .filter(of_mode)
            .map(|pair| pair.after / pair.before - 1.0)
            .collect();
        ratios.sort_by(f64::total_cmp);
        (ratios.len() >= LEAST_OF_EACH).then(|| ratios[ratios.len() / 2])
    };
    let heights = middle(&[Mode::Height])?;
    let girths = middle(&[Mode::Taut, Mode::TautSquare])?;
    let both = 0.5 * (heights + girths);
    let alike = (heights - girths).abs() < ALIKE && heights.abs().min(girths.abs()) > LEAST_FACTOR;
    alike.then(|| {
        let (more, size) = (if both > 0.0 { "larger" } else { "smaller" }, 100.0 * both.abs());
        Finding::look(
            "scale",
            format!(
                "heights and girths alike are {size:.1} % {more}: a body does not change so, a scan's scale does; check one length on both scans by tape"
            ),
        )
    })
}
