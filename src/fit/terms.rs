//! What a plan's widths and lengths are reckoned from, so that a page can put in another level.
//!
//! Only what follows from a girth or a height by plus and minus: the size stays, and so does all
//! that hangs on it. Terms that do not give the plan's own steps again are not handed out.

use super::level::{Level, Line};
use super::plan::{Action, CuttingPlan, ROUND_OFF_MM, Site, Stage};
use super::planner::LevelFit;
use super::sheet::Garment;
use super::size::{Basis, Candidate, SizeChoice};
use super::width::at_each_edge;
use crate::length::Length;
use serde::Serialize;

/// Width at a level: body and ease, less what the size measures, over the seam edges.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct WidthTerms {
    pub(crate) level: Level,
    size: String,
    /// The girth that the plan goes by.
    body_mm: Length,
    /// Nought where the size is compared by its chart.
    ease_mm: Length,
    /// What the size measures, or the body its chart is for.
    garment_mm: Length,
    edges: u32,
    /// Less than this at an edge is no step.
    least_mm: Length,
    /// More than this at an edge is too much for it.
    limit_mm: Length,
    /// The size and its neighbours, where the nearest is taken.
    candidates: Vec<Candidate>,
}

/// Length from a line to the next: what the pattern draws against the body's.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct LineTerms {
    pub(crate) from: Line,
    pub(crate) to: Line,
    drawn_mm: Length,
    body_mm: Length,
    /// How far the lower line may sit off, changes above it counted; `None` if it is never changed.
    within_mm: Option<Length>,
}

impl LevelFit {
    /// Terms of the widths of a plan that this routine made.
    pub(crate) fn width_terms(&self, garment: &Garment, plan: &CuttingPlan) -> Vec<WidthTerms> {
        let rows = plan.after.levels.iter().map(|row| WidthTerms {
            level: row.level,
            size: row.size.clone(),
            body_mm: row.body,
            ease_mm: row.wanted.unwrap_or(Length::ZERO),
            garment_mm: row.garment - widened(plan, row.level),
            edges: garment.edges(row.level),
            least_mm: self.tolerances.least_per_edge,
            limit_mm: garment.edge_limit.unwrap_or(self.tolerances.most_per_edge),
            candidates: candidates(plan, row.level),
        });
        rows.filter(|terms| same(terms.step(), widened(plan, terms.level)))
            .collect()
    }

    /// Terms of the lengths of a plan that this routine made, from the top line down; `None` where a
    /// line was judged by another way than from the one above it, as by the back, or not at all.
    pub(crate) fn line_terms(
        &self,
        garment: &Garment,
        plan: &CuttingPlan,
    ) -> Option<Vec<LineTerms>> {
        let front = || {
            let rows = plan.after.lines.iter();
            rows.filter(|row| (row.from, row.to) != (Line::Shoulder, Line::Waist))
        };
        let terms: Vec<LineTerms> = front()
            .map(|row| {
                let level = Level::ALL
                    .into_iter()
                    .find(|level| level.line() == row.to)?;
                Some(LineTerms {
                    from: row.from,
                    to: row.to,
                    drawn_mm: row.drawn,
                    body_mm: row.body?,
                    within_mm: self.tolerances.off_line(level, garment.waist_line),
                })
            })
            .collect::<Option<_>>()?;
        let steps = steps(&terms);
        let mut pairs = front().zip(steps);
        let is_plans = pairs.all(|(row, step)| same(row.then - row.drawn, step));
        is_plans.then_some(terms)
    }
}

impl WidthTerms {
    /// What the terms say is added; below nought taken in.
    fn step(&self) -> Length {
        let to_add = self.body_mm + self.ease_mm - self.garment_mm;
        at_each_edge(to_add, self.edges, self.least_mm).map_or(Length::ZERO, |_| to_add)
    }
}

/// What the terms say is let in above each line; below nought folded out.
fn steps(lines: &[LineTerms]) -> Vec<Length> {
    let mut sits = Length::ZERO;
    let step = |line: &LineTerms| {
        sits = sits + line.drawn_mm - line.body_mm;
        let most = line.within_mm.map_or(f64::INFINITY, Length::mm);
        if sits.abs().mm() <= most + ROUND_OFF_MM {
            return Length::ZERO;
        }
        -std::mem::replace(&mut sits, Length::ZERO)
    };
    lines.iter().map(step).collect()
}

