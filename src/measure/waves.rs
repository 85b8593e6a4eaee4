//! What smooth waves of the skin do to girths, breadths and depths.
//!
//! Waves of a few centimetres, as a hand-held scanner leaves them, look like shape on a single contour and are no part of
//! its roughness. How far they move the place where a measure is taken is told by the landmark.

use super::{Cause, Measure, Mode, Outcome, Spread};
use crate::landmark::Waves;
use std::f64::consts::SQRT_2;

/// Widens what is read off contours by what waves of the skin do to it.
pub(super) fn widen(outcomes: &mut [Outcome], waves: Waves) {
    if waves.rms_mm <= 0.0 {
        return;
    }
    for outcome in outcomes {
        if let Outcome::Value(measure) = outcome {
            let sd = of(measure, waves);
            measure.spread = with_noise(&measure.spread, sd);
        }
    }
}

/// What waves do to one measure, as a standard deviation in mm.
fn of(measure: &Measure, waves: Waves) -> f64 {
    let row = measure.id.key.definition();
    match row.mode {
        // The two parts of a girth have waves of their own; together they are as sure as the whole.
        Mode::Taut if row.is_share() => waves.girth_sd(2.0 * measure.value) / SQRT_2,
        Mode::Taut | Mode::TautSquare | Mode::Surface => waves.girth_sd(measure.value),
        // Either end lies on a wave of its own.
        Mode::Breadth | Mode::Depth => SQRT_2 * waves.rms_mm,
        _ => 0.0,
    }
}

/// The same with more noise of the skin.
fn with_noise(spread: &Spread, sd: f64) -> Spread {
    let others = spread.parts.iter().filter(|p| p.cause != Cause::Noise);
    let noise = spread.part(Cause::Noise).hypot(sd);
    Spread::of(
        others
            .map(|part| (part.cause, part.sd))
            .chain([(Cause::Noise, noise)]),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Key, MeasureId, Source};

    /// Waves far wider than a limb is thick move its girth by 2π times their size (closed form). Round a trunk of girth C
    /// waves of correlation length l = 25 mm cancel: by √(√(2π)·l/C) of that, 0.25 at 1000 mm, first term. A breadth moves
    /// by √2 of their size.
    #[test]
    fn waves_widen_girths_by_their_size() {
        let waves = Waves { rms_mm: 0.8 };
        let sd = |key: Key, value: f64| {
            let mut all = [Outcome::Value(Measure {
                id: MeasureId::new(key, None),
                value,
                unit: key.definition().unit(),
                spread: Spread::of([(Cause::Level, 3.0), (Cause::Noise, 0.0)]),
                source: Source::Scan,
                level_mm: None,
            })];
            widen(&mut all, waves);
            let [Outcome::Value(found)] = all else {
                unreachable!()
            };
            assert!((found.spread.part(Cause::Level) - 3.0).abs() < 1e-12);
            found.spread.part(Cause::Noise)
        };
        let thin = sd(Key::WristGirth, 20.0);
        assert!(
            (thin / (std::f64::consts::TAU * 0.8) - 1.0).abs() < 0.01,
            "{thin}"
        );
        let (wrist, hip) = (sd(Key::WristGirth, 160.0), sd(Key::HipGirth, 1000.0));
        let round = std::f64::consts::TAU * 0.8 * (std::f64::consts::TAU.sqrt() * 0.025).sqrt();
        assert!((hip / round - 1.0).abs() < 0.03, "{hip} {round}");
        assert!(hip < wrist && wrist < thin, "{wrist} {hip}");
        assert!((sd(Key::HipBreadth, 350.0) - 0.8 * SQRT_2).abs() < 1e-12);
        assert!(sd(Key::HipHeight, 850.0) <= 0.0);
    }
}
