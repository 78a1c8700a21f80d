//! Every sentence, table and map that a person reads.

pub mod certainty;
pub mod driven;
pub mod warnings;
