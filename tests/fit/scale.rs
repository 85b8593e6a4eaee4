//! Body, garment and the limits of the work, all larger or smaller by one factor.

use girthwise::Length;
use girthwise::fit::{Garment, Level, PerSize, Tolerances};
use girthwise::measure::Key;
use girthwise::profile::Profile;

/// The garment `factor` times as large in everything.
pub(crate) fn scaled(garment: &Garment, factor: f64) -> Garment {
    let mut large = garment.clone();
    let table = |table: &mut Option<Vec<Length>>| {
        for length in table.iter_mut().flatten() {
            *length = *length * factor;
        }
    };
    for level in Level::ALL {
        table(large.body.get_mut(level));
        table(large.finished.get_mut(level));
        table(large.front.get_mut(level));
        table(large.back.get_mut(level));
        if let Some(ease) = large.ease.get_mut(level) {
            *ease = *ease * factor;
        }
    }
    table(&mut large.upper_chest);
    let line = |line: &mut PerSize| match line {
        PerSize::One(length) => *length = *length * factor,
        PerSize::Each(lengths) => lengths
            .iter_mut()
            .for_each(|length| *length = *length * factor),
    };
    let lines = &mut large.lines;
    for found in [
        &mut lines.neck_to_bust,
        &mut lines.bust_to_waist,
        &mut lines.waist_to_hip,
        &mut lines.hip_to_hem,
        &mut lines.total,
        &mut lines.back_waist,
    ] {
        found.iter_mut().for_each(line);
    }
    large.parts.values_mut().for_each(line);
    large
        .part_ease
        .values_mut()
        .for_each(|ease| *ease = *ease * factor);
    for one in [
        &mut large.edge_limit,
        &mut large.shoulder_pad,
        &mut large.top_below_waist,
    ] {
        one.iter_mut().for_each(|length| *length = *length * factor);
    }
    if let Some(hem) = &mut large.hem {
        use girthwise::fit::HemTarget::{AboveFloor, Below};
        hem.allowance = hem.allowance * factor;
        hem.target = hem.target.map(|target| match target {
            AboveFloor(height) => AboveFloor(height * factor),
            Below(level, by) => Below(level, by * factor),
        });
    }
    large
}

/// The body `factor` times as large; angles stay, and left against right is left out.
pub(crate) fn scaled_body(profile: &Profile, factor: f64) -> Profile {
    let mut large = profile.clone();
    for entry in &mut large.measures {
        if entry.measure.id.key != Key::ShoulderSlope {
            entry.measure.value *= factor;
            entry.measure.spread.sd *= factor;
            for part in &mut entry.measure.spread.parts {
                part.sd *= factor;
            }
        }
    }
    large.asymmetry = Vec::new();
    large
}

/// The limits of the work, as much larger.
pub(crate) fn scaled_limits(factor: f64) -> Tolerances {
    let plain = Tolerances::default();
    Tolerances {
        least_per_edge: plain.least_per_edge * factor,
        most_per_edge: plain.most_per_edge * factor,
        bust_line: plain.bust_line * factor,
        waist_seam: plain.waist_seam * factor,
        waist_shaped: plain.waist_shaped * factor,
        hip_line: plain.hip_line * factor,
        hem: plain.hem * factor,
        part: plain.part * factor,
        dart_point: plain.dart_point * factor,
        front_to_back: plain.front_to_back * factor,
        most_per_line: plain.most_per_line * factor,
        bust_rule: plain.bust_rule * factor,
        most_at_hem: plain.most_at_hem * factor,
        ..plain
    }
}
