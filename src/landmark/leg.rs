//! Calf, ankle and ankle bone.

use super::series::{Extreme, GIRTH_ROUND_MM, Kind, Series};
use super::{Confidence, Found, Landmark, LandmarkKey, Missing, Survey};
use crate::parallel::map_indices;
use crate::part::{Branch, Piece};
use crate::side::Side;

/// Half-width of the parabolas laid through leg girths, as a share of the stature.
const REACH: f64 = 0.012;
/// The same on rough skin: over some rings of facets, as noise moves each as a whole. The ankle rises steeply to
/// the heel and asks for less than the calf, which is alike on both sides.
const ROUGH_ANKLE: f64 = 0.018;
const ROUGH_CALF: f64 = 0.024;
/// Where the ankle is looked for: ANSUR II has the outer ankle bone at 0.039–0.042 of the stature.
const ANKLE_WINDOW: (f64, f64) = (0.035, 0.16);
/// How far up the calf can be: under the knee, ANSUR II mid-patella 0.276 ± 0.009, tibiale 0.268.
const CALF_TOP: f64 = 0.27;
/// Where the leg up to this share of the stature, the knee, is as full as the calf, that may count as its
/// fullest place.
const FULL_TOP: f64 = 0.28;
/// Girths that differ by less are alike to tape and eye, in mm.
const ALIKE_MM: f64 = 0.5;

/// Ankle, calf and ankle bone of one side; the calf is looked for above `pinned_ankle` if there is one.
pub(super) fn points(
    survey: &Survey<'_>,
    side: Side,
    pinned_ankle: Option<&Landmark>,
) -> [Found; 3] {
    let leg = survey.parts.leg(side);
    let s = survey.stature_mm;
    let (noise, girth) = girths(leg, s);
    let (ankle_reach, calf_reach) = if noise > 0.0 {
        (ROUGH_ANKLE * s, ROUGH_CALF * s)
    } else {
        (REACH * s, REACH * s)
    };
    let missing = |key, reason: &str| Missing {
        key,
        side: Some(side),
        reason: reason.to_owned(),
    };
    let at_level = |key, e: Extreme, rule: &str| {
        let centre = leg.nearest(e.at).map_or([0.0; 2], |p| p.contour.centroid());
        Landmark {
            key,
            side: Some(side),
            point_mm: [centre[0], centre[1], e.at],
            sd_mm: e.sd.hypot(0.5 * e.flat).hypot(survey.step_sd()),
            confidence: Confidence::Clear,
            rule: rule.to_owned(),
        }
    };
    let jitter = |e: &Extreme| {
        let jitter = if noise > 0.0 {
            noise
        } else {
            leg.girth_jitter_mm(e.at - REACH * s, e.at + REACH * s)
        };
        jitter.hypot(survey.waves().girth_sd(e.value))
    };
    let settled = |e: Extreme| girth.jittered(e, jitter(&e));
    let none = match leg.range_mm() {
        None => {
            "the leg is not apart from the other one; scan again with the feet apart".to_owned()
        }
        Some((low, _)) if low > ANKLE_WINDOW.0 * s => format!(
            "the leg can be followed down to {low:.0} mm only: below, skin is missing or the legs touch; scan again with the feet apart"
        ),
        Some(_) => "the leg has no thinnest level above the ankle bones".to_owned(),
    };
    // What the levels may hide makes an extreme less sure, or none.
    let sure = |key, e: Extreme, kind, window: (f64, f64), reach| {
        let mut e = settled(girth.settled(e, kind, window, reach, jitter(&e)));
        // Another level as thin or as full may be meant: anywhere between, half its distance over √3.
        let alike = ALIKE_MM + 2.0 * jitter(&e);
        let rival = girth.rival(&e, kind, window, reach, alike);
        let rival = match kind {
            Kind::Least => rival,
            Kind::Greatest => rival.max(as_full(&girth, &e, FULL_TOP * s, alike)),
        };
        if rival > reach {
            e.sd = e.sd.hypot(rival / 3.0_f64.sqrt());
        }
        girth.sure(e, kind, window, GIRTH_ROUND_MM).map_err(|(from, to)| {
            let more = if kind == Kind::Least { "thinner" } else { "fuller" };
            missing(key, &format!("skin is missing between {from:.0} and {to:.0} mm, where the leg may be {more} than at the skin that is there; scan again, or measure by tape"))
        })
    };
    let window = (ANKLE_WINDOW.0 * s, ANKLE_WINDOW.1 * s);
    let ankle = girth
        .extreme(Kind::Least, window.0, window.1, ankle_reach)
        .ok_or_else(|| missing(LandmarkKey::Ankle, &none))
        .map(|e| girth.sharpened(e, Kind::Least, ankle_reach))
        .and_then(|e| sure(LandmarkKey::Ankle, e, Kind::Least, window, ankle_reach))
        .map(|e| {
            at_level(
                LandmarkKey::Ankle,
                e,
                "least girth of the leg above the ankle bones",
            )
        });
    let calf = pinned_ankle
        .map_or(ankle.as_ref(), Ok)
        .map_err(|m| missing(LandmarkKey::Calf, &m.reason))
        .and_then(|ankle| {
            let window = (ankle.height_mm(), CALF_TOP * s);
            girth
                .extreme(Kind::Greatest, window.0, window.1, calf_reach)
                .ok_or_else(|| missing(LandmarkKey::Calf, "the lower leg has no fullest level"))
                .and_then(|e| sure(LandmarkKey::Calf, e, Kind::Greatest, window, calf_reach))
        })
        .map(|e| at_level(LandmarkKey::Calf, e, "greatest girth of the lower leg"));
    let bone = ankle
        .as_ref()
        .map_err(|m| missing(LandmarkKey::AnkleBone, &m.reason))
        .and_then(|ankle| ankle_bone(&leg.pieces, ankle.height_mm(), s, side, survey.step_sd()));
    [ankle, calf, bone]
}

