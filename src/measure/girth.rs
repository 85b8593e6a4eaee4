//! Girths read off contours, with what makes them uncertain.

mod limb;

pub(super) use limb::{along_sd, arm, arm_at, arm_girth, upper_arm};

use super::{Cause, GirthCurve, Spread};
use crate::landmark::{SquareCut, Survey, cut_about, is_neck, thinnest_neck};
use crate::part::Piece;
use crate::section::{Contour, Hull, PlaneAxes, Slicer};
use nalgebra::{Point3, Vector3};
use std::f64::consts::{PI, TAU};

/// A contour made ready for reading: smoothed if its skin is rough.
#[derive(Clone, Debug)]
pub(super) struct Reading {
    pub(super) contour: Contour,
    pub(super) hull: Hull,
    pub(super) taut_mm: f64,
    pub(super) surface_mm: f64,
    pub(super) roughness_mm: f64,
    gap_mm: f64,
    /// Half the breadth of a fold that facets or smoothing fill.
    blur_mm: f64,
    /// Contour points the girth is made of.
    points: usize,
    /// Longest bridge within a fold, in mm.
    hidden_fold_mm: f64,
}

/// A bridge whose ends lie so far inside the taut tape, in mm, and that is as long, lies in a fold.
const IN_FOLD_MM: f64 = 5.0;

/// Length along the skin over which a parabola of the smoothing settles on
/// one place: points closer than this err together.
const PATCH_MM: f64 = 20.0;
/// Points of a cut that err together: edges that meet in a vertex share its noise.
const KIN_POINTS: f64 = 3.0;
/// A girth along the skin that is longer than the taut one by this has a fold, in mm.
const FOLDED_MM: f64 = 3.0;

impl Reading {
    pub(super) fn of(contour: &Contour) -> Self {
        let (smooth, roughness) = contour.smoothed();
        let (contour, roughness, blur_mm) = if contour.is_rough() {
            (smooth, roughness, contour.smoothing_reach_mm())
        } else {
            // What lies off the parabolas is mostly facets: no more of it is noise than hides among them.
            let noise = roughness.min(contour.least_rough_mm());
            (contour.clone(), noise, contour.step_mm())
        };
        let hull = contour.hull();
        Self {
            taut_mm: hull.perimeter(),
            surface_mm: contour.surface_girth_mm(),
            gap_mm: contour.gap_mm(),
            points: contour.points().len(),
            hidden_fold_mm: hidden_fold(&contour, &hull),
            hull,
            contour,
            roughness_mm: roughness,
            blur_mm,
        }
    }

