//! One straight or true arc of tube as an element with two ends, by forces.
//!
//! The forces at the far end fix those inside exactly, whatever the shape: with the near end held, a force F and a moment M
//! at the far end r_B give F and M + (r_B - r) x F at r. So the flexibility of the far end,
//!   f = integral of H' C H ds,  C = diag(1/EA, 1/kGA, 1/kGA; 1/GJ, k/EI, k/EI) in the axes of the section,
//! is exact for arcs as for straights, with E at the temperature of each place inside the integral. The stiffness between
//! both ends is B' f^-1 B, B = [-R, 1] with R the motion of the far end as a rigid body with the near one. Free growth is
//! the integral of the mean expansion times (T - reference) along the tangent. Motion inside the element comes from the
//! same integrals up to a place, so that the consistent mass has the exact static shapes; the rotary inertia of the section
//! is in it.
//!
//! Integrals: Gauss points between neighbouring rows of the temperature, eight (1e-12 for an arc of a quarter circle), or four in
//! straights and short arcs, where they do the same.

use geom::{Element, Vec3};

use crate::material::Material;
use crate::matrix::{Matrix, add, apply, cross, inverse, product, rigid, transposed, zero};
use crate::section::{Flexibility, Section};
use crate::table::Table;

/// mm in a metre: geometry comes in mm.
const MM: f64 = 1000.0;

