//! A real body: the skin of a woman, modelled from the Visible Human Female data (CC BY 4.0; citation in
//! `data/anatomical/README.md`).
//!
//! References: level sections 4 mm apart by two general-purpose libraries, printed by the scripts beside the file;
//! and heights of landmarks read off shaded pictures by eye, with what an eye leaves open.

mod common;

use common::body::{data, load, measured};
use girthwise::landmark::LandmarkKey;
use girthwise::measure::{ErrorClass, Measure, Mode};
use girthwise::scan::Scan;
use girthwise::side::Side;
use serde_json::Value;
use std::sync::LazyLock;

static BODY: LazyLock<Scan> = LazyLock::new(|| measured(load("anatomical/skin-female.glb.gz")));

/// A loop of a level section: x and z of its centre in the file, area, taut girth, girth along the skin.
type Loop = [f64; 5];

struct Ladder {
    /// Of the file's lowest point, in the file's mm.
    floor: f64,
    /// Height over that and the loops there, rising.
    rungs: Vec<(f64, Vec<Loop>)>,
}

impl Ladder {
    fn read(library: &str) -> Self {
        let file = data(&format!("anatomical/skin-female.{library}.json"));
        let json = common::truth::read(&file);
        let number = |value: &Value| value.as_f64().expect("a number");
        let loops = |rung: &Value| {
            let rows = rung["loops"].as_array().expect("loops").iter();
            rows.map(|row| [0, 1, 2, 3, 4].map(|k| number(&row[k])))
                .collect()
        };
        let rungs = json["rungs"].as_array().expect("rungs").iter();
        Self {
            floor: number(&json["floor_mm"]),
            rungs: rungs
                .map(|rung| (number(&rung["rung_mm"]), loops(rung)))
                .collect(),
        }
    }

    /// Girth at a height between the rungs: the straight line between the two beside it, and how far a bend may take it
    /// off that: an eighth of the second difference of a smooth curve, taken whole, of the smoother end, as an
    /// armpit or a crotch a rung away is none of it.
    fn girth(&self, over_floor: f64, of: impl Fn(&[Loop]) -> Option<f64>) -> Option<(f64, f64)> {
        let after = self.rungs.partition_point(|rung| rung.0 < over_floor);
        let at = |i: usize| of(&self.rungs.get(i)?.1);
        let four = [
            at(after.checked_sub(2)?)?,
            at(after - 1)?,
            at(after)?,
            at(after + 1)?,
        ];
        let (low, high) = (self.rungs[after - 1].0, self.rungs[after].0);
        let share = (over_floor - low) / (high - low);
        let bend = [1, 2].map(|i| (four[i - 1] - 2.0 * four[i] + four[i + 1]).abs());
        let between = four[1] + share * (four[2] - four[1]);
        Some((between, 0.1 + bend[0].min(bend[1])))
    }
}

/// The loop of a measure: the largest of the section, of its side if it has one.
fn loop_of(measure: &Measure, loops: &[Loop]) -> Option<Loop> {
    let [row, ..] = BODY.provenance.frame.matrix;
    let to_the_right = |of: &Loop| row[0] * of[0] / 1000.0 + row[2] * of[1] / 1000.0 + row[3];
    let on_side = |of: &&Loop| {
        let side = measure.id.side;
        side.is_none_or(|side| side.sign() * to_the_right(of) > 0.0)
    };
    let on_side = loops.iter().filter(on_side);
    on_side.max_by(|a, b| a[2].total_cmp(&b[2])).copied()
}

/// Level girths of trunk, legs and head at the levels they were found at.
#[test]
fn girths_at_the_found_levels() {
    let up = BODY.provenance.frame.matrix[2];
    assert!(
        up[0].abs() < 1e-9 && up[2].abs() < 1e-9,
        "the file's own upright is kept"
    );
    for library in ["trimesh", "vtk"] {
        let ladder = Ladder::read(library);
        let mut compared = 0;
        for measure in BODY.measures.values() {
            let row = measure.id.key.definition();
            let level_girth = matches!(row.mode, Mode::Taut | Mode::Surface) && row.is_girth();
            let Some(level) = measure.level_mm.filter(|_| level_girth) else {
                continue;
            };
            let in_file = (level.mm() - up[3]) / up[1] * 1000.0;
            let which = if row.mode == Mode::Taut { 3 } else { 4 };
            let of = |loops: &[Loop]| Some(loop_of(measure, loops)?[which]);
            // The limbs' and the neck's own girths are square to them, and no level cut.
            let square = ["neck", "arm", "elbow", "wrist"]
                .iter()
                .any(|part| row.text.contains(part));
            if square {
                continue;
            }
            let (expected, give) = ladder
                .girth(in_file - ladder.floor, of)
                .unwrap_or_else(|| panic!("{library} has no {} at {level:?}", measure.id));
            assert!(
                (measure.value - expected).abs() <= give,
                "{library}, {} at {:.1}: {:.2} instead of {expected:.2} ± {give:.2}",
                measure.id,
                level.mm(),
                measure.value
            );
            compared += 1;
            if row.class == ErrorClass::LargeGirth {
                assert!(
                    give < 9.0,
                    "{}: the ladder is too coarse there, {give}",
                    measure.id
                );
            }
        }
        assert!(compared >= 30, "{compared} girths held against {library}");
    }
}

/// What was read off pictures, and what an eye leaves open; rough landmarks have their own uncertainty besides.
#[test]
fn landmarks_where_they_are_seen() {
    use LandmarkKey as L;
    let seen = [
        (L::BustPoint, 1160.0, 15.0),
        (L::UnderBust, 1118.0, 10.0),
        (L::Belly, 1025.0, 25.0),
        (L::WaistNarrowest, 1010.0, 30.0),
        (L::Navel, 985.0, 8.0),
        (L::Hip, 825.0, 20.0),
        (L::Crotch, 739.0, 5.0),
        (L::Knee, 455.0, 20.0),
        (L::AnkleBone, 80.0, 8.0),
        (L::FrontNeckPoint, 1362.0, 15.0),
        (L::BackNeckPoint, 1405.0, 25.0),
        (L::SideNeckPoint, 1415.0, 15.0),
        (L::ShoulderPoint, 1365.0, 15.0),
        (L::Wrist, 890.0, 15.0),
    ];
    for (key, height, give) in seen {
        for &side in key.sides() {
            let Ok(mark) = BODY.landmarks.get(key, side) else {
                panic!("{key:?} {side:?} is missing");
            };
            let off = (mark.height_mm() - height).abs();
            assert!(
                off <= give + 2.0 * mark.sd_mm,
                "{}: {:.0} ± {:.0}, seen at {height}",
                mark.name(),
                mark.height_mm(),
                mark.sd_mm
            );
        }
    }
}

/// Nobody's ratio is called odd, and nothing is called posed or worn, on a real shape.
#[test]
fn a_real_body_passes_the_gates() {
    for finding in &BODY.measures.findings {
        assert!(
            !["pose", "worn or held"].contains(&&*finding.topic),
            "{finding}"
        );
    }
    assert!(
        BODY.measures
            .withheld()
            .all(|held| !held.reason.contains("came out at"))
    );
    assert!(BODY.measures.values().count() > 130);
    let stature = BODY
        .measures
        .get(girthwise::measure::Key::Stature)
        .expect("a stature");
    assert!(
        (stature.value - 1667.0).abs() < 1.0,
        "from its highest to its lowest point 1666.7 mm"
    );
    assert!(
        Side::BOTH
            .iter()
            .all(|&side| BODY.landmarks.get(LandmarkKey::Knee, Some(side)).is_ok())
    );
}
