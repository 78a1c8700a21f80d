//! All nodes of a lattice at once.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::{Arch, Simd, WithSimd};
use rayon::prelude::*;

use super::descent::Descent;
use super::power::{Weight, with_weight};
use super::tile::{Shortlist, Tile};
use crate::surface::{Lattice, Surface};

/// Rows of a block, which is one task, and the side of the tiles that it begins with.
const BLOCK: usize = 32;

impl Surface {
    /// The values at the nodes of a lattice: row after row from the south, each from the west.
    ///
    /// The same bits as [`Surface::at`] at each node, whatever the number of threads.
    ///
    /// Tiles of nodes share a list of the samples that can count in them: with the n-th smallest
    /// distance from a sample to a tile's farthest corner as reach, a sample farther than that from
    /// the tile's nearest edge has n samples before it at every node. The list is cut down tile
    /// within tile; then the nodes of a tile are done a vector at a time. Time grows with the nodes,
    /// hardly with the samples, except where all samples count.
    #[must_use]
    pub fn on_lattice(&self, lattice: &Lattice) -> Vec<f64> {
        let mut values = vec![0.0; lattice.nodes()];
        let arch = Arch::new();
        with_weight!(self.idw.power(), weight => {
            values.par_chunks_mut((BLOCK * lattice.columns()).max(1)).enumerate().for_each(
                |(number, values)| {
                    let (surface, row) = (self, number * BLOCK);
                    arch.dispatch(Block { surface, lattice, weight, row, values });
                },
            );
        });
        values
    }
}

/// A few whole rows of a lattice.
struct Block<'a, W> {
    surface: &'a Surface,
    lattice: &'a Lattice,
    weight: W,
    row: usize,
    values: &'a mut [f64],
}

impl<W: Weight> WithSimd for Block<'_, W> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let Self { surface, lattice, weight, row, values } = self;
        let rows = values.len() / lattice.columns().max(1);
        let mut descent = Descent::new(simd, surface, lattice, weight, row, values);
        let mut lists = vec![Shortlist::default(); 2 + BLOCK.ilog2() as usize];
        for column in (0..lattice.columns()).step_by(BLOCK) {
            let columns = BLOCK.min(lattice.columns() - column);
            descent.begin(Tile { column, row, columns, rows }, &mut lists);
        }
    }
}
