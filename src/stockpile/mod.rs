//! Piles in the field that a spreader truck fills from: where they may lie, and where the loaded
//! travel (tons times distance) is least.
//!
//! A pile is a cone of what is brought to it (`cone`). Setbacks and reach are straight distances from
//! its edge, travel is from its middle. The allowed ground is where the middle may lie so that all of
//! the pile lies in the field, off its keep-outs and setbacks, in reach of road trucks (`ground`). One
//! pile goes to the best place on it, proven within 0.01 % for its loads (`search`); several to good
//! places, each load to the pile that makes the whole travel least (`shares`).

mod cone;
mod ground;
mod loads;
mod queue;
mod search;
mod several;
mod shares;
mod sizes;
mod spot;
mod written_place;

use geo::orient::{Direction, Orient as _};
use geo::{Coord, MapCoords, MultiPolygon, Polygon};

pub use cone::{Cone, Heap};
pub use spot::{Clearance, Spot};

use crate::field::{Field, Nearby, Site};
use crate::geometry::{Feature, OutOfReach, geodesic_area};
use crate::units::{Area, Haul, Length, Mass, Quantity, System};
use crate::written::rounded;
use loads::{Load, Travel, loads};
use search::{Distances, Landscape, lowest};
use shares::Shares;
use sizes::Sizes;
use written_place::written;

/// The most piles that are placed.
pub const MOST_PILES: usize = 12;
/// Of places that keep no setback the best is known to this, in meters.
const SHORTFALL_SLACK_M: f64 = 0.01;
/// What fits a pile to this share does not need another: rounding of sums.
const FITS: f64 = 1e-9;

/// What a job asks of its piles.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PileRequest {
    /// How many; as many as the capacity makes needed when absent.
    pub piles: Option<usize>,
    /// What each of them holds of what is brought; anything when absent.
    pub capacity: Option<Mass>,
    /// A place for one pile, WGS84 longitude and latitude in degrees.
    pub place: Option<Coord<f64>>,
    /// What decides how large they are.
    pub heap: Heap,
}

/// What is brought to all piles together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// All of it.
    pub mass: Mass,
    /// What each truck brings to one of them, if it comes in trucks.
    pub truck: Option<Mass>,
}

impl Supply {
    /// What a pile of a capacity can hold of it: whole trucks.
    fn room(&self, capacity: Mass) -> Mass {
        self.truck.map_or(capacity, |truck| truck * (capacity / truck * (1.0 + FITS)).floor())
    }

    /// What trucks bring to a pile that is to have a part of it: whole trucks, the most that may come.
    fn brought(&self, part: Mass) -> Mass {
        self.truck.map_or(part, |truck| truck * (part / truck * (1.0 - FITS)).ceil())
    }
}

/// A pile and what is spread from it.
#[derive(Clone, Debug)]
pub struct Pile {
    /// From 1, from west to east.
    pub number: usize,
    /// Where it is.
    pub spot: Spot,
    /// What is spread from it.
    pub mass: Mass,
    /// How large it is at first, of all that is brought to it.
    pub cone: Cone,
    /// What each zone takes from it, in the order of the zones; those that take nothing left out.
    pub zones: Vec<(usize, Mass)>,
    /// The loaded travel from it.
    pub travel: Haul,
}

/// What became of a place that the job names.
#[derive(Clone, Debug)]
pub struct Named {
    /// The place.
    pub spot: Spot,
    /// The loaded travel from it.
    pub travel: Haul,
    /// That from the best place, if there is one.
    pub best: Option<Haul>,
}

/// The piles of a field.
#[derive(Clone, Debug)]
pub struct Stockpile {
    /// The ground on which the middle of a pile may lie: WGS84, degrees, rounded as written.
    pub allowed: MultiPolygon<f64>,
    /// The piles; none where none may lie. A place that the job names is the pile's if it is
    /// allowed.
    pub piles: Vec<Pile>,
    /// Where none may lie: of the open ground in reach the place that misses the setbacks by the
    /// least, or of all open ground the place nearest to the access if nothing is in reach.
    pub nearest_miss: Option<Spot>,
    /// What became of the place that the job names.
    pub named: Option<Named>,
}

impl Stockpile {
    /// The area of the allowed ground.
    #[must_use]
    pub fn allowed_area(&self) -> Area {
        self.allowed.iter().map(geodesic_area).sum()
    }

    /// The loaded travel from all piles.
    #[must_use]
    pub fn travel(&self) -> Haul {
        self.piles.iter().map(|pile| pile.travel).sum()
    }
}

