//! Does the answer look like a body? Orders that hold for people, and ratios few people leave.
//!
//! Nothing is corrected: what looks odd is told, and may still be true. Girths are held against other
//! girths of the same person only, never against a survey's sizes, so that no size is called odd.
//!
//! # Source
//! ANSUR II, the public 2012 survey of 1 986 women and 4 082 men (Gordon et al. 2014,
//! NATICK/TR-15/007), counted by us from its data; sex is not asked, so each window spans both.

use super::{Key, Measure, MeasureId, MeasureSet};
use crate::finding::Finding;
use crate::side::Side;

/// How firmly an order holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Force {
    /// A few people in a hundred break it.
    Soft,
    /// Nobody in the survey breaks it.
    Hard,
}

/// One measure is larger than another; sides are held against the same side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Order {
    /// The larger.
    pub larger: Key,
    /// The smaller.
    pub smaller: Key,
    /// How firmly.
    pub force: Force,
}

const fn order(larger: Key, smaller: Key, force: Force) -> Order {
    Order {
        larger,
        smaller,
        force,
    }
}

/// The orders that hold.
///
/// Hard ones: nobody of 6 068 breaks the survey's like (our narrowest waist stands for its navel
/// waist, our hip level for its buttock, our knee for mid-patella, our upper arm for its biceps).
/// Soft ones, women and men who break them: hip over crotch height 2, 92; armpit over bust 1, 57; hip
/// over waist girth 17, 389; bust over waist girth 112, 75; shoulder over bust girth 181, 40.
/// The bust girth over the one under it: by definition of a bust (no survey has both).
pub const ORDERS: &[Order] = {
    use Force::{Hard, Soft};
    use Key as K;
    &[
        order(K::Stature, K::BackNeckHeight, Hard),
        order(K::BackNeckHeight, K::ShoulderHeight, Hard),
        order(K::ShoulderHeight, K::ArmpitHeight, Hard),
        order(K::BackNeckHeight, K::BustHeight, Hard),
        order(K::BustHeight, K::WaistNarrowestHeight, Hard),
        order(K::WaistNarrowestHeight, K::HipHeight, Hard),
        order(K::CrotchHeight, K::KneeHeight, Hard),
        order(K::KneeHeight, K::AnkleHeight, Hard),
        order(K::ForearmGirth, K::WristGirth, Hard),
        order(K::HandGirth, K::WristGirth, Hard),
        order(K::CalfGirth, K::AnkleGirth, Hard),
        order(K::ThighGirth, K::UpperArmGirth, Hard),
        order(K::AnkleGirth, K::WristGirth, Hard),
        order(K::ShoulderBreadth, K::ShoulderPointBreadth, Hard),
        order(K::WaistNarrowestBreadth, K::WaistNarrowestDepth, Hard),
        order(K::HipBreadth, K::HipDepth, Hard),
        order(K::HipHeight, K::CrotchHeight, Soft),
        order(K::ArmpitHeight, K::BustHeight, Soft),
        order(K::HipGirth, K::WaistNarrowestGirth, Soft),
        order(K::BustGirth, K::WaistNarrowestGirth, Soft),
        order(K::ShoulderGirth, K::BustGirth, Soft),
        order(K::BustGirth, K::UnderBustGirth, Soft),
    ]
};

/// A ratio of two measures and the window it lies in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    /// What is divided.
    pub part: Key,
    /// What it is divided by.
    pub whole: Key,
    /// Least and greatest usual ratio.
    pub window: (f64, f64),
}

/// From the least to the greatest of both sexes, taken as four standard deviations about their means
/// (the farthest of some thousands lie there), a fifth of itself wider at either end: posture, tape
/// levels and bodies of other builds than soldiers' lie between. Mean and standard deviation, women and men.
const fn girths(part: Key, whole: Key, women: (f64, f64), men: (f64, f64)) -> Ratio {
    let (low, high) = reach(women, men, 4.0);
    Ratio {
        part,
        whole,
        window: (0.8 * low, 1.2 * high),
    }
}

/// So many standard deviations below the lower and above the higher of two means.
const fn reach(women: (f64, f64), men: (f64, f64), times: f64) -> (f64, f64) {
    let (low_f, high_f) = (women.0 - times * women.1, women.0 + times * women.1);
    let (low_m, high_m) = (men.0 - times * men.1, men.0 + times * men.1);
    (
        if low_f < low_m { low_f } else { low_m },
        if high_f > high_m { high_f } else { high_m },
    )
}

/// Six standard deviations about both sexes' means: share of the stature ± standard deviation, women and men.
const fn height(part: Key, women: (f64, f64), men: (f64, f64)) -> Ratio {
    Ratio {
        part,
        whole: Key::Stature,
        window: reach(women, men, 6.0),
    }
}

