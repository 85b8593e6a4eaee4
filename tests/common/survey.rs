//! What a survey has for people of a body's build, held against what is measured on it.
#![allow(dead_code, reason = "the test and the example use a part of it each")]

use girthwise::measure::{Key, MeasureId, MeasureSet};
use girthwise::side::Side;
use serde_json::Value;
use std::path::Path;

/// Kilograms a litre of a body, lungs half full (from memory: 0.98 to 1.07).
const KG_A_LITRE: f64 = 1.01;

/// One of our measures by a survey's dimension, for one sex.
#[derive(Clone, Debug)]
pub(crate) struct Regression {
    pub(crate) key: Key,
    /// The survey's name for it.
    pub(crate) dimension: String,
    female: bool,
    intercept: f64,
    slopes: [f64; 4],
    /// Standard deviation of people about it, in mm.
    pub(crate) residual: f64,
    /// How the survey's definition differs from ours; empty if it does not.
    pub(crate) difference: String,
}

/// What the survey's people are asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Build {
    female: bool,
    /// Stature in mm, mass in kg, chest and buttock girth in mm.
    by: [f64; 4],
}

impl Build {
    /// Sex and volume as the truth file has them, the rest as measured.
    pub(crate) fn of(truth: &Value, found: &MeasureSet) -> Option<Self> {
        let number = |place: &str| truth.pointer(place).and_then(Value::as_f64);
        let mm = |key: Key| found.get(key).map(|measure| measure.value);
        Some(Self {
            female: number("/body/sex_of_model")? > 0.5,
            by: [
                mm(Key::Stature)?,
                KG_A_LITRE * number("/body/volume_l")?,
                mm(Key::BustGirth)?,
                mm(Key::HipGirth)?,
            ],
        })
    }
}

impl Regression {
    /// What people of a build have, if they are of its sex.
    fn expected(&self, build: &Build) -> Option<f64> {
        let terms = self.slopes.iter().zip(build.by).map(|(a, b)| a * b);
        (self.female == build.female).then(|| self.intercept + terms.sum::<f64>())
    }
}

/// The regressions of `data/survey`.
///
/// # Panics
/// If the file is not there or holds something else.
pub(crate) fn regressions(file: &Path) -> Vec<Regression> {
    let mut reader =
        csv::Reader::from_path(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    let rows = reader.records().map(|row| {
        let row = row.unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        let number = |at: usize| row[at].parse::<f64>().unwrap_or_else(|_| panic!("{row:?}"));
        Regression {
            key: Key::from_text(&row[0]).unwrap_or_else(|| panic!("no measure {}", &row[0])),
            dimension: row[1].to_owned(),
            female: &row[2] == "f",
            intercept: number(4),
            slopes: [5, 6, 7, 8].map(number),
            residual: number(9),
            difference: row[10].to_owned(),
        }
    });
    rows.collect()
}

/// How far a body's measure lies over what the survey has for its build, in mm; of a pair the mean of what was taken.
pub(crate) fn offset(
    rows: &[Regression],
    key: Key,
    build: &Build,
    found: &MeasureSet,
) -> Option<f64> {
    let sides = Side::of_pair(key.definition().paired).iter();
    let taken: Vec<f64> = sides
        .filter_map(|&side| found.get(MeasureId::new(key, side)))
        .map(|measure| measure.value)
        .collect();
    let of_key = rows.iter().filter(|row| row.key == key);
    let expected = of_key.filter_map(|row| row.expected(build)).next()?;
    (!taken.is_empty()).then(|| mean(&taken) - expected)
}

#[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 bodies")]
pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Standard deviation of a sample.
#[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 bodies")]
pub(crate) fn scatter(values: &[f64]) -> f64 {
    let middle = mean(values);
    let square: f64 = values.iter().map(|value| (value - middle).powi(2)).sum();
    (square / (values.len() as f64 - 1.0)).sqrt()
}
