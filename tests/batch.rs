//! Many scans to one table: order, going on after a stop, shards, threads.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;

use common::body::{data, measured};
use girthwise::batch::{
    BatchOptions, Shard, Table, columns, find_scans, measure_all, read_list, schema,
};
use girthwise::measure::Key;
use std::fs;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

/// A folder of a test's own, empty.
fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("batch")
        .join(name);
    if path.exists() {
        fs::remove_dir_all(&path).unwrap();
    }
    fs::create_dir_all(&path).unwrap();
    path
}

/// A folder with two bodies and three broken files, in sub-folders, and some that are no scans.
fn mixed(name: &str) -> PathBuf {
    let to = folder(name);
    fs::create_dir_all(to.join("sub/deep")).unwrap();
    for (from, name) in [
        ("demo/scan.ply", "sub/demo, \"quoted\".PLY"),
        ("bodies/body-05.ply", "b.ply"),
        ("regressions/bad-nan.obj", "a.obj"),
        ("regressions/bad-empty.ply", "sub/deep/z.ply"),
        ("regressions/bad-cut-in-text.ply", "z.ply"),
        ("demo/tape.csv", "tape.csv"),
        ("demo/scan.ply", ".hidden.ply"),
    ] {
        fs::copy(data(from), to.join(name)).unwrap();
    }
    to
}

fn table_of(scans: &[PathBuf], jobs: usize, with_header: bool) -> Vec<u8> {
    let options = BatchOptions {
        jobs: NonZeroUsize::new(jobs),
        ..BatchOptions::default()
    };
    let mut bytes = Vec::new();
    let mut table = Table::new(&mut bytes, "table", with_header).unwrap();
    let tally = measure_all(scans, &options, &mut table, |_| ()).unwrap();
    assert_eq!(tally.measured + tally.failed, scans.len());
    bytes
}

fn rows(table: &[u8]) -> Vec<csv::StringRecord> {
    csv::Reader::from_reader(table)
        .records()
        .map(|row| row.unwrap())
        .collect()
}

#[test]
fn a_row_a_scan_in_the_order_of_the_names() {
    let scans = find_scans(&[mixed("order")]).unwrap();
    let one = table_of(&scans, 1, true);
    assert!(
        one == table_of(&scans, 4, true),
        "the number of jobs shows in the table"
    );
    assert!(
        one == table_of(&scans, 7, true),
        "more jobs than scans show in the table"
    );

    let rows = rows(&one);
    let ends = [
        "a.obj",
        "b.ply",
        "sub/deep/z.ply",
        "sub/demo, \"quoted\".PLY",
        "z.ply",
    ];
    let status = ["failed", "measured", "failed", "measured", "failed"];
    assert_eq!(rows.len(), ends.len());
    for ((row, end), status) in rows.iter().zip(ends).zip(status) {
        assert_eq!(row.len(), columns().len());
        assert_eq!(row[0], schema());
        assert!(row[1].ends_with(end), "{} is not {end}", &row[1]);
        assert_eq!(row[2].len(), 64, "no digest of {end}");
        assert_eq!(&row[3], status);
        assert_eq!(
            row[4].is_empty(),
            status == "measured",
            "{end}: {}",
            &row[4]
        );
        assert_eq!(
            row.iter().skip(5).all(str::is_empty),
            status == "failed",
            "{end}"
        );
    }

    // A cell is the very value that measuring the scan alone gives.
    let alone = measured(common::body::load("bodies/body-05.ply"));
    let cell = |name: &str| {
        let at = columns().iter().position(|column| column == name).unwrap();
        rows[1][at].parse::<f64>().unwrap()
    };
    let hip = alone.measures.get(Key::HipGirth).unwrap();
    assert_eq!(cell("hip_girth_mm").to_bits(), hip.value.to_bits());
    assert_eq!(cell("hip_girth_mm_sd").to_bits(), hip.spread.sd.to_bits());
    let withheld = rows[1]
        .iter()
        .skip(6)
        .step_by(2)
        .filter(|cell| cell.is_empty());
    assert_eq!(withheld.count(), alone.measures.withheld().count());
}

