//! The narrowest waist and the high hip level.

use super::{REACH, clear_if, missing};
use crate::landmark::series::{Extreme, GIRTH_ROUND_MM, Kind, Series};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use std::f64::consts::FRAC_1_SQRT_2;

pub(in crate::landmark) fn waist_narrowest(
    survey: &Survey<'_>,
    hip: Option<&Landmark>,
    bust: &[Option<Landmark>; 2],
    under_bust: Option<&Landmark>,
) -> Found {
    let key = LandmarkKey::WaistNarrowest;
    let hip = hip.ok_or_else(|| {
        missing(
            key,
            None,
            "it is looked for above the hip level, which was not found",
        )
    })?;
    let s = survey.stature_mm;
    let trunk = &survey.parts.trunk;
    let (_, top) = trunk
        .range_mm()
        .ok_or_else(|| missing(key, None, "the trunk was not found"))?;
    let low = hip.height_mm() + 0.03 * s;
    // A trunk that narrows up to the armpits, as over a great belly, has no waist beside its bust.
    let bust = bust.iter().flatten().map(Landmark::height_mm);
    let below_bust = bust.fold(top.min(0.72 * s), f64::min);
    let high = under_bust.map_or(below_bust, Landmark::height_mm);
    let girth = Series::new(
        trunk
            .between(low - 0.02 * s, high)
            .iter()
            .filter(|p| survey.parts.is_trunk_alone(p.height_mm))
            .map(|p| (p.height_mm, p.taut_mm)),
    );
    // The lobes of a bust that hangs below its fold are no part of a waist.
    let room = 2.0 * trunk.girth_jitter_mm(low, high);
    let girth = girth.parted(STEEP, room);
    let Some(least) = girth.extreme(Kind::Least, low, high, REACH * s) else {
        return Err(missing(
            key,
            None,
            "the trunk has no narrowest level between hip and under-bust; choose the waist with a belt or elastic and pin its height",
        ));
    };
    let piece = trunk.nearest(least.at);
    let noise = piece.map_or(0.0, |p| p.contour.noise_mm());
    let least = sharpened(&girth, least, REACH * s, noise);
    let least = girth.steadied(least, Kind::Least, REACH * s, WIDEST * s);
    if let Some(end) = narrower_end(&girth, low, high, least.value) {
        let reason = format!(
            "the trunk is narrower at {end:.0} mm, at the end of where a waist is looked for, than at any level between; choose the waist with a belt or elastic and pin its height"
        );
        return Err(missing(key, None, reason));
    }
    let jitter = trunk.girth_jitter_mm(least.at - REACH * s, least.at + REACH * s);
    let least = rivalled(&girth, least, (low, high), REACH * s, jitter);
    let least = girth.settled(least, Kind::Least, (low, high), REACH * s, jitter);
    let band = girth.unsure(least.at, Kind::Least, REACH * s, ALIKE_MM + 2.0 * jitter);
    let least = girth
        .sure(least, Kind::Least, (low, high), GIRTH_ROUND_MM)
        .map_err(|(from, to)| {
            let reason = format!("skin is missing between {from:.0} and {to:.0} mm, where the trunk may be narrower than at the skin that is there; scan again, or measure by tape");
            missing(key, None, reason)
        })?;
    let under_the_bust =
        under_bust.is_some_and(|fold| fold.height_mm() - least.at < UNDER_THE_BUST * s);
    // A breast that hangs ends the waist as its fold does.
    let beside = UNDER_THE_BUST * s;
    let at_end = under_the_bust || !girth.is_whole(least.at - beside, least.at + beside);
    let piece = trunk.nearest(least.at);
    let centre = piece.map_or([0.0; 2], |p| p.contour.centroid());
    Ok(Landmark {
        key,
        side: None,
        point_mm: [centre[0], centre[1], least.at],
        sd_mm: least
            .sd
            .hypot(survey.step_sd())
            .hypot(band)
            .hypot(if at_end { END_SD * s } else { 0.0 }),
        confidence: clear_if(band < CLEAR * s && !at_end),
        rule: if under_the_bust {
            "least taut girth of the trunk between hip and under-bust: the ribs right under the bust, as the belly is wider"
        } else {
            "least taut girth of the trunk between hip and under-bust"
        }
        .to_owned(),
    })
}

