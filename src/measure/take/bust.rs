//! What the bust is over the chest: volume and projection of each side.

use super::{Taker, Why};
use crate::landmark::{Landmark, LandmarkKey};
use crate::measure::{Cause, CurvePart, Key, MeasureId, Spread};
use crate::part::Piece;
use crate::section::Contour;
use crate::side::Side;

/// The upper rim: where the armpits of hanging arms lie, as a share of the stature, and its standard
/// deviation (ANSUR II women: 0.761 ± 0.009). Not the armpits of the scan, which sink as arms are raised.
const UPPER_RIM: (f64, f64) = (0.76, 0.009);
/// The upper rim lies at least this far over a bust point, as a share of the stature: half of what it
/// does on average (ANSUR II: 0.041).
const OVER_BUST: f64 = 0.02;
/// Bust points that stand out less than this, in mm, stand on no breast: chest muscle comes to as much
/// (common practice, no source).
const LEAST_MM: f64 = 10.0;
/// A chest has breasts beyond doubt if the tape round them is longer than that under them by this, in mm: little more than
/// half of what the smallest usual cup has (common practice, no source). Of 60 study bodies those without breasts have 57
/// and less.
const OVER_RIBS_MM: f64 = 70.0;
/// Or if they stand out so far on average, in mm: of the same bodies those without have 19.6 and less.
const OUT_MM: f64 = 20.5;
/// Rays about the trunk's axis, and their distance in degrees: from the front to 66 degrees aside,
/// short of the front fold of the armpit.
const RAYS: usize = 44;
const RAY_DEG: f64 = 1.5;
/// Longer stretches without a level than this, in mm, may hide a breast's shape.
const GAP_MM: f64 = 10.0;
/// Share of the skin's roughness that is left of a volume's mean height over so many points.
const LEFT_OF_NOISE: f64 = 0.25;
/// Cubic millimetres of a millilitre.
const MM3: f64 = 1000.0;

impl Taker<'_, '_> {
    pub(super) fn bust(&mut self) {
        for side in Side::BOTH {
            let ids = [Key::BustVolume, Key::BustProjection].map(|key| MeasureId::new(key, side));
            match self.breast(side) {
                Ok([(volume, volume_spread), (projection, spread)]) => {
                    self.value(ids[0], volume, volume_spread, None);
                    self.value(ids[1], projection, spread, None);
                }
                Err(why) => self.withhold_all(ids, &why),
            }
        }
    }

    /// True if the chest has breasts beyond doubt: by the tape over them, or by how far they stand out.
    pub(super) fn has_breasts(&self) -> Result<bool, Why> {
        let bust = self.at_level(CurvePart::Trunk, self.bust_level()?)?;
        let under = self.under_bust(self.level(LandmarkKey::UnderBust, None)?)?;
        if bust.reading.taut_mm - under.reading.taut_mm >= OVER_RIBS_MM {
            return Ok(true);
        }
        let outs = Side::BOTH.map(|side| self.breast(side).map(|[_, (out, _)]| out));
        let (sum, count) = outs
            .iter()
            .flatten()
            .fold((0.0, 0.0), |(sum, count), out| (sum + out, count + 1.0));
        Ok(count > 0.0 && sum >= OUT_MM * count)
    }

