//! Sentences with lengths in them that can still be shown in either unit.

use crate::length::{Length, text::Shown};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A piece of a [`Phrase`]: a number in a document is a length in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Piece {
    /// A length, shown in the reader's unit.
    Length(Length),
    /// Words, shown as they are.
    Words(String),
}

impl From<Length> for Piece {
    fn from(length: Length) -> Self {
        Self::Length(length)
    }
}

impl From<&str> for Piece {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

impl From<String> for Piece {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

/// A sentence that keeps its lengths as numbers until someone reads it.
///
/// # Examples
/// ```
/// use girthwise::{Length, fit::Phrase, length::text::Shown};
/// let phrase = Phrase::from_iter(["fold out ".into(), Length::from_inch(1.0).into()]);
/// assert_eq!(phrase.say(Shown::InchEighths), "fold out 1 in");
/// assert_eq!(phrase.say(Shown::Centimetres), "fold out 2.5 cm");
/// ```
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct Phrase(Vec<Piece>);

impl Phrase {
    /// The sentence with its lengths in the given way, each rounded on its own, none to nought.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        self.0
            .iter()
            .map(|piece| match piece {
                Piece::Length(length) => shown.show_some(*length),
                Piece::Words(words) => words.clone(),
            })
            .collect()
    }

    /// True if it says nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Its pieces, in order.
    #[must_use]
    pub fn pieces(&self) -> &[Piece] {
        &self.0
    }

    /// The sentence with a capital at its start, where a remark follows its topic without one.
    pub(super) fn with_capital(mut self) -> Self {
        if let Some(Piece::Words(words)) = self.0.first_mut() {
            let first = words.chars().next().map_or(0, char::len_utf8);
            words.replace_range(..first, &words[..first].to_uppercase());
        }
        self
    }

    /// Adds a sentence after a space, or starts with it.
    pub(super) fn join(&mut self, other: Self) {
        if !self.0.is_empty() && !other.is_empty() {
            self.0.push(" ".into());
        }
        self.0.extend(other.0);
    }
}

impl FromIterator<Piece> for Phrase {
    fn from_iter<I: IntoIterator<Item = Piece>>(pieces: I) -> Self {
        Self(pieces.into_iter().collect())
    }
}

/// A [`Phrase`] from words and lengths.
macro_rules! phrase {
    ($($piece:expr),* $(,)?) => {
        $crate::fit::Phrase::from_iter([$($crate::fit::Piece::from($piece)),*])
    };
}
pub(super) use phrase;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_document_keeps_lengths_as_numbers() {
        let said = phrase!["waist line sits ", Length::from_mm(25.4), " too low"];
        let json = serde_json::to_string(&said).unwrap();
        assert_eq!(json, r#"["waist line sits ",25.4," too low"]"#);
        let back: Phrase = serde_json::from_str(&json).unwrap();
        assert_eq!(back, said);
    }

    #[test]
    fn a_sentence_starts_with_a_capital() {
        let said = |phrase: Phrase| phrase.with_capital().say(Shown::Centimetres);
        assert_eq!(said(phrase!["an even share"]), "An even share");
        assert_eq!(said(phrase!["über"]), "Über");
        assert_eq!(said(phrase![Length::from_mm(10.0), " so"]), "1.0 cm so");
        assert_eq!(said(phrase![""]), "");
    }

    #[test]
    fn joined_sentences_have_one_space() {
        let mut text = Phrase::default();
        text.join(phrase!["One."]);
        text.join(Phrase::default());
        text.join(phrase!["Two."]);
        assert_eq!(text.say(Shown::Centimetres), "One. Two.");
    }
}
