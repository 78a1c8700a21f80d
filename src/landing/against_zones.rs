use std::ops::Range;

use geo::{Coord, Polygon};

use super::{LandedCells, LandingGround, PatchUse};
use crate::geometry::scanline::Crossings;

/// What landed, held against what was planned. Masses in kg, rates in kg/m2, areas in m2, lengths in
/// meters.
#[derive(Clone, Debug, PartialEq)]
pub struct Landed {
    /// By zone, in their order.
    pub zones: Vec<ZoneLanded>,
    /// By keep-out, in their order.
    pub kept_out: Vec<KeptOut>,
    /// Outside the field.
    pub outside: f64,
    /// All that landed.
    pub total: f64,
    /// The area of the ground that is to be spread.
    pub spread_area: f64,
    /// Of that, what got within a tenth of its rate.
    pub within_a_tenth: f64,
    /// Of that, what got less than nine tenths of its rate.
    pub too_little: f64,
    /// Of that, what got more than eleven tenths of its rate.
    pub too_much: f64,
    /// What is missing where too little landed, by any amount.
    pub short: f64,
    /// What is too much, by any amount, kept-out ground and the outside among it.
    pub over: f64,
}

/// What landed in a zone.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ZoneLanded {
    /// Its number.
    pub zone: usize,
    /// The rate of the map.
    pub rate: f64,
    /// The area of its cells.
    pub area: f64,
    /// What it should have got.
    pub planned: f64,
    /// What landed in it.
    pub landed: f64,
    /// The coefficient of variation of what landed in it, a share.
    pub cv: f64,
    /// The area that got within a tenth of its rate.
    pub within_a_tenth: f64,
}

/// What landed where nothing may.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct KeptOut {
    /// Which of the field's keep-outs.
    pub number: usize,
    /// What landed in it.
    pub landed: f64,
    /// The highest rate in it.
    pub highest: f64,
}

/// More than this much lands in earnest: 20 lb/ac, a hundredth of a ton an acre, in kg/m2.
pub const TRACE: f64 = 0.01 * 2000.0 * 0.453_592_37 / 4_046.856_422_4;

impl Landed {
    /// Holds what landed against the zones.
    #[must_use]
    pub fn new(ground: &LandingGround, cells: &LandedCells) -> Self {
        Ledger::new(ground, cells).judged(cells)
    }

    /// Mass in the wrong place: what is short and what is over, kg.
    #[must_use]
    pub fn misplaced(&self) -> f64 {
        self.short + self.over
    }
}

/// Which patch each cell belongs to, by its middle; and the ground that is spread.
#[derive(Clone, Debug)]
pub struct Ledger<'a> {
    ground: &'a LandingGround,
    /// From 1; 0 outside.
    patch: Vec<u32>,
}

impl<'a> Ledger<'a> {
    /// For all cells of the same place, side and number.
    #[must_use]
    pub fn new(ground: &'a LandingGround, cells: &LandedCells) -> Self {
        let mut patch = vec![0; cells.mass.len()];
        for (number, one) in (1..).zip(ground.patches()) {
            inside(std::slice::from_ref(&one.polygon), cells, |run| {
                if let Some(cells) = patch.get_mut(run) {
                    cells.fill(number);
                }
            });
        }
        Self { ground, patch }
    }

    /// Which of the ground's patches a cell belongs to; none outside.
    #[must_use]
    pub fn patch(&self, cell: usize) -> Option<usize> {
        let number = self.patch.get(cell).copied().unwrap_or(0);
        number.checked_sub(1).map(|number| number as usize)
    }

    /// The mass in the wrong place, kg.
    #[must_use]
    pub fn misplaced(&self, cells: &LandedCells) -> f64 {
        let rates: Vec<f64> = std::iter::once(0.0)
            .chain(self.ground.patches().iter().map(|patch| patch.rate * cells.area()))
            .collect();
        let off = |(mass, patch): (&f64, &u32)| {
            (mass - rates.get(*patch as usize).copied().unwrap_or(0.0)).abs()
        };
        cells.mass.iter().zip(&self.patch).map(off).sum::<f64>() + cells.beyond
    }

    /// The highest rate on all patches of a use, kg/m2.
    #[must_use]
    pub fn highest(&self, cells: &LandedCells, of: PatchUse) -> f64 {
        let patches = self.ground.patches();
        let is_it: Vec<bool> =
            std::iter::once(false).chain(patches.iter().map(|patch| patch.is == of)).collect();
        let mine = cells.mass.iter().zip(&self.patch);
        let mine = mine.filter(|(_, patch)| is_it.get(**patch as usize).is_some_and(|is| *is));
        mine.map(|(mass, _)| *mass).fold(0.0, f64::max) / cells.area()
    }

