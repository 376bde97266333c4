//! What has to be cut from what, for the runs of one tube: arcs and straights in the order of the
//! flow, and the kinds of stock that fit them.
//!
//! Neighbouring arcs of one CLR, plane and sense with no straight between are one arc (rule 1).

use geom::{Element, Vec3};
use job::model::{CutPer, KerfAt, Tube};
use job::routes::RunId;

use crate::cut_job::{CutJob, StockItem};
use crate::error::CutError;
use crate::ids::{ArcId, KindId, StraightId};
use crate::plan::{ItemShape, StockRef};

/// What is to be longer, and by how much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Longer {
    /// A straight, mm.
    Straight(f64),
    /// An arc, rad.
    Arc(f64),
}

/// Straights of a route below this are none, mm. Points written with three decimals leave gaps of
/// this size between the two halves of a U-turn; no saw works to it.
pub(crate) const NO_STRAIGHT: f64 = 5e-3;

/// Planes of neighbouring arcs that differ by less are one, rad (0.06 degrees). On a tube 50 mm
/// across it is 0.025 mm at the outside, well below a scribed line.
const SAME_PLANE: f64 = 1e-3;

/// CLRs closer than this are one, mm.
const SAME_CLR: f64 = 0.02;

/// What may be missing when a piece is fitted into stock, mm: routes come from points written with
/// three decimals. Far below what a saw stop holds.
pub(crate) const FIT: f64 = 4e-4;

/// Which side of an arc a straight lies on, along the flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    /// Upstream of the arc.
    In,
    /// Downstream of it.
    Out,
}

impl Side {
    pub(crate) fn index(self) -> usize {
        match self {
            Side::In => 0,
            Side::Out => 1,
        }
    }
}

/// One arc of a route.
#[derive(Debug, Clone)]
pub(crate) struct ArcNeed {
    /// Angle with its reserve, rad.
    pub angle: f64,
    /// What of it is reserve, rad.
    pub reserve: f64,
    /// Centreline stations of its ends, mm.
    pub from: f64,
    pub to: f64,
    /// Straights beside it, upstream and downstream; none where it is followed by an arc at once.
    pub beside: [Option<StraightId>; 2],
    /// Class of CLR.
    pub class: usize,
}

/// One straight of a route.
#[derive(Debug, Clone)]
pub(crate) struct StraightNeed {
    pub run: usize,
    /// Length with its reserve, mm.
    pub length: f64,
    /// What of it is reserve, mm.
    pub reserve: f64,
    /// Centreline station of its start, mm.
    pub from: f64,
    /// The arcs upstream and downstream of it.
    pub arcs: [Option<ArcId>; 2],
    /// Place among the straights of the run, from 1 (straight 1 is the one before bend 1).
    pub place: usize,
}

/// A kind of bend that can be taken.
#[derive(Debug, Clone)]
pub(crate) struct BendKind {
    pub stock: StockRef,
    pub name: String,
    pub clr: f64,
    pub angle: f64,
    pub legs: [f64; 2],
    pub price: i64,
    pub count: Option<u32>,
    pub class: usize,
}

/// A kind of stick that can be taken.
#[derive(Debug, Clone)]
pub(crate) struct StickKind {
    pub stock: StockRef,
    pub name: String,
    pub length: f64,
    pub price: i64,
    pub count: Option<u32>,
}

/// A class of CLR: the kerf angle on it and the least arc.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ClrClass {
    pub clr: f64,
    /// Angle that one cut takes, rad.
    pub kerf: f64,
    /// `FIT` as an angle, rad.
    pub fit: f64,
}

/// The merged elements of one run, in order.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Need {
    Arc(ArcId),
    Straight(StraightId),
}

/// A run of the instance.
#[derive(Debug, Clone)]
pub(crate) struct RunNeed {
    /// Index into the routes.
    pub route: usize,
    /// The stretch of the route, mm.
    pub section: [f64; 2],
    pub needs: Vec<Need>,
}

/// One cutting problem: all runs of one tube.
#[derive(Debug, Clone)]
pub(crate) struct Instance {
    pub tube: Tube,
    pub runs: Vec<RunNeed>,
    pub arcs: Vec<ArcNeed>,
    pub straights: Vec<StraightNeed>,
    pub classes: Vec<ClrClass>,
    pub bends: Vec<BendKind>,
    pub sticks: Vec<StickKind>,
    pub kerf: f64,
    pub min_straight: f64,
    pub min_arc: f64,
    /// Money per joint and per cut, thousandths.
    pub joint: i64,
    pub cut: i64,
    /// One cut a piece, or every saw cut.
    pub per_piece: bool,
}

