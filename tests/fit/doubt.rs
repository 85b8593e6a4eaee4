//! A body measure that scan and tape disagree about: the plan goes on, but not silently.

use crate::trial::{body, full_sheet, plan};
use girthwise::finding::Weight;
use girthwise::fit::{Confidence, Level, Site, Stage};
use girthwise::length::text::Shown;
use girthwise::measure::{Key, MeasureId};
use girthwise::profile::{Input, Profile};

const BODY: [(Key, f64); 3] = [
    (Key::BustGirth, 930.0),
    (Key::WaistNarrowestGirth, 760.0),
    (Key::HipGirth, 1000.0),
];

/// The body with a tape that says `tape` mm at a measure, and disagrees.
fn doubted(key: Key, tape: f64) -> Profile {
    let mut profile = body(1.0, &BODY);
    let of_key = |entry: &&mut girthwise::profile::Entry| entry.measure.id == MeasureId::from(key);
    let entry = profile.measures.iter_mut().find(of_key).unwrap();
    let input = |value| Input {
        value,
        sd: 1.0,
        pinned: false,
    };
    entry.scan = Some(input(entry.measure.value));
    entry.tape = Some(input(tape));
    entry.undecided = true;
    profile
}

/// Scan or tape is right, nobody knows which: as likely one as the other, a value that may be off by
/// d or not at all has a standard deviation of d/2 about its middle (any textbook). By hand: √(1² + 30²).
#[test]
fn a_step_carries_what_is_undecided() {
    let garment = full_sheet();
    let sure = plan(&body(1.0, &BODY), &garment);
    let unsure = plan(&doubted(Key::WaistNarrowestGirth, 820.0), &garment);
    assert_eq!(sure.steps.len(), unsure.steps.len());
    let at = |level| Site::Level(level);
    for (before, after) in sure.steps.iter().zip(&unsure.steps) {
        assert_eq!(
            (before.stage, &before.at, before.amount),
            (after.stage, &after.at, after.amount)
        );
        if before.at != at(Level::Waist) && before.stage != Stage::Grade {
            assert_eq!(before.sd, after.sd, "{after:?}");
            assert_eq!(before.confidence, after.confidence, "{after:?}");
        }
    }
    let waist = |stage| {
        let mut steps = unsure.steps.iter();
        steps.find(|step| step.at == at(Level::Waist) && step.stage == stage)
    };
    let size = waist(Stage::Size).unwrap();
    assert!((size.sd.mm() - 901.0_f64.sqrt()).abs() < 1e-9, "{size:?}");
    assert_eq!(size.confidence, Confidence::CheckFirst);

    let first = &unsure.findings[0];
    assert_eq!(
        (first.weight, first.topic.as_str()),
        (Weight::Act, "narrowest waist girth")
    );
    let said = first.text.say(Shown::Centimetres);
    assert_eq!(
        said,
        "it is undecided: the scan says 76.0 cm, the tape 82.0 cm. Measure it again before you cut; the steps below go by 76.0 cm."
    );
}

/// What no step of this garment reads is not told.
#[test]
fn what_is_not_used_is_not_told() {
    let mut profile = doubted(Key::HipGirth, 1050.0);
    profile.measures.push({
        let mut neck = body(1.0, &[(Key::NeckGirth, 330.0)]).measures.remove(0);
        neck.undecided = true;
        neck
    });
    let plan = plan(&profile, &full_sheet());
    let told = plan
        .findings
        .iter()
        .filter(|told| told.weight == Weight::Act);
    let topics: Vec<&str> = told.map(|told| told.topic.as_str()).collect();
    assert!(
        topics.contains(&"hip girth") && !topics.contains(&"neck girth"),
        "{topics:?}"
    );
}
