//! From one size to another between two levels.

use super::desk::Desk;
use super::level::Level;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, Confidence, Share, Site, Stage, Step};
use super::size::{Chosen, Sizes};
use super::sum::Sum;
use crate::finding::Weight;
use crate::length::Length;

pub(super) fn grade(desk: &mut Desk<'_>, sizes: &Sizes) {
    let known: Vec<(Level, Chosen)> = Level::ALL
        .into_iter()
        .filter_map(|level| Some((level, (*sizes.chosen.get(level))?)))
        .collect();
    for pair in known.windows(2) {
        let [(upper, from), (lower, to)] = [pair[0], pair[1]];
        if from.size != to.size {
            let start = sizes.start.unwrap_or(from.size);
            grade_between(desk, (upper, from), (lower, to), start);
        }
    }
}

/// The line is linear between the levels (common practice, no source), so its steepness is the
/// shift of one edge over the length it has for it.
fn grade_between(
    desk: &mut Desk<'_>,
    (upper, from): (Level, Chosen),
    (lower, to): (Level, Chosen),
    start: usize,
) {
    let garment = desk.garment;
    let name = |size: usize| garment.sizes.get(size).cloned().unwrap_or_default();
    let at = Site::Between(upper.line(), lower.line());
    let girth = |size: usize| {
        garment
            .finished_girth(lower, size)
            .or_else(|| garment.chart_girth(lower, size))
    };
    let (Some(wide), Some(own)) = (girth(to.size), girth(from.size)) else {
        let reason = phrase![format!("the {lower} table lacks one of the two sizes.")];
        return desk.withhold(Stage::Grade, at, reason);
    };
    let change = wide - own;
    let edges = garment.edges(lower);
    let room = garment.between(upper, lower, start);
    let share = (edges > 0)
        .then_some(room)
        .flatten()
        .map(|room| Share::Edges {
            edges,
            each: change.abs() / f64::from(edges),
            limit: room * desk.limits.steepest_grade,
        });
    let topic = format!("grade {upper} to {lower}");
    let mut advice = Phrase::default();
    match share {
        Some(Share::Edges { each, limit, .. }) if each > limit => {
            let text = phrase![
                format!("each seam edge moves by "),
                each,
                " where ",
                limit,
                " keeps the line smooth; spread the change over the next level as well, or choose sizes nearer to each other and do the rest in the width steps."
            ];
            desk.remark(Weight::Act, topic, text);
        }
        Some(_) => {}
        None => {
            let text = phrase![format!(
                "how steep the line gets is not known: the sheet gives no length from {} to {}, or no seam there.",
                upper.line(),
                lower.line()
            )];
            desk.remark(Weight::Look, topic, text);
        }
    }
    advice.join(phrase![
        "Draw one smooth line along each seam edge; seams that meet keep the same length."
    ]);
    let sure = from.sure && to.sure;
    desk.step(Step {
        order: 0,
        stage: Stage::Grade,
        action: Action::Grade(name(from.size), name(to.size)),
        at,
        side: None,
        amount: Some(change.abs()),
        share,
        sum: Sum::of(format!("size {} at the {lower}", name(to.size)), wide)
            .against(format!("size {}", name(from.size)), own)
            .leaves(if change < Length::ZERO {
                "narrower"
            } else {
                "wider"
            }),
        sd: Length::ZERO,
        confidence: if sure {
            Confidence::DoIt
        } else {
            Confidence::CheckFirst
        },
        advice,
    });
}
