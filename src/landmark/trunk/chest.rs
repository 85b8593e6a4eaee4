//! The front of the chest, side by side: its peaks, and where a flat one breaks off.

use super::REACH;
use super::bust::{BUST_REACH_SHARE, nearest};
use crate::landmark::Survey;
use crate::landmark::series::{Extreme, Kind, Series};
use crate::section::Contour;
use crate::side::Side;

/// Where a bust point is looked for, in shares of the stature. ANSUR II has chest height at
/// 0.719 ± 0.014 (women) and 0.735 ± 0.011 (men): three standard deviations about either.
pub(super) const BUST_WINDOW: (f64, f64) = (0.677, 0.768);
/// Where it is looked for next: four and a half.
pub(super) const WIDE_WINDOW: (f64, f64) = (0.655, 0.785);
/// Least height of a peak over the hollow beside it, in mm, and in standard deviations of what noise and
/// facets do to the skin: two of noise; ripples of facets are as high as these are deep, three and more.
const STANDS_MM: f64 = 1.0;
const STANDS_NOISE: f64 = 2.0;
const STANDS_FACETS: f64 = 6.0;
/// A hollow's depth is known to so many standard deviations of what noise and facets do to the skin, and no better
/// than to `SURE_MM`: those of two heights.
const SURE_NOISE: f64 = 1.4;
const SURE_FACETS: f64 = 3.0;
const SURE_MM: f64 = 0.3;
/// A bust peak stands at least so far before the breastbone at its level, in mm, and farther by so many standard
/// deviations of what noise and facets do: belly and ribs stand out most in the middle. On 60 study bodies, as they are
/// and through five kinds of scan, bust points stand 4.9 mm and more before it, other peaks of the window 3.4 and less.
const AHEAD_MM: f64 = 3.5;
const AHEAD_NOISE: f64 = 4.0;
const AHEAD_FACETS: f64 = 3.0;
/// A trunk that is turned lifts one side before the breastbone by as much as it lowers the other: the mean of the two
/// stands before it by this share of the same.
const AHEAD_MEAN: f64 = 0.5;
/// Skin that comes forward by more than this a mm of height, and by some noise besides, is another fold of it: the
/// underside of a breast leaves the ribs by 20 to 45 mm from one level to the next.
const STEEP: f64 = 3.0;
const STEEP_NOISE: f64 = 6.0;
/// Half-width of the parabolas that tell how hard a flat chest bends, as a share of the stature: 20 mm.
const BRINK_REACH: f64 = 0.012;
/// A flat chest breaks off where it stands at least by this share of its most before the breastbone.
const BRINK_AHEAD: f64 = 0.5;
/// How surely the bust point of a flat chest is found so, as a share of the stature: 6 mm. On 30 of 60 study bodies
/// (those without breasts) the break lies 0 ± 4 mm off the nipple, through five kinds of scan 0 ± 4 to 7.
const BRINK_SD: f64 = 0.0035;
/// The same where the chest hardly stands before the breastbone at all: about anywhere in the window.
const NO_BRINK_SD: f64 = 0.02;

/// A front that stays within this of its most over this half-width, in mm and as a share of the stature (14 mm), is a
/// plate: over a breast's tip of 60 mm radius the skin falls off by as much within 11.
const PLATE_MM: f64 = 1.0;
const PLATE: f64 = 0.0085;
/// A front that stands before the breastbone by less, in mm, may be a small breast or none, and its nipple lies below or
/// above its most forward level by this share of the stature, 3.4 mm (27 of 60 study bodies: 1.5 ± 4 mm).
const SMALL_MM: f64 = 20.0;
const SMALL_SD: f64 = 0.002;

/// A peak of the chest's front on one side.
#[derive(Clone, Copy)]
pub(super) struct Peak {
    pub(super) top: Extreme,
    /// Over the hollow beside it, in mm.
    pub(super) stands: f64,
    /// How surely `stands` is known, as a standard deviation in mm.
    pub(super) sd: f64,
}

