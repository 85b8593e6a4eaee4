//! A part of the garment held against the body: the ease asked for, or the least that is usual.

use super::balance;
use super::desk::{Change, Desk, Reading};
use super::level::Line;
use super::part::Part;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, ROUND_OFF_MM, Share, Site, Step};
use super::sum::Sum;
use crate::finding::Weight;
use crate::length::Length;

/// A part beside the body, for the look at the garment after the plan.
#[derive(Clone, Debug)]
pub(super) struct Held {
    pub(super) part: Part,
    pub(super) drawn: Length,
    /// The body's measure in the part's own terms.
    pub(super) body: Length,
    /// Ease wanted, if any was judged by.
    pub(super) wanted: Option<Length>,
}

/// Ease that is usual at a part, in inches, for cloth that does not stretch.
struct Usual {
    least: f64,
    most: f64,
    source: &'static str,
}

const PRACTICE: &str = "common practice";

fn usual(part: Part) -> Option<Usual> {
    let of = |least, most, source| {
        Some(Usual {
            least,
            most,
            source,
        })
    };
    match part {
        // Set-in sleeve: from memory, no source read.
        Part::Biceps => of(1.5, 2.5, PRACTICE),
        // No source.
        Part::Elbow => of(1.0, f64::INFINITY, PRACTICE),
        Part::Wrist => of(0.5, f64::INFINITY, PRACTICE),
        // From memory, no source read.
        Part::AcrossBack => of(0.5, 1.0, PRACTICE),
        // No source.
        Part::AcrossFront => of(0.0, 0.5, PRACTICE),
        Part::Thigh => of(1.0, 2.0, "New Mexico State University Guide C-209"),
        Part::Knee => of(
            1.0,
            f64::INFINITY,
            "New Mexico State University Guide C-209",
        ),
        // No source.
        Part::Calf => of(1.0, f64::INFINITY, PRACTICE),
        // A leg without an opening must pass over heel and instep: no source.
        Part::LegOpening => of(0.0, f64::INFINITY, PRACTICE),
        _ => None,
    }
}

impl Part {
    /// The part's measure with every change so far that reaches it.
    pub(super) fn with_changes(self, steps: &[Step], drawn: Length) -> Length {
        steps
            .iter()
            .filter(|step| step.side.is_none())
            .fold(drawn, |sum, step| {
                sum + step.effect() * f64::from(self.times(step))
            })
    }

    /// How often a step's change lies on the part: both halves of an armhole have it.
    fn times(self, step: &Step) -> u8 {
        let at = &step.at;
        let lowered = *at == Site::Between(Line::Shoulder, Line::Bust);
        // Let in across the shoulder blades, but folded out at the waist.
        let back = *at == super::back::site() && step.action == Action::LetIn;
        let on = match self {
            Self::Armscye if lowered => return 2,
            Self::BustPointHeight => lowered,
            Self::ScyeDepth => lowered || back,
            Self::SleeveLength => *at == Self::SleeveToElbow.site(),
            Self::CrotchDepth => *at == Site::Between(Line::Waist, Line::Hip),
            Self::CrotchFront | Self::CrotchBack => {
                *at == Site::Between(Line::Waist, Line::Hip) || *at == Self::CrotchDepth.site()
            }
            _ => false,
        };
        u8::from(on || *at == self.site())
    }
}

/// Judges a width by the ease asked for, or brings it to the least that is usual.
pub(super) fn hold(desk: &mut Desk<'_>, part: Part, size: usize) {
    let Some(drawn) = desk.garment.part(part, size) else {
        return;
    };
    let body = match desk.body(part.body()) {
        Ok(body) => body,
        Err(reason) => return desk.withhold(part.stage(), part.site(), reason),
    };
    let leaves = drawn - body.length();
    let asked = desk.garment.part_ease.get(&part).copied();
    let (wanted, source) = match (asked, usual(part)) {
        (Some(asked), _) => (asked, None),
        (None, Some(usual)) => match by_usual(desk, part, leaves, &usual) {
            Some(least) => (least, Some(usual.source)),
            None => {
                keep(desk, part, drawn, body.length(), None);
                return;
            }
        },
        (None, None) => return,
    };
    keep(desk, part, drawn, body.length(), Some(wanted));
    widen(desk, part, drawn, body, wanted, source);
}

