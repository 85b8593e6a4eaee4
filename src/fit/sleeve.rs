//! The sleeve: girths, its length above and below the elbow, and its armhole.

use super::compare::{ACROSS, Goal, body_sum, bring, hold, tell};
use super::desk::Desk;
use super::part::Part;
use super::phrase::{Phrase, phrase};
use crate::length::Length;

pub(super) fn sleeve(desk: &mut Desk<'_>, size: usize) {
    tell(desk, Part::Armscye, size);
    for part in [Part::Biceps, Part::Elbow, Part::Wrist] {
        hold(desk, part, size);
    }
    to_elbow(desk, size);
    to_edge(desk, size);
}

fn to_elbow(desk: &mut Desk<'_>, size: usize) {
    let part = Part::SleeveToElbow;
    bring(desk, part, size, |desk| {
        let advice = phrase!["Above the elbow; the elbow dart or its gathers move with it."];
        length(desk, part, Length::ZERO, advice)
    });
}

/// How far the sleeve should reach is the wearer's choice, and never guessed.
fn to_edge(desk: &mut Desk<'_>, size: usize) {
    let part = Part::SleeveLength;
    bring(desk, part, size, |desk| {
        let Some(past) = desk.garment.part_ease.get(&part).copied() else {
            return Err(phrase![
                "the sheet does not say where the sleeve should end: set ease.sleeve_length, how far past the wrist it reaches, 0 for the wrist, below 0 above it."
            ]);
        };
        let advice = if desk.garment.part(Part::SleeveToElbow, size).is_some() {
            phrase!["Below the elbow, judged after the change above it."]
        } else {
            // Common practice, no source.
            phrase!["Half above the elbow and half below it."]
        };
        length(desk, part, past, advice)
    });
}

fn length(desk: &mut Desk<'_>, part: Part, past: Length, advice: Phrase) -> Result<Goal, Phrase> {
    let body = desk.both_sides(part.body())?;
    Ok(Goal {
        body: body.length(),
        ease: Some(past),
        sum: body_sum(part, body.length())
            .plus("past its end", past)
            .makes(""),
        sd_mm: body.sd_mm,
        ways: ACROSS,
        advice,
    })
}
