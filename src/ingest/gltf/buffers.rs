//! Where the bytes of a glTF file are: in its binary chunk, in its text, or in files beside it.

use super::super::Limits;
use super::Fault;
use super::schema::{Buffer, Root};
use crate::error::{Error, Place, Result, Spot};
use base64::Engine;
use base64::alphabet;
use base64::engine::{DecodePaddingMode, GeneralPurpose, GeneralPurposeConfig};
use std::borrow::Cow;
use std::io::Read;
use std::path::Path;

/// The document and the binary chunk, if there is one.
pub(super) struct Container<'a> {
    pub(super) json: &'a [u8],
    pub(super) chunk: Option<&'a [u8]>,
}

/// Takes a binary file apart; a text file is all document.
pub(super) fn open(bytes: &[u8]) -> std::result::Result<Container<'_>, Fault> {
    let Some(rest) = bytes.strip_prefix(b"glTF") else {
        return Ok(Container {
            json: bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes),
            chunk: None,
        });
    };
    let cut = || Fault("the file ends before its header says; copy or export it again".into());
    let (version, rest) = word(rest).ok_or_else(cut)?;
    if version != 2 {
        return Err(Fault(format!(
            "glTF of version {version} is not read; export it as glTF 2.0"
        )));
    }
    let (length, rest) = word(rest).ok_or_else(cut)?;
    let length = (length as usize).checked_sub(12).ok_or_else(cut)?;
    let rest = rest.get(..length).ok_or_else(cut)?;
    let (kind, json, rest) = chunk(rest).ok_or_else(cut)?;
    if kind != *b"JSON" {
        return Err(Fault(
            "the file does not begin with its document; export it again".into(),
        ));
    }
    let chunk = match rest {
        [] => None,
        rest => {
            let (kind, bytes, _) = chunk(rest).ok_or_else(cut)?;
            (kind == *b"BIN\0").then_some(bytes)
        }
    };
    Ok(Container { json, chunk })
}

/// The most a document may have outside its texts, in bytes: thousands of parts, where a scan has
/// a few. An empty node is three bytes of the file and a hundred times as much in memory, so this
/// bounds the memory for documents that are all structure.
const MOST_STRUCTURE: usize = 4 << 20;

/// Refuses a document with more structure than any scan has; texts, which may hold whole buffers,
/// do not count.
pub(super) fn check_structure(json: &[u8]) -> std::result::Result<(), Fault> {
    let mut outside = 0;
    let mut rest = json;
    while let Some(quote) = rest.iter().position(|&byte| byte == b'"') {
        outside += quote + 2;
        rest = after_text(&rest[quote + 1..]);
    }
    if outside + rest.len() <= MOST_STRUCTURE {
        return Ok(());
    }
    Err(Fault(
        "its document names more parts than a scan has; export the scan alone, as one mesh".into(),
    ))
}

/// What follows the text that has been opened.
fn after_text(mut rest: &[u8]) -> &[u8] {
    while let Some(at) = rest.iter().position(|byte| matches!(byte, b'"' | b'\\')) {
        let passed = if rest[at] == b'"' { at + 1 } else { at + 2 };
        let is_end = rest[at] == b'"';
        rest = rest.get(passed..).unwrap_or_default();
        if is_end {
            return rest;
        }
    }
    &[]
}

fn word(bytes: &[u8]) -> Option<(u32, &[u8])> {
    let (first, rest) = bytes.split_first_chunk()?;
    Some((u32::from_le_bytes(*first), rest))
}

fn chunk(bytes: &[u8]) -> Option<([u8; 4], &[u8], &[u8])> {
    let (length, rest) = word(bytes)?;
    let (kind, rest) = rest.split_first_chunk()?;
    let (held, rest) = rest.split_at_checked(length as usize)?;
    Some((*kind, held, rest))
}

/// Brings in what each buffer holds. `beside` is the folder of the file, if it has one.
pub(super) fn load<'a>(
    name: &str,
    root: &Root,
    chunk: Option<&'a [u8]>,
    beside: Option<&Path>,
    limits: &Limits,
) -> Result<Vec<Cow<'a, [u8]>>> {
    let mut total = 0_u64;
    let mut buffers = Vec::new();
    for (number, buffer) in root.buffers.iter().enumerate() {
        let told = |Fault(what)| {
            Error::input(
                Place::new(name, Spot::Whole),
                format!("buffer {number}: {what}"),
            )
        };
        let bytes = match (&buffer.uri, chunk) {
            (None, Some(chunk)) if number == 0 => Cow::Borrowed(chunk),
            (None, _) => {
                return Err(told(Fault(
                    "its bytes are nowhere in the file; export it again".into(),
                )));
            }
            (Some(uri), _) => match uri.strip_prefix("data:") {
                Some(data) => Cow::Owned(embedded(data).map_err(told)?),
                None => {
                    total = total.saturating_add(buffer.byte_length);
                    limits.check_bytes(total)?;
                    let folder = beside.ok_or_else(|| told(Fault(format!(
                        "its bytes are in the file {uri:?}, which cannot be looked for here; export the scan as one file (GLB)"
                    ))))?;
                    let file = plain_name(uri).map_err(told)?;
                    Cow::Owned(neighbour(&folder.join(file), buffer)?)
                }
            },
        };
        if (bytes.len() as u64) < buffer.byte_length {
            return Err(told(Fault(format!(
                "it promises {} bytes, but has {}; copy or export it again",
                buffer.byte_length,
                bytes.len()
            ))));
        }
        buffers.push(bytes);
    }
    Ok(buffers)
}

