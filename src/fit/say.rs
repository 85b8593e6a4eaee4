//! The plan in plain sentences.

use super::after::PartAfter;
use super::level::Line;
use super::part::Part;
use super::plan::{Action, Confidence, CuttingPlan, Remark, Share, Site, Step};
use crate::finding::Weight;
use crate::length::{Length, text::Shown};

const CAUTIONS: [&str; 3] = [
    "This is where a toile starts, not where it ends: sew one, and check on the body.",
    "Where the pattern's own instructions say otherwise, they win.",
    "Measure the garment or its pieces before you cut; seam allowances are yours to add.",
];

impl CuttingPlan {
    /// The plan to read and cut by, in the given unit.
    ///
    /// What must be acted on comes first, then the steps in the order of
    /// work, then what was left, withheld, and what the garment is like
    /// afterwards. Sums are rounded so that they add up as written
    /// ([`Sum::say`](super::Sum::say)); a share that does not make the amount
    /// shown reads `about`.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        let mut lines = vec![format!("Cutting plan for {}", self.garment)];
        if let Some(size) = &self.start_size {
            lines.push(format!(
                "Start from size {size}: neck, shoulders and lengths go by it."
            ));
        }
        let of = |weight| move |remark: &&Remark| remark.weight == weight;
        section(
            &mut lines,
            "First of all",
            self.told(of(Weight::Act), shown),
        );
        let steps = self.steps.iter().map(|step| step.say(shown));
        section(&mut lines, "Steps, in this order", steps);
        section(&mut lines, "Look at", self.told(of(Weight::Look), shown));
        let withheld = self
            .withheld
            .iter()
            .map(|gap| format!("{}: {}", place(&gap.at), gap.reason.say(shown)));
        section(&mut lines, "Not worked out", withheld);
        section(
            &mut lines,
            "Good to know",
            self.told(of(Weight::Note), shown),
        );
        section(&mut lines, "After the plan", self.say_after(shown));
        section(&mut lines, "Mind", CAUTIONS.map(str::to_owned));
        lines.join("\n") + "\n"
    }

    fn told<'a>(
        &'a self,
        keep: impl Fn(&&'a Remark) -> bool + 'a,
        shown: Shown,
    ) -> impl Iterator<Item = String> + 'a {
        self.findings
            .iter()
            .filter(keep)
            .map(move |remark| remark.say(shown).to_string())
    }

    fn say_after(&self, shown: Shown) -> Vec<String> {
        let levels = self.after.levels.iter().map(|row| {
            let level = row.level;
            let (body, garment) = (shown.show(row.body), shown.show(row.garment));
            match (row.ease, row.wanted) {
                (Some(ease), Some(wanted)) => format!(
                    "{level}: garment {garment}, body {body}, ease {}, wanted {}",
                    shown.show_some(ease),
                    shown.show(wanted)
                ),
                _ => format!("{level}: cut for a body of {garment}, body {body}"),
            }
        });
        let lines = self.after.lines.iter().map(|row| {
            let part = if (row.from, row.to) == (Line::Shoulder, Line::Waist) {
                "back neck to waist line".to_owned()
            } else {
                format!("{} to {}", row.from, row.to)
            };
            let mut text = format!("{part}: {}", shown.show(row.then));
            if row.then != row.drawn {
                text += &format!(" (drawn {})", shown.show(row.drawn));
            }
            if let Some(body) = row.body {
                text += &format!(", body {}", shown.show(body));
            }
            text
        });
        let hem = self
            .after
            .hem_above_floor
            .map(|height| format!("hem: {} above the floor", shown.show(height)));
        let parts = self.after.parts.iter().map(|row| row.say(shown));
        levels.chain(lines).chain(hem).chain(parts).collect()
    }
}

fn section(lines: &mut Vec<String>, title: &str, rows: impl IntoIterator<Item = String>) {
    let mut rows = rows.into_iter().peekable();
    if rows.peek().is_some() {
        lines.push(String::new());
        lines.push(format!("{title}:"));
        lines.extend(rows.map(|row| format!("  {row}")));
    }
}

