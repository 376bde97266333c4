//! The two tolerances of the geometry, each with its unit.

/// Lengths below this are taken as zero, mm.
///
/// A thousandth of what a caliper can show. Ten times more would swallow the shortest straights
/// that a solver leaves on purpose; ten times less meets the rounding of points read from a file
/// with six decimals.
pub const LENGTH_EPS: f64 = 1e-5;

/// Turns below this are taken as none, rad (about 0.2 seconds of arc).
///
/// On a tube a metre long it moves the end by 1 micrometre.
pub const ANGLE_EPS: f64 = 1e-6;
