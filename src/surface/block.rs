//! All nodes of a lattice at once.

#![expect(
    clippy::inline_always,
    reason = "vector code must be inlined where the processor is known"
)]

use pulp::{Arch, Simd, WithSimd};
use rayon::prelude::*;

use super::lanes::Blend;
use super::power::{Weight, with_weight};
use super::select::{Places, Ranking};
use super::tile::{Tile, within};
use super::{Lattice, Point, Surface};

/// Rows of a block, which is one task, and the side of the tiles that it begins with.
const BLOCK: usize = 32;

/// The side of the smallest tile.
const LEAST: usize = 4;

impl Surface {
    /// The values at the nodes of a lattice: row after row from the south, each from the west.
    ///
    /// The same bits as [`Surface::at`] at each node, whatever the number of threads.
    ///
    /// Tiles of nodes share a list of the samples that can count in them: with the n-th smallest
    /// distance from a sample to a tile's farthest corner as reach, a sample farther than that from
    /// the tile's nearest edge has n samples before it at every node. The list is cut down tile
    /// within tile; then the nodes of a tile are done a vector at a time. Time grows with the nodes,
    /// not with the samples, except where all samples count.
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
        let tiles: Vec<Tile> = (0..lattice.columns())
            .step_by(BLOCK)
            .map(|column| {
                let columns = BLOCK.min(lattice.columns() - column);
                Tile { column, row, columns, rows }
            })
            .collect();
        let rank = surface.idw.rank(surface.points.len());
        let mut work = Work {
            simd,
            surface,
            lattice,
            weight,
            rank,
            first_row: row,
            values,
            places: Places::default(),
            blended: Vec::new(),
        };
        if surface.uses_all() {
            for tile in tiles {
                work.leaf(tile, &surface.points);
            }
            return;
        }
        let reaches: Vec<f64> = tiles.iter().map(|tile| work.reach(*tile)).collect();
        let farthest = reaches.iter().copied().fold(0.0, f64::max) + lattice.step();
        let south = lattice.northing(row) - farthest;
        let north = lattice.northing(row + rows) + farthest;
        let first = surface.points.partition_point(|point| point.northing < south);
        let last = surface.points.partition_point(|point| point.northing <= north);
        let band = surface.points.get(first..last).unwrap_or_default();
        let mut lists = vec![Vec::new(); 2 + BLOCK.ilog2() as usize];
        for (tile, reach) in tiles.into_iter().zip(reaches) {
            if let Some((list, deeper)) = lists.split_first_mut() {
                within(band, tile.centre(lattice), tile.half(lattice), reach * reach, list);
                work.descend(tile, list, deeper);
            }
        }
    }
}

/// What the tiles of a block share.
struct Work<'a, S, W> {
    simd: S,
    surface: &'a Surface,
    lattice: &'a Lattice,
    weight: W,
    rank: usize,
    first_row: usize,
    values: &'a mut [f64],
    places: Places,
    blended: Vec<f64>,
}

impl<S: Simd, W: Weight> Work<'_, S, W> {
    /// How far from a tile a sample may be and still count in it, in metres.
    fn reach(&self, tile: Tile) -> f64 {
        let [east, north] = tile.half(self.lattice);
        let mut ranked = self.surface.tree.nearest_neighbor_iter(&tile.centre(self.lattice));
        let nth = ranked
            .nth(self.rank.saturating_sub(1))
            .and_then(|entry| self.surface.points.get(entry.data));
        let [easting, northing] = tile.centre(self.lattice);
        let nth = nth.map_or(f64::INFINITY, |point| point.squared_distance(easting, northing));
        (nth.sqrt() + east.hypot(north)).max(self.surface.idw.radius().unwrap_or(0.0))
    }

    /// Cuts a tile into smaller ones as long as that rules out samples, then does its nodes.
    fn descend(&mut self, tile: Tile, points: &[Point], lists: &mut [Vec<Point>]) {
        let small = tile.columns <= LEAST && tile.rows <= LEAST;
        let few = points.len() <= self.rank + self.rank / 8;
        let Some((list, deeper)) = lists.split_first_mut() else {
            return self.leaf(tile, points);
        };
        if small || few {
            return self.leaf(tile, points);
        }
        self.places.clear();
        for part in tile.split(LEAST) {
            self.places.push(part.centre(self.lattice), part.half(self.lattice));
        }
        self.rank(points, false);
        let radius = self.surface.idw.radius().unwrap_or(0.0);
        let mut reaches = [0.0; 4];
        for (reach, nth) in reaches.iter_mut().zip(&self.places.nth) {
            *reach = nth.max(radius * radius);
        }
        for (part, reach) in tile.split(LEAST).zip(reaches) {
            within(points, part.centre(self.lattice), part.half(self.lattice), reach, list);
            self.descend(part, list, deeper);
        }
    }

    /// Does the nodes of a tile, among whose samples are all that count.
    fn leaf(&mut self, tile: Tile, points: &[Point]) {
        self.places.clear();
        for row in tile.row..tile.row + tile.rows {
            let northing = self.lattice.northing(row);
            for column in tile.column..tile.column + tile.columns {
                self.places.eastings.push(self.lattice.easting(column));
                self.places.northings.push(northing);
            }
        }
        let limited = points.len() > self.rank || self.surface.idw.radius().is_some();
        if limited {
            self.rank(points, self.surface.idw.radius().is_some());
            for (nth, nearest) in self.places.nth.iter_mut().zip(&self.places.nearest) {
                *nth = self.surface.idw.limit(*nearest, *nth);
            }
        } else {
            self.places.pad(S::F64_LANES);
        }
        self.blended.resize(self.places.eastings.len(), 0.0);
        self.simd.vectorize(Blend {
            weight: self.weight,
            points,
            eastings: &self.places.eastings,
            northings: &self.places.northings,
            limits: limited.then_some(self.places.nth.as_slice()),
            values: &mut self.blended,
        });
        self.store(tile);
    }

    /// Ranks samples by their distances from the places.
    fn rank(&mut self, points: &[Point], nearest: bool) {
        self.places.pad(S::F64_LANES);
        self.simd.vectorize(Ranking { places: &mut self.places, points, rank: self.rank, nearest });
    }

    /// Copies a tile's values to its rows; those at a sample are done one by one.
    fn store(&mut self, tile: Tile) {
        let rows = self.values.chunks_exact_mut(self.lattice.columns().max(1));
        let blended = self.blended.chunks_exact(tile.columns.max(1)).take(tile.rows);
        for ((row, blended), number) in
            rows.skip(tile.row - self.first_row).zip(blended).zip(tile.row..)
        {
            let nodes = row.iter_mut().skip(tile.column).zip(blended);
            for ((value, blended), column) in nodes.zip(tile.column..) {
                *value = if blended.is_nan() {
                    self.surface.at(self.lattice.easting(column), self.lattice.northing(number))
                } else {
                    *blended
                };
            }
        }
    }
}
