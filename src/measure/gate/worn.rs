//! What is worn or held: steps in the outline that no skin makes.

use super::{Gate, SEAT, TRUNK, is_of_shoulders, rests_on};
use crate::landmark::{LandmarkKey as L, Survey};
use crate::measure::{Key, Measure, Mode};
use crate::part::Piece;

/// Back and front of the trunk are followed within this share of the stature to either side.
const ASIDE: f64 = 0.06;
/// Over this height, in mm, a step is taken; scans whose levels lie farther apart than twice that show none.
const RISE_MM: f64 = 10.0;
/// Between which shares of the stature back and front are followed: above the seat, and below the shoulders' top,
/// where the back goes in by up to 22 mm over 10 by itself.
const BACK: (f64, f64) = (0.54, 0.80);
const FRONT: (f64, f64) = (0.50, 0.80);
/// Steps over 10 mm of height. On sixty model bodies the back goes out by 5 at most and in by 10; under a pack that
/// stands out by 60 mm or more out by up to 121 and in by 57 or more. In front breast and belly go out by 64 and
/// in by 12; a bag held there in by 89 or more.
const BACK_STEPS: (f64, f64) = (13.0, 22.0);
const FRONT_STEP: f64 = 20.0;
/// The top of the window, above which only a hard step counts.
const HIGH: (f64, f64) = (0.84, 45.0);
/// How much larger the skin all round may be right above where the legs join than right below, in area, and in
/// extent. The sixty: 1.01 to 1.07, and up to 5 mm; in a narrow skirt 1.22 and 23 mm or more.
const HEM: (f64, f64) = (1.15, 14.0);
/// Legs join at 0.42 of the stature or more (ANSUR II, least crotch height): what is one all round below this and
/// shows no cleft is cloth.
const SKIRT: f64 = 0.40;
/// Two thighs that touch have a cleft: along the skin they are this much longer than a taut tape or more (two equal
/// circles that touch: 4π over 2π + 4, 1.22).
const CLEFT: f64 = 1.03;
/// Less than this share of the cloth's area is a leg under it.
const HALF: f64 = 0.5;
/// A head is a dome: this share of the stature below its top its girth is this share of its greatest, on the sixty
/// 0.66 to 0.71, and lower down 0.98 to 1.00; under a knot of hair 0.64 to 0.86. A flat top is a hat's, a narrow one a knot of hair's.
const FLAT: (f64, f64) = (0.012, 0.86);
const KNOT: (f64, f64) = (0.05, 0.92);
/// How far down the top of the head is looked at.
const TOP: f64 = 0.06;

/// A step in an outline, going up.
#[derive(Clone, Copy)]
struct Step {
    height_mm: f64,
    /// How far it goes outwards over 10 mm of height; inwards if negative.
    out_mm: f64,
}

pub(super) fn judge(survey: &Survey<'_>, gate: &mut Gate<'_>) {
    if let Some(band) = pack(survey) {
        let reason = format!(
            "something stands out from the back between about {:.0} and {:.0} mm, with an edge that no back has: a pack, a hood or a cushion; take it off and scan again",
            band.0, band.1
        );
        gate.withhold("worn or held", &reason, |measure| {
            spoiled(measure, band, &FRONT_OWN)
        });
    }
    if let Some(band) = held(survey) {
        let reason = format!(
            "something is held or worn before the body between about {:.0} and {:.0} mm, with an edge on top that no chest or belly has: an arm, a bag, a lap; let the arms hang, take it off and scan again",
            band.0, band.1
        );
        gate.withhold("worn or held", &reason, |measure| {
            let shoulders = band.1 > BACK.0 * survey.stature_mm && is_of_shoulders(measure.id.key);
            shoulders || spoiled(measure, band, &BACK_OWN)
        });
    }
    if let Some(height) = hem(survey) {
        let reason = format!(
            "what goes round both legs begins at {height:.0} mm all at once: a skirt, a shirt or wide shorts end there, and the crotch and the seat do not show; wear close-fitting clothes and scan again"
        );
        gate.withhold("worn or held", &reason, |measure| {
            rests_on(measure.id, &SEAT, None) || rests_on(measure.id, &[L::Belly], None)
        });
    }
    if let Some(words) = hat(survey) {
        let reason = format!(
            "{words}, so that neither the top of the head and its girth are known, nor what is looked for from it; tie the hair flat, take off what is worn and scan again"
        );
        gate.withhold("worn or held", &reason, |measure| {
            rests_on(measure.id, &[L::Vertex, L::BackNeckPoint], None)
                || matches!(
                    measure.id.key,
                    Key::HeadGirth | Key::LowerKneeGirth | Key::LowerKneeGirthSurface
                )
        });
    }
}

