//! A size for each region: the one whose finished girth leaves the ease wanted.

use super::desk::{Desk, Reading};
use super::level::{ByLevel, Level};
use super::phrase::{Phrase, phrase};
use super::plan::{Site, Stage};
use super::sum::Sum;
use crate::length::Length;
use say::{say_choice, warn_outside};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use table::{between, beyond, is_clear, nearest};
use upper_chest::by_upper_chest;

mod say;
mod table;
mod upper_chest;

/// What a size was chosen by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Finished girth less body girth, against the ease wanted.
    Ease,
    /// The body chart: no ease was asked for, or no finished girth is known.
    Chart,
    /// The upper chest: the bust exceeds it by the rule's amount.
    UpperChest,
}

/// A size that was weighed, and what it would leave to add (below nought: to take in).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Candidate {
    /// The size.
    pub size: String,
    /// What it would leave to add.
    #[serde(rename = "to_add_mm")]
    pub to_add: Length,
}

/// Where a body lies between two neighbouring sizes of the table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Between {
    /// The smaller size.
    pub lower: String,
    /// The larger size.
    pub upper: String,
    /// Share of the way from the smaller to the larger, 0 to 1.
    pub fraction: f64,
}

/// How far a body lies outside the sizes of the table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Beyond {
    /// True above the largest size, false below the smallest.
    pub larger: bool,
    /// By how much.
    #[serde(rename = "by_mm")]
    pub by: Length,
    /// The grade step at that end of the table, as which the table would go on.
    #[serde(rename = "grade_step_mm")]
    pub grade_step: Length,
    /// The same in grade steps; `None` for a table of one size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub steps: Option<f64>,
}

/// The size chosen at a level, and how.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SizeChoice {
    /// The level.
    pub level: Level,
    /// The size.
    pub size: String,
    /// What it was chosen by.
    pub basis: Basis,
    /// The body's girth.
    #[serde(rename = "body_mm")]
    pub body: Length,
    /// Ease to be reached; `None` if the sheet gives no finished girth.
    #[serde(rename = "ease_mm", default, skip_serializing_if = "Option::is_none")]
    pub ease: Option<Length>,
    /// The size and its neighbours.
    pub candidates: Vec<Candidate>,
    /// Between which sizes the body lies, if the table holds it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub between: Option<Between>,
    /// How far outside the table it lies, if it does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beyond: Option<Beyond>,
}

/// A size chosen at a level, with all that the later stages need of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chosen {
    pub(super) size: usize,
    pub(super) body: Reading,
    /// Ease wanted, where a finished girth exists.
    pub(super) ease: Option<Length>,
    /// Finished girth, or the chart's body girth where there is none.
    pub(super) have: Length,
    pub(super) sure: bool,
    /// Chosen by the upper chest: what the bust lacks lies in front.
    pub(super) by_upper_chest: bool,
}

impl Chosen {
    pub(super) fn to_add(self) -> Length {
        self.body.length() + self.ease.unwrap_or(Length::ZERO) - self.have
    }

    /// Body and ease against what the size has.
    pub(super) fn sum(self, name: &str) -> Sum {
        let body = Sum::of("body", self.body.length());
        let compared = match self.ease {
            Some(ease) => body
                .plus("ease", ease)
                .makes("")
                .against(format!("garment size {name} measures"), self.have),
            None => body.against(format!("chart size {name} is for"), self.have),
        };
        compared.leaves(if self.to_add() < Length::ZERO {
            "to take in"
        } else {
            "to add"
        })
    }
}

/// The outcome of the stage.
pub(super) struct Sizes {
    pub(super) chosen: ByLevel<Option<Chosen>>,
    pub(super) choices: Vec<SizeChoice>,
    /// The size lengths, neck and shoulders go by.
    pub(super) start: Option<usize>,
}

