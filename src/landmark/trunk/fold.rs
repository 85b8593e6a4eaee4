//! The under-bust level.

use super::{ROUND_MM, hidden, missing};
use crate::landmark::corner::{Arms, Corner, Trail};
use crate::landmark::series::Kind;
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use crate::section::{Contour, Section};
use crate::side::Side;

/// Where the lower fold of the bust is looked for, in shares of the stature: from so far below the
/// bust point to so far above it, as a hanging breast reaches below its own fold.
const WINDOW: (f64, f64) = (0.065, 0.03);
/// How far the skin is followed down from the bust point, in shares of the stature: round a breast
/// that hangs by the whole window, and on along the ribs.
const TRAIL: f64 = 0.19;
/// The underside of a small breast and the ribs below it that show free of belly, in shares of the
/// stature: about 17 and 33 mm.
const ARMS: (f64, f64) = (0.010, 0.020);
/// Half of the length over which a fold is round, in mm.
const ROUND_FOLD_MM: f64 = 3.0;
/// Upright cuts beside the bust point, in shares of the stature: the breast's lowest part.
const ASIDE: [f64; 5] = [-0.010, -0.005, 0.0, 0.005, 0.010];

/// Turn from the underside of the breast into the ribs from which there is a fold, in degrees.
const FOLD_DEG: f64 = 25.0;
/// From here on there is a bend to be seen, as under a chest muscle.
const BEND_DEG: f64 = 12.0;
/// Where within its rounding a fold lies, as a standard deviation in shares of the stature; where it
/// is no more than a bend; and how much of what the two sides differ by (which of them a level tape
/// follows is a matter of choice).
const SD: (f64, f64, f64) = (0.0022, 0.006, 0.125);

/// A breast hangs over its fold if so far below it, in mm, skin lies so much before it, in mm.
const HANGS_MM: (f64, f64) = (3.0, 10.0);
/// How surely the fold of such a breast is found, as a share of the stature: 15 mm. It lies on the ribs from somewhere on,
/// and of 60 study bodies' folds those of the five that hang most lie up to 26 mm off the model's, most of them above.
const HANGING_SD: f64 = 0.009;

/// The fold under one breast.
#[derive(Clone, Copy, Debug)]
struct Fold {
    point: [f64; 3],
    /// Middle deviation of the cuts from it, in mm.
    scatter: f64,
    turn_deg: f64,
    /// True if the breast hangs before the ribs below it.
    hangs: bool,
}

/// The level of the lower fold: where the skin below the bust point turns from the underside of the
/// breast, which may hang, into the ribs.
pub(in crate::landmark) fn under_bust(survey: &Survey<'_>, bust: &[Option<Landmark>; 2]) -> Found {
    let key = LandmarkKey::UnderBust;
    if bust.iter().flatten().next().is_none() {
        let reason = "it is looked for below the bust points, which were not found";
        return Err(missing(key, None, reason));
    }
    for point in bust.iter().flatten() {
        if let Some(gap) = unseen(survey, point) {
            return Err(missing(key, None, hidden("the fold", gap)));
        }
    }
    let planes: Vec<f64> = bust
        .iter()
        .flatten()
        .flat_map(|point| ASIDE.map(|aside| point.point_mm[0] + aside * survey.stature_mm))
        .collect();
    let cuts = survey.upright.cut_many(&planes);
    let folds: Vec<Fold> = bust
        .iter()
        .flatten()
        .zip(cuts.chunks(ASIDE.len()))
        .filter_map(|(point, cuts)| fold(survey, point, cuts))
        .collect();
    let flattest = folds
        .iter()
        .map(|f| f.turn_deg)
        .fold(f64::INFINITY, f64::min);
    if folds.is_empty() || flattest < BEND_DEG {
        return Err(missing(
            key,
            None,
            "no fold shows under the bust; measure the under-bust girth by tape, or pin its height",
        ));
    }
    #[expect(clippy::cast_precision_loss, reason = "one or two")]
    let n = folds.len() as f64;
    let mean = |value: &dyn Fn(&Fold) -> f64| folds.iter().map(value).sum::<f64>() / n;
    let point_mm = [0, 1, 2].map(|k| mean(&|fold| fold.point[k]));
    let apart = mean(&|fold| (fold.point[2] - point_mm[2]).abs());
    let folded = flattest >= FOLD_DEG;
    let place = survey.stature_mm
        * if folds.iter().any(|fold| fold.hangs) {
            HANGING_SD
        } else if folded {
            SD.0
        } else {
            SD.1
        };
    Ok(Landmark {
        key,
        side: None,
        point_mm,
        sd_mm: place
            .hypot(2.0 * SD.2 * apart)
            .hypot(mean(&|fold| fold.scatter)),
        confidence: if folded && folds.len() == Side::BOTH.len() {
            Confidence::Fair
        } else {
            Confidence::Rough
        },
        rule: if folded {
            "fold where the underside of the bust meets the ribs"
        } else {
            "bend where the underside of the chest turns into the ribs"
        }
        .to_owned(),
    })
}

