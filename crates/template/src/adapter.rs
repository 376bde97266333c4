//! The sheet between an opening that is not round and its tube.
//!
//! It stands on the plate around the opening, its inside flush with it, and ends square to the flow, its inside flush with
//! the tube's bore. Its surface joins the points of equal outward normal of both edges. Where the flow is square to the
//! plate that is the developable one; where it leans the strips between neighbouring points are two plane triangles each,
//! which keeps both edges at their true lengths. Plate frame: x to the right and y up seen along the flow, z out of the head.
//! All edges of the pattern are those of the middle of the wall (common practice, no source).

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use job::details::OpeningShape;
use job::model::Units;
use job::show;

use crate::cope::positive;
use crate::drawing::Drawing;
use crate::flange::{Port, corners, in_words};
use crate::hull::{Band, Disc};
use crate::sheet::{Ruling, draw_unrolled, edge_places, rulings, whole_band};
use crate::{DrawingError, Vec2};

/// A transition from an opening to a tube. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Adapter {
    /// The opening, its centre at the origin, turned `turn` rad counter-clockwise.
    pub opening: OpeningShape,
    /// See [`Adapter::opening`], rad.
    pub turn: f64,
    /// Unit direction of the flow in the plate's frame.
    pub flow: [f64; 3],
    /// Length along the flow.
    pub length: f64,
    /// Outside diameter of the tube.
    pub od: f64,
    /// Wall of tube and sheet.
    pub wall: f64,
}

impl Adapter {
    /// Stretches of the opening's edge, `out` mm outside of it.
    fn bands(&self, out: f64) -> Vec<Band> {
        let port = Port::at_origin(self.opening, self.turn);
        if let OpeningShape::D { diameter, flat } = self.opening {
            let r = 0.5 * diameter;
            let half = FRAC_PI_2 + (flat / r).asin();
            let corner = |angle: f64| Vec2::from_angle(self.turn + angle) * r;
            let [right, left, down] = [FRAC_PI_2 - half, FRAC_PI_2 + half, 1.5 * PI];
            let band = |centre, radius: f64, from: f64, to: f64| Band {
                disc: Disc { centre, radius: radius + out },
                from: from + self.turn,
                to: to + self.turn,
            };
            return vec![
                band(Vec2::ZERO, r, right, left),
                band(corner(left), 0.0, left, down),
                band(corner(right), 0.0, down, right + TAU),
            ];
        }
        let discs: Vec<Disc> = corners(&port).into_iter().map(|d| Disc { radius: d.radius + out, ..d }).collect();
        whole_band(&discs)
    }

    /// Rulings of the surface `out` mm outside of the inner one.
    fn rulings(&self, out: f64) -> Vec<Ruling> {
        let [fx, fy, fz] = self.flow;
        let radius = 0.5 * self.od - self.wall + out;
        rulings(&self.bands(out), |normal| {
            // The normal turned into the plane square to the flow.
            let along = normal.x * fx + normal.y * fy;
            let aside = [normal.x - along * fx, normal.y - along * fy, -along * fz];
            let long = aside.iter().map(|c| c * c).sum::<f64>().sqrt();
            std::array::from_fn(|k| self.flow[k] * self.length + aside[k] / long * radius)
        })
    }

    /// Places once around its edge at the plate and at the tube, `out` mm outside of its inner surface.
    pub fn edge_places(&self, out: f64) -> [Vec<[f64; 3]>; 2] {
        edge_places(&self.rulings(out))
    }

    /// The flat pattern, its words with lengths in `units`.
    ///
    /// # Errors
    /// [`DrawingError::NotPositive`].
    pub fn pattern(&self, name: &str, units: Units) -> Result<Drawing, DrawingError> {
        positive(&[("length of a transition", self.length), ("wall", self.wall), ("bore", self.od - 2.0 * self.wall)])?;
        let exact = |l: f64| show::exact_with_unit(l, units);
        let mut drawing = Drawing::new(name, format!("Transition from port to tube {}", exact(self.od)));
        drawing.note(format!(
            "{} long along the flow, {} sheet, inside flush with the opening ({}) and with the tube's bore.",
            exact(self.length),
            exact(self.wall),
            in_words(&Port::at_origin(self.opening, self.turn), units)
        ));
        drawing.note("Edges at mid-wall; seen from the inside of the sheet. Fold along the lines; roll where lines are close together. Seam: the two short edges.");
        draw_unrolled(&mut drawing, &self.rulings(0.5 * self.wall));
        Ok(drawing)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Layer;
    use crate::sheet::unrolled;

    fn adapter(opening: OpeningShape, flow: [f64; 3]) -> Adapter {
        Adapter { opening, turn: 0.3, flow, length: 30.0, od: 44.45, wall: 1.65 }
    }

    /// Lengths of the two edges laid flat.
    fn edges(a: &Adapter) -> [f64; 2] {
        let (feet, heads) = unrolled(&a.rulings(0.5 * a.wall));
        [feet, heads].map(|e| e.windows(2).map(|p| p[0].distance(p[1])).sum())
    }

    #[test]
    fn edges_are_as_long_as_the_opening_and_the_tube_at_mid_wall() {
        // An outline offset by h grows by 2 pi h: 0.825 here.
        let grown = TAU * 0.825;
        let rectangle = OpeningShape::Rectangular { width: 38.0, height: 34.0, corner: 6.0 };
        let oval = OpeningShape::Oval { width: 44.0, height: 36.0 };
        let d = OpeningShape::D { diameter: 45.72, flat: 17.78 };
        let half = (17.78_f64 / 22.86).asin();
        let d_edge = 22.86 * (PI + 2.0 * half) + 2.0 * (22.86_f64.powi(2) - 17.78_f64.powi(2)).sqrt();
        for (opening, girth) in [(rectangle, 2.0 * (26.0 + 22.0) + TAU * 6.0), (oval, 16.0 + PI * 36.0), (d, d_edge)] {
            let [foot, head] = edges(&adapter(opening, [0.0, 0.0, 1.0]));
            assert!((foot - girth - grown).abs() < 0.01, "{opening:?}: {foot} {girth}");
            assert!((head - PI * 42.8).abs() < 0.01, "{opening:?}: {head}");
        }
    }

    #[test]
    fn a_leaning_transition_keeps_its_edges_and_its_seam() {
        let lean = 11f64.to_radians();
        let a = adapter(OpeningShape::Oval { width: 44.0, height: 36.0 }, [lean.sin(), 0.0, lean.cos()]);
        let [_, head] = edges(&a);
        assert!((head - PI * 42.8).abs() < 0.01, "{head}");
        let (feet, heads) = unrolled(&a.rulings(0.825));
        let seam = |i: usize| feet[i].distance(heads[i]);
        assert!((seam(0) - seam(feet.len() - 1)).abs() < 1e-9);
        let drawing = a.pattern("t", Units::Mm).unwrap();
        assert!(drawing.length(Layer::Cut) > 250.0 && drawing.notes[0].contains("oval"));
    }
}
