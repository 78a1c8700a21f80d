use super::axes::{BLUE, Dash, GREY, INK, Line, Mark, PAGE, VERMILION, svg};
use crate::report::ReportError;
use crate::sampling::{Outcome, Worth};
use crate::units::{Area, Quantity, System};

/// What numbers of samples are worth: with prices what they cost, else the share of ground in its
/// right tier; the mean of the likely soils, and their ends. SVG.
///
/// # Errors
/// When the picture cannot be drawn.
pub fn worth_chart(worth: &Worth, system: System) -> Result<String, ReportError> {
    let value = |outcome: &Outcome| outcome.cost.map_or(100.0 * outcome.right, |cost| cost.0);
    let at = |pick: &dyn Fn(&crate::sampling::WorthRow) -> f64| -> Vec<(f64, f64)> {
        let point = |row: &crate::sampling::WorthRow| (row.samples.unwrap_or(1) as f64, pick(row));
        worth.rows.iter().map(point).collect()
    };
    let mean = at(&|row| value(&row.mean));
    let least = at(&|row| row.ends(value).0);
    let most = at(&|row| row.ends(value).1);
    let Some((widest, _)) = mean.last().copied() else {
        return Err(ReportError::new("the field is too small for a choice of samples"));
    };
    let has_cost = worth.flat.mean.cost.is_some();
    let highest = most.iter().map(|(_, value)| *value).fold(value(&worth.flat.mean), f64::max);
    let up = if has_cost {
        "samples, laboratory and misplaced product (money)"
    } else {
        "ground in its right tier (%)"
    };
    let title = format!("What samples are worth, {}", worth.area.show(system, 1));
    let across = format!("samples on {}", Area::show(worth.area, system, 1));
    svg(&PAGE, &title, [&across, up], [0.0..widest, 0.0..PAGE.top(highest)], |axes| {
        let flat = vec![(0.0, value(&worth.flat.mean)), (widest, value(&worth.flat.mean))];
        let line = |name, points, colour, dash, mark| Line { name, points, colour, dash, mark };
        axes.line(&line("one rate all over", flat, GREY, Dash::Short, Mark::None))?;
        axes.line(&line("least of these soils", least.clone(), BLUE, Dash::Long, Mark::None))?;
        axes.line(&line("most of these soils", most.clone(), VERMILION, Dash::Long, Mark::None))?;
        axes.line(&line("mean of these soils", mean.clone(), INK, Dash::Solid, Mark::Disc))
    })
}
