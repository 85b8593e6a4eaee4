//! How far from the midline side neck point and shoulder point lie.
//!
//! Where the ridge of a shoulder has turned by some share says where they lie, but that place wanders with the build. What
//! else shows beside it (the neck's breadth, the side of the trunk below the armpit, the inner side of the arm) steadies
//! it. How much each counts was chosen on `study-000` to `study-059` of a body model, against the places its maker
//! put on the same bodies with hanging arms, by least squares with a penalty and cross-validation; how far out the points
//! lie in the mean is not the model's but a survey's.

use super::root::Root;
use super::shoulder::RIDGE_LEAN_SD_DEG;

/// Shares of the turn from the shoulder line up to an upright neck: where a chain round the base of the neck
/// comes to lie on the ridge, and where it has become the neck's side. By the survey biacromial breadth less
/// twice the shoulder length along a line of 23 degrees leaves the side neck points 0.038 (women) and 0.042
/// (men) of the stature off the midline; three tenths of the turn lie at 0.039 on the study bodies.
pub(super) const TURNS_UP: [f64; 2] = [0.3, 0.5];
/// Length of ridge over which it turns into the arm, as a share of the stature.
const TURN_LENGTH: f64 = 0.04;

/// How far from the midline a point lies: so much of each distance that is seen and a share of the stature,
/// and how surely, as another.
#[derive(Clone, Copy, Debug)]
struct Weights<const N: usize> {
    of: [f64; N],
    share: f64,
    sd: f64,
}

impl<const N: usize> Weights<N> {
    /// Of distances in mm: how far out, in mm.
    fn sum(&self, seen: [f64; N], stature_mm: f64) -> f64 {
        let parts = self.of.iter().zip(seen).map(|(weight, mm)| weight * mm);
        parts.sum::<f64>() + self.share * stature_mm
    }
}

/// The shoulder point by the side of the trunk, the inner side of the arm and the ridge's turn. The weights are the
/// model's; the share is 0.0031 less than the model's, so that breadth between the points and shoulder length lie
/// at what ANSUR II has for people of the same stature and mass (means of the 60 bodies -1 and 0 mm off). Both sides
/// of a body err together: the uncertainty is that of half the breadth, 8 mm.
const SHOULDER: Weights<3> = Weights {
    of: [0.385, 0.25, 0.29],
    share: 0.0209,
    sd: 0.0050,
};
/// The same by the ridge's turn alone, where no arm is apart from the trunk.
const SHOULDER_BY_TURN: Weights<1> = Weights {
    of: [0.61],
    share: 0.0397,
    sd: 0.0072,
};
/// The same by trunk and arm alone, where the ridge runs straight on into an arm held out.
const SHOULDER_BY_ROOT: Weights<2> = Weights {
    of: [0.55, 0.28],
    share: 0.0376,
    sd: 0.0060,
};
/// The side neck point by where the ridge has done [`TURNS_UP`], the neck's half breadth and the side of the trunk.
/// The share keeps its mean where three tenths of the turn lie. (The sharper the turn, the farther out the
/// point: hence one weight below nothing.)
const SIDE_NECK: Weights<4> = Weights {
    of: [-1.13, 1.85, 0.33, 0.20],
    share: -0.0118,
    sd: 0.0,
};
/// The same where no arm is apart from the trunk.
const SIDE_NECK_ALONE: Weights<3> = Weights {
    of: [-1.26, 2.37, 0.465],
    share: -0.0098,
    sd: 0.0,
};

/// Arms that are raised draw the model's own shoulder point inwards, by 19 mm from 10 to 50 degrees off plumb; the
/// rule places it as with hanging arms. Half of what is undone is left unsure, as a share of the stature.
pub(super) const RAISED_SD: f64 = 0.0056;
/// The lean off plumb from which arms count as raised, and that over which the skin moves so far, in degrees.
const RAISED_DEG: (f64, f64) = (10.0, 50.0);

/// How far from the midline the side neck point lies, by where the ridge has done [`TURNS_UP`], the neck's half breadth
/// and the arm's root, as far as they show; and by which rule.
pub(super) fn side_neck_out(
    [begun, half]: [Option<f64>; 2],
    half_neck: Option<f64>,
    root: Option<&Root>,
    s: f64,
) -> Option<(f64, &'static str)> {
    let begun = begun?;
    Some(match (half, half_neck, root) {
        (Some(half), Some(neck), Some(root)) => (
            SIDE_NECK.sum([begun, half, neck, root.trunk], s),
            "on the ridge of the shoulder, as far out as where it has done three tenths and a half of its turn up into the neck, the breadth of the neck and that of the trunk below the armpits place it",
        ),
        (Some(half), Some(neck), None) => (
            SIDE_NECK_ALONE.sum([begun, half, neck], s),
            "on the ridge of the shoulder, as far out as where it has done three tenths and a half of its turn up into the neck and the breadth of the neck place it",
        ),
        _ => (
            begun,
            "where the ridge of the shoulder, coming from outside, has done three tenths of its turn from the shoulder line up into the neck",
        ),
    })
}

/// Where ridge and root place the shoulder point farther apart than so many standard deviations of the ridge's word, one
/// of them is wrong, as beside a torn armpit (none of the 60 bodies as they are).
const MOST_APART: f64 = 4.0;

