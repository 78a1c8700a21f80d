use crate::units::{Length, Quantity, Rate};

/// The single-pass pattern: rates at evenly spaced places across the driven line. Nothing lands
/// beyond the last pans.
///
/// ```
/// use landplaster::spreader::pans::Pattern;
/// use landplaster::units::{Length, Quantity, Rate};
///
/// let rates = [0.0, 1.0, 2.0, 1.0, 0.0].map(Rate::tons_per_acre);
/// let pattern = Pattern::new(Length::feet(-20.0), Length::feet(10.0), rates.to_vec()).unwrap();
/// let close = |one: Rate, other: Rate| (one.si() / other.si() - 1.0).abs() < 1e-12;
/// // Halfway between two pans, and what passes 20 ft apart put on the field: 4 x 10 / 20.
/// assert!(close(pattern.rate_at(Length::feet(5.0)), Rate::tons_per_acre(1.5)));
/// assert!(close(pattern.apparent_rate(Length::feet(20.0)), Rate::tons_per_acre(2.0)));
/// assert_eq!(pattern.left_share(), 0.5);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    first: Length,
    spacing: Length,
    rates: Vec<Rate>,
}

impl Pattern {
    /// A pattern from its leftmost place (left of the driven line is negative), the distance
    /// between places, and the rates from left to right. Nothing if the spacing is not above zero,
    /// there are fewer than two rates, or a rate is negative or not a number.
    #[must_use]
    pub fn new(first: Length, spacing: Length, rates: Vec<Rate>) -> Option<Self> {
        let sound = spacing.si() > 0.0
            && first.si().is_finite()
            && rates.len() >= 2
            && rates.iter().all(|rate| rate.si() >= 0.0 && rate.si().is_finite());
        sound.then_some(Self { first, spacing, rates })
    }

    /// Distance between places.
    #[must_use]
    pub fn spacing(&self) -> Length {
        self.spacing
    }

    /// The rates, from left to right.
    #[must_use]
    pub fn rates(&self) -> &[Rate] {
        &self.rates
    }

