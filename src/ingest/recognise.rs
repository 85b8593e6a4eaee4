//! Which format a file is, by what it holds and then by its name.

use super::{Format, gzip, stl};
use crate::error::{Error, Place, Result, Spot};
use crate::finding::Finding;
use std::path::Path;

/// Formats told apart only to name them in the refusal: first bytes, and what they stand for.
const UNREAD: &[(&[u8], &str)] = &[
    (b"OFF", "an OFF file"),
    (b"PK\x03\x04", "a zip archive"),
    (b"Kaydara FBX", "an FBX file"),
    (b"<?xml", "an XML file"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"%PDF", "a PDF document"),
];

/// What a refused file can be exported as.
const READ: &str = "PLY, OBJ, STL or glTF (GLB)";

/// First words of the lines an OBJ file can be made of.
const OBJ_WORDS: &[&[u8]] = &[
    b"v", b"vt", b"vn", b"vp", b"f", b"l", b"p", b"o", b"g", b"s", b"mtllib", b"usemtl", b"mg",
];

/// The format, with a finding if the name promises another one.
///
/// `name` is for messages, `inner_name` without what a packer added to it.
pub(super) fn format(name: &str, inner_name: &str, bytes: &[u8]) -> Result<(Format, Vec<Finding>)> {
    let refuse = |what: String| Err(Error::input(Place::new(name, Spot::Whole), what));
    if bytes.trim_ascii().is_empty() {
        return refuse("the file is empty; export the scan again".into());
    }
    let by_name = by_extension(inner_name);
    if let Some(found) = by_content(bytes) {
        let other = by_name.filter(|&named| named != found).map(|named| {
            Finding::look(
                "format",
                format!("The file is named as {named}, but holds {found}; it was read as {found}."),
            )
        });
        return Ok((found, other.into_iter().collect()));
    }
    let looks = UNREAD.iter().find(|(start, _)| bytes.starts_with(start));
    match (looks, by_name) {
        (Some((_, looks)), _) => refuse(format!(
            "this looks like {looks}, which is not read; export the scan as {READ}"
        )),
        // An OBJ file has no signature: where nothing speaks against it, the name decides.
        (None, Some(Format::Obj)) if !bytes.contains(&0) => Ok((Format::Obj, Vec::new())),
        // Nor has a binary STL file; its reader tells what does not fit.
        (None, Some(Format::Stl)) => Ok((Format::Stl, Vec::new())),
        (None, Some(named)) => refuse(format!(
            "the file is named as {named}, but does not hold what such a file begins with; \
             export the scan again as {READ}"
        )),
        (None, None) => refuse(format!(
            "the format is not known; export the scan as {READ}"
        )),
    }
}

/// True if a file's name promises a format that is read, packed with gzip or not.
///
/// # Examples
/// ```
/// use girthwise::ingest::is_named_as_scan;
/// assert!(is_named_as_scan("anna.PLY".as_ref()) && is_named_as_scan("anna.obj.gz".as_ref()));
/// assert!(!is_named_as_scan("notes.txt".as_ref()) && !is_named_as_scan("notes.txt.gz".as_ref()));
/// ```
#[must_use]
pub fn is_named_as_scan(path: &Path) -> bool {
    by_extension(gzip::inner_name(&path.to_string_lossy())).is_some()
}

fn by_extension(name: &str) -> Option<Format> {
    let extension = Path::new(name).extension()?;
    let names = [
        ("ply", Format::Ply),
        ("obj", Format::Obj),
        ("stl", Format::Stl),
        ("glb", Format::Gltf),
        ("gltf", Format::Gltf),
    ];
    names
        .into_iter()
        .find_map(|(word, format)| extension.eq_ignore_ascii_case(word).then_some(format))
}

fn by_content(bytes: &[u8]) -> Option<Format> {
    if let Some(after) = bytes.strip_prefix(b"ply")
        && after.first().is_none_or(u8::is_ascii_whitespace)
    {
        return Some(Format::Ply);
    }
    // No OBJ line and no STL header of text can begin with a brace and go on as JSON does.
    let json = |rest: &[u8]| matches!(rest.trim_ascii_start(), [b'"', ..]);
    let start = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if bytes.starts_with(b"glTF")
        || start
            .trim_ascii_start()
            .strip_prefix(b"{")
            .is_some_and(json)
    {
        return Some(Format::Gltf);
    }
    if stl::is_binary(bytes) || stl::is_text(bytes) {
        return Some(Format::Stl);
    }
    let first = bytes
        .split(|&byte| byte == b'\n')
        .map(<[u8]>::trim_ascii)
        .find(|line| !line.is_empty() && !line.starts_with(b"#"))?;
    let word = first.split(u8::is_ascii_whitespace).next()?;
    OBJ_WORDS.contains(&word).then_some(Format::Obj)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(name: &str, bytes: &[u8]) -> String {
        format(name, name, bytes).unwrap_err().to_string()
    }

    fn recognised(name: &str, bytes: &[u8]) -> Result<(Format, Vec<Finding>)> {
        format(name, name, bytes)
    }

    #[test]
    fn content_goes_before_the_name_and_leaves_a_finding() {
        let (found, findings) = recognised("scan.obj", b"ply\nformat ascii 1.0\n").unwrap();
        assert_eq!(found, Format::Ply);
        assert!(findings[0].text.contains("named as OBJ, but holds PLY"));
        let (found, findings) = recognised("scan.ply", b"# made by hand\n\n  v 1 2 3\n").unwrap();
        assert_eq!((found, findings.len()), (Format::Obj, 1));
        let (found, findings) = recognised("scan.PLY", b"ply\r\n").unwrap();
        assert_eq!((found, findings.len()), (Format::Ply, 0));
    }

    #[test]
    fn the_name_decides_only_where_the_content_is_silent() {
        let odd = b"bevel on\nv 0 0 0\n";
        assert_eq!(recognised("a.obj", odd).unwrap().0, Format::Obj);
        assert!(refusal("a.bin", odd).contains("PLY, OBJ"));
        assert!(refusal("a.ply", odd).contains("named as PLY"));
    }

    #[test]
    fn what_begins_with_solid_may_be_either_kind_of_stl() {
        let mut binary = b"solid facet made here".to_vec();
        binary.resize(84 + 50, 0);
        binary[80] = 1;
        for (name, bytes) in [
            ("a.stl", &b"solid a\nfacet normal 0 0 1\n"[..]),
            ("a.stl", b"  SOLID\r\nFACET"),
            ("a.stl", &binary),
        ] {
            assert_eq!(recognised(name, bytes).unwrap(), (Format::Stl, Vec::new()));
        }
        let (found, findings) = recognised("a.obj", b"{ \"asset\": {} }").unwrap();
        assert_eq!((found, findings.len()), (Format::Gltf, 1));
    }

    #[test]
    fn other_formats_are_named_in_the_refusal() {
        assert!(refusal("a.stl.zip", b"PK\x03\x04...").contains("zip"));
        assert!(refusal("a.ply", b"OFF\n8 6 0\n").contains("OFF"));
        assert!(refusal("a.obj", b" \n\t\n").contains("empty"));
    }
}
