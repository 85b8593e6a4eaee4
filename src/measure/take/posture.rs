//! How the body stands: its parts before and behind the plumb line, and to one side.
//!
//! The plumb line stands on the middle between the two legs at the ankle girth levels. Descriptions of
//! one moment of standing, for the hang of a garment; no judgement of health.

use super::{Taker, Why};
use crate::landmark::{Landmark, LandmarkKey, NO_FEET, thinnest_neck};
use crate::measure::{Cause, CurvePart, Key, Spread};
use crate::part::Piece;
use crate::section::Hull;
use crate::side::Side;

/// A standing body sways by about this much about the middle of its feet, in mm (common practice, no source).
const SWAY_SD_MM: f64 = 5.0;
/// Back and front of the trunk are followed within this share of the stature to either side, where
/// shoulder blades, seat and belly lie and arms do not.
const ASIDE: f64 = 0.08;
/// The upper back begins this share of the stature below the armpits, where shoulder blades end (from memory).
const BELOW_ARMPITS: f64 = 0.03;

/// A place on the silhouette from the side: forward, up, and the roughness of the skin there.
#[derive(Clone, Copy)]
struct Spot {
    y: f64,
    z: f64,
    noise: f64,
}

impl Taker<'_, '_> {
    pub(super) fn posture(&mut self) {
        let plumb = self.plumb_line();
        let rows: [(Key, f64, Result<Spot, Why>); 4] = [
            (Key::HeadForward, 1.0, self.head_centre()),
            (Key::NeckForward, 1.0, self.neck_centre()),
            (Key::BellyProjection, 1.0, self.foremost_belly()),
            (Key::SeatProjection, -1.0, self.seat()),
        ];
        for (key, sign, spot) in rows {
            match plumb.clone().and_then(|(y, low)| Ok((y, low, spot?))) {
                Ok((plumb, low, spot)) => {
                    let lean = self.survey.upright_sd_deg.to_radians() * (spot.z - low);
                    let spread = Spread::of([
                        (Cause::Pose, SWAY_SD_MM.hypot(lean)),
                        (Cause::Noise, 2.0 * spot.noise),
                    ]);
                    self.value(key, sign * (spot.y - plumb), spread, Some(spot.z));
                }
                Err(why) => self.withhold(key, why),
            }
        }
        let rows = [
            (Key::UpperBackDepth, self.before_upper_back()),
            (Key::WaistHollowDepth, self.waist_hollow()),
            (Key::TrunkLean, self.trunk_lean()),
            (Key::ShoulderTilt, self.shoulder_tilt()),
            (Key::PelvisTilt, self.pelvis_tilt()),
        ];
        for (key, found) in rows {
            match found {
                Ok((value, spread)) => self.value(key, value, spread, None),
                Err(why) => self.withhold(key, why),
            }
        }
    }

    /// Where the plumb line stands, forward, and how high the levels lie that it stands on.
    fn plumb_line(&self) -> Result<(f64, f64), Why> {
        if !self.survey.ends.feet {
            return Err(NO_FEET.to_owned());
        }
        let ankle = |side| self.mark(LandmarkKey::Ankle, Some(side));
        let (left, right) = (ankle(Side::Left)?, ankle(Side::Right)?);
        let mean = |k: usize| 0.5 * (left.point_mm[k] + right.point_mm[k]);
        Ok((mean(1), mean(2)))
    }

    fn head_centre(&self) -> Result<Spot, Why> {
        let (taken, _) = self.fullest_head()?;
        let [_, y] = taken.reading.contour.centroid();
        let (z, noise) = (taken.height_mm, 0.0);
        Ok(Spot { y, z, noise })
    }

    fn neck_centre(&self) -> Result<Spot, Why> {
        let neck = thinnest_neck(self.survey).ok_or("the neck was not found")?;
        let [_, y] = neck.contour.centroid();
        let (z, noise) = (neck.height_mm, 0.0);
        Ok(Spot { y, z, noise })
    }

