use crate::units::Mass;

/// A truck with product.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delivery {
    /// From 1, in the order of arrival.
    pub number: usize,
    /// What it brings.
    pub mass: Mass,
}

/// A billionth of a load, less than a tenth of a gram: the rounding of units, which is no reason
/// for another load.
const ROUNDING: f64 = 1e-9;

/// The full trucks that bring a mass at the least, for a field or for several together.
#[must_use]
pub fn deliveries(ordered: Mass, payload: Mass) -> Vec<Delivery> {
    (1..=whole_loads(ordered, payload)).map(|number| Delivery { number, mass: payload }).collect()
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
        let trucks = deliveries(Mass::tons(105.1), Mass::tons(24.0));
        assert_eq!((trucks.len(), trucks[4].number), (5, 5));
        let brought: Mass = trucks.iter().map(|truck| truck.mass).sum();
        assert!((brought.as_tons() - 120.0).abs() < 1e-9);
        for (tons, count) in [(0.0, 0), (0.1, 1), (24.0, 1), (96.0, 4), (96.001, 5)] {
            assert_eq!(whole_loads(Mass::tons(tons), Mass::tons(24.0)), count, "{tons}");
        }
        assert_eq!(whole_loads(Mass::tons(0.3), Mass::tons(0.1)), 3, "0.3 / 0.1 is over 3 in bits");
    }

    /// Two fields of 30 tons take two trucks of 24 each, but only three together.
    #[test]
    fn fields_are_added_before_rounding() {
        let [one, other] = [Mass::tons(30.0), Mass::tons(30.0)];
        let payload = Mass::tons(24.0);
        assert_eq!(deliveries(one, payload).len() + deliveries(other, payload).len(), 4);
        assert_eq!(deliveries(one + other, payload).len(), 3);
    }
}
