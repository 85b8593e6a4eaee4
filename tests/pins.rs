//! Landmarks put by hand: what follows them, what does not, and what is refused.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;

use common::body::{load, measured, measured_with, raw};
use girthwise::error::ErrorKind;
use girthwise::frame::{Axis, Body, FrameOptions, find_frame};
use girthwise::landmark::Survey;
use girthwise::landmark::{Confidence, Landmark, LandmarkKey as L, Landmarks, Pin, PinPlace, Pins};
use girthwise::measure::{Key, Measure, MeasureId, MeasureSet, Source, measure_body};
use girthwise::mesh::TriMesh;
use girthwise::profile::Profile;
use girthwise::scan::{Scan, ScanOptions, measure_scan_with};
use girthwise::tape::TapeSet;
use girthwise::{Error, Length, Side};
use std::sync::LazyLock;

const BODY: &str = "bodies/body-05.ply";

static STANDING: LazyLock<Body> =
    LazyLock::new(|| find_frame(load(BODY).clean().mesh, &FrameOptions::default()).unwrap());
static SURVEY: LazyLock<Survey<'static>> = LazyLock::new(|| Survey::new(&STANDING));
static PLAIN: LazyLock<(Landmarks, MeasureSet)> = LazyLock::new(|| with(&Pins::NONE).unwrap());

fn with(pins: &Pins) -> Result<(Landmarks, MeasureSet), Error> {
    let marks = Landmarks::find_with(&SURVEY, pins)?;
    let measures = measure_body(&SURVEY, &marks);
    Ok((marks, measures))
}

fn one(pin: Pin) -> Result<(Landmarks, MeasureSet), Error> {
    with(&Pins::new([pin])?)
}

/// A pin `up_mm` over the place where the shape shows a landmark, and as sure.
fn beside(mark: &Landmark, up_mm: f64) -> Pin {
    let height = Length::from_mm(mark.height_mm() + up_mm);
    Pin::at_height(mark.key, mark.side, height).within(Length::from_mm(mark.sd_mm))
}

/// Measures of both sets, in pairs.
fn pairs<'a>(
    one: &'a MeasureSet,
    other: &'a MeasureSet,
) -> impl Iterator<Item = (&'a Measure, &'a Measure)> {
    one.values()
        .filter_map(|measure| Some((measure, other.get(measure.id)?)))
}

/// True if a measure's catalogue row names the landmark, or one worked out from it.
fn hangs_on(id: MeasureId, mark: &Landmark) -> bool {
    let marks = id.key.definition().marks;
    let on = |key: &L| *key == mark.key || key.made_of().contains(&mark.key);
    let whole = id.key.definition().is_share();
    marks.iter().any(on)
        && (whole || id.side.is_none() || mark.side.is_none() || id.side == mark.side)
}

/// A pin by height lies on the facets, a landmark on the smoothed line through them.
const PUT_MM: f64 = 0.1;

#[test]
fn a_pin_where_the_shape_shows_it_changes_nothing_but_the_mark() {
    let (found, plain) = &*PLAIN;
    assert!(found.found.len() > 20, "the body shows its landmarks");
    for mark in &found.found {
        let (marks, measures) = one(beside(mark, 0.0)).unwrap();
        let pinned = marks.get(mark.key, mark.side).unwrap();
        assert!(pinned.is_pinned() && pinned.rule.contains("by hand"));
        for (was, is) in pairs(plain, &measures) {
            let name = (is.id.to_string(), pinned.name());
            assert!(
                (was.value - is.value).abs() < PUT_MM,
                "{name:?}: {} {}",
                was.value,
                is.value
            );
            assert!((was.spread.sd - is.spread.sd).abs() < PUT_MM, "{name:?}");
            let marked = if hangs_on(is.id, mark) {
                Source::Pinned
            } else {
                Source::Scan
            };
            assert_eq!(is.source, marked, "{name:?}");
        }
        let told = &marks.findings;
        assert!(
            told.len() == 1 && told[0].text.contains("there too"),
            "{told:?}"
        );
    }
}

