//! The back: its width between the armholes, and a length of its own where the front's does not do.

use super::compare::{hold, tell, waist_tolerance};
use super::desk::{Change, Desk, line_of};
use super::level::Line;
use super::part::Part;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, Share, Site, Stage};
use super::sum::Sum;
use crate::length::Length;
use crate::measure::Key;

pub(super) fn back(desk: &mut Desk<'_>, size: usize) {
    hold(desk, Part::AcrossBack, size);
    hold(desk, Part::AcrossFront, size);
    length(desk, size);
    tell(desk, Part::ScyeDepth, size);
}

/// Where the back alone is changed in length.
pub(super) fn site() -> Site {
    Site::Part("back piece alone".to_owned())
}

/// Once the front's lines are set, gives the back the length it still lacks.
fn length(desk: &mut Desk<'_>, size: usize) {
    let lines = &desk.garment.lines;
    let Some(pattern) = line_of(lines.back_waist.as_ref(), size) else {
        return;
    };
    // Without a front the back has led to the waist already.
    let Some(tolerance) = waist_tolerance(desk).filter(|_| lines.neck_to_bust.is_some()) else {
        return;
    };
    let body = match desk.reading(Key::BackWaistLength) {
        Ok(body) => body,
        Err(reason) => return desk.withhold(Stage::Back, site(), reason),
    };
    let changed = desk
        .steps
        .iter()
        .filter(|step| matches!(step.at, Site::Between(_, Line::Bust | Line::Waist)))
        .fold(Length::ZERO, |sum, step| sum + step.effect());
    let lacks = body.length() - pattern - changed;
    if lacks.abs() <= tolerance {
        return;
    }
    let fold = lacks < Length::ZERO;
    let sum = Sum::of("body back waist length", body.length())
        .against("pattern back neck to waist line", pattern);
    let sum = if changed == Length::ZERO {
        sum
    } else {
        sum.minus("let in above, less folded out", changed)
    };
    let way = if fold {
        "still too long"
    } else {
        "still too short"
    };
    desk.change(Change {
        stage: Stage::Back,
        action: if fold { Action::FoldOut } else { Action::LetIn },
        at: site(),
        share: fold.then_some(Share::Crease {
            each: lacks.abs() / 2.0,
        }),
        sum: sum.leaves(way),
        sd_mm: body.sd_mm,
        assumed: false,
        advice: place(desk, fold),
    });
}

/// Where on the back, by what rounds or hollows it.
fn place(desk: &Desk<'_>, fold: bool) -> Phrase {
    let (key, told, text) = if fold {
        (
            Key::WaistHollowDepth,
            "The hollow of the back is ",
            "On the back only, right above the waist line, running out to nothing at the side seams: a sway back.",
        )
    } else {
        (
            Key::UpperBackDepth,
            "The back neck point lies ",
            "On the back only, across the shoulder blades, running out to nothing at the armhole: a rounded upper back.",
        )
    };
    let mut advice = phrase![text];
    if let Ok(found) = desk.reading(key)
        && found.mm > 0.0
    {
        let end = if fold {
            " deep."
        } else {
            " before the upper back."
        };
        advice.join(phrase![told, found.length(), end]);
    }
    advice
}
