//! Work on all cores, where the build allows it; results come in order either way.

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

/// `make` of each index below `count`, in order; on all cores if the feature is on.
#[cfg(feature = "parallel")]
pub(crate) fn map_indices<T: Send>(
    count: usize,
    make: impl Fn(usize) -> T + Sync + Send,
) -> Vec<T> {
    use rayon::prelude::*;
    (0..count).into_par_iter().map(make).collect()
}

/// `make` of each index below `count`, in order.
#[cfg(not(feature = "parallel"))]
pub(crate) fn map_indices<T>(count: usize, make: impl Fn(usize) -> T) -> Vec<T> {
    (0..count).map(make).collect()
}

#[cfg(feature = "parallel")]
pub(crate) fn map_slice<S: Sync, T: Send>(
    from: &[S],
    make: impl Fn(&S) -> T + Sync + Send,
) -> Vec<T> {
    use rayon::prelude::*;
    from.par_iter().with_min_len(4096).map(make).collect()
}

#[cfg(not(feature = "parallel"))]
pub(crate) fn map_slice<S, T>(from: &[S], make: impl Fn(&S) -> T) -> Vec<T> {
    from.iter().map(make).collect()
}

/// `make` of each run of `size` items (the last may be shorter) with the place of its first, in order.
pub(crate) fn map_chunks<S: Sync, T: Send>(
    from: &[S],
    size: usize,
    make: impl Fn(usize, &[S]) -> T + Sync + Send,
) -> Vec<T> {
    map_indices(from.len().div_ceil(size), |chunk| {
        let first = chunk * size;
        make(first, &from[first..from.len().min(first + size)])
    })
}

/// Changes each item in its place.
#[cfg(feature = "parallel")]
pub(crate) fn update_slice<T: Send>(items: &mut [T], change: impl Fn(&mut T) + Sync + Send) {
    use rayon::prelude::*;
    items.par_iter_mut().with_min_len(4096).for_each(change);
}

/// Changes each item in its place.
#[cfg(not(feature = "parallel"))]
pub(crate) fn update_slice<T>(items: &mut [T], change: impl Fn(&mut T)) {
    items.iter_mut().for_each(change);
}
