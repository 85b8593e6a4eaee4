//! glTF 2.0 (ISO/IEC 12113:2022), as text and binary: every mesh of the scene, joined, where its
//! nodes put it.
//!
//! The document is read here with serde: quantised points, exact node transforms and a place for
//! each fault are wanted, and pictures, materials and animations are not.

use super::faces::FaceSink;
use super::{Limits, Parsed, excerpt};
use crate::error::{Error, Place, Result, Spot};
use crate::finding::Finding;
use crate::length::LengthUnit;
use crate::mesh::{TriMesh, check_finite};
use accessor::Store;
use nalgebra::{Matrix4, Point3, Quaternion, Translation3, UnitQuaternion, Vector3};
use schema::{Node, Primitive, Root};
use std::collections::BTreeMap;
use std::path::Path;

mod accessor;
mod buffers;
mod schema;

/// What is wrong with a document, without the name of the file.
#[derive(Debug)]
struct Fault(String);

impl Fault {
    fn packed(extension: &str) -> Self {
        Self(format!(
            "its shape is packed ({extension}), which is not read; export it as GLB without mesh compression"
        ))
    }
}

/// Beginnings of the extensions that change no shape, or are read.
const HARMLESS: [&str; 5] = [
    "KHR_materials_",
    "KHR_texture_",
    "KHR_lights_",
    "EXT_texture_",
    "KHR_mesh_quantization",
];

/// The most parts a scene may have: parts without faces, shown over and over, cost time and no memory.
const MOST_PRIMITIVES: u64 = 100_000;

/// Reads a glTF file; `beside` is the folder it lies in, if it is known.
pub(super) fn read(
    name: &str,
    bytes: &[u8],
    beside: Option<&Path>,
    limits: &Limits,
) -> Result<Parsed> {
    let told = |Fault(what)| Error::input(Place::new(name, Spot::Whole), what);
    let container = buffers::open(bytes).map_err(told)?;
    buffers::check_structure(container.json).map_err(told)?;
    let root: Root = serde_json::from_slice(container.json).map_err(|fault| {
        let spot = if container.chunk.is_none() && fault.line() > 0 {
            Spot::Line(fault.line() as u64)
        } else {
            Spot::Whole
        };
        let what = format!("the glTF document cannot be read ({fault}); export it again");
        Error::input(Place::new(name, spot), what)
    })?;
    if !root.asset.version.starts_with("2.") {
        let what = format!(
            "glTF of version {:?} is not read; export it as glTF 2.0",
            root.asset.version
        );
        return Err(told(Fault(what)));
    }
    let buffers = buffers::load(name, &root, container.chunk, beside, limits)?;
    let mut scene = Scene {
        name,
        limits,
        store: Store { root, buffers },
        points: Vec::new(),
        triangles: Vec::new(),
        seen: Seen::default(),
    };
    scene.walk()?;
    scene.finish()
}

/// What of a scene was met that is not, or not wholly, in the mesh.
#[derive(Default)]
struct Seen {
    primitives: u64,
    points_or_lines: u64,
    skins: bool,
    targets: bool,
}

/// The mesh while it grows.
struct Scene<'a> {
    name: &'a str,
    limits: &'a Limits,
    store: Store<'a>,
    points: Vec<Point3<f64>>,
    triangles: Vec<[u32; 3]>,
    seen: Seen,
}

