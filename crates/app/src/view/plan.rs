//! The cut plan as it is drawn: items with their stretches and cuts, pieces with their marks.

use cutplan::saw::{Face, Outcome, SHORT_HOLD, SawCut, from_end, saw_work};
use cutplan::{CutJob, CutPlace, CutPlan, Item, ItemShape, Piece, StockRef};
use serde::Serialize;
use utoipa::ToSchema;

use crate::summary::rounded;

/// A cut plan.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PlanView {
    /// Hash of its file: ticks at the saw and bookings belong to it.
    pub hash: String,
    /// Stock, joints and cuts, money.
    pub cost: f64,
    /// Lower bound of the cost of any plan, money.
    pub lower_bound: f64,
    /// True when both are equal.
    pub proven: bool,
    /// Length of pieces / length of stock used.
    #[serde(rename = "yield")]
    pub yield_ratio: f64,
    /// Welds between pieces of one run.
    pub joints: u32,
    /// Saw cuts made.
    pub cuts: u32,
    /// Stock used, by line.
    pub stock: Vec<StockLineView>,
    /// The items used.
    pub items: Vec<ItemView>,
    /// The pieces, run by run in the order of the flow.
    pub pieces: Vec<PieceView>,
}

/// A line of stock used.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StockLineView {
    /// Name of the stock line.
    pub item: String,
    /// Quantity.
    pub count: u32,
    /// Price of one, money.
    pub price: f64,
    /// Whether it is stock on hand.
    pub from_shelf: bool,
}

/// An item of stock.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ItemView {
    /// `b1`, `s1` ...
    pub id: String,
    /// Name of the stock line.
    pub name: String,
    /// Whether it is stock on hand.
    pub from_shelf: bool,
    /// Outside diameter, mm.
    pub od: f64,
    /// Shape of the item.
    pub shape: ItemShapeView,
    /// Its price, money.
    pub price: f64,
    /// Use of each stretch, from end 0.
    pub stretches: Vec<StretchView>,
    /// Parts of its pieces that are kept longer, to be cut to measurement: from and to along its centreline, mm.
    #[schema(value_type = Vec<(f64, f64)>)]
    pub reserve: Vec<[f64; 2]>,
    /// Its cuts from its end 0 on; their numbers say the order of work.
    pub cuts: Vec<CutView>,
}

/// The shape of an item.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum ItemShapeView {
    /// A bend: leg, arc, leg.
    Bend {
        /// CLR, mm.
        clr: f64,
        /// Angle.
        angle_deg: f64,
        /// Legs before and after the arc, mm.
        #[schema(value_type = (f64, f64))]
        legs: [f64; 2],
        /// Length of the centreline, mm.
        length: f64,
    },
    /// A stick.
    Straight {
        /// Its length, mm.
        length: f64,
    },
}

/// What a stretch of an item becomes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum StretchUse {
    /// A piece of a run.
    Piece,
    /// An offcut to keep.
    Offcut,
    /// Scrap.
    Scrap,
}

/// A stretch of an item.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StretchView {
    /// From and to along the item's centreline, mm.
    #[schema(value_type = (f64, f64))]
    pub at: [f64; 2],
    /// What it becomes.
    pub becomes: StretchUse,
    /// The piece's mark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark: Option<String>,
}

/// The part of an item that is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub enum CutPart {
    /// The leg before the arc.
    #[serde(rename = "leg 1")]
    FirstLeg,
    /// The arc.
    #[serde(rename = "arc")]
    Arc,
    /// The leg after the arc.
    #[serde(rename = "leg 2")]
    SecondLeg,
    /// A straight tube.
    #[serde(rename = "straight")]
    Straight,
}

