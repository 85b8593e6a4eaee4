//! What landmarks are called: in files, by people, and in the open standard for human figures.

use super::LandmarkKey;
use crate::naming::{MAX_CHARS, nearest, plain, split_side};
use crate::side::Side;
use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::Error as Unknown;

impl LandmarkKey {
    /// Every landmark, in the order of reports.
    pub const ALL: &[Self] = &[
        Self::Vertex,
        Self::BackNeckPoint,
        Self::FrontNeckPoint,
        Self::SideNeckPoint,
        Self::ShoulderPoint,
        Self::Armpit,
        Self::BustPoint,
        Self::UnderBust,
        Self::WaistNarrowest,
        Self::LowestRib,
        Self::HipBone,
        Self::WaistMidway,
        Self::Navel,
        Self::Belly,
        Self::HighHip,
        Self::Hip,
        Self::Crotch,
        Self::GlutealFold,
        Self::Knee,
        Self::Calf,
        Self::Ankle,
        Self::AnkleBone,
        Self::Elbow,
        Self::Wrist,
    ];

    /// True if there is one on either side.
    #[must_use]
    pub const fn is_paired(self) -> bool {
        match self {
            Self::SideNeckPoint
            | Self::ShoulderPoint
            | Self::Armpit
            | Self::BustPoint
            | Self::LowestRib
            | Self::HipBone
            | Self::GlutealFold
            | Self::Knee
            | Self::Calf
            | Self::Ankle
            | Self::AnkleBone
            | Self::Elbow
            | Self::Wrist => true,
            Self::Vertex
            | Self::BackNeckPoint
            | Self::FrontNeckPoint
            | Self::UnderBust
            | Self::WaistNarrowest
            | Self::WaistMidway
            | Self::Navel
            | Self::Belly
            | Self::HighHip
            | Self::Hip
            | Self::Crotch => false,
        }
    }

    /// The sides it has: left and right, or neither.
    #[must_use]
    pub const fn sides(self) -> &'static [Option<Side>] {
        Side::of_pair(self.is_paired())
    }

    /// The landmarks it is worked out from, where the shape is not asked: their midpoint.
    #[must_use]
    pub const fn made_of(self) -> &'static [Self] {
        match self {
            Self::HighHip => &[Self::WaistNarrowest, Self::Hip],
            Self::WaistMidway => &[Self::LowestRib, Self::HipBone],
            _ => &[],
        }
    }

    /// Its name in ISO/IEC 19774 (HAnim), if that standard has the same point; `l_` and `r_` are
    /// the wearer's left and right.
    ///
    /// Names as in the enumeration of a public X3D package, not the standard's own text. Levels of
    /// a girth and forks of the skin (waist, hip, armpit, knee, wrist, …) have no name of their own
    /// there, so they have none here.
    #[must_use]
    pub fn hanim(self, side: Option<Side>) -> Option<String> {
        let name = match self {
            Self::Vertex => "skull_vertex",
            Self::BackNeckPoint => "cervicale",
            Self::SideNeckPoint => "neck_base",
            Self::ShoulderPoint => "acromion",
            Self::BustPoint => "thelion",
            Self::LowestRib => "rib10",
            Self::HipBone => "iliocristale",
            Self::Navel => "navel",
            Self::AnkleBone => "lateral_malleolus",
            Self::Crotch => "crotch",
            _ => return None,
        };
        match side {
            Some(side) if self.is_paired() => {
                let letter = if side == Side::Left { 'l' } else { 'r' };
                Some(format!("{letter}_{name}"))
            }
            None if !self.is_paired() => Some(name.to_owned()),
            _ => None,
        }
    }

    /// The landmark of a key as written in files: `bust_point`.
    #[must_use]
    pub fn from_text(text: &str) -> Option<Self> {
        let read: Result<Self, Unknown> = Self::deserialize(text.into_deserializer());
        read.ok()
    }

    /// The landmark and side a text names: key or name, with or without the side before it.
    ///
    /// Case, spaces, dashes and underscores do not matter. `None` if there is no such landmark.
    ///
    /// # Examples
    /// ```
    /// use girthwise::{Side, landmark::LandmarkKey};
    /// let knee = LandmarkKey::named("Left Knee");
    /// assert_eq!(knee, Some((LandmarkKey::Knee, Some(Side::Left))));
    /// assert_eq!(LandmarkKey::named("left waist"), None);
    /// ```
    #[must_use]
    pub fn named(text: &str) -> Option<(Self, Option<Side>)> {
        if text.chars().count() > MAX_CHARS {
            return None;
        }
        let text = plain(text);
        if let Some(key) = Self::lookup(&text) {
            return Some((key, None));
        }
        let (side, rest) = split_side(&text)?;
        let key = Self::lookup(rest).filter(|key| key.is_paired())?;
        Some((key, Some(side)))
    }

    /// The name that comes closest to a text that names none, if one comes close.
    #[must_use]
    pub fn nearest_name(text: &str) -> Option<String> {
        let whole = plain(text);
        let (side, rest) = match split_side(&whole) {
            Some((side, rest)) => (Some(side), rest),
            None => (None, whole.as_str()),
        };
        let names = Self::ALL.iter().map(|key| (key.name(), key));
        let trade = TRADE.iter().map(|(name, key)| (*name, key));
        let key = *nearest(rest, names.chain(trade))?;
        Some(match side {
            Some(side) if key.is_paired() => format!("{side} {}", key.name()),
            _ => key.name().to_owned(),
        })
    }

    fn lookup(plain_text: &str) -> Option<Self> {
        let of_name = Self::ALL.iter().find(|key| key.name() == plain_text);
        let of_trade = TRADE.iter().find(|(name, _)| *name == plain_text);
        let of_key = || Self::from_text(&plain_text.replace(' ', "_"));
        of_name
            .copied()
            .or(of_trade.map(|&(_, key)| key))
            .or_else(of_key)
    }
}

