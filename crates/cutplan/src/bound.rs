//! Proven bounds: a linear relaxation whose columns are whole bends, and branching on it.

pub(crate) mod master;
pub(crate) mod pricing;
pub(crate) mod prove;
pub(crate) mod simplex;
