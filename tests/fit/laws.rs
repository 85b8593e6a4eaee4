//! Laws of the fit: what must happen to the plan when the body, the garment or the wish changes in a
//! way whose effect anyone can foretell.

use crate::parts::{SLEEVED, TROUSERS};
use crate::scale::{scaled, scaled_body, scaled_limits};
use crate::trial::{body, full_sheet, plan, sheet};
use girthwise::fit::{
    Action, CuttingPlan, FitRoutine, Garment, Level, LevelFit, Part, Seams, Share, Site, Stage,
    Step, Tolerances,
};
use girthwise::measure::asymmetry::side_differences;
use girthwise::measure::{Key, MeasureId};
use girthwise::profile::Profile;
use girthwise::{Length, Side};
use proptest::prelude::*;
use serde_json::Value;

/// What the three garments are held against, with an ordinary size in mm; the slope in degrees.
const NEEDED: [(Key, f64); 32] = [
    (Key::BustGirth, 930.0),
    (Key::WaistNarrowestGirth, 750.0),
    (Key::HipGirth, 1000.0),
    (Key::UpperChestGirth, 890.0),
    (Key::NeckToBustLength, 270.0),
    (Key::BustHeight, 1190.0),
    (Key::WaistNarrowestHeight, 1040.0),
    (Key::HipHeight, 850.0),
    (Key::BackWaistLength, 400.0),
    (Key::BustPointSpread, 185.0),
    (Key::ShoulderLength, 122.0),
    (Key::ShoulderSlope, 22.0),
    (Key::ShoulderForward, 18.0),
    (Key::ShoulderHeight, 1360.0),
    (Key::AcrossBackWidth, 355.0),
    (Key::AcrossFrontWidth, 325.0),
    (Key::ScyeDepth, 185.0),
    (Key::UpperArmGirth, 300.0),
    (Key::ElbowGirth, 255.0),
    (Key::WristGirth, 160.0),
    (Key::ArmscyeGirth, 410.0),
    (Key::UpperArmLength, 330.0),
    (Key::ArmLength, 570.0),
    (Key::CrotchHeight, 775.0),
    (Key::CrotchLengthFront, 335.0),
    (Key::CrotchLengthBack, 375.0),
    (Key::ThighGirth, 580.0),
    (Key::KneeGirth, 375.0),
    (Key::CalfGirth, 360.0),
    (Key::HeelGirth, 335.0),
    (Key::InsideLegLength, 760.0),
    (Key::HipHalfGirth, 500.0),
];

/// Factors for every measure of [`NEEDED`], by how much the right side exceeds the left, and the
/// standard deviation of all.
type Drawn = (Vec<f64>, Vec<f64>, f64);

fn any_wearer() -> impl Strategy<Value = Drawn> {
    (
        prop::collection::vec(0.85..1.15_f64, NEEDED.len()),
        prop::collection::vec(-0.04..0.04_f64, NEEDED.len()),
        0.0..6.0_f64,
    )
}

fn wearer((factors, sides, sd): &Drawn) -> Profile {
    let rows: Vec<(Key, f64)> = NEEDED
        .iter()
        .zip(factors)
        .map(|(&(key, value), factor)| (key, value * factor))
        .collect();
    let mut profile = body(*sd, &rows);
    for entry in &mut profile.measures {
        if entry.measure.id.side == Some(Side::Right) {
            let row = NEEDED
                .iter()
                .position(|row| row.0 == entry.measure.id.key)
                .unwrap();
            entry.measure.value *= 1.0 + sides[row];
        }
    }
    with_sides(profile)
}

fn with_sides(mut profile: Profile) -> Profile {
    profile.asymmetry = side_differences(profile.measures.iter().map(|entry| &entry.measure));
    profile
}

fn garments() -> [Garment; 3] {
    [full_sheet(), sheet(SLEEVED), sheet(TROUSERS)]
}

