//! The catch-pan sheet, and two catch-pan runs side by side.

mod side_by_side;

use std::fmt::Write;

pub use side_by_side::comparison_sheet;

use super::Table;
use super::table::number;
use crate::spreader::pans::{DrivingPattern, PanReport, PatternShape, SwathRow, remedies};
use crate::units::{Length, Quantity, Rate, Share};

fn percent(share: Share) -> String {
    format!("{:.1} %", share.as_percent())
}

/// The rate at each pan of the single-pass pattern.
#[must_use]
pub fn pan_table(report: &PanReport) -> Table {
    let system = report.test.system;
    let pattern = &report.test.pattern;
    let units = [Length::unit(system).symbol(), Rate::unit(system).symbol()];
    let mut table = Table::new(["distance", "one pass"].into_iter().zip(units));
    for (place, rate) in pattern.places().zip(pattern.rates()) {
        table.row([number(place, system, 1), number(*rate, system, 2)]);
    }
    table
}

/// CV against swath, both ways of driving.
#[must_use]
pub fn swath_table(report: &PanReport) -> Table {
    let system = report.test.system;
    let mut table = Table::new([
        ("swath", Length::unit(system).symbol()),
        ("mean rate", Rate::unit(system).symbol()),
        ("CV back and forth", "%"),
        ("CV one-way", "%"),
        ("remark", ""),
    ]);
    for row in &report.swaths {
        let mut marks = Vec::new();
        if report.widest == Some(row.swath) {
            marks.push("widest within the limit");
        }
        if (row.swath - report.reading.working_swath).si().abs() < 1e-6 {
            marks.push("judged here");
        }
        table.row([
            number(row.swath, system, 1),
            number(row.race.mean, system, 2),
            format!("{:.1}", row.back_and_forth.cv.as_percent()),
            format!("{:.1}", row.race.cv.as_percent()),
            marks.join(", "),
        ]);
    }
    table
}

pub(super) fn shapes(report: &PanReport) -> String {
    report
        .reading
        .shapes
        .iter()
        .map(|shape| PatternShape::name(*shape))
        .collect::<Vec<_>>()
        .join(", ")
}

fn balance(report: &PanReport) -> String {
    let left = 100.0 * report.reading.left_share;
    format!("{left:.1} % left, {:.1} % right", 100.0 - left)
}

pub(super) fn rate(report: &PanReport) -> String {
    let system = report.test.system;
    let apparent = report.apparent_rate.show(system, 2);
    match report.test.target.zip(report.off_target()) {
        None => format!("{apparent}, no target given"),
        Some((target, off)) => {
            format!("{apparent}, target {} ({:+.0} %)", target.show(system, 2), off.as_percent())
        }
    }
}

pub(super) fn at_working_swath(report: &PanReport, driving: DrivingPattern) -> String {
    let cv = |row: SwathRow| percent(row.of(driving).cv);
    report.at_working_swath.map_or_else(|| "-".to_owned(), cv)
}

/// The sheet of a catch-pan test, as text.
#[must_use]
pub fn pan_sheet(report: &PanReport) -> String {
    let system = report.test.system;
    let swath = report.reading.working_swath;
    let mut text = String::new();
    let _ = writeln!(
        text,
        "Catch-pan test {} (worked out after ASABE S341; no certificate)",
        report.test.name
    );
    for caution in &report.cautions {
        let _ = writeln!(text, "  caution: {caution}");
    }
    let _ = writeln!(text, "  shape:          {}", shapes(report));
    let _ = writeln!(text, "  rate at {}:  {}", swath.show(system, 0), rate(report));
    let [both, race] =
        [DrivingPattern::BackAndForth, DrivingPattern::Race].map(|d| at_working_swath(report, d));
    let _ = writeln!(
        text,
        "  CV at {}:    {both} back and forth, {race} one-way",
        swath.show(system, 0)
    );
    let _ = writeln!(text, "  balance:        {}", balance(report));
    let index = 100.0 * report.reading.edge_index;
    let _ = writeln!(
        text,
        "  edges:          outer third of the swath {index:+.0} % of the mean against the inner third"
    );
    let _ = writeln!(
        text,
        "  width:          {} between the half-rate points",
        report.reading.half_rate_width.show(system, 1)
    );
    if let Some(share) = report.test.between_runs {
        let _ = writeln!(text, "  between runs:   total catch varies by {}", percent(share));
    }
    let limit = report.limit.as_percent();
    for driving in [DrivingPattern::BackAndForth, DrivingPattern::Race] {
        let widest =
            report.widest_for(driving).map_or_else(|| "none".to_owned(), |w| w.show(system, 0));
        let _ = writeln!(
            text,
            "  widest swath with CV within {limit:.0} %, {}: {widest}",
            driving.name()
        );
    }
    let _ = writeln!(
        text,
        "  (limits after the New Zealand Spreadmark code: 15 % for nitrogen, 25 % for other products)"
    );
    let _ = write!(text, "\nSingle pass\n{}", pan_table(report).text());
    let _ = write!(text, "\nOverlapped\n{}", swath_table(report).text());
    let _ = writeln!(text, "\nWhat to do (common practice)");
    for (i, remedy) in remedies(report).iter().enumerate() {
        let _ = writeln!(text, "  {}. {remedy}", i + 1);
    }
    text
}