/// What shows on the front alone, and does not mind the back.
const FRONT_OWN: [Key; 9] = [
    Key::FrontNeckHeight,
    Key::ArmpitHeight,
    Key::BustHeight,
    Key::BustPointHeight,
    Key::UnderBustHeight,
    Key::NavelHeight,
    Key::BustPointSpread,
    Key::BustProjection,
    Key::NeckToBustLength,
];
/// What shows on the back alone.
const BACK_OWN: [Key; 3] = [Key::BackNeckHeight, Key::ArmpitHeight, Key::ScyeDepth];

/// True for what is taken of the trunk where something covers it from one height to another: not what shows on the
/// other face alone, nor a level girth below or above.
fn spoiled(measure: &Measure, band: (f64, f64), other: &[Key]) -> bool {
    let id = measure.id;
    if other.contains(&id.key) {
        return false;
    }
    let row = id.key.definition();
    let level = measure.level_mm.map(|level| level.mm());
    let beyond = level.is_some_and(|level| level < band.0 - RISE_MM || level > band.1 + RISE_MM);
    let girth = matches!(
        row.mode,
        Mode::Taut | Mode::Surface | Mode::Breadth | Mode::Depth
    );
    let of_waist = [L::WaistNarrowest, L::HighHip]
        .iter()
        .any(|mark| row.marks.contains(mark));
    if beyond && (girth || row.marks.contains(&L::Hip)) && !of_waist {
        return false;
    }
    rests_on(id, &TRUNK, None)
        || rests_on(id, &[L::Hip], None)
        || matches!(
            id.key,
            Key::UpperChestGirth
                | Key::UpperChestGirthSurface
                | Key::ChestGirth
                | Key::ChestGirthSurface
                | Key::ShoulderGirth
                | Key::NeckForward
                | Key::HeadForward
        )
}

/// Heights between which something stands out from the back.
fn pack(survey: &Survey<'_>) -> Option<(f64, f64)> {
    let at = |share: f64| share * survey.stature_mm;
    let [out, into] = steps(survey, false, at(BACK.0), at(HIGH.0))?;
    let [low_out, low_into] = steps(survey, false, at(BACK.0), at(BACK.1))?;
    let begins = low_out.out_mm > BACK_STEPS.0;
    let ends = low_into.out_mm < -BACK_STEPS.1 || into.out_mm < -HIGH.1;
    let low = if begins { out.height_mm } else { at(BACK.0) };
    let high = if ends { into.height_mm } else { at(HIGH.0) };
    (begins || ends).then_some((low.min(high), high))
}

/// Heights between which something stands before the body: its upper edge, and the hardest step below it.
fn held(survey: &Survey<'_>) -> Option<(f64, f64)> {
    let at = |share: f64| share * survey.stature_mm;
    let [_, into] = steps(survey, true, at(FRONT.0), at(FRONT.1))?;
    if into.out_mm > -FRONT_STEP {
        return None;
    }
    let below = steps(survey, true, at(FRONT.0), into.height_mm);
    let begins = below
        .map(|[out, _]| out)
        .filter(|out| out.out_mm > FRONT_STEP);
    Some((
        begins.map_or(at(FRONT.0), |out| out.height_mm),
        into.height_mm,
    ))
}

