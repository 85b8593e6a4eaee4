//! The rows of the catalogue. In each: key, key as written, name, how it is taken, one or a pair,
//! ISO 20685-1 class, posture, ISO 8559-1 term, landmarks; definition; how to take it by tape.

use super::{Definition, ErrorClass, Mode, Posture};
use crate::landmark::LandmarkKey;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

macro_rules! catalogue {
    ($( $key:ident $text:literal, $name:literal, $mode:ident, $paired:ident, $class:ident,
        $posture:ident, $iso:literal, [$( $mark:ident ),*], $definition:literal, $tape:literal; )*) => {
        /// Key of a measure. Its row in [`CATALOGUE`] says what it means.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[non_exhaustive]
        pub enum Key {
            $( #[doc = $definition] #[serde(rename = $text)] $key, )*
        }

        /// Every measure, in the order of reports.
        pub const CATALOGUE: &[Definition] = &[
            $( Definition {
                key: Key::$key, text: $text, name: $name, mode: Mode::$mode,
                paired: catalogue!(@paired $paired), class: ErrorClass::$class,
                posture: Posture::$posture, iso: $iso, marks: &[$( LandmarkKey::$mark ),*],
                definition: $definition, tape: $tape,
            }, )*
        ];
    };
    (@paired pair) => { true };
    (@paired one) => { false };
}

catalogue! {
    Stature "stature", "stature", Height, one, Height, Standing, "stature", [Vertex],
        "Floor to the highest point of the head.",
        "Stand barefoot with your back to a wall, lay a book level on your head, mark the wall and measure down to the floor.";
    BackNeckHeight "back_neck_height", "back neck height", Height, one, Height, Standing, "back neck height", [BackNeckPoint],
        "Floor to the back neck point (cervicale), as far as the skin shows it: the bend where the neck meets the back.",
        "Bend your head to feel the bone at the base of the neck, straighten up, and measure from it down to the floor.";
    FrontNeckHeight "front_neck_height", "front neck height", Height, one, Height, Standing, "", [FrontNeckPoint],
        "Floor to the front neck point: the pit of the throat, where the midline in front lies farthest back between breastbone and chin.",
        "Feel for the pit at the base of the throat and measure from it down to the floor.";
    SideNeckHeight "side_neck_height", "side neck height", Height, pair, Height, Standing, "", [SideNeckPoint],
        "Floor to the side neck point, where the side of the neck turns into the shoulder line.",
        "";
    ShoulderHeight "shoulder_height", "shoulder height", Height, pair, Height, Standing, "shoulder height", [ShoulderPoint],
        "Floor to the shoulder point (acromion), as far as the skin shows it: where the shoulder line turns down into the arm.",
        "Feel for the flat bone at the end of the shoulder and measure from it down to the floor.";
    ArmpitHeight "armpit_height", "armpit height", Height, pair, Height, Standing, "armpit height", [Armpit],
        "Floor to the highest level at which the arm is apart from the trunk.",
        "Hold a ruler level in the armpit and measure from its upper edge down to the floor.";
    BustHeight "bust_height", "bust height", Height, one, Height, Standing, "bust height", [BustPoint],
        "Floor to the bust level: the mean height of the two bust points.",
        "Measure from the bust point straight down to the floor, tape hanging free.";
    BustPointHeight "bust_point_height", "bust point height", Height, pair, Height, Standing, "", [BustPoint],
        "Floor to the bust point: the most forward point of the chest on that side.",
        "Measure from the bust point straight down to the floor, tape hanging free.";
    UnderBustHeight "under_bust_height", "under-bust height", Height, one, Height, Standing, "under-bust height", [UnderBust],
        "Floor to the under-bust level: the lower fold of the bust.",
        "Measure from the lower edge of the bra band at the front down to the floor.";
    WaistNarrowestHeight "waist_narrowest_height", "narrowest waist height", Height, one, Height, Standing, "", [WaistNarrowest],
        "Floor to the narrowest waist: the level of the least taut trunk girth between under-bust and hip. Not the ISO 8559-1 waist (midway between lowest rib and hip bone), not the navel.",
        "Tie a thin elastic round the waist, let it settle where you are narrowest, and measure from it down to the floor.";
    LowestRibHeight "lowest_rib_height", "lowest rib height", Height, pair, Height, Standing, "", [LowestRib],
        "Floor to the lowest rib at the side, as far as the skin shows it: the hardest outward turn of the flank above its hollow.",
        "Feel for the lowest edge of the ribs at the side while breathing quietly and measure from it down to the floor.";
    HipBoneHeight "hip_bone_height", "hip bone height", Height, pair, Height, Standing, "", [HipBone],
        "Floor to the top of the hip bone at the side, as far as the skin shows it: the hardest outward turn of the flank below its hollow.",
        "Feel for the upper edge of the hip bone at the side and measure from it down to the floor.";
    WaistMidwayHeight "waist_midway_height", "waist height, midway between rib and hip bone", Height, one, Height, Standing, "waist height", [WaistMidway],
        "Floor to the waist level midway between the lowest rib and the top of the hip bone, as far as the skin shows them.",
        "Feel for the lowest rib and the top of the hip bone at the side, mark the middle between them and measure from it down to the floor.";
    NavelHeight "navel_height", "navel height", Height, one, Height, Standing, "", [Navel],
        "Floor to the middle of the navel.",
        "Measure from the middle of the navel down to the floor.";
    BellyHeight "belly_height", "belly height", Height, one, Height, Standing, "", [Belly],
        "Floor to the level at which the belly stands out most, between crotch and under-bust.",
        "Find from the side the level at which the belly stands out most and measure from it down to the floor.";
    HighHipHeight "high_hip_height", "high hip height", Height, one, Height, Standing, "", [HighHip],
        "Floor to the high hip level: midway between narrowest waist and hip level.",
        "Measure from the level halfway between waist and hip down to the floor.";
    HipHeight "hip_height", "hip height", Height, one, Height, Standing, "hip height", [Hip],
        "Floor to the hip level: the greatest rearward projection of the seat.",
        "Find the level where the seat stands out most and measure from it down to the floor.";
    CrotchHeight "crotch_height", "crotch height", Height, one, Height, FeetApart, "crotch height", [Crotch],
        "Floor to the crotch level: the highest level at which the legs are apart.",
        "Hold a book level between the legs, firmly up, and measure from its top edge down to the floor.";
    GlutealFoldHeight "gluteal_fold_height", "gluteal fold height", Height, pair, Height, Standing, "", [GlutealFold],
        "Floor to the fold under the seat, behind the middle of the leg: where the underside of the seat turns into the thigh.",
        "Feel for the fold under the seat and measure from it down to the floor.";
    KneeHeight "knee_height", "knee height", Height, pair, Height, FeetApart, "knee height", [Knee],
        "Floor to the middle of the knee, as far as the shape of the leg shows it.",
        "Measure from the middle of the kneecap down to the floor.";
    CalfHeight "calf_height", "calf height", Height, pair, Height, FeetApart, "", [Calf],
        "Floor to the level of the greatest girth of the lower leg.",
        "";
    AnkleHeight "ankle_height", "ankle girth height", Height, pair, Height, FeetApart, "", [Ankle],
        "Floor to the level of the least girth of the leg, above the ankle bones.",
        "";
    AnkleBoneHeight "ankle_bone_height", "ankle bone height", Height, pair, Height, FeetApart, "ankle height", [AnkleBone],
        "Floor to the outer ankle bone: 0.003 of the stature below the level at which the ankle, beside the heel, is broadest over its two bones.",
        "Measure from the middle of the outer ankle bone down to the floor.";
    WristHeight "wrist_height", "wrist height", Height, pair, Height, Standing, "", [Wrist],
        "Floor to the wrist: the least girth of the arm above the hand.",
        "";
    UpperChestGirth "upper_chest_girth", "upper chest girth", Taut, one, LargeGirth, Standing, "upper chest girth", [Armpit],
        "Taut girth of the trunk, level, right under the lower armpit, above the fullest part of the bust.",
        "Run the tape high under both arms, over the shoulder blades and above the bust, arms down; breathe out, then read.";
    ChestGirth "chest_girth", "greatest chest girth", Taut, one, LargeGirth, Standing, "chest girth", [BustPoint, UnderBust, Armpit],
        "Greatest taut girth of the trunk, level, from the under-bust level, or 0.03 of the stature below the bust level where no fold shows, up to right under the lower armpit; none where the trunk only gets larger downwards.",
        "Run the tape level under both arms and over the shoulder blades where the chest is fullest; breathe out, then read.";
    BustGirth "bust_girth", "bust girth", Taut, one, LargeGirth, Standing, "bust girth", [BustPoint],
        "Taut girth of the trunk, level, through the bust points.",
        "Run the tape level round the fullest part of the bust and across the back, arms down, without pulling; breathe out, then read.";
    UnderBustGirth "under_bust_girth", "under-bust girth", Taut, one, LargeGirth, Standing, "under-bust girth", [UnderBust],
        "Taut girth of the trunk, level, at the under-bust level.",
        "Run the tape level round the ribs right under the bust; breathe out, then read.";
    WaistNarrowestGirth "waist_narrowest_girth", "narrowest waist girth", Taut, one, LargeGirth, Standing, "", [WaistNarrowest],
        "Least taut girth of the trunk between under-bust and hip.",
        "Bend to one side to find the crease, stand straight, run the tape level there without pulling in; breathe out, then read.";
    WaistMidwayGirth "waist_midway_girth", "waist girth, midway between rib and hip bone", Taut, one, LargeGirth, Standing, "waist girth", [WaistMidway],
        "Taut girth of the trunk, level, midway between the lowest rib and the top of the hip bone, as far as the skin shows them.",
        "Feel for the lowest rib and the top of the hip bone at the side and run the tape level halfway between them; breathe out, then read.";
    NavelGirth "navel_girth", "girth at the navel", Taut, one, LargeGirth, Standing, "", [Navel],
        "Taut girth of the trunk, level, at the navel.",
        "Run the tape level round the trunk over the navel, without pulling in; breathe out, then read.";
    BellyGirth "belly_girth", "belly girth", Taut, one, LargeGirth, Standing, "", [Belly],
        "Taut girth of the trunk, level, where the belly stands out most.",
        "Find from the side the level at which the belly stands out most and run the tape level there; breathe out, then read.";
    HighHipGirth "high_hip_girth", "high hip girth", Taut, one, LargeGirth, Standing, "high hip girth", [HighHip],
        "Taut girth of the trunk, level, midway between narrowest waist and hip level.",
        "Run the tape level halfway between waist and hip.";
    HipGirth "hip_girth", "hip girth", Taut, one, LargeGirth, Standing, "hip girth", [Hip],
        "Taut girth, level, where the seat stands out most; hollows bridged.",
        "Feet together, run the tape level round the fullest part of the seat.";
    HeadGirth "head_girth", "head girth", Taut, one, Head, Standing, "head girth", [Vertex],
        "Greatest taut girth of the head, level, above ears and brows, hair included as it was scanned.",
        "Run the tape level round the fullest part of the head, just above ears and brows, over the hair.";
    ShoulderGirth "shoulder_girth", "shoulder girth", Taut, one, LargeGirth, Standing, "shoulder girth", [ShoulderPoint],
        "Greatest taut girth, level, round trunk and both upper arms, arms hanging, at most 0.075 of the stature below the shoulder points.",
        "Arms hanging, run the tape level round both upper arms where the shoulders are fullest.";
    NeckGirth "neck_girth", "neck girth", TautSquare, one, SmallGirth, Standing, "neck girth", [],
        "Least taut girth of the neck, square to the neck's axis.",
        "Lay the tape round the middle of the neck, just below the Adam's apple, one finger under the tape.";
    NeckBaseGirth "neck_base_girth", "neck base girth", Surface, one, SmallGirth, Standing, "neck base girth", [BackNeckPoint, SideNeckPoint, FrontNeckPoint],
        "Round the base of the neck: the shortest way over the skin from the back neck point over a side neck point, the front neck point and the other side neck point back to it.",
        "Lay a thin chain round the base of the neck so that it passes the bone behind and the pit of the throat, and measure the chain.";
    ArmscyeGirth "armscye_girth", "armscye girth", Surface, pair, LargeGirth, Standing, "armscye girth", [ShoulderPoint, Armpit],
        "Round the root of the arm: the shortest ways over the skin from the shoulder point to the folds in front of and behind the arm, and straight from fold to fold, 10 mm over the top of the armpit.",
        "Arm hanging, run the tape over the bone at the shoulder's end, down in front and behind, and through the armpit without pulling.";
    UpperArmGirth "upper_arm_girth", "upper arm girth", TautSquare, pair, SmallGirth, Standing, "upper arm girth", [ShoulderPoint, Elbow],
        "Taut girth of the arm, square to its axis, midway between shoulder point and elbow, but at least two fingers below the armpit, arm hanging.",
        "Arm relaxed, run the tape square round the arm halfway between shoulder point and elbow.";
    ElbowGirth "elbow_girth", "elbow girth", TautSquare, pair, SmallGirth, ArmBent, "", [Elbow],
        "Taut girth of the arm, square to its axis, at the elbow, arm as it was scanned.",
        "Arm a little bent, run the tape square round the elbow.";
    ForearmGirth "forearm_girth", "forearm girth", TautSquare, pair, SmallGirth, Standing, "forearm girth", [Elbow, Wrist],
        "Greatest taut girth of the arm below the elbow, square to its axis.",
        "Run the tape square round the fullest part of the forearm.";
    WristGirth "wrist_girth", "wrist girth", TautSquare, pair, SmallGirth, Standing, "wrist girth", [Wrist],
        "Least taut girth of the arm next to the hand, square to its axis.",
        "Run the tape round the wrist just above the hand, over the bone.";
    HandGirth "hand_girth", "hand girth", TautSquare, pair, SmallGirth, Standing, "hand girth", [Wrist],
        "Greatest taut girth of the palm over the knuckles, thumb left out, square to the hand: in the middle half of the way from the thumb's cleft to the fingers'.",
        "Hold the hand flat, fingers together and thumb away, and run the tape square round the palm over the knuckles.";
    ThighGirth "thigh_girth", "thigh girth", Taut, pair, LargeGirth, FeetApart, "thigh girth", [Crotch],
        "Taut girth of the leg, level, 20 mm below the crotch level.",
        "Feet a little apart, run the tape level round the thigh two fingers below the crotch.";
    ThighFoldGirth "thigh_fold_girth", "thigh girth at the gluteal fold", Taut, pair, LargeGirth, FeetApart, "", [GlutealFold, Crotch],
        "Taut girth of the leg, level, at the fold under the seat; none where the fold lies above the level at which the legs part.",
        "Feet a little apart, run the tape level round the thigh in the fold under the seat.";
    MidThighGirth "mid_thigh_girth", "mid-thigh girth", Taut, pair, LargeGirth, FeetApart, "mid-thigh girth", [Crotch, Knee],
        "Taut girth of the leg, level, midway between crotch level and knee height.",
        "Feet a little apart, run the tape level round the thigh halfway between crotch and kneecap.";
    KneeGirth "knee_girth", "knee girth", Taut, pair, SmallGirth, FeetApart, "knee girth", [Knee],
        "Taut girth of the leg, level, at knee height, leg straight.",
        "Leg straight, run the tape level round the middle of the kneecap.";
    LowerKneeGirth "lower_knee_girth", "lower knee girth", Taut, pair, SmallGirth, FeetApart, "lower knee girth", [Knee, Calf],
        "Taut girth of the leg, level, just under the kneecap: the least between knee and calf, or 0.025 of the stature below the knee where there is no least.",
        "Feet a little apart, run the tape level round the leg just under the kneecap.";
    CalfGirth "calf_girth", "calf girth", Taut, pair, SmallGirth, FeetApart, "calf girth", [Calf],
        "Greatest taut girth of the lower leg, level.",
        "Run the tape level round the fullest part of the calf.";
    AnkleGirth "ankle_girth", "ankle girth", Taut, pair, SmallGirth, FeetApart, "minimum leg girth", [Ankle],
        "Least taut girth of the leg, level, above the ankle bones.",
        "Run the tape level round the thinnest part of the leg, just above the ankle bones.";
    AnkleBoneGirth "ankle_bone_girth", "ankle girth over the bones", Taut, pair, SmallGirth, FeetApart, "ankle girth", [AnkleBone],
        "Taut girth, level, over the outer ankle bone: round heel cord and instep as they lie at that level.",
        "Foot on the floor, run the tape level over the middle of the outer ankle bone and round.";
    HeelGirth "heel_girth", "heel and instep girth", TautPath, pair, SmallGirth, FeetApart, "", [],
        "Least taut girth over the back lower end of the heel and the bend of the instep: what a closed hem must let through.",
        "Foot on the floor, heel just lifted, run the tape under the back of the heel and over the bend of the instep, as tight as it will go.";
    UpperChestGirthSurface "upper_chest_girth_surface", "upper chest girth along the skin", Surface, one, LargeGirth, Standing, "", [Armpit],
        "Girth of the trunk along the skin where the upper chest girth is taken.", "";
    ChestGirthSurface "chest_girth_surface", "greatest chest girth along the skin", Surface, one, LargeGirth, Standing, "", [BustPoint, UnderBust, Armpit],
        "Girth of the trunk along the skin where the greatest chest girth is taken.", "";
    BustGirthSurface "bust_girth_surface", "bust girth along the skin", Surface, one, LargeGirth, Standing, "", [BustPoint],
        "Girth of the trunk along the skin, level, through the bust points.", "";
    UnderBustGirthSurface "under_bust_girth_surface", "under-bust girth along the skin", Surface, one, LargeGirth, Standing, "", [UnderBust],
        "Girth of the trunk along the skin, level, at the under-bust level.", "";
    WaistNarrowestGirthSurface "waist_narrowest_girth_surface", "narrowest waist girth along the skin", Surface, one, LargeGirth, Standing, "", [WaistNarrowest],
        "Girth along the skin at the narrowest waist.", "";
    WaistMidwayGirthSurface "waist_midway_girth_surface", "waist girth along the skin, midway between rib and hip bone", Surface, one, LargeGirth, Standing, "", [WaistMidway],
        "Girth along the skin midway between the lowest rib and the top of the hip bone.", "";
    NavelGirthSurface "navel_girth_surface", "girth at the navel along the skin", Surface, one, LargeGirth, Standing, "", [Navel],
        "Girth along the skin at the navel.", "";
    BellyGirthSurface "belly_girth_surface", "belly girth along the skin", Surface, one, LargeGirth, Standing, "", [Belly],
        "Girth along the skin where the belly stands out most.", "";
    HighHipGirthSurface "high_hip_girth_surface", "high hip girth along the skin", Surface, one, LargeGirth, Standing, "", [HighHip],
        "Girth along the skin at the high hip level.", "";
    HipGirthSurface "hip_girth_surface", "hip girth along the skin", Surface, one, LargeGirth, Standing, "", [Hip],
        "Girth along the skin at the hip level, seat cleft included.", "";
    NeckGirthSurface "neck_girth_surface", "neck girth along the skin", Surface, one, SmallGirth, Standing, "", [],
        "Girth along the skin where the neck girth is taken.", "";
    UpperArmGirthSurface "upper_arm_girth_surface", "upper arm girth along the skin", Surface, pair, SmallGirth, Standing, "", [ShoulderPoint, Elbow],
        "Girth along the skin where the upper arm girth is taken.", "";
    ElbowGirthSurface "elbow_girth_surface", "elbow girth along the skin", Surface, pair, SmallGirth, Standing, "", [Elbow],
        "Girth along the skin where the elbow girth is taken.", "";
    ForearmGirthSurface "forearm_girth_surface", "forearm girth along the skin", Surface, pair, SmallGirth, Standing, "", [Elbow, Wrist],
        "Girth along the skin where the forearm girth is taken.", "";
    WristGirthSurface "wrist_girth_surface", "wrist girth along the skin", Surface, pair, SmallGirth, Standing, "", [Wrist],
        "Girth along the skin where the wrist girth is taken.", "";
    ThighGirthSurface "thigh_girth_surface", "thigh girth along the skin", Surface, pair, LargeGirth, FeetApart, "", [Crotch],
        "Girth along the skin where the thigh girth is taken.", "";
    ThighFoldGirthSurface "thigh_fold_girth_surface", "thigh girth at the gluteal fold along the skin", Surface, pair, LargeGirth, FeetApart, "", [GlutealFold, Crotch],
        "Girth along the skin where the thigh girth at the gluteal fold is taken.", "";
    MidThighGirthSurface "mid_thigh_girth_surface", "mid-thigh girth along the skin", Surface, pair, LargeGirth, FeetApart, "", [Crotch, Knee],
        "Girth along the skin where the mid-thigh girth is taken.", "";
    KneeGirthSurface "knee_girth_surface", "knee girth along the skin", Surface, pair, SmallGirth, FeetApart, "", [Knee],
        "Girth along the skin where the knee girth is taken.", "";
    LowerKneeGirthSurface "lower_knee_girth_surface", "lower knee girth along the skin", Surface, pair, SmallGirth, FeetApart, "", [Knee, Calf],
        "Girth along the skin where the lower knee girth is taken.", "";
    CalfGirthSurface "calf_girth_surface", "calf girth along the skin", Surface, pair, SmallGirth, FeetApart, "", [Calf],
        "Girth along the skin where the calf girth is taken.", "";
    AnkleGirthSurface "ankle_girth_surface", "ankle girth along the skin", Surface, pair, SmallGirth, FeetApart, "", [Ankle],
        "Girth along the skin where the ankle girth is taken.", "";
    AnkleBoneGirthSurface "ankle_bone_girth_surface", "ankle girth over the bones along the skin", Surface, pair, SmallGirth, FeetApart, "", [AnkleBone],
        "Girth along the skin where the ankle girth over the bones is taken.", "";
    BustHalfGirth "bust_half_girth", "half bust girth", Taut, pair, None, Standing, "", [BustPoint],
        "Share of the taut bust girth on that side of the midline: drawn from the mid-sagittal plane towards the furrow of spine, seat or breastbone where the tape bridges one.", "";
    WaistNarrowestHalfGirth "waist_narrowest_half_girth", "half narrowest waist girth", Taut, pair, None, Standing, "", [WaistNarrowest],
        "Share of the taut narrowest waist girth on that side of the midline: drawn from the mid-sagittal plane towards the furrow of spine, seat or breastbone where the tape bridges one.", "";
    HipHalfGirth "hip_half_girth", "half hip girth", Taut, pair, None, Standing, "", [Hip],
        "Share of the taut hip girth on that side of the midline: drawn from the mid-sagittal plane towards the furrow of spine, seat or breastbone where the tape bridges one.", "";
    BustFrontArc "bust_front_arc", "bust front arc", Taut, one, None, Standing, "", [BustPoint, WaistNarrowest],
        "Share of the taut bust girth before the side line: the upright plane, square to the mid-sagittal one, through the middle of the depth at the narrowest waist.",
        "Pin a tape or thread straight down from the middle of each armpit; measure across the fullest part of the bust from one to the other, in front.";
    BustBackArc "bust_back_arc", "bust back arc", Taut, one, None, Standing, "", [BustPoint, WaistNarrowest],
        "Share of the taut bust girth behind the side line: the upright plane, square to the mid-sagittal one, through the middle of the depth at the narrowest waist.",
        "Pin a tape or thread straight down from the middle of each armpit; measure across the fullest part of the bust from one to the other, behind.";
    WaistNarrowestFrontArc "waist_narrowest_front_arc", "narrowest waist front arc", Taut, one, None, Standing, "", [WaistNarrowest],
        "Share of the taut narrowest waist girth before the side line: the upright plane, square to the mid-sagittal one, through the middle of the depth at the narrowest waist.",
        "Pin a tape or thread straight down from the middle of each armpit; measure across the narrowest waist from one to the other, in front.";
    WaistNarrowestBackArc "waist_narrowest_back_arc", "narrowest waist back arc", Taut, one, None, Standing, "", [WaistNarrowest],
        "Share of the taut narrowest waist girth behind the side line: the upright plane, square to the mid-sagittal one, through the middle of the depth at the narrowest waist.",
        "Pin a tape or thread straight down from the middle of each armpit; measure across the narrowest waist from one to the other, behind.";
    HighHipFrontArc "high_hip_front_arc", "high hip front arc", Taut, one, None, Standing, "", [HighHip, WaistNarrowest],
        "Share of the taut high hip girth before the side line: the upright plane, square to the mid-sagittal one, through the middle of the depth at the narrowest waist.",
        "Pin a tape or thread straight down from the middle of each armpit; measure across the high hip level from one to the other, in front.";
    HighHipBackArc "high_hip_back_arc", "high hip back arc", Taut, one, None, Standing, "", [HighHip, WaistNarrowest],
        "Share of the taut high hip girth behind the side line: the upright plane, square to the mid-sagittal one, through the middle of the depth at the narrowest waist.",
        "Pin a tape or thread straight down from the middle of each armpit; measure across the high hip level from one to the other, behind.";
    HipFrontArc "hip_front_arc", "hip front arc", Taut, one, None, Standing, "", [Hip, WaistNarrowest],
        "Share of the taut hip girth before the side line: the upright plane, square to the mid-sagittal one, through the middle of the depth at the narrowest waist.",
        "Pin a tape or thread straight down from the middle of each armpit; measure across the hip level from one to the other, in front.";
    HipBackArc "hip_back_arc", "hip back arc", Taut, one, None, Standing, "", [Hip, WaistNarrowest],
        "Share of the taut hip girth behind the side line: the upright plane, square to the mid-sagittal one, through the middle of the depth at the narrowest waist.",
        "Pin a tape or thread straight down from the middle of each armpit; measure across the hip level from one to the other, behind.";
    ShoulderPointBreadth "shoulder_point_breadth", "breadth between the shoulder points", Breadth, one, Breadth, Standing, "", [ShoulderPoint],
        "Straight distance between the two shoulder points, as far as the skin shows them.", "";
    ShoulderBreadth "shoulder_breadth", "greatest shoulder breadth", Breadth, one, Breadth, Standing, "", [ShoulderPoint],
        "Greatest left-to-right extent over both upper arms, arms hanging, at most 0.075 of the stature below the shoulder points.", "";
    BustBreadth "bust_breadth", "bust breadth", Breadth, one, Breadth, Standing, "", [BustPoint],
        "Greatest left-to-right extent of the trunk at the bust level.", "";
    WaistNarrowestBreadth "waist_narrowest_breadth", "narrowest waist breadth", Breadth, one, Breadth, Standing, "", [WaistNarrowest],
        "Greatest left-to-right extent of the trunk at the narrowest waist.", "";
    HipBreadth "hip_breadth", "hip breadth", Breadth, one, Breadth, Standing, "hip breadth", [Hip],
        "Greatest left-to-right extent at the hip level.", "";
    BustDepth "bust_depth", "bust depth", Depth, one, Depth, Standing, "chest depth", [BustPoint],
        "Greatest front-to-back extent of the trunk at the bust level.", "";
    WaistNarrowestDepth "waist_narrowest_depth", "narrowest waist depth", Depth, one, Depth, Standing, "", [WaistNarrowest],
        "Greatest front-to-back extent of the trunk at the narrowest waist.", "";
    BellyDepth "belly_depth", "belly depth", Depth, one, Depth, Standing, "", [Belly],
        "Greatest front-to-back extent of the trunk where the belly stands out most.", "";
    HipDepth "hip_depth", "hip depth", Depth, one, Depth, Standing, "hip depth", [Hip],
        "Greatest front-to-back extent at the hip level.", "";
    BustPointSpread "bust_point_spread", "bust point spread", Breadth, one, None, Standing, "bust point to bust point", [BustPoint],
        "Straight distance between the two bust points, the hollow bridged.",
        "Measure straight across from bust point to bust point, without following the hollow.";
    BustVolume "bust_volume", "bust volume", Volume, pair, None, Standing, "", [BustPoint, UnderBust],
        "Space on that side between the skin of the chest and straight lines from the under-bust level up to 0.76 of the stature, the level of hanging armpits, in upright planes through the trunk's axis, from the breastbone to 66 degrees aside. Less than all of the breast: what lies above, aside and behind these lines is not held.", "";
    BustProjection "bust_projection", "bust projection", Depth, pair, None, Standing, "", [BustPoint, UnderBust],
        "How far the bust point stands straight before the lines that the bust volume is taken over.", "";
    ShoulderLength "shoulder_length", "shoulder length", TautPath, pair, SegmentLength, Standing, "shoulder length", [SideNeckPoint, ShoulderPoint],
        "From side neck point to shoulder point along the top of the shoulder.",
        "Measure from where the neck meets the shoulder line out to the bone at the shoulder's end.";
    ShoulderSlope "shoulder_slope", "shoulder slope", Angle, pair, None, Standing, "shoulder slope", [SideNeckPoint, ShoulderPoint],
        "Angle below level of the line from side neck point to shoulder point.", "";
    ShoulderForward "shoulder_forward", "shoulder point before the side neck point", Offset, pair, None, Standing, "", [SideNeckPoint, ShoulderPoint],
        "How far the shoulder point lies before the upright plane, square to the mid-sagittal one, through the side neck point; negative if behind. Each is taken at the middle of the skin's top from front to back, 0.005 of the stature below its highest.",
        "Hold a ruler level straight out to the side from where the neck meets the shoulder line, square to the way you face. Look straight down on it and measure from its edge forward to the bone at the shoulder's end; leave it out if the bone lies behind the edge.";
    NeckToBustLength "neck_to_bust_length", "side neck to bust point", TautPath, pair, SegmentLength, Standing, "side neck point to bust point", [SideNeckPoint, BustPoint],
        "From the side neck point down over the chest to the bust point, in the upright plane through both, hollows bridged.",
        "Measure from where the neck meets the shoulder line straight down to the bust point.";
    AcrossBackShoulderWidth "across_back_shoulder_width", "across back shoulder width", Surface, one, SegmentLength, Standing, "across back shoulder width", [ShoulderPoint, BackNeckPoint],
        "Over the skin by the shortest way from shoulder point to back neck point and on to the other shoulder point.",
        "Measure from the bone at one shoulder's end over the bone at the base of the neck to the other shoulder's end.";
    AcrossBackWidth "across_back_width", "across back width", TautPath, one, SegmentLength, Standing, "across back width", [ShoulderPoint, Armpit],
        "Level and taut over the back between the plumb lines through the two shoulder points, halfway from shoulder points to armpits.",
        "Measure level across the back, from where one arm begins to where the other does, halfway between shoulder bone and armpit.";
    AcrossFrontWidth "across_front_width", "across front width", TautPath, one, SegmentLength, Standing, "across front width", [ShoulderPoint, Armpit],
        "Level and taut over the breast between the plumb lines through the two shoulder points, halfway from shoulder points to armpits.",
        "Measure level across the breast, from where one arm begins to where the other does, halfway between shoulder bone and armpit.";
    ScyeDepth "scye_depth", "scye depth", TautPath, one, SegmentLength, Standing, "scye depth", [BackNeckPoint, Armpit],
        "From the back neck point down the midline to the mean level of the armpits, hollows bridged.",
        "Hold a strip of paper level under both arms; measure from the bone at the base of the neck down the spine to its upper edge.";
    NeckOverBustToWaistLength "neck_over_bust_to_waist_length", "side neck over bust point to the narrowest waist", TautPath, pair, SegmentLength, Standing, "", [SideNeckPoint, BustPoint, WaistNarrowest],
        "From the side neck point to the bust point in the upright plane through both, then straight down to the level of the narrowest waist, hollows bridged.",
        "Tie an elastic at the waist; measure from where the neck meets the shoulder line over the bust point straight down to the elastic.";
    FrontWaistLength "front_waist_length", "front waist length to the narrowest waist", TautPath, one, SegmentLength, Standing, "", [FrontNeckPoint, WaistNarrowest],
        "From the front neck point down the midline to the level of the narrowest waist, hollows bridged.",
        "Tie an elastic at the waist; measure from the pit of the throat down the middle of the front to the elastic.";
    BackWaistLength "back_waist_length", "back waist length to the narrowest waist", TautPath, one, SegmentLength, Standing, "", [BackNeckPoint, WaistNarrowest],
        "From the back neck point down the midline to the level of the narrowest waist, hollows bridged.",
        "Tie an elastic at the waist; measure from the bone at the base of the neck down the spine to the elastic.";
    WaistToHipLength "waist_to_hip_length", "narrowest waist to hip", TautPath, pair, SegmentLength, Standing, "", [WaistNarrowest, Hip],
        "From the narrowest waist down the side to the hip level, hollows bridged.",
        "Tie an elastic at the waist; measure from it down the side to the level where the seat stands out most.";
    UpperArmLength "upper_arm_length", "upper arm length", TautPath, pair, SegmentLength, ArmBent, "upper arm length", [ShoulderPoint, Elbow],
        "From the shoulder point to the elbow, straight.",
        "Arm a little bent, measure from the bone at the shoulder's end to the elbow.";
    ArmLength "arm_length", "arm length", TautPath, pair, SegmentLength, ArmBent, "arm length", [ShoulderPoint, Elbow, Wrist],
        "From the shoulder point to the elbow and on to the wrist, straight from one to the next.",
        "Arm a little bent, measure from the bone at the shoulder's end over the elbow to the wrist bone.";
    InsideLegLength "inside_leg_length", "inside leg length", TautPath, pair, SegmentLength, FeetApart, "", [Crotch],
        "From the crotch level straight down along the leg, as far as it leans seen from the front, to the floor: the crotch height as it is with the feet together. Both legs are measured from one crotch point: on a level floor a shorter leg shows in the height of its hip, hardly here.",
        "Feet a little apart, measure from the crotch down the inside of the leg to the floor.";
    OutsideLegLength "outside_leg_length", "outside leg length from the narrowest waist", TautPath, pair, SegmentLength, Standing, "", [WaistNarrowest, Crotch],
        "From the narrowest waist at the side, taut over the hip, and plumb from where it stands out most to the floor.",
        "Tie an elastic at the waist; measure from it at the side over the hip straight down to the floor.";
    BackNeckToWristLength "back_neck_to_wrist_length", "back neck point to wrist", TautPath, pair, SegmentLength, ArmBent, "back neck point to wrist", [BackNeckPoint, ShoulderPoint, Elbow, Wrist],
        "Over the skin by the shortest way from the back neck point to the shoulder point, then straight to the elbow and on to the wrist.",
        "Arm a little bent, measure from the bone at the base of the neck over the shoulder's end and the elbow to the wrist bone.";
    CrotchLength "crotch_length", "crotch length", TautPath, one, SegmentLength, FeetApart, "total crotch length", [WaistNarrowest, Crotch],
        "From the narrowest waist in front through the crotch to the narrowest waist behind, in the midline, drawn taut; behind over the seat, not in its cleft.",
        "Tie an elastic at the waist; run the tape from it in front between the legs to it behind, snug but not tight.";
    CrotchLengthFront "crotch_length_front", "crotch length in front", TautPath, one, SegmentLength, FeetApart, "", [WaistNarrowest, Crotch],
        "Share of the crotch length before the middle between the legs: halfway between the places where it has risen by 10 mm.",
        "Measure the crotch length and read where the tape passes the middle between the legs.";
    CrotchLengthBack "crotch_length_back", "crotch length behind", TautPath, one, SegmentLength, FeetApart, "", [WaistNarrowest, Crotch],
        "Share of the crotch length behind the middle between the legs.",
        "Measure the crotch length and take off what lies in front of the middle between the legs.";
    FootLength "foot_length", "foot length", Depth, pair, None, FeetApart, "", [],
        "Length of the foot's outline from above, heel to the longest toe, along the narrowest rectangle round it.",
        "Stand on paper, heel to a wall, and measure from the wall to the mark at the longest toe.";
    FootBreadth "foot_breadth", "foot breadth", Breadth, pair, None, FeetApart, "", [],
        "Breadth of the foot's outline from above, across its length: the narrowest rectangle round it.",
        "Stand on paper, mark the ball of the foot on both sides and measure straight across.";
    HeadForward "head_forward", "head before the plumb line", Offset, one, None, Standing, "", [Vertex, Ankle],
        "How far the middle of the head, at the level of the head girth, lies before the plumb line through the middle between the ankles; negative if behind.", "";
    NeckForward "neck_forward", "neck before the plumb line", Offset, one, None, Standing, "", [Ankle],
        "How far the middle of the neck, where a level cut of it is smallest, lies before the plumb line through the middle between the ankles; negative if behind.", "";
    UpperBackDepth "upper_back_depth", "back neck point before the upper back", Offset, one, None, Standing, "", [BackNeckPoint, Armpit],
        "How far the back neck point lies before the upright plane that touches the upper back from behind.",
        "Stand with the upper back against a wall, head level; measure from the wall to the bone at the base of the neck.";
    WaistHollowDepth "waist_hollow_depth", "hollow of the back", Offset, one, None, Standing, "", [BackNeckPoint, Hip],
        "Greatest level distance from the back's outline, as seen from the side, to the straight line that touches upper back and seat.",
        "Hold a long straight stick upright against seat and upper back; measure from it to the deepest place of the back between.";
    BellyProjection "belly_projection", "belly before the plumb line", Offset, one, None, Standing, "", [Belly, Ankle],
        "How far the belly, where it stands out most, lies before the plumb line through the middle between the ankles.", "";
    SeatProjection "seat_projection", "seat behind the plumb line", Offset, one, None, Standing, "", [Hip, Ankle],
        "How far the seat, where it stands out most, lies behind the plumb line through the middle between the ankles.", "";
    TrunkLean "trunk_lean", "lean of the trunk to the right", Angle, one, None, Standing, "", [Hip, Armpit],
        "Angle off plumb of the line from the middle of the trunk at the hip level to its middle right under the armpits, seen from the front; negative if it leans to the wearer's left.", "";
    ShoulderTilt "shoulder_tilt", "right shoulder over the left", Angle, one, None, Standing, "", [ShoulderPoint],
        "Angle off level of the line between the shoulder points, seen from the front; negative if the wearer's left shoulder is the higher.", "";
    PelvisTilt "pelvis_tilt", "right side of the pelvis over the left", Angle, one, None, Standing, "", [GlutealFold],
        "Angle off level of the line between the folds under the seat, seen from behind; negative if the wearer's left is the higher. The folds rise and fall with the hips; the hip bones themselves seldom show.", "";
}
