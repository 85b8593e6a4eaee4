//! How large a measure is against others of the same person, and the windows it lies in.
//!
//! # Sources
//! ANSUR II, the public 2012 survey of 1 986 women and 4 082 men (Gordon et al. 2014, NATICK/TR-15/007), counted by
//! us from its data: least and greatest ratio over all of both sexes, as sex is not asked. Its nearest like stands for
//! ours: its chest for bust and chest, its waist at the navel for the narrowest one and the belly, its flexed biceps
//! and forearm for ours at rest, its lower thigh for the knee, its interscye for across back and front. Sizes are held
//! against sizes of the same person only, so that no size is called odd.
//!
//! What the survey does not have: least and greatest over sixty model bodies (women, men and between, thin to heavy,
//! arms hanging to held out), as measured here.
//!
//! Each window is wider than that by a share of its own ends, for other definitions, postures and builds: an armpit, say,
//! sinks by up to 0.07 of the stature as the arm is raised.

use crate::measure::Key;

/// Where a window was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// Over the 6 068 people of the survey.
    Survey,
    /// Over sixty model bodies.
    Bodies,
}

/// A measure as a multiple of another, or of the geometric mean of others, and the window it lies in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relation {
    /// What is divided.
    pub part: Key,
    /// What it is divided by: the geometric mean of these. A pair's two sides count as their mean for what has none.
    pub of: &'static [Key],
    /// Least and greatest ratio that was seen.
    pub seen: (f64, f64),
    /// By what share of itself each end of the window lies farther out.
    pub room: f64,
    /// Where.
    pub source: Seen,
}

impl Relation {
    /// Least and greatest ratio that is taken for a body's.
    #[must_use]
    pub fn window(&self) -> (f64, f64) {
        (
            self.seen.0 * (1.0 - self.room),
            self.seen.1 * (1.0 + self.room),
        )
    }
}

const fn survey(part: Key, of: &'static [Key], seen: (f64, f64), room: f64) -> Relation {
    Relation {
        part,
        of,
        seen,
        room,
        source: Seen::Survey,
    }
}

const fn bodies(part: Key, of: &'static [Key], seen: (f64, f64), room: f64) -> Relation {
    Relation {
        part,
        of,
        seen,
        room,
        source: Seen::Bodies,
    }
}

