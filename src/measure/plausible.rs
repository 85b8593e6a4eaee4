//! Does the answer look like a body? Orders that hold for people, and ratios nobody leaves.
//!
//! Nothing is corrected: what nobody shows is withheld with all that hangs on it, and told; what few show is told.
//!
//! # Source
//! ANSUR II, the public 2012 survey of 1 986 women and 4 082 men (Gordon et al. 2014,
//! NATICK/TR-15/007), counted by us from its data; sex is not asked, so each window spans both.

use super::{Key, Measure, MeasureId, MeasureSet};
use crate::finding::Finding;
use crate::side::Side;

mod act;
mod relations;

pub(crate) use act::act;
pub use relations::{RELATIONS, Relation, Seen};

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
        for (larger, smaller) in pairs(&|id| set.get(id), order.larger, order.smaller) {
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
    let get = |id: MeasureId| set.get(id);
    let odd = act::shown(&get).into_iter().filter(act::Shown::is_outside);
    findings.extend(odd.map(|one| {
        Finding::look(
            one.all[0].id.to_string(),
            format!(
                "{}; check that both were taken at the right place, by tape if need be, before you rely on either.",
                one.say()
            ),
        )
    }));
    findings
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
fn pairs<'m>(
    get: &dyn Fn(MeasureId) -> Option<&'m Measure>,
    one: Key,
    other: Key,
) -> Vec<(&'m Measure, &'m Measure)> {
    let paired = one.definition().paired || other.definition().paired;
    let sides: &[Option<Side>] = Side::of_pair(paired);
    let value = |key: Key, side: Option<Side>| {
        let side = side.filter(|_| key.definition().paired);
        get(MeasureId::new(key, side))
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
        assert_eq!(
            (hard[0].weight, &*hard[0].topic),
            (Weight::Look, "hip breadth")
        );
        assert!(hard[0].text.contains("nobody in a survey"));
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

    /// A thigh of 408 mm under a hip of 1021 and over a calf of 373: the geometric mean of the two is 617.2, of which
    /// it is 0.661; the survey's least is 0.827, a tenth off that 0.744. The hip is 2.50 of it (2.10 at the most). Hip
    /// and calf go together with all others, so the thigh is at fault.
    #[test]
    fn a_ratio_nobody_has_is_withheld() {
        let odd = changed(Key::ThighGirth, 408.0);
        let found = odd_looks(&odd);
        let told = |text: &str| {
            found
                .iter()
                .any(|f| f.topic == "left thigh girth" && f.text.contains(text))
        };
        assert!(
            told("0.66 of the mean of hip girth and calf girth"),
            "{found:?}"
        );
        let mut outcomes = odd.outcomes;
        outcomes.sort_by_key(Outcome::id);
        let acted = act(&mut outcomes);
        assert_eq!(acted.len(), 1, "{acted:?}");
        assert_eq!(acted[0].topic, "left thigh girth");
        let gone: Vec<String> = outcomes
            .iter()
            .filter_map(|outcome| match outcome {
                Outcome::Withheld(withheld) => Some(withheld.id.to_string()),
                Outcome::Value(_) => None,
            })
            .collect();
        assert_eq!(gone, ["left thigh girth"]);
        assert_eq!(act(&mut outcomes), [], "the rest goes together");
    }

    /// A hair style or a collar round the neck: with the neck's girth go the points where it begins.
    #[test]
    fn what_hangs_on_the_neck_goes_with_it() {
        let mut values = WOMAN.to_vec();
        values.extend([
            (Key::HeadGirth, None, 561.0),
            (Key::NeckGirth, None, 577.0),
            (Key::ScyeDepth, None, 180.0),
        ]);
        let mut outcomes = set(&values).outcomes;
        outcomes.sort_by_key(Outcome::id);
        act(&mut outcomes);
        let set = MeasureSet {
            outcomes,
            ..MeasureSet::default()
        };
        for key in [Key::NeckGirth, Key::BackNeckHeight, Key::ScyeDepth] {
            assert!(set.get(key).is_none(), "{key:?}");
        }
        assert!(set.get(Key::HeadGirth).is_some() && set.get(Key::Stature).is_some());
    }

    /// Sizes alone are never odd: the same person half as large again.
    #[test]
    fn sizes_are_never_odd() {
        let larger = WOMAN.iter().map(|&(key, side, v)| (key, side, 1.5 * v));
        assert_eq!(odd_looks(&set(&larger.collect::<Vec<_>>())), []);
    }
}
