//! Every sample file of the readers' tests, by name: seeds of the fuzz targets, and what another
//! library's counts are kept of.

use super::files::{
    buffer, embedded, glb, nodes, obj, packed, plain, quantised, sparse, stl_binary, stl_text,
    strips, unindexed,
};
use super::{Encoding, PLAIN, Ply, prism};

/// Every encoding, line end and richness.
pub(crate) fn ply_variants() -> Vec<Ply> {
    let mut all = Vec::new();
    for encoding in [Encoding::Ascii, Encoding::Little, Encoding::Big] {
        for line_end in ["\n", "\r\n", "\r"] {
            for (extras, elements) in [(false, false), (true, false), (false, true), (true, true)] {
                all.push(Ply {
                    encoding,
                    line_end,
                    extras,
                    elements,
                    ..PLAIN
                });
            }
        }
    }
    all
}

/// Names tell the format; each file holds one small closed solid.
pub(crate) fn every() -> Vec<(String, Vec<u8>)> {
    let (points, polygons) = prism();
    let mut files = Vec::new();
    for (at, variant) in ply_variants().iter().enumerate() {
        files.push((format!("{at:02}.ply"), variant.write(&points, &polygons)));
    }
    for coordinate in ["char", "ushort", "int32", "double"] {
        for encoding in [Encoding::Ascii, Encoding::Little, Encoding::Big] {
            let file = Ply {
                encoding,
                coordinate,
                list: "vertex_index",
                ..PLAIN
            };
            let name = format!("{coordinate}-{encoding:?}.ply").to_lowercase();
            files.push((name, file.write(&points, &polygons)));
        }
    }
    let shape = (points, polygons);
    let point = |[x, y, z]: &[f64; 3]| format!("v {x} {y:e} {z} 1 0.5 0");
    let corner: [(&str, fn(u32) -> String); 3] = [
        ("plain", |at| (at + 1).to_string()),
        ("seam", |at| format!("{}/1/1", at + 1)),
        ("backwards", |at| (i64::from(at) - 10).to_string()),
    ];
    for (name, corner) in corner {
        files.push((
            format!("{name}.obj"),
            obj(&shape, point, corner, "\n").into_bytes(),
        ));
    }
    let others = [
        ("text.stl", stl_text()),
        ("binary.stl", stl_binary("made here")),
        ("plain.glb", glb(&plain(), &buffer())),
        ("nodes.glb", nodes()),
        ("strips.glb", strips()),
        ("quantised.glb", quantised()),
        ("sparse.glb", sparse()),
        ("unindexed.glb", unindexed()),
        ("embedded.gltf", embedded(plain(), &buffer())),
        ("packed.stl.gz", packed(&stl_text())),
    ];
    files.extend(others.map(|(name, file)| (name.to_owned(), file)));
    files
}
