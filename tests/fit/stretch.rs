//! Garments smaller than their wearers: what the cloth permits.

use crate::trial::{body, close, plan, sheet};
use girthwise::Weight;
use girthwise::fit::{CuttingPlan, FitRoutine, Garment, Level, LevelFit, Remark};
use girthwise::length::text::Shown;
use girthwise::measure::Key;
use proptest::prelude::*;

/// A knitted body of one size; `rest` goes between the sizes and the tables.
fn knit(rest: &str, bust_ease: f64, biceps_ease: f64) -> Garment {
    sheet(&format!(
        r#"
        name = "Trial knit"
        unit = "mm"
        sizes = ["one"]
        waist_line = "none"
        {rest}
        [finished]
        bust = [820]
        [ease]
        bust = {bust_ease}
        biceps = {biceps_ease}
        [seams]
        bust = 2
        [sleeve]
        biceps = 260
        "#
    ))
}

fn worn(garment: &Garment, sd: f64) -> CuttingPlan {
    let wearer = body(sd, &[(Key::BustGirth, 1000.0), (Key::UpperArmGirth, 300.0)]);
    plan(&wearer, garment)
}

fn told<'p>(plan: &'p CuttingPlan, topic: &str) -> Option<&'p Remark> {
    plan.findings.iter().find(|remark| remark.topic == topic)
}

/// 1000 on a cloth of 25 %: 1000/1.25 = 800, an ease of −200 and no less. An arm of 300: 240, −60.
#[test]
fn a_cloth_reaches_as_far_as_it_stretches() {
    let fits = worn(&knit("stretch = 25", -200.0, -60.0), 0.5);
    close(fits.after.levels[0].garment.mm(), 800.0);
    for topic in ["bust stretch", "upper sleeve, stretch"] {
        let remark = told(&fits, topic).unwrap();
        assert_eq!(remark.weight, Weight::Note);
        let text = remark.text.say(Shown::Centimetres);
        assert!(
            text.ends_with("takes 25 % of the 25 % that the cloth stretches."),
            "{text}"
        );
    }
    let tight = worn(&knit("stretch = 25", -210.0, -80.0), 0.5);
    let bust = told(&tight, "bust stretch").unwrap();
    assert_eq!(bust.weight, Weight::Act);
    // 790·1.25 = 987.5, shown as 98.8.
    assert_eq!(
        bust.text.say(Shown::Centimetres),
        "the finished garment is 21.0 cm smaller than the body, and the cloth, which stretches 25 %, reaches only 98.8 cm of the body's 100.0 cm: make it at least 80.0 cm, an ease of no less than -20.0 cm, or take a cloth that stretches further."
    );
    assert_eq!(
        told(&tight, "upper sleeve, stretch").unwrap().weight,
        Weight::Act
    );
    // Only 12.5 mm too far: within 1.96 times 8 mm of doubt the body is looked at first.
    let doubtful = worn(&knit("stretch = 25", -210.0, -60.0), 8.0);
    assert_eq!(
        told(&doubtful, "bust stretch").unwrap().weight,
        Weight::Look
    );
}

/// 1000/820 − 1 = 21.95 %: rounded up, as less does not go on.
#[test]
fn a_cloth_whose_stretch_is_not_told_is_asked_for() {
    let plan = worn(&knit("", -180.0, -10.0), 1.0);
    let remark = told(&plan, "bust stretch").unwrap();
    assert_eq!(remark.weight, Weight::Look);
    let text = remark.text.say(Shown::Centimetres);
    assert!(text.contains("stretches by 22 % at least"), "{text}");
}

#[test]
fn a_garment_with_room_needs_no_stretch() {
    for rest in ["", "stretch = 0", "stretch = 40"] {
        let plan = worn(&knit(rest, 0.0, 20.0), 1.0);
        assert!(
            plan.findings
                .iter()
                .all(|remark| !remark.topic.contains("stretch")),
            "{plan:?}"
        );
    }
}

#[test]
fn a_stretch_that_is_no_number_is_refused() {
    for wrong in [f64::NAN, f64::INFINITY, -1.0] {
        let mut garment = knit("stretch = 25", -100.0, 0.0);
        garment.stretch = Some(wrong);
        let profile = body(1.0, &[(Key::BustGirth, 1000.0)]);
        let error = LevelFit::default().plan(&profile, &garment).unwrap_err();
        assert!(error.to_string().contains("cannot stretch"), "{error}");
    }
}

proptest! {
    /// What the finished garment reaches at full stretch is compared with the body: told as too far
    /// exactly where it does not reach.
    #[test]
    fn too_far_is_told_where_it_is(
        bust in 700.0..1400.0_f64,
        ease in -400.0..50.0_f64,
        stretch in 0..100_u32,
    ) {
        let garment = knit(&format!("stretch = {stretch}"), ease, 0.0);
        let plan = plan(&body(0.0, &[(Key::BustGirth, bust), (Key::UpperArmGirth, 260.0)]), &garment);
        let row = plan.after.levels.iter().find(|row| row.level == Level::Bust).unwrap();
        let reaches = row.garment.mm() * (1.0 + f64::from(stretch) / 100.0);
        let weight = told(&plan, "bust stretch").map(|remark| remark.weight);
        let wanted = if reaches < bust - 1e-5 {
            Some(Weight::Act)
        } else if row.garment.mm() < bust - 1e-5 {
            Some(Weight::Note)
        } else {
            None
        };
        prop_assert_eq!(weight, wanted, "{} reaches {}", row.garment, reaches);
    }
}
