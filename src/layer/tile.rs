//! A drawing larger than the paper, parted over sheets.

use super::drawing::Drawing;

/// Paper to print on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 297 × 420 mm (ISO 216).
    A3,
    /// 8 1/2 × 11 inches (ANSI/ASME Y14.1, from memory).
    Letter,
}

impl Paper {
    /// Short and long side in mm.
    #[must_use]
    pub const fn sides_mm(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::A3 => [297.0, 420.0],
            Self::Letter => [215.9, 279.4],
        }
    }
}

/// What printers leave white at the edges, in mm (common practice, no source).
pub(super) const EDGE_MM: f64 = 10.0;
/// Space at the foot of a sheet for its name, in mm.
pub(super) const FOOT_MM: f64 = 8.0;
/// By how much neighbouring sheets overlap, in mm.
pub(super) const LAP_MM: f64 = 15.0;

/// How a drawing is parted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Grid {
    /// Breadth and height of the page in mm.
    pub(super) page_mm: [f64; 2],
    /// What of it is drawn on.
    pub(super) field_mm: [f64; 2],
    /// Sheets across and up.
    pub(super) sheets: [usize; 2],
    /// Lower left corner of the lowest leftmost sheet's field, in the drawing's coordinates.
    pub(super) start_mm: [f64; 2],
}

impl Grid {
    /// The way round of the paper that takes fewest sheets.
    pub(super) fn of(drawing: &Drawing, paper: Paper) -> Self {
        let [short, long] = paper.sides_mm();
        let upright = Self::on(drawing, [short, long]);
        let across = Self::on(drawing, [long, short]);
        let count = |grid: &Self| grid.sheets[0] * grid.sheets[1];
        if count(&across) < count(&upright) {
            across
        } else {
            upright
        }
    }

    fn on(drawing: &Drawing, page_mm: [f64; 2]) -> Self {
        let field_mm = [
            page_mm[0] - 2.0 * EDGE_MM,
            page_mm[1] - 2.0 * EDGE_MM - FOOT_MM,
        ];
        let mut grid = Self {
            page_mm,
            field_mm,
            sheets: [1; 2],
            start_mm: drawing.low,
        };
        for (axis, field) in field_mm.into_iter().enumerate() {
            let extent = drawing.high[axis] - drawing.low[axis];
            let step = grid.step_mm(axis);
            while step.mul_add(to_f64(grid.sheets[axis] - 1), field) < extent {
                grid.sheets[axis] += 1;
            }
            // Centred, so that the joins fall where the drawing is.
            let covered = step.mul_add(to_f64(grid.sheets[axis] - 1), field);
            grid.start_mm[axis] -= (covered - extent) / 2.0;
        }
        grid
    }

    pub(super) fn step_mm(&self, axis: usize) -> f64 {
        self.field_mm[axis] - LAP_MM
    }

    /// Lower left corner of a sheet's field.
    pub(super) fn corner_mm(&self, sheet: [usize; 2]) -> [f64; 2] {
        [0, 1].map(|axis| {
            self.step_mm(axis)
                .mul_add(to_f64(sheet[axis]), self.start_mm[axis])
        })
    }

    /// Where sheets meet, along an axis: the middle of each overlap.
    pub(super) fn joins_mm(&self, axis: usize) -> Vec<f64> {
        let join =
            |i: usize| self.step_mm(axis).mul_add(to_f64(i), self.start_mm[axis]) + LAP_MM / 2.0;
        (1..self.sheets[axis]).map(join).collect()
    }

    /// `B2`: columns by letter from the left, rows by number from the top.
    pub(super) fn name(&self, sheet: [usize; 2]) -> String {
        let column = u8::try_from(sheet[0])
            .ok()
            .and_then(|i| b'A'.checked_add(i));
        let column = column.filter(u8::is_ascii_uppercase).map_or_else(
            || format!("{}-", sheet[0] + 1),
            |letter| char::from(letter).to_string(),
        );
        format!("{column}{}", self.sheets[1] - sheet[1])
    }
}

fn to_f64(count: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a few sheets")]
    let count = count as f64;
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(breadth: f64, height: f64) -> Drawing {
        Drawing {
            title: String::new(),
            strokes: Vec::new(),
            words: Vec::new(),
            low: [-30.0, 10.0],
            high: [breadth - 30.0, height + 10.0],
        }
    }

    /// The sheets cover the drawing and each overlaps the next: closed form of the sums.
    #[test]
    fn sheets_cover_the_drawing() {
        for paper in [Paper::A4, Paper::A3, Paper::Letter] {
            for (breadth, height) in [(50.0, 40.0), (190.0, 269.0), (380.0, 260.0), (700.0, 500.0)]
            {
                let drawing = sheet(breadth, height);
                let grid = Grid::of(&drawing, paper);
                let first = grid.corner_mm([0, 0]);
                let last = grid.corner_mm([grid.sheets[0] - 1, grid.sheets[1] - 1]);
                for axis in 0..2 {
                    assert!(first[axis] <= drawing.low[axis] + 1e-9);
                    assert!(last[axis] + grid.field_mm[axis] >= drawing.high[axis] - 1e-9);
                    assert_eq!(grid.joins_mm(axis).len(), grid.sheets[axis] - 1);
                }
            }
        }
    }

    /// A4 leaves 190 × 269 mm: 380 × 260 mm upright takes 3 sheets across (190 + 2 · 175 = 540), lying
    /// (277 × 182) 2 × 2 (277 + 262, 182 + 167), so upright it is.
    #[test]
    fn the_way_round_with_fewer_sheets_is_taken() {
        let grid = Grid::of(&sheet(380.0, 260.0), Paper::A4);
        assert_eq!(grid.sheets, [3, 1]);
        let small = Grid::of(&sheet(270.0, 180.0), Paper::A4);
        assert_eq!(small.sheets, [1, 1]);
        assert!(small.page_mm[0] > small.page_mm[1]);
    }

    #[test]
    fn sheets_are_named_from_the_top_left() {
        let grid = Grid::of(&sheet(700.0, 500.0), Paper::A4);
        let top = grid.sheets[1] - 1;
        assert_eq!(grid.name([0, top]), "A1");
        assert_eq!(grid.name([1, 0]), format!("B{}", grid.sheets[1]));
    }
}
