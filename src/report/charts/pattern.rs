use super::axes::{
    Axes, BLUE, ChartPaper, Dash, GREY, INK, INSET, Line, Mark, PAGE, VERMILION, svg,
};
use crate::report::ReportError;
use crate::spreader::pans::{DrivingPattern, PanReport, Pattern, overlap};
use crate::units::{Length, Quantity, Rate, System};

/// The single-pass pattern with what lands when it is driven at the working swath, the mean of
/// that and the limits around it, and the target. SVG.
///
/// # Errors
/// When the picture cannot be drawn.
pub fn single_pass(report: &PanReport) -> Result<String, ReportError> {
    on(&PAGE, report)
}

/// The same without its title, for a column of a printed page.
///
/// # Errors
/// When the picture cannot be drawn.
pub fn single_pass_inset(report: &PanReport) -> Result<String, ReportError> {
    on(&INSET, report)
}

fn on(paper: &ChartPaper, report: &PanReport) -> Result<String, ReportError> {
    let system = report.test.system;
    let swath = report.reading.working_swath;
    let landed = one_swath(report);
    let mean = report.apparent_rate;
    let limit = report.limit.si();
    let highest = landed.iter().map(|point| point.1).fold(0.0, f64::max);
    let highest = highest
        .max(report.test.pattern.highest().value_in(system))
        .max(mean.value_in(system) * (1.0 + limit))
        .max(report.test.target.map_or(0.0, |target| target.value_in(system)));
    let title = format!("Single pass and overlap: {}", report.test.name);
    let (left, right) = ends(system, &[&report.test.pattern]);
    draw(paper, &title, system, (left, right), highest, |axes| {
        let level = |rate: Rate| {
            let at = rate.value_in(system);
            vec![(left, at), (right, at)]
        };
        axes.line(&line(
            "one pass, pan by pan",
            &report.test.pattern,
            system,
            INK,
            Dash::Solid,
            Mark::Disc,
        ))?;
        let name = format!("overlapped at {}, {}", swath.show(system, 0), report.driving.name());
        let (dash, mark) = (Dash::Long, Mark::Square);
        axes.line(&Line { name: &name, points: landed, colour: BLUE, dash, mark })?;
        let mut level_line = |name: String, rate: Rate, colour, dash| {
            axes.line(&Line { name: &name, points: level(rate), colour, dash, mark: Mark::None })
        };
        if let Some(target) = report.test.target {
            let name = format!("target {}", target.show(system, 2));
            level_line(name, target, VERMILION, Dash::Long)?;
        }
        level_line(format!("mean {}", mean.show(system, 2)), mean, GREY, Dash::Solid)?;
        let name = format!("mean + and - {:.0} %", report.limit.as_percent());
        level_line(name, mean * (1.0 + limit), GREY, Dash::Short)?;
        let low = (mean * (1.0 - limit)).value_in(system);
        axes.rule([(left, low), (right, low)], GREY, Dash::Short)
    })
}

/// What lands over one swath, from border to border.
fn one_swath(report: &PanReport) -> Vec<(f64, f64)> {
    let system = report.test.system;
    let swath = report.reading.working_swath;
    let border = swath.si() / 2.0;
    let landed = overlap(&report.test.pattern, swath, report.driving);
    let period = match report.driving {
        DrivingPattern::Race => swath,
        DrivingPattern::BackAndForth => swath * 2.0,
    };
    // The right end of the period is its left end, one period on; a micrometre is no distance.
    let at_left = landed.last().map(|(place, rate)| (*place - period, *rate));
    let at_left = at_left.filter(|(place, _)| (place.si() + border).abs() < 1e-6);
    let within = landed.into_iter().filter(|(place, _)| place.si() <= border + 1e-6);
    at_left
        .into_iter()
        .chain(within)
        .map(|(place, rate)| (place.value_in(system), rate.value_in(system)))
        .collect()
}

/// The single-pass patterns of two runs. SVG.
///
/// # Errors
/// When the picture cannot be drawn.
pub fn side_by_side(a: &PanReport, b: &PanReport) -> Result<String, ReportError> {
    let system = a.test.system;
    let patterns = [&a.test.pattern, &b.test.pattern];
    let highest = patterns.map(|pattern| pattern.highest().value_in(system));
    let highest = highest.into_iter().fold(0.0, f64::max);
    draw(&PAGE, "Single pass, two runs", system, ends(system, &patterns), highest, |axes| {
        axes.line(&line(&a.test.name, &a.test.pattern, system, INK, Dash::Solid, Mark::Disc))?;
        axes.line(&line(&b.test.name, &b.test.pattern, system, BLUE, Dash::Long, Mark::Square))
    })
}

fn draw(
    paper: &ChartPaper,
    title: &str,
    system: System,
    (left, right): (f64, f64),
    highest: f64,
    inside: impl FnOnce(&mut Axes<'_, '_>) -> Result<(), ReportError>,
) -> Result<String, ReportError> {
    let across =
        format!("distance from the driven line, left negative ({})", Length::unit(system).symbol());
    let up = format!("rate ({})", Rate::unit(system).symbol());
    svg(paper, title, [&across, &up], [left..right, 0.0..paper.top(highest)], inside)
}

fn ends(system: System, patterns: &[&Pattern]) -> (f64, f64) {
    let left = patterns.iter().map(|pattern| pattern.left().value_in(system));
    let right = patterns.iter().map(|pattern| pattern.right().value_in(system));
    (left.fold(0.0, f64::min), right.fold(0.0, f64::max))
}

fn line<'n>(
    name: &'n str,
    pattern: &Pattern,
    system: System,
    colour: plotters::style::RGBColor,
    dash: Dash,
    mark: Mark,
) -> Line<'n> {
    let rates = pattern.rates().iter().map(|rate| rate.value_in(system));
    let points = pattern.places().map(|place| place.value_in(system)).zip(rates).collect();
    Line { name, points, colour, dash, mark }
}
