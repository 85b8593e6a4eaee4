//! A body prepared for looking: its slicer, its parts, and profiles by height.

use super::arm::Arm;
use super::series::Series;
use super::wave::Waves;
use crate::finding::Finding;
use crate::frame::{Body, Ends};
use crate::mesh::TriMesh;
use crate::parallel::map_indices;
use crate::part::{Parts, Piece};
use crate::section::{PlaneAxes, Slicer};
use crate::side::Side;
use nalgebra::{Unit, Vector3};

/// A body that has been cut level by level.
///
/// `mesh` is in the body frame: mm, x to the wearer's right with the mid-sagittal
/// plane at 0, y forward, z up, floor at 0.
#[derive(Debug)]
pub struct Survey<'b> {
    /// The body's mesh.
    pub mesh: &'b TriMesh,
    /// The body's mesh, or a thinner one for searches of many slanted cuts.
    pub outline: &'b TriMesh,
    /// Cuts level.
    pub level: Slicer<'b>,
    /// Cuts upright planes that run front to back, by x.
    pub upright: Slicer<'b>,
    /// The followed contours.
    pub parts: Parts,
    arms: [Option<Arm>; 2],
    waves: Waves,
    /// Floor to the top of the head in mm.
    pub stature_mm: f64,
    /// Which ends of the body are there.
    pub ends: Ends,
    /// Standard uncertainty of the floor's height, in mm.
    pub floor_sd_mm: f64,
    /// How surely upright is plumb, as a standard deviation in degrees.
    pub upright_sd_deg: f64,
    /// Standard uncertainty of the place of the mid-sagittal plane, in mm.
    pub midline_sd_mm: f64,
    /// From the file's coordinates to those of the body, by rows, as in
    /// [`FrameDecision`](crate::frame::FrameDecision).
    pub(super) file_to_body: [[f64; 4]; 4],
}

/// Upright planes that run front to back: u forward, v up, heights along x.
const SAGITTAL: PlaneAxes = PlaneAxes {
    u: Unit::new_unchecked(Vector3::new(0.0, 1.0, 0.0)),
    v: Unit::new_unchecked(Vector3::new(0.0, 0.0, 1.0)),
    normal: Unit::new_unchecked(Vector3::new(1.0, 0.0, 0.0)),
};

impl<'b> Survey<'b> {
    /// Cuts and follows a body.
    #[must_use]
    pub fn new(body: &'b Body) -> Self {
        let (mesh, outline) = (body.mesh(), body.outline());
        let stature_mm = body.stature().mm();
        let level = Slicer::level(mesh).indexed();
        let parts = Parts::find(&level, stature_mm);
        let mut survey = Self {
            mesh,
            outline,
            upright: Slicer::along(mesh, SAGITTAL),
            level,
            // The centres of level cuts along an arm held out level are not its axis.
            arms: map_indices(2, |i| {
                let hangs = !parts.held_out[i];
                hangs.then(|| Arm::of(body, &parts.arms[i])).flatten()
            })
            .try_into()
            .unwrap_or([None, None]),
            waves: Waves::of(&parts, stature_mm),
            parts,
            stature_mm,
            ends: body.ends(),
            floor_sd_mm: body.floor_sd_mm(),
            upright_sd_deg: body.upright_sd_deg(),
            midline_sd_mm: body.frame().midline_sd_mm,
            file_to_body: body.frame().matrix,
        };
        if survey.parts.arm_seen.contains(&false) {
            survey.doubt_arms();
        }
        survey.doubt_legs();
        if survey.parts.held_out.contains(&true) {
            survey.parts.findings.push(Finding::look("arms", HELD_OUT));
        }
        survey
    }

    /// A side without an arm: withheld where it may hide in the trunk, or only told on a form that may have none.
    fn doubt_arms(&mut self) {
        if self.ends.head {
            let parts = self.parts.clone();
            self.parts = parts.with_unseen_arms(self.stature_mm);
        } else {
            self.parts.findings.push(Finding::look(
                "arms",
                "no arm shows apart from the trunk on one side or both; if there are arms on the scan, the trunk's girths hold them and are too large",
            ));
        }
    }

