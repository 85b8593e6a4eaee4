//! Girth by height over the trunk, with the levels and what the tape says there.

use super::canvas::{LINE, apart, described, line, num, path, text, words};
use super::view::probe;
use super::{Figure, Units};
use crate::crosscheck::{Check, Verdict};
use crate::length::Length;
use crate::length::text::Shown;
use crate::measure::{CurvePart, GirthCurve, Measure};
use crate::profile::Profile;
use maud::{Markup, html};

/// The drawing, and the field within it: left, right, top, bottom.
const SIZE: (f64, f64) = (430.0, 444.0);
const FIELD: [f64; 4] = [58.0, 312.0, 16.0, 372.0];
/// A reading farther off than this share of the curve's span is put at the edge.
const OFF_SCALE: f64 = 0.5;
/// Heights that would explain a reading are looked for this far from its level.
const REACH_MM: f64 = 150.0;

/// The trunk's taut girth against height, level by level, and the tape's readings beside it: where
/// one disagrees, the heights at which the scan would read it. `None` without a curve.
#[must_use]
pub fn girth_curve(profile: &Profile, units: Units) -> Option<Figure> {
    let curve = profile
        .curves
        .iter()
        .find(|curve| curve.part == CurvePart::Trunk)?;
    let axes = Axes::of(curve, profile)?;
    let levels = levels(profile, curve);
    let readings: Vec<Reading<'_>> = levels
        .iter()
        .filter_map(|level| Reading::at(level, profile, curve))
        .collect();
    let content = html! {
        (axes.ticks(units))
        (names(&axes, &levels))
        // Open where the scan shows nothing: a line there would be a guess.
        @for stretch in curve.stretches() {
            path class="curve" d=(path(
                stretch.map(|i| axes.put(curve.taut_mm[i], curve.heights_mm[i])),
                false
            )) {}
        }
        @for level in &levels { (level_dot(&axes, level)) }
        @for reading in &readings { (reading.drawn(&axes, units)) }
        (probe(axes.put(0.0, 0.0)[1], axes.up, FIELD[0], FIELD[1]))
        circle class="probe-dot" r="4.5" cx="0" cy="0" visibility="hidden"
            data-zero=(num(axes.put(0.0, 0.0)[0])) data-scale=(format!("{:.5}", axes.across)) {}
        (legend(!readings.is_empty()))
    };
    Some(Figure {
        name: "girth-curve".to_owned(),
        title: "Girth by height over the trunk".to_owned(),
        about: about(&levels, &readings, described(units)),
        width: SIZE.0,
        height: SIZE.1,
        content,
    })
}

/// Taut girths of the trunk at a level on the curve, from the top down.
fn levels<'p>(profile: &'p Profile, curve: &GirthCurve) -> Vec<&'p Measure> {
    let mut levels: Vec<&Measure> = profile
        .measures
        .iter()
        .map(|entry| &entry.measure)
        .filter(|measure| curve.carries(measure))
        .collect();
    levels.sort_by(|a, b| height(b).total_cmp(&height(a)));
    levels
}

fn height(measure: &Measure) -> f64 {
    measure.level_mm.map_or(0.0, Length::mm)
}

/// Where girths and heights are put.
struct Axes {
    girths: (f64, f64),
    heights: (f64, f64),
    across: f64,
    up: f64,
}

