//! Lengths written by hand in the sheet: the one place that reads them.

use crate::length::{Length, LengthUnit};

/// Reads `38`, `38.5`, `38 5/8` or `5/8` in the sheet's unit; `None` if it is none of these.
pub(super) fn read(text: &str, unit: LengthUnit) -> Option<Length> {
    let mut words = text.split_whitespace();
    let (first, second) = (words.next()?, words.next());
    if words.next().is_some() {
        return None;
    }
    let value = match second {
        Some(part) => whole(first)? + fraction(part)?,
        None if first.contains('/') => fraction(first)?,
        None => decimal(first)?,
    };
    value.is_finite().then(|| unit.length(value))
}

fn decimal(text: &str) -> Option<f64> {
    let digits = text.strip_prefix(['-', '+']).unwrap_or(text);
    // Keeps out `inf`, `nan` and exponents, which no tape shows.
    let plain = digits.chars().all(|c| c.is_ascii_digit() || c == '.');
    plain.then(|| text.parse().ok()).flatten()
}

fn whole(text: &str) -> Option<f64> {
    text.parse::<u32>().ok().map(f64::from)
}

/// A proper fraction: its top below its bottom.
fn fraction(text: &str) -> Option<f64> {
    let (top, bottom) = text.split_once('/')?;
    let (top, bottom) = (whole(top)?, whole(bottom)?);
    (top < bottom).then(|| top / bottom)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_decimal_and_fraction() {
        let inch = |text| read(text, LengthUnit::Inch).map(Length::inch);
        for (text, value) in [
            ("38", 38.0),
            ("38.5", 38.5),
            ("38 5/8", 38.625),
            ("5/8", 0.625),
            ("-1.25", -1.25),
        ] {
            assert!((inch(text).unwrap() - value).abs() < 1e-12, "{text}");
        }
        for wrong in [
            "", "a", "3 4", "38 8/8", "1/0", "inf", "1e9", "3 5/8 x", ".",
        ] {
            assert_eq!(inch(wrong), None, "{wrong}");
        }
    }
}
