//! The levels and points that are drawn on a body.

use crate::landmark::{Confidence, Landmark, LandmarkKey};
use crate::measure::Key;
use crate::parallel::map_indices;
use crate::part::{Parts, Piece};
use crate::scan::Scan;
use crate::section::Slicer;
use crate::side::Side;

/// A level and what of the body lies at it.
#[derive(Clone, Debug)]
pub(super) struct LevelMark {
    pub(super) name: &'static str,
    pub(super) side: Option<Side>,
    pub(super) height_mm: f64,
    pub(super) sd_mm: f64,
    pub(super) sure: Confidence,
    /// Extent of the skin at the level, to the wearer's right and forward.
    pub(super) extent: [(f64, f64); 2],
}

/// A name that fits beside a drawing.
pub(crate) const fn short_name(key: LandmarkKey) -> &'static str {
    match key {
        LandmarkKey::Vertex => "top of head",
        LandmarkKey::BackNeckPoint => "back neck",
        LandmarkKey::FrontNeckPoint => "front neck",
        LandmarkKey::SideNeckPoint => "side neck",
        LandmarkKey::ShoulderPoint => "shoulder",
        LandmarkKey::UnderBust => "under-bust",
        LandmarkKey::WaistNarrowest => "waist",
        LandmarkKey::HipBone => "hip bone",
        LandmarkKey::WaistMidway => "mid waist",
        LandmarkKey::Belly => "belly",
        LandmarkKey::HighHip => "high hip",
        LandmarkKey::Hip => "hip",
        LandmarkKey::Crotch => "crotch",
        LandmarkKey::Ankle => "ankle",
        LandmarkKey::AnkleBone => "ankle bone",
        _ => key.name(),
    }
}

/// True for a landmark that is a level of the body, not a place on its skin.
pub(super) const fn is_level(key: LandmarkKey) -> bool {
    matches!(
        key,
        LandmarkKey::Armpit
            | LandmarkKey::UnderBust
            | LandmarkKey::WaistNarrowest
            | LandmarkKey::WaistMidway
            | LandmarkKey::Belly
            | LandmarkKey::HighHip
            | LandmarkKey::Hip
            | LandmarkKey::Crotch
            | LandmarkKey::Knee
            | LandmarkKey::Calf
            | LandmarkKey::Ankle
    )
}

/// Half the length of a level's line at an armpit, which lies between trunk and arm.
const ARMPIT_MM: f64 = 35.0;

/// Every level of a body, from the top down.
pub(super) fn levels(scan: &Scan) -> Vec<LevelMark> {
    let mut marks: Vec<Landmark> = scan
        .landmarks
        .found
        .iter()
        .filter(|mark| is_level(mark.key))
        .cloned()
        .collect();
    // A bust level is that of both bust points; it is no landmark of its own.
    let bust = scan.measures.get(Key::BustHeight);
    let points = |mark: &&Landmark| mark.key == LandmarkKey::BustPoint;
    if let (Some(bust), Some(point)) = (bust, scan.landmarks.found.iter().find(points)) {
        marks.push(Landmark {
            side: None,
            point_mm: [0.0, 0.0, bust.value],
            sd_mm: bust.spread.sd,
            ..point.clone()
        });
    }
    marks.sort_by(|a, b| b.height_mm().total_cmp(&a.height_mm()));
    let slicer = Slicer::level(scan.body.mesh());
    let extents = map_indices(marks.len(), |i| extent(&marks[i], &scan.parts, &slicer));
    let pairs = marks.iter().zip(extents);
    pairs
        .filter_map(|(mark, extent)| {
            Some(LevelMark {
                name: if mark.key == LandmarkKey::BustPoint {
                    "bust"
                } else {
                    short_name(mark.key)
                },
                side: mark.side,
                height_mm: mark.height_mm(),
                sd_mm: mark.sd_mm,
                sure: mark.confidence,
                extent: extent?,
            })
        })
        .collect()
}

/// Extent of the trunk at a level, of the leg on the level's side, or at the crotch of both legs where
/// they come nearest to it.
fn extent(mark: &Landmark, parts: &Parts, slicer: &Slicer<'_>) -> Option<[(f64, f64); 2]> {
    let [x, y, height] = mark.point_mm;
    if mark.key == LandmarkKey::Armpit {
        return Some([x, y].map(|at| (at - ARMPIT_MM, at + ARMPIT_MM)));
    }
    if mark.key == LandmarkKey::Crotch {
        let piece = |side| parts.leg(side).nearest(height);
        let legs: Vec<&Piece> = Side::BOTH.into_iter().filter_map(piece).collect();
        let both = |axis| {
            let ends = legs.iter().map(|leg| leg.contour.extent(axis));
            ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
        };
        return Some([both(0)?, both(1)?]);
    }
    let contour = match mark.side {
        Some(side) => parts.leg_at(slicer, side, height),
        None => parts.trunk_at(slicer, height),
    };
    let contour = contour.ok()?;
    Some([contour.extent(0), contour.extent(1)])
}
