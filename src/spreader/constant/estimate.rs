use super::outliers::are_outliers;
use super::{WeighTest, two_sided_95};
use crate::spreader::machine::{Constant, ConstantKind};
use crate::units::{Quantity, Share};

/// What the weigh tests say about a constant.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// How many tests it rests on, those left out not counted.
    pub tests: usize,
    /// The tests that are left out for being far from the others, each with the constant that it
    /// would make.
    pub left_out: Vec<(WeighTest, f64)>,
    /// The corrected constant: the mean of those that would have made each test come out.
    pub constant: f64,
    /// Standard deviation of those constants (n - 1), as a share of their mean; with two tests or
    /// more.
    pub spread: Option<Share>,
    /// The 95 % confidence interval of the constant, by Student's t; with two tests or more.
    pub interval: Option<Interval>,
    /// The corrected fill factor: more material than thought for the same belt travel means that
    /// the stream fills more of the gate.
    pub fill_factor: Share,
}

/// A confidence interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

/// A stream larger than its gate.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "the weigh tests raise the fill factor from {:.1} % to {:.1} %, expected at most 100 %: a stream is never larger than its gate; check belt width, bulk density and fill factor in the machine file, and the tickets", was.as_percent(), corrected.as_percent()
)]
pub struct Overfilled {
    /// That of the machine file.
    pub was: Share,
    /// That which the tests come to.
    pub corrected: Share,
}

/// Corrects a constant and the fill factor that goes with it.
///
/// A test run with constant c, in which the controller showed m and the ticket says w, would have
/// come out with c w/m where the constant is mass a pulse, and with c m/w where it is pulses a unit
/// of mass (common practice, no source). A test whose constant is far from the others' does not
/// count: a ticket is soon mistyped.
///
/// # Errors
/// When the fill factor comes to more than 100 %: a stream is never larger than its gate.
pub fn estimate(
    now: Constant,
    fill_factor: Share,
    tests: &[&WeighTest],
) -> Result<Option<Estimate>, Overfilled> {
    let implied: Vec<f64> = tests
        .iter()
        .map(|test| Constant { value: test.constant, ..now }.corrected(test.ratio()).value)
        .collect();
    if implied.is_empty() {
        return Ok(None);
    }
    let judged = || implied.iter().copied().zip(are_outliers(&implied));
    let (mut left_out, mut sound) = (Vec::new(), Vec::new());
    for (test, (constant, is_wild)) in tests.iter().zip(judged()) {
        if is_wild {
            left_out.push(((*test).clone(), constant));
        } else {
            sound.push(constant);
        }
    }
    let implied = sound;
    let n = implied.len();
    let mean = implied.iter().sum::<f64>() / n as f64;
    let squares: f64 = implied.iter().map(|constant| (constant - mean).powi(2)).sum();
    let t = two_sided_95(n - 1);
    let deviation = t.map(|_| (squares / (n - 1) as f64).sqrt());
    let interval = t.zip(deviation).map(|(t, deviation)| {
        let half = t * deviation / (n as f64).sqrt();
        Interval { low: mean - half, high: mean + half }
    });
    let more = match now.kind {
        ConstantKind::MassPerPulse => mean / now.value,
        ConstantKind::PulsesPerMass => now.value / mean,
    };
    let corrected = fill_factor * more;
    // As printed: 100.04 % is the rounding of a scale.
    if corrected.as_percent() >= 100.05 {
        return Err(Overfilled { was: fill_factor, corrected });
    }
    Ok(Some(Estimate {
        tests: n,
        left_out,
        constant: mean,
        spread: deviation.map(|deviation| Share::from_si(deviation / mean)),
        interval,
        fill_factor: corrected,
    }))
}

#[cfg(test)]
mod tests {
    use super::super::WeighTestLog;
    use super::*;

    fn log() -> WeighTestLog {
        let text = "date,machine,material,gate_opening,constant,controller,ticket\n\
                    a,m,g,5 in,2,10 tons,10.5 tons\nb,m,g,5 in,2,10 tons,11 tons\n\
                    c,m,g,5 in,2,10 tons,11.5 tons\n";
        WeighTestLog::read("log.csv", text).unwrap()
    }

    /// By hand: 2.1, 2.2, 2.3: mean 2.2, s = 0.1, t(2) = 4.303, half width 4.303 x 0.1 / sqrt 3 =
    /// 0.24844; the fill factor grows by 2.2/2 from 80 to 88 %.
    #[test]
    fn three_tests() {
        let log = log();
        let now = Constant { value: 2.0, kind: ConstantKind::MassPerPulse };
        let found = estimate(now, Share::percent(80.0), &log.of("m", "g")).unwrap().unwrap();
        assert_eq!((found.tests, found.left_out.len()), (3, 0));
        assert!((found.constant - 2.2).abs() < 1e-12);
        assert!((found.spread.unwrap().as_percent() - 100.0 * 0.1 / 2.2).abs() < 1e-9);
        let interval = found.interval.unwrap();
        assert!((interval.low - 1.951_56).abs() < 1e-5, "{interval:?}");
        assert!((interval.high - 2.448_44).abs() < 1e-5);
        assert!((found.fill_factor.as_percent() - 88.0).abs() < 1e-9);
    }

    /// By hand: 2/1.05.
    #[test]
    fn the_other_way_of_counting() {
        let log = log();
        let now = Constant { value: 2.0, kind: ConstantKind::PulsesPerMass };
        let all = log.of("m", "g");
        let found = estimate(now, Share::percent(80.0), &all[..1]).unwrap().unwrap();
        assert!((found.constant - 2.0 / 1.05).abs() < 1e-12);
        assert!((found.fill_factor.as_percent() - 84.0).abs() < 1e-9);
        assert_eq!((found.spread, found.interval), (None, None));
        assert_eq!(estimate(now, Share::percent(80.0), &[]), Ok(None));
    }

    /// By hand: a ticket of 105 ton in place of 10.5 makes the constant 21; without it the mean of
    /// 2.1, 2.2 and 2.3 stays 2.2. With it it were 6.9.
    #[test]
    fn a_mistyped_ticket_is_named_and_does_not_count() {
        let mut log = log();
        let wild = "date,machine,material,gate_opening,constant,controller,ticket\n\
                    d,m,g,5 in,2,10 tons,105 tons\n";
        log.add(WeighTestLog::read("new.csv", wild).unwrap());
        let now = Constant { value: 2.0, kind: ConstantKind::MassPerPulse };
        let found = estimate(now, Share::percent(80.0), &log.of("m", "g")).unwrap().unwrap();
        assert_eq!(found.tests, 3);
        assert!((found.constant - 2.2).abs() < 1e-12);
        let [(test, constant)] = found.left_out.as_slice() else { panic!("{found:?}") };
        assert_eq!(test.date, "d");
        assert!((constant - 21.0).abs() < 1e-9);
    }

    /// By hand: 95 % x 2.2 / 2 = 104.5 %.
    #[test]
    fn no_stream_is_larger_than_its_gate() {
        let log = log();
        let now = Constant { value: 2.0, kind: ConstantKind::MassPerPulse };
        let found = estimate(now, Share::percent(95.0), &log.of("m", "g")).unwrap_err();
        assert!((found.corrected.as_percent() - 104.5).abs() < 1e-9);
        assert!(found.to_string().starts_with(
            "the weigh tests raise the fill factor from 95.0 % to 104.5 %, expected at most 100 %"
        ));
    }
}
