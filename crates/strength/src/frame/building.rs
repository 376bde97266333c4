//! Puts the system of a frame together: nodes along the tubes, what ties them, stiffness, mass and load.

use geom::Vec3;

use super::parts::{Body, End, Fitting, Frame, FrameError, LONGEST, MM, SAME_PLACE, Six, Slide, TOGETHER, Tube};
use super::system::{Member, Motion, Node, Owner, System};
use crate::element::{Bellows, TubeElement};
use crate::matrix::{Matrix, apply, dot, product, rigid, transposed, zero};
use crate::skyline::Sparse;

pub(super) fn built_in(moved: Six) -> Motion {
    Motion { terms: Vec::new(), given: moved }
}

/// A system as it grows.
#[derive(Default)]
pub(super) struct Building {
    nodes: Vec<Node>,
    members: Vec<Member>,
    pub(super) bodies: Vec<Motion>,
    owners: Vec<Owner>,
    /// Fittings with their node.
    fittings: Vec<(usize, Fitting)>,
    slides: Vec<(usize, f64, [usize; 2])>,
    /// What resists in each of `slides`.
    resisting: Vec<Slide>,
    /// Whether the tubes have no mass.
    massless: bool,
}

impl Building {
    /// One whose tubes have no mass.
    pub(super) fn massless() -> Self {
        Building { massless: true, ..Building::default() }
    }

    fn unknown(&mut self, owner: Owner) -> usize {
        self.owners.push(owner);
        self.owners.len() - 1
    }

    pub(super) fn free(&mut self, owner: Owner) -> Motion {
        let unit = |k: usize| std::array::from_fn(|i| f64::from(u8::from(i == k)));
        Motion { terms: (0..6).map(|k| (self.unknown(owner), unit(k))).collect(), given: [0.0; 6] }
    }

    fn node(&mut self, tube: usize, at: f64, motion: Motion) -> usize {
        self.nodes.push(Node { tube, at, motion });
        self.nodes.len() - 1
    }

    fn at_end(&mut self, index: usize, end: &End, place: Vec3, at: f64, bodies: &[Body]) -> Result<Motion, FrameError> {
        Ok(match end {
            End::Free => self.free(Owner::Tube(index, at)),
            End::Fixed(moved) => built_in(*moved),
            End::Body(body) => {
                let (motion, body) = self.bodies.get(*body).zip(bodies.get(*body)).ok_or(FrameError::BadTube(index))?;
                let arm = place - body.at;
                let carry = rigid(arm);
                let mut given = apply(&carry, &motion.given);
                (arm * body.growth).to_array().iter().zip(&mut given).for_each(|(growth, sum)| *sum += growth);
                Motion { terms: motion.terms.iter().map(|(k, each)| (*k, apply(&carry, each))).collect(), given }
            }
        })
    }

    /// Beyond a slip joint: as before it, and along and about the tangent.
    fn slipped(&mut self, tube: usize, at: f64, before: usize, tangent: Vec3, slide: Slide) -> usize {
        let unknowns = [self.unknown(Owner::Tube(tube, at)), self.unknown(Owner::Tube(tube, at))];
        let motion = sliding(&self.nodes[before].motion, tangent, unknowns);
        self.slides.push((tube, at, unknowns));
        self.resisting.push(slide);
        self.node(tube, at, motion)
    }

