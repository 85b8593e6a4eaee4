//! Random bytes as numbers, choices and meshes; when they run out, zeros.

use girthwise::mesh::TriMesh;
use nalgebra::Point3;

/// Bytes taken from the front.
#[derive(Debug)]
pub struct Bytes<'a>(pub &'a [u8]);

impl Bytes<'_> {
    /// True if none are left.
    pub fn is_spent(&self) -> bool {
        self.0.is_empty()
    }

    fn take<const N: usize>(&mut self) -> [u8; N] {
        let mut taken = [0; N];
        let count = N.min(self.0.len());
        taken[..count].copy_from_slice(&self.0[..count]);
        self.0 = &self.0[count..];
        taken
    }

    /// A byte.
    pub fn byte(&mut self) -> u8 {
        self.take::<1>()[0]
    }

    /// A whole number below `count`, which is not 0.
    pub fn below(&mut self, count: usize) -> usize {
        usize::from(u16::from_le_bytes(self.take())) % count
    }

    /// From 0 to 1.
    pub fn share(&mut self) -> f64 {
        f64::from(u16::from_le_bytes(self.take())) / f64::from(u16::MAX)
    }

    /// From -1 to 1, 0 too.
    pub fn signed(&mut self) -> f64 {
        f64::from(i16::from_le_bytes(self.take()).max(-i16::MAX)) / f64::from(i16::MAX)
    }

    /// A coordinate: of a small grid, where planes meet vertices exactly, or any number below
    /// 1e100, whose square is still one.
    fn coordinate(&mut self, kind: u8) -> f64 {
        let any = match kind % 4 {
            0 => f64::from(self.byte() as i8 / 16),
            1 => f64::from(self.byte() as i8),
            2 => f64::from(f32::from_le_bytes(self.take())),
            _ => f64::from_le_bytes(self.take()),
        };
        if any.abs() < 1e100 { any } else { 0.0 }
    }

    /// A mesh of at most 200 points and 400 faces, with anything that can be wrong with one; or
    /// a closed one: a fan of tetrahedra, each with all four faces.
    pub fn mesh(&mut self) -> TriMesh {
        let kind = self.byte();
        let count = 1 + self.below(200);
        let points = (0..count)
            .map(|_| Point3::from([0; 3].map(|_| self.coordinate(kind))))
            .collect();
        let mut faces = Vec::new();
        let corner = |bytes: &mut Self| u32::from(bytes.byte()) % count as u32;
        while !self.is_spent() && faces.len() < 400 {
            let [a, b, c] = [0; 3].map(|_| corner(self));
            faces.push([a, b, c]);
            if kind & 16 != 0 {
                let d = corner(self);
                faces.extend([[a, d, b], [b, d, c], [c, d, a]]);
            }
        }
        TriMesh::new(points, faces).expect("finite, and in range")
    }
}
