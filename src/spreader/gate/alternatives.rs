use super::recommendation::recommend;
use super::{GateTier, Limits, Recommendation};
use crate::spreader::Range;
use crate::units::{Length, Quantity, Speed};

/// What can be done where no single opening works.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternatives {
    /// One opening, each tier driven within a speed window of its own.
    pub windows: Option<Windows>,
    /// One opening, the heaviest tiers covered twice at half their rate.
    pub half_rates: Option<HalfRates>,
    /// The field covered twice: once for the light tiers, once, with the gate reset, for the heavy.
    pub two_openings: Option<TwoOpenings>,
}

/// A ground-speed window for each tier.
#[derive(Clone, Debug, PartialEq)]
pub struct Windows {
    /// The gate opening, chosen so that the narrowest window is as wide as it can be.
    pub opening: Length,
    /// The windows, in the order of the tiers.
    pub tiers: Vec<(GateTier, Range<Speed>)>,
    /// The speeds at which every tier can be driven, if there are any.
    pub common: Option<Range<Speed>>,
}

/// The heaviest tiers in two passes.
#[derive(Clone, Debug, PartialEq)]
pub struct HalfRates {
    /// The gate opening for both passes.
    pub recommendation: Recommendation,
    /// The tiers of the first pass, the heavy ones at half their rate.
    pub tiers: Vec<GateTier>,
    /// How many tiers, from the heaviest, are covered twice.
    pub halved: usize,
}

/// Two passes with the gate reset between them.
#[derive(Clone, Debug, PartialEq)]
pub struct TwoOpenings {
    /// The tiers of the first pass and their opening.
    pub light: (Vec<GateTier>, Recommendation),
    /// The tiers of the second pass and their opening.
    pub heavy: (Vec<GateTier>, Recommendation),
}

pub(super) fn find(limits: &Limits, tiers: &[GateTier]) -> Alternatives {
    let mut by_rate = tiers.to_vec();
    by_rate.sort_by(|a, b| a.rate.si().total_cmp(&b.rate.si()));
    Alternatives {
        windows: windows(limits, tiers),
        half_rates: half_rates(limits, &by_rate),
        two_openings: two_openings(limits, &by_rate),
    }
}

/// The width of the narrowest window is a concave function of the opening: each window's fast end
/// is the least of two rising straight lines or constants, its slow end the greatest. A ternary
/// search therefore finds its top; 100 steps narrow the range by 1e17.
fn windows(limits: &Limits, tiers: &[GateTier]) -> Option<Windows> {
    let serves = limits.within_gate(limits.openings_with_free_speed(tiers))?;
    let narrowest = |opening: f64| {
        let width = |tier: &GateTier| {
            limits
                .window(tier.rate, Length::from_si(opening))
                .map_or(f64::NEG_INFINITY, |w| (w.most - w.least).si())
        };
        tiers.iter().map(width).fold(f64::INFINITY, f64::min)
    };
    let [mut low, mut high] = [serves.least.si(), serves.most.si()];
    for _ in 0..100 {
        let [a, b] = [low + (high - low) / 3.0, high - (high - low) / 3.0];
        if narrowest(a) < narrowest(b) {
            low = a;
        } else {
            high = b;
        }
    }
    let best = Length::from_si(f64::midpoint(low, high));
    // The ends themselves are tried too: where the range is a hair wide, only they may serve.
    let candidates = [limits.on_a_mark(best, serves), best, serves.least, serves.most];
    candidates.into_iter().find_map(|opening| windows_at(limits, tiers, opening))
}

fn windows_at(limits: &Limits, tiers: &[GateTier], opening: Length) -> Option<Windows> {
    let window = |tier: &GateTier| Some((tier.clone(), limits.window(tier.rate, opening)?));
    let tiers: Vec<(GateTier, Range<Speed>)> = tiers.iter().map(window).collect::<Option<_>>()?;
    let slowest = tiers.iter().map(|(_, w)| w.least.si()).fold(0.0, f64::max);
    let fastest = tiers.iter().map(|(_, w)| w.most.si()).fold(f64::INFINITY, f64::min);
    let common =
        (slowest <= fastest).then(|| Range::new(Speed::from_si(slowest), Speed::from_si(fastest)));
    Some(Windows { opening, tiers, common })
}

fn half_rates(limits: &Limits, by_rate: &[GateTier]) -> Option<HalfRates> {
    (1..=by_rate.len()).find_map(|halved| {
        let first_halved = by_rate.len() - halved;
        let tiers: Vec<GateTier> = by_rate
            .iter()
            .enumerate()
            .map(|(i, tier)| if i < first_halved { tier.clone() } else { tier.halved() })
            .collect();
        let recommendation = recommend(limits, &tiers)?;
        Some(HalfRates { recommendation, tiers, halved })
    })
}

/// The split that leaves the gate the most room in the tighter of its two passes.
fn two_openings(limits: &Limits, by_rate: &[GateTier]) -> Option<TwoOpenings> {
    let mut best: Option<(f64, TwoOpenings)> = None;
    for at in 1..by_rate.len() {
        let (light, heavy) = by_rate.split_at(at);
        let found = recommend(limits, light).zip(recommend(limits, heavy));
        let Some((for_light, for_heavy)) = found else { continue };
        let room = [for_light, for_heavy].map(|r| r.serves.most / r.serves.least);
        let room = room.into_iter().fold(f64::INFINITY, f64::min);
        if best.as_ref().is_none_or(|(most, _)| room > *most) {
            let light = (light.to_vec(), for_light);
            best = Some((room, TwoOpenings { light, heavy: (heavy.to_vec(), for_heavy) }));
        }
    }
    best.map(|(_, split)| split)
}
