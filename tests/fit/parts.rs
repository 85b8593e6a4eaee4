//! Sleeve, shoulder, back, bust points and trousers: sums anyone can do by hand.

use crate::trial::{amount, body, close, plan, sheet, step_of};
use girthwise::Side;
use girthwise::Weight;
use girthwise::fit::{Action, Confidence, CuttingPlan, Part, Remark, Share, Site, Stage, Step};
use girthwise::length::text::Shown;
use girthwise::measure::asymmetry::side_differences;
use girthwise::measure::{Cause, Key, Spread};
use girthwise::profile::Profile;

/// A top with all that a sleeve and a shoulder have; its back is long.
pub(crate) const SLEEVED: &str = r#"
name = "Trial shirt"
unit = "mm"
sizes = ["one"]
waist_line = "seam"
[body]
bust = [900]
[seams]
bust = 2
[lines]
neck_to_bust = 270
back_waist = 460
[bust_point]
height = 270
spread = 170
[shoulder]
length = 120
drop = 35
forward = 5
[front]
across = 330
bust = [480]
[back]
across = 365
bust = [480]
scye_depth = 200
[sleeve]
biceps = 320
elbow = 300
wrist = 200
armscye = 430
to_elbow = 320
length = 560
[ease]
biceps = 45
sleeve_length = 0
"#;

/// Trousers with all their measures.
pub(crate) const TROUSERS: &str = r#"
name = "Trial trousers"
unit = "mm"
sizes = ["one"]
waist_line = "seam"
[body]
waist = [740]
hip = [1000]
[seams]
waist = 2
hip = 2
[front]
waist = [380]
hip = [520]
[back]
waist = [380]
hip = [520]
[trousers]
crotch_depth = 280
crotch_front = 350
crotch_back = 360
thigh = 600
knee = 420
calf = 400
leg_opening = 380
inseam = 700
[hem]
allowance = 0
drawn_to = "fold"
above_floor = 20
"#;

fn at(plan: &CuttingPlan, part: Part) -> Option<Step> {
    step_of(plan, part.stage(), &Site::Part(part.name().to_owned()))
}

fn shirt_wearer() -> Profile {
    let mut profile = body(
        1.0,
        &[
            (Key::BustGirth, 900.0),
            (Key::BustHeight, 1200.0),
            (Key::NeckToBustLength, 270.0),
            (Key::BackWaistLength, 460.0),
            (Key::BustPointSpread, 190.0),
            (Key::ShoulderLength, 120.0),
            (Key::ShoulderSlope, 22.0),
            (Key::ShoulderForward, 18.0),
            (Key::AcrossBackWidth, 360.0),
            (Key::AcrossFrontWidth, 325.0),
            (Key::ScyeDepth, 180.0),
            (Key::UpperArmGirth, 300.0),
            (Key::ElbowGirth, 260.0),
            (Key::WristGirth, 160.0),
            (Key::ArmscyeGirth, 400.0),
            (Key::UpperArmLength, 330.0),
            (Key::ArmLength, 580.0),
        ],
    );
    profile.asymmetry = Vec::new();
    profile
}

/// An arm of 300 and an ease of 45 against a sleeve of 320: 25 over the two edges of the underarm
/// seam. Above the elbow 330 against 320; below it 580 against 560 and the 10 let in above.
#[test]
fn a_sleeve_is_widened_and_let_in_on_both_sides_of_the_elbow() {
    let plan = plan(&shirt_wearer(), &sheet(SLEEVED));
    let wide = at(&plan, Part::Biceps).unwrap();
    assert_eq!(wide.action, Action::Add);
    close(amount(&wide), 25.0);
    assert!(
        matches!(wide.share, Some(Share::Edges { edges: 2, each, .. }) if (each.mm() - 12.5).abs() < 1e-9)
    );
    let above = at(&plan, Part::SleeveToElbow).unwrap();
    let below = at(&plan, Part::SleeveLength).unwrap();
    close(amount(&above), 10.0);
    close(amount(&below), 10.0);
    assert!(above.order < below.order);
    // 40 over the elbow and 40 over the wrist are more than the least; nothing was asked for.
    assert!(at(&plan, Part::Elbow).is_none() && at(&plan, Part::Wrist).is_none());
    let then = |name: &str| {
        let row = plan.after.parts.iter().find(|row| row.part == name);
        row.unwrap().then.mm()
    };
    close(then("upper sleeve"), 345.0);
    close(then("sleeve below the elbow"), 580.0);
}