/// A point put by hand stands from front to back as well; a height alone leaves that to the skin.
#[test]
fn a_shoulder_point_lies_as_far_forward_as_it_is_put() {
    let (found, _) = &*PLAIN;
    let side = Some(Side::Left);
    let shoulder = found.get(L::ShoulderPoint, side).unwrap();
    let [x, y, z] = shoulder.point_mm;
    let put = |ahead: f64| {
        let place = PinPlace::Point([x, y + ahead, z].map(Length::from_mm));
        let (marks, measures) = one(Pin {
            place,
            ..beside(shoulder, 0.0)
        })
        .unwrap();
        let value = measures.get(MeasureId::new(Key::ShoulderForward, side));
        let mark = marks.get(L::ShoulderPoint, side).unwrap();
        (mark.point_mm[1], value.unwrap().value)
    };
    let ((there, value), (ahead, more)) = (put(0.0), put(15.0));
    assert!(ahead - there > 5.0, "{there} {ahead}");
    assert!(
        (more - value - (ahead - there)).abs() < 1e-9,
        "{value} {more}"
    );
}

/// What is looked for above or below a pin may move with its window; all else that changes is marked.
#[test]
fn what_a_pin_moves_is_marked() {
    let (found, plain) = &*PLAIN;
    // What is looked for from a landmark is found anew and stays a finding.
    let follow = |mark: &Landmark| -> Vec<L> {
        match mark.key {
            L::BustPoint => vec![L::UnderBust],
            L::UnderBust => vec![L::WaistNarrowest],
            L::Hip => vec![L::WaistNarrowest, L::GlutealFold],
            L::Crotch => vec![L::Crotch, L::GlutealFold],
            L::Ankle => vec![L::Calf],
            L::Wrist => vec![L::Elbow],
            other => vec![other],
        }
    };
    for mark in &found.found {
        // Over the armpit the trunk is no contour of its own.
        let by = if mark.key == L::Armpit { -8.0 } else { 8.0 };
        let (_, measures) = one(beside(mark, by)).unwrap();
        let followers = follow(mark).into_iter().map(|key| Landmark {
            key,
            side: None,
            ..mark.clone()
        });
        let followers: Vec<_> = followers.collect();
        let hangs = |id| followers.iter().any(|follower| hangs_on(id, follower));
        let mut moved = 0;
        for (was, is) in pairs(plain, &measures) {
            let changed = (was.value - is.value).abs() > 1e-6;
            moved += usize::from(changed);
            assert!(
                !changed || is.source == Source::Pinned || hangs(is.id),
                "{} moves with the {} and is not marked",
                is.id,
                mark.name()
            );
        }
        assert!(
            moved > 0 || mark.key == L::Elbow,
            "nothing moves with the {}",
            mark.name()
        );
    }
}

/// Levels by their definitions; girths against the curve of level cuts.
#[test]
fn all_that_hangs_on_the_waist_follows_it() {
    let (found, plain) = &*PLAIN;
    let waist = found.get(L::WaistNarrowest, None).unwrap();
    let (marks, measures) = one(beside(waist, 40.0)).unwrap();
    let value = |set: &MeasureSet, id: MeasureId| set.get(id).unwrap().value;
    let both = |id: MeasureId| (value(plain, id), value(&measures, id));

    let at = waist.height_mm() + 40.0;
    let hip = marks.get(L::Hip, None).unwrap().height_mm();
    let high_hip = value(&measures, Key::HighHipHeight.into());
    assert!((high_hip - 0.5 * (at + hip)).abs() < 1e-9);
    for (key, height) in [
        (Key::WaistNarrowestGirth, at),
        (Key::HighHipGirth, high_hip),
    ] {
        let curve = measures.curves[0].taut_at(Length::from_mm(height)).unwrap();
        let (was, is) = both(key.into());
        // Straight lines between levels 2.5 mm apart.
        assert!(
            (is - curve.mm()).abs() < 1.0,
            "{key:?}: {is} {}",
            curve.mm()
        );
        assert!((is - was).abs() > 2.0, "{key:?} stays at {was}");
    }
    // On skin that leans by a quarter at most, 40 mm of height are 40 to 41.3 mm of tape.
    let slack = 40.0 * (1.0_f64.hypot(0.25) - 1.0) + 1.0;
    let (was, is) = both(Key::BackWaistLength.into());
    assert!((was - is - 40.0).abs() < slack, "back waist {was} {is}");
    for side in Side::BOTH {
        let (was, is) = both(MeasureId::new(Key::WaistToHipLength, side));
        assert!(
            (is - was - 40.0).abs() < 2.0 * slack,
            "waist to hip {was} {is}"
        );
    }
    // Front and back arc of one tape.
    let whole = value(&measures, Key::WaistNarrowestGirth.into());
    let arcs = [Key::WaistNarrowestFrontArc, Key::WaistNarrowestBackArc];
    let sum: f64 = arcs.map(|key| value(&measures, key.into())).iter().sum();
    assert!((sum - whole).abs() < 1e-6);
    assert_eq!(measures.get(Key::HipHeight), plain.get(Key::HipHeight));
}

