//! Fields that other programs add: kept as they are, and written again in their place.

use super::Profile;
use serde::ser::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::{Map, Value};

/// Fields of a document that this crate has no use for.
///
/// They belong to an object of the document: the whole, a measure, a landmark. An object is found
/// again by what it is about, so that a list may change in between; if it is gone, its fields go
/// with it. A field that this crate writes itself is never overwritten.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Others {
    fields: Map<String, Value>,
    within: Vec<(Step, Others)>,
}

/// The way from a value to one inside it.
#[derive(Clone, Debug, PartialEq)]
enum Step {
    Field(String),
    /// An item of a list, by what it is about.
    Item(String),
}

impl Others {
    /// True if nobody has added anything.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.fields.is_empty() && self.within.is_empty()
    }

    /// What a document says beyond what was understood of it.
    pub(super) fn between(document: &Value, understood: &Value) -> Self {
        let mut others = Self::default();
        match (document, understood) {
            (Value::Object(document), Value::Object(understood)) => {
                for (name, value) in document {
                    match understood.get(name) {
                        Some(known) => others.add(Step::Field(name.clone()), value, known),
                        None => {
                            others.fields.insert(name.clone(), value.clone());
                        }
                    }
                }
            }
            (Value::Array(document), Value::Array(understood)) => {
                for (index, (value, known)) in document.iter().zip(understood).enumerate() {
                    others.add(Step::Item(about(known, index)), value, known);
                }
            }
            _ => (),
        }
        others
    }

    fn add(&mut self, step: Step, document: &Value, understood: &Value) {
        let more = Self::between(document, understood);
        if !more.is_empty() {
            self.within.push((step, more));
        }
    }

    /// Puts everything back into the document.
    fn put_back(&self, document: &mut Value) {
        if let Value::Object(object) = document {
            for (name, value) in &self.fields {
                object.entry(name).or_insert_with(|| value.clone());
            }
        }
        for (step, more) in &self.within {
            let place = match (step, &mut *document) {
                (Step::Field(name), Value::Object(object)) => object.get_mut(name),
                (Step::Item(item), Value::Array(list)) => {
                    let found = list
                        .iter()
                        .enumerate()
                        .position(|(i, v)| about(v, i) == *item);
                    found.and_then(|index| list.get_mut(index))
                }
                _ => None,
            };
            if let Some(place) = place {
                more.put_back(place);
            }
        }
    }
}

/// What an item of a list is about: a measure, a part of the body, a cause; else its place.
fn about(item: &Value, index: usize) -> String {
    ["key", "part", "cause", "why"]
        .iter()
        .find_map(|name| item.get(name))
        .map_or_else(
            || index.to_string(),
            |what| format!("{what} {}", item.get("side").unwrap_or(&Value::Null)),
        )
}

impl Serialize for Profile {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.others.is_empty() {
            return Self::serialize(self, serializer);
        }
        let mut document =
            Self::serialize(self, serde_json::value::Serializer).map_err(S::Error::custom)?;
        self.others.put_back(&mut document);
        document.serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Profile {
    /// Without checks, and without what others added; [`Profile::from_json`] does both.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Self::deserialize(deserializer)
    }
}
