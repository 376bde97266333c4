//! What runs keep away from, as the search asks for it: near, where, and on the way to the seated place.

use std::sync::Arc;

use geom::{Aabb, Element, Mesh, Solid, Straight, Vec3, distance_element_solid};
use job::model::Keepout;

use crate::search::field::Field;

/// How far beyond its clearance the field around a mesh reaches, mm: a tube's radius and room to skip.
const FIELD_REACH: f64 = 80.0;

/// Least step along a move by which the header is put on, beside and within a mesh, mm.
const STEP: f64 = 3.0;

/// Step within a mesh as a share of the depth.
const COARSE: f64 = 0.25;

/// How far beyond its need a mesh is looked at on such a move, mm: longer looks cost more and step farther.
const LOOK: f64 = 12.0;

/// Something to keep away from.
#[derive(Debug, Clone)]
pub struct Obstacle {
    /// Name of the obstacle.
    pub name: String,
    /// Shape of the obstacle.
    pub solid: Solid,
    /// A box around it.
    pub bounds: Aabb,
    /// Gap to keep, mm.
    pub clearance: f64,
    /// Whether runs may start and end in it.
    pub holds_ports: bool,
    /// Whether it is a tool's way, and not there while the header is put on.
    pub tool: bool,
    /// Bounds on the distance to a mesh, filled as it is used.
    pub field: Option<Arc<Field>>,
}

impl Obstacle {
    /// What keeps runs away from `keepout`; `tool`: see the field of that name.
    pub fn new(keepout: &Keepout, tool: bool) -> Self {
        let bounds = keepout.shape.bounds();
        let reach = keepout.clearance + FIELD_REACH;
        let field = matches!(keepout.shape, Solid::Mesh(_)).then(|| Arc::new(Field::new(&bounds, reach)));
        Obstacle {
            name: keepout.name.clone(),
            solid: keepout.shape.clone(),
            bounds,
            clearance: keepout.clearance,
            holds_ports: keepout.holds_ports,
            tool,
            field,
        }
    }

    /// A lower bound on the distance from `p`, mm, that costs little.
    pub fn distance_below(&self, p: Vec3) -> f64 {
        let known = self.field.as_ref().and_then(|f| f.below(&self.solid, p));
        known.unwrap_or_else(|| self.bounds.distance(p))
    }

    /// How far the point `p`, followed along the places of `slide`, comes within `need` mm at the worst, and the way out
    /// there.
    pub fn worst_on(&self, slide: &[Vec3], p: Vec3, need: f64) -> Option<(f64, Vec3)> {
        let moves = slide.windows(2).filter_map(|leg| self.nearest_place(p + leg[0], p + leg[1], need));
        let near =
            moves.map(|place| self.solid.nearest(place, need)).min_by(|a, b| a.distance.total_cmp(&b.distance))?;
        Some((need - near.distance, near.normal))
    }

    /// The place between `from` and `to` that is nearest to the solid, where it is nearer than `need` mm.
    fn nearest_place(&self, from: Vec3, to: Vec3, need: f64) -> Option<Vec3> {
        let apart = (from.min(to) - self.bounds.max).max(self.bounds.min - from.max(to)).max(Vec3::ZERO);
        if apart.length_squared() >= need * need {
            return None;
        }
        let way = Straight { start: from, direction: (to - from).normalize_or_zero(), length: (to - from).length() };
        if let Solid::Mesh(mesh) = &self.solid {
            return self.nearest_to_mesh(mesh, way, need);
        }
        distance_element_solid(&Element::Straight(way), &self.solid, need).map(|a| way.start + way.direction * a.at)
    }

    fn nearest_to_mesh(&self, mesh: &Mesh, mut way: Straight, need: f64) -> Option<Vec3> {
        loop {
            let free = self.distance_below(way.start) - need;
            if free < STEP {
                break;
            }
            way.start += way.direction * free;
            way.length -= free;
            if way.length < 0.0 {
                return None;
            }
        }
        let step = way.direction * way.length;
        let nearest = mesh.distance_segment(way.start, way.start + step, need);
        // Within a closed mesh the surface is not the worst place.
        let crossed = nearest.is_some_and(|(distance, _)| distance == 0.0);
        if mesh.has_inside() && (crossed || mesh.nearest(way.start, need).distance < 0.0) {
            return self.deepest_place(mesh, way, need);
        }
        nearest.map(|(_, share)| way.start + step * share)
    }