/// The hardest steps out and in of the torso's outline, in front or behind, between two heights.
fn steps(survey: &Survey<'_>, front: bool, low: f64, high: f64) -> Option<[Step; 2]> {
    let sign = if front { 1.0 } else { -1.0 };
    let aside = ASIDE * survey.stature_mm;
    let edge = |piece: &Piece| {
        let points = piece.contour.points().iter();
        let near = points.filter(|p| p[0].abs() <= aside);
        let y = near.map(|p| sign * p[1]).reduce(f64::max)?;
        Some((piece.height_mm, y))
    };
    let parts = &survey.parts;
    let pieces = parts.trunk.between(low, high).iter();
    let outline: Vec<(f64, f64)> = pieces
        .chain(parts.upper.between(low, high))
        .filter_map(edge)
        .collect();
    let mut all = outline.iter().enumerate().filter_map(|(i, &(z, y))| {
        let &(w, v) = outline[i..].iter().find(|(w, _)| *w >= z + RISE_MM)?;
        (w - z < 2.0 * RISE_MM).then_some(Step {
            height_mm: f64::midpoint(z, w),
            out_mm: (v - y) * RISE_MM / (w - z),
        })
    });
    let first = all.next()?;
    Some(all.fold([first; 2], |[out, into], step| {
        [
            if step.out_mm > out.out_mm { step } else { out },
            if step.out_mm < into.out_mm {
                step
            } else {
                into
            },
        ]
    }))
}

/// The height at which cloth that goes round both legs ends, if any does.
fn hem(survey: &Survey<'_>) -> Option<f64> {
    let parts = &survey.parts;
    let (bottom, _) = parts.trunk.range_mm()?;
    let low = SKIRT * survey.stature_mm;
    if bottom < low && survey.ends.feet {
        let contour = &parts.trunk.nearest(low)?.contour;
        let cleft = contour.surface_girth_mm() / contour.taut_girth_mm();
        // Below the cloth one leg may go on as what is followed.
        let whole = |piece: &&Piece| piece.contour.area_mm2() > HALF * contour.area_mm2();
        let end = parts.trunk.between(bottom, low).iter().find(whole)?;
        return (cleft < CLEFT).then_some(end.height_mm);
    }
    let fork = parts.crotch?;
    if fork.hidden_mm > RISE_MM {
        return None;
    }
    let mut above = parts.trunk.pieces.iter();
    let above = above.find(|piece| piece.height_mm > fork.height_mm)?;
    let below = [0, 1].map(|i| {
        let leg = &parts.legs[i];
        let reach = fork.height_mm - leg.range_mm()?.1;
        (reach < RISE_MM).then(|| leg.pieces.last()).flatten()
    });
    let [Some(left), Some(right)] = below else {
        return None;
    };
    let area = above.contour.area_mm2() / (left.contour.area_mm2() + right.contour.area_mm2());
    let grown = [0, 1].map(|axis| {
        let (low, high) = above.contour.extent(axis);
        let (a, b) = (left.contour.extent(axis), right.contour.extent(axis));
        (high - low) - (a.1.max(b.1) - a.0.min(b.0))
    });
    (area > HEM.0 || grown[0].max(grown[1]) > HEM.1).then_some(fork.height_mm)
}

/// What sits on the head, if the top is no dome.
fn hat(survey: &Survey<'_>) -> Option<&'static str> {
    if !survey.ends.head {
        return None;
    }
    let top = survey.stature_mm;
    let head = survey.parts.upper.between((1.0 - TOP) * top, top);
    let greatest = head.iter().map(|piece| piece.taut_mm).reduce(f64::max)?;
    let share = |below: f64| {
        let height = (1.0 - below) * top;
        let near = head
            .iter()
            .filter(|piece| (piece.height_mm - height).abs() < 0.5 * RISE_MM)
            .min_by(|a, b| {
                let off = |piece: &Piece| (piece.height_mm - height).abs();
                off(a).total_cmp(&off(b))
            })?;
        Some(near.taut_mm / greatest)
    };
    if share(FLAT.0).is_some_and(|share| share > FLAT.1) {
        Some("the top of the head is flat, as a hat's or a cap's is")
    } else if share(KNOT.0).is_some_and(|share| share < KNOT.1) {
        Some("the top of the head is a narrow knob, as a knot of hair makes")
    } else {
        None
    }
}
