#![no_main]
//! Any bytes as a list of scans, as a shard, and as a table to go on with.

use girthwise::batch::{Shard, Table, name, read_list};
use girthwise::ingest::is_named_as_scan;
use std::hint::black_box;
use std::path::PathBuf;
use std::sync::OnceLock;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Ok(text) = std::str::from_utf8(bytes) {
        let list = read_list(text);
        for path in &list {
            let name = name(path);
            assert!(!name.is_empty() && name.trim() == name);
            black_box(is_named_as_scan(path));
        }
        if let Ok(shard) = text.trim().parse::<Shard>() {
            assert!(shard.of(list.clone()).len() <= list.len());
        }
    }
    let with_header = bytes.len() % 2 == 0;
    let path = file();
    std::fs::write(path, bytes).expect("a file of its own");
    match Table::resume(path, with_header) {
        // What it keeps is what was there, but for a last row cut short and a header it begins with.
        Ok((table, _)) => {
            drop(table);
            let kept = std::fs::read(path).expect("still there");
            assert!(bytes.starts_with(&kept) || kept.starts_with(b"schema,"));
            let again = Table::resume(path, with_header).expect("goes on with what it left");
            drop(again);
            assert_eq!(std::fs::read(path).expect("still there"), kept);
        }
        Err(error) => {
            assert!(error.is_input(), "{error}");
            assert_eq!(std::fs::read(path).expect("still there"), bytes);
        }
    }
});

fn file() -> &'static PathBuf {
    static FILE: OnceLock<PathBuf> = OnceLock::new();
    FILE.get_or_init(|| {
        std::env::temp_dir().join(format!("girthwise-fuzz-table-{}.csv", std::process::id()))
    })
}