    pub(super) fn tube(&mut self, index: usize, tube: &Tube, bodies: &[Body]) -> Result<(), FrameError> {
        let length = tube.line.length() / MM;
        if let Some((at, _)) = tube.fittings.iter().find(|(at, _)| !(-SAME_PLACE..=length + SAME_PLACE).contains(at)) {
            return Err(FrameError::BeyondTube { tube: index, at: *at });
        }
        let tube = &Tube { fittings: snapped(tube), ..tube.clone() };
        let stretches = stretches(tube);
        let start = tube.line.at(0.0).origin / MM;
        let motion = self.at_end(index, &tube.start, start, 0.0, bodies)?;
        let mut near = self.node(index, 0.0, motion);
        near = self.fit(index, tube, near, tube.line.at(0.0).forward);
        let count = stretches.len();
        for (k, stretch) in stretches.into_iter().enumerate() {
            let at = if k + 1 == count { length } else { stretch.from + stretch.length() };
            let place = stretch.place(stretch.length());
            let motion = if k + 1 == count {
                self.at_end(index, &tube.end, place, at, bodies)?
            } else {
                self.free(Owner::Tube(index, at))
            };
            let far = self.node(index, at, motion);
            let matrices = if self.massless { stretch.matrices_without_mass() } else { stretch.matrices() };
            let matrices = matrices.ok_or(FrameError::BadTube(index))?;
            let (from, shape) = (stretch.from, stretch.shape);
            self.members.push(Member { tube: index, from, shape, nodes: [near, far], matrices });
            near = self.fit(index, tube, far, stretch.shape.direction(stretch.shape.length()));
        }
        Ok(())
    }

    /// Puts the fittings at a node; gives the node at which the tube goes on.
    fn fit(&mut self, index: usize, tube: &Tube, node: usize, tangent: Vec3) -> usize {
        let at = self.nodes[node].at;
        let mut on = node;
        for (_, fitting) in tube.fittings.iter().filter(|(place, _)| (place - at).abs() <= SAME_PLACE) {
            if let Fitting::Slip(slide) = fitting {
                on = self.slipped(index, at, on, tangent, *slide);
            } else {
                self.fittings.push((node, *fitting));
            }
        }
        on
    }

    pub(super) fn finish(self, frame: &Frame) -> System {
        let size = self.owners.len();
        let mut system = System {
            nodes: self.nodes,
            members: Vec::new(),
            bodies: self.bodies,
            weights: Vec::new(),
            slides: self.slides,
            owners: self.owners,
            stiffness: Sparse::new(size),
            mass: Sparse::new(size),
            load: vec![0.0; size],
            tubes: frame.tubes.len(),
        };
        for member in &self.members {
            system.take_member(member, 1.0);
        }
        system.members = self.members;
        for (slide, (_, _, unknowns)) in self.resisting.iter().zip(system.slides.clone()) {
            system.take_slide(slide, unknowns);
        }
        for (node, fitting) in self.fittings {
            let motion = system.nodes[node].motion.clone();
            match fitting {
                Fitting::Slip(_) | Fitting::Bellows(_) => {}
                Fitting::Spring(spring) => system.take_stiffness(&motion, &diagonal(spring)),
                Fitting::Hold(hold) => system.take_stiffness(&motion, &hold.matrix()),
                Fitting::Mass(mass) => system.take_mass(&motion, &diagonal([mass, mass, mass, 0.0, 0.0, 0.0])),
                Fitting::Load(load) => system.take_load(&motion, &load),
            }
        }
        for (body, motion) in frame.bodies.iter().zip(system.bodies.clone()) {
            system.take_stiffness(&motion, &diagonal(body.spring));
            system.take_load(&motion, &body.load);
            let carry = rigid(body.offset);
            for hold in &body.holds {
                system.take_stiffness(&at_mass(&motion, body), &hold.matrix());
            }
            let [x, y, z] = body.inertia;
            let own = diagonal([body.mass, body.mass, body.mass, x, y, z]);
            system.take_mass(&motion, &product(&transposed(&carry), &product(&own, &carry)));
        }
        system
    }
}

/// The fittings of a tube at places that are nodes: one that is nearer than [`TOGETHER`] to the end of a straight or bend, or to
/// a fitting before it along the tube, stands there.
fn snapped(tube: &Tube) -> Vec<(f64, Fitting)> {
    let mut nodes: Vec<f64> = tube.line.stations().map(|(from, _)| from / MM).collect();
    nodes.push(tube.line.length() / MM);
    let mut order: Vec<usize> = (0..tube.fittings.len()).collect();
    order.sort_by(|a, b| tube.fittings[*a].0.total_cmp(&tube.fittings[*b].0));
    let mut out = tube.fittings.clone();
    for k in order {
        let at = out[k].0;
        match nodes.iter().copied().min_by(|a, b| (a - at).abs().total_cmp(&(b - at).abs())) {
            Some(node) if (node - at).abs() <= TOGETHER => out[k].0 = node,
            _ => nodes.push(at),
        }
    }
    out
}