    /// What a taut tape laid round several contours of one level at once reads.
    pub(super) fn around(contours: &[&Contour]) -> Option<Self> {
        let largest = contours
            .iter()
            .max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))?;
        let each: Vec<Self> = contours.iter().map(|contour| Self::of(contour)).collect();
        let points: Vec<[f64; 2]> = each
            .iter()
            .flat_map(|one| one.hull.points.clone())
            .collect();
        let hull = Hull::of(&points);
        let taut_mm = hull.perimeter();
        Some(Self {
            contour: (*largest).clone(),
            hull,
            taut_mm,
            surface_mm: taut_mm,
            roughness_mm: each.iter().map(|one| one.roughness_mm).fold(0.0, f64::max),
            gap_mm: each.iter().map(|one| one.gap_mm).sum(),
            blur_mm: each.iter().map(|one| one.blur_mm).fold(0.0, f64::max),
            points: each.iter().map(|one| one.points).sum(),
            hidden_fold_mm: 0.0,
        })
    }

    /// Why the girth along the skin is not known where the taut one is: how deep a fold is that is not on the scan.
    pub(super) fn hides_fold(&self) -> Option<String> {
        (self.hidden_fold_mm > IN_FOLD_MM).then(|| {
            format!(
                "skin is missing over {:.0} mm in a fold, which may be deeper than what shows of it; the taut girth does not go into it",
                self.hidden_fold_mm
            )
        })
    }

    /// The uncertainty of a whole girth; `level_sd` is what the level's own uncertainty does to it.
    pub(super) fn spread(&self, level_sd: f64) -> Spread {
        Spread::of([
            (Cause::Level, level_sd),
            (Cause::Noise, self.noise_sd()),
            (Cause::Gap, self.gap_sd()),
            (Cause::Facets, self.facet_sd()),
        ])
    }

    /// The uncertainty of about one half of it; `parting` is what does the halving, and what the
    /// uncertainty of its place does.
    pub(super) fn half_spread(&self, level_sd: f64, parting: (Cause, f64)) -> Spread {
        Spread::of([
            (Cause::Level, 0.5 * level_sd),
            parting,
            (Cause::Noise, 0.5_f64.sqrt() * self.noise_sd()),
            (Cause::Gap, self.gap_sd()),
            (Cause::Facets, 0.5 * self.facet_sd()),
        ])
    }

    /// The uncertainty of the girth along the skin: as [`Self::spread`], and folds that are filled.
    ///
    /// A fold as deep as its half breadth b is missed by about half of b; where the skin lies on the
    /// tape all round there is no fold to miss. Missing skin may have had one as wide as the gap.
    pub(super) fn surface_spread(&self, level_sd: f64) -> Spread {
        let folded = ((self.surface_mm - self.taut_mm) / FOLDED_MM).clamp(0.0, 1.0);
        Spread::of([
            (Cause::Level, level_sd),
            (Cause::Noise, self.noise_sd()),
            (Cause::Gap, self.gap_sd().hypot(0.25 * self.gap_mm)),
            (
                Cause::Facets,
                self.facet_sd().hypot(0.5 * folded * self.blur_mm),
            ),
        ])
    }

    /// A tape rests on the peaks of what roughness the smoothing leaves. The
    /// girth is 2π times the mean radius: over `n` patches that err apart, the
    /// mean errs by 1/√n of one, and the peaks stand off by about half of one.
    fn noise_sd(&self) -> f64 {
        let patches = (self.surface_mm / PATCH_MM).max(1.0);
        let apart = (self.points_per_patch() / KIN_POINTS).max(1.0);
        let per_patch = self.roughness_mm / apart.sqrt();
        per_patch * (TAU / patches.sqrt()).hypot(PI)
    }

    fn points_per_patch(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 points")]
        let points = self.points as f64;
        (points * PATCH_MM / self.surface_mm.max(1.0)).max(1.0)
    }

    /// A straight bridge over a gap c in a round girth of radius r is short by
    /// c³/24r² (arc minus chord, first term).
    fn gap_sd(&self) -> f64 {
        self.radius()
            .map_or(0.0, |r| self.gap_mm.powi(3) / (24.0 * r * r))
    }

    /// How far the skin may stand out beyond a straight bridge c over it: c²/8r (sagitta of the arc,
    /// first term).
    pub(super) fn gap_depth(&self) -> f64 {
        self.radius()
            .map_or(0.0, |r| self.gap_mm.powi(2) / (8.0 * r))
    }

    /// Of a round contour as long.
    fn radius(&self) -> Option<f64> {
        Some(self.surface_mm / TAU).filter(|&radius| radius > 0.0)
    }

    /// See [`Contour::facet_shortfall_mm`].
    fn facet_sd(&self) -> f64 {
        self.contour.facet_shortfall_mm()
    }
}

/// Length of the longest bridge whose ends both lie inside a taut tape, in mm.
fn hidden_fold(contour: &Contour, hull: &Hull) -> f64 {
    let inside = |&[x, y]: &[f64; 2]| {
        let n = hull.points.len();
        let edges = (0..n).map(|i| (hull.points[i], hull.points[(i + 1) % n]));
        let off = edges.map(|(a, b)| {
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            ((x - a[0]) * dy - (y - a[1]) * dx).abs() / dx.hypot(dy).max(f64::MIN_POSITIVE)
        });
        off.fold(f64::INFINITY, f64::min) > IN_FOLD_MM
    };
    let folds = contour.bridges().filter(|ends| ends.iter().all(inside));
    folds
        .map(|[a, b]| (b[0] - a[0]).hypot(b[1] - a[1]))
        .fold(0.0, f64::max)
}

/// What the uncertainty of a level does to a girth that changes more on one side of it than on the other, or
/// more the farther off: half of the greatest change within two standard deviations up and down.
pub(super) fn level_reach(curve: Option<&GirthCurve>, height: f64, sd: f64, surface: bool) -> f64 {
    let read = |h| curve.and_then(|curve| curve.bridged_at(h, surface));
    let Some(here) = read(height) else { return 0.0 };
    let ends = [height - 2.0 * sd, height + 2.0 * sd];
    let changes = ends
        .into_iter()
        .filter_map(read)
        .map(|there| (there - here).abs());
    0.5 * changes.fold(0.0, f64::max)
}

/// By how much a girth is greater anywhere within reach of a level than at it.
pub(super) fn rise_within(
    curve: Option<&GirthCurve>,
    height: f64,
    reach: f64,
    surface: bool,
) -> f64 {
    const PARTS: u32 = 16;
    let read = |h| curve.and_then(|curve| curve.bridged_at(h, surface));
    let Some(here) = read(height) else { return 0.0 };
    let places = (0..=2 * PARTS).map(|i| f64::from(i) / f64::from(PARTS) - 1.0);
    let girths = places.filter_map(|share| read(height + share * reach));
    girths.fold(here, f64::max) - here
}

