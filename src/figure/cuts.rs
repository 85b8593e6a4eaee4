//! Level cuts of the body: the skin, the taut tape over it, the two halves apart.

use super::canvas::{LINE, described, half, line, path, text, words};
use super::{Figure, Units};
use crate::length::Length;
use crate::length::text::Shown;
use crate::measure::{Key, Measure, MeasureId, MeasureSet, Mode};
use crate::parallel::map_indices;
use crate::part::Parts;
use crate::scan::Scan;
use crate::section::{Contour, Slicer};
use crate::side::Side;
use maud::{Markup, html};

/// Width of a drawing, and of the widest cut within it.
const WIDTH: f64 = 260.0;
const WIDEST: f64 = 226.0;
/// Room above and below a cut for its words.
const ABOVE: f64 = 52.0;
const BELOW: f64 = 44.0;
/// How far a contour's taut girth may lie off the measure: girths are taken on skin with the noise
/// smoothed off.
const SAME: f64 = 0.02;

/// A drawing for each level at which the scan has a girth, from the top down: the skin, the taut
/// tape where it leaves the skin, left and right halves in patterns of their own.
///
/// Seen from above with the front towards the viewer, all to one scale, so that the wearer's right
/// is on the left of the picture.
#[must_use]
pub fn cuts(scan: &Scan, units: Units) -> Vec<Figure> {
    let girths: Vec<&Measure> = scan.measures.values().filter(is_level_girth).collect();
    let slicer = Slicer::level(scan.body.mesh());
    let contours = map_indices(girths.len(), |i| {
        contour_of(girths[i], &scan.parts, &slicer)
    });
    let mut levels: Vec<Level<'_>> = Vec::new();
    for (girth, contour) in girths.into_iter().zip(&contours) {
        let Some(contour) = contour else { continue };
        let part = Part { girth, contour };
        match levels.iter_mut().find(|level| level.key == girth.id.key) {
            Some(level) => level.parts.push(part),
            None => levels.push(Level {
                key: girth.id.key,
                parts: vec![part],
            }),
        }
    }
    levels.sort_by(|a, b| b.height_mm().total_cmp(&a.height_mm()));
    let widest = levels.iter().map(Level::reach_mm).fold(1.0, f64::max);
    let drawn = |level: &Level<'_>| level.figure(&scan.measures, WIDEST / widest, units);
    levels.iter().map(drawn).collect()
}

/// The part of the body that a girth lies round, where it reads what was measured.
fn contour_of(girth: &Measure, parts: &Parts, slicer: &Slicer<'_>) -> Option<Contour> {
    let height = girth.level_mm?.mm();
    let contour = match girth.id.side {
        Some(side) => parts.leg_at(slicer, side, height),
        None => parts
            .trunk_at(slicer, height)
            .or_else(|_| parts.upper_at(slicer, height)),
    };
    let is_same = |c: &Contour| (c.taut_girth_mm() - girth.value).abs() <= SAME * girth.value;
    contour.ok().filter(is_same)
}

/// A girth at one level, not a share of another.
fn is_level_girth(measure: &&Measure) -> bool {
    let definition = measure.id.key.definition();
    definition.mode == Mode::Taut && definition.is_girth() && measure.level_mm.is_some()
}

struct Part<'a> {
    girth: &'a Measure,
    contour: &'a Contour,
}

struct Level<'a> {
    key: Key,
    parts: Vec<Part<'a>>,
}

