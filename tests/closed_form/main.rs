//! Sections of solids of known form against their closed forms.
//!
//! Exact values were computed with mpmath at 40 digits and are printed to 16;
//! hulls and superellipses were confirmed with polygons of 400 000 points. The
//! formula stands beside each.
//!
//! Tolerances. A polygon of n equal steps inscribed in a curve of length P is
//! short by π²/6n² · P on a circle, and to leading order by
//! h²/24 · ∫κ² ds on any smooth curve in steps h of length. On the shapes
//! below that is at most [`facets`] with the factor given there; never is it
//! longer. Values of the polygon itself are met to round-off.

#[path = "../common/mod.rs"]
mod common;
mod hulls;
mod outlines;
mod solids;

use girthwise::mesh::TriMesh;
use girthwise::section::{Contour, Slicer};
use std::f64::consts::PI;

/// Round-off of sums over a thousand points near 1000 mm: 1000 · 2^-53 · 1000 < 2e-10.
const ROUND_OFF_MM: f64 = 1e-9;

/// What a polygon of `n` steps may be short by: π²/6n² of the length, times how
/// much more than a circle's the curve's bending needs.
fn facets(length: f64, n: u32, bending: f64) -> f64 {
    bending * length * PI * PI / (6.0 * f64::from(n).powi(2))
}

fn only(mesh: &TriMesh, height: f64) -> Contour {
    let section = Slicer::level(mesh).cut(height);
    assert_eq!(section.contours.len(), 1, "at {height}");
    assert!(section.contours[0].is_closed());
    section.contours[0].clone()
}

/// Asserts that `found` is short of `exact` by no more than `bound`, and not longer.
fn short_by(found: f64, exact: f64, bound: f64) {
    let gap = exact - found;
    assert!(
        (-ROUND_OFF_MM..=bound).contains(&gap),
        "{found} is short of {exact} by {gap}, allowed {bound}"
    );
}

fn near(found: f64, exact: f64, tolerance: f64) {
    assert!(
        (found - exact).abs() <= tolerance,
        "{found} instead of {exact}, allowed {tolerance}"
    );
}