impl Scene<'_> {
    fn fault(&self, what: impl Into<String>) -> Error {
        Error::input(Place::new(self.name, Spot::Whole), what)
    }

    /// Goes through the nodes from the roots of the scene down, each once.
    fn walk(&mut self) -> Result<()> {
        let count = self.store.root.nodes.len();
        let mut waiting: Vec<_> = self
            .roots()?
            .into_iter()
            .map(|root| (root, Matrix4::identity()))
            .collect();
        waiting.reverse();
        let mut met = vec![false; count];
        while let Some((number, above)) = waiting.pop() {
            let Some(node) = self.store.root.nodes.get(number) else {
                return Err(self.fault(format!(
                    "node {number} is named, but there are only {count}"
                )));
            };
            // By the standard nodes make trees; a ring would never end, a knot could grow without bounds.
            if std::mem::replace(&mut met[number], true) {
                return Err(self.fault(format!(
                    "node {number} has two places in the scene; export it again"
                )));
            }
            let here = above * local(node);
            waiting.extend(node.children.iter().rev().map(|&child| (child, here)));
            if let Some(mesh) = node.mesh {
                // The standard places a mesh on a skeleton by its joints, not by its node.
                let skin = node.skin.is_some();
                self.seen.skins |= skin;
                self.mesh(mesh, &if skin { Matrix4::identity() } else { here })?;
            }
        }
        if count == 0 {
            for mesh in 0..self.store.root.meshes.len() {
                self.mesh(mesh, &Matrix4::identity())?;
            }
        }
        Ok(())
    }

    /// Roots of the scene to show, or of the first one, or all nodes that hang on no other.
    fn roots(&self) -> Result<Vec<usize>> {
        let root = &self.store.root;
        match (root.scenes.get(root.scene.unwrap_or(0)), root.scene) {
            (Some(scene), _) => Ok(scene.nodes.clone()),
            (None, Some(number)) => {
                Err(self.fault(format!("scene {number} is named, but not there")))
            }
            (None, None) => {
                let mut hangs = vec![false; root.nodes.len()];
                for &child in root.nodes.iter().flat_map(|node| &node.children) {
                    if let Some(slot) = hangs.get_mut(child) {
                        *slot = true;
                    }
                }
                Ok((0..hangs.len()).filter(|&at| !hangs[at]).collect())
            }
        }
    }

    fn mesh(&mut self, number: usize, to: &Matrix4<f64>) -> Result<()> {
        // Taken out while its primitives are added to the rest of the scene.
        let Some(slot) = self.store.root.meshes.get_mut(number) else {
            return Err(self.fault(format!("mesh {number} is named, but not there")));
        };
        let primitives = std::mem::take(&mut slot.primitives);
        let mut placed = BTreeMap::new();
        let done = primitives
            .iter()
            .enumerate()
            .try_for_each(|(at, primitive)| {
                self.primitive(primitive, to, &mut placed)
                    .map_err(|error| match error {
                        Stop::Fault(Fault(what)) => {
                            self.fault(format!("mesh {number}, primitive {at}: {what}"))
                        }
                        Stop::Error(error) => error,
                    })
            });
        self.store.root.meshes[number].primitives = primitives;
        done
    }

    /// Adds a primitive; `placed` tells which points of this mesh are already there, and from where.
    fn primitive(
        &mut self,
        primitive: &Primitive,
        to: &Matrix4<f64>,
        placed: &mut BTreeMap<usize, u32>,
    ) -> std::result::Result<(), Stop> {
        const DRACO: &str = "KHR_draco_mesh_compression";
        self.seen.primitives += 1;
        if self.seen.primitives > MOST_PRIMITIVES {
            let what = "the scene has more parts than a scan has; export the scan as one mesh";
            return Err(Fault(what.into()).into());
        }
        self.seen.targets |= !primitive.targets.is_empty();
        if primitive.extensions.contains_key(DRACO) {
            return Err(Fault::packed(DRACO).into());
        }
        let mode = primitive.mode.unwrap_or(4);
        if mode < 4 {
            self.seen.points_or_lines += 1;
            return Ok(());
        }
        let &position = primitive
            .attributes
            .get("POSITION")
            .ok_or_else(|| Fault("it has no points".into()))?;
        let count = self.store.count(position)?;
        let from = match placed.get(&position) {
            Some(&from) => from,
            None => {
                let from = self.place(position, to)?;
                placed.insert(position, from);
                from
            }
        };
        let corners = match primitive.indices {
            Some(indices) => self.store.indices(indices)?,
            // The points are in memory, and their number fits in 32 bits.
            None => (0..u32::MAX)
                .take(usize::try_from(count).unwrap_or(usize::MAX))
                .collect(),
        };
        if let Some((at, index)) = (0_u64..)
            .zip(&corners)
            .find(|&(_, &index)| u64::from(index) >= count)
        {
            let what = format!(
                "corner {at} names vertex {index}, but there are only {count}, numbered from 0"
            );
            return Err(Fault(what).into());
        }
        let more = if mode == 4 {
            corners.len() / 3
        } else {
            corners.len()
        };
        self.limits
            .check_faces((self.triangles.len() + more) as u64)?;
        let before = self.triangles.len();
        triangles(mode, &corners, |face| {
            self.triangles.push(face.map(|index| index + from))
        })?;
        // A transform that mirrors turns faces over, and the standard turns them back.
        if to.fixed_view::<3, 3>(0, 0).determinant() < 0.0 {
            for face in &mut self.triangles[before..] {
                face.swap(1, 2);
            }
        }
        Ok(())
    }

    /// Adds the points of an accessor; says from which number on they stand.
    fn place(&mut self, position: usize, to: &Matrix4<f64>) -> std::result::Result<u32, Stop> {
        let before = self.points.len() as u64;
        self.limits
            .check_vertices(before.saturating_add(self.store.count(position)?))?;
        let points = self.store.points(position)?;
        self.points
            .extend(points.iter().map(|point| to.transform_point(point)));
        // Within the limit checked above.
        u32::try_from(before).map_err(|_| Fault("it has too many points".into()).into())
    }

    fn finish(self) -> Result<Parsed> {
        if self.triangles.is_empty() {
            return Err(self.fault(if self.seen.points_or_lines > 0 {
                "the file has points or lines but no faces; export the scan as a mesh (a surface of triangles)"
            } else {
                "the file shows no mesh; export the scan again"
            }));
        }
        check_finite(self.name, &self.points)?;
        let mut sink = FaceSink::new(&self.points, self.limits, self.triangles.len());
        self.triangles.iter().for_each(|&face| sink.triangle(face));
        let (faces, mut findings) = sink.finish();
        findings.extend(remarks(&self.seen, &self.store.root));
        let Store { root, buffers } = self.store;
        let beside = buffers.into_iter().zip(&root.buffers);
        Ok(Parsed {
            unit_hint: Some(LengthUnit::Metre),
            beside: beside
                .filter(|(_, buffer)| buffer.is_beside())
                .map(|(bytes, _)| bytes.into_owned())
                .collect(),
            ..Parsed::of(TriMesh::from_sound(self.points, faces), findings)
        })
    }
}

