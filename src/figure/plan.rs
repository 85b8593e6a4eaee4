//! The pattern's lines as it draws them, and after the plan.

use super::canvas::{LINE, described, line, num, path, stacked, text, words};
use super::{Figure, Units};
use crate::fit::{Action, CuttingPlan, Garment, Line, Site, WithheldStep};
use crate::length::Length;
use crate::length::text::Shown;
use maud::{Markup, html};

mod half;

use half::{Band, Half, QUARTERS, Row};

const WIDTH: f64 = 430.0;
/// Half the gap between the two half pieces, and the room for their names beside them.
const GAP: f64 = 9.0;
const BESIDE: f64 = 104.0;
const TOP: f64 = 40.0;
/// Room below all for the words on the drawing as a whole.
const BELOW: f64 = 26.0;
/// Room for the half pieces.
const HALF: f64 = WIDTH / 2.0 - GAP - BESIDE;
const TALLEST: f64 = 420.0;
/// Said where a line could not be judged on the body: it would look as if it sat right.
const UNJUDGED: &str = "a length that could not be judged stays as drawn";

/// Half the garment's front as the pattern draws it, on the left, and after the plan, on the right:
/// level lines, girths at bust, waist and hip, what is folded out or let in, and the hem.
///
/// A sketch of lengths and widths to one scale, not of the piece's outline: neck, shoulder and
/// armhole are not on the sheet. `None` if the sheet gives no two lines with widths to draw.
#[must_use]
pub fn plan_lines(garment: &Garment, plan: &CuttingPlan, units: Units) -> Option<Figure> {
    let start = plan.start_size.as_ref()?;
    let size = garment.sizes.iter().position(|name| name == start)?;
    let drawn = Half::drawn(garment, plan, size);
    let then = Half::then(plan, &drawn);
    let tall = drawn.foot().max(then.foot());
    let wide = [&drawn, &then]
        .iter()
        .flat_map(|half| &half.rows)
        .filter_map(|row| row.width)
        .fold(0.0, f64::max);
    if drawn.rows.len() < 2 || tall <= 0.0 || wide <= 0.0 || !(tall + wide).is_finite() {
        return None;
    }
    let scale = (TALLEST / tall).min(HALF / wide);
    let halves = [(&drawn, -1.0), (&then, 1.0)].map(|(half, way)| Paper {
        half,
        middle: WIDTH / 2.0 + way * GAP,
        way,
        scale,
        units,
    });
    let columns = halves.each_ref().map(Paper::labels);
    let high = columns
        .iter()
        .map(|column| high(column))
        .fold(tall * scale, f64::max);
    let gap = |row: &WithheldStep| matches!(row.at, Site::Between(..) | Site::Hem);
    let unjudged = plan.withheld.iter().any(gap);
    let height = TOP + high + BELOW + if unjudged { LINE } else { 0.0 };
    let content = html! {
        (words("head e", [WIDTH / 2.0 - GAP - 4.0, LINE], "as drawn"))
        (words("head", [WIDTH / 2.0 + GAP + 4.0, LINE], "after the plan"))
        @for (paper, labels) in halves.iter().zip(&columns) {
            (paper.piece())
            (paper.column(labels, TOP + high))
        }
        (joins(&drawn, &then, scale))
        @if unjudged { (words("way m", [WIDTH / 2.0, height - 7.0 - LINE], UNJUDGED)) }
        (words("way m", [WIDTH / 2.0, height - 7.0], "one half, from the centre line to the side · lengths from the top line"))
    };
    Some(Figure {
        name: "plan".to_owned(),
        title: format!("The lines of {} before and after", garment.name),
        about: about(&drawn, &then, unjudged, described(units)),
        width: WIDTH,
        height,
        content,
    })
}

/// What stands beside a half piece: at a line or at a band, in one line of words or more.
struct Label {
    /// The end of what it names, at the side of the piece.
    end: [f64; 2],
    lines: Vec<Markup>,
}

impl Label {
    #[expect(clippy::cast_precision_loss, reason = "three lines at most")]
    fn high(&self) -> f64 {
        self.lines.len() as f64 * LINE + 3.0
    }
}

/// Room that a column takes with no gaps in it.
fn high(labels: &[Label]) -> f64 {
    labels.iter().map(Label::high).sum()
}

/// Where one half is put: its centre line and which way its side lies.
struct Paper<'h> {
    half: &'h Half,
    middle: f64,
    way: f64,
    scale: f64,
    units: Units,
}

