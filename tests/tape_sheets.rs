//! Tape sheets written and read back: what was meant is what is read, in CSV and in TOML.
//!
//! The sheets are written by general-purpose libraries (csv, toml), and the lengths they stand for are
//! worked out beside them, from whole eighths and tenths.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use girthwise::measure::MeasureId;
use girthwise::measure::catalogue::CATALOGUE;
use girthwise::tape::{TapeSheet, pool, read_tape, read_tape_toml};
use girthwise::{LengthUnit, Side};
use proptest::prelude::*;
use serde::Serialize;

/// How a number is written.
#[derive(Clone, Copy, Debug)]
enum Style {
    /// `98.2` or `98,2`, with or without a unit.
    Tenths { comma: bool },
    /// `38 5/8`, or `38-5/8`.
    Eighths { dash: bool },
    /// `38⅝`.
    OneSign,
    /// `982 mm`.
    Whole,
}

/// A row as a person means it.
#[derive(Clone, Debug)]
struct Meant {
    id: MeasureId,
    by_key: bool,
    eighths: u32,
    style: Style,
    with_unit: bool,
    note: String,
    who: String,
}

#[derive(Clone, Debug, Serialize)]
struct Cells {
    measure: String,
    reading: String,
    side: String,
    repeat: String,
    note: String,
    who: String,
}

#[derive(Serialize)]
struct Sheet {
    unit: &'static str,
    tape_starts_at: String,
    tape_stretch: String,
    reading: Vec<Cells>,
}

const SIGNS: [&str; 8] = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"];
const HALVES: [&str; 8] = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];

impl Meant {
    /// The cell, and the length in mm it stands for where bare numbers are of `unit`.
    fn written(&self, unit: LengthUnit) -> (String, f64) {
        let (whole, part) = (self.eighths / 8, (self.eighths % 8) as usize);
        let inch = 25.4 * f64::from(self.eighths) / 8.0;
        let in_inches = |text: String| {
            let bare = unit == LengthUnit::Inch && !self.with_unit;
            (if bare { text } else { format!("{text} in") }, inch)
        };
        match self.style {
            Style::Tenths { comma } => {
                let tenths = self.eighths * 3;
                let mark = if comma { ',' } else { '.' };
                let text = format!("{}{mark}{}", tenths / 10, tenths % 10);
                let bare = unit == LengthUnit::Centimetre && !self.with_unit;
                let text = if bare { text } else { format!("{text} cm") };
                (text, f64::from(tenths))
            }
            Style::Eighths { .. } | Style::OneSign if part == 0 => in_inches(whole.to_string()),
            Style::Eighths { dash } => {
                let gap = if dash { '-' } else { ' ' };
                in_inches(format!("{whole}{gap}{}", HALVES[part]))
            }
            Style::OneSign => in_inches(format!("{whole}{}", SIGNS[part])),
            Style::Whole => (
                format!("{}mm", 3 * self.eighths),
                f64::from(3 * self.eighths),
            ),
        }
    }

    fn cells(&self, unit: LengthUnit, repeat: usize) -> Cells {
        let row = self.id.key.definition();
        Cells {
            measure: if self.by_key { row.text } else { row.name }.to_owned(),
            reading: self.written(unit).0,
            side: self
                .id
                .side
                .map_or_else(String::new, |side| side.to_string()),
            repeat: repeat.to_string(),
            note: self.note.clone(),
            who: self.who.clone(),
        }
    }
}

fn any_row() -> impl Strategy<Value = Meant> {
    let measures: Vec<MeasureId> = CATALOGUE
        .iter()
        .filter(|row| !row.tape.is_empty())
        .flat_map(|row| {
            let sides = Side::of_pair(row.paired);
            sides.iter().map(|&side| MeasureId::new(row.key, side))
        })
        .collect();
    let style = prop_oneof![
        any::<bool>().prop_map(|comma| Style::Tenths { comma }),
        any::<bool>().prop_map(|dash| Style::Eighths { dash }),
        Just(Style::OneSign),
        Just(Style::Whole),
    ];
    let words = "([a-zA-Zé\"',;#|. \n]{0,20})";
    (
        prop::sample::select(measures),
        any::<bool>(),
        // 20 to 110 in, or 480 to 2640 tenths of a centimetre.
        160..880_u32,
        style,
        any::<bool>(),
        words,
        "[a-zA-Zé]{0,8}",
    )
        .prop_map(|(id, by_key, eighths, style, with_unit, note, who)| Meant {
            id,
            by_key,
            eighths,
            style,
            with_unit,
            note: note.trim().to_owned(),
            who,
        })
}

fn any_unit() -> impl Strategy<Value = LengthUnit> {
    prop::sample::select(vec![
        LengthUnit::Inch,
        LengthUnit::Centimetre,
        LengthUnit::Millimetre,
    ])
}

fn rows(meant: &[Meant], unit: LengthUnit) -> Vec<Cells> {
    (1..)
        .zip(meant)
        .map(|(repeat, row)| row.cells(unit, repeat))
        .collect()
}

