//! Body measures that stand undecided: told before the first step, so that nothing is cut by them.

use super::desk::Desk;
use super::phrase::{Phrase, Piece};
use crate::finding::Weight;
use crate::length::Length;
use crate::measure::{MeasureId, Unit};
use crate::profile::Entry;

/// Tells which of the measures a plan uses are undecided. Their steps carry the distance of the
/// inputs as uncertainty ([`Entry::sd`]), so those that hang on it are to be checked on the body.
pub(super) fn tell(desk: &mut Desk<'_>, needs: &[MeasureId]) {
    for &id in needs {
        let entry = desk.profile.entry(id);
        if let Some(entry) = entry.filter(|entry| entry.undecided && entry.measure.unit == Unit::Mm)
        {
            let text = doubt(entry);
            desk.remark(Weight::Act, id.to_string(), text);
        }
    }
}

fn doubt(entry: &Entry) -> Phrase {
    let inputs = [
        ("the scan says ", entry.scan),
        ("a second scan ", entry.second),
        ("the tape ", entry.tape),
    ];
    let mut pieces: Vec<Piece> = Vec::new();
    for (name, input) in inputs {
        if let Some(input) = input {
            let before = if pieces.is_empty() {
                "it is undecided: "
            } else {
                ", "
            };
            pieces.extend([
                before.into(),
                name.into(),
                Length::from_mm(input.value).into(),
            ]);
        }
    }
    pieces.extend([
        ". Measure it again before you cut; the steps below go by ".into(),
        Length::from_mm(entry.measure.value).into(),
        ".".into(),
    ]);
    pieces.into_iter().collect()
}
