//! How far forward the shoulder points lie, for the course of a shoulder seam.
//!
//! Side neck point and shoulder point lie on the ridge of the shoulder, the body's outline from the
//! front. Which skin of a broad top is the very highest hangs on single facets, by 10 mm and more from
//! front to back; the middle of the top does not. No survey window bounds the measure: ANSUR II takes
//! no point's place from front to back.

use super::{Taker, Why};
use crate::landmark::{Landmark, LandmarkKey, SHOULDER_SINE, SIDE_NECK_SINE};
use crate::measure::{Cause, Key, MeasureId, Spread};
use crate::section::{Contour, Section};
use crate::side::Side;

/// The middle is taken so far below the highest skin, as a share of the stature: 8 mm, where a top of
/// 50 mm radius is 56 broad and facets of 12 hardly move it.
const DEPTH: f64 = 0.005;
/// The top is looked for no farther from the landmark, forward or back, and no higher over it, as shares of
/// the stature: less than half a shoulder's depth (from memory), and below the jaw.
const NEAR: [f64; 2] = [0.025, 0.012];
/// Where more than this share of a top's breadth is missing skin, its middle is not told.
const MOST_GAP: f64 = 0.5;
/// How surely the middle of the skin's top tells how far forward the bone, or the neck's side, lies under
/// it, as a share of the stature: 4 mm (common practice, no source).
const UNDER_SKIN: f64 = 0.0025;
/// From one standing to the next shoulders are drawn forward or back by about so much, in mm (common
/// practice, no source).
const DRAWN_SD_MM: f64 = 5.0;
/// How surely the mid-sagittal plane faces the way the trunk does, in degrees (common practice, no source).
const FACING_SD_DEG: f64 = 1.0;

/// The top of neck or shoulder in an upright plane that runs from front to back.
#[derive(Debug)]
struct Top {
    /// How far forward its middle lies.
    middle: f64,
    /// What roughness and facets of the skin make of it, as standard deviations.
    noise: f64,
    facets: f64,
    /// What a bridge over missing skin may make of it.
    gap: f64,
}

impl Taker<'_, '_> {
    /// How far the shoulder point lies before the side neck point.
    pub(super) fn shoulder_forward(&mut self, side: Side) {
        let id = MeasureId::new(Key::ShoulderForward, side);
        match self.before_side_neck(side) {
            Ok((value, spread)) => self.value(id, value, spread, None),
            Err(why) => self.withhold(id, why),
        }
    }

    fn before_side_neck(&self, side: Side) -> Result<(f64, Spread), Why> {
        use LandmarkKey as L;
        let (neck, shoulder) = self.both(L::SideNeckPoint, L::ShoulderPoint, side)?;
        // What is known so well in height slips farther out along the leaning ridge.
        let ends = [(neck, SIDE_NECK_SINE), (shoulder, SHOULDER_SINE)]
            .map(|(mark, sine)| (mark, mark.sd_mm / sine.asin().tan()));
        let aside = ends.map(|(mark, slip)| {
            let x = mark.point_mm[0];
            [x, x + side.sign() * slip]
        });
        let sections = self.survey.upright.cut_many(aside.as_flattened());
        let found: Option<Vec<Top>> = sections
            .iter()
            .zip([neck, neck, shoulder, shoulder])
            .map(|(section, mark)| self.top(section, mark))
            .collect();
        let Some([neck_top, neck_out, shoulder_top, shoulder_out]) = found.as_deref() else {
            return Err(format!(
                "the top of the {side} shoulder does not show from front to back at the side neck point, the shoulder point or right beside them; is skin missing there?"
            ));
        };
        // A point that a hand has put stands.
        let forward = |mark: &Landmark, top: &Top| {
            if self.marks.is_at_pinned_point(mark) {
                mark.point_mm[1]
            } else {
                top.middle
            }
        };
        let value = forward(shoulder, shoulder_top) - forward(neck, neck_top);
        let slips =
            (neck_out.middle - neck_top.middle).hypot(shoulder_out.middle - shoulder_top.middle);
        let under_skin = std::f64::consts::SQRT_2 * UNDER_SKIN * self.survey.stature_mm;
        let run = (shoulder.point_mm[0] - neck.point_mm[0]).abs();
        let fall = (neck.height_mm() - shoulder.height_mm()).abs();
        let spread = Spread::of([
            (Cause::Level, slips.hypot(under_skin)),
            (Cause::Noise, neck_top.noise.hypot(shoulder_top.noise)),
            (Cause::Facets, neck_top.facets.hypot(shoulder_top.facets)),
            (Cause::Gap, neck_top.gap.hypot(shoulder_top.gap)),
            (Cause::Midline, run * FACING_SD_DEG.to_radians().sin()),
            (
                Cause::Pose,
                DRAWN_SD_MM.hypot(fall * self.survey.upright_sd_deg.to_radians().sin()),
            ),
        ]);
        Ok((value, spread))
    }

