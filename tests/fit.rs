//! Fit: worked cases whose sums anyone can do by hand, and what must hold for any body.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use girthwise::fit::{
    Action, Basis, Confidence, CuttingPlan, FitRoutine, Garment, Level, LevelFit, Line, Share,
    Site, Stage, Step, UpperChest, read_garment,
};
use girthwise::length::text::Shown;
use girthwise::measure::asymmetry::SideDifference;
use girthwise::measure::{Cause, Key, Measure, MeasureId, Source, Spread};
use girthwise::profile::{Entry, Profile, SCHEMA};
use girthwise::{Length, Side, Weight};
use proptest::prelude::*;

/// A body of given measures, in mm, each with a standard deviation of `sd`.
fn body(sd: f64, measures: &[(Key, f64)]) -> Profile {
    let mut entries = Vec::new();
    for &(key, value) in measures {
        let sides: &[Option<Side>] = if key.definition().paired {
            &[Some(Side::Left), Some(Side::Right)]
        } else {
            &[None]
        };
        for &side in sides {
            entries.push(Entry {
                measure: Measure {
                    id: MeasureId::new(key, side),
                    value,
                    unit: key.definition().unit(),
                    spread: Spread::of([(Cause::Tape, sd)]),
                    source: Source::Tape,
                    level_mm: None,
                },
                scan: None,
                tape: None,
                rule: None,
            });
        }
    }
    Profile {
        schema: SCHEMA,
        measures: entries,
        withheld: vec![],
        asymmetry: vec![],
        curves: vec![],
        findings: vec![],
    }
}

fn inches(values: &[(Key, f64)]) -> Vec<(Key, f64)> {
    values
        .iter()
        .map(|&(key, inch)| (key, inch * 25.4))
        .collect()
}

fn sheet(text: &str) -> Garment {
    read_garment("trial.toml", text).unwrap()
}

fn plan(profile: &Profile, garment: &Garment) -> CuttingPlan {
    LevelFit::default().plan(profile, garment).unwrap()
}

fn step_of(plan: &CuttingPlan, stage: Stage, at: &Site) -> Option<Step> {
    plan.steps
        .iter()
        .find(|step| step.stage == stage && step.at == *at)
        .cloned()
}

fn amount(step: &Step) -> f64 {
    step.amount.unwrap().mm()
}

#[track_caller]
fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6, "{a} is not {b}");
}

/// Girth rows of ASTM D5585-11e1 (adult female misses, straight), sizes 6 to 14, as its public
/// page shows them, in inches.
const MISSES: &str = r#"
name = "Trial bodice"
unit = "in"
sizes = ["6", "8", "10", "12", "14"]
waist_line = "seam"
[body]
bust = [35.25, 36.25, 37.25, 38.75, 40.375]
waist = [28.5, 29.5, 30.5, 32.25, 34]
upper_chest = [35, 35.875, 36.75, 38, 39.25]
[lines]
bust_to_waist = 7
[seams]
bust = 2
waist = 2
"#;

/// Bust 39 in over an upper chest of 35.875 in: 3.125 in, over the 2 in from which the size goes
/// by the upper chest (state extension leaflet "Principles of Pattern Alteration"). Size 8 by the
/// table, 2.75 in = 69.85 mm to add at the bust, waist in size 6, and 69.85/4 = 17.4625 mm at
/// each edge, over the limit of 12.7 mm (common practice, no source).
#[test]
fn a_full_bust_goes_by_the_upper_chest() {
    let measures = [(Key::BustGirth, 39.0), (Key::WaistNarrowestGirth, 28.5)];
    let profile = body(1.0, &inches(&measures));
    let routine = LevelFit {
        upper_chest: Some(UpperChest {
            girth: Length::from_inch(35.875),
            sd: Length::from_mm(2.0),
        }),
        ..LevelFit::default()
    };
    let plan = routine.plan(&profile, &sheet(MISSES)).unwrap();
    assert_eq!(plan.start_size.as_deref(), Some("8"));
    assert_eq!(plan.sizes[0].basis, Basis::UpperChest);
    assert_eq!(plan.sizes[1].size, "6");

    let between = Site::Between(Line::Bust, Line::Waist);
    let grade = step_of(&plan, Stage::Grade, &between).unwrap();
    assert_eq!(grade.action, Action::Grade("8".into(), "6".into()));
    close(amount(&grade), 25.4);

    let wide = step_of(&plan, Stage::Width, &Site::Level(Level::Bust)).unwrap();
    assert_eq!(wide.action, Action::Add);
    close(amount(&wide), 69.85);
    let Some(Share::Edges { edges: 4, each, .. }) = wide.share else {
        panic!("{wide:?}");
    };
    close(each.mm(), 17.4625);
    assert!(wide.share.unwrap().is_over());
    let told = |weight| plan.findings.iter().any(|remark| remark.weight == weight);
    assert!(told(Weight::Act));
    assert!(plan.say(Shown::InchEighths).contains("slash and spread"));

    let by_bust = LevelFit::default().plan(&profile, &sheet(MISSES)).unwrap();
    assert_eq!(by_bust.start_size.as_deref(), Some("12"));
}

