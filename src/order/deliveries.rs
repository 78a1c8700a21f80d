use crate::units::{Mass, Quantity, Share};

/// A truck with product.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delivery {
    /// From 1, in the order of arrival.
    pub number: usize,
    /// What it brings.
    pub mass: Mass,
    /// The number of the pile that it goes to, from 1, where there are piles.
    pub pile: Option<usize>,
}

/// A billionth of a load, less than a tenth of a gram: the rounding of units, which is no reason
/// for another load.
const ROUNDING: f64 = 1e-9;

/// Full trucks, so many.
#[must_use]
pub fn deliveries(count: usize, payload: Mass) -> Vec<Delivery> {
    let truck = |number| Delivery { number, mass: payload, pile: None };
    (1..=count).map(truck).collect()
}

/// Sends each truck to the pile that lacks the most then; of equal ones to the first. `shares` are
/// what is spread from each pile; the trucks' product is parted in proportion.
pub fn send(deliveries: &mut [Delivery], shares: &[Mass]) {
    let whole: Mass = shares.iter().copied().sum();
    let brought: Mass = deliveries.iter().map(|truck| truck.mass).sum();
    let mut lacking: Vec<Mass> = shares.iter().map(|share| brought * (*share / whole)).collect();
    for truck in deliveries {
        let most = lacking
            .iter_mut()
            .zip(1..)
            .reduce(|most, other| if *other.0 > *most.0 { other } else { most });
        if let Some((lacks, number)) = most {
            *lacks = *lacks - truck.mass;
            truck.pile = Some(number);
        }
    }
}

/// What trucks bring to a pile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtPile {
    /// How many of them.
    pub trucks: usize,
    /// What they bring.
    pub brought: Mass,
    /// What is to be spread from the pile and is not there: other piles have it.
    pub short: Mass,
}

/// What trucks bring to piles from each of which a share is spread, when a part of it is lost.
pub fn at_piles(deliveries: &[Delivery], shares: &[Mass], loss: Share) -> Vec<AtPile> {
    if deliveries.is_empty() {
        return Vec::new();
    }
    let at = |(number, share): (usize, &Mass)| {
        let here = deliveries.iter().filter(|truck| truck.pile == Some(number));
        let trucks = here.clone().count();
        let brought: Mass = here.map(|truck| truck.mass).sum();
        let short = *share - brought * (1.0 - loss.si());
        AtPile { trucks, brought, short: if short > Mass::ZERO { short } else { Mass::ZERO } }
    };
    (1..).zip(shares).map(at).collect()
}

/// How many whole loads a mass takes.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count of loads, not below 0, and saturates"
)]
pub fn whole_loads(mass: Mass, load: Mass) -> usize {
    (mass / load - ROUNDING).ceil().max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 105.1 tons in trucks of 24 are 4.38 of them, so five bring 120; 96 tons are four.
    #[test]
    fn trucks_are_whole() {
        let trucks = deliveries(5, Mass::tons(24.0));
        assert_eq!((trucks.len(), trucks[4].number), (5, 5));
        let brought: Mass = trucks.iter().map(|truck| truck.mass).sum();
        assert!((brought.as_tons() - 120.0).abs() < 1e-9);
        for (tons, count) in [(0.0, 0), (0.1, 1), (24.0, 1), (96.0, 4), (96.001, 5), (105.1, 5)] {
            assert_eq!(whole_loads(Mass::tons(tons), Mass::tons(24.0)), count, "{tons}");
        }
        assert_eq!(whole_loads(Mass::tons(0.3), Mass::tons(0.1)), 3, "0.3 / 0.1 is over 3 in bits");
    }

    /// By hand: five trucks of 24 bring 120 tons, 72 for the first pile, 36 and 12 for the others:
    /// these lack 72, 36, 12; then 48, 36, 12; 24, 36, 12; 24, 12, 12; and 0, 12, 12.
    #[test]
    fn trucks_go_where_most_is_lacking() {
        let mut trucks = deliveries(5, Mass::tons(24.0));
        send(&mut trucks, &[60.0, 30.0, 10.0].map(Mass::tons));
        let piles: Vec<usize> = trucks.iter().filter_map(|truck| truck.pile).collect();
        assert_eq!(piles, [1, 1, 2, 1, 2]);
        send(&mut trucks, &[]);
        assert_eq!(trucks[0].pile, Some(1), "no piles, nothing to say");
    }

    /// By hand: three trucks of 24 for 30, 25 and 10 tons bring 24 each; 2 % is lost, 23.52 are left.
    #[test]
    fn piles_are_short_of_what_other_piles_have() {
        let shares = [30.0, 25.0, 10.0].map(Mass::tons);
        let mut trucks = deliveries(3, Mass::tons(24.0));
        send(&mut trucks, &shares);
        let piles = at_piles(&trucks, &shares, Share::percent(2.0));
        let short: Vec<f64> = piles.iter().map(|pile| pile.short.as_tons()).collect();
        for (short, expected) in short.iter().zip([6.48, 1.48, 0.0]) {
            assert!((short - expected).abs() < 1e-9, "{piles:?}");
        }
        assert!(piles.iter().all(|pile| pile.trucks == 1 && pile.brought == Mass::tons(24.0)));
        assert!(at_piles(&[], &shares, Share::percent(2.0)).is_empty());
    }
}
