//! Tape sheets end to end: every fault told, planted slips named.

use girthwise::crosscheck::{CrossCheck, Shift, Verdict, Why, cross_check};
use girthwise::length::text::Shown;
use girthwise::measure::curve::CurvePart;
use girthwise::measure::{
    Cause, GirthCurve, Key, Measure, MeasureId, MeasureSet, Outcome, Source, Spread, Unit, Withheld,
};
use girthwise::profile::Profile;
use girthwise::tape::{TapeSet, pool, read_tape};
use girthwise::{ErrorKind, Length, LengthUnit, Side};
use proptest::prelude::*;

const SLOPE: f64 = 1.3;

/// Invented body. The trunk from the hip (860 mm high, girth 1010 mm) to the
/// narrowest waist (1060 mm high, 750 mm) and above is a double frustum of
/// slope 1.3, so that girth at a height is known in closed form; each leg is
/// a frustum of slope 0.6.
fn body() -> MeasureSet {
    let trunk: Vec<f64> = (0..=150).map(|i| 800.0 + 3.0 * f64::from(i)).collect();
    let girth = |h: &f64| 750.0 + SLOPE * (h - 1060.0).abs();
    let taut_mm: Vec<f64> = trunk.iter().map(girth).collect();
    let leg: Vec<f64> = (0..=120).map(|i| 100.0 + 5.0 * f64::from(i)).collect();
    let leg_girth: Vec<f64> = leg.iter().map(|h| 200.0 + 0.6 * (h - 100.0)).collect();
    let curve = |part, heights_mm: &[f64], taut_mm: &[f64]| GirthCurve {
        part,
        heights_mm: heights_mm.to_vec(),
        taut_mm: taut_mm.to_vec(),
        surface_mm: taut_mm.to_vec(),
    };
    let value = |key: Key, side: Option<Side>, value: f64, level: Option<f64>| {
        Outcome::Value(Measure {
            id: MeasureId::new(key, side),
            value,
            unit: Unit::Mm,
            spread: Spread::of([(Cause::Level, 4.0), (Cause::Noise, 1.0)]),
            source: Source::Scan,
            level_mm: level.map(Length::from_mm),
        })
    };
    MeasureSet {
        outcomes: vec![
            value(Key::Stature, None, 1680.0, None),
            value(Key::KneeHeight, Some(Side::Left), 460.0, None),
            value(Key::BustGirth, None, 945.0, Some(1210.0)),
            value(Key::UnderBustGirth, None, 841.0, Some(1130.0)),
            value(Key::WaistNarrowestGirth, None, 750.0, Some(1060.0)),
            value(Key::HighHipGirth, None, 880.0, Some(960.0)),
            value(Key::HipGirth, None, 1010.0, Some(860.0)),
            Outcome::Withheld(Withheld {
                id: Key::NeckGirth.into(),
                reason: "The neck is missing from the scan.".into(),
            }),
            value(Key::KneeGirth, Some(Side::Left), 416.0, Some(460.0)),
            value(Key::KneeGirth, Some(Side::Right), 360.0, Some(460.0)),
        ],
        curves: vec![
            curve(CurvePart::Trunk, &trunk, &taut_mm),
            curve(CurvePart::Leg(Side::Left), &leg, &leg_girth),
        ],
        ..MeasureSet::default()
    }
}

fn tape(rows: &str) -> TapeSet {
    let sheet = format!("measure;reading;side\n{rows}");
    pool(&read_tape(sheet.as_bytes(), "tape.csv", LengthUnit::Centimetre).expect("a sound sheet"))
}

fn checked(rows: &str) -> CrossCheck {
    cross_check(&body(), &tape(rows))
}

