//! Lowest rib and top of the hip bone, as far as the flank's outline shows them, and the waist midway.

use super::missing;
use crate::landmark::series::{Fit, Series};
use crate::landmark::{Confidence, Found, Landmark, LandmarkKey, Survey};
use crate::side::Side;

/// Where each bone can lie, in shares of the stature: two and a half standard deviations about the
/// means of women and men (ANSUR II: tenth rib 0.6485 ± 0.0111 and 0.6380 ± 0.0120, iliocristale
/// 0.6113 ± 0.0129 and 0.6044 ± 0.0128). Windows to look in, nothing more.
const RIB_WINDOW: (f64, f64) = (0.608, 0.676);
const HIP_BONE_WINDOW: (f64, f64) = (0.572, 0.644);
/// Where the middle between them can lie: midway between the windows' ends.
pub(crate) const MIDWAY_WINDOW: (f64, f64) = (
    0.5 * (RIB_WINDOW.0 + HIP_BONE_WINDOW.0),
    0.5 * (RIB_WINDOW.1 + HIP_BONE_WINDOW.1),
);
/// ANSUR II has the two 60.5 ± 13.2 mm (women) and 59.0 ± 17.1 mm (men) apart, at least 24 and at
/// most 102 mm in 98 of 100: shares of the stature.
const APART: (f64, f64) = (0.013, 0.065);
/// Farther apart than this, in shares of the stature, turns of the left and the right flank are not
/// of the same bone: 25 mm, more than a tilted pelvis (common practice, no source).
const SIDES_APART: f64 = 0.015;
/// Half-width of the parabolas laid through the outline, as a share of the stature: about 20 mm.
const REACH: f64 = 0.012;
/// A bone's edge turns the outline outward harder than this, as a radius in shares of the stature:
/// 300 mm, where the flank of a trunk without bones bows by more.
const RADIUS: f64 = 0.18;
/// How many standard deviations of its own roughness an outline must turn by.
const CLEAR: f64 = 3.0;
/// A skin's noise as a multiple of the jitter of its cuts, whose points share vertices.
const NOISE_TO_JITTER: f64 = 2.5;
/// How far the turn of the skin lies from the edge of the bone under it, as a standard deviation in
/// shares of the stature: about 17 mm, as much as the flesh on it differs (common practice, no source).
const BONE_SD: f64 = 0.010;

/// Heights of lowest rib and hip bone on one side.
type Turns = (f64, f64);

/// Lowest rib and top of the hip bone on both sides: all or none. One outward turn of a flank may be
/// anything; a pair with a hollow between, as far apart as the bones are, on both sides, is not.
pub(in crate::landmark) fn bones(survey: &Survey<'_>) -> [Found; 4] {
    use LandmarkKey::{HipBone, LowestRib};
    let s = survey.stature_mm;
    let outlines = Side::BOTH.map(|side| outline(survey, side));
    let turns = [0, 1].map(|i| turns(survey, &outlines[i]));
    let alike = |a: f64, b: f64| (a - b).abs() <= SIDES_APART * s;
    let both = match turns {
        [Some(a), Some(b)] if alike(a.0, b.0) && alike(a.1, b.1) => Some([a, b]),
        _ => None,
    };
    let edge = |key, side: Side| {
        let (rib, bone) = both.ok_or_else(|| missing(key, Some(side), UNSEEN))?[side.index()];
        let at = if key == LowestRib { rib } else { bone };
        let out = outlines[side.index()].value_at(at).unwrap_or(0.0);
        let y = centre(survey, at)[1];
        Ok(rough(
            key,
            Some(side),
            [out * side.sign(), y, at],
            BONE_SD * s,
        ))
    };
    let [left, right] = Side::BOTH;
    [
        edge(LowestRib, left),
        edge(LowestRib, right),
        edge(HipBone, left),
        edge(HipBone, right),
    ]
}

/// Midway between ribs and hip bones, given as [`bones`] gives them; one side is enough.
pub(in crate::landmark) fn waist_midway(
    survey: &Survey<'_>,
    bones: &[Option<Landmark>; 4],
) -> Found {
    let key = LandmarkKey::WaistMidway;
    let of_side = |i: usize| Some((bones[i].as_ref()?, bones[i + 2].as_ref()?));
    let sides: Vec<_> = [0, 1].into_iter().filter_map(of_side).collect();
    if sides.is_empty() {
        return Err(missing(key, None, UNSEEN));
    }
    let middle = |(rib, bone): &(&Landmark, &Landmark)| 0.5 * (rib.height_mm() + bone.height_mm());
    #[expect(clippy::cast_precision_loss, reason = "one or two")]
    let at = sides.iter().map(middle).sum::<f64>() / sides.len() as f64;
    // What hides the bones on one side hides them on the other: no surer for being two.
    let sd = |(rib, bone): &(&Landmark, &Landmark)| 0.5 * rib.sd_mm.hypot(bone.sd_mm);
    let [x, y] = centre(survey, at);
    let sd = sides.iter().map(sd).fold(0.0, f64::max);
    Ok(rough(key, None, [x, y, at], sd))
}

const UNSEEN: &str = "lowest rib and hip bone do not show under the skin of both flanks; feel for them and pin the lowest rib and the hip bone";

