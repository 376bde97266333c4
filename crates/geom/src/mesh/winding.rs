//! Inside or outside by the winding number, for meshes that are not one clean closed surface.
//!
//! The winding number of a point is the solid angle of all triangles seen from it over 4 pi: 1
//! inside, 0 outside, and still close to it where a few triangles are wrong (Jacobson, Kavan and
//! Sorkine-Hornung, ACM Trans. Graph. 32 (2013) 33). Far boxes of triangles are replaced by their
//! dipole, the first-order term of Barill, Dickson, Schmidt, Levin and Jacobson, Fast winding
//! numbers for soups and clouds, ACM Trans. Graph. 37 (2018) 43 (from memory). Their accuracy
//! parameter beta is 2; with the first term alone 3 keeps the error well below the half that
//! would matter.

use super::tree::{Child, TriangleTree};
use super::triangle::solid_angle;
use crate::Vec3;

/// A box of triangles is taken as its dipole beyond this many of its radii.
const FAR: f64 = 3.0;

/// Dipoles of the four children of each node, in the order of the tree's nodes.
#[derive(Debug, Clone)]
pub(super) struct Winding {
    dipoles: Vec<[Dipole; 4]>,
    /// Whether a triangle counts, in the order of the tree.
    counts: Vec<bool>,
}

#[derive(Debug, Clone, Copy)]
struct Dipole {
    centre: Vec3,
    /// Sum of area vectors, mm2.
    area: Vec3,
    radius: f64,
    /// Sum of areas, mm2.
    weight: f64,
}

impl Winding {
    /// Prepares the sums; only triangles for which `counts` holds (in tree order) take part.
    pub fn new(tree: &TriangleTree, counts: Vec<bool>) -> Self {
        let nothing = Dipole { centre: Vec3::ZERO, area: Vec3::ZERO, radius: 0.0, weight: 0.0 };
        let mut winding = Winding { dipoles: vec![[nothing; 4]; tree.nodes.len()], counts };
        // Children have higher numbers than their parents: backwards is from the leaves up.
        for node in (0..tree.nodes.len()).rev() {
            for k in 0..4 {
                winding.dipoles[node][k] = winding.dipole(tree, tree.nodes[node].child[k]).unwrap_or(nothing);
            }
        }
        winding
    }

    fn dipole(&self, tree: &TriangleTree, child: u32) -> Option<Dipole> {
        let mut sum = (Vec3::ZERO, Vec3::ZERO, 0.0);
        let mut add = |centre: Vec3, area: Vec3, weight: f64| {
            sum = (sum.0 + centre * weight, sum.1 + area, sum.2 + weight);
        };
        match Child::of(child) {
            Child::None => return None,
            Child::Leaf(range) => range.filter(|&t| self.counts[t]).for_each(|t| {
                let [a, b, c] = tree.corners[t];
                let area = 0.5 * (b - a).cross(c - a);
                add((a + b + c) / 3.0, area, area.length());
            }),
            Child::Node(node) => self.dipoles[node].iter().for_each(|d| add(d.centre, d.area, d.weight)),
        }
        let centre = if sum.2 > 0.0 { sum.0 / sum.2 } else { return None };
        let radius = match Child::of(child) {
            Child::None => 0.0,
            Child::Leaf(range) => {
                let far = |t: usize| tree.corners[t].iter().map(|v| (*v - centre).length()).fold(0.0, f64::max);
                range.filter(|&t| self.counts[t]).map(far).fold(0.0, f64::max)
            }
            Child::Node(node) => {
                let weighty = self.dipoles[node].iter().filter(|d| d.weight > 0.0);
                weighty.map(|d| (d.centre - centre).length() + d.radius).fold(0.0, f64::max)
            }
        };
        Some(Dipole { centre, area: sum.1, radius, weight: sum.2 })
    }

    /// The winding number of `p`.
    pub fn at(&self, tree: &TriangleTree, p: Vec3) -> f64 {
        let mut angle = 0.0;
        let mut open = vec![0usize];
        while let Some(node) = open.pop() {
            for (k, dipole) in self.dipoles[node].iter().enumerate() {
                let away = dipole.centre - p;
                let square = away.length_squared();
                if square > FAR * FAR * dipole.radius * dipole.radius {
                    angle += dipole.area.dot(away) / (square * square.sqrt());
                    continue;
                }
                match Child::of(tree.nodes[node].child[k]) {
                    Child::None => {}
                    Child::Node(below) => open.push(below),
                    Child::Leaf(range) => {
                        let mine = range.filter(|&t| self.counts[t]);
                        angle += mine.map(|t| solid_angle(p, &tree.corners[t])).sum::<f64>();
                    }
                }
            }
        }
        angle / (4.0 * std::f64::consts::PI)
    }
}
