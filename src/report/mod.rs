//! Every sentence, table and map that a person reads.

pub mod certainty;
pub mod start;
pub mod warnings;