/// The ratios that are looked at. The survey's waist is at the navel and its biceps are flexed: the
/// fifth of room holds that.
pub const RATIOS: &[Ratio] = {
    use Key as K;
    &[
        girths(
            K::WaistNarrowestGirth,
            K::HipGirth,
            (0.842, 0.060),
            (0.921, 0.059),
        ),
        girths(K::BustGirth, K::HipGirth, (0.928, 0.054), (1.039, 0.047)),
        girths(K::ThighGirth, K::HipGirth, (0.603, 0.020), (0.613, 0.021)),
        girths(K::CalfGirth, K::ThighGirth, (0.608, 0.035), (0.629, 0.035)),
        girths(K::AnkleGirth, K::CalfGirth, (0.579, 0.029), (0.586, 0.026)),
        girths(
            K::WristGirth,
            K::UpperArmGirth,
            (0.510, 0.040),
            (0.494, 0.039),
        ),
        girths(K::HandGirth, K::WristGirth, (1.206, 0.043), (1.208, 0.040)),
        height(K::BackNeckHeight, (0.8570, 0.0068), (0.8639, 0.0066)),
        height(K::ShoulderHeight, (0.8198, 0.0087), (0.8203, 0.0096)),
        height(K::BustHeight, (0.7194, 0.0140), (0.7351, 0.0105)),
        height(K::HipHeight, (0.5118, 0.0156), (0.5054, 0.0164)),
        height(K::CrotchHeight, (0.4802, 0.0151), (0.4815, 0.0141)),
        height(K::KneeHeight, (0.2756, 0.0090), (0.2780, 0.0092)),
    ]
};

/// An order that two values of a person break.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Broken<'m> {
    /// The rule.
    pub order: Order,
    /// What should be the larger.
    pub larger: &'m Measure,
    /// What should be the smaller.
    pub smaller: &'m Measure,
}

/// Every order that the values of one answer break; measures without a value break none.
#[must_use]
pub fn broken_orders(set: &MeasureSet) -> Vec<Broken<'_>> {
    let mut broken = Vec::new();
    for &order in ORDERS {
        for (larger, smaller) in pairs(set, order.larger, order.smaller) {
            if larger.value <= smaller.value {
                broken.push(Broken {
                    order,
                    larger,
                    smaller,
                });
            }
        }
    }
    broken
}

/// What looks unlike a body, in plain words: to be looked at where nobody is so, a note where few are.
#[must_use]
pub fn odd_looks(set: &MeasureSet) -> Vec<Finding> {
    let mut findings: Vec<Finding> = broken_orders(set).iter().map(Broken::say).collect();
    for ratio in RATIOS {
        let (low, high) = ratio.window;
        let odd = pairs(set, ratio.part, ratio.whole)
            .into_iter()
            .filter(|(part, whole)| whole.value > 0.0 && outside(part, whole, (low, high)));
        findings.extend(odd.map(|(part, whole)| {
            let share = part.value / whole.value;
            Finding::look(
                part.id.to_string(),
                format!(
                    "it is {share:.2} of the {}, where {low:.2} to {high:.2} is usual; check that \
                     both were taken at the right place, by tape if need be, before you rely on either.",
                    whole.id
                ),
            )
        }));
    }
    findings
}

/// True if the ratio lies outside by more than its own uncertainty.
fn outside(part: &Measure, whole: &Measure, (low, high): (f64, f64)) -> bool {
    let share = part.value / whole.value;
    let sd = (part.spread.sd / whole.value).hypot(share * whole.spread.sd / whole.value);
    share + sd < low || share - sd > high
}

impl Broken<'_> {
    fn say(&self) -> Finding {
        let (larger, smaller) = (self.larger, self.smaller);
        let head = format!(
            "at {} it is not larger than the {} at {}",
            show(larger),
            smaller.id,
            show(smaller)
        );
        let topic = larger.id.to_string();
        match self.order.force {
            Force::Hard => Finding::look(
                topic,
                format!(
                    "{head}, which nobody in a survey of 6 068 people shows; check both by tape \
                     before you rely on either."
                ),
            ),
            Force::Soft => Finding::note(
                topic,
                format!("{head}; some people are so, but check one of them by tape."),
            ),
        }
    }
}

fn show(measure: &Measure) -> String {
    format!("{:.0} {}", measure.value, measure.unit.name())
}