/// What the uncertainty of a level does to a girth: the root mean square of
/// the changes one standard deviation up and down.
pub(super) fn level_spread(curve: Option<&GirthCurve>, height: f64, sd: f64, surface: bool) -> f64 {
    let Some(curve) = curve else { return 0.0 };
    let read = |h| curve.bridged_at(h, surface);
    let Some(here) = read(height) else { return 0.0 };
    root_mean_square(
        [height - sd, height + sd].into_iter().filter_map(read),
        here,
    )
}

/// Root of the mean squared difference of values from `here`; 0 without any.
pub(super) fn root_mean_square(values: impl Iterator<Item = f64>, here: f64) -> f64 {
    let (mut sum, mut n) = (0.0, 0.0);
    for value in values {
        sum += (value - here).powi(2);
        n += 1.0;
    }
    if n > 0.0 { f64::sqrt(sum / n) } else { 0.0 }
}

/// A girth that was taken.
#[derive(Clone, Debug)]
pub(super) struct Taken {
    pub(super) reading: Reading,
    pub(super) height_mm: f64,
    /// What the level's uncertainty does to the taut girth and to that along the skin.
    pub(super) level_sd: [f64; 2],
}

/// How far up and down the neck is searched from a place on its axis, in mm, and in what steps.
const NECK_SEARCH: (i32, f64) = (6, 5.0);
/// Forward leans of the plane that are tried, in steps of 5 degrees: an upright neck to a stooped one.
const NECK_LEANS: i32 = 11;
/// The skin of a neck leans less than this tangent to its axis: 45 degrees, where the shoulders begin.
/// A cut whose girth differs from the next one's by more than such a cone's is not of the same neck:
/// skin is torn there, or a bridge cuts it short.
const NECK_FLARE: f64 = 1.0;
/// How often the search may start anew further along: from the chin down to the shoulders.
const NECK_MOVES: usize = 6;

/// The neck where it is thinnest: least over planes square to the mid-sagittal
/// plane, level or leaning forward with the neck, as a tape finds it by sliding.
pub(super) fn neck(survey: &Survey<'_>) -> Result<Taken, String> {
    let none = || {
        "nowhere between shoulders and chin does skin go all the way round a neck: skin is missing, or hair or a collar covers it; scan again with the hair tied up".to_owned()
    };
    let level = thinnest_neck(survey).ok_or_else(none)?;
    let (low, high) = neck_region(level);
    let outline = survey.outline.within(low, high);
    let [x, y] = level.contour.centroid();
    let mut start = Point3::new(x, y, level.height_mm);
    let slicers: Vec<Slicer<'_>> = (0..=NECK_LEANS)
        .map(|i| f64::from(5 * i).to_radians())
        .filter_map(|lean| PlaneAxes::square_to(Vector3::new(0.0, lean.sin(), lean.cos())).ok())
        .map(|axes| Slicer::along(&outline, axes).indexed())
        .collect();
    for _ in 0..NECK_MOVES {
        let up = |height: f64| start + Vector3::z() * height;
        let cuts: Vec<Vec<Option<NeckCut>>> = slicers
            .iter()
            .map(|slicer| {
                let at = |i: i32| {
                    let cut = cut_about(slicer, &up(f64::from(i) * NECK_SEARCH.1))?;
                    let girth = cut.contour.taut_girth_mm();
                    is_neck(survey, girth).then_some((girth, cut))
                };
                (-NECK_SEARCH.0..=NECK_SEARCH.0).map(at).collect()
            })
            .collect();
        let Some((lean, at)) = least(&cuts) else {
            return Err("skin is missing at the neck".to_owned());
        };
        let Some((girth, found)) = cuts[lean][at].clone() else {
            return Err(none());
        };
        if at > 0 && at + 1 < cuts[lean].len() {
            if beside(&cuts, lean, at).any(|cut| cut.is_none()) {
                return Err(
                    "skin is missing beside the thinnest place of the neck that is left, so that a thinner one may be hidden".to_owned(),
                );
            }
            let most = girth + TAU * NECK_FLARE * NECK_SEARCH.1;
            if beside(&cuts, lean, at).flatten().any(|cut| cut.0 > most) {
                return Err(NECK_TORN.to_owned());
            }
            let mesh = survey.mesh.within(low, high);
            let exact = Slicer::along(&mesh, *slicers[lean].axes());
            let contour = |e: f64| {
                let centre = found.centre + Vector3::z() * e;
                cut_about(&exact, &centre).map(|cut| cut.contour)
            };
            let reading = Reading::of(&contour(0.0).ok_or("skin is missing at the neck")?);
            // The search ends within half a step of the least.
            let slip = slip(&reading, contour, NECK_SEARCH.1 / 2.0);
            // A hand holds the tape some degrees off the lean that makes it least, as does who cuts square to the bones.
            let tilted = [lean.checked_sub(1), Some(lean + 1)].map(|lean| cuts.get(lean?));
            let tilted = tilted
                .into_iter()
                .flatten()
                .filter_map(|row| row[at].as_ref());
            let tilt = root_mean_square(tilted.map(|cut| cut.0), girth);
            return Ok(Taken {
                reading,
                height_mm: found.centre.z,
                level_sd: [slip.hypot(tilt); 2],
            });
        }
        // Least at the end of the search: the neck goes on that way.
        start = found.centre;
    }
    Err("the neck has no thinnest place between chin and shoulders".to_owned())
}

