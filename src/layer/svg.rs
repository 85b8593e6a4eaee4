//! A drawing as SVG, its units millimetres.

use super::drawing::{Drawing, Stroke};
use svg::Document;
use svg::node::element::path::Data;
use svg::node::element::{Path, Text, Title};

/// Places after the point of a coordinate: lines keep their length to 0.01 mm.
fn places(mm: f64) -> f64 {
    (mm * 1e4).round() / 1e4
}

pub(super) fn write(drawing: &Drawing) -> String {
    let [width, height] = [0, 1].map(|axis| places(drawing.high[axis] - drawing.low[axis]));
    // The page counts downwards.
    let page = |[x, y]: [f64; 2]| [places(x - drawing.low[0]), places(drawing.high[1] - y)];
    let mut document = Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", (0, 0, width, height))
        .set("role", "img")
        .add(Title::new(drawing.title.as_str()));
    for stroke in &drawing.strokes {
        document = document.add(path(stroke, page));
    }
    for words in &drawing.words {
        let [x, y] = page(words.at);
        let text = Text::new(words.text.as_str())
            .set("x", x)
            .set("y", y)
            .set("font-family", "Helvetica, Arial, sans-serif")
            .set("font-size", words.size_mm);
        document = document.add(text);
    }
    format!("{document}\n")
}

fn path(stroke: &Stroke, page: impl Fn([f64; 2]) -> [f64; 2]) -> Path {
    // `Data` holds single precision, which is 0.00003 mm on a sheet of half a metre.
    let mut points = stroke.points.iter().map(|&point| {
        let [x, y] = page(point);
        (x, y)
    });
    let mut data = Data::new();
    if let Some(first) = points.next() {
        data = data.move_to(first);
    }
    data = points.fold(data, Data::line_to);
    if stroke.closed {
        data = data.close();
    }
    let path = Path::new()
        .set("class", stroke.pen.name())
        .set("d", data)
        .set("fill", "none")
        .set("stroke", "black")
        .set("stroke-width", stroke.pen.breadth_mm());
    match stroke.pen.dashes_mm() {
        Some([dash, gap]) => path.set("stroke-dasharray", format!("{dash} {gap}")),
        None => path,
    }
}
