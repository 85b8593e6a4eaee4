//! Lengths as people write and read them: `38 5/8`, `98.2 cm`.

use super::Length;

/// How to show lengths to a person.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Shown {
    /// Centimetres with one decimal.
    #[default]
    Centimetres,
    /// Inches with the nearest eighth.
    InchEighths,
}

impl Shown {
    /// `length` with its unit, rounded for reading: `98.2 cm` or `38 5/8 in`.
    ///
    /// # Examples
    /// ```
    /// use girthwise::{Length, length::text::Shown};
    /// let girth = Length::from_mm(981.0);
    /// assert_eq!(Shown::Centimetres.show(girth), "98.1 cm");
    /// assert_eq!(Shown::InchEighths.show(girth), "38 5/8 in");
    /// assert_eq!(Shown::InchEighths.show(Length::from_mm(-9.5)), "-3/8 in");
    /// ```
    #[must_use]
    pub fn show(self, length: Length) -> String {
        match self {
            Self::Centimetres => {
                let tenths = length.mm().round();
                // `+ 0.0` turns a rounded -0 into 0.
                format!("{:.1} cm", tenths / 10.0 + 0.0)
            }
            Self::InchEighths => format!("{} in", eighths(length)),
        }
    }
}

/// The nearest eighth of an inch, in lowest terms, without the unit.
#[expect(
    clippy::cast_possible_truncation,
    reason = "saturates for lengths no body or garment has"
)]
fn eighths(length: Length) -> String {
    let total = (length.inch() * 8.0).round() as i64;
    let sign = if total < 0 { "-" } else { "" };
    let (whole, part) = (total.unsigned_abs() / 8, total.unsigned_abs() % 8);
    let fraction = match part {
        0 => return format!("{sign}{whole}"),
        4 => "1/2".to_owned(),
        2 | 6 => format!("{}/4", part / 2),
        _ => format!("{part}/8"),
    };
    if whole == 0 {
        format!("{sign}{fraction}")
    } else {
        format!("{sign}{whole} {fraction}")
    }
}