/// The wearer in a mirror: what was measured on the left stands on the right.
fn mirrored(profile: &Profile) -> Profile {
    let mut other = profile.clone();
    for entry in &mut other.measures {
        let id = entry.measure.id;
        if let Some(side) = id.side {
            let twin = profile.get(MeasureId::new(id.key, side.other())).unwrap();
            entry.measure.value = twin.value;
            entry.measure.spread = twin.spread.clone();
        }
    }
    with_sides(other)
}

/// A plan's document with the words left and right exchanged, where they name a side.
fn exchanged(text: &str) -> String {
    let kept = [
        ("left as it is", "\u{1}"),
        ("left to the width", "\u{2}"),
        ("right above the waist", "\u{4}"),
    ];
    let hidden = kept.iter().fold(text.to_owned(), |text, (words, mark)| {
        text.replace(words, mark)
    });
    let turned = hidden
        .replace("left", "\u{3}")
        .replace("right", "left")
        .replace('\u{3}', "right");
    kept.iter()
        .fold(turned, |text, (words, mark)| text.replace(mark, words))
}

fn document(plan: &CuttingPlan) -> Value {
    serde_json::to_value(plan).unwrap()
}

/// How two documents differ, where every length of the second should be `factor` times the first's:
/// the first place, or nothing.
fn differs(one: &Value, other: &Value, factor: f64, key: &str) -> Option<String> {
    match (one, other) {
        (Value::Object(a), Value::Object(b)) => {
            if a.len() != b.len() {
                return Some(format!("{key}: {one} / {other}"));
            }
            a.iter().find_map(|(name, value)| {
                differs(value, b.get(name).unwrap_or(&Value::Null), factor, name)
            })
        }
        (Value::Array(a), Value::Array(b)) => {
            if a.len() != b.len() {
                return Some(format!("{key}: {one} / {other}"));
            }
            a.iter()
                .zip(b)
                .find_map(|(a, b)| differs(a, b, factor, key))
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            // A number within a sentence is a length too.
            let is_length =
                key.ends_with("_mm") || key == "text" || key == "advice" || key == "reason";
            // Where a long skirt is parted, 6 in below the hip line, is a rule of the work and stays.
            let is_rule = key == "advice" && (a - 6.0 * 25.4).abs() < 1e-9;
            let wanted = if is_length && !is_rule { a * factor } else { a };
            ((wanted - b).abs() > 1e-6 * wanted.abs().max(1.0)).then(|| format!("{key}: {a} / {b}"))
        }
        _ => (one != other).then(|| format!("{key}: {one} / {other}")),
    }
}

/// What a step adds to a width, below nought where it takes in.
fn widened(step: &Step) -> f64 {
    let amount = step.amount.map_or(0.0, Length::mm);
    match step.action {
        Action::Add => amount,
        Action::TakeIn => -amount,
        _ => 0.0,
    }
}

/// What a plan adds at one seam edge of a level.
fn at_an_edge(plan: &CuttingPlan, level: Level) -> f64 {
    let step = plan
        .steps
        .iter()
        .find(|step| step.stage == Stage::Width && step.at == Site::Level(level));
    step.map_or(0.0, |step| match step.share {
        Some(Share::Edges { edges, .. }) => widened(step) / f64::from(edges),
        _ => widened(step),
    })
}

