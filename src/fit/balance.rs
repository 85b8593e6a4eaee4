//! Horizontal balance: each line of the pattern against the body's, from the shoulder down.
//!
//! Offsets are positive where the garment's line sits below the body's. A
//! change moves every line below it, so each line is judged after the
//! changes above it.

use super::desk::{Desk, Reading, line_of};
use super::level::{Level, Line};
use super::phrase::{Phrase, phrase};
use super::plan::{Action, Confidence, ROUND_OFF_MM, Share, Site, Stage, Step};
use super::sum::Sum;
use crate::finding::Weight;
use crate::length::Length;
use crate::measure::Key;

/// The lowest line judged so far and how the garment stands there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Standing {
    pub(super) level: Level,
    /// How far the garment's line sits below the body's, changes included.
    pub(super) offset: Length,
    /// The body's line.
    pub(super) height: Reading,
    /// Variance of the height the garment's line hangs at, in mm².
    pub(super) hang_var: f64,
    /// True if the line was brought to the body's.
    pub(super) set: bool,
    /// True if the line was taken to sit on the body's without being judged.
    pub(super) assumed: bool,
}

/// What the stage leaves for the hem.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Balanced {
    pub(super) standing: Option<Standing>,
    /// Let in less folded out, so far.
    pub(super) changes: Length,
}

/// A line found to sit off by an amount.
struct Found {
    standing: Standing,
    sum: Sum,
    var: f64,
}

pub(super) fn balance(desk: &mut Desk<'_>, size: usize) -> Balanced {
    let mut so_far = Balanced {
        standing: at_waist(desk),
        ..Balanced::default()
    };
    for level in Level::ALL {
        if !has_line(desk, level) {
            continue;
        }
        let found = match (level, so_far.standing) {
            (Level::Bust, _) => from_shoulder(desk, size),
            (_, Some(above)) => from_above(desk, above, level, size),
            (Level::Waist, None) if desk.garment.lines.back_waist.is_some() => {
                from_back(desk, so_far.changes, size).or_else(|reason| {
                    as_if_above_sat(desk, level, size).map_err(|other| joined(reason, other))
                })
            }
            (_, None) => as_if_above_sat(desk, level, size),
        };
        match found {
            Ok(found) => settle(desk, &mut so_far, found),
            Err(reason) => desk.withhold(Stage::Balance, site_above(level), reason),
        }
    }
    so_far
}

fn joined(mut first: Phrase, second: Phrase) -> Phrase {
    first.join(second);
    first
}

fn has_line(desk: &Desk<'_>, level: Level) -> bool {
    let lines = &desk.garment.lines;
    match level {
        Level::Bust => lines.neck_to_bust.is_some(),
        Level::Waist => lines.bust_to_waist.is_some() || lines.back_waist.is_some(),
        Level::Hip => lines.waist_to_hip.is_some(),
    }
}

/// Between the line above a level and its own.
fn site_above(level: Level) -> Site {
    let above = match level {
        Level::Bust => Line::Shoulder,
        Level::Waist => Line::Bust,
        Level::Hip => Line::Waist,
    };
    Site::Between(above, level.line())
}

fn from_shoulder(desk: &mut Desk<'_>, size: usize) -> Result<Found, Phrase> {
    let pattern = line_of(desk.garment.lines.neck_to_bust.as_ref(), size)
        .ok_or_else(|| no_line(Level::Bust))?;
    let body = desk.both_sides(Key::NeckToBustLength)?;
    let height = desk.reading(Key::BustHeight)?;
    let offset = pattern - body.length();
    let sum = Sum::of("pattern side neck to bust line", pattern)
        .against("body side neck to bust point", body.length());
    Ok(Found {
        var: body.var(),
        sum: ends(sum, offset, Level::Bust),
        standing: Standing {
            level: Level::Bust,
            offset,
            height,
            hang_var: body.var() + height.var(),
            set: false,
            assumed: false,
        },
    })
}

fn from_above(
    desk: &Desk<'_>,
    above: Standing,
    level: Level,
    size: usize,
) -> Result<Found, Phrase> {
    let pattern = desk
        .garment
        .between(above.level, level, size)
        .ok_or_else(|| no_line(level))?;
    let height = desk.reading(level.height())?;
    let body = above.height.length() - height.length();
    let offset = above.offset + pattern - body;
    let names = (above.level.line(), level.line());
    let mut sum = Sum::of(format!("pattern {} to {}", names.0, names.1), pattern);
    if above.offset.abs().mm() > ROUND_OFF_MM {
        sum = if above.offset < Length::ZERO {
            sum.minus(format!("{} sitting high by", names.0), above.offset.abs())
        } else {
            sum.plus(format!("{} sitting low by", names.0), above.offset)
        };
    }
    let sum = sum.against(format!("body {} to {}", names.0, names.1), body);
    Ok(Found {
        var: above.hang_var + height.var(),
        sum: ends(sum, offset, level),
        standing: Standing {
            level,
            offset,
            height,
            hang_var: above.hang_var,
            set: false,
            assumed: above.assumed,
        },
    })
}

/// The waist by way of the back, for a sheet or a body without the front's measures.
fn from_back(desk: &Desk<'_>, changes: Length, size: usize) -> Result<Found, Phrase> {
    let pattern = line_of(desk.garment.lines.back_waist.as_ref(), size)
        .ok_or_else(|| no_line(Level::Waist))?;
    let body = desk.reading(Key::BackWaistLength)?;
    let height = desk.reading(Level::Waist.height())?;
    let offset = pattern + changes - body.length();
    let sum = Sum::of("pattern back neck to waist line", pattern)
        .against("body back waist length", body.length());
    Ok(Found {
        var: body.var(),
        sum: ends(sum, offset, Level::Waist),
        standing: Standing {
            level: Level::Waist,
            offset,
            height,
            hang_var: body.var() + height.var(),
            set: false,
            assumed: false,
        },
    })
}

