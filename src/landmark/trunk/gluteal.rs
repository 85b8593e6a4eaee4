//! The fold under the seat.

use super::fold::{foremost, median, onward};
use super::missing;
use crate::landmark::corner::{Arms, Trail};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use crate::section::Contour;
use crate::side::Side;

/// Where the fold is looked for about the crotch level, in shares of the stature: below it down to
/// here, above it up to here (from memory, surveys have the fold about 0.02 below the crotch; legs
/// that touch part up to 0.03 lower than the crotch itself).
const WINDOW: (f64, f64) = (0.055, 0.035);
/// Upright cuts about the middle of the leg, in shares of the stature.
const ASIDE: [f64; 5] = [-0.014, -0.007, 0.0, 0.007, 0.014];
/// How far the skin is followed down from the hip level, in shares of the stature.
const TRAIL: f64 = 0.19;
/// The underside of the seat and the thigh below it that the fold is judged by, in shares of the
/// stature: about 25 and 35 mm; and half of the length over which the fold is round, in mm.
const ARMS: (f64, f64) = (0.015, 0.020);
const ROUND_FOLD_MM: f64 = 4.0;
/// Turn from the underside of the seat into the thigh from which there is a fold, and from which
/// there is a bend to be seen, in degrees.
const FOLD_DEG: f64 = 25.0;
const BEND_DEG: f64 = 12.0;
/// Where within its rounding a fold lies, as a standard deviation in shares of the stature, and
/// where it is no more than a bend: 5 and 10 mm (common practice, no source).
const SD: (f64, f64) = (0.003, 0.006);

/// The level at which the skin behind turns from the underside of the seat into the thigh.
pub(in crate::landmark) fn gluteal_fold(
    survey: &Survey<'_>,
    side: Side,
    hip: Option<&Landmark>,
    crotch: Option<&Landmark>,
) -> Found {
    let key = LandmarkKey::GlutealFold;
    let missing = |reason: &str| missing(key, Some(side), reason);
    let (Some(hip), Some(crotch)) = (hip, crotch) else {
        return Err(missing(
            "it is looked for between hip level and thigh, and the hip or crotch level was not found",
        ));
    };
    let s = survey.stature_mm;
    let (low, high) = (
        crotch.height_mm() - WINDOW.0 * s,
        crotch.height_mm() + WINDOW.1 * s,
    );
    let leg = survey.parts.leg(side).nearest(low);
    let [x, _] = leg
        .map(|piece| piece.contour.centroid())
        .ok_or_else(|| missing("the leg is not apart from the other one"))?;
    let planes = ASIDE.map(|aside| x + aside * s);
    let cuts = survey.upright.cut_many(&planes);
    let top = hip.height_mm().max(high);
    let mut corners: Vec<[f64; 4]> = cuts
        .iter()
        .filter_map(|cut| {
            let ([y, z], turn) = corner(&cut.contours, top, (low, high), s)?;
            Some([z, cut.height_mm, y, turn])
        })
        .collect();
    corners.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let turn = median(corners.iter().map(|corner| corner[3]));
    let middle = corners.get(corners.len() / 2);
    let &[z, x, y, _] = middle.filter(|_| turn >= BEND_DEG).ok_or_else(|| {
        missing("no fold shows under the seat; measure by tape, or pin its height")
    })?;
    let scatter = median(corners.iter().map(|corner| (corner[0] - z).abs()));
    let folded = turn >= FOLD_DEG;
    Ok(Landmark {
        key,
        side: Some(side),
        point_mm: [x, y, z],
        sd_mm: scatter.hypot(s * if folded { SD.0 } else { SD.1 }),
        confidence: if folded {
            Confidence::Fair
        } else {
            Confidence::Rough
        },
        rule: if folded {
            "fold where the underside of the seat meets the thigh"
        } else {
            "bend where the underside of the seat turns into the thigh"
        }
        .to_owned(),
    })
}