/// Why a primitive cannot be added.
enum Stop {
    /// Something in the document, to be told with the primitive's place.
    Fault(Fault),
    /// An error that has its place.
    Error(Error),
}

impl From<Fault> for Stop {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

impl From<Error> for Stop {
    fn from(error: Error) -> Self {
        Self::Error(error)
    }
}

/// A node's own transform: its matrix, or scale, then turn, then shift.
fn local(node: &Node) -> Matrix4<f64> {
    if let Some(columns) = node.matrix {
        return Matrix4::from_column_slice(&columns);
    }
    let shift = Vector3::from(node.translation.unwrap_or([0.0; 3]));
    let [x, y, z, w] = node.rotation.unwrap_or([0.0, 0.0, 0.0, 1.0]);
    let turn = UnitQuaternion::from_quaternion(Quaternion::new(w, x, y, z));
    let scale = Vector3::from(node.scale.unwrap_or([1.0; 3]));
    Translation3::from(shift).to_homogeneous()
        * turn.to_homogeneous()
        * Matrix4::new_nonuniform_scaling(&scale)
}

/// Gives out the triangles of a list, a strip or a fan, as section 3.7.2.1 of the standard orders
/// their corners.
fn triangles(
    mode: u32,
    corners: &[u32],
    mut give: impl FnMut([u32; 3]),
) -> std::result::Result<(), Fault> {
    match mode {
        4 => {
            let (faces, rest) = corners.as_chunks::<3>();
            if !rest.is_empty() {
                let what = format!(
                    "{} corners make no whole number of triangles",
                    corners.len()
                );
                return Err(Fault(what));
            }
            faces.iter().for_each(|&face| give(face));
        }
        5 => {
            for (at, window) in corners.windows(3).enumerate() {
                let [a, b, c] = [window[0], window[1], window[2]];
                give(if at % 2 == 0 { [a, b, c] } else { [a, c, b] });
            }
        }
        6 => {
            let Some((&first, rest)) = corners.split_first() else {
                return Ok(());
            };
            rest.windows(2)
                .for_each(|pair| give([pair[0], pair[1], first]));
        }
        _ => return Err(Fault(format!("faces of mode {mode} are not known"))),
    }
    Ok(())
}

fn remarks(seen: &Seen, root: &Root) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut look = |text: String| findings.push(Finding::look("glTF", text));
    if seen.points_or_lines > 0 {
        look(format!(
            "{} of {} parts are points or lines and were left out.",
            seen.points_or_lines, seen.primitives
        ));
    }
    if seen.skins {
        look(
            "The mesh hangs on a skeleton; it was read in the pose in which its points are \
              stored. Export it posed and without skeleton if that is another pose."
                .into(),
        );
    }
    if seen.targets {
        look(
            "The mesh has shapes to blend in; it was read without them. Export it as it should \
              be measured if they matter."
                .into(),
        );
    }
    let strange: Vec<_> = root
        .extensions_required
        .iter()
        .filter(|name| !HARMLESS.iter().any(|known| name.starts_with(known)))
        .take(4)
        .map(|name| excerpt(name.as_bytes()))
        .collect();
    if !strange.is_empty() {
        look(format!(
            "The file says one must know {} to read it, which this program does not; look \
             whether the body is whole.",
            strange.join(", ")
        ));
    }
    findings
}
