//! The line that a reader moves: what the scan's girth is at any height of the trunk.

use super::length;
use crate::landmark::LandmarkKey;
use crate::measure::{CurvePart, GirthCurve, Measure};
use crate::profile::Profile;
use maud::{Markup, html};
use serde::Serialize;

#[derive(Serialize)]
struct Live<'p> {
    heights_mm: &'p [f64],
    taut_mm: &'p [f64],
    /// Runs of levels without a gap: index of the first and the last.
    stretches: Vec<[usize; 2]>,
    levels: Vec<Level>,
}

/// A level that can be moved.
#[derive(Serialize)]
struct Level {
    name: &'static str,
    height_mm: f64,
    /// What the tape says there, if it was taken.
    tape_mm: Option<f64>,
    /// The landmark to pin so that the level stays where it was moved.
    pin: Option<&'static str>,
}

fn trunk(profile: &Profile) -> Option<&GirthCurve> {
    profile
        .curves
        .iter()
        .find(|curve| curve.part == CurvePart::Trunk)
}

/// The levels on the trunk's curve, the waist first.
fn levels(profile: &Profile) -> Vec<Level> {
    let Some(curve) = trunk(profile) else {
        return Vec::new();
    };
    let measures = profile.measures.iter().map(|entry| &entry.measure);
    let mut levels: Vec<(bool, Level)> = measures
        .filter_map(|measure| level(profile, curve, measure))
        .collect();
    levels.sort_by_key(|(is_waist, _)| !is_waist);
    levels.into_iter().map(|(_, level)| level).collect()
}

fn level(profile: &Profile, curve: &GirthCurve, measure: &Measure) -> Option<(bool, Level)> {
    let definition = measure.id.key.definition();
    let height = measure.level_mm.filter(|_| curve.carries(measure))?;
    let check = profile.checks.iter().find(|check| check.id == measure.id);
    let pin = match definition.marks {
        [mark] if *mark != LandmarkKey::Armpit => Some(mark.name()),
        _ => None,
    };
    let level = Level {
        name: definition.name,
        height_mm: height.mm(),
        tape_mm: check.map(|check| check.tape_mm.mm()),
        pin,
    };
    Some((definition.marks == [LandmarkKey::WaistNarrowest], level))
}

/// The data for the script, safe within a script element: no `<` is left in it.
pub(super) fn data(profile: &Profile) -> String {
    let live = Live {
        heights_mm: trunk(profile).map_or(&[], |curve| &curve.heights_mm),
        taut_mm: trunk(profile).map_or(&[], |curve| &curve.taut_mm),
        stretches: trunk(profile).map_or_else(Vec::new, |curve| {
            let runs = curve.stretches();
            runs.map(|run| [run.start, run.end - 1]).collect()
        }),
        levels: levels(profile),
    };
    // Numbers and names of the crate's own are always JSON.
    let text = serde_json::to_string(&live).unwrap_or_else(|_| "{}".to_owned());
    text.replace('<', "\\u003c")
}

/// The slider with its words; hidden until the script shows it.
pub(super) fn control(profile: &Profile) -> Markup {
    let levels = levels(profile);
    let Some(first) = levels.first() else {
        return html! {};
    };
    html! {
        form id="live" hidden {
            label for="live-level" { "Move the level of the " }
            select id="live-level" {
                @for (index, level) in levels.iter().enumerate() { option value=(index) { (level.name) } }
            }
            label for="live-height" { "Height above the floor, found at " (length(first.height_mm)) " for the first of the list" }
            input type="range" id="live-height" step="1";
            output id="live-said" for="live-level live-height" {}
        }
    }
}
