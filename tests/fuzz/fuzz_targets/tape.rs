#![no_main]
//! Any bytes as a tape sheet: read, pooled, held against the demo scan, and told.

use girthwise::LengthUnit;
use girthwise::length::text::Shown;
use girthwise::profile::Profile;
use girthwise::report::crosscheck_text;
use girthwise::tape::{pool, read_tape};
use girthwise_fuzz::demo;
use std::hint::black_box;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    for unit in [LengthUnit::Centimetre, LengthUnit::Inch] {
        let Ok(sheet) = read_tape(bytes, "tape.csv", unit) else {
            continue;
        };
        let tape = pool(&sheet);
        for value in &tape.values {
            assert!(value.value.mm().is_finite() && value.value.mm() > 0.0);
            assert!(value.spread.sd.is_finite() && value.spread.sd > 0.0);
        }
        let profile = Profile::of(demo(), &tape);
        black_box(crosscheck_text(&profile, Shown::InchEighths));
        let text = profile.to_json().expect("all values are numbers");
        assert_eq!(Profile::from_json("p.json", &text).expect("reads"), profile);
    }
});
