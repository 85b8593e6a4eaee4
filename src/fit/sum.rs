//! The sum behind a step, term by term, so that it can be followed by hand.

use crate::length::{Length, text::Shown};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a [`Term`] does to the running total.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Sign {
    /// Adds its value.
    Plus,
    /// Takes its value away.
    Minus,
    /// Takes its value away, and reads as the other side of a comparison.
    Against,
    /// States the running total so far.
    Makes,
    /// States the running total at the end.
    Leaves,
}

/// One term of a [`Sum`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Term {
    /// What it does.
    pub sign: Sign,
    /// What it is, in words.
    pub label: String,
    /// Its value, not rounded.
    #[serde(rename = "value_mm")]
    pub value: Length,
}

/// A sum with named terms, computed as it is written down.
///
/// # Examples
/// ```
/// use girthwise::{Length, fit::Sum, length::text::Shown};
/// let inch = Length::from_inch;
/// let sum = Sum::of("body", inch(41.5))
///     .plus("ease", inch(2.5))
///     .makes("")
///     .against("garment size 14 measures", inch(43.0))
///     .leaves("to add");
/// assert_eq!(
///     sum.say(Shown::InchEighths),
///     "body 41 1/2 in + ease 2 1/2 in = 44 in; garment size 14 measures 43 in; 1 in to add"
/// );
/// assert!((sum.total().inch() - 1.0).abs() < 1e-12);
/// ```
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Sum(Vec<Term>);

impl Sum {
    /// Starts with one term.
    #[must_use]
    pub fn of(label: impl Into<String>, value: Length) -> Self {
        Self::default().plus(label, value)
    }

    /// Adds a term.
    #[must_use]
    pub fn plus(self, label: impl Into<String>, value: Length) -> Self {
        self.with(Sign::Plus, label, value)
    }

    /// Takes a term away.
    #[must_use]
    pub fn minus(self, label: impl Into<String>, value: Length) -> Self {
        self.with(Sign::Minus, label, value)
    }

    /// Takes away what the total is compared with.
    #[must_use]
    pub fn against(self, label: impl Into<String>, value: Length) -> Self {
        self.with(Sign::Against, label, value)
    }

    /// Writes down the total so far.
    #[must_use]
    pub fn makes(self, label: impl Into<String>) -> Self {
        let total = self.total();
        self.with(Sign::Makes, label, total)
    }

    /// Writes down the total at the end.
    #[must_use]
    pub fn leaves(self, label: impl Into<String>) -> Self {
        let total = self.total();
        self.with(Sign::Leaves, label, total)
    }

    fn with(mut self, sign: Sign, label: impl Into<String>, value: Length) -> Self {
        self.0.push(Term {
            sign,
            label: label.into(),
            value,
        });
        self
    }

    /// The total of all terms, from the terms that add or take away.
    #[must_use]
    pub fn total(&self) -> Length {
        self.0
            .iter()
            .fold(Length::ZERO, |total, term| match term.sign {
                Sign::Plus => total + term.value,
                Sign::Minus | Sign::Against => total - term.value,
                Sign::Makes | Sign::Leaves => total,
            })
    }

    /// Its terms, in order.
    #[must_use]
    pub fn terms(&self) -> &[Term] {
        &self.0
    }

    /// The sum in words, rounded so that what is written adds up.
    ///
    /// The total at the end is rounded on its own. Where the terms, each rounded, do not come to
    /// it, the term whose rounding lost most is shown a step off and marked `about`.
    /// A term too small to show is left out of the sentence, and stays in the sum.
    /// A stated total is shown without its sign: its label says which way.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        let mut text = String::new();
        let mut running = 0.0;
        for (index, (term, steps)) in self.0.iter().zip(self.in_steps(shown)).enumerate() {
            let is_total = matches!(term.sign, Sign::Makes | Sign::Leaves);
            let steps = if is_total { running } else { steps };
            running += term.sign.factor() * steps;
            let is_share = matches!(term.sign, Sign::Plus | Sign::Minus);
            let as_rounded = same(steps, rounded(term.value, shown));
            if is_share && index > 0 && as_rounded && shown.is_too_small(term.value) {
                continue;
            }
            let (about, value) = if as_rounded {
                ("", term.value)
            } else {
                ("about ", shown.step() * steps)
            };
            text.push_str(&term.say(index, about, value, shown));
        }
        text
    }

    /// Each term in whole steps of what is shown, moved by as few as make them come to the total.
    fn in_steps(&self, shown: Shown) -> Vec<f64> {
        let mut steps: Vec<f64> = self
            .0
            .iter()
            .map(|term| rounded(term.value, shown))
            .collect();
        let ends = self
            .0
            .iter()
            .any(|term| term.sign == Sign::Leaves || term.sign == Sign::Makes);
        let total = rounded(self.total(), shown);
        for _ in 0..if ends { self.0.len() } else { 0 } {
            let come_to: f64 = self
                .0
                .iter()
                .zip(&steps)
                .map(|(term, n)| term.sign.factor() * n)
                .sum();
            let off = total - come_to;
            if same(off, 0.0) {
                break;
            }
            // What a step in the right direction would bring each term nearer to its own value.
            let gain = |index: usize| {
                let term = &self.0[index];
                let lost = term.value.mm() / shown.step().mm() - steps[index];
                term.sign.factor() * off.signum() * lost
            };
            let best = (0..steps.len())
                .filter(|&index| !same(self.0[index].sign.factor(), 0.0))
                .max_by(|&a, &b| gain(a).total_cmp(&gain(b)));
            let Some(best) = best else { break };
            steps[best] += self.0[best].sign.factor() * off.signum();
        }
        steps
    }
}