#[test]
fn every_wrong_cell_is_told_with_its_place_and_a_remedy() {
    let sheet = "\
measure,reading,side,repeat,note
bust_grith,98.2,,,
bust_girth,38 9/8 in,,,
knee girth,36,,,
hip girth,101,left,,
left knee girth,36,right,,
knee girth,36,middle,zero,
bust girth along the skin,98,,,
hip girth,101,,1,
hip girth,102,,1,
hip girth,\"1,234 mm\",,,
hip girth,98,2,,,
";
    let error = read_tape(sheet.as_bytes(), "tape.csv", LengthUnit::Centimetre).unwrap_err();
    let ErrorKind::Sheet { faults, .. } = error.kind() else {
        panic!("{error}");
    };
    let expected = [
        (
            "row 1 (line 2), column \"measure\"",
            "did you mean \"bust_girth\"?",
        ),
        ("row 2 (line 3), column \"reading\"", "39.125"),
        ("row 3 (line 4), column \"side\"", "left or right"),
        ("row 4 (line 5), column \"side\"", "leave the side empty"),
        ("row 5 (line 6), column \"side\"", "same side"),
        ("row 6 (line 7), column \"side\"", "wearer's own"),
        ("row 6 (line 7), column \"repeat\"", "1 to 99"),
        ("row 7 (line 8), column \"measure\"", "take the row out"),
        ("row 9 (line 10), column \"repeat\"", "row 8"),
        ("row 10 (line 11), column \"reading\"", "1234 mm"),
        ("line 12", "semicolons"),
    ];
    let told: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), expected.len(), "{told:#?}");
    for (fault, (place, remedy)) in told.iter().zip(expected) {
        assert!(fault.contains(place) && fault.contains(remedy), "{fault}");
    }
}

#[test]
fn an_honest_sheet_agrees_and_is_merged_between_both() {
    let tape = tape("bust girth;94,0;\nhip;102;\nwaist;74,5;\nleft knee girth;41,3;\n");
    let cross = cross_check(&body(), &tape);
    assert_eq!(cross.checks.len(), 4);
    for check in &cross.checks {
        assert_eq!(check.verdict, Verdict::Agrees, "{check:?}");
        assert!(check.reasons.is_empty());
        assert!(check.say(Shown::Centimetres).contains("agrees"));
    }
    assert_eq!(cross.common, None);
    let profile = Profile::assemble(&body(), &tape);
    let hip = profile.get(Key::HipGirth).unwrap();
    assert_eq!(hip.source, Source::Merged);
    assert!(hip.value > 1010.0 && hip.value < 1020.0);
    assert!(hip.spread.sd < 17.0_f64.sqrt());
}

/// Closed form: 930 mm stands 180/1.3 mm over or under the waist; the hip's
/// own level is 860, so it is read at 1060 − 180/1.3 = 921.5 mm.
#[test]
fn a_hip_taken_too_high_is_placed_on_the_curve() {
    let cross = checked("hip girth;93,0;\n");
    let check = cross.get(Key::HipGirth).unwrap();
    assert_eq!(check.verdict, Verdict::MeasureAgain);
    let at = check.tape_height_mm.unwrap().mm();
    assert!((at - (1060.0 - 180.0 / SLOPE)).abs() < 1e-6, "{at}");
    let level = check
        .reasons
        .iter()
        .find(|reason| matches!(reason.why, Why::OtherLevel { .. }))
        .unwrap();
    assert!(
        level
            .say(Shown::Centimetres)
            .contains("6.2 cm higher, at 92.2 cm above")
    );
    assert!(
        level
            .say(Shown::InchEighths)
            .contains("2 3/8 in higher, at 36 1/4 in above")
    );
    let near = checked("hip girth;95,5;\n");
    let first = &near.get(Key::HipGirth).unwrap().reasons[0];
    assert!(matches!(first.why, Why::OtherLevel { .. }), "{first:?}");
}