/// A straight waist of 31 in between sizes 10 and 12: 0.5/1.75 of the way (arithmetic on the
/// same rows).
#[test]
fn a_waist_between_two_sizes_tells_the_share() {
    let profile = body(1.0, &inches(&[(Key::WaistNarrowestGirth, 31.0)]));
    let plan = plan(&profile, &sheet(MISSES));
    let waist = &plan.sizes[0];
    assert_eq!((waist.level, waist.size.as_str()), (Level::Waist, "10"));
    let between = waist.between.as_ref().unwrap();
    assert_eq!(
        (between.lower.as_str(), between.upper.as_str()),
        ("10", "12")
    );
    assert!((between.fraction - 0.285_714_285_714).abs() < 1e-11);
    let weighed: Vec<_> = waist
        .candidates
        .iter()
        .map(|one| one.size.as_str())
        .collect();
    assert_eq!(weighed, ["8", "10", "12"]);
    // The bust is in the sheet but not in the profile: withheld, with the way out.
    assert_eq!(plan.withheld[0].stage, Stage::Size);
    assert_eq!(plan.withheld[0].at, Site::Level(Level::Bust));
    let reason = plan.withheld[0].reason.say(Shown::Centimetres);
    assert!(
        reason.contains("no bust girth; take it by tape"),
        "{reason}"
    );
}

/// Hip 1010 and ease 60 against a pattern of 1030 with two side seams and one back seam: 40 mm
/// over 6 edges, 6.667 each (arithmetic; the sharing rule is that of a Central Washington
/// University costume text, ch. 17, restated per edge).
#[test]
fn three_seams_share_six_edges() {
    let garment = sheet(
        r#"
        name = "Trial skirt"
        unit = "mm"
        sizes = ["one"]
        waist_line = "seam"
        finished = { hip = [1030] }
        ease = { hip = 60 }
        seams = { hip = 3 }
        "#,
    );
    let plan = plan(&body(3.0, &[(Key::HipGirth, 1010.0)]), &garment);
    let wide = step_of(&plan, Stage::Width, &Site::Level(Level::Hip)).unwrap();
    close(amount(&wide), 40.0);
    let Some(Share::Edges { edges: 6, each, .. }) = wide.share else {
        panic!("{wide:?}");
    };
    close(each.mm(), 40.0 / 6.0);
    assert!(!wide.share.unwrap().is_over());
    assert_eq!(wide.confidence, Confidence::DoIt);
    assert_eq!(
        wide.sum.say(Shown::Centimetres),
        "body 101.0 cm + ease 6.0 cm = 107.0 cm; garment size one measures 103.0 cm; 4.0 cm to add"
    );
    close(plan.after.levels[0].ease.unwrap().mm(), 60.0);
}