    /// Legs that stand so wide that level girths of them read large.
    fn doubt_legs(&mut self) {
        if !self.ends.feet {
            return;
        }
        let (low, high) = (LEG_ENDS.0 * self.stature_mm, LEG_ENDS.1 * self.stature_mm);
        let leans = Side::BOTH.map(|side| {
            let leg = self.parts.leg(side).between(low, high);
            let (first, last) = (leg.first()?, leg.last()?);
            let ([x, y], [u, v]) = (first.contour.centroid(), last.contour.centroid());
            let rise = last.height_mm - first.height_mm;
            // A leg that is followed over half of its length shows its lean.
            (rise > 0.5 * (high - low)).then(|| (u - x).hypot(v - y).atan2(rise))
        });
        let lean = leans.into_iter().flatten().fold(0.0, f64::max);
        let excess = level_excess(lean);
        if excess > TOLD_EXCESS {
            self.parts.findings.push(Finding::look(
                "legs",
                format!(
                    "a leg leans {:.0} degrees off plumb, so that girths of the legs, which are taken level, read about {:.1} percent large; scan again with the feet closer together",
                    lean.to_degrees(),
                    100.0 * excess
                ),
            ));
        }
    }

    /// An arm made ready for cuts, if it is apart from the trunk.
    pub(crate) fn arm(&self, side: Side) -> Option<&Arm> {
        self.arms[side.index()].as_ref()
    }

    /// How much the skin waves.
    pub(crate) fn waves(&self) -> Waves {
        self.waves
    }

    /// Why an arm's own points and girths are not known.
    pub(crate) fn no_arm(&self, side: Side) -> &'static str {
        if self.parts.held_out[side.index()] {
            HELD_OUT
        } else {
            "the arm is not apart from the trunk anywhere; scan again with the arms held out"
        }
    }

    /// Levels are sampled some way apart: the least standard uncertainty of any, in mm.
    pub(super) fn step_sd(&self) -> f64 {
        self.parts.step_mm / 12.0_f64.sqrt()
    }

    /// Trunk pieces and, above the lower armpit, those of the upper body, between two shares of the stature.
    pub(super) fn torso(&self, low: f64, high: f64) -> impl Iterator<Item = &Piece> {
        let (low, high) = (low * self.stature_mm, high * self.stature_mm);
        let trunk = self.parts.trunk.between(low, high);
        trunk.iter().chain(self.parts.upper.between(low, high))
    }

    /// How far something reaches by height, over a share of the stature of the torso.
    pub(super) fn torso_series(
        &self,
        low: f64,
        high: f64,
        value: impl Fn(&Piece) -> Option<f64>,
    ) -> Series {
        Series::new(
            self.torso(low, high)
                .filter_map(|piece| Some((piece.height_mm, value(piece)?))),
        )
    }

    /// Most forward point of a piece on one side, over the part of the breadth where a bust point can lie.
    pub(super) fn front_point(piece: &Piece, side: Side, half_breadth: f64) -> Option<[f64; 2]> {
        let reach = BUST_REACH.0 * half_breadth..=BUST_REACH.1 * half_breadth;
        piece
            .contour
            .points()
            .iter()
            .filter(|p| reach.contains(&(p[0] * side.sign())))
            .max_by(|a, b| a[1].total_cmp(&b[1]))
            .copied()
    }
}

/// Part of the half breadth of the trunk, out from the midline, where a bust point is looked for.
const BUST_REACH: (f64, f64) = (0.25, 0.9);

/// Why what hangs on hanging arms is withheld.
pub(crate) const HELD_OUT: &str = "the arm is held out about level, which lifts armpit and shoulder; lower the arms to about 30 degrees off the body and scan again";

/// Between which shares of the stature the lean of a leg is taken: above the foot and below the crotch.
const LEG_ENDS: (f64, f64) = (0.08, 0.42);
/// By how much level girths of a leg may read large before it is told.
const TOLD_EXCESS: f64 = 0.01;

/// By how much a level girth of a round limb that leans by an angle is larger than one square to it:
/// an ellipse of half axes r and r/cos φ, first term φ²/4.
fn level_excess(lean: f64) -> f64 {
    0.25 * lean * lean
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Perimeter of an ellipse of half axes 150 and 150/cos φ by elliptic integral, over the circle's:
    /// +0.03 % at 2, +0.19 % at 5, +0.77 % at 10 degrees (computed).
    #[test]
    fn leaning_cylinder() {
        for (degrees, percent) in [(2.0_f64, 0.03), (5.0, 0.19), (10.0, 0.77)] {
            let found = 100.0 * level_excess(degrees.to_radians());
            assert!((found - percent).abs() < 0.011, "{degrees}: {found}");
        }
    }
}
