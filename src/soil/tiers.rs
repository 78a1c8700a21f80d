//! Rate tiers: how much goes on soil of which cation-exchange capacity (CEC, meq/100 g).

use serde::Deserialize;

use super::TierIndex;
use crate::units::{Quantity, Rate, Written};

/// A tier as a job writes it: at most one lower and one upper bound, and a rate.
#[derive(Clone, Debug, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TierSetting {
    /// What the tier is called; made from the bounds when absent.
    pub label: Option<String>,
    /// The lowest CEC, itself in the tier; no lower bound without `over` when absent.
    pub from: Option<f64>,
    /// The CEC that the tier starts above, itself not in the tier; `from` goes when absent.
    pub over: Option<f64>,
    /// The highest CEC, itself in the tier; no upper bound without `under` when absent.
    pub to: Option<f64>,
    /// The CEC that the tier ends below, itself not in the tier; `to` goes when absent.
    pub under: Option<f64>,
    /// How much is spread.
    pub rate: Written<Rate>,
}

/// A tier that has its place among the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Tier {
    /// What it is called.
    pub label: String,
    /// How much is spread.
    pub rate: Rate,
}

/// A value of CEC between two tiers.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Break {
    at: f64,
    /// Whether a CEC of exactly this belongs to the lower tier.
    in_lower: bool,
}

/// Tiers that cover every CEC once, from the lowest to the highest.
///
/// ```
/// use landplaster::soil::{TierSetting, Tiers};
/// use landplaster::units::Rate;
///
/// let written = ["under 10: 0.5 ton/ac", "10 to 15: 1 ton/ac", "over 15: 2 ton/ac"];
/// let settings: Vec<TierSetting> = written.iter().map(|text| text.parse()).collect::<Result<_, _>>()?;
/// let tiers = Tiers::new(&settings)?;
/// assert_eq!(tiers.rate(9.99), Rate::tons_per_acre(0.5));
/// assert_eq!(tiers.rate(15.0), Rate::tons_per_acre(1.0));
/// assert_eq!(tiers.tier_of(15.01).number(), 3);
///
/// // Tiers with a gap between them are refused.
/// let gap: Vec<TierSetting> = vec!["under 10: 0.5 ton/ac".parse()?, "over 15: 2 ton/ac".parse()?];
/// assert!(Tiers::new(&gap).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Tiers {
    by_cec: Vec<Tier>,
    breaks: Vec<Break>,
    /// The rates of ground that takes none by its CEC.
    set: Vec<Tier>,
}

/// Why tiers do not cover every CEC once.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TierError {
    /// No tier at all.
    #[error("tiers: found none, expected at least one [[tier]] with a rate")]
    None,
    /// Two bounds on one side.
    #[error(
        "tier {number}: found both \"{one}\" and \"{other}\", expected one of them: \"{one}\" and \"{other}\" bound the same side"
    )]
    TwoBounds {
        /// Which tier, from 1.
        number: usize,
        /// The bound that includes its value.
        one: &'static str,
        /// The bound that does not.
        other: &'static str,
    },
    /// A bound that is no CEC.
    #[error("tier {number}: found {name} = {value}, expected a CEC above 0 in meq/100 g")]
    Bound {
        /// Which tier, from 1.
        number: usize,
        /// The bound's key.
        name: &'static str,
        /// What was found.
        value: f64,
    },
    /// A tier that ends where or before it starts.
    #[error(
        "tier {number}: found a lower bound of {lower} and an upper bound of {upper}, expected the lower one first"
    )]
    Empty {
        /// Which tier, from 1.
        number: usize,
        /// Its lower bound.
        lower: f64,
        /// Its upper bound.
        upper: f64,
    },
    /// A bound is missing between two tiers, or one is there that closes the range.
    #[error(
        "tier {number}: found {found}, expected {expected}; list tiers from the lowest CEC to the highest, without an end at either side"
    )]
    Ends {
        /// Which tier, from 1.
        number: usize,
        /// What was found.
        found: &'static str,
        /// What was expected.
        expected: &'static str,
    },
    /// CEC values that no tier has.
    #[error(
        "tiers {lower} and {upper}: found a gap, {gap} belongs to neither; let one tier start where the other ends, one of them with the value itself (\"from\" or \"to\")"
    )]
    Gap {
        /// The lower tier, from 1.
        lower: usize,
        /// The upper tier, from 1.
        upper: usize,
        /// The values, in words.
        gap: String,
    },
    /// CEC values that two tiers have.
    #[error(
        "tiers {lower} and {upper}: found an overlap, {overlap} belongs to both; list tiers from the lowest CEC to the highest and let one start where the other ends, only one of them with the value itself (\"from\" or \"to\")"
    )]
    Overlap {
        /// The lower tier, from 1.
        lower: usize,
        /// The upper tier, from 1.
        upper: usize,
        /// The values, in words.
        overlap: String,
    },
    /// A rate below zero.
    #[error("tier {number}: found a rate of {rate}, expected 0 or more")]
    Rate {
        /// Which tier, from 1.
        number: usize,
        /// What was found.
        rate: String,
    },
}

