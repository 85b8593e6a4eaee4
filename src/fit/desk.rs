//! The planner's desk: profile and garment spread out, the plan growing beside them.

use super::compare::Held;
use super::level::Level;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, Confidence, Remark, Share, Site, Stage, Step, WithheldStep};
use super::planner::UpperChest;
use super::sheet::{Garment, MOST_MM, PerSize};
use super::sides::{self, SideVerdict};
use super::sum::Sum;
use super::tolerance::Tolerances;
use crate::finding::Weight;
use crate::length::Length;
use crate::measure::{Key, MeasureId, Mode, Unit};
use crate::profile::Profile;
use crate::side::Side;

/// A body measure as the planner uses it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reading {
    pub(super) mm: f64,
    pub(super) sd_mm: f64,
}

impl Reading {
    /// The mean of two that err apart.
    pub(super) fn mean(a: Self, b: Self) -> Self {
        Self {
            mm: f64::midpoint(a.mm, b.mm),
            sd_mm: a.sd_mm.hypot(b.sd_mm) / 2.0,
        }
    }

    pub(super) const fn length(self) -> Length {
        Length::from_mm(self.mm)
    }

    pub(super) const fn var(self) -> f64 {
        self.sd_mm * self.sd_mm
    }
}

pub(super) struct Desk<'a> {
    pub(super) profile: &'a Profile,
    pub(super) garment: &'a Garment,
    pub(super) limits: &'a Tolerances,
    pub(super) upper_chest: Option<UpperChest>,
    pub(super) steps: Vec<Step>,
    pub(super) findings: Vec<Remark>,
    pub(super) withheld: Vec<WithheldStep>,
    /// What was held against the body beside the levels and lines.
    pub(super) held: Vec<Held>,
    /// Hem of a trouser leg above the floor as drawn, allowance turned up, if it can be known.
    pub(super) leg_hem: Option<Length>,
}

/// A step before it has a place in the order.
pub(super) struct Change {
    pub(super) stage: Stage,
    pub(super) action: Action,
    pub(super) at: Site,
    pub(super) share: Option<Share>,
    pub(super) sum: Sum,
    pub(super) sd_mm: f64,
    /// True if it rests on something assumed.
    pub(super) assumed: bool,
    pub(super) advice: Phrase,
}

