use super::deliveries::whole_loads;
use crate::units::{Density, Mass, Quantity, Share, Volume, apportion, round_to};

/// One fill of the spreader.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fill {
    /// What the hopper holds, struck off level.
    pub hopper: Mass,
    /// What may be loaded.
    pub legal: Mass,
    /// The first loads, which are light.
    pub first: FirstLoads,
}

/// The first loads: each is weighed and the spreader's setting checked by it, so they are light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstLoads {
    /// How many.
    pub count: usize,
    /// How large, as a share of a full one.
    pub share: Share,
}

/// What limits a fill.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FillLimit {
    /// The hopper is full.
    Hopper,
    /// The machine may not be heavier.
    LegalWeight,
}

impl Fill {
    /// The fill of a hopper with material of a bulk density.
    #[must_use]
    pub fn new(hopper: Volume, density: Density, legal: Mass, first: FirstLoads) -> Self {
        Self { hopper: Mass::from_si(hopper.si() * density.si()), legal, first }
    }

    /// What limits it.
    #[must_use]
    pub fn bound(&self) -> FillLimit {
        if self.hopper < self.legal { FillLimit::Hopper } else { FillLimit::LegalWeight }
    }

    /// A full one.
    #[must_use]
    pub fn full(&self) -> Mass {
        match self.bound() {
            FillLimit::Hopper => self.hopper,
            FillLimit::LegalWeight => self.legal,
        }
    }
}

/// The loads of a field. A load may serve several zones: in which order they are driven is not
/// known, so zones have fills, and only the field has whole loads.
#[derive(Clone, Debug, PartialEq)]
pub struct Loads {
    /// A fill.
    pub fill: Fill,
    /// How many of them, as a decimal.
    pub fills: f64,
    /// The same for each zone, by number.
    pub zones: Vec<f64>,
    /// How many of the loads are light.
    pub first: usize,
    /// All loads, light ones and the last included.
    pub count: usize,
}

impl Loads {
    /// Decimals of printed fills.
    pub const DECIMALS: u32 = 2;

    /// The loads for what is spread on a field and its zones.
    #[must_use]
    pub fn new(fill: Fill, spread: Mass, zones: &[Mass]) -> Self {
        let load = fill.full();
        let light = load * fill.first.share.si();
        let first = whole_loads(spread, light).min(fill.first.count);
        let rest = spread - light * first as f64;
        Self {
            fill,
            fills: spread / load,
            zones: zones.iter().map(|zone| *zone / load).collect(),
            first,
            count: first + whole_loads(rest, load),
        }
    }

    /// The fills of the field and of its zones as printed: the latter add up to the first.
    #[must_use]
    pub fn printed_fills(&self) -> (f64, Vec<f64>) {
        let fills = round_to(self.fills, Self::DECIMALS);
        (fills, apportion(&self.zones, fills, Self::DECIMALS))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fill(legal: f64, count: usize, percent: f64) -> Fill {
        let (hopper, density) = (Volume::cubic_feet(300.0), Density::pounds_per_cubic_foot(60.0));
        let first = FirstLoads { count, share: Share::percent(percent) };
        Fill::new(hopper, density, Mass::tons(legal), first)
    }

    fn loads(fill: Fill, tons: f64) -> (usize, usize) {
        let loads = Loads::new(fill, Mass::tons(tons), &[]);
        (loads.first, loads.count)
    }

    /// By hand: 300 ft3 x 60 lb/ft3 = 18,000 lb = 9 tons.
    #[test]
    fn the_smaller_limit_binds() {
        let (by_hopper, by_law) = (fill(12.0, 0, 50.0), fill(8.0, 0, 50.0));
        assert_eq!(
            (by_hopper.bound(), by_law.bound()),
            (FillLimit::Hopper, FillLimit::LegalWeight)
        );
        assert!((by_hopper.full().as_tons() - 9.0).abs() < 1e-12);
        assert!((by_law.full().as_tons() - 8.0).abs() < 1e-12);
    }

    /// By hand, fills of 9 tons: 70 tons are 7.78 of them, so 8 loads. With a first one of 4.5,
    /// 65.5 are left, 7.28 fills, so 1 + 8. With two of 4.5, 61 are left, 6.78, so 2 + 7. Eight tons
    /// are two light ones, 4 tons a single light one.
    #[test]
    fn light_loads_come_first() {
        assert_eq!(loads(fill(12.0, 0, 50.0), 70.0), (0, 8));
        assert_eq!(loads(fill(12.0, 1, 50.0), 70.0), (1, 9));
        assert_eq!(loads(fill(12.0, 2, 50.0), 70.0), (2, 9));
        assert_eq!(loads(fill(12.0, 2, 50.0), 8.0), (2, 2));
        assert_eq!(loads(fill(12.0, 2, 50.0), 4.0), (1, 1));
        assert_eq!(loads(fill(12.0, 2, 50.0), 0.0), (0, 0));
    }

    /// By hand: 45 and 27 tons of 72 are 5 and 3 of 8 fills.
    #[test]
    fn zones_have_fills() {
        let zones = [Mass::tons(45.0), Mass::tons(27.0)];
        let loads = Loads::new(fill(12.0, 0, 50.0), Mass::tons(72.0), &zones);
        assert!((loads.fills - 8.0).abs() < 1e-12);
        assert!((loads.zones[0] - 5.0).abs() < 1e-12 && (loads.zones[1] - 3.0).abs() < 1e-12);
    }
}
