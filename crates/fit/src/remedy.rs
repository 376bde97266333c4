//! What can be done about it before the saw: ways to finish a run, each with its chance and order.
