//! A stack as a PDF at full scale.

use super::Stack;
use super::drawing::{Drawing, Pen, Stroke, Words, both, cross, crosses, square};
use super::tile::{EDGE_MM, FOOT_MM, Grid, Paper};
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

/// PDF counts in points: 72 to the inch (ISO 32000-1, 8.3.2.3).
const POINTS_PER_MM: f64 = 72.0 / 25.4;
const FONT: Name<'_> = Name(b"F");
/// Distance between crosses along a join, in mm.
const BETWEEN_MM: f64 = 60.0;
const FOOT_WORDS_MM: f64 = 3.2;

/// One page.
struct Page {
    size_mm: [f64; 2],
    bytes: Vec<u8>,
}

/// Writes all pages.
pub(super) fn write(stack: &Stack, paper: Paper) -> Vec<u8> {
    let crosses = crosses(stack);
    let count = stack.layers.len();
    let mut pages = vec![first_page(stack, paper)];
    for (i, layer) in stack.layers.iter().enumerate() {
        let drawing = Drawing::of(layer, i + 1, count, &crosses);
        let grid = Grid::of(&drawing, paper);
        for row in (0..grid.sheets[1]).rev() {
            for column in 0..grid.sheets[0] {
                pages.push(sheet(&drawing, &grid, [column, row]));
            }
        }
    }
    bind(pages)
}

/// Puts pages into a file.
fn bind(pages: Vec<Page>) -> Vec<u8> {
    let mut next = 0;
    let mut id = || {
        next += 1;
        Ref::new(next)
    };
    let (catalog, tree, font, info) = (id(), id(), id(), id());
    let numbered: Vec<(Ref, Ref, Page)> =
        pages.into_iter().map(|page| (id(), id(), page)).collect();
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(tree).lang(TextStr("en"));
    pdf.document_info(info)
        .title(TextStr("Layers of a body at full scale"));
    pdf.pages(tree)
        .kids(numbered.iter().map(|(page, ..)| *page))
        .count(i32::try_from(numbered.len()).unwrap_or(i32::MAX));
    for (page, content, Page { size_mm, bytes }) in &numbered {
        let [width, height] = size_mm.map(points);
        let mut leaf = pdf.page(*page);
        leaf.media_box(Rect::new(0.0, 0.0, width, height));
        leaf.parent(tree);
        leaf.contents(*content);
        leaf.resources().fonts().pair(FONT, font);
        leaf.finish();
        pdf.stream(*content, bytes);
    }
    // One of the fonts every reader has, so that none need be embedded.
    pdf.type1_font(font)
        .base_font(Name(b"Helvetica"))
        .encoding_predefined(Name(b"WinAnsiEncoding"));
    pdf.finish()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the writer takes single precision: 0.00002 mm on a sheet"
)]
fn points(mm: f64) -> f32 {
    (mm * POINTS_PER_MM) as f32
}

/// What to do, a test square, and what the stack holds.
fn first_page(stack: &Stack, paper: Paper) -> Page {
    let size_mm = paper.sides_mm();
    let mut pen = Content::new();
    let mut y = size_mm[1] - 2.0 * EDGE_MM;
    let mut line = |pen: &mut Content, size: f64, text: &str| {
        let words = Words {
            at: [EDGE_MM, y],
            size_mm: size,
            text: text.to_owned(),
        };
        y -= 1.6 * size;
        // What does not fit on the page stands on the layers themselves.
        if words.at[1] > EDGE_MM {
            write_words(pen, &words, [0.0, 0.0]);
        }
    };
    line(&mut pen, 6.0, "Layers of a body at full scale");
    for text in INSTRUCTIONS {
        line(&mut pen, 3.6, text);
    }
    line(&mut pen, 3.6, "");
    let mut list = Content::new();
    for (i, layer) in stack.layers.iter().enumerate() {
        let text = format!(
            "layer {}: {}, {} above the floor",
            i + 1,
            layer.name,
            both(layer.height)
        );
        line(&mut list, 3.2, &text);
    }
    for missing in &stack.missing {
        line(
            &mut list,
            3.2,
            &format!("not cut: {}: {}", missing.name, missing.reason),
        );
    }
    let low = [size_mm[0] - EDGE_MM - super::drawing::SQUARE_MM, EDGE_MM];
    stroke(&mut pen, &square(low), [0.0, 0.0]);
    let words = Words {
        at: [low[0] + 10.0, low[1] + 50.0],
        size_mm: 4.0,
        text: "10 cm: measure it".to_owned(),
    };
    write_words(&mut pen, &words, [0.0, 0.0]);
    let mut bytes = pen.finish().into_vec();
    bytes.push(b'\n');
    bytes.extend(list.finish().into_vec());
    Page { size_mm, bytes }
}