/// The least ease if the part has less; a remark and nothing if it has more than is usual.
fn by_usual(desk: &mut Desk<'_>, part: Part, leaves: Length, usual: &Usual) -> Option<Length> {
    // A cloth that stretches needs little or no ease (Central Washington University costume text, ch. 16).
    let stretches = desk.garment.stretch.is_some_and(|share| share > 0.0);
    let least = Length::from_inch(if stretches { 0.0 } else { usual.least });
    if leaves < least {
        return Some(least);
    }
    let most = Length::from_inch(usual.most);
    if leaves > most && !stretches {
        let text = phrase![
            "leaves ",
            leaves,
            " of ease, more than the ",
            most,
            format!(
                " that is usual in a close fit ({}); nothing is taken in without being asked to.",
                usual.source
            )
        ];
        desk.remark(Weight::Note, part.name(), text);
    }
    None
}

pub(super) fn keep(
    desk: &mut Desk<'_>,
    part: Part,
    drawn: Length,
    body: Length,
    wanted: Option<Length>,
) {
    desk.held.push(Held {
        part,
        drawn,
        body,
        wanted,
    });
}

fn widen(
    desk: &mut Desk<'_>,
    part: Part,
    drawn: Length,
    body: Reading,
    wanted: Length,
    source: Option<&'static str>,
) {
    let to_add = body.length() + wanted - drawn;
    if to_add.abs().mm() <= desk.limits.part.mm() + ROUND_OFF_MM {
        return;
    }
    let add = to_add > Length::ZERO;
    let sum = Sum::of("body", body.length())
        .plus("ease", wanted)
        .makes("")
        .against("the pattern measures", drawn)
        .leaves(if add { "to add" } else { "to take in" });
    let mut advice = Phrase::default();
    if let Some(source) = source {
        advice.join(phrase![
            "No ease was asked for here: ",
            wanted,
            format!(" is the least that is usual ({source}).")
        ]);
    }
    let edges = part.edges();
    let share = (edges > 0).then(|| Share::Edges {
        edges,
        each: to_add.abs() / f64::from(edges),
        limit: desk.edge_limit(),
    });
    if share.is_some_and(|share| share.is_over()) {
        advice.join(phrase![
            "That is over the limit of ",
            desk.edge_limit(),
            " at an edge: slash the piece along its length and spread or overlap it for the rest."
        ]);
    }
    if part == Part::Biceps {
        advice.join(phrase![
            "The sleeve cap changes with it: walk it round the armhole before you cut."
        ]);
    }
    desk.change(Change {
        stage: part.stage(),
        action: if add { Action::Add } else { Action::TakeIn },
        at: part.site(),
        share,
        sum,
        sd_mm: body.sd_mm,
        assumed: false,
        advice,
    });
}

/// Says what a seam, with the changes above it, leaves over the body's measure, where the two are not drawn alike.
pub(super) fn tell(desk: &mut Desk<'_>, part: Part, size: usize) {
    let Some(drawn) = desk.garment.part(part, size) else {
        return;
    };
    let body = match desk.body(part.body()) {
        Ok(body) => body,
        Err(reason) => return desk.withhold(part.stage(), part.site(), reason),
    };
    let wanted = desk.garment.part_ease.get(&part).copied();
    keep(desk, part, drawn, body.length(), wanted);
    let leaves = part.with_changes(&desk.steps, drawn) - body.length();
    let off = wanted.filter(|wanted| (leaves - *wanted).abs() > desk.limits.part);
    let (weight, text) = match off {
        Some(wanted) => (
            Weight::Look,
            phrase![
                "leaves ",
                leaves,
                " over the body's, wanted is ",
                wanted,
                ": see on a toile whether it binds or gapes before you change it."
            ],
        ),
        None if wanted.is_none() && leaves < Length::ZERO => (
            Weight::Look,
            phrase![
                "is ",
                leaves.abs(),
                " less than the body's: see on a toile whether it binds before you cut."
            ],
        ),
        None => (
            Weight::Note,
            phrase!["leaves ", leaves, " over the body's."],
        ),
    };
    desk.remark(weight, part.name(), text);
}

