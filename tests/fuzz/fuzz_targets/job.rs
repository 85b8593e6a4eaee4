#![no_main]
//! The whole job on a mannequin to which the bytes do anything. About one a second: for more of them,
//! without guidance, run the example `storm`.

use libfuzzer_sys::{Corpus, fuzz_target};

fuzz_target!(|bytes: &[u8]| -> Corpus {
    if girthwise_fuzz::job::run(bytes) {
        Corpus::Keep
    } else {
        Corpus::Reject
    }
});
