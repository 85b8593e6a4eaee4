//! Bridges over missing skin that make one contour of two parts.
//!
//! Loose ends of a torn contour meet their nearest mates. Where thighs, or an arm and the trunk, lie
//! close, those may be the other part's.

use super::{LEVELS, Parts, Piece};
use crate::section::Contour;
use crate::side::Side;

/// Shortest bridge that can make one contour out of two parts, in mm: below are the cracks of a mesh
/// that was not welded.
const BRIDGE_MM: f64 = 2.0;
/// How far beside the facing skins a bridge may end and yet have joined them, in mm.
const NEAR_MM: f64 = 10.0;

/// Share of the stature above which an arm that never shows apart may hang in the trunk's contour:
/// so low the armpit lies on no one (ANSUR II: 0.76 ± 0.009).
const ARM_MAY_HANG: f64 = 0.66;
/// Bridges farther out than this share of the breadth may lead from the trunk to an arm.
const FAR_OUT: f64 = 0.2;

/// Tells the levels at which a bridge at a flank may have made one contour of the trunk and an arm that is
/// apart from it nowhere.
pub(super) fn arms_bridged(parts: &mut Parts) {
    let half_step = 0.5 * parts.step_mm;
    #[expect(clippy::cast_precision_loss, reason = "a few hundred levels")]
    let top = LEVELS as f64 * parts.step_mm;
    let holds_arm = |piece: &Piece| {
        let (low, high) = piece.contour.extent(0);
        let (middle, out) = (0.5 * (low + high), FAR_OUT * (high - low));
        piece.contour.bridges().any(|[a, b]| {
            let x = 0.5 * (a[0] + b[0]) - middle;
            let side = if x < 0.0 { Side::Left } else { Side::Right };
            x.abs() > out && parts.armpit(side).is_none()
        })
    };
    let touched: Vec<(f64, f64)> = (parts.trunk.pieces.iter())
        .filter(|piece| piece.height_mm > ARM_MAY_HANG * top && holds_arm(piece))
        .map(|piece| (piece.height_mm - half_step, piece.height_mm + half_step))
        .collect();
    parts.touched_mm.extend(touched);
}

/// True if a contour was closed by a bridge across the place in x at which two parts face each
/// other: missing skin, which shows nothing of where they join.
pub(super) fn bridged_between(contour: &Contour, between: f64) -> bool {
    contour.bridges().any(|[p, q]| {
        let length = (q[0] - p[0]).hypot(q[1] - p[1]);
        let (low, high) = (p[0].min(q[0]) - NEAR_MM, p[0].max(q[0]) + NEAR_MM);
        length >= BRIDGE_MM && (low..=high).contains(&between)
    })
}

/// True if the side of a contour that faces a place in x beside it is a bridge and not skin: whether the two parts
/// there are joined does not show.
pub(super) fn faces_by_bridge(contour: &Contour, between: f64) -> bool {
    let (low, high) = contour.extent(0);
    let edge = if 0.5 * (low + high) < between {
        high
    } else {
        low
    };
    contour.bridges().any(|[p, q]| {
        let length = (q[0] - p[0]).hypot(q[1] - p[1]);
        let near = (p[0] - edge).abs().min((q[0] - edge).abs());
        length >= BRIDGE_MM && near <= NEAR_MM
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    /// Two thighs of radius 80, 6 mm apart, without the skin that faces the other: each keeps the arc
    /// beyond 0.3 rad of the line between them, and the ends meet across.
    fn thighs() -> Contour {
        let arc = |middle: f64, from: f64| {
            (0..=60).map(move |i| {
                let angle = from + (TAU - 0.6) * f64::from(i) / 60.0;
                [middle + 80.0 * angle.cos(), 80.0 * angle.sin()]
            })
        };
        // Round the left one from its front to its back, then round the right one.
        let left: Vec<[f64; 2]> = arc(-83.0, 0.3).collect();
        let ends = [left.len() - 1, 2 * left.len() - 1];
        let points = left.into_iter().chain(arc(83.0, PI + 0.3)).collect();
        Contour::bridged(points, ends.to_vec())
    }

    #[test]
    fn short_bridges_from_thigh_to_thigh_are_seen() {
        let contour = thighs();
        // From the end of one to the mirrored end of the other (closed form): 2·(83 − 80·cos 0.3).
        let exact = 2.0 * (83.0 - 80.0 * 0.3_f64.cos());
        for [a, b] in contour.bridges() {
            let length = (a[0] - b[0]).hypot(a[1] - b[1]);
            assert!((length - exact).abs() < 1e-9 && length < 14.0, "{length}");
        }
        assert_eq!(contour.bridges().count(), 2);
        assert!(bridged_between(&contour, 0.0));
        assert!(!bridged_between(&contour, 60.0));
        let skin = Contour::closed(contour.points().to_vec());
        assert!(!bridged_between(&skin, 0.0));
    }

    /// A thigh whose inner skin is missing faces the other by a bridge; one that lacks its front does not.
    #[test]
    fn a_thigh_without_its_inner_skin_faces_by_a_bridge() {
        let open = |from: f64| {
            let points: Vec<[f64; 2]> = (0..=60)
                .map(|i| {
                    let angle = from + 0.4 + (TAU - 0.8) * f64::from(i) / 60.0;
                    [80.0 * angle.cos() + 83.0, 80.0 * angle.sin()]
                })
                .collect();
            let last = points.len() - 1;
            Contour::bridged(points, vec![last])
        };
        assert!(faces_by_bridge(&open(PI), 0.0));
        assert!(!faces_by_bridge(&open(0.5 * PI), 0.0));
        assert!(!faces_by_bridge(&open(PI), 200.0));
    }
}