/// A saw cut.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CutView {
    /// Its name within the plan: `b1-2`.
    pub id: String,
    /// Its place in the order of work on the item, from 1.
    pub number: u32,
    /// The end of a piece that the blade runs along.
    pub saw: FaceView,
    /// The end of the piece on the blade's side, with a line of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second: Option<FaceView>,
    /// What lies on the blade's side: the mark of a piece, `offcut`, `scrap` or `end` (less than a blade is left).
    pub blade_side: String,
    /// Width of the thin ring of scrap that comes off; 0 when less than a blade comes off the item's end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ring_mm: Option<f64>,
    /// What the saw takes and truing after it, along the item's centreline.
    #[schema(value_type = (f64, f64))]
    pub kerf_mm: [f64; 2],
    /// True when the kerf lies beyond the line as seen from the item's end 0.
    pub kerf_after: bool,
    /// Length of what is held.
    pub held_mm: f64,
    /// True when that is too short for bare jaws.
    pub short_grip: bool,
    /// True when the side towards the item's end 0 is held.
    pub hold_start: bool,
}

/// The end of a piece at a cut.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FaceView {
    /// Mark of the piece.
    pub mark: String,
    /// Its line, along the item's centreline.
    pub at_mm: f64,
    /// The part of the item that is cut.
    pub on: CutPart,
    /// On a leg: from its tangent line outwards; on a straight: from its end 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_mm: Option<f64>,
    /// On the arc: from the first tangent line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub angle_deg: Option<f64>,
    /// Arc length from T1 along the outside of the bend, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<f64>,
    /// Arc length from T1 along the inside of the bend, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inside_mm: Option<f64>,
    /// The leg whose end the next two are measured from; 1 is the left end of a straight.
    pub leg: u8,
    /// From the end of that leg along the outside of the bend.
    pub end_outside_mm: f64,
    /// The same along the inside.
    pub end_inside_mm: f64,
    /// True when the saw leaves so much that it is ground off to the line.
    pub trued: bool,
    /// What the saw leaves before the line, square to the cut, outside and inside of the bend, mm.
    #[schema(value_type = (f64, f64))]
    pub over_mm: [f64; 2],
}

/// A piece.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PieceView {
    /// Run number and letter: `1A`.
    pub mark: String,
    /// Its run: `primary 1`.
    pub run: String,
    /// Start along the route, mm.
    pub from_mm: f64,
    /// Where it ends.
    pub to_mm: f64,
    /// The item that the piece is cut from.
    pub item: String,
    /// The stretch of the item's centreline, mm.
    #[schema(value_type = (f64, f64))]
    pub at: [f64; 2],
    /// True when its upstream end lies at `at[1]`.
    pub reversed: bool,
    /// Straight before its arc, mm; the whole length of a straight piece.
    pub leg_in_mm: f64,
    /// Angle of its arc; 0 of a straight piece.
    pub angle_deg: f64,
    /// Straight after its arc.
    pub leg_out_mm: f64,
    /// The next piece with a bend.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clocking_to: Option<String>,
    /// From its bend plane to that one's, right-hand rule about the flow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clocking_deg: Option<f64>,
    /// Clocking as an arc on the outside of the tube, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clocking_mm: Option<f64>,
}

/// A plan as the page shows it; `hash` is that of its file.
pub fn plan(found: &CutPlan, job: &CutJob<'_>, hash: &str) -> PlanView {
    PlanView {
        hash: hash.to_string(),
        cost: found.cost.units(),
        lower_bound: found.lower_bound.units(),
        proven: found.proven,
        yield_ratio: rounded(found.yield_ratio()),
        joints: found.joints,
        cuts: found.cuts,
        stock: found
            .stock_lines()
            .into_iter()
            .map(|l| StockLineView {
                item: l.name,
                count: l.count,
                price: l.price.units(),
                from_shelf: on_shelf(l.stock),
            })
            .collect(),
        items: (0..found.items.len()).map(|i| item(found, i, job)).collect(),
        pieces: found.pieces.iter().map(|p| piece(p, &found.items[p.item])).collect(),
    }
}

fn on_shelf(stock: StockRef) -> bool {
    matches!(stock, StockRef::Remnant(_))
}

