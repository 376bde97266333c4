//! What a recount finds wrong with a plan: ids and plain measures.

use job::routes::RunId;

use crate::plan::StockRef;

/// A stretch of straight or arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TubeStretch {
    /// A straight, its length in mm.
    Straight(f64),
    /// An arc.
    Arc {
        /// Centreline radius, mm.
        clr: f64,
        /// Length of its centreline, mm.
        length: f64,
    },
}

impl TubeStretch {
    pub(super) fn length(self) -> f64 {
        match self {
            TubeStretch::Straight(length) | TubeStretch::Arc { length, .. } => length,
        }
    }
}

/// What is wrong with a plan. Pieces go by their marks, items by their ids; lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanFault {
    /// A piece belongs to no run.
    StrayPiece,
    /// A piece does not begin where the one before ends.
    PieceBegins {
        /// The run it belongs to.
        run: RunId,
        /// Mark of the piece.
        piece: String,
        /// Where it begins on the route.
        from: f64,
        /// Where it has to begin.
        expected: f64,
    },
    /// The mark of a piece is not of its run alone.
    PieceMark {
        /// The run it belongs to.
        run: RunId,
        /// Mark of the piece.
        piece: String,
    },
    /// The pieces of a run end before or behind its end.
    RunCovered {
        /// The run it belongs to.
        run: RunId,
        /// Where its last piece ends.
        to: f64,
        /// Length of the run.
        length: f64,
    },
    /// A piece is of an item that the plan does not have.
    NoItem {
        /// Mark of the piece.
        piece: String,
    },
    /// A piece lies outside its item.
    OutsideItem {
        /// Mark of the piece.
        piece: String,
    },
    /// The stretch of the item is not the stretch of the route.
    OtherStretch {
        /// Mark of the piece.
        piece: String,
        /// Straights and arcs of the route.
        route: Vec<TubeStretch>,
        /// Straights and arcs of the item.
        item: Vec<TubeStretch>,
    },
    /// A piece has a reserve where it has no straight or arc, or on an arc between two legs.
    Reserve {
        /// Mark of the piece.
        piece: String,
    },
    /// A straight piece is shorter than the saw can hold.
    StraightTooShort {
        /// Mark of the piece.
        piece: String,
    },
    /// A piece has less arc than the saw can hold.
    ArcTooShort {
        /// Mark of the piece.
        piece: String,
    },
    /// An item has another price than in the stock.
    Price {
        /// Its place in the stock.
        stock: StockRef,
    },
    /// More is used than there is.
    Count {
        /// Its place in the stock.
        stock: StockRef,
        /// How many are used.
        used: u32,
        /// How many there are.
        held: u32,
    },
    /// A piece is cut from another tube than its run is made of.
    OtherTube {
        /// Mark of the piece.
        piece: String,
    },
    /// An item is listed and not used.
    UnusedItem {
        /// Id of the item.
        item: String,
    },
    /// Two pieces of an item leave less than the saw takes.
    NoRoomForSaw {
        /// Id of the item.
        item: String,
        /// Where the first ends and the second begins on the item.
        between: [f64; 2],
        /// What they leave.
        gap: f64,
        /// What the saw takes.
        least: f64,
    },
    /// The cut that parts a leg from the arc is not on the leg.
    CutNotOnLeg {
        /// Id of the item.
        item: String,
        /// 1 for the first tangent point, 2 for the second.
        tangent: usize,
    },
    /// An item has other sizes than in the stock.
    ItemSizes {
        /// Id of the item.
        item: String,
        /// Its place in the stock.
        stock: StockRef,
    },
    /// A mark is not where its piece ends.
    MarkPlace {
        /// Mark of the piece.
        piece: String,
        /// Id of the item.
        item: String,
    },
    /// An offcut is not free on its item.
    OffcutNotFree {
        /// Its stretch of the item.
        at: [f64; 2],
    },
    /// Legs or angle of a piece are not those of its stretch.
    PieceSizes {
        /// Mark of the piece.
        piece: String,
        /// Id of the item.
        item: String,
    },
    /// The clocking of a piece does not agree with itself.
    Clocking {
        /// Mark of the piece.
        piece: String,
        /// The piece it is clocked to.
        to: String,
    },
    /// The cost is not the sum of its parts, thousandths of the currency's unit.
    Cost {
        /// What the plan gives.
        given: i64,
        /// What it comes to.
        counted: i64,
    },
    /// Joints and cuts are not those of the pieces.
    JointsAndCuts {
        /// Joints and cuts that the plan gives.
        given: [i64; 2],
        /// Joints and cuts counted.
        counted: [i64; 2],
    },
    /// Bound and proof do not agree with the cost.
    Bound,
}
