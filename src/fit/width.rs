//! Width left to add or take in at each level, shared over the seam edges.

use super::desk::Desk;
use super::level::Level;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, ROUND_OFF_MM, Share, Site, Stage, Step};
use super::size::{Chosen, Sizes};
use crate::finding::Weight;
use crate::length::Length;

pub(super) fn widen(desk: &mut Desk<'_>, sizes: &Sizes) {
    for level in Level::ALL {
        if let Some(chosen) = sizes.chosen.get(level) {
            widen_at(desk, level, chosen);
        }
    }
}

/// What each of so many seam edges takes of a change of width; `None` if no seam can change, or if it is
/// less than cutting is true to, so that the width stays as it is.
pub(super) fn at_each_edge(to_add: Length, edges: u32, least: Length) -> Option<Length> {
    if edges == 0 {
        return None;
    }
    let each = to_add.abs() / f64::from(edges);
    (each.mm() >= least.mm() - ROUND_OFF_MM).then_some(each)
}

/// A small change is divided by the seams available and laid on at their outer edges (Central
/// Washington University costume text, ch. 17): each seam has two edges.
fn widen_at(desk: &mut Desk<'_>, level: Level, chosen: &Chosen) {
    let to_add = chosen.to_add();
    let add = to_add > Length::ZERO;
    let topic = format!("{level} width");
    let way = if add { " to add" } else { " to take in" };
    let edges = desk.garment.edges(level);
    if edges == 0 {
        // Nothing can be shared out; four edges tell whether it matters at all.
        if to_add.abs() >= desk.limits.least_per_edge * 4.0 {
            let reason = phrase![
                to_add.abs(),
                way,
                format!(
                    ", but the sheet says that no seam can change at the {level}; spread or overlap the piece, or put in a panel."
                )
            ];
            desk.withhold(Stage::Width, Site::Level(level), reason);
        }
        return;
    }
    let Some(each) = at_each_edge(to_add, edges, desk.limits.least_per_edge) else {
        if to_add.abs().mm() > ROUND_OFF_MM {
            let text = phrase![
                to_add.abs(),
                way,
                format!(" over {edges} seam edges is less than "),
                desk.limits.least_per_edge,
                " at each, which cutting is not true to: left as it is."
            ];
            desk.remark(Weight::Note, topic, text);
        }
        return;
    };
    let share = Share::Edges {
        edges,
        each,
        limit: desk.edge_limit(),
    };
    let mut advice = Phrase::default();
    if share.is_over() {
        let text = over_limit(desk, each, add);
        advice.join(text.clone().with_capital());
        if add && chosen.by_upper_chest {
            advice.join(phrase![
                "Chosen by the upper chest, the bust lacks it in front: slash each front half to the bust point and spread it by ",
                to_add / 2.0,
                "; the dart grows by as much."
            ]);
        }
        let darts = desk.garment.darts;
        let count = darts.waist_front.saturating_add(darts.waist_back);
        if level == Level::Waist && count > 0 {
            let rest = (each - desk.edge_limit()) * f64::from(edges) / f64::from(count);
            let how = if add { "narrower" } else { "deeper" };
            advice.join(phrase![
                format!("Or make each of the {count} waist darts {how} by "),
                rest,
                "."
            ]);
        }
        desk.remark(Weight::Act, topic, text);
    }
    let size = desk.garment.sizes.get(chosen.size).cloned();
    desk.step(Step {
        order: 0,
        stage: Stage::Width,
        action: if add { Action::Add } else { Action::TakeIn },
        at: Site::Level(level),
        side: None,
        amount: Some(to_add.abs()),
        share: Some(share),
        sum: chosen.sum(&size.unwrap_or_default()),
        sd: Length::from_mm(chosen.body.sd_mm),
        confidence: desk.confidence(to_add.mm(), chosen.body.sd_mm),
        advice,
    });
}

fn over_limit(desk: &Desk<'_>, each: Length, add: bool) -> Phrase {
    let way = if add {
        " at the seams and slash and spread the piece for the rest, put in a panel, or start from a larger size."
    } else {
        " at the seams and fold the piece across its width for the rest, move it into darts, or start from a smaller size."
    };
    phrase![
        "an even share is ",
        each,
        " at each edge, over the limit of ",
        desk.edge_limit(),
        ": do only the limit",
        way
    ]
}