/// What people call them besides (common practice, no source).
const TRADE: &[(&str, LandmarkKey)] = &[
    ("ankle", LandmarkKey::Ankle),
    ("bust level", LandmarkKey::BustPoint),
    ("crotch", LandmarkKey::Crotch),
    ("fold under the seat", LandmarkKey::GlutealFold),
    ("high hip", LandmarkKey::HighHip),
    ("hip", LandmarkKey::Hip),
    ("nape", LandmarkKey::BackNeckPoint),
    ("underbust", LandmarkKey::UnderBust),
    ("under bust level", LandmarkKey::UnderBust),
    ("waist", LandmarkKey::WaistNarrowest),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// The reader of the enum lists its variants when it meets an unknown one.
    #[test]
    fn all_are_listed_in_order() {
        let error = serde_json::from_str::<LandmarkKey>("\"no\"").unwrap_err();
        let texts: Vec<String> = LandmarkKey::ALL
            .iter()
            .map(|key| serde_json::to_string(key).unwrap().replace('"', "`"))
            .collect();
        let said = error.to_string();
        let said = said.split("expected one of ").nth(1).unwrap();
        assert!(said.starts_with(&texts.join(", ")), "{said}");
        assert_eq!(said.matches('`').count(), 2 * texts.len(), "{said}");
        assert!(LandmarkKey::ALL.is_sorted());
    }

    #[test]
    fn keys_names_and_trade_names_are_understood() {
        for &key in LandmarkKey::ALL {
            let text = serde_json::to_value(key).unwrap();
            for text in [text.as_str().unwrap(), key.name()] {
                assert_eq!(LandmarkKey::named(text), Some((key, None)), "{text}");
            }
            let right = LandmarkKey::named(&format!("r {}", key.name()));
            let paired = key.is_paired().then_some((key, Some(Side::Right)));
            assert_eq!(right, paired, "{key:?}");
        }
        assert_eq!(LandmarkKey::named("waste"), None);
        let near = LandmarkKey::nearest_name;
        assert_eq!(near("left kneee").as_deref(), Some("left knee"));
        assert_eq!(near("narowest waist").as_deref(), Some("narrowest waist"));
        assert_eq!(near("favourite colour"), None);
    }

    /// ISO/IEC 19774 names as the enumeration of a public X3D package has them.
    #[test]
    fn names_of_the_open_standard() {
        use LandmarkKey as L;
        let of = |key: L, side| key.hanim(side);
        assert_eq!(of(L::Vertex, None).as_deref(), Some("skull_vertex"));
        assert_eq!(of(L::BackNeckPoint, None).as_deref(), Some("cervicale"));
        let left = of(L::ShoulderPoint, Some(Side::Left));
        assert_eq!(left.as_deref(), Some("l_acromion"));
        let right = of(L::BustPoint, Some(Side::Right));
        assert_eq!(right.as_deref(), Some("r_thelion"));
        assert_eq!(of(L::BustPoint, None), None);
        assert_eq!(of(L::Hip, None), None);
    }
}
