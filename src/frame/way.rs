//! The scan on its way from the file's coordinates into the body frame.
//!
//! Deciding where up and front are takes a few hundred cuts, and none of them needs the detail of
//! a fine scan. So decisions are made on a thinner stand-in, step by step, and the scan itself
//! goes the whole way in a stride or two.

use super::pick::{self, Choice};
use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::mesh::{Bounds, TriMesh};
use crate::parallel::map_slice;
use nalgebra::{Matrix4, Vector3};

/// Length to which a body is brought before its unit is known, so that limits in mm mean about the same for all.
const NOMINAL_MM: f64 = 1700.0;
/// A scan of more faces than this gets a stand-in; a grown body's has about half as many.
const FINE: usize = 300_000;
/// Points of the stand-in are about so far apart: a bow of 60 mm radius, a neck's or an arm's, is drawn
/// in by 0.05 mm.
const CELL_MM: f64 = 6.0;

/// A mesh, the steps it has come, and the steps the scan it stands for has yet to take.
pub(super) struct Way {
    /// What decisions are made on: the scan itself, or its stand-in.
    pub(super) mesh: TriMesh,
    /// All steps from the file's coordinates to those of `mesh`.
    pub(super) matrix: Matrix4<f64>,
    /// Square to a plate that was scanned with the body and left out, in the coordinates of `mesh`; its sign says nothing.
    pub(super) plate: Option<Vector3<f64>>,
    fine: Option<Fine>,
}

/// A scan that is finer than decisions need.
struct Fine {
    mesh: TriMesh,
    /// The steps that `mesh` has not been taken through.
    ahead: Matrix4<f64>,
}

impl Way {
    /// The body alone, brought to a nominal length.
    ///
    /// # Errors
    /// [`ErrorKind::Body`](crate::ErrorKind::Body) if the mesh has no size or no area, or holds two bodies.
    pub(super) fn start(mesh: TriMesh, findings: &mut Vec<Finding>) -> Result<Self> {
        // Scaled before anything is squared: coordinates may be of any size.
        let (mesh, first) = nominal(mesh)?;
        Self::of_body(mesh, first, findings)
    }

    /// Drops what lies around the body, and makes a stand-in if it is fine.
    pub(super) fn of_body(
        mesh: TriMesh,
        matrix: Matrix4<f64>,
        findings: &mut Vec<Finding>,
    ) -> Result<Self> {
        let before = mesh.faces().len();
        let (mesh, stand_in, plate) = body_alone(mesh, findings)?;
        if mesh.faces().len() == before {
            return Ok(Self::with(mesh, stand_in, matrix, plate));
        }
        let (mesh, again) = nominal(mesh)?;
        let stand_in = (mesh.faces().len() > FINE).then(|| mesh.thinned(CELL_MM).mesh);
        Ok(Self::with(mesh, stand_in, again * matrix, plate))
    }

    fn with(
        mesh: TriMesh,
        stand_in: Option<TriMesh>,
        matrix: Matrix4<f64>,
        plate: Option<Vector3<f64>>,
    ) -> Self {
        match stand_in {
            None => Self {
                mesh,
                matrix,
                plate,
                fine: None,
            },
            Some(stand_in) => Self {
                mesh: stand_in,
                matrix,
                plate,
                fine: Some(Fine {
                    mesh,
                    ahead: Matrix4::identity(),
                }),
            },
        }
    }

    pub(super) fn go(self, step: Matrix4<f64>) -> Result<Self> {
        Ok(Self {
            mesh: self.mesh.map_points(|p| step.transform_point(&p))?,
            matrix: step * self.matrix,
            plate: self
                .plate
                .map(|square| step.transform_vector(&square).normalize()),
            fine: self.fine.map(|fine| Fine {
                ahead: step * fine.ahead,
                ..fine
            }),
        })
    }

