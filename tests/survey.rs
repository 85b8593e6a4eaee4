//! Upper body and build held against things outside the project: people of a survey, the same bodies with hanging
//! arms, one shape in two arm poses.
//!
//! Sources: `data/survey` (ANSUR II, its README) and the truth files of `data/study` (its README).

mod common;
#[path = "common/survey.rs"]
mod survey;

use common::body::{data, load, measured};
use common::truth;
use girthwise::measure::{Key, Measure, MeasureId, MeasureSet};
use girthwise::side::Side;
use serde_json::Value;
use std::sync::OnceLock;
use survey::{Build, mean, offset, regressions, scatter};

/// Bodies with hanging truth, chosen for their spread of build and pose: heavy, thin and full women and men, arms at
/// 12 to 47 degrees.
const STUDY: [&str; 6] = [
    "study-003",
    "study-006",
    "study-027",
    "study-028",
    "study-032",
    "study-037",
];
/// Shapes, each with arms at 12 and at 50 degrees.
const POSES: [[&str; 2]; 2] = [["pose-01-12", "pose-01-50"], ["pose-02-12", "pose-02-50"]];

/// A body's truth and what is measured on it.
type Body = (Value, MeasureSet);

fn body(name: &str) -> Body {
    let truth = truth::read(&data(&format!("study/{name}.truth.json")));
    let scan = measured(load(&format!("study/{name}.ply.gz")));
    (truth, scan.measures)
}

/// Those with hanging truth, then each shape's two poses.
fn all() -> &'static (Vec<Body>, Vec<[Body; 2]>) {
    static ALL: OnceLock<(Vec<Body>, Vec<[Body; 2]>)> = OnceLock::new();
    ALL.get_or_init(|| {
        let study = STUDY.iter().map(|name| body(name)).collect();
        (study, POSES.iter().map(|pair| pair.map(body)).collect())
    })
}

/// How far a measure lies over the survey's for the same build: mean and standard deviation over `study-000` to
/// `study-059` of the make the shipped bodies are of, as `survey_check` prints them.
///
/// Where the mean is far off, the survey's definition is another (`data/survey/regressions.csv` says how), or the model is
/// no person: its knee and chest lie where its maker put them, its seats are fuller and its wrists vary more.
const OFF: &[(Key, f64, f64)] = &[
    (Key::BackNeckHeight, 1.0, 11.0),
    (Key::FrontNeckHeight, 15.0, 12.0),
    (Key::ShoulderHeight, 9.0, 13.0),
    (Key::ArmpitHeight, -11.0, 12.0),
    (Key::BustHeight, -22.0, 24.0),
    (Key::HipHeight, 18.0, 23.0),
    (Key::CrotchHeight, -12.0, 22.0),
    (Key::KneeHeight, 34.0, 23.0),
    (Key::BustGirth, 15.0, 51.0),
    (Key::WaistNarrowestGirth, -35.0, 45.0),
    (Key::HipGirth, 41.0, 63.0),
    (Key::ThighGirth, -22.0, 23.0),
    (Key::CalfGirth, 21.0, 31.0),
    (Key::AnkleGirth, 17.0, 14.0),
    (Key::NeckGirth, -9.0, 21.0),
    (Key::NeckBaseGirth, 17.0, 20.0),
    (Key::WristGirth, -4.0, 17.0),
    (Key::ShoulderPointBreadth, -1.0, 23.0),
    (Key::ShoulderLength, 0.0, 11.0),
    (Key::AcrossBackWidth, 1.0, 22.0),
    (Key::BackWaistLength, -43.0, 33.0),
    (Key::HipBreadth, 25.0, 14.0),
    (Key::BustDepth, 9.0, 14.0),
    (Key::CrotchLength, 86.0, 72.0),
    (Key::CrotchLengthBack, 37.0, 36.0),
    (Key::HeadGirth, -9.0, 22.0),
    (Key::FootLength, 4.0, 10.0),
];

