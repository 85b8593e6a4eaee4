//! Pins: landmarks that a person puts by hand.
//!
//! A scan shows skin; the hand that feels a bone, or the elastic that settles at a waist, may know
//! better. A pin says where a landmark is, by its height or by a point, and everything that hangs
//! on the landmark follows.

use super::LandmarkKey;
use crate::error::{Error, Result};
use crate::length::Length;
use crate::side::Side;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

mod text;

/// Standard uncertainty of a mark made by hand, if none is given: a few mm, the breadth of a pen
/// line and the slip of skin under it (common practice, no source).
pub const PIN_SD: Length = Length::from_mm(3.0);

/// Where a landmark is put.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PinPlace {
    /// At a height above the floor; its place at that height is taken from the skin.
    Height(Length),
    /// At the skin nearest to a point of the body frame: x to the wearer's right of the
    /// mid-sagittal plane, y forward, z above the floor.
    Point([Length; 3]),
    /// At the skin nearest to a point in the file's own axes and unit, as a viewer shows it.
    FilePoint([f64; 3]),
}

impl PinPlace {
    /// True if it tells all three directions.
    pub(super) const fn is_point(&self) -> bool {
        match self {
            Self::Height(_) => false,
            Self::Point(_) | Self::FilePoint(_) => true,
        }
    }
}

/// One landmark put by hand.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pin {
    /// Which.
    pub key: LandmarkKey,
    /// The side of a paired one; with `None` both sides are put at the same height.
    pub side: Option<Side>,
    /// Where.
    pub place: PinPlace,
    /// Standard uncertainty of its height.
    pub sd: Length,
}

impl Pin {
    /// A landmark at a height above the floor, known to within [`PIN_SD`].
    #[must_use]
    pub fn at_height(key: LandmarkKey, side: impl Into<Option<Side>>, height: Length) -> Self {
        Self {
            key,
            side: side.into(),
            place: PinPlace::Height(height),
            sd: PIN_SD,
        }
    }

    /// A landmark at the skin nearest to a point of the body frame, known to within [`PIN_SD`].
    #[must_use]
    pub fn at_point(key: LandmarkKey, side: impl Into<Option<Side>>, point: [Length; 3]) -> Self {
        Self {
            place: PinPlace::Point(point),
            ..Self::at_height(key, side, Length::ZERO)
        }
    }

    /// The same with another standard uncertainty.
    #[must_use]
    pub fn within(self, sd: Length) -> Self {
        Self { sd, ..self }
    }

    /// The landmark in words: `left knee`.
    #[must_use]
    pub fn name(&self) -> String {
        super::named(self.key, self.side)
    }
}

impl FromStr for Pin {
    type Err = Error;

    /// Reads a pin as people write it: `waist = 104.3 cm`, `left knee = 19 in +- 1/4 in`,
    /// `left bust point = -9.1, 12.4, 118.6 cm`, `left knee = file 0.11, 0.02, 0.48`.
    ///
    /// Lengths must say their unit; one unit at the end does for a whole point. What stands after
    /// `+-` or `±` is the reach within which 95 of 100 such marks lie: two standard uncertainties.
    fn from_str(text: &str) -> Result<Self> {
        text::read(text)
            .map_err(|why| Error::options(format!("the pin \"{}\" {why}", text::short(text))))
    }
}

/// Landmarks put by hand, each one once.
///
/// # Examples
/// ```
/// use girthwise::landmark::Pins;
/// let pins: Pins = Pins::new(["waist = 104.3 cm".parse()?, "knee = 19 in".parse()?])?;
/// assert_eq!(pins.iter().count(), 3); // both knees
/// # Ok::<(), girthwise::Error>(())
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pins(Vec<Pin>);

impl Pins {
    /// No landmark put by hand.
    pub const NONE: Self = Self(Vec::new());

