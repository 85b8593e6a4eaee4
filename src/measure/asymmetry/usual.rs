//! How far the two sides of healthy people differ, measure by measure.
//!
//! Surveys of healthy people are few and say little of girths; what follows from them by reckoning
//! is marked as inferred. What is known from memory alone is told and decides nothing.

use crate::measure::Key;

/// How a limit is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Known {
    /// Read in the abstract of the paper named.
    Read,
    /// Worked out from what was read there; the words say how.
    Inferred,
    /// From memory, without a source: told, never a ground for a grade.
    Memory,
}

/// A difference that nearly all healthy people stay within.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// In the unit of the measure: mm, or degrees.
    Plain(f64),
    /// A share of the mean of both sides.
    Share(f64),
}

/// What is known of the two sides of healthy people.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Usual {
    /// About 95 of 100 stay within it.
    pub limit: Limit,
    /// How it is known.
    pub known: Known,
    /// What the survey found, whom it asked, and how the limit follows.
    pub source: &'static str,
}

impl Usual {
    /// The limit for two values, in the unit of the measure; none where it is too little known to decide.
    #[must_use]
    pub fn limit_of(&self, left: f64, right: f64) -> Option<f64> {
        (self.known != Known::Memory).then(|| match self.limit {
            Limit::Plain(limit) => limit,
            Limit::Share(share) => share * f64::midpoint(left, right).abs(),
        })
    }
}

/// Girth of an arm or leg.
pub const LIMB_GIRTH: Usual = Usual {
    limit: Limit::Share(0.03),
    known: Known::Inferred,
    source: "upper limits of the dominant arm's and leg's volume over the other, 6 % (Lymphat Res Biol 2018, 16:75, 167 arms and 196 legs), are 3 % of girth; in 93 of 100 adults the dominant leg is larger, by 2.2 % of girth on average (Teo et al. 2018)",
};

/// Height of the shoulder.
pub const SHOULDER_HEIGHT: Usual = Usual {
    limit: Limit::Plain(10.0),
    known: Known::Inferred,
    source: "slopes within 5 degrees of each other, as in 88 of 100 students, over a shoulder of 129 mm at 23 degrees are 10 mm of height (Taniyama et al. 1970, 337 students)",
};

/// Slope of the shoulder.
pub const SHOULDER_SLOPE: Usual = Usual {
    limit: Limit::Plain(5.0),
    known: Known::Read,
    source: "equal or within 5 degrees in 88 of 100 students; the right 22.3, the left 23.6 degrees on average (Taniyama et al. 1970, 337 students)",
};

/// Length of the shoulder.
pub const SHOULDER_LENGTH: Usual = Usual {
    limit: Limit::Plain(9.0),
    known: Known::Inferred,
    source: "equal or within 5 mm in 73 of 100 students, the right longer by 2 mm on average, so within 9 mm in 95 if normal (Taniyama et al. 1970, 337 students)",
};

/// Length of the leg, hip included.
pub const LEG_LENGTH: Usual = Usual {
    limit: Limit::Plain(13.0),
    known: Known::Inferred,
    source: "bones differ by 5.2 mm on average with a standard deviation of 4.1, two of which over it are 13 mm (Knutson 2005, X-ray studies together)",
};

/// From the neck to the bust point.
pub const NECK_TO_BUST: Usual = Usual {
    limit: Limit::Share(0.08),
    known: Known::Inferred,
    source: "3.2 % on average without sign from the pit of the neck, so within 8 % in 95 of 100 if normal; the left longer in 62 % (Losken et al. 2005, 87 women)",
};

/// Volume of the breast.
pub const BREAST_VOLUME: Usual = Usual {
    limit: Limit::Share(0.10),
    known: Known::Memory,
    source: "commonly 5 to 10 %, from memory, no source read; each of 100 women had some difference (Henseler 2023)",
};