    /// Back or front of a piece near the midline.
    fn edge(&self, piece: &Piece, front: bool) -> Option<Spot> {
        let sign = if front { 1.0 } else { -1.0 };
        let contour = piece.contour.settled();
        let near = contour
            .points()
            .iter()
            .filter(|p| p[0].abs() <= ASIDE * self.survey.stature_mm);
        let y = near.map(|p| sign * p[1]).reduce(f64::max)?;
        Some(Spot {
            y: sign * y,
            z: piece.height_mm,
            noise: piece.contour.noise_mm(),
        })
    }

    fn edges(&self, low: f64, high: f64, front: bool) -> Vec<Spot> {
        let parts = &self.survey.parts;
        let pieces = parts.trunk.between(low, high).iter();
        pieces
            .chain(parts.upper.between(low, high))
            .filter_map(|piece| self.edge(piece, front))
            .collect()
    }

    fn foremost_belly(&self) -> Result<Spot, Why> {
        let belly = self.mark(LandmarkKey::Belly, None)?;
        let piece = self.survey.parts.trunk.nearest(belly.height_mm());
        let spot = piece.and_then(|piece| self.edge(piece, true));
        spot.ok_or_else(|| "the belly was not found".to_owned())
    }

    fn seat(&self) -> Result<Spot, Why> {
        let hip = self.mark(LandmarkKey::Hip, None)?;
        let piece = self.survey.parts.trunk.nearest(hip.height_mm());
        let spot = piece.and_then(|piece| self.edge(piece, false));
        spot.ok_or_else(|| "the seat was not found".to_owned())
    }

    /// Heights between which the upper back is looked for.
    fn upper_back_window(&self) -> Result<(f64, f64), Why> {
        let neck = self.mark(LandmarkKey::BackNeckPoint, None)?;
        let armpit = |side| self.level(LandmarkKey::Armpit, Some(side));
        let armpits = 0.5 * (armpit(Side::Left)?.0 + armpit(Side::Right)?.0);
        let low = armpits - BELOW_ARMPITS * self.survey.stature_mm;
        Ok((low, neck.height_mm()))
    }

    fn before_upper_back(&self) -> Result<(f64, Spread), Why> {
        let (low, high) = self.upper_back_window()?;
        let edges = self.edges(low, high, false);
        let back = edges
            .iter()
            .min_by(|a, b| a.y.total_cmp(&b.y))
            .ok_or("there is no skin at the upper back")?;
        let neck = self.mark(LandmarkKey::BackNeckPoint, None)?;
        let upper = &self.survey.parts.upper;
        let at = |height: f64| {
            let (y, _) = upper.nearest(height)?.contour.across(0.0)?;
            Some(y)
        };
        let y = neck.point_mm[1];
        let slip = [high - neck.sd_mm, high + neck.sd_mm]
            .into_iter()
            .filter_map(at)
            .map(|other| (other - y).abs())
            .fold(0.0, f64::max);
        let lean = self.survey.upright_sd_deg.to_radians() * (high - back.z);
        let spread = Spread::of([
            (Cause::Level, slip),
            (Cause::Pose, lean),
            (Cause::Noise, 2.0 * back.noise),
        ]);
        Ok((y - back.y, spread))
    }

    fn waist_hollow(&self) -> Result<(f64, Spread), Why> {
        let (_, high) = self.upper_back_window()?;
        let (hip, _) = self.level(LandmarkKey::Hip, None)?;
        let edges = self.edges(hip, high, false);
        let (depth, noise) = hollow(&edges).ok_or("there is no skin behind")?;
        Ok((
            depth,
            Spread::of([(Cause::Noise, 3.0 * noise), (Cause::Pose, SWAY_SD_MM)]),
        ))
    }

