use std::fmt::Write;

use crate::spreader::constant::Estimate;
use crate::spreader::machine::{Constant, Machine};
use crate::units::Share;

/// What is known of the controller's constant.
#[derive(Clone, Debug, PartialEq)]
pub enum ConstantState {
    /// No log was given.
    NoLog,
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

fn corrected((was, fill): (Constant, Share), found: &Estimate) -> String {
    let tests = found.tests;
    let spread = match found.spread.zip(found.interval) {
        None => "one weigh test, no spread known: weigh two more loads".to_owned(),
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
    format!(
        "set {:.4} (machine file {:.4}); {spread}{verdict}\n  fill factor {:.1} % (machine file {:.1} %), used below",
        found.constant,
        was.value,
        found.fill_factor.as_percent(),
        fill.as_percent()
    )
}
