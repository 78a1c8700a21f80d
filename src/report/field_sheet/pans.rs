use super::soil::NamedValue;
use super::{LONGEST_NAME, LONGEST_WARNING};
use crate::report::ReportError;
use crate::report::charts::single_pass_inset;
use crate::report::pan_sheet::{at_working_swath, rate, shapes};
use crate::report::text::shortened;
use crate::spreader::Machine;
use crate::spreader::pans::{DrivingPattern, PanReport, pattern_remedies, rate_remedy};
use crate::units::Quantity;

/// What a catch-pan test says of the swath.
pub struct Pans {
    pub verdict: String,
    /// The single pass and what lands when it is overlapped (SVG).
    pub picture: String,
    pub rows: Vec<NamedValue>,
    pub cautions: Vec<String>,
    /// The file's name.
    pub test: String,
    pub swath: String,
    pub has_target: bool,
    pub limit: String,
}

impl Pans {
    /// Of a test; `machine` is what the job spreads with.
    pub fn new(report: &PanReport, machine: Option<&Machine>) -> Result<Self, ReportError> {
        let system = report.test.system;
        let row = |name, value| NamedValue { name, value };
        let [both, race] = [DrivingPattern::BackAndForth, DrivingPattern::Race]
            .map(|driving| at_working_swath(report, driving));
        let widest = report.widest.map_or_else(|| "none".to_owned(), |w| w.show(system, 0));
        let rows = vec![
            row("CV", format!("{both} back and forth, {race} one-way")),
            row("Widest within the limit", widest),
            row("Rate", rate(report)),
            row("Shape", shapes(report)),
        ];
        let mut cautions: Vec<String> =
            report.cautions.iter().map(|said| shortened(said, LONGEST_WARNING)).collect();
        cautions.extend(machine.and_then(|machine| other_swath(report, machine)));
        Ok(Self {
            verdict: [Some(verdict(report)), rate_remedy(report)]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(" "),
            picture: picture(report)?,
            rows,
            cautions,
            test: shortened(&report.test.name, LONGEST_NAME),
            swath: report.reading.working_swath.show(system, 0),
            has_target: report.test.target.is_some(),
            limit: format!("{:.0}", report.limit.as_percent()),
        })
    }
}

fn verdict(report: &PanReport) -> String {
    let system = report.test.system;
    let swath = report.reading.working_swath.show(system, 0);
    let limit = report.limit.as_percent();
    let Some(row) = report.at_working_swath else {
        return format!("Too few pans to judge the swath of {swath}.");
    };
    if row.of(report.driving).cv <= report.limit {
        return format!("The swath of {swath} is fine: its CV is within {limit:.0} %.");
    }
    let first = pattern_remedies(report).into_iter().next().unwrap_or_default();
    format!("The swath of {swath} is not fine: its CV is over {limit:.0} %. First: {first}")
}

/// A difference between the swath judged and the spreader's, beyond a rounding to the inch.
fn other_swath(report: &PanReport, machine: &Machine) -> Option<String> {
    let (judged, driven) = (report.reading.working_swath, machine.swath);
    let system = report.test.system;
    ((judged - driven).as_inches().abs() > 1.0).then(|| {
        format!(
            "swath: judged at {} by the pans, and {} in the spreader's file",
            judged.show(system, 1),
            driven.show(system, 1)
        )
    })
}

fn picture(report: &PanReport) -> Result<String, ReportError> {
    let svg = single_pass_inset(report)?;
    let named = svg.replacen("<svg ", "<svg role=\"img\" aria-labelledby=\"pans-title\" ", 1);
    let title = "<title id=\"pans-title\">Rate across the driven line: one pass, and passes overlapped at the working swath</title>";
    Ok(named.replacen('>', &format!(">{title}"), 1))
}