/// Common practice, no source: 4 in more at the hip over two side seams is 1 in on each of four
/// edges. Over the default limit, so the sum is shown and the limit told; a sheet may set its own.
#[test]
fn four_inches_over_two_side_seams_is_one_inch_an_edge() {
    let text = |limit: &str| {
        format!(
            r#"
            name = "Trial skirt"
            unit = "in"
            sizes = ["14"]
            waist_line = "seam"
            finished = {{ hip = [40] }}
            ease = {{ hip = 2 }}
            seams = {{ hip = 2{limit} }}
            "#
        )
    };
    let profile = body(3.0, &inches(&[(Key::HipGirth, 42.0)]));
    let each = |plan: &CuttingPlan| {
        let step = step_of(plan, Stage::Width, &Site::Level(Level::Hip)).unwrap();
        close(amount(&step), 101.6);
        match step.share {
            Some(Share::Edges { edges: 4, each, .. }) => close(each.inch(), 1.0),
            other => panic!("{other:?}"),
        }
        step.share.unwrap().is_over()
    };
    let strict = plan(&profile, &sheet(&text("")));
    assert!(each(&strict));
    assert!(
        strict
            .say(Shown::InchEighths)
            .contains("over the limit of 1/2 in")
    );
    assert!(!each(&plan(&profile, &sheet(&text(", edge_limit = 1")))));
}

/// Nape to waist 440 against 415, waist to hip 190 against 205: 25 let in between bust and waist,
/// 15 folded out between waist and hip, 7.5 on each side of the crease (arithmetic; the fold rule
/// is that of the same costume text).
#[test]
fn length_lines_by_way_of_the_back() {
    let garment = sheet(
        r#"
        name = "Trial dress"
        unit = "mm"
        sizes = ["one"]
        waist_line = "seam"
        body = { bust = [900] }
        seams = { bust = 2 }
        lines = { back_waist = 415, waist_to_hip = 205 }
        "#,
    );
    let profile = body(
        2.0,
        &[
            (Key::BustGirth, 900.0),
            (Key::BackWaistLength, 440.0),
            (Key::WaistNarrowestHeight, 1050.0),
            (Key::HipHeight, 860.0),
        ],
    );
    let plan = plan(&profile, &garment);
    let upper = Site::Between(Line::Bust, Line::Waist);
    let let_in = step_of(&plan, Stage::Balance, &upper).unwrap();
    assert_eq!(let_in.action, Action::LetIn);
    close(amount(&let_in), 25.0);
    let lower = Site::Between(Line::Waist, Line::Hip);
    let fold = step_of(&plan, Stage::Balance, &lower).unwrap();
    assert_eq!(fold.action, Action::FoldOut);
    close(amount(&fold), 15.0);
    assert_eq!(
        fold.share,
        Some(Share::Crease {
            each: Length::from_mm(7.5)
        })
    );
    assert!(let_in.order < fold.order);
    for row in &plan.after.lines {
        close(row.low.unwrap().mm(), 0.0);
    }
}

const DRESS: &str = r#"
name = "Trial dress"
unit = "in"
sizes = ["12"]
waist_line = "seam"
[body]
bust = [36]
[finished]
bust = [39]
[seams]
bust = 2
[lines]
neck_to_bust = 10.5
bust_to_waist = 7
waist_to_hip = 8
hip_to_hem = "24 5/8"
[hem]
allowance = "5/8"
"#;

/// A body for [`DRESS`] whose lines the pattern meets, but for the waist: 1 in higher.
fn high_waist(hip_height: f64) -> Profile {
    let measures = [
        (Key::BustGirth, 36.0),
        (Key::NeckToBustLength, 10.5),
        (Key::BustHeight, 47.0),
        (Key::WaistNarrowestHeight, 41.0),
        (Key::HipHeight, hip_height),
    ];
    body(2.0, &inches(&measures))
}