impl Desk<'_> {
    /// A length of the body, or why there is none to work with.
    pub(super) fn reading(&self, id: impl Into<MeasureId>) -> Result<Reading, Phrase> {
        let id = id.into();
        let Some(entry) = self.profile.entry(id) else {
            let told = self.profile.withheld.iter().find(|row| row.id == id);
            return Err(match told {
                Some(row) => phrase![format!("the profile withholds the {id}: {}.", row.reason)],
                None => phrase![format!("the profile has no {id}; take it by tape.")],
            });
        };
        let measure = &entry.measure;
        let (mm, sd_mm) = (measure.value, entry.sd());
        // How far something lies before or behind may be nought or less; nothing is so long.
        let signed = id.key.definition().mode == Mode::Offset;
        let sized = mm.abs() <= MOST_MM && (mm > 0.0 || signed);
        let sound = measure.unit == Unit::Mm && sized;
        if sound && (0.0..=MOST_MM).contains(&sd_mm) {
            Ok(Reading { mm, sd_mm })
        } else {
            Err(phrase![format!(
                "the profile's {id} is no usable length; measure it again."
            )])
        }
    }

    /// An angle of the body in degrees, or why there is none to work with.
    pub(super) fn angle(&self, id: MeasureId) -> Result<Reading, Phrase> {
        let usable = self.profile.get(id).filter(|measure| {
            measure.unit == Unit::Degree
                && measure.value.abs() < 90.0
                && (0.0..90.0).contains(&measure.spread.sd)
        });
        usable
            .map(|measure| Reading {
                mm: measure.value,
                sd_mm: measure.spread.sd,
            })
            .ok_or_else(|| phrase![format!("the profile has no {id} to work with.")])
    }

    /// Both sides of a paired measure as one, and what to say where one side stands for both.
    ///
    /// Where left against right cuts the sides apart, the smaller side is the common one and the
    /// larger gets its difference there (of legs the longer, and the shorter leg's hem is taken up);
    /// otherwise it is the mean.
    pub(super) fn pair(&self, key: Key) -> Result<(Reading, Option<Phrase>), Phrase> {
        let [left, right] = Side::BOTH.map(|side| self.reading(MeasureId::new(key, side)));
        match (left, right) {
            (Ok(left), Ok(right)) if sides::verdict(self.profile, key) == SideVerdict::Act => {
                let smaller = (left.mm <= right.mm) != (key == Key::InsideLegLength);
                Ok((if smaller { left } else { right }, None))
            }
            (Ok(left), Ok(right)) => Ok((Reading::mean(left, right), None)),
            (Ok(one), Err(reason)) | (Err(reason), Ok(one)) => {
                let name = key.definition().name;
                let mut text = phrase![format!("{name}: one side stands for both, since")];
                text.join(reason);
                Ok((one, Some(text)))
            }
            (Err(reason), Err(_)) => Err(reason),
        }
    }

    /// Both sides as one, as [`Self::pair`] has it; one side alone is used aloud, once.
    pub(super) fn both_sides(&mut self, key: Key) -> Result<Reading, Phrase> {
        let (reading, text) = self.pair(key)?;
        let name = key.definition().name;
        if let Some(text) = text
            && !self.findings.iter().any(|said| said.text == text)
        {
            self.remark(Weight::Look, name, text);
        }
        Ok(reading)
    }

    /// A measure of the whole body, or of both sides as one.
    pub(super) fn body(&mut self, key: Key) -> Result<Reading, Phrase> {
        if key.definition().paired {
            self.both_sides(key)
        } else {
            self.reading(key)
        }
    }

    /// Whether an amount stands clear of its uncertainty.
    pub(super) fn confidence(&self, amount_mm: f64, sd_mm: f64) -> Confidence {
        if amount_mm.abs() > self.limits.sure_at_sd * sd_mm {
            Confidence::DoIt
        } else {
            Confidence::CheckFirst
        }
    }

    /// Adds a step at the end; its order is its place.
    pub(super) fn step(&mut self, step: Step) {
        let order = self.steps.len() + 1;
        self.steps.push(Step { order, ..step });
    }

    /// Adds a step whose amount is the size of its sum.
    pub(super) fn change(&mut self, change: Change) {
        let total = change.sum.total();
        let confidence = if change.assumed {
            Confidence::CheckFirst
        } else {
            self.confidence(total.mm(), change.sd_mm)
        };
        self.step(Step {
            order: 0,
            stage: change.stage,
            action: change.action,
            at: change.at,
            side: None,
            amount: Some(total.abs()),
            share: change.share,
            sum: change.sum,
            sd: Length::from_mm(change.sd_mm),
            confidence,
            advice: change.advice,
        });
    }

    pub(super) fn remark(&mut self, weight: Weight, topic: impl Into<String>, text: Phrase) {
        self.findings.push(Remark {
            weight,
            topic: topic.into(),
            text,
        });
    }

    pub(super) fn withhold(&mut self, stage: Stage, at: Site, reason: Phrase) {
        self.withheld.push(WithheldStep { stage, at, reason });
    }

    /// Most that one edge may change.
    pub(super) fn edge_limit(&self) -> Length {
        self.garment.edge_limit.unwrap_or(self.limits.most_per_edge)
    }
}

impl Garment {
    /// Pattern length between two levels in a size, if the sheet gives every part of it.
    pub(super) fn between(&self, upper: Level, lower: Level, size: usize) -> Option<Length> {
        let parts = [
            (Level::Bust, &self.lines.bust_to_waist),
            (Level::Waist, &self.lines.waist_to_hip),
        ];
        parts
            .iter()
            .filter(|(from, _)| (upper..lower).contains(from))
            .try_fold(Length::ZERO, |sum, (_, part)| {
                Some(sum + part.as_ref()?.of(size)?)
            })
    }

    /// True if nothing ties the lines to the shoulder: the garment hangs from its waist line.
    pub(super) fn hangs_from_waist(&self) -> bool {
        let lines = &self.lines;
        lines.neck_to_bust.is_none() && lines.bust_to_waist.is_none() && lines.back_waist.is_none()
    }
}

/// The value of a size where the sheet has the line at all.
pub(super) fn line_of(line: Option<&PerSize>, size: usize) -> Option<Length> {
    line.and_then(|line| line.of(size))
}
