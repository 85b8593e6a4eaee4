//! From a mesh in any unit and any axes to a body in the body frame.
//!
//! ```text
//! mesh -> body alone -> up -> floor -> unit -> mid-sagittal plane -> front -> body frame
//! ```
//!
//! The body frame is right-handed: x to the wearer's right, y forward, z up,
//! in mm; the floor is at z = 0, the mid-sagittal plane at x = 0, the middle
//! of the trunk at y = 0. Unit, up and front are found on the body's own
//! shape; each decision keeps its evidence and can be given instead.
//!
//! A mirrored file cannot be found out: it looks like a mirrored person.

use crate::error::{Error, Result};
use crate::finding::Finding;
use crate::length::{Length, LengthUnit};
use crate::mesh::TriMesh;
use crate::parallel::map_chunks;
use crate::section::PlaneAxes;
use nalgebra::{Matrix4, Point3, Vector2, Vector3};

mod axis;
mod core_line;
mod cut_off;
mod decision;
mod facing;
mod floor;
mod lean;
mod levels;
mod midline;
mod pick;
mod unit;
mod up;
mod way;

use up::Source;
use way::Way;

pub use axis::Axis;
pub use cut_off::Ends;
pub use decision::{Decision, FrameDecision, Front};
pub use unit::{GREATEST_STATURE_MM, LEAST_STATURE_MM};

/// What the caller knows about a file; what is left open is found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FrameOptions {
    /// The file's unit.
    pub unit: Option<LengthUnit>,
    /// The file axis that points up; of a body that stands along none of them, the nearest.
    pub up: Option<Axis>,
    /// The file axis nearest to straight ahead; how far the body is turned from it is found.
    pub front: Option<Axis>,
    /// True if the file is a mirror image, so that left and right must be swapped.
    pub mirrored: bool,
}

/// A standing body in the body frame.
#[derive(Clone, Debug)]
pub struct Body {
    mesh: TriMesh,
    /// A thinner mesh of a fine scan.
    stand_in: Option<TriMesh>,
    stature: Length,
    ends: Ends,
    floor_sd_mm: f64,
    upright_sd_deg: f64,
    frame: FrameDecision,
    findings: Vec<Finding>,
}

impl Body {
    /// Its skin in the body frame, in mm.
    #[must_use]
    pub fn mesh(&self) -> &TriMesh {
        &self.mesh
    }

    /// Its skin thinned to points about 6 mm apart if the scan is fine, else its skin: for searches
    /// that take many cuts. Numbers are taken on [`mesh`](Self::mesh).
    #[must_use]
    pub fn outline(&self) -> &TriMesh {
        self.stand_in.as_ref().unwrap_or(&self.mesh)
    }

    /// Height of its highest point above the floor.
    ///
    /// Too short by what is missing if the crown or the soles are. Where head or feet are not on the
    /// scan (see [`Body::ends`]) it is what usual proportions make of the rest, and the floor with it:
    /// good to look in the right place, never a measure.
    #[must_use]
    pub fn stature(&self) -> Length {
        self.stature
    }

    /// Which ends of the body are on the scan.
    #[must_use]
    pub fn ends(&self) -> Ends {
        self.ends
    }

    /// How uneven a ground is that was scanned with the feet, as a standard deviation in mm: all
    /// heights share it. 0 without one.
    #[must_use]
    pub fn floor_sd_mm(&self) -> f64 {
        self.floor_sd_mm
    }

    /// How surely its upright is the plumb line, as a standard deviation in degrees: half a degree,
    /// more where the soles do not lie level in it and no ground was scanned.
    #[must_use]
    pub fn upright_sd_deg(&self) -> f64 {
        self.upright_sd_deg
    }

    /// What was decided about the file's frame.
    #[must_use]
    pub fn frame(&self) -> &FrameDecision {
        &self.frame
    }

    /// What was decided, noticed or doubted on the way.
    #[must_use]
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }
}

/// Cosine of the greatest angle between a given front and the mid-sagittal plane (50 degrees: a
/// body turned by 45 is still within reach of the nearest axis; that of one that stands along no axis may be
/// farther off, and is taken all the same).
const FRONT_REACH: f64 = 0.643;