impl PartAfter {
    fn say(&self, shown: Shown) -> String {
        let is_place = self.part == Part::ShoulderForward.name();
        let show = |length: Length| match length {
            _ if !is_place => shown.show(length),
            _ if length < Length::ZERO => format!("{} behind", shown.show(-length)),
            _ => format!("{} before", shown.show(length)),
        };
        let mut text = format!("{}: {}", self.part, show(self.then));
        if is_place {
            text += " its neck end";
        }
        if self.then != self.drawn {
            text += &format!(" (drawn {})", show(self.drawn));
        }
        text += &format!(", body {}", show(self.body));
        if let Some(wanted) = self.wanted {
            let ease = shown.show_some(self.then - self.body);
            text += &format!(", ease {ease}, wanted {}", shown.show(wanted));
        }
        text
    }
}

impl Step {
    /// The step in a few sentences: what to do, the sum, how sure it is, what to mind.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        let mut text = format!("{}. {}.", self.order, self.what(shown));
        let of = match &self.at {
            Site::Level(level) => level.name(),
            _ => "The sum",
        };
        text += &format!(" {of}: {}.", self.sum.say(shown));
        if self.confidence == Confidence::CheckFirst {
            text += " Check on the body first";
            if self.sd.mm() > 0.0 {
                text += &format!(" (uncertain by {})", shown.show_some(self.sd));
            }
            text += ".";
        }
        let advice = self.advice.say(shown);
        if !advice.is_empty() {
            text += &format!(" {advice}");
        }
        text
    }

    /// What to do, without the sum.
    fn what(&self, shown: Shown) -> String {
        let amount = self.amount.map(|amount| shown.show_some(amount));
        let amount = amount.unwrap_or_default();
        let at = place(&self.at);
        let side = self.side.map(|side| format!("{side} ")).unwrap_or_default();
        let mut text = match &self.action {
            Action::UseSize(size) => format!("Cut the {at} in size {size}"),
            Action::Grade(from, to) => format!("Grade from size {from} to size {to} {at}"),
            Action::Add => format!("Add {amount} at the {at}"),
            Action::TakeIn => format!("Take in {amount} at the {at}"),
            Action::LetIn => format!("Let in {amount} {}", across(&self.at)),
            Action::FoldOut => format!("Fold out {amount} {}", across(&self.at)),
            Action::Lengthen => format!("Lengthen by {amount} at the {side}{at}"),
            Action::Shorten => format!("Shorten by {amount} at the {side}{at}"),
            Action::Lower => format!("Lower the {at} by {amount}"),
            Action::Raise => format!("Raise the {at} by {amount}"),
            Action::MoveOut => format!("Move the {at} apart by {amount} in all"),
            Action::MoveIn => format!("Move the {at} together by {amount} in all"),
            Action::MoveForward => format!("Move the {side}{at} forward by {amount}"),
            Action::MoveBack => format!("Move the {side}{at} back by {amount}"),
            Action::ToFront => format!("Give the front {amount} of the back's width at the {at}"),
            Action::ToBack => format!("Give the back {amount} of the front's width at the {at}"),
            Action::CutApart => format!("Cut left and right apart: {side}{at} larger by {amount}"),
            Action::Pad => format!("Pad the {side}{at} by {amount}"),
        };
        match self.share {
            Some(Share::Edges { edges, each, .. }) => {
                let each = part_of(self.amount, each, f64::from(edges), shown);
                text += &format!(", {each} at each of {edges} seam edges");
            }
            Some(Share::Crease { each }) => {
                let each = part_of(self.amount, each, 2.0, shown);
                text += &format!(", {each} on each side of the crease");
            }
            Some(Share::Halves { each }) => {
                let each = part_of(self.amount, each, 2.0, shown);
                text += &format!(", {each} on each side");
            }
            None => {}
        }
        text
    }
}

/// One of some equal shares, marked where as many of them as shown do not make the amount as shown.
fn part_of(amount: Option<Length>, each: Length, count: f64, shown: Shown) -> String {
    let steps = |length: Length| (length.mm() / shown.step().mm()).round();
    let text = shown.show_some(each);
    let whole = amount.is_none_or(|amount| (steps(each) * count - steps(amount)).abs() < 0.5);
    if whole || shown.is_too_small(each) {
        text
    } else {
        format!("about {text}")
    }
}

fn across(at: &Site) -> String {
    match at {
        Site::Between(..) => place(at),
        _ => format!("across the {}", place(at)),
    }
}

fn place(at: &Site) -> String {
    match at {
        Site::Level(level) => level.to_string(),
        Site::Between(upper, lower) => format!("between {upper} and {lower}"),
        Site::Hem => "hem".to_owned(),
        Site::Part(part) => part.clone(),
    }
}