/// Where an upright cut turns hardest inward behind, between two heights, and by how many degrees.
fn corner(
    contours: &[Contour],
    top: f64,
    (low, high): (f64, f64),
    s: f64,
) -> Option<([f64; 2], f64)> {
    let arms = Arms {
        before: ARMS.0 * s,
        after: ARMS.1 * s,
        round: ROUND_FOLD_MM,
    };
    // Mirrored, so that what lies behind is foremost, as of a bust.
    let mirrored: Vec<Contour> = contours.iter().map(mirrored).collect();
    let (rear, contour, i, falls) = foremost(&mirrored, top)?;
    let down = onward(contour, i, falls);
    let trail = Trail::along([[rear, top]].into_iter().chain(down), TRAIL * s);
    let corner = trail.corner(arms, |[_, z]| (low..=high).contains(&z))?;
    let [back, z] = corner.point;
    (low..=high)
        .contains(&z)
        .then_some(([-back, z], corner.turn.to_degrees()))
}

/// An upright cut with its back to the front.
fn mirrored(contour: &Contour) -> Contour {
    let points = contour.points().iter().map(|p| [-p[0], p[1]]).collect();
    Contour::new(points, contour.is_closed())
}

#[cfg(test)]
mod tests {
    use super::*;

    const STATURE: f64 = 1650.0;
    const WINDOW_MM: (f64, f64) = (720.0, 860.0);

    /// Trunk and thigh from the side: a seat upright down to 870, its underside in at some slope to
    /// (−100, 800), and a thigh that goes down from there, farther in by `lean` mm in 300.
    fn side_view(underside_deg: f64, lean: f64) -> Contour {
        let rise = 70.0;
        let rear = -100.0 - rise * underside_deg.to_radians().tan();
        let outline = [
            [120.0, 1000.0],
            [rear, 1000.0],
            [rear, 800.0 + rise],
            [-100.0, 800.0],
            [-100.0 + lean, 500.0],
            [100.0, 500.0],
        ];
        crate::section::closed_for_tests(outline.to_vec())
    }

    /// Straight lines meet where they were drawn to, and turn by the angle between them: the underside
    /// leaves the plumb line by 30 to 60 degrees, the thigh by none or by atan(60/300) = 11.31 degrees.
    #[test]
    fn the_fold_lies_where_underside_and_thigh_meet() {
        for underside in [30.0, 45.0, 60.0] {
            for (lean, off) in [(0.0, 0.0), (60.0, 0.2_f64.atan().to_degrees())] {
                let view = side_view(underside, lean);
                for views in [vec![view.clone()], vec![reversed(&view)]] {
                    let (point, turn) = corner(&views, 900.0, WINDOW_MM, STATURE).unwrap();
                    assert!((point[0] + 100.0).abs() < 0.2, "{point:?}");
                    assert!((point[1] - 800.0).abs() < 0.2, "{point:?}");
                    assert!((turn - (underside - off)).abs() < 0.2, "{turn}");
                }
            }
        }
    }

    /// The seat's own bulge turns the other way: a seat that goes straight on into the thigh has no
    /// fold, and a fold above or below the window is none of this one.
    #[test]
    fn no_fold_is_found_where_none_is() {
        let straight = side_view(45.0, 300.0);
        let turn = corner(&[straight], 900.0, WINDOW_MM, STATURE).map_or(0.0, |found| found.1);
        assert!(turn < 1.0, "{turn}");
        let view = [side_view(45.0, 0.0)];
        for window in [(720.0, 780.0), (820.0, 860.0)] {
            let turn = corner(&view, 900.0, window, STATURE).map_or(0.0, |found| found.1);
            assert!(turn < BEND_DEG, "{turn}");
        }
    }

    fn reversed(contour: &Contour) -> Contour {
        let points = contour.points().iter().rev().copied().collect();
        crate::section::closed_for_tests(points)
    }
}
