//! Crank angles of what is kept of a cycle: how many, in which order, and in degrees.

/// Crank angles that are kept: every 2 degrees.
pub const ANGLES: usize = 360;

/// Order in which angles ascend: they are kept as they were passed.
pub fn ascending(angles: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..angles.len()).collect();
    order.sort_by(|a, b| angles[*a].total_cmp(&angles[*b]));
    order
}

/// Degrees of crank to a hundredth.
pub fn degrees(angle: f64) -> f64 {
    (angle.to_degrees() * 100.0).round() / 100.0
}
