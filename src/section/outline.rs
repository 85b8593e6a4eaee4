//! The outline of contours that lie over each other, as of an arm that ends within the trunk.
//!
//! A body may come as pieces: head, trunk and limbs that run into each other, shells over the skin,
//! eyes behind lids. A tape goes round the outside of them all.

use super::Contour;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::float::overlay::{FloatOverlay, OverlayOptions};

/// Share of a contour's area, and of its breadth and depth, within which an outline is that contour
/// itself: some hundred times what the grid of the union rounds by.
const SAME: f64 = 1e-7;

/// Closed contours that overlap become the outline of them all; what lies within one is gone with it,
/// holes too. A contour that no other reaches beyond stays as it is, to the bit. Open ones stay.
///
/// A contour closed by bridges may run back over itself, where shells overlap that were joined end
/// to end: of it the outline is taken as well.
pub(super) fn outlines(contours: Vec<Contour>) -> Vec<Contour> {
    let flat = |c: &Contour| c.points().len() < 3;
    let (closed, mut done): (Vec<_>, Vec<_>) = contours
        .into_iter()
        .partition(|c| c.is_closed() && !flat(c));
    for group in near(closed) {
        match &group[..] {
            [alone] if alone.bridges().next().is_none() => done.extend(group),
            _ => done.extend(united(&group)),
        }
    }
    done
}

/// Contours in groups that share no place, as the boxes around them tell.
fn near(contours: Vec<Contour>) -> Vec<Vec<Contour>> {
    type Group = ([(f64, f64); 2], Vec<Contour>);
    let mut groups: Vec<Group> = Vec::new();
    for contour in contours {
        let mut own: Group = ([contour.extent(0), contour.extent(1)], vec![contour]);
        // A box that grows may reach groups that it did not before.
        loop {
            let reaches = |(other, _): &Group| {
                (0..2).all(|k| own.0[k].0 <= other[k].1 && other[k].0 <= own.0[k].1)
            };
            let Some(at) = groups.iter().position(reaches) else {
                break;
            };
            let (other, members) = groups.remove(at);
            for (own, other) in own.0.iter_mut().zip(other) {
                *own = (own.0.min(other.0), own.1.max(other.1));
            }
            own.1.splice(0..0, members);
        }
        groups.push(own);
    }
    groups.into_iter().map(|(_, members)| members).collect()
}

/// The outlines of the union of filled contours.
fn united(group: &[Contour]) -> Vec<Contour> {
    let paths: Vec<Vec<[f64; 2]>> = group
        .iter()
        .map(|contour| {
            let mut points = contour.points().to_vec();
            // Filled, whichever way its piece is wound: two that overlap must not cancel.
            if !contour.is_counter_clockwise() {
                points.reverse();
            }
            points
        })
        .collect();
    // Points within straight stretches stay: they tell how finely skin is drawn.
    let mut options = OverlayOptions::default();
    options.preserve_output_collinear = true;
    // In 64 bits the grid is far finer than a micrometre.
    let mut union =
        FloatOverlay::<[f64; 2], i64>::from_subj_custom(&paths, options, Solver::default());
    let shapes = union.overlay(OverlayRule::Subject, FillRule::NonZero);
    let bridges: Vec<[[f64; 2]; 2]> = group.iter().flat_map(Contour::bridges).collect();
    let outer = shapes
        .into_iter()
        .filter_map(|shape| shape.into_iter().next());
    outer
        .map(|points| {
            let outline = Contour::new(points, true);
            let itself = group.iter().find(|contour| is_same(contour, &outline));
            itself
                .cloned()
                .unwrap_or_else(|| with_bridges(outline, &bridges))
        })
        .collect()
}

fn is_same(contour: &Contour, outline: &Contour) -> bool {
    let like = |a: f64, b: f64, of: f64| (a - b).abs() <= SAME * of;
    let area = outline.area_mm2();
    like(contour.area_mm2(), area, area)
        && (0..2).all(|axis| {
            let (a, b) = (contour.extent(axis), outline.extent(axis));
            like(a.0, b.0, b.1 - b.0) && like(a.1, b.1, b.1 - b.0)
        })
}

/// What is left of bridges over missing skin counts as bridged in the outline as well.
fn with_bridges(outline: Contour, bridges: &[[[f64; 2]; 2]]) -> Contour {
    let points = outline.points();
    let reach = SAME * (outline.breadth_mm() + outline.depth_mm());
    let is_bridge = |&at: &usize| {
        let ends = [points[at], points[(at + 1) % points.len()]];
        let along = |bridge: &[[f64; 2]; 2]| ends.iter().all(|&p| distance_to(p, bridge) <= reach);
        bridges.iter().any(along)
    };
    let bridged: Vec<usize> = (0..points.len()).filter(is_bridge).collect();
    if bridged.is_empty() {
        return outline;
    }
    Contour::bridged(points.to_vec(), bridged)
}

