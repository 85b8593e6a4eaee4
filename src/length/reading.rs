//! Reading a length as a person writes it: `38 5/8`, `38⅝"`, `98,2 cm`.

use super::{Length, LengthUnit};
use std::fmt;

/// Longest length a person or a garment has, in mm; more is a slip of the unit or of a digit.
pub const MAX_WRITTEN_MM: f64 = 3000.0;

/// Longest text looked at. The longest sensible one, `38 5/8 centimetres`, has under 20 characters.
const MAX_CHARS: usize = 40;

/// Denominators of inch rules (2 to 64) and of tenths; no rule is divided into thirds or sevenths.
const DENOMINATORS: [u32; 8] = [2, 4, 5, 8, 10, 16, 32, 64];

/// Why a text is no length, and what to write instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LengthFault {
    /// What is wrong, as the end of a sentence that starts with the text.
    pub what: String,
    /// What to write instead.
    pub remedy: String,
}

impl LengthFault {
    fn new(what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            remedy: remedy.into(),
        }
    }
}

impl fmt::Display for LengthFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", self.what, self.remedy)
    }
}

impl std::error::Error for LengthFault {}

/// A number with the unit it was written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written {
    /// The number, fraction included.
    pub number: f64,
    /// Its unit: the one written, else the default.
    pub unit: LengthUnit,
}

impl Written {
    /// The length it stands for.
    #[must_use]
    pub const fn length(self) -> Length {
        self.unit.length(self.number)
    }
}

/// The length a text stands for; `default` is the unit of a bare number.
///
/// Accepted: decimals with point or comma, whole numbers with a fraction
/// (`38 5/8`, `38-5/8`, `38⅝`), a fraction alone, each with or without a unit
/// (mm, cm, m, in, `"`, `″`, and their names).
///
/// Three digits after a single comma or point may be decimals or a thousands
/// group. Where only one of the two can be a length of up to
/// [`MAX_WRITTEN_MM`] that one is taken (`38.625 in`); where both can
/// (`1,234 mm`) the text is refused.
///
/// # Errors
/// [`LengthFault`] if the text is no single length above 0 and up to [`MAX_WRITTEN_MM`].
///
/// # Examples
/// ```
/// use girthwise::{LengthUnit, length::reading::read_length};
/// let girth = read_length("38 5/8", LengthUnit::Inch)?;
/// assert!((girth.mm() - 981.075).abs() < 1e-9);
/// assert!(read_length("38 9/8", LengthUnit::Inch).is_err());
/// # Ok::<(), girthwise::length::reading::LengthFault>(())
/// ```
pub fn read_length(text: &str, default: LengthUnit) -> Result<Length, LengthFault> {
    read_written(text, default).map(Written::length)
}

/// As [`read_length`], but keeps the number and the unit as written.
///
/// # Errors
/// As [`read_length`].
pub fn read_written(text: &str, default: LengthUnit) -> Result<Written, LengthFault> {
    if text.chars().count() > MAX_CHARS {
        return Err(LengthFault::new("is too long for a length", EXAMPLES));
    }
    let plain = plain(text);
    if plain.is_empty() {
        return Err(LengthFault::new("is empty", EXAMPLES));
    }
    if plain.starts_with('-') {
        return Err(LengthFault::new(
            "is negative",
            "a body measure has no sign; leave the minus out",
        ));
    }
    let end = plain
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '-' | ' ')))
        .unwrap_or(plain.len());
    let (number, sign) = (plain[..end].trim(), plain[end..].trim());
    if !number.contains(|c: char| c.is_ascii_digit()) {
        return Err(LengthFault::new("is not a length", EXAMPLES));
    }
    let unit = read_unit(sign, default)?;
    let written = Written {
        number: read_number(number, unit)?,
        unit,
    };
    check_size(written)?;
    Ok(written)
}

const EXAMPLES: &str = "write one length like 38 5/8 in or 98.2 cm";

/// Lower case, one kind of space, dash, inch mark and fraction.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 8);
    for c in text.trim().chars() {
        if let Some(fraction) = fraction_sign(c) {
            plain.push(' ');
            plain.push_str(fraction);
            continue;
        }
        match c {
            '\u{2044}' | '\u{2215}' => plain.push('/'),
            '\u{2010}'..='\u{2014}' | '\u{2212}' => plain.push('-'),
            '\u{2033}' | '\u{201c}' | '\u{201d}' => plain.push('"'),
            c if c.is_whitespace() => plain.push(' '),
            c => plain.extend(c.to_lowercase()),
        }
    }
    plain.trim().replace("''", "\"")
}

fn fraction_sign(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '⅕' => "1/5",
        '⅖' => "2/5",
        '⅗' => "3/5",
        '⅘' => "4/5",
        '⅙' => "1/6",
        '⅚' => "5/6",
        '⅒' => "1/10",
        _ => return None,
    })
}

