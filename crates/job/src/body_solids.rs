//! What the body of a collector takes up in space, and the metal in it.

use std::f64::consts::PI;

use geom::{Frame, Solid, Vec3};

use crate::body::{Body, Making};
use crate::inlets::inlets;
use crate::model::{Collector, Groups, Pattern};

impl Body {
    /// The solids that it takes up when its collector stands in `frame`, for tubes of outside diameter `od` mm: from each
    /// inlet to the outlet, and the cone.
    pub fn solids(&self, collector: &Collector, frame: &Frame, od: f64) -> Vec<Solid> {
        let place = |v: Vec3| frame.origin + frame.forward * v.x + frame.right() * v.y + frame.up * v.z;
        let (end, cone_length) = (place(self.outlet), self.cone.map_or(0.0, |c| c.length));
        let axis = place(self.outlet_axis) - frame.origin;
        let own_end = end - axis * cone_length;
        let sleeve = match self.making {
            Making::Slip { clearance, .. } => 0.5 * (od + clearance) + self.wall,
            _ => 0.5 * od,
        };
        let mut solids: Vec<Solid> = inlets(collector, frame, od)
            .iter()
            .map(|inlet| match self.making {
                Making::Merge { .. } => Solid::Cylinder { from: inlet.in_plane, to: inlet.at, radius: sleeve },
                _ => Solid::Cone { from: inlet.in_plane, to: own_end, radii: [sleeve, 0.5 * self.outlet_od] },
            })
            .collect();
        if let Some(cone) = self.cone {
            solids.push(Solid::Cone { from: own_end, to: end, radii: [0.5 * self.outlet_od, 0.5 * cone.to] });
        }
        solids
    }

    /// Metal of its sleeves, sheet and cone, mm3; nothing of a bought one, and nothing of a merge's tubes, which are parts of
    /// the runs. Sheet counts as the frustum whose ends have the girths of the inlets together and of the outlet.
    pub fn sheet_volume(&self, collector: &Collector, od: f64) -> f64 {
        let cone = self.cone.map_or(0.0, |c| frustum([PI * self.outlet_od, PI * c.to], c.length));
        let (insertion, round) = match self.making {
            Making::Bought => return 0.0,
            Making::Merge { .. } => return cone * self.wall,
            Making::Slip { insertion, clearance } => (insertion, od + clearance + self.wall),
            Making::Plate => (0.0, od),
        };
        let sleeves = collector.inlets as f64 * PI * round * insertion;
        let pitch = od + collector.gap;
        let sides = match (collector.pattern, collector.inlets) {
            (_, 1) => 0.0,
            (Pattern::Line, n) => 2.0 * (n as f64 - 1.0),
            (_, n) => n as f64,
        };
        let sheet = frustum([sides * pitch + PI * round, PI * self.outlet_od], self.own_length() - insertion);
        (sleeves + sheet + cone) * self.wall
    }
}

/// Area of the side of a frustum with these girths over a height, mm2.
fn frustum([a, b]: [f64; 2], height: f64) -> f64 {
    0.5 * (a + b) * height.hypot((a - b) / (2.0 * PI))
}

/// Whether tubes can run together into one: evenly around the axis, and not divided.
pub fn merges(pattern: Pattern, inlets: usize, groups: Groups) -> bool {
    let even = match pattern {
        Pattern::Line => inlets == 2,
        Pattern::Square => inlets == 4,
        Pattern::Triangle | Pattern::Ring => inlets >= 2,
    };
    even && groups == Groups::None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cylinder_of_sheet_has_the_area_of_its_girth_and_height() {
        assert!((frustum([PI * 50.0; 2], 100.0) - PI * 5000.0).abs() < 1e-9);
        // From a point: the cone with r = 30, h = 40 has the side pi r s, s = 50.
        assert!((frustum([0.0, 60.0 * PI], 40.0) - PI * 30.0 * 50.0).abs() < 1e-9);
    }
}
