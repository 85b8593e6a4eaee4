//! The head girth.

use super::{Taker, Why};
use crate::landmark::{NO_HEAD, thinnest_neck};
use crate::measure::girth::{Reading, Taken};
use crate::measure::{Cause, Key};
use crate::part::Piece;
use crate::section::{PlaneAxes, Slicer};
use nalgebra::{Point3, Vector3};

/// Ears and brows begin about halfway between the top of the head and the thinnest neck (from memory:
/// brow 95, ear top 98, thinnest neck 210 mm below the top of a grown head).
const LOWEST: f64 = 0.5;
/// A level whose skin stands this far beyond what the levels above lead to, in mm, holds an ear, a
/// brim, a knot of hair or the nose.
const STANDS_OUT_MM: f64 = 2.5;
/// Over how many mm the levels above are followed.
const LEAD_MM: f64 = 10.0;
/// A head whose highest contour has more than this share of its girth has no top.
const OPEN_TOP: f64 = 0.5;
/// Longer stretches without a level than this, in mm, may hide the greatest.
const GAP_MM: f64 = 10.0;
/// The end of the search lies within this of where ears and brows begin, in mm.
const END_SD_MM: f64 = 4.0;
/// How far the head may be nodded from looking straight ahead: standard deviation in degrees (common practice, no source).
const NOD_SD_DEG: f64 = 5.0;

impl Taker<'_, '_> {
    pub(super) fn head(&mut self) {
        match self.fullest_head() {
            Ok((taken, nod_sd)) => {
                let parts = taken.reading.spread(taken.level_sd[0]).parts;
                let spread = parts.into_iter().map(|part| (part.cause, part.sd));
                let spread = super::Spread::of(spread.chain([(Cause::Pose, nod_sd)]));
                let (value, level) = (taken.reading.taut_mm, taken.height_mm);
                self.value(Key::HeadGirth, value, spread, Some(level));
            }
            Err(why) => self.withhold(Key::HeadGirth, why),
        }
    }

    /// The fullest level of the head, and what a nod does to its girth.
    pub(super) fn fullest_head(&self) -> Result<(Taken, f64), Why> {
        let survey = self.survey;
        if !survey.ends.head {
            return Err(NO_HEAD.to_owned());
        }
        let neck = thinnest_neck(survey).ok_or("the neck below the head was not found")?;
        let top = survey.stature_mm;
        let low = top - LOWEST * (top - neck.height_mm);
        let above = above_ears(survey.parts.upper.between(low, top));
        let fullest = fullest(&above, top, low)?;
        let here = fullest.taut_mm;
        let near = above.iter().filter(|piece| {
            let off = (piece.height_mm - fullest.height_mm).abs();
            off <= END_SD_MM
        });
        let slip = near.map(|piece| here - piece.taut_mm).fold(0.0, f64::max);
        let taken = Taken {
            reading: Reading::of(&fullest.contour),
            height_mm: fullest.height_mm,
            level_sd: [slip; 2],
        };
        Ok((taken, self.nod_sd(fullest)))
    }

    /// Root mean square change of the girth for a plane that leans with a nod.
    fn nod_sd(&self, piece: &Piece) -> f64 {
        let [x, y] = piece.contour.centroid();
        let centre = Point3::new(x, y, piece.height_mm);
        let reach = 0.5 * piece.taut_mm;
        let room = Vector3::new(reach, reach, 0.3 * reach);
        let head = self.survey.outline.within(centre - room, centre + room);
        let girth = |degrees: f64| {
            let lean = degrees.to_radians();
            let axes = PlaneAxes::square_to(Vector3::new(0.0, lean.sin(), lean.cos())).ok()?;
            let cut = crate::landmark::cut_about(&Slicer::along(&head, axes), &centre)?;
            Some(cut.contour.taut_girth_mm())
        };
        let Some(level) = girth(0.0) else {
            return 0.0;
        };
        [-NOD_SD_DEG, NOD_SD_DEG]
            .into_iter()
            .filter_map(girth)
            .map(|nodded| (nodded - level).abs())
            .fold(0.0, f64::max)
    }
}

/// The levels from the top of the head down to where something stands out to the side or in front.
///
/// A head is a dome: its extent to each side grows ever slower on the way down. The first level that
/// grows faster than those above lead to has ears, a nose or a brim, and so have those below.
fn above_ears(head: &[Piece]) -> Vec<&Piece> {
    let down: Vec<&Piece> = head.iter().rev().collect();
    let reach = |piece: &Piece| {
        let contour = piece.contour.settled();
        let ((left, right), (back, front)) = (contour.extent(0), contour.extent(1));
        [-left, right, -back, front]
    };
    let reaches: Vec<[f64; 4]> = down.iter().map(|piece| reach(piece)).collect();
    let stands_out = |i: usize| {
        let at = |lead: f64| {
            let height = down[i].height_mm + lead;
            (0..i).find(|&j| down[j].height_mm <= height)
        };
        let (Some(one), Some(two)) = (at(LEAD_MM), at(2.0 * LEAD_MM)) else {
            return false;
        };
        let run = down[one].height_mm - down[i].height_mm;
        let lead = down[two].height_mm - down[one].height_mm;
        (0..4).any(|k| {
            let growth = (reaches[one][k] - reaches[two][k]).max(0.0) / lead;
            reaches[i][k] - reaches[one][k] > growth * run + STANDS_OUT_MM
        })
    };
    let end = (0..down.len()).find(|&i| stands_out(i));
    down[..end.unwrap_or(down.len())].to_vec()
}