/// The front of one side of the chest, level by level.
#[derive(Default)]
pub(super) struct Front {
    /// How far forward its most forward skin lies.
    pub(super) series: Series,
    /// How far that lies before the breastbone.
    pub(super) ahead: Series,
    pub(super) peaks: Vec<Peak>,
    /// The stature in mm.
    pub(super) s: f64,
}

impl Front {
    /// The fronts of both sides, left before right, with the peaks that can be a bust's.
    pub(super) fn both(survey: &Survey<'_>, half_breadth: f64) -> [Self; 2] {
        let mut fronts = Side::BOTH.map(|side| Self::of(survey, side, half_breadth));
        let believed = [0, 1].map(|side| {
            let (own, other) = (&fronts[side], &fronts[1 - side]);
            let peaks = own.peaks.iter().copied();
            let ahead =
                |peak: &Peak| own.is_ahead(other, peak.top.at, ahead_least(survey, peak.top.at));
            peaks.filter(ahead).collect()
        });
        for (front, peaks) in fronts.iter_mut().zip(believed) {
            front.peaks = peaks;
        }
        fronts
    }

    fn of(survey: &Survey<'_>, side: Side, half_breadth: f64) -> Self {
        let (low, high) = (WIDE_WINDOW.0 - REACH, WIDE_WINDOW.1 + REACH);
        let noise = survey
            .parts
            .trunk
            .noise_mm(low * survey.stature_mm, high * survey.stature_mm);
        let parted = |series: Series| series.parted(STEEP, STEEP_NOISE * noise);
        let front = |piece: &_| Survey::front_point(piece, side, half_breadth).map(|p| p[1]);
        let series = survey.torso_series(low, high, front);
        let ahead = survey.torso_series(low, high, |piece| {
            Some(front(piece)? - piece.contour.across(0.0)?.1)
        });
        Self::with(survey, parted(series), parted(ahead))
    }

    fn with(survey: &Survey<'_>, series: Series, ahead: Series) -> Self {
        let s = survey.stature_mm;
        let reach = BUST_REACH_SHARE * s;
        let (low, high) = (WIDE_WINDOW.0 * s, WIDE_WINDOW.1 * s);
        let tops = series
            .extremes(Kind::Greatest, low, high, reach)
            .into_iter();
        let peaks = tops.filter_map(|top| {
            let stands = series.prominence(&top, Kind::Greatest, reach);
            let sd = uneven(survey, top.at, SURE_NOISE, SURE_FACETS).max(SURE_MM);
            let least = uneven(survey, top.at, STANDS_NOISE, STANDS_FACETS).max(STANDS_MM);
            (stands >= least).then_some(Peak { top, stands, sd })
        });
        let peaks = peaks.collect();
        Self {
            series,
            ahead,
            peaks,
            s,
        }
    }

    /// How far the skin stands before the breastbone at a height, in mm.
    fn ahead_at(&self, at: f64) -> Option<f64> {
        Some(self.ahead.fit(at, BUST_REACH_SHARE * self.s)?.level)
    }

    /// True if the skin at a height stands at least so far before the breastbone, whichever way the trunk is turned.
    fn is_ahead(&self, other: &Self, at: f64, least: f64) -> bool {
        let Some(own) = self.ahead_at(at) else {
            return false;
        };
        let mean = other.ahead_at(at).map_or(own, |its| 0.5 * (own + its));
        own >= least && mean >= AHEAD_MEAN * least
    }

    /// The peaks within a window.
    pub(super) fn within(&self, (low, high): (f64, f64)) -> impl Iterator<Item = &Peak> {
        let window = low * self.s..=high * self.s;
        self.peaks
            .iter()
            .filter(move |peak| window.contains(&peak.top.at))
    }

    /// The window a place lies in, in mm.
    pub(super) fn window(&self, at: f64) -> (f64, f64) {
        let [usual, wide] = [BUST_WINDOW, WIDE_WINDOW].map(|(a, b)| (a * self.s, b * self.s));
        if (usual.0..=usual.1).contains(&at) {
            usual
        } else {
            wide
        }
    }

