//! The whole job on mannequins to which random bytes do anything, for so many seconds, from a seed on.
//!
//! ```sh
//! cargo run --release --manifest-path tests/fuzz/Cargo.toml --example storm -- 600 1
//! ```
//! Without the fuzzer's guidance but many times faster. Stops at the first fault; the number printed
//! last, as seed with 0 seconds, does it again.

use std::time::{Duration, Instant};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let mut number = || arguments.next().and_then(|text| text.parse::<u64>().ok());
    let seconds = Duration::from_secs(number().unwrap_or(60));
    let first = number().unwrap_or(1);
    let start = Instant::now();
    for seed in first.. {
        eprint!("\r{seed}");
        girthwise_fuzz::job::run(&bytes(seed));
        if start.elapsed() >= seconds {
            println!("\n{} done, none at fault", seed - first + 1);
            return;
        }
    }
}

/// One to eight edits' worth of bytes; splitmix64.
fn bytes(seed: u64) -> Vec<u8> {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let mut next = || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    };
    let length = 1 + 15 * (1 + next() % 4);
    // Every other one leaves the options open.
    let told = if seed.is_multiple_of(2) {
        0
    } else {
        next() as u8
    };
    let rest = (1..length).map(|_| next() as u8);
    std::iter::once(told).chain(rest).collect()
}
