use geo::{Coord, MapCoords, MultiPolygon, Simplify};

use super::rounded::rounded;
use crate::tonnage::MASS_DECIMALS;
use crate::totals::Totals;
use crate::units::{Quantity, Rate, System};

/// How far corners of zones may move on the farm's map, in degrees: some 2 m, which no page shows.
const COARSE: f64 = 2e-5;

/// Where a field's zones, piles and entrance lie, for the farm's map. All positions are WGS84 degrees.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FieldMap {
    /// Its zones, those of rate 0 that are kept out among them.
    pub zones: Vec<ZoneGround>,
    /// Its piles.
    pub piles: Vec<PilePlace>,
    /// Where trucks drive in, if the job says it.
    pub entrance: Option<Coord<f64>>,
}

/// A zone's ground.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneGround {
    /// Which of the field's tiers it has, from 0; none for what is not spread.
    pub tier: Option<usize>,
    /// Where it lies.
    pub ground: MultiPolygon<f64>,
}

/// A pile.
#[derive(Clone, Debug, PartialEq)]
pub struct PilePlace {
    /// Its number in its field, from 1.
    pub number: usize,
    /// Where it lies.
    pub at: Coord<f64>,
    /// What is spread from it, in the farm's units.
    pub mass: f64,
    /// How many trucks go there; none where none are counted.
    pub trucks: Option<usize>,
}

impl FieldMap {
    /// The map of a field with its totals. Of `zones` each has its tier's label and its rate.
    #[must_use]
    pub fn new(
        zones: impl IntoIterator<Item = (String, Rate, MultiPolygon<f64>)>,
        totals: &Totals,
        system: System,
    ) -> Self {
        let zones = zones.into_iter().map(|(label, rate, ground)| ZoneGround {
            tier: tier(totals, &label, rate),
            ground: ground.simplify(COARSE),
        });
        let trucks = |number: usize| {
            let order = totals.order.as_ref().filter(|order| !order.deliveries.is_empty())?;
            Some(order.deliveries.iter().filter(|truck| truck.pile == Some(number)).count())
        };
        let piles = totals.stockpile.iter().flat_map(|all| &all.piles).map(|pile| PilePlace {
            number: pile.pile,
            at: Coord { x: pile.spot.longitude, y: pile.spot.latitude },
            mass: rounded(&pile.mass, system, MASS_DECIMALS),
            trucks: trucks(pile.pile),
        });
        let entrance = totals.about.as_ref().and_then(|about| about.entrance);
        Self {
            zones: zones.collect(),
            piles: piles.collect(),
            entrance: entrance.map(|[x, y]| Coord { x, y }),
        }
    }

    /// The same with all positions moved; none where one has no place.
    #[must_use]
    pub fn moved(&self, to: impl Fn(Coord<f64>) -> Option<Coord<f64>>) -> Option<Self> {
        let zones = self.zones.iter().map(|zone| {
            let ground = zone.ground.try_map_coords(|at| to(at).ok_or(())).ok()?;
            Some(ZoneGround { tier: zone.tier, ground })
        });
        let piles =
            self.piles.iter().map(|pile| Some(PilePlace { at: to(pile.at)?, ..pile.clone() }));
        Some(Self {
            zones: zones.collect::<Option<_>>()?,
            piles: piles.collect::<Option<_>>()?,
            entrance: match self.entrance {
                Some(at) => Some(to(at)?),
                None => None,
            },
        })
    }
}

/// The tier of a label and a rate: labels alone may be the same for several.
fn tier(totals: &Totals, label: &str, rate: Rate) -> Option<usize> {
    let rate = rate.value_in(totals.units);
    let own = totals.tiers.iter().enumerate().filter(|(_, tier)| tier.label == label);
    let nearest =
        own.min_by(|(_, a), (_, b)| (a.rate - rate).abs().total_cmp(&(b.rate - rate).abs()));
    nearest.map(|(number, _)| number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::totals::{About, POND_QUARTER};

    /// The golden field: three tiers by CEC, a pile of its own, and trucks.
    #[test]
    fn zones_piles_and_entrance() {
        let mut totals = Totals::read(POND_QUARTER).unwrap();
        let entrance = Some([-85.1, 40.5]);
        totals.about = Some(About { date: None, grower: None, farm: None, entrance });
        let zone =
            |label: &str, rate| (label.to_owned(), Rate::tons_per_acre(rate), MultiPolygon(vec![]));
        let zones = [zone("CEC under 10", 0.5), zone("CEC over 15", 2.0), zone("pond", 0.0)];
        let map = FieldMap::new(zones, &totals, System::Us);
        let tiers: Vec<Option<usize>> = map.zones.iter().map(|zone| zone.tier).collect();
        assert_eq!(tiers, [Some(0), Some(2), None]);
        assert_eq!(map.entrance, Some(Coord { x: -85.1, y: 40.5 }));
        let [pile] = map.piles.as_slice() else { panic!("{map:?}") };
        let told = &totals.stockpile.as_ref().unwrap().piles[0];
        assert_eq!((pile.mass, pile.at.y), (told.mass.value, told.spot.latitude));
        assert_eq!(pile.trucks, Some(totals.order.as_ref().unwrap().deliveries.len()));
    }
}
