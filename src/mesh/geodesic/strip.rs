//! A strip of faces laid flat, and the string drawn taut in it.

use super::links::Links;
use crate::mesh::TriMesh;
use nalgebra::{Point3, Vector2};
use std::f64::consts::{PI, TAU};

/// A way over faces, from a place on the first to a place on the last.
#[derive(Clone, Debug)]
pub(super) struct Strip {
    pub(super) from: Point3<f64>,
    pub(super) to: Point3<f64>,
    pub(super) first: u32,
    /// The edges crossed, in order.
    pub(super) edges: Vec<u32>,
    /// The vertices on which the ends lie, if they do.
    pub(super) ends_at: [Option<u32>; 2],
}

/// The taut string in a strip.
#[derive(Clone, Debug)]
pub(super) struct Taut {
    pub(super) length: f64,
    /// Where it bends, in order.
    pub(super) turns: Vec<Turn>,
}

/// A corner of the strip at which the string bends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turn {
    pub(super) vertex: u32,
    /// One of the crossed edges that end in it.
    pub(super) portal: usize,
    /// Angle between the two legs on the side of the strip, in radians.
    pub(super) angle: f64,
}

type Flat = Vector2<f64>;

/// An end of a crossed edge, laid flat.
#[derive(Clone, Copy, Debug)]
struct Corner {
    place: Flat,
    vertex: Option<u32>,
}

impl Strip {
    /// The strip without what turns about a vertex on which an end lies: a leg of no length has no direction.
    pub(super) fn trimmed(mut self, links: &Links) -> Self {
        let [from, to] = self.ends_at;
        let about = |edge: u32, end: Option<u32>| end.is_some_and(|v| links.has(edge, v));
        while self.edges.last().is_some_and(|&edge| about(edge, to)) {
            self.edges.pop();
        }
        let turns = |edge: &&u32| about(**edge, from);
        let count = self.edges.iter().take_while(turns).count();
        for edge in self.edges.drain(..count) {
            self.first = links.across(edge, self.first);
        }
        self
    }

    /// The faces from the first to the last.
    pub(super) fn faces(&self, links: &Links) -> Vec<u32> {
        let mut faces = vec![self.first];
        let mut face = self.first;
        for &edge in &self.edges {
            face = links.across(edge, face);
            faces.push(face);
        }
        faces
    }

    /// First and last of the crossed edges about `portal` that end in a vertex.
    pub(super) fn about(&self, vertex: u32, portal: usize, links: &Links) -> (usize, usize) {
        let ends_in = |&at: &usize| links.has(self.edges[at], vertex);
        let first = (0..portal).rev().take_while(ends_in).last();
        let last = (portal..self.edges.len()).take_while(ends_in).last();
        (first.unwrap_or(portal), last.unwrap_or(portal))
    }

    /// The shortest string within the strip.
    pub(super) fn taut(&self, mesh: &TriMesh, links: &Links) -> Taut {
        let (start, mut gates, goal) = self.flat(mesh, links);
        let end = Corner {
            place: goal,
            vertex: None,
        };
        gates.push([end, end]);
        let corners = funnel(start, &gates);
        let places: Vec<Flat> = [start]
            .into_iter()
            .chain(corners.iter().map(|&(at, side)| gates[at][side].place))
            .chain([goal])
            .collect();
        let length: f64 = places.windows(2).map(|w| (w[1] - w[0]).norm()).sum();
        let turns = corners
            .iter()
            .zip(places.windows(3))
            .filter_map(|(&(portal, side), w)| {
                let (back, on) = (w[0] - w[1], w[2] - w[1]);
                // From the leg that leaves, turning through the strip, to the leg that comes.
                let turned = back.perp(&on).atan2(back.dot(&on));
                let mut angle = if side == LEFT { turned } else { -turned };
                angle = angle.rem_euclid(TAU);
                if angle < PI - 1e-6 {
                    angle += TAU;
                }
                Some(Turn {
                    vertex: gates[portal][side].vertex?,
                    portal,
                    angle,
                })
            })
            .collect();
        Taut { length, turns }
    }

