//! The catalogue of measures for people and other programs.

use super::text::wrap_hanging;
use crate::error::{Error, Result};
use crate::export::Table;
use crate::fit::uses;
use crate::landmark::LandmarkKey;
use crate::measure::asymmetry::usual::{Known, Limit, Usual, usual};
use crate::measure::catalogue::{BEYOND_SCAN, BeyondScan, CATALOGUE, Definition};
use crate::measure::{Key, Unit};
use crate::naming::plain;
use crate::tape::naming::{name_measure, nearest};
use serde::Serialize;
use std::fmt::Write;

/// A row of the catalogue in words.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Described {
    /// The key.
    pub key: Key,
    /// Its name, without a side.
    pub name: &'static str,
    /// True if left and right are measured apart.
    pub paired: bool,
    /// Unit of its values in files.
    pub unit: Unit,
    /// What exactly is measured.
    pub definition: &'static str,
    /// How it is taken.
    pub taken: &'static str,
    /// How the body stands for it.
    pub posture: &'static str,
    /// How to take it by tape, if one can.
    pub tape: Option<&'static str>,
    /// The landmarks it hangs on.
    pub landmarks: Vec<Mark>,
    /// Its term in ISO 8559-1, if that standard has it.
    pub iso_8559_1: Option<&'static str>,
    /// Its class in ISO 20685-1, if it has one.
    pub iso_20685_1: Option<&'static str>,
    /// The limit of that class for the mean error of a scanner, in mm.
    pub limit_mm: Option<f64>,
    /// The stages of a cutting plan that read it.
    pub used_for: Vec<&'static str>,
    /// How far the two sides of healthy people differ, if a survey says.
    pub two_sides: Option<String>,
}

/// A landmark and what the open standard for human figures calls it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// The landmark.
    pub key: LandmarkKey,
    /// Its name, without a side.
    pub name: &'static str,
    /// Its names in ISO/IEC 19774 (HAnim), left before right; none if that has no such point.
    pub hanim: Vec<String>,
}

impl Mark {
    fn of(key: LandmarkKey) -> Self {
        let names = key.sides().iter().filter_map(|&side| key.hanim(side));
        Self {
            key,
            name: key.name(),
            hanim: names.collect(),
        }
    }

    /// `bust point (HAnim l_thelion, r_thelion)`.
    fn say(&self) -> String {
        if self.hanim.is_empty() {
            return self.name.to_owned();
        }
        format!("{} (HAnim {})", self.name, self.hanim.join(", "))
    }
}

impl Described {
    fn of(row: &Definition) -> Self {
        let some = |text: &'static str| (!text.is_empty()).then_some(text);
        Self {
            key: row.key,
            name: row.name,
            paired: row.paired,
            unit: row.unit(),
            definition: row.definition,
            taken: row.mode.name(),
            posture: row.posture.name(),
            tape: some(row.tape),
            landmarks: row.marks.iter().map(|&key| Mark::of(key)).collect(),
            iso_8559_1: some(row.iso),
            iso_20685_1: some(row.class.name()),
            limit_mm: row.class.limit_mm(),
            used_for: uses(row.key)
                .into_iter()
                .map(|stage| stage.name())
                .collect(),
            two_sides: usual(row.key).map(|usual| say_usual(row.unit(), &usual)),
        }
    }

    fn key_text(&self) -> &'static str {
        self.key.definition().text
    }

    /// What is told of it, each with its heading; what there is nothing of is left out.
    fn told(&self) -> Vec<(&'static str, String)> {
        let sides = if self.paired {
            "left and right apart; "
        } else {
            ""
        };
        let marks: Vec<String> = self.landmarks.iter().map(Mark::say).collect();
        let iso = self.iso_8559_1.map(|term| format!("ISO 8559-1 \"{term}\""));
        let class = self.iso_20685_1.zip(self.limit_mm).map(|(class, limit)| {
            format!("ISO 20685-1 {class}, a scanner's mean error within {limit} mm")
        });
        let standards: Vec<String> = iso.into_iter().chain(class).collect();
        [
            ("what", self.definition.to_owned()),
            (
                "taken",
                format!("{sides}{}; in {}", self.taken, self.unit.name()),
            ),
            ("posture", self.posture.to_owned()),
            (
                "by tape",
                self.tape.unwrap_or("a tape cannot take it").to_owned(),
            ),
            ("landmarks", marks.join("; ")),
            ("standards", standards.join("; ")),
            ("used for", self.used_for.join("; ")),
            ("two sides", self.two_sides.clone().unwrap_or_default()),
        ]
        .into_iter()
        .filter(|(_, text)| !text.is_empty())
        .collect()
    }
}

