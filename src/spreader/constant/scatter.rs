use super::WeighTest;
use super::outliers::are_outliers;
use crate::spreader::machine::{Constant, ConstantKind};
use crate::units::{Quantity, Share};

/// How far weigh tests scatter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// How many tests it rests on, those far from the others not counted.
    pub tests: usize,
    /// The standard deviation (n - 1) of the constants that would have made each test come out, as a
    /// share of their mean.
    pub spread: Share,
}

impl Scatter {
    /// The scatter of what tests make of the controller's constant, each having been run with one of
    /// its own; none of fewer than two. A mistyped one does not count, as it does not for the constant.
    #[must_use]
    pub fn of(kind: ConstantKind, tests: &[&WeighTest]) -> Option<Self> {
        let implied: Vec<f64> = tests
            .iter()
            .map(|test| Constant { value: test.constant, kind }.corrected(test.ratio()).value)
            .collect();
        let wild = are_outliers(&implied);
        let sound: Vec<f64> =
            implied.into_iter().zip(wild).filter(|(_, wild)| !wild).map(|(c, _)| c).collect();
        let n = sound.len();
        if n < 2 {
            return None;
        }
        let mean = sound.iter().sum::<f64>() / n as f64;
        let squares: f64 = sound.iter().map(|constant| (constant - mean).powi(2)).sum();
        Some(Self { tests: n, spread: Share::from_si((squares / (n - 1) as f64).sqrt() / mean) })
    }
}

#[cfg(test)]
mod tests {
    use super::super::WeighTestLog;
    use super::*;

    const HEAD: &str = "date,machine,material,gate_opening,constant,controller,ticket\n";

    fn scatter(lines: &str) -> Option<Scatter> {
        let log = WeighTestLog::read("log.csv", &format!("{HEAD}{lines}")).unwrap();
        Scatter::of(ConstantKind::MassPerPulse, &log.of("m", "g"))
    }

    /// By hand: 2.1, 2.2, 2.3 have mean 2.2 and s = 0.1, 4.545 %; the ticket with a digit too many and
    /// another machine's do not count.
    #[test]
    fn three_tests() {
        let tests = "a,m,g,5 in,2,10 tons,10.5 tons\nb,m,g,5 in,2,10 tons,11 tons\n\
            c,m,g,5 in,2,10 tons,11.5 tons\nd,m,g,5 in,2,10 tons,110 tons\n\
            e,other,g,5 in,2,10 tons,30 tons\n";
        let found = scatter(tests).unwrap();
        assert_eq!(found.tests, 3);
        assert!((found.spread.as_percent() - 100.0 * 0.1 / 2.2).abs() < 1e-9, "{found:?}");
        assert_eq!(scatter("a,m,g,5 in,2,10 tons,10.5 tons\n"), None);
        assert_eq!(scatter(""), None);
    }
}