    /// About the place of `way` that is deepest in the mesh: it steps over what can hold nothing deeper, and by a share of
    /// the depth, as deep within only the direction out matters.
    fn deepest_place(&self, mesh: &Mesh, way: Straight, need: f64) -> Option<Vec3> {
        let (mut least, mut deepest) = (need, None);
        let mut along = 0.0;
        while along <= way.length {
            let place = way.start + way.direction * along;
            let mut beyond = self.distance_below(place) - least;
            if beyond < 0.0 {
                beyond = mesh.nearest(place, least + LOOK).distance - least;
                if beyond < 0.0 {
                    (least, deepest, beyond) = (least + beyond, Some(place), 0.0);
                }
            }
            along += beyond.max(STEP).max(COARSE * (need - least - beyond));
        }
        deepest
    }
}

#[cfg(test)]
mod tests {
    use geom::mesh::RawMesh;

    use super::*;

    fn obstacle(shape: Solid) -> Obstacle {
        let keepout = Keepout { name: "block".into(), shape, clearance: 0.0, holds_ports: false };
        Obstacle::new(&keepout, false)
    }

    /// A block from -20 to 20 as a mesh.
    fn block() -> Mesh {
        let corner = |i: usize| Vec3::new((i & 1) as f64, (i >> 1 & 1) as f64, (i >> 2) as f64) * 40.0 - 20.0;
        let sides = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let triangles = sides.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
        let raw = RawMesh { vertices: (0..8).map(corner).collect(), triangles, hints: Vec::new() };
        Mesh::new(raw).expect("a closed block")
    }

    #[test]
    fn a_point_that_slides_past_a_ball_is_nearest_abreast_of_it() {
        let ball = obstacle(Solid::Sphere { center: Vec3::ZERO, radius: 10.0 });
        // Seated far off; on the way it passes 15 mm from the centre.
        let slide = [Vec3::new(-50.0, -85.0, 0.0), Vec3::new(50.0, -85.0, 0.0), Vec3::ZERO];
        let (by, normal) = ball.worst_on(&slide, Vec3::Y * 100.0, 8.0).expect("5 mm away where 8 are needed");
        assert!((by - 3.0).abs() < 2e-3 && (normal - Vec3::Y).length() < 0.02, "{by} {normal}");
        assert!(ball.worst_on(&slide, Vec3::Y * 100.0, 4.9).is_none());
    }

    #[test]
    fn a_block_and_its_mesh_are_met_alike() {
        let solid =
            obstacle(Solid::Box { center: Vec3::ZERO, size: Vec3::splat(40.0), axes: [Vec3::X, Vec3::Y, Vec3::Z] });
        let mesh = obstacle(Solid::Mesh(Arc::new(block())));
        let mut rng = oorandom::Rand64::new(7);
        let mut any = || Vec3::new(rng.rand_float(), rng.rand_float(), rng.rand_float()) * 140.0 - 70.0;
        let (mut clear, mut beside, mut within) = (0, 0, 0);
        for _ in 0..3000 {
            let (slide, p) = ([any(), any(), Vec3::ZERO], any());
            let [of_solid, of_mesh] = [&solid, &mesh].map(|o| o.worst_on(&slide, p, 12.0).map_or(0.0, |w| w.0));
            match of_solid {
                0.0 => clear += 1,
                by if by < 12.0 => beside += 1,
                _ => within += 1,
            }
            // Within the mesh the place is sought in steps.
            let slack = if of_solid < 12.0 { 2e-3 } else { STEP.max(COARSE * of_solid) };
            assert!((of_solid - of_mesh).abs() <= slack, "{slide:?} {p}: {of_solid} {of_mesh}");
        }
        assert!(clear > 300 && beside > 300 && within > 300, "{clear} {beside} {within}");
    }
}
