use crate::order::Loads;
use crate::units::{Quantity, System};

/// How many loads, which of them are light and why, and how many full ones that is.
pub fn loads(loads: &Loads, system: System) -> String {
    let fill = loads.fill;
    let light = super::percent(fill.first.share);
    let light = match loads.first {
        0 => String::new(),
        1 => format!(", the first at {light} of a full one, to weigh it and check the setting"),
        several => format!(
            ", the first {several} at {light} of a full one, to weigh them and check the setting"
        ),
    };
    format!(
        "{}{light}; equals {:.2} full loads of {}",
        loads.count,
        loads.printed_fills().0,
        fill.full().show(system, 2),
    )
}
