//! What the values of a profile must keep to, wherever it was written.

use super::fault::Faults;
use super::{Entry, Profile};
use crate::crosscheck::{Again, Check, Common, Shift};
use crate::error::Result;
use crate::finding::Finding;
use crate::landmark::Landmark;
use crate::measure::asymmetry::SideDifference;
use crate::measure::{GirthCurve, Key, MOST_MM, MeasureId, Mode, Source, Spread, Unit, Withheld};
use crate::scan::Provenance;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// Round-off that a difference of two written numbers may have.
const ROUND_OFF: f64 = 1e-6;

const LOOK: &str = "compare it with what girthwise schema profile prints";
const UNIT: &str = "check the number and its unit";
const ONCE: &str = "keep one of the two";

/// A part of the profile that can be judged by itself.
trait Part {
    /// Notes what is wrong with it; `at` is the JSON pointer to it.
    fn judge(&self, at: &str, faults: &mut Faults);
}

impl Profile {
    /// Looks at every value: finite and of a size that a body can have, in the unit of its measure,
    /// named once, and in agreement with what it refers to.
    ///
    /// # Errors
    /// [`ErrorKind::Sheet`](crate::ErrorKind::Sheet) with every fault, each with its JSON pointer.
    pub fn check(&self) -> Result<()> {
        self.faults().into_result("profile", None)
    }

    pub(super) fn faults(&self) -> Faults {
        let mut faults = Faults::default();
        each(&self.measures, "measures", &mut faults);
        each(&self.withheld, "withheld", &mut faults);
        each(&self.checks, "checks", &mut faults);
        if let Some(common) = &self.common {
            common.judge("/common", &mut faults);
        }
        each(&self.again, "again", &mut faults);
        each(&self.asymmetry, "asymmetry", &mut faults);
        each(&self.landmarks, "landmarks", &mut faults);
        each(&self.curves, "curves", &mut faults);
        let scans = [
            ("/provenance", &self.provenance),
            ("/second_scan", &self.second_scan),
        ];
        for (at, scan) in scans {
            if let Some(scan) = scan {
                scan.judge(at, &mut faults);
            }
        }
        self.references(&mut faults);
        faults
    }

    /// What one part says of another.
    fn references(&self, faults: &mut Faults) {
        let ids = self.measures.iter().map(|entry| entry.measure.id);
        let measured = once(ids, "measures", faults);
        once(self.withheld.iter().map(|row| row.id), "withheld", faults);
        let checked = once(self.checks.iter().map(|check| check.id), "checks", faults);
        let marks = self.landmarks.iter().map(|mark| (mark.key, mark.side));
        once(marks, "landmarks", faults);
        once(self.curves.iter().map(|curve| curve.part), "curves", faults);
        once(
            self.asymmetry.iter().map(|row| row.key),
            "asymmetry",
            faults,
        );

        let lacks = |id: MeasureId| format!("speaks of {id}, which the profile does not measure");
        for (index, row) in self.withheld.iter().enumerate() {
            if measured.contains_key(&row.id) {
                let what = format!("withholds {}, which has a value", row.id);
                faults.add(format!("/withheld/{index}"), what, ONCE);
            }
        }
        for (index, check) in self.checks.iter().enumerate() {
            if !measured.contains_key(&check.id) {
                faults.add(format!("/checks/{index}"), lacks(check.id), LOOK);
            }
        }
        for (index, again) in self.again.iter().enumerate() {
            for (place, id) in again.settles.iter().enumerate() {
                if !checked.contains_key(id) {
                    let what = format!("settles {id}, which is not checked");
                    faults.add(format!("/again/{index}/settles/{place}"), what, LOOK);
                }
            }
        }
        for (index, row) in self.asymmetry.iter().enumerate() {
            for side in crate::side::Side::BOTH {
                let id = MeasureId::new(row.key, side);
                if !measured.contains_key(&id) {
                    faults.add(format!("/asymmetry/{index}"), lacks(id), LOOK);
                }
            }
        }
    }
}

/// Every fault of a document that cannot be read as a profile, part by part.
pub(super) fn unreadable(document: &Value) -> Faults {
    let mut faults = Faults::default();
    rows::<Entry>(document, "measures", true, &mut faults);
    rows::<Withheld>(document, "withheld", true, &mut faults);
    rows::<Check>(document, "checks", false, &mut faults);
    one::<Common>(document, "common", &mut faults);
    rows::<Again>(document, "again", false, &mut faults);
    rows::<SideDifference>(document, "asymmetry", true, &mut faults);
    rows::<Landmark>(document, "landmarks", false, &mut faults);
    rows::<GirthCurve>(document, "curves", true, &mut faults);
    rows::<Finding>(document, "findings", true, &mut faults);
    one::<Provenance>(document, "provenance", &mut faults);
    one::<Provenance>(document, "second_scan", &mut faults);
    faults
}