/// How far from the midline the shoulder point lies, how surely, and by which rule; `turn` is where the ridge has done
/// its share of the turn into the arm, and how much it turns in all.
pub(super) fn shoulder_out(
    turn: Option<(f64, f64)>,
    root: Option<&Root>,
    s: f64,
) -> Option<(f64, f64, &'static str)> {
    // The less it turns, the less is known where it has done its share.
    let turn = turn.map(|(at, turn_deg)| (at, RIDGE_LEAN_SD_DEG / turn_deg * TURN_LENGTH * s));
    match (turn, root) {
        (Some((at, at_sd)), Some(root)) => {
            let out = SHOULDER.sum([root.trunk, root.arm, at], s);
            // A ridge that turns elsewhere than the arm's root has it makes both doubtful.
            let off = (out - SHOULDER_BY_TURN.sum([at], s)).abs();
            if off > MOST_APART * SHOULDER_BY_TURN.sd * s {
                return None;
            }
            let doubt = (off - 2.0 * SHOULDER_BY_TURN.sd * s).max(0.0);
            let sd = (SHOULDER.sd * s)
                .hypot(SHOULDER.of[2] * at_sd)
                .hypot(0.5 * doubt)
                .hypot(root.sd);
            Some((
                out,
                sd,
                "on the ridge of the shoulder, as far out as the side of the trunk below the armpit, the inner side of the arm carried on upwards and where the ridge has done six tenths of its turn into the upper arm place it with hanging arms",
            ))
        }
        (Some((at, at_sd)), None) => Some((
            SHOULDER_BY_TURN.sum([at], s),
            (SHOULDER_BY_TURN.sd * s).hypot(SHOULDER_BY_TURN.of[0] * at_sd),
            "on the ridge of the shoulder, as far out as where it has done six tenths of its turn into the upper arm places it with hanging arms",
        )),
        (None, Some(root)) => Some((
            SHOULDER_BY_ROOT.sum([root.trunk, root.arm], s),
            (SHOULDER_BY_ROOT.sd * s).hypot(root.sd),
            "on the ridge of the shoulder, as far out as the side of the trunk below the armpit and the inner side of the arm carried on upwards place it with hanging arms",
        )),
        (None, None) => None,
    }
}

/// How far an arm so many degrees off plumb is raised: 0 where it hangs, 1 where it is held out by 50.
pub(crate) fn raised(off_plumb_deg: f64) -> f64 {
    let sine = |degrees: f64| degrees.to_radians().sin();
    let (from, to) = RAISED_DEG;
    ((sine(off_plumb_deg) - sine(from)) / (sine(to) - sine(from))).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The means of the 60 bodies (trunk at 0.0981, arm at 0.0795 and turn at 0.1214 of the stature) lie at 0.1138 by
    /// every rule; the fewer features show, the less sure it is.
    #[test]
    fn fewer_features_say_the_same_less_surely() {
        let s = 1700.0;
        let turn = Some((0.1214 * s, 40.0));
        let root = Root {
            trunk: 0.0981 * s,
            arm: 0.0795 * s,
            sd: 0.0,
        };
        let all = shoulder_out(turn, Some(&root), s).unwrap();
        let by_turn = shoulder_out(turn, None, s).unwrap();
        let by_root = shoulder_out(None, Some(&root), s).unwrap();
        for (out, _, rule) in [all, by_turn, by_root] {
            assert!((out - 0.1138 * s).abs() < 0.0002 * s, "{out} {rule}");
        }
        assert!(all.1 < by_root.1 && by_root.1 < by_turn.1);
        assert!(shoulder_out(None, None, s).is_none());
    }

    /// A turn 60 mm farther out than the arm's root has it (weight 0.29 against 0.61) is off by 19 mm by itself; 100
    /// mm by 32, 8 over twice the 12 mm it is sure to, half of which is added.
    #[test]
    fn features_that_disagree_are_less_sure() {
        let s = 1700.0;
        let root = Root {
            trunk: 0.0981 * s,
            arm: 0.0795 * s,
            sd: 0.0,
        };
        let sd = |at: f64| shoulder_out(Some((at, 1e6)), Some(&root), s).unwrap().1;
        let alike = sd(0.1214 * s);
        assert!((alike - 0.005 * s).abs() < 0.01, "{alike}");
        assert!((sd(0.1214 * s + 60.0) - alike).abs() < 0.01);
        let off = SHOULDER_BY_TURN.sum([0.1214 * s + 100.0], s)
            - SHOULDER.sum([root.trunk, root.arm, 0.1214 * s + 100.0], s);
        let doubt = 0.5 * (off - 2.0 * 0.0072 * s);
        assert!(doubt > 2.0 && (sd(0.1214 * s + 100.0) - alike.hypot(doubt)).abs() < 1e-9);
    }

    #[test]
    fn arms_are_raised_from_hanging_on() {
        assert!(raised(4.0) < 1e-12 && raised(10.0) < 1e-12);
        assert!((raised(50.0) - 1.0).abs() < 1e-12);
        assert!(raised(30.0) > 0.5 && raised(60.0) > 1.0);
    }
}
