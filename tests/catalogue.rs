//! The catalogue holds every measure of the standard's list that a standing body can show.
//!
//! # Source
//! ISO 8559-1:2017, its measurements by number, name and way of taking in words of our own, from memory
//! (the standard's text was not read; the waist level, the natural waist and the neck base line as read
//! in the book of a public survey, §2.5.6). The numbers are of our list, not the standard's clauses.

use girthwise::measure::Key;
use girthwise::measure::catalogue::BEYOND_SCAN;
use std::collections::BTreeSet;

/// Number, name, and what holds it: keys of the catalogue, or a row of what a scan cannot give.
type Row = (u8, &'static str, &'static [&'static str]);

const LIST: [Row; 59] = [
    (1, "stature", &["stature"]),
    (2, "back neck height", &["back_neck_height"]),
    (3, "shoulder height", &["shoulder_height"]),
    (4, "armpit height", &["armpit_height"]),
    (5, "bust height", &["bust_height"]),
    (6, "under-bust height", &["under_bust_height"]),
    (7, "waist height", &["waist_midway_height"]),
    (8, "iliac height", &["hip_bone_height"]),
    (9, "hip height", &["hip_height"]),
    (10, "crotch height", &["crotch_height"]),
    (11, "knee height", &["knee_height"]),
    (12, "ankle height", &["ankle_bone_height"]),
    (13, "head girth", &["head_girth"]),
    (14, "neck girth", &["neck_girth"]),
    (15, "neck base girth", &["neck_base_girth"]),
    (16, "shoulder girth", &["shoulder_girth"]),
    (17, "upper chest girth", &["upper_chest_girth"]),
    (18, "chest girth", &["chest_girth"]),
    (19, "bust girth", &["bust_girth"]),
    (20, "under-bust girth", &["under_bust_girth"]),
    (21, "waist girth", &["waist_midway_girth"]),
    // Along the marks where an elastic settles: the catalogue has the level of the least girth.
    (22, "natural waist girth", &["waist_narrowest_girth"]),
    (23, "high hip girth", &["high_hip_girth"]),
    (24, "hip girth", &["hip_girth"]),
    (25, "upper arm girth", &["upper_arm_girth"]),
    (26, "armscye girth", &["armscye_girth"]),
    (27, "elbow girth", &["elbow_girth"]),
    (28, "forearm girth", &["forearm_girth"]),
    (29, "wrist girth", &["wrist_girth"]),
    (30, "hand girth", &["hand_girth"]),
    (31, "thigh girth", &["thigh_girth", "thigh_fold_girth"]),
    (32, "mid-thigh girth", &["mid_thigh_girth"]),
    (33, "knee girth", &["knee_girth"]),
    (34, "lower knee girth", &["lower_knee_girth"]),
    (35, "calf girth", &["calf_girth"]),
    (36, "minimum leg girth", &["ankle_girth"]),
    (37, "ankle girth", &["ankle_bone_girth"]),
    (38, "shoulder length", &["shoulder_length"]),
    (39, "shoulder slope", &["shoulder_slope"]),
    (
        40,
        "across back shoulder width",
        &["across_back_shoulder_width"],
    ),
    (41, "across back width", &["across_back_width"]),
    (42, "across front width", &["across_front_width"]),
    (43, "bust point to bust point", &["bust_point_spread"]),
    (
        44,
        "side neck point to bust point",
        &["neck_to_bust_length"],
    ),
    // Lengths down to the waist end at the narrowest one, which shows; the middle of rib and hip bone rarely does.
    (
        45,
        "side neck point to waist level, front",
        &["neck_over_bust_to_waist_length"],
    ),
    (46, "front waist length", &["front_waist_length"]),
    (47, "back waist length", &["back_waist_length"]),
    (48, "scye depth", &["scye_depth"]),
    (49, "waist to hip", &["waist_to_hip_length"]),
    (50, "outside leg length", &["outside_leg_length"]),
    (51, "body rise", &["body rise"]),
    (52, "total crotch length", &["crotch_length"]),
    (53, "upper arm length", &["upper_arm_length"]),
    (54, "arm length", &["arm_length"]),
    (
        55,
        "back neck point to wrist",
        &["back_neck_to_wrist_length"],
    ),
    (56, "shoulder breadth", &["shoulder_point_breadth"]),
    (57, "hip breadth", &["hip_breadth"]),
    (
        58,
        "chest, waist and hip depth",
        &["bust_depth", "waist_narrowest_depth", "hip_depth"],
    ),
    (59, "body mass", &["body mass"]),
];

/// What else was asked of the catalogue beside the standard's list, and what holds it.
const BESIDE: [(&str, &[&str]); 15] = [
    (
        "narrowest waist",
        &["waist_narrowest_height", "waist_narrowest_girth"],
    ),
    ("waist at the navel", &["navel_height", "navel_girth"]),
    (
        "front and back arcs",
        &[
            "bust_front_arc",
            "bust_back_arc",
            "waist_narrowest_front_arc",
            "waist_narrowest_back_arc",
            "high_hip_front_arc",
            "high_hip_back_arc",
            "hip_front_arc",
            "hip_back_arc",
        ],
    ),
    (
        "shares of the crotch length",
        &["crotch_length_front", "crotch_length_back"],
    ),
    (
        "half girths",
        &[
            "bust_half_girth",
            "waist_narrowest_half_girth",
            "hip_half_girth",
        ],
    ),
    (
        "bust volume and projection",
        &["bust_volume", "bust_projection"],
    ),
    ("head before the plumb line", &["head_forward"]),
    ("neck before the plumb line", &["neck_forward"]),
    ("upper back", &["upper_back_depth", "waist_hollow_depth"]),
    ("forward shoulder", &["shoulder_forward"]),
    ("belly and seat", &["belly_projection", "seat_projection"]),
    ("lean of the trunk", &["trunk_lean"]),
    ("tilt of the shoulders", &["shoulder_tilt"]),
    ("tilt of the pelvis", &["pelvis_tilt"]),
    ("leg inseam", &["inside_leg_length"]),
];

fn is_beyond(name: &str) -> bool {
    BEYOND_SCAN.iter().any(|row| row.name == name)
}

#[test]
fn every_row_is_held_or_its_lack_is_explained() {
    let numbers: Vec<u8> = LIST.iter().map(|row| row.0).collect();
    assert_eq!(numbers, (1..=59).collect::<Vec<u8>>());
    for (number, name, held) in LIST {
        assert!(!held.is_empty(), "{number} {name}");
        for text in held {
            let known = Key::from_text(text).is_some() || is_beyond(text);
            assert!(known, "{number} {name}: {text}");
        }
    }
    for text in BESIDE.iter().flat_map(|(_, held)| *held) {
        assert!(Key::from_text(text).is_some(), "{text}");
    }
}

/// Only mass and sitting items may be missing, each with a reason in one sentence of its own.
#[test]
fn what_is_beyond_a_scan_is_on_the_list_and_says_why() {
    let listed = LIST.iter().flat_map(|row| row.2).copied();
    let beyond: BTreeSet<&str> = listed.filter(|text| is_beyond(text)).collect();
    assert_eq!(beyond, BTreeSet::from(["body mass", "body rise"]));
    assert_eq!(BEYOND_SCAN.len(), beyond.len());
    for row in BEYOND_SCAN {
        assert!(row.reason.ends_with('.'), "{}", row.name);
        assert_eq!(
            row.reason.matches(['.', '!', '?']).count(),
            1,
            "{}",
            row.name
        );
    }
}

/// The parts of the list taken on both sides are pairs here.
#[test]
fn limbs_are_measured_on_both_sides() {
    let limbs = LIST.iter().filter(|row| (25..=37).contains(&row.0));
    for text in limbs.flat_map(|row| row.2) {
        assert!(
            Key::from_text(text).is_some_and(|key| key.definition().paired),
            "{text}"
        );
    }
}
