//! Bytes and descriptions of a GLB file as they gather.

use super::too_large;
use crate::error::{Error, Result};
use gltf_json::accessor::{ComponentType, GenericComponentType, Type};
use gltf_json::buffer::{Buffer, Target, View};
use gltf_json::material::{PbrBaseColorFactor, PbrMetallicRoughness, StrengthFactor};
use gltf_json::mesh::{Mode, Primitive, Semantic};
use gltf_json::validation::{Checked, USize64};
use gltf_json::{Accessor, Asset, Index, Material, Mesh, Node, Root, Scene, Value};
use serde_json::value::{Value as Json, to_raw_value};
use std::collections::BTreeMap;

/// Colour of a part, linear red, green, blue and cover, each 0 to 1.
#[derive(Clone, Copy)]
pub(super) struct Colour([f32; 4]);

impl Colour {
    pub(super) const fn opaque([r, g, b]: [f32; 3]) -> Self {
        Self([r, g, b, 1.0])
    }
}

/// A file in the making.
pub(super) struct Sheaf {
    root: Root,
    bytes: Vec<u8>,
}

impl Sheaf {
    pub(super) fn new() -> Self {
        let asset = Asset {
            generator: Some(concat!("girthwise ", env!("CARGO_PKG_VERSION")).to_owned()),
            ..Asset::default()
        };
        Self {
            root: Root {
                asset,
                ..Root::default()
            },
            bytes: Vec::new(),
        }
    }

    pub(super) fn look(&mut self, colour: Colour) -> Index<Material> {
        self.root.push(Material {
            // A scan with flipped faces or holes shows its inside too.
            double_sided: true,
            pbr_metallic_roughness: PbrMetallicRoughness {
                base_color_factor: PbrBaseColorFactor(colour.0),
                metallic_factor: StrengthFactor(0.0),
                roughness_factor: StrengthFactor(0.9),
                ..PbrMetallicRoughness::default()
            },
            ..Material::default()
        })
    }

    /// Triangles.
    pub(super) fn surface(
        &mut self,
        name: &str,
        points: &[[f32; 3]],
        normals: Option<&[[f32; 3]]>,
        faces: &[[u32; 3]],
        look: Index<Material>,
    ) -> Result<Index<Mesh>> {
        let places = self.places(points)?;
        let mut attributes = BTreeMap::from([(Checked::Valid(Semantic::Positions), places)]);
        if let Some(normals) = normals {
            let at = self.vectors(normals, None)?;
            attributes.insert(Checked::Valid(Semantic::Normals), at);
        }
        let corners = self.corners(faces)?;
        Ok(self.mesh(name, attributes, Some(corners), Mode::Triangles, look))
    }

    /// A closed line.
    pub(super) fn ring(
        &mut self,
        name: &str,
        points: &[[f32; 3]],
        look: Index<Material>,
    ) -> Result<Index<Mesh>> {
        let places = self.places(points)?;
        let attributes = BTreeMap::from([(Checked::Valid(Semantic::Positions), places)]);
        Ok(self.mesh(name, attributes, None, Mode::LineLoop, look))
    }

    fn mesh(
        &mut self,
        name: &str,
        attributes: BTreeMap<Checked<Semantic>, Index<Accessor>>,
        indices: Option<Index<Accessor>>,
        mode: Mode,
        look: Index<Material>,
    ) -> Index<Mesh> {
        self.root.push(Mesh {
            extensions: None,
            extras: None,
            name: Some(name.to_owned()),
            primitives: vec![Primitive {
                attributes,
                extensions: None,
                extras: None,
                indices,
                material: Some(look),
                mode: Checked::Valid(mode),
                targets: None,
            }],
            weights: None,
        })
    }

    /// A named place for a mesh, moved by `at`, with what is said of it.
    pub(super) fn node(
        &mut self,
        name: &str,
        mesh: Index<Mesh>,
        at: Option<[f32; 3]>,
        said: Option<&Json>,
    ) -> Index<Node> {
        self.root.push(Node {
            mesh: Some(mesh),
            name: Some(name.to_owned()),
            translation: at,
            // A value of plain text and numbers always writes.
            extras: said.and_then(|said| to_raw_value(said).ok()),
            ..Node::default()
        })
    }

    /// Nodes under one name.
    pub(super) fn group(&mut self, name: &str, children: Vec<Index<Node>>) -> Index<Node> {
        self.root.push(Node {
            // The format knows no empty list.
            children: (!children.is_empty()).then_some(children),
            name: Some(name.to_owned()),
            ..Node::default()
        })
    }

