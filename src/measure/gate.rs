//! Gates: what a pose, or what is worn or held, spoils is withheld or made less sure, with the reason.
//!
//! Signs of either are read off the shape: how legs, trunk and arms run, seen from the side, and steps in an outline
//! that no skin makes. Each limit lies between what sixty model bodies show (women, men and between, thin to heavy;
//! clean, and through four kinds of scanner) and what the same bodies show posed or dressed.

mod posed;
mod stance;
mod words;
mod worn;

pub(crate) use words::on_whole_skin;

use super::{Cause, Key, Measure, MeasureId, Outcome, Source, Spread, Withheld};
use crate::finding::Finding;
use crate::landmark::{LandmarkKey as L, Survey};
use crate::side::Side;

/// Acts on a body's measures; what was seen and done.
pub(super) fn gate(survey: &Survey<'_>, outcomes: &mut [Outcome]) -> Vec<Finding> {
    let mut gate = Gate {
        outcomes,
        findings: Vec::new(),
    };
    posed::judge(survey, &mut gate);
    worn::judge(survey, &mut gate);
    gate.findings
}

/// What is acted on, and what is told of it.
struct Gate<'o> {
    outcomes: &'o mut [Outcome],
    findings: Vec<Finding>,
}

impl Gate<'_> {
    /// Withholds values for a reason, and tells it. What a hand has put stands.
    fn withhold(&mut self, topic: &str, reason: &str, spoiled: impl Fn(&Measure) -> bool) {
        let mut gone = 0;
        for outcome in self.outcomes.iter_mut() {
            let Outcome::Value(measure) = &*outcome else {
                continue;
            };
            if measure.source == Source::Pinned || !spoiled(measure) {
                continue;
            }
            gone += 1;
            *outcome = Outcome::Withheld(Withheld {
                id: measure.id,
                reason: reason.to_owned(),
            });
        }
        let done = match gone {
            0 => String::new(),
            _ => format!("; {gone} measures are withheld for it"),
        };
        self.tell(topic, format!("{reason}{done}"));
    }

    fn tell(&mut self, topic: &str, text: String) {
        self.findings.push(Finding::look(topic, text));
    }

    /// Adds to the uncertainty of values what a pose makes of them, wherever their landmarks were put.
    fn widen(&mut self, by: impl Fn(&Measure) -> Option<f64>) {
        for outcome in self.outcomes.iter_mut() {
            let Outcome::Value(measure) = outcome else {
                continue;
            };
            if let Some(sd) = by(measure) {
                let own = measure.spread.part(Cause::Pose);
                let others = measure.spread.parts.iter();
                let others = others.filter(|part| part.cause != Cause::Pose);
                let parts: Vec<_> = others.map(|part| (part.cause, part.sd)).collect();
                measure.spread =
                    Spread::of(parts.into_iter().chain([(Cause::Pose, own.hypot(sd))]));
            }
        }
    }
}

/// True for what rests on one of these landmarks, of a side if one is told.
fn rests_on(id: MeasureId, marks: &[L], side: Option<Side>) -> bool {
    let same = id.side.is_none() || side.is_none() || id.side == side;
    let own = id.key.definition().marks;
    same && marks.iter().any(|mark| own.contains(mark))
}

/// Landmarks of a leg below the crotch.
const LEG: [L; 5] = [L::Knee, L::Calf, L::Ankle, L::AnkleBone, L::GlutealFold];
/// Levels of the seat, which a leg out of line or a skirt moves.
const SEAT: [L; 4] = [L::Crotch, L::Hip, L::HighHip, L::GlutealFold];
/// Landmarks of the trunk.
const TRUNK: [L; 12] = [
    L::BackNeckPoint,
    L::FrontNeckPoint,
    L::Armpit,
    L::BustPoint,
    L::UnderBust,
    L::WaistNarrowest,
    L::LowestRib,
    L::HipBone,
    L::WaistMidway,
    L::Navel,
    L::Belly,
    L::HighHip,
];

/// True for the foot's own measures, which name no landmark of the leg.
const fn is_of_foot(key: Key) -> bool {
    matches!(key, Key::FootLength | Key::FootBreadth | Key::HeelGirth)
}

/// True for what lies between the arms: shoulders, armscyes, widths across.
const fn is_of_shoulders(key: Key) -> bool {
    matches!(
        key,
        Key::ArmscyeGirth
            | Key::AcrossBackWidth
            | Key::AcrossFrontWidth
            | Key::AcrossBackShoulderWidth
            | Key::ShoulderGirth
            | Key::ShoulderBreadth
            | Key::ShoulderPointBreadth
            | Key::ShoulderLength
            | Key::ShoulderSlope
            | Key::ShoulderForward
            | Key::UpperChestGirth
            | Key::UpperChestGirthSurface
            | Key::BackNeckToWristLength
    )
}