/// `usual up to 3 % (inferred: …)`.
fn say_usual(unit: Unit, usual: &Usual) -> String {
    let limit = match usual.limit {
        Limit::Share(share) => format!("{:.0} %", 100.0 * share),
        Limit::Plain(limit) => format!("{limit} {}", unit.name()),
    };
    let known = match usual.known {
        Known::Read => "read",
        Known::Inferred => "inferred",
        Known::Memory => "from memory, decides nothing",
    };
    format!("usual up to {limit} ({known}: {})", usual.source)
}

/// The measures that hold every one of some words in key, name, landmarks or standard term, or else
/// in their definition, in catalogue order; all for none. A trade name (`inseam`) finds its measure too.
///
/// # Errors
/// [`ErrorKind::Options`](crate::ErrorKind::Options) if there is none, with the nearest name.
pub fn matching(words: &str) -> Result<Vec<Described>> {
    let wanted = plain(words);
    let trade = name_measure(words).map(|named| named.key);
    let holds = |row: &Definition| {
        let marks: Vec<&str> = row.marks.iter().map(|mark| mark.name()).collect();
        let text = [
            row.text,
            row.name,
            row.definition,
            row.iso,
            &marks.join(" "),
        ]
        .join(" ");
        let text = plain(&text);
        wanted.split(' ').all(|word| text.contains(word)) || trade == Some(row.key)
    };
    let rows: Vec<Described> = CATALOGUE
        .iter()
        .filter(|row| holds(row))
        .map(Described::of)
        .collect();
    if rows.is_empty() {
        let beyond = BEYOND_SCAN.iter().find(|row| plain(row.name) == wanted);
        if let Some(row) = beyond {
            let text = format!("a scan cannot give the {}. {}", row.name, row.reason);
            return Err(Error::options(text));
        }
        let near = nearest(words).map_or_else(
            || "leave the words out to see all".to_owned(),
            |near| format!("did you mean {near}?"),
        );
        return Err(Error::options(format!(
            "no measure has \"{words}\"; {near}"
        )));
    }
    Ok(rows)
}

/// What a scan cannot give, for those who ask for all; none for a choice.
fn beyond(rows: &[Described]) -> &'static [BeyondScan] {
    if rows.len() == CATALOGUE.len() {
        BEYOND_SCAN
    } else {
        &[]
    }
}

/// Readable text, a block a measure; after all of them, what a scan cannot give.
#[must_use]
pub fn text(rows: &[Described]) -> String {
    let mut blocks: Vec<String> = rows
        .iter()
        .map(|row| {
            let mut block = format!("{} ({})\n", row.name, row.key_text());
            for (heading, text) in row.told() {
                block.push_str(&wrap_hanging(&format!("  {heading:<10}"), &text));
                block.push('\n');
            }
            block
        })
        .collect();
    for row in beyond(rows) {
        let reason = wrap_hanging("  not from a scan: ", row.reason);
        blocks.push(format!("{}\n{reason}\n", row.name));
    }
    blocks.join("\n")
}

/// Markdown, a section a measure; after all of them, what a scan cannot give.
#[must_use]
pub fn markdown(rows: &[Described]) -> String {
    let mut all = "# Measures\n\n\
        What each measure means, how it is taken, and what uses it. Definitions and instructions are in our own \
        words; terms of ISO 8559-1 and classes of ISO 20685-1 are from secondary reading, not from the standards' \
        text.\n"
        .to_owned();
    for row in rows {
        // Writing to a string cannot fail.
        let _ = write!(all, "\n## {}\n\n`{}`\n\n", row.name, row.key_text());
        for (heading, text) in row.told() {
            let _ = writeln!(all, "- {heading}: {text}");
        }
    }
    let beyond = beyond(rows);
    if !beyond.is_empty() {
        all.push_str("\n## Not from a scan\n\n");
    }
    for row in beyond {
        let _ = writeln!(all, "- {}: {}", row.name, row.reason);
    }
    all
}

