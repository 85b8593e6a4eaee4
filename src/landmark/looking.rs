//! The order in which landmarks are looked for, and what a pin does to it.

use super::{Found, Landmark, LandmarkKey, Landmarks, Missing, Survey};
use super::{arm, knee, leg, neck, order, shoulder, trunk};
use crate::frame::Ends;
use crate::parallel::both;
use crate::side::Side;

/// Looks for them all, in the order in which one rests on another.
pub(super) fn look(survey: &Survey<'_>, pinned: Vec<Landmark>) -> Landmarks {
    let mut all = Looking {
        marks: Landmarks {
            found: pinned,
            ..Landmarks::default()
        },
        ends: survey.ends,
        lean: survey.upright_sd_deg.to_radians().tan(),
    };
    all.take([trunk::vertex(survey)]);
    let crotch = all.add(trunk::crotch(survey));
    let hip = all.add(trunk::hip(survey));
    let (hip, crotch) = (hip.as_ref(), crotch.as_ref());
    // Both shoulders' ridges tell of the back of the neck as well.
    let (left, right) = both(
        || shoulder::Ridge::of(survey, Side::BOTH[0]),
        || shoulder::Ridge::of(survey, Side::BOTH[1]),
    );
    let ridges = [left, right];
    let heights =
        Side::BOTH.map(|side| shoulder::neck_height(survey, side, ridges[side.index()].as_ref()));
    // What follows rests on hip and crotch alone, and no side on the other.
    let (trunk, [left, right]) = both(
        || all.anew().of_trunk(survey, hip, heights),
        || {
            let of_side = |i: usize| {
                let ridge = ridges[i].as_ref();
                all.anew()
                    .of_side(survey, Side::BOTH[i], ridge, hip, crotch)
            };
            let (left, right) = both(|| of_side(0), || of_side(1));
            [left, right]
        },
    );
    for found in [trunk, left, right] {
        all.join(found);
    }
    all.take(knee::points(survey));
    all.marks
}

/// Landmarks while they are looked for.
struct Looking {
    /// Those put by hand from the start, others as they are found.
    marks: Landmarks,
    ends: Ends,
    /// By how much what lies beside the body's axis may be lifted, as a share of its distance: a body
    /// turned about the middle of its feet by what is unsure of the upright.
    lean: f64,
}

impl Looking {
    /// One that knows what was put by hand, and has found nothing yet.
    fn anew(&self) -> Self {
        let pinned = self.marks.found.iter().filter(|mark| mark.is_pinned());
        Self {
            marks: Landmarks {
                found: pinned.cloned().collect(),
                ..Landmarks::default()
            },
            ..*self
        }
    }

    /// Takes in what another found.
    fn join(&mut self, other: Self) {
        let found = other.marks.found.into_iter();
        self.marks
            .found
            .extend(found.filter(|mark| !mark.is_pinned()));
        self.marks.missing.extend(other.marks.missing);
        self.marks.findings.extend(other.marks.findings);
    }

    /// What lies on the trunk between hip and head; `ridges` is how high each shoulder's turns up into the neck.
    fn of_trunk(
        mut self,
        survey: &Survey<'_>,
        hip: Option<&Landmark>,
        ridges: [Option<f64>; 2],
    ) -> Self {
        let bust = trunk::bust_points(survey).map(|point| self.add(point));
        let under_bust = self.add(trunk::under_bust(survey, &bust));
        let waist = trunk::waist_narrowest(survey, hip, &bust, under_bust.as_ref());
        let waist = self.add(waist);
        let bones = trunk::bones(survey).map(|edge| self.add(edge));
        let midline = survey.upright.cut(0.0).contours;
        self.take([
            trunk::waist_midway(survey, &bones),
            trunk::navel(survey),
            trunk::belly(survey, under_bust.as_ref()),
            trunk::high_hip(survey, waist.as_ref(), hip),
            neck::back_neck(survey, &midline, ridges),
            neck::front_neck(survey, &midline),
        ]);
        self
    }

    /// What lies on one side.
    fn of_side(
        mut self,
        survey: &Survey<'_>,
        side: Side,
        ridge: Option<&shoulder::Ridge>,
        hip: Option<&Landmark>,
        crotch: Option<&Landmark>,
    ) -> Self {
        self.take([trunk::armpit(survey, side)]);
        let (side_neck, shoulder) = shoulder::points(survey, side, ridge);
        let side_neck = self.add(side_neck);
        let shoulder = self
            .add(shoulder)
            .or(side_neck)
            .filter(|mark| survey.ends.head || mark.is_pinned());
        let wrist = self.pinned(LandmarkKey::Wrist, Some(side));
        self.take(arm::points(survey, side, shoulder.as_ref(), wrist.as_ref()));
        self.take([trunk::gluteal_fold(survey, side, hip, crotch)]);
        let ankle = self.pinned(LandmarkKey::Ankle, Some(side));
        self.take(leg::points(survey, side, ankle.as_ref()));
        self
    }

    /// Takes what a finder says; one put by hand stands, whatever the shape says.
    fn add(&mut self, outcome: Found) -> Option<Landmark> {
        let (key, side) = match &outcome {
            Ok(landmark) => (landmark.key, landmark.side),
            Err(missing) => (missing.key, missing.side),
        };
        if let Some(pinned) = self.pinned(key, side) {
            let shape = match key.unscanned(self.ends) {
                Some(why) => Err(Missing {
                    key,
                    side,
                    reason: why.to_owned(),
                }),
                None => outcome,
            };
            self.marks.findings.push(order::beside(&pinned, &shape));
            return Some(pinned);
        }
        match outcome {
            Ok(mut landmark) => {
                // What is worked out from others has it from them.
                if key.made_of().is_empty() {
                    let [x, y, _] = landmark.point_mm;
                    landmark.sd_mm = landmark.sd_mm.hypot(self.lean * x.hypot(y));
                }
                self.marks.found.push(landmark.clone());
                Some(landmark)
            }
            Err(missing) => {
                self.marks.missing.push(missing);
                None
            }
        }
    }

    fn take(&mut self, outcomes: impl IntoIterator<Item = Found>) {
        for outcome in outcomes {
            self.add(outcome);
        }
    }

    fn pinned(&self, key: LandmarkKey, side: Option<Side>) -> Option<Landmark> {
        let is_it = |mark: &&Landmark| mark.is_pinned() && (mark.key, mark.side) == (key, side);
        self.marks.found.iter().find(is_it).cloned()
    }
}
