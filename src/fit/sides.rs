//! Left against right: from which difference a pattern is cut apart.
//!
//! The thresholds are inferred from published differences of healthy people,
//! never below what the measure's uncertainty allows; none is a standard.

use super::desk::Desk;
use super::level::Level;
use super::part::Part;
use super::phrase::{Phrase, phrase};
use super::plan::{Action, Confidence, Share, Site, Stage, Step};
use super::sheet::{Garment, MOST_MM};
use super::shoulder;
use super::sum::Sum;
use crate::finding::Weight;
use crate::length::Length;
use crate::measure::asymmetry::SideDifference;
use crate::measure::asymmetry::usual::{self, Limit, Usual};
use crate::measure::{Key, Unit};
use crate::profile::Profile;
use crate::side::Side;

/// From when a difference of a paired measure is noted, and from when it is acted on.
///
/// A difference is noted or acted on when it reaches either number of the pair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SideRule {
    /// Noted from this many mm (degrees for an angle).
    pub note: Option<f64>,
    /// Noted from this share of the mean of both sides.
    pub note_share: Option<f64>,
    /// Acted on from this many mm.
    pub act: Option<f64>,
    /// Acted on from this share of the mean of both sides.
    pub act_share: Option<f64>,
}

// What is usual stands in `measure::asymmetry::usual`. These say when a pattern is worth cutting apart:
// often sooner, as cloth shows it.

/// Limb girths: 2 % noted; what is more than usual, or 10 mm, acted on (inferred; dominant leg +2.2 %
/// of girth, Teo et al. 2018).
pub const LIMB_GIRTH: SideRule = SideRule {
    note: None,
    note_share: Some(0.02),
    act: Some(10.0),
    act_share: share(usual::LIMB_GIRTH),
};

/// Shoulder height: noted from what is more than usual, 12 mm acted on (inferred).
pub const SHOULDER_HEIGHT: SideRule = SideRule {
    note: plain(usual::SHOULDER_HEIGHT),
    note_share: None,
    act: Some(12.0),
    act_share: None,
};

/// Shoulder slope: 3° noted (inferred; within 5° in 88 %, Taniyama et al. 1970); acted on by way of
/// the heights.
pub const SHOULDER_SLOPE: SideRule = SideRule {
    note: Some(3.0),
    note_share: None,
    act: None,
    act_share: None,
};

/// Shoulder length: 5 mm noted (inferred; within 5 mm in 73 %, Taniyama et al. 1970).
pub const SHOULDER_LENGTH: SideRule = SideRule {
    note: Some(5.0),
    note_share: None,
    act: None,
    act_share: None,
};

/// Shoulder point before the side neck point: 10 mm acted on (common practice, no source).
pub const SHOULDER_FORWARD: SideRule = SideRule {
    note: None,
    note_share: None,
    act: Some(10.0),
    act_share: None,
};

/// Leg length: 10 mm noted, 15 mm acted on (inferred; bony difference 5.2 ± 4.1 mm, Knutson 2005).
pub const LEG_LENGTH: SideRule = SideRule {
    note: Some(10.0),
    note_share: None,
    act: Some(15.0),
    act_share: None,
};

/// Neck to bust point: 3 % noted, 10 mm acted on (inferred; mean asymmetry 3.2 %, Losken et al.
/// 2005).
pub const NECK_TO_BUST: SideRule = SideRule {
    note: None,
    note_share: Some(0.03),
    act: Some(10.0),
    act_share: None,
};

const fn share(usual: Usual) -> Option<f64> {
    match usual.limit {
        Limit::Share(share) => Some(share),
        Limit::Plain(_) => None,
    }
}

const fn plain(usual: Usual) -> Option<f64> {
    match usual.limit {
        Limit::Plain(limit) => Some(limit),
        Limit::Share(_) => None,
    }
}

/// What a difference deserves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SideVerdict {
    /// No larger than its uncertainty, or usual.
    Leave,
    /// Worth knowing; cut alike.
    Note,
    /// Cut apart, or pad.
    Act,
}

/// Judges a difference; `sd` is that of the difference, and a difference within 1.96 of it is none.
#[must_use]
pub fn judge(rule: SideRule, left: f64, right: f64, sd: f64) -> SideVerdict {
    let difference = (left - right).abs();
    // A value that is no number is not real, and left alone.
    let real = difference > 1.96 * sd;
    if !real {
        return SideVerdict::Leave;
    }
    let mean = f64::midpoint(left, right).abs();
    let reaches = |plain: Option<f64>, share: Option<f64>| {
        let over = |limit: f64| difference >= limit * (1.0 - 1e-9);
        plain.is_some_and(over) || share.is_some_and(|share| over(share * mean))
    };
    if reaches(rule.act, rule.act_share) {
        SideVerdict::Act
    } else if reaches(rule.note, rule.note_share) {
        SideVerdict::Note
    } else {
        SideVerdict::Leave
    }
}