    /// Start, crossed edges as (left, right), and goal, laid flat.
    fn flat(&self, mesh: &TriMesh, links: &Links) -> (Flat, Vec<[Corner; 2]>, Flat) {
        let point = |v: u32| mesh.points()[v as usize];
        let Some(&first) = self.edges.first() else {
            let apart = nalgebra::distance(&self.from, &self.to);
            return (Flat::zeros(), Vec::new(), Flat::new(apart, 0.0));
        };
        // Seen from outside a face's corners run counter-clockwise: leaving it over p-q, q is left.
        let corners = mesh.faces()[self.first as usize];
        let side = links.edges[self.first as usize]
            .iter()
            .position(|&edge| edge == first)
            .unwrap_or(0);
        let (right, left) = (corners[side], corners[(side + 1) % 3]);
        let width = nalgebra::distance(&point(right), &point(left));
        let corner = |vertex: u32, place: Flat| Corner {
            place,
            vertex: Some(vertex),
        };
        let mut gate = [
            corner(left, Flat::new(0.0, width)),
            corner(right, Flat::zeros()),
        ];
        let lay = |gate: &[Corner; 2], to: &Point3<f64>| {
            let apart = |side: usize| gate[side].vertex.map_or(0.0, |v| (to - point(v)).norm());
            beyond(
                gate[RIGHT].place,
                gate[LEFT].place,
                apart(RIGHT),
                apart(LEFT),
            )
        };
        let start = {
            let mut behind = lay(&gate, &self.from);
            behind.x = -behind.x;
            behind
        };
        let mut gates = vec![gate];
        let mut face = links.across(first, self.first);
        for &edge in &self.edges[1..] {
            let known = [LEFT, RIGHT].map(|side| gate[side].vertex);
            let new = mesh.faces()[face as usize]
                .into_iter()
                .find(|&v| !known.contains(&Some(v)));
            if let Some(new) = new {
                let place = lay(&gate, &point(new));
                // The corner that both edges share stays; the new one stands for the other.
                let moved = if known[LEFT].is_some_and(|v| links.has(edge, v)) {
                    RIGHT
                } else {
                    LEFT
                };
                gate[moved] = corner(new, place);
            }
            gates.push(gate);
            face = links.across(edge, face);
        }
        let goal = lay(&gate, &self.to);
        (start, gates, goal)
    }
}

const LEFT: usize = 0;
const RIGHT: usize = 1;

/// The place at given distances from both ends of an edge, on the far side of it.
fn beyond(right: Flat, left: Flat, from_right: f64, from_left: f64) -> Flat {
    let edge = left - right;
    let width = edge.norm();
    if width <= 0.0 {
        return right + Flat::new(from_right, 0.0);
    }
    let unit = edge / width;
    let along = (from_right * from_right - from_left * from_left + width * width) / (2.0 * width);
    let off = (from_right * from_right - along * along).max(0.0).sqrt();
    right + unit * along + Flat::new(unit.y, -unit.x) * off
}

/// Gates and sides at which the shortest string from `start` through all gates bends; the last gate is the goal.
fn funnel(start: Flat, gates: &[[Corner; 2]]) -> Vec<(usize, usize)> {
    let mut corners = Vec::new();
    let mut apex = Corner {
        place: start,
        vertex: None,
    };
    // For each side the gate that bounds the view from the apex: none yet bounds nothing.
    let mut bound: [Option<usize>; 2] = [None; 2];
    let mut at = 0;
    while at < gates.len() {
        let mut restart = None;
        for side in [LEFT, RIGHT] {
            let other = 1 - side;
            let turn = if side == LEFT { 1.0 } else { -1.0 };
            let to = gates[at][side];
            let ray = |corner: Corner| corner.place - apex.place;
            let same = |a: Corner, b: Corner| a.vertex.is_some() && a.vertex == b.vertex;
            // Positive if `to` lies farther out on its side than the bound.
            let outward = bound[side].map_or(-1.0, |k| turn * ray(gates[k][side]).perp(&ray(to)));
            let touching = bound[side].is_some_and(|k| same(gates[k][side], apex));
            if outward > 0.0 && !touching {
                continue;
            }
            let crossed = bound[other].filter(|&k| {
                let far = gates[k][other];
                !same(far, apex) && turn * ray(far).perp(&ray(to)) < 0.0
            });
            match crossed {
                None => bound[side] = Some(at),
                Some(k) => {
                    restart = Some((k, other));
                    break;
                }
            }
        }
        match restart {
            Some((k, side)) => {
                corners.push((k, side));
                apex = gates[k][side];
                bound = [None; 2];
                at = k + 1;
            }
            None => at += 1,
        }
    }
    corners
}