/// The relations that are looked at.
pub const RELATIONS: &[Relation] = {
    use Key as K;
    &[
        survey(
            K::BustGirth,
            &[K::WaistNarrowestGirth, K::HipGirth, K::NeckGirth],
            (1.247, 1.742),
            0.1,
        ),
        survey(
            K::ChestGirth,
            &[K::WaistNarrowestGirth, K::HipGirth, K::NeckGirth],
            (1.247, 1.742),
            0.1,
        ),
        survey(
            K::WaistNarrowestGirth,
            &[K::BustGirth, K::HipGirth],
            (0.712, 1.125),
            0.1,
        ),
        survey(
            K::NavelGirth,
            &[K::BustGirth, K::HipGirth],
            (0.712, 1.125),
            0.1,
        ),
        survey(
            K::BellyGirth,
            &[K::BustGirth, K::HipGirth],
            (0.712, 1.125),
            0.1,
        ),
        survey(
            K::UnderBustGirth,
            &[K::WaistNarrowestGirth, K::BustGirth],
            (0.933, 1.198),
            0.1,
        ),
        survey(
            K::HighHipGirth,
            &[K::HipGirth, K::WaistNarrowestGirth],
            (0.905, 1.195),
            0.1,
        ),
        survey(K::HipGirth, &[K::ThighGirth], (1.455, 1.906), 0.1),
        survey(K::HeadGirth, &[K::Stature], (0.289, 0.398), 0.1),
        survey(K::NeckGirth, &[K::HeadGirth], (0.480, 0.879), 0.05),
        survey(
            K::NeckGirth,
            &[K::BustGirth, K::WristGirth],
            (0.750, 1.095),
            0.1,
        ),
        survey(K::NeckGirth, &[K::WristGirth], (1.786, 2.787), 0.15),
        survey(K::NeckGirth, &[K::Stature], (0.172, 0.301), 0.1),
        survey(K::NeckBaseGirth, &[K::NeckGirth], (1.004, 1.255), 0.1),
        survey(K::ShoulderGirth, &[K::BustGirth], (0.878, 1.282), 0.1),
        survey(
            K::UpperArmGirth,
            &[K::BustGirth, K::ForearmGirth],
            (0.508, 0.734),
            0.15,
        ),
        survey(
            K::ForearmGirth,
            &[K::UpperArmGirth, K::WristGirth],
            (1.066, 1.365),
            0.2,
        ),
        survey(
            K::WristGirth,
            &[K::ForearmGirth, K::AnkleGirth],
            (0.559, 0.787),
            0.15,
        ),
        survey(K::HandGirth, &[K::WristGirth], (1.055, 1.378), 0.15),
        survey(K::HandGirth, &[K::Stature], (0.098, 0.140), 0.1),
        survey(
            K::ThighGirth,
            &[K::HipGirth, K::CalfGirth],
            (0.827, 1.133),
            0.1,
        ),
        survey(
            K::KneeGirth,
            &[K::ThighGirth, K::CalfGirth],
            (0.718, 0.949),
            0.2,
        ),
        survey(
            K::CalfGirth,
            &[K::ThighGirth, K::AnkleGirth],
            (0.861, 1.175),
            0.2,
        ),
        survey(
            K::AnkleGirth,
            &[K::CalfGirth, K::WristGirth],
            (0.775, 1.064),
            0.2,
        ),
        survey(K::HeelGirth, &[K::FootLength], (1.125, 1.461), 0.1),
        survey(K::BustGirth, &[K::NeckGirth], (2.242, 3.474), 0.2),
        survey(K::BustDepth, &[K::BustBreadth], (0.622, 1.185), 0.12),
        survey(
            K::WaistNarrowestDepth,
            &[K::WaistNarrowestBreadth],
            (0.564, 0.972),
            0.25,
        ),
        survey(K::HipDepth, &[K::HipBreadth], (0.544, 0.895), 0.2),
        survey(K::BustBreadth, &[K::BustGirth], (0.227, 0.342), 0.12),
        survey(K::BustDepth, &[K::BustGirth], (0.195, 0.295), 0.12),
        survey(
            K::WaistNarrowestBreadth,
            &[K::WaistNarrowestGirth],
            (0.299, 0.384),
            0.12,
        ),
        survey(
            K::WaistNarrowestDepth,
            &[K::WaistNarrowestGirth],
            (0.208, 0.316),
            0.12,
        ),
        survey(K::HipBreadth, &[K::HipGirth], (0.308, 0.381), 0.12),
        survey(K::HipDepth, &[K::HipGirth], (0.199, 0.297), 0.12),
        survey(K::BackNeckHeight, &[K::Stature], (0.835, 0.888), 0.02),
        survey(K::FrontNeckHeight, &[K::Stature], (0.790, 0.843), 0.02),
        survey(K::ShoulderHeight, &[K::Stature], (0.788, 0.852), 0.02),
        survey(K::ArmpitHeight, &[K::Stature], (0.724, 0.789), 0.08),
        survey(K::BustPointHeight, &[K::Stature], (0.666, 0.772), 0.03),
        survey(
            K::HipHeight,
            &[K::ArmpitHeight, K::CrotchHeight],
            (0.768, 0.934),
            0.03,
        ),
        survey(K::CrotchHeight, &[K::Stature], (0.422, 0.541), 0.03),
        survey(
            K::CrotchHeight,
            &[K::HipHeight, K::KneeHeight],
            (1.179, 1.371),
            0.05,
        ),
        survey(K::KneeHeight, &[K::Stature], (0.239, 0.320), 0.05),
        survey(K::AnkleBoneHeight, &[K::Stature], (0.030, 0.053), 0.2),
        survey(K::ShoulderPointBreadth, &[K::Stature], (0.187, 0.270), 0.15),
        survey(K::ShoulderBreadth, &[K::ShoulderGirth], (0.392, 0.486), 0.1),
        survey(K::ShoulderLength, &[K::Stature], (0.063, 0.106), 0.2),
        survey(
            K::ShoulderLength,
            &[K::ShoulderPointBreadth],
            (0.294, 0.460),
            0.15,
        ),
        survey(
            K::AcrossBackWidth,
            &[K::ShoulderPointBreadth, K::BustGirth],
            (0.504, 0.771),
            0.15,
        ),
        survey(
            K::AcrossFrontWidth,
            &[K::ShoulderPointBreadth, K::BustGirth],
            (0.504, 0.771),
            0.15,
        ),
        survey(K::BackWaistLength, &[K::Stature], (0.219, 0.328), 0.2),
        survey(K::UpperArmLength, &[K::Stature], (0.169, 0.214), 0.2),
        survey(K::ArmLength, &[K::Stature], (0.284, 0.376), 0.15),
        survey(
            K::BackNeckToWristLength,
            &[K::ArmLength],
            (1.349, 1.681),
            0.15,
        ),
        survey(K::CrotchLength, &[K::HipGirth], (0.475, 0.731), 0.25),
        survey(K::FootLength, &[K::Stature], (0.135, 0.177), 0.1),
        survey(K::FootBreadth, &[K::FootLength], (0.312, 0.456), 0.1),
        bodies(
            K::WaistNarrowestHeight,
            &[K::ArmpitHeight, K::CrotchHeight],
            (0.980, 1.133),
            0.03,
        ),
        bodies(
            K::NavelHeight,
            &[K::ArmpitHeight, K::CrotchHeight],
            (0.972, 1.021),
            0.03,
        ),
        bodies(
            K::HighHipHeight,
            &[K::ArmpitHeight, K::CrotchHeight],
            (0.921, 0.998),
            0.03,
        ),
        bodies(
            K::BellyHeight,
            &[K::ArmpitHeight, K::CrotchHeight],
            (0.892, 1.140),
            0.05,
        ),
        bodies(K::UnderBustHeight, &[K::BustHeight], (0.948, 0.990), 0.04),
        bodies(K::SideNeckHeight, &[K::Stature], (0.837, 0.876), 0.02),
        bodies(
            K::GlutealFoldHeight,
            &[K::CrotchHeight],
            (0.924, 1.019),
            0.05,
        ),
        bodies(K::InsideLegLength, &[K::CrotchHeight], (1.001, 1.031), 0.04),
        bodies(
            K::OutsideLegLength,
            &[K::WaistNarrowestHeight],
            (1.000, 1.014),
            0.03,
        ),
        bodies(K::UpperChestGirth, &[K::ChestGirth], (0.854, 1.002), 0.06),
        bodies(K::ArmscyeGirth, &[K::BustGirth], (0.293, 0.448), 0.15),
        bodies(K::ElbowGirth, &[K::ForearmGirth], (0.938, 1.028), 0.15),
        bodies(K::MidThighGirth, &[K::ThighGirth], (0.644, 0.977), 0.1),
        bodies(K::ThighFoldGirth, &[K::ThighGirth], (0.875, 1.033), 0.1),
        bodies(K::LowerKneeGirth, &[K::KneeGirth], (0.895, 1.053), 0.1),
        bodies(K::AnkleBoneGirth, &[K::AnkleGirth], (1.153, 1.713), 0.15),
        bodies(K::BustHalfGirth, &[K::BustGirth], (0.485, 0.515), 0.05),
        bodies(
            K::WaistNarrowestHalfGirth,
            &[K::WaistNarrowestGirth],
            (0.494, 0.506),
            0.05,
        ),
        bodies(K::HipHalfGirth, &[K::HipGirth], (0.499, 0.501), 0.05),
        bodies(K::BustFrontArc, &[K::BustGirth], (0.435, 0.628), 0.1),
        bodies(
            K::WaistNarrowestFrontArc,
            &[K::WaistNarrowestGirth],
            (0.473, 0.508),
            0.08,
        ),
        bodies(K::HighHipFrontArc, &[K::HighHipGirth], (0.430, 0.514), 0.1),
        bodies(K::HipFrontArc, &[K::HipGirth], (0.389, 0.487), 0.12),
        bodies(
            K::CrotchLengthBack,
            &[K::CrotchLength],
            (0.492, 0.548),
            0.12,
        ),
        bodies(K::BustPointSpread, &[K::BustBreadth], (0.367, 0.662), 0.15),
        bodies(K::BellyDepth, &[K::BellyGirth], (0.223, 0.305), 0.15),
        bodies(K::NeckToBustLength, &[K::Stature], (0.143, 0.251), 0.15),
        bodies(
            K::NeckOverBustToWaistLength,
            &[K::Stature],
            (0.207, 0.334),
            0.15,
        ),
        bodies(K::FrontWaistLength, &[K::Stature], (0.158, 0.274), 0.2),
        bodies(K::ScyeDepth, &[K::Stature], (0.089, 0.143), 0.2),
        bodies(
            K::AcrossBackShoulderWidth,
            &[K::ShoulderPointBreadth],
            (1.047, 1.131),
            0.06,
        ),
        bodies(
            K::AcrossFrontWidth,
            &[K::AcrossBackWidth],
            (0.907, 1.029),
            0.1,
        ),
        bodies(K::WaistToHipLength, &[K::Stature], (0.064, 0.180), 0.2),
    ]
};