#[test]
fn shards_are_the_whole_together() {
    let scans = find_scans(&[mixed("shards")]).unwrap();
    let whole = table_of(&scans, 2, true);
    let mut joined = Vec::new();
    for text in ["1/3", "2/3", "3/3"] {
        let shard: Shard = text.parse().unwrap();
        joined.extend(table_of(&shard.of(scans.clone()), 2, shard.is_first()));
    }
    let sorted = |table: &[u8]| {
        let mut rows = rows(table);
        rows.sort_by(|a, b| a[1].cmp(&b[1]));
        rows
    };
    assert!(joined.starts_with(columns().join(",").as_bytes()));
    assert_eq!(sorted(&joined), sorted(&whole));
}

/// Cut at every kind of place, the table is made whole again to the byte; scans with a whole row
/// are not measured again.
#[test]
fn resumes_wherever_the_table_was_cut() {
    let to = folder("resume");
    for name in [
        "a, with comma.obj",
        "b\n\"two lines\".obj",
        "c.obj",
        "ü.obj",
    ] {
        fs::copy(data("regressions/bad-nan.obj"), to.join(name)).unwrap();
    }
    let scans = find_scans(std::slice::from_ref(&to)).unwrap();
    for with_header in [true, false] {
        let whole = table_of(&scans, 1, with_header);
        let path = to.join("table.csv");
        let mut counts = Vec::new();
        // Near every line end each byte, else one in a few: the long runs of commas are alike.
        let near = |cut: usize| {
            let around = cut.saturating_sub(3)..(cut + 3).min(whole.len());
            whole[around].contains(&b'\n') || whole.get(cut) != Some(&b',') && cut.is_multiple_of(7)
        };
        for cut in (0..=whole.len()).filter(|&cut| cut < 4 || near(cut)) {
            fs::write(&path, &whole[..cut]).unwrap();
            let (mut table, held) = Table::resume(&path, with_header).unwrap();
            let left: Vec<_> = scans
                .iter()
                .filter(|scan| !held.has(&girthwise::batch::name(scan)))
                .cloned()
                .collect();
            assert_eq!(held.failed() + left.len(), scans.len());
            let options = BatchOptions {
                jobs: Some(NonZeroUsize::MIN),
                ..Default::default()
            };
            measure_all(&left, &options, &mut table, |_| ()).unwrap();
            assert!(
                fs::read(&path).unwrap() == whole,
                "cut at {cut} of {}",
                whole.len()
            );
            counts.push(left.len());
        }
        counts.dedup();
        assert_eq!(
            counts,
            [4, 3, 2, 1, 0],
            "rows lost are as far as the cut goes"
        );
    }
}

#[test]
fn a_strange_or_damaged_table_is_left_as_it_is() {
    let to = folder("strange");
    let good = String::from_utf8(table_of(&[data("regressions/bad-nan.obj")], 1, true)).unwrap();
    let (header, row) = good.split_once('\n').unwrap();
    let path = to.join("table.csv");
    for (text, with_header) in [
        ("a letter to a friend".to_owned(), true),
        ("a letter to a friend\n".to_owned(), false),
        ("name,girth\nanna,900\n".to_owned(), true),
        (good.replacen(&schema(), "0-00000000", 1), true),
        (good.replacen("bust_girth_mm", "chest", 1), true),
        (format!("{header}\n{}\n{row}", &row[..90]), true),
        (good.clone(), false),
    ] {
        fs::write(&path, &text).unwrap();
        let error = Table::resume(&path, with_header).unwrap_err();
        assert!(error.is_input(), "{error}");
        assert!(error.to_string().contains("begin another table"), "{error}");
        assert_eq!(fs::read_to_string(&path).unwrap(), text);
    }
    assert!(
        Table::create(&path, true).is_err(),
        "a table was written over"
    );
}