/// A stretch below a bust point without skin: a fold is narrow, so any gap may hide it.
fn unseen(survey: &Survey<'_>, point: &Landmark) -> Option<(f64, f64)> {
    let [x, _, height] = point.point_mm;
    let profile = survey.torso_series(0.5, 0.8, |piece| {
        piece.contour.across(x).map(|(_, front)| front)
    });
    let low = height - WINDOW.0 * survey.stature_mm;
    profile.hidden(Kind::Least, (low, height), f64::INFINITY, ROUND_MM)
}

/// The middle fold of some upright cuts beside a bust point.
fn fold(survey: &Survey<'_>, bust: &Landmark, cuts: &[Section]) -> Option<Fold> {
    let s = survey.stature_mm;
    let height = bust.height_mm();
    let arms = Arms {
        before: ARMS.0 * s,
        after: ARMS.1 * s,
        round: ROUND_FOLD_MM,
    };
    let window = height - WINDOW.0 * s..height + WINDOW.1 * s;
    let mut corners: Vec<(Corner, f64, bool)> = cuts
        .iter()
        .filter_map(|cut| {
            let (front, contour, i, falls) = foremost(&cut.contours, height)?;
            let down = onward(contour, i, falls);
            let trail = Trail::along([[front, height]].into_iter().chain(down), TRAIL * s);
            let corner = trail.corner(arms, |[_, z]| window.contains(&z))?;
            let [y, z] = corner.point;
            let below = foremost(&cut.contours, z - HANGS_MM.0);
            let hangs = below.is_some_and(|(front, ..)| front - y > HANGS_MM.1);
            Some((corner, cut.height_mm, hangs))
        })
        .collect();
    corners.sort_by(|(a, ..), (b, ..)| a.point[1].total_cmp(&b.point[1]));
    let &(middle, x, _) = corners.get(corners.len() / 2)?;
    let off = |(corner, ..): &(Corner, f64, bool)| (corner.point[1] - middle.point[1]).abs();
    let turn = |(corner, ..): &(Corner, f64, bool)| corner.turn.to_degrees();
    let hanging = corners.iter().filter(|&&(.., hangs)| hangs).count();
    Some(Fold {
        point: [x, middle.point[0], middle.point[1]],
        scatter: median(corners.iter().map(off)),
        turn_deg: median(corners.iter().map(turn)),
        hangs: 2 * hanging > corners.len(),
    })
}

pub(super) fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
}

/// Where an upright cut crosses a height foremost: y, contour, the point of it just before, and
/// whether it falls there.
pub(super) fn foremost(contours: &[Contour], height: f64) -> Option<(f64, &Contour, usize, bool)> {
    let crossings = contours.iter().flat_map(|contour| {
        let points = contour.points();
        let n = points.len();
        let open = usize::from(!contour.is_closed());
        (0..n.saturating_sub(open)).filter_map(move |i| {
            let (a, b) = (points[i], points[(i + 1) % n]);
            let t = (height - a[1]) / (b[1] - a[1]);
            let crosses = (a[1] > height) != (b[1] > height);
            crosses.then(|| (a[0] + t * (b[0] - a[0]), contour, i, b[1] < a[1]))
        })
    });
    crossings.max_by(|a, b| a.0.total_cmp(&b.0))
}

/// The points of a contour after the one at `i`, or before it and with it, once round or to the end.
pub(super) fn onward(contour: &Contour, i: usize, ahead: bool) -> impl Iterator<Item = [f64; 2]> {
    let points = contour.points();
    let n = points.len();
    let whole = match (contour.is_closed(), ahead) {
        (true, _) => n,
        (false, true) => n - 1 - i,
        (false, false) => i + 1,
    };
    (0..whole).map(move |k| points[(if ahead { i + 1 + k } else { i + n - k }) % n])
}