/// A vertex of the file is its own nearest skin, in the file's coordinates or the body's.
#[test]
fn points_in_either_frame() {
    let mesh = load("demo/scan.ply");
    let found = measured(mesh.clone());
    let matrix = found.provenance.frame.matrix;
    let to_body = |p: [f64; 3]| -> [f64; 3] {
        [0, 1, 2].map(|i| matrix[i][3] + (0..3).map(|k| matrix[i][k] * p[k]).sum::<f64>())
    };
    let mark = found.landmarks.get(L::BustPoint, Some(Side::Left)).unwrap();
    let off = |p: &[f64; 3]| {
        (0..3)
            .map(|k| (p[k] - mark.point_mm[k]).powi(2))
            .sum::<f64>()
    };
    let all = mesh.points().iter().map(|p| [p.x, p.y, p.z]);
    let vertex = all
        .min_by(|a, b| off(&to_body(*a)).total_cmp(&off(&to_body(*b))))
        .unwrap();
    let body = to_body(vertex);
    let left = Some(Side::Left);
    let of_file = Pin {
        place: PinPlace::FilePoint(vertex),
        ..Pin::at_height(L::BustPoint, left, Length::ZERO)
    };
    let of_body = Pin::at_point(L::BustPoint, left, body.map(Length::from_mm));
    for pin in [of_file, of_body] {
        let scan = scan(mesh.clone(), Pins::new([pin]).unwrap()).unwrap();
        let put = scan.landmarks.get(L::BustPoint, left).unwrap();
        for k in 0..3 {
            assert!(
                (put.point_mm[k] - body[k]).abs() < 1e-6,
                "{:?} {body:?}",
                put.point_mm
            );
        }
    }
    // 30 mm ahead of the skin is told, and taken back onto it.
    let ahead = [body[0], body[1] + 30.0, body[2]].map(Length::from_mm);
    let pin = Pin::at_point(L::BustPoint, left, ahead);
    let scan = scan(mesh, Pins::new([pin]).unwrap()).unwrap();
    let told = scan
        .measures
        .findings
        .iter()
        .any(|f| f.text.contains("from the skin"));
    assert!(told, "{:?}", scan.measures.findings);
}

fn scan(mesh: TriMesh, pins: Pins) -> Result<Scan, Error> {
    let frame = FrameOptions::default();
    let options = ScanOptions { frame, pins };
    measure_scan_with(raw(mesh), &options, |_| ())
}

/// A body cut off at the neck shows none; the hand may know where it is.
#[test]
fn what_the_shape_does_not_show_can_be_put() {
    let neck = PLAIN.0.get(L::BackNeckPoint, None).unwrap();
    let whole = load(BODY);
    let top = neck.height_mm() + 10.0;
    let keep = |face: &&[u32; 3]| face.iter().all(|&i| whole.points()[i as usize].z < top);
    let faces: Vec<_> = whole.faces().iter().filter(keep).copied().collect();
    let mesh = TriMesh::new(whole.points().to_vec(), faces).unwrap();
    let frame = FrameOptions {
        up: Some(Axis::PlusZ),
        ..FrameOptions::default()
    };
    let bare = measured_with(mesh.clone(), frame);
    assert!(bare.landmarks.get(L::BackNeckPoint, None).is_err());
    assert!(bare.measures.get(Key::BackWaistLength).is_none());

    let height = Length::from_mm(neck.height_mm());
    let pins = Pins::new([Pin::at_height(L::BackNeckPoint, None, height)]).unwrap();
    let options = ScanOptions { frame, pins };
    let scan = measure_scan_with(raw(mesh), &options, |_| ()).unwrap();
    let length = scan.measures.get(Key::BackWaistLength).unwrap();
    assert_eq!(length.source, Source::Pinned);
    let of_whole = PLAIN.1.get(Key::BackWaistLength).unwrap().value;
    assert!(
        (length.value - of_whole).abs() < 10.0,
        "{} {of_whole}",
        length.value
    );
    let told = scan.landmarks.findings[0].text.as_str();
    assert!(
        told.contains("does not show it: there is no head"),
        "{told}"
    );
    // What it does not help stays withheld.
    assert!(scan.landmarks.get(L::Vertex, None).is_err());
}

