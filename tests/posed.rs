//! Posed, worn and held: every value is right, withheld, or told doubtful.
//!
//! Known by construction: the same body upright and undressed. A value of a shape may lie off that by 10 mm, or by
//! three of its own standard uncertainties; else it must be withheld, with a reason that names what is in the way.

#[path = "common/mannequin.rs"]
mod form;

mod common;

use common::body::{load, measured, measured_with};
use common::solid::{ellipse, ellipsoid, prism_of, together};
use form::{Pose, mannequin};
use girthwise::frame::{Axis, FrameOptions};
use girthwise::measure::plausible::{RELATIONS, Seen};
use girthwise::measure::{Key, MeasureId, MeasureSet, Unit};
use girthwise::mesh::TriMesh;
use girthwise::side::Side;
use nalgebra::Point3;

const BODY: &str = "bodies/body-05.ply";

/// Off by more than this is gross: mm, degrees or, of a bust's 400, millilitres.
const fn gross(unit: Unit) -> f64 {
    match unit {
        Unit::Mm => 10.0,
        Unit::Degree => 5.0,
        Unit::Millilitre => 200.0,
    }
}

/// Values that are grossly off and do not say so.
fn silent(plain: &MeasureSet, found: &MeasureSet) -> Vec<String> {
    let off = found.values().filter_map(|value| {
        let right = plain.get(value.id)?;
        let by = (value.value - right.value).abs();
        let told = 3.0 * value.spread.sd.hypot(right.spread.sd);
        (by > gross(value.unit).max(told)).then(|| {
            format!(
                "{} {:.0} ± {:.0} instead of {:.0}",
                value.id, value.value, value.spread.sd, right.value
            )
        })
    });
    off.collect()
}

fn reason(found: &MeasureSet, id: impl Into<MeasureId>) -> String {
    let id = id.into();
    let why = found.withheld().find(|withheld| withheld.id == id);
    why.map_or_else(
        || panic!("{id} has a value: {:?}", found.get(id)),
        |why| why.reason.clone(),
    )
}

/// The findings of a topic, joined.
fn told(found: &MeasureSet, topic: &str) -> String {
    let of = found
        .findings
        .iter()
        .filter(|finding| finding.topic == topic);
    of.map(|finding| finding.text.clone())
        .collect::<Vec<_>>()
        .join(" ")
}

fn stood(pose: Pose) -> MeasureSet {
    let (points, faces) = mannequin(pose);
    let mesh = TriMesh::new(points, faces).expect("a sound mannequin");
    let told = FrameOptions {
        up: Some(Axis::PlusZ),
        front: Some(Axis::PlusY),
        ..FrameOptions::default()
    };
    measured_with(mesh, told).measures
}

fn upright() -> MeasureSet {
    stood(Pose::default())
}

/// Straight legs, a plumb trunk and hanging arms call nothing posed, worn or held.
#[test]
fn nobody_upright_is_called_posed() {
    for arms_deg in [15.0, 30.0, 50.0] {
        let found = stood(Pose {
            arms_deg,
            ..Pose::default()
        });
        assert_eq!(told(&found, "pose") + &told(&found, "worn or held"), "");
    }
    let found = measured(load(BODY)).measures;
    assert_eq!(told(&found, "pose") + &told(&found, "worn or held"), "");
    // No relation holds back a measure of it.
    assert!(
        found
            .withheld()
            .all(|held| !held.reason.contains("came out at"))
    );
}

#[test]
fn bent_knees_give_no_heights() {
    for degrees in [20.0, 35.0] {
        let found = stood(Pose {
            knees_deg: [degrees; 2],
            ..Pose::default()
        });
        assert_eq!(silent(&upright(), &found), [""; 0], "{degrees}");
        for key in [Key::CrotchHeight, Key::WaistNarrowestHeight] {
            reason(&found, key);
        }
        assert!(reason(&found, Key::Stature).contains("stand"));
        assert!(told(&found, "pose").contains("bent at the knee"));
        // What the knees do not bear on stays.
        assert!(
            found.get(Key::BustGirth).is_some() && found.get(Key::WaistNarrowestGirth).is_some()
        );
    }
}

#[test]
fn a_lifted_foot_spoils_its_own_leg() {
    let found = stood(Pose {
        knees_deg: [0.0, 45.0],
        ..Pose::default()
    });
    for key in [
        Key::KneeHeight,
        Key::KneeGirth,
        Key::CalfGirth,
        Key::FootLength,
    ] {
        let why = reason(&found, MeasureId::new(key, Side::Right));
        assert!(
            ["foot", "feet", "leg"]
                .iter()
                .any(|word| why.contains(word)),
            "{key:?}: {why}"
        );
    }
    assert_eq!(silent(&upright(), &found), [""; 0]);
}