/// The stretches of a tube that become elements.
fn stretches(tube: &Tube) -> Vec<TubeElement<'_>> {
    let mut out: Vec<TubeElement<'_>> = Vec::new();
    for (station, shape) in tube.line.stations() {
        let (from, length) = (station / MM, shape.length() / MM);
        if length <= SAME_PLACE {
            continue;
        }
        let mut cuts: Vec<f64> = vec![0.0];
        let ends = tube.fittings.iter().flat_map(|(at, fitting)| match fitting {
            Fitting::Bellows(bellows) => vec![*at, at + bellows.length],
            _ => vec![*at],
        });
        cuts.extend(ends.map(|at| at - from).filter(|at| *at > SAME_PLACE && *at < length - SAME_PLACE));
        cuts.push(length);
        cuts.sort_by(f64::total_cmp);
        cuts.dedup_by(|a, b| *a - *b <= SAME_PLACE);
        if let Some(last) = cuts.last_mut() {
            *last = length;
        }
        let bend = if let geom::Element::Arc(arc) = shape { arc.angle } else { 0.0 };
        for pair in cuts.windows(2) {
            let parts = ((pair[1] - pair[0]) / LONGEST).ceil().max(1.0);
            let each = (pair[1] - pair[0]) / parts;
            for part in 0..parts as usize {
                let begin = pair[0] + each * part as f64;
                out.push(TubeElement {
                    shape: shape.part(begin * MM, ((begin + each) * MM).min(shape.length())),
                    bend,
                    from: from + begin,
                    section: tube.section,
                    material: &tube.material,
                    temperature: &tube.temperature,
                    flexibility: tube.flexibility,
                    bellows: bellows_at(tube, from + begin + 0.5 * each),
                });
            }
        }
    }
    out
}

/// The bellows that a place of a tube lies in.
fn bellows_at(tube: &Tube, at: f64) -> Option<Bellows> {
    let within = |(from, fitting): &(f64, Fitting)| match fitting {
        Fitting::Bellows(bellows) if (*from..from + bellows.length).contains(&at) => Some(*bellows),
        _ => None,
    };
    tube.fittings.iter().find_map(within)
}

/// How the mass of a body moves, which has grown away from its place.
pub(super) fn at_mass(motion: &Motion, body: &Body) -> Motion {
    let carry = rigid(body.offset);
    let mut given = apply(&carry, &motion.given);
    let grown = (body.offset * body.growth).to_array();
    given.iter_mut().zip(grown).for_each(|(sum, by)| *sum += by);
    Motion { terms: motion.terms.iter().map(|(k, each)| (*k, apply(&carry, each))).collect(), given }
}

/// The motion of a node and two unknowns more, along the tangent and about it.
fn sliding(before: &Motion, tangent: Vec3, unknowns: [usize; 2]) -> Motion {
    let mut motion = before.clone();
    let t = tangent.to_array();
    for (first, unknown) in [0, 3].into_iter().zip(unknowns) {
        let along: Six = std::array::from_fn(|i| if (first..first + 3).contains(&i) { t[i - first] } else { 0.0 });
        motion.terms.push((unknown, along));
    }
    motion
}

fn diagonal(values: Six) -> Matrix<6, 6> {
    let mut out = zero();
    values.iter().enumerate().for_each(|(i, value)| out[i][i] = *value);
    out
}

impl System {
    /// The same system with a slip joint at a node inside a tube; `None` when there is no such node.
    pub(crate) fn slipped(&self, tube: usize, at: f64, slide: Slide) -> Option<System> {
        let here = |n: &Node| n.tube == tube && (n.at - at).abs() <= SAME_PLACE;
        let index = self.members.iter().position(|m| here(&self.nodes[m.nodes[0]]) && m.from > SAME_PLACE)?;
        let mut system = self.clone();
        let size = system.owners.len();
        let unknowns = [size, size + 1];
        system.owners.extend([Owner::Tube(tube, at); 2]);
        system.load.extend([0.0; 2]);
        (system.stiffness, system.mass) = (self.stiffness.grown(2), self.mass.grown(2));
        let mut member = self.members[index].clone();
        system.take_member(&member, -1.0);
        let tangent = member.shape.direction(0.0);
        let motion = sliding(&self.nodes[member.nodes[0]].motion, tangent, unknowns);
        system.nodes.push(Node { tube, at, motion });
        member.nodes[0] = system.nodes.len() - 1;
        system.take_member(&member, 1.0);
        system.members[index] = member;
        system.slides.push((tube, at, unknowns));
        system.take_slide(&slide, unknowns);
        Some(system)
    }