/// Closed form: 850 mm stands 100/1.3 = 76.9 mm under and over the narrowest waist. The scan shows no navel;
/// the lower of the two, 983.1 mm, lies where people of 1680 mm have it (0.547 to 0.656 of the stature,
/// ANSUR II: 919 to 1102 mm), the upper, 1136.9 mm, above. One slip: no other level beside it.
#[test]
fn a_waist_that_the_scan_withholds_is_told_by_its_window() {
    let cross = checked("waist;85,0;\n");
    let reasons = &cross.get(Key::WaistNarrowestGirth).unwrap().reasons;
    let Why::OtherWaist {
        fits,
        at_mm: Some(at),
        within_mm: Some([low, high]),
        or_at_mm: Some(or_at),
        ..
    } = &reasons[0].why
    else {
        panic!("{reasons:?}");
    };
    assert_eq!(*fits, Key::NavelGirth);
    assert!((at.mm() - (1060.0 - 100.0 / SLOPE)).abs() < 1e-6, "{at:?}");
    assert!((or_at.mm() - (1060.0 + 100.0 / SLOPE)).abs() < 1e-6);
    assert!((low.mm() - 0.547 * 1680.0).abs() < 1e-6 && (high.mm() - 0.656 * 1680.0).abs() < 1e-6);
    let is_level = |why: &Why| matches!(why, Why::OtherLevel { .. });
    assert!(!reasons.iter().any(|reason| is_level(&reason.why)));
    let said = reasons[0].say(Shown::Centimetres);
    assert!(
        said.contains("navel") && said.contains("98.3 cm above the floor"),
        "{said}"
    );
    assert!(
        said.contains("looked for between 91.9 cm and 110.2 cm"),
        "{said}"
    );
    // Without a stature there is no window.
    let mut scan = body();
    scan.outcomes.remove(0);
    let cross = cross_check(&scan, &tape("waist;85,0;\n"));
    let reasons = &cross.get(Key::WaistNarrowestGirth).unwrap().reasons;
    assert!(is_level(&reasons[0].why), "{reasons:?}");
}

/// Exchanged, each knee keeps an ordinary error of its own: 2.4 and 1.2 spreads together are less than 3.
#[test]
fn an_exchange_is_judged_by_both_sides() {
    let cross = checked("knee girth;37,8;left\nknee girth;42,3;right\n");
    for side in Side::BOTH {
        let check = cross.get(MeasureId::new(Key::KneeGirth, side)).unwrap();
        let exchanged = Why::OtherSide {
            reads: side.other(),
        };
        assert_eq!(check.reasons[0].why, exchanged, "{check:?}");
    }
}

/// The figures of repeats by hand: 101 and 102 cm differ by 10 mm, TEM = 10/√2 = 7.07 mm, 0.70 % of 1015 mm;
/// between people 75.9 mm (ANSUR II, hip girth of women): R = 1 − 50/5761 = 0.9913.
#[test]
fn repeats_are_told_in_words() {
    let sheet = tape("hip girth;101;\nhip girth;102;\nbust girth;94;\n");
    let profile = Profile::assemble(&body(), &sheet);
    let text = girthwise::report::crosscheck_text(&profile, Shown::Centimetres);
    let row = text
        .lines()
        .find(|line| line.trim_start().starts_with("hip girth "))
        .unwrap_or_else(|| panic!("{text}"));
    let cells: Vec<&str> = row.split_whitespace().collect();
    assert_eq!(cells, ["hip", "girth", "2", "0.7", "cm", "0.70", "0.991"]);
    assert!(text.contains("All girths together: 0.70 %"), "{text}");
    let once = Profile::assemble(&body(), &tape("hip girth;101;\n"));
    let text = girthwise::report::crosscheck_text(&once, Shown::Centimetres);
    assert!(!text.contains("TEM"), "{text}");
}

/// The hip's value of a waist lies 198 mm from the hip level; no level reads under 750 mm.
#[test]
fn a_value_out_of_reach_or_off_the_curve_is_given_no_height() {
    let cross = checked("hip girth;75,2;\nwaist;65;\n");
    assert_eq!(cross.get(Key::HipGirth).unwrap().tape_height_mm, None);
    assert_eq!(
        cross.get(Key::WaistNarrowestGirth).unwrap().tape_height_mm,
        None
    );
}

/// 39 3/4 in is 1009.65 mm; written without its unit it is taken as 397.5 mm.
#[test]
fn inches_written_as_centimetres() {
    let cross = checked("hip girth;39 3/4;\n");
    let best = &cross.get(Key::HipGirth).unwrap().reasons[0];
    let Why::OtherUnit {
        taken, meant, row, ..
    } = &best.why
    else {
        panic!("{best:?}");
    };
    assert_eq!(
        (*taken, *meant, *row),
        (LengthUnit::Centimetre, LengthUnit::Inch, 1)
    );
    assert!((best.tape_mm.unwrap().mm() - 1009.65).abs() < 1e-9);
    assert!(best.say(Shown::InchEighths).contains("39 3/4 in"));
}

