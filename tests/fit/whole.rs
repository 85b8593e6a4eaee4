//! Left against right, the plan as a document, and the sheet handed to people.

use crate::trial::{
    DRESS, amount, body, close, full_sheet, high_waist, inches, plan, sheet, step_of,
};
use girthwise::fit::{Action, CuttingPlan, FitRoutine, LevelFit, Line, Share, Site, Stage};
use girthwise::length::text::Shown;
use girthwise::measure::Key;
use girthwise::measure::asymmetry::SideDifference;
use girthwise::{Side, Weight};

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
        grade: girthwise::measure::asymmetry::Grade::Usual,
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
            "upper chest girth",
            "bust girth",
            "left side neck to bust point",
            "right side neck to bust point",
        ]
    );
}

/// The sheet handed to people must be one that is read.
///
/// Size 12: bust line 10 7/8 in below the neck, 4.2 mm under the body's 272 mm; then 5 7/8 in
/// (149.2 mm) to the waist line, where the body has 1190 − 1062 = 128 mm: 25.4 mm too long.
#[test]
fn the_sheet_to_fill_in_is_read_and_planned() {
    let garment = full_sheet();
    assert_eq!(garment.sizes.len(), 6);
    let profile = body(
        3.0,
        &[
            (Key::BustGirth, 925.0),
            (Key::WaistNarrowestGirth, 760.0),
            (Key::HipGirth, 1010.0),
            (Key::NeckToBustLength, 272.0),
            (Key::BustHeight, 1190.0),
            (Key::WaistNarrowestHeight, 1062.0),
            (Key::HipHeight, 865.0),
            (Key::BackWaistLength, 366.0),
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
    let said = plan.say(Shown::InchEighths);
    assert!(
        said.contains("Fold out 1 in between bust line and waist line"),
        "{said}"
    );
}