    /// Volume in ml and projection in mm of one side.
    fn breast(&self, side: Side) -> Result<[(f64, Spread); 2], Why> {
        let survey = self.survey;
        let s = survey.stature_mm;
        let point = self.mark(LandmarkKey::BustPoint, Some(side))?;
        let fold = self.mark(LandmarkKey::UnderBust, None)?;
        let (low, high) = (fold.height_mm(), UPPER_RIM.0 * s);
        if !survey.ends.head || !survey.ends.feet {
            return Err("the upper rim of the bust is a share of the stature, which is not known as head or feet are not on the scan".to_owned());
        }
        if high < point.height_mm() + OVER_BUST * s {
            return Err(
                "the bust point lies so high that the chest above it cannot be told from the bust"
                    .to_owned(),
            );
        }
        let (low_sd, high_sd) = (fold.sd_mm.max(survey.parts.step_mm), UPPER_RIM.1 * s);
        let room = low - 2.0 * low_sd..=high + 2.0 * high_sd;
        let (trunk, upper) = (&survey.parts.trunk, &survey.parts.upper);
        let pieces = trunk
            .between(*room.start(), *room.end())
            .iter()
            .chain(upper.between(*room.start(), *room.end()));
        let rim = trunk
            .nearest(low)
            .or(upper.nearest(low))
            .ok_or("the trunk was not found")?;
        let axis = rim.contour.centroid()[1];
        let chest = Chest::of(pieces, axis, side)?;
        let base = |low, high| {
            let whole = chest.over(low, high);
            whole.ok_or("skin is missing at the bust; scan again, or measure by tape")
        };
        let bust = base(low, high)?;
        let projection = |rims: &Bust<'_>| rims.projection(point, side, axis);
        let out = projection(&bust).ok_or("the bust point lies too far to the side")?;
        if out < LEAST_MM {
            return Err(format!(
                "the bust point lies only {:.0} mm before the chest on that side, which muscle comes to as well",
                out.max(0.0)
            ));
        }
        let slip = |value: &dyn Fn(&Bust<'_>) -> Option<f64>| {
            let here = value(&bust).unwrap_or(0.0);
            let off = |low, high| {
                let other = chest.over(low, high).and_then(|bust| value(&bust));
                other.map_or(0.0, |other| (other - here).abs())
            };
            let most = |a: f64, b: f64| a.max(b);
            let lower = most(off(low - low_sd, high), off(low + low_sd, high));
            lower.hypot(most(off(low, high - high_sd), off(low, high + high_sd)))
        };
        let noise = rim.contour.noise_mm();
        let volume = Spread::of([
            (Cause::Base, slip(&|bust| Some(bust.volume() / MM3))),
            (Cause::Noise, LEFT_OF_NOISE * noise * bust.area() / MM3),
            (Cause::Midline, survey.midline_sd_mm * bust.middle() / MM3),
        ]);
        let forward = Spread::of([
            (Cause::Base, slip(&projection)),
            (Cause::Noise, 2.0 * noise),
        ]);
        Ok([(bust.volume() / MM3, volume), (out, forward)])
    }
}

/// Distances of the chest's skin from the trunk's axis, level by level, along rays from the front to one side.
struct Chest {
    levels: Vec<(f64, [f64; RAYS])>,
}

impl Chest {
    fn of<'p>(pieces: impl Iterator<Item = &'p Piece>, axis: f64, side: Side) -> Result<Self, Why> {
        let levels: Vec<_> = pieces
            .filter_map(|piece| {
                let contour = piece.contour.settled();
                Some((piece.height_mm, radii(&contour, axis, side)?))
            })
            .collect();
        let torn = levels.windows(2).any(|pair| pair[1].0 - pair[0].0 > GAP_MM);
        if torn || levels.len() < 2 {
            return Err("skin is missing at the bust; scan again, or measure by tape".to_owned());
        }
        Ok(Self { levels })
    }

    /// The skin at any height within the levels.
    fn at(&self, height: f64) -> Option<[f64; RAYS]> {
        let after = self.levels.partition_point(|level| level.0 < height);
        let (a, b) = (
            self.levels.get(after.checked_sub(1)?)?,
            self.levels.get(after)?,
        );
        let share = (height - a.0) / (b.0 - a.0);
        Some(std::array::from_fn(|k| a.1[k] + share * (b.1[k] - a.1[k])))
    }

    fn over(&self, low: f64, high: f64) -> Option<Bust<'_>> {
        Some(Bust {
            chest: self,
            low: (low, self.at(low)?),
            high: (high, self.at(high)?),
        })
    }
}

/// The skin between two rims, over straight lines from rim to rim in upright planes through the trunk's axis.
struct Bust<'c> {
    chest: &'c Chest,
    low: (f64, [f64; RAYS]),
    high: (f64, [f64; RAYS]),
}