#[test]
fn a_bent_trunk_gives_no_heights_and_no_level_girths() {
    let found = stood(Pose {
        bent_deg: 25.0,
        arms_deg: 45.0,
        ..Pose::default()
    });
    for key in [
        Key::Stature,
        Key::BustGirth,
        Key::WaistNarrowestGirth,
        Key::BackWaistLength,
    ] {
        reason(&found, key);
    }
    assert!(told(&found, "pose").contains("leans forward"));
    assert!(
        found
            .get(MeasureId::new(Key::CalfGirth, Side::Left))
            .is_some()
    );
}

#[test]
fn arms_held_forward_give_no_shoulders() {
    for forward_deg in [45.0, 85.0] {
        let found = stood(Pose {
            forward_deg,
            ..Pose::default()
        });
        assert_eq!(silent(&upright(), &found), [""; 0], "{forward_deg}");
        for side in Side::BOTH {
            for key in [Key::ArmscyeGirth, Key::ShoulderLength] {
                reason(&found, MeasureId::new(key, side));
            }
        }
        reason(&found, Key::AcrossBackWidth);
        assert!(found.get(Key::Stature).is_some());
    }
}

/// A wrist at the end of an arm held out is known the less, the farther out: 0.34 of the stature by 1 − cos.
#[test]
fn a_wrist_held_out_is_no_hanging_one() {
    let sd = |arms_deg: f64| {
        let found = stood(Pose {
            arms_deg,
            ..Pose::default()
        });
        let wrist = found.get(MeasureId::new(Key::WristHeight, Side::Left));
        wrist.expect("a wrist").spread.sd
    };
    let [near, far] = [sd(20.0), sd(50.0)];
    let lifted = |deg: f64| 0.34 * 1700.0 * (1.0 - deg.to_radians().cos());
    assert!(
        near > 0.8 * lifted(20.0) && far > 0.8 * lifted(50.0),
        "{near} {far}"
    );
}

/// The body with something over its skin, as shells.
fn with(things: &[TriMesh]) -> MeasureSet {
    measured(together(&[&[load(BODY)], things].concat())).measures
}

fn moved(mesh: &TriMesh, by: [f64; 3]) -> TriMesh {
    let to = |p: Point3<f64>| Point3::new(p.x + by[0], p.y + by[1], p.z + by[2]);
    mesh.clone().map_points(to).expect("a sound mesh")
}

fn plain() -> MeasureSet {
    measured(load(BODY)).measures
}

/// Where the skin lies at a height within 60 mm of the midline: back and front.
fn skin(height: f64) -> [f64; 2] {
    let body = load(BODY);
    let near = body
        .points()
        .iter()
        .filter(|p| (p.z - height).abs() < 12.0 && p.x.abs() < 60.0);
    let ys: Vec<f64> = near.map(|p| p.y).collect();
    [
        ys.iter().copied().fold(f64::MAX, f64::min),
        ys.iter().copied().fold(f64::MIN, f64::max),
    ]
}

fn height(share: f64) -> f64 {
    share * plain().get(Key::Stature).expect("a stature").value
}

#[test]
fn a_pack_on_the_back_gives_no_bust() {
    let [low, high] = [height(0.60), height(0.80)];
    let back = skin(height(0.70))[0];
    let pack = prism_of(
        &ellipse(150.0, 110.0, 64, [0.0, back - 60.0]),
        low,
        high,
        60,
    );
    let found = with(&[pack]);
    assert_eq!(silent(&plain(), &found), [""; 0]);
    assert!(reason(&found, Key::BustGirth).contains("back"));
    assert!(reason(&found, Key::AcrossBackWidth).contains("back"));
    for key in [Key::Stature, Key::FrontNeckHeight, Key::CrotchHeight] {
        assert!(found.get(key).is_some(), "{key:?}");
    }
}

#[test]
fn a_bag_before_the_belly_gives_no_waist() {
    let front = skin(height(0.64))[1];
    let bag = prism_of(
        &ellipse(130.0, 90.0, 64, [0.0, front + 40.0]),
        height(0.57),
        height(0.70),
        50,
    );
    let found = with(&[bag]);
    assert_eq!(silent(&plain(), &found), [""; 0]);
    reason(&found, Key::WaistNarrowestGirth);
    assert!(told(&found, "worn or held").contains("before the body"));
}

