//! The hip level.

use super::{REACH, ROUND_MM, clear_if, hidden, missing};
use crate::landmark::series::Kind;
use crate::landmark::{Found, Landmark, LandmarkKey, Survey};
use crate::part::Piece;

/// The level at which the seat stands out most.
pub(in crate::landmark) fn hip(survey: &Survey<'_>) -> Found {
    let key = LandmarkKey::Hip;
    let back = survey.torso_series(0.0, 0.60, |piece| Some(piece.contour.settled().extent(1).0));
    let reach = REACH * survey.stature_mm;
    let (Some(&low), Some(&high)) = (back.at.first(), back.at.last()) else {
        return Err(missing(
            key,
            None,
            "nowhere does skin go all the way round between crotch and waist; scan again from all sides",
        ));
    };
    let Some(seat) = back.extreme(Kind::Least, low, high, reach) else {
        return Err(missing(
            key,
            None,
            "the seat has no level at which it stands out most; pin the hip level by hand",
        ));
    };
    // The seat goes on down to the crotch, even where its skin is missing.
    let low = survey
        .parts
        .crotch
        .map_or(low, |fork| low.min(fork.height_mm + fork.hidden_mm));
    let seat = back
        .sure(seat, Kind::Least, (low, high), ROUND_MM)
        .map_err(|gap| missing(key, None, hidden("the seat", gap)))?;
    let piece = survey.parts.trunk.nearest(seat.at);
    let uneven = |p: &Piece| p.contour.noise_mm().hypot(p.contour.facet_jitter_mm());
    let uneven = piece.map_or(0.0, uneven).hypot(survey.waves().rms_mm);
    let seat = back.jittered(seat, uneven);
    let band = back.unsure(seat.at, Kind::Least, reach, ALIKE_MM + 2.0 * uneven);
    let centre = piece.map_or([0.0; 2], |p| [0.0, p.contour.extent(1).0]);
    Ok(Landmark {
        key,
        side: None,
        point_mm: [centre[0], centre[1], seat.at],
        sd_mm: seat.sd.hypot(survey.step_sd()).hypot(band),
        confidence: clear_if(seat.flat < 0.01 * survey.stature_mm),
        rule: "greatest rearward projection of the seat".to_owned(),
    })
}

/// Levels at which the seat stands out but for less than this are alike, in mm: waves in the skin of a scan made by hand
/// are as high.
const ALIKE_MM: f64 = 1.0;
