//! A layer as lines and words on a plane, in millimetres.

use super::{Layer, Outline, Stack};
use crate::length::text::Shown;

/// What a line is for, and so how it looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pen {
    /// Where to cut: the skin.
    Cut,
    /// Where a taut tape leaves the skin.
    Tape,
    /// Midline and the crosses on it.
    Guide,
    /// Where sheets meet, and its crosses.
    Join,
}

impl Pen {
    /// Breadth of the line in mm; a cut is made along its middle.
    pub(super) const fn breadth_mm(self) -> f64 {
        match self {
            Self::Cut => 0.35,
            Self::Tape => 0.25,
            Self::Guide | Self::Join => 0.18,
        }
    }

    /// Dashes and gaps in mm; none for a solid line.
    pub(super) const fn dashes_mm(self) -> Option<[f64; 2]> {
        match self {
            Self::Cut | Self::Guide => None,
            Self::Tape => Some([3.0, 2.0]),
            Self::Join => Some([0.8, 0.8]),
        }
    }

    /// In words, for other programs that read the file.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Tape => "tape",
            Self::Guide => "guide",
            Self::Join => "join",
        }
    }
}

/// A line through points.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stroke {
    pub(super) pen: Pen,
    pub(super) points: Vec<[f64; 2]>,
    pub(super) closed: bool,
}

/// Words that start at a place (left end of the base line).
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Words {
    pub(super) at: [f64; 2],
    pub(super) size_mm: f64,
    pub(super) text: String,
}

/// A layer to draw: x to the right, y up the page, in mm of the body frame.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Drawing {
    pub(super) title: String,
    pub(super) strokes: Vec<Stroke>,
    pub(super) words: Vec<Words>,
    pub(super) low: [f64; 2],
    pub(super) high: [f64; 2],
}

/// Space left round the lines, in mm.
const ROOM_MM: f64 = 6.0;
/// Half the length of a cross's arms, in mm.
const ARM_MM: f64 = 5.0;
/// Distance of the two crosses from their middle, front and back, in mm.
const CROSS_MM: f64 = 40.0;
/// Side of the test square, in mm.
pub(super) const SQUARE_MM: f64 = 100.0;
const WORDS_MM: f64 = 4.0;

/// The two places on the midline at which every layer bears a cross: about the middle of the stack.
pub(super) fn crosses(stack: &Stack) -> [[f64; 2]; 2] {
    let points = || {
        stack
            .layers
            .iter()
            .flat_map(|layer| &layer.outlines)
            .flat_map(|o| &o.skin_mm)
    };
    let (low, high) = points().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
        (low.min(p[1]), high.max(p[1]))
    });
    let middle = if low <= high {
        f64::midpoint(low, high)
    } else {
        0.0
    };
    [[0.0, middle - CROSS_MM], [0.0, middle + CROSS_MM]]
}

pub(super) fn cross(at: [f64; 2], pen: Pen) -> [Stroke; 2] {
    let [x, y] = at;
    let arm = |dx: f64, dy: f64| Stroke {
        pen,
        points: vec![[x - dx, y - dy], [x + dx, y + dy]],
        closed: false,
    };
    [arm(ARM_MM, 0.0), arm(0.0, ARM_MM)]
}

pub(super) fn square(low: [f64; 2]) -> Stroke {
    let [x, y] = low;
    let s = SQUARE_MM;
    Stroke {
        pen: Pen::Cut,
        points: vec![[x, y], [x + s, y], [x + s, y + s], [x, y + s]],
        closed: true,
    }
}

