//! The search for good plans: packings of arcs on bends, decoded into whole plans.

pub(crate) mod decode;
pub(crate) mod improve;
pub(crate) mod packing;
pub(crate) mod random;
