//! What a header costs: routes and cut plan, with the shop's rates, as lines of a quote.
//!
//! Two steps, a file each: [`work()`] counts what there is to do (cuts, ends, joints, weld length,
//! arc time, gas, weight), `lines` prices it. The formulas:
//! - weld length = pi x OD for each weld of a run: joints between pieces, the weld to the port flange,
//!   and the welds to collectors;
//! - arc time = weld length / travel speed; time of welding = arc time / arc-on factor;
//! - argon = arc time x torch flow + (purged materials) time of welding x purge flow + floodings x purge volumes x
//!   volume within the run; titanium adds arc time x trailing flow;
//! - weight = metal of the bare tubes by Pappus's theorem x density; flanges not in it; collectors' bodies apart, as given or of their sheet.
//!
//! The time standards are common practice without a published source, with their ranges; they are
//! starting points until a shop times its own work. Where it is weak: welding of the collector's own
//! seams is in the time of building one, and multi-port flanges are counted as one flange a port.
//!
//! Money: every line is rounded to [`COIN`], half up, when it is made. Sums add rounded lines, so that a
//! printed quote can be added up; margin and tax are rounded likewise. This is the only rounding.

mod basis;
mod lines;
mod work;

pub use basis::{Basis, LineSource, PriceFrom, ShareOf, Standard};
pub use lines::{Group, Quote, QuoteLine, quote};
pub use work::{FLOODINGS, Purge, RunWork, Work, body_mass, work};

/// The smallest coin that is printed, in thousandths of the currency's unit: a hundredth.
pub const COIN: i64 = 10;
