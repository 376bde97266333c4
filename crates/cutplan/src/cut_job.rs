//! What a cut plan is made from: tubes, stock, what the shelf offers, saw and cost.

use job::model::{BendStock, Cost, Job, Money, Port, Remnant, Saw, Stock, StraightStock, Tube};
use job::parts::{Coupling, SlipJoint};
use job::routes::RunId;

use crate::plan::StockRef;

/// What of a job is needed to cut it, and what the shop's shelf offers beside the job's own stock.
#[derive(Debug, Clone, Copy)]
pub struct CutJob<'a> {
    /// Tube of the primaries.
    pub primary: &'a Tube,
    /// Tube of the secondaries.
    pub secondary: &'a Tube,
    /// Tube of the tails.
    pub tail: &'a Tube,
    /// The job's own stock.
    pub stock: &'a Stock,
    /// Offcuts offered from the shelf; [`StockRef::Remnant`] counts them on behind the job's own remnants.
    pub shelf: &'a [Remnant],
    /// Kerf and limits of the saw.
    pub saw: &'a Saw,
    /// Money per joint and cut.
    pub cost: &'a Cost,
    /// The ports, each with where its tube starts.
    pub ports: &'a [Port],
    /// Slip joints, where runs are cut in two that are not welded.
    pub slips: &'a [SlipJoint],
    /// Joints that come apart and bellows, which take the place of tube.
    pub couplings: &'a [Coupling],
    /// Cylinders of the engine, 0 where the job does not say: secondaries and tails are numbered from there on.
    pub cylinders: u32,
}

impl<'a> CutJob<'a> {
    /// The parts of a checked job, nothing being offered from the shelf.
    pub fn of(job: &'a Job) -> Self {
        CutJob::with_shelf(job, &[])
    }

    /// The parts of a checked job, with what the shelf offers.
    pub fn with_shelf(job: &'a Job, shelf: &'a [Remnant]) -> Self {
        CutJob {
            primary: &job.primary.tube,
            secondary: &job.secondary.tube,
            tail: &job.tail.tube,
            stock: &job.stock,
            shelf,
            saw: &job.saw,
            cost: &job.cost,
            ports: &job.ports,
            slips: &job.parts.slips,
            couplings: &job.parts.couplings,
            cylinders: job.engine.as_ref().map_or(0, |e| e.cylinders),
        }
    }

    /// Where the first piece of a run starts on its route, mm: at the flange as flange.toml says, else at the route's start.
    pub fn start_of(&self, run: &RunId) -> f64 {
        match run {
            RunId::Primary { cylinder } => self.ports.iter().find(|p| p.cylinder == *cylinder).map_or(0.0, |p| p.seat),
            RunId::Secondary { .. } | RunId::Tail { .. } => 0.0,
        }
    }

    /// The stretches of a run of `length` mm that are cut and welded each by itself, from and to on the route: slip joints
    /// and couplings divide it; the tube upstream of a slip joint goes on by the overlap, and there is none within a coupling. One
    /// stretch for most runs.
    pub fn sections(&self, run: &RunId, length: f64) -> Vec<[f64; 2]> {
        let slips = self.slips.iter().filter(|s| s.run == *run).map(|s| [s.at + s.overlap, s.at]);
        let couplings = self.couplings.iter().filter(|c| c.run == *run).map(|c| [c.at, c.end()]);
        // Where the tube upstream ends, and where the one downstream begins.
        let mut partings: Vec<[f64; 2]> = slips.chain(couplings).collect();
        partings.sort_by(|a, b| a[1].total_cmp(&b[1]));
        let mut sections = Vec::new();
        let mut from = self.start_of(run);
        for [ends, begins] in partings {
            sections.push([from, ends]);
            from = begins;
        }
        sections.push([from, length]);
        sections
    }

    /// The tube a run is made of.
    pub fn tube_of(&self, run: &RunId) -> &'a Tube {
        match run {
            RunId::Primary { .. } => self.primary,
            RunId::Secondary { .. } => self.secondary,
            RunId::Tail { .. } => self.tail,
        }
    }

    /// The item at a place in the stock or on the shelf; `None` when that list is shorter.
    pub fn item(&self, at: StockRef) -> Option<StockItem<'a>> {
        match at {
            StockRef::Bend(i) => self.stock.bends.get(i).map(StockItem::Bend),
            StockRef::Straight(i) => self.stock.straights.get(i).map(StockItem::Straight),
            StockRef::Remnant(i) => self.remnants().nth(i).map(StockItem::of_remnant),
        }
    }

    /// How many there are of an item, 0 where the list has none; `None`: any number can be bought. A remnant without a count is one.
    pub(crate) fn count(&self, at: StockRef) -> Option<u32> {
        let Some(item) = self.item(at) else { return Some(0) };
        match at {
            StockRef::Remnant(_) => Some(item.count().unwrap_or(1)),
            _ => item.count(),
        }
    }

    /// Every item with its place: bends, straights, the job's own remnants, the shelf.
    pub(crate) fn items(&self) -> impl Iterator<Item = (StockRef, StockItem<'a>)> {
        let bends = self.stock.bends.iter().enumerate().map(|(i, b)| (StockRef::Bend(i), StockItem::Bend(b)));
        let straights = self.stock.straights.iter().enumerate();
        let straights = straights.map(|(i, s)| (StockRef::Straight(i), StockItem::Straight(s)));
        let remnants = self.remnants().enumerate().map(|(i, r)| (StockRef::Remnant(i), StockItem::of_remnant(r)));
        bends.chain(straights).chain(remnants)
    }

    fn remnants(&self) -> impl Iterator<Item = &'a Remnant> {
        self.stock.remnants.iter().chain(self.shelf)
    }
}

/// One entry of the stock lists.
#[derive(Debug, Clone, Copy)]
pub enum StockItem<'a> {
    /// A bend with legs.
    Bend(&'a BendStock),
    /// A straight length of tube.
    Straight(&'a StraightStock),
}

impl<'a> StockItem<'a> {
    fn of_remnant(remnant: &'a Remnant) -> Self {
        match remnant {
            Remnant::Bend(bend) => StockItem::Bend(bend),
            Remnant::Straight(straight) => StockItem::Straight(straight),
        }
    }

    /// Price of one.
    pub fn price(&self) -> Money {
        match self {
            StockItem::Bend(bend) => bend.price,
            StockItem::Straight(straight) => straight.price,
        }
    }

    fn count(&self) -> Option<u32> {
        match self {
            StockItem::Bend(bend) => bend.count,
            StockItem::Straight(straight) => straight.count,
        }
    }
}
