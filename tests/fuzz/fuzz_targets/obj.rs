#![no_main]
//! Any bytes under the name of this format.

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| girthwise_fuzz::read_and_clean("a.obj", bytes));
