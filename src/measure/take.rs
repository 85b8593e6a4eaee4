//! Taking every measure of the catalogue from a surveyed body.

mod arcs;
mod bust;
mod feet;
mod forward;
mod halves;
mod hand;
mod head;
mod legs;
mod limbs;
mod neck;
mod posture;
mod rise;
mod scye;
mod shoulders;
mod trunk;

use super::girth::{Reading, Taken};
use super::path::Outward;
use super::{
    Cause, CurvePart, GirthCurve, Key, MOST_MM, Measure, MeasureId, MeasureSet, Outcome, Source,
    Spread, Unit, Withheld, girth, path, waves,
};
use crate::landmark::{Landmark, LandmarkKey, Landmarks, Missing, NO_FEET, NO_HEAD, Survey};
use crate::length::Length;
use crate::parallel::map_indices;
use crate::side::Side;
use nalgebra::Point3;

/// Measures a surveyed body at its landmarks.
///
/// Every row of the catalogue gets an outcome: a value with its uncertainty,
/// or the reason why it is withheld.
#[must_use]
pub fn measure_body(survey: &Survey<'_>, marks: &Landmarks) -> MeasureSet {
    let curves = curves(survey);
    let taken = map_indices(Taker::WHOLE.len() + 2 * Taker::OF_SIDE.len(), |job| {
        let mut taker = Taker {
            survey,
            marks,
            curves: &curves,
            outcomes: Vec::new(),
        };
        match job.checked_sub(Taker::WHOLE.len()) {
            None => Taker::WHOLE[job](&mut taker),
            Some(job) => Taker::OF_SIDE[job / 2](&mut taker, Side::BOTH[job % 2]),
        }
        taker.outcomes
    });
    let mut outcomes = taken.concat();
    outcomes.sort_by_key(Outcome::id);
    waves::widen(&mut outcomes, survey.waves());
    mark_pinned(&mut outcomes, marks);
    let mut findings = super::gate::gate(survey, &mut outcomes);
    findings.extend(super::plausible::act(&mut outcomes));
    MeasureSet {
        outcomes,
        curves: if survey.ends.feet { curves } else { Vec::new() },
        findings,
    }
}

/// Values taken at a landmark that was put by hand say so.
fn mark_pinned(outcomes: &mut [Outcome], marks: &Landmarks) {
    for outcome in outcomes {
        let Outcome::Value(measure) = outcome else {
            continue;
        };
        let row = measure.id.key.definition();
        let side = measure.id.side.filter(|_| !row.is_share());
        let of_side = |other: Option<Side>| side.is_none() || other.is_none() || other == side;
        let pinned = row.marks.iter().any(|&key| {
            let sides = key.sides().iter().filter(|&&other| of_side(other));
            sides.into_iter().any(|&side| marks.rests_on_pin(key, side))
        });
        if pinned {
            measure.source = Source::Pinned;
        }
    }
}

fn curves(survey: &Survey<'_>) -> Vec<GirthCurve> {
    let parts = &survey.parts;
    let alone = parts
        .trunk
        .pieces
        .iter()
        .filter(|piece| parts.is_trunk_alone(piece.height_mm));
    let mut curves = vec![GirthCurve::of(CurvePart::Trunk, alone)];
    for side in Side::BOTH {
        curves.push(GirthCurve::of(
            CurvePart::Leg(side),
            &parts.leg(side).pieces,
        ));
    }
    curves.retain(|curve| curve.heights_mm.len() > 1);
    curves
}

struct Taker<'t, 'b> {
    survey: &'t Survey<'b>,
    marks: &'t Landmarks,
    curves: &'t [GirthCurve],
    outcomes: Vec<Outcome>,
}

/// Why a measure has no value.
type Why = String;

