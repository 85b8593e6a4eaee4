//! Size, grade and width.

use crate::trial::{amount, body, close, inches, plan, sheet, step_of};
use girthwise::fit::{
    Action, Basis, Confidence, CuttingPlan, FitRoutine, Level, LevelFit, Line, Remark, Share, Site,
    Stage, UpperChest,
};
use girthwise::length::text::Shown;
use girthwise::measure::Key;
use girthwise::{Length, Weight};

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

/// The profile's own upper chest decides as one handed over does; a chart without one is looked up
/// among its busts, to be checked.
#[test]
fn the_upper_chest_of_the_profile_decides() {
    let measures = [(Key::BustGirth, 39.0), (Key::UpperChestGirth, 35.875)];
    let profile = body(1.0, &inches(&measures));
    let of = |text: &str| {
        let plan = plan(&profile, &sheet(text));
        let step = step_of(&plan, Stage::Size, &Site::Level(Level::Bust)).unwrap();
        (
            plan.sizes[0].basis,
            plan.sizes[0].size.clone(),
            step.confidence,
        )
    };
    // 1.96 in of 1 mm each lie well within half a size of 0.875 in.
    let by = |size: &str, sure| (Basis::UpperChest, size.to_owned(), sure);
    assert_eq!(of(MISSES), by("8", Confidence::DoIt));
    // 35.875 in among the busts 35.25, 36.25: the second is nearer.
    let without = MISSES.replace("upper_chest = [35, 35.875, 36.75, 38, 39.25]", "");
    assert_eq!(of(&without), by("8", Confidence::CheckFirst));
}

/// Under 2 in of difference the bust decides, whatever the upper chest.
#[test]
fn a_bust_within_the_rule_goes_by_the_bust() {
    let routine = LevelFit {
        upper_chest: Some(UpperChest {
            girth: Length::from_inch(36.75),
            sd: Length::from_mm(2.0),
        }),
        ..LevelFit::default()
    };
    let choice = |bust: f64| {
        let profile = body(1.0, &inches(&[(Key::BustGirth, bust)]));
        let plan = routine.plan(&profile, &sheet(MISSES)).unwrap();
        let step = step_of(&plan, Stage::Size, &Site::Level(Level::Bust)).unwrap();
        (
            plan.sizes[0].size.clone(),
            plan.sizes[0].basis,
            step.confidence,
        )
    };
    let by = |size: &str, basis, sure| (size.to_owned(), basis, sure);
    assert_eq!(choice(38.5), by("12", Basis::Chart, Confidence::DoIt));
    // Exactly 2 in: the rule takes hold, but a millimetre of tape would turn it.
    assert_eq!(
        choice(38.75),
        by("10", Basis::UpperChest, Confidence::CheckFirst)
    );
    assert_eq!(choice(39.5), by("10", Basis::UpperChest, Confidence::DoIt));
}

/// 31 in lies 0.375 in = 9.5 mm from the middle of sizes 10 and 12: sure at 1.96·4 mm, not at
/// 1.96·6 mm.
#[test]
fn a_body_near_the_middle_of_two_sizes_is_told() {
    let confidence = |sd: f64| {
        let profile = body(sd, &inches(&[(Key::WaistNarrowestGirth, 31.0)]));
        let plan = plan(&profile, &sheet(MISSES));
        let step = step_of(&plan, Stage::Size, &Site::Level(Level::Waist)).unwrap();
        (
            step.confidence,
            step.advice
                .say(Shown::Centimetres)
                .contains("either may be"),
        )
    };
    assert_eq!(confidence(4.0), (Confidence::DoIt, false));
    assert_eq!(confidence(6.0), (Confidence::CheckFirst, true));
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

#[test]
fn a_body_outside_the_chart_is_told() {
    let profile = body(
        1.0,
        &inches(&[(Key::BustGirth, 44.0), (Key::WaistNarrowestGirth, 30.0)]),
    );
    let plan = plan(&profile, &sheet(MISSES));
    assert_eq!(plan.sizes[0].size, "14");
    assert!(plan.sizes[0].between.is_none());
    // 44 − 40.375 over the last grade step of 40.375 − 38.75.
    let beyond = plan.sizes[0].beyond.as_ref().unwrap();
    assert!(beyond.larger);
    close(beyond.steps.unwrap(), 3.625 / 1.625);
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
        let grade = |remark: &Remark| remark.topic.starts_with("grade");
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