impl Level<'_> {
    fn height_mm(&self) -> f64 {
        let heights = self.parts.iter().filter_map(|part| part.girth.level_mm);
        heights.map(Length::mm).fold(0.0, f64::max)
    }

    /// Extent across or, for a whole trunk, the same to both sides of the midline.
    fn reach_mm(&self) -> f64 {
        let ends = self.parts.iter().map(|part| part.contour.extent(0));
        2.0 * ends.fold(0.0_f64, |most, (low, high)| most.max(-low).max(high))
    }

    fn figure(&self, measures: &MeasureSet, scale: f64, units: Units) -> Figure {
        let (back, front) = self
            .parts
            .iter()
            .map(|part| part.contour.extent(1))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |a, b| {
                (a.0.min(b.0), a.1.max(b.1))
            });
        let floor = ABOVE + (front - back) * scale;
        let paper = Paper {
            place: [WIDTH / 2.0, ABOVE - back * scale],
            scale,
            name: format!("cut-{}", self.key.definition().text.replace('_', "-")),
        };
        let at = Length::from_mm(self.height_mm());
        let title = self.key.definition().name;
        let content = html! {
            (patterns(&paper.name))
            (words("head", [2.0, LINE], title))
            (text(units, "name", [2.0, 2.0 * LINE], |shown| format!("{} above the floor", shown.show(at))))
            (words("way m", [WIDTH / 2.0, ABOVE - 5.0], "back"))
            (words("way m", [WIDTH / 2.0, floor + LINE], "front"))
            (words("way", [2.0, floor + LINE], "right"))
            (words("way e", [WIDTH - 2.0, floor + LINE], "left"))
            @for part in &self.parts { (paper.part(part)) }
            (line("axis", [WIDTH / 2.0, ABOVE], [WIDTH / 2.0, floor]))
            (text(units, "value m", [WIDTH / 2.0, floor + 2.4 * LINE], |shown| self.said(measures, shown)))
        };
        Figure {
            name: paper.name.clone(),
            title: format!("Cut at the {title}"),
            about: self.about(measures, described(units)),
            width: WIDTH,
            height: floor + BELOW,
            content,
        }
    }

    fn said(&self, measures: &MeasureSet, shown: Shown) -> String {
        let of = |part: &Part<'_>| {
            let taut = shown.show(part.girth.length());
            match (part.girth.id.side, skin(measures, part.girth.id)) {
                (Some(side), _) => format!("{side} {taut}"),
                (None, Some(skin)) => format!("tape {taut} · skin {}", shown.show(skin)),
                (None, None) => format!("tape {taut}"),
            }
        };
        // The wearer's right stands on the left of the picture.
        let parts: Vec<String> = self.parts.iter().rev().map(of).collect();
        parts.join(" · ")
    }

    fn about(&self, measures: &MeasureSet, shown: Shown) -> String {
        format!(
            "Seen from above with the front towards you, {} above the floor: {}. The full line is the skin, the broken line a taut tape; the left half is dotted, the right half hatched.",
            shown.show(Length::from_mm(self.height_mm())),
            self.said(measures, shown)
        )
    }
}

/// The girth along the skin at the level of a taut one.
fn skin(measures: &MeasureSet, id: MeasureId) -> Option<Length> {
    let skin = MeasureId::new(id.key.along_skin()?, id.side);
    Some(measures.get(skin)?.length())
}

/// Where a cut is put on the drawing.
struct Paper {
    place: [f64; 2],
    scale: f64,
    name: String,
}

impl Paper {
    /// The wearer's right to the left, the front down.
    fn put(&self, [right, ahead]: [f64; 2]) -> [f64; 2] {
        [
            self.place[0] - right * self.scale,
            self.place[1] + ahead * self.scale,
        ]
    }

    fn path(&self, points: &[[f64; 2]]) -> String {
        path(points.iter().map(|&point| self.put(point)), true)
    }

    fn part(&self, part: &Part<'_>) -> Markup {
        let points = part.contour.points();
        html! {
            @for side in Side::BOTH {
                @let kept = match part.girth.id.side {
                    None => half(points, 0.0, side.sign()),
                    Some(own) if own == side => points.to_vec(),
                    Some(_) => Vec::new(),
                };
                @if !kept.is_empty() {
                    path class=(side) d=(self.path(&kept)) fill={ "url(#" (self.name) "-" (side) ")" } {}
                }
            }
            path class="tape" d=(self.path(&part.contour.hull().points)) {}
            path class="outline" d=(self.path(points)) {}
        }
    }
}

/// Dots for the left half and lines for the right.
fn patterns(name: &str) -> Markup {
    html! {
        defs {
            pattern id={ (name) "-left" } width="6" height="6" patternUnits="userSpaceOnUse" {
                rect class="fill-left" width="6" height="6" {}
                circle class="ink-left" cx="3" cy="3" r="0.9" {}
            }
            pattern id={ (name) "-right" } width="6" height="6" patternUnits="userSpaceOnUse" {
                rect class="fill-right" width="6" height="6" {}
                path class="ink-right" d="M0 6L6 0" {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A point 100 mm to the wearer's right and 50 mm ahead lies left of and below the middle.
    #[test]
    fn the_wearers_right_is_on_the_left() {
        let paper = Paper {
            place: [130.0, 60.0],
            scale: 0.5,
            name: String::new(),
        };
        let [x, y] = paper.put([100.0, 50.0]);
        assert!(
            (x - 80.0).abs() < 1e-9 && (y - 85.0).abs() < 1e-9,
            "{x} {y}"
        );
        assert_eq!(paper.path(&[[0.0, 0.0], [-100.0, 0.0]]), "M130 60L180 60Z");
    }
}