/// A CSV sheet with its head, cells parted by `comma`.
fn as_csv(cells: &[Cells], unit: LengthUnit, comma: u8, head: &str) -> String {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(comma)
        .from_writer(Vec::new());
    for row in cells {
        writer.serialize(row).unwrap();
    }
    let table = String::from_utf8(writer.into_inner().unwrap()).unwrap();
    format!("# unit = {}\n{head}{table}", unit.sign())
}

fn check(sheet: &TapeSheet, meant: &[Meant], unit: LengthUnit, true_mm: impl Fn(f64) -> f64) {
    assert_eq!(sheet.readings.len(), meant.len());
    for ((place, reading), row) in (1..).zip(&sheet.readings).zip(meant) {
        let (text, mm) = row.written(unit);
        assert_eq!((reading.id, reading.row), (row.id, place));
        assert_eq!(reading.text, text);
        assert!(
            (reading.length.mm() - true_mm(mm)).abs() < 1e-9,
            "{row:?}: {reading:?}"
        );
        assert_eq!(reading.repeat, Some(u32::try_from(place).unwrap()));
        assert!(reading.note.contains(&row.note), "{row:?}: {reading:?}");
        assert!(reading.note.contains(&row.who), "{row:?}: {reading:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn a_sheet_written_is_the_sheet_read(
        meant in prop::collection::vec(any_row(), 1..40),
        unit in any_unit(),
        comma in prop::sample::select(vec![b',', b';', b'\t']),
    ) {
        let cells = rows(&meant, unit);
        let csv = as_csv(&cells, unit, comma, "");
        // The sheet's own unit wins over the caller's.
        let from_csv = read_tape(csv.as_bytes(), "t.csv", LengthUnit::Metre).unwrap();
        check(&from_csv, &meant, unit, |mm| mm);
        let sheet = Sheet {
            unit: unit.sign(),
            tape_starts_at: String::new(),
            tape_stretch: String::new(),
            reading: cells,
        };
        let toml = toml::to_string(&sheet).unwrap();
        let from_toml = read_tape_toml(toml.as_bytes(), "t.toml", LengthUnit::Metre).unwrap();
        check(&from_toml, &meant, unit, |mm| mm);
        prop_assert_eq!(&from_csv.readings, &from_toml.readings);
        prop_assert_eq!(pool(&from_csv).values, pool(&from_toml).values);
    }

    /// What a tape cut off and stretched shows is put right: (shown − start)·(1 + share).
    #[test]
    fn a_faulty_tape_is_put_right_the_same_way(
        meant in prop::collection::vec(any_row(), 1..10),
        unit in any_unit(),
        start in 1..40_u32,
        off in -20..20_i32,
    ) {
        let cells = rows(&meant, unit);
        let sign = if off < 0 { "-" } else { "" };
        let start_text = format!("{start} mm");
        let stretch = if off == 0 { String::new() } else { format!("{sign}{} mm in 1 m", off.abs()) };
        let head = format!("# tape_starts_at = {start_text}\n# tape_stretch = {stretch}\n");
        let csv = as_csv(&cells, unit, b';', &head);
        let right = |mm: f64| (mm - f64::from(start)) * (1.0 + f64::from(off) / 1000.0);
        let from_csv = read_tape(csv.as_bytes(), "t.csv", LengthUnit::Metre).unwrap();
        check(&from_csv, &meant, unit, right);
        let sheet = Sheet {
            unit: unit.sign(),
            tape_starts_at: start_text,
            tape_stretch: stretch,
            reading: cells,
        };
        let toml = toml::to_string(&sheet).unwrap();
        let from_toml = read_tape_toml(toml.as_bytes(), "t.toml", LengthUnit::Metre).unwrap();
        prop_assert_eq!(&from_csv.readings, &from_toml.readings);
        prop_assert_eq!(from_csv.findings, from_toml.findings);
    }

    /// A row left out of a sheet leaves the others as they are; a sheet without a sound cell is refused whole.
    #[test]
    fn one_bad_cell_refuses_the_sheet_and_is_named(
        meant in prop::collection::vec(any_row(), 1..10),
        which in any::<prop::sample::Index>(),
    ) {
        let mut cells = rows(&meant, LengthUnit::Centimetre);
        let bad = which.index(cells.len());
        cells[bad].reading = "9x9".to_owned();
        let csv = as_csv(&cells, LengthUnit::Centimetre, b',', "");
        let error = read_tape(csv.as_bytes(), "t.csv", LengthUnit::Centimetre).unwrap_err();
        let girthwise::ErrorKind::Sheet { faults, .. } = error.kind() else {
            panic!("{error}");
        };
        prop_assert_eq!(faults.len(), 1);
        let place = format!("row {} ", bad + 1);
        prop_assert!(faults[0].to_string().contains(&place), "{}", faults[0]);
    }
}