impl Axes {
    fn of(curve: &GirthCurve, profile: &Profile) -> Option<Self> {
        let ends = |values: &mut dyn Iterator<Item = f64>| {
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                (l.min(v), h.max(v))
            })
        };
        let heights = ends(&mut curve.heights_mm.iter().copied());
        let (low, high) = ends(&mut curve.taut_mm.iter().copied());
        let reach = OFF_SCALE * (high - low);
        let near = profile.checks.iter().map(|check| check.tape_mm.mm());
        let mut near = near
            .filter(|tape| (low - reach..=high + reach).contains(tape))
            .chain([low, high]);
        let (low, high) = ends(&mut near);
        let margin = 0.06 * (high - low);
        let girths = (low - margin, high + margin);
        let (wide, tall) = (girths.1 - girths.0, heights.1 - heights.0);
        (wide > 0.0 && tall > 0.0 && (wide + tall).is_finite()).then(|| Self {
            across: (FIELD[1] - FIELD[0]) / wide,
            up: (FIELD[3] - FIELD[2]) / tall,
            girths,
            heights,
        })
    }

    fn put(&self, girth: f64, height: f64) -> [f64; 2] {
        [
            FIELD[0] + (girth - self.girths.0) * self.across,
            FIELD[3] - (height - self.heights.0) * self.up,
        ]
    }

    /// Ticks at whole tens of centimetres or whole fours of inches, each with its own unit's class.
    fn ticks(&self, units: Units) -> Markup {
        let (x, y) = ((FIELD[0] + FIELD[1]) / 2.0, FIELD[3] + 2.4 * LINE);
        let one = |shown: Shown| {
            let (step, name) = match shown {
                Shown::Centimetres => (Length::from_cm(10.0), "cm"),
                Shown::InchEighths => (Length::from_inch(4.0), "in"),
            };
            html! {
                g class=(match shown { Shown::Centimetres => "cm", Shown::InchEighths => "in" }) {
                    @for (girth, said) in whole(self.girths, step, shown) {
                        @let [x, _] = self.put(girth, self.heights.0);
                        (line("grid", [x, FIELD[2]], [x, FIELD[3]]))
                        (words("tick m", [x, FIELD[3] + LINE], &said))
                    }
                    @for (height, said) in whole(self.heights, step, shown) {
                        @let [_, y] = self.put(self.girths.0, height);
                        (line("grid", [FIELD[0], y], [FIELD[1], y]))
                        (words("tick e", [FIELD[0] - 5.0, y + 4.0], &said))
                    }
                    (words("way m", [x, y], &format!("girth, {name}")))
                    text class="way m" transform={ "translate(14 " (num((FIELD[2] + FIELD[3]) / 2.0)) ") rotate(-90)" } {
                        "height above the floor, " (name)
                    }
                }
            }
        };
        html! {
            @match units {
                Units::One(shown) => (one(shown)),
                Units::Both => { (one(Shown::Centimetres)) (one(Shown::InchEighths)) },
            }
        }
    }
}

/// Whole steps between two ends, with their numbers.
fn whole((low, high): (f64, f64), step: Length, shown: Shown) -> Vec<(f64, String)> {
    let number = |at: f64| {
        let length = Length::from_mm(at);
        format!(
            "{:.0}",
            match shown {
                Shown::Centimetres => length.cm(),
                Shown::InchEighths => length.inch(),
            }
        )
    };
    let first = (low / step.mm()).ceil();
    let ticks = (0..MOST_TICKS).map(|i| (first + f64::from(i)) * step.mm());
    ticks
        .take_while(|&at| at <= high)
        .map(|at| (at, number(at)))
        .collect()
}

/// More ticks than fit; a guard against a curve of any length.
const MOST_TICKS: u32 = 100;

fn names(axes: &Axes, levels: &[&Measure]) -> Markup {
    let wanted: Vec<f64> = levels
        .iter()
        .map(|level| axes.put(0.0, height(level))[1])
        .collect();
    let places = apart(&wanted, LINE, (FIELD[2], FIELD[3]));
    html! {
        @for ((level, &y), at) in levels.iter().zip(&wanted).zip(places) {
            (line("level-line", [FIELD[0], y], [FIELD[1], y]))
            path class="lead" d={ "M" (num(FIELD[1])) " " (num(y)) "L" (num(FIELD[1] + 9.0)) " " (num(at)) } {}
            (words("name", [FIELD[1] + 12.0, at + 4.0], level.id.key.definition().name.trim_end_matches(" girth")))
        }
    }
}

fn level_dot(axes: &Axes, level: &Measure) -> Markup {
    let [x, y] = axes.put(level.value, height(level));
    html! { circle class="dot" cx=(num(x)) cy=(num(y)) r="3" {} }
}

/// A tape's reading of a level, and the heights at which the scan would read it.
struct Reading<'p> {
    check: &'p Check,
    name: &'static str,
    height: f64,
    explained_at: Vec<f64>,
}

impl<'p> Reading<'p> {
    fn at(level: &Measure, profile: &'p Profile, curve: &GirthCurve) -> Option<Self> {
        let check = profile.checks.iter().find(|check| check.id == level.id)?;
        let height = height(level);
        let mut explained_at = Vec::new();
        if check.verdict != Verdict::Agrees {
            let heights = curve
                .heights_reading(check.tape_mm)
                .into_iter()
                .map(Length::mm);
            explained_at.extend(heights.filter(|at| (at - height).abs() <= REACH_MM));
        }
        Some(Self {
            check,
            name: level.id.key.definition().name,
            height,
            explained_at,
        })
    }

