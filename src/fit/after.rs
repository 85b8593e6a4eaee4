//! The plan put back onto the garment: what it would be like, measured anew.
//!
//! Nothing here looks at how a step was reached. The amounts are applied to
//! the sheet's own numbers and the result is held against the body.

use super::desk::{Desk, line_of};
use super::level::{Level, Line};
use super::part::Part;
use super::plan::{Action, Site, Stage, Step};
use super::sheet::{Drawn, Garment};
use super::size::{Chosen, Sizes};
use crate::length::Length;
use crate::measure::Key;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Girth and ease at a level after the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LevelAfter {
    /// The level.
    pub level: Level,
    /// The size it is cut in.
    pub size: String,
    /// The body's girth.
    #[serde(rename = "body_mm")]
    pub body: Length,
    /// The garment's girth, or, without finished girths in the sheet, the body it then suits.
    #[serde(rename = "garment_mm")]
    pub garment: Length,
    /// Ease then; `None` without finished girths.
    #[serde(rename = "ease_mm", default, skip_serializing_if = "Option::is_none")]
    pub ease: Option<Length>,
    /// Ease wanted; `None` without finished girths.
    #[serde(rename = "wanted_mm", default, skip_serializing_if = "Option::is_none")]
    pub wanted: Option<Length>,
}

/// A length of the pattern between two lines after the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LineAfter {
    /// The upper line.
    pub from: Line,
    /// The lower line; from shoulder to waist it is the back waist length.
    pub to: Line,
    /// As the pattern draws it.
    #[serde(rename = "drawn_mm")]
    pub drawn: Length,
    /// With the plan's changes.
    #[serde(rename = "then_mm")]
    pub then: Length,
    /// The same on the body, if it is known.
    #[serde(rename = "body_mm", default, skip_serializing_if = "Option::is_none")]
    pub body: Option<Length>,
    /// How far the lower line then sits below the body's, summed from the topmost known line.
    #[serde(rename = "low_mm", default, skip_serializing_if = "Option::is_none")]
    pub low: Option<Length>,
}

/// A part that the levels do not name, after the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PartAfter {
    /// What it is.
    pub part: String,
    /// As the pattern draws it.
    #[serde(rename = "drawn_mm")]
    pub drawn: Length,
    /// With the plan's changes.
    #[serde(rename = "then_mm")]
    pub then: Length,
    /// The same on the body.
    #[serde(rename = "body_mm")]
    pub body: Length,
    /// Ease wanted, where one was asked for or is the least that is usual.
    #[serde(rename = "wanted_mm", default, skip_serializing_if = "Option::is_none")]
    pub wanted: Option<Length>,
}

/// The garment with the plan carried out.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct After {
    /// Girth and ease, from the bust down.
    pub levels: Vec<LevelAfter>,
    /// Lengths, from the shoulder down, the back last.
    pub lines: Vec<LineAfter>,
    /// Finished hem above the floor, if it can be known.
    #[serde(
        rename = "hem_above_floor_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub hem_above_floor: Option<Length>,
    /// Parts that the levels do not name, in the order of work.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<PartAfter>,
}

pub(super) fn apply(desk: &Desk<'_>, sizes: &Sizes) -> After {
    let levels = Level::ALL
        .into_iter()
        .filter_map(|level| {
            let chosen = sizes.chosen.get(level).as_ref()?;
            Some(level_after(desk, level, chosen))
        })
        .collect();
    let (lines, lowest) = match sizes.start {
        Some(size) => lines_after(desk, size),
        None => Default::default(),
    };
    let hem_above_floor = match desk.leg_hem {
        Some(leg) => Some(leg - changed(&desk.steps, |at| *at == Part::Inseam.site())),
        None => sizes.start.and_then(|size| hem_after(desk, lowest?, size)),
    };
    After {
        levels,
        lines,
        hem_above_floor,
        parts: parts_after(desk),
    }
}

fn level_after(desk: &Desk<'_>, level: Level, chosen: &Chosen) -> LevelAfter {
    let garment = desk
        .steps
        .iter()
        .filter(|step| step.stage == Stage::Width && step.at == Site::Level(level))
        .fold(chosen.have, |girth, step| {
            let amount = step.amount.unwrap_or(Length::ZERO);
            match step.action {
                Action::Add => girth + amount,
                Action::TakeIn => girth - amount,
                _ => girth,
            }
        });
    let body = chosen.body.length();
    LevelAfter {
        level,
        size: desk
            .garment
            .sizes
            .get(chosen.size)
            .cloned()
            .unwrap_or_default(),
        body,
        garment,
        ease: chosen.ease.map(|_| garment - body),
        wanted: chosen.ease,
    }
}

fn parts_after(desk: &Desk<'_>) -> Vec<PartAfter> {
    let rows = desk.held.iter().map(|held| PartAfter {
        part: held.part.name().to_owned(),
        drawn: held.drawn,
        then: held.part.with_changes(&desk.steps, held.drawn),
        body: held.body,
        wanted: held.wanted,
    });
    rows.collect()
}