/// The unit of a sign or name, if there is such a unit; empty text is none.
#[must_use]
pub fn unit_named(text: &str) -> Option<LengthUnit> {
    Some(match text.trim().trim_end_matches('.') {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
            LengthUnit::Millimetre
        }
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
            LengthUnit::Centimetre
        }
        "in" | "inch" | "inches" | "\"" => LengthUnit::Inch,
        "m" | "metre" | "metres" | "meter" | "meters" => LengthUnit::Metre,
        _ => return None,
    })
}

fn read_unit(sign: &str, default: LengthUnit) -> Result<LengthUnit, LengthFault> {
    if sign.is_empty() {
        return Ok(default);
    }
    if sign.starts_with(['\'', 'f']) {
        return Err(LengthFault::new(
            "is written with feet",
            "write the whole length in inches, like 65 1/2 in",
        ));
    }
    unit_named(sign).ok_or_else(|| {
        LengthFault::new(
            format!("has \"{sign}\" where a unit should stand"),
            "use one number with mm, cm, m or in",
        )
    })
}

fn read_number(text: &str, unit: LengthUnit) -> Result<f64, LengthFault> {
    if text.ends_with('-') || text.matches('-').count() > 1 {
        return Err(LengthFault::new("has a stray dash", EXAMPLES));
    }
    let pieces: Vec<&str> = text
        .split([' ', '-'])
        .filter(|piece| !piece.is_empty())
        .collect();
    match pieces[..] {
        [one] if one.contains('/') => read_fraction(one, None),
        [one] => read_decimal(one, unit),
        [whole, part] if part.contains('/') && whole.bytes().all(|b| b.is_ascii_digit()) => {
            let whole = read_decimal(whole, unit)?;
            Ok(whole + read_fraction(part, Some(whole))?)
        }
        _ => Err(LengthFault::new(
            "holds more than one number",
            "write one reading a cell, like 38 5/8 or 98.2; a second reading gets its own row",
        )),
    }
}

/// A proper fraction; `whole` is the number before it, for the remedy.
fn read_fraction(text: &str, whole: Option<f64>) -> Result<f64, LengthFault> {
    let parts = text.split_once('/').and_then(|(over, under)| {
        let digits = |part: &str| part.parse::<u32>().ok();
        Some((digits(over)?, digits(under)?))
    });
    let Some((over, under)) = parts else {
        return Err(LengthFault::new(
            format!("has \"{text}\" where a fraction should stand"),
            "write the fraction like 5/8",
        ));
    };
    if !DENOMINATORS.contains(&under) {
        return Err(LengthFault::new(
            format!("has a fraction of {under} parts, which no tape shows"),
            "use halves, quarters, eighths, sixteenths or decimals",
        ));
    }
    if over == 0 || over >= under {
        let value = whole.unwrap_or(0.0) + f64::from(over) / f64::from(under);
        return Err(LengthFault::new(
            format!("has the fraction {over}/{under}, which is not between 0 and 1"),
            format!("look at the tape again; if you mean {value}, write {value}"),
        ));
    }
    Ok(f64::from(over) / f64::from(under))
}

fn read_decimal(text: &str, unit: LengthUnit) -> Result<f64, LengthFault> {
    let number = |text: &str| {
        text.parse::<f64>()
            .map_err(|_| LengthFault::new(format!("has no number in \"{text}\""), EXAMPLES))
    };
    let Some((whole, decimals)) = text.split_once(['.', ',']) else {
        return number(text);
    };
    if decimals.is_empty() || decimals.contains(['.', ',', '/']) || whole.contains('/') {
        return Err(LengthFault::new(
            "has a comma or point too many",
            "write the digits without thousands marks and at most one decimal point",
        ));
    }
    let grouped = number(&format!("{whole}{decimals}"))?;
    let group = decimals.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    if group && unit.length(grouped).mm() <= MAX_WRITTEN_MM {
        return Err(LengthFault::new(
            format!("may be {grouped} {unit} or {whole}.{decimals} {unit}"),
            format!("write {grouped} {unit} without the mark, or use fewer than three decimals"),
        ));
    }
    number(&format!("{whole}.{decimals}"))
}