    /// The top beside a landmark in an upright plane that runs from front to back.
    fn top(&self, section: &Section, mark: &Landmark) -> Option<Top> {
        let [_, y, z] = mark.point_mm;
        let far = |p: &[f64; 2]| (p[0] - y).hypot(p[1] - z);
        let nearest = |contour: &Contour| contour.points().iter().map(far).fold(f64::MAX, f64::min);
        let contours = section.contours.iter();
        let contour = contours.min_by(|a, b| nearest(a).total_cmp(&nearest(b)))?;
        Top::of(contour, [y, z], self.survey.stature_mm)
    }
}

impl Top {
    /// Of a contour (forward, up), near a point; none where too much of the skin is missing there.
    fn of(contour: &Contour, [y, z]: [f64; 2], stature_mm: f64) -> Option<Self> {
        let [along, up] = NEAR.map(|share| share * stature_mm);
        let settled = contour.settled();
        let near = settled
            .points()
            .iter()
            .filter(|p| (p[0] - y).abs() < along && p[1] - z < up);
        let highest = near.max_by(|a, b| a[1].total_cmp(&b[1]))?;
        let depth = DEPTH * stature_mm;
        let level = highest[1] - depth;
        let cuts = || settled.crossings(1, level);
        let front = cuts().filter(|&cut| cut > highest[0]).reduce(f64::min)?;
        let back = cuts().filter(|&cut| cut < highest[0]).reduce(f64::max)?;
        let broad = front - back;
        let inside = contour.bridges().filter(|[a, b]| {
            a[1].max(b[1]) > level && a[0].max(b[0]) > back && a[0].min(b[0]) < front
        });
        let gap = inside
            .map(|[a, b]| (a[0] - b[0]).hypot(a[1] - b[1]))
            .fold(0.0, f64::max);
        // Where a round top has fallen so far it leans by 4·depth / breadth; two ends make the middle.
        let aslant = broad / (4.0 * depth) * std::f64::consts::FRAC_1_SQRT_2;
        (gap < MOST_GAP * broad).then(|| Self {
            middle: f64::midpoint(front, back),
            noise: aslant * contour.noise_mm(),
            facets: aslant * contour.facet_jitter_mm(),
            // A chord over it lies inside by its square by the depth over the breadth's square.
            gap: 0.25 * gap * gap / broad,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::closed_for_tests;
    use std::f64::consts::TAU;

    /// A top of radius 40 in front of its highest line and 90 behind, 8 below it: √(2·40·8 − 8²) = 24.00
    /// before and √(2·90·8 − 8²) = 37.09 behind (sagitta of a circle), so its middle lies 6.55 behind.
    #[test]
    fn the_middle_of_a_lopsided_top() {
        let ring = |n: u32, at: f64| {
            let points = (0..n).map(|i| {
                let angle = TAU * (f64::from(i) + at) / f64::from(n);
                let radius = if angle.cos() > 0.0 { 40.0 } else { 90.0 };
                [
                    7.0 + radius * angle.cos(),
                    1400.0 + radius * (angle.sin() - 1.0),
                ]
            });
            closed_for_tests(points.collect())
        };
        let exact = 7.0 + 0.5 * (576.0_f64.sqrt() - 1376.0_f64.sqrt());
        let top = Top::of(&ring(3600, 0.0), [3.0, 1398.0], 1600.0).unwrap();
        assert!((top.middle - exact).abs() < 0.05, "{top:?}");
        // Facets of 9 to 20 mm: their ends lie evenly spread, so the middle stays within two of its own
        // standard deviations but for a few, here of eight ways to lay them.
        for at in 0..8 {
            let top = Top::of(&ring(28, f64::from(at) / 8.0), [3.0, 1398.0], 1600.0).unwrap();
            assert!(
                top.facets > 0.1 && (top.middle - exact).abs() < 3.0,
                "{top:?}"
            );
        }
    }

    /// A gap of 20 of the 61 mm that a top of radius 60 is broad makes it 20²/(4·61) = 1.6 mm unsure; one of
    /// 45 is too much.
    #[test]
    fn a_top_with_a_gap() {
        let with_gap = |open: f64| {
            let at = |mm: f64| (mm / 60.0).asin();
            let (from, to) = (at(5.0), at(5.0 + open));
            let ring = (0..3600).map(|i| to + (TAU - to + from) * f64::from(i) / 3599.0);
            let points: Vec<_> = ring
                .map(|angle| [60.0 * angle.sin(), 1400.0 + 60.0 * (angle.cos() - 1.0)])
                .collect();
            let last = points.len() - 1;
            Top::of(&Contour::bridged(points, vec![last]), [0.0, 1400.0], 1600.0)
        };
        let top = with_gap(20.0).unwrap();
        assert!((top.gap - 1.6).abs() < 0.2, "{top:?}");
        assert!(top.middle.abs() < 2.0 * top.gap, "{top:?}");
        assert!(with_gap(45.0).is_none());
    }

    #[test]
    fn a_top_without_skin_behind_is_none() {
        let arc = (0..=90).map(|i| {
            let angle = f64::from(i).to_radians();
            [50.0 * angle.cos(), 1400.0 + 50.0 * (angle.sin() - 1.0)]
        });
        let open = Contour::new(arc.collect(), false);
        assert!(Top::of(&open, [0.0, 1400.0], 1600.0).is_none());
    }
}