/// Distance of a point from a straight stretch.
fn distance_to(p: [f64; 2], [a, b]: &[[f64; 2]; 2]) -> f64 {
    let along = [b[0] - a[0], b[1] - a[1]];
    let length = along[0].hypot(along[1]);
    let part = |k: usize| (p[k] - a[k]) * along[k];
    let share = if length > 0.0 {
        ((part(0) + part(1)) / (length * length)).clamp(0.0, 1.0)
    } else {
        0.0
    };
    super::hull::distance(p, [0, 1].map(|k| a[k] + share * along[k]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    /// Of a circle from one angle to another, in steps of about a 720th of the turn.
    fn arc(centre: f64, radius: f64, from: f64, to: f64) -> impl Iterator<Item = [f64; 2]> {
        let steps = 360_u32;
        (0..=steps).map(move |i| {
            let angle = from + (to - from) * f64::from(i) / f64::from(steps);
            [centre + radius * angle.cos(), radius * angle.sin()]
        })
    }

    fn disc(centre: f64, radius: f64) -> Contour {
        let mut points: Vec<_> = arc(centre, radius, 0.0, TAU).collect();
        points.pop();
        Contour::closed(points)
    }

    /// An arm apart and a trunk that holds an eye stay to the bit; the eye goes.
    #[test]
    fn what_no_other_reaches_beyond_stays_to_the_bit() {
        let (trunk, arm, open) = (
            disc(0.0, 150.0),
            disc(300.0, 40.0),
            Contour::new(vec![[0.0, 0.0], [9.0, 1.0]], false),
        );
        let found = outlines(vec![
            disc(10.0, 12.0),
            trunk.clone(),
            arm.clone(),
            open.clone(),
        ]);
        assert_eq!(found, [open, trunk, arm]);
    }

    /// Boxes that meet are not skins that do: a disc in the corner that another leaves in its box.
    #[test]
    fn near_is_not_joined() {
        let (one, other) = (disc(0.0, 100.0), disc(0.0, 20.0));
        let shift = |p: &[f64; 2]| [p[0] + 88.0, p[1] + 88.0];
        let other = Contour::closed(other.points().iter().map(shift).collect());
        assert_eq!(outlines(vec![one.clone(), other.clone()]), [one, other]);
    }

    /// Three discs in a row, each over the next, the middle one wound the other way: around them goes a taut
    /// tape of 2·(d₁ + d₂) + 2πr (closed form).
    #[test]
    fn a_chain_of_pieces_has_one_outline() {
        let middle: Vec<_> = disc(80.0, 50.0).points().iter().rev().copied().collect();
        let found = outlines(vec![
            disc(0.0, 50.0),
            disc(160.0, 50.0),
            Contour::closed(middle),
        ]);
        let [outline] = &found[..] else {
            panic!("{}", found.len());
        };
        let exact = 2.0 * 160.0 + TAU * 50.0;
        // 360 sides: short by less than π²/6n² of the round part.
        assert!((outline.taut_girth_mm() - exact).abs() < 0.01);
        assert!(outline.is_counter_clockwise());
        assert_eq!(outline.gap_mm().to_bits(), 0.0_f64.to_bits());
    }

    /// A front of radius 100 and a back of 99.8 that lie over each other by 0.2 rad at either side, joined end
    /// to end: the seams run back over themselves and are no skin. Round the outside it is the front's arc, the
    /// back's beyond it, and two steps of 0.2 mm.
    #[test]
    fn shells_that_overlap_are_not_measured_twice() {
        let half = TAU / 2.0;
        let mut points: Vec<_> = arc(0.0, 100.0, -0.1, half + 0.1).collect();
        let front = points.len() - 1;
        points.extend(arc(0.0, 99.8, half - 0.1, TAU + 0.1));
        let seams = vec![front, points.len() - 1];
        let joined = Contour::bridged(points, seams);
        assert!(joined.gap_mm() > 39.0);
        let [outline] = &outlines(vec![joined])[..] else {
            panic!("one outline");
        };
        let exact = 100.0 * (half + 0.2) + 99.8 * (half - 0.2) + 0.4;
        let found = outline.surface_girth_mm();
        assert!((found - exact).abs() < 0.05, "{found} {exact}");
        assert!(outline.gap_mm() < 0.5);
    }

    /// A bridge over missing skin counts as before in an outline that still has it: 2·50·sin 0.1.
    #[test]
    fn bridges_stay_bridges() {
        let points: Vec<_> = arc(0.0, 50.0, 0.1, TAU - 0.1).collect();
        let torn = Contour::bridged(points.clone(), vec![points.len() - 1]);
        let found = outlines(vec![torn, disc(-70.0, 40.0)]);
        let [outline] = &found[..] else {
            panic!("{}", found.len());
        };
        assert!((outline.gap_mm() - 100.0 * 0.1_f64.sin()).abs() < 1e-6);
    }
}
