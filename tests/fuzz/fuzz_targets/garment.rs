#![no_main]
//! Any text as a garment sheet: read, planned for the demo's profile, and told.

use girthwise::fit::{FitRoutine, LevelFit, read_garment};
use girthwise::length::text::Shown;
use girthwise::report::plan_text;
use girthwise_fuzz::profile;
use std::hint::black_box;

libfuzzer_sys::fuzz_target!(|text: &str| {
    let Ok(garment) = read_garment("garment.toml", text) else {
        return;
    };
    let routine = LevelFit::default();
    black_box(routine.needs(&garment));
    if let Ok(plan) = routine.plan(profile(), &garment) {
        black_box(plan_text(&plan, Shown::InchEighths));
        black_box(plan_text(&plan, Shown::Centimetres));
    }
});
