//! Every sentence, table and map that a person reads.

pub mod warnings;
