//! What the repeats of a measure tell of the hand that took them.

use crate::length::Length;
use crate::measure::Key;
use crate::tape::TapeValue;
use crate::tape::repeat::{count, percent_tem, reliability, tem_of_groups};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A trained measurer's limit for girths, same hand, in percent of the girth (accreditation; from memory).
pub const TRAINED_PERCENT: f64 = 1.0;

/// The figures of repeated readings.
///
/// Repeats show the random part of an error alone: what a hand does alike each time stays in all of them.
/// Two readings tell a technical error to a factor of two at best.
///
/// # Source
/// Ulijaszek SJ, Kerr DA 1999, *Br J Nutr* 82:165–177; the formulas stand in [`crate::tape::repeat`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Repeats {
    /// How many readings.
    pub readings: usize,
    /// Readings beyond the first of each measure: how much they can tell.
    pub freedom: usize,
    /// Technical error of measurement (TEM): what one reading errs by, as a standard deviation.
    pub tem_mm: Length,
    /// The same in percent of the mean (%TEM).
    pub percent: f64,
    /// Reliability 1 − TEM²/SD²: the share of the spread between people that is not reading error.
    /// SD is a survey's, of women or of men, whichever is smaller; absent where no survey is at hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reliability: Option<f64>,
}

impl Repeats {
    /// The figures of some groups of readings in mm, one group a measure or person; `between` is the
    /// standard deviation between people. `None` if no group has two readings.
    #[must_use]
    pub fn of(groups: &[Vec<f64>], between: Option<f64>) -> Option<Self> {
        let tem = tem_of_groups(groups)?;
        let repeated = || groups.iter().filter(|group| group.len() > 1);
        let readings: usize = repeated().map(Vec::len).sum();
        let sum: f64 = repeated().flatten().sum();
        Some(Self {
            readings,
            freedom: readings - repeated().count(),
            tem_mm: Length::from_mm(tem),
            percent: percent_tem(tem, sum / count(readings)),
            reliability: between.map(|sd| reliability(tem, sd)),
        })
    }

    /// The repeats of one measure.
    pub(super) fn of_value(value: &TapeValue) -> Option<Self> {
        let lengths = value.readings.iter().map(|r| r.length.mm()).collect();
        Self::of(&[lengths], between(value.id.key))
    }
}

/// %TEM of several measures together: the root of their mean square, each weighing by what its repeats
/// can tell. `None` without any.
#[must_use]
pub fn percent_together<'r>(repeats: impl IntoIterator<Item = &'r Repeats>) -> Option<f64> {
    let (squares, freedom) = repeats
        .into_iter()
        .fold((0.0, 0), |(squares, freedom), one| {
            (
                squares + one.percent * one.percent * count(one.freedom),
                freedom + one.freedom,
            )
        });
    (freedom > 0).then(|| (squares / count(freedom)).sqrt())
}

/// Standard deviation between people, in mm: ANSUR II (2012; 1986 women, 4082 men), the smaller of women's
/// and men's, so that a reliability is no better than told. The narrowest waist: 507 active adults (Heinz,
/// Peterson, Johnson, Kerk 2003, *J Stat Educ* 11(2)), women. Only dimensions taken as ours are.
const fn between(key: Key) -> Option<f64> {
    Some(match key {
        Key::Stature => 64.2,
        Key::BackNeckHeight => 59.5,
        Key::CrotchHeight => 44.6,
        Key::HipHeight => 45.7,
        Key::BustGirth | Key::ChestGirth => 82.7,
        Key::WaistNarrowestGirth => 75.9,
        Key::NavelGirth => 99.9,
        Key::HipGirth => 75.9,
        Key::ShoulderGirth => 52.9,
        Key::NeckGirth => 19.2,
        Key::HeadGirth => 16.0,
        Key::WristGirth => 7.8,
        Key::ThighGirth => 55.8,
        Key::CalfGirth => 28.5,
        Key::AnkleGirth => 14.6,
        Key::ShoulderLength => 10.3,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stature of ten subjects by four observers (Ulijaszek & Kerr 1999, data as printed in a public
    /// statistics package): TEM 3.0632 mm, %TEM 0.33161; with the SD of all forty readings, 61.8641 mm,
    /// R 0.997548.
    #[test]
    fn published_observers() {
        const OBSERVERS: [[f64; 10]; 4] = [
            [865., 1023., 982., 817., 901., 880., 948., 906., 924., 989.],
            [863., 1023., 980., 816., 894., 876., 947., 905., 924., 987.],
            [863., 1027., 989., 812., 900., 881., 947., 907., 926., 1002.],
            [864., 1025., 985., 817., 903., 881., 946., 908., 924., 993.],
        ];
        let groups: Vec<Vec<f64>> = (0..10)
            .map(|subject| OBSERVERS.iter().map(|row| row[subject]).collect())
            .collect();
        let figures = Repeats::of(&groups, Some(61.864_098_366)).unwrap();
        assert_eq!((figures.readings, figures.freedom), (40, 30));
        assert!((figures.tem_mm.mm() - 3.063_222_703_842).abs() < 1e-9);
        assert!((figures.percent - 0.331_607_329_239).abs() < 1e-9);
        assert!((figures.reliability.unwrap() - 0.997_548_229_761).abs() < 1e-9);
        assert_eq!(Repeats::of(&[vec![865.0], vec![]], None), None);
    }

    /// By hand: 1 % from one repeat and 2 % from two: √((1 + 2·4)/3) = √3.
    #[test]
    fn measures_together_weigh_by_their_repeats() {
        let of = |percent: f64, freedom: usize| Repeats {
            readings: freedom + 1,
            freedom,
            tem_mm: Length::from_mm(percent),
            percent,
            reliability: None,
        };
        let together = percent_together(&[of(1.0, 1), of(2.0, 2)]).unwrap();
        assert!((together - 3.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!(percent_together(&[]), None);
    }
}
