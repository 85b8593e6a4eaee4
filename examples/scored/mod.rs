//! Scans changed on purpose, with a record of what was done, as both scoring examples read them.

use girthwise::frame::{Axis, FrameOptions};
use girthwise::ingest::{Limits, read_scan};
use girthwise::length::LengthUnit;
use girthwise::scan::{Scan, measure_scan};
use nalgebra::Vector3;
use serde_json::Value;
use std::error::Error;
use std::path::{Path, PathBuf};

/// Files of a folder with a record beside them, in the order of their names.
pub(crate) fn broken(folder: &Path) -> Result<Vec<(PathBuf, Value)>, Box<dyn Error>> {
    const RECORD: &str = ".perturb.json";
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.to_string_lossy().into_owned();
        if let Some(scan) = name.strip_suffix(RECORD) {
            found.push((
                PathBuf::from(scan),
                serde_json::from_slice(&std::fs::read(&path)?)?,
            ));
        }
    }
    found.sort_by(|a, b| a.0.cmp(&b.0));
    Ok(found)
}

/// Measures a file.
pub(crate) fn measure(path: &Path, options: &FrameOptions) -> girthwise::Result<Scan> {
    measure_scan(read_scan(path, &Limits::default())?, options, |_| {})
}

/// What the record says of the file's frame.
fn known(record: &Value) -> FrameOptions {
    let column = |k: usize| {
        let row = |r: usize| record["matrix"][r][k].as_f64().unwrap_or_default();
        let direction = Vector3::new(row(0), row(1), row(2));
        let towards = |axis: &Axis| axis.vector().dot(&direction);
        Axis::ALL
            .into_iter()
            .max_by(|a, b| towards(a).total_cmp(&towards(b)))
    };
    FrameOptions {
        unit: record["unit"].as_str().and_then(unit),
        up: column(2),
        front: column(1),
        mirrored: record["sides_swapped"] == Value::Bool(true),
    }
}

fn unit(name: &str) -> Option<LengthUnit> {
    match name {
        "mm" => Some(LengthUnit::Millimetre),
        "cm" => Some(LengthUnit::Centimetre),
        "in" => Some(LengthUnit::Inch),
        "m" => Some(LengthUnit::Metre),
        _ => None,
    }
}

/// What became of a file whose frame is recorded.
pub(crate) enum Told {
    /// Measured without being told anything.
    Alone(Box<Scan>),
    /// Measured once unit, up and front were told; what was asked for.
    Asked(Box<Scan>, girthwise::Error),
    /// Not measured.
    Refused(girthwise::Error),
}

/// Measures a changed scan; refused for its frame, it is told all that the record knows.
pub(crate) fn measure_changed(path: &Path, record: &Value) -> Told {
    let known = known(record);
    // No shape shows that a file is a mirror image.
    let alone = FrameOptions {
        mirrored: known.mirrored,
        ..FrameOptions::default()
    };
    match measure(path, &alone) {
        Ok(scan) => Told::Alone(Box::new(scan)),
        Err(asked) => match measure(path, &known) {
            Ok(scan) => Told::Asked(Box::new(scan), asked),
            Err(error) => Told::Refused(error),
        },
    }
}
