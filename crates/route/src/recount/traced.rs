//! A run as it is recounted, and what it may be off by.

use geom::Vec3;
use job::model::RunSpec;
use job::routes::Route;

use super::trace::Trace;

/// Places and lengths may be off by this much, mm: routes are written with three decimals.
pub(super) const PLACE_TOLERANCE: f64 = 0.01;

/// Directions may be off by this much, rad: the rounding of a point at the end of a stub.
pub(super) const DIRECTION_TOLERANCE: f64 = 2e-4;

/// Turn allowed at one bend, degrees. Slighter ones are better left out, sharper ones are made as two;
/// common practice, no source.
pub(super) const TURN_RANGE_DEG: [f64; 2] = [5.0, 165.0];

/// A run with all that is asked of it.
pub(super) struct Traced<'a> {
    pub route: &'a Route,
    pub spec: &'a RunSpec,
    pub trace: Trace,
    pub start: Vec3,
    pub start_axis: Vec3,
    pub start_stub: f64,
    pub end: Vec3,
    pub end_axis: Vec3,
    pub end_stub: f64,
    /// Length before its end within which tubes of one collector are one body, mm.
    pub welded: f64,
    pub via: &'a [Vec3],
    pub leaves: Option<&'a str>,
    /// The collector it enters, by name.
    pub enters: Option<&'a str>,
}

impl Traced<'_> {
    pub fn od(&self) -> f64 {
        self.spec.tube.od
    }
}
