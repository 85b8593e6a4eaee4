//! The outline of contours that lie over each other, as of an arm that ends within the trunk.
//!
//! A body may come as pieces: head, trunk and limbs that run into each other, shells over the skin,
//! eyes behind lids. A tape goes round the outside of them all.

use super::Contour;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::float::overlay::{FloatOverlay, OverlayOptions};
use i_overlay::float::relate::FloatRelate;

/// Share of a contour's area, and of its breadth and depth, within which an outline is that contour
/// itself: some hundred times what the grid of the union rounds by.
const SAME: f64 = 1e-7;

/// Closed contours of different pieces that overlap become the outline of them all; what lies within one
/// is gone with it. A contour that no other reaches beyond stays as it is, to the bit; so do open ones,
/// and those of one piece, as where an arm that hangs runs a little into the trunk.
///
/// A contour closed by bridges may run back over itself, where shells overlap that were joined end
/// to end: of it the outline is taken as well.
pub(super) fn outlines(contours: Vec<Contour>) -> Vec<Contour> {
    let mut found: Vec<(usize, Contour)> = Vec::with_capacity(contours.len());
    for group in overlapping(contours) {
        // Each in the place of the first it is made of.
        let first = group.iter().map(|member| member.at).min().unwrap_or(0);
        let group: Vec<Contour> = group.into_iter().map(|member| member.contour).collect();
        let joined = |c: &Contour| c.is_closed() && c.bridges().next().is_some();
        let outlines = if group.len() > 1 || group.iter().any(joined) {
            united(&group)
        } else {
            group
        };
        found.extend(outlines.into_iter().map(|outline| (first, outline)));
    }
    found.sort_by_key(|&(first, _)| first);
    found.into_iter().map(|(_, outline)| outline).collect()
}

/// A contour, the box around it, and its place among those of the section.
struct Member {
    at: usize,
    contour: Contour,
    ends: [(f64, f64); 2],
}

impl Member {
    /// True if it overlaps the contour of another piece.
    fn overlaps(&self, other: &Self) -> bool {
        let (one, two) = (&self.contour, &other.contour);
        let fills = |c: &Contour| c.is_closed() && c.points().len() > 2;
        let near =
            |k: usize| self.ends[k].0 <= other.ends[k].1 && other.ends[k].0 <= self.ends[k].1;
        one.piece() != two.piece()
            && near(0)
            && near(1)
            && fills(one)
            && fills(two)
            && one.points().interiors_intersect_as::<i64>(two.points())
    }
}

/// Contours in groups, each overlapping another one of its group.
fn overlapping(contours: Vec<Contour>) -> Vec<Vec<Member>> {
    let mut groups: Vec<Vec<Member>> = Vec::new();
    for (at, contour) in contours.into_iter().enumerate() {
        let ends = [contour.extent(0), contour.extent(1)];
        let own = Member { at, contour, ends };
        let (joined, rest): (Vec<_>, Vec<_>) = groups
            .into_iter()
            .partition(|group| group.iter().any(|member| member.overlaps(&own)));
        groups = rest;
        groups.push(joined.into_iter().flatten().chain([own]).collect());
    }
    groups
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
    let piece = group.iter().map(Contour::piece).min().unwrap_or(0);
    let bridges: Vec<[[f64; 2]; 2]> = group.iter().flat_map(Contour::bridges).collect();
    let outer = shapes
        .into_iter()
        .filter_map(|shape| shape.into_iter().next());
    outer
        .map(|points| {
            let outline = Contour::new(points, true).of_piece(piece);
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
    Contour::bridged(points.to_vec(), bridged).of_piece(outline.piece())
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

    /// An arm apart, an arm that runs into the trunk it is one piece with, and a trunk that holds an eye
    /// stay to the bit and in order; the eye goes.
    #[test]
    fn what_no_other_reaches_beyond_stays_to_the_bit() {
        let trunk = disc(0.0, 150.0);
        let open = Contour::new(vec![[0.0, 0.0], [9.0, 1.0]], false);
        let rest = [trunk, open, disc(300.0, 40.0), disc(-180.0, 40.0)];
        let mut all = rest.to_vec();
        all.insert(0, disc(10.0, 12.0).of_piece(1));
        assert_eq!(outlines(all), rest);
    }

    /// Boxes that meet are not skins that do: a disc in the corner that another leaves in its box.
    #[test]
    fn near_is_not_joined() {
        let (one, other) = (disc(0.0, 100.0), disc(0.0, 20.0));
        let shift = |p: &[f64; 2]| [p[0] + 88.0, p[1] + 88.0];
        let other = Contour::closed(other.points().iter().map(shift).collect()).of_piece(1);
        assert_eq!(outlines(vec![one.clone(), other.clone()]), [one, other]);
    }

    /// Three discs in a row, each over the next, the middle one wound the other way: around them goes a taut
    /// tape of 2·(d₁ + d₂) + 2πr (closed form).
    #[test]
    fn a_chain_of_pieces_has_one_outline() {
        let middle: Vec<_> = disc(80.0, 50.0).points().iter().rev().copied().collect();
        let middle = Contour::closed(middle).of_piece(1);
        let found = outlines(vec![disc(0.0, 50.0), disc(160.0, 50.0), middle]);
        let [outline] = &found[..] else {
            panic!("{}", found.len());
        };
        let exact = 2.0 * 160.0 + TAU * 50.0;
        // 360 sides: short by less than π²/6n² of the round part.
        assert!((outline.taut_girth_mm() - exact).abs() < 0.01);
        assert!(outline.is_counter_clockwise());
        assert_eq!(outline.gap_mm().to_bits(), 0.0_f64.to_bits());
    }

    /// A front of radius R = 100 and a back of r = 99.8 that lie over each other by 0.2 rad at either side, joined
    /// end to end: the seams run back 20 mm under the front and are no skin, so that 4·20 mm too many go round
    /// it. What is left of each is a notch as deep as it takes a chord of length L to sink by R - r, 2·(R - r)·R/L
    /// = 2 mm, once in and once out.
    #[test]
    fn shells_that_overlap_are_not_measured_twice() {
        let half = TAU / 2.0;
        let mut points: Vec<_> = arc(0.0, 100.0, -0.1, half + 0.1).collect();
        let front = points.len() - 1;
        points.extend(arc(0.0, 99.8, half - 0.1, TAU + 0.1));
        let seams = vec![front, points.len() - 1];
        let joined = Contour::bridged(points, seams);
        let arcs = 100.0 * (half + 0.2) + 99.8 * (half - 0.2);
        assert!((joined.surface_girth_mm() - arcs - 80.0).abs() < 0.3);
        let [outline] = &outlines(vec![joined])[..] else {
            panic!("one outline");
        };
        let found = outline.surface_girth_mm();
        assert!((found - arcs - 4.0 * 2.0).abs() < 0.3, "{found} {arcs}");
        assert!(outline.gap_mm() < 2.0 * 2.1);
    }

    /// A bridge over missing skin counts as before in an outline that still has it: 2·50·sin 0.1.
    #[test]
    fn bridges_stay_bridges() {
        let points: Vec<_> = arc(0.0, 50.0, 0.1, TAU - 0.1).collect();
        let torn = Contour::bridged(points.clone(), vec![points.len() - 1]);
        let found = outlines(vec![torn, disc(-70.0, 40.0).of_piece(1)]);
        let [outline] = &found[..] else {
            panic!("{}", found.len());
        };
        assert!((outline.gap_mm() - 100.0 * 0.1_f64.sin()).abs() < 1e-6);
    }
}