#[test]
fn hair_round_the_neck_gives_no_neck() {
    let neck = plain()
        .get(Key::NeckGirth)
        .expect("a neck")
        .level_mm
        .expect("a level")
        .mm();
    let [back, front] = skin(neck);
    let middle = f64::midpoint(back, front);
    let hair = prism_of(
        &ellipse(100.0, 95.0, 96, [0.0, middle]),
        neck - 90.0,
        neck + 110.0,
        60,
    );
    let found = with(&[hair]);
    assert_eq!(silent(&plain(), &found), [""; 0]);
    let why = reason(&found, Key::NeckGirth);
    assert!(why.contains("head girth") || why.contains("neck"), "{why}");
    assert!(found.get(Key::WaistNarrowestGirth).is_some());
}

#[test]
fn a_knot_of_hair_and_a_hat_give_no_stature() {
    let body = load(BODY);
    let top = body
        .points()
        .iter()
        .max_by(|a, b| a.z.total_cmp(&b.z))
        .copied()
        .expect("points");
    let knot = moved(
        &ellipsoid([50.0, 50.0, 52.0], 48, 32),
        [top.x, top.y - 15.0, top.z + 30.0],
    );
    let hat = prism_of(
        &ellipse(100.0, 125.0, 96, [top.x, top.y]),
        top.z - 80.0,
        top.z + 45.0,
        40,
    );
    for (thing, word) in [(knot, "knot of hair"), (hat, "hat")] {
        let found = with(&[thing]);
        assert_eq!(silent(&plain(), &found), [""; 0], "{word}");
        assert!(reason(&found, Key::Stature).contains(word));
        reason(&found, Key::HeadGirth);
        assert!(found.get(Key::HipGirth).is_some());
    }
}

#[test]
fn a_skirt_gives_no_crotch() {
    let crotch = plain().get(Key::CrotchHeight).expect("a crotch").value;
    let hip = plain()
        .get(Key::HipGirth)
        .expect("a hip")
        .level_mm
        .expect("a level")
        .mm();
    let [back, front] = skin(hip);
    let middle = f64::midpoint(back, front);
    let half = 0.5 * plain().get(Key::HipBreadth).expect("a hip").value;
    let deep = 0.5 * (front - back);
    for (end, more) in [(crotch - 60.0, 20.0), (height(0.30), 45.0)] {
        let outline = ellipse(half + more, deep + more, 128, [0.0, middle]);
        let found = with(&[prism_of(&outline, end, hip + 60.0, 80)]);
        assert_eq!(silent(&plain(), &found), [""; 0], "{end}");
        for key in [Key::CrotchHeight, Key::HipGirth, Key::CrotchLength] {
            assert!(found.get(key).is_none(), "{key:?} at {end}");
        }
        assert!(told(&found, "worn or held").contains("skirt"));
        assert!(found.get(Key::BustGirth).is_some());
    }
}

/// A leg that ends below its knee, closed there: nothing below the crotch is told of it.
#[test]
fn a_missing_lower_leg_has_no_knee() {
    let end = height(0.22);
    let crotch = plain().get(Key::CrotchHeight).expect("a crotch").value;
    let cut = load(BODY).map_points(|p| {
        let of_leg = p.x > 0.0 && p.z < crotch - 20.0;
        Point3::new(p.x, p.y, if of_leg { p.z.max(end) } else { p.z })
    });
    let found = measured_with(
        cut.expect("a sound mesh"),
        FrameOptions {
            up: Some(Axis::PlusZ),
            front: Some(Axis::PlusY),
            ..FrameOptions::default()
        },
    )
    .measures;
    for key in [
        Key::KneeHeight,
        Key::KneeGirth,
        Key::CalfGirth,
        Key::AnkleGirth,
    ] {
        reason(&found, MeasureId::new(key, Side::Right));
    }
    assert!(told(&found, "pose").contains("above the floor"));
    assert_eq!(silent(&plain(), &found), [""; 0]);
    assert!(
        found
            .get(MeasureId::new(Key::KneeGirth, Side::Left))
            .is_some()
    );
}

/// Each relation's window holds what was seen, with room, and its two ends are apart.
#[test]
fn windows_are_wider_than_what_was_seen() {
    for relation in RELATIONS {
        let ((low, high), seen) = (relation.window(), relation.seen);
        assert!(
            0.0 < low && low < seen.0 && seen.0 < seen.1 && seen.1 < high,
            "{relation:?}"
        );
        // Of heights the room is a few per cent, as they differ little; of nothing more than a quarter.
        assert!((0.02..=0.25).contains(&relation.room), "{relation:?}");
    }
    let of_survey = RELATIONS
        .iter()
        .filter(|relation| relation.source == Seen::Survey);
    assert!(of_survey.count() > 45);
}