    /// Collects pins; one without a side stands for both sides of a paired landmark.
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if a landmark is put twice, has a side
    /// where there is none, needs one, or has a place or an uncertainty that is no number.
    pub fn new(pins: impl IntoIterator<Item = Pin>) -> Result<Self> {
        let mut all = Self::NONE;
        for pin in pins {
            all.add(pin)?;
        }
        Ok(all)
    }

    /// Adds one.
    ///
    /// # Errors
    /// As [`Pins::new`].
    pub fn add(&mut self, pin: Pin) -> Result<()> {
        let name = pin.key.name();
        let numbers = match pin.place {
            PinPlace::Height(height) => vec![height.mm()],
            PinPlace::Point(point) => point.map(Length::mm).to_vec(),
            PinPlace::FilePoint(point) => point.to_vec(),
        };
        if !numbers.iter().all(|number| number.is_finite()) {
            return Err(Error::options(format!("the {name} is pinned at no number")));
        }
        if !(pin.sd.mm() > 0.0 && pin.sd.mm().is_finite()) {
            return Err(Error::options(format!(
                "the uncertainty of the pinned {name} must be a length above 0"
            )));
        }
        let sides: &[Option<Side>] = match pin.side {
            Some(side) if !pin.key.is_paired() => {
                return Err(Error::options(format!(
                    "there is only one {name}; leave \"{side}\" out"
                )));
            }
            Some(_) => &[pin.side],
            None if pin.key.is_paired() && pin.place.is_point() => {
                return Err(Error::options(format!(
                    "a point can be the left or the right {name} only; say which, the wearer's own"
                )));
            }
            None => pin.key.sides(),
        };
        for &side in sides {
            let pin = Pin { side, ..pin };
            if self
                .0
                .iter()
                .any(|held| (held.key, held.side) == (pin.key, side))
            {
                return Err(Error::options(format!(
                    "the {} is pinned twice; leave one pin out",
                    pin.name()
                )));
            }
            self.0.push(pin);
        }
        Ok(())
    }

    /// Each landmark, in the order given.
    pub fn iter(&self) -> impl Iterator<Item = &Pin> {
        self.0.iter()
    }

    /// True without any.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// A length for people of either habit: `104.3 cm (41 1/8 in)`.
pub(super) struct Both(pub(super) f64);

impl fmt::Display for Both {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        use crate::length::text::Shown;
        let length = Length::from_mm(self.0);
        let (cm, inch) = (
            Shown::Centimetres.show(length),
            Shown::InchEighths.show(length),
        );
        write!(f, "{cm} ({inch})")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pins(texts: &[&str]) -> Result<Pins> {
        let read: Result<Vec<Pin>> = texts.iter().map(|text| text.parse()).collect();
        Pins::new(read?)
    }

    #[test]
    fn one_pin_without_a_side_is_both_sides() {
        let knees = pins(&["knee=48 cm"]).unwrap();
        let sides: Vec<_> = knees.iter().map(|pin| pin.side).collect();
        assert_eq!(sides, [Some(Side::Left), Some(Side::Right)]);
    }

    #[test]
    fn what_does_not_fit_together_is_refused() {
        for (texts, word) in [
            (
                &["knee=48 cm", "left knee=47 cm"][..],
                "left knee is pinned twice",
            ),
            (&["waist=104 cm", "waist_narrowest=41 in"], "pinned twice"),
            (&["knee=1, 2, 48 cm"], "say which"),
        ] {
            let said = pins(texts).unwrap_err().to_string();
            assert!(said.contains(word), "{said}");
        }
        let pin = Pin::at_height(LandmarkKey::Hip, Side::Left, Length::from_mm(900.0));
        let said = Pins::new([pin]).unwrap_err().to_string();
        assert!(said.contains("only one hip level"), "{said}");
        let pin = Pin::at_height(LandmarkKey::Hip, None, Length::from_mm(f64::NAN));
        assert!(Pins::new([pin]).is_err());
        let pin = Pin::at_height(LandmarkKey::Hip, None, Length::from_mm(900.0));
        assert!(Pins::new([pin.within(Length::ZERO)]).is_err());
    }
}
