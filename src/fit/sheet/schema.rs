//! The form of the sheet as a JSON Schema, for programs that write sheets.

use super::form::{self, Takes};
use super::pieces::MAX_CUT;
use super::read::MAX_SEAMS;
use super::{MAX_PIECES, MAX_SIZES};
use serde_json::{Map, Value, json};

/// What a length in words holds at least; the reader tells what else may be wrong with it.
const DIGIT: &str = "[0-9½¼¾⅛⅜⅝⅞⅓⅔]";

/// The keys no sheet, hem or piece goes without.
const NEEDED: &[(&str, &[&str])] = &[
    ("", &["name", "unit", "sizes", "waist_line"]),
    ("hem", &["allowance"]),
    ("piece", &["name", "cut"]),
];

/// The JSON Schema of a garment sheet, its TOML taken as the same value in JSON.
///
/// It says what each key takes. What ties several keys together (one length for each size, tables
/// that rise, the hem given once) is left to [`read_garment`](super::read_garment).
pub(crate) fn schema() -> Value {
    let mut sheet = table("");
    if let Some(keys) = sheet["properties"].as_object_mut() {
        for &(name, _) in form::TABLES {
            keys.insert(name.to_owned(), table(name));
        }
        let pieces = json!({
            "description": "Pattern pieces measured flat, which add up to the finished measures.",
            "type": "array", "maxItems": MAX_PIECES, "items": table("piece"),
        });
        keys.insert("piece".to_owned(), pieces);
    }
    let length =
        |number: Value| json!({ "anyOf": [number, { "type": "string", "pattern": DIGIT }] });
    let mut schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Garment",
        "description": "A garment sheet: what a sewist copies from the pattern, in the sheet's own unit. \
            A length is a number, or text with a fraction or a unit: \"38 5/8\", \"98 cm\".",
        "$defs": {
            "length": length(json!({ "type": "number", "exclusiveMinimum": 0 })),
            "length_or_nought": length(json!({ "type": "number", "minimum": 0 })),
            "signed_length": length(json!({ "type": "number" })),
            "table": {
                "type": "array", "minItems": 1, "maxItems": MAX_SIZES,
                "items": { "$ref": "#/$defs/length" },
            },
        },
    });
    if let (Some(whole), Value::Object(sheet)) = (schema.as_object_mut(), sheet) {
        whole.extend(sheet);
    }
    schema
}

/// A table of the sheet: its keys and no others.
fn table(name: &str) -> Value {
    let keys: Map<String, Value> = form::entries(name)
        .into_iter()
        .map(|(key, takes, about)| {
            let mut value = takes.schema();
            value["description"] = about.into();
            (key.to_owned(), value)
        })
        .collect();
    let needed = NEEDED.iter().find(|(table, _)| *table == name);
    json!({
        "type": "object",
        "properties": keys,
        "required": needed.map_or(&[][..], |(_, keys)| keys),
        "additionalProperties": false,
    })
}

impl Takes {
    fn schema(self) -> Value {
        match self {
            Self::Text => json!({ "type": "string", "pattern": r"\S" }),
            Self::OneOf(words) => json!({ "enum": words }),
            Self::Names => json!({
                "type": "array", "minItems": 1, "maxItems": MAX_SIZES, "uniqueItems": true,
                "items": { "type": ["string", "integer"], "pattern": r"\S" },
            }),
            Self::Table => json!({ "$ref": "#/$defs/table" }),
            Self::Line => json!({
                "anyOf": [{ "$ref": "#/$defs/length" }, { "$ref": "#/$defs/table" }],
            }),
            Self::SignedLine => json!({
                "anyOf": [{ "$ref": "#/$defs/signed_length" }, {
                    "type": "array", "minItems": 1, "maxItems": MAX_SIZES,
                    "items": { "$ref": "#/$defs/signed_length" },
                }],
            }),
            Self::Length => json!({ "$ref": "#/$defs/length" }),
            Self::LengthOrNought => json!({ "$ref": "#/$defs/length_or_nought" }),
            Self::Signed => json!({ "$ref": "#/$defs/signed_length" }),
            Self::Seams => {
                let count = json!({ "type": "integer", "minimum": 0, "maximum": MAX_SEAMS });
                let places = json!({
                    "type": "object",
                    "properties": { "side": count, "front": count, "back": count },
                    "additionalProperties": false,
                });
                json!({ "anyOf": [count, places] })
            }
            // For darts fewer are too many, which the reader keeps.
            Self::Count => json!({ "type": "integer", "minimum": 0, "maximum": MAX_CUT }),
            Self::Percent => json!({ "type": "number", "minimum": 0, "maximum": 100 }),
        }
    }
}
