//! Gzip archives: one file of any format, packed.

use super::Limits;
use crate::error::{Error, Place, Result, Spot};
use flate2::read::MultiGzDecoder;
use std::io::Read;

/// True if the bytes begin as a gzip archive does (RFC 1952: two bytes, then method 8, deflate).
pub(super) fn is_gzip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\x1f\x8b\x08")
}

/// What the archive holds, as far as `limits` allow.
///
/// An archive can hold a thousand times its size, so memory grows with what comes out and stops at
/// the limit; the size an archive states of itself is not asked.
///
/// # Errors
/// [`ErrorKind::Limit`](crate::ErrorKind::Limit) past the limit on bytes, and
/// [`ErrorKind::Input`](crate::ErrorKind::Input) if the archive is damaged or holds another one.
pub(super) fn unpack(name: &str, bytes: &[u8], limits: &Limits) -> Result<Vec<u8>> {
    let refuse = |what: String| Error::input(Place::new(name, Spot::Whole), what);
    let mut held = Vec::new();
    let one_too_many = limits.file_bytes.saturating_add(1);
    MultiGzDecoder::new(bytes)
        .take(one_too_many)
        .read_to_end(&mut held)
        .map_err(|fault| {
            refuse(format!(
                "the gzip archive is damaged or cut short after {} bytes of what it holds \
                 ({fault}); copy or pack it again",
                held.len()
            ))
        })?;
    limits.check_bytes(held.len() as u64)?;
    if is_gzip(&held) {
        return Err(refuse(
            "the gzip archive holds another one; unpack it once".into(),
        ));
    }
    Ok(held)
}

/// The name of what an archive of this name holds: without its last `.gz`.
pub(super) fn inner_name(name: &str) -> &str {
    let cut = name.len().saturating_sub(3);
    match name.get(cut..) {
        Some(end) if end.eq_ignore_ascii_case(".gz") => &name[..cut],
        _ => name,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::{Compression, write::GzEncoder};
    use std::io::Write;

    fn pack(bytes: &[u8]) -> Vec<u8> {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
        encoder.write_all(bytes).unwrap();
        encoder.finish().unwrap()
    }

    #[test]
    fn an_archive_that_swells_stops_at_the_limit() {
        let packed = pack(&vec![0; 1 << 20]);
        assert!(packed.len() < 2000);
        let limits = Limits {
            file_bytes: 4096,
            ..Limits::default()
        };
        assert!(unpack("a.gz", &packed, &limits).unwrap_err().is_limit());
        assert_eq!(
            unpack("a.gz", &packed, &Limits::default()).unwrap().len(),
            1 << 20
        );
    }

    #[test]
    fn damage_and_nesting_are_told() {
        let packed = pack(b"v 0 0 0\n");
        let told = |bytes: &[u8]| {
            let error = unpack("a.obj.gz", bytes, &Limits::default()).unwrap_err();
            error.to_string()
        };
        assert!(told(&packed[..packed.len() - 3]).contains("damaged or cut short"));
        let mut wrong_sum = packed.clone();
        let at = wrong_sum.len() - 6;
        wrong_sum[at] ^= 1;
        assert!(told(&wrong_sum).contains("damaged"));
        assert!(told(&pack(&packed)).contains("another one"));
    }

    #[test]
    fn the_inner_name_is_that_without_the_ending() {
        assert_eq!(inner_name("scan.ply.GZ"), "scan.ply");
        assert_eq!(inner_name("scan.ply"), "scan.ply");
        assert_eq!(inner_name("gz"), "gz");
        assert_eq!(inner_name("ü.gz"), "ü");
    }
}
