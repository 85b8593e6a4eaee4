//! A garment smaller than the body: how far its cloth must stretch to go on, and whether it does.
//!
//! A garment of girth g lies on a body of girth b if its cloth stretches by b/g − 1 at least. Cloth
//! that stretches by a share s so allows a girth of b/(1 + s), an ease of −b·s/(1 + s), and no less.
//! Judged is the garment after the plan; nothing is changed, since the ease is the wearer's wish.

use super::after::After;
use super::desk::{Desk, Reading};
use super::phrase::{Phrase, phrase};
use super::plan::ROUND_OFF_MM;
use super::size::Sizes;
use crate::finding::Weight;
use crate::length::Length;

pub(super) fn check(desk: &mut Desk<'_>, sizes: &Sizes, after: &After) {
    for row in &after.levels {
        let chosen = sizes.chosen.get(row.level).as_ref();
        if let Some(chosen) = chosen.filter(|_| row.ease.is_some()) {
            judge(
                desk,
                format!("{} stretch", row.level),
                row.garment,
                chosen.body,
            );
        }
    }
    let limbs: Vec<_> = desk
        .held
        .iter()
        .filter(|held| held.part.is_limb_girth())
        .map(|held| (held.part, held.part.with_changes(&desk.steps, held.drawn)))
        .collect();
    for (part, then) in limbs {
        if let Ok((body, _)) = desk.pair(part.body()) {
            judge(desk, format!("{}, stretch", part.name()), then, body);
        }
    }
}

fn judge(desk: &mut Desk<'_>, topic: String, garment: Length, body: Reading) {
    let smaller = body.length() - garment;
    if smaller.mm() <= ROUND_OFF_MM {
        return;
    }
    let start = phrase![
        "the finished garment is ",
        smaller,
        " smaller than the body"
    ];
    let (weight, rest) = match desk.garment.stretch {
        None => (
            Weight::Look,
            if garment > Length::ZERO {
                phrase![format!(
                    ": only cloth that stretches by {} at least goes on, and the sheet does not say how far it does; set stretch.",
                    percent(body, garment)
                )]
            } else {
                phrase![": look at the ease that was asked for."]
            },
        ),
        Some(stretch) => told(desk, stretch, garment, body),
    };
    let text = start
        .pieces()
        .iter()
        .chain(rest.pieces())
        .cloned()
        .collect();
    desk.remark(weight, topic, text);
}

/// What a cloth of known stretch makes of it.
fn told(desk: &Desk<'_>, stretch: f64, garment: Length, body: Reading) -> (Weight, Phrase) {
    let reached = garment * (1.0 + stretch / 100.0);
    let over = body.mm - reached.mm();
    if over <= ROUND_OFF_MM {
        let text = phrase![format!(
            ": that takes {} of the {stretch:.0} % that the cloth stretches.",
            percent(body, garment)
        )];
        return (Weight::Note, text);
    }
    let least = body.length() / (1.0 + stretch / 100.0);
    let text = phrase![
        format!(", and the cloth, which stretches {stretch:.0} %, reaches only "),
        Length::from_mm(reached.mm().max(0.0)),
        " of the body's ",
        body.length(),
        ": make it at least ",
        least,
        ", an ease of no less than ",
        least - body.length(),
        ", or take a cloth that stretches further."
    ];
    // A body that may be that much smaller is measured again first.
    let weight = if over > desk.limits.sure_at_sd * body.sd_mm {
        Weight::Act
    } else {
        Weight::Look
    };
    (weight, text)
}

/// How far a garment must stretch to the body, rounded up to a part of a hundred.
fn percent(body: Reading, garment: Length) -> String {
    let share = 100.0 * (body.mm / garment.mm() - 1.0);
    format!("{:.0} %", (share - 1e-9).ceil())
}
