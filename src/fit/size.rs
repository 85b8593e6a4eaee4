//! A size for each region: the one whose finished girth leaves the ease wanted.

use super::desk::{Desk, Reading};
use super::level::{ByLevel, Level};
use super::phrase::{Phrase, phrase};
use super::plan::{Action, Confidence, ROUND_OFF_MM, Site, Stage, Step};
use super::sum::Sum;
use crate::finding::Weight;
use crate::length::Length;
use crate::measure::Key;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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
        let sure = is_clear(desk, lookup.table, lookup.want, nearest, body.sd_mm);
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

/// The size nearest to `want`; of two equally near the larger, since taking in is easier than
/// letting out (common practice, no source).
fn nearest(table: &[Length], want: Length) -> Option<usize> {
    let miss = |at: usize| (table[at] - want).abs().mm();
    (0..table.len()).reduce(|best, at| {
        if miss(at) <= miss(best) + ROUND_OFF_MM {
            at
        } else {
            best
        }
    })
}

/// True if no other size would be the nearest within the body's uncertainty.
fn is_clear(desk: &Desk<'_>, table: &[Length], want: Length, best: usize, sd_mm: f64) -> bool {
    let miss = |at: usize| (table[at] - want).abs().mm();
    let reach = desk.limits.sure_at_sd * sd_mm;
    // A body that moves by `reach` gains and loses as much: twice the reach.
    (0..table.len()).all(|at| at == best || miss(at) - miss(best) >= 2.0 * reach)
}

/// The upper chest handed over by hand, or the profile's.
fn upper_chest(desk: &Desk<'_>) -> Result<Reading, Phrase> {
    match desk.upper_chest {
        Some(taken) => Ok(Reading {
            mm: taken.girth.mm(),
            sd_mm: taken.sd.mm(),
        }),
        None => desk.reading(Key::UpperChestGirth),
    }
}

/// The size by upper chest, where the bust exceeds the upper chest by the rule's amount, and
/// whether both the rule and the size stand clear of the uncertainty.
fn by_upper_chest(desk: &mut Desk<'_>, bust: Reading) -> Option<(usize, bool)> {
    let rule = desk.limits.bust_rule;
    let upper = match upper_chest(desk) {
        Ok(upper) => upper,
        Err(reason) => {
            let mut text = phrase!["the top goes by the bust:"];
            text.join(reason);
            text.join(phrase![
                "Where the bust exceeds the upper chest by ",
                rule,
                " or more, the size by the upper chest fits neck and shoulders better."
            ]);
            desk.remark(Weight::Note, "size", text);
            return None;
        }
    };
    let over = bust.length() - upper.length();
    if over.mm() < rule.mm() - ROUND_OFF_MM {
        return None;
    }
    let (table, has_own) = upper_chest_table(desk)?;
    let size = nearest(table, upper.length())?;
    let sure_of_table = is_clear(desk, table, upper.length(), size, upper.sd_mm);
    let mut text = phrase![
        "the bust exceeds the upper chest by ",
        over,
        ": the top goes by the upper chest, and the bust is enlarged."
    ];
    if !has_own {
        text.join(phrase![
            "The body chart has no upper chest, so it is looked up among the busts (common practice); add body.upper_chest if the pattern has it."
        ]);
    }
    let weight = if has_own { Weight::Note } else { Weight::Look };
    desk.remark(weight, "size", text);
    let margin_sd_mm = bust.sd_mm.hypot(upper.sd_mm);
    let sure_of_rule = (over - rule).abs().mm() > desk.limits.sure_at_sd * margin_sd_mm;
    Some((size, sure_of_rule && sure_of_table && has_own))
}

/// The chart's upper chest, or its bust in place of it (common practice, no source), and whether
/// it is its own.
fn upper_chest_table<'a>(desk: &Desk<'a>) -> Option<(&'a [Length], bool)> {
    let garment = desk.garment;
    let known = garment.sizes.len();
    let cut = |table: &'a Vec<Length>| &table[..table.len().min(known)];
    match &garment.upper_chest {
        Some(own) => Some((cut(own), true)),
        None => garment.body.bust.as_ref().map(|bust| (cut(bust), false)),
    }
}

