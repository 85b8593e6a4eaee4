//! The shoulder seam: how long, and how far it falls.

use super::compare::{AT_END, Goal, UP_AND_DOWN, bring};
use super::desk::{Desk, Reading};
use super::part::Part;
use super::phrase::{Phrase, phrase};
use super::sides::{self, SideVerdict};
use super::sum::Sum;
use crate::finding::Weight;
use crate::length::Length;
use crate::measure::{Key, MeasureId};
use crate::side::Side;

pub(super) fn shoulder(desk: &mut Desk<'_>, size: usize) {
    let known =
        [Part::ShoulderLength, Part::ShoulderDrop].map(|part| desk.garment.part(part, size));
    if known == [None; 2] {
        return;
    }
    length(desk, size);
    drop(desk, size);
    let text = phrase![
        "how far forward it lies is not measured: see on a toile whether the seam runs along the top, and move it if it does not."
    ];
    desk.remark(Weight::Note, "shoulder", text);
}

fn length(desk: &mut Desk<'_>, size: usize) {
    bring(desk, Part::ShoulderLength, size, |desk| {
        let body = desk.both_sides(Key::ShoulderLength)?;
        Ok(Goal {
            body: body.length(),
            ease: None,
            sum: Sum::of("body shoulder length", body.length()),
            sd_mm: body.sd_mm,
            ways: AT_END,
            advice: phrase![
                "On front and back alike, at the armhole end; redraw the armhole from there to nothing. Leave it if the shoulder is meant to drop."
            ],
        })
    });
}

/// How far the shoulder falls over the seam's own length, for its angle below level.
fn drop(desk: &mut Desk<'_>, size: usize) {
    bring(desk, Part::ShoulderDrop, size, |desk| {
        let (seam, slope) = (seam(desk, size)?, slope(desk)?);
        let angle = slope.mm.to_radians();
        let falls = seam * angle.sin();
        let pad = desk.garment.shoulder_pad.unwrap_or(Length::ZERO);
        Ok(Goal {
            body: falls - pad,
            ease: None,
            sum: Sum::of("the body falls over that seam by", falls).minus("shoulder pad", pad),
            sd_mm: seam.mm() * angle.cos() * slope.sd_mm.to_radians(),
            ways: UP_AND_DOWN,
            advice: phrase![
                "Front and back alike, to nothing at the neck; move the whole armhole by as much so that it keeps its size."
            ],
        })
    });
}

/// The seam's length as it is after its own change; the body's where the sheet has none.
fn seam(desk: &mut Desk<'_>, size: usize) -> Result<Length, Phrase> {
    match desk.garment.part(Part::ShoulderLength, size) {
        Some(drawn) => Ok(Part::ShoulderLength.with_changes(&desk.steps, drawn)),
        None => Ok(desk.both_sides(Key::ShoulderLength)?.length()),
    }
}

/// Both sides' slope; the flatter one where the lower shoulder is padded up to it.
fn slope(desk: &Desk<'_>) -> Result<Reading, Phrase> {
    let [left, right] = Side::BOTH.map(|side| desk.angle(MeasureId::new(Key::ShoulderSlope, side)));
    match (left, right) {
        (Ok(left), Ok(right)) => {
            let padded = sides::verdict(desk.profile, Key::ShoulderHeight) == SideVerdict::Act;
            Ok(match padded {
                true if left.mm <= right.mm => left,
                true => right,
                false => Reading::mean(left, right),
            })
        }
        (Err(reason), _) | (_, Err(reason)) => Err(reason),
    }
}