/// Common practice, no source: a waist line 1 in too low is folded out above it; the lines below
/// come up 1 in and are judged again. Here the hip was right, so the inch goes back in between
/// waist and hip, and the hem stays where it was.
#[test]
fn a_low_waist_is_folded_out_and_the_hip_judged_again() {
    let plan = plan(&high_waist(32.0), &sheet(DRESS));
    let fold = step_of(
        &plan,
        Stage::Balance,
        &Site::Between(Line::Bust, Line::Waist),
    )
    .unwrap();
    assert_eq!(fold.action, Action::FoldOut);
    close(amount(&fold), 25.4);
    let back = step_of(
        &plan,
        Stage::Balance,
        &Site::Between(Line::Waist, Line::Hip),
    )
    .unwrap();
    assert_eq!(back.action, Action::LetIn);
    close(amount(&back), 25.4);
    assert!(step_of(&plan, Stage::Hem, &Site::Hem).is_none());
    let said = plan.say(Shown::InchEighths);
    assert!(
        said.contains("Fold out 1 in between bust line and waist line, 1/2 in on each side"),
        "{said}"
    );
    assert!(
        said.contains("Let in 1 in between waist line and hip line"),
        "{said}"
    );
    // 32 in of hip height less 24 in of finished skirt.
    close(plan.after.hem_above_floor.unwrap().inch(), 8.0);
}

/// The same waist on a body whose hip is 1 in higher too: the fold sets both, and 1 in is given
/// back at the hem to keep the pattern's own length, to be checked, as no hem was asked for.
#[test]
fn what_was_folded_out_is_given_back_at_the_hem() {
    let plan = plan(&high_waist(33.0), &sheet(DRESS));
    assert!(
        step_of(
            &plan,
            Stage::Balance,
            &Site::Between(Line::Waist, Line::Hip)
        )
        .is_none()
    );
    let hem = step_of(&plan, Stage::Hem, &Site::Hem).unwrap();
    assert_eq!(hem.action, Action::Lengthen);
    close(amount(&hem), 25.4);
    assert_eq!(hem.confidence, Confidence::CheckFirst);
}

/// Common practice, no source: a hem allowance of ⅝ in turns up before the hem is judged, so a
/// skirt of 24 ⅝ in to the cut edge is 24 in long.
#[test]
fn the_hem_allowance_turns_up_before_the_hem_is_judged() {
    let profile = high_waist(33.0);
    let on_mark = plan(&profile, &sheet(&format!("{DRESS}above_floor = 9")));
    assert!(step_of(&on_mark, Stage::Hem, &Site::Hem).is_none());
    close(on_mark.after.hem_above_floor.unwrap().inch(), 9.0);

    let lower = plan(&profile, &sheet(&format!("{DRESS}above_floor = 7")));
    let hem = step_of(&lower, Stage::Hem, &Site::Hem).unwrap();
    assert_eq!(
        (hem.action.clone(), hem.confidence),
        (Action::Lengthen, Confidence::DoIt)
    );
    close(amount(&hem), 50.8);
    close(lower.after.hem_above_floor.unwrap().inch(), 7.0);
    let sum = hem.sum.say(Shown::InchEighths);
    assert!(
        sum.contains("+ hem allowance turned up 5/8 in = 9 in above the floor"),
        "{sum}"
    );

    let fold = format!("{DRESS}above_floor = 9\ndrawn_to = \"fold\"");
    let hem = step_of(&plan(&profile, &sheet(&fold)), Stage::Hem, &Site::Hem).unwrap();
    assert_eq!(hem.action, Action::Shorten);
    close(hem.amount.unwrap().inch(), 0.625);

    let below = format!("{DRESS}below = \"hip\"\nby = 26");
    let hem = step_of(&plan(&profile, &sheet(&below)), Stage::Hem, &Site::Hem).unwrap();
    close(amount(&hem), 50.8);
}

/// The waist's tolerance goes by what the garment does there.
#[test]
fn a_waist_that_is_not_shaped_is_left_alone() {
    let profile = high_waist(33.0);
    let shape = |word: &str| sheet(&DRESS.replace("\"seam\"", &format!("\"{word}\"")));
    let waist = Site::Between(Line::Bust, Line::Waist);
    assert!(step_of(&plan(&profile, &shape("shaped")), Stage::Balance, &waist).is_some());
    let none = plan(&profile, &shape("none"));
    assert!(step_of(&none, Stage::Balance, &waist).is_none());
    assert!(none.say(Shown::InchEighths).contains("shapes no waist"));
    // The hip still has its line, an inch low: folded out below the waist.
    let hip = Site::Between(Line::Waist, Line::Hip);
    close(amount(&step_of(&none, Stage::Balance, &hip).unwrap()), 25.4);

    // ½ in off: the seam moves, the shaped waist may stay.
    let near = DRESS.replace("bust_to_waist = 7", "bust_to_waist = 6.5");
    assert!(step_of(&plan(&profile, &sheet(&near)), Stage::Balance, &waist).is_some());
    let shaped = near.replace("\"seam\"", "\"shaped\"");
    assert!(step_of(&plan(&profile, &sheet(&shaped)), Stage::Balance, &waist).is_none());
}

