//! Repeated readings: technical error of measurement and what follows from it.
//!
//! Formulas: Ulijaszek SJ, Kerr DA 1999, *Br J Nutr* 82:165–177, as restated
//! in a public statistics package; that for K observers is from memory and
//! checked against the published data below.

/// Two readings by one hand differ by less than this many technical errors
/// in 95 of 100 pairs: 1.96·√2.
pub const LIMIT_OF_TWO: f64 = 1.96 * std::f64::consts::SQRT_2;

/// Technical error of two readings (or two observers) each: √(Σd² / 2N), in the unit of the readings.
///
/// `None` without a pair.
#[must_use]
pub fn tem_of_pairs(pairs: &[(f64, f64)]) -> Option<f64> {
    if pairs.is_empty() {
        return None;
    }
    let squares: f64 = pairs.iter().map(|(a, b)| (a - b) * (a - b)).sum();
    Some((squares / (2.0 * count(pairs.len()))).sqrt())
}

/// Technical error of several readings each: √(Σᵢ[Σⱼ m²ᵢⱼ − (Σⱼ mᵢⱼ)²/Kᵢ] / Σᵢ(Kᵢ − 1)).
///
/// One group a subject. For K readings of each this is the published formula
/// with its divisor N(K−1); groups of unequal size weigh by their degrees of
/// freedom. `None` if no group has two readings.
#[must_use]
pub fn tem_of_groups(groups: &[Vec<f64>]) -> Option<f64> {
    let (squares, freedom) = groups
        .iter()
        .filter(|group| group.len() > 1)
        .fold((0.0, 0), |(squares, freedom), group| {
            (squares + squares_within(group), freedom + group.len() - 1)
        });
    (freedom > 0).then(|| (squares / count(freedom)).sqrt())
}

/// Technical error as a percentage of the mean.
#[must_use]
pub fn percent_tem(tem: f64, mean: f64) -> f64 {
    100.0 * tem / mean
}

/// Reliability R = 1 − TEM²/SD²: the share of the spread between subjects that is not measurement error.
#[must_use]
pub fn reliability(tem: f64, sd_between: f64) -> f64 {
    1.0 - (tem / sd_between).powi(2)
}

/// Sum of squared distances from the mean, 0 for fewer than two readings.
///
/// Taken about the mean rather than as Σm² − (Σm)²/K, which loses digits.
#[must_use]
pub fn squares_within(readings: &[f64]) -> f64 {
    let mean = mean(readings);
    readings.iter().map(|m| (m - mean) * (m - mean)).sum()
}

/// Greatest reading less the least.
pub(crate) fn range(readings: &[f64]) -> f64 {
    let low = readings.iter().copied().fold(f64::INFINITY, f64::min);
    let high = readings.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if high > low { high - low } else { 0.0 }
}

/// True if two readings among these differ by more than one hand explains.
pub(crate) fn apart(readings: &[f64], tem: f64) -> bool {
    range(readings) > LIMIT_OF_TWO * tem
}

/// The value to take for some readings: their mean, or their median if there are three or more and they lie apart.
///
/// The median sets one slip among three aside (common practice of trained measurers; from memory).
pub(crate) fn centre(readings: &[f64], tem: f64) -> f64 {
    if readings.len() > 2 && apart(readings, tem) {
        median(readings)
    } else {
        mean(readings)
    }
}

pub(crate) fn median(readings: &[f64]) -> f64 {
    let mut sorted = readings.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    match (sorted.len() % 2, sorted.get(middle)) {
        (1, Some(value)) => *value,
        (_, Some(value)) => f64::midpoint(sorted[middle - 1], *value),
        _ => 0.0,
    }
}

fn mean(readings: &[f64]) -> f64 {
    readings.iter().sum::<f64>() / count(readings.len().max(1))
}

/// A count as a number to divide by; exact up to 2⁵³.
#[expect(
    clippy::cast_precision_loss,
    reason = "a sheet has at most ten thousand readings"
)]
pub(crate) const fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stature in mm of ten subjects by four observers: Ulijaszek & Kerr 1999,
    /// data as printed in a public statistics package.
    const OBSERVERS: [[f64; 10]; 4] = [
        [865., 1023., 982., 817., 901., 880., 948., 906., 924., 989.],
        [863., 1023., 980., 816., 894., 876., 947., 905., 924., 987.],
        [863., 1027., 989., 812., 900., 881., 947., 907., 926., 1002.],
        [864., 1025., 985., 817., 903., 881., 946., 908., 924., 993.],
    ];

    fn groups() -> Vec<Vec<f64>> {
        (0..10)
            .map(|subject| OBSERVERS.iter().map(|row| row[subject]).collect())
            .collect()
    }

    /// Sums of squared differences added up by hand from the published data; TEM = √(sum / 20).
    #[test]
    fn published_pairs() {
        for (a, b, sum) in [
            (0, 1, 80.0),
            (0, 2, 271.0),
            (0, 3, 43.0),
            (1, 2, 407.0),
            (1, 3, 183.0),
            (2, 3, 142.0),
        ] {
            let pairs: Vec<_> = OBSERVERS[a].into_iter().zip(OBSERVERS[b]).collect();
            let tem = tem_of_pairs(&pairs).unwrap();
            assert!((tem * tem - sum / 20.0).abs() < 1e-11, "{a} {b}: {tem}");
        }
    }

    #[test]
    fn published_group() {
        let tem = tem_of_groups(&groups()).unwrap();
        assert!((tem - 3.063_222_703_842).abs() < 1e-11, "{tem}");
        let all: Vec<f64> = OBSERVERS.concat();
        assert!((mean(&all) - 923.75).abs() < 1e-12);
        assert!((percent_tem(tem, 923.75) - 0.331_607_329_239).abs() < 1e-11);
        let sd = (squares_within(&all) / 39.0).sqrt();
        assert!((sd - 61.864_098_366).abs() < 1e-9);
        assert!((reliability(tem, sd) - 0.997_548_229_761).abs() < 1e-11);
    }

    #[test]
    fn pairs_are_groups_of_two() {
        let pairs = [(980.0, 984.0), (700.0, 699.0), (1010.0, 1016.0)];
        let groups: Vec<Vec<f64>> = pairs.iter().map(|&(a, b)| vec![a, b]).collect();
        let (a, b) = (tem_of_pairs(&pairs), tem_of_groups(&groups));
        assert!((a.unwrap() - b.unwrap()).abs() < 1e-12);
        assert_eq!(tem_of_pairs(&[]), None);
        assert_eq!(tem_of_groups(&[vec![1.0], vec![]]), None);
    }

    /// 1.96·√2 = 2.772 by hand.
    #[test]
    fn one_slip_among_three_is_set_aside() {
        assert!((LIMIT_OF_TWO - 2.7719).abs() < 1e-4);
        assert!((centre(&[980.0, 982.0, 890.0], 10.0) - 980.0).abs() < 1e-12);
        assert!((centre(&[980.0, 982.0, 990.0], 10.0) - 984.0).abs() < 1e-12);
        assert!((centre(&[980.0, 890.0], 10.0) - 935.0).abs() < 1e-12);
        assert!((median(&[4.0, 1.0, 3.0, 2.0]) - 2.5).abs() < 1e-12);
    }
}
