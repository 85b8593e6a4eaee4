//! A drawing as SVG, its units millimetres.

use super::drawing::{Drawing, Stroke};
use maud::html;
use std::fmt::Write;

/// Four places after the point: lines keep their length to 0.01 mm.
fn places(mm: f64) -> f64 {
    // `+ 0.0` turns a rounded -0 into 0.
    (mm * 1e4).round() / 1e4 + 0.0
}

pub(super) fn write(drawing: &Drawing) -> String {
    let [width, height] = [0, 1].map(|axis| places(drawing.high[axis] - drawing.low[axis]));
    // The page counts downwards.
    let page = |[x, y]: [f64; 2]| [places(x - drawing.low[0]), places(drawing.high[1] - y)];
    let drawn = html! {
        svg xmlns="http://www.w3.org/2000/svg" width={ (width) "mm" } height={ (height) "mm" }
            viewBox={ "0 0 " (width) " " (height) } role="img" {
            title { (drawing.title) }
            @for stroke in &drawing.strokes {
                path class=(stroke.pen.name()) d=(path(stroke, page)) fill="none" stroke="black"
                    stroke-width=(stroke.pen.breadth_mm()) stroke-dasharray=[dashes(stroke)] {}
            }
            @for words in &drawing.words {
                @let [x, y] = page(words.at);
                text x=(x) y=(y) font-family="Helvetica, Arial, sans-serif" font-size=(words.size_mm) {
                    (words.text)
                }
            }
        }
    };
    drawn.into_string() + "\n"
}

fn dashes(stroke: &Stroke) -> Option<String> {
    let [dash, gap] = stroke.pen.dashes_mm()?;
    Some(format!("{dash} {gap}"))
}

fn path(stroke: &Stroke, page: impl Fn([f64; 2]) -> [f64; 2]) -> String {
    let mut data = String::new();
    for (i, &point) in stroke.points.iter().enumerate() {
        let [x, y] = page(point);
        let letter = if i == 0 { 'M' } else { 'L' };
        // Writing to a string cannot fail.
        let _ = write!(data, "{letter}{x} {y}");
    }
    if stroke.closed {
        data.push('Z');
    }
    data
}
