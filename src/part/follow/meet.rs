//! Where, going up, an arm meets the trunk: at its armpit, or touching it below.

use super::At;

/// Share of the stature from which on an arm that joins the trunk can do so at its armpit (ANSUR II: 0.76
/// ± 0.009, lower where a hanging arm draws the fold down); below, it touches.
pub(super) const LOWEST_ARMPIT: f64 = 0.70;
/// Share of the stature by which the trunk's contour grows out to one side where a level cut runs along an arm
/// from the armpit to the elbow: the arm is held out about level (ANSUR II acromion to radiale: 0.19 ± 0.009).
const UPPER_ARM: f64 = 0.19;
/// Levels within which it does so: the underside of an arm held out level is not straight. 50 mm.
pub(super) const WITHIN: usize = 20;
/// From so much growth in one level, in mm, it is the arm's underside that it grows along, not the flank's flare.
const FLANK_MM: f64 = 10.0;

/// An arm that joins the trunk's contour: the level of the joined contour, and the arm and the trunk just below.
pub(super) type Join = (usize, At, At);

/// What meets the trunk on one side of it.
#[derive(Default)]
pub(super) struct Meetings {
    pub(super) joins: Vec<Join>,
    /// Levels of what parts from the trunk.
    pub(super) partings: Vec<usize>,
    /// Level and outermost place of the trunk's contours between the lowest and the highest armpit.
    pub(super) edges: Vec<(usize, f64)>,
}

/// A stretch over which an arm or hand touches the trunk.
pub(super) struct Touch {
    /// The arm just below, unless it began in the contour.
    pub(super) arm: Option<At>,
    /// The lowest level above.
    pub(super) parts: usize,
}

impl Meetings {
    /// The highest level below an arm held out about level, if there is one.
    pub(super) fn held_out(&self, stature_mm: f64) -> Option<usize> {
        let grows = |i: usize, by: f64| {
            let (level, from) = self.edges[i];
            let next = self.edges[i + 1..].iter();
            let mut near = next.take_while(move |(at, _)| at - level <= WITHIN);
            near.any(|&(_, out)| out - from >= by)
        };
        let first = (0..self.edges.len()).find(|&i| grows(i, UPPER_ARM * stature_mm))?;
        let mut steps = self.edges[first..].windows(2);
        let fold = steps.find(|pair| pair[1].1 - pair[0].1 >= FLANK_MM)?;
        Some(fold[0].0)
    }

    /// Stretches between a join and the next parting. Over the armpit of an arm held out level, what parts
    /// is its upper side: the trunk below is the trunk's alone.
    pub(super) fn touches(&self, held_out: Option<usize>) -> Vec<Touch> {
        let mut touches = Vec::new();
        let mut from = 0;
        for &parts in &self.partings {
            if held_out.is_none_or(|fold| parts <= fold) {
                let mut joins = self.joins.iter();
                let joined = joins.find(|join| (from..=parts).contains(&join.0));
                let arm = joined.map(|&(_, arm, _)| arm);
                touches.push(Touch { arm, parts });
            }
            from = parts + 1;
        }
        touches
    }

    /// The join at the armpit: the last one, or under an arm held out level the one right over the fold. Its
    /// underside may grow out of the trunk with none, and a bump of it join higher up.
    pub(super) fn armpit(&self, held_out: Option<usize>) -> Option<Join> {
        match held_out {
            Some(fold) => self.joins.iter().find(|join| join.0 == fold + 1).copied(),
            None => self.joins.last().copied(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn met(
        joins: &[usize],
        partings: &[usize],
        edges: impl Iterator<Item = (usize, f64)>,
    ) -> Meetings {
        Meetings {
            joins: joins
                .iter()
                .map(|&at| (at, (at - 1, 1), (at - 1, 0)))
                .collect(),
            partings: partings.to_vec(),
            edges: edges.collect(),
        }
    }

    /// A hand that joins at 300 and parts at 330, and an armpit at 510.
    #[test]
    fn a_hand_at_the_hip() {
        let met = met(&[300, 510], &[330], (480..560).map(|at| (at, 150.0)));
        assert_eq!(met.held_out(1700.0), None);
        let [touch] = &met.touches(None)[..] else {
            panic!("one touch");
        };
        assert_eq!((touch.arm, touch.parts), (Some((299, 1)), 330));
        assert_eq!(met.armpit(None).unwrap().0, 510);
    }

    /// An arm held out level: the contour grows from 150 to 750 mm at 520; its upper side parts at 550.
    #[test]
    fn an_arm_held_out_level() {
        let edge = |at| if at < 520 { 150.0 } else { 750.0 };
        let met = met(&[520, 526], &[550], (480..560).map(|at| (at, edge(at))));
        assert_eq!(met.held_out(1700.0), Some(519));
        assert!(met.touches(Some(519)).is_empty());
        assert_eq!(met.armpit(Some(519)).unwrap().0, 520);
    }

    /// Its underside may rise, so that nothing joins but a hand: by 60 mm a level from 520 on.
    #[test]
    fn an_arm_that_rises() {
        let edge =
            |at: usize| 150.0 + 60.0 * f64::from(u32::try_from(at.saturating_sub(519)).unwrap());
        let met = met(&[526], &[550], (480..560).map(|at| (at, edge(at.min(530)))));
        assert_eq!(met.held_out(1700.0), Some(519));
        assert_eq!(met.armpit(Some(519)), None);
        // A shoulder that broadens by 3 mm a level is none.
        let broad = (480..560).map(|at| {
            (
                at,
                150.0 + 3.0 * f64::from(u32::try_from(at - 480).unwrap()),
            )
        });
        let met = Meetings {
            edges: broad.collect(),
            ..Meetings::default()
        };
        assert_eq!(met.held_out(1700.0), None);
    }
}