    /// All that can be said.
    #[must_use]
    pub fn judged(&self, cells: &LandedCells) -> Landed {
        let area = cells.area();
        let patches = self.ground.patches();
        let mut sums = vec![Sums::default(); patches.len() + 1];
        for (&mass, &number) in cells.mass.iter().zip(&self.patch) {
            let rate = (number as usize).checked_sub(1).and_then(|i| patches.get(i));
            let rate = rate.map_or(0.0, |patch| patch.rate);
            if let Some(sums) = sums.get_mut(number as usize) {
                sums.add(mass / area, rate);
            }
        }
        let outside = sums.first().map_or(0.0, |sums| sums.landed * area) + cells.beyond;
        let mut landed = Landed {
            zones: Vec::new(),
            kept_out: Vec::new(),
            outside,
            total: cells.total(),
            spread_area: 0.0,
            within_a_tenth: 0.0,
            too_little: 0.0,
            too_much: 0.0,
            short: 0.0,
            over: outside,
        };
        for (patch, sums) in patches.iter().zip(sums.iter().skip(1)) {
            landed.short += sums.short * area;
            landed.over += sums.over * area;
            if patch.rate > 0.0 {
                landed.spread_area += sums.count * area;
                landed.within_a_tenth += sums.within * area;
                landed.too_little += sums.little * area;
                landed.too_much += sums.much * area;
            }
            match patch.is {
                PatchUse::Zone(zone) => landed.zones.push(ZoneLanded {
                    zone,
                    rate: patch.rate,
                    area: sums.count * area,
                    planned: patch.rate * sums.count * area,
                    landed: sums.landed * area,
                    cv: sums.cv(),
                    within_a_tenth: sums.within * area,
                }),
                PatchUse::KeptOut(number) => {
                    let known = landed.kept_out.iter_mut().find(|one| one.number == number);
                    let mass = sums.landed * area;
                    match known {
                        Some(one) => {
                            one.landed += mass;
                            one.highest = one.highest.max(sums.highest);
                        }
                        None => landed.kept_out.push(KeptOut {
                            number,
                            landed: mass,
                            highest: sums.highest,
                        }),
                    }
                }
            }
        }
        landed.kept_out.sort_by_key(|one| one.number);
        landed
    }
}

/// Calls `visit` for each run of cells, row by row, whose middles lie inside polygons.
pub(super) fn inside(
    polygons: &[Polygon<f64>],
    cells: &LandedCells,
    mut visit: impl FnMut(Range<usize>),
) {
    let rings: Vec<&[Coord<f64>]> = polygons
        .iter()
        .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()))
        .map(|ring| ring.0.as_slice())
        .collect();
    let middle = cells.middle(0, 0);
    let crossed = Crossings::of(rings.iter().copied(), middle.y, cells.side, cells.rows);
    crossed.runs(middle.x, cells.side, cells.columns, |row, from, to| {
        let row = row * cells.columns;
        visit(row + from..row + to);
    });
}

/// What is to be said of a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Under nine tenths of its rate.
    TooLittle,
    /// Within a tenth of its rate.
    Within,
    /// Over eleven tenths.
    TooMuch,
}

/// Judges what landed as a share of the rate.
#[must_use]
pub fn verdict(share: f64) -> Verdict {
    if share < 0.9 {
        Verdict::TooLittle
    } else if share > 1.1 {
        Verdict::TooMuch
    } else {
        Verdict::Within
    }
}

/// Sums over the cells of a patch.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    count: f64,
    landed: f64,
    /// Of what landed less the rate, so that little is lost where they are nearly the same.
    off: f64,
    squares: f64,
    highest: f64,
    within: f64,
    little: f64,
    much: f64,
    short: f64,
    over: f64,
}

impl Sums {
    fn add(&mut self, landed: f64, rate: f64) {
        self.count += 1.0;
        self.landed += landed;
        self.off += landed - rate;
        self.squares += (landed - rate).powi(2);
        self.highest = self.highest.max(landed);
        self.short += (rate - landed).max(0.0);
        self.over += (landed - rate).max(0.0);
        match verdict(landed / rate) {
            Verdict::TooLittle => self.little += 1.0,
            Verdict::TooMuch => self.much += 1.0,
            Verdict::Within => self.within += 1.0,
        }
    }

    /// Standard deviation by the mean.
    fn cv(&self) -> f64 {
        let mean = self.landed / self.count;
        let variance = (self.squares / self.count - (self.off / self.count).powi(2)).max(0.0);
        if mean > 0.0 { variance.sqrt() / mean } else { 0.0 }
    }
}