/// Columns of the CSV.
const COLUMNS: [&str; 15] = [
    "key",
    "name",
    "sides",
    "unit",
    "definition",
    "taken",
    "posture",
    "tape",
    "landmarks",
    "hanim",
    "iso_8559_1",
    "iso_20685_1",
    "limit_mm",
    "used_for",
    "two_sides",
];

/// CSV with a header; lists within a cell are parted by semicolons.
///
/// # Errors
/// [`ErrorKind::Input`](crate::ErrorKind::Input) if it cannot be written; none this crate makes.
pub fn csv(rows: &[Described]) -> Result<String> {
    let mut table = Table::new("measures");
    table.row(COLUMNS)?;
    for row in rows {
        let marks: Vec<&str> = row.landmarks.iter().map(|mark| mark.name).collect();
        let hanim: Vec<String> = row.landmarks.iter().flat_map(|m| m.hanim.clone()).collect();
        let limit = row.limit_mm.map(|limit| limit.to_string());
        table.row([
            row.key_text(),
            row.name,
            if row.paired { "left and right" } else { "" },
            row.unit.name(),
            row.definition,
            row.taken,
            row.posture,
            row.tape.unwrap_or_default(),
            &marks.join("; "),
            &hanim.join("; "),
            row.iso_8559_1.unwrap_or_default(),
            row.iso_20685_1.unwrap_or_default(),
            limit.as_deref().unwrap_or_default(),
            &row.used_for.join("; "),
            row.two_sides.as_deref().unwrap_or_default(),
        ])?;
    }
    table.end()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(words: &str) -> Vec<Key> {
        let rows = matching(words).unwrap();
        rows.into_iter().map(|row| row.key).collect()
    }

    #[test]
    fn words_choose_measures() {
        assert_eq!(keys("").len(), CATALOGUE.len());
        assert!(keys("Knee").contains(&Key::MidThighGirth), "its landmark");
        assert!(keys("inseam") == [Key::CrotchHeight], "a trade name");
        assert!(keys("half hip").iter().all(|key| *key == Key::HipHalfGirth));
        let said = matching("bust_grith").unwrap_err().to_string();
        assert!(said.contains("did you mean bust_girth?"), "{said}");
        assert!(matching("favourite colour").is_err());
        let said = matching("body mass").unwrap_err().to_string();
        assert!(said.contains("stand on a scale"), "{said}");
    }

    #[test]
    fn every_form_holds_every_measure() {
        let rows = matching("").unwrap();
        let (text, markdown, table) = (text(&rows), markdown(&rows), csv(&rows).unwrap());
        let mut reader = csv::Reader::from_reader(table.as_bytes());
        let records: Vec<_> = reader.records().map(|record| record.unwrap()).collect();
        assert_eq!(records.len(), rows.len());
        for (row, record) in rows.iter().zip(&records) {
            assert!(text.contains(&format!("{} ({})\n", row.name, row.key_text())));
            assert!(markdown.contains(&format!("\n- what: {}\n", row.definition)));
            assert_eq!((&record[0], &record[4]), (row.key_text(), row.definition));
        }
        assert!(text.lines().all(|line| line.chars().count() <= 92));
        let some = matching("knee").unwrap();
        for row in BEYOND_SCAN {
            assert!(text.contains(row.name) && markdown.contains(row.reason));
            assert!(!super::text(&some).contains(row.name));
        }
    }

    /// ISO 20685-1 limits as printed in secondary literature; HAnim names as in a public enumeration.
    #[test]
    fn standards_stand_beside_a_measure() {
        let rows = matching("bust_girth").unwrap();
        let bust = rows.iter().find(|row| row.key == Key::BustGirth).unwrap();
        assert_eq!(bust.limit_mm, Some(9.0));
        assert_eq!(bust.landmarks[0].hanim, ["l_thelion", "r_thelion"]);
        assert_eq!(bust.used_for, ["size", "width at the seam edges"]);
    }
}
