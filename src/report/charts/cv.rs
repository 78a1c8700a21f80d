use super::axes::{BLUE, Dash, GREY, INK, Line, Mark, PAGE, VERMILION, svg};
use crate::report::ReportError;
use crate::spreader::pans::{DrivingPattern, PanReport};
use crate::units::{Length, Quantity};

/// CV against swath, for both ways of driving, with the limit and the chosen swath. SVG.
///
/// # Errors
/// When the picture cannot be drawn.
pub fn cv_against_swath(report: &PanReport) -> Result<String, ReportError> {
    let system = report.test.system;
    let unit = Length::unit(system).symbol();
    let points = |driving: DrivingPattern| {
        let at = |row: &crate::spreader::pans::SwathRow| {
            (row.swath.value_in(system), row.of(driving).cv.as_percent())
        };
        report.swaths.iter().map(at).collect::<Vec<_>>()
    };
    let (race, back_and_forth) =
        (points(DrivingPattern::Race), points(DrivingPattern::BackAndForth));
    let all = || race.iter().chain(&back_and_forth);
    let highest = all().map(|point| point.1).fold(report.limit.as_percent(), f64::max);
    let left = all().map(|point| point.0).fold(f64::INFINITY, f64::min);
    let right = all().map(|point| point.0).fold(f64::NEG_INFINITY, f64::max);
    if left >= right {
        return Err(ReportError::new(
            "too few pans for a chart of CV against swath; set more pans",
        ));
    }
    let top = highest * 1.6;
    let title = format!("Evenness against swath: {}", report.test.name);
    let across = format!("swath, distance between driven lines ({unit})");
    let ranges = [left..right, 0.0..top];
    svg(&PAGE, &title, [&across, "CV of the overlapped rates (%)"], ranges, |axes| {
        let limit = report.limit.as_percent();
        let name = format!("limit {limit:.0} %");
        let points = vec![(left, limit), (right, limit)];
        axes.line(&Line {
            name: &name,
            points,
            colour: GREY,
            dash: Dash::Short,
            mark: Mark::None,
        })?;
        if let Some(widest) = report.widest {
            let at = widest.value_in(system);
            let name = format!("widest within it: {}", widest.show(system, 0));
            let (points, dash) = (vec![(at, 0.0), (at, top * 0.6)], Dash::Solid);
            axes.line(&Line { name: &name, points, colour: VERMILION, dash, mark: Mark::None })?;
        }
        let [race, back_and_forth] = [race.clone(), back_and_forth.clone()];
        let name = DrivingPattern::BackAndForth.name();
        let (dash, mark) = (Dash::Solid, Mark::Disc);
        axes.line(&Line { name, points: back_and_forth, colour: INK, dash, mark })?;
        let name = DrivingPattern::Race.name();
        let (dash, mark) = (Dash::Long, Mark::Square);
        axes.line(&Line { name, points: race, colour: BLUE, dash, mark })
    })
}
