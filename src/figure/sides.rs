//! Left against right: the differences that are there, and what is usual.

use super::canvas::{LINE, described, line, num, text, words};
use super::{Figure, Units};
use crate::length::Length;
use crate::length::text::Shown;
use crate::measure::asymmetry::{Grade, SideDifference, usual};
use crate::measure::{Mode, Unit};
use crate::profile::Profile;
use maud::{Markup, html};

const WIDTH: f64 = 430.0;
/// Left and right end of the field in which the differences are drawn.
const FIELD: (f64, f64) = (150.0, 350.0);
const TOP: f64 = 34.0;
const ROW: f64 = 19.0;
/// Rows at most: the largest beside what is usual, or beside their uncertainty.
const MOST: usize = 14;

/// The lengths in which left and right differ by more than their uncertainty, largest first, each
/// with its uncertainty and what is usual in healthy people. `None` if there is no such length.
///
/// As on the view from the front, what is larger on the wearer's right reaches to the left.
#[must_use]
pub fn side_differences(profile: &Profile, units: Units) -> Option<Figure> {
    let mut rows: Vec<Row<'_>> = profile.asymmetry.iter().filter_map(Row::of).collect();
    rows.sort_by(|a, b| {
        let larger = |row: &Row<'_>| row.side.grade == Grade::Larger;
        larger(b)
            .cmp(&larger(a))
            .then(b.apart().total_cmp(&a.apart()))
    });
    rows.truncate(MOST);
    let most = rows.iter().map(Row::reach).fold(0.0, f64::max);
    if most <= 0.0 || !most.is_finite() {
        return None;
    }
    let middle = (FIELD.0 + FIELD.1) / 2.0;
    let scale = (FIELD.1 - FIELD.0) / 2.0 / most;
    #[expect(clippy::cast_precision_loss, reason = "a few rows")]
    let y = |index: usize| TOP + (index as f64 + 0.5) * ROW;
    let low = y(rows.len());
    let content = html! {
        (words("way", [FIELD.0, LINE], "right larger"))
        (words("way e", [FIELD.1, LINE], "left larger"))
        @for (index, row) in rows.iter().enumerate() { (row.drawn(y(index), [middle, scale], units)) }
        (line("axis", [middle, TOP - 6.0], [middle, low - ROW / 2.0]))
        (legend(low + 6.0))
    };
    Some(Figure {
        name: "left-and-right".to_owned(),
        title: "Left against right".to_owned(),
        about: about(&rows, described(units)),
        width: WIDTH,
        height: low + 14.0,
        content,
    })
}

struct Row<'p> {
    side: &'p SideDifference,
    usual: Option<f64>,
}

impl<'p> Row<'p> {
    fn of(side: &'p SideDifference) -> Option<Self> {
        let definition = side.key.definition();
        let is_length = definition.unit() == Unit::Mm && definition.mode != Mode::Surface;
        let is_sure = side.beyond_uncertainty && (side.difference.abs() + side.sd).is_finite();
        (is_length && is_sure).then(|| Self {
            side,
            usual: usual(side.key).and_then(|usual| usual.limit_of(side.left, side.right)),
        })
    }

    /// How large it is beside what is usual, or else beside its uncertainty.
    fn apart(&self) -> f64 {
        self.side.difference.abs()
            / self
                .usual
                .unwrap_or(4.0 * self.side.sd)
                .max(f64::MIN_POSITIVE)
    }

    fn reach(&self) -> f64 {
        (self.side.difference.abs() + 2.0 * self.side.sd).max(self.usual.unwrap_or(0.0))
    }

    fn drawn(&self, y: f64, [middle, scale]: [f64; 2], units: Units) -> Markup {
        // Left minus right: left larger reaches to the right of the picture.
        let x = |difference: f64| middle + difference * scale;
        let (end, spread) = (x(self.side.difference), 2.0 * self.side.sd * scale);
        let value = Length::from_mm(self.side.difference.abs());
        html! {
            (words("name", [2.0, y + 4.0], self.side.key.definition().name))
            @if let Some(usual) = self.usual {
                @for at in [x(-usual), x(usual)] { (line("usual", [at, y - 7.0], [at, y + 7.0])) }
            }
            rect class=(if self.side.grade == Grade::Larger { "bar more" } else { "bar" })
                x=(num(end.min(middle))) width=(num((end - middle).abs())) y=(num(y - 4.0)) height="8" {}
            path class="whisker" d={
                "M" (num(end - spread)) " " (num(y - 2.5)) "v5m0-2.5H" (num(end + spread)) "m0-2.5v5"
            } {}
            (text(units, "value", [FIELD.1 + 8.0, y + 4.0], |shown| {
                let more = if self.side.grade == Grade::Larger { " !" } else { "" };
                format!("{}{more}", shown.show_some(value))
            }))
        }
    }
}

fn legend(y: f64) -> Markup {
    html! {
        path class="whisker" d={ "M4 " (num(y - 6.5)) "v5m0-2.5H22m0-2.5v5" } {}
        (words("tick", [26.0, y], "give or take"))
        (line("usual", [94.0, y - 11.0], [94.0, y + 2.0]))
        (words("tick", [99.0, y], "what is usual, where a survey is known"))
        (words("tick", [318.0, y], "! more than usual"))
    }
}

fn about(rows: &[Row<'_>], shown: Shown) -> String {
    let said: Vec<String> = rows
        .iter()
        .map(|row| {
            let more = if row.side.grade == Grade::Larger {
                ", more than is usual"
            } else {
                ""
            };
            format!(
                "{}: {} {} by {}{more}",
                row.side.key.definition().name,
                row.side.larger(),
                row.side.more(),
                shown.show_some(Length::from_mm(row.side.difference.abs()))
            )
        })
        .collect();
    format!(
        "Differences larger than their uncertainty. {}.",
        said.join("; ")
    )
}