pub(super) fn choose(desk: &mut Desk<'_>) -> Sizes {
    let mut sizes = Sizes {
        chosen: ByLevel::default(),
        choices: Vec::new(),
        start: None,
    };
    for level in Level::ALL {
        if !desk.garment.is_sized_at(level) {
            continue;
        }
        match choose_at(desk, level) {
            Ok((chosen, choice)) => {
                *sizes.chosen.get_mut(level) = Some(chosen);
                sizes.choices.push(choice);
            }
            Err(reason) => desk.withhold(Stage::Size, Site::Level(level), reason),
        }
    }
    // Upper chest and shoulder are the hardest to alter, so a garment that has
    // them starts from the bust (leaflet "Principles of Pattern Alteration");
    // a skirt from the hip (general sewing guide).
    sizes.start = [Level::Bust, Level::Hip, Level::Waist]
        .into_iter()
        .find_map(|level| sizes.chosen.get(level).map(|chosen| chosen.size));
    for choice in &sizes.choices {
        if let Some(chosen) = sizes.chosen.get(choice.level) {
            say_choice(desk, choice, chosen);
        }
    }
    sizes
}

/// The table a size is looked up in, and the value wanted of it.
struct Lookup<'t> {
    table: &'t [Length],
    want: Length,
    basis: Basis,
}

fn choose_at(desk: &mut Desk<'_>, level: Level) -> Result<(Chosen, SizeChoice), Phrase> {
    let garment = desk.garment;
    let body = desk.reading(level.girth())?;
    let lookup = look_up(desk, level, body)?;
    let nearest = nearest(lookup.table, lookup.want)
        .ok_or_else(|| phrase!["the size table is empty; fill it in."])?;
    let by_upper_chest = if level == Level::Bust {
        by_upper_chest(desk, body)
    } else {
        None
    };
    let (size, sure) = by_upper_chest.unwrap_or_else(|| {
        let reach_mm = desk.limits.sure_at_sd * body.sd_mm;
        let sure = is_clear(lookup.table, lookup.want, nearest, reach_mm);
        (nearest, sure)
    });
    let finished = garment.finished_girth(level, size);
    let chart = garment.chart_girth(level, size);
    let own_ease = || Some(finished? - chart?);
    let (ease, have) = match (finished, garment.ease.get(level).or_else(own_ease)) {
        (Some(finished), Some(ease)) => (Some(ease), finished),
        _ => (None, chart.ok_or_else(|| no_table(level))?),
    };
    let to_add = |at: usize| Some(lookup.want - *lookup.table.get(at)?);
    let candidates = (size.saturating_sub(1)..=size + 1)
        .filter_map(|at| {
            Some(Candidate {
                size: garment.sizes.get(at)?.clone(),
                to_add: to_add(at)?,
            })
        })
        .collect();
    let beyond = beyond(lookup.table, lookup.want);
    // Less than cutting is true to at one edge is not worth a word.
    if let Some(beyond) = beyond
        .as_ref()
        .filter(|b| b.by >= desk.limits.least_per_edge)
    {
        warn_outside(desk, level, beyond);
    }
    let choice = SizeChoice {
        level,
        size: garment.sizes.get(size).cloned().unwrap_or_default(),
        basis: if by_upper_chest.is_some() {
            Basis::UpperChest
        } else {
            lookup.basis
        },
        body: body.length(),
        ease,
        candidates,
        between: between(&garment.sizes, lookup.table, lookup.want),
        beyond,
    };
    let chosen = Chosen {
        size,
        body,
        ease,
        have,
        sure,
        by_upper_chest: by_upper_chest.is_some(),
    };
    Ok((chosen, choice))
}

fn look_up<'a>(desk: &Desk<'a>, level: Level, body: Reading) -> Result<Lookup<'a>, Phrase> {
    let garment = desk.garment;
    let finished = garment.finished.get(level).as_deref();
    let chart = garment.body.get(level).as_deref();
    let known = garment.sizes.len();
    let (table, want, basis) = match (finished, garment.ease.get(level), chart) {
        (Some(table), Some(ease), _) => (table, body.length() + *ease, Basis::Ease),
        (_, _, Some(table)) => (table, body.length(), Basis::Chart),
        _ => return Err(no_table(level)),
    };
    Ok(Lookup {
        table: &table[..table.len().min(known)],
        want,
        basis,
    })
}

fn no_table(level: Level) -> Phrase {
    phrase![format!(
        "the sheet has neither a body chart nor an intended ease with finished girths at the {level}; give one of them."
    )]
}
