//! A scale that is off from one scan to another: no one grows in stature and girth by the same factor, and
//! no grown person's heights all change by one share.

use super::common::Shift;
use super::compare;
use crate::finding::Finding;
use crate::length::Length;
use crate::measure::{Key, Measure, Mode, Unit};
use crate::tape::pool::breath;
use fit::{Heights, Upright};

mod fit;

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

    /// Its part in what all heights differ by, as a standing body's upright lengths are.
    fn upright(&self) -> Option<Upright> {
        let known = self.before > 0.0 && self.after > 0.0 && self.sd > 0.0;
        (known && is_upright(self.key)).then_some(Upright {
            before: self.before,
            after: self.after,
            sd: self.sd,
        })
    }
}

/// True for what reaches from the floor up, or nearly so: heights, and a leg's length inside and outside.
pub(crate) fn is_upright(key: Key) -> bool {
    let leg = matches!(key, Key::InsideLegLength | Key::OutsideLegLength);
    leg || key.definition().mode == Mode::Height
}

/// What a shift makes of a value, to be taken off the second.
pub(crate) fn part_of_shift(shift: Shift, before: f64) -> (f64, f64) {
    match shift {
        Shift::Factor { factor, sd } => ((factor - 1.0) * before, sd * before),
        Shift::Offset { offset_mm, sd_mm } => (offset_mm.mm(), sd_mm.mm()),
    }
}

/// Fewest heights of two scans that speak of a shift.
const LEAST_OF_SCANS: usize = 4;
/// Legs and trunk must each show it by so many standard deviations.
const SCANS_ALONE: f64 = 2.0;
/// Fewest heights by tape: a stature and a leg.
const LEAST_BY_TAPE: usize = 2;
/// A leg by tape is known so badly that one standard deviation must do.
const TAPE_ALONE: f64 = 1.0;

/// What the heights of two takings share: all by one share or, if that fits better, all by one length.
pub(crate) fn shift_of_heights(pairs: &[Pair]) -> Option<Shift> {
    let heights: Vec<Upright> = pairs.iter().filter_map(Pair::upright).collect();
    fit::heights(&heights, LEAST_OF_SCANS, SCANS_ALONE).map(|found| found.shift)
}

/// What to say of a scale that is off between two takings: of all measures, or of the heights alone.
pub(crate) fn off_scale(pairs: &[Pair]) -> Option<Finding> {
    one_factor(pairs).or_else(|| {
        let heights: Vec<Upright> = pairs.iter().filter_map(Pair::upright).collect();
        let found = fit::heights(&heights, LEAST_OF_SCANS, SCANS_ALONE)?;
        let text = match found.shift {
            Shift::Factor { .. } => format!(
                "all heights differ by one share: the second are {}, over {} of them. A grown person's do not change so, so the height scale of one of the two scans is off (a child may have grown); they are not told as changes of the body. Measure the stature against a wall or the inside leg by tape: the scan that agrees has the right scale. Girths are compared on their own",
                found.size(),
                found.count
            ),
            Shift::Offset { .. } => format!(
                "all heights differ by one length, short ones and tall ones alike: the second are {}, over {} of them. Shoes, a mat, or a floor found at another height do that and a body does not; they are not told as changes of it. Measure the stature against a wall, barefoot: the scan that agrees is right. Girths are compared on their own",
                found.size(),
                found.count
            ),
        };
        Some(Finding::look("scale", text))
    })
}

/// What to say where the heights that a tape reads all differ from the scan's by one share.
pub(super) fn tape_heights(pairs: &[compare::Pair<'_>]) -> Option<Finding> {
    let upright = |pair: &compare::Pair<'_>| {
        let (before, after) = (pair.scan_mm(), pair.tape_mm());
        let is = is_upright(pair.id().key) && before > 0.0 && after > 0.0;
        let sd = pair.sd_mm();
        is.then_some(Upright { before, after, sd })
    };
    let heights: Vec<Upright> = pairs.iter().filter_map(upright).collect();
    let found = fit::heights(&heights, LEAST_BY_TAPE, TAPE_ALONE)?;
    let cause = match (found.form_is_clear, found.shift) {
        (true, Shift::Factor { .. }) => {
            "that is one share of each, as a scan makes whose height scale is off, or a tape that has stretched or shrunk"
        }
        (true, Shift::Offset { .. }) => {
            "that is one length at each, as shoes or a mat make, or a floor found at another height"
        }
        (false, _) => {
            "a scan whose height scale is off does that, or shoes that were worn for one of the two; there are too few heights to tell"
        }
    };
    Some(Finding::look(
        "scale",
        format!(
            "{} heights by tape (stature, leg and the like) are all {} than the scan's: {cause}. Measure the stature once more against a wall, barefoot, with a rigid rule; if it agrees with the tape, the scan's heights and lengths are wrong by as much",
            found.count,
            found.size()
        ),
    ))
}

impl Heights {
    /// `1.0 % (± 0.1 %) larger`.
    fn size(&self) -> String {
        let way = |more: bool| if more { "larger" } else { "smaller" };
        match self.shift {
            Shift::Factor { factor, sd } => format!(
                "{:.1} % (± {:.1} %) {}",
                100.0 * (factor - 1.0).abs(),
                100.0 * sd,
                way(factor > 1.0)
            ),
            Shift::Offset { offset_mm, sd_mm } => format!(
                "{:.0} mm (± {:.0} mm) {}",
                offset_mm.abs().mm(),
                sd_mm.mm(),
                way(offset_mm > Length::from_mm(0.0))
            ),
        }
    }
}

/// Heights and girths that grew by the same factor: scale, not body. Fewer of either tell nothing.
const LEAST_OF_EACH: usize = 4;
/// Least factor that is told: a stature of 1.7 m then differs by 7 mm, more than people shrink in a day.
const LEAST_FACTOR: f64 = 0.004;
/// Heights and girths have changed alike if their factors lie this near to each other.
const ALIKE: f64 = 0.003;

/// What to say of a scale that is off for heights and girths alike.
fn one_factor(pairs: &[Pair]) -> Option<Finding> {
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
