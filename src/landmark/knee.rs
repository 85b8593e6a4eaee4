//! The knee, from the shape of both legs.
//!
//! ```text
//!        side view          girth
//!          |  |               \        thigh: widens upwards
//!   axis   |  |   turns        \
//!   ----->  \  \  here          |  <-- turns here
//!            \  \               |
//!             |  |             /       calf
//! ```
//!
//! Seen from the side the thigh stands upright on a shank that leans back, and the axis of the leg
//! turns from one to the other at the knee joint or a little above it; the girth turns from calf to
//! thigh at the kneecap or a little below it. A leg with a long or strong calf shifts the two
//! against each other, so the knee is taken midway between them.

use super::series::{Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::side::Side;

/// Where the knee is looked for, in shares of the stature: ANSUR II has the middle of the kneecap at
/// 0.277 ± 0.009 and the outer end of the thigh bone at 0.280–0.286 ± 0.010; from two standard
/// deviations below the one to nearly three above the other. Wider ones let the turn into a fat calf or
/// thigh stand for the knee: on 60 study bodies 3.5 and 4 of them scatter by a seventh more.
const WINDOW: (f64, f64) = (0.26, 0.31);
/// Half-width of the parabolas that tell how hard a leg turns, as a share of the stature: from the
/// knee down to where the calf swells and up to where the thigh does.
const REACH: f64 = 0.055;
/// Half-width of the parabola about the hardest turn, as a share of the stature.
const PEAK: f64 = 0.012;
/// The knees of a person lie within this height of each other, in mm: legs differ by 5 ± 4 in length
/// (Knutson 2005, from X-ray studies) and by 25 at most (Ajani and Ayanleke, by tape).
const APART_MM: f64 = 20.0;
/// Standard uncertainty of the knee as a share of the stature, 25 mm: the turns stand for a joint
/// under skin and fat, and differ by body more than by scan. Chosen on 60 study bodies, where they lie
/// 22 mm from the model's joint (root mean square), which itself does not keep to its skin, and up to 64
/// through a phone app.
const SD: f64 = 0.015;
/// The same where one of the two turns does not show: 22 mm by the axis and 29 by the girth alone there.
const SD_OF_ONE: f64 = 0.018;

/// Left and right knee.
pub(super) fn points(survey: &Survey<'_>) -> [Found; 2] {
    let legs = Side::BOTH.map(|side| &survey.parts.leg(side).pieces);
    let s = survey.stature_mm;
    let reach = (WINDOW.0 - REACH) * s..=(WINDOW.1 + REACH) * s;
    let near = |side: usize| {
        legs[side]
            .iter()
            .filter(|piece| reach.contains(&piece.height_mm))
    };
    // Forward is +y: the axis bends backwards at the knee, its parabola the other way than the girth's.
    let axes = [0, 1].map(|side| {
        Series::new(near(side).map(|piece| (piece.height_mm, piece.contour.centroid()[1])))
    });
    let girths =
        [0, 1].map(|side| Series::new(near(side).map(|piece| (piece.height_mm, piece.taut_mm))));
    let axes = turns(&axes, Kind::Least, s);
    let girths = turns(&girths, Kind::Greatest, s);
    Side::BOTH.map(|side| {
        let both = (axes[side.index()], girths[side.index()]);
        let (at, sd, rule) = match both {
            (Some(axis), Some(girth)) => (
                0.5 * (axis + girth),
                SD * s,
                "midway between the hardest turns of the leg's axis and of its girth",
            ),
            (Some(axis), None) => (
                axis,
                SD_OF_ONE * s,
                "hardest turn of the leg's axis, seen from the side",
            ),
            (None, Some(girth)) => (
                girth,
                SD_OF_ONE * s,
                "hardest turn of the leg's girth from calf to thigh",
            ),
            (None, None) => {
                return Err(Missing {
                    key: LandmarkKey::Knee,
                    side: Some(side),
                    reason: "the leg does not turn at the knee; pin the knee height by hand"
                        .to_owned(),
                });
            }
        };
        let centre = survey.parts.leg(side).nearest(at);
        let [x, y] = centre.map_or([0.0; 2], |piece| piece.contour.centroid());
        Ok(Landmark {
            key: LandmarkKey::Knee,
            side: Some(side),
            point_mm: [x, y, at],
            sd_mm: sd.hypot(survey.step_sd()),
            confidence: Confidence::Rough,
            rule: rule.to_owned(),
        })
    })
}

/// Where the series of both legs turn hardest at the knee: each leg's own turn near the hardest one of both together.
fn turns(legs: &[Series; 2], kind: Kind, s: f64) -> [Option<f64>; 2] {
    let bends = [0, 1].map(|side| bends(&legs[side], s));
    let [left, right] = &bends;
    let mean = left
        .window(0.0, f64::INFINITY)
        .filter_map(|(at, bend)| Some((at, 0.5 * (bend + right.value_at(at)?))));
    let window = (WINDOW.0 * s, WINDOW.1 * s);
    let common = hardest(&Series::new(mean), kind, window, s);
    [0, 1].map(|side| {
        let Some(common) = common else {
            return hardest(&bends[side], kind, window, s);
        };
        let near = (common - APART_MM, common + APART_MM);
        let own = bends[side].extreme(kind, near.0, near.1, PEAK * s);
        own.map(|turn| turn.at).or(Some(common))
    })
}

/// Where a series turns hardest within a window the right way: a turn that lies beyond is held at the window's end.
fn hardest(bends: &Series, kind: Kind, (low, high): (f64, f64), s: f64) -> Option<f64> {
    let sign = if kind == Kind::Greatest { 1.0 } else { -1.0 };
    let most = |a: &(f64, f64), b: &(f64, f64)| (sign * a.1).total_cmp(&(sign * b.1));
    let inner = bends.extreme(kind, low, high, PEAK * s);
    let inner = inner.map(|turn| (turn.at, turn.value));
    let turn = bends.window(low, high).chain(inner).max_by(most);
    turn.filter(|turn| sign * turn.1 > 0.0).map(|turn| turn.0)
}

/// How hard a series turns, by height, wherever it goes on far enough to both sides.
fn bends(leg: &Series, s: f64) -> Series {
    let reach = REACH * s;
    let (Some(&first), Some(&last)) = (leg.at.first(), leg.at.last()) else {
        return Series::default();
    };
    // Nearly all of the reach, as levels fall where they fall.
    let (low, high) = (first + 0.95 * reach, last - 0.95 * reach);
    Series::new(
        leg.window(low, high)
            .filter_map(|(at, _)| Some((at, leg.fit(at, reach)?.bend))),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two straight lines that meet: the parabola about the corner bends hardest, as the corner is
    /// farthest from the chord there (closed form). Each leg keeps its own corner.
    #[test]
    fn each_leg_turns_at_its_own_corner() {
        let s = 1700.0;
        let leg = |corner: f64| {
            let heights = (100..300).map(|i| 2.5 * f64::from(i));
            Series::new(heights.map(move |h| (h, f64::max(0.0, 0.3 * (h - corner)))))
        };
        let found = turns(&[leg(480.0), leg(491.0)], Kind::Greatest, s);
        for (found, corner) in found.into_iter().zip([480.0, 491.0]) {
            assert!((found.unwrap() - corner).abs() < 1.0, "{found:?}");
        }
        // The other way round there is no such turn.
        let none = turns(&[leg(480.0), leg(491.0)], Kind::Least, s);
        assert_eq!(none, [None, None]);
        // A straight leg goes by the other one, one that is cut short by itself.
        let straight = Series::new((100..300).map(|i| (2.5 * f64::from(i), 300.0)));
        let found = turns(&[leg(480.0), straight], Kind::Greatest, s);
        assert!((found[1].unwrap() - 480.0).abs() < 1.0, "{found:?}");
        let alone = turns(&[leg(480.0), Series::default()], Kind::Greatest, s);
        assert!((alone[0].unwrap() - 480.0).abs() < 1.0, "{alone:?}");
    }
}
