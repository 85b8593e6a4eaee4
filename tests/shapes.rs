//! Models and layers, read back by libraries that share nothing with the code that wrote them.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use girthwise::Length;
use girthwise::frame::FrameOptions;
use girthwise::ingest::{Limits, read_scan};
use girthwise::layer::{Cut, Paper, Stack};
use girthwise::measure::Key;
use girthwise::model::{Detail, glb};
use girthwise::scan::{Scan, measure_scan};
use std::sync::LazyLock;

static DEMO: LazyLock<Scan> = LazyLock::new(|| {
    let raw = read_scan("data/demo/scan.ply".as_ref(), &Limits::default()).unwrap();
    measure_scan(raw, &FrameOptions::default(), |_| ()).unwrap()
});

fn perimeter(points: &[[f64; 2]]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points
        .iter()
        .zip(next)
        .map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1]))
        .sum()
}

fn stack() -> Stack {
    let cuts = ["waist", "hip", "knee", "101.3 cm"];
    let cuts = cuts.map(|text| Cut::named(text, &DEMO.landmarks).unwrap());
    Stack::cut(&DEMO, &cuts)
}

/// The glTF crate validates the document against the specification's rules and reads the bytes.
#[test]
fn another_reader_finds_skin_lines_and_landmarks() {
    for detail in [Detail::Light, Detail::Full] {
        let bytes = glb(&DEMO, detail).unwrap();
        let file = gltf::Gltf::from_slice(&bytes).unwrap();
        let blob = file.blob.clone().unwrap();
        let nodes: Vec<_> = file.nodes().collect();
        let named = |name: &str| nodes.iter().find(|node| node.name() == Some(name)).unwrap();
        let places = |name: &str| -> Vec<[f32; 3]> {
            let mesh = named(name).mesh().unwrap();
            let part = mesh.primitives().next().unwrap();
            let reader = part.reader(|_| Some(&blob));
            reader.read_positions().unwrap().collect()
        };
        let skin = places("skin");
        if detail == Detail::Full {
            assert_eq!(skin.len(), DEMO.body.mesh().points().len());
        } else {
            assert!(skin.len() < DEMO.body.mesh().points().len());
        }
        let top = skin.iter().map(|p| f64::from(p[1])).fold(0.0, f64::max);
        let stature = DEMO.body.stature().mm() / 1000.0;
        // Thinning draws the crown in a little.
        assert!((top - stature).abs() < 0.004, "{top} {stature}");

        // The bust stands out to the front, which is +z; the wearer's left is at +x.
        let left = named("left bust point").transform().decomposed().0;
        assert!(left[0] > 0.0 && left[2] > 0.05, "{left:?}");
        let scan = DEMO.measures.get(Key::WaistNarrowestGirth).unwrap();
        let ring = places("narrowest waist girth");
        let level = scan.level_mm.unwrap().mm() / 1000.0;
        assert!(ring.iter().all(|p| (f64::from(p[1]) - level).abs() < 1e-6));
        let flat: Vec<[f64; 2]> = ring
            .iter()
            .map(|p| [f64::from(p[0]) * 1000.0, f64::from(p[2]) * 1000.0])
            .collect();
        let skin_girth = DEMO.measures.get(Key::WaistNarrowestGirthSurface).unwrap();
        assert!((perimeter(&flat) - skin_girth.value).abs() < 0.1);
        for name in ["level lines", "landmarks", "left knee girth"] {
            named(name);
        }
        let marks = named("landmarks").children().count();
        assert_eq!(marks, DEMO.landmarks.found.len());
    }
}

/// The drawn lines, as an XML library reads them, are as long as the girths: 0.1 mm at full scale.
#[test]
fn svg_lines_are_as_long_as_the_girths() {
    let stack = stack();
    assert_eq!(stack.layers.len(), 4, "{:?}", stack.missing);
    for (layer, (_, text)) in stack.layers.iter().zip(stack.svg()) {
        let file = roxmltree::Document::parse(&text).unwrap();
        let root = file.root_element();
        let size: Vec<f64> = root
            .attribute("viewBox")
            .unwrap()
            .split_whitespace()
            .map(|n| n.parse().unwrap())
            .collect();
        // One unit of the drawing is one millimetre of paper.
        assert_eq!(root.attribute("width").unwrap(), format!("{}mm", size[2]));
        assert_eq!(root.attribute("height").unwrap(), format!("{}mm", size[3]));
        let cut: Vec<f64> = root
            .descendants()
            .filter(|node| node.attribute("class") == Some("cut"))
            .map(|node| perimeter(&svg_points(node.attribute("d").unwrap())))
            .collect();
        let (square, lines) = cut.split_last().unwrap();
        assert!((square - 400.0).abs() < 1e-3, "the test square: {square}");
        assert_eq!(lines.len(), layer.outlines.len());
        for (drawn, outline) in lines.iter().zip(&layer.outlines) {
            assert!(
                (drawn - outline.surface.mm()).abs() < 0.1,
                "{drawn} {outline:?}"
            );
        }
    }
    let knees = &stack.layers[0];
    assert_eq!(knees.outlines.len(), 2);
    let middle = |points: &[[f64; 2]]| points.iter().map(|p| p[0]).fold(0.0, |a, b| a + b);
    // The left leg comes first, and x is to the wearer's right.
    assert!(middle(&knees.outlines[0].skin_mm) < 0.0);
}