/// A bound as understood: the value, and whether it is in the tier.
type Bound = Option<(f64, bool)>;

impl Tiers {
    /// CEC under 10 takes 0.5 ton/ac, 10 to 15 (both included) 1 ton/ac, over 15 takes 2 ton/ac:
    /// common practice, no source.
    #[must_use]
    pub fn common_practice() -> Self {
        let tier =
            |label: &str, tons| Tier { label: label.to_owned(), rate: Rate::tons_per_acre(tons) };
        Self {
            by_cec: vec![
                tier("CEC under 10", 0.5),
                tier("CEC 10 to 15", 1.0),
                tier("CEC over 15", 2.0),
            ],
            breaks: vec![Break { at: 10.0, in_lower: false }, Break { at: 15.0, in_lower: true }],
            set: Vec::new(),
        }
    }

    /// The same as a job would write them.
    #[must_use]
    pub fn common_practice_written() -> Vec<TierSetting> {
        let usual = ["under 10: 0.5 ton/ac", "10 to 15: 1 ton/ac", "over 15: 2 ton/ac"];
        usual.iter().filter_map(|text| text.parse().ok()).collect()
    }

    /// Checks that tiers cover every CEC once, in order.
    ///
    /// # Errors
    /// For a gap, an overlap, a wrong order, a bound that is no CEC, or a negative rate.
    pub fn new(settings: &[TierSetting]) -> Result<Self, TierError> {
        let mut tiers = Vec::new();
        let mut breaks: Vec<Break> = Vec::new();
        let mut below: Bound = None;
        for (i, setting) in settings.iter().enumerate() {
            let number = i + 1;
            let lower = bound(number, ("from", setting.from), ("over", setting.over))?;
            let upper = bound(number, ("to", setting.to), ("under", setting.under))?;
            if let (Some((lower, has_lower)), Some((upper, has_upper))) = (lower, upper)
                && (lower > upper || (lower == upper && !(has_lower && has_upper)))
            {
                return Err(TierError::Empty { number, lower, upper });
            }
            let ends = |found, expected| TierError::Ends { number, found, expected };
            if i == 0 && lower.is_some() {
                return Err(ends("a lower bound", "none for the lowest tier"));
            }
            if i > 0 && lower.is_none() {
                return Err(ends("no lower bound", "\"from\" or \"over\""));
            }
            if number == settings.len() && upper.is_some() {
                return Err(ends("an upper bound", "none for the highest tier"));
            }
            if number < settings.len() && upper.is_none() {
                return Err(ends("no upper bound", "\"under\" or \"to\""));
            }
            if let (Some(end), Some(start)) = (below, lower) {
                breaks.push(meet(i, end, start)?);
            }
            let rate = setting.rate.value;
            if rate < Rate::ZERO {
                return Err(TierError::Rate { number, rate: rate.show(setting.rate.system, 2) });
            }
            let label = setting.label.clone().filter(|label| !label.trim().is_empty());
            tiers.push(Tier { label: label.unwrap_or_else(|| label_of(lower, upper)), rate });
            below = upper;
        }
        if tiers.is_empty() {
            return Err(TierError::None);
        }
        Ok(Self { by_cec: tiers, breaks, set: Vec::new() })
    }

    /// The tiers, from the lowest CEC.
    #[must_use]
    pub fn tiers(&self) -> &[Tier] {
        &self.by_cec
    }

    /// The same with rates that are set for areas, whatever their CEC: tiers after those by CEC.
    #[must_use]
    pub fn with_set(self, set: Vec<Tier>) -> Self {
        Self { set, ..self }
    }

    /// The tiers from the lowest CEC, then those that are set for areas.
    pub fn all(&self) -> impl Iterator<Item = &Tier> {
        self.by_cec.iter().chain(&self.set)
    }

    /// All tiers, of which the rates may be changed.
    pub(super) fn all_mut(&mut self) -> impl Iterator<Item = &mut Tier> {
        self.by_cec.iter_mut().chain(&mut self.set)
    }

