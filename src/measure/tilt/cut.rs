//! Level girths as a tape out of level reads them.

use super::{Lower, MOST_DEGREES, Tilted};
use crate::measure::{CurvePart, Measure, MeasureId, MeasureSet, Mode};
use crate::mesh::TriMesh;
use crate::parallel::map_indices;
use crate::part::{Branch, Parts};
use crate::section::{Contour, PlaneAxes, Section, Slicer};
use crate::side::Side;
use nalgebra::Point3;

/// Angles cut each way: every 6.25 degrees. Between two the girth is read on a straight line, which on a
/// cylinder (closed form, 1 + θ²/4) errs by 0.07 % at most.
const ANGLES: [f64; 4] = [
    0.25 * MOST_DEGREES,
    0.5 * MOST_DEGREES,
    0.75 * MOST_DEGREES,
    MOST_DEGREES,
];

/// A level girth and the middle of its section.
struct Around {
    id: MeasureId,
    part: CurvePart,
    middle: Point3<f64>,
}

/// A plane of one tilt about a middle: its taut girth and how far it rises.
struct Cut {
    taut_mm: f64,
    rise_mm: f64,
}

/// A body to be cut.
struct Cutter<'b> {
    outline: &'b TriMesh,
    parts: &'b Parts,
    measures: &'b MeasureSet,
}

/// The level girths of trunk and legs among `ids`, tilted each way as far as the plane cuts that part
/// alone: girth by girth, each way, angles rising.
pub(crate) fn tilts(
    outline: &TriMesh,
    parts: &Parts,
    measures: &MeasureSet,
    ids: &[MeasureId],
) -> Vec<Tilted> {
    let cutter = Cutter {
        outline,
        parts,
        measures,
    };
    let asked = ids.iter().filter_map(|&id| measures.get(id));
    let around: Vec<Around> = asked.filter_map(|m| cutter.around(m)).collect();
    if around.is_empty() {
        return Vec::new();
    }
    let level = cutter.cuts(&around, PlaneAxes::LEVEL);
    let planes: Vec<(Lower, f64)> = Lower::ALL
        .into_iter()
        .flat_map(|lower| ANGLES.map(|degrees| (lower, degrees)))
        .collect();
    let cuts = map_indices(planes.len(), |i| {
        let (lower, degrees) = planes[i];
        PlaneAxes::square_to(lower.normal(degrees))
            .map_or_else(|_| Vec::new(), |axes| cutter.cuts(&around, axes))
    });
    let mut tilts = Vec::new();
    for (n, (about, flat)) in around.iter().zip(&level).enumerate() {
        let Some(flat) = flat else { continue };
        for (&(lower, degrees), cuts) in planes.iter().zip(&cuts) {
            let cut = cuts.get(n).and_then(Option::as_ref);
            tilts.extend(cut.map(|cut| Tilted {
                id: about.id,
                lower,
                degrees,
                grown: cut.taut_mm / flat.taut_mm,
                rise_mm: cut.rise_mm,
            }));
        }
    }
    tilts
}

impl Cutter<'_> {
    fn around(&self, measure: &Measure) -> Option<Around> {
        let row = measure.id.key.definition();
        if row.mode != Mode::Taut || !row.is_girth() {
            return None;
        }
        let part = measure.id.side.map_or(CurvePart::Trunk, CurvePart::Leg);
        let (level, curve) = (measure.level_mm?, self.measures.curve(part)?);
        let is_held = match part {
            CurvePart::Trunk => curve.carries(measure),
            CurvePart::Leg(_) => curve.taut_at(level).is_some(),
        };
        let [x, y] = self.branch(part).nearest(level.mm())?.contour.centroid();
        is_held.then(|| Around {
            id: measure.id,
            part,
            middle: Point3::new(x, y, level.mm()),
        })
    }

    fn branch(&self, part: CurvePart) -> &Branch {
        match part {
            CurvePart::Trunk => &self.parts.trunk,
            CurvePart::Leg(side) => self.parts.leg(side),
        }
    }

    /// The planes of one direction through all middles; `None` where that plane cuts more than the part
    /// or meets missing skin.
    fn cuts(&self, around: &[Around], axes: PlaneAxes) -> Vec<Option<Cut>> {
        let heights: Vec<f64> = around
            .iter()
            .map(|about| axes.normal.dot(&about.middle.coords))
            .collect();
        let sections = Slicer::along(self.outline, axes).cut_many(&heights);
        around
            .iter()
            .zip(&sections)
            .map(|(about, section)| self.cut(about, &axes, section))
            .collect()
    }

    fn cut(&self, about: &Around, axes: &PlaneAxes, section: &Section) -> Option<Cut> {
        let middle = axes.uv(&about.middle);
        let contour = section
            .contours
            .iter()
            .filter(|contour| contour.is_closed() && contour.contains(middle))
            .max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))?;
        let heights = contour
            .points()
            .iter()
            .map(|&uv| axes.point(uv, section.height_mm).z);
        let (low, high) = heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| {
            (low.min(z), high.max(z))
        });
        self.is_alone(about, axes, contour, (low, high))
            .then(|| Cut {
                taut_mm: contour.taut_girth_mm(),
                rise_mm: high - low,
            })
    }

    /// True if a contour between two heights is of the part alone, as far as levels show.
    fn is_alone(
        &self,
        about: &Around,
        axes: &PlaneAxes,
        contour: &Contour,
        (low, high): (f64, f64),
    ) -> bool {
        let parts = &self.parts;
        let armpits = Side::BOTH.into_iter().filter_map(|side| parts.armpit(side));
        let under_arms = armpits
            .map(|fork| fork.height_mm)
            .fold(f64::INFINITY, f64::min);
        let touched = match about.part {
            CurvePart::Trunk => &parts.touched_mm,
            CurvePart::Leg(side) => &parts.touched_legs_mm[side.index()],
        };
        let is_free = !touched.iter().any(|&(from, to)| from <= high && low <= to);
        let other_leg =
            match about.part {
                CurvePart::Trunk => false,
                CurvePart::Leg(side) => parts
                    .leg(side.other())
                    .nearest(about.middle.z)
                    .is_some_and(|piece| {
                        let [x, y] = piece.contour.centroid();
                        contour.contains(axes.uv(&Point3::new(x, y, about.middle.z)))
                    }),
            };
        high <= under_arms && is_free && !other_leg
    }
}