/// Why piles cannot be placed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum StockpileError {
    #[error(
        "[pile] capacity: found room for {room} in {piles}, expected room for {needed}; {remedy}"
    )]
    Capacity { room: String, piles: String, needed: String, remedy: String },
    #[error(
        "[pile] capacity: found {capacity}, expected room for a delivery of {truck} at the least; raise the capacity, or lower [order] delivery"
    )]
    OneTruck { capacity: String, truck: String },
    #[error(
        "[pile] place: found {at}, which is {away} from the field, expected longitude and latitude of a place in it"
    )]
    FarAway { at: String, away: String },
    #[error("[pile] place: found {at}, expected longitude and latitude of a place in the field")]
    NoPlace { at: String },
    #[error(transparent)]
    Position(#[from] OutOfReach),
}

/// Places the piles of a field at its site. `zones` are its polygons in the meters of its frame with
/// what each takes; `supply` is what is brought for them, with what is lost and left over;
/// `system` is for messages.
///
/// # Errors
/// When the piles do not hold what is brought, or a named place is over a mile from the field.
pub fn place(
    field: &Field,
    site: &Site,
    zones: &[(Polygon<f64>, Mass)],
    asked: &PileRequest,
    supply: &Supply,
    system: System,
) -> Result<Stockpile, StockpileError> {
    let whole: Mass = zones.iter().map(|(_, mass)| *mass).sum();
    let count = count(supply, asked, system)?;
    let loads = loads(zones);
    let open = field.open();
    let frame = field.boundary.frame();
    // What is spread from a pile is to what is brought there as for the whole field.
    let capacity = asked.capacity.filter(|_| supply.mass > Mass::ZERO);
    let capacity = capacity.map_or(f64::INFINITY, |capacity| {
        (whole * (supply.room(capacity) / supply.mass)).as_kilograms()
    });
    let cone = |mass: Mass| {
        let part = if whole > Mass::ZERO { mass / whole } else { 1.0 / count as f64 };
        asked.heap.cone(supply.brought(supply.mass * part))
    };
    let most = asked.heap.cone(supply.mass).radius;
    let named = asked.place.map(|at| named(field, site, most, at, system)).transpose()?;
    let mut sizes = Sizes::equal(cone(whole / count as f64).radius, most);
    let with_cones = |spots: Vec<Spot>| {
        let piles = piles(spots, &loads, zones.len(), capacity);
        let all = piles.into_iter().map(|pile| {
            let cone = cone(pile.mass);
            Pile { spot: pile.spot.sized(field, site, cone.radius), cone, ..pile }
        });
        all.collect::<Vec<Pile>>()
    };
    let (in_reach, allowed, best) = loop {
        let in_reach = ground::in_reach(&open, site, sizes.least);
        let allowed = ground::allowed(&in_reach, &open, site, sizes.most);
        let mut spots = Vec::new();
        for at in several::places(&loads, &Feature::from(&allowed), count, capacity) {
            spots.push(written(field, site, sizes.most, at)?);
        }
        spots.sort_by(|a, b| a.position.x.total_cmp(&b.position.x));
        let piles = with_cones(spots);
        let radii: Vec<Length> = piles.iter().map(|pile| pile.cone.radius).collect();
        if sizes.hold(&radii) {
            break (in_reach, allowed, piles);
        }
        sizes = sizes.widened(&radii);
    };
    let mut stockpile = Stockpile {
        allowed: in_degrees(&allowed, field)?,
        piles: best,
        nearest_miss: None,
        named: None,
    };
    if stockpile.piles.is_empty()
        && let Some(at) = nearest_miss(&open, &in_reach, site, sizes.most)
    {
        let wgs84 = rounded(frame.to_wgs84(at)?);
        let at = (wgs84, frame.to_local(wgs84)?);
        stockpile.nearest_miss = Some(Spot::of(field, site, sizes.most, at));
    }
    if let Some(spot) = named {
        let travel = |spot: &Spot| Haul::from_si(Travel(&loads).height(spot.position));
        let best = stockpile.piles.first().map(|pile| travel(&pile.spot));
        if spot.is_allowed() {
            stockpile.piles = with_cones(vec![spot.clone()]);
        }
        stockpile.named = Some(Named { travel: travel(&spot), best, spot });
    }
    Ok(stockpile)
}

