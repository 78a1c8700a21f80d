use std::fmt::Write;

use crate::spreader::constant::{Estimate, WeighTest};
use crate::spreader::machine::{Constant, Machine};
use crate::units::Share;

/// What is known of the controller's constant.
#[derive(Clone, Debug, PartialEq)]
pub enum ConstantState {
    /// No log was given.
    NoLog,
    /// A log was given, and there is no such file yet.
    NotYet {
        /// Where it was looked for.
        log: String,
    },
    /// The log has no test of this machine with this material.
    NoTests,
    /// The log has tests, but the machine file has no constant to correct.
    NoConstant,
    /// Corrected from the tests; the fill factor that the setup uses is the corrected one.
    Corrected {
        /// The constant and fill factor of the machine file.
        was: (Constant, Share),
        /// What the tests say.
        found: Estimate,
    },
}

pub(super) fn write(text: &mut String, machine: &Machine, state: &ConstantState) {
    let _ = writeln!(text, "\nController constant");
    let line = match state {
        ConstantState::NoLog => {
            "no weigh-test log given: the fill factor of the machine file is used; \
             weigh three loads or more and give --log"
                .to_owned()
        }
        ConstantState::NotYet { log } => format!(
            "found no weigh-test log {log} yet: the fill factor of the machine file is used; \
             weigh three loads or more and give --weigh, or correct the name"
        ),
        ConstantState::NoTests => format!(
            "no weigh test of {} with {} in the log: weigh three loads or more",
            machine.name, machine.material.name
        ),
        ConstantState::NoConstant => {
            "the machine file has no controller_constant: add the one the \
             controller shows, and constant_kind"
                .to_owned()
        }
        ConstantState::Corrected { was, found } => corrected(*was, found),
    };
    let _ = writeln!(text, "  {line}");
}

/// The spread of two weigh tests, in percent, beyond which they contradict each other: weighed well,
/// loads scatter by 2 % or so (common practice, no source).
const AT_ODDS: f64 = 7.0;

/// A test that does not count, as its line in the log has it.
fn left_out((test, constant): &(WeighTest, f64)) -> String {
    let [.., controller, ticket] = test.cells() else { return String::new() };
    format!(
        "\n  left out, far from the others: the test of {}, controller {controller}, ticket {ticket}, \
         which makes {constant:.4}; correct it in the log if it is mistyped",
        test.date
    )
}

fn corrected((was, fill): (Constant, Share), found: &Estimate) -> String {
    let tests = found.tests;
    let spread = match found.spread.zip(found.interval) {
        None => "one weigh test, no spread known: weigh two more loads".to_owned(),
        Some((spread, _)) if tests == 2 && spread.as_percent() > AT_ODDS => format!(
            "two weigh tests that are at odds, spread {:.1} %: one is wrong; weigh another load",
            spread.as_percent()
        ),
        Some((spread, interval)) => format!(
            "{tests} weigh tests, spread {:.1} %, 95 % confidence {:.4} to {:.4}",
            spread.as_percent(),
            interval.low,
            interval.high
        ),
    };
    let inside = found.interval.is_some_and(|i| (i.low..=i.high).contains(&was.value));
    let verdict =
        if inside { "\n  the one in use lies within that: no need to change it yet" } else { "" };
    let left_out: String = found.left_out.iter().map(left_out).collect();
    format!(
        "set {:.4} (machine file {:.4}); {spread}{verdict}{left_out}\n  fill factor {:.1} % (machine file {:.1} %), used below",
        found.constant,
        was.value,
        found.fill_factor.as_percent(),
        fill.as_percent()
    )
}
