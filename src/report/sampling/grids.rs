use std::fmt::Write as _;

use crate::report::Table;
use crate::sampling::{Pattern, SamplingError, coarsest_grid, worst_standard_error};
use crate::surface::Variogram;
use crate::units::{Area, Length, Quantity, System};

/// Kriging standard errors of grids at their worst place, square and triangular, by ground a sample;
/// then the coarsest of each that keeps to a target on a field of some area.
///
/// # Errors
/// When no grid keeps to the target, or the variogram makes no sense.
pub fn grids(
    variogram: &Variogram,
    target: f64,
    block: Option<Length>,
    (field, system): (Area, System),
) -> Result<String, SamplingError> {
    const EACH: [f64; 8] = [0.5, 1.0, 1.5, 2.0, 2.5, 5.0, 7.5, 10.0];
    let (area, length) = (Area::unit(system), Length::unit(system));
    let each = |value: f64| match system {
        System::Us => Area::acres(value),
        System::Metric => Area::hectares(0.4 * value),
    };
    let mut table = Table::new([
        ("each for", area.symbol()),
        ("square grid of", length.symbol()),
        ("error", "CEC"),
        ("triangular grid of", length.symbol()),
        ("error", "CEC"),
    ]);
    let row = |each: Area| -> Result<Vec<String>, SamplingError> {
        let mut cells = vec![format!("{:.2}", each.value_in(system))];
        for pattern in [Pattern::Square, Pattern::Triangular] {
            let spacing = Length::metres(pattern.spacing(each.as_square_metres()));
            let error = worst_standard_error(variogram, pattern, spacing, block)?;
            cells.extend([format!("{:.0}", spacing.value_in(system)), format!("{error:.2}")]);
        }
        Ok(cells)
    };
    for each in EACH.map(each) {
        table.row(row(each)?);
    }
    let of = match block {
        Some(side) => format!("of the mean of a block of {} a side", side.show(system, 0)),
        None => "of one new sample".to_owned(),
    };
    let mut text = format!(
        "Typical error (kriging standard error) {of} at the worst place between samples\n\n{}\n",
        table.text()
    );
    for (pattern, name) in [(Pattern::Square, "square"), (Pattern::Triangular, "triangular")] {
        let spacing = coarsest_grid(variogram, pattern, target, block)?;
        let each = Area::square_metres(pattern.area(spacing.as_metres()));
        if each > field {
            let _ =
                writeln!(text, "Any {name} grid of this field keeps to {target:.2} CEC points.");
            continue;
        }
        let _ = writeln!(
            text,
            "Coarsest {name} grid for {target:.2} CEC points: {}, one sample for {}",
            spacing.show(system, 0),
            each.show(system, 2)
        );
    }
    Ok(text)
}