fn rows<T: DeserializeOwned + Part>(
    document: &Value,
    name: &str,
    needed: bool,
    faults: &mut Faults,
) {
    match document.get(name) {
        None if needed => faults.add(format!("/{name}"), "is missing", LOOK),
        None => (),
        Some(Value::Array(items)) => {
            for (index, item) in items.iter().enumerate() {
                read::<T>(item, &format!("/{name}/{index}"), faults);
            }
        }
        Some(_) => faults.add(format!("/{name}"), "is no list", LOOK),
    }
}

fn one<T: DeserializeOwned + Part>(document: &Value, name: &str, faults: &mut Faults) {
    match document.get(name) {
        None | Some(Value::Null) => (),
        Some(value) => read::<T>(value, &format!("/{name}"), faults),
    }
}

fn read<T: DeserializeOwned + Part>(value: &Value, at: &str, faults: &mut Faults) {
    match T::deserialize(value) {
        Ok(part) => part.judge(at, faults),
        Err(error) => {
            // The list of all that would be known is the Schema's.
            let text = error.to_string();
            let what = text.split(", expected one of").next().unwrap_or(&text);
            faults.add(at, format!("cannot be read: {what}"), LOOK);
        }
    }
}

fn each(parts: &[impl Part], name: &str, faults: &mut Faults) {
    for (index, part) in parts.iter().enumerate() {
        part.judge(&format!("/{name}/{index}"), faults);
    }
}

/// Where each name stands; one that stands twice is a fault.
fn once<T: Ord>(
    names: impl Iterator<Item = T>,
    list: &str,
    faults: &mut Faults,
) -> BTreeMap<T, usize> {
    let mut places = BTreeMap::new();
    for (index, name) in names.enumerate() {
        if let Some(first) = places.get(&name) {
            let what = format!("says again what /{list}/{first} says");
            faults.add(format!("/{list}/{index}"), what, ONCE);
        } else {
            places.insert(name, index);
        }
    }
    places
}

impl Faults {
    /// A number of a sane size.
    fn number(&mut self, at: String, value: f64, range: &RangeInclusive<f64>) {
        if !range.contains(&value) {
            let what = format!("is not between {} and {}", range.start(), range.end());
            self.add(at, what, UNIT);
        }
    }

    fn id(&mut self, at: &str, id: MeasureId) {
        let paired = id.key.definition().paired;
        if paired && id.side.is_none() {
            self.add(
                at,
                "is a paired measure without a side",
                "say left or right",
            );
        } else if !paired && id.side.is_some() {
            self.add(
                format!("{at}/side"),
                "is the side of a measure of the whole body",
                "leave it out",
            );
        }
    }

    fn spread(&mut self, at: &str, spread: &Spread, most: f64) {
        self.number(format!("{at}/sd"), spread.sd, &(0.0..=most));
        for (index, part) in spread.parts.iter().enumerate() {
            self.number(format!("{at}/parts/{index}/sd"), part.sd, &(0.0..=most));
        }
    }

    /// `difference` as `a` less `b`.
    fn difference(&mut self, at: String, difference: f64, a: f64, b: f64) {
        if !is_nought(a - b - difference) {
            self.add(at, format!("is not {a} less {b}"), UNIT);
        }
    }
}

/// True but for round-off; what is no number is not.
fn is_nought(value: f64) -> bool {
    value.abs() <= ROUND_OFF
}

/// Largest size of a value.
const fn most(unit: Unit) -> f64 {
    match unit {
        Unit::Mm => MOST_MM,
        Unit::Degree => 360.0,
        Unit::Millilitre => 1e6,
    }
}

/// What a value of a measure may be: girths, heights and breadths lie above nought.
fn range(key: Key) -> RangeInclusive<f64> {
    let row = key.definition();
    let most = most(row.unit());
    match row.mode {
        _ if row.is_girth() => f64::MIN_POSITIVE..=most,
        Mode::Height | Mode::Breadth => 0.0..=most,
        _ => -most..=most,
    }
}

const LENGTHS: RangeInclusive<f64> = -MOST_MM..=MOST_MM;

impl Part for Entry {
    fn judge(&self, at: &str, faults: &mut Faults) {
        let measure = &self.measure;
        faults.id(at, measure.id);
        let (range, unit) = (range(measure.id.key), measure.id.key.definition().unit());
        faults.number(format!("{at}/value"), measure.value, &range);
        if measure.unit != unit {
            let what = format!("is not the unit of the {}, {}", measure.id, unit.name());
            faults.add(format!("{at}/unit"), what, UNIT);
        }
        faults.spread(&format!("{at}/spread"), &measure.spread, most(unit));
        if let Some(level) = measure.level_mm {
            faults.number(format!("{at}/level_mm"), level.mm(), &LENGTHS);
        }
        let inputs = [
            ("scan", self.scan),
            ("second", self.second),
            ("tape", self.tape),
        ];
        for (name, input) in inputs {
            if let Some(input) = input {
                faults.number(format!("{at}/{name}/value"), input.value, &range);
                faults.number(format!("{at}/{name}/sd"), input.sd, &(0.0..=most(unit)));
            }
        }
        if measure.source == Source::Merged {
            let held = [("scan", self.scan.or(self.second)), ("tape", self.tape)];
            for (name, _) in held.iter().filter(|(_, input)| input.is_none()) {
                let what = format!("is merged, but the {name}'s own value is not there");
                faults.add(at, what, "give both values, or the source the value has");
            }
        }
    }
}

