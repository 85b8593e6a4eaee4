//! Pins onto the skin: where a landmark lies that a person has put.

use super::pin::{Both, Pin, PinPlace, Pins};
use super::{Confidence, Landmark, LandmarkKey, NO_FEET, Survey, shoulder, trunk};
use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::length::Length;
use crate::mesh::SurfaceQuery;
use crate::part::{Branch, Fork, Piece};
use crate::side::Side;
use nalgebra::{Matrix4, Point3, Vector3};

/// How far over the top of the head a pin may lie, in mm: hair, or a hand that slipped.
const OVER_TOP_MM: f64 = 20.0;
/// A point farther from the skin than this is told, in mm: a marker's own thickness.
const OFF_SKIN_MM: f64 = 10.0;
/// A point farther from the skin than this is refused, in mm: it was read in other axes or another unit.
const FAR_MM: f64 = 100.0;
/// How far a point of one side may lie on the other, in mm: a body that stands turned or aslant.
const ASIDE_MM: f64 = 30.0;

/// Why a pin cannot be put, as the end of a sentence that starts with it.
type Why = String;

/// How the place of a landmark is told from its height, and from a point of the skin.
enum Rests {
    /// On the crown.
    Crown,
    /// Where the midline's rearmost skin is.
    Back,
    /// Where the midline's foremost skin is.
    Front,
    /// Where a flank stands out most.
    Flank,
    /// On the ridge of the shoulder.
    Ridge,
    /// Where two parts join.
    Fork,
    /// The most forward point of the chest on a side.
    Breast,
    /// A level of the trunk.
    Trunk(Mark),
    /// A level of a leg.
    Leg,
    /// A place along an arm.
    Arm,
}

/// What marks a level of the trunk.
enum Mark {
    Centre,
    Midline,
    Seat,
}

const fn rests(key: LandmarkKey) -> Rests {
    use LandmarkKey as L;
    match key {
        L::Vertex => Rests::Crown,
        L::BackNeckPoint => Rests::Back,
        L::FrontNeckPoint | L::Navel | L::Belly => Rests::Front,
        L::LowestRib | L::HipBone => Rests::Flank,
        L::SideNeckPoint | L::ShoulderPoint => Rests::Ridge,
        L::Armpit | L::Crotch => Rests::Fork,
        L::BustPoint => Rests::Breast,
        L::UnderBust => Rests::Trunk(Mark::Midline),
        L::WaistNarrowest | L::WaistMidway | L::HighHip => Rests::Trunk(Mark::Centre),
        L::Hip => Rests::Trunk(Mark::Seat),
        L::GlutealFold | L::Knee | L::Calf | L::Ankle | L::AnkleBone => Rests::Leg,
        L::Elbow | L::Wrist => Rests::Arm,
    }
}

/// The pinned landmarks, and what is to be told of them.
pub(super) fn put(survey: &Survey<'_>, pins: &Pins) -> Result<(Vec<Landmark>, Vec<Finding>)> {
    let (mut marks, mut findings) = (Vec::new(), Vec::new());
    for pin in pins.iter() {
        let put = place(survey, pin);
        let (point_mm, off) =
            put.map_err(|why| Error::options(format!("the pinned {}: {why}", pin.name())))?;
        let how = if pin.place.is_point() {
            "put by hand at a point"
        } else {
            "put by hand at its height"
        };
        if off > OFF_SKIN_MM {
            let text = format!(
                "the point given for the {} lies {} from the skin; the nearest skin is taken. Check it",
                pin.name(),
                Both(off)
            );
            findings.push(Finding::look("pin", text));
        }
        marks.push(Landmark {
            key: pin.key,
            side: pin.side,
            point_mm,
            sd_mm: pin.sd.mm(),
            confidence: Confidence::Given,
            rule: how.to_owned(),
        });
    }
    Ok((marks, findings))
}

/// Its place, and how far the point given lies from the skin.
fn place(survey: &Survey<'_>, pin: &Pin) -> Result<([f64; 3], f64), Why> {
    let point = match pin.place {
        PinPlace::Height(height) => {
            if !survey.ends.feet {
                return Err(format!("{NO_FEET}; pin it by a point"));
            }
            let height = height.mm();
            if height <= 0.0 || height > survey.stature_mm + OVER_TOP_MM {
                return Err(format!(
                    "{} above the floor is no place on a body of {}; check the number and its unit",
                    Both(height),
                    Both(survey.stature_mm)
                ));
            }
            return Ok((at_height(survey, pin, height)?, 0.0));
        }
        PinPlace::Point(point) => Point3::from(point.map(Length::mm)),
        PinPlace::FilePoint(point) => {
            let [x, y, z] = point;
            let matrix = Matrix4::from(survey.file_to_body).transpose();
            matrix.transform_point(&Point3::new(x, y, z))
        }
    };
    let (skin, off) = nearest_skin(survey, &point)?;
    if let Some(side) = pin.side
        && skin.x * side.sign() < -ASIDE_MM
    {
        return Err(format!(
            "the point lies on the wearer's {}; left and right are the wearer's own",
            side.other()
        ));
    }
    Ok((at_skin(survey, pin, &skin), off))
}

