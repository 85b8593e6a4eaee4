//! A pin as a person writes it.

use super::{PIN_SD, Pin, PinPlace};
use crate::landmark::LandmarkKey;
use crate::length::reading::{read_length, read_written, unit_named};
use crate::length::{Length, LengthUnit};

/// Longest text looked at.
const MAX_CHARS: usize = 200;

const EXAMPLES: &str = "write one like \"waist = 104.3 cm\" or \"left knee = 19 1/4 in\"";

/// Why it is no pin, as the end of a sentence that starts with the text.
type Why = String;

/// The text, cut short for a message.
pub(super) fn short(text: &str) -> String {
    match text.char_indices().nth(60) {
        Some((at, _)) => format!("{}…", &text[..at]),
        None => text.to_owned(),
    }
}

pub(super) fn read(text: &str) -> Result<Pin, Why> {
    if text.chars().count() > MAX_CHARS {
        return Err(format!("is too long; {EXAMPLES}"));
    }
    let (name, place) = text
        .split_once('=')
        .ok_or_else(|| format!("has no = between landmark and place; {EXAMPLES}"))?;
    let (key, side) = LandmarkKey::named(name).ok_or_else(|| unknown(name))?;
    let place = place.replace('±', "+-");
    let (place, reach) = match place.split_once("+-") {
        Some((place, reach)) => (place, Some(reach)),
        None => (place.as_str(), None),
    };
    let sd = reach.map_or(Ok(PIN_SD), |reach| {
        Ok::<_, Why>(with_unit(reach, "after +-")? / 2.0)
    })?;
    let pin = Pin {
        key,
        side,
        place: read_place(place)?,
        sd,
    };
    Ok(pin)
}

fn unknown(name: &str) -> Why {
    let name = short(name.trim());
    if name.is_empty() {
        return format!("names no landmark; {EXAMPLES}");
    }
    match LandmarkKey::nearest_name(&name) {
        Some(near) => format!("names no landmark: \"{name}\"; did you mean \"{near}\"?"),
        None => {
            let all: Vec<_> = LandmarkKey::ALL.iter().map(|key| key.name()).collect();
            format!(
                "names no landmark: \"{name}\"; there are {}",
                all.join(", ")
            )
        }
    }
}

fn read_place(text: &str) -> Result<PinPlace, Why> {
    let text = text.trim();
    if let Some(numbers) = text.strip_prefix("file") {
        return file_point(numbers.trim_start_matches(':')).map(PinPlace::FilePoint);
    }
    match parts(text)[..] {
        [_] => with_unit(text, "as the place").map(PinPlace::Height),
        [x, y, z] => {
            let unit = unit_of(z).ok_or_else(|| {
                format!("has a point without a unit: \"{}\"; end it with cm, mm or in, or write \"file\" before it if these are the file's own coordinates", short(text))
            })?;
            let point = [
                coordinate(x, unit)?,
                coordinate(y, unit)?,
                coordinate(z, unit)?,
            ];
            Ok(PinPlace::Point(point))
        }
        _ => Err(format!(
            "has neither a height nor a point of three coordinates: \"{}\"; {EXAMPLES}",
            short(text)
        )),
    }
}

/// A height, or the coordinates of a point: parted by semicolons, or else by two commas.
fn parts(text: &str) -> Vec<&str> {
    if text.contains(';') {
        return text.split(';').map(str::trim).collect();
    }
    // A single comma is a decimal one.
    if text.matches(',').count() == 1 {
        return vec![text];
    }
    text.split(',').map(str::trim).collect()
}

/// The unit at the end of a text, if it has one.
fn unit_of(text: &str) -> Option<LengthUnit> {
    let end = text.rfind(|c: char| c.is_ascii_digit() || c.is_numeric())?;
    let sign: String = text[end..].chars().skip(1).collect();
    let sign = sign
        .trim()
        .to_lowercase()
        .replace(['″', '“', '”'], "\"")
        .replace("''", "\"");
    unit_named(&sign)
}

fn with_unit(text: &str, what: &str) -> Result<Length, Why> {
    let text = text.trim();
    let read = |default| read_written(text, default);
    // With one default or another the same unit: it is the text's own.
    let written = read(LengthUnit::Centimetre);
    let own = |unit| unit != LengthUnit::Centimetre || unit_of(text).is_some();
    match written {
        Ok(written) if own(written.unit) => Ok(written.length()),
        Ok(_) => Err(format!(
            "has \"{text}\" {what} without a unit; write {text} cm, {text} mm or {text} in"
        )),
        Err(fault) => Err(format!("has \"{}\" {what}, which {fault}", short(text))),
    }
}

