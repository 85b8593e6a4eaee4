//! Where limbs part from the trunk: crotch and armpits.

use super::{PEAK, clear_if, missing};
use crate::landmark::{Found, Landmark, LandmarkKey, Survey};
use crate::part::Fork;
use crate::side::Side;

pub(in crate::landmark) fn crotch(survey: &Survey<'_>) -> Found {
    let key = LandmarkKey::Crotch;
    let Some(fork) = survey.parts.crotch else {
        return Err(missing(key, None, "the legs are not apart anywhere"));
    };
    // ANSUR II: 0.480 ± 0.015 of the stature, least 0.42: far below it the thighs touch.
    if fork.height_mm < LOWEST_CROTCH * survey.stature_mm {
        return Err(missing(
            key,
            None,
            format!(
                "the legs part only at {:.0} mm, so the thighs seem to touch above; scan again with the feet apart",
                fork.height_mm
            ),
        ));
    }
    if let Some(why) = unseen("legs part", &fork, CROTCH_HIDDEN_MM) {
        return Err(missing(key, None, why));
    }
    // Noise on either thigh lets them touch below where they part, and the wedge between them is about
    // as steep as it is wide.
    let noise = survey.parts.trunk.nearest(fork.height_mm);
    let noise = noise.map_or(0.0, |piece| piece.contour.noise_mm());
    let centre = [0, 1].map(|k| 0.5 * (fork.first[k] + fork.second[k]));
    Ok(Landmark {
        key,
        side: None,
        point_mm: [centre[0], centre[1], fork.height_mm],
        sd_mm: 1.0_f64.hypot(fork.hidden_mm).hypot(PEAK * noise),
        confidence: clear_if(fork.hidden_mm <= 0.0),
        rule: "highest level at which the legs are apart".to_owned(),
    })
}

/// A fork that may lie anywhere in a stretch of more than twice this, in mm, is not told: a crotch level so unsure is of
/// no use to a cutter. Armpits are often torn, and a tape drawn into one is unsure by a good part of that.
const CROTCH_HIDDEN_MM: f64 = 25.0;
const ARMPIT_HIDDEN_MM: f64 = 50.0;
/// An armpit's fold is as sure as the facets about it are fine: share of the distance between a contour's points. Of 60
/// study bodies with 5 000 faces, 25 mm apart, the worst lies 12 mm off.
const OF_FACETS: f64 = 0.35;

/// Why a fork is not told that missing skin hides.
fn unseen(what: &str, fork: &Fork, most_mm: f64) -> Option<String> {
    let (at, hidden) = (fork.height_mm, fork.hidden_mm);
    (hidden > most_mm).then(|| {
        format!(
            "skin is missing where the {what}: it may be anywhere between {:.0} and {:.0} mm; scan again, also from below",
            at - hidden,
            at + hidden
        )
    })
}

/// Share of the stature below which a parting of the legs is not taken for the crotch.
const LOWEST_CROTCH: f64 = 0.40;

pub(in crate::landmark) fn armpit(survey: &Survey<'_>, side: Side) -> Found {
    let key = LandmarkKey::Armpit;
    let fork = survey.parts.armpit(side);
    // The fold of an arm held out level is not the one that hangs over a tape.
    let hanging = fork.filter(|_| !survey.parts.held_out[side.index()]);
    let Some(fork) = hanging else {
        return Err(missing(key, Some(side), survey.no_arm(side)));
    };
    // ANSUR II: 0.76 ± 0.009 of the stature; far below it the arm touches the trunk.
    if fork.height_mm < LOWEST_ARMPIT * survey.stature_mm {
        return Err(missing(
            key,
            Some(side),
            format!(
                "the arm joins the trunk already at {:.0} mm, so it seems to touch it there; scan again with the arms held out",
                fork.height_mm
            ),
        ));
    }
    if let Some(why) = unseen("arm joins the trunk", fork, ARMPIT_HIDDEN_MM) {
        return Err(missing(key, Some(side), why));
    }
    let arm = survey.parts.arm(side).pieces.last();
    let facets = arm.map_or(0.0, |piece| piece.contour.step_mm());
    let centre = [0, 1].map(|k| 0.5 * (fork.first[k] + fork.second[k]));
    Ok(Landmark {
        key,
        side: Some(side),
        point_mm: [centre[0], centre[1], fork.height_mm],
        sd_mm: 2.0_f64.hypot(fork.hidden_mm).hypot(OF_FACETS * facets),
        confidence: clear_if(fork.hidden_mm <= 0.0),
        rule: "highest level at which the arm is apart from the trunk".to_owned(),
    })
}

/// Share of the stature below which a joining of the arm is not taken for the armpit.
const LOWEST_ARMPIT: f64 = 0.66;
