//! Which scans a batch takes: folders searched, lists read, shards dealt out.

use crate::error::{Error, Result};
use crate::ingest::is_named_as_scan;
use std::fs;
use std::path::{Path, PathBuf};
use std::str::FromStr;

/// Every scan of the inputs, sorted by [`name`], each once.
///
/// A folder stands for the scans in it and in its sub-folders, told by their names (see
/// [`is_named_as_scan`]). Names that begin with a full stop are left out, and linked sub-folders
/// are not entered, so that no search goes round in a ring. What is no folder is taken as a scan, be it there or not; a batch tells in its row.
///
/// The order is that of the names' bytes, so it does not depend on the machine or on the order of
/// the inputs. Names are compared as written: `a.ply` and `./a.ply` are two.
///
/// # Errors
/// [`ErrorKind::Io`](crate::ErrorKind::Io) if the system refuses a folder.
pub fn find_scans(inputs: &[PathBuf]) -> Result<Vec<PathBuf>> {
    let mut scans = Vec::new();
    let mut folders = Vec::new();
    for input in inputs {
        if input.is_dir() {
            folders.push(input.clone());
        } else {
            scans.push(input.clone());
        }
    }
    while let Some(folder) = folders.pop() {
        let refused = |source| Error::io(&folder, source);
        for entry in fs::read_dir(&folder).map_err(refused)? {
            let entry = entry.map_err(refused)?;
            let path = entry.path();
            if entry.file_name().as_encoded_bytes().starts_with(b".") {
                continue;
            }
            if entry.file_type().map_err(refused)?.is_dir() {
                folders.push(path);
            } else if is_named_as_scan(&path) && !path.is_dir() {
                scans.push(path);
            }
        }
    }
    scans.sort_by_cached_key(|path| name(path));
    scans.dedup();
    Ok(scans)
}

/// The paths of a list: one a line, blank lines and lines that begin with `#` left out.
///
/// Space around a path is not part of it. A path that itself begins with `#` is written `./#`.
///
/// # Examples
/// ```
/// let list = girthwise::batch::read_list("# Monday\n\nanna.ply\r\n  second folder/b.obj\n");
/// assert_eq!(list, ["anna.ply", "second folder/b.obj"].map(std::path::PathBuf::from));
/// ```
#[must_use]
pub fn read_list(text: &str) -> Vec<PathBuf> {
    text.trim_start_matches('\u{feff}')
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .map(PathBuf::from)
        .collect()
}

/// A path as the table writes it: as it is, or with `\x` escapes if it is no text in UTF-8.
///
/// Two paths never share a name but by such an escape written out in another path.
#[must_use]
pub fn name(path: &Path) -> String {
    path.to_str().map_or_else(
        || {
            path.as_os_str()
                .as_encoded_bytes()
                .escape_ascii()
                .to_string()
        },
        str::to_owned,
    )
}

/// A share of a list: the `index`-th of `count`, from 1, takes every `count`-th scan.
///
/// # Examples
/// ```
/// use girthwise::batch::Shard;
/// let shard: Shard = "2/3".parse()?;
/// assert_eq!(shard.of(vec!['a', 'b', 'c', 'd', 'e']), ['b', 'e']);
/// # Ok::<(), girthwise::Error>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shard {
    index: usize,
    count: usize,
}

impl Shard {
    /// The whole list.
    pub const WHOLE: Self = Self { index: 1, count: 1 };

    /// True for the first; it alone writes the header, so that the tables follow on each other.
    #[must_use]
    pub const fn is_first(self) -> bool {
        self.index == 1
    }

    /// Its share of a list.
    #[must_use]
    pub fn of<T>(self, list: Vec<T>) -> Vec<T> {
        let from = list.into_iter().skip(self.index - 1);
        from.step_by(self.count).collect()
    }
}

impl FromStr for Shard {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let parsed = text.split_once('/').and_then(|(index, count)| {
            let (index, count) = (index.parse().ok()?, count.parse().ok()?);
            (1..=count)
                .contains(&index)
                .then_some(Self { index, count })
        });
        parsed.ok_or_else(|| {
            Error::options(format!(
                "\"{text}\" is no shard; write the second of four as 2/4"
            ))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shards_are_counted_from_one_and_share_out_everything_once() {
        for bad in ["", "1", "0/3", "4/3", "1/0", "-1/2", "1/2/3", "a/b", "1/ 2"] {
            let error = bad.parse::<Shard>().unwrap_err();
            assert!(error.to_string().contains("2/4"), "{bad}: {error}");
        }
        for count in 1..6 {
            let shares = (1..=count).map(|index| {
                let shard: Shard = format!("{index}/{count}").parse().unwrap();
                assert_eq!(shard.is_first(), index == 1);
                shard.of((0..20).collect())
            });
            let mut all: Vec<u32> = shares.flatten().collect();
            all.sort_unstable();
            assert_eq!(all, (0..20).collect::<Vec<u32>>());
        }
    }

    #[cfg(unix)]
    #[test]
    fn names_that_are_no_text_stay_apart() {
        use std::os::unix::ffi::OsStrExt;
        let names = [&b"a\xff.ply"[..], b"a\xfe.ply"]
            .map(|bytes| name(Path::new(std::ffi::OsStr::from_bytes(bytes))));
        assert_eq!(names, [r"a\xff.ply", r"a\xfe.ply"]);
    }
}
