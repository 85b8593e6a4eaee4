//! The sleeve: girths, its length above and below the elbow, and its armhole.

use super::compare::{Held, Reach, hold, reach, tell};
use super::desk::Desk;
use super::part::Part;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, Stage};
use super::sum::Sum;
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
    length(
        desk,
        Part::SleeveToElbow,
        size,
        Length::ZERO,
        phrase!["Above the elbow; the elbow dart or its gathers move with it."],
    );
}

/// How far the sleeve should reach is the wearer's choice, and never guessed.
fn to_edge(desk: &mut Desk<'_>, size: usize) {
    let part = Part::SleeveLength;
    if desk.garment.part(part, size).is_none() {
        return;
    }
    let Some(past) = desk.garment.part_ease.get(&part).copied() else {
        let reason = phrase![
            "the sheet does not say where the sleeve should end: set ease.sleeve_length, how far past the wrist it reaches, 0 for the wrist, below 0 above it."
        ];
        return desk.withhold(Stage::Sleeve, part.site(), reason);
    };
    let advice = if desk.garment.part(Part::SleeveToElbow, size).is_some() {
        phrase!["Below the elbow, judged after the change above it."]
    } else {
        // Common practice, no source.
        phrase!["Half above the elbow and half below it."]
    };
    length(desk, part, size, past, advice);
}

fn length(desk: &mut Desk<'_>, part: Part, size: usize, past: Length, advice: Phrase) {
    let Some(drawn) = desk.garment.part(part, size) else {
        return;
    };
    let body = match desk.both_sides(part.body()) {
        Ok(body) => body,
        Err(reason) => return desk.withhold(Stage::Sleeve, part.site(), reason),
    };
    desk.held.push(Held {
        part,
        drawn,
        body: body.length(),
        wanted: Some(past),
    });
    let tolerance = desk.limits.part;
    reach(
        desk,
        Reach {
            part,
            drawn,
            wanted: body.length() + past,
            sum: Sum::of(
                format!("body {}", part.body().definition().name),
                body.length(),
            )
            .plus("past its end", past)
            .makes(""),
            sd_mm: body.sd_mm,
            tolerance,
            actions: [Action::LetIn, Action::FoldOut],
            words: ["to let in", "to fold out"],
            share: None,
            assumed: false,
            advice,
        },
    );
}
