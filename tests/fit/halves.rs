//! Front and back apart.

use crate::trial::{amount, body, close, plan, sheet, step_of};
use girthwise::fit::{Action, CuttingPlan, Share, Site, Stage, Step};
use girthwise::measure::Key;

const SKIRT: &str = r#"
name = "Trial skirt"
unit = "mm"
sizes = ["one"]
waist_line = "seam"
[front]
waist = [390]
hip = [530]
[back]
waist = [370]
hip = [530]
[ease]
waist = 20
hip = 60
[seams]
waist = 2
hip = 2
"#;

fn apart(plan: &CuttingPlan, level: &str) -> Option<Step> {
    let site = Site::Part(format!("{level}, front and back"));
    step_of(plan, Stage::Width, &site)
}

fn with_arcs(waist: [f64; 2], hip: [f64; 2]) -> CuttingPlan {
    let wearer = body(
        1.0,
        &[
            (Key::WaistNarrowestGirth, waist[0] + waist[1]),
            (Key::WaistNarrowestFrontArc, waist[0]),
            (Key::WaistNarrowestBackArc, waist[1]),
            (Key::HipGirth, hip[0] + hip[1]),
            (Key::HipFrontArc, hip[0]),
            (Key::HipBackArc, hip[1]),
        ],
    );
    plan(&wearer, &sheet(SKIRT))
}

/// A waist of 420 in front and 340 behind: 760 and 20 of ease against 390 + 370 are 20 to add, 10
/// of them in front; 420 + 10 − 390 − 10 leaves 30 short in front, 15 at each side seam. The hip's
/// 500 and 500 want nothing.
#[test]
fn a_belly_takes_from_the_back_and_the_girth_stays() {
    let plan = with_arcs([420.0, 340.0], [500.0, 500.0]);
    let waist = apart(&plan, "waist").unwrap();
    assert_eq!(waist.action, Action::ToFront);
    close(amount(&waist), 30.0);
    assert!(
        matches!(waist.share, Some(Share::Edges { edges: 2, each, .. }) if (each.mm() - 15.0).abs() < 1e-9)
    );
    assert!(apart(&plan, "hip").is_none());
    // The whole girth is as if nothing had been moved.
    close(plan.after.levels[0].ease.unwrap().mm(), 20.0);
}

/// A seat of 530 behind and 470 in front: 470 + 30 − 530 is 30 to spare in front.
#[test]
fn a_seat_takes_from_the_front() {
    let plan = with_arcs([390.0, 370.0], [470.0, 530.0]);
    let hip = apart(&plan, "hip").unwrap();
    assert_eq!(hip.action, Action::ToBack);
    close(amount(&hip), 30.0);
}

/// 12 mm is less than the ½ in (12.7 mm) within which the side line itself is laid.
#[test]
fn what_the_side_line_explains_is_left() {
    let plan = with_arcs([390.0, 370.0], [512.0, 488.0]);
    assert!(apart(&plan, "hip").is_none());
}