#[test]
fn lists_have_comments_and_paths_that_are_not_there() {
    let broken = data("regressions/bad-nan.obj");
    let list = format!(
        "\u{feff}# remark\r\n\r\n  nowhere/x.ply \r\n{0}\n{0}\n",
        broken.display()
    );
    let scans = find_scans(&read_list(&list)).unwrap();
    assert_eq!(scans.len(), 2, "{scans:?}");
    let table = table_of(&scans, 2, true);
    let rows = rows(&table);
    let lost = rows.iter().find(|row| &row[1] == "nowhere/x.ply").unwrap();
    assert_eq!((&lost[2], &lost[3]), ("", "failed"));
    assert!(lost[4].contains("check the name"), "{}", &lost[4]);
}

/// A folder gives every format that is read, packed or not, and nothing else.
#[test]
fn a_folder_gives_all_formats() {
    let to = folder("formats");
    let scans = ["a.PLY", "b.obj", "c.stl", "d.glb", "e.gltf", "f.stl.gz"];
    for name in scans.iter().chain(&["notes.txt", "notes.txt.gz", "gz"]) {
        fs::write(to.join(name), b"").unwrap();
    }
    let found = find_scans(std::slice::from_ref(&to)).unwrap();
    let names: Vec<_> = found.iter().filter_map(|path| path.file_name()).collect();
    assert_eq!(names, scans);
}

/// Two runs that go on with one table would mix their rows.
#[test]
fn a_table_is_for_one_run_at_a_time() {
    let path = folder("lock").join("table.csv");
    let first = Table::create(&path, true).unwrap();
    let before = fs::read(&path).unwrap();
    let error = Table::resume(&path, true).unwrap_err();
    assert!(
        error.to_string().contains("another run is writing"),
        "{error}"
    );
    assert_eq!(fs::read(&path).unwrap(), before);
    drop(first);
    let (second, _) = Table::resume(&path, true).unwrap();
    assert!(Table::resume(&path, true).is_err());
    drop(second);
    assert!(Table::resume(&path, true).is_ok());
}

/// Read back by the library's own reader, a Parquet table holds what the CSV table holds.
#[cfg(feature = "parquet")]
#[test]
fn parquet_holds_what_csv_holds() {
    use girthwise::batch::ParquetTable;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;

    let mut scans = find_scans(&[mixed("parquet")]).unwrap();
    let broken = data("regressions/bad-nan.obj");
    // More rows than a group holds.
    scans.extend(std::iter::repeat_n(broken, 1100));
    let expected = rows(&table_of(&scans, 2, true));
    let path = folder("parquet-table").join("table.parquet");
    let mut table = ParquetTable::create(&path).unwrap();
    measure_all(&scans, &BatchOptions::default(), &mut table, |_| ()).unwrap();
    assert!(
        ParquetTable::create(&path).is_err(),
        "a table was written over"
    );
    table.finish().unwrap();

    let reader = SerializedFileReader::new(fs::File::open(&path).unwrap()).unwrap();
    assert_eq!(reader.num_row_groups(), expected.len().div_ceil(512));
    let mut count = 0;
    for (row, expected) in reader.get_row_iter(None).unwrap().zip(&expected) {
        let row = row.unwrap();
        let names: Vec<_> = row
            .get_column_iter()
            .map(|(name, _)| name.clone())
            .collect();
        assert_eq!(names, columns());
        for ((_, cell), expected) in row.get_column_iter().zip(expected) {
            match cell {
                Field::Null => assert!(expected.is_empty()),
                Field::Str(text) => assert_eq!(text, expected),
                Field::Double(value) => {
                    assert_eq!(value.to_bits(), expected.parse::<f64>().unwrap().to_bits());
                }
                other => panic!("{other:?}"),
            }
        }
        count += 1;
    }
    assert_eq!(count, expected.len());
}
