//! The truth files of invented bodies, read as reference values for measures.

use girthwise::measure::{Key, MeasureId};
use girthwise::side::Side;
use serde_json::Value;
use std::path::Path;

/// What a reference value rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Basis {
    /// Found on the shape alone, by the same rule as ours: may be held to a limit.
    Skin,
    /// A fixed vertex or bone joint of the model that drew the body. It is a
    /// definition of that model, not anatomy, so a finder that sees skin alone may
    /// rightly differ by a centimetre and more: reported, never held to a limit.
    Model,
    /// The model's own points on the same body posed with its arms hanging: raised arms draw them inwards. Reported,
    /// never held to a limit.
    Hanging,
}

/// A value of a truth file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Reference {
    pub(crate) id: MeasureId,
    pub(crate) value: f64,
    pub(crate) basis: Basis,
}

/// Where the basis of a value stands.
enum From {
    /// In the `kind` of this level.
    Level(&'static str),
    Skin,
    Model,
    Hanging,
}

/// Measure, place of its value (`{}` is R or L) or of two that are taken from each other, and what it rests on.
const ROWS: &[(Key, &str, From)] = {
    use From::{Hanging, Level, Model, Skin};
    use Key as K;
    &[
        (K::Stature, "/body/stature", Skin),
        (K::BackNeckHeight, "/lengths/back_neck_height", Model),
        (
            K::FrontNeckHeight,
            "/landmarks/front_neck_point/point/2",
            Model,
        ),
        (
            K::ShoulderHeight,
            "/lengths/shoulder_point_height_{}",
            Model,
        ),
        (K::ArmpitHeight, "/levels/armpit_{}/height", Skin),
        (K::BustHeight, "/levels/bust/height", Level("bust")),
        (
            K::BustPointHeight,
            "/lengths/bust_point_height_{}",
            Level("bust"),
        ),
        (
            K::UnderBustHeight,
            "/levels/under_bust/height",
            Level("under_bust"),
        ),
        (
            K::WaistNarrowestHeight,
            "/levels/waist_narrowest/height",
            Level("waist_narrowest"),
        ),
        (K::NavelHeight, "/levels/navel/height", Level("navel")),
        (
            K::HighHipHeight,
            "/levels/high_hip/height",
            Level("waist_narrowest"),
        ),
        (K::HipHeight, "/levels/hip/height", Level("hip")),
        (K::CrotchHeight, "/levels/crotch/height", Level("crotch")),
        (K::KneeHeight, "/levels/knee_{}/height", Model),
        (K::CalfHeight, "/girths/calf_{}/height", Skin),
        (K::AnkleHeight, "/girths/ankle_{}/height", Skin),
        (
            K::ChestGirth,
            "/levels/bust_greatest/taut",
            Level("bust_greatest"),
        ),
        (K::BustGirth, "/girths/bust/taut", Level("bust")),
        (
            K::UnderBustGirth,
            "/girths/under_bust/taut",
            Level("under_bust"),
        ),
        (
            K::WaistNarrowestGirth,
            "/girths/waist_narrowest/taut",
            Level("waist_narrowest"),
        ),
        (K::NavelGirth, "/girths/navel/taut", Level("navel")),
        (
            K::HighHipGirth,
            "/girths/high_hip/taut",
            Level("waist_narrowest"),
        ),
        (K::HipGirth, "/girths/hip/taut", Level("hip")),
        (K::NeckGirth, "/girths/neck_least/taut", Skin),
        (K::UpperArmGirth, "/girths/upper_arm_mid_{}/taut", Model),
        (K::ElbowGirth, "/girths/elbow_{}/taut", Model),
        (K::ForearmGirth, "/girths/forearm_{}/taut", Skin),
        (K::WristGirth, "/girths/wrist_{}/taut", Skin),
        (K::ThighGirth, "/girths/thigh_{}/taut", Skin),
        (K::MidThighGirth, "/girths/thigh_mid_{}/taut", Model),
        (K::KneeGirth, "/girths/knee_{}/taut", Model),
        (K::CalfGirth, "/girths/calf_{}/taut", Skin),
        (K::AnkleGirth, "/girths/ankle_{}/taut", Skin),
        (K::BustGirthSurface, "/girths/bust/skin", Level("bust")),
        (
            K::WaistNarrowestGirthSurface,
            "/girths/waist_narrowest/skin",
            Level("waist_narrowest"),
        ),
        (K::NavelGirthSurface, "/girths/navel/skin", Level("navel")),
        (K::HipGirthSurface, "/girths/hip/skin", Level("hip")),
        (K::ThighGirthSurface, "/girths/thigh_{}/skin", Skin),
        (K::BustHalfGirth, "/girths/bust/half_taut_{}", Level("bust")),
        (
            K::WaistNarrowestHalfGirth,
            "/girths/waist_narrowest/half_taut_{}",
            Level("waist_narrowest"),
        ),
        (K::HipHalfGirth, "/girths/hip/half_taut_{}", Level("hip")),
        (K::BustBreadth, "/girths/bust/breadth", Level("bust")),
        (
            K::WaistNarrowestBreadth,
            "/girths/waist_narrowest/breadth",
            Level("waist_narrowest"),
        ),
        (K::HipBreadth, "/girths/hip/breadth", Level("hip")),
        (K::BustDepth, "/girths/bust/depth", Level("bust")),
        (
            K::WaistNarrowestDepth,
            "/girths/waist_narrowest/depth",
            Level("waist_narrowest"),
        ),
        (K::HipDepth, "/girths/hip/depth", Level("hip")),
        (
            K::BustPointSpread,
            "/lengths/bust_point_spread_straight",
            Level("bust"),
        ),
        (
            K::ShoulderPointBreadth,
            "/lengths/shoulder_points_breadth",
            Model,
        ),
        (K::ShoulderLength, "/lengths/shoulder_length_{}", Model),
        (K::ShoulderSlope, "/lengths/shoulder_slope_deg_{}", Model),
        (
            K::ShoulderForward,
            "/landmarks/shoulder_point_{}/point/1 less /landmarks/side_neck_point_{}/point/1",
            Model,
        ),
        (
            K::NeckToBustLength,
            "/lengths/side_neck_to_bust_point_skin_{}",
            Model,
        ),
        (
            K::BackWaistLength,
            "/lengths/back_neck_to_waist_skin",
            Model,
        ),
        (
            K::FrontWaistLength,
            "/lengths/front_neck_to_waist_skin",
            Model,
        ),
        (K::BackNeckHeight, "/hanging/c7", Hanging),
        (K::SideNeckHeight, "/hanging/sn_{}/2", Hanging),
        (K::ShoulderHeight, "/hanging/sp_{}/2", Hanging),
        (K::ShoulderLength, "/hanging/len_{}", Hanging),
        (K::ShoulderPointBreadth, "/hanging/breadth", Hanging),
    ]
};

/// Reads a truth file.
///
/// # Panics
/// If it is not there or not JSON.
pub(crate) fn read(path: &Path) -> Value {
    let bytes = std::fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    serde_json::from_slice(&bytes).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The reference values of a truth file, in catalogue order; extremes that the
/// file itself calls unclear are left out, as is what it does not hold.
pub(crate) fn references(truth: &Value) -> Vec<Reference> {
    let mut found = Vec::new();
    for (key, place, from) in ROWS {
        for &side in Side::of_pair(key.definition().paired) {
            let letter = match side {
                Some(Side::Left) => "L",
                _ => "R",
            };
            let place = place.replace("{}", letter);
            let parent = place.rsplit_once('/').map_or("", |(parent, _)| parent);
            let level = match from {
                From::Level(name) => truth.pointer(&format!("/levels/{name}")),
                _ => None,
            };
            let unclear =
                |object: Option<&Value>| object.is_some_and(|o| o["clear"] == Value::Bool(false));
            if unclear(level) || unclear(truth.pointer(parent)) {
                continue;
            }
            let basis = match (from, level) {
                (From::Skin, _) => Basis::Skin,
                (From::Hanging, _) => Basis::Hanging,
                (From::Level(_), Some(level)) if level["kind"] == "surface" => Basis::Skin,
                _ => Basis::Model,
            };
            let numbers = place
                .split(" less ")
                .map(|place| truth.pointer(place).and_then(Value::as_f64));
            if let Some(value) = numbers.reduce(|a, b| Some(a? - b?)).flatten() {
                let id = MeasureId::new(*key, side);
                found.push(Reference { id, value, basis });
            }
        }
    }
    found
}
