//! Closing contours over missing skin.

use super::Contour;
use super::curve::End;
use super::hull::distance;

/// How wide a gap may be to be bridged by a straight line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BridgeLimits {
    /// Widest single gap, in mm.
    pub widest_mm: f64,
    /// Greatest share of all gaps in the girth of the closed contour.
    pub share: f64,
    /// Gaps that come to no more than this, in mm, may have the larger share `thin_share`: a hole in
    /// a scan is as wide on a thin limb as on the trunk.
    pub thin_mm: f64,
    /// Greatest share of gaps of `thin_mm` in all.
    pub thin_share: f64,
    /// How wide a gap may be where the skin bends the same way on both sides of it, as round a flank: its bridge goes
    /// on as the skin does, in mm.
    pub round_mm: f64,
    /// Greatest share of all gaps where those beyond the other limits are such.
    pub round_share: f64,
}

impl Default for BridgeLimits {
    /// 80 mm and a tenth of the girth: a straight bridge over a tenth of a
    /// round girth is short by 1.6 % of the bridge's arc, 0.16 % of the girth
    /// (1 − sin(π/10)/(π/10)), within what a tape can tell. Up to 40 mm a fifth: short by 1.3 % of
    /// the girth (1 − sin(π/5)/(π/5) of a fifth), 2 mm at a wrist, which its uncertainty carries.
    /// Up to 150 mm and a fifth where the skin goes on round the gap, as at a flank in the shadow of an arm: a
    /// straight bridge would be short by 6 mm of 900, a curved one by a fifth of that.
    fn default() -> Self {
        Self {
            widest_mm: 80.0,
            share: 0.1,
            thin_mm: 40.0,
            thin_share: 0.2,
            round_mm: 150.0,
            round_share: 0.2,
        }
    }
}

impl BridgeLimits {
    /// No bridge at all.
    pub const NONE: Self = Self {
        // Ends that meet in a point are two ends all the same.
        widest_mm: -1.0,
        share: 0.0,
        thin_mm: 0.0,
        thin_share: 0.0,
        round_mm: -1.0,
        round_share: 0.0,
    };

    /// True if gaps of so much in all may be bridged in a girth of so much.
    fn allow(&self, gaps_mm: f64, girth_mm: f64) -> bool {
        let thin = (self.thin_share * girth_mm).min(self.thin_mm);
        gaps_mm <= thin.max(self.share * girth_mm)
    }
}

/// A join of two loose ends: distance, then (chain, is its tail) twice.
type Join = (f64, (usize, bool), (usize, bool));

/// Joins open contours end to end, nearest ends first, until they close.
///
/// What cannot be closed within the limits is returned as it came.
pub(super) fn close(contours: Vec<Contour>, limits: &BridgeLimits) -> Vec<Contour> {
    let (open, mut done): (Vec<Contour>, Vec<Contour>) =
        contours.into_iter().partition(|c| !c.is_closed());
    if open.is_empty() {
        return done;
    }
    let mate = pair_ends(&open, limits);
    let mut used = vec![false; open.len()];
    // Runs that still end loose go first, so that a walk never starts inside one.
    let loose = (0..open.len())
        .flat_map(|i| [(i, false), (i, true)])
        .filter(|&end| mate[slot(end)].is_none());
    let rest = (0..open.len()).map(|i| (i, false));
    for start in loose.chain(rest) {
        if used[start.0] {
            continue;
        }
        let run = follow(start, &mate, &mut used);
        match apart(&open, &run, limits).or_else(|| Some(vec![join(&open, &run, limits)?])) {
            Some(closed) => done.extend(closed),
            None => done.extend(run.members.iter().map(|&(i, _)| open[i].clone())),
        }
    }
    done
}

/// The members of a run, where several of them close by themselves: two thighs whose facing skins are missing, whose
/// ends lie nearer to each other than to their own.
fn apart(open: &[Contour], run: &Run, limits: &BridgeLimits) -> Option<Vec<Contour>> {
    if run.members.len() < 2 {
        return None;
    }
    let alone = |&(chain, _): &(usize, bool)| {
        let run = Run {
            members: vec![(chain, false)],
            closes: true,
        };
        join(open, &run, limits).ok_or(chain)
    };
    let (closed, rest): (Vec<_>, Vec<_>) = run.members.iter().map(alone).partition(Result::is_ok);
    if closed.len() < 2 {
        return None;
    }
    let rest = rest.into_iter().filter_map(Result::err);
    let rest = rest.map(|chain| open[chain].clone());
    Some(closed.into_iter().flatten().chain(rest).collect())
}

/// A run of joined chains: each with true if it is walked backwards.
struct Run {
    members: Vec<(usize, bool)>,
    closes: bool,
}

fn slot((chain, tail): (usize, bool)) -> usize {
    2 * chain + usize::from(tail)
}

