//! From a tile of nodes to smaller ones, and to their values.

use pulp::Simd;

use super::blend::Blend;
use super::places::Places;
use super::power::Weight;
use super::ranking::Ranking;
use super::tile::{Rectangle, Shortlist, Tile};
use crate::surface::{Lattice, Point, Surface};

/// The side of the smallest tile.
const LEAST: usize = 4;

/// What the tiles of a block share.
pub(super) struct Descent<'a, S, W> {
    simd: S,
    surface: &'a Surface,
    lattice: &'a Lattice,
    weight: W,
    rank: usize,
    radius: f64,
    tapered: bool,
    first_row: usize,
    values: &'a mut [f64],
    places: Places,
    blended: Vec<f64>,
}

impl<'a, S: Simd, W: Weight> Descent<'a, S, W> {
    /// Ready to fill in whole rows of a lattice, from a row on.
    pub fn new(
        simd: S,
        surface: &'a Surface,
        lattice: &'a Lattice,
        weight: W,
        first_row: usize,
        values: &'a mut [f64],
    ) -> Self {
        let samples = surface.points().len();
        let (rank, tapered) = (surface.idw.rank(samples), surface.idw.tapers(samples));
        let radius = surface.idw.radius().unwrap_or(0.0);
        let (places, blended) = (Places::default(), Vec::new());
        Self {
            simd,
            surface,
            lattice,
            weight,
            rank,
            radius,
            tapered,
            first_row,
            values,
            places,
            blended,
        }
    }

    /// Does all nodes of a tile.
    pub fn begin(&mut self, tile: Tile, lists: &mut [Shortlist]) {
        if self.surface.uses_all() {
            self.leaf(tile, self.surface.points());
        } else if let Some((list, deeper)) = lists.split_first_mut() {
            let place = tile.around(self.lattice);
            let reach = self.reach(&place, list);
            self.surface.strips.within(&place, reach, list);
            self.descend(tile, list.points(), deeper);
        }
    }

    /// A distance from a box that no sample that counts in it exceeds, in meters: that of the n-th
    /// nearest to its center among those of a square that holds n, and half the diagonal.
    fn reach(&self, place: &Rectangle, list: &mut Shortlist) -> f64 {
        let diagonal = libm::hypot(place.half[0], place.half[1]);
        let mut side = diagonal;
        loop {
            self.surface.strips.within(place, side, list);
            let enough = list.points().len() >= self.rank;
            if enough || side.is_infinite() {
                break;
            }
            side *= 1.5;
        }
        let [easting, northing] = place.centre;
        let mut squares: Vec<f64> =
            list.points().iter().map(|point| point.squared_distance(easting, northing)).collect();
        let place = self.rank.min(squares.len()).saturating_sub(1);
        if place >= squares.len() {
            return f64::INFINITY;
        }
        let (_, nth, _) = squares.select_nth_unstable_by(place, f64::total_cmp);
        (nth.sqrt() + diagonal).max(self.radius)
    }

    /// Cuts a tile into smaller ones as long as that rules out samples, then does its nodes.
    fn descend(&mut self, tile: Tile, points: &[Point], lists: &mut [Shortlist]) {
        let small = tile.columns <= LEAST && tile.rows <= LEAST;
        let nearly_all_count = points.len() <= self.rank + self.rank / 8;
        let Some((list, deeper)) = lists.split_first_mut() else {
            return self.leaf(tile, points);
        };
        if small || nearly_all_count {
            return self.leaf(tile, points);
        }
        self.places.clear();
        for part in tile.split(LEAST) {
            self.places.push(&part.around(self.lattice));
        }
        self.rank(points, false);
        let mut reaches = [0.0; 4];
        for (reach, nth) in reaches.iter_mut().zip(&self.places.nth) {
            *reach = nth.max(self.radius * self.radius);
        }
        for (part, reach) in tile.split(LEAST).zip(reaches) {
            list.clear();
            list.add(points, &part.around(self.lattice), reach);
            self.descend(part, list.points(), deeper);
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
        let has_radius = self.surface.idw.radius().is_some();
        let limited = points.len() > self.rank || has_radius || self.tapered;
        if limited {
            self.rank(points, has_radius);
            let samples = self.surface.points().len();
            for (nth, nearest) in self.places.nth.iter_mut().zip(&self.places.nearest) {
                *nth = self.surface.idw.limit(samples, *nearest, *nth);
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
            tapered: self.tapered,
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
