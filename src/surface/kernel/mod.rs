//! The surface at all nodes of a lattice at once, in vectors of nodes: the same bits as one by one.
//! The method itself is told in [`super`]; here is only how it is done
//! quickly.
//!
//! `block` cuts the lattice into tasks, `descent` goes from `tile` to smaller tile with the samples
//! that can count there (found by `strips`), `ranking` finds how far the n-th nearest is (by
//! `insertion`, or for the usual twelve by `twelve_smallest`), `blend` takes the weighted mean.

mod blend;
mod block;
mod descent;
mod insertion;
mod places;
pub(super) mod power;
mod ranking;
mod selection;
pub(super) mod strips;
mod tile;
mod twelve_smallest;
mod vantage;
