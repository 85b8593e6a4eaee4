//! What the program refuses: with its place, what to do, the exit code told in the help, and in time.

use crate::run::{GARMENT, SCAN, TAPE, bytes, file, folder, girthwise};
use girthwise::ingest::{Limits, read_scan, read_scan_bytes};
use std::fmt::Write;
use std::path::Path;

/// Points and faces of a mesh.
type Mesh = (Vec<[f64; 3]>, Vec<[u32; 3]>);

fn demo() -> Mesh {
    let mesh = read_scan_bytes(SCAN, &bytes(SCAN), &Limits::default())
        .unwrap()
        .mesh;
    let points = mesh.points().iter().map(|p| [p.x, p.y, p.z]).collect();
    (points, mesh.faces().to_vec())
}

fn obj((points, faces): &Mesh) -> String {
    let mut text = String::new();
    for [x, y, z] in points {
        writeln!(text, "v {x} {y} {z}").unwrap();
    }
    for [a, b, c] in faces {
        writeln!(text, "f {} {} {}", a + 1, b + 1, c + 1).unwrap();
    }
    text
}

/// The demo with the faces on one side of a height only; y is up in its file, in cm.
fn part(keep: impl Fn(f64) -> bool) -> String {
    let (points, faces) = demo();
    let floor = points.iter().map(|p| p[1]).fold(f64::INFINITY, f64::min);
    let faces = faces
        .into_iter()
        .filter(|face| {
            face.iter()
                .all(|&corner| keep(points[corner as usize][1] - floor))
        })
        .collect();
    obj(&(points, faces))
}

/// `measure` must refuse these bytes, name the file, and hold the words.
fn refuses(name: &str, content: impl AsRef<[u8]>, words: &[&str]) {
    let path = file(&folder(name), name, content);
    let said = girthwise(["measure", &path]).refusal(1);
    assert!(said.starts_with("girthwise: "), "{said}");
    for word in words.iter().chain([&name]) {
        assert!(said.contains(word), "{word} is missing in: {said}");
    }
}

#[test]
fn files_the_system_refuses() {
    let said = girthwise(["measure", "nowhere.ply"]).refusal(3);
    assert!(
        said.contains("nowhere.ply") && said.contains("check the name"),
        "{said}"
    );
    let said = girthwise(["measure", "data/demo"]).refusal(3);
    assert!(said.contains("data/demo"), "{said}");
    let missing = [
        ["crosscheck", SCAN, "--tape", "nowhere.csv"],
        ["fit", "nowhere.json", "--garment", GARMENT],
    ];
    for args in missing {
        assert!(girthwise(args).refusal(3).contains("nowhere."));
    }
}

#[test]
fn files_that_are_no_scan() {
    let demo = bytes(SCAN);
    refuses(
        "empty.ply",
        b"",
        &["the file is empty", "export the scan again"],
    );
    refuses(
        "noise.ply",
        [0x9d; 3000],
        &["does not hold what", "export the scan again"],
    );
    refuses("words.txt", "no scan\n".repeat(40), &["PLY, OBJ", "export"]);
    refuses(
        "cut.ply",
        &demo[..demo.len() / 2],
        &["face ", "cut short", "export the scan again"],
    );
}

#[test]
fn scans_whose_header_lies() {
    let demo = bytes(SCAN);
    let (head, rest) = demo.split_at(header(&demo));
    let head = std::str::from_utf8(head).unwrap();
    let with = |from: &str, to: &str| {
        assert!(head.contains(from));
        [head.replace(from, to).as_bytes(), rest].concat()
    };
    let more = with("vertex 13344", "vertex 13345000");
    refuses(
        "more.ply",
        more,
        &["promises 13345000 rows", "export the scan again"],
    );
    let huge = with("vertex 13344", "vertex 4000000000");
    refuses("huge.ply", huge, &["promises 4000000000 rows"]);
    refuses(
        "fewer.ply",
        with("vertex 13344", "vertex 13000"),
        &["face ", "13000 vertices"],
    );
    let cloud = with("face 26671", "face 0");
    refuses(
        "cloud.ply",
        cloud,
        &["no faces", "point cloud", "export the scan as a mesh"],
    );
}

#[test]
fn scans_with_a_fault_inside() {
    let demo = bytes(SCAN);
    let start = header(&demo);
    let mut nan = demo.clone();
    nan[start..start + 4].copy_from_slice(&f32::NAN.to_le_bytes());
    refuses(
        "nan.ply",
        nan,
        &["vertex 0", "NaN", "export the scan again"],
    );
    let mut index = demo.clone();
    let last = index.len() - 4;
    index[last..].copy_from_slice(&999_999_i32.to_le_bytes());
    refuses(
        "index.ply",
        index,
        &["face 26670", "999999", "export the scan again"],
    );
}

/// Length of the header.
fn header(ply: &[u8]) -> usize {
    let end = b"end_header\n";
    ply.windows(end.len())
        .position(|window| window == end)
        .unwrap()
        + end.len()
}

#[test]
fn shapes_that_are_no_whole_body() {
    let side = [0.0, 170.0];
    let corner = |i: usize| [side[i & 1], side[i >> 1 & 1], side[i >> 2 & 1]];
    let faces = [
        [0, 2, 3],
        [0, 3, 1],
        [4, 5, 7],
        [4, 7, 6],
        [0, 1, 5],
        [0, 5, 4],
        [2, 6, 7],
        [2, 7, 3],
        [0, 4, 6],
        [0, 6, 2],
        [1, 3, 7],
        [1, 7, 5],
    ];
    let cube = ((0..8).map(corner).collect(), faces.to_vec());
    refuses(
        "cube.obj",
        obj(&cube),
        &["no standing body", "whole person"],
    );
    // 100 cm is the waist of the demo, which is 157 cm tall.
    refuses(
        "upper.obj",
        part(|height| height > 100.0),
        &["no standing body", "whole person"],
    );
    refuses(
        "lower.obj",
        part(|height| height < 100.0),
        &["cut off above the legs", "top of the head"],
    );
}

