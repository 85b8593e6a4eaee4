//! Half the front of a garment as numbers: its lines, its widths, what is folded out or let in.

use crate::fit::{Action, CuttingPlan, Garment, Level, Line, LineAfter, Site, Step};
use crate::length::Length;

/// Half a front from the centre line to the side is a quarter of the girth.
pub(super) const QUARTERS: f64 = 4.0;

/// A line of a half piece.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub(super) line: Line,
    /// Below the top line.
    pub(super) down: f64,
    /// From the centre line to the side, a quarter of the girth.
    pub(super) width: Option<f64>,
}

/// A stretch that is folded out or let in.
#[derive(Clone, Debug)]
pub(super) struct Band {
    pub(super) action: Action,
    pub(super) down: f64,
    pub(super) amount: f64,
}

#[derive(Clone, Debug, Default)]
pub(super) struct Half {
    pub(super) rows: Vec<Row>,
    pub(super) bands: Vec<Band>,
}

impl Half {
    pub(super) fn drawn(garment: &Garment, plan: &CuttingPlan, size: usize) -> Self {
        let mut half = Self::default();
        let front = || plan.after.lines.iter().filter(|row| !is_back(row));
        for row in front() {
            if half.rows.is_empty() {
                half.rows.push(Row {
                    line: row.from,
                    down: 0.0,
                    width: drawn_width(garment, plan, row.from),
                });
            }
            let from = half.at(row.from).unwrap_or(0.0);
            half.rows.push(Row {
                line: row.to,
                down: from + row.drawn.mm(),
                width: drawn_width(garment, plan, row.to),
            });
        }
        let to_hem = garment
            .lines
            .hip_to_hem
            .as_ref()
            .and_then(|lengths| lengths.of(size));
        if let (Some(hip), Some(length)) = (half.at(Line::Hip), to_hem) {
            let width = drawn_width(garment, plan, Line::Hip);
            half.rows.push(Row {
                line: Line::Hem,
                down: hip + length.mm(),
                width,
            });
        }
        // What is folded out is marked where it is taken from: midway between the lines.
        half.bands = bands(plan, &[Action::FoldOut, Action::Shorten], &half);
        half
    }

    pub(super) fn then(plan: &CuttingPlan, drawn: &Self) -> Self {
        let mut half = Self::default();
        let mut moved = 0.0;
        for row in &drawn.rows {
            let step = |line: Line| {
                plan.after
                    .lines
                    .iter()
                    .find(move |r| r.to == line && !is_back(r))
            };
            moved += step(row.line).map_or(0.0, |row| (row.then - row.drawn).mm());
            if row.line == Line::Hem {
                moved += plan
                    .steps
                    .iter()
                    .filter(|step| step.at == Site::Hem)
                    .map(signed)
                    .sum::<f64>();
            }
            half.rows.push(Row {
                line: row.line,
                down: row.down + moved,
                width: then_width(plan, row),
            });
        }
        half.bands = bands(plan, &[Action::LetIn, Action::Lengthen], &half);
        half
    }

    fn at(&self, line: Line) -> Option<f64> {
        Some(self.rows.iter().find(|row| row.line == line)?.down)
    }

    pub(super) fn foot(&self) -> f64 {
        self.rows.iter().map(|row| row.down).fold(0.0, f64::max)
    }

    /// Outline points from the top down, where a width is known; the top line is as wide as the next.
    pub(super) fn side(&self) -> Vec<[f64; 2]> {
        let next = |from: usize| self.rows[from..].iter().find_map(|row| row.width);
        let known = self.rows.iter().enumerate();
        known
            .filter_map(|(at, row)| Some([next(at)?, row.down]))
            .collect()
    }

    pub(super) fn width_at(&self, down: f64) -> f64 {
        let side = self.side();
        let between = side
            .windows(2)
            .find(|pair| (pair[0][1]..=pair[1][1]).contains(&down));
        between.map_or(0.0, |pair| {
            let share = (down - pair[0][1]) / (pair[1][1] - pair[0][1]).max(f64::MIN_POSITIVE);
            pair[0][0] + share * (pair[1][0] - pair[0][0])
        })
    }
}

fn is_back(row: &LineAfter) -> bool {
    (row.from, row.to) == (Line::Shoulder, Line::Waist)
}

fn level_of(line: Line) -> Option<Level> {
    Level::ALL.into_iter().find(|level| level.line() == line)
}

fn drawn_width(garment: &Garment, plan: &CuttingPlan, line: Line) -> Option<f64> {
    let level = level_of(line)?;
    let row = plan.after.levels.iter().find(|row| row.level == level)?;
    let size = garment.sizes.iter().position(|name| *name == row.size)?;
    let girth = garment
        .finished_girth(level, size)
        .or_else(|| garment.chart_girth(level, size))?;
    Some(girth.mm() / QUARTERS)
}

/// The hem keeps its distance from the hip's width.
fn then_width(plan: &CuttingPlan, row: &Row) -> Option<f64> {
    let line = if row.line == Line::Hem {
        Line::Hip
    } else {
        row.line
    };
    let level = level_of(line)?;
    let after = plan
        .after
        .levels
        .iter()
        .find(|after| after.level == level)?;
    Some(after.garment.mm() / QUARTERS)
}

/// Length that a step adds.
fn signed(step: &Step) -> f64 {
    let amount = step.amount.map_or(0.0, Length::mm);
    match step.action {
        Action::LetIn | Action::Lengthen => amount,
        Action::FoldOut | Action::Shorten => -amount,
        _ => 0.0,
    }
}

fn bands(plan: &CuttingPlan, of: &[Action], half: &Half) -> Vec<Band> {
    let steps = plan.steps.iter().filter(|step| of.contains(&step.action));
    steps
        .filter_map(|step| {
            let amount = step.amount?.mm();
            let down = match &step.at {
                Site::Between(upper, lower) => {
                    f64::midpoint(half.at(*upper)?, half.at(*lower)?) - amount / 2.0
                }
                Site::Hem => half.at(Line::Hem)? - amount,
                _ => return None,
            };
            Some(Band {
                action: step.action.clone(),
                down,
                amount,
            })
        })
        .collect()
}
