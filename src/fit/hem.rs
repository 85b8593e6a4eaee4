//! The hem, judged last: every change above has moved it.

use super::balance::{Balanced, Standing};
use super::desk::{Desk, line_of};
use super::level::Level;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, Confidence, ROUND_OFF_MM, Site, Stage, Step};
use super::sheet::{Drawn, Garment, Hem, HemTarget};
use super::sum::Sum;
use crate::finding::Weight;
use crate::length::Length;

pub(super) fn set_hem(desk: &mut Desk<'_>, balanced: &Balanced, size: usize) {
    let Some(hem) = desk.garment.hem else {
        if balanced.changes.abs().mm() > ROUND_OFF_MM {
            tell_moved(desk, balanced.changes);
        }
        return;
    };
    let Some(target) = hem.target else {
        return give_back(desk, balanced);
    };
    match to_target(desk, balanced, hem, target, size) {
        Ok(()) => {}
        Err(reason) => desk.withhold(Stage::Hem, Site::Hem, reason),
    }
}

fn tell_moved(desk: &mut Desk<'_>, changes: Length) {
    let way = if changes < Length::ZERO { "up" } else { "down" };
    let text = phrase![
        format!("the changes above bring the hem {way} by "),
        changes.abs(),
        "; the sheet has no [hem], so nothing is given back."
    ];
    desk.remark(Weight::Look, "hem", text);
}

/// Without a target the pattern's own length is kept, to be checked on the body.
fn give_back(desk: &mut Desk<'_>, balanced: &Balanced) {
    let amount = -balanced.changes;
    if amount.abs().mm() <= desk.limits.hem.mm() + ROUND_OFF_MM {
        return;
    }
    let lengthen = amount > Length::ZERO;
    let sum = if lengthen {
        Sum::of("folded out above, less let in", amount).leaves("to give back")
    } else {
        Sum::of("let in above, less folded out", -amount).leaves("to take off")
    };
    let advice = phrase![
        "This keeps the pattern's own length. The sheet names no hem to reach: set hem.above_floor, or hem.below and hem.by, to have it judged on the body."
    ];
    let sd = Length::ZERO;
    push(desk, amount, sum, sd, Confidence::CheckFirst, advice);
}

fn to_target(
    desk: &mut Desk<'_>,
    balanced: &Balanced,
    hem: Hem,
    target: HemTarget,
    size: usize,
) -> Result<(), Phrase> {
    let standing = balanced.standing.ok_or_else(|| {
        phrase!["no line above it could be judged, so where the hem hangs is not known."]
    })?;
    let length = desk
        .garment
        .down_to_hem(standing.level, size)
        .ok_or_else(|| {
            phrase![
                "the sheet gives no length down to the hem; measure lines.hip_to_hem or lines.total on the pattern."
            ]
        })?;
    let (wanted, var) = wanted(desk, &standing, target)?;
    let line = standing.level.line();
    let mut sum = Sum::of(format!("body {line} height"), standing.height.length());
    if standing.offset.abs().mm() > ROUND_OFF_MM {
        sum = sum.minus(format!("{line} sitting low by"), standing.offset);
    }
    // The allowance turns up before the hem is judged (common practice, no source).
    let sum = match hem.drawn {
        Drawn::CutEdge => sum
            .minus(format!("{line} to cut edge"), length)
            .plus("hem allowance turned up", hem.allowance),
        Drawn::Fold => sum.minus(format!("{line} to fold"), length),
    };
    let sum = sum.makes("above the floor");
    let above_floor = sum.total();
    let amount = above_floor - wanted;
    if amount.abs().mm() <= desk.limits.hem.mm() + ROUND_OFF_MM {
        let text = phrase![
            "it hangs ",
            above_floor,
            " above the floor, wanted is ",
            wanted,
            ": left as it is."
        ];
        desk.remark(Weight::Note, "hem", text);
        return Ok(());
    }
    let sum = sum
        .against("wanted", wanted)
        .leaves(if amount > Length::ZERO {
            "to lengthen"
        } else {
            "to shorten"
        });
    let sd_mm = var.sqrt();
    let confidence = if standing.assumed {
        Confidence::CheckFirst
    } else {
        desk.confidence(amount.mm(), sd_mm)
    };
    let sd = Length::from_mm(sd_mm);
    let mut advice = phrase!["Change the paper before cutting; the hem allowance stays as it is."];
    if above_floor <= Length::ZERO {
        advice.join(phrase!["As drawn, the hem would lie on the floor."]);
    }
    push(desk, amount, sum, sd, confidence, advice);
    Ok(())
}

/// Height wanted, and the variance of how far the hem is from it.
fn wanted(
    desk: &Desk<'_>,
    standing: &Standing,
    target: HemTarget,
) -> Result<(Length, f64), Phrase> {
    match target {
        HemTarget::AboveFloor(height) => Ok((height, standing.hang_var)),
        HemTarget::Below(level, by) => {
            let height = desk.reading(level.height())?;
            // A line brought to the body's hangs at the very height it is compared with.
            let var = if standing.set && standing.level == level {
                0.0
            } else {
                standing.hang_var + height.var()
            };
            Ok((height.length() - by, var))
        }
    }
}

fn push(
    desk: &mut Desk<'_>,
    amount: Length,
    sum: Sum,
    sd: Length,
    confidence: Confidence,
    mut advice: Phrase,
) {
    if amount.abs() >= desk.limits.most_at_hem {
        // The New Dressmaker, about 1921: 6 in below the hip line.
        advice.join(phrase![
            "This much is better done half at the hem and half across the skirt, ",
            Length::from_inch(6.0),
            " below the hip line."
        ]);
    }
    desk.step(Step {
        order: 0,
        stage: Stage::Hem,
        action: if amount > Length::ZERO {
            Action::Lengthen
        } else {
            Action::Shorten
        },
        at: Site::Hem,
        side: None,
        amount: Some(amount.abs()),
        share: None,
        sum,
        sd,
        confidence,
        advice,
    });
}

impl Garment {
    /// Pattern length from a level to the hem as drawn, changes above the level not counted.
    pub(super) fn down_to_hem(&self, level: Level, size: usize) -> Option<Length> {
        let by_hip = || {
            let hip_to_hem = line_of(self.lines.hip_to_hem.as_ref(), size)?;
            Some(self.between(level, Level::Hip, size)? + hip_to_hem)
        };
        let by_total = || {
            let total = line_of(self.lines.total.as_ref(), size)?;
            let above = if self.hangs_from_waist() {
                self.between(Level::Waist, level, size)?
            } else {
                let to_bust = line_of(self.lines.neck_to_bust.as_ref(), size)?;
                to_bust + self.between(Level::Bust, level, size)?
            };
            Some(total - above)
        };
        by_hip().or_else(by_total)
    }
}
