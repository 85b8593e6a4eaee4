//! Front and back apart: where belly, seat or bust take more than an even share of the width.

use super::desk::Change;
use super::desk::{Desk, Reading};
use super::level::Level;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, ROUND_OFF_MM, Share, Site, Stage};
use super::size::{Chosen, Sizes};
use super::sum::Sum;
use crate::length::Length;
use crate::measure::Key;

/// How far front and back arc together may lie off the girth: they are shares of it, so more means
/// that one was taken elsewhere (5 mm, own choice).
const ARCS_AGREE_MM: f64 = 5.0;

/// The body's arcs at a level, front and back.
pub(super) const fn arcs(level: Level) -> [Key; 2] {
    match level {
        Level::Bust => [Key::BustFrontArc, Key::BustBackArc],
        Level::Waist => [Key::WaistNarrowestFrontArc, Key::WaistNarrowestBackArc],
        Level::Hip => [Key::HipFrontArc, Key::HipBackArc],
    }
}

pub(super) fn part(desk: &mut Desk<'_>, sizes: &Sizes) {
    for level in Level::ALL {
        let Some(chosen) = *sizes.chosen.get(level) else {
            continue;
        };
        let halves = desk.garment.halves(level, chosen.size);
        if let (Some([front, _]), Some(ease)) = (halves, chosen.ease)
            && let Err(reason) = part_at(desk, level, chosen, front, ease)
        {
            desk.withhold(Stage::Width, site(level), reason);
        }
    }
}

/// Front and back at a level, apart from the level's whole girth.
fn site(level: Level) -> Site {
    Site::Part(format!("{level}, front and back"))
}

/// The front wants its own arc and half of the ease (common practice, no source); what the even
/// share of the width step does not give it is taken from the back.
fn part_at(
    desk: &mut Desk<'_>,
    level: Level,
    chosen: Chosen,
    front: Length,
    ease: Length,
) -> Result<(), Phrase> {
    let [arc, back] = arcs(level).map(|key| desk.reading(key));
    let (arc, back) = (arc?, back?);
    let off = arc.mm + back.mm - chosen.body.mm;
    if off.abs() > ARCS_AGREE_MM {
        return Err(phrase![format!(
            "front and back arc at the {level} do not make up its girth; measure them again."
        )]);
    }
    let seams = *desk.garment.seams.get(level);
    let given = desk
        .steps
        .iter()
        .filter(|step| step.stage == Stage::Width && step.at == Site::Level(level))
        .fold(Length::ZERO, |sum, step| sum + step.effect())
        * seams.front_share();
    let sum = front_sum(level, arc, ease, front, given);
    let shift = sum.total();
    if shift.abs().mm() <= desk.limits.front_to_back.mm() + ROUND_OFF_MM {
        return Ok(());
    }
    if seams.side == 0 {
        return Err(phrase![
            "the front has ",
            shift.abs(),
            if shift < Length::ZERO {
                " too much"
            } else {
                " too little"
            },
            ", but the sheet says that no side seam can change there."
        ]);
    }
    let to_front = shift > Length::ZERO;
    desk.change(Change {
        stage: Stage::Width,
        action: if to_front { Action::ToFront } else { Action::ToBack },
        at: site(level),
        share: Some(Share::Edges {
            edges: seams.side,
            each: shift.abs() / f64::from(seams.side),
            limit: desk.edge_limit(),
        }),
        sum: sum.leaves(if to_front { "short in front" } else { "to spare in front" }),
        sd_mm: arc.sd_mm,
        assumed: false,
        advice: phrase![if to_front {
            "At each side seam the front edge goes out and the back edge in by as much; the girth stays."
        } else {
            "At each side seam the back edge goes out and the front edge in by as much; the girth stays."
        }],
    });
    Ok(())
}

fn front_sum(level: Level, arc: Reading, ease: Length, front: Length, given: Length) -> Sum {
    let sum = Sum::of(format!("body {level} front arc"), arc.length())
        .plus("half of the ease", ease / 2.0)
        .makes("")
        .against("the pattern's front measures", front);
    if given == Length::ZERO {
        sum
    } else {
        sum.minus("given to it above", given)
    }
}
