//! Body parts: level contours followed from height to height.
//!
//! ```text
//!            head
//!             |  neck
//!   ----- shoulders -----      forks where two contours become one:
//!   |         |         |        arm + trunk at each armpit,
//!  arm      trunk      arm       leg + leg at the crotch
//!             |
//!        leg     leg
//! ```
//!
//! Contours of neighbouring levels belong together if one lies mostly within
//! the other. That still tells an arm from the trunk where both run a little
//! into each other, and needs no notion of what a body looks like beyond the
//! forks above.

use crate::finding::Finding;
use crate::parallel::map_indices;
use crate::section::{Contour, Section, Slicer};
use crate::side::Side;

mod blob;
mod bridged;
mod follow;
mod torn;

use blob::Blob;

/// A level contour of one body part.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Height above the floor in mm.
    pub height_mm: f64,
    /// The contour, in x and y of the body frame.
    pub contour: Contour,
    /// Its taut girth in mm: kept, as landmarks and curves ask for it again and again.
    pub taut_mm: f64,
}

/// One body part, level by level, heights rising.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Branch {
    /// Its contours; levels at which skin is missing are left out.
    pub pieces: Vec<Piece>,
}

impl Branch {
    /// Lowest and highest level in mm, if it has any.
    #[must_use]
    pub fn range_mm(&self) -> Option<(f64, f64)> {
        Some((
            self.pieces.first()?.height_mm,
            self.pieces.last()?.height_mm,
        ))
    }

    /// Pieces between two heights.
    #[must_use]
    pub fn between(&self, low_mm: f64, high_mm: f64) -> &[Piece] {
        let first = self.pieces.partition_point(|p| p.height_mm < low_mm);
        let last = self.pieces.partition_point(|p| p.height_mm <= high_mm);
        &self.pieces[first..last.max(first)]
    }

    /// The middle noise of its contours between two heights, in mm: a single one tells it badly.
    pub(crate) fn noise_mm(&self, low_mm: f64, high_mm: f64) -> f64 {
        self.middle(low_mm, high_mm, Contour::noise_mm)
    }

    /// The middle jitter of its taut girths between two heights, in mm.
    pub(crate) fn girth_jitter_mm(&self, low_mm: f64, high_mm: f64) -> f64 {
        self.middle(low_mm, high_mm, Contour::girth_jitter_mm)
    }

    /// The middle of what noise does to its smoothed girths between two heights, in mm.
    pub(crate) fn girth_noise_mm(&self, low_mm: f64, high_mm: f64) -> f64 {
        self.middle(low_mm, high_mm, Contour::girth_noise_mm)
    }

    /// The middle height of its facets between two heights, in mm: a level cuts two for each of their edges.
    pub(crate) fn facet_mm(&self, low_mm: f64, high_mm: f64) -> f64 {
        2.0 * self.middle(low_mm, high_mm, Contour::step_mm)
    }

    fn middle(&self, low_mm: f64, high_mm: f64, of: impl Fn(&Contour) -> f64) -> f64 {
        let pieces = self.between(low_mm, high_mm).iter();
        let mut all: Vec<f64> = pieces.map(|piece| of(&piece.contour)).collect();
        all.sort_by(f64::total_cmp);
        all.get(all.len() / 2).copied().unwrap_or(0.0)
    }

    /// The piece nearest to a height.
    #[must_use]
    pub fn nearest(&self, height_mm: f64) -> Option<&Piece> {
        let after = self.pieces.partition_point(|p| p.height_mm < height_mm);
        let near = |i: usize| self.pieces.get(i);
        match (after.checked_sub(1).and_then(near), near(after)) {
            (Some(a), Some(b)) if height_mm - a.height_mm < b.height_mm - height_mm => Some(a),
            (Some(a), None) => Some(a),
            (_, b) => b,
        }
    }
}

/// A height at which two parts become one, going up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fork {
    /// Highest level at which they are apart, in mm; where skin is missing there, the middle of where it may lie.
    pub height_mm: f64,
    /// Half the height over which missing skin hides where they join, in mm.
    pub hidden_mm: f64,
    /// Centre of the first part (left leg, or arm) just below.
    pub first: [f64; 2],
    /// Centre of the second part (right leg, or trunk) just below.
    pub second: [f64; 2],
}

