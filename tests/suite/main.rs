//! The checks that need more than one room of the library.

mod reference;