/// A skirt hangs from its waist line: 8 in to the hip against 7, 28 in in all to the fold. Set at
/// the hip, it is 27 in long from a waist at 40 in: 13 in above the floor.
#[test]
fn a_skirt_hangs_from_its_waist() {
    let garment = sheet(
        r#"
        name = "Trial skirt"
        unit = "in"
        sizes = ["12"]
        waist_line = "seam"
        finished = { hip = [40] }
        ease = { hip = 2 }
        seams = { hip = 2 }
        lines = { waist_to_hip = 8, total = 28 }
        hem = { allowance = 2, drawn_to = "fold", above_floor = 8 }
        "#,
    );
    let measures = [
        (Key::HipGirth, 38.0),
        (Key::WaistNarrowestHeight, 40.0),
        (Key::HipHeight, 33.0),
    ];
    let plan = plan(&body(2.0, &inches(&measures)), &garment);
    let fold = step_of(
        &plan,
        Stage::Balance,
        &Site::Between(Line::Waist, Line::Hip),
    )
    .unwrap();
    assert_eq!(fold.action, Action::FoldOut);
    close(amount(&fold), 25.4);
    assert_eq!(fold.confidence, Confidence::DoIt);
    let hem = step_of(&plan, Stage::Hem, &Site::Hem).unwrap();
    close(hem.amount.unwrap().inch(), 5.0);
    // 5 in is over the 4 in from which half goes above the hem.
    assert!(
        hem.advice
            .say(Shown::InchEighths)
            .contains("6 in below the hip line")
    );
    close(plan.after.hem_above_floor.unwrap().inch(), 8.0);
}

/// The front's lines are right, yet the body's back is 30 mm longer than the pattern's.
#[test]
fn a_long_back_is_told_apart_from_the_front() {
    let mut profile = high_waist(33.0);
    let back = body(2.0, &[(Key::BackWaistLength, 430.0)]);
    profile.measures.extend(back.measures);
    // 425.4 drawn, 400 after the fold of 25.4.
    let text = DRESS.replace("[hem]", "back_waist = 16.7480315\n[hem]");
    let plan = plan(&profile, &sheet(&text));
    let told = plan
        .findings
        .iter()
        .find(|remark| remark.topic == "back length")
        .unwrap();
    let said = told.text.say(Shown::Centimetres);
    assert!(said.contains("still 3.0 cm too short"), "{said}");
    assert!(said.contains("let it in on the back only"), "{said}");
}

#[test]
fn a_line_without_its_measure_is_withheld_and_the_next_assumes_aloud() {
    let mut profile = high_waist(33.0);
    profile
        .measures
        .retain(|entry| entry.measure.id.key != Key::NeckToBustLength);
    let plan = plan(&profile, &sheet(DRESS));
    let gap = &plan.withheld[0];
    assert_eq!(gap.at, Site::Between(Line::Shoulder, Line::Bust));
    let fold = step_of(
        &plan,
        Stage::Balance,
        &Site::Between(Line::Bust, Line::Waist),
    )
    .unwrap();
    assert_eq!(fold.confidence, Confidence::CheckFirst);
    let assumed = |remark: &girthwise::fit::Remark| remark.topic == "balance";
    assert!(plan.findings.iter().any(assumed));
}

#[test]
fn a_step_within_its_uncertainty_is_checked_first() {
    let mut profile = high_waist(33.0);
    for entry in &mut profile.measures {
        entry.measure.spread = Spread::of([(Cause::Level, 12.0)]);
    }
    let plan = plan(&profile, &sheet(DRESS));
    let fold = step_of(
        &plan,
        Stage::Balance,
        &Site::Between(Line::Bust, Line::Waist),
    )
    .unwrap();
    assert_eq!(fold.confidence, Confidence::CheckFirst);
    // Mean of two neck lengths, bust and waist height: 12·√(½ + 1 + 1), root sum of squares.
    close(fold.sd.mm(), 12.0 * 2.5_f64.sqrt());
    assert!(
        plan.say(Shown::Centimetres)
            .contains("Check on the body first (uncertain by 1.9 cm)")
    );
}

