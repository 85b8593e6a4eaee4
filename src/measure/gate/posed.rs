//! What a pose spoils.

use super::stance::Stance;
use super::{Gate, LEG, SEAT, is_of_foot, is_of_shoulders, rests_on};
use crate::landmark::{LandmarkKey as L, Survey};
use crate::measure::{Key, Mode};
use crate::side::Side;

/// A knee that lies farther before the line from hip to ankle is bent (behind it, on a body taken for its mirror image), in degrees of thigh and shank together. Sixty
/// model bodies stand with -5 to 7, on knees bent by 50 degrees they show 20 to 39.
const BENT_DEG: f64 = 12.0;
/// A leg leans forward by 3 to 5 degrees, as its thigh stands before its ankle; farther off than this either way it
/// does not stand under the trunk. On a trunk bent by 45 degrees, or a seat, it shows 20.
const STRIDE_DEG: f64 = 11.0;
/// Where no foot shows which part of a leg is thigh and which is shank, both may be so much larger.
const WITHOUT_FEET: f64 = 1.7;
/// A leg whose lowest skin lies higher than this share of the stature has its foot off the floor, or none: the ankle
/// bone lies at 0.05 (ANSUR II), torn soles reach up to 0.035.
const LIFTED: f64 = 0.08;
/// A leg that ends higher than this is none: crotch heights begin at 0.42 (ANSUR II).
const NO_LEG: f64 = 0.42;
/// How far upright may be out where it rests on one foot, as a standard deviation of heights in shares of the stature.
const ONE_FOOT: f64 = 0.008;
/// A trunk leans within -4 and 11 degrees on the sixty; bent forward by 20 it shows 20 to 28.
const LEAN_DEG: f64 = 15.5;
/// The same over legs that are bent.
const LEAN_BENT_DEG: f64 = 10.0;
/// From here on a lean makes heights and level girths less sure: 8 at most on clean ones of the sixty.
const LEAN_TOLD_DEG: f64 = 9.0;
/// Above this share of the stature a body bent at the hips comes down; between waist and hip level lies so much
/// (ANSUR II: hip joint 0.52, navel less buttock height 0.09 and the narrowest waist over that).
const HIPS: f64 = 0.52;
const WAIST_OVER_HIP: f64 = 0.12;
/// An arm that hangs or is held out reaches no farther before the midline than this share of the stature; held
/// level ahead by twice as much and more (ANSUR II, acromion to wrist: 0.34).
const REACH: f64 = 0.13;
/// Arms that hang or are held out point 1 to 17 degrees forward; held forward by 35 they show 35 to 45.
const FORWARD_DEG: f64 = 25.0;
/// From the shoulder down to the wrist, as a share of the stature (ANSUR II, acromial less wrist height: 0.34).
const ARM: f64 = 0.34;

pub(super) fn judge(survey: &Survey<'_>, gate: &mut Gate<'_>) {
    let stance = Stance::of(survey);
    let bent = legs(survey, &stance, gate);
    let most = if bent { LEAN_BENT_DEG } else { LEAN_DEG };
    if let Some(lean) = stance.trunk.filter(|lean| lean.abs() > most) {
        let way = if lean > 0.0 { "forward" } else { "backward" };
        let reason = format!(
            "the trunk leans {way} by about {:.0} degrees, so that heights, level girths and lengths of it are not those of a body that stands upright; stand straight, look ahead and scan again",
            lean.abs()
        );
        gate.withhold("pose", &reason, |measure| {
            let id = measure.id;
            let straight = |side: Side| stance.bend[side.index()].is_some();
            let of_leg =
                id.side.is_some_and(straight) && (rests_on(id, &LEG, None) || is_of_foot(id.key));
            let of_arm = rests_on(id, &[L::Elbow, L::Wrist], None)
                && id.key.definition().mode != Mode::Height
                && id.key != Key::BackNeckToWristLength;
            let stays = matches!(
                id.key,
                Key::CrotchHeight | Key::UpperArmGirth | Key::HandGirth
            );
            let posture = id.key.definition().mode == Mode::Offset;
            posture || !(of_leg || of_arm || stays)
        });
    }
    if let Some(lean) = stance
        .trunk
        .filter(|lean| (LEAN_TOLD_DEG..=most).contains(&lean.abs()))
    {
        gate.tell(
            "pose",
            format!("the trunk leans by about {lean:.0} degrees from hip to armpits, forward if positive; its heights and level girths are less sure for it; stand straight and scan again if you can"),
        );
        lean_less_sure(survey.stature_mm, lean.to_radians(), gate);
    }
    arms(survey, &stance, gate);
}

/// What a lean makes of the trunk: heights over the hips come down by 1 − cos, level girths grow by 1 / cos − 1, and
/// the side line, which is laid through the waist, moves over the hips.
fn lean_less_sure(stature_mm: f64, lean: f64, gate: &mut Gate<'_>) {
    let (sin, cos) = (lean.sin().abs(), lean.cos());
    gate.widen(|measure| {
        let row = measure.id.key.definition();
        let over = measure.value - HIPS * stature_mm;
        let arc = row.text.ends_with("_arc");
        let of_trunk = measure.id.side.is_none();
        match row.mode {
            Mode::Height if over > 0.0 => Some(over * (1.0 - cos)),
            _ if arc => Some(WAIST_OVER_HIP * stature_mm * sin),
            Mode::Taut | Mode::Surface | Mode::Depth if of_trunk => {
                Some(measure.value * (1.0 / cos - 1.0))
            }
            _ => None,
        }
    });
}

