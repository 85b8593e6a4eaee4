//! A shaded picture of a mesh, seen level from afar, on nothing.

use crate::mesh::TriMesh;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use nalgebra::{Point3, Vector3};

/// Where the viewer stands: the body's directions to the right of the picture and towards the eye.
/// Up is the body's up.
#[derive(Clone, Copy, Debug)]
pub(super) struct Eye {
    /// To the right of the picture.
    pub(super) right: Vector3<f64>,
    /// Out of the picture.
    pub(super) near: Vector3<f64>,
}

impl Eye {
    /// Across and up the picture, and towards the eye, in the mesh's own lengths.
    pub(super) fn place(&self, point: &Point3<f64>) -> [f64; 3] {
        [
            self.right.dot(&point.coords),
            point.z,
            self.near.dot(&point.coords),
        ]
    }
}

/// A picture and what lies how near in it.
#[derive(Clone, Debug)]
pub(super) struct Picture {
    /// Left, right, bottom and top edge in the mesh's own lengths.
    pub(super) edges: [f64; 4],
    /// PNG, shades of grey on nothing.
    png: Vec<u8>,
    columns: usize,
    rows: usize,
    /// Length of a sample, and of each sample of the picture how near its skin is; −∞ for none.
    cell: f64,
    nearest: Vec<f32>,
}

/// Most picture elements across or up: sharp at twice the size it is seen at.
const MOST: f64 = 760.0;
/// Samples across and up each picture element, so that edges are smooth.
const SAMPLES: usize = 2;
/// Light from above the viewer's left shoulder, along right, up and near.
const LIGHT: [f64; 3] = [-0.35, 0.5, 0.79];
/// Darkest and brightest shade, and steps between: few steps, so that the picture packs small.
const SHADES: (f64, f64, f64) = (92.0, 226.0, 26.0);

impl Picture {
    /// Draws the skin towards an eye; `None` for a mesh without extent.
    pub(super) fn of(mesh: &TriMesh, eye: &Eye) -> Option<Self> {
        let places: Vec<[f64; 3]> = mesh.points().iter().map(|p| eye.place(p)).collect();
        let mut edges = [
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
        ];
        for [u, v, _] in &places {
            edges = [
                edges[0].min(*u),
                edges[1].max(*u),
                edges[2].min(*v),
                edges[3].max(*v),
            ];
        }
        let (wide, high) = (edges[1] - edges[0], edges[3] - edges[2]);
        let longest = wide.max(high);
        if !(longest.is_finite() && wide > 0.0 && high > 0.0) {
            return None;
        }
        #[expect(clippy::cast_precision_loss, reason = "two")]
        let cell = longest / MOST / SAMPLES as f64;
        let (columns, rows) = (elements(wide / cell), elements(high / cell));
        let mut samples = Samples {
            across: columns * SAMPLES,
            nearest: vec![f32::NEG_INFINITY; columns * rows * SAMPLES * SAMPLES],
            shade: vec![0.0; columns * rows * SAMPLES * SAMPLES],
        };
        let shades = shades(mesh, eye);
        for face in mesh.faces() {
            let corners = face.map(|at| {
                let [u, v, near] = places[at as usize];
                [(u - edges[0]) / cell, (edges[3] - v) / cell, near]
            });
            samples.draw(corners, face.map(|at| shades[at as usize]));
        }
        let png = samples.packed(columns, rows)?;
        // The picture is a whole number of elements: its right and bottom edge with them.
        #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
        let size = |count: usize| (count * SAMPLES) as f64 * cell;
        edges[1] = edges[0] + size(columns);
        edges[2] = edges[3] - size(rows);
        Some(Self {
            edges,
            png,
            columns,
            rows,
            cell,
            nearest: samples.nearest,
        })
    }

    /// The picture as a link that holds all of it.
    pub(super) fn link(&self) -> String {
        format!("data:image/png;base64,{}", STANDARD.encode(&self.png))
    }

    /// True if skin no more than `slack` nearer to the eye covers the place.
    pub(super) fn shows(&self, [u, v, near]: [f64; 3], slack: f64) -> bool {
        let across = ((u - self.edges[0]) / self.cell).floor();
        let down = ((self.edges[3] - v) / self.cell).floor();
        let (across, down) = (sample(across), sample(down));
        let wide = self.columns * SAMPLES;
        if across >= wide || down >= self.rows * SAMPLES {
            return false;
        }
        f64::from(self.nearest[down * wide + across]) <= near + slack
    }
}

/// A count of elements that holds a length; at least one.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "at most MOST times SAMPLES, never below nought"
)]
fn elements(samples: f64) -> usize {
    (samples.ceil() as usize).div_ceil(SAMPLES).max(1)
}

/// A sample's place; what lies outside below nought is put at nought.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates at nought; the caller checks the other end"
)]
fn sample(place: f64) -> usize {
    place.max(0.0) as usize
}