#[test]
fn a_body_outside_the_chart_is_told() {
    let profile = body(
        1.0,
        &inches(&[(Key::BustGirth, 44.0), (Key::WaistNarrowestGirth, 30.0)]),
    );
    let plan = plan(&profile, &sheet(MISSES));
    assert_eq!(plan.sizes[0].size, "14");
    assert!(plan.sizes[0].between.is_none());
    let said = plan.say(Shown::InchEighths);
    let first = said
        .find("the bust lies 3 5/8 in above the largest size")
        .unwrap();
    assert!(first < said.find("Steps, in this order").unwrap(), "{said}");
}

#[test]
fn too_steep_a_grade_is_told() {
    let measures = [(Key::BustGirth, 35.25), (Key::WaistNarrowestGirth, 34.0)];
    let profile = body(1.0, &inches(&measures));
    let fits = plan(&profile, &sheet(MISSES));
    // 5.5 in over four edges within 7 in: 0.196, over 0.15.
    let told = |plan: &CuttingPlan| {
        let grade = |remark: &girthwise::fit::Remark| remark.topic.starts_with("grade");
        plan.findings
            .iter()
            .filter(|remark| grade(remark))
            .map(|remark| remark.weight)
            .max()
    };
    assert_eq!(told(&fits), Some(Weight::Act));
    let longer = MISSES.replace("bust_to_waist = 7", "bust_to_waist = 10");
    assert_eq!(told(&plan(&profile, &sheet(&longer))), None);
    let unknown = MISSES.replace("bust_to_waist = 7", "");
    assert_eq!(told(&plan(&profile, &sheet(&unknown))), Some(Weight::Look));
}

#[test]
fn sides_are_padded_or_cut_apart_from_their_thresholds() {
    let mut profile = body(1.0, &inches(&[(Key::BustGirth, 36.0)]));
    let differ = |key: Key, left: f64, right: f64| SideDifference {
        key,
        left,
        right,
        difference: left - right,
        sd: 2.0,
        beyond_uncertainty: (left - right).abs() > 1.96 * 2.0,
    };
    profile.asymmetry = vec![
        differ(Key::ShoulderHeight, 1380.0, 1366.0),
        differ(Key::UpperArmGirth, 300.0, 307.0),
        differ(Key::BustHalfGirth, 458.0, 446.0),
        differ(Key::NeckToBustLength, 270.0, 264.0),
    ];
    let plan = plan(&profile, &sheet(DRESS));
    let sides: Vec<_> = plan
        .steps
        .iter()
        .filter(|step| step.stage == Stage::Sides)
        .collect();
    assert_eq!(sides.len(), 2, "{sides:?}");
    assert_eq!(
        (&sides[0].action, sides[0].side),
        (&Action::Pad, Some(Side::Right))
    );
    close(amount(sides[0]), 14.0);
    assert_eq!(
        (&sides[1].action, sides[1].side),
        (&Action::CutApart, Some(Side::Left))
    );
    // 12 mm over four edges.
    assert!(
        matches!(sides[1].share, Some(Share::Edges { edges: 4, each, .. }) if (each.mm() - 3.0).abs() < 1e-9)
    );
    let arm = plan
        .findings
        .iter()
        .find(|remark| remark.topic == "upper arm girth")
        .unwrap();
    assert_eq!(arm.weight, Weight::Look);
    assert!(
        !plan
            .findings
            .iter()
            .any(|remark| remark.topic == "side neck to bust point")
    );
}

#[test]
fn a_plan_survives_its_document() {
    let plan = plan(&high_waist(33.0), &sheet(DRESS));
    let json = serde_json::to_string(&plan).unwrap();
    assert!(json.contains("\"amount_mm\":"));
    let back: CuttingPlan = serde_json::from_str(&json).unwrap();
    assert_eq!(back.say(Shown::Centimetres), plan.say(Shown::Centimetres));
    assert_eq!(back.steps.len(), plan.steps.len());
}