fn item(plan: &CutPlan, index: usize, job: &CutJob<'_>) -> ItemView {
    let item = &plan.items[index];
    let work = saw_work(plan, index, job);
    let length = rounded(item.shape.length());
    ItemView {
        id: item.id.clone(),
        name: item.name.clone(),
        from_shelf: on_shelf(item.stock),
        od: item.od,
        shape: match item.shape {
            ItemShape::Bend { clr, angle, legs } => {
                ItemShapeView::Bend { clr, angle_deg: rounded(angle.to_degrees()), legs, length }
            }
            ItemShape::Straight { .. } => ItemShapeView::Straight { length },
        },
        price: item.price.units(),
        stretches: work
            .stretches
            .iter()
            .map(|s| {
                let (becomes, mark) = match s.part {
                    Outcome::Piece(k) => (StretchUse::Piece, Some(plan.pieces[k].mark.clone())),
                    Outcome::Offcut(_) => (StretchUse::Offcut, None),
                    Outcome::Scrap => (StretchUse::Scrap, None),
                };
                StretchView { at: s.at.map(rounded), becomes, mark }
            })
            .collect(),
        reserve: plan
            .pieces
            .iter()
            .filter(|p| p.item == index)
            .flat_map(|p| p.reserve_at(&item.shape))
            .map(|at| at.map(rounded))
            .collect(),
        cuts: work.cuts.iter().map(|c| cut(plan, item, c)).collect(),
    }
}

fn cut(plan: &CutPlan, item: &Item, cut: &SawCut) -> CutView {
    CutView {
        id: format!("{}-{}", item.id, cut.number),
        number: cut.number,
        saw: face(plan, item, &cut.saw),
        second: cut.second.as_ref().map(|f| face(plan, item, f)),
        blade_side: match cut.beside {
            Some(Outcome::Piece(k)) => plan.pieces[k].mark.clone(),
            Some(Outcome::Offcut(_)) => "offcut".into(),
            Some(Outcome::Scrap) => "scrap".into(),
            None => "end".into(),
        },
        ring_mm: cut.ring.map(rounded),
        kerf_mm: cut.kerf.map(rounded),
        kerf_after: cut.kerf_after,
        held_mm: rounded(cut.held),
        short_grip: cut.held < SHORT_HOLD,
        hold_start: cut.hold_start,
    }
}

fn face(plan: &CutPlan, item: &Item, face: &Face) -> FaceView {
    let end = from_end(&item.shape, &face.place);
    let on = match face.place {
        CutPlace::FirstLeg { .. } => CutPart::FirstLeg,
        CutPlace::Arc { .. } => CutPart::Arc,
        CutPlace::SecondLeg { .. } => CutPart::SecondLeg,
        CutPlace::Straight { .. } => CutPart::Straight,
    };
    let mut view = FaceView {
        mark: plan.pieces[face.piece].mark.clone(),
        at_mm: rounded(face.line),
        on,
        from_mm: None,
        angle_deg: None,
        outside_mm: None,
        inside_mm: None,
        leg: end.leg,
        end_outside_mm: rounded(end.outside),
        end_inside_mm: rounded(end.inside),
        trued: face.trued(),
        over_mm: face.over.map(rounded),
    };
    match face.place {
        CutPlace::FirstLeg { from_tangent: from }
        | CutPlace::SecondLeg { from_tangent: from }
        | CutPlace::Straight { from_end: from } => view.from_mm = Some(rounded(from)),
        CutPlace::Arc { angle, outside, inside, .. } => {
            view.angle_deg = Some(rounded(angle.to_degrees()));
            view.outside_mm = Some(rounded(outside));
            view.inside_mm = Some(rounded(inside));
        }
    }
    view
}

fn piece(piece: &Piece, item: &Item) -> PieceView {
    let clocking = piece.clocking.as_ref();
    PieceView {
        mark: piece.mark.clone(),
        run: piece.run.to_string(),
        from_mm: rounded(piece.from),
        to_mm: rounded(piece.to),
        item: item.id.clone(),
        at: piece.at.map(rounded),
        reversed: piece.reversed,
        leg_in_mm: rounded(piece.leg_in),
        angle_deg: rounded(piece.angle.to_degrees()),
        leg_out_mm: rounded(piece.leg_out),
        clocking_to: clocking.map(|c| c.to.clone()),
        clocking_deg: clocking.map(|c| rounded(c.angle.to_degrees())),
        clocking_mm: clocking.map(|c| rounded(c.around)),
    }
}
