//! Two dates, and a scan against a tape: a scan's height scale is no change of the body.
//!
//! Known by construction: the second body is the first stretched along its height, so that every level girth is
//! the same and every height 1 % more.

mod common;

use common::body::{load, measured};
use girthwise::LengthUnit;
use girthwise::change::{Changes, Sureness};
use girthwise::crosscheck::{Shift, cross_check};
use girthwise::measure::{Key, Mode};
use girthwise::profile::Profile;
use girthwise::scan::Scan;
use girthwise::tape::{TapeSet, pool, read_tape};

const BODY: &str = "bodies/body-05.ply";

fn stretched(by: impl Fn(f64) -> f64 + Sync + Send) -> Scan {
    let taller = load(BODY).map_points(|p| nalgebra::Point3::new(p.x, p.y, by(p.z)));
    measured(taller.expect("a sound mesh"))
}

fn changes(by: impl Fn(f64) -> f64 + Sync + Send) -> Changes {
    let profile = |scan: &Scan| Profile::of(scan, &TapeSet::default());
    Changes::between(&profile(&measured(load(BODY))), &profile(&stretched(by)))
}

fn changed(changes: &Changes) -> Vec<String> {
    let changed = changes.graded(Sureness::Changed);
    changed.map(|change| change.id.to_string()).collect()
}

#[test]
fn a_stretched_scan_is_told_as_a_scale() {
    for by in [1.01, 0.99] {
        let changes = changes(|z| by * z);
        let Some(Shift::Factor { factor, sd }) = changes.heights else {
            panic!("{:?}", changes.heights);
        };
        assert!((factor - by).abs() < 0.001 && sd < 0.002, "{factor} {sd}");
        assert_eq!(changed(&changes), [""; 0]);
        let [finding] = &changes.findings[..] else {
            panic!("{:?}", changes.findings);
        };
        assert!(finding.text.contains("one share"), "{finding}");
        // Girths are compared as they are, and have not changed.
        let girths = changes
            .measures
            .iter()
            .filter(|change| change.id.key.definition().is_girth());
        assert!(girths.clone().count() > 30);
        assert!(girths.into_iter().all(|change| change.left.is_none()));
    }
}

/// A trunk that is 1.5 % longer over legs that are not is a body's own change, and is told height by height.
#[test]
fn a_longer_trunk_is_no_scale() {
    let found = changes(|z| z + 0.015 * (z - 900.0).max(0.0) * 2.0);
    assert_eq!(found.heights, None);
    assert!(changed(&found).contains(&"stature".to_owned()));
}

/// Stature and crotch by tape both 1.2 % under the scan's.
#[test]
fn a_tape_s_heights_show_the_scale() {
    let scan = measured(load(BODY)).measures;
    let sheet = |share: [f64; 2]| {
        let height = |key: Key, share: f64| {
            assert_eq!(key.definition().mode, Mode::Height);
            0.1 * share * scan.get(key).expect("a height").value
        };
        let text = format!(
            "measure,reading\nstature,{:.2}\ncrotch height,{:.2}\n",
            height(Key::Stature, share[0]),
            height(Key::CrotchHeight, share[1])
        );
        pool(&read_tape(text.as_bytes(), "tape.csv", LengthUnit::Centimetre).expect("a sheet"))
    };
    let told = |share| cross_check(&scan, &sheet(share)).findings;
    let short = told([0.98, 0.98]);
    assert!(
        short.len() == 1 && short[0].text.contains("2.0 %"),
        "{short:?}"
    );
    let profile = Profile::assemble(&scan, &sheet([0.98, 0.98]));
    assert!(
        profile
            .findings
            .iter()
            .any(|finding| finding.topic == "scale")
    );
    assert_eq!(told([1.0, 1.0]), []);
    // A slip at one of them is no scale.
    assert_eq!(told([0.96, 1.0]), []);
}