fn check_size(written: Written) -> Result<(), LengthFault> {
    let mm = written.length().mm();
    // A positive test, so that an infinite or undefined number fails it too.
    if mm > 0.0 && mm <= MAX_WRITTEN_MM {
        return Ok(());
    }
    if mm <= 0.0 {
        return Err(LengthFault::new(
            "is no length",
            "leave the cell empty if it was not measured",
        ));
    }
    let smaller: Vec<&str> = LengthUnit::ALL
        .into_iter()
        .filter(|unit| unit.length(written.number).mm() <= MAX_WRITTEN_MM)
        .map(LengthUnit::sign)
        .collect();
    let remedy = if smaller.is_empty() {
        "look for a digit too many".to_owned()
    } else {
        format!(
            "look for a digit too many, or write the unit behind the number if it is {}",
            smaller.join(" or ")
        )
    };
    Err(LengthFault::new(
        format!("is over 3 m when taken in {}", written.unit.name()),
        remedy,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::text::Shown;
    use LengthUnit::{Centimetre, Inch, Millimetre};
    use proptest::prelude::*;

    /// One inch is 25.4 mm by definition (1959); all values by hand.
    #[test]
    fn what_people_write() {
        for (text, unit, mm) in [
            ("38 5/8", Inch, 981.075),
            ("38-5/8\"", Inch, 981.075),
            ("38 5/8\"", Centimetre, 981.075),
            (" 38 5/8 in ", Centimetre, 981.075),
            ("38 5/8 Inches", Millimetre, 981.075),
            ("38.625 in", Centimetre, 981.075),
            ("38,625 in", Centimetre, 981.075),
            ("38⅝", Inch, 981.075),
            ("38 ½″", Centimetre, 977.9),
            ("38 5⁄8 inch", Centimetre, 981.075),
            ("5/8", Inch, 15.875),
            ("½ in", Centimetre, 12.7),
            ("98.2 cm", Inch, 982.0),
            ("98,2 cm", Inch, 982.0),
            ("98,2", Centimetre, 982.0),
            ("98,250 cm", Centimetre, 982.5),
            ("982mm", Centimetre, 982.0),
            ("982", Millimetre, 982.0),
            ("0.98 m", Centimetre, 980.0),
            ("0,982 m", Centimetre, 982.0),
            ("1.250 m", Centimetre, 1250.0),
            (".5 in", Centimetre, 12.7),
            ("98 1/2 cm", Inch, 985.0),
        ] {
            let read = read_length(text, unit).unwrap_or_else(|fault| panic!("{text}: {fault}"));
            assert!((read.mm() - mm).abs() < 1e-9, "{text}: {read}");
        }
    }

    #[test]
    fn what_is_refused_and_why() {
        for (text, unit, word) in [
            ("", Inch, "empty"),
            ("   ", Inch, "empty"),
            ("-38", Inch, "negative"),
            ("−38 5/8", Inch, "negative"),
            ("38 5/0", Inch, "0 parts"),
            ("38 9/8", Inch, "write 39.125"),
            ("38 8/8", Inch, "write 39"),
            ("38 0/8", Inch, "not between"),
            ("38 5/7", Inch, "7 parts"),
            ("38 ⅓", Inch, "3 parts"),
            ("38 5/", Inch, "fraction should"),
            ("38 5/8/2", Inch, "fraction should"),
            ("38 39", Inch, "more than one"),
            ("38-40", Inch, "more than one"),
            ("38.5 1/8", Inch, "more than one"),
            ("38-", Inch, "stray dash"),
            ("about 38", Inch, "not a length"),
            ("38x", Inch, "\"x\""),
            ("1e3", Millimetre, "\"e3\""),
            ("NaN", Inch, "not a length"),
            ("inf", Inch, "not a length"),
            ("5 ft 4", Inch, "feet"),
            ("5' 4\"", Inch, "feet"),
            ("1,234 mm", Inch, "1234 mm or 1.234 mm"),
            ("1.234", Millimetre, "1234 mm or 1.234 mm"),
            ("1,234.5", Millimetre, "too many"),
            ("38.", Inch, "too many"),
            ("0", Inch, "no length"),
            ("0.0 cm", Inch, "no length"),
            ("982", Inch, "over 3 m when taken in inches"),
            ("982", Centimetre, "mm"),
            (
                "99999999999999999999999999999999999999",
                Inch,
                "digit too many",
            ),
            (
                "11111111111111111111111111111111111111111",
                Inch,
                "too long",
            ),
        ] {
            let fault = read_length(text, unit).expect_err(text);
            assert!(fault.to_string().contains(word), "{text}: {fault}");
            assert!(!fault.remedy.is_empty());
        }
    }

    proptest! {
        #[test]
        fn any_text_gives_an_answer(text in "\\PC{0,50}") {
            for unit in LengthUnit::ALL {
                if let Ok(length) = read_length(&text, unit) {
                    prop_assert!(length.mm() > 0.0 && length.mm() <= MAX_WRITTEN_MM);
                }
            }
        }

        #[test]
        fn near_misses_give_an_answer(text in "[0-9 .,/½⅝\"'\u{2212}cmin-]{0,14}") {
            if let Ok(length) = read_length(&text, Inch) {
                prop_assert!(length.mm() > 0.0 && length.mm() <= MAX_WRITTEN_MM);
            }
        }

        /// Nearest eighth: half an eighth, 1/16 in, away at most.
        #[test]
        fn shown_eighths_are_read_back(mm in 10.0..2990.0_f64) {
            let shown = Shown::InchEighths.show(Length::from_mm(mm));
            let read = read_length(&shown, Centimetre).unwrap();
            prop_assert!((read.mm() - mm).abs() <= 25.4 / 16.0 + 1e-9, "{}", shown);
        }
    }
}
