//! The shoulder seam: how long, how far it falls, and how far forward its armhole end lies.

use super::compare::{
    AT_END, FORWARD_AND_BACK, Goal, Reach, UP_AND_DOWN, body_sum, bring, keep, reach,
};
use super::desk::{Desk, Reading};
use super::part::Part;
use super::phrase::{Phrase, phrase};
use super::plan::Stage;
use super::sheet::Garment;
use super::sides::{self, SideVerdict};
use super::sum::Sum;
use crate::finding::Weight;
use crate::length::Length;
use crate::measure::{Key, MeasureId};
use crate::side::Side;

pub(super) fn shoulder(desk: &mut Desk<'_>, size: usize) {
    if !has_seam(desk.garment) {
        return;
    }
    length(desk, size);
    drop(desk, size);
    forward(desk, size);
}

/// True if the sheet says anything of a shoulder seam.
pub(super) fn has_seam(garment: &Garment) -> bool {
    let mut parts = garment.parts.keys();
    parts.any(|part| part.stage() == Stage::Shoulders)
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

/// The body's, less what the pattern has already; a seam that the sheet says nothing of is taken to run
/// straight out to the side.
fn forward(desk: &mut Desk<'_>, size: usize) {
    let part = Part::ShoulderForward;
    let body = match desk.both_sides(part.body()) {
        Ok(body) => body,
        Err(mut reason) => {
            reason.join(phrase![
                "See on a toile whether the seam runs along the top of the shoulder, and move it if it does not."
            ]);
            return desk.withhold(part.stage(), part.site(), reason);
        }
    };
    // What a stance does to one shoulder it does to the other: the mean is no surer than the less sure one.
    let sides = Side::BOTH.map(|side| desk.reading(MeasureId::new(part.body(), side)));
    let sds = sides.iter().flatten().map(|side| side.sd_mm);
    let sd_mm = sds.fold(body.sd_mm, f64::max);
    let given = desk.garment.part(part, size);
    if given.is_none() {
        let text = phrase![
            "the sheet does not say where the pattern's own seam lies: it is taken to run straight out to the side, front and back dropping alike. Measure both on the paper, and put half of what the front drops more as forward under [shoulder]."
        ];
        desk.remark(Weight::Look, part.name(), text);
    }
    let drawn = given.unwrap_or(Length::ZERO);
    keep(desk, part, drawn, body.length(), None);
    let (front, back) = if body.length() < drawn {
        ("raise", "lower")
    } else {
        ("lower", "raise")
    };
    reach(
        desk,
        Reach {
            part,
            drawn,
            wanted: body.length(),
            sum: body_sum(part, body.length()),
            sd_mm,
            ways: FORWARD_AND_BACK,
            assumed: given.is_none(),
            advice: phrase![format!(
                "At the armhole end {front} the front's shoulder edge and {back} the back's by as much, to nothing at the neck; move the notch at the top of a set-in sleeve's cap the same way (common practice)."
            )],
        },
    );
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