/// True if any leg does not stand straight on the floor.
fn legs(survey: &Survey<'_>, stance: &Stance, gate: &mut Gate<'_>) -> bool {
    let none = NO_LEG * survey.stature_mm;
    if stance.lifted.iter().flatten().any(|low| *low > none) {
        let reason = "legs and trunk cannot be told apart: something worn or held, or the way the body stands, joins them; wear close-fitting clothes, stand with the feet apart and the arms off the body, and scan again";
        gate.withhold("pose", reason, |measure| measure.id.key != Key::Stature);
        return true;
    }
    let times = if survey.ends.feet { 1.0 } else { WITHOUT_FEET };
    let crooked = |i: usize| {
        let bend = stance.bend[i].filter(|bend| bend.abs() > times * BENT_DEG);
        let leans = || stance.stride[i].filter(|lean| lean.abs() > times * STRIDE_DEG);
        bend.or_else(leans).map(f64::abs)
    };
    let bent = [0, 1].map(crooked);
    let least = LIFTED * survey.stature_mm;
    let lifted = Side::BOTH.map(|side| stance.lifted[side.index()].filter(|low| *low > least));
    for side in Side::BOTH {
        let i = side.index();
        let reason = match (bent[i], lifted[i]) {
            (_, Some(low)) => format!(
                "the {side} leg ends {low:.0} mm above the floor or the other foot: the foot is lifted, or the lower leg is not on the scan; stand on both feet and scan again"
            ),
            (Some(bend), None) => format!(
                "the {side} leg is bent at the knee or stands ahead or behind, by about {bend:.0} degrees; stand straight on both legs and scan again"
            ),
            (None, None) => continue,
        };
        gate.withhold("pose", &reason, |measure| {
            let id = measure.id;
            let of_leg = rests_on(id, &LEG, Some(side)) || is_of_foot(id.key);
            let own = id.side == Some(side) && (of_leg || rests_on(id, &SEAT, Some(side)));
            let balance = matches!(id.key, Key::TrunkLean | Key::ShoulderTilt | Key::PelvisTilt);
            let plumb = id.side.is_none() && rests_on(id, &LEG, None);
            own || balance || plumb || rests_on(id, &SEAT, None) && !of_leg
        });
    }
    let stands = Side::BOTH.iter().any(|side| {
        let i = side.index();
        bent[i].is_none() && lifted[i].is_none()
    });
    let is_height = |key: Key| key.definition().mode == Mode::Height;
    if !stands {
        let reason = "the body stands on no straight leg (it sits, squats or bends its knees), so that no height is that of a body that stands upright; stand straight and scan again";
        gate.withhold("pose", reason, |measure| {
            let row = measure.id.key.definition();
            is_height(measure.id.key)
                || row.mode == Mode::Offset
                || measure.id.key == Key::OutsideLegLength
        });
    } else if bent.iter().chain(&lifted).any(Option::is_some) {
        gate.widen(|one| is_height(one.id.key).then_some(ONE_FOOT * survey.stature_mm));
    }
    if lifted.iter().any(Option::is_some) {
        let reason = "one foot alone is on the floor, which does not tell how the body stands to the plumb line; stand on both feet and scan again";
        gate.withhold("pose", reason, |measure| {
            is_of_shoulders(measure.id.key)
                || rests_on(measure.id, &[L::BackNeckPoint], None) && !is_height(measure.id.key)
        });
    }
    bent.iter().chain(&lifted).any(Option::is_some)
}

fn arms(survey: &Survey<'_>, stance: &Stance, gate: &mut Gate<'_>) {
    for side in Side::BOTH {
        let i = side.index();
        let forward = stance.arm[i].filter(|angle| *angle > FORWARD_DEG);
        let by = match (forward, stance.reach[i].filter(|reach| *reach > REACH)) {
            (Some(forward), _) => format!("by about {forward:.0} degrees"),
            (None, Some(_)) => "about level".to_owned(),
            (None, None) => continue,
        };
        let reason = format!(
            "the {side} arm is held forward, {by}, which draws the shoulder and the skin about it along; let the arms hang, a little off the body, and scan again"
        );
        gate.withhold("pose", &reason, |measure| {
            let id = measure.id;
            let own = id.side.is_none() || id.side == Some(side);
            own && (is_of_shoulders(id.key)
                || id.key == Key::WristHeight
                || rests_on(id, &[L::Armpit], Some(side)))
        });
    }
    // A wrist that is lifted with its arm is that much higher than one that hangs.
    gate.widen(|one| {
        let side = one.id.side.filter(|_| one.id.key == Key::WristHeight)?;
        let off = stance.off_plumb[side.index()]?.to_radians();
        Some(ARM * survey.stature_mm * (1.0 - off.cos()))
    });
}
