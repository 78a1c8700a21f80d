use super::{PanReport, PatternShape};
use crate::units::{Quantity, Share};

/// A rate within this of its target is right (common practice, no source).
const RIGHT: Share = Share::percent(10.0);

/// What to see to before anything is adjusted (common practice, no source).
const FIRST: [&str; 2] = [
    "Take out inserts and shields over the belt that were made for other products.",
    "Clean blades, spinners and flow divider; replace blades that are worn or caked.",
];

/// How to go about it (common practice, no source).
const LAST: &str = "Change one thing at a time, then run the pans again.";

/// The usual remedies for what is the matter with a pattern, in the order to try them; none for an
/// even one. All of them
/// are common practice, no source.
///
/// Fine, damp material stays on the spinner blades longer than granular fertilizer and so lands
/// farther out towards the edges.
fn for_pattern(shapes: &[PatternShape]) -> Vec<&'static str> {
    if shapes.iter().all(|shape| *shape == PatternShape::Even) {
        return Vec::new();
    }
    let found = shapes.iter().flat_map(|shape| for_shape(*shape));
    let mut list: Vec<&str> = FIRST.into_iter().collect();
    for remedy in found {
        if !list.contains(remedy) {
            list.push(remedy);
        }
    }
    list.push(LAST);
    list
}

/// What to do about a test: rate and pattern apart, for a pattern may be even at half the rate.
#[must_use]
pub fn remedies(report: &PanReport) -> Vec<String> {
    let pattern = pattern_remedies(report);
    match rate_remedy(report) {
        None if pattern.is_empty() => {
            vec!["Leave it as it is; write the settings down with this test.".to_owned()]
        }
        None => pattern,
        Some(rate) => {
            let swath = report.reading.working_swath.show(report.test.system, 0);
            let as_is = format!("Pattern: even at {swath}, leave it as it is.");
            let pattern = if pattern.is_empty() { vec![as_is] } else { pattern };
            std::iter::once(rate).chain(pattern).collect()
        }
    }
}

/// What to do about the rate; none where it is right or the test names no target.
#[must_use]
pub fn rate_remedy(report: &PanReport) -> Option<String> {
    let (target, off) = report.test.target.zip(report.off_target())?;
    let system = report.test.system;
    let told = if off.si() < 0.0 { "too little" } else { "too much" };
    (off.si().abs() > RIGHT.si()).then(|| {
        format!(
            "Rate: {} landed of {} wanted, {:.0} % {told}. Weigh a load against what the controller counted, correct its constant, and run the pans again.",
            report.apparent_rate.show(system, 2),
            target.show(system, 2),
            off.as_percent().abs(),
        )
    })
}

/// What to do about the pattern; nothing where it is even and overlaps evenly.
#[must_use]
pub fn pattern_remedies(report: &PanReport) -> Vec<String> {
    let system = report.test.system;
    let for_pattern = for_pattern(&report.reading.shapes);
    let over = report.at_working_swath.filter(|row| row.of(report.driving).cv > report.limit);
    match (for_pattern.as_slice(), over, report.widest) {
        ([], Some(row), Some(widest)) => vec![format!(
            "Pattern: even by itself, but not overlapped at {}: drive {} or less.",
            row.swath.show(system, 0),
            widest.show(system, 0)
        )],
        ([], Some(row), None) => vec![format!(
            "Pattern: even by itself, but not overlapped at {}: set more pans and run it again.",
            row.swath.show(system, 0)
        )],
        (list, ..) => list.iter().map(|remedy| (*remedy).to_owned()).collect(),
    }
}

fn for_shape(shape: PatternShape) -> &'static [&'static str] {
    match shape {
        PatternShape::OneSided => &[
            "Test along the wind, not across it, and level the machine.",
            "Center the flow divider and the belt; feed both spinners alike.",
            "Check that both spinners turn at one speed.",
        ],
        PatternShape::Narrow => &[
            "Raise the spinner speed, within its range, for width.",
            "Drive a narrower swath if the material will not go farther.",
        ],
        PatternShape::HeavyEdges => &[
            "Move the drop point so that the material meets the blades sooner and leaves them sooner \
             (by machine, the flow divider or the spinner assembly moves).",
            "Lower the spinner speed if the material still lands wide.",
            "Lower the gate and run the belt faster if the stream comes in lumps.",
        ],
        PatternShape::HeavyCentre => &[
            "Move the drop point so that the material meets the blades later and stays on them longer \
             (by machine, the flow divider or the spinner assembly moves).",
            "Raise the spinner speed, within its range, for width.",
            "Lower the gate and run the belt faster if the stream overshoots the blades.",
        ],
        PatternShape::Even => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spreader::pans::{DEFAULT_LIMIT, DrivingPattern, read, report};

    #[test]
    fn in_order() {
        let list = for_pattern(&[PatternShape::OneSided, PatternShape::HeavyEdges]);
        assert_eq!(list.len(), 2 + 3 + 3 + 1);
        assert_eq!(list[0], FIRST[0]);
        assert!(
            list[5].starts_with("Move the drop point so that the material meets the blades sooner")
        );
        assert_eq!(list.last(), Some(&LAST));
    }

    /// A triangle overlaps at half its throw to one rate everywhere, that of its top: 10 lb on each
    /// square foot, 435,600 lb/ac. Aimed at that, at twice it, and at half of it.
    #[test]
    fn rate_and_pattern_are_judged_apart() {
        let said = |target: f64| {
            let text = format!(
                "# pan area: 1 sq ft\n# target: {target} lb/ac\n# swath: 50 ft\ndistance (ft),catch (lb)\n-50,0\n-40,2\n-30,4\n-20,6\n-10,8\n0,10\n10,8\n20,6\n30,4\n40,2\n50,0\n"
            );
            let run = read("p.csv", &text).unwrap();
            remedies(&report(run, DEFAULT_LIMIT, DrivingPattern::BackAndForth))
        };
        let landed = 10.0 * 43_560.0;
        assert_eq!(said(landed), ["Leave it as it is; write the settings down with this test."]);
        let half = said(2.0 * landed);
        assert!(
            half[0].contains(" landed of ") && half[0].contains(" 50 % too little."),
            "{half:?}"
        );
        assert_eq!(half[1], "Pattern: even at 50 ft, leave it as it is.");
        assert!(said(0.5 * landed)[0].contains(" 100 % too much."));
    }
}