#[test]
fn where_a_sleeve_ends_is_never_guessed() {
    let text = SLEEVED.replace("sleeve_length = 0", "");
    let plan = plan(&shirt_wearer(), &sheet(&text));
    let gap = plan.withheld.iter().find(|gap| gap.stage == Stage::Sleeve);
    assert!(gap.is_some(), "{:?}", plan.withheld);
    assert!(at(&plan, Part::SleeveLength).is_none());
}

/// 120·sin 22° = 44.953 (table of sines: 0.374 607) against 35: 9.953 to lower; a pad of 10 takes
/// that up. Half of 20 at each bust point. Across the back 365 − 360 = 5 of ease, 7.7 under the
/// least of ½ in (common practice, no source).
#[test]
fn shoulders_darts_and_back() {
    let wearer = shirt_wearer();
    let plain = plan(&wearer, &sheet(SLEEVED));
    let slope = at(&plain, Part::ShoulderDrop).unwrap();
    assert_eq!(slope.action, Action::Lower);
    assert!((amount(&slope) - 9.953).abs() < 0.001, "{slope:?}");
    // One degree is 120·cos 22°·π/180 = 1.942 mm, over √2 for the mean of two.
    assert!((slope.sd.mm() - 1.942 / 2.0_f64.sqrt()).abs() < 0.001);
    let padded = SLEEVED.replace("drop = 35", "drop = 35\npad = 10");
    assert!(at(&plan(&wearer, &sheet(&padded)), Part::ShoulderDrop).is_none());
    assert!(at(&plain, Part::ShoulderLength).is_none());

    let spread = at(&plain, Part::BustPointSpread).unwrap();
    assert_eq!(spread.action, Action::MoveOut);
    close(amount(&spread), 20.0);
    assert!(
        matches!(spread.share, Some(Share::Halves { each }) if (each.mm() - 10.0).abs() < 1e-9)
    );
    let across = at(&plain, Part::AcrossBack).unwrap();
    close(amount(&across), 7.7);
    assert!(at(&plain, Part::AcrossFront).is_none());
}

/// The shirt's wearer with shoulder points so far before the side neck points, left and right.
fn forward_wearer(left: f64, right: f64) -> Profile {
    let mut wearer = shirt_wearer();
    for entry in &mut wearer.measures {
        if entry.measure.id.key == Key::ShoulderForward {
            let is_left = entry.measure.id.side == Some(Side::Left);
            entry.measure.value = if is_left { left } else { right };
        }
    }
    wearer.asymmetry = side_differences(wearer.measures.iter().map(|entry| &entry.measure));
    wearer
}

/// 18 before the side neck point against 5 that the pattern has: 13 forward, as sure as one side alone.
/// Behind by 8 it is 13 back; within the tolerance of ¼ in it stays.
#[test]
fn a_shoulder_seam_follows_the_shoulder_point() {
    let part = Part::ShoulderForward;
    let plain = plan(&shirt_wearer(), &sheet(SLEEVED));
    let step = at(&plain, part).unwrap();
    assert_eq!(
        (&step.action, step.stage, step.confidence),
        (&Action::MoveForward, Stage::Shoulders, Confidence::DoIt)
    );
    close(amount(&step), 13.0);
    close(step.sd.mm(), 1.0);
    let row = plain.after.parts.iter().find(|row| row.part == part.name());
    let row = row.unwrap();
    close(row.drawn.mm(), 5.0);
    close(row.then.mm(), 18.0);
    close(row.body.mm(), 18.0);

    let backward = plan(&forward_wearer(-8.0, -8.0), &sheet(SLEEVED));
    let step = at(&backward, part).unwrap();
    assert_eq!(step.action, Action::MoveBack);
    close(amount(&step), 13.0);
    let said = backward.say(Shown::Centimetres);
    let after = "0.8 cm behind its neck end (drawn 0.5 cm before), body 0.8 cm behind";
    assert!(said.contains(after), "{said}");
    assert!(at(&plan(&forward_wearer(11.0, 11.0), &sheet(SLEEVED)), part).is_none());
    // A seam may lie behind in the pattern as well.
    let behind = SLEEVED.replace("forward = 5", "forward = [-4]");
    let step = at(&plan(&shirt_wearer(), &sheet(&behind)), part).unwrap();
    close(amount(&step), 22.0);
}

