//! Writes the seeds of the fuzz targets to `corpus/`; or every sample file to the folder named.
//!
//! ```sh
//! cargo run --manifest-path tests/fuzz/Cargo.toml --example seeds [FOLDER]
//! ```

#[path = "../common/mod.rs"]
mod common;

use common::every::every;
use girthwise::batch::{columns, schema};
use girthwise_fuzz::profile;
use serde_json::Value;
use std::fs;
use std::io::Result;
use std::path::{Path, PathBuf};

fn main() -> Result<()> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    if let Some(folder) = std::env::args_os().nth(1).map(PathBuf::from) {
        return every()
            .iter()
            .try_for_each(|(name, bytes)| put(&folder, name, bytes));
    }
    let corpus = here.join("corpus");
    for (name, bytes) in every().into_iter().chain(broken(here)?) {
        let target = match name.rsplit('.').next() {
            Some("gz") => "gzip",
            Some("glb" | "gltf") => "gltf",
            Some(format) => format,
            None => continue,
        };
        let kind = ["ply", "obj", "stl", "glb", "gltf"]
            .iter()
            .position(|format| name.contains(format))
            .unwrap_or_default();
        if target != "gzip" {
            put(&corpus.join(target), &name, &bytes)?;
        }
        put(
            &corpus.join("gzip"),
            &name,
            &[&[kind as u8], &bytes[..]].concat(),
        )?;
    }
    let demo = here.join("../../data/demo");
    put(
        &corpus.join("tape"),
        "demo",
        &fs::read(demo.join("tape.csv"))?,
    )?;
    put(
        &corpus.join("garment"),
        "demo",
        &fs::read(demo.join("garment.toml"))?,
    )?;
    let text = profile().to_json().map_err(std::io::Error::other)?;
    put(&corpus.join("profile"), "demo", text.as_bytes())?;
    // The whole document is long to mutate: with lists cut short it goes faster and as deep.
    let whole: Value = serde_json::from_str(&text)?;
    for most in [0, 1, 2, 4] {
        let text = shortened(&whole, most).to_string();
        put(
            &corpus.join("profile"),
            &format!("short-{most}"),
            text.as_bytes(),
        )?;
    }
    batch(&corpus.join("batch"))
}

/// The document with at most so many entries in each list.
fn shortened(value: &Value, most: usize) -> Value {
    match value {
        Value::Array(list) => list
            .iter()
            .take(most)
            .map(|entry| shortened(entry, most))
            .collect(),
        Value::Object(map) => map
            .iter()
            .map(|(key, entry)| (key.clone(), shortened(entry, most)))
            .collect(),
        other => other.clone(),
    }
}

/// The files kept because they once went wrong.
fn broken(here: &Path) -> Result<Vec<(String, Vec<u8>)>> {
    let mut files = Vec::new();
    for entry in fs::read_dir(here.join("../../data/regressions"))? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if name.starts_with("bad-") {
            files.push((name.into_owned(), fs::read(&path)?));
        }
    }
    Ok(files)
}

fn batch(folder: &Path) -> Result<()> {
    put(
        folder,
        "list",
        b"# Monday\nanna.ply\n\n  second folder/b.obj\r\n",
    )?;
    put(folder, "shard", b"2/4")?;
    let header = columns().join(",") + "\n";
    let cells = columns().len() - 3;
    let row = format!("{},a.ply,00{}\n", schema(), ",".repeat(cells));
    for (name, text) in [
        ("header", header.clone()),
        ("row", row.clone()),
        ("table", [header.as_str(), &row, &row].concat()),
        ("cut", [row.as_str(), &row[..60]].concat()),
    ] {
        put(folder, name, text.as_bytes())?;
        put(folder, &format!("{name}-"), format!("{text}\n").as_bytes())?;
    }
    Ok(())
}

fn put(folder: &Path, name: &str, bytes: &[u8]) -> Result<()> {
    fs::create_dir_all(folder)?;
    fs::write(folder.join(name), bytes)
}