/// A length in whole steps of what is shown.
fn rounded(length: Length, shown: Shown) -> f64 {
    (length.mm() / shown.step().mm()).round()
}

/// Whole numbers that are the same.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.5
}

impl Sign {
    /// What its value counts for in the total.
    const fn factor(self) -> f64 {
        match self {
            Self::Plus => 1.0,
            Self::Minus | Self::Against => -1.0,
            Self::Makes | Self::Leaves => 0.0,
        }
    }
}

impl Term {
    fn say(&self, index: usize, about: &str, value: Length, shown: Shown) -> String {
        let below = value < Length::ZERO;
        let size = shown.show_some(value.abs());
        let value = shown.show(value);
        let label = self.label.as_str();
        match (self.sign, index) {
            (Sign::Plus, 0) => format!("{label} {about}{value}"),
            (Sign::Plus, _) if below => format!(" − {label} {about}{size}"),
            (Sign::Plus, _) => format!(" + {label} {about}{value}"),
            (Sign::Minus, _) if below => format!(" + {label} {about}{size}"),
            (Sign::Minus, _) => format!(" − {label} {about}{value}"),
            (Sign::Against, _) => format!("; {label} {about}{value}"),
            (Sign::Makes, _) if label.is_empty() => format!(" = {about}{value}"),
            (Sign::Makes, _) => format!(" = {about}{value} {label}"),
            (Sign::Leaves, _) => format!("; {size} {label}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.4 mm shows as nothing in either unit, and still counts: 900.4 − 900 = 0.4.
    #[test]
    fn a_term_too_small_to_show_is_kept_in_the_data() {
        let mm = Length::from_mm;
        let sum = Sum::of("body", mm(900.0))
            .plus("shift", mm(0.4))
            .makes("wanted")
            .against("garment", mm(900.0))
            .leaves("to add");
        assert_eq!(
            sum.say(Shown::Centimetres),
            "body 90.0 cm = 90.0 cm wanted; garment 90.0 cm; under 0.1 cm to add"
        );
        assert_eq!(sum.terms().len(), 5);
        assert!((sum.total().mm() - 0.4).abs() < 1e-12);
    }

    /// 92.445 + 6.04 − 96.02 = 2.465 cm, where the rounded terms make 2.4: the body lost most.
    #[test]
    fn what_is_written_adds_up() {
        let sum = Sum::of("body", Length::from_mm(924.45))
            .plus("ease", Length::from_mm(60.4))
            .makes("")
            .against("garment", Length::from_mm(960.2))
            .leaves("to add");
        assert_eq!(
            sum.say(Shown::Centimetres),
            "body about 92.5 cm + ease 6.0 cm = 98.5 cm; garment 96.0 cm; 2.5 cm to add"
        );
    }

    #[test]
    fn negative_terms_read_as_the_other_sign() {
        let mm = Length::from_mm;
        let sum = Sum::of("body", mm(900.0))
            .plus("ease", mm(-20.0))
            .minus("shift", mm(-5.0))
            .makes("wanted");
        assert_eq!(
            sum.say(Shown::Centimetres),
            "body 90.0 cm − ease 2.0 cm + shift 0.5 cm = 88.5 cm wanted"
        );
        assert!((sum.total().mm() - 885.0).abs() < 1e-12);
    }
}
