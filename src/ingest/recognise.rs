//! Which format a file is, by what it holds and then by its name.

use super::Format;
use crate::error::{Error, Place, Result, Spot};
use crate::finding::Finding;
use std::path::Path;

/// Formats told apart only to name them in the refusal: first bytes, and what they stand for.
const UNREAD: &[(&[u8], &str)] = &[
    (b"glTF", "a binary glTF file"),
    (b"{", "a JSON file, perhaps glTF"),
    (b"solid", "an STL file"),
    (b"OFF", "an OFF file"),
    (b"PK\x03\x04", "a zip archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"Kaydara FBX", "an FBX file"),
    (b"<?xml", "an XML file"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"%PDF", "a PDF document"),
];

/// First words of the lines an OBJ file can be made of.
const OBJ_WORDS: &[&[u8]] = &[
    b"v", b"vt", b"vn", b"vp", b"f", b"l", b"p", b"o", b"g", b"s", b"mtllib", b"usemtl", b"mg",
];

/// The format, with a finding if the name promises another one.
pub(super) fn format(name: &str, bytes: &[u8]) -> Result<(Format, Vec<Finding>)> {
    let refuse = |what: String| Err(Error::input(Place::new(name, Spot::Whole), what));
    if bytes.trim_ascii().is_empty() {
        return refuse("the file is empty; export the scan again".into());
    }
    let by_name = by_extension(name);
    match by_content(bytes) {
        Some(found) => {
            let mut findings = Vec::new();
            if let Some(named) = by_name.filter(|&named| named != found) {
                findings.push(Finding::look(
                    "format",
                    format!(
                        "The file is named as {named}, but holds {found}; it was read as {found}."
                    ),
                ));
            }
            Ok((found, findings))
        }
        None => match (
            UNREAD.iter().find(|(start, _)| bytes.starts_with(start)),
            by_name,
        ) {
            (Some((_, looks)), _) => refuse(format!(
                "this looks like {looks}, which is not read; scans are read from PLY and OBJ \
                 files, so export it as one of those"
            )),
            // An OBJ file has no signature: where nothing speaks against it, the name decides.
            (None, Some(Format::Obj)) if !bytes.contains(&0) => Ok((Format::Obj, Vec::new())),
            (None, Some(named)) => refuse(format!(
                "the file is named as {named}, but does not hold what such a file begins with; \
                 export the scan again as PLY or OBJ"
            )),
            (None, None) => refuse(
                "the format is not known; scans are read from PLY and OBJ files, so export it as \
                 one of those"
                    .into(),
            ),
        },
    }
}

fn by_extension(name: &str) -> Option<Format> {
    let extension = Path::new(name).extension()?;
    [("ply", Format::Ply), ("obj", Format::Obj)]
        .into_iter()
        .find_map(|(word, format)| extension.eq_ignore_ascii_case(word).then_some(format))
}

fn by_content(bytes: &[u8]) -> Option<Format> {
    if let Some(after) = bytes.strip_prefix(b"ply")
        && after.first().is_none_or(u8::is_ascii_whitespace)
    {
        return Some(Format::Ply);
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
        format(name, bytes).unwrap_err().to_string()
    }

    #[test]
    fn content_goes_before_the_name_and_leaves_a_finding() {
        let (found, findings) = format("scan.obj", b"ply\nformat ascii 1.0\n").unwrap();
        assert_eq!(found, Format::Ply);
        assert!(findings[0].text.contains("named as OBJ, but holds PLY"));
        let (found, findings) = format("scan.ply", b"# made by hand\n\n  v 1 2 3\n").unwrap();
        assert_eq!((found, findings.len()), (Format::Obj, 1));
        let (found, findings) = format("scan.PLY", b"ply\r\n").unwrap();
        assert_eq!((found, findings.len()), (Format::Ply, 0));
    }

    #[test]
    fn the_name_decides_only_where_the_content_is_silent() {
        let odd = b"bevel on\nv 0 0 0\n";
        assert_eq!(format("a.obj", odd).unwrap().0, Format::Obj);
        assert!(refusal("a.bin", odd).contains("PLY and OBJ"));
        assert!(refusal("a.ply", odd).contains("named as PLY"));
    }

    #[test]
    fn other_formats_are_named_in_the_refusal() {
        assert!(refusal("a.stl", b"solid body\nfacet").contains("STL"));
        assert!(refusal("a.ply", b"glTF\x02\0\0\0").contains("glTF"));
        assert!(refusal("a.obj", b" \n\t\n").contains("empty"));
    }
}