/// Two readings, one of them in inches: the mean of 1008 and 397.5 mm says
/// nothing, but the scan shows which of the two is the slip.
#[test]
fn one_of_two_readings_in_the_wrong_unit() {
    let tape = tape("hip girth;100,8;\nhip girth;39 3/4;\n");
    assert!(tape.findings[0].text.contains("third reading"));
    let cross = cross_check(&body(), &tape);
    let check = cross.get(Key::HipGirth).unwrap();
    assert_eq!(check.verdict, Verdict::MeasureAgain);
    let best = &check.reasons[0];
    assert!(
        matches!(best.why, Why::OtherUnit { row: 2, .. }),
        "{best:?}"
    );
    assert!((best.tape_mm.unwrap().mm() - (1008.0 + 1009.65) / 2.0).abs() < 1e-9);
}

/// Each written form is one slip of the pen away from the scan's own value.
#[test]
fn slips_of_the_pen() {
    for (key, written, meant) in [
        (Key::BustGirth, "49,5", "94,5"),
        (Key::BustGirth, "9,45", "94,5"),
        (Key::BustGirth, "194,5", "94,5"),
        (Key::HipGirth, "11,0", "101,0"),
    ] {
        let cross = checked(&format!("{};{written};\n", key.definition().text));
        let check = cross.get(key).unwrap();
        assert_eq!(check.verdict, Verdict::MeasureAgain);
        let Why::Digits { meant: found, .. } = &check.reasons[0].why else {
            panic!("{written}: {:?}", check.reasons);
        };
        assert_eq!(found, meant);
        assert!(check.reasons[0].left_over < 1e-9);
    }
}

#[test]
fn a_whole_ten_centimetres() {
    let cross = checked("bust girth;104,5;\n");
    let reasons = &cross.get(Key::BustGirth).unwrap().reasons;
    let step = reasons
        .iter()
        .find(|r| matches!(&r.why, Why::WholeStep { over_mm, .. } if over_mm.mm() > 99.0))
        .unwrap();
    assert!(
        step.say(Shown::Centimetres)
            .contains("10.0 cm too much; then it would say 94.5 cm")
    );
}

#[test]
fn left_for_right() {
    let cross = checked("knee girth;36,2;left\nknee girth;41,5;right\n");
    for side in Side::BOTH {
        let check = cross.get(MeasureId::new(Key::KneeGirth, side)).unwrap();
        let first = &check.reasons[0].why;
        assert_eq!(
            *first,
            Why::OtherSide {
                reads: side.other()
            }
        );
    }
}

/// Every girth 6 % short of the scan, the heights right: tension, not scale.
#[test]
fn a_tape_pulled_tight_shows_as_one_factor() {
    let mut rows = String::new();
    for (name, mm) in [
        ("bust girth", 945.0),
        ("under-bust girth", 841.0),
        ("narrowest waist girth", 750.0),
        ("high hip girth", 880.0),
        ("hip girth", 1010.0),
        ("left knee girth", 416.0),
    ] {
        rows += &format!("{name};{} mm;\n", mm * 0.94);
    }
    let alone = checked(&rows).common.unwrap();
    assert_eq!((alone.pairs, alone.heights_too), (6, None));
    let common = checked(&format!("{rows}stature;168;\n")).common.unwrap();
    let Shift::Factor { factor, sd } = common.shift else {
        panic!("{common:?}");
    };
    assert!((factor - 0.94).abs() < 1e-9 && sd < 0.02, "{common:?}");
    assert_eq!(common.heights_too, Some(false));
    assert!(common.say(Shown::Centimetres).contains("6.0 %"));
    assert!(common.say(Shown::Centimetres).contains("pulled tight"));
    let scaled = checked(&format!("{rows}stature;157,9;\n")).common.unwrap();
    assert_eq!(scaled.heights_too, Some(true));
}