fn svg_points(data: &str) -> Vec<[f64; 2]> {
    let numbers: Vec<f64> = data
        .split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-')))
        .filter(|part| !part.is_empty())
        .map(|part| part.parse().unwrap())
        .collect();
    numbers.chunks(2).map(|pair| [pair[0], pair[1]]).collect()
}

/// A layer's girth is the measure's at the same height.
#[test]
fn layers_have_the_girths_of_the_measures() {
    let stack = stack();
    let waist = stack
        .layers
        .iter()
        .find(|layer| layer.name == "narrowest waist")
        .unwrap();
    for (key, girth) in [
        (Key::WaistNarrowestGirth, waist.outlines[0].taut),
        (Key::WaistNarrowestGirthSurface, waist.outlines[0].surface),
    ] {
        let value = DEMO.measures.get(key).unwrap().value;
        assert!((girth.mm() - value).abs() < 0.1, "{key:?} {girth} {value}");
    }
}

/// Every page of the PDF, as another library reads it: the sheets of a layer hold all of its line at
/// full scale (72 points to the inch, ISO 32000-1).
#[test]
fn pdf_sheets_hold_the_whole_line() {
    let stack = stack();
    for (paper, size) in [
        (Paper::A4, [210.0, 297.0]),
        (Paper::A3, [297.0, 420.0]),
        (Paper::Letter, [215.9, 279.4]),
    ] {
        let bytes = stack.pdf(paper);
        let file = lopdf::Document::load_mem(&bytes).unwrap();
        let pages = file.get_pages();
        assert!(pages.len() > stack.layers.len());
        let mut longest: Vec<f64> = Vec::new();
        for &page in pages.values() {
            let content = file.get_page_content(page);
            let content = lopdf::content::Content::decode(&content).unwrap();
            longest.extend(closed_lines(&content));
            let sheet = file.get_dictionary(page).unwrap().get(b"MediaBox").unwrap();
            let sides: Vec<f64> = sheet.as_array().unwrap()[2..]
                .iter()
                .map(|side| f64::from(side.as_float().unwrap()) * 25.4 / 72.0)
                .collect();
            let as_given =
                |w: f64, h: f64| (sides[0] - w).abs() < 0.01 && (sides[1] - h).abs() < 0.01;
            assert!(
                as_given(size[0], size[1]) || as_given(size[1], size[0]),
                "{sides:?}"
            );
        }
        for outline in stack.layers.iter().flat_map(|layer| &layer.outlines) {
            let girth = outline.surface.mm();
            let near = longest.iter().any(|line| (line - girth).abs() < 0.1);
            assert!(near, "no line of {girth} mm among {longest:?}");
        }
        assert!(
            longest.iter().any(|line| (line - 400.0).abs() < 1e-3),
            "no test square"
        );
    }
}

/// Lengths of the closed lines of a page in mm.
fn closed_lines(content: &lopdf::content::Content) -> Vec<f64> {
    let (mut lines, mut points) = (Vec::new(), Vec::new());
    for operation in &content.operations {
        match operation.operator.as_str() {
            "m" | "l" => {
                if operation.operator == "m" {
                    points.clear();
                }
                let at =
                    |i: usize| f64::from(operation.operands[i].as_float().unwrap()) * 25.4 / 72.0;
                points.push([at(0), at(1)]);
            }
            "h" => lines.push(perimeter(&points)),
            _ => {}
        }
    }
    lines
}

#[test]
fn heights_without_a_layer_say_why() {
    let high = Cut {
        name: "chin".to_owned(),
        height: DEMO.body.stature() * 0.87,
    };
    let stack = Stack::cut(&DEMO, &[high]);
    assert!(stack.layers.is_empty());
    assert!(
        stack.missing[0].reason.contains("armpits"),
        "{:?}",
        stack.missing
    );
    let error = Cut::named("left kneee", &DEMO.landmarks)
        .unwrap_err()
        .to_string();
    assert!(
        error.contains("waste") && error.contains("waist"),
        "{error}"
    );
    let none = Cut::every(
        Length::from_cm(2.0),
        Length::from_cm(90.0),
        Length::from_cm(80.0),
    );
    assert!(none.is_err());
    let some = Cut::every(
        Length::from_cm(2.0),
        Length::from_cm(80.0),
        Length::from_cm(85.0),
    )
    .unwrap();
    let heights: Vec<f64> = some.iter().map(|cut| cut.height.cm()).collect();
    assert_eq!(heights.len(), 2);
    assert!((heights[0] - 81.0).abs() < 1e-9 && (heights[1] - 83.0).abs() < 1e-9);
}
