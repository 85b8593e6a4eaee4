//! Following a limb past levels whose skin does not close.
//!
//! A hole in a thin limb opens more of its contour than may be bridged for a girth. What is left of
//! the contour still shows where the limb goes: it leads to the next level that closes, and is no
//! piece of the limb itself.

use super::blob::{Blob, SPECK_MM2};
use crate::section::{Contour, Section};

/// Share of the taut girth up to which a torn contour may be open and still show where it lies.
const MOST_OPEN: f64 = 0.5;
/// Levels that may be torn one after another: 100 mm, more than the widest bridge of a trunk.
const LONGEST: usize = 40;
/// A torn contour keeps at least this share of the area of the level before, and is at most as much
/// larger: what tears so that it takes in another part is none.
const ALIKE: f64 = 0.4;

/// The torn contours of a section that show where a part of the body lies.
pub(super) fn torn(section: &Section) -> Vec<Blob<'_>> {
    let open = section
        .contours
        .iter()
        .filter(|contour| !contour.is_closed());
    let shows = |contour: &&Contour| {
        contour.points().len() > 2 && contour.gap_mm() <= MOST_OPEN * contour.taut_girth_mm()
    };
    let blobs = open.filter(shows).filter_map(Blob::new);
    blobs.filter(|blob| blob.area >= SPECK_MM2).collect()
}

/// True if a contour continues a limb and is of a like size.
pub(super) fn is_alike(blob: &Blob<'_>, limb: &Blob<'_>) -> bool {
    likeness(blob, limb) >= ALIKE && blob.continues(limb)
}

/// The smaller area as a share of the larger.
fn likeness(one: &Blob<'_>, other: &Blob<'_>) -> f64 {
    one.area.min(other.area) / one.area.max(other.area)
}

/// The torn contour of a level that continues a limb: the likest in size.
fn stone<'l, 'c>(level: &'l [Blob<'c>], limb: &Blob<'_>) -> Option<&'l Blob<'c>> {
    let alike = level.iter().filter(|blob| is_alike(blob, limb));
    alike.max_by(|a, b| likeness(a, limb).total_cmp(&likeness(b, limb)))
}

/// Where a limb lies below its last closed contour, as far as torn ones lead: level by level down from
/// the one beneath it, each with the contour the next is to continue.
pub(super) fn stones<'l, 'c>(
    levels: &'l [Vec<Blob<'c>>],
    last: usize,
    limb: &'l Blob<'c>,
) -> impl Iterator<Item = (usize, &'l Blob<'c>)> {
    let mut here = limb;
    (last.saturating_sub(LONGEST)..last)
        .rev()
        .map_while(move |level| {
            here = stone(levels.get(level)?, here)?;
            Some((level, here))
        })
}