/// Puts a scan into the body frame.
///
/// # Errors
/// [`ErrorKind::Body`](crate::ErrorKind::Body) if the mesh is no whole
/// standing body, holds two, or does not show its unit, up or front clearly;
/// the text says what was seen and which option settles it.
/// [`ErrorKind::Options`](crate::ErrorKind::Options) if a given front lies
/// across the body.
///
/// # Cost
/// Linear in the faces; about 200 plane cuts.
pub fn find_frame(mesh: TriMesh, options: &FrameOptions) -> Result<Body> {
    let mut findings = Vec::new();
    let mut way = Way::start(mesh, &mut findings)?;

    let up = up::find_up(&way, options.up, &mut findings)?;
    let axes = PlaneAxes::square_to(up.direction)?;
    way = way.go(rows(
        axes.u.into_inner(),
        axes.v.into_inner(),
        axes.normal.into_inner(),
    ))?;

    let upright_sd_deg;
    (way, upright_sd_deg) = match up.source {
        Source::Axis => lean::straighten(way, &mut findings)?,
        Source::Body => lean::settle(way, &mut findings)?,
    };
    let mut ground = Vec::new();
    let (floor, uneven);
    (way, floor, uneven) = floor::find_floor(way, &mut ground)?;
    let tall = floor::find_crown(&way) - floor;
    way = way.go(Matrix4::new_translation(&Vector3::new(0.0, 0.0, -floor)))?;

    let per_file_unit = way.scale();
    let mm = options.unit.map(|unit| unit.in_mm() / per_file_unit);
    let place = cut_off::find(&way.mesh, tall, mm, &mut findings)?;
    if place.ends.feet {
        findings.append(&mut ground);
    }
    way = way.go(Matrix4::new_translation(&Vector3::new(0.0, 0.0, place.low)))?;
    let unit = unit::find_unit(place.stature / per_file_unit, options.unit, &mut findings)?;
    way = way.go(Matrix4::new_scaling(unit.value.in_mm() / per_file_unit))?;
    let stature = unit.value.in_mm() / per_file_unit * place.stature;
    let floor_sd_mm = unit.value.in_mm() / per_file_unit * uneven;

    let mut facing = facing::find_facing(&way.mesh, stature)?;
    let mut front = front(&mut facing, options.front, &way, &mut findings)?;
    if facing.stepped {
        findings.push(Finding::look(
            "stance",
            "one foot stands ahead of the other, so the midline was laid through the trunk alone; hip, crotch and thighs may be off a little; scan again with the feet side by side",
        ));
    }
    let ahead = facing.ahead.push(0.0);
    let right = ahead.cross(&Vector3::z());
    way = way.go(rows(right, ahead, Vector3::z()))?;
    let offset = facing.midline.offset
        * right.xy().dot(&Vector2::new(
            facing.midline.angle.cos(),
            facing.midline.angle.sin(),
        ));
    let depth = facing.midline.centre.dot(&facing.ahead);
    way = way.go(Matrix4::new_translation(&Vector3::new(
        -offset, -depth, 0.0,
    )))?;
    if options.mirrored {
        way = way.go(Matrix4::new_nonuniform_scaling(&Vector3::new(
            -1.0, 1.0, 1.0,
        )))?;
        front
            .evidence
            .push("left and right swapped, as the file was said to be a mirror image".into());
    }
    check_reach(&way.mesh, stature)?;
    let faces_turned = turn_faces(&mut way, options.mirrored, &mut findings);
    findings.push(Finding::note(
        "left and right",
        if options.mirrored {
            "swapped, as the file was said to be a mirror image"
        } else {
            "as the file has them; a mirrored scan looks like a mirrored person, so check a side you know"
        },
    ));
    findings.push(Finding::note(
        "midline",
        format!(
            "the plane in which trunk and thighs mirror themselves best; its place is sure to {:.1} mm in two cases of three, half of the skin mirrors within {:.1} mm",
            facing.midline.offset_sd,
            facing.midline.misfit / 1.4826
        ),
    ));
    let frame = FrameDecision {
        unit,
        up: up.decision,
        front,
        mirrored: options.mirrored,
        faces_turned,
        midline_sd_mm: facing.midline.offset_sd,
        matrix: std::array::from_fn(|r| std::array::from_fn(|c| way.matrix[(r, c)])),
    };
    let (mesh, stand_in) = way.catch_up()?.into_meshes();
    Ok(Body {
        stature: Length::from_mm(stature),
        ends: place.ends,
        floor_sd_mm,
        upright_sd_deg,
        frame,
        mesh,
        stand_in,
        findings,
    })
}

/// No body reaches farther to any side than this, in statures: arms held out level reach 0.55, and what is left of
/// a ground that was taken off may reach farther.
const MOST_REACH: f64 = 1.5;

/// Says so if something hangs on a body that would be taken for a part of it, in the body frame.
fn check_reach(mesh: &TriMesh, stature: f64) -> Result<()> {
    let reach = |p: &Point3<f64>| p.x.hypot(p.y);
    let mut points = mesh.points().iter();
    let Some(far) = points.find(|p| reach(p) > MOST_REACH * stature) else {
        return Ok(());
    };
    Err(Error::body(format!(
        "something hangs on the body that reaches {:.1} m away from it, {:.1} m over the floor: a stray point, a wall or the ground; cut it off in a program for meshes",
        reach(far) / 1000.0,
        far.z / 1000.0
    )))
}