/// How bright each point is, 0 to 1, by its normal, which is that of the faces around it evened out
/// once over the neighbours.
fn shades(mesh: &TriMesh, eye: &Eye) -> Vec<f64> {
    let normals = mesh.point_normals();
    let mut even = vec![Vector3::zeros(); normals.len()];
    for face in mesh.faces() {
        let sum: Vector3<f64> = face.iter().map(|&at| normals[at as usize]).sum();
        for &at in face {
            even[at as usize] += sum;
        }
    }
    let bright = |normal: &Vector3<f64>| {
        let Some(normal) = normal.try_normalize(f64::MIN_POSITIVE) else {
            return 0.5;
        };
        let facing = eye.near.dot(&normal).max(0.0);
        let towards = Vector3::from(LIGHT);
        let lit = eye.right.dot(&normal) * towards.x + normal.z * towards.y + facing * towards.z;
        (0.1 + 0.5 * lit.max(0.0) + 0.4 * facing).min(1.0)
    };
    even.iter().map(bright).collect()
}

struct Samples {
    across: usize,
    nearest: Vec<f32>,
    shade: Vec<f32>,
}

impl Samples {
    /// One face: at each sample it covers, its skin if that is nearer than what is there.
    fn draw(&mut self, corners: [[f64; 3]; 3], shades: [f64; 3]) {
        let [a, b, c] = corners;
        let area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        if area == 0.0 {
            return;
        }
        let span = |axis: usize, most: usize| {
            let (low, high) = corners.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), p| {
                (l.min(p[axis]), h.max(p[axis]))
            });
            sample((low - 0.5).ceil())..sample((high + 0.5).floor()).min(most)
        };
        let down = self.nearest.len() / self.across;
        for row in span(1, down) {
            for column in span(0, self.across) {
                #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
                let (x, y) = (column as f64 + 0.5, row as f64 + 0.5);
                let by_b = ((x - a[0]) * (c[1] - a[1]) - (y - a[1]) * (c[0] - a[0])) / area;
                let by_c = ((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / area;
                let by_a = 1.0 - by_b - by_c;
                if by_a < 0.0 || by_b < 0.0 || by_c < 0.0 {
                    continue;
                }
                #[expect(clippy::cast_possible_truncation, reason = "a picture")]
                let mix = |p: [f64; 3]| (by_a * p[0] + by_b * p[1] + by_c * p[2]) as f32;
                let near = mix([a[2], b[2], c[2]]);
                let at = row * self.across + column;
                if near > self.nearest[at] {
                    self.nearest[at] = near;
                    self.shade[at] = mix(shades);
                }
            }
        }
    }

    /// The samples evened out over each picture element, as PNG.
    fn packed(&self, columns: usize, rows: usize) -> Option<Vec<u8>> {
        let mut bytes = Vec::with_capacity(2 * columns * rows);
        for row in 0..rows {
            for column in 0..columns {
                let (mut sum, mut count) = (0.0_f64, 0.0_f64);
                for y in 0..SAMPLES {
                    for x in 0..SAMPLES {
                        let at = (row * SAMPLES + y) * self.across + column * SAMPLES + x;
                        if self.nearest[at].is_finite() {
                            sum += f64::from(self.shade[at]);
                            count += 1.0;
                        }
                    }
                }
                bytes.extend(element(sum, count));
            }
        }
        let mut png = Vec::new();
        let (wide, high) = (u32::try_from(columns).ok()?, u32::try_from(rows).ok()?);
        let mut encoder = png::Encoder::new(&mut png, wide, high);
        encoder.set_color(png::ColorType::GrayscaleAlpha);
        encoder.set_depth(png::BitDepth::Eight);
        encoder.set_compression(png::Compression::High);
        // Few shades: rows repeat as they are, and differences between them do not.
        encoder.set_filter(png::Filter::NoFilter);
        encoder.write_header().ok()?.write_image_data(&bytes).ok()?;
        Some(png)
    }
}

/// Shade and cover of a picture element from the sum over its covered samples.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "0 to 255"
)]
fn element(sum: f64, count: f64) -> [u8; 2] {
    if count == 0.0 {
        return [0, 0];
    }
    let (dark, light, steps) = SHADES;
    let step = (sum / count * steps).round() / steps;
    #[expect(clippy::cast_precision_loss, reason = "four")]
    let cover = count / (SAMPLES * SAMPLES) as f64;
    [(dark + step * (light - dark)) as u8, (255.0 * cover) as u8]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::samples::{icosphere, mesh};

    const FRONT: Eye = Eye {
        right: Vector3::new(-1.0, 0.0, 0.0),
        near: Vector3::new(0.0, 1.0, 0.0),
    };

    /// A ball of radius 1 covers π/4 of the square about it, less what its facets cut off; its near
    /// side shows and its far side does not.
    #[test]
    fn a_ball_is_a_disc() {
        let picture = Picture::of(&mesh(icosphere(6)), &FRONT).unwrap();
        let seen = picture
            .nearest
            .iter()
            .filter(|near| near.is_finite())
            .count();
        #[expect(clippy::cast_precision_loss, reason = "a test")]
        let share = seen as f64 / picture.nearest.len() as f64;
        assert!(
            (share - std::f64::consts::FRAC_PI_4).abs() < 0.01,
            "{share}"
        );
        assert!(picture.shows([0.0, 0.0, 1.0], 0.02));
        assert!(!picture.shows([0.0, 0.0, -1.0], 0.02));
        assert!(!picture.shows([9.0, 0.0, 1.0], 0.02));
    }

    #[test]
    fn nothing_gives_no_picture() {
        assert!(Picture::of(&TriMesh::default(), &FRONT).is_none());
    }
}
