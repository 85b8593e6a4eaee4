//! Every sample file of the readers' tests, by name: seeds of the fuzz targets, and what another
//! library's counts are kept of.

use super::files::{
    buffer, embedded, glb, nodes, obj, packed, plain, quantised, sparse, stl_binary, stl_text,
    strips, unindexed,
};
use super::{Encoding, PLAIN, Ply, cube, prism, triangles};

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
    // Triangles alone, for readers that take nothing else; whole numbers, for every type.
    let (corners, faces) = cube();
    let corners: Vec<_> = corners.iter().map(|p| p.map(|x| x + 1.0)).collect();
    for coordinate in ["char", "ushort", "int32", "float", "double"] {
        for encoding in [Encoding::Ascii, Encoding::Little, Encoding::Big] {
            let file = Ply {
                encoding,
                coordinate,
                list: "vertex_index",
                ..PLAIN
            };
            let name = format!("{coordinate}-{encoding:?}.ply").to_lowercase();
            files.push((name, file.write(&corners, &triangles(&faces))));
        }
    }
    let shape = (points, polygons);
    let point = |[x, y, z]: &[f64; 3]| format!("v {x} {y:e} {z} 1 0.5 0");
    let mut text = |name: &str, corner: &dyn Fn(u32) -> String| {
        files.push((
            name.to_owned(),
            obj(&shape, point, corner, "\n").into_bytes(),
        ));
    };
    text("plain.obj", &|at| (at + 1).to_string());
    text("seam.obj", &|at| format!("{}/1/1", at + 1));
    text("backwards.obj", &|at| (i64::from(at) - 10).to_string());
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
