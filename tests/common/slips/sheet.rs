//! A tape sheet with ordinary errors alone.

use super::super::truth::{Basis, references};
use super::Subject;
use super::dice::Dice;
use girthwise::length::text::Shown;
use girthwise::measure::{Key, MeasureId, Mode};
use girthwise::tape::{TapeSet, pool, read_tape};
use girthwise::{Length, LengthUnit};
use std::fmt::Write;

pub(super) struct Row {
    pub(super) id: MeasureId,
    pub(super) mm: f64,
    /// What is written, if not the length.
    pub(super) text: Option<String>,
}

/// A sheet of true values, each with an ordinary error, and how it is written.
pub(super) struct Sheet {
    pub(super) shown: Shown,
    pub(super) rows: Vec<Row>,
}

impl Sheet {
    pub(super) fn of(subject: &Subject, dice: &mut Dice) -> Self {
        let shown = if dice.sign() > 0.0 {
            Shown::InchEighths
        } else {
            Shown::Centimetres
        };
        let rows = references(&subject.truth)
            .into_iter()
            .filter(|reference| {
                reference.basis == Basis::Skin && !reference.id.key.definition().tape.is_empty()
            })
            .filter_map(|reference| {
                let sd = ordinary_error(reference.id.key, reference.value)?;
                Some(Row {
                    id: reference.id,
                    mm: reference.value + sd * dice.normal(),
                    text: None,
                })
            })
            .collect();
        Self { shown, rows }
    }

    pub(super) fn read(&self) -> TapeSet {
        let unit = self.unit();
        let mut text = format!("# unit = {}\nmeasure;reading;side\n", unit.sign());
        for row in &self.rows {
            let side = row
                .id
                .side
                .map_or_else(String::new, |side| side.to_string());
            let written = row.text.clone().unwrap_or_else(|| self.write(row.mm));
            let name = row.id.key.definition().text;
            writeln!(text, "{name};{written};{side}").expect("a string takes all");
        }
        pool(&read_tape(text.as_bytes(), "planted.csv", unit).expect("a sound sheet"))
    }

    pub(super) fn unit(&self) -> LengthUnit {
        match self.shown {
            Shown::InchEighths => LengthUnit::Inch,
            Shown::Centimetres => LengthUnit::Centimetre,
        }
    }

    /// The number without its unit.
    pub(super) fn write(&self, mm: f64) -> String {
        number(self.shown, mm)
    }

    pub(super) fn girths(&self) -> Vec<usize> {
        let is_girth = |&row: &usize| self.rows[row].id.key.definition().is_girth();
        (0..self.rows.len()).filter(is_girth).collect()
    }
}

pub(super) fn number(shown: Shown, mm: f64) -> String {
    let text = shown.show(Length::from_mm(mm));
    text.trim_end_matches(|c: char| !c.is_ascii_digit())
        .to_owned()
}

fn ordinary_error(key: Key, mm: f64) -> Option<f64> {
    let row = key.definition();
    match row.mode {
        _ if row.is_girth() => Some(0.020 * mm),
        Mode::Height if key == Key::Stature => Some(6.1),
        Mode::Height => Some(7.5),
        _ => None,
    }
}
