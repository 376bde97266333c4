//! The cut plan: what is bought, which piece is cut from what and where, and what is marked.
//!
//! Lengths are in mm, angles in rad, money as [`Money`]. An item's centreline runs leg 1, arc
//! (CLR x angle), leg 2; a straight runs from 0 to its length. Angles of cuts on a bend are
//! measured from its first tangent line, the one between leg 1 and the arc.

use std::collections::BTreeMap;

use job::model::Money;
use job::routes::RunId;

/// Which list of the job's stock, and the place in it, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StockRef {
    /// `bend:0` ...
    Bend(usize),
    /// `straight:0` ...
    Straight(usize),
    /// `remnant:0` ...
    Remnant(usize),
}

impl std::fmt::Display for StockRef {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            StockRef::Bend(i) => write!(f, "bend:{i}"),
            StockRef::Straight(i) => write!(f, "straight:{i}"),
            StockRef::Remnant(i) => write!(f, "remnant:{i}"),
        }
    }
}

impl std::str::FromStr for StockRef {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let bad = || format!("`{text}` is not a place in the stock; expected for example `bend:0`");
        let (kind, place) = text.split_once(':').ok_or_else(bad)?;
        let place: usize = place.parse().map_err(|_| bad())?;
        match kind {
            "bend" => Ok(StockRef::Bend(place)),
            "straight" => Ok(StockRef::Straight(place)),
            "remnant" => Ok(StockRef::Remnant(place)),
            _ => Err(bad()),
        }
    }
}

/// The shape of an item of stock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ItemShape {
    /// A bend with legs.
    Bend {
        /// Centreline radius, mm.
        clr: f64,
        /// Angle, rad.
        angle: f64,
        /// Legs before and after the arc, mm.
        legs: [f64; 2],
    },
    /// A stick or a straight remnant.
    Straight {
        /// Length, mm.
        length: f64,
    },
}

impl ItemShape {
    /// Length of the centreline, mm.
    pub fn length(&self) -> f64 {
        match self {
            ItemShape::Bend { clr, angle, legs } => legs[0] + clr * angle + legs[1],
            ItemShape::Straight { length } => *length,
        }
    }

    /// Direction of the centreline at `at` along it, rad from that of leg 1 (or of the straight).
    pub fn heading(&self, at: f64) -> f64 {
        match self {
            ItemShape::Bend { clr, angle, legs } => ((at - legs[0]) / clr).clamp(0.0, *angle),
            ItemShape::Straight { .. } => 0.0,
        }
    }

    /// The point at `at` along the centreline and `out` towards the outside of the bend, mm, in the item's plane: leg 1 runs
    /// along x up to 0, the arc turns counter-clockwise about (0, CLR); a straight runs along x from its length before 0.
    pub fn point(&self, at: f64, out: f64) -> [f64; 2] {
        let (clr, first) = match self {
            ItemShape::Bend { clr, legs, .. } => (*clr, legs[0]),
            ItemShape::Straight { length } => (0.0, *length),
        };
        let a = self.heading(at);
        let (sin, cos) = a.sin_cos();
        let rest = at - first - clr * a;
        [clr * sin + rest * cos + out * sin, clr * (1.0 - cos) + rest * sin - out * cos]
    }
}

/// One item of stock that is used.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// `b1`, `b2` ... for bends, `s1`, `s2` ... for straights; unique in the plan.
    pub id: String,
    /// What it is in the job's stock.
    pub stock: StockRef,
    /// How the stock is called in lists.
    pub name: String,
    /// Outside diameter, mm.
    pub od: f64,
    /// Shape of the item.
    pub shape: ItemShape,
    /// Price of the item.
    pub price: Money,
}

/// Where an end of a piece lies on its item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CutPlace {
    /// On leg 1 of a bend.
    FirstLeg {
        /// From the first tangent line outwards, mm.
        from_tangent: f64,
    },
    /// On the arc of a bend.
    Arc {
        /// From the first tangent line, rad.
        angle: f64,
        /// From the first tangent line along the outside of the bend, mm.
        outside: f64,
        /// The same along the centreline, mm.
        centre: f64,
        /// The same along the inside, mm.
        inside: f64,
    },
    /// On leg 2 of a bend.
    SecondLeg {
        /// From the second tangent line outwards, mm.
        from_tangent: f64,
    },
    /// On a straight.
    Straight {
        /// From its end 0, mm.
        from_end: f64,
    },
}

/// One end of a piece as it is marked on the item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutMark {
    /// Where it lies on the item.
    pub place: CutPlace,
    /// True where the item's own end is used and nothing is cut.
    pub mill_end: bool,
    /// True for the end of the piece that lies upstream (`from`) on the run.
    pub upstream: bool,
}

/// How a piece is turned against the next piece with a bend.
#[derive(Debug, Clone, PartialEq)]
pub struct Clocking {
    /// Mark of the next piece of the run that holds a bend.
    pub to: String,
    /// From this piece's bend plane to that one's by the right-hand rule about the flow, rad, in
    /// (-pi, pi].
    pub angle: f64,
    /// The same around the tube's outside, mm (OD / 2 x angle).
    pub around: f64,
}

