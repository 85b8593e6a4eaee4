//! From what people call a measure to its catalogue row.

use crate::measure::Key;
use crate::measure::catalogue::CATALOGUE;
use crate::naming::{MAX_CHARS, plain, side_named, split_side};
use crate::side::Side;

/// A measure understood from a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Named {
    /// The measure.
    pub key: Key,
    /// The side, if the text starts with one: `left knee girth`.
    pub side: Option<Side>,
    /// What was decided if the text has more than one meaning.
    pub remark: Option<&'static str>,
}

const WAIST: &str = "\"waist\" alone may mean the narrowest level, the one midway between lowest rib and hip bone, or the navel; it is taken as the narrowest. If you measured elsewhere, leave the row out.";
const INSEAM: &str = "it is taken as the height of the crotch above the floor; a tape that follows the leg reads more.";
const CHEST: &str =
    "it is taken as the girth over the fullest part of the bust, not the one above it.";
const HEIGHT: &str = "it is taken as stature, floor to top of the head.";

/// Trade names beside those of the catalogue (common practice, no source).
const TRADE: &[(&str, Key, Option<&str>)] = &[
    ("across back", Key::AcrossBackWidth, None),
    ("across front", Key::AcrossFrontWidth, None),
    ("across shoulders", Key::AcrossBackShoulderWidth, None),
    ("ankle", Key::AnkleGirth, None),
    ("armhole", Key::ArmscyeGirth, None),
    ("armscye", Key::ArmscyeGirth, None),
    ("apex to apex", Key::BustPointSpread, None),
    ("arm length to wrist", Key::ArmLength, None),
    ("armhole depth", Key::ScyeDepth, None),
    ("armscye depth", Key::ScyeDepth, None),
    ("back length", Key::BackWaistLength, None),
    ("back neck to waist", Key::BackWaistLength, None),
    ("back width", Key::AcrossBackWidth, None),
    ("base of neck", Key::NeckBaseGirth, None),
    ("belly", Key::BellyGirth, None),
    ("bicep", Key::UpperArmGirth, None),
    ("biceps", Key::UpperArmGirth, None),
    ("body height", Key::Stature, None),
    ("bust span", Key::BustPointSpread, None),
    ("bust", Key::BustGirth, None),
    ("calf", Key::CalfGirth, None),
    ("chest width", Key::AcrossFrontWidth, None),
    ("chest", Key::BustGirth, Some(CHEST)),
    ("crotch", Key::CrotchLength, None),
    ("elbow", Key::ElbowGirth, None),
    ("forearm", Key::ForearmGirth, None),
    ("front length", Key::FrontWaistLength, None),
    ("full bust", Key::BustGirth, None),
    ("head", Key::HeadGirth, None),
    ("height", Key::Stature, Some(HEIGHT)),
    ("high bust", Key::UpperChestGirth, None),
    ("high hip", Key::HighHipGirth, None),
    ("hip", Key::HipGirth, None),
    ("hips", Key::HipGirth, None),
    ("inseam", Key::CrotchHeight, Some(INSEAM)),
    ("inside leg", Key::CrotchHeight, Some(INSEAM)),
    ("knee", Key::KneeGirth, None),
    ("mid thigh", Key::MidThighGirth, None),
    ("nape to waist", Key::BackWaistLength, None),
    ("neck base", Key::NeckBaseGirth, None),
    ("neck to bust point", Key::NeckToBustLength, None),
    ("neck", Key::NeckGirth, None),
    ("outseam", Key::OutsideLegLength, None),
    ("outside leg", Key::OutsideLegLength, None),
    ("seat", Key::HipGirth, None),
    ("shoulder to elbow", Key::UpperArmLength, None),
    ("shoulder to shoulder", Key::AcrossBackShoulderWidth, None),
    ("shoulder", Key::ShoulderLength, None),
    ("sleeve length", Key::ArmLength, None),
    ("thigh", Key::ThighGirth, None),
    ("total crotch", Key::CrotchLength, None),
    ("under bust", Key::UnderBustGirth, None),
    ("underbust", Key::UnderBustGirth, None),
    ("upper arm", Key::UpperArmGirth, None),
    ("upper bust", Key::UpperChestGirth, None),
    ("upper chest", Key::UpperChestGirth, None),
    ("waist girth", Key::WaistNarrowestGirth, Some(WAIST)),
    ("waist to hip", Key::WaistToHipLength, None),
    ("waist", Key::WaistNarrowestGirth, Some(WAIST)),
    ("wrist", Key::WristGirth, None),
];