#[test]
fn needs_are_in_catalogue_order_and_named_once() {
    let needs = LevelFit::default().needs(&sheet(DRESS));
    let keys: Vec<_> = needs.iter().map(ToString::to_string).collect();
    assert_eq!(
        keys,
        [
            "bust height",
            "narrowest waist height",
            "hip height",
            "bust girth",
            "left side neck to bust point",
            "right side neck to bust point",
        ]
    );
}

/// The sheet handed to people must be one that is read.
#[test]
fn the_sheet_to_fill_in_is_read_and_planned() {
    let text = include_str!("../data/garment.toml");
    let garment = read_garment("garment.toml", text).unwrap();
    assert_eq!(garment.sizes.len(), 6);
    let profile = body(
        3.0,
        &[
            (Key::BustGirth, 925.0),
            (Key::WaistNarrowestGirth, 760.0),
            (Key::HipGirth, 1010.0),
            (Key::NeckToBustLength, 272.0),
            (Key::BustHeight, 1190.0),
            (Key::WaistNarrowestHeight, 1038.0),
            (Key::HipHeight, 848.0),
            (Key::BackWaistLength, 392.0),
        ],
    );
    let plan = plan(&profile, &garment);
    assert!(plan.withheld.is_empty(), "{:?}", plan.withheld);
    let fold = step_of(
        &plan,
        Stage::Balance,
        &Site::Between(Line::Bust, Line::Waist),
    )
    .unwrap();
    assert_eq!(fold.action, Action::FoldOut);
    println!("{}", plan.say(Shown::InchEighths));
}

fn full_sheet() -> Garment {
    read_garment("garment.toml", include_str!("../data/garment.toml")).unwrap()
}

/// Any body a tape could meet, in the order of [`named`].
fn any_body() -> impl Strategy<Value = [f64; 8]> {
    [
        700.0..1300.0,
        550.0..1200.0,
        750.0..1400.0,
        200.0..380.0,
        1000.0..1350.0,
        120.0..260.0,
        120.0..260.0,
        330.0..480.0,
    ]
}

fn named([bust, waist, hip, neck, height, to_waist, to_hip, back]: [f64; 8]) -> Profile {
    body(
        0.0,
        &[
            (Key::BustGirth, bust),
            (Key::WaistNarrowestGirth, waist),
            (Key::HipGirth, hip),
            (Key::NeckToBustLength, neck),
            (Key::BustHeight, height),
            (Key::WaistNarrowestHeight, height - to_waist),
            (Key::HipHeight, height - to_waist - to_hip),
            (Key::BackWaistLength, back),
        ],
    )
}

