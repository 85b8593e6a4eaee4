//! Reasons in words.

use super::{Reason, Tilt, Why};
use crate::length::text::Shown;
use crate::measure::Key;

impl Reason {
    /// The reason in a sentence.
    #[must_use]
    pub fn say(&self, shown: Shown) -> String {
        match &self.why {
            Why::OtherLevel {
                at_mm,
                level_mm,
                give_mm,
            } => {
                let way = if at_mm < level_mm { "lower" } else { "higher" };
                let reads = if self.left_over > 0.0 {
                    "comes nearest to"
                } else {
                    "reads"
                };
                format!(
                    "The scan {reads} the tape's value {} {way}, at {} above the floor (± {}): the tape may have lain there.",
                    shown.show_some((*at_mm - *level_mm).abs()),
                    shown.show(*at_mm),
                    shown.show_up(*give_mm),
                )
            }
            Why::OtherSide { reads } => format!(
                "The reading fits the {reads} side of the scan: left and right may be exchanged on the sheet; they are the wearer's own."
            ),
            Why::Common => format!(
                "Without the shift that all girths share the tape would say {}.",
                self.shown_tape(shown)
            ),
            Why::OtherWaist {
                fits,
                also,
                reads_mm,
                at_mm,
                within_mm,
                or_at_mm,
            } => {
                let place = place_of(*fits);
                let there = match within_mm {
                    Some(_) => format!("where the {place} may be"),
                    None => format!("at the {place}"),
                };
                let at = at_mm.map(|at| format!(", {} above the floor", shown.show(at)));
                let looked = within_mm.map(|[low, high]| {
                    format!(
                        " The scan does not show that place; it was looked for between {} and {}, where people so tall have it.",
                        shown.show(low),
                        shown.show(high)
                    )
                });
                let others: Vec<&str> = also.iter().map(|&key| place_of(key)).collect();
                let others = (!others.is_empty())
                    .then(|| format!(" The {} may be there too.", others.join(" or the ")));
                let or_at = or_at_mm.map(|at| {
                    format!(
                        " The scan reads the tape's value at {} as well.",
                        shown.show(at)
                    )
                });
                format!(
                    "The scan reads {} {there}{}: the tape may have lain there.{}{}{}",
                    shown.show(*reads_mm),
                    at.unwrap_or_default(),
                    looked.unwrap_or_default(),
                    others.unwrap_or_default(),
                    or_at.unwrap_or_default()
                )
            }
            Why::AlongSkin { skin_mm } => format!(
                "Along the skin the scan reads {}: the tape may have followed the skin into hollows; pulled taut over them it would say {}.",
                shown.show(*skin_mm),
                self.shown_tape(shown)
            ),
            Why::PulledTight { share } => format!(
                "The tape may have been pulled tight: pressed in by {:.1} % it reads so little, and laid flat it would say {}. How far a hand presses is an assumption.",
                100.0 * share,
                self.shown_tape(shown)
            ),
            Why::TapeTilted {
                front_back,
                side_to_side,
            } => say_tilt(*front_back, *side_to_side, shown),
            Why::StartedAtOne {
                row,
                written,
                alike,
                of,
            } => format!(
                "Row {row}, \"{written}\": the tape may have begun at its 1 inch mark, or been read a whole inch too much; from its end it would say {}.{}",
                self.shown_tape(shown),
                say_alike(*alike, *of)
            ),
            Why::OtherUnit { row, written, .. } => format!(
                "Row {row}, \"{written}\": {}; that is {}.",
                self.hint(),
                self.shown_tape(shown)
            ),
            Why::Digits { row, written, .. } => {
                format!("Row {row}, \"{written}\": {}.", self.hint())
            }
            Why::WholeStep {
                row,
                written,
                over_mm,
            } => {
                let way = if over_mm.mm() < 0.0 { "little" } else { "much" };
                format!(
                    "Row {row}, \"{written}\": the tape may have been read {} too {way}; then it would say {}.",
                    shown.show_some(over_mm.abs()),
                    self.shown_tape(shown)
                )
            }
        }
    }

    /// The reason in a few words that hold no length.
    #[must_use]
    pub fn hint(&self) -> String {
        match &self.why {
            Why::OtherLevel {
                at_mm, level_mm, ..
            } => {
                let way = if at_mm < level_mm { "lower" } else { "higher" };
                format!("the tape may have lain {way} than the scan's level")
            }
            Why::OtherUnit { taken, meant, .. } => {
                format!(
                    "taken in {}, it may be meant in {}",
                    taken.name(),
                    meant.name()
                )
            }
            Why::Digits { meant, .. } => format!("the reading may stand for \"{meant}\""),
            Why::WholeStep { .. } => "the tape may have been read at the wrong whole mark".into(),
            Why::OtherSide { .. } => "left and right may be exchanged".into(),
            Why::Common => "all girths share this shift".into(),
            Why::OtherWaist { fits, .. } => {
                format!("the tape may have lain at the {}", place_of(*fits))
            }
            Why::AlongSkin { .. } => "the tape may have followed the skin into hollows".into(),
            Why::PulledTight { .. } => "the tape may have been pulled tight".into(),
            Why::TapeTilted { .. } => "the tape may have lain out of level".into(),
            Why::StartedAtOne { .. } => "the tape may have begun at its 1 inch mark".into(),
        }
    }

    fn shown_tape(&self, shown: Shown) -> String {
        self.tape_mm
            .map_or_else(|| "the same".to_owned(), |tape| shown.show(tape))
    }
}

/// Degrees below which two tilts are told as one.
const SAME_DEGREES: f64 = 0.5;

fn say_tilt(front_back: Option<Tilt>, side_to_side: Option<Tilt>, shown: Shown) -> String {
    let say = |tilt: Tilt, way: &str| {
        let way = tilt.lower.map_or_else(
            || format!(" {way}"),
            |lower| format!(", lower {}", lower.words()),
        );
        format!(
            "{:.0} degrees{way} ({} from lowest to highest)",
            tilt.degrees,
            shown.show_some(tilt.rise_mm)
        )
    };
    let tilts = match (front_back, side_to_side) {
        (Some(one), Some(other))
            if one.lower.is_none() && (one.degrees - other.degrees).abs() < SAME_DEGREES =>
        {
            say(one, "in any direction")
        }
        (Some(one), Some(other)) => format!(
            "{} or {}",
            say(one, "between front and back"),
            say(other, "between the sides")
        ),
        (Some(one), None) => say(one, "between front and back"),
        (None, Some(other)) => say(other, "between the sides"),
        (None, None) => "some degrees".to_owned(),
    };
    format!("The tape may have lain out of level: a tilt of {tilts} makes it read so.")
}

fn say_alike(alike: usize, of: usize) -> String {
    if of == 0 {
        return String::new();
    }
    format!(" By the same inch {alike} of {of} other measures in inches come nearer the scan.")
}

/// Where a waist is, in a few words.
fn place_of(waist: Key) -> &'static str {
    match waist {
        Key::WaistNarrowestGirth => "narrowest waist",
        Key::WaistMidwayGirth => "level midway between rib and hip bone",
        Key::NavelGirth => "navel",
        Key::BellyGirth => "fullest part of the belly",
        other => other.definition().name,
    }
}