/// Nearest loose ends meet first; a chain may meet itself.
fn pair_ends(open: &[Contour], limits: &BridgeLimits) -> Vec<Option<(usize, bool)>> {
    let widest = limits.widest_mm.max(limits.round_mm);
    let rounds = |(i, tail): (usize, bool), (j, other): (usize, bool)| {
        let from = End::of(open[i].points(), tail);
        let to = End::of(open[j].points(), other);
        from.zip(to).is_some_and(|(from, to)| from.rounds_to(&to))
    };
    let mut ends: Vec<((usize, bool), [f64; 2])> = Vec::new();
    for (i, contour) in open.iter().enumerate() {
        if let [first, .., last] = contour.points() {
            ends.push(((i, false), *first));
            ends.push(((i, true), *last));
        }
    }
    // Sorted along u, so that only ends within the widest gap are compared.
    ends.sort_by(|a, b| a.1[0].total_cmp(&b.1[0]).then(a.0.cmp(&b.0)));
    let mut joins: Vec<Join> = Vec::new();
    for (at, &(end, from)) in ends.iter().enumerate() {
        for &(other, to) in ends[at + 1..].iter().take(MOST_NEIGHBOURS) {
            if to[0] - from[0] > widest {
                break;
            }
            let gap = distance(from, to);
            if gap <= limits.widest_mm || gap <= limits.round_mm && rounds(end, other) {
                joins.push((gap, end.min(other), end.max(other)));
            }
        }
    }
    joins.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut mate = vec![None; 2 * open.len()];
    for (_, a, b) in joins {
        if mate[slot(a)].is_none() && mate[slot(b)].is_none() {
            mate[slot(a)] = Some(b);
            mate[slot(b)] = Some(a);
        }
    }
    mate
}

/// Ends compared with each loose end: keeps shredded scans from costing the
/// square of their shreds.
const MOST_NEIGHBOURS: usize = 256;

fn follow(start: (usize, bool), mate: &[Option<(usize, bool)>], used: &mut [bool]) -> Run {
    let mut members = Vec::new();
    let mut entry = start;
    loop {
        used[entry.0] = true;
        members.push((entry.0, entry.1));
        let exit = (entry.0, !entry.1);
        match mate[slot(exit)] {
            None => {
                return Run {
                    members,
                    closes: false,
                };
            }
            Some(next) if used[next.0] => {
                return Run {
                    members,
                    closes: next == start,
                };
            }
            Some(next) => entry = next,
        }
    }
}

fn join(open: &[Contour], run: &Run, limits: &BridgeLimits) -> Option<Contour> {
    if !run.closes {
        return None;
    }
    let mut points: Vec<[f64; 2]> = Vec::new();
    let mut bridged_after = Vec::with_capacity(run.members.len());
    for &member in &run.members {
        walk(open, member, &mut points);
        bridged_after.push(points.len().checked_sub(1)?);
    }
    let pieces = run.members.iter().map(|&(chain, _)| open[chain].piece());
    let piece = pieces.min()?;
    let straight = Contour::bridged(points, bridged_after).of_piece(piece);
    let widest = straight.bridges().map(|[a, b]| distance(a, b));
    let narrow = widest.fold(0.0, f64::max) <= limits.widest_mm;
    if narrow && limits.allow(straight.gap_mm(), straight.surface_girth_mm()) {
        return Some(straight);
    }
    Some(round(open, run, limits, &straight)?.of_piece(piece))
}

/// Adds the points of a chain, walked backwards if it says so.
fn walk(open: &[Contour], (chain, backwards): (usize, bool), points: &mut Vec<[f64; 2]>) {
    let start = points.len();
    points.extend_from_slice(open[chain].points());
    if backwards {
        points[start..].reverse();
    }
}

