//! Names as people write them: spelling that does not matter, sides, and near misses.

use crate::side::Side;

/// Longest name looked at; the longest of the catalogue has under 50 characters.
pub(crate) const MAX_CHARS: usize = 60;

/// Likeness from which on a name is offered as a near miss: about one letter in three may differ.
const NEAR: f64 = 0.65;

/// Lower case words with single spaces.
pub(crate) fn plain(text: &str) -> String {
    let spaced = text.to_lowercase().replace(['_', '-'], " ");
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The side a text names: `left`, `right`, `l`, `r`.
pub(crate) fn side_named(text: &str) -> Option<Side> {
    match plain(text).as_str() {
        "left" | "l" => Some(Side::Left),
        "right" | "r" => Some(Side::Right),
        _ => None,
    }
}

/// A plain text without the side it starts with, if it does.
pub(crate) fn split_side(plain_text: &str) -> Option<(Side, &str)> {
    let (first, rest) = plain_text.split_once(' ')?;
    Some((side_named(first)?, rest))
}

/// What stands beside the name that comes closest to a text, if one comes close; the first of equals.
pub(crate) fn nearest<'n, T>(text: &str, names: impl Iterator<Item = (&'n str, T)>) -> Option<T> {
    if text.chars().count() > MAX_CHARS {
        return None;
    }
    let plain_text = plain(text);
    names
        .map(|(name, of)| {
            let like = strsim::normalized_damerau_levenshtein(&plain_text, &plain(name));
            (like, of)
        })
        .filter(|(like, _)| *like >= NEAR)
        .reduce(|best, next| if next.0 > best.0 { next } else { best })
        .map(|(_, of)| of)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spelling_and_sides() {
        assert_eq!(plain("  Left_Knee-girth "), "left knee girth");
        assert_eq!(split_side("l knee"), Some((Side::Left, "knee")));
        assert_eq!(split_side("knee left"), None);
    }

    #[test]
    fn the_first_of_equals_is_near() {
        let names = [("knee", 1), ("kneel", 2), ("knees", 3)];
        assert_eq!(nearest("kneex", names.into_iter()), Some(1));
        assert_eq!(nearest("hat", names.into_iter()), None);
        assert_eq!(nearest(&"knee".repeat(20), names.into_iter()), None);
    }
}
