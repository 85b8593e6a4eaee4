//! Slips of the pen: what a reading may have been before it was written wrongly.

use crate::length::Length;
use crate::length::reading::read_written;
use crate::tape::Reading;
use std::collections::BTreeSet;

/// A way to write a number wrongly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Slip {
    /// Two neighbouring digits changed places.
    Swapped,
    /// A digit too many.
    Extra,
    /// A digit was left out.
    Missing,
    /// The decimal mark one place aside, or left out before the last digit.
    Point,
    /// The fraction was counted from the wrong end of the inch: 3/8 for 5/8.
    Mirrored,
}

impl Slip {
    pub(crate) const ALL: [Self; 5] = [
        Self::Swapped,
        Self::Extra,
        Self::Missing,
        Self::Point,
        Self::Mirrored,
    ];

    /// What `reading` may have been before this slip: text and length, every one once.
    pub(crate) fn undone(self, reading: &Reading) -> Vec<(String, Length)> {
        let chars: Vec<char> = reading.text.chars().collect();
        let texts = match self {
            Self::Swapped => swapped(&chars),
            Self::Extra => shortened(&chars),
            Self::Missing => lengthened(&chars),
            Self::Point => repointed(&chars),
            Self::Mirrored => mirrored(&reading.text),
        };
        texts
            .into_iter()
            .filter(|text| *text != reading.text)
            .filter_map(|text| {
                let written = read_written(&text, reading.unit).ok()?;
                Some((text, written.length()))
            })
            .collect()
    }
}

fn swapped(chars: &[char]) -> BTreeSet<String> {
    (1..chars.len())
        .filter(|&i| chars[i - 1].is_ascii_digit() && chars[i].is_ascii_digit())
        .map(|i| {
            let mut edited = chars.to_vec();
            edited.swap(i - 1, i);
            edited.into_iter().collect()
        })
        .collect()
}

fn shortened(chars: &[char]) -> BTreeSet<String> {
    (0..chars.len())
        .filter(|&i| chars[i].is_ascii_digit())
        .map(|i| {
            let mut edited = chars.to_vec();
            edited.remove(i);
            edited.into_iter().collect()
        })
        .collect()
}

/// A digit put in before or behind another one of the whole number; a leading zero is no digit left out.
fn lengthened(chars: &[char]) -> BTreeSet<String> {
    let whole = chars.iter().take_while(|c| c.is_ascii_digit()).count();
    (0..=whole)
        .filter(|_| whole > 0)
        .flat_map(|i| ('0'..='9').map(move |digit| (i, digit)))
        .filter(|&(i, digit)| i > 0 || digit != '0')
        .map(|(i, digit)| {
            let mut edited = chars.to_vec();
            edited.insert(i, digit);
            edited.into_iter().collect()
        })
        .collect()
}

fn repointed(chars: &[char]) -> BTreeSet<String> {
    let is_mark = |c: &char| matches!(c, '.' | ',');
    let mut found = BTreeSet::new();
    let whole = chars.iter().take_while(|c| c.is_ascii_digit()).count();
    let Some(mark) = chars.iter().position(is_mark) else {
        // "360" for "36,0"; a fraction or a single digit has no place for a mark.
        if whole > 1 && !chars.contains(&'/') {
            let mut edited = chars.to_vec();
            edited.insert(whole - 1, '.');
            found.insert(edited.into_iter().collect());
        }
        return found;
    };
    for other in [mark.wrapping_sub(1), mark + 1] {
        if chars.get(other).is_some_and(char::is_ascii_digit) {
            let mut edited = chars.to_vec();
            edited.swap(mark, other);
            found.insert(
                edited
                    .into_iter()
                    .collect::<String>()
                    .trim_end_matches(['.', ','])
                    .to_owned(),
            );
        }
    }
    found
}

fn mirrored(text: &str) -> BTreeSet<String> {
    let edited = || {
        let slash = text.find('/')?;
        let over_at = text[..slash]
            .rfind(|c: char| !c.is_ascii_digit())
            .map_or(0, |at| {
                at + text[at..].chars().next().map_or(1, char::len_utf8)
            });
        let tail = &text[slash + 1..];
        let under_end = tail
            .find(|c: char| !c.is_ascii_digit())
            .unwrap_or(tail.len());
        let over: u32 = text[over_at..slash].parse().ok()?;
        let under: u32 = tail[..under_end].parse().ok()?;
        let other = under.checked_sub(over)?;
        Some(format!("{}{other}{}", &text[..over_at], &text[slash..]))
    };
    edited().into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::LengthUnit;
    use crate::measure::Key;

    fn undone(slip: Slip, text: &str, unit: LengthUnit) -> Vec<String> {
        let reading = Reading {
            id: Key::HipGirth.into(),
            length: Length::ZERO,
            text: text.to_owned(),
            unit,
            row: 1,
            repeat: None,
            note: String::new(),
        };
        let mut texts: Vec<String> = slip.undone(&reading).into_iter().map(|(t, _)| t).collect();
        texts.sort();
        texts
    }

    #[test]
    fn slips_are_undone() {
        use LengthUnit::{Centimetre, Inch};
        assert_eq!(undone(Slip::Swapped, "98.2 cm", Inch), ["89.2 cm"]);
        assert_eq!(undone(Slip::Swapped, "88", Centimetre), [""; 0]);
        assert_eq!(undone(Slip::Extra, "118.2", Centimetre), ["11.2", "18.2"]);
        let missing = undone(Slip::Missing, "9.2", Centimetre);
        assert!(missing.contains(&"98.2".to_owned()) && !missing.contains(&"09.2".to_owned()));
        assert_eq!(undone(Slip::Point, "9,45", Centimetre), [",945", "94,5"]);
        assert_eq!(undone(Slip::Point, "9,4", Centimetre), [",94", "94"]);
        assert_eq!(undone(Slip::Point, "155 cm", Centimetre), ["15.5 cm"]);
        assert_eq!(undone(Slip::Mirrored, "38 3/8", Inch), ["38 5/8"]);
        assert_eq!(undone(Slip::Mirrored, "é3/8\"", Inch), [""; 0]);
        assert_eq!(undone(Slip::Mirrored, "38", Inch), [""; 0]);
    }
}