/// What is done where there is too little and where there is too much, and how it is put.
pub(super) type Ways = [(Action, &'static str); 2];

/// Cut across and spread, or fold across.
pub(super) const ACROSS: Ways = [
    (Action::LetIn, "to let in"),
    (Action::FoldOut, "to fold out"),
];
/// At the end of a seam.
pub(super) const AT_END: Ways = [
    (Action::Lengthen, "to lengthen"),
    (Action::Shorten, "to shorten"),
];
/// A point or an end of a seam, down or up.
pub(super) const UP_AND_DOWN: Ways = [(Action::Lower, "to lower"), (Action::Raise, "to raise")];
/// An end of a seam, towards the front or the back.
pub(super) const FORWARD_AND_BACK: Ways = [
    (Action::MoveForward, "to move forward"),
    (Action::MoveBack, "to move back"),
];
/// Two points, from or towards each other.
pub(super) const APART: Ways = [
    (Action::MoveOut, "farther apart"),
    (Action::MoveIn, "nearer together"),
];

/// What a part should measure, by the body.
pub(super) struct Goal {
    /// The body's measure in the part's own terms.
    pub(super) body: Length,
    /// Ease to add, if it is judged by any.
    pub(super) ease: Option<Length>,
    /// The sum up to the pattern's side of it.
    pub(super) sum: Sum,
    pub(super) sd_mm: f64,
    pub(super) ways: Ways,
    pub(super) advice: Phrase,
}

/// Holds a part that the sheet gives against the body and brings it to its goal; where the body gives
/// none, the part is withheld with the reason.
pub(super) fn bring(
    desk: &mut Desk<'_>,
    part: Part,
    size: usize,
    goal: impl FnOnce(&mut Desk<'_>) -> Result<Goal, Phrase>,
) {
    let Some(drawn) = desk.garment.part(part, size) else {
        return;
    };
    let goal = match goal(desk) {
        Ok(goal) => goal,
        Err(reason) => return desk.withhold(part.stage(), part.site(), reason),
    };
    keep(desk, part, drawn, goal.body, goal.ease);
    reach(
        desk,
        Reach {
            part,
            drawn,
            wanted: goal.body + goal.ease.unwrap_or(Length::ZERO),
            sum: goal.sum,
            sd_mm: goal.sd_mm,
            ways: goal.ways,
            assumed: false,
            advice: goal.advice,
        },
    );
}

/// The start of a sum: the body measure a part is held against.
pub(super) fn body_sum(part: Part, body: Length) -> Sum {
    Sum::of(format!("body {}", part.body().definition().name), body)
}

/// A length that has to be reached, with nothing to spare: where the part stands now, against it.
pub(super) struct Reach {
    pub(super) part: Part,
    pub(super) drawn: Length,
    pub(super) wanted: Length,
    /// The sum up to the pattern's side of it.
    pub(super) sum: Sum,
    pub(super) sd_mm: f64,
    pub(super) ways: Ways,
    /// True if what the pattern has is assumed.
    pub(super) assumed: bool,
    pub(super) advice: Phrase,
}

/// Proposes what brings a part to the length it has to reach.
pub(super) fn reach(desk: &mut Desk<'_>, reach: Reach) {
    let part = reach.part;
    let now = part.with_changes(&desk.steps, reach.drawn);
    let change = reach.wanted - now;
    if change.abs().mm() <= tolerance(desk, part).mm() + ROUND_OFF_MM {
        return;
    }
    let [lacks, spares] = reach.ways;
    let (action, way) = if change < Length::ZERO { spares } else { lacks };
    let label = if reach.assumed {
        "the pattern is taken to have"
    } else if now == reach.drawn {
        "the pattern has"
    } else {
        "the pattern, changed above, has"
    };
    let mut advice = reach.advice;
    if change.abs().mm() > desk.limits.most_per_line.mm() + ROUND_OFF_MM {
        advice.join(phrase![
            "More than ",
            desk.limits.most_per_line,
            " at one place: look at the size again, and share it over two places."
        ]);
    }
    desk.change(Change {
        stage: part.stage(),
        action,
        at: part.site(),
        share: (part == Part::BustPointSpread).then(|| Share::Halves {
            each: change.abs() / 2.0,
        }),
        sum: reach.sum.against(label, now).leaves(way),
        sd_mm: reach.sd_mm,
        assumed: reach.assumed,
        advice,
    });
}

/// How far a part may stay off its length.
const fn tolerance(desk: &Desk<'_>, part: Part) -> Length {
    match part {
        Part::BustPointHeight | Part::BustPointSpread => desk.limits.dart_point,
        Part::Inseam => desk.limits.hem,
        _ => desk.limits.part,
    }
}

/// How far a waist may sit off, which is also how far a length down to it may.
pub(super) fn waist_tolerance(desk: &Desk<'_>) -> Option<Length> {
    balance::tolerance(desk, super::level::Level::Waist)
}
