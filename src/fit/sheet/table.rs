//! Walking a TOML table and noting every fault on the way.

use super::{MOST_MM, number};
use crate::error::{Error, ErrorKind, Place, SheetFault, Spot};
use crate::length::{Length, LengthUnit};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Longest piece of the sheet quoted in a fault.
const QUOTED_CHARS: usize = 40;

/// The faults found so far, and the text they point into.
pub(super) struct Faults<'a> {
    file: &'a str,
    text: &'a str,
    list: Vec<(usize, SheetFault)>,
}

impl<'a> Faults<'a> {
    pub(super) fn new(file: &'a str, text: &'a str) -> Self {
        Self {
            file,
            text,
            list: Vec::new(),
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Something that stands in the sheet and is wrong.
    pub(super) fn wrong(&mut self, key: &str, span: Range<usize>, what: &str, remedy: &str) {
        let stands = self.text.get(span.clone()).unwrap_or_default();
        let mut quoted: String = stands.chars().take(QUOTED_CHARS).collect();
        if quoted.len() < stands.len() {
            quoted.push('…');
        }
        let before = self.text.as_bytes().iter().take(span.start);
        let line = 1 + before.filter(|&&byte| byte == b'\n').count() as u64;
        let quoted = quoted.replace('\n', " ");
        self.push(span.start, key, Some(line), quoted, what, remedy);
    }

    /// Something that should stand in the sheet and does not.
    pub(super) fn missing(&mut self, key: &str, remedy: &str) {
        let end = self.text.len();
        self.push(end, key, None, String::new(), "is missing", remedy);
    }

    /// Something that two places of the sheet give, each otherwise.
    pub(super) fn disagrees(&mut self, key: &str, remedy: &str) {
        let (end, what) = (self.text.len(), "is given twice, and not alike");
        self.push(end, key, None, String::new(), what, remedy);
    }

    fn push(
        &mut self,
        at: usize,
        key: &str,
        line: Option<u64>,
        text: String,
        what: &str,
        remedy: &str,
    ) {
        let key = key.to_owned();
        let fault = SheetFault {
            place: Place::new(self.file, Spot::Key { key, line }),
            text,
            what: what.to_owned(),
            remedy: remedy.to_owned(),
        };
        self.list.push((at, fault));
    }

    /// The faults as one error, in the order of the sheet, missing things last.
    pub(super) fn into_error(mut self) -> Error {
        self.list.sort_by_key(|&(at, _)| at);
        ErrorKind::Sheet {
            file: self.file.to_owned(),
            faults: self.list.into_iter().map(|(_, fault)| fault).collect(),
        }
        .into()
    }
}

/// A table of the sheet under its dotted path.
pub(super) struct Section<'t, 'i> {
    path: String,
    table: &'t DeTable<'i>,
}

impl<'t, 'i> Section<'t, 'i> {
    pub(super) fn root(table: &'t DeTable<'i>) -> Self {
        Self {
            path: String::new(),
            table,
        }
    }

    pub(super) fn key(&self, name: &str) -> String {
        if self.path.is_empty() {
            name.to_owned()
        } else {
            format!("{}.{name}", self.path)
        }
    }

    pub(super) fn has(&self, name: &str) -> bool {
        self.table.contains_key(name)
    }

    pub(super) fn value(&self, name: &str) -> Option<&'t Spanned<DeValue<'i>>> {
        self.table.get(name)
    }

    /// Faults every key that is not among the known ones, with the nearest known one.
    pub(super) fn only(&self, known: &[&str], faults: &mut Faults<'_>) {
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if known.contains(&name) {
                continue;
            }
            let near = known
                .iter()
                .map(|&other| (strsim::damerau_levenshtein(name, other), other))
                .filter(|&(far, other)| far <= 1 + other.len() / 4)
                .min();
            let remedy = match near {
                Some((_, other)) => format!("did you mean `{other}`?"),
                None => format!("this part of the sheet knows: {}", known.join(", ")),
            };
            faults.wrong(&self.key(name), key.span(), "is no known key", &remedy);
        }
    }

    /// A table below this one, if it is there.
    pub(super) fn section(&self, name: &str, faults: &mut Faults<'_>) -> Option<Self> {
        let value = self.value(name)?;
        let path = self.key(name);
        match value.get_ref().as_table() {
            Some(table) => Some(Self { path, table }),
            None => {
                let remedy = format!("write it as a table: [{path}]");
                faults.wrong(&path, value.span(), "is not a table", &remedy);
                None
            }
        }
    }

    /// The tables of a list, at most so many.
    pub(super) fn sections(&self, name: &str, most: usize, faults: &mut Faults<'_>) -> Vec<Self> {
        let Some(value) = self.value(name) else {
            return Vec::new();
        };
        let path = self.key(name);
        let all: Option<Vec<_>> = value.get_ref().as_array().and_then(|list| {
            let rows = list.iter().enumerate();
            rows.map(|(index, row)| {
                let path = format!("{path} {}", index + 1);
                row.get_ref().as_table().map(|table| Self { path, table })
            })
            .collect()
        });
        match all {
            Some(all) if all.len() <= most => all,
            Some(all) => {
                let what = format!("are {}, more than {most}", all.len());
                faults.wrong(&path, value.span(), &what, "leave out what does not matter");
                Vec::new()
            }
            None => {
                let remedy = format!("begin each with a line of its own: [[{path}]]");
                faults.wrong(&path, value.span(), "is no list of tables", &remedy);
                Vec::new()
            }
        }
    }

    /// A share of a hundred, from nought to a hundred.
    pub(super) fn percent(&self, name: &str, faults: &mut Faults<'_>) -> Option<f64> {
        let value = self.value(name)?;
        let digits = match value.get_ref() {
            DeValue::Integer(digits) if digits.radix() == 10 => digits.as_str(),
            DeValue::Float(digits) => digits.as_str(),
            _ => "",
        };
        let share = digits
            .parse()
            .ok()
            .filter(|share| (0.0..=100.0).contains(share));
        if share.is_none() {
            let remedy = "write how many parts of a hundred it stretches, 0 if none: 15";
            faults.wrong(
                &self.key(name),
                value.span(),
                "is no share of a hundred",
                remedy,
            );
        }
        share
    }

    /// A text, if it is there.
    pub(super) fn text(&self, name: &str, faults: &mut Faults<'_>) -> Option<String> {
        let value = self.value(name)?;
        match value.get_ref().as_str().map(str::trim) {
            Some(text) if !text.is_empty() => Some(text.to_owned()),
            _ => {
                let remedy = "write words between quotes: \"…\"";
                faults.wrong(&self.key(name), value.span(), "is no text", remedy);
                None
            }
        }
    }

    /// One of a few words.
    pub(super) fn one_of<T: Copy>(
        &self,
        name: &str,
        words: &[(&str, T)],
        faults: &mut Faults<'_>,
    ) -> Option<T> {
        let value = self.value(name)?;
        let found = value
            .get_ref()
            .as_str()
            .and_then(|text| words.iter().find(|(word, _)| *word == text.trim()));
        if found.is_none() {
            let list: Vec<_> = words
                .iter()
                .map(|(word, _)| format!("\"{word}\""))
                .collect();
            let remedy = format!("write one of {}", list.join(", "));
            faults.wrong(&self.key(name), value.span(), "is not known here", &remedy);
        }
        found.map(|&(_, meaning)| meaning)
    }

    /// A small whole number.
    pub(super) fn count(&self, name: &str, most: u32, faults: &mut Faults<'_>) -> Option<u32> {
        let value = self.value(name)?;
        let number = value
            .get_ref()
            .as_integer()
            .and_then(|digits| u32::from_str_radix(digits.as_str(), digits.radix()).ok())
            .filter(|number| *number <= most);
        if number.is_none() {
            let remedy = format!("write a whole number from 0 to {most}");
            faults.wrong(&self.key(name), value.span(), "is no such number", &remedy);
        }
        number
    }

    /// A length in the sheet's unit.
    pub(super) fn length(
        &self,
        name: &str,
        unit: LengthUnit,
        least: Least,
        faults: &mut Faults<'_>,
    ) -> Option<Length> {
        length(self.value(name)?, &self.key(name), unit, least, faults)
    }

    /// One length for each size.
    pub(super) fn lengths(
        &self,
        name: &str,
        unit: LengthUnit,
        sizes: usize,
        least: Least,
        faults: &mut Faults<'_>,
    ) -> Option<Vec<Length>> {
        let value = self.value(name)?;
        let key = self.key(name);
        let Some(array) = value.get_ref().as_array() else {
            let remedy = format!("write {sizes} lengths, one for each size: [ … , … ]");
            faults.wrong(&key, value.span(), "is no list", &remedy);
            return None;
        };
        if array.len() != sizes {
            let what = format!("has {} values for {sizes} sizes", array.len());
            faults.wrong(
                &key,
                value.span(),
                &what,
                "write one for each size, in order",
            );
            return None;
        }
        let all: Vec<_> = array
            .iter()
            .map(|item| length(item, &key, unit, least, faults))
            .collect();
        all.into_iter().collect()
    }
}

/// What a length must be at least.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Least {
    /// More than nought.
    AboveNought,
    /// Nought or more.
    Nought,
    /// May be below nought: ease in a stretch cloth, a seam that lies behind.
    Any,
}

fn length(
    value: &Spanned<DeValue<'_>>,
    key: &str,
    unit: LengthUnit,
    least: Least,
    faults: &mut Faults<'_>,
) -> Option<Length> {
    let text = match value.get_ref() {
        DeValue::String(text) => text.as_ref().to_owned(),
        DeValue::Integer(digits) if digits.radix() == 10 => digits.as_str().to_owned(),
        DeValue::Float(digits) => digits.as_str().to_owned(),
        _ => String::new(),
    };
    let length = match number::read(&text, unit) {
        Ok(length) => length,
        Err(fault) => {
            faults.wrong(key, value.span(), &fault.what, &fault.remedy);
            return None;
        }
    };
    let fits = match least {
        Least::AboveNought => length > Length::ZERO,
        Least::Nought => length >= Length::ZERO,
        Least::Any => true,
    };
    if !fits || length.abs().mm() > MOST_MM {
        let remedy = match least {
            Least::Any => "check the number and the sheet's unit",
            Least::Nought => "write 0 or more, and check the sheet's unit",
            Least::AboveNought => "write more than 0, and check the sheet's unit",
        };
        faults.wrong(key, value.span(), "is out of range", remedy);
        return None;
    }
    Some(length)
}
