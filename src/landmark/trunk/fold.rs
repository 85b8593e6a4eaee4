//! The under-bust level.

use super::bust::BUST_REACH_SHARE;
use super::{ROUND_MM, hidden, missing};
use crate::landmark::series::{Kind, Series};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};

/// Where the lower fold of the bust is looked for below the bust point, in shares of the stature.
const FOLD_WINDOW: (f64, f64) = (0.008, 0.065);

/// The level of the lower fold: where the profile below the bust points turns back hardest.
pub(in crate::landmark) fn under_bust(survey: &Survey<'_>, bust: &[Option<Landmark>; 2]) -> Found {
    let key = LandmarkKey::UnderBust;
    let s = survey.stature_mm;
    let mut folds: Vec<(f64, f64)> = Vec::new();
    for point in bust.iter().flatten() {
        let [x, _, height] = point.point_mm;
        let profile = survey.torso_series(0.5, 0.8, |piece| {
            piece.contour.across(x).map(|(_, front)| front)
        });
        let (low, high) = (height - FOLD_WINDOW.1 * s, height - FOLD_WINDOW.0 * s);
        // A fold is narrow: any gap may hide it, however deep.
        if let Some(gap) = profile.hidden(Kind::Least, (low, high), f64::INFINITY, ROUND_MM) {
            return Err(missing(key, None, hidden("the fold", gap)));
        }
        // Bend of the profile by height: a Series of second derivatives has its peak at the fold.
        let bends = Series::new(
            profile
                .window(low - 0.02 * s, high)
                .filter_map(|(at, _)| Some((at, profile.fit(at, BUST_REACH_SHARE * s)?.bend))),
        );
        let peak = bends
            .window(low, high)
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|&(_, bend)| bend > FOLD_BEND / s);
        if let Some((at, _)) = peak {
            folds.push((at, point.sd_mm));
        }
    }
    if folds.is_empty() {
        return Err(missing(
            key,
            None,
            "no fold shows under the bust; measure the under-bust girth by tape, or pin its height",
        ));
    }
    #[expect(clippy::cast_precision_loss, reason = "one or two")]
    let n = folds.len() as f64;
    let at = folds.iter().map(|f| f.0).sum::<f64>() / n;
    let apart = folds.iter().map(|f| (f.0 - at).abs()).fold(0.0, f64::max);
    Ok(Landmark {
        key,
        side: None,
        point_mm: [0.0, 0.0, at],
        sd_mm: apart.max(0.003 * s),
        confidence: Confidence::Fair,
        rule: "hardest inward turn of the profile under the bust points".to_owned(),
    })
}

/// Least bend of a fold (1/mm at 1 m of stature): radius of 150 mm on a person of 1.65 m.
const FOLD_BEND: f64 = 5.5;