/// Nothing is taken for granted silently: without the pattern's own place it is said to be taken as
/// straight, and the 18 are to be checked first; without the body's, the step is withheld.
#[test]
fn an_unknown_shoulder_seam_is_told() {
    let part = Part::ShoulderForward;
    let garment = sheet(&SLEEVED.replace("forward = 5", ""));
    let told = |plan: &CuttingPlan| {
        let mut topics = plan.findings.iter().map(|remark| remark.topic.as_str());
        topics.any(|topic| topic == part.name())
    };
    let assumed = plan(&shirt_wearer(), &garment);
    let step = at(&assumed, part).unwrap();
    assert_eq!(step.confidence, Confidence::CheckFirst);
    close(amount(&step), 18.0);
    assert!(told(&assumed) && !told(&plan(&shirt_wearer(), &sheet(SLEEVED))));

    let mut unknown = shirt_wearer();
    unknown
        .measures
        .retain(|entry| entry.measure.id.key != Key::ShoulderForward);
    let plan = plan(&unknown, &garment);
    assert!(at(&plan, part).is_none() && !told(&plan));
    let site = Site::Part(part.name().to_owned());
    assert!(plan.withheld.iter().any(|gap| gap.at == site));
}

/// Left 30, right 12: both go 12 − 5 = 7 forward, and the left 18 more. 9 apart is not worth it, and the
/// mean of 21 and 12, 16.5, stands for both.
#[test]
fn shoulders_that_differ_are_moved_apart() {
    let part = Part::ShoulderForward;
    let uneven = plan(&forward_wearer(30.0, 12.0), &sheet(SLEEVED));
    close(amount(&at(&uneven, part).unwrap()), 7.0);
    let site = Site::Part(part.name().to_owned());
    let apart = step_of(&uneven, Stage::Sides, &site).unwrap();
    assert_eq!(
        (&apart.action, apart.side),
        (&Action::MoveForward, Some(Side::Left))
    );
    close(amount(&apart), 18.0);
    let even = plan(&forward_wearer(21.0, 12.0), &sheet(SLEEVED));
    close(amount(&at(&even, part).unwrap()), 11.5);
    assert!(step_of(&even, Stage::Sides, &site).is_none());
}

/// 290 from the neck to the bust point for 270: 20 let in, through both halves of the armhole, so 430 + 2·20 =
/// 470 and its depth 200 + 20. A back of 490 for 460 + 20 lacks 10 more, across the shoulder blades: a depth of
/// 230. Folded out at the waist (440 for 460) it leaves the depth alone. A body deeper than that is told.
#[test]
fn an_armhole_grows_by_what_is_let_in_across_it() {
    let changed = |neck_to_bust: f64, back: f64, depth: f64| {
        let mut wearer = shirt_wearer();
        for entry in &mut wearer.measures {
            entry.measure.value = match entry.measure.id.key {
                Key::NeckToBustLength => neck_to_bust,
                Key::BackWaistLength => back,
                Key::ScyeDepth => depth,
                _ => entry.measure.value,
            };
        }
        plan(&wearer, &sheet(SLEEVED))
    };
    let then = |plan: &CuttingPlan, part: Part| {
        let row = plan.after.parts.iter().find(|row| row.part == part.name());
        row.unwrap().then.mm()
    };
    let told = |plan: &CuttingPlan| {
        let topic = |remark: &&Remark| remark.topic == Part::ScyeDepth.name();
        plan.findings.iter().find(topic).unwrap().weight
    };
    let longer = changed(290.0, 490.0, 225.0);
    close(then(&longer, Part::Armscye), 470.0);
    close(then(&longer, Part::ScyeDepth), 230.0);
    assert_eq!(told(&longer), Weight::Note);
    let shorter = changed(270.0, 440.0, 180.0);
    close(then(&shorter, Part::ScyeDepth), 200.0);
    assert_eq!(told(&changed(290.0, 490.0, 235.0)), Weight::Look);
}

/// Shoulders 42 apart are padded under a shirt, and a sleeve is cut wider; they are no matter of trousers, nor
/// thighs one of a shirt.
#[test]
fn a_garment_is_changed_where_it_covers() {
    let mut wearer = body(
        1.0,
        &[
            (Key::ShoulderHeight, 1400.0),
            (Key::UpperArmGirth, 300.0),
            (Key::ThighGirth, 590.0),
        ],
    );
    for entry in &mut wearer.measures {
        if entry.measure.id.side == Some(Side::Right) {
            entry.measure.value *= 0.97;
        }
    }
    wearer.asymmetry = side_differences(wearer.measures.iter().map(|entry| &entry.measure));
    let topics = |text: &str| {
        let plan = plan(&wearer, &sheet(text));
        let steps = plan.steps.iter().filter(|step| step.side.is_some());
        let at: Vec<Site> = steps.map(|step| step.at.clone()).collect();
        let more = |remark: &&Remark| remark.text.say(Shown::Centimetres).contains("side larger");
        (at, plan.findings.iter().filter(more).count())
    };
    let part = |name: &str| Site::Part(name.to_owned());
    assert_eq!(topics(SLEEVED), (vec![part("shoulder"), part("sleeve")], 0));
    assert_eq!(topics(TROUSERS), (vec![part("leg")], 0));
}

