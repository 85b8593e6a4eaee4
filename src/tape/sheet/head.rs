//! The head of a sheet: unit, day, hand, and what is known of the tape itself.

use super::SheetReader;
use crate::error::Spot;
use crate::finding::Finding;
use crate::length::reading::{LengthFault, read_length, unit_named};
use crate::length::{Length, LengthUnit};

/// The keys of a head.
pub(super) const KEYS: [&str; 5] = [
    "unit",
    "date",
    "measured_by",
    "tape_starts_at",
    "tape_stretch",
];

/// A tape that is off by more than this share is no tape to measure with (assumed).
const MOST_STRETCH: f64 = 0.1;

/// What is known of the tape and of the hand.
#[derive(Default)]
pub(super) struct Tape {
    date: String,
    measured_by: String,
    /// What the tape shows at its end, as written.
    starts_at: Option<(Length, String)>,
    /// True length less length shown, as a share of the length shown, as written.
    stretch: Option<(f64, String)>,
}

impl Tape {
    /// The true length of a reading; `None` if the reading does not reach past the start.
    ///
    /// First what is cut off is taken away, then what is left is stretched.
    pub(super) fn correct(&self, read: Length) -> Option<Length> {
        if self.starts_at.is_none() && self.stretch.is_none() {
            return Some(read);
        }
        let start = self.starts_at.as_ref().map_or(0.0, |(start, _)| start.mm());
        let share = self.stretch.as_ref().map_or(0.0, |(share, _)| *share);
        let mm = (read.mm() - start) * (1.0 + share);
        (mm > 0.0).then(|| Length::from_mm(mm))
    }

    pub(super) fn findings(&self) -> Vec<Finding> {
        let mut told = Vec::new();
        let mut tell = |text| told.push(Finding::note(super::TOPIC, text));
        match (self.measured_by.as_str(), self.date.as_str()) {
            ("", "") => {}
            ("", date) => tell(format!("Measured on {date}.")),
            (who, "") => tell(format!("Measured by {who}.")),
            (who, date) => tell(format!("Measured by {who} on {date}.")),
        }
        if let Some((_, written)) = &self.starts_at {
            tell(format!(
                "The tape starts at {written}: that much was taken off every reading. Where a slip of the pen is offered, its length is the one written, without that."
            ));
        }
        if let Some((share, written)) = &self.stretch {
            tell(format!(
                "The tape is off by {written}: every reading was made {:.2} % {}.",
                100.0 * share.abs(),
                if *share < 0.0 { "smaller" } else { "larger" }
            ));
        }
        told
    }
}

impl SheetReader<'_> {
    /// Takes the head from `# key = value` lines above the header.
    pub(super) fn read_head_lines(&mut self, text: &str) {
        let mut above = true;
        // The unit first: the other lines may hold bare numbers.
        let mut rest = Vec::new();
        for (line, text) in (1..).zip(text.lines()) {
            let Some((key, value)) = head_line(text) else {
                above &= text.trim().is_empty() || text.starts_with('#');
                continue;
            };
            let spot = Spot::Line(line);
            if !above {
                let what = format!("names the {key} below the header");
                self.fault(spot, text, what, "move the line above the header");
            } else if key == "unit" {
                self.read_head(key, value, spot);
            } else {
                rest.push((key, value, spot));
            }
        }
        for (key, value, spot) in rest {
            self.read_head(key, value, spot);
        }
    }

    /// One key of the head; an empty value says nothing.
    pub(super) fn read_head(&mut self, key: &str, value: &str, spot: Spot) {
        match key {
            "unit" => {
                let named = unit_named(value.trim_end_matches('"')).or_else(|| unit_named(value));
                match named {
                    Some(unit) => self.unit = unit,
                    None => self.fault(
                        spot,
                        value,
                        "names no known unit",
                        "write unit = in, or mm, cm, m",
                    ),
                }
            }
            _ if value.is_empty() => {}
            "date" => self.tape.date = super::excerpt(value),
            "measured_by" => self.tape.measured_by = super::excerpt(value),
            "tape_starts_at" => match read_length(value, self.unit) {
                Ok(start) => self.tape.starts_at = Some((start, value.to_owned())),
                Err(LengthFault { what, remedy }) => self.fault(spot, value, what, remedy),
            },
            _ => match stretch(value, self.unit) {
                Some(share) => self.tape.stretch = Some((share, value.to_owned())),
                None => self.fault(
                    spot,
                    value,
                    "does not say how far the tape is off",
                    "write how much longer the true length is, like 0.5 cm in 100 cm, or with a minus for a tape that shows too much",
                ),
            },
        }
    }
}