/// How many piles there are.
fn count(supply: &Supply, asked: &PileRequest, system: System) -> Result<usize, StockpileError> {
    let Some(capacity) = asked.capacity else { return Ok(asked.piles.unwrap_or(1)) };
    let room = supply.room(capacity);
    if let Some(truck) = supply.truck.filter(|_| room <= Mass::ZERO) {
        let [capacity, truck] = [capacity, truck].map(|mass| mass.show(system, 2));
        return Err(StockpileError::OneTruck { capacity, truck });
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
    let needed = ((supply.mass / room * (1.0 - FITS)).ceil() as usize).max(1);
    let most = if asked.place.is_some() { Some(1) } else { asked.piles };
    let count = most.unwrap_or(needed.min(MOST_PILES));
    if count >= needed {
        return Ok(count);
    }
    let remedy = if asked.place.is_some() {
        "one pile lies at the named place; raise the capacity, or leave the place out".to_owned()
    } else if needed > MOST_PILES {
        format!("raise the capacity, at most {MOST_PILES} piles are placed")
    } else {
        format!("set piles = {needed}, or leave it out")
    };
    Err(StockpileError::Capacity {
        room: (room * count as f64).show(system, 2),
        piles: format!("{count} {}", if count == 1 { "pile" } else { "piles" }),
        needed: supply.mass.show(system, 2),
        remedy,
    })
}

/// The place that a job names.
fn named(
    field: &Field,
    site: &Site,
    radius: Length,
    at: Coord<f64>,
    system: System,
) -> Result<Spot, StockpileError> {
    // What is written is what is checked.
    let at = rounded(at);
    let shown = format!("{}, {}", at.x, at.y);
    let Ok(position) = field.boundary.frame().to_local(at) else {
        return Err(StockpileError::NoPlace { at: shown });
    };
    let spot = Spot::of(field, site, radius, (at, position));
    let away = spot.outside - radius;
    if away > Nearby::KNOWN {
        return Err(StockpileError::FarAway { at: shown, away: away.show(system, 0) });
    }
    Ok(spot)
}

/// The ground as it is written.
fn in_degrees(
    ground: &MultiPolygon<f64>,
    field: &Field,
) -> Result<MultiPolygon<f64>, StockpileError> {
    let frame = field.boundary.frame();
    let degrees = |at: Coord<f64>| frame.to_wgs84(at).map(rounded);
    Ok(ground.try_map_coords(degrees)?.orient(Direction::Default))
}

/// Where the setbacks and the edge of open ground are missed by the least, or, with nothing in reach,
/// the nearest to the access.
fn nearest_miss(
    open: &MultiPolygon<f64>,
    in_reach: &MultiPolygon<f64>,
    site: &Site,
    radius: Length,
) -> Option<Coord<f64>> {
    let nearest = |features: &[Feature], at: Coord<f64>| {
        features.iter().map(|feature| feature.distance(at)).fold(f64::INFINITY, f64::min)
    };
    let found = match &site.access {
        Some(access) if in_reach.0.is_empty() => {
            let height = |at| nearest(&access.features, at);
            lowest(&Feature::from(open), &Distances { height, slack: SHORTFALL_SLACK_M })
        }
        _ => {
            let edges = ground::edges(open);
            let height = |at| {
                let short = |near: &Nearby| near.distance.as_metres() - nearest(&near.features, at);
                let setbacks = site.setbacks.iter().map(short);
                setbacks.fold(-nearest(&edges, at), f64::max) + radius.as_metres()
            };
            lowest(&Feature::from(in_reach), &Distances { height, slack: SHORTFALL_SLACK_M })
        }
    };
    found.map(|(at, _)| at)
}

/// The piles at some places, and what is spread from each.
fn piles(spots: Vec<Spot>, loads: &[Load], zones: usize, capacity: f64) -> Vec<Pile> {
    let places: Vec<Coord<f64>> = spots.iter().map(|spot| spot.position).collect();
    let shares = Shares::least(loads, &places, capacity);
    let pile = |(number, spot): (usize, Spot)| {
        let own = shares.of(number, loads);
        let mut taken = vec![0.0; zones];
        for load in &own {
            if let Some(mass) = taken.get_mut(load.zone) {
                *mass += load.mass;
            }
        }
        let numbered = taken.into_iter().map(Mass::kilograms).enumerate();
        let mass = Mass::kilograms(own.iter().map(|load| load.mass).sum());
        Pile {
            number: number + 1,
            mass,
            cone: Cone::NONE,
            zones: numbered.filter(|(_, mass)| *mass > Mass::ZERO).collect(),
            travel: Haul::from_si(Travel(&own).height(spot.position)),
            spot,
        }
    };
    spots.into_iter().enumerate().map(pile).collect()
}

/// The mean way of what is carried, if anything is.
#[must_use]
pub fn mean_way(travel: Haul, mass: Mass) -> Option<Length> {
    (mass > Mass::ZERO).then(|| travel / mass)
}

#[cfg(test)]
mod tests;