#[test]
fn profile_says_what_was_put() {
    let pins = Pins::new(["waist = 104 cm +- 8 mm".parse().unwrap()]).unwrap();
    let scan = scan(load(BODY), pins).unwrap();
    let profile = Profile::of(&scan, &TapeSet::default());
    let text = profile.to_json().unwrap();
    assert!(text.contains("\"confidence\": \"given\"") && text.contains("\"source\": \"pinned\""));
    let read = Profile::from_json("p.json", &text).unwrap();
    let waist = read
        .landmarks
        .iter()
        .find(|mark| mark.key == L::WaistNarrowest)
        .unwrap();
    assert_eq!(waist.confidence, Confidence::Given);
    assert!((waist.sd_mm - 4.0).abs() < 1e-9);
    let high_hip = read
        .landmarks
        .iter()
        .find(|mark| mark.key == L::HighHip)
        .unwrap();
    assert!(!high_hip.is_pinned(), "it is worked out");
    assert_eq!(read.get(Key::HighHipGirth).unwrap().source, Source::Pinned);
}

#[test]
fn pins_off_the_body_or_upside_down_are_refused() {
    let at = |key, mm| Pin::at_height(key, None, Length::from_mm(mm));
    let point = |x: f64, y: f64, z: f64| [x, y, z].map(Length::from_mm);
    for (pins, word) in [
        (vec![at(L::WaistNarrowest, 100.0)], "not on the trunk"),
        (vec![at(L::WaistNarrowest, 2500.0)], "no place on a body of"),
        (vec![at(L::WaistNarrowest, -5.0)], "no place on a body of"),
        (vec![at(L::Knee, 1000.0)], "not on the left leg"),
        (vec![at(L::Wrist, 100.0)], "left arm does not pass"),
        (
            vec![at(L::ShoulderPoint, 900.0)],
            "shoulder line does not pass",
        ),
        (
            vec![at(L::WaistNarrowest, 1000.0), at(L::Hip, 1010.0)],
            "correct one of the two",
        ),
        (
            vec![Pin::at_point(
                L::BustPoint,
                Side::Left,
                point(-900.0, 100.0, 1200.0),
            )],
            "farther than",
        ),
        (
            vec![Pin::at_point(L::Knee, Side::Left, point(100.0, 0.0, 450.0))],
            "the wearer's right",
        ),
    ] {
        let error = with(&Pins::new(pins).unwrap()).unwrap_err();
        assert!(matches!(error.kind(), ErrorKind::Options { .. }));
        let said = error.to_string();
        assert!(said.contains(word), "{said}");
    }
    // Against what the shape shows is told, for the shape may be wrong.
    let hip = PLAIN.0.get(L::Hip, None).unwrap().height_mm();
    let (marks, _) = one(at(L::WaistNarrowest, hip - 10.0)).unwrap();
    let told = marks
        .findings
        .iter()
        .any(|f| f.text.contains("pin the hip level as well"));
    assert!(told, "{:?}", marks.findings);
}

/// Any landmark at any height: put, told or refused, never a fault of the program.
#[test]
fn no_pin_breaks_anything() {
    for &key in L::ALL {
        for tenth in 0..10 {
            let height = SURVEY.stature_mm * (0.005 + 0.11 * f64::from(tenth));
            match one(Pin::at_height(key, None, Length::from_mm(height))) {
                Ok((marks, measures)) => {
                    let put = marks.get(key, key.sides()[0]).unwrap();
                    assert!((put.height_mm() - height).abs() < 1e-6);
                    assert!(
                        measures
                            .values()
                            .all(|m| m.value.is_finite() && m.spread.sd.is_finite())
                    );
                }
                Err(error) => assert!(matches!(error.kind(), ErrorKind::Options { .. }), "{error}"),
            }
        }
    }
}