/// The parts of a standing body.
#[derive(Clone, Debug)]
pub struct Parts {
    /// From the crotch up to the lower armpit, arms not included.
    pub trunk: Branch,
    /// From the lower armpit to the top of the head: shoulders (arms included), neck, head.
    pub upper: Branch,
    /// Left and right leg with foot, from the floor up to the crotch.
    pub legs: [Branch; 2],
    /// Left and right arm with hand, up to its armpit; empty where none is apart.
    pub arms: [Branch; 2],
    /// Where the legs join.
    pub crotch: Option<Fork>,
    /// Where the left and right arm join the trunk.
    pub armpits: [Option<Fork>; 2],
    /// Heights between which an arm or hand touches the trunk, so that the contour is not of the trunk alone.
    pub touched_mm: Vec<(f64, f64)>,
    /// The same for the left and right leg.
    pub touched_legs_mm: [Vec<(f64, f64)>; 2],
    /// True for the left and right side if a contour that can be an arm shows beside the trunk somewhere.
    pub arm_seen: [bool; 2],
    /// True for the left and right side if the arm is held out about level, so that level cuts run along it.
    pub held_out: [bool; 2],
    /// Distance between levels in mm.
    pub step_mm: f64,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// Levels a body is cut at: about 2.5 mm apart on a grown person, a third of
/// the 3 mm within which a level must be found once parabolas are laid
/// through neighbours.
const LEVELS: usize = 680;

/// Where an arm can hang, in shares of the stature: from the finger tips of a long one (ANSUR II
/// wrist height 0.48 ± 0.013 less hand length 0.111 ± 0.005) to the shoulder.
const ARM_LEVELS: (f64, f64) = (0.33, 0.83);

impl Parts {
    /// Follows the contours of a body from the floor to the top of the head.
    ///
    /// `slicer` cuts level; `stature_mm` is the height of the body above the floor at 0.
    #[must_use]
    pub fn find(slicer: &Slicer<'_>, stature_mm: f64) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "a few hundred levels")]
        let step_mm = stature_mm / LEVELS as f64;
        #[expect(clippy::cast_precision_loss, reason = "a few hundred levels")]
        let heights: Vec<f64> = (0..LEVELS).map(|i| (i as f64 + 0.5) * step_mm).collect();
        let sections = slicer.cut_many(&heights);
        let levels: Vec<Vec<Blob<'_>>> = map_indices(sections.len(), |i| blobs(&sections[i]));
        let torn: Vec<Vec<Blob<'_>>> = map_indices(sections.len(), |i| torn::torn(&sections[i]));
        follow::follow(slicer, &levels, &torn, step_mm)
    }

    /// Takes trunk and thighs to hold an arm wherever it may hang, on a side that shows none apart.
    ///
    /// For bodies that have arms: an arm that touches all the way down looks like none.
    #[must_use]
    pub fn with_unseen_arms(mut self, stature_mm: f64) -> Self {
        let (low, high) = (ARM_LEVELS.0 * stature_mm, ARM_LEVELS.1 * stature_mm);
        for side in Side::BOTH {
            if !self.arm_seen[side.index()] {
                self.touched_mm.push((low, high));
                self.touched_legs_mm[side.index()].push((low, high));
            }
        }
        self
    }

    /// A leg.
    #[must_use]
    pub fn leg(&self, side: Side) -> &Branch {
        &self.legs[side.index()]
    }

    /// An arm.
    #[must_use]
    pub fn arm(&self, side: Side) -> &Branch {
        &self.arms[side.index()]
    }

    /// Where an arm joins the trunk.
    #[must_use]
    pub fn armpit(&self, side: Side) -> Option<&Fork> {
        self.armpits[side.index()].as_ref()
    }

    /// True if the trunk's contour at a height is of the trunk alone.
    #[must_use]
    pub fn is_trunk_alone(&self, height_mm: f64) -> bool {
        !self
            .touched_mm
            .iter()
            .any(|&(low, high)| (low..=high).contains(&height_mm))
    }