    fn drawn(&self, axes: &Axes, units: Units) -> Markup {
        let tape = self.check.tape_mm;
        let shown_at = tape.mm().clamp(axes.girths.0, axes.girths.1);
        let [x, y] = axes.put(shown_at, self.height);
        let off = (shown_at - tape.mm()).abs() > 0.5;
        let ends = x > (FIELD[0] + FIELD[1]) / 2.0;
        let (class, beside) = if ends {
            ("value e", x - 8.0)
        } else {
            ("value", x + 8.0)
        };
        html! {
            @for &at in &self.explained_at {
                @let [_, to] = axes.put(shown_at, at);
                (line("explains", [x, y], [x, to]))
                circle class="tape-dot open" cx=(num(x)) cy=(num(to)) r="4" {}
            }
            (symbol(self.check.verdict, [x, y]))
            @if self.check.verdict != Verdict::Agrees {
                (text(units, class, [beside, y - 7.0], |shown| {
                    let beyond = if off { ", off the scale" } else { "" };
                    format!("tape {}{beyond}", shown.show(tape))
                }))
            }
        }
    }
}

/// The tape's symbol by verdict: diamond, triangle, square.
fn symbol(verdict: Verdict, [x, y]: [f64; 2]) -> Markup {
    let data = match verdict {
        Verdict::Agrees => "M0-4.6L4.6 0L0 4.6L-4.6 0Z",
        Verdict::LookAgain => "M0-5.4L5.2 4L-5.2 4Z",
        Verdict::MeasureAgain => "M-4.4-4.4H4.4V4.4H-4.4Z",
    };
    html! {
        path class="tape-dot" d=(data) transform={ "translate(" (num(x)) " " (num(y)) ")" } {}
    }
}

/// Symbols and their words in two rows: one is too narrow in a wide typeface.
fn legend(has_tape: bool) -> Markup {
    let rows = [SIZE.1 - 6.0 - LINE, SIZE.1 - 6.0];
    let [upper, lower] = rows.map(|y| y - 4.0);
    let tape = [
        (Verdict::Agrees, [FIELD[0] + 60.0, upper], "tape agrees"),
        (
            Verdict::LookAgain,
            [FIELD[0] + 190.0, upper],
            "tape: look again",
        ),
        (
            Verdict::MeasureAgain,
            [FIELD[0] + 60.0, lower],
            "tape: measure again",
        ),
    ];
    let said = |[x, y]: [f64; 2], words_said| words("tick", [x + 9.0, y + 4.0], words_said);
    html! {
        circle class="dot" cx=(num(FIELD[0])) cy=(num(upper)) r="3" {}
        (said([FIELD[0], upper], "scan"))
        @if has_tape {
            @for (verdict, at, name) in tape { (symbol(verdict, at)) (said(at, name)) }
            circle class="tape-dot open" cx=(num(FIELD[0] + 190.0)) cy=(num(lower)) r="4" {}
            (said([FIELD[0] + 190.0, lower], "the scan reads so here"))
        }
    }
}

fn about(levels: &[&Measure], readings: &[Reading<'_>], shown: Shown) -> String {
    let levels: Vec<String> = levels
        .iter()
        .map(|level| {
            format!(
                "{} {} at {}",
                level.id.key.definition().name,
                shown.show(level.length()),
                shown.show(Length::from_mm(height(level)))
            )
        })
        .collect();
    let mut text = format!(
        "Taut girth of the trunk at each height. {}.",
        levels.join("; ")
    );
    for reading in readings
        .iter()
        .filter(|reading| reading.check.verdict != Verdict::Agrees)
    {
        let at: Vec<String> = reading
            .explained_at
            .iter()
            .map(|&at| shown.show(Length::from_mm(at)))
            .collect();
        text += &format!(
            " The tape reads {} for the {}",
            shown.show(reading.check.tape_mm),
            reading.name
        );
        text += &if at.is_empty() {
            "; the scan reads so at no height near.".to_owned()
        } else {
            format!(
                "; the scan reads so at {} above the floor.",
                at.join(" and ")
            )
        };
    }
    text
}
