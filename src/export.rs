//! A profile in forms that other programs take: a table of measures, landmarks by open names.

use crate::error::{Error, Place, Result, Spot};
use crate::landmark::{Confidence, LandmarkKey};
use crate::measure::MeasureId;
use crate::profile::{Input, Profile};
use crate::side::Side;
use serde::Serialize;
use std::fmt::Display;

/// Columns of [`measures_csv`].
const COLUMNS: [&str; 18] = [
    "key",
    "side",
    "name",
    "value",
    "unit",
    "sd",
    "source",
    "level_mm",
    "undecided",
    "scan",
    "scan_sd",
    "second_scan",
    "second_scan_sd",
    "tape",
    "tape_sd",
    "rule",
    "withheld",
    "definition",
];

/// CSV with a header and one row a measure, in catalogue order: those with a value and those
/// withheld, which have their reason and no value.
///
/// `value`, `sd` (its standard uncertainty) and what scan and tape say by themselves are in `unit`:
/// `mm`, `deg` or `ml`. `level_mm` is the height above the floor the measure was taken at. Cells
/// that do not apply are empty. Numbers are written with a point and as many digits as bring back the same number.
///
/// # Errors
/// [`ErrorKind::Input`](crate::ErrorKind::Input) if it cannot be written; none this crate makes.
///
/// # Examples
/// ```
/// use girthwise::{LengthUnit, export::measures_csv, measure::MeasureSet, profile::Profile};
/// use girthwise::tape::{pool, read_tape};
/// let sheet = read_tape("measure,reading\nhip,98\n".as_bytes(), "t.csv", LengthUnit::Centimetre)?;
/// let table = measures_csv(&Profile::assemble(&MeasureSet::default(), &pool(&sheet)))?;
/// assert!(table.lines().nth(1).is_some_and(|row| row.starts_with("hip_girth,,hip girth,980,mm,")));
/// # Ok::<(), girthwise::Error>(())
/// ```
pub fn measures_csv(profile: &Profile) -> Result<String> {
    let mut rows: Vec<(MeasureId, [String; COLUMNS.len()])> = Vec::new();
    for entry in &profile.measures {
        let measure = &entry.measure;
        let [scan, scan_sd] = cells(entry.scan);
        let [second, second_sd] = cells(entry.second);
        let [tape, tape_sd] = cells(entry.tape);
        let [key, side, name, definition] = heads(measure.id);
        let row = [
            key,
            side,
            name,
            measure.value.to_string(),
            measure.unit.sign().to_owned(),
            measure.spread.sd.to_string(),
            measure.source.name().to_owned(),
            shown(measure.level_mm.map(|level| level.mm())),
            if entry.undecided { "yes" } else { "" }.to_owned(),
            scan,
            scan_sd,
            second,
            second_sd,
            tape,
            tape_sd,
            entry.rule.clone().unwrap_or_default(),
            String::new(),
            definition,
        ];
        rows.push((measure.id, row));
    }
    for withheld in &profile.withheld {
        let [key, side, name, definition] = heads(withheld.id);
        let mut row: [String; COLUMNS.len()] = Default::default();
        let unit = withheld.id.key.definition().unit().sign().to_owned();
        (row[0], row[1], row[2], row[4]) = (key, side, name, unit);
        (row[16], row[17]) = (withheld.reason.clone(), definition);
        rows.push((withheld.id, row));
    }
    rows.sort_by_key(|(id, _)| *id);
    let mut table = Table::new("measures");
    table.row(COLUMNS)?;
    for (_, row) in &rows {
        table.row(row)?;
    }
    table.end()
}

/// CSV in the making, as text.
pub(crate) struct Table {
    of: &'static str,
    writer: csv::Writer<Vec<u8>>,
}

impl Table {
    /// An empty one; errors say what it is of.
    pub(crate) fn new(of: &'static str) -> Self {
        let writer = csv::Writer::from_writer(Vec::new());
        Self { of, writer }
    }

    pub(crate) fn row(&mut self, cells: impl IntoIterator<Item: AsRef<[u8]>>) -> Result<()> {
        let written = self.writer.write_record(cells);
        written.map_err(|error| faulty(self.of, &error))
    }

    pub(crate) fn end(self) -> Result<String> {
        let bytes = self.writer.into_inner();
        let bytes = bytes.map_err(|error| faulty(self.of, &error))?;
        String::from_utf8(bytes).map_err(|error| faulty(self.of, &error))
    }
}

fn faulty(of: &'static str, what: &impl ToString) -> Error {
    Error::input(Place::new(of, Spot::Whole), what.to_string())
}

/// Key, side, name and definition.
fn heads(id: MeasureId) -> [String; 4] {
    let row = id.key.definition();
    let side = shown(id.side);
    [row.text, &side, row.name, row.definition].map(str::to_owned)
}

fn cells(input: Option<Input>) -> [String; 2] {
    let value = shown(input.map(|input| input.value));
    [value, shown(input.map(|input| input.sd))]
}

fn shown(value: Option<impl Display>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

/// A document of landmarks.
#[derive(Serialize)]
struct Marks<'a> {
    standard: &'static str,
    unit: &'static str,
    axes: &'static str,
    landmarks: Vec<Mark<'a>>,
    without_a_name: Vec<Mark<'a>>,
}

