//! The levels and points that are drawn on a body.

use crate::landmark::{Confidence, Landmark, LandmarkKey};
use crate::measure::Key;
use crate::scan::Scan;
use crate::section::{Contour, Section, Slicer};
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
    let heights: Vec<f64> = marks.iter().map(Landmark::height_mm).collect();
    let sections = Slicer::level(scan.body.mesh()).cut_many(&heights);
    let pairs = marks.iter().zip(&sections);
    pairs
        .filter_map(|(mark, section)| {
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
                extent: extent(mark, section)?,
            })
        })
        .collect()
}

/// Contours this large beside the largest belong to the trunk or are a leg; arms and hands are smaller.
const PART: f64 = 0.4;

fn extent(mark: &Landmark, section: &Section) -> Option<[(f64, f64); 2]> {
    let [x, y, _] = mark.point_mm;
    if mark.key == LandmarkKey::Armpit {
        return Some([x, y].map(|at| (at - ARMPIT_MM, at + ARMPIT_MM)));
    }
    let far = |contour: &&Contour| {
        let [u, v] = contour.centroid();
        (u - x).hypot(v - y)
    };
    let contours = || section.contours.iter();
    let largest = contours().map(Contour::area_mm2).fold(0.0, f64::max);
    let is_part = |contour: &&Contour| contour.area_mm2() >= PART * largest;
    let of: Vec<&Contour> = if mark.side.is_some() {
        let near = contours().min_by(|a, b| far(a).total_cmp(&far(b)));
        near.into_iter().collect()
    } else {
        contours().filter(is_part).collect()
    };
    let both = |axis| {
        of.iter()
            .map(|contour| contour.extent(axis))
            .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    };
    Some([both(0)?, both(1)?])
}
