//! Bust points: how low and how far apart the darts should point.

use super::compare::{APART, Goal, UP_AND_DOWN, body_sum, bring};
use super::desk::Desk;
use super::part::Part;
use super::phrase::phrase;

pub(super) fn point(desk: &mut Desk<'_>, size: usize) {
    for part in [Part::BustPointHeight, Part::BustPointSpread] {
        judge(desk, part, size);
    }
}

fn judge(desk: &mut Desk<'_>, part: Part, size: usize) {
    bring(desk, part, size, |desk| {
        let body = desk.body(part.body())?;
        Ok(Goal {
            body: body.length(),
            ease: None,
            sum: body_sum(part, body.length()),
            sd_mm: body.sd_mm,
            ways: if part == Part::BustPointHeight {
                UP_AND_DOWN
            } else {
                APART
            },
            advice: phrase![
                "Redraw the dart legs to the new point; their ends at the seam stay where they are."
            ],
        })
    });
}