/// A garment that nothing ties to the shoulder hangs from its waist line, so that line sits right.
fn at_waist(desk: &Desk<'_>) -> Option<Standing> {
    if !desk.garment.hangs_from_waist() {
        return None;
    }
    let height = desk.reading(Level::Waist.height()).ok()?;
    Some(Standing {
        level: Level::Waist,
        offset: Length::ZERO,
        height,
        hang_var: height.var(),
        set: true,
        assumed: false,
    })
}

/// Judged as if the line above sat on the body: an assumption, told as one.
fn as_if_above_sat(desk: &mut Desk<'_>, level: Level, size: usize) -> Result<Found, Phrase> {
    let upper = match level {
        Level::Hip => Level::Waist,
        Level::Bust | Level::Waist => Level::Bust,
    };
    let height = desk.reading(upper.height())?;
    let above = Standing {
        level: upper,
        offset: Length::ZERO,
        height,
        hang_var: height.var(),
        set: false,
        assumed: true,
    };
    let found = from_above(desk, above, level, size)?;
    let text = phrase![format!(
        "where the {} sits could not be judged; what follows takes it to sit right.",
        upper.line()
    )];
    desk.remark(Weight::Look, "balance", text);
    Ok(found)
}

fn no_line(level: Level) -> Phrase {
    phrase![format!(
        "the sheet gives no pattern length down to the {} in this size; measure it on the pattern.",
        level.line()
    )]
}

fn ends(sum: Sum, offset: Length, level: Level) -> Sum {
    let way = if offset < Length::ZERO { "high" } else { "low" };
    sum.leaves(format!("that the {} sits too {way}", level.line()))
}

/// How far a line may sit off; `None` for a waist the garment does not shape.
pub(super) fn tolerance(desk: &Desk<'_>, level: Level) -> Option<Length> {
    desk.limits.off_line(level, desk.garment.waist_line)
}

/// Proposes the change a line needs, if it needs one, and moves on to the line as it then stands.
fn settle(desk: &mut Desk<'_>, so_far: &mut Balanced, found: Found) {
    let Standing { level, offset, .. } = found.standing;
    let before = offset - so_far.changes;
    let rejudged = so_far.changes.abs().mm() > ROUND_OFF_MM;
    let way = |offset: Length| {
        if offset < Length::ZERO {
            " too high"
        } else {
            " too low"
        }
    };
    let mut note = Phrase::default();
    if rejudged {
        note = phrase![
            "Judged after the change above; before it the line sat ",
            before.abs(),
            way(before),
            "."
        ];
    }
    let within = tolerance(desk, level);
    let needed = within.is_some_and(|most| offset.abs().mm() > most.mm() + ROUND_OFF_MM);
    if needed {
        change(desk, &found, note);
        so_far.changes = so_far.changes - offset;
        so_far.standing = Some(Standing {
            offset: Length::ZERO,
            hang_var: found.standing.height.var(),
            set: true,
            ..found.standing
        });
        return;
    }
    // Less than cutting is true to is not worth a remark.
    if offset.abs() >= desk.limits.least_per_edge {
        let mut text = match within {
            Some(most) => phrase![
                "the line sits ",
                offset.abs(),
                way(offset),
                "; up to ",
                most,
                " is left as it is."
            ],
            None => phrase![
                "the line sits ",
                offset.abs(),
                way(offset),
                "; the garment shapes no waist, so nothing is changed."
            ],
        };
        text.join(note);
        desk.remark(Weight::Note, level.line().to_string(), text);
    }
    so_far.standing = Some(found.standing);
}

/// Folds out or lets in above the line. A fold takes half the amount on each side of its crease
/// (Central Washington University costume text, ch. 17).
fn change(desk: &mut Desk<'_>, found: &Found, note: Phrase) {
    let Standing { level, offset, .. } = found.standing;
    let fold = offset > Length::ZERO;
    let amount = offset.abs();
    let sd_mm = found.var.sqrt();
    let mut advice = note;
    advice.join(phrase![if fold {
        "Fold front and back alike and true the seams that cross the fold."
    } else {
        "Cut front and back across, spread both alike and true the seams that cross the gap."
    }]);
    if level == Level::Bust {
        advice.join(phrase![
            "The armhole changes with it: change the sleeve cap by as much."
        ]);
    }
    if amount.mm() > desk.limits.most_per_line.mm() + ROUND_OFF_MM {
        let text = phrase![
            "more than ",
            desk.limits.most_per_line,
            " at one line bends the seams: share it over two lines."
        ];
        advice.join(text.clone().with_capital());
        desk.remark(Weight::Look, level.line().to_string(), text);
    }
    let confidence = if found.standing.assumed {
        Confidence::CheckFirst
    } else {
        desk.confidence(amount.mm(), sd_mm)
    };
    desk.step(Step {
        order: 0,
        stage: Stage::Balance,
        action: if fold { Action::FoldOut } else { Action::LetIn },
        at: site_above(level),
        side: None,
        amount: Some(amount),
        share: fold.then_some(Share::Crease { each: amount / 2.0 }),
        sum: found.sum.clone(),
        sd: Length::from_mm(sd_mm),
        confidence,
        advice,
    });
}
