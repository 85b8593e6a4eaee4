#![no_main]
//! The bytes as an archive, and any file packed: it reads as it does unpacked.

use flate2::{Compression, write::GzEncoder};
use girthwise_fuzz::{SMALL, read};
use std::io::Write;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let Some((&kind, file)) = bytes.split_first() else {
        return;
    };
    let name = ["a.ply", "a.obj", "a.stl", "a.glb", "a.gltf"][usize::from(kind) % 5];
    let packed_name = format!("{name}.gz");
    read(&packed_name, file);
    let level = Compression::new(u32::from(kind) / 5 % 10);
    let mut encoder = GzEncoder::new(Vec::new(), level);
    encoder.write_all(file).expect("memory takes all");
    let packed = encoder.finish().expect("memory takes all");
    if packed.len() as u64 > SMALL.file_bytes || file.starts_with(b"\x1f\x8b\x08") {
        return;
    }
    match (read(name, file), read(&packed_name, &packed)) {
        (Some(plain), Some(unpacked)) => {
            assert_eq!(plain.mesh, unpacked.mesh);
            assert_eq!(plain.findings, unpacked.findings);
        }
        (plain, unpacked) => assert_eq!(plain.is_some(), unpacked.is_some()),
    }
});