fn rough(key: LandmarkKey, side: Option<Side>, point_mm: [f64; 3], sd_mm: f64) -> Landmark {
    let rule = match key {
        LandmarkKey::LowestRib => "hardest outward turn of the flank above its hollow",
        LandmarkKey::HipBone => "hardest outward turn of the flank below its hollow",
        _ => "midway between lowest rib and top of the hip bone",
    };
    Landmark {
        key,
        side,
        point_mm,
        sd_mm,
        confidence: Confidence::Rough,
        rule: rule.to_owned(),
    }
}

fn centre(survey: &Survey<'_>, at: f64) -> [f64; 2] {
    let piece = survey.parts.trunk.nearest(at);
    piece.map_or([0.0; 2], |piece| piece.contour.centroid())
}

/// The turns of one flank above and below its hollow, if they can be rib and hip bone.
fn turns(survey: &Survey<'_>, outline: &Series) -> Option<Turns> {
    let s = survey.stature_mm;
    let (hollow, _) = outline
        .window(HIP_BONE_WINDOW.0 * s, RIB_WINDOW.1 * s)
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let noise = bend_noise(survey, hollow);
    let (low, high) = ((RIB_WINDOW.0 * s).max(hollow), RIB_WINDOW.1 * s);
    let rib = hardest_turn(outline, low, high, s, noise)?;
    let (low, high) = (HIP_BONE_WINDOW.0 * s, (HIP_BONE_WINDOW.1 * s).min(hollow));
    let hip = hardest_turn(outline, low, high, s, noise)?;
    (APART.0..=APART.1)
        .contains(&((rib - hip) / s))
        .then_some((rib, hip))
}

/// How far the trunk reaches out on one side, by height.
fn outline(survey: &Survey<'_>, side: Side) -> Series {
    let s = survey.stature_mm;
    let (low, high) = (HIP_BONE_WINDOW.0 - 2.0 * REACH, RIB_WINDOW.1 + 2.0 * REACH);
    let parts = &survey.parts;
    let pieces = parts.trunk.between(low * s, high * s).iter();
    let alone = pieces.filter(|piece| parts.is_trunk_alone(piece.height_mm));
    Series::new(alone.map(|piece| {
        let (least, most) = piece.contour.settled().extent(0);
        let out = match side {
            Side::Left => -least,
            Side::Right => most,
        };
        (piece.height_mm, out)
    }))
}

/// What the skin's noise alone does to the bend of an outline: as of samples a facet or two apart,
/// since levels that cut the same facets err together.
fn bend_noise(survey: &Survey<'_>, at: f64) -> f64 {
    let Some(piece) = survey.parts.trunk.nearest(at) else {
        return 0.0;
    };
    let reach = REACH * survey.stature_mm;
    let apart = (2.0 * piece.contour.step_mm()).max(survey.parts.step_mm);
    let count = (2.0 * reach / apart).max(1.0);
    let noise = NOISE_TO_JITTER * piece.contour.noise_mm();
    noise / (0.8 * count).sqrt() / (reach * reach / 3.0)
}

/// Where an outline bends outward hardest within a window, clear of roughness and `noise`; not at
/// the window's ends, beyond which it may bend harder.
fn hardest_turn(outline: &Series, low: f64, high: f64, stature: f64, noise: f64) -> Option<f64> {
    let reach = REACH * stature;
    let bends: Vec<(f64, Fit)> = outline
        .window(low, high)
        .filter_map(|(at, _)| Some((at, outline.fit(at, reach)?)))
        .collect();
    bends
        .windows(3)
        .filter(|w| w[1].1.bend < w[0].1.bend && w[1].1.bend <= w[2].1.bend)
        .map(|w| (w[1].0, w[1].1))
        .filter(|(_, fit)| {
            let least = (0.5 / (RADIUS * stature)).max(CLEAR * fit.bend_sd().hypot(noise));
            -fit.bend > least
        })
        .min_by(|a, b| a.1.bend.total_cmp(&b.1.bend))
        .map(|(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A flank of two slopes that meet at 1000 mm in an arc of radius 40, and one that is straight:
    /// the turn is found within a level, and none on the straight one.
    #[test]
    fn an_edge_under_the_skin_turns_the_outline() {
        let stature = 1650.0;
        let radius = 40.0;
        let edge = |z: f64| {
            // Slopes of ±0.3 joined by an arc.
            let d: f64 = z - 1000.0;
            let half = radius * 0.3_f64.atan().sin();
            if d.abs() < half {
                (radius * radius - d * d).sqrt()
            } else {
                let end = (radius * radius - half * half).sqrt();
                end - 0.3 * (d.abs() - half)
            }
        };
        let series = |f: &dyn Fn(f64) -> f64| {
            Series::new((0..160).map(|i| {
                let z = 800.0 + 2.5 * f64::from(i);
                (z, f(z))
            }))
        };
        let found = hardest_turn(&series(&edge), 940.0, 1060.0, stature, 0.0).unwrap();
        assert!((found - 1000.0).abs() < 3.0, "{found}");
        assert!(hardest_turn(&series(&|z| 0.2 * z), 940.0, 1060.0, stature, 0.0).is_none());
        // Noise that could have made it hides it: a parabola over ±20 mm of it bends by about 0.6/40.
        let hidden = hardest_turn(&series(&edge), 940.0, 1060.0, stature, 0.015);
        assert!(hidden.is_none());
        // A hollow is no outward turn.
        let hollow = hardest_turn(&series(&|z| -edge(z)), 990.0, 1010.0, stature, 0.0);
        assert!(hollow.is_none());
    }
}
