//! JSON Schemas of the documents that other programs read and write.
//!
//! They are made from the types themselves (draft 2020-12), so they cannot say anything else than
//! the code does; `data/schema` keeps them for those who have no Rust at hand. An object may hold
//! more fields than its Schema names, but for the garment sheet, where an unknown key is a slip of
//! the pen.

use crate::fit::{CuttingPlan, sheet_schema};
use crate::profile::Profile;
use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema};
use serde_json::Value;

/// A document with a Schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Document {
    /// The profile, as `measure --json` and `crosscheck --json` print it.
    Profile,
    /// The cutting plan, as `fit --json` prints it.
    Plan,
    /// The garment sheet: its TOML, taken as the same value in JSON.
    Garment,
}

impl Document {
    /// Every document.
    pub const ALL: [Self; 3] = [Self::Profile, Self::Plan, Self::Garment];

    /// Its name in files and on the command line: `profile`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Profile => "profile",
            Self::Plan => "plan",
            Self::Garment => "garment",
        }
    }

    /// Its JSON Schema.
    ///
    /// # Examples
    /// ```
    /// use girthwise::schema::Document;
    /// let schema = Document::Profile.schema();
    /// assert_eq!(schema["properties"]["schema"]["const"], 1);
    /// ```
    #[must_use]
    pub fn schema(self) -> Value {
        match self {
            Self::Profile => of::<Profile>(),
            Self::Plan => of::<CuttingPlan>(),
            Self::Garment => sheet_schema(),
        }
    }
}

fn of<T: JsonSchema>() -> Value {
    SchemaSettings::draft2020_12()
        .with_transform(RecursiveTransform(in_plain_words))
        .into_generator()
        .into_root_schema_for::<T>()
        .to_value()
}

/// Descriptions come from the documentation of the types: without its sections for programmers,
/// its links and its line ends.
fn in_plain_words(schema: &mut Schema) {
    if let Some(Value::String(text)) = schema.get_mut("description") {
        let told = text.split("\n# ").next().unwrap_or_default();
        let words: Vec<_> = told.split_whitespace().collect();
        *text = words.join(" ").replace("[`", "`").replace("`]", "`");
    }
}
