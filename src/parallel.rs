//! Two things at once, where the build allows it.

/// Does both, at once where the build allows it.
#[cfg(feature = "parallel")]
pub(crate) fn both<A: Send, B: Send>(
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    rayon::join(one, other)
}

/// Does both, one after the other.
#[cfg(not(feature = "parallel"))]
pub(crate) fn both<A, B>(one: impl FnOnce() -> A, other: impl FnOnce() -> B) -> (A, B) {
    (one(), other())
}
