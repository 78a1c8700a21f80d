use geo::{CoordsIter, MultiPolygon};

use super::amounts::ZoneAmounts;
use super::{Heading, Settings};
use crate::field::Field;
use crate::order::{Order, Spread};
use crate::stockpile::{Stockpile, mean_way};
use crate::tonnage::Amount;
use crate::units::{Area, Length, Mass, Quantity};
use crate::zones::longest_side;

/// The order of a plan, if its settings ask for one.
pub(super) fn order_of(
    field: &Field,
    settings: &Settings,
    amounts: &ZoneAmounts,
    stockpile: Option<&Stockpile>,
) -> Option<Order> {
    let asked = settings.order.as_ref()?;
    let boundary = field.boundary.local();
    let heading = match settings.rows.map(|rows| rows.heading) {
        Some(Heading::Degrees(degrees)) => degrees.to_radians(),
        Some(Heading::Longest) | None => longest_side(boundary),
    };
    // A tier of rate 0 is not driven over. What is driven is paid for as printed.
    let unit = Area::unit(settings.system).si;
    let printed = |amount: &Amount| Area::from_si(amount.printed_area * unit);
    let driven = amounts.zones.iter().filter(|zone| zone.amount.mass > Mass::ZERO);
    let spread = Spread {
        mass: amounts.total.mass,
        area: driven.map(|zone| printed(&zone.amount)).sum(),
        flat_mass: amounts.flat.mass,
        field: printed(&amounts.total),
        zones: amounts.zones.iter().map(|zone| zone.amount.mass).collect(),
        piles: stockpile.into_iter().flat_map(|all| &all.piles).map(|pile| pile.mass).collect(),
        way: stockpile.and_then(|all| {
            let mass = all.piles.iter().map(|pile| pile.mass).sum();
            mean_way(all.travel(), mass)
        }),
        across: across(boundary, heading),
    };
    Some(Order::new(&spread, asked))
}

/// How wide each part of a field, in meters, is across passes that run at a heading, in radians
/// clockwise from north.
fn across(boundary: &MultiPolygon<f64>, heading: f64) -> Vec<Length> {
    let (sin, cos) = libm::sincos(heading);
    let width = |part: &geo::Polygon<f64>| {
        let offsets = part.exterior().coords_iter().map(|at| at.x * cos - at.y * sin);
        let (least, most) = offsets
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), at| {
                (least.min(at), most.max(at))
            });
        Length::metres(most - least)
    };
    boundary.iter().map(width).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Rect, coord};

    /// A field of 100 m by 400 m is 100 m wide across passes to the north, 400 m across passes to
    /// the east, and (100 + 400) / sqrt 2 across passes to the northeast.
    #[test]
    fn width_across_the_passes() {
        let field = Rect::new(coord! { x: 10.0, y: 0.0 }, coord! { x: 110.0, y: 400.0 });
        let field = MultiPolygon(vec![field.to_polygon()]);
        for (degrees, width) in [(0.0, 100.0), (90.0, 400.0), (45.0, 500.0 / 2_f64.sqrt())] {
            let found = across(&field, f64::to_radians(degrees));
            assert!((found[0].as_metres() - width).abs() < 1e-9, "{degrees}: {found:?}");
        }
    }
}