/// A run closed by curved bridges, where the skin goes round all of its wide gaps.
fn round(
    open: &[Contour],
    run: &Run,
    limits: &BridgeLimits,
    straight: &Contour,
) -> Option<Contour> {
    if straight.gap_mm() > limits.round_share * straight.surface_girth_mm() {
        return None;
    }
    let left = straight.is_counter_clockwise();
    let (mut points, mut bridged_after) = (Vec::new(), Vec::new());
    for (n, &(chain, backwards)) in run.members.iter().enumerate() {
        walk(open, (chain, backwards), &mut points);
        bridged_after.push(points.len().checked_sub(1)?);
        let (next, reversed) = run.members[(n + 1) % run.members.len()];
        let begins = open[next].points();
        let to = if reversed {
            begins.last()
        } else {
            begins.first()
        };
        let to = *to?;
        if distance(*points.last()?, to) <= limits.thin_mm {
            continue;
        }
        let from = End::of(open[chain].points(), !backwards)?;
        let to = End::of(open[next].points(), reversed)?;
        if !from.rounds_left_to(&to, left) {
            return None;
        }
        for point in from.bridge_to(&to) {
            points.push(point);
            bridged_after.push(points.len() - 1);
        }
    }
    Some(Contour::bridged(points, bridged_after))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::Closure;
    use std::f64::consts::TAU;

    /// Arc of a circle r 150 from one share of the turn to another, in steps of a 720th.
    fn arc(from: u32, to: u32) -> Contour {
        let points = (from..=to)
            .map(|i| {
                let angle = TAU * f64::from(i) / 720.0;
                [150.0 * angle.cos(), 150.0 * angle.sin()]
            })
            .collect();
        Contour::new(points, false)
    }

    #[test]
    fn two_gaps_in_a_circle_are_bridged_by_their_chords() {
        // 10 of 720 steps missing at each of two places: chord 2·150·sin(π·10/720).
        let closed = close(vec![arc(0, 350), arc(360, 710)], &BridgeLimits::default());
        assert_eq!(closed.len(), 1);
        let chord = 300.0 * (TAU * 5.0 / 720.0).sin();
        match closed[0].closure() {
            Closure::Bridged { gap_mm } => assert!((gap_mm - 2.0 * chord).abs() < 1e-9),
            other => panic!("{other:?}"),
        }
        for [a, b] in closed[0].bridges() {
            assert!((distance(a, b) - chord).abs() < 1e-9);
        }
        assert_eq!(closed[0].bridges().count(), 2);
        let step = 300.0 * (TAU / 1440.0).sin();
        let exact = 700.0 * step + 2.0 * chord;
        assert!((closed[0].surface_girth_mm() - exact).abs() < 1e-9);
    }

    #[test]
    fn a_wide_gap_stays_open() {
        let kept = close(vec![arc(0, 560)], &BridgeLimits::default());
        assert!(matches!(kept[0].closure(), Closure::Open { gap_mm } if gap_mm > 150.0));
    }

    /// A gap of 120 of 720 steps, 150 mm of chord: as a circle's arc of 157.08 it is closed to 1 mm of the girth.
    #[test]
    fn a_wide_gap_in_a_round_contour_is_closed_by_an_arc() {
        let closed = close(vec![arc(0, 602)], &BridgeLimits::default());
        assert!(closed[0].is_closed());
        let exact = 300.0 * std::f64::consts::PI;
        let found = closed[0].surface_girth_mm();
        assert!((found - exact).abs() < 2.0, "{found} {exact}");
        // Ends that flare out, as where an arm begins, lead nowhere round.
        let (tail, skin, head) = (flare(675), arc(45, 675).points().to_vec(), flare(45));
        let flared = Contour::new([vec![head], skin, vec![tail]].concat(), false);
        assert!(flared.gap_mm() > 80.0 && flared.gap_mm() < 150.0);
        assert!(!close(vec![flared], &BridgeLimits::default())[0].is_closed());
    }

    /// A point 25 mm out from the circle.
    fn flare(step: u32) -> [f64; 2] {
        let angle = TAU * f64::from(step) / 720.0;
        [175.0 * angle.cos(), 175.0 * angle.sin()]
    }

    /// Two thighs of radius 75, 10 mm apart, whose facing arcs of 60 mm are missing: the ends of the one lie nearer to
    /// the other's than to each other.
    #[test]
    fn thighs_without_their_inner_skin_stay_two() {
        let thigh = |middle: f64, from: f64| {
            let points = (0..=300).map(|i| {
                let angle = from + 0.4 + (TAU - 0.8) * f64::from(i) / 300.0;
                [middle + 75.0 * angle.cos(), 75.0 * angle.sin()]
            });
            Contour::new(points.collect(), false)
        };
        let legs = vec![thigh(-80.0, 0.0), thigh(80.0, TAU / 2.0)];
        let closed = close(legs, &BridgeLimits::default());
        assert_eq!(closed.len(), 2);
        assert!(closed.iter().all(Contour::is_closed));
    }

    /// A hole of 36 mm in a wrist of 160 and in a trunk of 900 is bridged, 36 mm of a finger and 100 of
    /// the trunk are not.
    #[test]
    fn thin_limbs_bear_a_larger_share() {
        let limits = BridgeLimits::default();
        assert!(
            limits.allow(30.0, 160.0) && limits.allow(36.0, 900.0) && limits.allow(40.0, 200.0)
        );
        assert!(limits.allow(85.0, 900.0) && limits.allow(55.0, 560.0));
        assert!(
            !limits.allow(36.0, 70.0) && !limits.allow(100.0, 900.0) && !limits.allow(45.0, 300.0)
        );
        assert!(!BridgeLimits::NONE.allow(1e-9, 900.0) && BridgeLimits::NONE.allow(0.0, 900.0));
    }

    #[test]
    fn a_piece_that_runs_backwards_is_turned() {
        let mut back = arc(360, 710);
        back = Contour::new(back.points().iter().rev().copied().collect(), false);
        let closed = close(vec![arc(0, 350), back], &BridgeLimits::default());
        assert_eq!(closed.len(), 1);
        assert!(closed[0].is_closed());
    }
}
