//! What every pipe of a model takes: the unit of length that the solver counts in, and the air at open ends.

/// Millimetres to metres.
pub const MM: f64 = 1e-3;
/// Air around the engine: pressure, Pa, and temperature, K.
pub const AIR: [f64; 2] = [101_325.0, 298.15];
/// End correction of an open, unflanged end, in radii.
pub const END_CORRECTION: f64 = 0.6133;
