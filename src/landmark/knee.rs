//! The knee, from how both legs lean.
//!
//! ```text
//!     side view         lean of the axis
//!    |       |              |
//!     \       )  kneecap     \
//!      \     /                \
//!       |   |   ------------>  |  leans back hardest
//!      /    |                 /
//!     (     |  calf, shin    /
//! ```
//!
//! Seen from the side the thigh stands upright, the shank hangs behind it, and the axis of the leg steps
//! back from the one to the other. It leans back hardest a little below the kneecap, where the shin begins
//! in front and the calf behind; the kneecap's middle lies a fixed share of the stature above. How the
//! whole person leans adds the same lean at every height and moves nothing.

use super::series::{Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::side::Side;

/// Where the middle of the kneecap is looked for, in shares of the stature: ANSUR II has it at
/// 0.277 ± 0.009 and the outer end of the thigh bone at 0.280–0.286 ± 0.010; from 3.5 standard
/// deviations below the one to 4 above the other, those of the rule itself ([`SD`]) among them.
const WINDOW: (f64, f64) = (0.237, 0.332);
/// By this share of the stature, 40 mm, the kneecap's middle lies above the hardest lean: as the skin over the
/// kneecap does on 300 random model bodies, in the mean (its own bulge, which few of them show, in the middle).
const ABOVE: f64 = 0.024;
/// Half-width of the parabolas that tell how a leg leans, as a share of the stature: about from the
/// hardest lean to the kneecap. At 0.02 the place would follow the kneecap as closely, and noise three times
/// as far.
const REACH: f64 = 0.03;
/// Half-width of the parabola about the hardest lean, as a share of the stature.
const PEAK: f64 = 0.012;
/// The knees of a person lie within this height of each other, in mm: legs differ by 5 ± 4 in length
/// (Knutson 2005, from X-ray studies) and by 25 at most (Ajani and Ayanleke, by tape).
const APART_MM: f64 = 20.0;
/// Standard uncertainty of the knee as a share of the stature, 12 mm: the skin over the kneecap of those
/// model bodies scatters by 0.0067 about the place.
const SD: f64 = 0.007;
/// The same for a leg that goes by the mean of both.
const SD_OF_BOTH: f64 = 0.012;

/// Left and right knee.
pub(super) fn points(survey: &Survey<'_>) -> [Found; 2] {
    let s = survey.stature_mm;
    let margin = ABOVE + REACH + PEAK;
    let reach = (WINDOW.0 - margin) * s..=(WINDOW.1 + margin) * s;
    // Forward is +y: an axis that leans back goes forward on its way up.
    let axes = Side::BOTH.map(|side| {
        let pieces = survey.parts.leg(side).pieces.iter();
        let near = pieces.filter(|piece| reach.contains(&piece.height_mm));
        Series::new(near.map(|piece| (piece.height_mm, piece.contour.centroid()[1])))
    });
    let leans = leans(&axes, s);
    Side::BOTH.map(|side| {
        let lean = leans[side.index()].ok_or_else(|| Missing {
            key: LandmarkKey::Knee,
            side: Some(side),
            reason: "the leg does not step back below the knee; pin the knee height by hand"
                .to_owned(),
        })?;
        let at = lean.at + ABOVE * s;
        let centre = survey.parts.leg(side).nearest(at);
        let [x, y] = centre.map_or([0.0; 2], |piece| piece.contour.centroid());
        let (share, rule) = if lean.own {
            (
                SD,
                "just above the level at which the leg's axis leans back hardest",
            )
        } else {
            (
                SD_OF_BOTH,
                "just above the level at which both legs together lean back hardest",
            )
        };
        Ok(Landmark {
            key: LandmarkKey::Knee,
            side: Some(side),
            point_mm: [x, y, at],
            sd_mm: (share * s).hypot(lean.sd).hypot(survey.step_sd()),
            confidence: Confidence::Rough,
            rule: rule.to_owned(),
        })
    })
}

/// Where a leg leans back hardest.
#[derive(Clone, Copy, Debug)]
struct Lean {
    at: f64,
    /// Standard uncertainty of `at` from the scatter of the axis.
    sd: f64,
    /// Whether the leg shows it by itself.
    own: bool,
}

/// Where both legs lean back hardest: each leg's own place near the hardest lean of both together.
fn leans(axes: &[Series; 2], s: f64) -> [Option<Lean>; 2] {
    let slopes = [0, 1].map(|side| slopes(&axes[side], s));
    let [left, right] = &slopes;
    let mean = left
        .window(0.0, f64::INFINITY)
        .filter_map(|(at, slope)| Some((at, 0.5 * (slope + right.value_at(at)?))));
    let hardest = |slopes: &Series, (low, high): (f64, f64)| {
        let found = slopes.extreme(Kind::Greatest, low, high, PEAK * s);
        found.map(|lean| lean.at)
    };
    let window = ((WINDOW.0 - ABOVE) * s, (WINDOW.1 - ABOVE) * s);
    let common = hardest(&Series::new(mean), window);
    [0, 1].map(|side| {
        let near = common.map_or(window, |at| (at - APART_MM, at + APART_MM));
        let own = hardest(&slopes[side], near);
        let at = own.or(common)?;
        let change = slopes[side].fit(at, PEAK * s)?.bend;
        // Straight but for its third power there, the axis scatters about that. What scatter adds to the
        // bend moves the place by so much over how fast the bend changes.
        let about = (REACH + PEAK) * s;
        let around = axes[side].window(at - about, at + about);
        let rest = around.map(|(z, y)| (z, y - change / 3.0 * (z - at).powi(3)));
        let scatter = Series::new(rest).fit(at, about)?.bend_sd();
        Some(Lean {
            at,
            sd: (scatter / change.abs().max(f64::MIN_POSITIVE)).min(APART_MM),
            own: own.is_some(),
        })
    })
}

/// The slope of a leg's axis by height, wherever the axis goes on far enough to both sides.
fn slopes(axis: &Series, s: f64) -> Series {
    let reach = REACH * s;
    let (Some(&first), Some(&last)) = (axis.at.first(), axis.at.last()) else {
        return Series::default();
    };
    // Nearly all of the reach, as levels fall where they fall.
    let (low, high) = (first + 0.95 * reach, last - 0.95 * reach);
    Series::new(
        axis.window(low, high)
            .filter_map(|(at, _)| Some((at, axis.fit(at, reach)?.slope))),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const S: f64 = 1700.0;

    /// An axis that steps back by 30 mm: a hyperbolic tangent, which is steepest in its middle (closed
    /// form), on a body that leans by `tilt`, with `noise` mm of scatter.
    fn leg(step: f64, tilt: f64, noise: f64) -> Series {
        let heights = (100..260).map(|i| 2.5 * f64::from(i));
        Series::new(heights.map(move |h| {
            // Scatter without a pattern, evenly spread over ±√3 standard deviations.
            let chance = (h * 12.9898).sin() * 43758.5453;
            let scatter = noise * 12.0_f64.sqrt() * (chance - chance.floor() - 0.5);
            (h, 15.0 * ((h - step) / 70.0).tanh() + tilt * h + scatter)
        }))
    }

    #[test]
    fn each_leg_leans_hardest_at_its_own_step() {
        for tilt in [0.0, 0.1, -0.1] {
            let found = leans(&[leg(440.0, tilt, 0.0), leg(451.0, tilt, 0.0)], S);
            for (found, step) in found.into_iter().zip([440.0, 451.0]) {
                let lean = found.unwrap();
                assert!((lean.at - step).abs() < 0.3, "{lean:?} {step}");
                assert!(lean.own && lean.sd < 1.0, "{lean:?}");
            }
        }
        // The other way round, as behind a knee that bends forwards, there is no such place.
        let turned = |step| {
            let leg = leg(step, 0.0, 0.0);
            Series::new(leg.at.iter().zip(&leg.value).map(|(&at, &y)| (at, -y)))
        };
        assert!(
            leans(&[turned(440.0), turned(451.0)], S)
                .iter()
                .all(Option::is_none)
        );
    }

    #[test]
    fn a_leg_without_a_step_goes_by_the_other() {
        let plumb = Series::new((100..260).map(|i| (2.5 * f64::from(i), 0.0)));
        let [step, by_both] = leans(&[leg(440.0, 0.0, 0.0), plumb], S).map(Option::unwrap);
        assert!(step.own && !by_both.own);
        assert!((by_both.at - 440.0).abs() < 0.3, "{by_both:?}");
        let [alone, none] = leans(&[leg(440.0, 0.0, 0.0), Series::default()], S);
        assert!((alone.unwrap().at - 440.0).abs() < 0.3, "{alone:?}");
        assert!(none.is_none());
    }

    /// What scatter of the axis does to the place is foretold: over many steps the errors are about as
    /// large as their stated uncertainties.
    #[test]
    fn scatter_of_the_axis_is_told() {
        let mut square = 0.0;
        for i in 0..40 {
            let step = 430.0 + 0.7 * f64::from(i);
            let leg = leg(step, 0.0, 0.4);
            let [lean, _] = leans(&[leg.clone(), leg], S).map(Option::unwrap);
            square += ((lean.at - step) / lean.sd).powi(2) / 40.0;
        }
        assert!((0.3..2.0).contains(&square), "{square}");
    }
}