/// A line and how far it sits below the body's.
type Lowest = (Level, Length);

fn lines_after(desk: &Desk<'_>, size: usize) -> (Vec<LineAfter>, Option<Lowest>) {
    let lines = &desk.garment.lines;
    let parts = [
        (Line::Shoulder, Level::Bust, &lines.neck_to_bust),
        (Line::Bust, Level::Waist, &lines.bust_to_waist),
        (Line::Waist, Level::Hip, &lines.waist_to_hip),
    ];
    let back = back_after(desk, size);
    let hangs = desk.garment.hangs_from_waist();
    let mut lowest: Option<Lowest> = hangs.then_some((Level::Waist, Length::ZERO));
    let mut rows = Vec::new();
    for (from, level, line) in parts {
        // The back leads to the waist where the front does not.
        let by_back = (level == Level::Waist && lowest.is_none())
            .then(|| back.as_ref().and_then(|row| row.low))
            .flatten();
        let low = by_back.or_else(|| low_at(desk, level, lowest, size));
        if let Some(low) = low {
            lowest = Some((level, low));
        }
        if let Some(drawn) = line_of(line.as_ref(), size) {
            rows.push(LineAfter {
                from,
                to: level.line(),
                drawn,
                then: drawn + changed(&desk.steps, |at| *at == Site::Between(from, level.line())),
                body: match level {
                    Level::Bust => neck_to_bust(desk),
                    Level::Waist => body_drop(desk, Level::Bust, level),
                    Level::Hip => body_drop(desk, Level::Waist, level),
                },
                low,
            });
        }
    }
    rows.extend(back);
    (rows, lowest)
}

/// How low a line sits by way of the lowest known line above it, or of one that is taken to sit
/// right if none is known.
fn low_at(desk: &Desk<'_>, level: Level, lowest: Option<Lowest>, size: usize) -> Option<Length> {
    if level == Level::Bust {
        let drawn = line_of(desk.garment.lines.neck_to_bust.as_ref(), size)?;
        let change = changed(&desk.steps, |at| matches!(at, Site::Between(_, Line::Bust)));
        return Some(drawn + change - neck_to_bust(desk)?);
    }
    let next = match level {
        Level::Hip => Level::Waist,
        Level::Bust | Level::Waist => Level::Bust,
    };
    let (above, low) = lowest.unwrap_or((next, Length::ZERO));
    let drawn = desk.garment.between(above, level, size)?;
    let crossed = |at: &Site| match at {
        Site::Between(_, lower) => *lower > above.line() && *lower <= level.line(),
        _ => false,
    };
    Some(low + drawn + changed(&desk.steps, crossed) - body_drop(desk, above, level)?)
}

fn body_drop(desk: &Desk<'_>, upper: Level, lower: Level) -> Option<Length> {
    let height = |level: Level| {
        desk.reading(level.height())
            .ok()
            .map(|found| found.length())
    };
    Some(height(upper)? - height(lower)?)
}

fn changed(steps: &[Step], at: impl Fn(&Site) -> bool) -> Length {
    steps
        .iter()
        .filter(|step| at(&step.at))
        .fold(Length::ZERO, |sum, step| sum + step.effect())
}

fn neck_to_bust(desk: &Desk<'_>) -> Option<Length> {
    let (both, _) = desk.pair(Key::NeckToBustLength).ok()?;
    Some(both.length())
}

fn back_after(desk: &Desk<'_>, size: usize) -> Option<LineAfter> {
    let drawn = line_of(desk.garment.lines.back_waist.as_ref(), size)?;
    let above_waist = |at: &Site| matches!(at, Site::Between(_, Line::Bust | Line::Waist));
    let back_alone = |at: &Site| *at == super::back::site();
    let then = drawn + changed(&desk.steps, above_waist) + changed(&desk.steps, back_alone);
    let body = desk
        .reading(Key::BackWaistLength)
        .ok()
        .map(|found| found.length());
    Some(LineAfter {
        from: Line::Shoulder,
        to: Line::Waist,
        drawn,
        then,
        body,
        low: body.map(|body| then - body),
    })
}

fn hem_after(desk: &Desk<'_>, (level, low): Lowest, size: usize) -> Option<Length> {
    let garment: &Garment = desk.garment;
    let hem = garment.hem?;
    let height = desk.reading(level.height()).ok()?.length();
    let turned_up = match hem.drawn {
        Drawn::CutEdge => hem.allowance,
        Drawn::Fold => Length::ZERO,
    };
    let given: Length = desk
        .steps
        .iter()
        .filter(|step| step.stage == Stage::Hem)
        .fold(Length::ZERO, |sum, step| {
            let amount = step.amount.unwrap_or(Length::ZERO);
            match step.action {
                Action::Lengthen => sum + amount,
                Action::Shorten => sum - amount,
                _ => sum,
            }
        });
    let length = garment.down_to_hem(level, size)? - turned_up + given;
    Some(height - low - length)
}