/// Least and greatest coordinate along a direction.
fn extent(mesh: &TriMesh, along: &Vector3<f64>) -> (f64, f64) {
    let nothing = (f64::INFINITY, f64::NEG_INFINITY);
    let wider = |(low, high): (f64, f64), (l, h): (f64, f64)| (low.min(l), high.max(h));
    let chunks = map_chunks(mesh.points(), 1 << 15, |_, points: &[Point3<f64>]| {
        let places = points.iter().map(|p| along.dot(&p.coords));
        places.fold(nothing, |range, x| wider(range, (x, x)))
    });
    chunks.into_iter().fold(nothing, wider)
}

fn rows(x: Vector3<f64>, y: Vector3<f64>, z: Vector3<f64>) -> Matrix4<f64> {
    nalgebra::Matrix3::from_rows(&[x.transpose(), y.transpose(), z.transpose()]).to_homogeneous()
}

/// Settles which of the two ways along the mid-sagittal plane is forward, and tells it in file axes.
fn front(
    facing: &mut facing::Facing,
    given: Option<Axis>,
    way: &Way,
    findings: &mut Vec<Finding>,
) -> Result<Decision<Front>> {
    let in_file = |ahead: &Vector2<f64>| {
        let turn = way.matrix.fixed_view::<3, 3>(0, 0).into_owned();
        let file = (turn.transpose() * ahead.push(0.0)).normalize();
        tell_front(&file, &(turn.transpose() * Vector3::z()))
    };
    let Some(axis) = given else {
        let front = in_file(&facing.ahead);
        let text = format!(
            "{}{}: {}",
            front.axis,
            turned(front.yaw_deg),
            facing.evidence.join("; ")
        );
        if facing.total < facing::LEAST_TOTAL {
            return Err(Error::body(format!(
                "front unknown: it lies along {} or {}, and the shape does not tell which ({}; against it: {}); give it, as in --front {}",
                front.axis,
                front.axis.opposite(),
                facing.evidence.join("; "),
                facing.against.join("; "),
                front.axis
            )));
        }
        if facing::is_contested(facing) {
            findings.push(Finding::look(
                "front",
                format!(
                    "{text}; {}; if the body faces {}, say so with --front {}",
                    if facing.against.is_empty() {
                        "that is little to go by".to_owned()
                    } else {
                        format!("but this speaks against it: {}", facing.against.join("; "))
                    },
                    front.axis.opposite(),
                    front.axis.opposite()
                ),
            ));
        } else {
            findings.push(Finding::note("front", text));
        }
        return Ok(Decision::found(front, facing.evidence.clone()));
    };
    let wanted = way.direction(&axis.vector()).xy();
    let towards = wanted.dot(&facing.ahead);
    let found = in_file(&facing.ahead);
    if towards.abs() < FRONT_REACH && ![found.axis, found.axis.opposite()].contains(&axis) {
        return Err(Error::options(format!(
            "the body cannot face {axis}: its left and right mirror each other in a plane along {} and {}; give one of these as the front",
            found.axis,
            found.axis.opposite()
        )));
    }
    if towards < 0.0 {
        facing.ahead = -facing.ahead;
        findings.push(Finding::look(
            "front",
            format!(
                "{axis} as given, though the shape speaks for {}: {}; look whether the front is right",
                found.axis,
                facing.evidence.join("; ")
            ),
        ));
    }
    Ok(Decision::given(
        in_file(&facing.ahead),
        format!("{axis} as given"),
    ))
}

fn tell_front(ahead: &Vector3<f64>, up: &Vector3<f64>) -> Front {
    let axis = Axis::nearest(ahead);
    let yaw = axis.vector().cross(ahead).dot(&up.normalize());
    Front {
        axis,
        yaw_deg: yaw.atan2(axis.vector().dot(ahead)).to_degrees(),
        direction: [ahead.x, ahead.y, ahead.z],
    }
}

fn turned(yaw_deg: f64) -> String {
    match yaw_deg {
        yaw if yaw.abs() < 0.5 => String::new(),
        yaw if yaw > 0.0 => format!(", turned {yaw:.0} degrees to the left"),
        yaw => format!(", turned {:.0} degrees to the right", -yaw),
    }
}

/// Turns faces outwards; true if the file had them inwards.
fn turn_faces(way: &mut Way, mirrored: bool, findings: &mut Vec<Finding>) -> bool {
    let inwards = way.mesh.signed_volume() < 0.0;
    if inwards {
        way.flip_faces();
    }
    // A mirror image turns them by itself.
    let turned = inwards != mirrored;
    if turned {
        findings.push(Finding::note(
            "faces",
            "the triangles looked inwards and were turned outwards; lengths do not depend on it",
        ));
    }
    turned
}