#[test]
fn a_part_within_its_uncertainty_is_checked_first() {
    let mut wearer = shirt_wearer();
    for entry in &mut wearer.measures {
        entry.measure.spread = Spread::of([(Cause::Level, 20.0)]);
    }
    let plan = plan(&wearer, &sheet(SLEEVED));
    let wide = at(&plan, Part::Biceps).unwrap();
    // The mean of two arms: 20/√2 = 14.1, and 1.96 of it is more than 25.
    assert_eq!(wide.confidence, Confidence::CheckFirst);
}

fn trouser_wearer() -> Profile {
    body(
        1.0,
        &[
            (Key::HipGirth, 1000.0),
            (Key::WaistNarrowestHeight, 1040.0),
            (Key::CrotchHeight, 775.0),
            (Key::CrotchLengthFront, 330.0),
            (Key::CrotchLengthBack, 360.0),
            (Key::ThighGirth, 590.0),
            (Key::KneeGirth, 380.0),
            (Key::CalfGirth, 360.0),
            (Key::HeelGirth, 340.0),
            (Key::InsideLegLength, 760.0),
        ],
    )
}

/// Hip 1000 and a depth of 265: 1 in of ease, so 290.4 (New Mexico State University Guide C-209,
/// whose depth is that of the seated body). The pattern has 280: 10.4 let in. The crotch seams
/// grow by as much: front 360.4 for 330 + 25.4, left; back 370.4 for 360 + 25.4, 15 too short. The
/// crotch line then hangs 25.4 low: of 760 inside leg, 20 above the floor leave 714.6 for 700.
#[test]
fn trousers_from_the_crotch_down() {
    let plan = plan(&trouser_wearer(), &sheet(TROUSERS));
    let depth = at(&plan, Part::CrotchDepth).unwrap();
    assert_eq!(depth.action, Action::LetIn);
    close(amount(&depth), 10.4);
    assert!(at(&plan, Part::CrotchFront).is_none());
    let back = at(&plan, Part::CrotchBack).unwrap();
    assert_eq!(back.action, Action::Lengthen);
    close(amount(&back), 15.0);
    let leg = at(&plan, Part::Inseam).unwrap();
    close(amount(&leg), 14.6);
    close(plan.after.hem_above_floor.unwrap().mm(), 20.0);
    // 590 + 25.4, the least of 1 in (the same guide), over four edges.
    let thigh = at(&plan, Part::Thigh).unwrap();
    close(amount(&thigh), 15.4);
    assert!(matches!(thigh.share, Some(Share::Edges { edges: 4, .. })));
}

/// ½ in under 36 in of hip, ¾ in from there to 38 in, 1 in above (the same guide).
#[test]
fn the_ease_of_the_depth_goes_by_the_hip() {
    let wanted = |hip: f64| {
        let mut wearer = trouser_wearer();
        for entry in &mut wearer.measures {
            if entry.measure.id.key == Key::HipGirth {
                entry.measure.value = hip * 25.4;
            }
        }
        let plan = plan(&wearer, &sheet(TROUSERS));
        let rows = plan.after.parts.iter();
        let depth = rows
            .clone()
            .find(|row| row.part == Part::CrotchDepth.name());
        depth.unwrap().wanted.unwrap().inch()
    };
    for (hip, ease) in [(35.9, 0.5), (36.0, 0.75), (38.0, 0.75), (38.1, 1.0)] {
        close(wanted(hip), ease);
    }
}

/// Left inside leg 790, right 775, a tape TEM of 3: 15 is real (over 8.3), and the right hem is
/// taken up by it; the longer leg's length is the common one.
#[test]
fn one_long_leg() {
    let mut wearer = trouser_wearer();
    for entry in &mut wearer.measures {
        if entry.measure.id.key == Key::InsideLegLength {
            let left = entry.measure.id.side == Some(Side::Left);
            entry.measure.value = if left { 790.0 } else { 775.0 };
            entry.measure.spread = Spread::of([(Cause::Tape, 3.0)]);
        }
    }
    wearer.asymmetry = side_differences(wearer.measures.iter().map(|entry| &entry.measure));
    let plan = plan(&wearer, &sheet(TROUSERS));
    let apart = step_of(&plan, Stage::Sides, &Site::Part("leg hem".into())).unwrap();
    assert_eq!(
        (&apart.action, apart.side),
        (&Action::Shorten, Some(Side::Right))
    );
    close(amount(&apart), 15.0);
    // 790 − 25.4 − 20 for 700.
    close(amount(&at(&plan, Part::Inseam).unwrap()), 44.6);
}