/// Places and weights of Gauss-Legendre integration on [-1, 1], eight points (Abramowitz and Stegun, table 25.4).
const GAUSS: [(f64, f64); 8] = [
    (-0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
    (-0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (-0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (-0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

/// The same with four points.
const GAUSS_SHORT: [(f64, f64); 4] = [
    (-0.861_136_311_594_052_6, 0.347_854_845_137_453_9),
    (-0.339_981_043_584_856_3, 0.652_145_154_862_546_1),
    (0.339_981_043_584_856_3, 0.652_145_154_862_546_1),
    (0.861_136_311_594_052_6, 0.347_854_845_137_453_9),
];

/// Turn of an arc up to which four points do, rad: the ninth power of half of it, over 9!, is below 1e-12.
const SHORT: f64 = 0.3;

/// Bellows that take the place of a straight length of tube: as long as a beam of their stiffness, twisted as the tube is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bellows {
    /// Length, m.
    pub length: f64,
    /// Stiffness along the tube, N/m.
    pub axial: f64,
    /// Force across the tube over the movement of one end, both ends kept parallel, N/m.
    pub lateral: f64,
}

/// A stretch of tube that is one element.
#[derive(Debug, Clone)]
pub struct TubeElement<'a> {
    /// Its centreline, mm.
    pub shape: Element,
    /// Angle of the whole bend that it is a part of, rad; 0 for a straight.
    pub bend: f64,
    /// Where it begins along its tube, m.
    pub from: f64,
    /// Cross-section.
    pub section: Section,
    /// Metal.
    pub material: &'a Material,
    /// Metal temperature, K, over the length along the tube, m.
    pub temperature: &'a Table,
    /// How soft its bend is.
    pub flexibility: Flexibility,
    /// Bellows that it is a part of.
    pub bellows: Option<Bellows>,
}

/// What an element does between its two ends. Rows and columns: translation x, y, z, turn x, y, z in the frame's axes.
#[derive(Debug, Clone)]
pub struct ElementMatrices {
    /// Forces at both ends for their motion, N/m and Nm/rad.
    pub stiffness: Matrix<12, 12>,
    /// Consistent mass, kg and kg m2.
    pub mass: Matrix<12, 12>,
    /// Forces that free growth puts on the frame, N and Nm.
    pub growth: [f64; 12],
}

/// What a place in the element adds to the integrals, each over the forces at the far end.
struct Local {
    /// Strain and shear of the centreline.
    strain: Matrix<3, 6>,
    /// Curvature and twist.
    curvature: Matrix<3, 6>,
    /// Free growth of the centreline.
    growth: Vec3,
    place: Vec3,
}

/// The integrals from the near end to a place.
#[derive(Clone)]
struct Integrals {
    /// Turn of the place for the forces at the far end.
    turn: Matrix<3, 6>,
    /// Its translation without the part that the turn has about the origin.
    shift: Matrix<3, 6>,
    growth: Vec3,
}

impl Integrals {
    fn start() -> Self {
        Integrals { turn: zero(), shift: zero(), growth: Vec3::ZERO }
    }

    fn take(&mut self, weight: f64, local: &Local) {
        add(&mut self.turn, weight, &local.curvature);
        add(&mut self.shift, weight, &local.strain);
        // Curvature at r moves the place p by curvature x (p - r): the part with r here, the part with p in `flexibility`.
        add(&mut self.shift, weight, &product(&cross(local.place), &local.curvature));
        self.growth += weight * local.growth;
    }

    /// Motion of the place `at` for the forces at the far end.
    fn flexibility(&self, at: Vec3) -> Matrix<6, 6> {
        let mut shift = self.shift;
        add(&mut shift, -1.0, &product(&cross(at), &self.turn));
        std::array::from_fn(|i| if i < 3 { shift[i] } else { self.turn[i - 3] })
    }
}

impl TubeElement<'_> {
    /// Length, m.
    pub fn length(&self) -> f64 {
        self.shape.length() / MM
    }

    /// Place at `s` m from its beginning, m.
    pub fn place(&self, s: f64) -> Vec3 {
        self.shape.point(s * MM) / MM
    }

    /// Unit tangent, and two directions across: towards the centre of the bend and along its axis.
    fn axes(&self, s: f64) -> [Vec3; 3] {
        let tangent = self.shape.direction(s * MM);
        let inward = match &self.shape {
            Element::Arc(arc) => arc.inward_at(s * MM / arc.radius),
            Element::Straight(_) => geom::any_perpendicular(tangent),
        };
        [tangent, inward, tangent.cross(inward)]
    }

    /// Flexibility factors in the plane of the bend and across it.
    fn factors(&self) -> [f64; 2] {
        match &self.shape {
            Element::Arc(arc) => self.flexibility.factors(&self.section, arc.radius / MM, self.bend.max(arc.angle)),
            Element::Straight(_) => [1.0, 1.0],
        }
    }

    fn local(&self, s: f64, far: Vec3) -> Local {
        let temperature = self.temperature.at(self.from + s);
        let young = self.material.young.at(temperature);
        let poisson = self.material.poisson;
        let shear = young / (2.0 * (1.0 + poisson));
        let (area, inertia) = (self.section.area(), self.section.second_moment());
        let carried = self.section.shear_factor(poisson) * area;
        let [in_plane, across] = self.factors();
        let axes = self.axes(s);
        // E A and E I; those of bellows are what gives a beam of their length the same stiffness along and across: 12 E I / L^3.
        let [axial, bending] = self
            .bellows
            .map_or([young * area, young * inertia], |b| [b.axial * b.length, b.lateral * b.length.powi(3) / 12.0]);
        let along = [1.0 / axial, 1.0 / (shear * carried), 1.0 / (shear * carried)];
        // A moment about the bend's axis bends in its plane.
        let about = [1.0 / (shear * 2.0 * inertia), across / bending, in_plane / bending];
        let place = self.place(s);
        let moment = turned(&about, &axes);
        let lever = product(&moment, &cross(far - place));
        let force = turned(&along, &axes);
        Local {
            strain: std::array::from_fn(|i| std::array::from_fn(|j| if j < 3 { force[i][j] } else { 0.0 })),
            curvature: std::array::from_fn(|i| {
                std::array::from_fn(|j| if j < 3 { lever[i][j] } else { moment[i][j - 3] })
            }),
            growth: axes[0] * self.material.growth(temperature),
            place,
        }
    }

    /// Bounds of the stretches between rows of the temperature, m.
    fn panels(&self) -> Vec<[f64; 2]> {
        let length = self.length();
        let mut ends = vec![0.0];
        ends.extend(self.temperature.places().map(|x| x - self.from).filter(|x| *x > 1e-6 && *x < length - 1e-6));
        ends.push(length);
        ends.windows(2).map(|w| [w[0], w[1]]).collect()
    }

    /// Its matrices; `None` when the section or the metal makes no sense (no stiffness).
    pub fn matrices(&self) -> Option<ElementMatrices> {
        let mut matrices = self.matrices_without_mass()?;
        let ends = [self.place(0.0), self.place(self.length())];
        // What the far end carries is the lower half of the stiffness.
        let forces = std::array::from_fn(|i| matrices.stiffness[6 + i]);
        matrices.mass = self.mass(&self.panels(), &forces, ends);
        Some(matrices)
    }

    /// The same with a mass of 0: for what stands still.
    pub fn matrices_without_mass(&self) -> Option<ElementMatrices> {
        let length = self.length();
        let (near, far) = (self.place(0.0), self.place(length));
        let mut whole = Integrals::start();
        for panel in self.panels() {
            self.integrate(&mut whole, panel, far);
        }
        let stiffness = inverse(&whole.flexibility(far))?;
        let ends = both_ends(&rigid(far - near));
        let held = [whole.growth.x, whole.growth.y, whole.growth.z, 0.0, 0.0, 0.0];
        Some(ElementMatrices {
            stiffness: product(&transposed(&ends), &product(&stiffness, &ends)),
            mass: zero(),
            growth: apply(&transposed(&ends), &apply(&stiffness, &held)),
        })
    }

    /// The points for a stretch of this length, m.
    fn rule(&self, length: f64) -> &'static [(f64, f64)] {
        match &self.shape {
            Element::Arc(arc) if length * MM > SHORT * arc.radius => &GAUSS,
            _ => &GAUSS_SHORT,
        }
    }

    fn integrate(&self, sums: &mut Integrals, [from, to]: [f64; 2], far: Vec3) {
        let half = 0.5 * (to - from);
        for &(x, w) in self.rule(to - from) {
            sums.take(half * w, &self.local(from + half * (1.0 + x), far));
        }
    }

    /// `forces`: forces at the far end for the motion of both ends.
    fn mass(&self, panels: &[[f64; 2]], forces: &Matrix<6, 12>, [near, far]: [Vec3; 2]) -> Matrix<12, 12> {
        let (area, inertia) = (self.section.area(), self.section.second_moment());
        let density = self.material.density;
        let mut mass = zero();
        let mut before = Integrals::start();
        for &[from, to] in panels {
            let half = 0.5 * (to - from);
            for &(x, w) in self.rule(to - from) {
                let s = from + half * (1.0 + x);
                let mut here = before.clone();
                self.integrate(&mut here, [from, s], far);
                let place = self.place(s);
                let mut motion = product(&here.flexibility(place), forces);
                let carried = rigid(place - near);
                for (row, more) in motion.iter_mut().zip(carried) {
                    row.iter_mut().zip(more).for_each(|(value, by)| *value += by);
                }
                let turning = turned(&[2.0 * inertia, inertia, inertia], &self.axes(s));
                let mut weighed = motion;
                for i in 0..3 {
                    weighed[i] = motion[i].map(|v| v * area);
                    weighed[i + 3] = std::array::from_fn(|j| (0..3).map(|k| turning[i][k] * motion[k + 3][j]).sum());
                }
                add(&mut mass, density * half * w, &product(&transposed(&motion), &weighed));
            }
            self.integrate(&mut before, [from, to], far);
        }
        mass
    }
}

/// diag(values) in the axes, turned into the frame's.
fn turned(values: &[f64; 3], axes: &[Vec3; 3]) -> Matrix<3, 3> {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| values[k] * axes[k][i] * axes[k][j]).sum()))
}

