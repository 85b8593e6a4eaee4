//! Remarks on an answer: data, not errors.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// How much a [`Finding`] matters to someone about to cut cloth.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// Good to know; nothing to do.
    Note,
    /// Look at it before you rely on the numbers it touches.
    Look,
    /// Do something about it before you cut.
    Act,
}

/// Something the program decided, noticed or doubts, in plain words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// How much it matters.
    pub weight: Weight,
    /// What it is about, one or two words: `unit`, `up`, `holes`, `bust girth`.
    pub topic: String,
    /// A full sentence with the evidence, and the next step if there is one.
    pub text: String,
}

impl Finding {
    /// A remark for information.
    pub fn note(topic: impl Into<String>, text: impl Into<String>) -> Self {
        Self::new(Weight::Note, topic, text)
    }

    /// A remark to look at.
    pub fn look(topic: impl Into<String>, text: impl Into<String>) -> Self {
        Self::new(Weight::Look, topic, text)
    }

    /// A remark to act on.
    pub fn act(topic: impl Into<String>, text: impl Into<String>) -> Self {
        Self::new(Weight::Act, topic, text)
    }

    fn new(weight: Weight, topic: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            weight,
            topic: topic.into(),
            text: text.into(),
        }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.topic, self.text)
    }
}