    /// The places, from left to right.
    pub fn places(&self) -> impl Iterator<Item = Length> + '_ {
        (0..self.rates.len()).map(|i| self.place(i))
    }

    fn place(&self, i: usize) -> Length {
        self.first + self.spacing * i as f64
    }

    /// The leftmost place.
    #[must_use]
    pub fn left(&self) -> Length {
        self.first
    }

    /// The rightmost place.
    #[must_use]
    pub fn right(&self) -> Length {
        self.place(self.rates.len() - 1)
    }

    /// The full throw: from the leftmost to the rightmost place.
    #[must_use]
    pub fn throw(&self) -> Length {
        self.right() - self.left()
    }

    /// The rate at any place: that of a pan, or straight between two pans, or nothing beyond the
    /// last ones.
    #[must_use]
    pub fn rate_at(&self, place: Length) -> Rate {
        let at = (place - self.first) / self.spacing;
        let nearest = at.round();
        // Places that are meant to be on a pan miss it by the last bits; a millionth of a spacing
        // is far below the width of a pan.
        let at = if (at - nearest).abs() < 1e-6 { nearest } else { at };
        let last = (self.rates.len() - 1) as f64;
        if !(0.0..=last).contains(&at) {
            return Rate::ZERO;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to last")]
        let below = at.floor() as usize;
        let rate = |i: usize| self.rates.get(i).copied().unwrap_or(Rate::ZERO);
        let share = at - at.floor();
        if share > 0.0 {
            rate(below) * (1.0 - share) + rate(below + 1) * share
        } else {
            rate(below)
        }
    }

    /// The highest rate.
    #[must_use]
    pub fn highest(&self) -> Rate {
        Rate::from_si(self.rates.iter().map(|rate| rate.si()).fold(0.0, f64::max))
    }

    /// The rate that the pattern puts on the field when driven at a swath: the sum of the rates by
    /// the spacing, on the swath. The same for both ways of driving.
    #[must_use]
    pub fn apparent_rate(&self, swath: Length) -> Rate {
        self.rates.iter().copied().sum::<Rate>() * (self.spacing / swath)
    }

    /// What lands left of the driven line, as a share of the whole; a pan on the line counts half
    /// to each side.
    #[must_use]
    pub fn left_share(&self) -> f64 {
        let total: f64 = self.rates.iter().map(|rate| rate.si()).sum();
        let on_the_line = self.spacing.si() * 1e-6;
        let left = self.places().zip(&self.rates).map(|(place, rate)| {
            let part = if place.si().abs() < on_the_line {
                0.5
            } else {
                f64::from(u8::from(place.si() < 0.0))
            };
            rate.si() * part
        });
        left.sum::<f64>() / total
    }

    /// Distance between the outermost places, left and right, at which the rate is half of another:
    /// with the rate at the driven line, the effective swath of Oklahoma State University
    /// Extension B-817. Straight between pans.
    #[must_use]
    pub fn half_rate_width(&self, of: Rate) -> Length {
        let half = of / 2.0;
        let above = |(_, rate): &(usize, &Rate)| **rate >= half;
        let mut rates = self.rates.iter().enumerate();
        let first = rates.clone().find(above).map(|(i, _)| i);
        let last = rates.rfind(above).map(|(i, _)| i);
        let Some((first, last)) = first.zip(last) else { return Length::ZERO };
        let beyond = |inner: usize, outer: Option<usize>| {
            let rate = |i: usize| self.rates.get(i).copied().unwrap_or(Rate::ZERO);
            let inside = rate(inner);
            let Some(outside) = outer.filter(|i| *i < self.rates.len()).map(rate) else {
                return Length::ZERO;
            };
            self.spacing * ((inside - half) / (inside - outside))
        };
        self.spacing * (last - first) as f64
            + beyond(first, first.checked_sub(1))
            + beyond(last, Some(last + 1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pattern(first: f64, spacing: f64, rates: &[f64]) -> Pattern {
        let rates = rates.iter().map(|rate| Rate::tons_per_acre(*rate)).collect();
        Pattern::new(Length::feet(first), Length::feet(spacing), rates).unwrap()
    }

    /// Oklahoma State University Extension B-817: half the center rate at 6 ft each side gives an
    /// effective swath of 12 ft.
    #[test]
    fn effective_swath() {
        let triangle = pattern(-12.0, 3.0, &[0.0, 0.5, 1.0, 1.5, 2.0, 1.5, 1.0, 0.5, 0.0]);
        let width = triangle.half_rate_width(triangle.rate_at(Length::ZERO));
        assert!((width.as_feet() - 12.0).abs() < 1e-9);
        let between = pattern(-6.0, 3.0, &[0.0, 1.5, 2.0, 1.5, 0.0]);
        // By hand: half (1.0) lies a third of the way from 1.5 to 0: 3 + 1 ft each side.
        let width = between.half_rate_width(Rate::tons_per_acre(2.0)).as_feet();
        assert!((width - 8.0).abs() < 1e-9, "{width}");
    }

    /// By hand: (1 + 2 + 3) x 5 ft on 15 ft is 2; left 1 + half of 2 of 6.
    #[test]
    fn apparent_rate_and_balance() {
        let pattern = pattern(-5.0, 5.0, &[1.0, 2.0, 3.0]);
        assert!((pattern.apparent_rate(Length::feet(15.0)).as_tons_per_acre() - 2.0).abs() < 1e-9);
        assert!((pattern.left_share() - 2.0 / 6.0).abs() < 1e-12);
        assert!((pattern.rate_at(Length::feet(2.5)).as_tons_per_acre() - 2.5).abs() < 1e-9);
        assert_eq!(pattern.rate_at(Length::feet(5.1)), Rate::ZERO);
    }
}