impl<'t> Taker<'t, '_> {
    /// What is taken of the whole body, and [of each side](Self::OF_SIDE): jobs of which none rests on what another has
    /// taken. The longest comes first, so that no core is left with it in the end.
    const WHOLE: [fn(&mut Self); 16] = [
        Self::over_the_skin,
        Self::heights,
        Self::trunk_girths,
        Self::belly,
        Self::upper_chest,
        Self::chest,
        Self::arcs,
        Self::bust_spread,
        Self::crotch_length,
        Self::neck,
        Self::head,
        Self::bust,
        Self::shoulders,
        Self::back_waist,
        Self::front_waist,
        Self::posture,
    ];

    /// What is taken of each side.
    const OF_SIDE: [fn(&mut Self, Side); 13] = [
        Self::leg,
        Self::mid_thigh,
        Self::lower_knee,
        Self::leg_lengths,
        Self::foot,
        Self::arm,
        Self::forearm,
        Self::hand,
        Self::arm_lengths,
        Self::shoulder,
        Self::shoulder_forward,
        Self::over_the_bust,
        Self::waist_to_hip,
    ];

    fn mark(&self, key: LandmarkKey, side: Option<Side>) -> Result<&'t Landmark, Why> {
        self.marks
            .get(key, side)
            .map_err(|m: Missing| m.to_string())
    }

    fn value(&mut self, id: impl Into<MeasureId>, value: f64, spread: Spread, level: Option<f64>) {
        let id = id.into();
        if id.key.definition().unit() == Unit::Mm && value.abs() > MOST_MM {
            return self.withhold(
                id,
                format!(
                    "it came out at {:.1} m, which no body has: the skin there is crumpled, or something hangs on it; scan again",
                    value / 1000.0
                ),
            );
        }
        // Without soles a level is known only by usual proportions.
        let level = level.filter(|_| self.survey.ends.feet);
        self.outcomes.push(Outcome::Value(Measure {
            id,
            value,
            unit: id.key.definition().unit(),
            spread,
            source: Source::Scan,
            level_mm: level.map(Length::from_mm),
        }));
    }

    fn withhold(&mut self, id: impl Into<MeasureId>, reason: impl Into<String>) {
        self.outcomes.push(Outcome::Withheld(Withheld {
            id: id.into(),
            reason: reason.into(),
        }));
    }

    fn heights(&mut self) {
        use LandmarkKey as L;
        let single = [
            (Key::Stature, L::Vertex),
            (Key::BackNeckHeight, L::BackNeckPoint),
            (Key::FrontNeckHeight, L::FrontNeckPoint),
            (Key::UnderBustHeight, L::UnderBust),
            (Key::WaistNarrowestHeight, L::WaistNarrowest),
            (Key::WaistMidwayHeight, L::WaistMidway),
            (Key::NavelHeight, L::Navel),
            (Key::HighHipHeight, L::HighHip),
            (Key::HipHeight, L::Hip),
            (Key::CrotchHeight, L::Crotch),
        ];
        for (key, mark) in single {
            self.height(key.into(), self.mark(mark, None));
        }
        let paired = [
            (Key::SideNeckHeight, L::SideNeckPoint),
            (Key::ShoulderHeight, L::ShoulderPoint),
            (Key::ArmpitHeight, L::Armpit),
            (Key::BustPointHeight, L::BustPoint),
            (Key::LowestRibHeight, L::LowestRib),
            (Key::HipBoneHeight, L::HipBone),
            (Key::GlutealFoldHeight, L::GlutealFold),
            (Key::KneeHeight, L::Knee),
            (Key::CalfHeight, L::Calf),
            (Key::AnkleHeight, L::Ankle),
            (Key::AnkleBoneHeight, L::AnkleBone),
            (Key::WristHeight, L::Wrist),
        ];
        for (key, mark) in paired {
            for side in Side::BOTH {
                self.height(MeasureId::new(key, side), self.mark(mark, Some(side)));
            }
        }
        let levels = [
            (Key::BustHeight, self.bust_level()),
            (Key::BellyHeight, self.belly_level()),
        ];
        for (key, level) in levels {
            match self.above_floor(level) {
                Ok((height, sd)) => {
                    let sd = sd.hypot(self.survey.floor_sd_mm);
                    let spread = Spread::of([(Cause::Level, sd)]);
                    self.value(key, height, spread, Some(height));
                }
                Err(why) => self.withhold(key, why),
            }
        }
    }

    fn height(&mut self, id: MeasureId, mark: Result<&Landmark, Why>) {
        match self.above_floor(mark) {
            Ok(mark) => {
                let height = mark.height_mm();
                let sd = mark.sd_mm.hypot(self.survey.floor_sd_mm);
                let spread = Spread::of([(Cause::Level, sd)]);
                self.value(id, height, spread, Some(height));
            }
            Err(why) => self.withhold(id, why),
        }
    }

    /// What rests on the floor, or why it does not.
    fn above_floor<T>(&self, found: Result<T, Why>) -> Result<T, Why> {
        if self.survey.ends.feet {
            found
        } else {
            Err(NO_FEET.to_owned())
        }
    }

    /// Mean height of the bust points. Their errors go together, so the mean is no surer than one.
    fn bust_level(&self) -> Result<(f64, f64), Why> {
        let left = self.mark(LandmarkKey::BustPoint, Some(Side::Left))?;
        let right = self.mark(LandmarkKey::BustPoint, Some(Side::Right))?;
        Ok((
            0.5 * (left.height_mm() + right.height_mm()),
            left.sd_mm.max(right.sd_mm),
        ))
    }

    /// Height of a landmark and its uncertainty.
    fn level(&self, key: LandmarkKey, side: Option<Side>) -> Result<(f64, f64), Why> {
        self.mark(key, side)
            .map(|mark| (mark.height_mm(), mark.sd_mm))
    }

    fn curve(&self, part: CurvePart) -> Option<&'t GirthCurve> {
        self.curves.iter().find(|curve| curve.part == part)
    }

    /// Two landmarks, or why one of them is missing.
    fn both(
        &self,
        one: LandmarkKey,
        other: LandmarkKey,
        side: Side,
    ) -> Result<(&'t Landmark, &'t Landmark), Why> {
        Ok((self.mark(one, Some(side))?, self.mark(other, Some(side))?))
    }

    /// The girth of a part at a level, and what the level's uncertainty does to it.
    fn at_level(&self, part: CurvePart, (height, sd): (f64, f64)) -> Result<Taken, Why> {
        let (parts, slicer) = (&self.survey.parts, &self.survey.level);
        let height = match part {
            CurvePart::Trunk => under_armpits(parts.trunk.range_mm(), height, sd),
            CurvePart::Leg(_) => height,
        };
        let contour = match part {
            CurvePart::Trunk => parts.trunk_at(slicer, height),
            CurvePart::Leg(side) => parts.leg_at(slicer, side, height),
        }?;
        let curve = self.curve(part);
        let slip = |surface| girth::level_spread(curve, height, sd, surface);
        Ok(Taken {
            reading: Reading::of(&contour),
            height_mm: height,
            level_sd: [slip(false), slip(true)],
        })
    }

    /// Taut girth and girth along the skin of one contour, or why neither is given.
    fn girths(&mut self, keys: [Key; 2], side: Option<Side>, taken: Result<Taken, Why>) {
        let ids = keys.map(|key| MeasureId::new(key, side));
        match taken {
            Ok(taken) => {
                let reading = &taken.reading;
                let [taut_sd, surface_sd] = taken.level_sd;
                let values = [
                    (reading.taut_mm, reading.spread(taut_sd)),
                    (reading.surface_mm, reading.surface_spread(surface_sd)),
                ];
                let hidden = [None, reading.hides_fold()];
                for ((id, (value, spread)), hidden) in ids.into_iter().zip(values).zip(hidden) {
                    match hidden {
                        Some(why) => self.withhold(id, why),
                        None => self.value(id, value, spread, Some(taken.height_mm)),
                    }
                }
            }
            Err(why) => self.withhold_all(ids, &why),
        }
    }

    fn withhold_all(&mut self, ids: impl IntoIterator<Item = impl Into<MeasureId>>, why: &str) {
        for id in ids {
            self.withhold(id, why);
        }
    }

    fn neck(&mut self) {
        let taken = if self.survey.ends.head {
            girth::neck(self.survey)
        } else {
            Err(NO_HEAD.to_owned())
        };
        self.girths([Key::NeckGirth, Key::NeckGirthSurface], None, taken);
    }

    fn leg(&mut self, side: Side) {
        use LandmarkKey as L;
        let thigh = self
            .level(L::Crotch, None)
            .map(|(height, sd)| (height - THIGH_BELOW_CROTCH_MM, sd));
        let at = |key| self.level(key, Some(side));
        let rows = [
            (thigh, [Key::ThighGirth, Key::ThighGirthSurface]),
            (
                self.at_fold(side),
                [Key::ThighFoldGirth, Key::ThighFoldGirthSurface],
            ),
            (at(L::Ankle), [Key::AnkleGirth, Key::AnkleGirthSurface]),
            (
                at(L::AnkleBone),
                [Key::AnkleBoneGirth, Key::AnkleBoneGirthSurface],
            ),
        ];
        let (knee, calf) = (at(L::Knee), at(L::Calf));
        for (level, keys) in rows {
            let taken = level.and_then(|level| self.at_level(CurvePart::Leg(side), level));
            self.girths(keys, Some(side), taken);
        }
        let taken = knee.and_then(|level| self.at_place(CurvePart::Leg(side), level));
        self.girths([Key::KneeGirth, Key::KneeGirthSurface], Some(side), taken);
        let taken = calf.and_then(|level| self.at_fullest(CurvePart::Leg(side), level));
        self.girths([Key::CalfGirth, Key::CalfGirthSurface], Some(side), taken);
    }

    fn arm(&mut self, side: Side) {
        let upper = girth::upper_arm(self.survey, self.marks, side);
        let keys = [Key::UpperArmGirth, Key::UpperArmGirthSurface];
        self.girths(keys, Some(side), upper);
        let wrist = girth::arm_at(self.survey, self.marks, LandmarkKey::Wrist, side);
        let keys = [Key::WristGirth, Key::WristGirthSurface];
        self.girths(keys, Some(side), wrist);
    }

    fn back_waist(&mut self) {
        let ends = self
            .mark(LandmarkKey::BackNeckPoint, None)
            .and_then(|neck| Ok((neck, self.level(LandmarkKey::WaistNarrowest, None)?)));
        match ends {
            Ok((neck, (height, sd))) => {
                let a = Point3::from(neck.point_mm);
                let waist = self.survey.parts.trunk_at(&self.survey.level, height);
                match waist.map(|contour| contour.across(0.0)) {
                    Ok(Some((back, _))) => self.taut_path(
                        Key::BackWaistLength.into(),
                        &a,
                        &Point3::new(0.0, back, height),
                        Outward::Back,
                        neck.sd_mm.hypot(sd),
                    ),
                    Ok(None) => {
                        self.withhold(Key::BackWaistLength, "the waist lies beside the midline")
                    }
                    Err(why) => self.withhold(Key::BackWaistLength, why),
                }
            }
            Err(why) => self.withhold(Key::BackWaistLength, why),
        }
    }

    fn taut_path(
        &mut self,
        id: MeasureId,
        a: &Point3<f64>,
        b: &Point3<f64>,
        outward: Outward,
        sd: f64,
    ) {
        let found = path::taut(self.survey.mesh, a, b, outward);
        self.length(id, found.map(|length| (length, sd)));
    }

    /// A length with its uncertainty, or why there is none.
    fn length(&mut self, id: impl Into<MeasureId>, found: Result<(f64, f64), Why>) {
        match found {
            Ok((length, sd)) => self.value(id, length, Spread::of([(Cause::Level, sd)]), None),
            Err(why) => self.withhold(id, why),
        }
    }
}

/// How far below the crotch level the thigh girth is taken, in mm: two
/// fingers, where the leg is free all round (common practice, no source).
const THIGH_BELOW_CROTCH_MM: f64 = 20.0;

/// A level that lies over the armpits by less than its own standard uncertainty is taken under them, where
/// the trunk is still alone: it may as well lie there.
fn under_armpits(trunk: Option<(f64, f64)>, height: f64, sd: f64) -> f64 {
    match trunk {
        Some((_, top)) if height > top && height - sd <= top => top,
        _ => height,
    }
}

#[cfg(test)]
mod tests {
    use super::under_armpits;

    /// A level within its uncertainty over the armpits is taken under them; one that is surely over them is not.
    #[test]
    fn levels_over_the_armpits() {
        let trunk = Some((700.0, 1250.0));
        for (level, sd, taken) in [
            (1256.0, 8.0, 1250.0),
            (1260.0, 8.0, 1260.0),
            (1200.0, 8.0, 1200.0),
        ] {
            assert!(
                (under_armpits(trunk, level, sd) - taken).abs() < 1e-9,
                "{level}"
            );
        }
        assert!((under_armpits(None, 1256.0, 8.0) - 1256.0).abs() < 1e-9);
    }
}
