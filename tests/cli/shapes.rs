//! Models and layers as the program writes them.

use crate::run::{SCAN, folder, girthwise};
use std::fs;

#[test]
fn a_model_is_written() {
    let folder = folder("model");
    let path = folder.join("body.glb");
    girthwise(["model", SCAN, "--out", path.to_str().unwrap()]).well();
    assert!(fs::read(&path).unwrap().starts_with(b"glTF"));
}

#[test]
fn layers_are_written_and_told() {
    let folder = folder("layers");
    let (pdf, svg) = (folder.join("form.pdf"), folder.join("svg"));
    let (pdf_name, svg_name) = (pdf.to_str().unwrap(), svg.to_str().unwrap());
    let said = girthwise([
        "layers", SCAN, "--every", "5 cm", "--out", pdf_name, "--svg", svg_name,
    ])
    .well();
    let count = said
        .lines()
        .filter(|line| line.starts_with("layer "))
        .count();
    // Crotch to armpit of the demo is about 45 cm.
    assert!((7..=10).contains(&count), "{said}");
    assert_eq!(fs::read_dir(&svg).unwrap().count(), count);
    assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF"));
}

#[test]
fn layers_that_cannot_be_are_refused_with_what_to_do() {
    let refused = |args: &[&str]| girthwise([&["layers", SCAN], args].concat()).refusal(2);
    assert!(refused(&["--out", "x.pdf"]).contains("--every"));
    assert!(refused(&["--every", "2 cm"]).contains("--out"));
    assert!(refused(&["--every", "2 ells", "--out", "x.pdf"]).contains("2 ells"));
    assert!(refused(&["--every", "0.1 mm", "--out", "x.pdf"]).contains("1000"));
    assert!(refused(&["--at", "hipp level", "--out", "x.pdf"]).contains("hip level"));
}