    /// The trunk's contour at any height between crotch and lower armpit, or why there is none.
    ///
    /// # Errors
    /// A sentence that says why the contour cannot be used.
    pub fn trunk_at(&self, slicer: &Slicer<'_>, height_mm: f64) -> Result<Contour, String> {
        if !self.is_trunk_alone(height_mm) {
            return Err(format!(
                "an arm or hand touches the trunk at {height_mm:.0} mm; scan again with the arms held out"
            ));
        }
        contour_at(slicer, &self.trunk, height_mm, "trunk")
    }

    /// A leg's contour at any height, or why there is none.
    ///
    /// # Errors
    /// A sentence that says why the contour cannot be used.
    pub fn leg_at(
        &self,
        slicer: &Slicer<'_>,
        side: Side,
        height_mm: f64,
    ) -> Result<Contour, String> {
        let touched = &self.touched_legs_mm[side.index()];
        if touched
            .iter()
            .any(|&(low, high)| (low..=high).contains(&height_mm))
        {
            return Err(format!(
                "the {side} hand seems to touch the leg at {height_mm:.0} mm; scan again with the arms held out"
            ));
        }
        contour_at(slicer, self.leg(side), height_mm, &format!("{side} leg"))
    }

    /// The contour of shoulders, neck or head at any height above the lower armpit, or why there is none.
    ///
    /// # Errors
    /// A sentence that says why the contour cannot be used.
    pub fn upper_at(&self, slicer: &Slicer<'_>, height_mm: f64) -> Result<Contour, String> {
        contour_at(slicer, &self.upper, height_mm, "body above the armpits")
    }
}

/// Least share of the area of the nearest level's contour in one cut anew beside it.
const LEAST_OF_GUIDE: f64 = 0.5;

/// Cuts anew at exactly `height_mm` and takes the contour that belongs to the branch.
fn contour_at(
    slicer: &Slicer<'_>,
    branch: &Branch,
    height_mm: f64,
    name: &str,
) -> Result<Contour, String> {
    let outside = || {
        format!(
            "the {name} does not show by itself at {height_mm:.0} mm: it touches another part there, or skin is missing; scan again from all sides, the arms held out and the feet apart"
        )
    };
    let (low, high) = branch.range_mm().ok_or_else(outside)?;
    // Half a level of slack at the ends: the branch reaches to the fork itself.
    let slack = 1e-9 + (high - low) / LEVELS as f64;
    if height_mm < low - slack || height_mm > high + slack {
        return Err(outside());
    }
    let near = branch.nearest(height_mm).ok_or_else(outside)?;
    let guide = Blob::new(&near.contour).ok_or_else(outside)?;
    let section = slicer.cut(height_mm);
    let found = section
        .contours
        .iter()
        .filter(|c| c.is_closed())
        .filter_map(Blob::new)
        .filter(|blob| guide.continues(blob))
        // Where the skin does not close, a finger or a hollow within it may.
        .filter(|blob| blob.area >= LEAST_OF_GUIDE * guide.area)
        .max_by(|a, b| a.area.total_cmp(&b.area));
    found.map(|blob| blob.contour.clone()).ok_or_else(|| {
        let gap = section
            .contours
            .iter()
            .map(Contour::gap_mm)
            .fold(0.0, f64::max);
        if gap <= 0.0 {
            return outside();
        }
        format!(
            "skin is missing at {height_mm:.0} mm: a gap of {gap:.0} mm on the way round the {name}; scan again from all sides"
        )
    })
}

/// The contours of a section that can be parts: closed, not specks, none inside another or behind
/// skin that is torn open.
fn blobs(section: &Section) -> Vec<Blob<'_>> {
    let mut found: Vec<Blob<'_>> = section
        .contours
        .iter()
        .filter(|contour| contour.is_closed())
        .filter_map(Blob::new)
        .filter(|blob| blob.area >= blob::SPECK_MM2)
        .collect();
    let torn = section.contours.iter().filter(|c| !c.is_closed());
    for open in torn.filter(|c| c.hull().points.len() > 2) {
        found.retain(|blob| !blob.contour.is_behind(open));
    }
    found.sort_by(|a, b| b.area.total_cmp(&a.area));
    let mut kept: Vec<Blob<'_>> = Vec::with_capacity(found.len());
    for blob in found {
        if !kept.iter().any(|outer| blob.within(outer) >= blob::WHOLLY) {
            kept.push(blob);
        }
    }
    kept
}