/// Both values of two measures: of the same side, or the one side against what has none.
fn pairs(set: &MeasureSet, one: Key, other: Key) -> Vec<(&Measure, &Measure)> {
    let paired = one.definition().paired || other.definition().paired;
    let sides: &[Option<Side>] = Side::of_pair(paired);
    let value = |key: Key, side: Option<Side>| {
        let side = side.filter(|_| key.definition().paired);
        set.get(MeasureId::new(key, side))
    };
    sides
        .iter()
        .filter_map(|&side| Some((value(one, side)?, value(other, side)?)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Weight;
    use crate::measure::{Cause, Outcome, Source, Spread};

    fn set(values: &[(Key, Option<Side>, f64)]) -> MeasureSet {
        let measure = |&(key, side, value): &(Key, Option<Side>, f64)| {
            Outcome::Value(Measure {
                id: MeasureId::new(key, side),
                value,
                unit: key.definition().unit(),
                spread: Spread::of([(Cause::Level, 2.0)]),
                source: Source::Scan,
                level_mm: None,
            })
        };
        MeasureSet {
            outcomes: values.iter().map(measure).collect(),
            ..MeasureSet::default()
        }
    }

    /// Means of the survey's women (ANSUR II, mm), with its nearest like for each of ours.
    const WOMAN: &[(Key, Option<Side>, f64)] = &[
        (Key::Stature, None, 1628.5),
        (Key::BackNeckHeight, None, 1395.7),
        (Key::BustHeight, None, 1171.6),
        (Key::WaistNarrowestHeight, None, 980.1),
        (Key::HipHeight, None, 833.7),
        (Key::CrotchHeight, None, 782.3),
        (Key::BustGirth, None, 946.9),
        (Key::WaistNarrowestGirth, None, 860.9),
        (Key::HipGirth, None, 1021.2),
        (Key::ShoulderGirth, None, 1028.2),
        (Key::ShoulderPointBreadth, None, 365.3),
        (Key::ShoulderBreadth, None, 450.3),
        (Key::HipBreadth, None, 353.8),
        (Key::HipDepth, None, 232.9),
        (Key::ThighGirth, Some(Side::Left), 616.1),
        (Key::CalfGirth, Some(Side::Left), 373.3),
        (Key::AnkleGirth, Some(Side::Left), 215.7),
        (Key::UpperArmGirth, Some(Side::Left), 305.6),
        (Key::WristGirth, Some(Side::Left), 154.8),
        (Key::HandGirth, Some(Side::Left), 186.6),
        (Key::KneeHeight, Some(Side::Left), 449.0),
        (Key::ShoulderHeight, Some(Side::Left), 1335.1),
        (Key::ArmpitHeight, Some(Side::Left), 1239.0),
    ];

    #[test]
    fn the_survey_s_mean_is_not_odd() {
        assert_eq!(odd_looks(&set(WOMAN)), []);
    }

    fn changed(key: Key, value: f64) -> MeasureSet {
        let mut values = WOMAN.to_vec();
        for entry in values.iter_mut().filter(|entry| entry.0 == key) {
            entry.2 = value;
        }
        set(&values)
    }

    /// A rule of the survey that nobody breaks is to be looked at, one that some break is noted.
    #[test]
    fn broken_orders_are_told_by_their_force() {
        let hard = odd_looks(&changed(Key::HipBreadth, 230.0));
        assert_eq!(hard.len(), 1);
        assert_eq!(
            (hard[0].weight, &*hard[0].topic),
            (Weight::Look, "hip breadth")
        );
        let soft = odd_looks(&changed(Key::ShoulderGirth, 940.0));
        assert_eq!(soft.len(), 1);
        assert_eq!(soft[0].weight, Weight::Note);
    }

    /// A palm that holds the thumb is about 1.9 of the wrist; the survey's greatest is 1.38 (men 1.37).
    #[test]
    fn a_hand_with_its_thumb_is_told() {
        let found = odd_looks(&changed(Key::HandGirth, 1.9 * 154.8));
        assert!(found.iter().any(|f| f.topic == "left hand girth"));
        assert_eq!(odd_looks(&changed(Key::HandGirth, 1.378 * 154.8)), []);
        assert_eq!(odd_looks(&changed(Key::HandGirth, 1.055 * 154.8)), []);
    }

    /// A thigh of 0.4 of the hip girth: the survey's women have 0.603 ± 0.020, four of these off 0.523, a fifth off that 0.418.
    #[test]
    fn a_ratio_nobody_has_is_told() {
        let found = odd_looks(&changed(Key::ThighGirth, 408.0));
        assert!(
            found
                .iter()
                .any(|f| f.topic == "left thigh girth" && f.text.contains("0.40"))
        );
        // Sizes alone are never odd: twice the girths of the mean.
        let girth = |key: Key| key.definition().is_girth();
        let values: Vec<_> = WOMAN
            .iter()
            .map(|&(key, side, v)| (key, side, if girth(key) { 2.0 * v } else { v }))
            .collect();
        assert_eq!(odd_looks(&set(&values)), []);
    }
}
