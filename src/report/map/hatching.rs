//! What a rate's ground looks like: its color with a pattern of its own, so that a map is read in
//! black and white too. Patterns grow denser with the rate.

use std::fmt::Write as _;

use super::palette::{Colour, rate_colour};
use super::svg::Svg;
use crate::plan::Plan;
use crate::soil::Tier;

/// A pattern: lines in some directions.
#[derive(Clone, Copy, Debug)]
struct Pattern {
    /// The directions of its lines, in degrees from upright.
    turns: &'static [u32],
    /// From line to line, in pixels.
    apart: f64,
    /// How thick a line is, in pixels.
    thick: f64,
}

/// From the lowest rate up; the lowest of several is plain.
const PATTERNS: [Pattern; 8] = [
    Pattern { turns: &[], apart: 12.0, thick: 0.0 },
    Pattern { turns: &[45], apart: 13.0, thick: 1.0 },
    Pattern { turns: &[45, 135], apart: 12.0, thick: 1.1 },
    Pattern { turns: &[90], apart: 6.0, thick: 1.2 },
    Pattern { turns: &[135], apart: 5.0, thick: 1.4 },
    Pattern { turns: &[0, 90], apart: 8.0, thick: 1.2 },
    Pattern { turns: &[0], apart: 4.0, thick: 1.4 },
    Pattern { turns: &[45, 135], apart: 5.0, thick: 1.4 },
];

/// How each tier is drawn.
#[derive(Clone, Debug)]
pub struct Grounds {
    /// The rank of each tier's rate, from 0 for the lowest.
    ranks: Vec<usize>,
}

impl Grounds {
    /// Tiers are ranked by their rates; equal ones in their own order.
    pub fn of(plan: &Plan) -> Self {
        Self::of_tiers(&plan.tiers.iter().map(|(tier, _)| tier.clone()).collect::<Vec<_>>())
    }

    fn of_tiers(tiers: &[Tier]) -> Self {
        let lower = |i: usize, tier: &Tier| {
            let before = |(j, other): &(usize, &Tier)| {
                other.rate < tier.rate || (other.rate == tier.rate && *j < i)
            };
            tiers.iter().enumerate().filter(before).count()
        };
        Self { ranks: tiers.iter().enumerate().map(|(i, tier)| lower(i, tier)).collect() }
    }

    /// The color of a tier.
    pub fn colour(&self, tier: usize) -> Colour {
        rate_colour(self.ranks.get(tier).copied().unwrap_or(0), self.ranks.len())
    }

    /// What fills the ground of a tier, where [`Grounds::define`] stands in the same document.
    pub fn fill(tier: usize) -> String {
        format!("url(#ground-{})", tier + 1)
    }

    /// Defines the grounds of the tiers, and that of what is not spread.
    pub fn define(&self, svg: &mut Svg) {
        svg.add(format_args!("<defs>"));
        for (tier, rank) in self.ranks.iter().enumerate() {
            let colour = self.colour(tier);
            let pattern = PATTERNS.get(rank % PATTERNS.len()).copied().unwrap_or(PATTERNS[0]);
            let id = format!("ground-{}", tier + 1);
            define(svg, &id, &colour.hex(), &colour.ink().hex(), pattern);
        }
        let unspread = Pattern { turns: &[45, 135], apart: 7.0, thick: 0.8 };
        define(svg, "ground-0", "#ffffff", "#b3261e", unspread);
        svg.add(format_args!("</defs>"));
    }
}

/// A square tile that meets itself on all sides, turned so that its first lines run their way.
fn define(svg: &mut Svg, id: &str, ground: &str, ink: &str, pattern: Pattern) {
    let Pattern { turns, apart, thick } = pattern;
    let half = apart / 2.0;
    let turn = turns.first().copied().unwrap_or(0);
    let mut lines = String::new();
    if !turns.is_empty() {
        let _ = write!(lines, "M{half} 0v{apart}");
    }
    if turns.len() > 1 {
        let _ = write!(lines, "M0 {half}h{apart}");
    }
    svg.add(format_args!(
        "<pattern id=\"{id}\" width=\"{apart}\" height=\"{apart}\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate({turn})\"><path d=\"M0 0h{apart}v{apart}H0z\" fill=\"{ground}\"/>\
         <path d=\"{lines}\" stroke=\"{ink}\" stroke-width=\"{thick}\" fill=\"none\"/></pattern>"
    ));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Rate;

    #[test]
    fn tiers_are_ranked_by_rate_and_no_two_alike() {
        let tier = |tons| Tier { label: String::new(), rate: Rate::tons_per_acre(tons) };
        let grounds = Grounds::of_tiers(&[tier(2.0), tier(0.5), tier(0.5), tier(1.0)]);
        assert_eq!(grounds.ranks, [3, 0, 1, 2]);
    }

    /// The denser of two neighboring patterns has the higher rate, until the patterns run out.
    #[test]
    fn patterns_grow_denser() {
        let ink = |pattern: &Pattern| pattern.turns.len() as f64 * pattern.thick / pattern.apart;
        for pair in PATTERNS.windows(2) {
            assert!(ink(&pair[0]) < ink(&pair[1]), "{pair:?}");
        }
    }
}