/// Bytes written as text (RFC 2397, base 64 alone).
fn embedded(data: &str) -> std::result::Result<Vec<u8>, Fault> {
    let lenient =
        GeneralPurposeConfig::new().with_decode_padding_mode(DecodePaddingMode::Indifferent);
    let (_, text) = data
        .split_once(";base64,")
        .ok_or_else(|| Fault("its data are not written in base 64; export it as GLB".into()))?;
    GeneralPurpose::new(&alphabet::STANDARD, lenient)
        .decode(text)
        .map_err(|fault| {
            Fault(format!(
                "its data are damaged ({fault}); copy or export it again"
            ))
        })
}

/// The name of a file in the same folder; anything that leads elsewhere is refused.
fn plain_name(uri: &str) -> std::result::Result<String, Fault> {
    let refused = || {
        Fault(format!(
            "its bytes are at {uri:?}; only files beside the scan are read, so export it as one file (GLB)"
        ))
    };
    let mut bytes = Vec::with_capacity(uri.len());
    let mut rest = uri.as_bytes();
    while let Some((&byte, after)) = rest.split_first() {
        rest = after;
        if byte != b'%' {
            bytes.push(byte);
            continue;
        }
        let (digits, after) = rest.split_first_chunk::<2>().ok_or_else(refused)?;
        let digits = std::str::from_utf8(digits).map_err(|_| refused())?;
        bytes.push(u8::from_str_radix(digits, 16).map_err(|_| refused())?);
        rest = after;
    }
    let name = String::from_utf8(bytes).map_err(|_| refused())?;
    let leads_away = |c: char| matches!(c, '/' | '\\' | ':') || c.is_control();
    if name.is_empty() || name.contains(leads_away) || name == "." || name == ".." {
        return Err(refused());
    }
    Ok(name)
}

/// The first bytes of a file, as many as the buffer has.
fn neighbour(path: &Path, buffer: &Buffer) -> Result<Vec<u8>> {
    let refused = |source| Error::io(path, source);
    let file = std::fs::File::open(path).map_err(refused)?;
    let meta = file.metadata().map_err(refused)?;
    if !meta.is_file() || meta.len() < buffer.byte_length {
        let what = format!(
            "the scan promises {} bytes here, but there are {}; copy or export both files again",
            buffer.byte_length,
            meta.len()
        );
        let place = Place::new(path.display().to_string(), Spot::Whole);
        return Err(Error::input(place, what));
    }
    let mut bytes = Vec::new();
    file.take(buffer.byte_length)
        .read_to_end(&mut bytes)
        .map_err(refused)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_the_same_folder_pass() {
        assert_eq!(plain_name("a%20scan.bin").unwrap(), "a scan.bin");
        for away in [
            "../a.bin",
            "/etc/passwd",
            "b/a.bin",
            "http://x/a",
            "file:a",
            "C:a",
            "..",
            ".",
            "",
            "a%2fb",
            "a%2",
            "a%zz",
            "b\\a",
            "%00",
            "%ff",
        ] {
            assert!(plain_name(away).is_err(), "{away}");
        }
    }

    #[test]
    fn structure_is_bounded_and_texts_are_not() {
        let long = "x\\\"{},".repeat(MOST_STRUCTURE);
        let document = format!("{{\"uri\": \"{long}\", \"nodes\": [");
        assert!(check_structure(document.as_bytes()).is_ok());
        let nodes = "{},".repeat(MOST_STRUCTURE / 3);
        assert!(check_structure(nodes.as_bytes()).is_ok());
        assert!(check_structure((document + &nodes).as_bytes()).is_err());
        for cut in ["\"", "\"\\", "\"a\\\""] {
            assert!(check_structure(cut.as_bytes()).is_ok());
        }
    }

    #[test]
    fn text_buffers_are_decoded_with_and_without_padding() {
        // RFC 4648, section 10: test vectors of base 64.
        for (text, bytes) in [
            ("Zg==", "f"),
            ("Zm8=", "fo"),
            ("Zm9vYg", "foob"),
            ("Zm9vYmFy", "foobar"),
        ] {
            let uri = format!("application/octet-stream;base64,{text}");
            assert_eq!(embedded(&uri).unwrap(), bytes.as_bytes());
        }
        assert!(embedded(";base64,Zg?=").is_err());
        assert!(embedded("text/plain,abc").is_err());
    }

    #[test]
    fn a_container_that_is_cut_is_refused_at_every_length() {
        let mut file = b"glTF\x02\0\0\0\x20\0\0\0\x04\0\0\0JSON{}  \0\0\0\0BIN\0".to_vec();
        assert_eq!(file.len(), 32);
        let whole = open(&file).ok().map(|c| (c.json, c.chunk));
        assert_eq!(whole, Some((&b"{}  "[..], Some(&b""[..]))));
        for length in 4..file.len() {
            assert!(open(&file[..length]).is_err(), "{length}");
        }
        file[8] = 3;
        assert!(open(&file).is_err());
    }
}