/// Slips of several kinds have a median too, but share nothing; a stature
/// that is a slip itself tells nothing of the scale.
#[test]
fn unlike_slips_are_no_common_shift() {
    let cross = checked(
        "hip;39 3/4;\nbust;49,5;\nwaist;80,0;\nknee girth;36,2;left\nunder bust;94,1;\nhigh hip;38 1/8 in;\n",
    );
    assert_eq!(cross.common, None);
    let cross = checked("bust;88;\nunder bust;78,3;\nwaist;69,8;\nhip;94;\nstature;6;\n");
    assert_eq!(cross.common.unwrap().heights_too, None);
}

/// An offset of 40 mm on girths from 360 to 1010 mm is no factor.
#[test]
fn one_offset_survives_a_slip_among_five() {
    let cross = checked(
        "bust girth;98,5;\nunder-bust girth;88,1;\nwaist;79,0;\nhip;105,0;\nknee girth;45,6;left\nhigh hip;9,2;\n",
    );
    let common = cross.common.clone().unwrap();
    let Shift::Offset { offset_mm, .. } = common.shift else {
        panic!("{common:?}");
    };
    assert!((offset_mm.mm() - 40.0).abs() < 1e-9);
    let knee = cross
        .get(MeasureId::new(Key::KneeGirth, Side::Left))
        .unwrap();
    assert!(
        knee.reasons.iter().any(|r| r.why == Why::Common),
        "{knee:?}"
    );
}

#[test]
fn the_profile_takes_what_the_scan_withholds_and_keeps_doubts() {
    let tape = tape("waist;74;\nwaist;74,5;\nneck;36;\nhip girth;39 3/4;\n");
    let profile = Profile::assemble(&body(), &tape);
    assert!(profile.withheld.is_empty());
    assert_eq!(profile.findings.len(), 1, "{:?}", profile.findings);
    assert!(profile.findings[0].text.contains("navel"));
    assert_eq!(profile.get(Key::NeckGirth).unwrap().source, Source::Tape);
    let entry = |key: Key| profile.measures.iter().find(|e| e.measure.id.key == key);
    let hip = entry(Key::HipGirth).unwrap();
    assert!(hip.undecided && hip.measure.source == Source::Scan);
    assert!(hip.rule.as_ref().unwrap().contains("meant in inches"));
    let order: Vec<MeasureId> = profile.measures.iter().map(|e| e.measure.id).collect();
    assert!(order.is_sorted());

    let json = serde_json::to_string(&profile).unwrap();
    let back: Profile = serde_json::from_str(&json).unwrap();
    assert_eq!(serde_json::to_string(&back).unwrap(), json);
    assert!(json.contains("\"why\":\"other_unit\""), "{json}");
}

proptest! {
    /// Whatever is written: a value merged lies between its inputs and is no
    /// less certain than the better one; a value in doubt is the scan's.
    #[test]
    fn merged_or_in_doubt(hip in 1.0..2990.0_f64, again in 1.0..2990.0_f64, waist in 600.0..900.0_f64) {
        let tape = tape(&format!("hip;{hip} mm;\nhip;{again} mm;\nwaist;{waist:.1} mm;\n"));
        let profile = Profile::assemble(&body(), &tape);
        for check in &profile.checks {
            let entry = profile.measures.iter().find(|e| e.measure.id == check.id).unwrap();
            let (scan, tape) = (entry.scan.unwrap(), entry.tape.unwrap());
            let value = entry.measure.value;
            if check.verdict == Verdict::Agrees {
                let (low, high) = (scan.value.min(tape.value), scan.value.max(tape.value));
                prop_assert!(!entry.undecided && value >= low - 1e-9 && value <= high + 1e-9);
                prop_assert!(entry.measure.spread.sd <= scan.sd.min(tape.sd) + 1e-9);
            } else {
                prop_assert!(entry.undecided && (value - scan.value).abs() < 1e-12);
            }
            prop_assert!(check.reasons.len() <= 5);
            prop_assert!(check.reasons.iter().all(|reason| reason.left_over <= 2.0));
            prop_assert!(check.reasons.is_sorted_by(|a, b| a.rank <= b.rank));
        }
    }
}