/// How far above its fullest place a leg is as full still, or once more.
fn as_full(girth: &Series, calf: &Extreme, top: f64, alike: f64) -> f64 {
    let full = girth.window(calf.at, top);
    let full = full.filter(|&(_, girth)| girth >= calf.value - alike);
    full.last().map_or(0.0, |(at, _)| at - calf.at)
}

/// Taut girths of the lower leg by height, and what noise does to each, in mm; on rough skin those of smoothed
/// contours, as a tape rides on the peaks of noise, by more where the facets are small.
fn girths(leg: &Branch, s: f64) -> (f64, Series) {
    let (bottom, middle, top) = (ANKLE_WINDOW.0 * s, ANKLE_WINDOW.1 * s, CALF_TOP * s);
    // Large facets may hide the noise of one half.
    let noise = leg
        .girth_noise_mm(bottom, middle)
        .max(leg.girth_noise_mm(middle, top));
    if noise <= 0.0 {
        let girths = leg.pieces.iter().map(|p| (p.height_mm, p.taut_mm));
        return (noise, Series::new(girths));
    }
    let pieces = leg.between(0.0, top + 2.0 * ROUGH_CALF * s);
    let smooth = map_indices(pieces.len(), |i| {
        let (contour, _) = pieces[i].contour.smoothed();
        (pieces[i].height_mm, contour.taut_girth_mm())
    });
    (
        noise,
        Series::new(smooth).grained(noise, leg.facet_mm(bottom, top)),
    )
}

/// Where the ankle is looked at for its bones, in shares of the stature: ANSUR II has the outer one at
/// 0.0385 ± 0.0028 and 0.0415 ± 0.0029, women and men; from three standard deviations below the one
/// to four above the other, as farther down the foot broadens, and [`BONE_BELOW`] higher.
const BONE_WINDOW: (f64, f64) = (0.033, 0.056);
/// The outer bone lies this share of the stature, 5 mm, below the level at which the ankle is broadest
/// over both: the inner one stands some 10 mm higher (from memory).
const BONE_BELOW: f64 = 0.003;
/// How surely on clean skin, as a share of the stature: 4 mm. No truth is known; over ten model bodies the
/// height scatters by 0.0022 in all, less than people's does (ANSUR II: 0.0028).
const BONE_SD: f64 = 0.0025;
/// The bones lie in this rear share of the ankle's depth; in front of it the foot is broader.
const BONE_REAR: f64 = 0.6;
/// Half-width of the parabola over the bones, in mm: about half of their height.
const BONE_REACH_MM: f64 = 10.0;
/// Levels as broad as this to the broadest, in mm, may be those of the bones as well.
const BONE_RIVAL_MM: f64 = 0.5;