    /// Where a chest without a breast breaks off, and how surely: the nipple of one lies over the lower edge of the chest
    /// muscle (from memory), which is where the front bends hardest below the level that stands farthest before the
    /// breastbone.
    pub(super) fn brink(&self, least: impl Fn(f64) -> f64) -> Option<(f64, f64)> {
        let (low, high) = (BUST_WINDOW.0 * self.s, BUST_WINDOW.1 * self.s);
        let levels = self.ahead.window(low, high);
        let ahead: Vec<(f64, f64)> = levels
            .filter_map(|(at, _)| Some((at, self.ahead_at(at)?)))
            .collect();
        let &(crest, most) = ahead.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        let near = ahead
            .iter()
            .filter(|&&(at, ahead)| at <= crest && ahead >= BRINK_AHEAD * most);
        let at = self.hardest_bend(near.map(|&(at, _)| at))?;
        let shows = most >= least(crest);
        Some((at, self.s * if shows { BRINK_SD } else { NO_BRINK_SD }))
    }

    /// How surely the front's most forward point is the bust point, for how far it stands before the breastbone.
    pub(super) fn small_sd(&self, at: f64) -> f64 {
        let small = self.ahead_at(at).is_none_or(|ahead| ahead < SMALL_MM);
        if small { SMALL_SD * self.s } else { 0.0 }
    }

    /// The same of a peak that is flatter than any breast's: the plate of a chest muscle.
    pub(super) fn plate_brink(&self, top: &Extreme, noise: f64) -> Option<(f64, f64)> {
        let half = self.plate(top, noise)?;
        let levels = self.series.window(top.at - 2.0 * half, top.at);
        let at = self.hardest_bend(levels.map(|(at, _)| at))?;
        Some((at, BRINK_SD * self.s))
    }

    /// How surely the most forward level of a plate that is not taken for one is the bust's: anywhere on it.
    pub(super) fn plate_sd(&self, top: &Extreme, noise: f64) -> f64 {
        self.plate(top, noise)
            .map_or(0.0, |half| half / 3.0_f64.sqrt())
    }

    /// Half the height of a peak that is flatter than any breast's. Noise hides a fall of the skin as deep as it is itself; a
    /// round tip has fallen by so much more within the root of it.
    fn plate(&self, top: &Extreme, noise: f64) -> Option<f64> {
        let within = PLATE_MM + 2.0 * noise;
        let half = self.series.flat_about(top.at, top.value, within);
        Some(half).filter(|&half| half > PLATE * self.s * (within / PLATE_MM).sqrt())
    }

    /// Of some levels the one at which the front bends most sharply back downwards.
    fn hardest_bend(&self, levels: impl Iterator<Item = f64>) -> Option<f64> {
        let bends =
            levels.filter_map(|at| Some((at, self.series.fit(at, BRINK_REACH * self.s)?.bend)));
        bends.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(at, _)| at)
    }
}

/// What noise and facets do to the skin at a height, as so many standard deviations of each, in mm.
fn uneven(survey: &Survey<'_>, at: f64, noise: f64, facets: f64) -> f64 {
    let of =
        |contour: &Contour| (noise * contour.noise_mm()).hypot(facets * contour.facet_jitter_mm());
    nearest(survey, at).map_or(0.0, |piece| of(&piece.contour))
}

/// Least distance before the breastbone by which a bust is told at a height, in mm.
pub(super) fn ahead_least(survey: &Survey<'_>, at: f64) -> f64 {
    AHEAD_MM + uneven(survey, at, AHEAD_NOISE, AHEAD_FACETS)
}

#[cfg(test)]
mod tests {
    use super::*;

    const STATURE: f64 = 1700.0;