const INSTRUCTIONS: &[&str] = &[
    "Print at 100 percent, with no scaling to fit the page, and measure the square below before cutting.",
    "Glue the sheets of a layer together so that the dotted joining lines and their crosses meet.",
    "Cut along the solid line: it is the skin. The dashed line is where a taut tape bridges a hollow.",
    "Seen from above, front at the top: the right of the sheet is the wearer's right.",
    "Stack the layers from below so that their two crosses on the midline stand over one another.",
    "Layers hold what the scan holds: breathing, posture and clothing of that moment. Check girths by tape.",
    "A body's shape is private: keep these sheets as you would keep a photograph.",
];

/// One sheet of a layer.
fn sheet(drawing: &Drawing, grid: &Grid, at: [usize; 2]) -> Page {
    let corner = grid.corner_mm(at);
    let origin = [EDGE_MM - corner[0], EDGE_MM + FOOT_MM - corner[1]];
    let mut pen = Content::new();
    pen.save_state();
    let [x, y] = [EDGE_MM, EDGE_MM + FOOT_MM].map(points);
    let [width, height] = grid.field_mm.map(points);
    pen.rect(x, y, width, height).clip_nonzero().end_path();
    for line in drawing.strokes.iter().chain(&joins(grid)) {
        stroke(&mut pen, line, origin);
    }
    for words in &drawing.words {
        write_words(&mut pen, words, origin);
    }
    pen.restore_state();
    let text = format!(
        "{}; sheet {} of {}",
        drawing.title,
        grid.name(at),
        grid.sheets[0] * grid.sheets[1]
    );
    let foot = Words {
        at: [EDGE_MM, EDGE_MM],
        size_mm: FOOT_WORDS_MM,
        text,
    };
    write_words(&mut pen, &foot, [0.0, 0.0]);
    Page {
        size_mm: grid.page_mm,
        bytes: pen.finish().into_vec(),
    }
}

/// Joining lines with their crosses, over the whole grid.
fn joins(grid: &Grid) -> Vec<Stroke> {
    let mut strokes = Vec::new();
    for axis in 0..2 {
        let other = 1 - axis;
        let low = grid.start_mm[other];
        let high =
            grid.corner_mm([grid.sheets[0] - 1, grid.sheets[1] - 1])[other] + grid.field_mm[other];
        for join in grid.joins_mm(axis) {
            let place = |along: f64| {
                if axis == 0 {
                    [join, along]
                } else {
                    [along, join]
                }
            };
            strokes.push(Stroke {
                pen: Pen::Join,
                points: vec![place(low), place(high)],
                closed: false,
            });
            let mut along = low + BETWEEN_MM / 2.0;
            while along < high {
                strokes.extend(cross(place(along), Pen::Join));
                along += BETWEEN_MM;
            }
        }
    }
    strokes
}

fn stroke(pen: &mut Content, line: &Stroke, origin: [f64; 2]) {
    let dashes = line.pen.dashes_mm().map(|dashes| dashes.map(points));
    pen.set_line_width(points(line.pen.breadth_mm()))
        .set_line_cap(LineCapStyle::ButtCap)
        .set_line_join(LineJoinStyle::RoundJoin)
        .set_dash_pattern(dashes.into_iter().flatten(), 0.0);
    for (i, point) in line.points.iter().enumerate() {
        let [x, y] = [0, 1].map(|axis| points(point[axis] + origin[axis]));
        if i == 0 {
            pen.move_to(x, y);
        } else {
            pen.line_to(x, y);
        }
    }
    if line.closed {
        pen.close_path();
    }
    pen.stroke();
}

fn write_words(pen: &mut Content, words: &Words, origin: [f64; 2]) {
    let [x, y] = [0, 1].map(|axis| points(words.at[axis] + origin[axis]));
    pen.begin_text()
        .set_font(FONT, points(words.size_mm))
        .next_line(x, y)
        .show(Str(&latin(&words.text)))
        .end_text();
}

/// The text in the font's encoding; a letter it lacks becomes a question mark.
fn latin(text: &str) -> Vec<u8> {
    text.chars()
        .map(|c| u8::try_from(c).unwrap_or(b'?'))
        .collect()
}
