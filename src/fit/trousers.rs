//! Trousers: crotch depth, crotch seam in front and behind, the leg's girths and its length.

use super::compare::{ACROSS, AT_END, Goal, Reach, body_sum, bring, hold, reach};
use super::desk::{Desk, Reading};
use super::level::Level;
use super::part::Part;
use super::phrase::{Phrase, phrase};
use super::plan::Stage;
use super::sheet::{Drawn, HemTarget};
use super::sum::Sum;
use crate::length::Length;
use crate::measure::Key;

pub(super) fn trousers(desk: &mut Desk<'_>, size: usize) {
    depth(desk, size);
    for part in [Part::CrotchFront, Part::CrotchBack] {
        crotch_seam(desk, part, size);
    }
    for part in [Part::Thigh, Part::Knee, Part::Calf, Part::LegOpening] {
        hold(desk, part, size);
    }
    inseam(desk, size);
}

/// Ease of the crotch depth by the hip: ½ in under 36 in, 1 in over 38 in, ¾ in between (New Mexico
/// State University Guide C-209, where it goes with the depth of the seated body).
pub(super) fn depth_ease_by_hip(hip: Length) -> Length {
    Length::from_inch(if hip < Length::from_inch(36.0) {
        0.5
    } else if hip > Length::from_inch(38.0) {
        1.0
    } else {
        0.75
    })
}

fn depth_ease(desk: &Desk<'_>) -> Result<Length, Phrase> {
    match desk.garment.part_ease.get(&Part::CrotchDepth) {
        Some(asked) => Ok(*asked),
        None => Ok(depth_ease_by_hip(desk.reading(Key::HipGirth)?.length())),
    }
}

/// From the garment's top edge, where it is meant to sit, down to the body's crotch level.
fn body_depth(desk: &Desk<'_>) -> Result<Reading, Phrase> {
    let waist = desk.reading(Level::Waist.height())?;
    let crotch = desk.reading(Key::CrotchHeight)?;
    Ok(Reading {
        mm: waist.mm - crotch.mm - below_waist(desk).mm(),
        sd_mm: waist.sd_mm.hypot(crotch.sd_mm),
    })
}

fn below_waist(desk: &Desk<'_>) -> Length {
    desk.garment.top_below_waist.unwrap_or(Length::ZERO)
}

fn depth(desk: &mut Desk<'_>, size: usize) {
    bring(desk, Part::CrotchDepth, size, |desk| {
        let (body, ease) = (body_depth(desk)?, depth_ease(desk)?);
        Ok(Goal {
            body: body.length(),
            ease: Some(ease),
            sum: Sum::of("body from the top edge to the crotch", body.length())
                .plus("ease", ease)
                .makes(""),
            sd_mm: body.sd_mm,
            ways: ACROSS,
            advice: phrase![
                "Front and back alike, between hip line and crotch line; the crotch seams change by as much."
            ],
        })
    });
}

/// A crotch line lower by the ease makes the seam longer by as much in front and behind.
fn crotch_seam(desk: &mut Desk<'_>, part: Part, size: usize) {
    bring(desk, part, size, |desk| {
        let (body, ease) = (desk.reading(part.body())?, depth_ease(desk)?);
        let below = below_waist(desk);
        Ok(Goal {
            body: body.length() - below,
            ease: Some(ease),
            sum: body_sum(part, body.length())
                .minus("top below the waist", below)
                .plus("ease of the depth", ease)
                .makes(""),
            sd_mm: body.sd_mm,
            ways: AT_END,
            // Common practice, no source.
            advice: phrase![if part == Part::CrotchFront {
                "For the belly at the centre waist, to nothing at the side; for the thigh at the inseam."
            } else {
                "For the seat by a wedge across it from the centre back, to nothing at the side; for the thigh at the inseam."
            }],
        })
    });
}

/// The leg from the crotch line to the hem asked for.
fn inseam(desk: &mut Desk<'_>, size: usize) {
    let part = Part::Inseam;
    let Some(drawn) = desk.garment.part(part, size) else {
        return;
    };
    if let Err(reason) = leg(desk, drawn, size) {
        desk.withhold(Stage::Trousers, part.site(), reason);
    }
}

fn leg(desk: &mut Desk<'_>, drawn: Length, size: usize) -> Result<(), Phrase> {
    let part = Part::Inseam;
    let body = desk.both_sides(Key::InsideLegLength)?;
    let hem = desk.garment.hem;
    let turned_up = match hem {
        Some(hem) if hem.drawn == Drawn::CutEdge => hem.allowance,
        _ => Length::ZERO,
    };
    let low = crotch_low(desk, size);
    let hangs = body.length() - low.unwrap_or(Length::ZERO);
    desk.leg_hem = Some(hangs - (drawn - turned_up));
    let above = match hem.and_then(|hem| hem.target) {
        Some(HemTarget::AboveFloor(height)) => height,
        Some(HemTarget::Below(level, by)) => desk.reading(level.height())?.length() - by,
        None => {
            return Err(phrase![
                "the sheet does not say where the hem should hang; set hem.above_floor."
            ]);
        }
    };
    let mut sum = Sum::of("body inside leg", body.length());
    if let Some(low) = low {
        sum = sum.minus("crotch line sitting low by", low);
    }
    let sum = sum
        .minus("hem above the floor", above)
        .plus("hem allowance", turned_up)
        .makes("");
    let mut advice =
        phrase!["Half above the knee and half below it, or at the hem of a straight leg."];
    if low.is_none() {
        advice.join(phrase![
            "The sheet gives no crotch depth, so the crotch line is taken to sit at the crotch."
        ]);
    }
    reach(
        desk,
        Reach {
            part,
            drawn,
            wanted: hangs - above + turned_up,
            sum,
            sd_mm: body.sd_mm,
            ways: AT_END,
            assumed: low.is_none(),
            advice,
        },
    );
    Ok(())
}

/// How far the crotch line, changes included, sits below the body's crotch.
fn crotch_low(desk: &Desk<'_>, size: usize) -> Option<Length> {
    let drawn = desk.garment.part(Part::CrotchDepth, size)?;
    let now = Part::CrotchDepth.with_changes(&desk.steps, drawn);
    Some(now - body_depth(desk).ok()?.length())
}