/// The level of the greatest taut girth, unless missing skin may hide it.
fn fullest<'p>(above: &[&'p Piece], top: f64, low: f64) -> Result<&'p Piece, Why> {
    let hidden = "skin is missing on the head; scan again, or measure by tape";
    let settled = |piece: &Piece| piece.contour.settled().taut_girth_mm();
    let fullest = above
        .iter()
        .max_by(|a, b| settled(a).total_cmp(&settled(b)))
        .ok_or(hidden)?;
    let highest = above.first().ok_or(hidden)?;
    if top - highest.height_mm > GAP_MM || highest.taut_mm > OPEN_TOP * fullest.taut_mm {
        return Err("the top of the head is not on the scan, so the level to measure at is unknown; measure by tape".to_owned());
    }
    let torn = above
        .windows(2)
        .any(|pair| pair[0].height_mm - pair[1].height_mm > GAP_MM);
    let lowest = above.last().map_or(top, |piece| piece.height_mm);
    // Nothing stands out, and yet the levels end above where ears and brows begin at the highest.
    if torn || lowest - low > GAP_MM && top - lowest < EARS_AT_LEAST * (top - low) {
        return Err(hidden.to_owned());
    }
    Ok(fullest)
}

/// Ears and brows begin no higher than this share of the search.
const EARS_AT_LEAST: f64 = 0.6;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::TriMesh;
    use crate::section::Hull;

    /// Points on a ring of a head-like ellipsoid at a height, with an ear on each side if asked for.
    fn ring(height: f64, ears: bool) -> Vec<[f64; 2]> {
        let share = (1.0 - (height / 110.0).powi(2)).max(0.0).sqrt();
        (0..360)
            .map(|i| {
                let angle = f64::from(i).to_radians();
                let side = angle.sin().abs();
                let ear = if ears && height < 10.0 && side > 0.98 {
                    20.0
                } else {
                    0.0
                };
                // x to the right: the ears lie on the x axis.
                [
                    share * 75.0 * angle.sin() + ear * angle.sin().signum(),
                    share * 95.0 * angle.cos(),
                ]
            })
            .collect()
    }

    fn pieces(ears: bool) -> Vec<Piece> {
        let levels: Vec<f64> = (0..60).map(|i| -40.0 + 2.5 * f64::from(i)).collect();
        let mut points = Vec::new();
        for &height in &levels {
            points.extend(
                ring(height, ears)
                    .iter()
                    .map(|p| Point3::new(p[0], p[1], height)),
            );
        }
        let mut faces = Vec::new();
        for level in 0..59_u32 {
            for i in 0..360 {
                let (a, b) = (360 * level + i, 360 * level + (i + 1) % 360);
                faces.extend([[a, b, b + 360], [a, b + 360, a + 360]]);
            }
        }
        let mesh = TriMesh::new(points, faces).unwrap();
        let slicer = Slicer::level(&mesh);
        let cuts = slicer.cut_many(&levels[1..59].iter().map(|z| z - 0.5).collect::<Vec<_>>());
        cuts.into_iter()
            .map(|section| {
                let contour = section.contours[0].clone();
                Piece {
                    height_mm: section.height_mm,
                    taut_mm: contour.taut_girth_mm(),
                    contour,
                }
            })
            .collect()
    }

    /// Ears that begin at 10 end the search there; without them it goes down past the equator, whose
    /// girth is the ellipse's of semi-axes 95 and 75.
    #[test]
    fn ears_end_the_search() {
        let (bare, eared) = (pieces(false), pieces(true));
        assert_eq!(above_ears(&bare).len(), bare.len());
        let lowest = above_ears(&eared).last().unwrap().height_mm;
        assert!((9.0..=13.0).contains(&lowest), "{lowest}");
        let low = bare[0].height_mm;
        let found = fullest(&above_ears(&bare), 110.0, low).unwrap();
        assert!(found.height_mm.abs() < 3.0, "{}", found.height_mm);
        let fine: Vec<[f64; 2]> = ring(0.0, false);
        assert!((found.taut_mm - Hull::of(&fine).perimeter()).abs() < 0.5);
    }

    /// A head cut off at 60 has no top; one with levels missing over 20 mm may hide its fullest.
    #[test]
    fn a_head_without_its_top_or_skin_is_withheld() {
        let bare = pieces(false);
        let low = bare[0].height_mm;
        let cut: Vec<&Piece> = bare.iter().rev().filter(|p| p.height_mm < 60.0).collect();
        assert!(fullest(&cut, 60.0, low).is_err());
        let hole = |p: &&Piece| !(0.0..20.0).contains(&p.height_mm);
        let torn: Vec<&Piece> = bare.iter().rev().filter(hole).collect();
        assert!(fullest(&torn, 110.0, low).is_err());
    }
}