/// One landmark in it.
#[derive(Serialize)]
struct Mark<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    name: Option<String>,
    key: LandmarkKey,
    #[serde(skip_serializing_if = "Option::is_none")]
    side: Option<Side>,
    translation: [f64; 3],
    height_sd: f64,
    confidence: Confidence,
    rule: &'a str,
}

/// The landmarks of a profile by their names in ISO/IEC 19774 (HAnim), as JSON.
///
/// Places are in the standard's own frame: metres, x to the wearer's left, y up from the floor, z
/// forward. `name` is the standard's (`l_thelion`); files of its second version write a Site's
/// name with `_pt` at the end. Landmarks it has no name for stand apart, under `without_a_name`.
/// Names and frame are as in a public X3D package and its examples, not the standard's own text.
///
/// # Errors
/// [`ErrorKind::Input`](crate::ErrorKind::Input) if the profile holds no landmark: it comes from a
/// tape alone, or they were left out of it.
pub fn hanim_json(profile: &Profile) -> Result<String> {
    if profile.landmarks.is_empty() {
        return Err(faulty(
            "profile",
            &"holds no landmarks: it comes from a tape alone or was written without them; write it anew from the scan",
        ));
    }
    let marks = profile.landmarks.iter().map(|mark| {
        let [right, forward, up] = mark.point_mm;
        Mark {
            name: mark.key.hanim(mark.side),
            key: mark.key,
            side: mark.side,
            translation: [-right, up, forward].map(|mm| mm / 1000.0),
            height_sd: mark.sd_mm / 1000.0,
            confidence: mark.confidence,
            rule: &mark.rule,
        }
    });
    let (landmarks, without_a_name) = marks.partition(|mark| mark.name.is_some());
    let document = Marks {
        standard: "ISO/IEC 19774 (HAnim)",
        unit: "m",
        axes: "x to the wearer's left of the mid-sagittal plane, y up from the floor, z forward",
        landmarks,
        without_a_name,
    };
    serde_json::to_string_pretty(&document).map_err(|error| faulty("profile", &error))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::landmark::Landmark;
    use crate::measure::{Key, MeasureSet, Outcome, Withheld};
    use crate::tape::TapeSet;
    use serde_json::Value;

    /// Points of a public example figure of the standard (metres) and the same in our frame (mm).
    #[test]
    fn frame_of_the_open_standard() {
        let figure = [
            (
                LandmarkKey::HipBone,
                Some(Side::Left),
                [0.1612, 1.0537, 0.0008],
                [-161.2, 0.8, 1053.7],
            ),
            (
                LandmarkKey::HipBone,
                Some(Side::Right),
                [-0.1525, 1.0628, 0.0035],
                [152.5, 3.5, 1062.8],
            ),
            (
                LandmarkKey::Crotch,
                None,
                [0.0034, 0.8266, 0.0257],
                [-3.4, 25.7, 826.6],
            ),
        ];
        let mut profile = Profile::assemble(&MeasureSet::default(), &TapeSet::default());
        assert!(hanim_json(&profile).is_err());
        profile.landmarks = figure
            .map(|(key, side, _, point_mm)| Landmark {
                key,
                side,
                point_mm,
                sd_mm: 2.0,
                confidence: Confidence::Rough,
                rule: "by hand".into(),
            })
            .to_vec();
        profile.landmarks.push(Landmark {
            key: LandmarkKey::Hip,
            side: None,
            ..profile.landmarks[2].clone()
        });
        let document: Value = serde_json::from_str(&hanim_json(&profile).unwrap()).unwrap();
        let marks = document["landmarks"].as_array().unwrap();
        let names: Vec<_> = marks
            .iter()
            .map(|mark| mark["name"].as_str().unwrap())
            .collect();
        assert_eq!(names, ["l_iliocristale", "r_iliocristale", "crotch"]);
        for (mark, (.., metres, _)) in marks.iter().zip(figure) {
            for (axis, metre) in metres.into_iter().enumerate() {
                let written = mark["translation"][axis].as_f64().unwrap();
                assert!((written - metre).abs() < 1e-9, "{mark}");
            }
        }
        assert_eq!(document["without_a_name"][0]["key"], "hip");
    }

    #[test]
    fn what_is_withheld_has_its_row_and_reason() {
        let set = MeasureSet {
            outcomes: vec![Outcome::Withheld(Withheld {
                id: MeasureId::new(Key::KneeGirth, Side::Left),
                reason: "a hole, \"wide\", is there".into(),
            })],
            ..MeasureSet::default()
        };
        let table = measures_csv(&Profile::assemble(&set, &TapeSet::default())).unwrap();
        let mut reader = csv::Reader::from_reader(table.as_bytes());
        assert_eq!(reader.headers().unwrap(), &COLUMNS[..]);
        let row = reader.records().next().unwrap().unwrap();
        let cells: Vec<&str> = row.iter().take(5).collect();
        assert_eq!(cells, ["knee_girth", "left", "knee girth", "", "mm"]);
        assert_eq!(&row[16], "a hole, \"wide\", is there");
    }
}