const NECK_TORN: &str = "the girth of the neck leaps from cut to cut where it is least: skin is torn there, or a collar or hair stands off";

/// A cut of the neck and its taut girth.
type NeckCut = (f64, SquareCut);

/// Lean and place of the least girth.
fn least(cuts: &[Vec<Option<NeckCut>>]) -> Option<(usize, usize)> {
    let all = cuts.iter().enumerate().flat_map(|(lean, row)| {
        let girth = move |(at, cut): (usize, &Option<NeckCut>)| Some((lean, at, cut.as_ref()?.0));
        row.iter().enumerate().filter_map(girth)
    });
    all.min_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(lean, at, _)| (lean, at))
}

/// The cuts next to one: above, below, and of the next leans.
fn beside(
    cuts: &[Vec<Option<NeckCut>>],
    lean: usize,
    at: usize,
) -> impl Iterator<Item = &Option<NeckCut>> {
    let row = |lean: Option<usize>| lean.and_then(|l| cuts.get(l)).and_then(|row| row.get(at));
    let near = |at: usize| cuts[lean].get(at);
    [
        near(at.saturating_sub(1)),
        near(at + 1),
        row(lean.checked_sub(1)),
        row(Some(lean + 1)),
    ]
    .into_iter()
    .flatten()
}

/// The box about the neck that the leaning planes can reach.
fn neck_region(level: &Piece) -> (Point3<f64>, Point3<f64>) {
    let reach = level.contour.depth_mm().max(level.contour.breadth_mm()) + 60.0;
    let [x, y] = level.contour.centroid();
    (
        Point3::new(x - reach, y - reach, level.height_mm - reach),
        Point3::new(x + reach, y + reach, level.height_mm + reach),
    )
}

/// Root mean square change of a taut girth for a slip of one `sd` to either side.
fn slip(here: &Reading, cut: impl Fn(f64) -> Option<Contour>, sd: f64) -> f64 {
    let girths = [-sd, sd].into_iter().filter_map(cut);
    root_mean_square(girths.map(|cut| Reading::of(&cut).taut_mm), here.taut_mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::CurvePart;
    use crate::side::Side;

    /// 300 mm up to 500, from there half a mm more for each: known to 20 mm at 500, the girth is off by up to
    /// 20 two standard deviations up, by nothing down; half of that, and √(½) of what one does, 10.
    #[test]
    fn a_girth_that_changes_on_one_side() {
        let heights: Vec<f64> = (0..200).map(|i| 400.0 + f64::from(i)).collect();
        let girth = |h: &f64| 300.0 + 0.5 * f64::max(0.0, h - 500.0);
        let girths: Vec<f64> = heights.iter().map(girth).collect();
        let curve = GirthCurve {
            part: CurvePart::Leg(Side::Left),
            heights_mm: heights,
            taut_mm: girths.clone(),
            surface_mm: girths,
        };
        let reach = level_reach(Some(&curve), 500.0, 20.0, false);
        let spread = level_spread(Some(&curve), 500.0, 20.0, false);
        assert!((reach - 10.0).abs() < 1e-9, "{reach}");
        assert!((spread - 10.0 * 0.5_f64.sqrt()).abs() < 1e-9, "{spread}");
        assert!(level_reach(None, 500.0, 20.0, false) <= 0.0);
        let rise = rise_within(Some(&curve), 500.0, 40.0, false);
        assert!((rise - 20.0).abs() < 1e-9, "{rise}");
        assert!(rise_within(Some(&curve), 450.0, 40.0, false) <= 0.0);
    }
}
