use super::{
    DrivingPattern, PanTest, Pattern, Reading, Uniformity, overlap, read_pattern, uniformity,
};
use crate::units::{Length, Quantity, Rate, Share};

/// The CV that a pattern must stay under where the test sets no other: that of the New Zealand
/// Spreadmark code for nitrogen. For other products the code allows 25 %.
pub const DEFAULT_LIMIT: Share = Share::percent(15.0);

/// The narrowest swath that is tried, in pan spacings: fewer places have no CV worth the name.
const NARROWEST: usize = 4;

/// The evenness of a pattern at one swath.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SwathRow {
    /// The swath.
    pub swath: Length,
    /// Driven one way, round and round.
    pub race: Uniformity,
    /// Driven back and forth.
    pub back_and_forth: Uniformity,
}

impl SwathRow {
    /// The evenness for one way of driving.
    #[must_use]
    pub fn of(&self, driving: DrivingPattern) -> Uniformity {
        match driving {
            DrivingPattern::Race => self.race,
            DrivingPattern::BackAndForth => self.back_and_forth,
        }
    }
}

/// All that a catch-pan test says.
#[derive(Clone, Debug, PartialEq)]
pub struct PanReport {
    /// The test.
    pub test: PanTest,
    /// The CV limit.
    pub limit: Share,
    /// The way of driving that the swath is chosen for.
    pub driving: DrivingPattern,
    /// Every swath from four pan spacings to the full throw, one spacing apart.
    pub swaths: Vec<SwathRow>,
    /// The widest swath within the limit for the way of driving, if there is one.
    pub widest: Option<Length>,
    /// The shape, judged at the swath that the test names, or at half the throw.
    pub reading: Reading,
    /// The evenness at that swath.
    pub at_working_swath: Option<SwathRow>,
    /// The rate that the pattern puts on the field at that swath.
    pub apparent_rate: Rate,
    /// Cautions of the test and of the swath.
    pub cautions: Vec<String>,
}

impl PanReport {
    /// The widest swath within the limit for any way of driving.
    #[must_use]
    pub fn widest_for(&self, driving: DrivingPattern) -> Option<Length> {
        let within = |row: &&SwathRow| row.of(driving).cv <= self.limit;
        self.swaths.iter().rfind(within).map(|row| row.swath)
    }

    /// The apparent rate less the target, by the target.
    #[must_use]
    pub fn off_target(&self) -> Option<Share> {
        let target = self.test.target?;
        Some(Share::from_si(self.apparent_rate / target - 1.0))
    }
}

/// Works out what a catch-pan test says, by the method of ASABE S341.
#[must_use]
pub fn report(test: PanTest, limit: Share, driving: DrivingPattern) -> PanReport {
    let pattern = &test.pattern;
    let at = |swath: Length| row_at(pattern, swath);
    let steps = pattern.rates().len() - 1;
    let swaths: Vec<SwathRow> =
        (NARROWEST..=steps).filter_map(|step| at(pattern.spacing() * step as f64)).collect();
    let half = (steps / 2).max(2) as f64;
    let working = test.swath.unwrap_or(pattern.spacing() * half);
    let mut report = PanReport {
        limit,
        driving,
        swaths,
        widest: None,
        reading: read_pattern(pattern, working),
        at_working_swath: at(working),
        apparent_rate: pattern.apparent_rate(working),
        cautions: test.cautions.clone(),
        test,
    };
    report.widest = report.widest_for(driving);
    let more = report.about_the_swath();
    report.cautions.extend(more);
    report
}

/// How even a pattern is at a swath; none where it is too narrow for any.
fn row_at(pattern: &Pattern, swath: Length) -> Option<SwathRow> {
    let measured = |driving| {
        let rates: Vec<Rate> =
            overlap(pattern, swath, driving).into_iter().map(|(_, r)| r).collect();
        uniformity(&rates)
    };
    let (race, back_and_forth) =
        (measured(DrivingPattern::Race)?, measured(DrivingPattern::BackAndForth)?);
    Some(SwathRow { swath, race, back_and_forth })
}

impl PanReport {
    /// How even the pattern is at a swath; none where it is too narrow for any.
    #[must_use]
    pub fn row_at(&self, swath: Length) -> Option<SwathRow> {
        row_at(&self.test.pattern, swath)
    }

    fn about_the_swath(&self) -> Vec<String> {
        let system = self.test.system;
        let limit = self.limit.as_percent();
        let over = |row: &SwathRow| row.of(self.driving).cv > self.limit;
        let mut said = Vec::new();
        match self.widest {
            None => said.push(format!(
                "no swath keeps the CV within {limit:.0} %: correct the pattern first"
            )),
            Some(widest) => {
                if let Some(row) = self.swaths.iter().find(|row| row.swath < widest && over(row)) {
                    said.push(format!(
                        "the CV is over {limit:.0} % at {} though within it at {}: a small change of \
                         pattern spoils the wide swath",
                        row.swath.show(system, 0),
                        widest.show(system, 0)
                    ));
                }
            }
        }
        if let Some(row) = self.at_working_swath.filter(|row| over(row)) {
            said.push(format!(
                "at the swath of {} the CV is {:.1} %, over the limit of {limit:.0} %",
                row.swath.show(system, 0),
                row.of(self.driving).cv.as_percent()
            ));
        }
        said
    }
}