    /// A front by height, and how far it stands before the breastbone.
    fn front(skin: impl Fn(f64) -> f64, ahead: impl Fn(f64) -> f64) -> Front {
        let levels = || (0..100).map(|i| 1100.0 + 2.5 * f64::from(i));
        let series = |of: &dyn Fn(f64) -> f64| Series::new(levels().map(|z| (z, of(z))));
        Front {
            series: series(&skin),
            ahead: series(&ahead),
            peaks: Vec::new(),
            s: STATURE,
        }
    }

    fn bump(z: f64, at: f64, high: f64) -> f64 {
        high * (-((z - at) / 25.0).powi(2)).exp()
    }

    /// A belly of 40 mm stands out in the middle as well, a breast of 12 beside the breastbone alone. A trunk that is
    /// turned by 4 mm lifts the belly on one side, and the breast over what is asked of the mean.
    #[test]
    fn a_belly_stands_no_farther_than_the_breastbone() {
        let side = |turned: f64| {
            front(
                |z| bump(z, 1140.0, 40.0) + bump(z, 1240.0, 12.0) + turned,
                move |z| 1.0 + bump(z, 1240.0, 12.0) + turned,
            )
        };
        let even = side(0.0);
        assert!(even.is_ahead(&even, 1240.0, AHEAD_MM));
        assert!(!even.is_ahead(&even, 1140.0, AHEAD_MM));
        let (lifted, lowered) = (side(4.0), side(-4.0));
        assert!(!lifted.is_ahead(&lowered, 1140.0, AHEAD_MM));
        assert!(lifted.is_ahead(&lowered, 1240.0, AHEAD_MM));
        assert!(lowered.is_ahead(&lifted, 1240.0, AHEAD_MM));
    }

    /// A front that rises by 0.4 mm a mm to 1230 mm and is upright from there bends at 1230 and nowhere else; the level that
    /// stands farthest before the breastbone is higher up. A chest level with its breastbone says little of it.
    #[test]
    fn a_flat_chest_breaks_off_where_it_bends() {
        let skin = |z: f64| 100.0 + 0.4 * (z - 1230.0).min(0.0);
        let chest = front(skin, |z| bump(z, 1245.0, 8.0));
        let (at, sd) = chest.brink(|_| AHEAD_MM).unwrap();
        assert!((at - 1230.0).abs() <= 2.5, "{at}");
        assert!((sd - 0.0035 * STATURE).abs() < 1e-9, "{sd}");
        let (_, sd) = front(skin, |z| bump(z, 1245.0, 2.0))
            .brink(|_| AHEAD_MM)
            .unwrap();
        assert!((sd - 0.02 * STATURE).abs() < 1e-9, "{sd}");
    }

    /// A plate 50 mm high with its most forward level at its upper end: the bust point lies at its lower edge. A tip of
    /// 60 mm radius is none, as it falls off by 1 mm within 11 (closed form: √(2·60·1) = 10.95).
    #[test]
    fn a_plate_is_no_tip() {
        let plate = front(
            |z| {
                100.0 + 0.5 * (z - 1220.0).min(0.0) + 0.01 * (z - 1220.0).clamp(0.0, 50.0)
                    - 0.5 * (z - 1270.0).max(0.0)
            },
            |_| 10.0,
        );
        let top = plate
            .series
            .extreme(Kind::Greatest, 1150.0, 1320.0, 13.0)
            .unwrap();
        let (at, _) = plate.plate_brink(&top, 0.0).unwrap();
        assert!(
            top.at > 1245.0 && (at - 1220.0).abs() <= 2.5,
            "{top:?} {at}"
        );
        assert!(plate.plate_sd(&top, 0.0) > 12.0);
        let tip = front(|z| 100.0 - (z - 1240.0).powi(2) / 120.0, |_| 10.0);
        let top = tip
            .series
            .extreme(Kind::Greatest, 1150.0, 1320.0, 13.0)
            .unwrap();
        assert!(tip.plate_brink(&top, 0.0).is_none() && tip.plate_sd(&top, 0.0) < 1e-12);
    }
}
