//! Which landmark lies above which on a standing body: a check of those put by hand.

use super::pin::Both;
use super::{Confidence, Landmark, LandmarkKey as L};
use crate::error::{Error, Result};
use crate::finding::Finding;

/// From the top down; a pair of which one is not there is passed over. Arms as a scan has them, held down.
const CHAINS: [&[L]; 6] = [
    &[
        L::Vertex,
        L::BackNeckPoint,
        L::BustPoint,
        L::UnderBust,
        L::WaistNarrowest,
        L::HighHip,
        L::Hip,
        L::Crotch,
        L::Knee,
        L::Calf,
        L::Ankle,
        L::AnkleBone,
    ],
    &[
        L::UnderBust,
        L::LowestRib,
        L::WaistMidway,
        L::HipBone,
        L::Hip,
    ],
    &[
        L::BackNeckPoint,
        L::FrontNeckPoint,
        L::BustPoint,
        L::Navel,
        L::Crotch,
    ],
    &[L::Vertex, L::SideNeckPoint, L::BustPoint],
    &[L::Vertex, L::Armpit, L::UnderBust],
    &[L::Vertex, L::ShoulderPoint, L::Elbow, L::Wrist],
];

/// Remarks on pins that lie on the wrong side of what the shape shows.
///
/// # Errors
/// [`ErrorKind::Options`](crate::ErrorKind::Options) if two pins lie against each other: one of them is a slip.
pub(super) fn check(marks: &[Landmark]) -> Result<Vec<Finding>> {
    let mut findings = Vec::new();
    for (upper, lower) in pairs(marks) {
        let (high, low) = (Both(upper.height_mm()), Both(lower.height_mm()));
        let (upper_name, lower_name) = (upper.name(), lower.name());
        match (upper.is_pinned(), lower.is_pinned()) {
            (true, true) => {
                return Err(Error::options(format!(
                    "the {upper_name} is pinned at {high} and the {lower_name} at {low}, but it lies lower on a body that stands; correct one of the two pins"
                )));
            }
            (true, false) => findings.push(Finding::look(
                "pin",
                format!(
                    "the {upper_name} is pinned at {high}, no higher than the {lower_name}, which the shape shows at {low}. Check the pin; if it is right, pin the {lower_name} as well"
                ),
            )),
            (false, true) => findings.push(Finding::look(
                "pin",
                format!(
                    "the {lower_name} is pinned at {low}, no lower than the {upper_name}, which the shape shows at {high}. Check the pin; if it is right, pin the {upper_name} as well"
                ),
            )),
            (false, false) => {}
        }
    }
    Ok(findings)
}

/// Pairs that lie against the order.
fn pairs(marks: &[Landmark]) -> impl Iterator<Item = (&Landmark, &Landmark)> {
    CHAINS.into_iter().flat_map(move |chain| {
        let below = |above: &Landmark| {
            let place = chain.iter().position(|&key| key == above.key);
            chain
                .iter()
                .skip(place.map_or(chain.len(), |place| place + 1))
        };
        marks.iter().flat_map(move |upper| {
            below(upper).flat_map(move |&key| {
                marks.iter().filter_map(move |lower| {
                    let one_side =
                        upper.side.is_none() || lower.side.is_none() || upper.side == lower.side;
                    let against = upper.height_mm() <= lower.height_mm();
                    (lower.key == key && one_side && against).then_some((upper, lower))
                })
            })
        })
    })
}

/// What the shape says beside a pin.
pub(super) fn beside(pinned: &Landmark, shape: &super::Found) -> Finding {
    let name = pinned.name();
    let at = Both(pinned.height_mm());
    match shape {
        Ok(found) => {
            let off = found.height_mm() - pinned.height_mm();
            let sure = 2.0 * found.sd_mm.hypot(pinned.sd_mm);
            let says = if off.abs() < 1.0 {
                "the shape of the skin shows it there too".to_owned()
            } else {
                format!(
                    "the shape of the skin shows it {} {}, give or take {}",
                    Both(off.abs()),
                    if off > 0.0 { "higher" } else { "lower" },
                    Both(2.0 * found.sd_mm)
                )
            };
            let text = format!("the {name} is put by hand, {at} above the floor; {says}");
            // A rough one is no ground to doubt the hand.
            if off.abs() > sure && found.confidence > Confidence::Rough {
                Finding::look("pin", format!("{text}. Check the pin"))
            } else {
                Finding::note("pin", text)
            }
        }
        Err(missing) => Finding::note(
            "pin",
            format!(
                "the {name} is put by hand, {at} above the floor; the shape does not show it: {}",
                missing.reason
            ),
        ),
    }
}