proptest! {
    /// Carried out, the plan gives every level the ease wanted, but for what is too little to
    /// cut, and brings every line and the hem within its tolerance.
    #[test]
    fn the_plan_does_what_it_is_for(measures in any_body()) {
        let plan = plan(&named(measures), &full_sheet());
        for row in &plan.after.levels {
            let off = (row.ease.unwrap() - row.wanted.unwrap()).abs().mm();
            prop_assert!(off < 4.0 * 3.0, "{row:?}");
            let widened = step_of(&plan, Stage::Width, &Site::Level(row.level)).is_some();
            prop_assert!(!widened || off < 1e-6, "{row:?}");
        }
        for row in plan.after.lines.iter().filter(|row| row.from != Line::Shoulder) {
            let most = if row.to == Line::Waist { 6.35 } else { 12.7 };
            prop_assert!(row.low.unwrap().abs().mm() <= most + 1e-6, "{row:?}");
        }
        let hem = plan.after.hem_above_floor.unwrap();
        prop_assert!((hem.mm() - 17.0 * 25.4).abs() <= 6.35 + 1e-6, "{hem}");
    }

    /// Every total written into a sum is the total of the terms before it, and each step's amount
    /// is the size of its sum.
    #[test]
    fn sums_add_up(measures in any_body()) {
        use girthwise::fit::Sign;
        for step in plan(&named(measures), &full_sheet()).steps {
            let mut total = 0.0;
            for term in step.sum.terms() {
                match term.sign {
                    Sign::Plus => total += term.value.mm(),
                    Sign::Minus | Sign::Against => total -= term.value.mm(),
                    Sign::Makes | Sign::Leaves => {
                        prop_assert!((term.value.mm() - total).abs() < 1e-6);
                    }
                }
            }
            if let Some(amount) = step.amount {
                prop_assert!((amount.mm() - total.abs()).abs() < 1e-6, "{step:?}");
            }
        }
    }

    /// A body 1 mm larger at the hip needs 1 mm more there, in the same size or in the next.
    #[test]
    fn a_larger_hip_needs_as_much_more(measures in any_body(), more in 0.0..40.0_f64) {
        let mut larger = measures;
        larger[2] += more;
        let garment = full_sheet();
        let needed = |measures: [f64; 8]| -> f64 {
            let plan = plan(&named(measures), &garment);
            let hip = plan.sizes.iter().find(|choice| choice.level == Level::Hip).unwrap();
            let size = garment.sizes.iter().position(|name| *name == hip.size).unwrap();
            let chosen = hip.candidates.iter().find(|one| one.size == hip.size).unwrap();
            (garment.finished_girth(Level::Hip, size).unwrap() + chosen.to_add).mm()
        };
        let off: f64 = needed(larger) - needed(measures) - more;
        prop_assert!(off.abs() < 1e-9, "{off}");
    }

    /// A body raised as a whole keeps every step but the hem's.
    #[test]
    fn raising_the_body_moves_the_hem_alone(measures in any_body(), up in 0.0..200.0) {
        let mut raised = measures;
        raised[4] += up;
        let above = |measures| {
            let mut steps = plan(&named(measures), &full_sheet()).steps;
            steps.retain(|step| step.stage != Stage::Hem);
            steps
        };
        let (a, b) = (above(measures), above(raised));
        prop_assert_eq!(a.len(), b.len());
        for (one, other) in a.iter().zip(&b) {
            prop_assert_eq!(&one.action, &other.action);
            if let (Some(one), Some(other)) = (one.amount, other.amount) {
                prop_assert!((one - other).abs().mm() < 1e-6);
            }
        }
    }

    /// Whatever a document or a program hands over, the planner answers without a panic.
    #[test]
    fn any_numbers_are_planned_or_withheld(
        measures in prop::array::uniform8(prop_oneof![prop::num::f64::ANY, 0.0..2000.0]),
        table in prop::collection::vec(prop_oneof![prop::num::f64::ANY, 0.0..2000.0], 0..4),
        seams in any::<u32>(),
    ) {
        let mut garment = full_sheet();
        garment.finished.bust = Some(table.iter().copied().map(Length::from_mm).collect());
        garment.body.hip = garment.finished.bust.clone();
        garment.upper_chest = garment.finished.bust.clone();
        garment.seams.waist = seams;
        let mut profile = named(measures);
        profile.asymmetry = vec![SideDifference {
            key: Key::HipHalfGirth,
            left: measures[0],
            right: measures[1],
            difference: measures[0] - measures[1],
            sd: measures[2],
            beyond_uncertainty: true,
        }];
        let sound = table.iter().all(|value| value.abs() <= 10_000.0);
        match LevelFit::default().plan(&profile, &garment) {
            Ok(plan) => {
                prop_assert!(sound);
                let amounts = plan.steps.iter().filter_map(|step| step.amount);
                for amount in amounts {
                    prop_assert!(amount.mm().is_finite() && amount >= Length::ZERO, "{amount}");
                }
            }
            Err(error) => {
                prop_assert!(!sound);
                prop_assert!(error.to_string().contains("none may be over 10 m"), "{error}");
            }
        }
    }

    /// No text makes the reader panic, and what it refuses it refuses with a fault.
    #[test]
    fn any_text_is_read_or_refused(text in "(name|unit|sizes|hem|\\[lines\\]|=|\"|1|,|\\[|\\]|\\{|\\}|\n| |é){0,40}") {
        if let Err(error) = read_garment("any.toml", &text) {
            prop_assert!(error.is_input());
        }
    }
}
