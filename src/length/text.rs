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

    /// `length` for a sentence in which nought would mislead: as [`Self::show`], but what is
    /// there and too small to show reads `under 1/8 in` or `under 0.1 cm`, whatever its sign.
    ///
    /// # Examples
    /// ```
    /// use girthwise::{Length, length::text::Shown};
    /// let hair = Length::from_mm(0.4);
    /// assert_eq!(Shown::InchEighths.show_some(hair), "under 1/8 in");
    /// assert_eq!(Shown::Centimetres.show_some(hair), "under 0.1 cm");
    /// assert_eq!(Shown::Centimetres.show_some(Length::ZERO), "0.0 cm");
    /// ```
    #[must_use]
    pub fn show_some(self, length: Length) -> String {
        if length.mm().abs() <= ROUND_OFF_MM || !self.is_too_small(length) {
            return self.show(length);
        }
        format!("under {}", self.show(self.step()))
    }

    /// An uncertainty, rounded up to what is shown, so that none reads smaller than it is.
    ///
    /// # Examples
    /// ```
    /// use girthwise::{Length, length::text::Shown};
    /// let give = Length::from_mm(3.2);
    /// assert_eq!(Shown::Centimetres.show_up(give), "0.4 cm");
    /// assert_eq!(Shown::InchEighths.show_up(give), "1/4 in");
    /// assert_eq!(Shown::InchEighths.show_up(Length::from_inch(0.25)), "1/4 in");
    /// ```
    #[must_use]
    pub fn show_up(self, length: Length) -> String {
        let steps = (length.mm() - ROUND_OFF_MM) / self.step().mm();
        self.show(self.step() * steps.ceil())
    }

    /// True if [`Self::show`] rounds `length` to nought.
    #[must_use]
    pub fn is_too_small(self, length: Length) -> bool {
        (length / self.step().mm()).mm().abs() < 0.5
    }

    /// The smallest length that is shown, and the distance from one shown length to the next.
    #[must_use]
    pub const fn step(self) -> Length {
        match self {
            Self::Centimetres => Length::from_mm(1.0),
            Self::InchEighths => Length::from_inch(0.125),
        }
    }
}

/// Differences below this are round-off of millimetre arithmetic, and are nought.
const ROUND_OFF_MM: f64 = 1e-6;

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

#[cfg(test)]
mod tests {
    use super::*;

    /// Half a step rounds away from nought: 1/16 in is 1.5875 mm, by the inch of 25.4 mm.
    #[test]
    fn what_is_there_never_reads_as_nought() {
        let inches = |mm| Shown::InchEighths.show_some(Length::from_mm(mm));
        assert_eq!(inches(1.58), "under 1/8 in");
        assert_eq!(inches(-1.58), "under 1/8 in");
        assert_eq!(inches(1.59), "1/8 in");
        assert_eq!(inches(-3.2), "-1/8 in");
        assert_eq!(inches(0.0), "0 in");
        assert_eq!(inches(1e-9), "0 in");
        let cm = |mm| Shown::Centimetres.show_some(Length::from_mm(mm));
        assert_eq!(cm(0.49), "under 0.1 cm");
        assert_eq!(cm(0.51), "0.1 cm");
    }

    /// Both ways of asking agree over two steps, in steps of a hundredth of a millimetre.
    #[test]
    fn too_small_is_what_shows_as_nought() {
        for hundredths in -700..=700 {
            let length = Length::from_mm(f64::from(hundredths) / 100.0);
            for (shown, nought) in [(Shown::Centimetres, "0.0 cm"), (Shown::InchEighths, "0 in")] {
                assert_eq!(
                    shown.is_too_small(length),
                    shown.show(length) == nought,
                    "{length} as {shown:?}"
                );
            }
        }
    }
}
