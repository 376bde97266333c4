//! Products and sums: in one instruction where the processor has it.
//!
//! On processors without it (older than about 2013) they are rounded twice, so that answers differ there in the last
//! digits; on all others they are the same to the last bit.

/// How a product and a sum are made.
pub trait Arithmetic: Copy + Send + Sync {
    /// a b + c.
    fn sum(a: f64, b: f64, c: f64) -> f64;
}

/// One instruction, rounded once.
#[derive(Debug, Clone, Copy)]
pub struct Fused;

/// Two instructions, each rounded.
#[derive(Debug, Clone, Copy)]
pub struct Apart;

impl Arithmetic for Fused {
    #[inline(always)]
    fn sum(a: f64, b: f64, c: f64) -> f64 {
        a.mul_add(b, c)
    }
}

impl Arithmetic for Apart {
    #[inline(always)]
    fn sum(a: f64, b: f64, c: f64) -> f64 {
        a * b + c
    }
}
