//! The parts of a glTF 2.0 document that make a shape, as ISO/IEC 12113:2022 names them.
//!
//! Everything else (materials, pictures, animations) is passed over, so a fault in it does not
//! keep a scan from being measured.

use serde::Deserialize;
use serde::de::IgnoredAny;
use std::collections::BTreeMap;

/// Extensions of an object by name; what is in them is not looked at.
pub(super) type Extensions = BTreeMap<String, IgnoredAny>;

#[derive(Debug, Default, Deserialize)]
#[serde(rename_all = "camelCase", default)]
pub(super) struct Root {
    pub(super) asset: Asset,
    pub(super) extensions_required: Vec<String>,
    pub(super) scene: Option<usize>,
    pub(super) scenes: Vec<Scene>,
    pub(super) nodes: Vec<Node>,
    pub(super) meshes: Vec<Mesh>,
    pub(super) accessors: Vec<Accessor>,
    pub(super) buffer_views: Vec<BufferView>,
    pub(super) buffers: Vec<Buffer>,
}

#[derive(Debug, Default, Deserialize)]
pub(super) struct Asset {
    pub(super) version: String,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Scene {
    pub(super) nodes: Vec<usize>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Node {
    pub(super) children: Vec<usize>,
    pub(super) mesh: Option<usize>,
    pub(super) skin: Option<usize>,
    /// Column by column.
    pub(super) matrix: Option<[f64; 16]>,
    pub(super) translation: Option<[f64; 3]>,
    /// x, y, z, w.
    pub(super) rotation: Option<[f64; 4]>,
    pub(super) scale: Option<[f64; 3]>,
}

#[derive(Debug, Deserialize)]
pub(super) struct Mesh {
    pub(super) primitives: Vec<Primitive>,
}

#[derive(Debug, Deserialize)]
pub(super) struct Primitive {
    pub(super) attributes: BTreeMap<String, usize>,
    pub(super) indices: Option<usize>,
    pub(super) mode: Option<u32>,
    #[serde(default)]
    pub(super) targets: Vec<IgnoredAny>,
    #[serde(default)]
    pub(super) extensions: Extensions,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Accessor {
    pub(super) buffer_view: Option<usize>,
    #[serde(default)]
    pub(super) byte_offset: u64,
    pub(super) component_type: u32,
    #[serde(default)]
    pub(super) normalized: bool,
    pub(super) count: u64,
    #[serde(rename = "type")]
    pub(super) kind: String,
    pub(super) sparse: Option<Sparse>,
}

#[derive(Debug, Deserialize)]
pub(super) struct Sparse {
    pub(super) count: u64,
    pub(super) indices: SparseIndices,
    pub(super) values: SparseValues,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct SparseIndices {
    pub(super) buffer_view: usize,
    #[serde(default)]
    pub(super) byte_offset: u64,
    pub(super) component_type: u32,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct SparseValues {
    pub(super) buffer_view: usize,
    #[serde(default)]
    pub(super) byte_offset: u64,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct BufferView {
    pub(super) buffer: usize,
    #[serde(default)]
    pub(super) byte_offset: u64,
    pub(super) byte_length: u64,
    pub(super) byte_stride: Option<u64>,
    #[serde(default)]
    pub(super) extensions: Extensions,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "camelCase")]
pub(super) struct Buffer {
    pub(super) uri: Option<String>,
    pub(super) byte_length: u64,
}

impl Buffer {
    /// True if the bytes are in a file of their own.
    pub(super) fn is_beside(&self) -> bool {
        self.uri
            .as_ref()
            .is_some_and(|uri| !uri.starts_with("data:"))
    }
}