#[test]
fn two_people_in_one_file() {
    let (mut points, mut faces) = demo();
    let count = u32::try_from(points.len()).unwrap();
    points.extend(
        points
            .clone()
            .into_iter()
            .map(|[x, y, z]| [x + 120.0, y, z]),
    );
    faces.extend(
        faces
            .clone()
            .into_iter()
            .map(|face| face.map(|corner| corner + count)),
    );
    refuses(
        "two.obj",
        obj(&(points, faces)),
        &["two bodies", "a file of their own"],
    );
}

/// Every broken file ever met; the library's own test knows what each refusal says.
#[test]
fn broken_files_of_the_collection() {
    let mut met = 0;
    for entry in Path::new("data/regressions").read_dir().unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        if name.starts_with("bad-") {
            // A count over the limits is refused by its own code.
            let is_limit = read_scan(&path, &Limits::default()).is_err_and(|e| e.is_limit());
            let code = if is_limit { 4 } else { 1 };
            let said = girthwise([Path::new("measure"), &path]).refusal(code);
            assert!(said.contains(name), "{said}");
            met += 1;
        }
    }
    assert!(met > 30, "only {met} files found");
}

#[test]
fn options_that_do_not_fit() {
    let bad = [
        &["measure", SCAN, "--unit", "furlong"][..],
        &["measure", SCAN, "--up", "w"],
        &["measure", SCAN, "--show", "ft"],
        &["measure"],
        &["crosscheck", SCAN],
        &["measure", SCAN, "--front", "x"],
        &["unheard-of"],
    ];
    for args in bad {
        let said = girthwise(args).refusal(2);
        let names_it = args.iter().skip(2).any(|arg| said.contains(arg)) || args.len() < 3;
        assert!(names_it || said.contains("--tape"), "{args:?}: {said}");
    }
}

#[test]
fn every_fault_of_a_tape_sheet_at_once() {
    let sheet = "measure,reading,side\nbust girt,33\nhip girth,3x\ncalf girth,14\nhip girth,40\n";
    let path = file(&folder("sheet"), "slips.csv", sheet);
    let said = girthwise(["crosscheck", SCAN, "--tape", &path]).refusal(1);
    for words in [
        "slips.csv: 3 faults",
        "row 1 (line 2), column \"measure\": \"bust girt\"",
        "row 2 (line 3), column \"reading\": \"3x\"",
        "row 3 (line 4), column \"side\": ",
        "write left or right",
    ] {
        assert!(said.contains(words), "{words} is missing in: {said}");
    }
}

/// The sheets are read first: nobody waits for a scan to hear of a slip of the pen.
#[test]
fn sheets_before_the_scan() {
    let to = folder("first");
    let empty = file(&to, "empty.csv", "");
    let said = girthwise(["crosscheck", "nowhere.ply", "--tape", &empty]).refusal(1);
    assert!(said.contains("empty.csv"), "{said}");
    let garment = file(&to, "garment.toml", "name = \"x\"\n");
    let args = ["all", "nowhere.ply", "--tape", TAPE, "--garment", &garment];
    assert!(girthwise(args).refusal(1).contains("garment.toml"));
}

#[test]
fn every_fault_of_a_garment_sheet_at_once() {
    let to = folder("garment");
    let profile = file(&to, "p.json", girthwise(["measure", SCAN, "--json"]).well());
    let refused = |name: &str, text: &[u8], words: &[&str]| {
        let path = file(&to, name, text);
        let said = girthwise(["fit", &profile, "--garment", &path]).refusal(1);
        for word in words.iter().chain([&name]) {
            assert!(said.contains(word), "{word} is missing in: {said}");
        }
    };
    let demo = String::from_utf8(bytes(GARMENT)).unwrap();
    let slips = demo
        .replace("waist_line = \"seam\"", "waist_line = \"belt\"")
        .replace("edge_limit = \"1/2\"", "edge_limit = \"half\"");
    refused(
        "slips.toml",
        slips.as_bytes(),
        &["2 faults", "\"belt\"", "\"half\"", "line "],
    );
    refused("latin.toml", b"name = \"caf\xe9\"\n", &["byte 11", "UTF-8"]);
    refused("torn.toml", b"name = \n", &["line 1", "key = value"]);
    refused(
        "empty.toml",
        b"",
        &["name: is missing", "sizes: is missing"],
    );
}

#[test]
fn documents_that_are_no_profile() {
    let to = folder("profile");
    let good = girthwise(["measure", SCAN, "--json"]).well();
    let refused = |name: &str, text: &str, words: &[&str]| {
        let path = file(&to, name, text);
        let said = girthwise(["fit", &path, "--garment", GARMENT]).refusal(1);
        for word in words.iter().chain([&name]) {
            assert!(said.contains(word), "{word} is missing in: {said}");
        }
    };
    let later = good.replacen("\"schema\": 1", "\"schema\": 9", 1);
    refused(
        "later.json",
        &later,
        &["version 9", "version 1", "write it anew"],
    );
    refused(
        "words.json",
        "hello",
        &["line 1", "girthwise measure --json"],
    );
    refused(
        "cut.json",
        &good[..good.len() / 2],
        &["line ", "girthwise measure --json"],
    );
    refused("empty.json", "", &["line 1", "girthwise measure --json"]);
    let wrong = good.replacen("\"measures\": [", "\"measures\": [7,", 1);
    refused("wrong.json", &wrong, &["line 3"]);
}
