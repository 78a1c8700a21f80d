use super::PanReport;
use crate::units::{Quantity, Share};

/// Two runs side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison<'a> {
    /// The first.
    pub a: &'a PanReport,
    /// The second.
    pub b: &'a PanReport,
    /// CV of the second at its working swath less that of the first, in percentage points.
    pub cv_change: Option<Share>,
    /// What makes the two hard to compare.
    pub cautions: Vec<String>,
}

/// Puts two runs side by side.
#[must_use]
pub fn compare<'a>(a: &'a PanReport, b: &'a PanReport) -> Comparison<'a> {
    let cv = |report: &PanReport| report.at_working_swath.map(|row| row.of(report.driving).cv);
    let mut cautions = Vec::new();
    let (from, to) = (a.reading.working_swath, b.reading.working_swath);
    // Swaths are written to the inch at best; a millimeter is no difference.
    if (from - to).si().abs() > 1e-3 {
        cautions.push(format!(
            "judged at different swaths, {} and {}",
            from.show(a.test.system, 1),
            to.show(a.test.system, 1)
        ));
    }
    if let Some((from, to)) =
        a.test.target.zip(b.test.target).filter(|(a, b)| (*a / *b - 1.0).abs() > 1e-6)
    {
        cautions.push(format!(
            "run at different target rates, {} and {}",
            from.show(a.test.system, 2),
            to.show(a.test.system, 2)
        ));
    }
    let cv_change = cv(a).zip(cv(b)).map(|(a, b)| b - a);
    Comparison { a, b, cv_change, cautions }
}