/// The rule for a paired measure, and the half girths' level.
fn rule_of(key: Key) -> Option<SideRule> {
    match key {
        Key::UpperArmGirth
        | Key::WristGirth
        | Key::ThighGirth
        | Key::KneeGirth
        | Key::CalfGirth
        | Key::AnkleGirth => Some(LIMB_GIRTH),
        Key::ShoulderHeight => Some(SHOULDER_HEIGHT),
        Key::ShoulderSlope => Some(SHOULDER_SLOPE),
        Key::ShoulderLength => Some(SHOULDER_LENGTH),
        Key::ShoulderForward => Some(SHOULDER_FORWARD),
        Key::NeckToBustLength => Some(NECK_TO_BUST),
        Key::InsideLegLength => Some(LEG_LENGTH),
        _ => None,
    }
}

const fn half_girth_level(key: Key) -> Option<Level> {
    match key {
        Key::BustHalfGirth => Some(Level::Bust),
        Key::WaistNarrowestHalfGirth => Some(Level::Waist),
        Key::HipHalfGirth => Some(Level::Hip),
        _ => None,
    }
}

/// What the sides' difference in a measure deserves; nothing if it is not known.
pub(super) fn verdict(profile: &Profile, key: Key) -> SideVerdict {
    let row = profile.asymmetry.iter().find(|row| row.key == key);
    match (row, rule_of(key)) {
        (Some(row), Some(rule)) if is_sound(row) => judge(rule, row.left, row.right, row.sd),
        _ => SideVerdict::Leave,
    }
}

fn is_sound(row: &SideDifference) -> bool {
    [row.left, row.right, row.sd]
        .iter()
        .all(|number| number.abs() <= MOST_MM)
}

/// True if left and right of a measure are compared.
pub(super) fn reads(key: Key) -> bool {
    half_girth_level(key).is_some() || rule_of(key).is_some()
}

pub(super) fn compare(desk: &mut Desk<'_>) {
    let profile = desk.profile;
    for row in &profile.asymmetry {
        if !is_sound(row) {
            continue;
        }
        if let Some(level) = half_girth_level(row.key) {
            halves(desk, level, row);
        } else if let Some(rule) = rule_of(row.key) {
            match judge(rule, row.left, row.right, row.sd) {
                SideVerdict::Act if covers(desk.garment, row.key) => act(desk, row),
                SideVerdict::Act | SideVerdict::Note if may_cover(desk.garment, row.key) => {
                    note(desk, row);
                }
                _ => {}
            }
        }
    }
}

/// True if the garment covers what is measured, as the sheet tells.
fn covers(garment: &Garment, key: Key) -> bool {
    let describes = |table| garment.parts.keys().any(|part| part.in_sheet().0 == table);
    match key {
        Key::ShoulderForward => shoulder::has_seam(garment),
        Key::UpperArmGirth | Key::WristGirth => describes("sleeve"),
        _ if is_of_legs(key) => describes("trousers"),
        _ => hangs_from_shoulders(garment),
    }
}

/// True unless it cannot: a sheet may say nothing of sleeves or legs that are there.
fn may_cover(garment: &Garment, key: Key) -> bool {
    match key {
        // A longer leg lifts the hem of any garment.
        Key::InsideLegLength => true,
        _ if is_of_legs(key) => covers(garment, key) || !hangs_from_shoulders(garment),
        _ => hangs_from_shoulders(garment),
    }
}

const fn is_of_legs(key: Key) -> bool {
    matches!(
        key,
        Key::ThighGirth | Key::KneeGirth | Key::CalfGirth | Key::AnkleGirth | Key::InsideLegLength
    )
}

fn hangs_from_shoulders(garment: &Garment) -> bool {
    !garment.hangs_from_waist() || garment.is_sized_at(Level::Bust) || shoulder::has_seam(garment)
}

/// The side with the larger value.
fn larger(row: &SideDifference) -> Side {
    if row.left > row.right {
        Side::Left
    } else {
        Side::Right
    }
}

fn note(desk: &mut Desk<'_>, row: &SideDifference) {
    let definition = row.key.definition();
    let text = if definition.unit() == Unit::Degree {
        phrase![format!(
            "{} side steeper by {:.1}°; cut alike and see how it sits.",
            larger(row),
            (row.left - row.right).abs()
        )]
    } else {
        phrase![
            format!("{} side {} by ", larger(row), row.more()),
            difference(row),
            "; cut alike and see how it sits."
        ]
    };
    desk.remark(Weight::Look, definition.name, text);
}

fn difference(row: &SideDifference) -> Length {
    Length::from_mm((row.left - row.right).abs())
}