/// The outer ankle bone, from the level at which the ankle is broadest behind.
///
/// The outside alone hardly shows it: a leg that leans runs on past the bone into the edge of the foot.
/// A breadth does not lean.
fn ankle_bone(pieces: &[Piece], ankle: f64, s: f64, side: Side, step_sd: f64) -> Found {
    let key = LandmarkKey::AnkleBone;
    let missing = |reason: &str| Missing {
        key,
        side: Some(side),
        reason: reason.to_owned(),
    };
    let near = |at: f64| {
        let off = move |piece: &Piece| (piece.height_mm - at).abs();
        pieces.iter().min_by(|a, b| off(a).total_cmp(&off(b)))
    };
    let (back, front) = near(ankle).map_or((0.0, 0.0), |piece| piece.contour.extent(1));
    let front = back + BONE_REAR * (front - back);
    // Inner and outer end of what lies behind.
    let ends = |piece: &Piece| {
        let contour = piece.contour.settled();
        let rear = contour.points().iter().copied();
        let rear = rear.filter(|p| (back..=front).contains(&p[1]));
        let edge = contour.crossings(1, front).map(|x| [x, front]);
        let out = |p: &[f64; 2]| side.sign() * p[0];
        let all: Vec<[f64; 2]> = rear.chain(edge).collect();
        let inner = all
            .iter()
            .copied()
            .min_by(|a, b| out(a).total_cmp(&out(b)))?;
        let outer = all
            .iter()
            .copied()
            .max_by(|a, b| out(a).total_cmp(&out(b)))?;
        Some((inner, outer))
    };
    let (low, high) = (BONE_WINDOW.0 * s, BONE_WINDOW.1 * s);
    let margin = low - BONE_REACH_MM..=high + BONE_REACH_MM;
    let inside = pieces.iter().filter(|p| margin.contains(&p.height_mm));
    let breadth = Series::new(inside.filter_map(|piece| {
        let (inner, outer) = ends(piece)?;
        Some((piece.height_mm, (outer[0] - inner[0]).abs()))
    }));
    // Going down, the bones come first; farther down it may be the foot.
    let found = breadth.extremes(Kind::Greatest, low, high, BONE_REACH_MM);
    let (&tip, lower) = found
        .split_last()
        .ok_or_else(|| missing("the ankle bones do not stand out on the scan"))?;
    let rivals = lower
        .iter()
        .filter(|other| other.value > tip.value - BONE_RIVAL_MM)
        .map(|other| tip.at - other.at)
        .fold(0.0, f64::max);
    // Noise of the skin shows the bones as flat over all that it may have lifted above them; on facets
    // the broadest level is that of a corner, up to half an edge off.
    let about = pieces
        .iter()
        .filter(|piece| (piece.height_mm - tip.at).abs() <= BONE_REACH_MM);
    let (noise, facet) = about.fold((0.0_f64, 0.0_f64), |(noise, facet), piece| {
        let contour = &piece.contour;
        (noise.max(contour.noise_mm()), facet.max(contour.step_mm()))
    });
    let lifted = 0.5 * breadth.flat_about(tip.at, tip.value, 2.0 * noise);
    let at = tip.at - BONE_BELOW * s;
    let (_, [x, y]) = near(at)
        .and_then(ends)
        .ok_or_else(|| missing("skin is missing at the outer ankle bone"))?;
    Ok(Landmark {
        key,
        side: Some(side),
        point_mm: [x, y, at],
        sd_mm: (BONE_SD * s)
            .hypot(tip.sd)
            .hypot(lifted)
            .hypot(facet / 12.0_f64.sqrt())
            .hypot(0.5 * rivals)
            .hypot(step_sd),
        confidence: Confidence::Fair,
        rule: "just below the level at which the ankle is broadest beside the heel".to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::closed_for_tests;
    use std::f64::consts::TAU;

    const STATURE: f64 = 1700.0;

    /// A leg of ellipses 60 deep, from 20 to 160 mm, that leans aside by `lean` a mm: 50 broad at the
    /// ankle, 130 up, and a parabola of 66 at `broadest` below it.
    fn leg(broadest: f64, lean: f64) -> Vec<Piece> {
        let piece = |i: i32| {
            let z = 20.0 + 2.5 * f64::from(i);
            let bulge = 66.0 - 0.01 * (z - broadest).powi(2);
            let half = 0.5 * bulge.max(50.0);
            let points = (0..360).map(|k| {
                let (sin, cos) = (TAU * f64::from(k) / 360.0).sin_cos();
                [100.0 + lean * z + half * cos, 30.0 * sin]
            });
            let contour = closed_for_tests(points.collect());
            Piece {
                height_mm: z,
                taut_mm: contour.taut_girth_mm(),
                contour,
            }
        };
        (0..=56).map(piece).collect()
    }

    /// The vertex of a parabola, less a fixed share, on a leg that stands upright or leans by 10 degrees,
    /// where the outside alone would have its greatest 8.8 mm off: 0.176 / (2·0.01).
    #[test]
    fn a_leaning_leg_keeps_its_bone() {
        for lean in [0.0, 0.176, -0.176] {
            for broadest in [65.0, 71.3, 80.0] {
                let found = ankle_bone(&leg(broadest, lean), 130.0, STATURE, Side::Right, 0.7);
                let mark = found.unwrap();
                let height = broadest - BONE_BELOW * STATURE;
                assert!((mark.height_mm() - height).abs() < 0.5, "{mark:?} {height}");
                assert!((4.2..4.6).contains(&mark.sd_mm), "{mark:?}");
                let out = 100.0 + lean * height;
                assert!((mark.point_mm[0] - out - 33.0).abs() < 0.9, "{mark:?}");
            }
        }
        let plain = ankle_bone(&leg(-500.0, 0.0), 130.0, STATURE, Side::Right, 0.7);
        assert!(plain.is_err(), "a plain tube has no bone");
    }

    /// A calf of 350 mm at 380, a parabola, and a knee as full from 440 up; a knee that is 5 mm thinner
    /// is none of its levels, unless girths err by as much.
    #[test]
    fn a_knee_as_full_as_the_calf_is_told() {
        let leg = |knee: f64| {
            let heights = (0..140).map(|i| 150.0 + 2.5 * f64::from(i));
            let girth = move |z: f64| {
                let calf = 350.0 - 0.01 * (z - 380.0).powi(2);
                if z < 440.0 { calf } else { calf.max(knee) }
            };
            Series::new(heights.map(|z| (z, girth(z))))
        };
        let rival = |knee: f64, alike: f64| {
            let leg = leg(knee);
            let calf = leg.extreme(Kind::Greatest, 200.0, 430.0, 20.0).unwrap();
            assert!((calf.at - 380.0).abs() < 0.5, "{calf:?}");
            as_full(&leg, &calf, 476.0, alike)
        };
        assert!((rival(350.0, ALIKE_MM) - 95.0).abs() < 2.5);
        assert!((rival(345.0, 5.5) - 95.0).abs() < 2.5);
        // Within 0.5 mm of its top a parabola of 0.01 is √50 mm to either side.
        assert!((rival(345.0, ALIKE_MM) - 50.0_f64.sqrt()).abs() < 2.5);
    }

    /// Circles of 40 mm whose points err by up to 0.9 mm: their taut girth rides on the peaks; smoothed, it is
    /// 2π·40 to what its noise is said to be.
    #[test]
    fn girths_of_a_rough_leg_do_not_ride_on_its_peaks() {
        let piece = |i: i32| {
            let z = 60.0 + 2.5 * f64::from(i);
            let points = (0..80).map(|k| {
                let (sin, cos) = (TAU * f64::from(k) / 80.0).sin_cos();
                let wild = (12.9898 * f64::from(80 * i + k)).sin() * 43_758.545_3;
                let r = 40.0 + 1.8 * (wild - wild.floor() - 0.5);
                [100.0 + r * cos, r * sin]
            });
            let contour = closed_for_tests(points.collect());
            Piece {
                height_mm: z,
                taut_mm: contour.taut_girth_mm(),
                contour,
            }
        };
        let leg = Branch {
            pieces: (0..=160).map(piece).collect(),
        };
        let (noise, girths) = girths(&leg, STATURE);
        let off = |girth: f64| girth - TAU * 40.0;
        let mean = |all: &[f64]| {
            #[expect(clippy::cast_precision_loss, reason = "some hundred levels")]
            let count = all.len() as f64;
            all.iter().map(|&girth| off(girth)).sum::<f64>() / count
        };
        let raw: Vec<f64> = leg.pieces.iter().map(|piece| piece.taut_mm).collect();
        assert!(noise > 0.3 && noise < 3.0, "{noise}");
        assert!(mean(&raw) > 2.0, "{}", mean(&raw));
        assert!(
            mean(&girths.value).abs() < noise,
            "{} {noise}",
            mean(&girths.value)
        );
    }
}
