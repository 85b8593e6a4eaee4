//! Files: opened, read and written, each refusal with its path.

use girthwise::error::{Place, Spot};
use girthwise::{Error, ErrorKind};
use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

pub(crate) fn make_folder(folder: &Path) -> Result<(), Error> {
    fs::create_dir_all(folder).map_err(|source| refused(folder, source))
}

pub(crate) fn write_file(path: &Path, bytes: impl AsRef<[u8]>) -> Result<(), Error> {
    fs::write(path, bytes).map_err(|source| refused(path, source))
}

/// A text file, read no further than any sheet or profile reaches.
pub(crate) fn read_text(path: &Path) -> Result<String, Error> {
    let mut bytes = Vec::new();
    open(path)?
        .take(MAX_TEXT_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|source| refused(path, source))?;
    if bytes.len() as u64 > MAX_TEXT_BYTES {
        return Err(ErrorKind::Limit {
            file: path.display().to_string(),
            what: "bytes of a sheet or profile",
            asked: bytes.len() as u64,
            limit: MAX_TEXT_BYTES,
        }
        .into());
    }
    String::from_utf8(bytes).map_err(|error| {
        let byte = error.utf8_error().valid_up_to() as u64;
        ErrorKind::Input {
            place: Place::new(file_name(path), Spot::Byte(byte)),
            what: "this is no text in UTF-8; save the file as plain text in UTF-8".into(),
        }
        .into()
    })
}

/// A profile has some hundred kilobytes.
pub(crate) const MAX_TEXT_BYTES: u64 = 64 << 20;

pub(crate) fn open(path: &Path) -> Result<File, Error> {
    File::open(path).map_err(|source| refused(path, source))
}

pub(crate) fn refused(path: &Path, source: std::io::Error) -> Error {
    ErrorKind::Io {
        path: path.to_owned(),
        source,
    }
    .into()
}

pub(crate) fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}