/// The garment in one of its sizes alone.
fn only_size(garment: &Garment, size: usize) -> Garment {
    let mut one = garment.clone();
    let keep = |table: &mut Option<Vec<Length>>| {
        if let Some(values) = table {
            *values = vec![values[size]];
        }
    };
    for level in Level::ALL {
        keep(one.body.get_mut(level));
        keep(one.finished.get_mut(level));
    }
    keep(&mut one.upper_chest);
    one.sizes = vec![garment.sizes[size].clone()];
    one
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Mirroring the body mirrors the plan: left and right change places, and nothing else moves.
    #[test]
    fn a_mirrored_body_has_the_mirrored_plan(drawn in any_wearer()) {
        let wearer = wearer(&drawn);
        for garment in garments() {
            let own = serde_json::to_string(&plan(&wearer, &garment)).unwrap();
            let other = plan(&mirrored(&wearer), &garment);
            let own: Value = serde_json::from_str(&exchanged(&own)).unwrap();
            prop_assert_eq!(differs(&own, &document(&other), 1.0, ""), None);
        }
    }

    /// A body and a pattern that grow together keep their plan, every length of it grown as much.
    /// The limits of the work grow along; the eases that are usual do not, so all are asked for.
    #[test]
    fn body_and_pattern_scaled_together_scale_the_plan(drawn in any_wearer(), factor in 0.7..1.5_f64) {
        // How far apart a body's sides are usual is partly in mm, and stays out of this.
        let mut wearer = wearer(&drawn);
        wearer.asymmetry = Vec::new();
        for mut garment in garments() {
            for part in garment.parts.keys() {
                garment.part_ease.entry(*part).or_insert(Length::from_mm(30.0));
            }
            let fit = LevelFit { tolerances: scaled_limits(factor), ..LevelFit::default() };
            let large = scaled_body(&wearer, factor);
            let mut grown = scaled(&garment, factor);
            grown.edge_limit.get_or_insert(fit.tolerances.most_per_edge);
            garment.edge_limit.get_or_insert(Tolerances::default().most_per_edge);
            let own = document(&plan(&wearer, &garment));
            let other = document(&fit.plan(&large, &grown).unwrap());
            prop_assert_eq!(differs(&own, &other, factor, ""), None);
        }
    }

    /// In one size, more ease asked for never adds less at a seam edge. Over all sizes, it never
    /// makes the finished garment smaller, though a larger size may leave less to add.
    #[test]
    fn more_ease_never_adds_less(
        drawn in any_wearer(),
        ease in prop::array::uniform3(-80.0..150.0_f64),
        more in prop::array::uniform3(0.0..60.0_f64),
        size in 0..6_usize,
    ) {
        let wearer = wearer(&drawn);
        let asked = |garment: &Garment, more: [f64; 3]| {
            let mut garment = garment.clone();
            for (place, level) in Level::ALL.into_iter().enumerate() {
                *garment.ease.get_mut(level) = Some(Length::from_mm(ease[place] + more[place]));
            }
            plan(&wearer, &garment)
        };
        let one = only_size(&full_sheet(), size);
        let (less, plenty) = (asked(&one, [0.0; 3]), asked(&one, more));
        for level in Level::ALL {
            let (less, plenty) = (at_an_edge(&less, level), at_an_edge(&plenty, level));
            prop_assert!(plenty >= less - 1e-9, "{level}: {less} then {plenty}");
        }
        let all = full_sheet();
        let (less, plenty) = (asked(&all, [0.0; 3]), asked(&all, more));
        for (less, plenty) in less.after.levels.iter().zip(&plenty.after.levels) {
            prop_assert!(plenty.garment.mm() >= less.garment.mm() - 1e-9, "{less:?} then {plenty:?}");
        }
        for (less, plenty) in less.sizes.iter().zip(&plenty.sizes) {
            let place = |name: &str| all.sizes.iter().position(|size| size == name);
            prop_assert!(place(&plenty.size) >= place(&less.size));
        }
    }

    /// What is shared out over the seam edges of front and back comes to what the girth needs, and
    /// the halves of a fold or of a pair of darts to the whole.
    #[test]
    fn shares_come_to_the_whole(
        drawn in any_wearer(),
        seams in prop::array::uniform4(0..4_u32),
    ) {
        let wearer = wearer(&drawn);
        let [side, front, back, other] = seams;
        for mut garment in garments() {
            for level in Level::ALL {
                *garment.seams.get_mut(level) = Seams { side, front, back, other };
            }
            for step in plan(&wearer, &garment).steps {
                let whole = step.amount.map_or(0.0, Length::mm);
                let total = match step.share {
                    Some(Share::Edges { edges, each, .. }) => {
                        if step.stage == Stage::Width && matches!(step.at, Site::Level(_)) {
                            // Each seam joins two edges; side seams have one in front and one behind.
                            prop_assert_eq!(edges, 2 * (side + front + back + other));
                            let told = f64::from(side + 2 * front) + f64::from(side + 2 * back);
                            let pieces = (told + 2.0 * f64::from(other)) * each.mm();
                            prop_assert!((pieces - whole).abs() < 1e-6, "{step:?}");
                        }
                        // One edge moves out where the other moves in: the front gets the whole.
                        each.mm() * f64::from(edges)
                    }
                    Some(Share::Crease { each } | Share::Halves { each }) => 2.0 * each.mm(),
                    None => whole,
                };
                prop_assert!((total - whole).abs() < 1e-6, "{step:?}");
            }
        }
    }

    /// No edge is let out and taken in, no line folded and spread, in one plan.
    #[test]
    fn nothing_is_done_and_undone(drawn in any_wearer()) {
        let wearer = wearer(&drawn);
        for garment in garments() {
            prop_assert_eq!(undone(&plan(&wearer, &garment)), None);
        }
    }

    /// A body measured less surely changes no amount, and makes no step surer.
    #[test]
    fn doubt_changes_confidence_alone(drawn in any_wearer(), more in 1.0..4.0_f64) {
        let mut doubtful = wearer(&drawn);
        doubtful.asymmetry = Vec::new();
        let mut sure = doubtful.clone();
        for entry in &mut doubtful.measures {
            entry.measure.spread.sd *= more;
        }
        sure.asymmetry = Vec::new();
        for garment in garments() {
            let (sure, doubtful) = (plan(&sure, &garment), plan(&doubtful, &garment));
            prop_assert_eq!(sure.steps.len(), doubtful.steps.len());
            for (one, other) in sure.steps.iter().zip(&doubtful.steps) {
                prop_assert_eq!((&one.action, one.amount), (&other.action, other.amount));
                prop_assert!(other.confidence >= one.confidence);
            }
        }
    }
}

