//! Pipes, what is at their ends, and one step of all of them.

use crate::ends::{Leaving, Reservoir, Root, closed, endless, open, opening};
use crate::field::{At, Duct, Face, Field, State};
use crate::junction::{Merge, join};
use crate::medium::Medium;
use crate::vessel::Vessel;

/// Courant number of a step.
pub const COURANT: f64 = 0.9;

/// What is at an end of a pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum End {
    /// A wall.
    Closed,
    /// The pipe goes on for ever.
    Endless,
    /// Open to [`Network::outside`] of this number.
    Open(usize),
    /// A nozzle of an effective area (m2) to [`Network::outside`] of this number.
    Nozzle(usize, f64),
    /// An opening of an effective area (m2) to [`Network::vessels`] of this number.
    Vessel(usize, f64),
    /// [`Network::junctions`] of this number.
    Junction(usize),
}

/// Pipes that meet.
#[derive(Debug, Clone)]
pub struct Junction {
    /// Which ends.
    pub pipes: Vec<(usize, At)>,
    /// Into which of them the others merge, where that is known.
    pub merge: Option<Merge>,
    p: f64,
    shift: Vec<f64>,
}

impl Junction {
    /// A junction without angles.
    pub fn new(pipes: Vec<(usize, At)>) -> Junction {
        let n = pipes.len();
        Junction { pipes, merge: None, p: 0.0, shift: vec![0.0; n] }
    }
}

/// Pipes with their ends.
#[derive(Clone)]
pub struct Network<M: Medium> {
    /// The gas in the pipes.
    pub field: Field<M>,
    /// Both ends of every pipe.
    pub ends: Vec<[End; 2]>,
    /// Where pipes meet.
    pub junctions: Vec<Junction>,
    /// Volumes that pipes open into.
    pub vessels: Vec<Vessel>,
    /// The air, or whatever else is around.
    pub outside: Vec<Reservoir>,
    roots: Vec<[Root; 2]>,
    faces: Vec<Face>,
    joined: Vec<Leaving>,
    /// Mass and energy that left through each end in the last step, kg/s and W.
    flows: Vec<[[f64; 3]; 2]>,
    /// Time since the start, s.
    pub time: f64,
}

impl<M: Medium> Network<M> {
    /// A network of `ducts` whose ends are `ends`, filled by `start(pipe, cell)`.
    pub fn new(medium: M, ducts: &[Duct], ends: Vec<[End; 2]>, start: impl Fn(usize, usize) -> State) -> Network<M> {
        let field = Field::new(medium, ducts, start);
        let mut junctions: Vec<Junction> = Vec::new();
        for (k, pair) in ends.iter().enumerate() {
            for (end, at) in pair.iter().zip([At::Start, At::Finish]) {
                if let End::Junction(j) = end {
                    while junctions.len() <= *j {
                        junctions.push(Junction::new(Vec::new()));
                    }
                    junctions[*j].pipes.push((k, at));
                    junctions[*j].shift.push(0.0);
                }
            }
        }
        Network {
            field,
            roots: vec![[Root::default(); 2]; ends.len()],
            flows: vec![[[0.0; 3]; 2]; ends.len()],
            ends,
            junctions,
            vessels: Vec::new(),
            outside: Vec::new(),
            faces: Vec::new(),
            joined: Vec::new(),
            time: 0.0,
        }
    }

    /// The longest stable step at Courant number [`COURANT`], s.
    pub fn longest_step(&self) -> f64 {
        COURANT * self.field.longest_step()
    }

    /// Mass, energy and burned mass that left the pipe through an end in the last step, kg/s, W and kg/s.
    pub fn flow(&self, k: usize, at: At) -> [f64; 3] {
        self.flows[k][at as usize]
    }

    /// One step of `dt` seconds. Vessels take and give mass and energy; their volume is kept.
    pub fn step(&mut self, dt: f64) {
        self.field.predict_ends(dt);
        for k in 0..self.ends.len() {
            for at in [At::Start, At::Finish] {
                if matches!(self.ends[k][at as usize], End::Junction(_)) {
                    continue;
                }
                let face = self.field.end(k, at);
                if let Some(leaving) = self.end(k, at, &face, dt) {
                    self.put(k, at, face.area, leaving);
                }
            }
        }
        for j in 0..self.junctions.len() {
            self.junction(j);
        }
        self.field.update(dt);
        for (k, pair) in self.ends.iter().enumerate() {
            for (side, end) in pair.iter().enumerate() {
                if let End::Vessel(v, _) = *end {
                    let [mass, energy, burned] = self.flows[k][side];
                    self.vessels[v].take(mass * dt, energy * dt, burned * dt);
                }
            }
        }
        for vessel in self.vessels.iter_mut().filter(|v| !v.moves) {
            vessel.settle(&self.field.medium, dt);
        }
        self.time += dt;
    }

    fn end(&mut self, k: usize, at: At, face: &Face, dt: f64) -> Option<Leaving> {
        let root = &mut self.roots[k][at as usize];
        Some(match self.ends[k][at as usize] {
            End::Closed => closed(face),
            End::Endless => endless(face),
            End::Open(o) => open(face, &self.outside[o]),
            End::Nozzle(o, area) => opening(face, &self.outside[o], area, root),
            End::Vessel(v, area) => opening(face, &self.vessels[v].reservoir(0.5 * dt), area, root),
            End::Junction(_) => return None,
        })
    }

    fn put(&mut self, k: usize, at: At, area: f64, leaving: Leaving) {
        let f = leaving.flux;
        self.flows[k][at as usize] = [f.mass * area, f.energy * area, f.burned * area];
        self.field.set_end(k, at, leaving.state, f);
    }

    fn junction(&mut self, j: usize) {
        let mut faces = std::mem::take(&mut self.faces);
        let mut joined = std::mem::take(&mut self.joined);
        faces.clear();
        let junction = &mut self.junctions[j];
        faces.extend(junction.pipes.iter().map(|&(k, at)| self.field.end(k, at)));
        let Junction { merge, shift, p, .. } = junction;
        join(&faces, merge.as_ref(), shift, p, &mut joined);
        for i in 0..faces.len() {
            let (k, at) = self.junctions[j].pipes[i];
            self.put(k, at, faces[i].area, joined[i]);
        }
        (self.faces, self.joined) = (faces, joined);
    }

    /// Mass and energy of everything in pipes and vessels, kg and J.
    pub fn totals(&self) -> [f64; 2] {
        let mut sum = self.field.totals();
        for v in &self.vessels {
            sum[0] += v.mass;
            sum[1] += v.energy;
        }
        sum
    }

    /// The surroundings at `p` Pa, `t` K and burned fraction `burned`; its number.
    pub fn add_outside(&mut self, p: f64, t: f64, burned: f64) -> usize {
        self.outside.push(Reservoir::new(&self.field.medium, p, t, burned));
        self.outside.len() - 1
    }
}

/// A straight pipe of constant area without friction or heat.
pub fn plain_duct(length: f64, cells: usize, area: f64) -> Duct {
    let walls = vec![crate::field::Wall::NONE; cells];
    Duct { dx: length / cells as f64, areas: vec![area; cells + 1], walls }
}