    /// The load, and the forces of each of a tube's members held where they are, of free growth by `strain` all along it: a
    /// member that grows evenly keeps its shape, so that its forces are those of moving its nodes apart as it grows.
    pub(crate) fn stretched(&self, tube: usize, strain: f64) -> (Vec<f64>, Vec<[f64; 12]>) {
        let mut load = vec![0.0; self.load.len()];
        let mut held = Vec::new();
        for member in self.members.iter().filter(|m| m.tube == tube) {
            let length = member.shape.length();
            let grown = ((member.shape.point(length) - member.shape.point(0.0)) / MM * strain).to_array();
            let moved: [f64; 12] = std::array::from_fn(|i| if (6..9).contains(&i) { grown[i - 6] } else { 0.0 });
            let forces = apply(&member.matrices.stiffness, &moved);
            for (side, node) in member.nodes.iter().enumerate() {
                for (k, each) in &self.nodes[*node].motion.terms {
                    load[*k] += (0..6).map(|i| each[i] * forces[6 * side + i]).sum::<f64>();
                }
            }
            held.push(forces);
        }
        (load, held)
    }

    fn take_slide(&mut self, slide: &Slide, unknowns: [usize; 2]) {
        for (unknown, stiffness) in unknowns.into_iter().zip(slide.springs) {
            self.stiffness.add(unknown, unknown, stiffness);
        }
        self.load[unknowns[0]] -= slide.push;
    }

    /// Adds a member so many times.
    fn take_member(&mut self, member: &Member, times: f64) {
        let ends = member.nodes.map(|n| self.nodes[n].motion.clone());
        let mut terms: Vec<(usize, [f64; 12])> = Vec::new();
        let mut given = [0.0; 12];
        for (side, motion) in ends.iter().enumerate() {
            for (k, each) in &motion.terms {
                let wide = std::array::from_fn(|i| if i / 6 == side { each[i - 6 * side] } else { 0.0 });
                terms.push((*k, wide));
            }
            (0..6).for_each(|i| given[6 * side + i] = motion.given[i]);
        }
        let held = apply(&member.matrices.stiffness, &given);
        for (k, each) in &terms {
            let stiff = apply(&member.matrices.stiffness, each);
            let heavy = apply(&member.matrices.mass, each);
            self.load[*k] += times * (dot(each, &member.matrices.growth) - dot(each, &held));
            for (other, by) in &terms {
                self.stiffness.add(*other, *k, times * dot(by, &stiff));
                self.mass.add(*other, *k, times * dot(by, &heavy));
            }
        }
    }

    fn take_stiffness(&mut self, motion: &Motion, stiffness: &Matrix<6, 6>) {
        let held = apply(stiffness, &motion.given);
        for (k, each) in &motion.terms {
            self.load[*k] -= dot(each, &held);
            let pushed = apply(stiffness, each);
            for (other, by) in &motion.terms {
                let shared = dot(by, &pushed);
                if shared != 0.0 {
                    self.stiffness.add(*other, *k, shared);
                }
            }
        }
    }

    fn take_mass(&mut self, motion: &Motion, mass: &Matrix<6, 6>) {
        self.weights.push((motion.clone(), *mass));
        for (k, each) in &motion.terms {
            let heavy = apply(mass, each);
            for (other, by) in &motion.terms {
                self.mass.add(*other, *k, dot(by, &heavy));
            }
        }
    }

    fn take_load(&mut self, motion: &Motion, load: &Six) {
        for (k, each) in &motion.terms {
            self.load[*k] += dot(each, load);
        }
    }
}