/// Key and value of a `# key = value` line; a spreadsheet fills it up with empty cells.
fn head_line(text: &str) -> Option<(&'static str, &str)> {
    let remark = text.strip_prefix('#')?;
    let (name, value) = remark.split_at(remark.find(['=', ':'])?);
    let name = name.trim().to_lowercase().replace([' ', '-'], "_");
    let key = KEYS.into_iter().find(|key| *key == name)?;
    Some((key, value[1..].trim_matches([',', ';', '\t', ' '])))
}

/// `0.5 cm in 100 cm` as a share; with a minus the tape shows too much.
fn stretch(text: &str, unit: LengthUnit) -> Option<f64> {
    let (sign, plain) = match text.trim().strip_prefix(['-', '−']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.trim()),
    };
    // The last one: the first length may be in inches.
    let (off, length) = plain.rsplit_once(" in ")?;
    let off = read_length(off, unit).ok()?;
    let length = read_length(length, unit).ok()?;
    let share = off.mm() / length.mm();
    (share <= MOST_STRETCH).then_some(sign * share)
}

#[cfg(test)]
mod tests {
    use crate::LengthUnit;
    use crate::tape::{read_tape, read_tape_named};

    /// By hand: (100 − 2) cm × 1.005 = 984.9 mm.
    #[test]
    fn a_tape_cut_off_and_stretched_is_put_right_in_both_formats() {
        let csv = "# measured by = Ann\n# tape_starts_at = 2 cm\n# tape_stretch: 0.5 cm in 100 cm\nmeasure,reading,who\nhip,100,Bo\n";
        let toml = "tape_stretch = '0.5 cm in 100 cm'\ntape_starts_at = 2\nmeasured_by = 'Ann'\n[[reading]]\nmeasure = 'hip'\nreading = 100\nwho = 'Bo'\n";
        for (name, text) in [("t.csv", csv), ("t.TOML", toml)] {
            let sheet = read_tape_named(text.as_bytes(), name, LengthUnit::Centimetre).unwrap();
            let reading = &sheet.readings[0];
            assert!((reading.length.mm() - 984.9).abs() < 1e-9, "{name}");
            assert_eq!(
                (reading.text.as_str(), reading.note.as_str()),
                ("100", "by Bo")
            );
            assert_eq!(sheet.findings.len(), 3, "{name}");
        }
    }

    /// 38 5/8 in × 25.4 = 981.075 mm.
    #[test]
    fn readings_as_people_write_them() {
        for (cell, mm) in [
            ("38 5/8", 981.075),
            ("38 5/8\"", 981.075),
            ("38-5/8", 981.075),
            ("38⅝", 981.075),
            ("38.625 in", 981.075),
            ("98,2 cm", 982.0),
            ("982mm", 982.0),
        ] {
            let csv = format!("measure;reading\nhip;{}\n", cell.replace('"', "″"));
            let toml = format!("[[reading]]\nmeasure = 'hip'\nreading = '{cell}'\n");
            for (name, text) in [("t.csv", csv), ("t.toml", toml)] {
                let sheet = read_tape_named(text.as_bytes(), name, LengthUnit::Inch).unwrap();
                assert!(
                    (sheet.readings[0].length.mm() - mm).abs() < 1e-9,
                    "{cell} {name}"
                );
            }
        }
    }

    #[test]
    fn heads_that_cannot_be_used() {
        for line in [
            "tape_stretch = 50 cm in 100 cm",
            "tape_stretch = a bit",
            "tape_starts_at = x",
        ] {
            let text = format!("# {line}\nmeasure,reading\nhip,100\n");
            assert!(
                read_tape(text.as_bytes(), "t.csv", LengthUnit::Centimetre).is_err(),
                "{line}"
            );
        }
        let late = "# tape_starts_at = 10 cm\nmeasure,reading\nwrist,9 cm,\n";
        assert!(read_tape(late.as_bytes(), "t.csv", LengthUnit::Centimetre).is_err());
    }
}
