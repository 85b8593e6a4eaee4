//! Bust points: how low and how far apart the darts should point.

use super::compare::{Held, Reach, reach};
use super::desk::Desk;
use super::part::Part;
use super::phrase::phrase;
use super::plan::{Action, Share};
use super::sum::Sum;

pub(super) fn point(desk: &mut Desk<'_>, size: usize) {
    for part in [Part::BustPointHeight, Part::BustPointSpread] {
        judge(desk, part, size);
    }
}

fn judge(desk: &mut Desk<'_>, part: Part, size: usize) {
    let Some(drawn) = desk.garment.part(part, size) else {
        return;
    };
    let body = match desk.body(part.body()) {
        Ok(body) => body,
        Err(reason) => return desk.withhold(part.stage(), part.site(), reason),
    };
    desk.held.push(Held {
        part,
        drawn,
        body: body.length(),
        wanted: None,
    });
    let low = part == Part::BustPointHeight;
    let (actions, words) = if low {
        ([Action::Lower, Action::Raise], ["to lower", "to raise"])
    } else {
        (
            [Action::MoveOut, Action::MoveIn],
            ["farther apart", "nearer together"],
        )
    };
    let halves: fn(_) -> Share = |amount| Share::Halves { each: amount / 2.0 };
    let tolerance = desk.limits.dart_point;
    reach(
        desk,
        Reach {
            part,
            drawn,
            wanted: body.length(),
            sum: Sum::of(
                format!("body {}", part.body().definition().name),
                body.length(),
            ),
            sd_mm: body.sd_mm,
            tolerance,
            actions,
            words,
            share: (!low).then_some(halves),
            assumed: false,
            advice: phrase![
                "Redraw the dart legs to the new point; their ends at the seam stay where they are."
            ],
        },
    );
}
