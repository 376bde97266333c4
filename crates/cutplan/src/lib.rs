//! Cut plans: how runs are divided into pieces, which stock each piece is cut from, and where.
//!
//! Pieces and joints are chosen together with the nesting, under the rules of cutting:
//! 1. Two arcs of one CLR, plane and sense with no straight between are one arc.
//! 2. A piece is one contiguous stretch of an item: leg+arc, arc, arc+leg, leg+arc+leg (only with
//!    the item's whole arc), or a straight out of a leg or stick. Pieces may be turned.
//! 3. Joints are square to the centreline; a cut in a bend costs the angle asin(kerf / (CLR -
//!    OD/2)), or asin(kerf / CLR) where the blade's width counts at the centreline.
//! 4. A cut that parts leg from arc lies on the straight side of the tangent point.
//! 5. Mill ends are usable as they are; neighbours one kerf apart share one cut.
//! 6. A piece with arc has at least min(min_arc, the route's arc); a straight one min_straight.
//! 7. Cost = items + joint x (pieces - runs) + cut x (pieces, or saw cuts made).
//! 8. A slip joint divides a run in two for all of this; the part upstream is longer by the overlap.
//!
//! The crate reads no file and no clock and prints nothing. Effort is counted in steps.

pub mod assembly;
mod bound;
mod cut_job;
mod error;
pub mod figures;
pub mod file;
mod fit;
mod ids;
mod instance;
mod layout;
mod marks;
mod numbers;
mod plan;
pub mod quote;
mod recount;
mod reserve;
pub mod saw;
mod search;
mod settings;
mod solution;
mod solve;
mod solved;
pub mod welding;

pub use cut_job::{CutJob, StockItem};
pub use error::CutError;
pub use instance::Longer;
pub use numbers::run_numbers;
pub use plan::{Clocking, CutMark, CutPlace, CutPlan, Item, ItemShape, Offcut, Piece, Reserve, StockLine, StockRef};
pub use recount::{PlanFault, Recount, TubeStretch, recount};
pub use reserve::{Lengthening, ReserveCost, ReserveSettings, plan_with_reserve};
pub use settings::CutSettings;
pub use solved::{centrelines, plan};
