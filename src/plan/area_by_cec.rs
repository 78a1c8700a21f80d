//! How much ground lies at which CEC.

use crate::units::Area;

/// The area of ground in equal steps of CEC.
#[derive(Clone, Debug, PartialEq)]
pub struct AreaByCec {
    /// Where the first step begins, meq/100 g.
    pub from: f64,
    /// How wide a step is, meq/100 g.
    pub step: f64,
    /// The area in each step.
    pub areas: Vec<Area>,
}

impl AreaByCec {
    /// Sorts places that stand for equal parts of an area; steps are the least round ones of which at
    /// most so many are needed.
    pub(super) fn of(values: &[f64], area: Area, most: usize) -> Self {
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let most = most.max(1) as f64;
        let needed = |step: f64| (high / step).floor() - (low / step).floor() + 1.0;
        let steps = [0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
        let step = steps.into_iter().find(|step| needed(*step) <= most).unwrap_or(100.0);
        if !(low.is_finite() && high.is_finite()) {
            return Self { from: 0.0, step, areas: Vec::new() };
        }
        let first = (low / step).floor();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to most")]
        let number = |value: f64| ((value / step).floor() - first) as usize;
        let mut areas = vec![Area::ZERO; number(high) + 1];
        let each = area / values.len() as f64;
        for value in values {
            if let Some(slot) = areas.get_mut(number(*value)) {
                *slot = *slot + each;
            }
        }
        Self { from: first * step, step, areas }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_add_up() {
        let found = AreaByCec::of(&[5.1, 5.4, 6.0, 9.99], Area::acres(8.0), 10);
        assert_eq!((found.from, found.step, found.areas.len()), (5.0, 0.5, 10));
        let acres: Vec<f64> = found.areas.iter().map(|area| area.as_acres().round()).collect();
        assert_eq!(acres, [4.0, 0.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 2.0]);
        assert!(AreaByCec::of(&[], Area::acres(8.0), 10).areas.is_empty());
        assert_eq!(AreaByCec::of(&[7.0; 3], Area::acres(3.0), 10).areas.len(), 1);
    }
}