fn candidates(plan: &CuttingPlan, level: Level) -> Vec<Candidate> {
    let nearest = |choice: &&SizeChoice| choice.level == level && choice.basis != Basis::UpperChest;
    let choice = plan.sizes.iter().find(nearest);
    choice.map_or_else(Vec::new, |choice| choice.candidates.clone())
}

/// What the plan's width step at a level adds.
fn widened(plan: &CuttingPlan, level: Level) -> Length {
    let at = |stage, site: &Site| stage == Stage::Width && *site == Site::Level(level);
    let steps = plan.steps.iter().filter(|step| at(step.stage, &step.at));
    steps
        .filter(|step| matches!(step.action, Action::Add | Action::TakeIn))
        .fold(Length::ZERO, |sum, step| sum + step.effect())
}

fn same(a: Length, b: Length) -> bool {
    (a - b).abs().mm() <= ROUND_OFF_MM
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{FitRoutine, read_garment};
    use crate::measure::{Cause, Key, Measure, MeasureSet, Source, Spread};
    use crate::profile::{Entry, Profile};
    use crate::side::Side;
    use crate::tape::TapeSet;

    fn body(measures: &[(Key, f64)]) -> Profile {
        let entry = |(key, inch): &(Key, f64), side| {
            Entry::from(Measure {
                id: crate::measure::MeasureId::new(*key, side),
                value: inch * 25.4,
                unit: key.definition().unit(),
                spread: Spread::of([(Cause::Tape, 1.0)]),
                source: Source::Tape,
                level_mm: None,
            })
        };
        let sides = |row: &(Key, f64)| Side::of_pair(row.0.definition().paired).to_vec();
        Profile {
            measures: measures
                .iter()
                .flat_map(|row| sides(row).into_iter().map(move |side| entry(row, side)))
                .collect(),
            ..Profile::assemble(&MeasureSet::default(), &TapeSet::default())
        }
    }

    const BODY: [(Key, f64); 7] = [
        (Key::BustGirth, 36.0),
        (Key::WaistNarrowestGirth, 30.0),
        (Key::HipGirth, 39.0),
        (Key::BustHeight, 46.0),
        (Key::WaistNarrowestHeight, 40.0),
        (Key::HipHeight, 32.0),
        (Key::BackWaistLength, 16.0),
    ];

    fn terms(lines: &str, more: (Key, f64)) -> (Vec<WidthTerms>, Option<Vec<LineTerms>>) {
        let text = format!(
            "name = \"Trial\"\nunit = \"in\"\nsizes = [\"12\"]\nwaist_line = \"seam\"\n\
             [body]\nbust = [36]\nwaist = [28]\nhip = [38]\n[finished]\nbust = [39]\nwaist = [30]\nhip = [41]\n\
             [seams]\nbust = 2\nwaist = 2\nhip = 0\n[lines]\n{lines}"
        );
        let garment = read_garment("trial.toml", &text).unwrap();
        let fit = LevelFit::default();
        let profile = body(&[&BODY[..], &[more]].concat());
        let plan = fit.plan(&profile, &garment).unwrap();
        (
            fit.width_terms(&garment, &plan),
            fit.line_terms(&garment, &plan),
        )
    }

    /// By hand, in inches. Ease is 39 − 36 at the bust and 2 at the waist: 36 + 3 − 39 is nought and
    /// 30 + 2 − 30 is 2 to add; no seam can change at the hip. Bust line 10.5 − 10 low, more than
    /// 10 mm: fold out 0.5. Waist 7 − 6 low: fold out 1. Hip 8.25 − 8 low, less than ½: left.
    #[test]
    fn terms_give_the_steps_of_the_plan() {
        let (widths, lines) = terms(
            "neck_to_bust = 10.5\nbust_to_waist = 7\nwaist_to_hip = 8.25",
            (Key::NeckToBustLength, 10.0),
        );
        let inches = |length: Length| (length.inch() * 1e6).round() / 1e6;
        let added: Vec<f64> = widths.iter().map(|row| inches(row.step())).collect();
        assert_eq!(added, [0.0, 2.0, 0.0]);
        let let_in: Vec<f64> = steps(&lines.unwrap()).into_iter().map(inches).collect();
        assert_eq!(let_in, [-0.5, -1.0, 0.0]);
    }

    /// A waist judged by the back does not follow from the line above it.
    #[test]
    fn lines_judged_by_another_way_have_no_terms() {
        let lines = "back_waist = 17\nbust_to_waist = 6\nwaist_to_hip = 8";
        assert_eq!(terms(lines, (Key::ArmLength, 22.0)).1, None);
    }
}