    /// Takes the scan itself to where its stand-in is.
    pub(super) fn catch_up(mut self) -> Result<Self> {
        if let Some(Fine { mesh, ahead }) = self.fine {
            self.fine = Some(Fine {
                mesh: mesh.map_points(|p| ahead.transform_point(&p))?,
                ahead: Matrix4::identity(),
            });
        }
        Ok(self)
    }

    /// The scan itself, where it was last taken to.
    pub(super) fn scan(&self) -> &TriMesh {
        self.fine.as_ref().map_or(&self.mesh, |fine| &fine.mesh)
    }

    /// True if the scan has a stand-in.
    pub(super) fn is_fine(&self) -> bool {
        self.fine.is_some()
    }

    /// The scan itself, where it was last taken to, and its stand-in if it has one.
    pub(super) fn into_meshes(self) -> (TriMesh, Option<TriMesh>) {
        match self.fine {
            None => (self.mesh, None),
            Some(fine) => (fine.mesh, Some(self.mesh)),
        }
    }

    /// Turns all faces over.
    pub(super) fn flip_faces(&mut self) {
        self.mesh.flip_faces();
        if let Some(fine) = &mut self.fine {
            fine.mesh.flip_faces();
        }
    }

    /// Length of a file unit after the steps so far.
    pub(super) fn scale(&self) -> f64 {
        self.matrix.fixed_view::<3, 1>(0, 0).norm()
    }

    /// A direction of the file after the steps so far, length one.
    pub(super) fn direction(&self, file: &Vector3<f64>) -> Vector3<f64> {
        (self.matrix.fixed_view::<3, 3>(0, 0) * file).normalize()
    }
}

/// Brings the middle to the origin and the greatest extent to a nominal length.
fn nominal(mesh: TriMesh) -> Result<(TriMesh, Matrix4<f64>)> {
    let size = |b: &Bounds| b.extent().max();
    let bounds = mesh
        .bounds()
        .filter(|b| size(b) > f64::MIN_POSITIVE && size(b).is_finite())
        .ok_or_else(|| Error::body("the mesh has no size; it is not a body"))?;
    let shift = Matrix4::new_translation(&-bounds.centre().coords);
    let step = Matrix4::new_scaling(NOMINAL_MM / size(&bounds)) * shift;
    Ok((mesh.map_points(|p| step.transform_point(&p))?, step))
}

/// The body without what lies around it; with its stand-in, if it is fine and nothing was dropped, and square to
/// what plate was.
fn body_alone(
    mesh: TriMesh,
    findings: &mut Vec<Finding>,
) -> Result<(TriMesh, Option<TriMesh>, Option<Vector3<f64>>)> {
    if mesh.faces().len() <= FINE {
        let components = mesh.components();
        let Choice { parts, plate } =
            pick::choose(&mesh, components.of_face(), components.count(), findings)?;
        let pieces = parts.as_ref().map_or(components.count(), Vec::len);
        let mesh = match parts {
            None => mesh,
            Some(kept) => mesh.keep_components(&components, &kept),
        };
        return Ok((as_found(mesh, pieces), None, plate));
    }
    let thin = mesh.thinned(CELL_MM);
    let of_face = map_slice(thin.mesh.faces(), |face| thin.part[face[0] as usize]);
    let Choice { parts, plate } = pick::choose(&thin.mesh, &of_face, thin.parts, findings)?;
    let Some(kept) = parts else {
        let stand_in = as_found(thin.mesh, thin.parts);
        return Ok((as_found(mesh, thin.parts), Some(stand_in), plate));
    };
    let pieces = kept.len();
    let mut wanted = vec![false; thin.parts];
    for part in kept {
        wanted[part as usize] = true;
    }
    let part = |face: &[u32; 3]| thin.part[thin.stand_in[face[0] as usize] as usize];
    let mesh = mesh.select(|face| wanted[part(face) as usize]);
    Ok((as_found(mesh, pieces), None, plate))
}

/// A body of so many pieces.
fn as_found(mesh: TriMesh, pieces: usize) -> TriMesh {
    if pieces > 1 { mesh.in_pieces() } else { mesh }
}