impl Part for Withheld {
    fn judge(&self, at: &str, faults: &mut Faults) {
        faults.id(at, self.id);
        if self.reason.trim().is_empty() {
            faults.add(
                format!("{at}/reason"),
                "gives no reason",
                "say why there is no value",
            );
        }
    }
}

impl Part for Check {
    fn judge(&self, at: &str, faults: &mut Faults) {
        faults.id(at, self.id);
        let (scan, tape) = (self.scan_mm.mm(), self.tape_mm.mm());
        faults.number(format!("{at}/scan_mm"), scan, &LENGTHS);
        faults.number(format!("{at}/tape_mm"), tape, &LENGTHS);
        faults.difference(
            format!("{at}/difference_mm"),
            self.difference_mm.mm(),
            tape,
            scan,
        );
        faults.spread(&format!("{at}/spread"), &self.spread, MOST_MM);
        if let Some(height) = self.tape_height_mm {
            faults.number(format!("{at}/tape_height_mm"), height.mm(), &LENGTHS);
        }
    }
}

impl Part for Common {
    fn judge(&self, at: &str, faults: &mut Faults) {
        match self.shift {
            Shift::Factor { factor, sd } => {
                let at = format!("{at}/shift/factor");
                faults.number(format!("{at}/factor"), factor, &(0.01..=100.0));
                faults.number(format!("{at}/sd"), sd, &(0.0..=100.0));
            }
            Shift::Offset { offset_mm, sd_mm } => {
                let at = format!("{at}/shift/offset");
                faults.number(format!("{at}/offset_mm"), offset_mm.mm(), &LENGTHS);
                faults.number(format!("{at}/sd_mm"), sd_mm.mm(), &(0.0..=MOST_MM));
            }
        }
    }
}

impl Part for Again {
    fn judge(&self, at: &str, faults: &mut Faults) {
        faults.number(format!("{at}/doubt"), self.doubt, &(0.0..=f64::MAX));
    }
}

impl Part for SideDifference {
    fn judge(&self, at: &str, faults: &mut Faults) {
        let row = self.key.definition();
        if !row.paired {
            faults.add(
                format!("{at}/key"),
                "is a measure of the whole body",
                "leave it out",
            );
        }
        let (most, range) = (most(row.unit()), range(self.key));
        faults.number(format!("{at}/left"), self.left, &range);
        faults.number(format!("{at}/right"), self.right, &range);
        faults.number(format!("{at}/sd"), self.sd, &(0.0..=2.0 * most));
        faults.difference(
            format!("{at}/difference"),
            self.difference,
            self.left,
            self.right,
        );
    }
}

impl Part for Landmark {
    fn judge(&self, at: &str, faults: &mut Faults) {
        for (axis, value) in self.point_mm.into_iter().enumerate() {
            faults.number(format!("{at}/point_mm/{axis}"), value, &LENGTHS);
        }
        faults.number(format!("{at}/sd_mm"), self.sd_mm, &(0.0..=MOST_MM));
    }
}

impl Part for GirthCurve {
    fn judge(&self, at: &str, faults: &mut Faults) {
        let levels = self.heights_mm.len();
        for (name, list) in [
            ("heights_mm", &self.heights_mm),
            ("taut_mm", &self.taut_mm),
            ("surface_mm", &self.surface_mm),
        ] {
            if list.len() != levels {
                let what = format!("has {} values for {levels} heights", list.len());
                faults.add(format!("{at}/{name}"), what, "give one for each height");
            }
            // One of a list is enough: a wrong unit would list them all.
            if let Some(wrong) = list.iter().position(|value| !LENGTHS.contains(value)) {
                faults.number(format!("{at}/{name}/{wrong}"), list[wrong], &LENGTHS);
            }
        }
        if let Some(low) = self
            .heights_mm
            .windows(2)
            .position(|pair| pair[1] < pair[0])
        {
            let place = format!("{at}/heights_mm/{}", low + 1);
            faults.add(place, "lies below the height before it", "let heights rise");
        }
    }
}

impl Part for Finding {
    fn judge(&self, _at: &str, _faults: &mut Faults) {}
}

impl Part for Provenance {
    fn judge(&self, at: &str, faults: &mut Faults) {
        let is_hex = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
        let digest = &self.digest;
        if !(digest.is_empty() || (digest.len() == 64 && digest.bytes().all(is_hex))) {
            let remedy = "write 64 digits of 0 to 9 and a to f, or none";
            faults.add(format!("{at}/digest"), "is no SHA-256", remedy);
        }
        let frame = &self.frame;
        faults.number(
            format!("{at}/frame/midline_sd_mm"),
            frame.midline_sd_mm,
            &(0.0..=MOST_MM),
        );
        let front = frame.front.value.direction;
        let size = front.iter().map(|part| part * part).sum::<f64>().sqrt();
        if !is_nought(size - 1.0) {
            let what = format!("has length {size}");
            let place = format!("{at}/frame/front/value/direction");
            faults.add(place, what, "give it length one");
        }
    }
}
