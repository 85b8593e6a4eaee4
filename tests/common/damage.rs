//! Damage done to valid files, for property tests of the readers.

use proptest::prelude::*;
use proptest::sample::Index;

/// One change: where, a byte to do it with, and which kind (0 to 3).
pub(crate) type Change = (Index, u8, i32);

/// A few changes to make.
pub(crate) fn changes() -> impl Strategy<Value = Vec<Change>> {
    proptest::collection::vec((any::<Index>(), any::<u8>(), 0..4), 1..8)
}

/// The file with bytes replaced or put in, digits changed, and its end cut off.
pub(crate) fn damaged(mut file: Vec<u8>, changes: Vec<Change>) -> Vec<u8> {
    for (at, byte, kind) in changes {
        if file.is_empty() {
            break;
        }
        let at = at.index(file.len());
        match kind {
            0 => file[at] = byte,
            1 => file.insert(at, byte),
            // A digit for a digit makes false counts and indices, which random bytes seldom do.
            2 => {
                if let Some(digit) = file[at..].iter_mut().find(|byte| byte.is_ascii_digit()) {
                    *digit = b'0' + byte % 10;
                }
            }
            _ => file.truncate(at),
        }
    }
    file
}