    /// The tier of one of the rates that are set, from 0.
    #[must_use]
    pub fn set(&self, number: usize) -> TierIndex {
        TierIndex::of(self.by_cec.len() + number)
    }

    /// Whether a tier is one that is set, whatever the CEC.
    #[must_use]
    pub fn is_set(&self, tier: TierIndex) -> bool {
        tier.index() >= self.by_cec.len()
    }

    /// Turns each rate into another, such as pure gypsum into product.
    pub fn change_rates(&mut self, change: impl Fn(Rate) -> Rate) {
        for tier in self.all_mut() {
            tier.rate = change(tier.rate);
        }
    }

    /// The tier of a CEC as a class of ground: its index, from 0.
    #[must_use]
    pub fn class(&self, cec: f64) -> u32 {
        let above = |b: &&Break| cec > b.at || (cec == b.at && !b.in_lower);
        u32::try_from(self.breaks.iter().take_while(above).count()).unwrap_or(u32::MAX)
    }

    /// The tier of a CEC.
    #[must_use]
    pub fn tier_of(&self, cec: f64) -> TierIndex {
        TierIndex::of(self.class(cec) as usize)
    }

    /// One of the tiers. An index of none is a fault of the program, which stops a debug build.
    #[must_use]
    pub fn get(&self, tier: TierIndex) -> Option<&Tier> {
        let found = self.all().nth(tier.index());
        debug_assert!(found.is_some(), "tier {} of {}", tier.number(), self.all().count());
        found
    }

    /// The rate of one of the tiers.
    #[must_use]
    pub fn rate_of(&self, tier: TierIndex) -> Rate {
        self.get(tier).map_or(Rate::ZERO, |tier| tier.rate)
    }

    /// The CEC between a tier and the next; infinite above the highest.
    #[must_use]
    pub fn break_above(&self, class: u32) -> f64 {
        self.breaks.get(class as usize).map_or(f64::INFINITY, |b| b.at)
    }

    /// The lowest CEC between two tiers; none of a single tier.
    #[must_use]
    pub fn lowest_break(&self) -> Option<f64> {
        self.breaks.first().map(|b| b.at)
    }

    /// The highest CEC between two tiers; none of a single tier.
    #[must_use]
    pub fn highest_break(&self) -> Option<f64> {
        self.breaks.last().map(|b| b.at)
    }

    /// The same tiers at other CEC: each break moved by so much, meq/100 g. Labels stay as they are.
    #[must_use]
    pub fn with_breaks_moved(mut self, by: f64) -> Self {
        for b in &mut self.breaks {
            b.at += by;
        }
        self
    }

    /// The CEC between two tiers that is nearest to a CEC, and the rate on its other side; none of a
    /// single tier.
    #[must_use]
    pub fn step(&self, cec: f64) -> Option<(f64, Rate)> {
        let class = self.class(cec) as usize;
        let away = |at: f64| (at - cec).abs();
        let beside = self.breaks.iter().enumerate().map(|(below, b)| (below, b.at));
        let (below, at) = beside.min_by(|(_, a), (_, b)| away(*a).total_cmp(&away(*b)))?;
        let other = if class <= below { below + 1 } else { below };
        Some((at, self.by_cec.get(other)?.rate))
    }

    /// The rate for a CEC.
    #[must_use]
    pub fn rate(&self, cec: f64) -> Rate {
        self.rate_of(self.tier_of(cec))
    }
}

