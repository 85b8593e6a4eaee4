//! The size by the upper chest, where the bust is large against it.

use super::table::{is_clear, nearest};
use crate::finding::Weight;
use crate::fit::desk::{Desk, Reading};
use crate::fit::phrase::{Phrase, phrase};
use crate::fit::plan::ROUND_OFF_MM;
use crate::length::Length;
use crate::measure::Key;

/// The upper chest handed over by hand, or the profile's.
fn upper_chest(desk: &Desk<'_>) -> Result<Reading, Phrase> {
    match desk.upper_chest {
        Some(taken) => Ok(Reading {
            mm: taken.girth.mm(),
            sd_mm: taken.sd.mm(),
        }),
        None => desk.reading(Key::UpperChestGirth),
    }
}

/// The size by upper chest, where the bust exceeds the upper chest by the rule's amount, and
/// whether both the rule and the size stand clear of the uncertainty.
pub(super) fn by_upper_chest(desk: &mut Desk<'_>, bust: Reading) -> Option<(usize, bool)> {
    let rule = desk.limits.bust_rule;
    let upper = match upper_chest(desk) {
        Ok(upper) => upper,
        Err(reason) => {
            let mut text = phrase!["the top goes by the bust:"];
            text.join(reason);
            text.join(phrase![
                "Where the bust exceeds the upper chest by ",
                rule,
                " or more, the size by the upper chest fits neck and shoulders better."
            ]);
            desk.remark(Weight::Note, "size", text);
            return None;
        }
    };
    let over = bust.length() - upper.length();
    if over.mm() < rule.mm() - ROUND_OFF_MM {
        return None;
    }
    let (table, has_own) = upper_chest_table(desk)?;
    let size = nearest(table, upper.length())?;
    let reach_mm = desk.limits.sure_at_sd * upper.sd_mm;
    let sure_of_table = is_clear(table, upper.length(), size, reach_mm);
    let mut text = phrase![
        "the bust exceeds the upper chest by ",
        over,
        ": the top goes by the upper chest, and the bust is enlarged."
    ];
    if !has_own {
        text.join(phrase![
            "The body chart has no upper chest, so it is looked up among the busts (common practice); add body.upper_chest if the pattern has it."
        ]);
    }
    let weight = if has_own { Weight::Note } else { Weight::Look };
    desk.remark(weight, "size", text);
    let margin_sd_mm = bust.sd_mm.hypot(upper.sd_mm);
    let sure_of_rule = (over - rule).abs().mm() > desk.limits.sure_at_sd * margin_sd_mm;
    Some((size, sure_of_rule && sure_of_table && has_own))
}

/// The chart's upper chest, or its bust in place of it (common practice, no source), and whether
/// it is its own.
fn upper_chest_table<'a>(desk: &Desk<'a>) -> Option<(&'a [Length], bool)> {
    let garment = desk.garment;
    let known = garment.sizes.len();
    let cut = |table: &'a Vec<Length>| &table[..table.len().min(known)];
    match &garment.upper_chest {
        Some(own) => Some((cut(own), true)),
        None => garment.body.bust.as_ref().map(|bust| (cut(bust), false)),
    }
}
