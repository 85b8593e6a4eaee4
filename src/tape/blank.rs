//! A blank tape sheet to print or fill in: what to measure, in which order, and how.

use crate::measure::catalogue::{CATALOGUE, Mode};
use crate::measure::{Key, MeasureId};
use std::fmt::Write;

/// What a blank sheet is written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BlankFormat {
    /// A CSV table, as [`read_tape`](super::read_tape) reads it.
    Csv,
    /// TOML, as [`read_tape_toml`](super::read_tape_toml) reads it.
    Toml,
    /// A form to print and write on.
    Text,
}

/// Width of the printed form, in characters.
const WIDTH: usize = 78;

/// The measures that a tape can take, in measuring order: from the head down, same level together
/// (common practice, no source).
///
/// A level is that of the first landmark of the measure; the heights of the catalogue run downwards.
#[must_use]
pub fn measuring_order(ids: &[MeasureId]) -> Vec<MeasureId> {
    let mut order: Vec<MeasureId> = ids
        .iter()
        .copied()
        .filter(|id| !id.key.definition().tape.is_empty())
        .collect();
    order.sort_by_key(|id| (level(id.key), *id));
    order.dedup();
    order
}

/// Place of a measure's level among the heights of the catalogue; behind them all without one.
fn level(key: Key) -> usize {
    let mark = key.definition().marks.first();
    CATALOGUE
        .iter()
        .position(|row| row.mode == Mode::Height && mark.is_some() && row.marks.first() == mark)
        .unwrap_or(CATALOGUE.len())
}

/// A blank sheet for these measures, in measuring order; those a tape cannot take are left out.
#[must_use]
pub fn blank(ids: &[MeasureId], format: BlankFormat) -> String {
    let ids = measuring_order(ids);
    match format {
        BlankFormat::Csv => csv(&ids),
        BlankFormat::Toml => toml(&ids),
        BlankFormat::Text => form(&ids),
    }
}

fn side(id: MeasureId) -> String {
    id.side.map(|side| side.to_string()).unwrap_or_default()
}

fn csv(ids: &[MeasureId]) -> String {
    let mut text = String::from(
        "# unit = cm\n# date =\n# measured_by =\n# tape_starts_at =\n# tape_stretch =\nmeasure,side,reading,repeat,note,who,how\n",
    );
    for id in ids {
        let row = id.key.definition();
        let how = row.tape.replace('"', "\"\"");
        text += &format!("{},{},,,,,\"{how}\"\n", row.text, side(*id));
    }
    text
}

fn toml(ids: &[MeasureId]) -> String {
    let mut text = String::from(
        "unit = \"cm\"\ndate = \"\"\nmeasured_by = \"\"\n# What the tape shows at its end, if its zero is cut off: \"1 in\".\ntape_starts_at = \"\"\n# How much longer the true length is: \"0.5 cm in 100 cm\".\ntape_stretch = \"\"\n",
    );
    for id in ids {
        let row = id.key.definition();
        text += "\n";
        for line in textwrap::wrap(row.tape, WIDTH - 2) {
            text += &format!("# {line}\n");
        }
        text += &format!("[[reading]]\nmeasure = \"{}\"\n", row.text);
        if id.side.is_some() {
            text += &format!("side = \"{}\"\n", side(*id));
        }
        text += "reading = \"\"\n";
    }
    text
}

fn form(ids: &[MeasureId]) -> String {
    let mut text = String::from(
        "TAPE SHEET\n\nUnit ______  Date ____________  Measured by ____________________\n\nStand easily, feet together unless said, arms down. Left and right are the\nwearer's own. Take each measure twice; take a third where the two lie apart.\n",
    );
    for id in ids {
        let row = id.key.definition();
        let name = format!("{} {}", side(*id), row.name);
        let dots = ".".repeat(52_usize.saturating_sub(name.trim().chars().count()).max(2));
        // Writing to a String cannot fail.
        let _ = writeln!(text, "\n{} {dots} __________  __________", name.trim());
        for line in textwrap::wrap(row.tape, WIDTH - 4) {
            text += &format!("    {line}\n");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::LengthUnit;
    use crate::side::Side;
    use crate::tape::{read_tape, read_tape_toml};

    fn ids() -> Vec<MeasureId> {
        vec![
            Key::HipGirth.into(),
            MeasureId::new(Key::KneeGirth, Side::Left),
            Key::CalfHeight.into(),
            Key::BustGirth.into(),
            Key::BustHeight.into(),
        ]
    }

    #[test]
    fn from_the_neck_down_same_level_together() {
        let keys: Vec<Key> = measuring_order(&ids()).iter().map(|id| id.key).collect();
        let told = [
            Key::BustHeight,
            Key::BustGirth,
            Key::HipGirth,
            Key::KneeGirth,
        ];
        assert_eq!(keys, told, "and none that a tape cannot take");
    }

    #[test]
    fn a_blank_reads_back_and_filled_in_gives_readings() {
        let blanks = [BlankFormat::Csv, BlankFormat::Toml].map(|format| blank(&ids(), format));
        let filled = [
            blanks[0]
                .replace(",,,,,,\"", ",,98.2,,,,\"")
                .replace("left,,", "left,98.2,"),
            blanks[1].replace("reading = \"\"", "reading = \"98,2\""),
        ];
        let read = |csv: &str, toml: &str| {
            [
                read_tape(csv.as_bytes(), "t.csv", LengthUnit::Inch).unwrap(),
                read_tape_toml(toml.as_bytes(), "t.toml", LengthUnit::Inch).unwrap(),
            ]
        };
        for sheet in read(&blanks[0], &blanks[1]) {
            assert!(sheet.readings.is_empty());
            assert!(
                sheet.findings[0].text.contains(": 4,"),
                "{:?}",
                sheet.findings
            );
        }
        for sheet in read(&filled[0], &filled[1]) {
            let read: Vec<MeasureId> = sheet.readings.iter().map(|r| r.id).collect();
            assert_eq!(read, measuring_order(&ids()));
            let all = sheet
                .readings
                .iter()
                .all(|r| (r.length.mm() - 982.0).abs() < 1e-9);
            assert!(all, "{:?}", sheet.readings);
        }
    }
}