impl Drawing {
    pub(super) fn of(layer: &Layer, number: usize, count: usize, marks: &[[f64; 2]; 2]) -> Self {
        let title = format!(
            "layer {number} of {count} from below: {}, {} above the floor",
            layer.name,
            both(layer.height)
        );
        let mut drawing = Self {
            title: title.clone(),
            strokes: Vec::new(),
            words: Vec::new(),
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
        };
        for outline in &layer.outlines {
            drawing.line(Pen::Cut, &outline.skin_mm);
            // Where the tape lies on the skin a second line would only blur the first.
            if (outline.surface - outline.taut).mm() > 1.0 {
                drawing.line(Pen::Tape, &outline.tape_mm);
            }
        }
        let (front, back) = (drawing.high[1], drawing.low[1]);
        drawing.strokes.push(Stroke {
            pen: Pen::Guide,
            points: vec![[0.0, back], [0.0, front]],
            closed: false,
        });
        drawing
            .strokes
            .extend(marks.iter().flat_map(|&at| cross(at, Pen::Guide)));
        drawing.reach(marks.iter().copied(), ARM_MM);
        drawing.directions();
        drawing.caption(&title, &layer.outlines);
        drawing
    }

    fn line(&mut self, pen: Pen, points: &[[f64; 2]]) {
        self.reach(points.iter().copied(), ROOM_MM);
        self.strokes.push(Stroke {
            pen,
            points: points.to_vec(),
            closed: true,
        });
    }

    /// Widens the sheet to hold these points, with room about them.
    fn reach(&mut self, points: impl Iterator<Item = [f64; 2]>, room: f64) {
        for point in points {
            for (axis, at) in point.into_iter().enumerate() {
                self.low[axis] = self.low[axis].min(at - room);
                self.high[axis] = self.high[axis].max(at + room);
            }
        }
    }

    /// Front, back, left and right, inside the lines where there is room.
    fn directions(&mut self) {
        let (x, y) = (
            f64::midpoint(self.low[0], self.high[0]),
            f64::midpoint(self.low[1], self.high[1]),
        );
        let from_edge = 4.0 * ROOM_MM;
        for (at, text) in [
            ([x + 2.0, self.high[1] - from_edge], "front"),
            ([x + 2.0, self.low[1] + from_edge], "back"),
            ([self.low[0] + from_edge, y], "wearer's left"),
            ([self.high[0] - from_edge - 24.0, y], "wearer's right"),
        ] {
            self.words.push(Words {
                at,
                size_mm: WORDS_MM,
                text: text.to_owned(),
            });
        }
    }

    /// Lines of words below the layer.
    fn caption(&mut self, title: &str, outlines: &[Outline]) {
        let lines = outlines.iter().map(|outline| {
            format!(
                "{}: {} along the skin (the solid line), {} with a taut tape",
                outline.part,
                both(outline.surface),
                both(outline.taut)
            )
        });
        for text in std::iter::once(title.to_owned()).chain(lines) {
            self.low[1] -= 1.5 * WORDS_MM;
            // A rough width keeps the words on the sheet: Helvetica runs to half its size a letter.
            let width = 0.5 * WORDS_MM * text.chars().fold(0.0, |n, _| n + 1.0);
            self.high[0] = self.high[0].max(self.low[0] + width + ROOM_MM);
            let at = [self.low[0] + ROOM_MM, self.low[1] + 0.25 * WORDS_MM];
            self.words.push(Words {
                at,
                size_mm: WORDS_MM,
                text,
            });
        }
        self.low[1] -= ROOM_MM;
    }

    /// With a test square below.
    pub(super) fn with_square(mut self) -> Self {
        let low = [self.low[0] + ROOM_MM, self.low[1] - SQUARE_MM];
        self.strokes.push(square(low));
        self.words.push(Words {
            at: [low[0] + ROOM_MM, low[1] + SQUARE_MM / 2.0],
            size_mm: WORDS_MM,
            text: "10 cm: measure it".to_owned(),
        });
        self.low[1] = low[1] - ROOM_MM;
        self.high[0] = self.high[0].max(low[0] + SQUARE_MM + ROOM_MM);
        self
    }
}

/// A length in both ways of saying it.
pub(super) fn both(length: crate::length::Length) -> String {
    format!(
        "{} ({})",
        Shown::Centimetres.show(length),
        Shown::InchEighths.show(length)
    )
}