fn act(desk: &mut Desk<'_>, row: &SideDifference) {
    let more = larger(row);
    let less = more.other();
    match row.key {
        Key::ShoulderHeight => {
            let advice = phrase![
                "Cut both shoulders for the higher side and pad this one, or lower its shoulder seam at the armhole end by the amount and the armhole with it."
            ];
            apart(desk, row, Action::Pad, less, "shoulder", advice);
        }
        Key::ShoulderForward => {
            let advice = phrase![
                "On this side only, beside what is done on both: lower the front's shoulder edge at the armhole end and raise the back's by as much, and move the notch of this sleeve's cap with it."
            ];
            let part = Part::ShoulderForward.name();
            apart(desk, row, Action::MoveForward, more, part, advice);
        }
        Key::NeckToBustLength => {
            let advice =
                phrase!["Cut the fronts apart and lower dart and bust line on this side only."];
            apart(desk, row, Action::CutApart, more, "front", advice);
        }
        Key::InsideLegLength => {
            let advice = phrase![
                "Stand on both feet and look whether the hem hangs level before you cut the legs apart."
            ];
            apart(desk, row, Action::Shorten, less, "leg hem", advice);
        }
        Key::UpperArmGirth | Key::WristGirth => {
            let advice = phrase!["Cut this sleeve wider by the amount where it lies close."];
            apart(desk, row, Action::CutApart, more, "sleeve", advice);
        }
        _ => {
            let advice = phrase!["Cut this leg wider by the amount where it lies close."];
            apart(desk, row, Action::CutApart, more, "leg", advice);
        }
    }
}

/// A step on one side, by the whole difference.
fn apart(
    desk: &mut Desk<'_>,
    row: &SideDifference,
    action: Action,
    side: Side,
    part: &str,
    advice: Phrase,
) {
    let amount = difference(row);
    desk.step(Step {
        order: 0,
        stage: Stage::Sides,
        action,
        at: Site::Part(part.to_owned()),
        side: Some(side),
        amount: Some(amount),
        share: None,
        sum: side_sum(row),
        sd: Length::from_mm(row.sd),
        confidence: Confidence::DoIt,
        advice,
    });
}

fn side_sum(row: &SideDifference) -> Sum {
    let name = row.key.definition().name;
    let of = |side: Side| {
        Length::from_mm(match side {
            Side::Left => row.left,
            Side::Right => row.right,
        })
    };
    let more = larger(row);
    let less = more.other();
    Sum::of(format!("{more} {name}"), of(more))
        .against(less.to_string(), of(less))
        .leaves("apart")
}

/// Half girths: each side seam edge moves by the difference over all edges, outwards on the larger
/// half and inwards on the smaller; worth it from the least change at an edge that is cut true.
fn halves(desk: &mut Desk<'_>, level: Level, row: &SideDifference) {
    let edges = desk.garment.edges(level);
    let real = difference(row).mm() > desk.limits.sure_at_sd * row.sd;
    if edges == 0 || !real {
        return;
    }
    let each = difference(row) / f64::from(edges);
    if each < desk.limits.least_per_edge {
        return;
    }
    let advice = phrase![
        "Move the seam edges out by ",
        each,
        format!(
            " on the {} half and in by as much on the other; the girth stays.",
            larger(row)
        ),
    ];
    desk.step(Step {
        order: 0,
        stage: Stage::Sides,
        action: Action::CutApart,
        at: Site::Level(level),
        side: Some(larger(row)),
        amount: Some(difference(row)),
        share: Some(Share::Edges {
            edges,
            each,
            limit: desk.edge_limit(),
        }),
        sum: side_sum(row),
        sd: Length::from_mm(row.sd),
        confidence: Confidence::DoIt,
        advice,
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A TEM of 3 mm on each side makes 2.77·3 = 8.316 mm, the least real difference at 95 %
    /// (2.77 = 1.96·√2, textbook repeatability); 790 against 775 is real and acted on.
    #[test]
    fn one_long_leg() {
        let sd = 3.0 * 2.0_f64.sqrt();
        assert!((1.96 * sd - 8.316).abs() < 0.001);
        assert_eq!(judge(LEG_LENGTH, 790.0, 775.0, sd), SideVerdict::Act);
        assert_eq!(judge(LEG_LENGTH, 787.0, 775.0, sd), SideVerdict::Note);
        assert_eq!(judge(LEG_LENGTH, 783.0, 775.0, sd), SideVerdict::Leave);
        assert_eq!(judge(LEG_LENGTH, 790.0, 775.0, 10.0), SideVerdict::Leave);
    }

    #[test]
    fn a_limb_is_noted_from_two_and_acted_on_from_three_percent() {
        assert_eq!(judge(LIMB_GIRTH, 303.1, 297.0, 1.0), SideVerdict::Note);
        assert_eq!(judge(LIMB_GIRTH, 304.6, 295.4, 1.0), SideVerdict::Act);
        assert_eq!(judge(LIMB_GIRTH, 302.0, 298.0, 1.0), SideVerdict::Leave);
        assert_eq!(judge(LIMB_GIRTH, f64::NAN, 298.0, 1.0), SideVerdict::Leave);
    }

    #[test]
    fn a_slope_is_never_acted_on_by_itself() {
        assert_eq!(judge(SHOULDER_SLOPE, 30.0, 20.0, 1.0), SideVerdict::Note);
    }
}