/// Half-width of the widest parabola laid through the girths, as a share of the stature: 55 mm, half of
/// what lies between waist and hip at least.
const WIDEST: f64 = 0.034;
/// A waist so near below the fold of the bust, in shares of the stature, lies on the ribs: 30 mm.
const UNDER_THE_BUST: f64 = 0.018;
/// How surely a waist right under the bust is found, as a share of the stature: the girth falls on up to the fold, of
/// which it takes whatever the level takes: 15 mm.
const END_SD: f64 = 0.009;
/// A waist whose level is surer than this share of the stature, 15 mm, shows clearly.
const CLEAR: f64 = 0.009;
/// Taut girths that differ by less are the same to a tape, in mm.
const SAME_MM: f64 = 1.0;
/// Levels whose taut girths differ by less may each be the narrowest, in mm: over them errors scatter as the uncertainty
/// says, on 60 study bodies as they are and through waves of 0.8 mm in the skin.
const ALIKE_MM: f64 = 0.7;
/// Girths that change by more than this a mm of height are of another outline, as where a breast joins that of the ribs
/// below it (80 to 100 mm from one level to the next); a trunk that narrows as hard as a cone of 45 degrees does changes by 2π.
const STEEP: f64 = 6.3;

/// A narrow waist as the narrower parabola sees it, where a wide one lies over its ground: right
/// under a heavy bust the girth by height has a notch.
fn sharpened(girth: &Series, least: Extreme, reach: f64, noise: f64) -> Extreme {
    let (low, high) = (least.at - reach, least.at + reach);
    match girth.extreme(Kind::Least, low, high, NARROW * reach) {
        Some(sharp) if sharp.value < least.value - SAME_MM - 2.0 * noise => sharp,
        // A girth that rises unlike on either side draws the wide one off its least.
        Some(sharp) => Extreme {
            sd: least.sd.hypot(0.5 * (sharp.at - least.at)),
            ..least
        },
        None => least,
    }
}

/// A least whose uncertainty covers others as good to a tape: a nearly straight trunk has several,
/// and a little noise makes another of them the least.
fn rivalled(
    girth: &Series,
    least: Extreme,
    (low, high): (f64, f64),
    reach: f64,
    jitter: f64,
) -> Extreme {
    let within = RIVAL * least.value + 2.0 * jitter;
    let far = girth.rival(&least, Kind::Least, (low, high), reach, within);
    // Either of the two may be the true one: an error of nothing or of all that lies between them.
    Extreme {
        sd: least.sd.hypot(far * FRAC_1_SQRT_2),
        ..least
    }
}

/// Girths that differ by less than this share are the same to a tape: 2 to 3 mm.
const RIVAL: f64 = 0.0025;

/// Half-width of the narrower parabola as a share of the wide one's: five levels.
const NARROW: f64 = 0.4;

/// The end of a window at which a girth is less than `least`, if it is at one.
fn narrower_end(girth: &Series, low: f64, high: f64, least: f64) -> Option<f64> {
    let inside: Vec<(f64, f64)> = girth.window(low, high).collect();
    let ends = [inside.first()?, inside.last()?];
    let narrower = ends.into_iter().find(|end| end.1 < least - SAME_MM)?;
    Some(narrower.0)
}

