//! The line that a reader moves: what the scan's girth is at any height of the trunk, and what the
//! plan would have done there.

use super::Page;
use crate::fit::{Level as FitLevel, Line, LineTerms, WidthTerms};
use crate::landmark::LandmarkKey;
use crate::measure::{CurvePart, GirthCurve, Measure};
use crate::profile::Profile;
use maud::{Markup, html};
use serde::Serialize;

/// What the script reckons with.
#[derive(Serialize)]
struct Live<'p> {
    heights_mm: &'p [f64],
    taut_mm: &'p [f64],
    /// Runs of levels without a gap: index of the first and the last.
    stretches: Vec<[usize; 2]>,
    levels: Vec<Level>,
    /// What there is of a plan, to reckon its widths and lengths anew.
    plan: Option<Terms>,
}

#[derive(Serialize)]
struct Terms {
    widths: Vec<WidthTerms>,
    /// From the top line down, if they follow line by line.
    lines: Option<Vec<LineWords>>,
}

#[derive(Serialize)]
struct LineWords {
    #[serde(flatten)]
    terms: LineTerms,
    /// As the plan writes it.
    said: String,
    /// True if the body's length is a way over the skin, which no height gives.
    over_skin: bool,
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
    /// The level and line of a garment that go by it.
    fit: Option<FitLevel>,
    line: Option<Line>,
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
    let fit = FitLevel::ALL
        .into_iter()
        .find(|fit| fit.girth() == measure.id.key);
    let level = Level {
        name: definition.name,
        height_mm: height.mm(),
        tape_mm: check.map(|check| check.tape_mm.mm()),
        pin,
        fit,
        line: fit.map(FitLevel::line),
    };
    Some((definition.marks == [LandmarkKey::WaistNarrowest], level))
}

/// The data for the script, safe within a script element: no `<` is left in it.
pub(super) fn data(page: &Page<'_>) -> String {
    let profile = page.profile;
    let live = Live {
        heights_mm: trunk(profile).map_or(&[], |curve| &curve.heights_mm),
        taut_mm: trunk(profile).map_or(&[], |curve| &curve.taut_mm),
        stretches: trunk(profile).map_or_else(Vec::new, |curve| {
            let runs = curve.stretches();
            runs.map(|run| [run.start, run.end - 1]).collect()
        }),
        levels: levels(profile),
        plan: terms(page),
    };
    // Numbers and names of the crate's own are always JSON.
    let text = serde_json::to_string(&live).unwrap_or_else(|_| "{}".to_owned());
    text.replace('<', "\\u003c")
}

fn terms(page: &Page<'_>) -> Option<Terms> {
    let (garment, plan) = page.plan?;
    let words = |terms: LineTerms| LineWords {
        said: format!("between {} and {}", terms.from, terms.to),
        over_skin: terms.from == Line::Shoulder,
        terms,
    };
    let lines = page.fit.line_terms(garment, plan);
    Some(Terms {
        widths: page.fit.width_terms(garment, plan),
        lines: lines.map(|lines| lines.into_iter().map(words).collect()),
    })
}

/// The slider with its words; hidden until the script shows it.
pub(super) fn control(profile: &Profile) -> Markup {
    let levels = levels(profile);
    if levels.is_empty() {
        return html! {};
    }
    html! {
        form id="live" hidden {
            label for="live-level" { "Move the level of the " }
            select id="live-level" {
                @for (index, level) in levels.iter().enumerate() { option value=(index) { (level.name) } }
            }
            label for="live-height" { "to another height above the floor:" }
            input type="range" id="live-height" step="1";
            output id="live-said" for="live-level live-height" {}
        }
    }
}
