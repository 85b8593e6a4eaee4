//! What must hold for any body, and for anything else.

use crate::trial::{body, full_sheet, plan, step_of};
use girthwise::Length;
use girthwise::fit::{FitRoutine, Level, LevelFit, Line, Seams, Sign, Site, Stage, read_garment};
use girthwise::measure::Key;
use girthwise::measure::asymmetry::SideDifference;
use girthwise::profile::Profile;
use proptest::prelude::*;

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
        garment.seams.waist = Seams::counted(seams);
        let mut profile = named(measures);
        profile.asymmetry = vec![SideDifference {
            key: Key::HipHalfGirth,
            left: measures[0],
            right: measures[1],
            difference: measures[0] - measures[1],
            sd: measures[2],
            beyond_uncertainty: true,
            grade: girthwise::measure::asymmetry::Grade::Usual,
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
