//! Lengths written in the sheet: as a tape's, but an ease may be nought or less.

use crate::length::reading::{LengthFault, read_length};
use crate::length::{Length, LengthUnit};

/// Reads a length such as `38.5`, `38 5/8` or `98 cm`; a bare number is in the sheet's unit.
pub(super) fn read(text: &str, unit: LengthUnit) -> Result<Length, LengthFault> {
    let text = text.trim();
    let (negative, size) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    // A body measure is never nought, so the reader of lengths refuses it; an ease can be.
    let nought = size.contains('0') && size.chars().all(|c| matches!(c, '0' | '.'));
    let length = if nought {
        Length::ZERO
    } else {
        read_length(size, unit)?
    };
    Ok(if negative { -length } else { length })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_and_nought() {
        let mm = |text: &str| read(text, LengthUnit::Inch).map(Length::mm);
        for (text, inches) in [
            ("38 5/8", 38.625),
            ("38.5", 38.5),
            ("5/8", 0.625),
            ("-1 1/2", -1.5),
            ("0", 0.0),
            ("0.0", 0.0),
            ("100 mm", 100.0 / 25.4),
        ] {
            let found = mm(text).unwrap();
            assert!((found - inches * 25.4).abs() < 1e-9, "{text}: {found}");
        }
        for text in ["", "38 9/8", "inf", "1e3", "--1", "0/0", "3 4"] {
            assert!(mm(text).is_err(), "{text}");
        }
    }
}
