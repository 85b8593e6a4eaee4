//! Faults of a profile, each with its JSON pointer, and where in a text the pointer leads.

use crate::error::{Error, ErrorKind, Place, SheetFault, Spot};
use serde_json::value::RawValue;
use std::collections::BTreeMap;

/// Most faults that are listed; the rest are counted.
const MOST: usize = 40;

/// Longest text of a value that is quoted.
const QUOTED_CHARS: usize = 40;

/// What is wrong at one place.
struct Fault {
    pointer: String,
    what: String,
    remedy: &'static str,
}

/// All faults found so far.
#[derive(Default)]
pub(super) struct Faults {
    list: Vec<Fault>,
    more: usize,
}

impl Faults {
    /// Notes a fault at a JSON pointer.
    pub(super) fn add(
        &mut self,
        pointer: impl Into<String>,
        what: impl Into<String>,
        remedy: &'static str,
    ) {
        if self.list.len() == MOST {
            self.more += 1;
            return;
        }
        self.list.push(Fault {
            pointer: pointer.into(),
            what: what.into(),
            remedy,
        });
    }

    /// All of them as one error, in the order they were found; `text` is the document, if at hand.
    pub(super) fn into_result(self, name: &str, text: Option<&str>) -> Result<(), Error> {
        if self.list.is_empty() {
            return Ok(());
        }
        let mut faults: Vec<SheetFault> = self
            .list
            .into_iter()
            .map(|fault| {
                let found = text.and_then(|text| find(text, &fault.pointer));
                let place = Spot::Value {
                    at: found.map(|found| found.at),
                    pointer: fault.pointer,
                };
                SheetFault {
                    place: Place::new(name, place),
                    text: found.map_or("", |found| found.quoted).to_owned(),
                    what: fault.what,
                    remedy: fault.remedy.to_owned(),
                }
            })
            .collect();
        if self.more > 0 {
            faults.push(SheetFault {
                place: Place::new(name, Spot::Whole),
                text: String::new(),
                what: format!("{} more faults of this kind", self.more),
                remedy: "put right those above and read it again".to_owned(),
            });
        }
        Err(ErrorKind::Sheet {
            file: name.to_owned(),
            faults,
        }
        .into())
    }
}

/// Where a value stands, and its text if it is short.
#[derive(Clone, Copy)]
struct Found<'t> {
    at: (u64, u64),
    quoted: &'t str,
}

/// The value a pointer leads to, or the nearest one around it that is there.
fn find<'t>(text: &'t str, pointer: &str) -> Option<Found<'t>> {
    let mut raw: &'t str = serde_json::from_str::<&RawValue>(text).ok()?.get();
    let mut whole = true;
    for step in pointer.split('/').skip(1) {
        let step = step.replace("~1", "/").replace("~0", "~");
        let inner = if raw.starts_with('[') {
            let items: Vec<&RawValue> = serde_json::from_str(raw).ok()?;
            step.parse::<usize>()
                .ok()
                .and_then(|at| items.get(at).copied())
        } else {
            let fields: BTreeMap<String, &RawValue> = serde_json::from_str(raw).ok()?;
            fields.get(&step).copied()
        };
        match inner {
            Some(inner) => raw = inner.get(),
            None => {
                whole = false;
                break;
            }
        }
    }
    // The raw value is a part of the text, so that its distance from the start is its place.
    let start = (raw.as_ptr() as usize).checked_sub(text.as_ptr() as usize)?;
    let before = text.get(..start)?;
    let line_start = before.rfind('\n').map_or(0, |end| end + 1);
    let line = 1 + before.bytes().filter(|&byte| byte == b'\n').count();
    let column = 1 + before[line_start..].chars().count();
    let is_plain = whole && !raw.starts_with(['{', '[']) && raw.chars().count() <= QUOTED_CHARS;
    Some(Found {
        at: (line as u64, column as u64),
        quoted: if is_plain { raw } else { "" },
    })
}