/// Few bodies of a make: their mean lies within three standard errors of that of sixty, and their standard deviation
/// below 1.9 times theirs (chi-squared of 7 degrees of freedom passes 7·1.9² once in a thousand).
#[test]
fn bodies_lie_where_people_of_their_build_do() {
    let rows = regressions(&data("survey/regressions.csv"));
    let (study, poses) = all();
    let bodies: Vec<&Body> = study
        .iter()
        .chain(poses.iter().map(|pair| &pair[0]))
        .collect();
    let mut faults = Vec::new();
    for &(key, off, sd) in OFF {
        let offsets: Vec<f64> = bodies
            .iter()
            .filter_map(|(truth, found)| offset(&rows, key, &Build::of(truth, found)?, found))
            .collect();
        assert!(offsets.len() >= 6, "{key:?} of {} bodies", offsets.len());
        let standard_error = sd / f64::from(u8::try_from(offsets.len()).unwrap()).sqrt();
        let (mean, scatter) = (mean(&offsets), scatter(&offsets));
        let residual = rows.iter().find(|row| row.key == key).unwrap().residual;
        println!("{key:?}: {mean:.1} ± {scatter:.1}, stated {off} ± {sd}, people ± {residual:.1}");
        if (mean - off).abs() > 3.0 * standard_error || scatter > 1.9 * sd {
            faults.push(format!(
                "{key:?}: {mean:.1} ± {scatter:.1}, stated {off} ± {sd}"
            ));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What decides a bodice lies where the survey has it: no bias beside people's own differences, and no more scatter than
/// half again of theirs. Where a definition differs none can be asked for.
#[test]
fn shoulders_and_backs_have_the_survey_s_means() {
    let rows = regressions(&data("survey/regressions.csv"));
    for key in [
        Key::BackNeckHeight,
        Key::ShoulderLength,
        Key::ShoulderPointBreadth,
        Key::AcrossBackWidth,
    ] {
        let (_, off, sd) = OFF.iter().find(|row| row.0 == key).unwrap();
        let residual = rows.iter().find(|row| row.key == key).unwrap().residual;
        assert!(off.abs() < 2.0, "{key:?} {off}");
        assert!(*sd < 1.6 * residual, "{key:?} {sd} {residual}");
    }
}

fn both(found: &MeasureSet, key: Key) -> Vec<(Side, &Measure)> {
    let side = |side| Some((side, found.get(MeasureId::new(key, side))?));
    Side::BOTH.into_iter().filter_map(side).collect()
}

/// Errors, each with its stated standard uncertainty, in mm.
type Errors = Vec<(f64, f64)>;

/// The same bodies with hanging arms, whatever theirs do. How far out the model's maker put the points is a definition:
/// what is left about the mean is held to 9 (length, one side), 12 (breadth), 6 mm (back neck) by the sixty bodies chosen
/// on; six bodies may exceed that by 1.9 (see above), and none by three stated uncertainties.
#[test]
fn shoulders_are_those_of_hanging_arms() {
    let mut errors: [(&str, f64, Errors); 3] = [
        ("shoulder length", 9.0, Vec::new()),
        ("breadth", 12.0, Vec::new()),
        ("back neck", 6.0, Vec::new()),
    ];
    for (truth, found) in &all().0 {
        let number = |place: &str| truth.pointer(place).and_then(Value::as_f64).unwrap();
        for (side, length) in both(found, Key::ShoulderLength) {
            let letter = if side == Side::Left { "L" } else { "R" };
            let hanging = number(&format!("/hanging/len_{letter}"));
            errors[0].2.push((length.value - hanging, length.spread.sd));
        }
        for (at, key, place) in [
            (1, Key::ShoulderPointBreadth, "/hanging/breadth"),
            (2, Key::BackNeckHeight, "/hanging/c7"),
        ] {
            let measure = found.get(key).unwrap();
            errors[at]
                .2
                .push((measure.value - number(place), measure.spread.sd));
        }
    }
    for (name, limit, errors) in &errors {
        let off: Vec<f64> = errors.iter().map(|error| error.0).collect();
        println!("{name}: {:.1} ± {:.1}", mean(&off), scatter(&off));
        assert!(scatter(&off) < 1.9 * limit, "{name} {off:.1?}");
        for (error, sd) in errors {
            assert!((error - mean(&off)).abs() < 3.0 * sd, "{name} {error} {sd}");
        }
    }
}

/// Arms raised from 12 to 50 degrees change no bone: what does not hang on them moves by no more than its place is found
/// again, in mm. The truth's own shoulder points move inwards by some 19 mm each; before they were led by the arm's root
/// and the armscye by the armpit's folds, widths across moved by up to 30.
#[test]
fn raised_arms_move_no_shoulder() {
    let limits = [
        (Key::ShoulderLength, 9.0),
        (Key::ShoulderHeight, 9.0),
        (Key::ShoulderPointBreadth, 9.0),
        (Key::AcrossBackWidth, 15.0),
        (Key::AcrossFrontWidth, 20.0),
        (Key::BackNeckHeight, 6.0),
        (Key::BackWaistLength, 8.0),
    ];
    for [low, high] in &all().1 {
        for (key, limit) in limits {
            for &side in Side::of_pair(key.definition().paired) {
                let id = MeasureId::new(key, side);
                let (a, b) = (low.1.get(id).unwrap(), high.1.get(id).unwrap());
                let moved = b.value - a.value;
                println!("{id}: {moved:+.1}");
                assert!(moved.abs() < limit, "{id} moves by {moved:.1}");
            }
        }
    }
}