impl Paper<'_> {
    fn put(&self, [width, down]: [f64; 2]) -> [f64; 2] {
        [
            self.middle + self.way * width * self.scale,
            TOP + down * self.scale,
        ]
    }

    fn piece(&self) -> Markup {
        let half = self.half;
        let side = half.side();
        let foot = half.foot();
        let centre = [[0.0, foot], [0.0, 0.0]];
        let outline = side.iter().chain(&centre).map(|&point| self.put(point));
        html! {
            path class="piece" d=(path(outline, true)) {}
            @for band in &half.bands { (self.band(band)) }
            @for row in &half.rows {
                @if let Some(width) = row.width {
                    (line("mark", self.put([0.0, row.down]), self.put([width, row.down])))
                }
            }
            (line("axis", self.put([0.0, 0.0]), self.put([0.0, foot])))
        }
    }

    fn band(&self, band: &Band) -> Markup {
        let ends = [band.down, band.down + band.amount];
        let corners = [
            [0.0, ends[0]],
            [self.half.width_at(ends[0]), ends[0]],
            [self.half.width_at(ends[1]), ends[1]],
            [0.0, ends[1]],
        ];
        let class = match band.action {
            Action::LetIn | Action::Lengthen => "let-in",
            _ => "fold-out",
        };
        html! { path class=(class) d=(path(corners.map(|corner| self.put(corner)), true)) {} }
    }

    /// Names of lines and bands, from the top down.
    fn labels(&self) -> Vec<Label> {
        let rows = self.half.rows.iter().map(|row| self.row(row));
        let bands = self.half.bands.iter().map(|band| self.change(band));
        let mut labels: Vec<Label> = rows.chain(bands).collect();
        labels.sort_by(|a, b| a.end[1].total_cmp(&b.end[1]));
        labels
    }

    fn row(&self, row: &Row) -> Label {
        let length = |mm: f64, way: &'static str| {
            self.said("tick", move |shown| {
                format!("{} {way}", shown.show(Length::from_mm(mm)))
            })
        };
        let mut lines = vec![self.said("name", |_| row.line.to_string())];
        if row.down > 0.0 {
            lines.push(length(row.down, "down"));
        }
        if let (Some(width), true) = (row.width, row.line != Line::Hem) {
            lines.push(length(QUARTERS * width, "round"));
        }
        Label {
            end: self.put([row.width.unwrap_or(0.0), row.down]),
            lines,
        }
    }

    /// A piece may be too narrow for words: what is done stands beside it, on two lines.
    fn change(&self, band: &Band) -> Label {
        let way = match band.action {
            Action::LetIn => "let in",
            Action::Lengthen => "longer by",
            Action::Shorten => "shorter by",
            _ => "fold out",
        };
        let amount = Length::from_mm(band.amount);
        let middle = band.down + band.amount / 2.0;
        Label {
            end: self.put([self.half.width_at(middle), middle]),
            lines: vec![
                self.said("value", |_| way.to_owned()),
                self.said("value", |shown| shown.show_some(amount)),
            ],
        }
    }

    /// A line of words whose place is set by the group around it.
    fn said(&self, class: &str, say: impl Fn(Shown) -> String) -> Markup {
        let end = if self.way < 0.0 { " e" } else { "" };
        text(self.units, &format!("{class}{end}"), [0.0, 0.0], say)
    }

    /// The labels beside the piece, kept apart, each with a line to what it names.
    fn column(&self, labels: &[Label], foot: f64) -> Markup {
        let wanted: Vec<(f64, f64)> = labels
            .iter()
            .map(|label| (label.end[1], label.high()))
            .collect();
        let last = labels.last().map_or(0.0, Label::high);
        let places = stacked(&wanted, (TOP, foot - last + LINE));
        let outer = if self.way < 0.0 {
            BESIDE
        } else {
            WIDTH - BESIDE
        };
        html! {
            @for (label, at) in labels.iter().zip(places) {
                path class="lead" d={
                    "M" (num(label.end[0])) " " (num(label.end[1]))
                    "H" (num(outer - self.way * 8.0)) "L" (num(outer)) " " (num(at))
                } {}
                @for (words, down) in label.lines.iter().zip(DOWN) {
                    g transform={ "translate(" (num(outer + self.way * 4.0)) " " (num(at + 4.0 + down)) ")" } { (words) }
                }
            }
        }
    }
}

/// Where the lines of a label stand.
const DOWN: [f64; 3] = [0.0, LINE, 2.0 * LINE];

/// From each line as drawn to the same line after, across the gap.
fn joins(drawn: &Half, then: &Half, scale: f64) -> Markup {
    html! {
        @for (before, after) in drawn.rows.iter().zip(&then.rows) {
            (line(
                "join",
                [WIDTH / 2.0 - GAP, TOP + before.down * scale],
                [WIDTH / 2.0 + GAP, TOP + after.down * scale],
            ))
        }
    }
}

fn about(drawn: &Half, then: &Half, unjudged: bool, shown: Shown) -> String {
    let rows: Vec<String> = drawn
        .rows
        .iter()
        .zip(&then.rows)
        .filter(|(before, _)| before.down > 0.0)
        .map(|(before, after)| {
            let show = |mm: f64| shown.show(Length::from_mm(mm));
            let mut text = format!(
                "{} {} below the top line as drawn, {} after",
                before.line,
                show(before.down),
                show(after.down)
            );
            if let (Some(b), Some(a), true) = (before.width, after.width, before.line != Line::Hem)
            {
                text += &format!(
                    ", {} round as drawn, {} after",
                    show(QUARTERS * b),
                    show(QUARTERS * a)
                );
            }
            text
        })
        .collect();
    let mut text = format!(
        "Half of the garment, as drawn on the left and after the plan on the right. {}.",
        rows.join("; ")
    );
    if unjudged {
        text += &format!(" Mind: {UNJUDGED}.");
    }
    text
}
