//! Length between the lines, and the hem.

use crate::trial::{DRESS, amount, body, close, high_waist, inches, plan, sheet, step_of};
use girthwise::Length;
use girthwise::fit::{Action, Confidence, Line, Remark, Share, Site, Stage};
use girthwise::length::text::Shown;
use girthwise::measure::{Cause, Key, Spread};

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
    let alone = step_of(&plan, Stage::Back, &Site::Part("back piece alone".into())).unwrap();
    assert_eq!(alone.action, Action::LetIn);
    assert!((amount(&alone) - 30.0).abs() < 1e-4, "{alone:?}");
    let said = alone.say(Shown::Centimetres);
    assert!(said.contains("3.0 cm still too short"), "{said}");
    assert!(said.contains("rounded upper back"), "{said}");
    let back = plan.after.lines.last().unwrap();
    close(back.low.unwrap().mm(), 0.0);
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
    let assumed = |remark: &Remark| remark.topic == "balance";
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
    // The fold sets the waist line, so what follows hangs on waist and hip height alone.
    let mut lower_hip = high_waist(32.0);
    for entry in &mut lower_hip.measures {
        entry.measure.spread = Spread::of([(Cause::Level, 12.0)]);
    }
    let below = Site::Between(Line::Waist, Line::Hip);
    let sum = crate::trial::plan(&lower_hip, &sheet(DRESS));
    let back = step_of(&sum, Stage::Balance, &below).unwrap();
    close(back.sd.mm(), 12.0 * 2.0_f64.sqrt());
    assert!(
        plan.say(Shown::Centimetres)
            .contains("Check on the body first (uncertain by 1.9 cm)")
    );
}