    /// Degrees the trunk leans to the wearer's right.
    fn trunk_lean(&self) -> Result<(f64, Spread), Why> {
        let hip = self.at_level(CurvePart::Trunk, self.level(LandmarkKey::Hip, None)?)?;
        let armpit = |side| self.level(LandmarkKey::Armpit, Some(side));
        let (left, right) = (armpit(Side::Left)?, armpit(Side::Right)?);
        let under = left.0.min(right.0) - super::arcs::UNDER_ARMPIT_MM;
        let chest = self.at_level(CurvePart::Trunk, (under, left.1.max(right.1)))?;
        let middle = |taken: &crate::measure::girth::Taken| taken.reading.contour.centroid()[0];
        let (aside, up) = (
            middle(&chest) - middle(&hip),
            chest.height_mm - hip.height_mm,
        );
        if up <= 0.0 {
            return Err("the armpits do not lie above the hip level".to_owned());
        }
        let sd = SWAY_SD_MM
            .atan2(up)
            .to_degrees()
            .hypot(self.survey.upright_sd_deg);
        Ok((
            aside.atan2(up).to_degrees(),
            Spread::of([(Cause::Pose, sd)]),
        ))
    }

    fn shoulder_tilt(&self) -> Result<(f64, Spread), Why> {
        self.tilt(LandmarkKey::ShoulderPoint, |_, mark| mark.point_mm[0])
    }

    /// Of the folds under the seat, as far apart as the middles of the thighs: where along it a fold
    /// shows best says nothing of the pelvis.
    fn pelvis_tilt(&self) -> Result<(f64, Spread), Why> {
        self.tilt(LandmarkKey::GlutealFold, |side, mark| {
            let thigh = self.survey.parts.leg(side).nearest(mark.height_mm());
            thigh.map_or(mark.point_mm[0], |piece| piece.contour.centroid()[0])
        })
    }

    /// Degrees by which the right one of a pair of landmarks lies above the left; `aside` is how far
    /// to the right each lies.
    fn tilt(
        &self,
        key: LandmarkKey,
        aside: impl Fn(Side, &Landmark) -> f64,
    ) -> Result<(f64, Spread), Why> {
        let point = |side| self.mark(key, Some(side));
        let (left, right) = (point(Side::Left)?, point(Side::Right)?);
        let apart = aside(Side::Right, right) - aside(Side::Left, left);
        let apart = apart.abs().max(1.0);
        let tilt = (right.height_mm() - left.height_mm()).atan2(apart);
        let sd = left.sd_mm.hypot(right.sd_mm).atan2(apart).to_degrees();
        let spread = Spread::of([
            (Cause::Level, sd),
            (Cause::Pose, self.survey.upright_sd_deg),
        ]);
        Ok((tilt.to_degrees(), spread))
    }
}

/// How far the silhouette behind lies before the line that touches it above and below, at most, and
/// the roughness of the skin there.
fn hollow(edges: &[Spot]) -> Option<(f64, f64)> {
    let points: Vec<[f64; 2]> = edges.iter().map(|spot| [spot.z, spot.y]).collect();
    let hull = Hull::of(&points);
    edges
        .iter()
        .filter_map(|spot| Some((spot.y - hull.across(spot.z)?.0, spot.noise)))
        .max_by(|a, b| a.0.total_cmp(&b.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spots(y: impl Fn(f64) -> f64) -> Vec<Spot> {
        let spot = |i: i32| {
            let z = 800.0 + 2.5 * f64::from(i);
            Spot {
                y: y(z),
                z,
                noise: 0.0,
            }
        };
        (0..=240).map(spot).collect()
    }

    /// A back that is a half sine of 40 mm between two equal ends is 40 mm hollow; leaning it by any
    /// slope changes nothing; a straight or bulging back has no hollow.
    #[test]
    fn hollows_of_known_depth() {
        let sine = |z: f64| 40.0 * (std::f64::consts::PI * (z - 800.0) / 600.0).sin();
        for slope in [-0.1, 0.0, 0.2] {
            let (depth, _) = hollow(&spots(|z| slope * z + sine(z))).unwrap();
            assert!((depth - 40.0).abs() < 0.01, "{depth}");
        }
        let (flat, _) = hollow(&spots(|z| 0.1 * z)).unwrap();
        assert!(flat.abs() < 1e-9, "{flat}");
        let (bulge, _) = hollow(&spots(|z| -sine(z))).unwrap();
        assert!(bulge.abs() < 1e-9, "{bulge}");
    }
}