/// Two steps that undo each other at one place, if there are any.
pub(crate) fn undone(plan: &CuttingPlan) -> Option<(Step, Step)> {
    let opposed = |one: &Action, other: &Action| {
        matches!(
            (one, other),
            (Action::Add, Action::TakeIn)
                | (Action::LetIn, Action::FoldOut)
                | (Action::Lengthen, Action::Shorten)
                | (Action::Lower, Action::Raise)
                | (Action::MoveOut, Action::MoveIn)
                | (Action::MoveForward, Action::MoveBack)
                | (Action::ToFront, Action::ToBack)
        )
    };
    plan.steps.iter().find_map(|one| {
        let other = plan.steps.iter().find(|other| {
            opposed(&one.action, &other.action) && one.at == other.at && one.side == other.side
        })?;
        Some((one.clone(), other.clone()))
    })
}

/// The scaling law above would hold for a plan that says nothing: the garments do bring steps.
#[test]
fn the_wearer_of_the_laws_has_a_plan_to_speak_of() {
    let wearer = wearer(&(vec![1.05; NEEDED.len()], vec![0.035; NEEDED.len()], 1.0));
    let steps = |garment: &Garment| plan(&wearer, garment).steps;
    let counts = garments().each_ref().map(|garment| steps(garment).len());
    assert!(counts.iter().all(|&count| count >= 5), "{counts:?}");
    let sided = garments().each_ref().map(|garment| {
        let steps = steps(garment);
        steps.iter().filter(|step| step.side.is_some()).count()
    });
    assert!(sided.iter().sum::<usize>() >= 4, "{sided:?}");
    let unused: Vec<Part> = Part::all()
        .filter(|part| {
            !garments()
                .iter()
                .any(|garment| garment.parts.contains_key(part))
        })
        .collect();
    assert_eq!(unused, []);
}