/// How far a body lies outside a table, if it does. The grade goes on as the last two sizes show
/// it; a table of one size has none.
fn beyond(table: &[Length], want: Length) -> Option<Beyond> {
    let (first, last) = (*table.first()?, *table.last()?);
    let (by, larger) = if want < first {
        (first - want, false)
    } else {
        (want - last, true)
    };
    let step = match (table, larger) {
        ([first, second, ..], false) => (*second - *first).abs(),
        ([.., before, last], true) => (*last - *before).abs(),
        _ => Length::ZERO,
    };
    (by.mm() > ROUND_OFF_MM).then(|| Beyond {
        larger,
        by,
        grade_step: step,
        steps: (step.mm() > ROUND_OFF_MM).then(|| by.mm() / step.mm()),
    })
}

/// Says aloud when the body lies outside the table.
fn warn_outside(desk: &mut Desk<'_>, level: Level, beyond: &Beyond) {
    let near = beyond.steps.is_some_and(|steps| steps <= 0.5);
    let weight = if near { Weight::Look } else { Weight::Act };
    let end = if beyond.larger {
        "above the largest"
    } else {
        "below the smallest"
    };
    let mut text = phrase![
        format!("the {level} lies "),
        beyond.by,
        format!(" {end} size of the sheet")
    ];
    if let Some(steps) = beyond.steps {
        text.join(phrase![
            format!("({steps:.1} of its grade steps of "),
            beyond.grade_step,
            ")"
        ]);
    }
    text.join(if near {
        phrase!["and that is still the nearest."]
    } else {
        phrase![
            "and the rest is left to the width steps. Carry the grade on by as many steps, or take a pattern in a nearer size."
        ]
    });
    desk.remark(weight, format!("{level} size"), text);
}

fn between(names: &[String], table: &[Length], want: Length) -> Option<Between> {
    let at = table
        .windows(2)
        .position(|pair| pair[0] <= want && want <= pair[1] && pair[0] < pair[1])?;
    let (low, high) = (table[at].mm(), table[at + 1].mm());
    Some(Between {
        lower: names.get(at)?.clone(),
        upper: names.get(at + 1)?.clone(),
        fraction: (want.mm() - low) / (high - low),
    })
}

fn say_choice(desk: &mut Desk<'_>, choice: &SizeChoice, chosen: &Chosen) {
    let mut advice = Phrase::default();
    for other in choice
        .candidates
        .iter()
        .filter(|other| other.size != choice.size)
    {
        let way = if other.to_add < Length::ZERO {
            " to take in."
        } else {
            " to add."
        };
        let size = format!("Size {} would leave ", other.size);
        advice.join(phrase![size, other.to_add.abs(), way]);
    }
    if !chosen.sure {
        advice.join(phrase![
            "The body lies so near to the middle between two sizes that either may be the nearer one."
        ]);
    }
    let own = desk.garment.ease.get(choice.level).is_none();
    if let (true, Some(ease)) = (own, chosen.ease) {
        advice.join(phrase![
            "No ease was asked for here: ",
            ease,
            format!(" is the pattern's own in size {}.", choice.size)
        ]);
    }
    desk.step(Step {
        order: 0,
        stage: Stage::Size,
        action: Action::UseSize(choice.size.clone()),
        at: Site::Level(choice.level),
        side: None,
        amount: None,
        share: None,
        sum: chosen.sum(&choice.size),
        sd: Length::from_mm(chosen.body.sd_mm),
        confidence: if chosen.sure {
            Confidence::DoIt
        } else {
            Confidence::CheckFirst
        },
        advice,
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(table: &[f64]) -> Vec<Length> {
        table.iter().copied().map(Length::from_inch).collect()
    }

    /// Straight waists of sizes 8 to 14, ASTM D5585-11e1 as its public page shows them; the
    /// fraction is plain arithmetic.
    #[test]
    fn a_waist_between_two_sizes() {
        let table = inches(&[29.5, 30.5, 32.25, 34.0]);
        let names = ["8", "10", "12", "14"].map(str::to_owned);
        let found = between(&names, &table, Length::from_inch(31.0)).unwrap();
        assert_eq!((found.lower.as_str(), found.upper.as_str()), ("10", "12"));
        assert!((found.fraction - 0.285_714_285_714).abs() < 1e-9);
        assert_eq!(nearest(&table, Length::from_inch(31.0)), Some(1));
        assert_eq!(between(&names, &table, Length::from_inch(29.0)), None);
    }

    #[test]
    fn of_two_sizes_equally_near_the_larger_is_taken() {
        let table = inches(&[30.0, 32.0, 34.0]);
        assert_eq!(nearest(&table, Length::from_inch(31.0)), Some(1));
        assert_eq!(nearest(&table, Length::from_inch(30.9)), Some(0));
        assert_eq!(nearest(&[], Length::ZERO), None);
    }
}