/// What is known of a paired measure; none where no survey of healthy people is known.
#[must_use]
pub const fn usual(key: Key) -> Option<Usual> {
    Some(match key {
        Key::UpperArmGirth
        | Key::ElbowGirth
        | Key::ForearmGirth
        | Key::WristGirth
        | Key::ThighGirth
        | Key::ThighFoldGirth
        | Key::MidThighGirth
        | Key::KneeGirth
        | Key::LowerKneeGirth
        | Key::CalfGirth
        | Key::AnkleGirth
        | Key::AnkleBoneGirth
        | Key::HeelGirth
        | Key::UpperArmGirthSurface
        | Key::ElbowGirthSurface
        | Key::ForearmGirthSurface
        | Key::WristGirthSurface
        | Key::ThighGirthSurface
        | Key::ThighFoldGirthSurface
        | Key::MidThighGirthSurface
        | Key::KneeGirthSurface
        | Key::LowerKneeGirthSurface
        | Key::CalfGirthSurface
        | Key::AnkleGirthSurface
        | Key::AnkleBoneGirthSurface => LIMB_GIRTH,
        Key::ShoulderHeight => SHOULDER_HEIGHT,
        Key::ShoulderSlope => SHOULDER_SLOPE,
        Key::ShoulderLength => SHOULDER_LENGTH,
        // Legs that differ in their bones lift one hip over the other, by as much.
        Key::HipBoneHeight | Key::InsideLegLength | Key::OutsideLegLength => LEG_LENGTH,
        Key::NeckToBustLength => NECK_TO_BUST,
        Key::BustVolume => BREAST_VOLUME,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::catalogue::CATALOGUE;

    fn plain(usual: &Usual) -> f64 {
        match usual.limit {
            Limit::Plain(limit) | Limit::Share(limit) => limit,
        }
    }

    /// Girth goes with the root of the area, so of the volume at equal length: √1.06 − 1 = 2.956 %.
    #[test]
    fn limb_girth_follows_from_volume() {
        assert!((plain(&LIMB_GIRTH) - (1.06_f64.sqrt() - 1.0)).abs() < 0.001);
    }

    /// 129·(sin 25.5° − sin 20.5°) = 10.4 mm: slopes 5° apart about 23°.
    #[test]
    fn shoulder_height_follows_from_slope() {
        let apart = 25.5_f64.to_radians().sin() - 20.5_f64.to_radians().sin();
        assert!((plain(&SHOULDER_HEIGHT) - 129.0 * apart).abs() < 0.5);
    }

    /// Normal of mean 2 and standard deviation 4: Φ(3/4) − Φ(−7/4) = 0.7734 − 0.0401 = 0.733 lie
    /// within 5; Φ(7/4) − Φ(−11/4) = 0.9599 − 0.0030 = 0.957 within 9 (printed table of Φ).
    #[test]
    fn shoulder_length_follows_from_a_share() {
        let phi: [(f64, f64); 4] = [
            (0.75, 0.7734),
            (-1.75, 0.0401),
            (1.75, 0.9599),
            (-2.75, 0.0030),
        ];
        let of = |z: f64| phi.iter().find(|row| (row.0 - z).abs() < 1e-9).unwrap().1;
        let within = |limit: f64| of((limit - 2.0) / 4.0) - of((-limit - 2.0) / 4.0);
        assert!((within(5.0) - 0.729).abs() < 0.01);
        let limit = plain(&SHOULDER_LENGTH);
        assert!(within(limit) >= 0.95, "{limit}");
    }

    /// The mean size of a normal value of mean 0 is √(2/π) of its standard deviation: 3.2 % on
    /// average are 4.01 %, and 1.96 of it 7.9 %. A mean of 5.2 and twice 4.1 are 13.4 mm.
    #[test]
    fn others_follow_from_means() {
        let sd = 0.032 / (2.0 / std::f64::consts::PI).sqrt();
        assert!((plain(&NECK_TO_BUST) - 1.96 * sd).abs() < 0.002);
        assert!((plain(&LEG_LENGTH) - (5.2 + 2.0 * 4.1)).abs() < 0.5);
    }

    #[test]
    fn only_pairs_have_a_limit_and_memory_has_none() {
        for row in CATALOGUE {
            assert!(row.paired || usual(row.key).is_none(), "{}", row.text);
        }
        let bust = usual(Key::BustVolume).unwrap();
        assert_eq!(bust.limit_of(400.0, 500.0), None);
        assert_eq!(LIMB_GIRTH.limit_of(290.0, 310.0), Some(9.0));
    }
}