/// The measure a text names: catalogue key, catalogue name or trade name, with or without its side before it.
///
/// Case, spaces, dashes and underscores do not matter.
#[must_use]
pub fn name_measure(text: &str) -> Option<Named> {
    if text.chars().count() > MAX_CHARS {
        return None;
    }
    let plain = plain(text);
    if let Some((key, remark)) = lookup(&plain) {
        return Some(Named {
            key,
            side: None,
            remark,
        });
    }
    let (side, rest) = split_side(&plain)?;
    let (key, remark) = lookup(rest)?;
    Some(Named {
        key,
        side: Some(side),
        remark,
    })
}

/// The side a text names: `left`, `right`, `l`, `r`.
#[must_use]
pub fn name_side(text: &str) -> Option<Side> {
    side_named(text)
}

/// The key of a measure a tape can take whose name comes close to a text.
#[must_use]
pub fn nearest(text: &str) -> Option<&'static str> {
    let catalogue = CATALOGUE
        .iter()
        .flat_map(|row| [(row.text, row.key), (row.name, row.key)]);
    let trade = TRADE.iter().map(|&(name, key, _)| (name, key));
    // The first of equals, so that the order of the catalogue decides.
    let taken = catalogue
        .chain(trade)
        .filter(|(_, key)| !key.definition().tape.is_empty());
    crate::naming::nearest(text, taken).map(|key| key.definition().text)
}

fn lookup(plain_text: &str) -> Option<(Key, Option<&'static str>)> {
    let row = CATALOGUE
        .iter()
        .find(|row| plain(row.text) == plain_text || plain(row.name) == plain_text);
    if let Some(row) = row {
        return Some((row.key, None));
    }
    TRADE
        .iter()
        .find(|(name, ..)| *name == plain_text)
        .map(|&(_, key, remark)| (key, remark))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_and_name_of_the_catalogue_is_understood() {
        for row in CATALOGUE {
            for text in [row.text, row.name] {
                let named = name_measure(text).unwrap();
                assert_eq!((named.key, named.side), (row.key, None), "{text}");
            }
        }
    }

    #[test]
    fn no_trade_name_hides_a_catalogue_name() {
        for &(name, key, _) in TRADE {
            assert_eq!(name_measure(name).map(|n| n.key), Some(key), "{name}");
            assert!(!key.definition().tape.is_empty(), "{name}");
        }
    }

    #[test]
    fn sides_and_spelling() {
        let named = name_measure(" Left  Knee-Girth ").unwrap();
        assert_eq!((named.key, named.side), (Key::KneeGirth, Some(Side::Left)));
        assert_eq!(name_measure("r calf").unwrap().side, Some(Side::Right));
        assert_eq!(name_side(" R "), Some(Side::Right));
        assert_eq!(name_side("middle"), None);
    }

    #[test]
    fn waist_alone_is_taken_and_told() {
        let named = name_measure("Waist").unwrap();
        assert_eq!(named.key, Key::WaistNarrowestGirth);
        assert!(named.remark.unwrap().contains("navel"));
        assert_eq!(name_measure("narrowest waist girth").unwrap().remark, None);
    }

    #[test]
    fn near_misses() {
        assert_eq!(nearest("bust_grith"), Some("bust_girth"));
        assert_eq!(nearest("hipp"), Some("hip_girth"));
        assert_eq!(nearest("underbst girth"), Some("under_bust_girth"));
        assert_eq!(nearest("favourite colour"), None);
        assert_eq!(nearest(&"x".repeat(100_000)), None);
    }
}
