//! What every drawing needs: numbers, paths, text in either unit, labels that keep apart.

use super::Units;
use crate::length::text::Shown;
use maud::{Markup, html};
use std::fmt::Write;

/// Height of a capital's line box in drawing units.
pub(super) const LINE: f64 = 13.0;

/// A number of a drawing: a tenth of a unit is finer than anyone sees.
pub(crate) fn num(value: f64) -> String {
    // `+ 0.0` turns a rounded -0 into 0.
    let text = format!("{:.1}", (value * 10.0).round() / 10.0 + 0.0);
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

/// Points nearer to the last one kept than this are not seen apart.
const FINEST: f64 = 0.5;

/// Path data through points; closed or not.
pub(super) fn path(points: impl IntoIterator<Item = [f64; 2]>, closed: bool) -> String {
    let mut data = String::new();
    let mut last: Option<[f64; 2]> = None;
    let mut points = points.into_iter().peekable();
    while let Some(point) = points.next() {
        let near = last.is_some_and(|at| (at[0] - point[0]).hypot(at[1] - point[1]) < FINEST);
        // The end of an open line is kept wherever it lies.
        if near && (closed || points.peek().is_some()) {
            continue;
        }
        let letter = if last.is_none() { 'M' } else { 'L' };
        // Writing to a string cannot fail.
        let _ = write!(data, "{letter}{} {}", num(point[0]), num(point[1]));
        last = Some(point);
    }
    if closed && last.is_some() {
        data.push('Z');
    }
    data
}

/// The part of a closed polygon where `side × (u − at)` is not below nought.
pub(super) fn half(polygon: &[[f64; 2]], at: f64, side: f64) -> Vec<[f64; 2]> {
    let inside = |p: &[f64; 2]| side * (p[0] - at) >= 0.0;
    let mut kept = Vec::with_capacity(polygon.len());
    for (index, b) in polygon.iter().enumerate() {
        let a = &polygon[(index + polygon.len() - 1) % polygon.len()];
        if inside(a) != inside(b) {
            let share = (at - a[0]) / (b[0] - a[0]);
            kept.push([at, a[1] + share * (b[1] - a[1])]);
        }
        if inside(b) {
            kept.push(*b);
        }
    }
    kept
}

/// A sentence or number in the units asked for: once if it reads the same in both.
pub(crate) fn in_units(units: Units, tag: Tag, say: impl Fn(Shown) -> String) -> Markup {
    let (cm, inches) = match units {
        Units::One(shown) => return html! { (say(shown)) },
        Units::Both => (say(Shown::Centimetres), say(Shown::InchEighths)),
    };
    if cm == inches {
        return html! { (cm) };
    }
    match tag {
        Tag::Tspan => html! { tspan class="cm" { (cm) } tspan class="in" { (inches) } },
        Tag::Span => html! { span class="cm" { (cm) } span class="in" { (inches) } },
    }
}

/// The element that holds a text in one of two units.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Tag {
    /// In a drawing.
    Tspan,
    /// In running text.
    Span,
}

/// A text element at a place, in the units asked for.
pub(super) fn text(
    units: Units,
    class: &str,
    [x, y]: [f64; 2],
    say: impl Fn(Shown) -> String,
) -> Markup {
    html! { text class=(class) x=(num(x)) y=(num(y)) { (in_units(units, Tag::Tspan, say)) } }
}

/// A text element that holds no number.
pub(super) fn words(class: &str, [x, y]: [f64; 2], said: &str) -> Markup {
    html! { text class=(class) x=(num(x)) y=(num(y)) { (said) } }
}

/// A straight line.
pub(super) fn line(class: &str, from: [f64; 2], to: [f64; 2]) -> Markup {
    html! {
        line class=(class) x1=(num(from[0])) y1=(num(from[1])) x2=(num(to[0])) y2=(num(to[1])) {}
    }
}

/// The unit that a description without markup is written in.
pub(super) const fn described(units: Units) -> Shown {
    match units {
        Units::One(shown) => shown,
        Units::Both => Shown::Centimetres,
    }
}