impl Bust<'_> {
    fn base(&self, height: f64, ray: usize) -> f64 {
        let share = (height - self.low.0) / (self.high.0 - self.low.0);
        self.low.1[ray] + share * (self.high.1[ray] - self.low.1[ray])
    }

    /// Levels within the rims, each with the height it stands for.
    fn levels(&self) -> impl Iterator<Item = (f64, &[f64; RAYS], f64)> {
        let levels = &self.chest.levels;
        let within = |at: f64| at.clamp(self.low.0, self.high.0);
        (0..levels.len()).filter_map(move |i| {
            let (height, radii) = &levels[i];
            let below = i.checked_sub(1).map_or(*height, |j| levels[j].0);
            let above = levels.get(i + 1).map_or(*height, |level| level.0);
            let stands_for = within(0.5 * (height + above)) - within(0.5 * (below + height));
            (stands_for > 0.0).then_some((within(*height), radii, stands_for))
        })
    }

    /// Sum over levels and rays of what `value` makes of skin and base, times height and angle.
    fn sum(&self, value: impl Fn(f64, f64) -> f64) -> f64 {
        self.levels()
            .map(|(height, radii, stands_for)| {
                let ray = |(k, &skin): (usize, &f64)| value(skin, self.base(height, k));
                stands_for * radii.iter().enumerate().map(ray).sum::<f64>()
            })
            .sum::<f64>()
            * RAY_DEG.to_radians()
    }

    /// Between skin and base where the skin lies before it, in mm³.
    fn volume(&self) -> f64 {
        self.sum(|skin, base| 0.5 * (skin * skin - base * base).max(0.0))
    }

    /// Skin that lies before the base, in mm².
    fn area(&self) -> f64 {
        self.sum(|skin, base| if skin > base { skin } else { 0.0 })
    }

    /// Of the upright plane at the breastbone between skin and base, in mm²: what a shift of the middle takes.
    fn middle(&self) -> f64 {
        self.levels()
            .map(|(height, radii, stands_for)| stands_for * (radii[0] - self.base(height, 0)).abs())
            .sum()
    }

    /// How far the bust point lies before the base, straight forward; `None` beyond the rays.
    fn projection(&self, point: &Landmark, side: Side, axis: f64) -> Option<f64> {
        let [x, y, height] = point.point_mm;
        let out = side.sign() * x;
        let at = |k: usize| {
            let (sine, cosine) = ray(k).sin_cos();
            let base = self.base(height, k);
            [base * sine, axis + base * cosine]
        };
        let after = (1..RAYS).find(|&k| at(k)[0] >= out)?;
        let (a, b) = (at(after - 1), at(after));
        let share = (out - a[0]) / (b[0] - a[0]);
        Some(y - (a[1] + share * (b[1] - a[1])))
    }
}

/// Angle of a ray from straight forward.
fn ray(k: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a few dozen rays")]
    let k = k as f64;
    ((k + 0.5) * RAY_DEG).to_radians()
}