/// [-R, 1]: what the far end moves beyond the rigid motion R of the near one.
fn both_ends(rigid: &Matrix<6, 6>) -> Matrix<6, 12> {
    std::array::from_fn(|i| std::array::from_fn(|j| if j < 6 { -rigid[i][j] } else { f64::from(u8::from(i == j - 6)) }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn metal() -> Material {
        Material {
            young: Table::constant(200e9),
            poisson: 0.3,
            density: 7900.0,
            expansion: Table::constant(17e-6),
            reference: 293.15,
        }
    }

    fn weight(stretch: &TubeElement<'_>) -> f64 {
        let mass = stretch.matrices().unwrap().mass;
        // Moved as a whole along x.
        (0..2).flat_map(|i| (0..2).map(move |j| (6 * i, 6 * j))).map(|(i, j)| mass[i][j]).sum()
    }

    #[test]
    fn an_element_weighs_what_its_metal_weighs_and_grows_by_its_chord() {
        let (metal, warm) = (metal(), Table::constant(793.15));
        let arc = geom::Arc { start: Vec3::ZERO, tangent: Vec3::X, inward: Vec3::Y, radius: 66.675, angle: 1.2 };
        let section = Section { od: 0.04445, wall: 0.00165 };
        let stretch = TubeElement {
            shape: Element::Arc(arc),
            bend: 1.2,
            from: 0.0,
            section,
            material: &metal,
            temperature: &warm,
            flexibility: Flexibility::Code,
            bellows: None,
        };
        let metal_weight = 7900.0 * section.area() * stretch.length();
        assert!((weight(&stretch) / metal_weight - 1.0).abs() < 1e-12);
        // The forces of growth are those that squeeze its free growth, 17e-6 x 500 of the chord, out of the far end.
        let matrices = stretch.matrices().unwrap();
        let chord = stretch.place(stretch.length()) * 17e-6 * 500.0;
        let moved: [f64; 12] = std::array::from_fn(|i| if (6..9).contains(&i) { chord[i - 6] } else { 0.0 });
        let forces = apply(&matrices.stiffness, &moved);
        for (force, growth) in forces.iter().zip(matrices.growth) {
            assert!((force - growth).abs() < 1e-7 * matrices.growth[6].abs(), "{force} {growth}");
        }
    }

    #[test]
    fn a_quarter_circle_bends_as_by_castigliano() {
        // Held at one end, a radial force at the other: pi/4 P R^3 / EI and, tangentially, (3 pi/4 - 2) P R^3 / EI, besides
        // what stretching and shear add; the tube is made thin in diameter to leave those out.
        let (metal, cold) = (metal(), Table::constant(293.15));
        let arc = geom::Arc {
            start: Vec3::ZERO,
            tangent: Vec3::X,
            inward: Vec3::Y,
            radius: 1000.0,
            angle: std::f64::consts::FRAC_PI_2,
        };
        let section = Section { od: 0.002, wall: 0.0005 };
        let stretch = TubeElement {
            shape: Element::Arc(arc),
            bend: arc.angle,
            from: 0.0,
            section,
            material: &metal,
            temperature: &cold,
            flexibility: Flexibility::Rigid,
            bellows: None,
        };
        let far = stretch.place(stretch.length());
        let mut sums = Integrals::start();
        stretch.integrate(&mut sums, [0.0, stretch.length()], far);
        let f = sums.flexibility(far);
        let unit = 1.0 / (200e9 * section.second_moment());
        let radial = std::f64::consts::FRAC_PI_4;
        assert!((f[1][1] / unit - (3.0 * radial - 2.0)).abs() < 1e-5, "{}", f[1][1] / unit);
        assert!((f[0][0] / unit - radial).abs() < 1e-5, "{}", f[0][0] / unit);
        assert!((f[2][2] / unit - (radial + 1.3 * (3.0 * radial - 2.0))).abs() < 1e-5, "{}", f[2][2] / unit);
    }
}
