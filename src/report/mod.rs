//! Every sentence, table and map that a person reads.

pub mod certainty;
pub mod order;
pub mod warnings;