/// Places for labels as near as can be to where they are wanted (least squares), each a gap after
/// the one before and all within `low..high` where there is room; `wanted` must not fall.
///
/// Pool adjacent violators: Ayer et al. 1955, on the places less what the gaps above take.
pub(super) fn apart(wanted: &[f64], gap: f64, ends: (f64, f64)) -> Vec<f64> {
    let wanted: Vec<(f64, f64)> = wanted.iter().map(|&place| (place, gap)).collect();
    stacked(&wanted, ends)
}

/// As [`apart`], each label with the gap that is to lie after it: a label of three lines is higher.
pub(super) fn stacked(wanted: &[(f64, f64)], (low, high): (f64, f64)) -> Vec<f64> {
    // Blocks of labels that stand shoulder to shoulder: sum and count.
    let mut blocks: Vec<(f64, f64)> = Vec::new();
    let mut before = 0.0;
    for (place, gap) in wanted {
        blocks.push((place - before, 1.0));
        before += gap;
        while let [.., (sum, count), (next, more)] = blocks[..]
            && next / more < sum / count
        {
            blocks.truncate(blocks.len() - 2);
            blocks.push((sum + next, count + more));
        }
    }
    // The room left for the first label once the others stand below it.
    let last = wanted.last().map_or(0.0, |(_, gap)| *gap);
    let top = (high - (before - last)).max(low);
    let means = blocks.into_iter().flat_map(|(sum, count)| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of labels"
        )]
        let labels = count as usize;
        std::iter::repeat_n(sum / count, labels)
    });
    let mut before = 0.0;
    means
        .zip(wanted)
        .map(|(mean, (_, gap))| {
            let place = mean.clamp(low, top) + before;
            before += gap;
            place
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_minus_nought() {
        assert_eq!(num(-0.04), "0");
        assert_eq!(num(12.0), "12");
        assert_eq!(num(-3.25), "-3.3");
    }

    /// By hand: three labels wanted at 10, 11, 12 with gaps of 6 stand about their mean, 11.
    #[test]
    fn labels_keep_apart_and_stay_within() {
        assert_eq!(
            apart(&[10.0, 11.0, 12.0], 6.0, (0.0, 99.0)),
            [5.0, 11.0, 17.0]
        );
        assert_eq!(apart(&[10.0, 40.0], 6.0, (0.0, 99.0)), [10.0, 40.0]);
        assert_eq!(apart(&[1.0, 2.0], 6.0, (0.0, 99.0)), [0.0, 6.0]);
        assert_eq!(apart(&[97.0, 98.0], 6.0, (0.0, 99.0)), [93.0, 99.0]);
        assert!(apart(&[], 6.0, (0.0, 99.0)).is_empty());
        // A high label keeps the next away: 10 and 12 with 20 between them stand about 11 as 1 and 21.
        assert_eq!(
            stacked(&[(10.0, 20.0), (12.0, 6.0)], (0.0, 99.0)),
            [1.0, 21.0]
        );
    }

    #[test]
    fn half_of_a_square() {
        let square = [[-2.0, 0.0], [2.0, 0.0], [2.0, 1.0], [-2.0, 1.0]];
        let right = half(&square, 0.0, 1.0);
        assert_eq!(right, [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]]);
        assert!(half(&square, 5.0, 1.0).is_empty());
        assert!(half(&[], 5.0, 1.0).is_empty());
    }

    #[test]
    fn paths_skip_what_no_one_sees() {
        assert_eq!(
            path([[0.0, 0.0], [0.1, 0.1], [5.0, 0.0]], false),
            "M0 0L5 0"
        );
        assert_eq!(
            path([[0.0, 0.0], [5.0, 0.0], [5.1, 0.0]], false),
            "M0 0L5 0L5.1 0"
        );
        assert_eq!(path([], true), "");
    }

    #[test]
    fn a_text_that_is_the_same_in_both_units_is_written_once() {
        let same = in_units(Units::Both, Tag::Span, |_| "under <1>".to_owned());
        assert_eq!(same.into_string(), "under &lt;1&gt;");
        let apart = in_units(Units::Both, Tag::Span, |shown| {
            shown.show(crate::Length::from_inch(1.0))
        });
        assert_eq!(
            apart.into_string(),
            "<span class=\"cm\">2.5 cm</span><span class=\"in\">1 in</span>"
        );
    }
}
