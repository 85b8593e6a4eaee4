//! What a choice of size is told by.

use super::{Beyond, Chosen, SizeChoice};
use crate::finding::Weight;
use crate::fit::desk::Desk;
use crate::fit::level::Level;
use crate::fit::phrase::{Phrase, phrase};
use crate::fit::plan::{Action, Confidence, Site, Stage, Step};
use crate::length::Length;

/// Says aloud when the body lies outside the table.
pub(super) fn warn_outside(desk: &mut Desk<'_>, level: Level, beyond: &Beyond) {
    let near = beyond.steps.is_some_and(|steps| steps <= 0.5);
    let weight = if near { Weight::Look } else { Weight::Act };
    let end = if beyond.larger {
        "above the largest"
    } else {
        "below the smallest"
    };
    let mut text = phrase![
        format!("the {level} lies "),
        beyond.by,
        format!(" {end} size of the sheet")
    ];
    if let Some(steps) = beyond.steps {
        text.join(phrase![
            format!("({steps:.1} of its grade steps of "),
            beyond.grade_step,
            ")"
        ]);
    }
    text.join(if near {
        phrase!["and that is still the nearest."]
    } else {
        phrase![
            "and the rest is left to the width steps. Carry the grade on by as many steps, or take a pattern in a nearer size."
        ]
    });
    desk.remark(weight, format!("{level} size"), text);
}

pub(super) fn say_choice(desk: &mut Desk<'_>, choice: &SizeChoice, chosen: &Chosen) {
    let mut advice = Phrase::default();
    for other in choice
        .candidates
        .iter()
        .filter(|other| other.size != choice.size)
    {
        let way = if other.to_add < Length::ZERO {
            " to take in."
        } else {
            " to add."
        };
        let size = format!("Size {} would leave ", other.size);
        advice.join(phrase![size, other.to_add.abs(), way]);
    }
    if !chosen.sure {
        advice.join(phrase![
            "The body lies so near to the middle between two sizes that either may be the nearer one."
        ]);
    }
    let own = desk.garment.ease.get(choice.level).is_none();
    if let (true, Some(ease)) = (own, chosen.ease) {
        advice.join(phrase![
            "No ease was asked for here: ",
            ease,
            format!(" is the pattern's own in size {}.", choice.size)
        ]);
    }
    desk.step(Step {
        order: 0,
        stage: Stage::Size,
        action: Action::UseSize(choice.size.clone()),
        at: Site::Level(choice.level),
        side: None,
        amount: None,
        share: None,
        sum: chosen.sum(&choice.size),
        sd: Length::from_mm(chosen.body.sd_mm),
        confidence: if chosen.sure {
            Confidence::DoIt
        } else {
            Confidence::CheckFirst
        },
        advice,
    });
}