/// A length with or without a sign; nought is one.
fn coordinate(text: &str, unit: LengthUnit) -> Result<Length, Why> {
    let text = text.trim();
    let (sign, size) = match text.strip_prefix(['-', '−']) {
        Some(size) => (-1.0, size.trim_start()),
        None => (1.0, text.strip_prefix('+').unwrap_or(text).trim_start()),
    };
    let bare = size.trim_end_matches(|c: char| c.is_alphabetic() || c == '"');
    let is_nought = bare.contains('0') && bare.trim().chars().all(|c| matches!(c, '0' | '.' | ','));
    if is_nought {
        return Ok(Length::ZERO);
    }
    let read = read_length(size, unit);
    read.map(|length| length * sign)
        .map_err(|fault| format!("has \"{}\" as a coordinate, which {fault}", short(text)))
}

fn file_point(text: &str) -> Result<[f64; 3], Why> {
    let numbers: Option<Vec<f64>> = text
        .split(|c: char| matches!(c, ',' | ';') || c.is_whitespace())
        .filter(|part| !part.is_empty())
        .map(|part| part.parse().ok().filter(|number: &f64| number.is_finite()))
        .collect();
    numbers
        .and_then(|numbers| numbers.try_into().ok())
        .ok_or_else(|| {
            "has no three plain numbers after \"file\"; write x, y, z as a viewer of the file shows them, like \"left knee = file 0.11, 0.02, 0.48\"".to_owned()
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::side::Side;

    fn mm(place: PinPlace) -> Vec<f64> {
        match place {
            PinPlace::Height(height) => vec![height.mm()],
            PinPlace::Point(point) => point.map(Length::mm).to_vec(),
            PinPlace::FilePoint(point) => point.to_vec(),
        }
    }

    /// The inch has 25.4 mm: 19 1/4 in are 488.95 mm.
    #[test]
    fn heights_and_points() {
        for (text, place) in [
            ("waist_narrowest=1043mm", &[1043.0][..]),
            ("waist = 104.3 cm", &[1043.0]),
            ("waist = 104,3 cm", &[1043.0]),
            ("left knee = 19 1/4 in", &[488.95]),
            ("left knee = 19¼\"", &[488.95]),
            (
                "left bust point = -9.1, 12.4, 118.6 cm",
                &[-91.0, 124.0, 1186.0],
            ),
            (
                "left bust point = -9,1; 12,4; 118,6 cm",
                &[-91.0, 124.0, 1186.0],
            ),
            ("nape = 0, -3 1/2 in, 57in", &[0.0, -88.9, 1447.8]),
            ("nape = 0 cm, +35 mm, 1.447 m", &[0.0, 35.0, 1447.0]),
            ("left knee = file 0.11, -2e-2, 0.48", &[0.11, -0.02, 0.48]),
            ("left knee = file:1 2 3", &[1.0, 2.0, 3.0]),
        ] {
            let pin = read(text).unwrap();
            let found = mm(pin.place);
            assert_eq!(found.len(), place.len(), "{text}");
            for (a, b) in found.iter().zip(place) {
                assert!((a - b).abs() < 1e-9, "{text}: {found:?}");
            }
        }
        let pin = read("l knee=48.2 cm").unwrap();
        assert_eq!((pin.key, pin.side), (LandmarkKey::Knee, Some(Side::Left)));
    }

    /// What a person gives is the reach of 95 in 100: two standard uncertainties.
    #[test]
    fn uncertainty_is_half_of_the_reach() {
        for text in ["waist=104 cm +- 8 mm", "waist=104 cm ± 0.8 cm"] {
            assert!((read(text).unwrap().sd.mm() - 4.0).abs() < 1e-12);
        }
        assert_eq!(read("waist=104 cm").unwrap().sd, PIN_SD);
    }

    #[test]
    fn faults_say_what_to_write() {
        for (text, word) in [
            ("waist", "no ="),
            ("=104 cm", "names no landmark"),
            ("wasit=104 cm", "did you mean \"narrowest waist\"?"),
            ("left waist=104 cm", "names no landmark"),
            ("favourite colour=1 cm", "top of the head, back neck point"),
            ("waist=104.3", "104.3 cm"),
            ("waist=", "is empty"),
            ("waist=high", "is not a length"),
            ("waist=-3 cm", "is negative"),
            ("waist=104 cm +- 3", "without a unit"),
            ("left knee=1,2,3", "without a unit"),
            ("left knee=1;2", "neither a height nor a point"),
            ("left knee=1,2,3,4 cm", "neither a height nor a point"),
            ("left knee=1,x,3 cm", "as a coordinate"),
            ("left knee=file 1, 2", "three plain numbers"),
            ("left knee=file 1, 2, inf", "three plain numbers"),
            (&"x".repeat(300), "too long"),
        ] {
            let said = read(text).unwrap_err();
            assert!(said.contains(word), "{text}: {said}");
        }
    }
}
