//! Numbers of classes that are no tier.

/// The class of the first keep-out's pieces; the others' follow. What is spread is under it.
pub const KEEP_OUT: u32 = 1 << 16;

/// The class of a node outside the field, or in a keep-out: none.
pub const OUTSIDE: u32 = u32::MAX;