pub(in crate::landmark) fn high_hip(
    survey: &Survey<'_>,
    waist: Option<&Landmark>,
    hip: Option<&Landmark>,
) -> Found {
    let key = LandmarkKey::HighHip;
    let (Some(waist), Some(hip)) = (waist, hip) else {
        return Err(missing(
            key,
            None,
            "it lies midway between narrowest waist and hip level, and one of them was not found",
        ));
    };
    let at = 0.5 * (waist.height_mm() + hip.height_mm());
    let centre = survey
        .parts
        .trunk
        .nearest(at)
        .map_or([0.0; 2], |p| p.contour.centroid());
    Ok(Landmark {
        key,
        side: None,
        point_mm: [centre[0], centre[1], at],
        sd_mm: 0.5 * waist.sd_mm.hypot(hip.sd_mm),
        // Worked out, not put by hand, even from two that were.
        confidence: waist.confidence.min(hip.confidence).min(Confidence::Clear),
        rule: "midway between narrowest waist and hip level".to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A girth that falls to a notch at 1150 mm, 2 mm a mm below it and 4 above: a wide parabola
    /// lies over it, the narrow one is within two levels of it.
    #[test]
    fn a_notch_is_seen_as_one() {
        let notch = |z: f64| 1000.0 + (2.0 * (1150.0 - z)).max(4.0 * (z - 1150.0));
        let girth = Series::new((0..80).map(|i| {
            let z = 1000.0 + 2.5 * f64::from(i);
            (z, notch(z))
        }));
        let wide = girth.extreme(Kind::Least, 1050.0, 1190.0, 15.0).unwrap();
        let sharp = sharpened(&girth, wide, 15.0, 0.0);
        assert!((sharp.at - 1150.0).abs() < 5.0, "{sharp:?}");
        assert!(sharp.value < wide.value && (sharp.value - 1000.0).abs() < 6.0);
        // Under noise that makes such notches it stays as it was.
        let kept = sharpened(&girth, wide, 15.0, 10.0);
        assert!((kept.at - wide.at).abs() < 1e-9);
    }

    /// Two equal dips 40 mm apart: the error is 0 or 40 by the toss of a coin, so its root mean
    /// square is 40/√2 (closed form). A second dip 15 mm wider is no rival.
    #[test]
    fn a_second_level_as_narrow_is_told_by_the_uncertainty() {
        let dips = |more: f64| {
            Series::new((0..80).map(move |i| {
                let z = 1000.0 + 2.5 * f64::from(i);
                let dip = |at: f64, least: f64| least + 0.05 * (z - at).powi(2);
                (z, dip(1080.0, 800.0).min(dip(1120.0, 800.0 + more)))
            }))
        };
        let stated = |girth: &Series, jitter: f64| {
            let least = girth.extreme(Kind::Least, 1020.0, 1180.0, 10.0).unwrap();
            rivalled(girth, least, (1020.0, 1180.0), 10.0, jitter).sd
        };
        let sd = stated(&dips(0.0), 0.0);
        assert!((sd - 40.0 / 2.0_f64.sqrt()).abs() < 1.0, "{sd}");
        assert!(stated(&dips(15.0), 0.0) < 1.0);
        // Unless the girths jitter by as much as half of what they differ by.
        assert!(stated(&dips(15.0), 7.5) > 25.0);
    }

    /// A trunk that narrows on towards the bust has no waist of its own, whatever notch it has below.
    #[test]
    fn a_narrower_end_is_told() {
        let girth = Series::new((0..40).map(|i| {
            let z = 1000.0 + 5.0 * f64::from(i);
            (z, 1000.0 - 0.5 * (z - 1000.0))
        }));
        assert_eq!(narrower_end(&girth, 1050.0, 1150.0, 960.0), Some(1150.0));
        assert_eq!(narrower_end(&girth, 1050.0, 1150.0, 920.0), None);
    }

    /// A trunk that is least, 750 mm, at 1080 and widens slowly to where a breast that hangs joins its outline at 1130, by
    /// 90 mm from one level to the next: the least lies at 1080. Across that step parabolas swing below it.
    #[test]
    fn a_breast_that_hangs_makes_no_waist() {
        let girth = |z: f64| {
            750.0
                + (z - 1080.0).powi(2) / if z < 1080.0 { 150.0 } else { 300.0 }
                + if z > 1130.0 { 90.0 } else { 0.0 }
        };
        let series = || {
            Series::new(
                (0..60)
                    .map(|i| 1020.0 + 2.5 * f64::from(i))
                    .map(|z| (z, girth(z))),
            )
        };
        let least = |series: &Series| series.extreme(Kind::Least, 1040.0, 1150.0, 15.0).unwrap();
        let parted = series().parted(STEEP, 0.0);
        let found = least(&parted);
        assert!(
            (found.at - 1080.0).abs() < 5.0 && (found.value - 750.0).abs() < 2.0,
            "{found:?}"
        );
        let swung = least(&series());
        assert!(swung.at > 1110.0, "{swung:?}");
        // Where it widens slowly, levels within 0.7 mm are alike: 10 below and 14 above, 7 in the root mean square.
        let sd = parted.unsure(1080.0, Kind::Least, 15.0, ALIKE_MM);
        assert!((6.0..9.0).contains(&sd), "{sd}");
    }
}
