#![no_main]
//! Any text as a profile: read, written again, told, and planned for.

use girthwise::fit::{FitRoutine, LevelFit, read_garment};
use girthwise::length::text::Shown;
use girthwise::profile::Profile;
use girthwise::report::{crosscheck_text, plan_text, profile_text};
use std::hint::black_box;

libfuzzer_sys::fuzz_target!(|text: &str| {
    let Ok(profile) = Profile::from_json("profile.json", text) else {
        return;
    };
    let again = profile.to_json().expect("JSON has no other numbers");
    let again = Profile::from_json("again.json", &again).expect("reads what it wrote");
    assert_eq!(again, profile);
    black_box(profile_text(&profile, Shown::Centimetres));
    black_box(crosscheck_text(&profile, Shown::InchEighths));
    let sheet = include_str!("../../../data/demo/garment.toml");
    let garment = read_garment("garment.toml", sheet).expect("the demo's sheet");
    if let Ok(plan) = LevelFit::default().plan(&profile, &garment) {
        black_box(plan_text(&plan, Shown::InchEighths));
    }
});