/// A run, or what lies between two slip joints of one, as it is read from its centreline.
pub(crate) struct RunShape<'a> {
    pub route: usize,
    pub id: &'a RunId,
    /// The stretch of the route, mm.
    pub section: [f64; 2],
    /// Bends of the run before it.
    pub bends_before: usize,
    /// Of the section.
    pub centreline: std::borrow::Cow<'a, geom::Centreline>,
}

impl Instance {
    /// The same instance with one cut charged a piece and the price of one cut taken off each item, and what was
    /// given too little in that where a price can't be lowered so far; `None` when that has no limit.
    pub(crate) fn piece_twin(&self) -> Option<(Instance, i64)> {
        let mut twin = Instance { per_piece: true, ..self.clone() };
        let mut given = 0;
        let prices = twin
            .bends
            .iter_mut()
            .map(|b| (&mut b.price, b.count))
            .chain(twin.sticks.iter_mut().map(|s| (&mut s.price, s.count)));
        for (price, count) in prices {
            if *price < self.cut {
                given += (self.cut - *price) * i64::from(count?);
            }
            *price = (*price - self.cut).max(0);
        }
        Some((twin, given))
    }

    /// Builds the instance and checks what can be checked without a search.
    pub(crate) fn new(tube: &Tube, runs: &[RunShape<'_>], job: &CutJob<'_>) -> Result<Self, CutError> {
        let (bends, sticks) = stock_of_tube(tube, job);
        let (saw, cost) = (job.saw, job.cost);
        let mut instance = Instance {
            tube: tube.clone(),
            runs: Vec::new(),
            arcs: Vec::new(),
            straights: Vec::new(),
            classes: Vec::new(),
            bends: Vec::new(),
            sticks,
            kerf: saw.kerf,
            min_straight: saw.min_straight,
            min_arc: saw.min_arc,
            joint: cost.joint.0,
            cut: cost.cut.0,
            per_piece: cost.cut_per == CutPer::Piece,
        };
        for run in runs {
            instance.add_run(run, &bends, saw.kerf_at)?;
        }
        for mut bend in bends {
            if let Some(class) = instance.classes.iter().position(|c| (c.clr - bend.clr).abs() <= SAME_CLR) {
                bend.class = class;
                instance.bends.push(bend);
            } else if bend.legs[0].max(bend.legs[1]) > saw.kerf + saw.min_straight {
                // No arc of that CLR is wanted, but its legs can serve as straights.
                bend.class = usize::MAX;
                instance.bends.push(bend);
            }
        }
        instance.check(runs)?;
        Ok(instance)
    }

    /// Makes the straight or the arc of a run at a place longer, mm from where its first piece starts; whether there is one.
    pub(crate) fn lengthen(&mut self, run: usize, at: f64, longer: Longer) -> bool {
        for need in &self.runs[run].needs {
            match (need, longer) {
                (Need::Arc(a), Longer::Arc(more)) => {
                    let arc = &mut self.arcs[*a];
                    if arc.from <= at && at <= arc.to {
                        arc.angle += more;
                        arc.reserve += more;
                        return true;
                    }
                }
                (Need::Straight(s), Longer::Straight(more)) => {
                    let straight = &mut self.straights[*s];
                    let drawn = straight.length - straight.reserve;
                    if straight.from <= at && at <= straight.from + drawn {
                        straight.length += more;
                        straight.reserve += more;
                        return true;
                    }
                }
                _ => {}
            }
        }
        false
    }

    /// Whether anything is to be longer than drawn.
    pub(crate) fn has_reserve(&self) -> bool {
        self.arcs.iter().any(|a| a.reserve > 0.0) || self.straights.iter().any(|s| s.reserve > 0.0)
    }

    fn add_run(&mut self, run: &RunShape<'_>, bends: &[BendKind], kerf_at: KerfAt) -> Result<(), CutError> {
        let index = self.runs.len();
        let mut needs = Vec::new();
        let mut last_arc: Option<ArcId> = None;
        let mut waiting: Option<StraightId> = None;
        let mut place = 1 + run.bends_before;
        for merged in merge(&run.centreline) {
            match merged {
                Merged::Straight { from, length } => {
                    let id = StraightId(self.straights.len());
                    let arcs = [last_arc, None];
                    self.straights.push(StraightNeed { run: index, length, reserve: 0.0, from, arcs, place });
                    needs.push(Need::Straight(id));
                    if let Some(arc) = last_arc {
                        self.arcs[arc].beside[1] = Some(id);
                    }
                    waiting = Some(id);
                }
                Merged::Arc { from, to, angle, clr } => {
                    let id = ArcId(self.arcs.len());
                    place += 1;
                    let class = self.class_of(clr, kerf_at, bends, run, place - 1)?;
                    let beside = [waiting.take(), None];
                    if let Some(s) = beside[0] {
                        self.straights[s].arcs[1] = Some(id);
                    }
                    self.arcs.push(ArcNeed { angle, reserve: 0.0, from, to, beside, class });
                    needs.push(Need::Arc(id));
                    last_arc = Some(id);
                }
            }
        }
        self.runs.push(RunNeed { route: run.route, section: run.section, needs });
        Ok(())
    }

    fn class_of(
        &mut self,
        clr: f64,
        kerf_at: KerfAt,
        bends: &[BendKind],
        run: &RunShape<'_>,
        bend: usize,
    ) -> Result<usize, CutError> {
        if let Some(class) = self.classes.iter().position(|c| (c.clr - clr).abs() <= SAME_CLR) {
            return Ok(class);
        }
        let Some(stock) = bends.iter().find(|b| (b.clr - clr).abs() <= SAME_CLR) else {
            let near = bends.iter().map(|b| b.clr).min_by(|a, b| (a - clr).abs().total_cmp(&(b - clr).abs()));
            let (od, wall) = (self.tube.od, self.tube.wall);
            return Err(CutError::NoBendOfClr { run: run.id.clone(), bend, clr, od, wall, near });
        };
        let kerf = kerf_angle(self.kerf, stock.clr, self.tube.od, kerf_at).ok_or(CutError::KerfTooWide {
            clr,
            od: self.tube.od,
            kerf: self.kerf,
            inside: clr - 0.5 * self.tube.od,
        })?;
        self.classes.push(ClrClass { clr: stock.clr, kerf, fit: FIT / stock.clr });
        Ok(self.classes.len() - 1)
    }

    /// What can be said without a search.
    fn check(&self, runs: &[RunShape<'_>]) -> Result<(), CutError> {
        let longest = self.longest_filler();
        for straight in &self.straights {
            let run = runs[straight.run].id.clone();
            let leg = |arc: Option<ArcId>| arc.map_or(0.0, |a| self.longest_leg(self.arcs[a].class));
            let legs = leg(straight.arcs[0]) + leg(straight.arcs[1]);
            if straight.length < self.min_straight - FIT && legs < straight.length - FIT {
                return Err(CutError::StraightTooShort {
                    run,
                    straight: straight.place,
                    length: straight.length,
                    min: self.min_straight,
                });
            }
            if longest < self.min_straight && legs < straight.length - FIT {
                let (od, wall) = (self.tube.od, self.tube.wall);
                return Err(CutError::NoStraightStock {
                    run,
                    straight: straight.place,
                    length: straight.length,
                    od,
                    wall,
                });
            }
        }
        self.check_sums()
    }

    fn check_sums(&self) -> Result<(), CutError> {
        for (class, c) in self.classes.iter().enumerate() {
            let needed: f64 = self.arcs.iter().filter(|a| a.class == class).map(|a| a.angle).sum();
            let kinds = || self.bends.iter().filter(|b| b.class == class);
            if kinds().all(|b| b.count.is_some()) {
                let held: f64 = kinds().map(|b| f64::from(b.count.unwrap_or(0)) * b.angle).sum();
                if held < needed - c.fit * self.arcs.len() as f64 {
                    return Err(CutError::NotEnoughBends {
                        clr: c.clr,
                        needed_deg: needed.to_degrees(),
                        held_deg: held.to_degrees(),
                    });
                }
            }
        }
        let usable = |b: &&BendKind| b.legs[0].max(b.legs[1]) > 0.0;
        if self.sticks.iter().all(|s| s.count.is_some()) && self.bends.iter().filter(usable).all(|b| b.count.is_some())
        {
            let needed: f64 = self.straights.iter().map(|s| s.length).sum();
            let sticks: f64 = self.sticks.iter().map(|s| f64::from(s.count.unwrap_or(0)) * s.length).sum();
            let legs: f64 = self.bends.iter().map(|b| f64::from(b.count.unwrap_or(0)) * (b.legs[0] + b.legs[1])).sum();
            if sticks + legs < needed - FIT * self.straights.len() as f64 {
                let (od, wall) = (self.tube.od, self.tube.wall);
                return Err(CutError::NotEnoughStraight { od, wall, needed, held: sticks + legs });
            }
        }
        Ok(())
    }

    /// Length of the longest straight piece that any stock yields, mm.
    pub(crate) fn longest_filler(&self) -> f64 {
        let sticks = self.sticks.iter().filter(|s| s.count != Some(0)).map(|s| s.length);
        let legs = self.bends.iter().filter(|b| b.count != Some(0)).map(|b| b.legs[0].max(b.legs[1]) - self.kerf);
        sticks.chain(legs).fold(0.0, f64::max)
    }

    /// The longest leg of any bend of a class, mm.
    pub(crate) fn longest_leg(&self, class: usize) -> f64 {
        let kinds = self.bends.iter().filter(|b| b.class == class && b.count != Some(0));
        kinds.map(|b| b.legs[0].max(b.legs[1])).fold(0.0, f64::max)
    }

    /// The largest angle of any bend of a class, rad.
    pub(crate) fn largest_angle(&self, class: usize) -> f64 {
        self.bends.iter().filter(|b| b.class == class && b.count != Some(0)).map(|b| b.angle).fold(0.0, f64::max)
    }

    /// Least arc of a piece of that arc, rad (rule 6).
    pub(crate) fn least_arc(&self, arc: ArcId) -> f64 {
        self.min_arc.min(self.arcs[arc].angle)
    }

    /// Shape of a kind of bend.
    pub(crate) fn bend_shape(&self, kind: KindId) -> ItemShape {
        let b = &self.bends[kind];
        ItemShape::Bend { clr: b.clr, angle: b.angle, legs: b.legs }
    }
}

/// The angle one cut takes on a bend, rad; `None` when the inside radius is not above the kerf.
///
/// asin(kerf / (CLR - OD/2)) where the blade's width counts at the inside of the bend, asin(kerf /
/// CLR) at the centreline (rule 3).
pub(crate) fn kerf_angle(kerf: f64, clr: f64, od: f64, at: KerfAt) -> Option<f64> {
    let radius = match at {
        KerfAt::Inside => clr - 0.5 * od,
        KerfAt::Centreline => clr,
    };
    (radius > kerf).then(|| (kerf / radius).asin())
}

/// The bends and sticks of one tube that can be taken, in the order of the stock lists.
fn stock_of_tube(tube: &Tube, job: &CutJob<'_>) -> (Vec<BendKind>, Vec<StickKind>) {
    let (mut bends, mut sticks) = (Vec::new(), Vec::new());
    for (stock, item) in job.items() {
        let count = job.count(stock);
        match item {
            StockItem::Bend(b) if tube.is_same_size(b.od, b.wall) => bends.push(BendKind {
                stock,
                name: b.name.clone(),
                clr: b.clr,
                angle: b.angle,
                legs: b.legs,
                price: b.price.0,
                count,
                class: 0,
            }),
            StockItem::Straight(s) if tube.is_same_size(s.od, s.wall) => {
                sticks.push(StickKind { stock, name: s.name.clone(), length: s.length, price: s.price.0, count });
            }
            _ => {}
        }
    }
    (bends, sticks)
}

/// A stretch of a route after merging.
enum Merged {
    Straight { from: f64, length: f64 },
    Arc { from: f64, to: f64, angle: f64, clr: f64 },
}

/// The elements of a centreline with arcs of one CLR, plane and sense joined (rule 1).
fn merge(centreline: &geom::Centreline) -> Vec<Merged> {
    let mut merged: Vec<Merged> = Vec::new();
    let mut axis = Vec3::ZERO;
    for (from, element) in centreline.stations() {
        match element {
            Element::Straight(s) if s.length < NO_STRAIGHT => {}
            Element::Straight(s) => {
                // A straight upstream that was passed over belongs to this element's stretch.
                merged.push(Merged::Straight { from, length: s.length });
            }
            Element::Arc(a) => {
                let end = from + a.radius * a.angle;
                match merged.last_mut() {
                    Some(Merged::Arc { to, angle, clr, .. })
                        if (*clr - a.radius).abs() <= SAME_CLR && axis.angle_between(a.axis()) < SAME_PLANE =>
                    {
                        *to = end;
                        *angle += a.angle;
                    }
                    _ => merged.push(Merged::Arc { from, to: end, angle: a.angle, clr: a.radius }),
                }
                axis = a.axis();
            }
        }
    }
    merged
}
