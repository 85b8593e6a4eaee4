//! The unit of a file, from how tall the body in it is.

use super::decision::Decision;
use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::length::LengthUnit;

/// Shortest stature taken for a person's, in mm: a child's of about three years.
///
/// As low as it can lie: the window spans a factor of 2.48; neighbouring units are at least 2.54
/// apart, so that no height fits two of them.
pub const LEAST_STATURE_MM: f64 = 900.0;
/// Greatest stature taken for a person's, in mm: 12 % above the greatest of ANSUR II (1993 mm).
pub const GREATEST_STATURE_MM: f64 = 2232.0;
/// A shorter body, in mm, may well be a person's that is cut off: 12 % below the least of ANSUR II (1409 mm).
const SHORT_MM: f64 = 1240.0;

/// What a given unit may make of a body, in mm: a child, a torso, a giant, but nothing whose levels
/// would be counted in the millions. Far within memory, far outside of people.
const BELIEVED_MM: std::ops::RangeInclusive<f64> = 200.0..=3000.0;

/// Finds the unit of a body `tall` file units high.
///
/// # Errors
/// [`ErrorKind::Body`](crate::ErrorKind::Body) if no unit makes it a person's height, or the given
/// one makes it under 20 cm or over 3 m.
pub(super) fn find_unit(
    tall: f64,
    given: Option<LengthUnit>,
    findings: &mut Vec<Finding>,
) -> Result<Decision<LengthUnit>> {
    let fits = |unit: &LengthUnit| {
        (LEAST_STATURE_MM..=GREATEST_STATURE_MM).contains(&unit.length(tall).mm())
    };
    let readings = |units: &mut dyn Iterator<Item = LengthUnit>| {
        units
            .map(|unit| format!("{} in {}", human(unit.length(tall).mm()), name(unit)))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let window = format!(
        "a person's height is taken to lie between {:.2} and {:.2} m",
        LEAST_STATURE_MM / 1000.0,
        GREATEST_STATURE_MM / 1000.0
    );
    if let Some(unit) = given {
        let mm = unit.length(tall).mm();
        let text = format!("{} as given: the body is {} tall", name(unit), human(mm));
        if !BELIEVED_MM.contains(&mm) {
            return Err(Error::body(format!(
                "{text}, and no person is; give the unit in which the scan's numbers are, or leave it to be found"
            )));
        }
        if fits(&unit) {
            findings.push(Finding::note("unit", text.clone()));
        } else {
            findings.push(Finding::look(
                "unit",
                format!("{text}, but {window}; check the unit"),
            ));
        }
        return Ok(Decision::given(unit, text));
    }
    let Some(unit) = LengthUnit::ALL.into_iter().find(fits) else {
        return Err(Error::body(format!(
            "unit unknown: the body is {} units tall, which would be {}; {window}. If the scan is cut off, scan the whole body; if it is whole, give the unit, as in --unit cm",
            count(tall),
            readings(&mut LengthUnit::ALL.into_iter())
        )));
    };
    let text = format!(
        "taken as {}: the body is {} units tall, {}; it would be {}; {window}",
        name(unit),
        count(tall),
        human(unit.length(tall).mm()),
        readings(&mut LengthUnit::ALL.into_iter().filter(|u| *u != unit))
    );
    findings.push(if unit.length(tall).mm() < SHORT_MM {
        Finding::look(
            "unit",
            format!(
                "{text}. That is the height of a child or a very short person; of anyone else a part is missing from the scan"
            ),
        )
    } else {
        Finding::note("unit", text.clone())
    });
    Ok(Decision::found(unit, vec![text]))
}

fn name(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Millimetre => "mm",
        LengthUnit::Centimetre => "cm",
        LengthUnit::Inch => "inches",
        LengthUnit::Metre => "m",
    }
}

/// A height in the unit in which one sees at a glance whether it can be a person's.
fn human(mm: f64) -> String {
    if mm >= 1e9 {
        format!("{:.1e} m", mm / 1000.0)
    } else if mm >= 1000.0 {
        format!("{:.2} m", mm / 1000.0)
    } else if mm >= 10.0 {
        format!("{:.1} cm", mm / 10.0)
    } else if mm >= 0.1 {
        format!("{mm:.2} mm")
    } else {
        format!("{mm:.1e} mm")
    }
}

/// A number of file units, to about a millimetre of a person.
fn count(units: f64) -> String {
    match units {
        u if (10.0..1e6).contains(&u) => format!("{u:.1}"),
        u if (0.01..10.0).contains(&u) => format!("{u:.3}"),
        u => format!("{u:.3e}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::error::ErrorKind;

    /// Least, mean of women, mean of men and greatest stature of ANSUR II, in mm (`memory` for the means).
    const STATURES: [f64; 4] = [1409.0, 1628.5, 1756.2, 1993.0];

    #[test]
    fn every_stature_of_the_survey_is_found_in_every_unit() {
        for mm in STATURES {
            for unit in LengthUnit::ALL {
                let mut findings = Vec::new();
                let found = find_unit(mm / unit.in_mm(), None, &mut findings).unwrap();
                assert_eq!(found.value, unit, "{mm} mm in {unit:?}");
                assert_eq!(findings.len(), 1);
            }
        }
    }

    /// Children's median heights at 3, 5 and 7 years, 95, 110 and 121 cm (WHO growth standard and
    /// reference, `memory`): found in every unit, and to be looked at.
    #[test]
    fn the_unit_of_a_child_is_found_and_told() {
        for mm in [950.0, 1100.0, 1210.0] {
            for unit in LengthUnit::ALL {
                let mut findings = Vec::new();
                let found = find_unit(mm / unit.in_mm(), None, &mut findings).unwrap();
                assert_eq!(found.value, unit, "{mm} mm in {unit:?}");
                assert_eq!(findings[0].weight, crate::Weight::Look);
            }
        }
    }

    #[test]
    fn a_height_that_fits_no_unit_names_them_all_and_the_option() {
        let error = find_unit(300.0, None, &mut Vec::new()).unwrap_err();
        assert!(matches!(error.kind(), ErrorKind::Body { .. }));
        let text = error.to_string();
        for part in [
            "300.00 m in m",
            "30.0 cm in mm",
            "3.00 m in cm",
            "7.62 m in inches",
            "--unit",
        ] {
            assert!(text.contains(part), "{part}: {text}");
        }
    }

    #[test]
    fn a_given_unit_is_kept_and_doubted_if_it_fits_no_person() {
        let mut findings = Vec::new();
        let unit = find_unit(66.0, Some(LengthUnit::Centimetre), &mut findings).unwrap();
        assert_eq!((unit.value, unit.given), (LengthUnit::Centimetre, true));
        assert_eq!(findings[0].weight, crate::Weight::Look);
    }

    #[test]
    fn a_given_unit_that_makes_a_tower_or_a_thimble_is_refused() {
        for (tall, unit) in [
            (1700.0, LengthUnit::Metre),
            (1700.0, LengthUnit::Inch),
            (170.0, LengthUnit::Millimetre),
            (f64::MAX, LengthUnit::Centimetre),
            (0.0, LengthUnit::Metre),
        ] {
            let error = find_unit(tall, Some(unit), &mut Vec::new()).unwrap_err();
            assert!(error.to_string().contains("no person is"), "{error}");
        }
    }
}
