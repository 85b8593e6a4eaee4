//! The modules of the crate stand in the order the data travels, and use only what stands above them.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Ground that every module may use, wherever it stands.
const GROUND: [&str; 4] = ["error", "finding", "side", "length"];

/// Uses against the order that are meant, as `(module, used)`, each with its reason beside it.
const EXCEPTIONS: [(&str, &str); 0] = [];

#[test]
fn modules_use_only_those_above_them() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let root = code(&source.join("lib.rs"));
    let order = listed(&root);
    let exported = exported(&root);
    assert!(order.len() > 10, "too few modules found: {order:?}");

    let mut against = Vec::new();
    let mut uses = 0;
    for (place, module) in order.iter().enumerate() {
        for file in files_of(&source, module) {
            let text = code(&file);
            for used in used(&text, &exported) {
                uses += 1;
                let known = order.iter().position(|name| *name == used);
                let is_above = known.is_some_and(|at| at <= place);
                let meant = EXCEPTIONS.contains(&(module, &used));
                if !(is_above || GROUND.contains(&used.as_str()) || meant) {
                    against.push(format!("{} uses {used}", file.display()));
                }
            }
        }
        // At the top level of a module's own file, `super` is the crate.
        let own = code(&source.join(format!("{module}.rs")));
        if own.lines().any(|line| line.starts_with("use super::")) {
            against.push(format!("{module} names the crate as super"));
        }
    }
    assert!(uses > 100, "only {uses} uses found: the search is broken");
    assert_eq!(
        against,
        Vec::<String>::new(),
        "move the type to the lower module, or change the order in src/lib.rs"
    );
}

#[test]
fn every_source_file_belongs_to_a_listed_module() {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let order = listed(&code(&source.join("lib.rs")));
    for entry in fs::read_dir(&source).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_str().unwrap().to_owned();
        assert!(
            order.contains(&stem) || ["lib", "bin"].contains(&stem.as_str()),
            "{} is in no module of src/lib.rs",
            path.display()
        );
    }
}

/// The text of a file without its comments and its unit tests, which may look at what stands above.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
    text.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .map(|line| format!("{line}\n"))
        .collect()
}

/// The modules in the order of their `pub mod` lines.
fn listed(root: &str) -> Vec<String> {
    root.lines()
        .map(|line| line.strip_prefix("pub ").unwrap_or(line))
        .filter_map(|line| line.strip_prefix("mod ")?.strip_suffix(';'))
        .map(str::to_owned)
        .collect()
}

/// Name to module for what the crate's root hands on.
fn exported(root: &str) -> BTreeMap<String, String> {
    root.lines()
        .filter_map(|line| line.strip_prefix("pub use ")?.split_once("::"))
        .flat_map(|(module, names)| {
            names
                .split(|c: char| !c.is_alphanumeric())
                .filter(|name| !name.is_empty())
                .map(move |name| (name.to_owned(), module.to_owned()))
        })
        .collect()
}

/// The modules named after `crate::` in a text.
fn used(text: &str, exported: &BTreeMap<String, String>) -> Vec<String> {
    text.split("crate::")
        .skip(1)
        .flat_map(|rest| {
            assert!(!rest.starts_with('{'), "write one `use crate::` a module");
            let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_');
            let name = rest[..end.unwrap_or(rest.len())].to_owned();
            Some(exported.get(&name).cloned().unwrap_or(name))
        })
        .collect()
}

/// A module's own file and those below it.
fn files_of(source: &Path, module: &str) -> Vec<PathBuf> {
    let mut files = vec![source.join(format!("{module}.rs"))];
    let mut folders = vec![source.join(module)];
    while let Some(folder) = folders.pop() {
        let Ok(entries) = fs::read_dir(&folder) else {
            continue; // A module of one file has no folder.
        };
        for entry in entries {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}