fn nearest_skin(survey: &Survey<'_>, to: &Point3<f64>) -> Result<(Point3<f64>, f64), Why> {
    let far = || {
        let [x, y, z] = [to.x, to.y, to.z].map(|v| format!("{:.1}", 0.1 * v));
        format!(
            "the point lies farther than {} from the skin: {x} cm to the right of the midline, {y} cm forward, {z} cm above the floor; check its axes and unit",
            Both(FAR_MM)
        )
    };
    let reach = Vector3::from([FAR_MM; 3]);
    let near = survey.mesh.within(to - reach, to + reach);
    // A mesh without faces is as good as far away.
    let hit = SurfaceQuery::new(&near)
        .ok()
        .and_then(|query| query.closest_point(to));
    hit.filter(|hit| hit.distance <= FAR_MM)
        .map(|hit| (hit.point, hit.distance))
        .ok_or_else(far)
}

/// The place at a height, taken from the skin as the landmark is defined.
fn at_height(survey: &Survey<'_>, pin: &Pin, height: f64) -> Result<[f64; 3], Why> {
    let side = pin.side.unwrap_or(Side::Left);
    let parts = &survey.parts;
    match rests(pin.key) {
        Rests::Crown => {
            let top = trunk::vertex(survey).map_err(|missing| missing.reason)?;
            Ok([top.point_mm[0], top.point_mm[1], height])
        }
        rests @ (Rests::Back | Rests::Front) => {
            let section = survey.upright.cut(0.0);
            let skin = section.contours.iter().flat_map(|c| c.crossings(1, height));
            let y = match rests {
                Rests::Back => skin.reduce(f64::min),
                _ => skin.reduce(f64::max),
            };
            Ok([0.0, y.ok_or("the midline has no skin there")?, height])
        }
        Rests::Flank => {
            let contour = &piece_at(&parts.trunk, height, "trunk")?.contour;
            let (least, most) = contour.extent(0);
            let x = if side.sign() > 0.0 { most } else { least };
            Ok([x, contour.centroid()[1], height])
        }
        Rests::Ridge => shoulder::on_ridge(survey, side, height).ok_or_else(|| {
            format!(
                "the {side} shoulder line does not pass {}; check the height, or pin it by a point",
                Both(height)
            )
        }),
        Rests::Fork => {
            let fork = match pin.side {
                Some(side) => parts.armpit(side),
                None => parts.crotch.as_ref(),
            };
            let [x, y] = match fork {
                Some(Fork { first, second, .. }) => [0, 1].map(|k| 0.5 * (first[k] + second[k])),
                None => piece_at(&parts.trunk, height, "trunk")?.contour.centroid(),
            };
            Ok([x, y, height])
        }
        Rests::Breast => {
            let torso = survey.torso(0.0, 1.0).collect::<Vec<_>>();
            let piece = nearest_of(&torso, height, "chest")?;
            let [x, y] = trunk::bust_tip(survey, piece, side).ok_or("skin is missing there")?;
            Ok([x, y, height])
        }
        Rests::Trunk(mark) => {
            let contour = &piece_at(&parts.trunk, height, "trunk")?.contour;
            let [x, y] = match mark {
                Mark::Centre => contour.centroid(),
                Mark::Midline => [0.0; 2],
                Mark::Seat => [0.0, contour.extent(1).0],
            };
            Ok([x, y, height])
        }
        Rests::Leg => {
            let piece = piece_at(parts.leg(side), height, &format!("{side} leg"))?;
            let [x, y] = piece.contour.centroid();
            Ok([x, y, height])
        }
        Rests::Arm => {
            let apart = || {
                format!(
                    "the {side} arm does not pass {} apart from the trunk; check the height, or pin it by a point",
                    Both(height)
                )
            };
            let arm = survey.arm(side).ok_or_else(apart)?;
            let at = arm.axis.at_height(height).ok_or_else(apart)?;
            Ok(at.coords.into())
        }
    }
}

/// The place that a point of the skin stands for: itself, or for a level the middle it goes round.
fn at_skin(survey: &Survey<'_>, pin: &Pin, skin: &Point3<f64>) -> [f64; 3] {
    let side = pin.side.unwrap_or(Side::Left);
    let on_skin = [skin.x, skin.y, skin.z];
    match rests(pin.key) {
        Rests::Crown
        | Rests::Back
        | Rests::Front
        | Rests::Flank
        | Rests::Ridge
        | Rests::Fork
        | Rests::Breast => on_skin,
        // A level is where the point is, be there a whole contour or not.
        Rests::Trunk(_) | Rests::Leg => at_height(survey, pin, skin.z).unwrap_or(on_skin),
        Rests::Arm => survey.arm(side).map_or(on_skin, |arm| {
            arm.axis.point(arm.axis.nearest(skin)).coords.into()
        }),
    }
}

fn piece_at<'s>(branch: &'s Branch, height: f64, name: &str) -> Result<&'s Piece, Why> {
    let all: Vec<&Piece> = branch.pieces.iter().collect();
    nearest_of(&all, height, name)
}

/// The piece nearest to a height within the range of all.
fn nearest_of<'s>(pieces: &[&'s Piece], height: f64, name: &str) -> Result<&'s Piece, Why> {
    let (Some(first), Some(last)) = (pieces.first(), pieces.last()) else {
        return Err(format!("the {name} does not show on the scan"));
    };
    let (low, high) = (first.height_mm, last.height_mm);
    // The ends are levels some mm apart.
    if !(low - END_MM..=high + END_MM).contains(&height) {
        return Err(format!(
            "{} above the floor is not on the {name}, which reaches from {} to {}; check the number and its unit",
            Both(height),
            Both(low),
            Both(high)
        ));
    }
    let far = |piece: &&&Piece| (piece.height_mm - height).abs();
    let nearest = pieces.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
    nearest
        .copied()
        .ok_or_else(|| format!("the {name} does not show on the scan"))
}

/// Distance of a part's true end from its last level, in mm at most.
const END_MM: f64 = 5.0;
