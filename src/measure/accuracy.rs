//! How far measured values lie from reference values: bias, scatter, and the verdict of ISO 20685-1.

/// Standard normal quantile of a two-sided 95 % interval, as the protocol uses it at any number of subjects.
const TWO_SIDED_95: f64 = 1.96;

/// Number of errors, their mean and their standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bias {
    /// How many.
    pub n: usize,
    /// Mean of measured minus reference.
    pub mean: f64,
    /// Standard deviation, with n − 1.
    pub sd: f64,
}

/// What ISO 20685-1 says of a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// The interval of the mean error lies within the limit of the class.
    Pass,
    /// It reaches the limit or lies beyond.
    Fail,
}

impl Bias {
    /// Standard error of the mean: SD/√n.
    #[must_use]
    pub fn standard_error(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 subjects")]
        let n = self.n as f64;
        self.sd / n.sqrt()
    }

    /// 95 % interval of the mean error: mean ± 1.96 standard errors.
    #[must_use]
    pub fn interval(&self) -> (f64, f64) {
        let reach = TWO_SIDED_95 * self.standard_error();
        (self.mean - reach, self.mean + reach)
    }

    /// Whether both ends of the interval lie strictly within ± `limit`.
    ///
    /// It judges the mean alone: a single person may be further off than the
    /// limit though the measure passes, so read [`ErrorSummary::p95`] beside it.
    /// The protocol asks for at least 40 subjects (number from memory); fewer
    /// give a wide interval, not a wrong one.
    ///
    /// # Source
    /// Protocol of ISO 20685-1 as told in M. Kouchi, "Anthropometric methods
    /// for apparel design", p. 41; the standard itself was not read.
    #[must_use]
    pub fn verdict(&self, limit: f64) -> Verdict {
        let (low, high) = self.interval();
        if -limit < low && high < limit {
            Verdict::Pass
        } else {
            Verdict::Fail
        }
    }
}

/// The errors of one measure over several bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ErrorSummary {
    /// Number, mean and standard deviation.
    pub bias: Bias,
    /// Mean of the absolute errors.
    pub mean_absolute: f64,
    /// 95th percentile of the absolute errors, linear between ranks.
    pub p95: f64,
    /// Greatest absolute error.
    pub greatest: f64,
}

impl ErrorSummary {
    /// Sums up errors (measured minus reference); `None` for fewer than two,
    /// which have no scatter, or if one is not finite.
    ///
    /// # Examples
    /// ```
    /// use girthwise::measure::accuracy::ErrorSummary;
    /// let summary = ErrorSummary::of(&[1.0, -1.0, 3.0]).unwrap();
    /// assert_eq!(summary.bias.mean, 1.0);
    /// assert_eq!(summary.bias.sd, 2.0);
    /// assert_eq!(summary.greatest, 3.0);
    /// ```
    #[must_use]
    pub fn of(errors: &[f64]) -> Option<Self> {
        if errors.len() < 2 || !errors.iter().all(|error| error.is_finite()) {
            return None;
        }
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 subjects")]
        let n = errors.len() as f64;
        let mean = errors.iter().sum::<f64>() / n;
        let squares: f64 = errors.iter().map(|error| (error - mean).powi(2)).sum();
        let mut absolute: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
        absolute.sort_by(f64::total_cmp);
        Some(Self {
            bias: Bias {
                n: errors.len(),
                mean,
                sd: (squares / (n - 1.0)).sqrt(),
            },
            mean_absolute: absolute.iter().sum::<f64>() / n,
            p95: percentile(&absolute, 95),
            greatest: absolute[absolute.len() - 1],
        })
    }
}

/// How well stated uncertainties foretell errors.
///
/// Of errors spread normally about 68 % lie within one standard uncertainty, 95 % within two.
/// Fewer: the uncertainties are too small to trust; more: too large to be of use.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coverage {
    /// How many.
    pub n: usize,
    /// Share of errors within one standard uncertainty, 0 to 1.
    pub within_one: f64,
    /// Share of errors within two.
    pub within_two: f64,
    /// Share of errors within three.
    pub within_three: f64,
    /// Greatest error in standard uncertainties.
    pub worst: f64,
}