    /// Points, with the box about them that the format asks for.
    fn places(&mut self, points: &[[f32; 3]]) -> Result<Index<Accessor>> {
        let ends = |pick: fn(f32, f32) -> f32, start: f32| {
            let fold = |axis: usize| points.iter().map(|p| p[axis]).fold(start, pick);
            Value::from([fold(0), fold(1), fold(2)].map(f64::from).to_vec())
        };
        let ends = [
            ends(f32::min, f32::INFINITY),
            ends(f32::max, f32::NEG_INFINITY),
        ];
        self.vectors(points, Some(ends))
    }

    fn vectors(
        &mut self,
        vectors: &[[f32; 3]],
        ends: Option<[Value; 2]>,
    ) -> Result<Index<Accessor>> {
        let bytes = vectors.iter().flatten().flat_map(|v| v.to_le_bytes());
        let view = self.view(bytes, Target::ArrayBuffer)?;
        let [min, max] = ends.map_or([None, None], |ends| ends.map(Some));
        Ok(self.accessor(
            view,
            vectors.len(),
            (ComponentType::F32, Type::Vec3),
            [min, max],
        ))
    }

    fn corners(&mut self, faces: &[[u32; 3]]) -> Result<Index<Accessor>> {
        let bytes = faces.iter().flatten().flat_map(|v| v.to_le_bytes());
        let view = self.view(bytes, Target::ElementArrayBuffer)?;
        let of = (ComponentType::U32, Type::Scalar);
        Ok(self.accessor(view, 3 * faces.len(), of, [None, None]))
    }

    fn accessor(
        &mut self,
        view: Index<View>,
        count: usize,
        (component, type_): (ComponentType, Type),
        [min, max]: [Option<Value>; 2],
    ) -> Index<Accessor> {
        self.root.push(Accessor {
            buffer_view: Some(view),
            byte_offset: None,
            count: USize64(count as u64),
            component_type: Checked::Valid(GenericComponentType(component)),
            extensions: None,
            extras: None,
            type_: Checked::Valid(type_),
            min,
            max,
            name: None,
            normalized: false,
            sparse: None,
        })
    }

    /// All numbers take four bytes, so that every view starts where the format wants it.
    fn view(&mut self, bytes: impl Iterator<Item = u8>, target: Target) -> Result<Index<View>> {
        let start = self.bytes.len();
        self.bytes.extend(bytes);
        if u32::try_from(self.bytes.len()).is_err() {
            return Err(too_large(self.bytes.len()));
        }
        Ok(self.root.push(View {
            buffer: Index::new(0),
            byte_length: USize64((self.bytes.len() - start) as u64),
            byte_offset: Some(USize64(start as u64)),
            byte_stride: None,
            name: None,
            target: Some(Checked::Valid(target)),
            extensions: None,
            extras: None,
        }))
    }

    /// Header, description, bytes.
    pub(super) fn into_glb(mut self, roots: Vec<Index<Node>>) -> Result<Vec<u8>> {
        let scene = self.root.push(Scene {
            extensions: None,
            extras: None,
            name: Some("body".to_owned()),
            nodes: roots,
        });
        self.root.scene = Some(scene);
        self.root.push(Buffer {
            byte_length: USize64(self.bytes.len() as u64),
            name: None,
            uri: None,
            extensions: None,
            extras: None,
        });
        let mut text = self
            .root
            .to_vec()
            .map_err(|error| Error::options(format!("the model cannot be described: {error}")))?;
        // Each part ends at a multiple of four bytes: text is filled with spaces.
        text.resize(text.len().next_multiple_of(4), b' ');
        let all = HEADER + 2 * PART_HEADER + text.len() + self.bytes.len();
        let length = |bytes: usize| u32::try_from(bytes).map_err(|_| too_large(bytes));
        let mut out = Vec::with_capacity(all);
        out.extend(b"glTF");
        out.extend(2_u32.to_le_bytes());
        out.extend(length(all)?.to_le_bytes());
        for (kind, part) in [(b"JSON", &text), (b"BIN\0", &self.bytes)] {
            out.extend(length(part.len())?.to_le_bytes());
            out.extend(kind);
            out.extend(part);
        }
        Ok(out)
    }
}

const HEADER: usize = 12;
const PART_HEADER: usize = 8;