/// How far out the contour crosses each ray from the axis at (0, `axis`) to one side; `None` if it does not cross all.
fn radii(contour: &Contour, axis: f64, side: Side) -> Option<[f64; RAYS]> {
    let place = |p: &[f64; 2]| [side.sign() * p[0], p[1] - axis];
    let points = contour.points();
    let mut found = [0.0_f64; RAYS];
    let next = points.iter().cycle().skip(1);
    for (a, b) in points.iter().zip(next) {
        let (a, b) = (place(a), place(b));
        let (from, to) = (a[0].atan2(a[1]), b[0].atan2(b[1]));
        // Behind the axis the angle jumps; no ray goes there.
        if (from - to).abs() > std::f64::consts::PI {
            continue;
        }
        let (low, high) = (from.min(to), from.max(to));
        for (k, out) in found.iter_mut().enumerate() {
            let angle = ray(k);
            if !(low..high).contains(&angle) {
                continue;
            }
            let (sine, cosine) = angle.sin_cos();
            // Across the ray the two ends lie on different sides.
            let across = |p: [f64; 2]| p[0] * cosine - p[1] * sine;
            let share = across(a) / (across(a) - across(b));
            let along = |p: [f64; 2]| p[0] * sine + p[1] * cosine;
            *out = out.max(along(a) + share * (along(b) - along(a)));
        }
    }
    found.iter().all(|&r| r > 0.0).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::landmark::Confidence;
    use crate::mesh::TriMesh;
    use crate::section::Slicer;
    use nalgebra::Point3;
    use std::f64::consts::{PI, TAU};

    const AROUND: u32 = 1440;
    const LEVELS: u32 = 120;
    /// Middle of both caps: this far aside and up; their rim's radius.
    const CAP: (f64, f64, f64) = (62.0, 100.0, 46.0);

    /// An elliptic tube, 280 broad and 210 deep, narrowing by `taper` mm of radius over its 240 mm, with a
    /// cap of a sphere raised straight forward on each side: heights in front of the tube.
    fn torso(heights: [f64; 2], taper: f64) -> Vec<Piece> {
        let skin = |angle: f64, z: f64| {
            let scale = 1.0 - taper / 140.0 * z / 240.0;
            let (x, y) = (140.0 * scale * angle.sin(), 105.0 * scale * angle.cos());
            let side = if x < 0.0 { 0 } else { 1 };
            let (h, a) = (heights[side], CAP.2);
            let d2 = (x.abs() - CAP.0).powi(2) + (z - CAP.1).powi(2);
            let lift = if y > 0.0 && d2 < a * a && h > 0.0 {
                let r = (a * a + h * h) / (2.0 * h);
                (r * r - d2).sqrt() - (r - h)
            } else {
                0.0
            };
            Point3::new(x, y + lift, z)
        };
        let points = (0..LEVELS)
            .flat_map(|level| (0..AROUND).map(move |i| (level, i)))
            .map(|(level, i)| {
                skin(
                    TAU * f64::from(i) / f64::from(AROUND),
                    2.0 * f64::from(level),
                )
            })
            .collect();
        let mut faces = Vec::new();
        for level in 0..LEVELS - 1 {
            for i in 0..AROUND {
                let (a, b) = (AROUND * level + i, AROUND * level + (i + 1) % AROUND);
                faces.extend([[a, b, b + AROUND], [a, b + AROUND, a + AROUND]]);
            }
        }
        let mesh = TriMesh::new(points, faces).unwrap();
        let heights: Vec<f64> = (0..90).map(|i| 5.0 + 2.5 * f64::from(i)).collect();
        let sections = Slicer::level(&mesh).cut_many(&heights);
        let piece = |section: crate::section::Section| Piece {
            height_mm: section.height_mm,
            taut_mm: section.contours[0].taut_girth_mm(),
            contour: section.contours[0].clone(),
        };
        sections.into_iter().map(piece).collect()
    }

    fn tip(side: Side, height: f64) -> Landmark {
        let x = CAP.0;
        Landmark {
            key: LandmarkKey::BustPoint,
            side: Some(side),
            point_mm: [
                side.sign() * x,
                105.0 * (1.0 - (x / 140.0).powi(2)).sqrt() + height,
                CAP.1,
            ],
            sd_mm: 1.0,
            confidence: Confidence::Clear,
            rule: String::new(),
        }
    }

    /// Closed form: a spherical cap of height h over a rim of radius a holds πh(3a² + h²)/6, and raising it
    /// straight forward on a curved wall keeps that (Cavalieri): 20 and 35 mm on a rim of 46.
    #[test]
    fn caps_on_a_tube() {
        let heights = [20.0, 35.0];
        let pieces = torso(heights, 0.0);
        for (side, h) in Side::BOTH.into_iter().zip(heights) {
            let chest = Chest::of(pieces.iter(), 0.0, side).unwrap();
            let bust = chest.over(50.0, 150.0).unwrap();
            let exact = PI * h * (3.0 * CAP.2 * CAP.2 + h * h) / 6.0;
            let found = bust.volume();
            assert!((found / exact - 1.0).abs() < 0.01, "{found} {exact}");
            let out = bust.projection(&tip(side, h), side, 0.0).unwrap();
            assert!((out - h).abs() < 0.1, "{out} {h}");
        }
    }

    /// A tube that narrows evenly is its own base: nothing stands out.
    #[test]
    fn a_bare_cone_has_no_bust() {
        let pieces = torso([0.0; 2], 20.0);
        let chest = Chest::of(pieces.iter(), 0.0, Side::Left).unwrap();
        let found = chest.over(50.0, 150.0).unwrap().volume();
        assert!(found.abs() < 100.0, "{found}");
    }

    /// Where levels are missing over 20 mm nothing is said.
    #[test]
    fn missing_skin_is_told() {
        let mut pieces = torso([20.0; 2], 0.0);
        pieces.retain(|piece| !(90.0..112.0).contains(&piece.height_mm));
        assert!(Chest::of(pieces.iter(), 0.0, Side::Left).is_err());
    }
}
