//! The neck: where it is thinnest, and where its base meets the midline behind and in front.

use super::series::{Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::part::Piece;
use crate::section::Contour;

/// Where the thinnest level of the neck is looked for, in shares of the
/// stature: over the back neck point (ANSUR II 0.857–0.864 ± 0.007), under the chin.
const NECK_WINDOW: (f64, f64) = (0.825, 0.93);
/// Half-width of the parabolas laid through neck profiles, as a share of the stature.
const REACH: f64 = 0.012;

/// The level piece at which the neck is thinnest.
pub(crate) fn thinnest<'s>(survey: &'s Survey<'_>) -> Option<&'s Piece> {
    neck_levels(survey).min_by(|a, b| a.taut_mm.total_cmp(&b.taut_mm))
}

/// The level pieces between shoulders and chin that can be a neck.
pub(super) fn neck_levels<'s>(survey: &'s Survey<'_>) -> impl Iterator<Item = &'s Piece> {
    let s = survey.stature_mm;
    let upper = &survey.parts.upper;
    let levels = upper.between(NECK_WINDOW.0 * s, NECK_WINDOW.1 * s).iter();
    levels.filter(|piece| is_neck(survey, piece.taut_mm))
}

/// Least girth of a neck as a share of the stature: three quarters of the thinnest of the ten model
/// bodies (0.19), and far over a mouth's or ear's hollow, which shows alone where the skin around is missing.
const LEAST_NECK: f64 = 0.14;

/// True if a girth can be a neck's.
pub(crate) fn is_neck(survey: &Survey<'_>, girth_mm: f64) -> bool {
    girth_mm >= LEAST_NECK * survey.stature_mm
}

/// Stretch of the midline that is looked at, in shares of the stature: from the upper back to the
/// hollow of the neck, stooped people lower.
const BACK_WINDOW: (f64, f64) = (0.70, 0.95);
/// The hollow of the neck lies above the back neck point (ANSUR II cervicale 0.857 ± 0.007 women,
/// 0.864 ± 0.007 men, stooped people lower).
const LOWEST_HOLLOW: f64 = 0.82;
/// Share of the way back, from the hollow of the neck to the hindmost of the upper back, that is
/// done near the back neck point (common practice, no source: the bone lies under the upper end of
/// the slope).
const WAY_BACK: f64 = 0.25;
/// So much the height at which the shoulders' ridges turn up into the neck counts, the rest that slope: a round or a
/// fat back moves the slope, not the ridges. Chosen on `study-000` to `study-059` of a body model, where least
/// squares asks for 0.78; the slope alone scatters by 11 mm about the model's own point, the ridges alone by 5, both
/// by 4. Their mean needs no shift: it lies 1 mm over what ANSUR II has for people of that stature and mass.
const RIDGES: f64 = 0.8;
/// Standard uncertainty of the back neck point's height by both and by the slope alone, as shares of the stature.
const BACK_NECK_SD: (f64, f64) = (0.0032, 0.0068);
/// A neck that lies no farther forward than this over the back shows no hollow, as a share of the stature.
const LEAST_WAY: f64 = 0.01;

/// The bone under it is not seen, and the depth of a hollow and a back are steady where the place
/// of a bend is not. `ridges` is how high the ridge of each shoulder begins to turn up into the neck.
pub(super) fn back_neck(
    survey: &Survey<'_>,
    midline: &[Contour],
    ridges: [Option<f64>; 2],
) -> Found {
    let key = LandmarkKey::BackNeckPoint;
    let missing = |reason: &str| Missing {
        key,
        side: None,
        reason: reason.to_owned(),
    };
    let s = survey.stature_mm;
    let (low, high) = (BACK_WINDOW.0 * s, BACK_WINDOW.1 * s);
    let profile = profile(midline, low, high, survey.parts.step_mm, f64::min);
    let none = || missing("the back of the neck shows no hollow; is skin or long hair in the way?");
    let hollow = profile
        .extremes(Kind::Greatest, LOWEST_HOLLOW * s, high, REACH * s)
        .into_iter()
        .max_by(|a, b| a.value.total_cmp(&b.value))
        .ok_or_else(none)?;
    let hindmost = profile
        .window(low, hollow.at)
        .map(|(_, y)| y)
        .reduce(f64::min)
        .filter(|back| hollow.value - back > LEAST_WAY * s)
        .ok_or_else(none)?;
    let depth = hollow.value + WAY_BACK * (hindmost - hollow.value);
    let slope = profile
        .last_crossing(depth, low, hollow.at)
        .ok_or_else(none)?;
    let (at, sd, rule) = between_ridges(slope, ridges);
    let depth = profile
        .value_at(at)
        .ok_or_else(|| missing("skin is missing behind the base of the neck"))?;
    Ok(Landmark {
        key,
        side: None,
        point_mm: [0.0, depth, at],
        sd_mm: sd * s,
        confidence: Confidence::Rough,
        rule: rule.to_owned(),
    })
}

/// The back neck point's height by that of the slope behind and those of the ridges, where they show; how surely,
/// as a share of the stature, and by which rule.
fn between_ridges(slope: f64, ridges: [Option<f64>; 2]) -> (f64, f64, &'static str) {
    let ridge = match ridges {
        [Some(left), Some(right)] => f64::midpoint(left, right),
        [Some(one), None] | [None, Some(one)] => one,
        [None, None] => {
            return (
                slope,
                BACK_NECK_SD.1,
                "where the midline has come a quarter of the way back from the hollow of the neck to the hindmost of the upper back",
            );
        }
    };
    (
        RIDGES * ridge + (1.0 - RIDGES) * slope,
        BACK_NECK_SD.0,
        "on the midline behind, four fifths by the height at which the shoulders' ridges have done three tenths of their turn up into the neck, a fifth by that at which the midline has come a quarter of the way back from the hollow of the neck to the hindmost of the upper back",
    )
}

/// Stretch of the midline in front, in shares of the stature: from the breastbone to the chin
/// (ANSUR II suprasternale 0.816 ± 0.007 women, 0.819 ± 0.007 men; stooped people lower).
const FRONT_WINDOW: (f64, f64) = (0.75, 0.90);
/// The chin stands out so far before the throat, as a share of the stature.
const CHIN: f64 = 0.02;

/// So far below the pit of the throat, as a share of the stature, the midline leans as the chest does:
/// the breastbone's upper piece, 50 mm long, and its joint (from memory).
const CHEST: f64 = 0.05;
/// Of the turn from plumb in the pit of the throat to the lean of the chest so much is done at the front
/// neck point, as at both ends of the shoulder line: the collar bones' tops lie under the start of the turn.
/// On the ten model bodies it lies 0.031 of the stature below the back neck point, where the pit itself
/// lies 0.025; ANSUR II has the notch of the breastbone, some mm lower still, at 0.041 and 0.045.
const SHARE_OF_CHEST: f64 = 0.3;

/// Radius of the hardest bend that missing skin is taken to hide in front of the throat, in mm.
const PIT_MM: f64 = 50.0;

/// The pit of the throat is where the midline in front lies farthest back; the front neck point lies
/// at its lower edge.
pub(super) fn front_neck(survey: &Survey<'_>, midline: &[Contour]) -> Found {
    let key = LandmarkKey::FrontNeckPoint;
    let missing = |reason: &str| Missing {
        key,
        side: None,
        reason: reason.to_owned(),
    };
    let s = survey.stature_mm;
    let (low, high) = (FRONT_WINDOW.0 * s, FRONT_WINDOW.1 * s);
    let profile = profile(midline, low, high, survey.parts.step_mm, f64::max);
    // Up to where the chin stands out before the rearmost place so far.
    let mut least = f64::INFINITY;
    let chin = profile.window(low, high).find(|&(_, y)| {
        least = least.min(y);
        y > least + CHIN * s
    });
    let top = chin.map_or(high, |(at, _)| at);
    let pit = profile
        .extreme(Kind::Least, low, top, REACH * s)
        .ok_or_else(|| {
            missing("the front of the neck shows no pit above the breastbone; is skin, a beard or a collar in the way?")
        })?;
    let hidden = |(from, to): (f64, f64)| {
        missing(&format!(
            "skin is missing in front of the throat between {from:.0} and {to:.0} mm; scan again, or feel for the notch over the breastbone and pin it"
        ))
    };
    let pit = profile
        .sure(pit, Kind::Least, (low, top), PIT_MM)
        .map_err(hidden)?;
    let at = lower_edge(&profile, pit.at, s).unwrap_or(pit.at);
    if let Some(gap) = profile.gap(at - REACH * s, pit.at) {
        return Err(hidden(gap));
    }
    Ok(Landmark {
        key,
        side: None,
        point_mm: [0.0, profile.value_at(at).unwrap_or(pit.value), at],
        sd_mm: (0.006 * s).hypot(pit.sd),
        confidence: Confidence::Fair,
        rule: "lower edge of the pit of the throat: where the midline in front has done three tenths of its turn from the pit into the lean of the chest".to_owned(),
    })
}

/// Where a midline, coming down from the pit, has done its share of the turn into the chest's greatest lean.
fn lower_edge(profile: &Series, pit: f64, s: f64) -> Option<f64> {
    let lean = |at| Some((-profile.fit(at, REACH * s)?.slope).atan());
    let leans = Series::new(
        profile
            .window(pit - CHEST * s, pit)
            .filter_map(|(at, _)| Some((at, lean(at)?))),
    );
    let chest = leans.value.iter().copied().reduce(f64::max)?;
    leans.last_crossing(SHARE_OF_CHEST * chest, pit - CHEST * s, pit)
}

/// No neck is less deep than this share of its height, 50 mm: what is less has its front or its back missing.
const LEAST_DEPTH: f64 = 0.03;

/// How far back (`f64::min`) or forward (`f64::max`) upright contours reach, by height; without the
/// heights at which front or back is missing.
fn profile(
    contours: &[Contour],
    low: f64,
    high: f64,
    step: f64,
    outer: fn(f64, f64) -> f64,
) -> Series {
    let mut samples = Vec::new();
    let mut at = low;
    while at <= high {
        let crossings: Vec<f64> = contours.iter().flat_map(|c| c.crossings(1, at)).collect();
        let end = |outer: fn(f64, f64) -> f64| crossings.iter().copied().reduce(outer);
        let deep = end(f64::max)
            .zip(end(f64::min))
            .is_some_and(|(front, back)| front - back > LEAST_DEPTH * high);
        // Skin that is entered is left again, unless some of it is missing.
        if deep && crossings.len().is_multiple_of(2) {
            samples.extend(end(outer).map(|y| (at, y)));
        }
        at += step;
    }
    Series::new(samples)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::TriMesh;
    use crate::section::{PlaneAxes, Slicer};
    use nalgebra::Point3;

    /// A depth that falls straight from 40 at the hollow (400) to 0 at the back (300) has come a
    /// quarter of the way at 375.
    #[test]
    fn a_crossing_from_above() {
        let series = Series::new((0..60).map(|i| {
            let at = 250.0 + 3.0 * f64::from(i);
            (at, (0.4 * (at - 300.0)).clamp(0.0, 40.0))
        }));
        let at = series.last_crossing(30.0, 260.0, 410.0).unwrap();
        assert!((at - 375.0).abs() < 1e-9, "{at}");
        assert_eq!(series.last_crossing(50.0, 260.0, 410.0), None);
    }

    /// Four fifths of the way from the slope behind to the mean of the ridges; by the slope alone where no ridge shows.
    #[test]
    fn ridges_count_more_than_the_slope() {
        let (at, sd, _) = between_ridges(1400.0, [Some(1420.0), Some(1440.0)]);
        assert!((at - 1424.0).abs() < 1e-9, "{at}");
        let (one, _, _) = between_ridges(1400.0, [None, Some(1420.0)]);
        assert!((one - 1416.0).abs() < 1e-9, "{one}");
        let (alone, less_sure, rule) = between_ridges(1400.0, [None, None]);
        assert!(
            (alone - 1400.0).abs() < 1e-9 && less_sure > 2.0 * sd,
            "{rule}"
        );
    }

    /// A plumb throat that turns by a circle of radius 60 into a chest of 30 degrees: three tenths of
    /// the turn, 9 degrees, are done 60·sin 9° = 9.39 below its start (closed form).
    #[test]
    fn lower_edge_of_a_round_pit() {
        let (radius, chest) = (60.0_f64, 30.0_f64.to_radians());
        let depth = |down: f64| {
            let end = radius * chest.sin();
            if down < end {
                radius - (radius * radius - down.max(0.0).powi(2)).sqrt()
            } else {
                radius * (1.0 - chest.cos()) + (down - end) * chest.tan()
            }
        };
        let heights = (0..200).map(|i| 1200.0 + f64::from(i));
        let profile = Series::new(heights.map(|z| (z, depth(1350.0 - z))));
        let at = lower_edge(&profile, 1350.0, 1600.0).unwrap();
        let exact = 1350.0 - radius * 9.0_f64.to_radians().sin();
        // Smoothing over 19 mm to either side rounds the start of the turn.
        assert!((at - exact).abs() < 2.5, "{at} {exact}");
    }

    /// The outer sides of a box 20 deep, 10 to the back and 10 to the front, at every height.
    #[test]
    fn profiles_of_a_box() {
        let (points, faces) = crate::mesh::samples::cube();
        let points = points.into_iter().map(|p| Point3::from(p) * 10.0).collect();
        let mesh = TriMesh::new(points, faces).unwrap();
        let axes = PlaneAxes::square_to(nalgebra::Vector3::x()).unwrap();
        let section = Slicer::along(&mesh, axes).cut(0.1);
        let turned = axes.uv(&Point3::new(0.0, 1.0, 0.0));
        assert!(turned[0].abs() + turned[1].abs() > 0.9);
        for (outer, exact) in [(f64::min as fn(f64, f64) -> f64, -10.0), (f64::max, 10.0)] {
            let found = profile(&section.contours, -9.0, 9.0, 3.0, outer);
            assert_eq!(found.at.len(), 7);
            assert!(found.value.iter().all(|y| (y - exact).abs() < 1e-9));
        }
    }
}