impl Coverage {
    /// Sums up errors, each with the standard uncertainty stated for it; `None` without any, or if
    /// a number is not finite or an uncertainty not above zero.
    ///
    /// # Examples
    /// ```
    /// use girthwise::measure::accuracy::Coverage;
    /// let found = Coverage::of(&[(0.5, 1.0), (-3.0, 2.0), (1.0, 1.0), (6.0, 2.0)]).unwrap();
    /// assert_eq!((found.within_one, found.within_two, found.worst), (0.5, 0.75, 3.0));
    /// ```
    #[must_use]
    pub fn of(errors: &[(f64, f64)]) -> Option<Self> {
        let sound = |&(error, sd): &(f64, f64)| error.is_finite() && sd.is_finite() && sd > 0.0;
        if errors.is_empty() || !errors.iter().all(sound) {
            return None;
        }
        let ratios: Vec<f64> = errors.iter().map(|(error, sd)| error.abs() / sd).collect();
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 values")]
        let share = |limit: f64| {
            ratios.iter().filter(|&&ratio| ratio <= limit).count() as f64 / ratios.len() as f64
        };
        Some(Self {
            n: ratios.len(),
            within_one: share(1.0),
            within_two: share(2.0),
            within_three: share(3.0),
            worst: ratios.iter().copied().fold(0.0, f64::max),
        })
    }
}

/// Percentile of sorted values, none missing, linear between ranks.
fn percentile(sorted: &[f64], percent: usize) -> f64 {
    let hundredths = percent.min(100) * (sorted.len() - 1);
    let (rank, part) = (hundredths / 100, hundredths % 100);
    let next = sorted[(rank + 1).min(sorted.len() - 1)];
    #[expect(clippy::cast_precision_loss, reason = "below 100")]
    let share = part as f64 / 100.0;
    sorted[rank] + share * (next - sorted[rank])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows worked with Python from the protocol's formulas: n, mean, SD, interval, limit, verdict.
    #[test]
    fn worked_rows() {
        use Verdict::{Fail, Pass};
        let rows = [
            (74, 1.2, 9.5, (-0.965, 3.365), 4.0, Pass),
            (40, 1.2, 9.5, (-1.744, 4.144), 4.0, Fail),
            (40, -3.0, 15.0, (-7.649, 1.649), 9.0, Pass),
            (40, 5.0, 15.0, (0.351, 9.649), 9.0, Fail),
        ];
        for (n, mean, sd, (low, high), limit, verdict) in rows {
            let bias = Bias { n, mean, sd };
            let found = bias.interval();
            // The rows are printed to three decimals.
            assert!((found.0 - low).abs() < 5.1e-4, "{found:?}");
            assert!((found.1 - high).abs() < 5.1e-4, "{found:?}");
            assert_eq!(bias.verdict(limit), verdict, "{bias:?}");
        }
    }

    /// Greatest SD that passes without bias at 40 subjects, limit·√40/1.96, to three decimals.
    #[test]
    fn the_greatest_sd_that_passes() {
        for (limit, sd) in [(4.0, 12.907), (5.0, 16.134), (9.0, 29.042)] {
            let of = |sd| Bias {
                n: 40,
                mean: 0.0,
                sd,
            };
            assert_eq!(of(sd - 0.001).verdict(limit), Verdict::Pass);
            assert_eq!(of(sd + 0.001).verdict(limit), Verdict::Fail);
        }
    }

    /// By hand: Σ(x − mean)² = 20.6875; the percentile is linear between ranks,
    /// |x| sorted is 0.5 1 2 4, rank 0.95·3 = 2.85 lies at 2 + 0.85·2.
    #[test]
    fn a_summary_worked_by_hand() {
        let found = ErrorSummary::of(&[2.0, -4.0, 1.0, -0.5]).unwrap();
        assert!((found.bias.mean + 0.375).abs() < 1e-12);
        assert!((found.bias.sd - (20.6875_f64 / 3.0).sqrt()).abs() < 1e-12);
        assert!((found.mean_absolute - 1.875).abs() < 1e-12);
        assert!((found.p95 - 3.7).abs() < 1e-12);
        assert!((found.greatest - 4.0).abs() < 1e-12);
    }

    #[test]
    fn coverage_needs_uncertainties_above_zero() {
        assert_eq!(Coverage::of(&[]), None);
        assert_eq!(Coverage::of(&[(1.0, 0.0)]), None);
        assert_eq!(Coverage::of(&[(f64::NAN, 1.0)]), None);
    }

    #[test]
    fn too_few_errors_or_none_have_no_summary() {
        assert_eq!(ErrorSummary::of(&[]), None);
        assert_eq!(ErrorSummary::of(&[1.0]), None);
        assert_eq!(ErrorSummary::of(&[1.0, f64::NAN]), None);
    }
}
