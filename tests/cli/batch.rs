//! The command `batch`: its files and its exit codes.

use crate::run::{SCAN, bytes, file, folder, girthwise};
use girthwise::profile::Profile;
use std::fs;

const BROKEN: &str = "data/regressions/bad-nan.obj";

#[test]
fn all_measured_ends_with_0_and_profiles_fit_their_rows() {
    let to = folder("batch-good");
    let profiles = to.join("profiles");
    let profiles_arg = profiles.to_str().unwrap();
    let table = girthwise(["batch", SCAN, "--profiles", profiles_arg, "--jobs", "2"]).well();
    let row = table.lines().nth(1).unwrap();
    let digest = row.split(',').nth(2).unwrap();
    let names: Vec<_> = fs::read_dir(&profiles)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_eq!(names, [format!("{digest}.json")]);
    let text = fs::read_to_string(profiles.join(&names[0])).unwrap();
    assert_eq!(text, girthwise(["measure", SCAN, "--json"]).well());
    let profile = Profile::from_json("p", &text).unwrap();
    assert!(row.contains(&format!(",{},", profile.measures[0].measure.value)));
}

#[test]
fn some_failed_ends_with_5_and_resume_keeps_the_table() {
    let to = folder("batch-some");
    let table = to.join("table.csv");
    let list = file(&to, "list.txt", format!("# two\n{BROKEN}\nnowhere.ply\n"));
    let args = ["batch", "--list", &list, "--out", table.to_str().unwrap()];
    let ran = girthwise(args);
    assert_eq!((ran.code, ran.out.as_str()), (5, ""));
    assert!(ran.err.contains("2 scans failed"), "{}", ran.err);
    let whole = fs::read(&table).unwrap();

    let said = girthwise(args).refusal(2);
    assert!(said.contains("--resume"), "{said}");
    fs::write(&table, &whole[..whole.len() - 5]).unwrap();
    for _ in 0..2 {
        assert_eq!(girthwise(args.iter().chain(&["--resume"])).code, 5);
        assert!(fs::read(&table).unwrap() == whole);
    }
}

#[test]
fn shards_on_standard_output_follow_on_each_other() {
    let to = folder("batch-shards");
    for name in ["a.obj", "b.obj", "c.obj"] {
        file(&to, name, bytes(BROKEN));
    }
    let run = |shard: &str| {
        let ran = girthwise(["batch", to.to_str().unwrap(), "--shard", shard]);
        assert_eq!(ran.code, if shard == "4/4" { 0 } else { 5 });
        ran.out
    };
    let joined: String = ["1/4", "2/4", "3/4", "4/4"].map(run).concat();
    assert_eq!(joined, run("1/1"));
}

#[test]
fn what_cannot_begin_is_refused() {
    let empty = folder("batch-empty");
    let empty = empty.to_str().unwrap();
    assert!(
        girthwise(["batch", empty])
            .refusal(2)
            .contains("no PLY, OBJ, STL or glTF")
    );
    assert!(
        girthwise(["batch", "nowhere"])
            .refusal(3)
            .contains("nowhere")
    );
    for bad in [
        &["batch"][..],
        &["batch", empty, "--shard", "0/2"],
        &["batch", empty, "--jobs", "0"],
        &["batch", empty, "--resume"],
    ] {
        girthwise(bad).refusal(2);
    }
    let help = girthwise(["batch", "--help"]).well();
    assert!(help.contains("5 a batch is done, but some"), "{help}");
}

#[test]
fn a_parquet_table_is_written_or_refused_by_what_was_built_in() {
    let to = folder("batch-parquet");
    let table = to.join("table.parquet");
    let args = ["batch", BROKEN, "--out", table.to_str().unwrap()];
    if cfg!(feature = "parquet") {
        assert_eq!(girthwise(args).code, 5);
        // The magic bytes of the format, at both ends.
        let written = fs::read(&table).unwrap();
        assert!(written.starts_with(b"PAR1") && written.ends_with(b"PAR1"));
        assert!(girthwise(args).refusal(2).contains("is there already"));
        let resumed = girthwise(args.iter().chain(&["--resume"])).refusal(2);
        assert!(resumed.contains("write CSV"), "{resumed}");
    } else {
        let said = girthwise(args).refusal(2);
        assert!(said.contains("--features parquet"), "{said}");
        assert!(!table.exists());
    }
}