fn bound(
    number: usize,
    (closed, including): (&'static str, Option<f64>),
    (open, excluding): (&'static str, Option<f64>),
) -> Result<Bound, TierError> {
    let (name, value, included) = match (including, excluding) {
        (Some(_), Some(_)) => {
            return Err(TierError::TwoBounds { number, one: closed, other: open });
        }
        (None, None) => return Ok(None),
        (Some(value), None) => (closed, value, true),
        (None, Some(value)) => (open, value, false),
    };
    if !value.is_finite() || value <= 0.0 {
        return Err(TierError::Bound { number, name, value });
    }
    Ok(Some((value, included)))
}

/// The break between the tier that ends at `end` and the next that begins at `start`.
fn meet(lower: usize, end: (f64, bool), start: (f64, bool)) -> Result<Break, TierError> {
    let upper = lower + 1;
    let ((end, in_lower), (start, in_upper)) = (end, start);
    let values =
        |a: f64, b: f64| if a == b { format!("a CEC of {a}") } else { format!("CEC {a} to {b}") };
    if start > end || (start == end && !in_lower && !in_upper) {
        return Err(TierError::Gap { lower, upper, gap: values(end, start) });
    }
    if start < end || (in_lower && in_upper) {
        return Err(TierError::Overlap { lower, upper, overlap: values(start, end) });
    }
    Ok(Break { at: end, in_lower })
}

fn label_of(lower: Bound, upper: Bound) -> String {
    match (lower, upper) {
        (None, None) => "whole field".to_owned(),
        (None, Some((upper, false))) => format!("CEC under {upper}"),
        (None, Some((upper, true))) => format!("CEC up to {upper}"),
        (Some((lower, false)), None) => format!("CEC over {lower}"),
        (Some((lower, true)), None) => format!("CEC {lower} and over"),
        (Some((lower, true)), Some((upper, true))) => format!("CEC {lower} to {upper}"),
        (Some((lower, true)), Some((upper, false))) => format!("CEC {lower} to under {upper}"),
        (Some((lower, false)), Some((upper, true))) => format!("CEC over {lower} to {upper}"),
        (Some((lower, false)), Some((upper, false))) => format!("CEC over {lower}, under {upper}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tiers(text: &str) -> Result<Tiers, TierError> {
        #[derive(Deserialize)]
        struct Job {
            #[serde(default)]
            tier: Vec<TierSetting>,
        }
        Tiers::new(&toml::from_str::<Job>(text).unwrap().tier)
    }

    fn two(first: &str, second: &str) -> String {
        let rate = "rate = \"1 ton/ac\"";
        format!("[[tier]]\n{first}\n{rate}\n[[tier]]\n{second}\n{rate}\n")
    }

    fn said(text: &str) -> String {
        tiers(text).unwrap_err().to_string()
    }

    #[test]
    fn the_usual_tiers_as_a_job_writes_them() {
        let text = "[[tier]]\nunder = 10\nrate = \"0.5 ton/ac\"\n\
                    [[tier]]\nfrom = 10\nto = 15\nrate = \"1 ton/ac\"\n\
                    [[tier]]\nover = 15\nrate = \"2 ton/ac\"\n";
        let tiers = tiers(text).unwrap();
        assert_eq!(tiers, Tiers::common_practice());
        assert_eq!(Tiers::new(&Tiers::common_practice_written()).unwrap(), tiers);
        let classes = [9.999, 10.0, 15.0, 15.001].map(|cec| tiers.class(cec));
        assert_eq!(classes, [0, 1, 1, 2]);
        let beyond = [9.0, 10.0, 12.6, 15.0, 15.1].map(|cec| {
            let (at, rate) = tiers.step(cec).unwrap();
            (at, rate.as_tons_per_acre())
        });
        assert_eq!(beyond, [(10.0, 1.0), (10.0, 0.5), (15.0, 2.0), (15.0, 2.0), (15.0, 1.0)]);
        assert_eq!(tiers.break_above(1), 15.0);
        assert_eq!(tiers.rate(20.0), Rate::tons_per_acre(2.0));
    }

    #[test]
    fn faults_are_named() {
        assert_eq!(said(""), "tiers: found none, expected at least one [[tier]] with a rate");
        assert!(
            said(&two("under = 10", "over = 10"))
                .starts_with("tiers 1 and 2: found a gap, a CEC of 10 belongs to neither;")
        );
        assert!(
            said(&two("under = 10", "from = 12"))
                .starts_with("tiers 1 and 2: found a gap, CEC 10 to 12 belongs to neither;")
        );
        assert!(
            said(&two("to = 10", "from = 10"))
                .starts_with("tiers 1 and 2: found an overlap, a CEC of 10 belongs to both;")
        );
        assert!(
            said(&two("over = 15", "under = 15"))
                .starts_with("tier 1: found a lower bound, expected none for the lowest tier;")
        );
        assert!(
            said(&two("under = 15", "from = 10"))
                .starts_with("tiers 1 and 2: found an overlap, CEC 10 to 15 belongs to both;")
        );
        assert_eq!(
            said("[[tier]]\nrate = \"-1 ton/ac\"\n"),
            "tier 1: found a rate of -1.00 ton/ac, expected 0 or more"
        );
        assert_eq!(
            said(&two("under = -3", "from = 3")),
            "tier 1: found under = -3, expected a CEC above 0 in meq/100 g"
        );
    }

    #[test]
    fn one_tier_is_the_whole_field() {
        let tiers = tiers("[[tier]]\nrate = \"1 t/ha\"\n").unwrap();
        assert_eq!((tiers.class(3.0), tiers.tiers()[0].label.as_str()), (0, "whole field"));
    }
}