/// What a piece has more on its item than on its route: it is trimmed to measurement before it is joined.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reserve {
    /// Of the straight before the arc, or of a straight piece, mm.
    pub leg_in: f64,
    /// Of the arc, rad.
    pub angle: f64,
    /// Of the straight after the arc, mm.
    pub leg_out: f64,
}

impl Reserve {
    /// Whether there is none.
    pub fn is_none(&self) -> bool {
        *self == Reserve::default()
    }
}

/// One piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Run number and letter in the order of the flow: `1A`, `1B` ... See [`run_numbers`](crate::run_numbers).
    pub mark: String,
    /// The run it belongs to.
    pub run: RunId,
    /// Where it begins on the route, mm.
    pub from: f64,
    /// Where it ends on the route, mm.
    pub to: f64,
    /// Index into [`CutPlan::items`].
    pub item: usize,
    /// The stretch of the item's centreline, mm: with its reserve.
    pub at: [f64; 2],
    /// True when the route's `from` end lies at `at[1]`.
    pub reversed: bool,
    /// What it has more on the item than on the route.
    pub reserve: Reserve,
    /// Straight before the arc, in the direction of the flow, mm; the whole length of a straight piece.
    pub leg_in: f64,
    /// Angle of its arc, rad; 0 for a straight piece.
    pub angle: f64,
    /// Straight after the arc, in the direction of the flow, mm.
    pub leg_out: f64,
    /// The marks at `at[0]` and `at[1]`.
    pub cuts: [CutMark; 2],
    /// Turn to the next piece with a bend, when this one has a bend too.
    pub clocking: Option<Clocking>,
}

impl Piece {
    /// The stretches of the item's centreline that are its reserve, mm: at the ends of its legs, and of the arc at the
    /// end that has no leg, downstream when neither has.
    pub fn reserve_at(&self, item: &ItemShape) -> Vec<[f64; 2]> {
        let clr = if let ItemShape::Bend { clr, .. } = item { *clr } else { 0.0 };
        let arc_upstream = self.leg_out > 0.0 && self.leg_in <= 0.0;
        let arc = clr * self.reserve.angle;
        let straight = self.angle <= 0.0;
        // A straight piece is long downstream.
        let [mut upstream, mut downstream] = [self.reserve.leg_in, self.reserve.leg_out];
        if straight {
            [upstream, downstream] = [0.0, upstream];
        } else if arc_upstream {
            upstream += arc;
        } else {
            downstream += arc;
        }
        let [first, second] = if self.reversed { [downstream, upstream] } else { [upstream, downstream] };
        let stretches = [[self.at[0], self.at[0] + first], [self.at[1] - second, self.at[1]]];
        stretches.into_iter().filter(|s| s[1] > s[0]).collect()
    }
}

/// What is left of an item and worth keeping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offcut {
    /// Index into [`CutPlan::items`].
    pub item: usize,
    /// The stretch of the item's centreline, mm.
    pub at: [f64; 2],
}

/// One line of what is taken from the supplier or the shelf.
#[derive(Debug, Clone, PartialEq)]
pub struct StockLine {
    /// What it is in the job's stock.
    pub stock: StockRef,
    /// How it is called in lists.
    pub name: String,
    /// How many are used.
    pub count: u32,
    /// Price of one.
    pub price: Money,
}

/// A whole cut plan.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPlan {
    /// Items + joints + cuts.
    pub cost: Money,
    /// No plan under the rules of cutting costs less than this.
    pub lower_bound: Money,
    /// True when `lower_bound` equals `cost`.
    pub proven: bool,
    /// Welds between pieces of one run.
    pub joints: u32,
    /// Saw cuts made.
    pub cuts: u32,
    /// Items used, bends first.
    pub items: Vec<Item>,
    /// Pieces, run by run in the order of the flow.
    pub pieces: Vec<Piece>,
    /// What is left and worth keeping, the largest first.
    pub offcuts: Vec<Offcut>,
}

impl CutPlan {
    /// Length of all pieces, mm.
    pub fn pieces_length(&self) -> f64 {
        self.pieces.iter().map(|p| p.to - p.from).sum()
    }

    /// Length of all items used, mm.
    pub fn stock_length(&self) -> f64 {
        self.items.iter().map(|i| i.shape.length()).sum()
    }

    /// Length of the pieces / length of the stock used; 1 when nothing is used.
    pub fn yield_ratio(&self) -> f64 {
        let stock = self.stock_length();
        if stock > 0.0 { self.pieces_length() / stock } else { 1.0 }
    }

    /// What is taken, in the order of the stock lists.
    pub fn stock_lines(&self) -> Vec<StockLine> {
        let mut lines: BTreeMap<StockRef, StockLine> = BTreeMap::new();
        for item in &self.items {
            let one = || StockLine { stock: item.stock, name: item.name.clone(), count: 0, price: item.price };
            lines.entry(item.stock).or_insert_with(one).count += 1;
        }
        lines.into_values().collect()
    }
}
