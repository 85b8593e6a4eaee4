//! The sum behind a step, term by term, so that it can be followed by hand.

use crate::length::{Length, text::Shown};
use serde::{Deserialize, Serialize};

/// What a [`Term`] does to the running total.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
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
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
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

    /// The sum in words, each number rounded on its own.
    ///
    /// A term too small to show is left out of the sentence, and stays in the sum.
    /// A stated total is shown without its sign: its label says which way.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        let mut text = String::new();
        for (index, term) in self.0.iter().enumerate() {
            let is_share = matches!(term.sign, Sign::Plus | Sign::Minus);
            if is_share && index > 0 && shown.is_too_small(term.value) {
                continue;
            }
            let value = shown.show(term.value);
            let size = shown.show_some(term.value.abs());
            let label = term.label.as_str();
            let piece = match (term.sign, index) {
                (Sign::Plus, 0) => format!("{label} {value}"),
                (Sign::Plus, _) if term.value < Length::ZERO => format!(" − {label} {size}"),
                (Sign::Plus, _) => format!(" + {label} {value}"),
                (Sign::Minus, _) if term.value < Length::ZERO => format!(" + {label} {size}"),
                (Sign::Minus, _) => format!(" − {label} {value}"),
                (Sign::Against, _) => format!("; {label} {value}"),
                (Sign::Makes, _) if label.is_empty() => format!(" = {value}"),
                (Sign::Makes, _) => format!(" = {value} {label}"),
                (Sign::Leaves, _) => format!("; {size} {label}"),
            };
            text.push_str(&piece);
        }
        text
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
