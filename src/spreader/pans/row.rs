//! From pans as they stood to an evenly spaced pattern: what is filled in, and what is refused.

use super::Pattern;
use crate::units::{Length, Quantity, Rate, System, round_to};

/// Fewer pans than this show no shape.
const FEWEST: usize = 5;
/// No row is longer: two pans a meter over the widest throw.
const MOST: usize = 400;
/// Gaps that differ by less than this share are even: pans are set out by hand.
const EVEN: f64 = 0.02;
/// A gap that is wider than this many of the smallest hides too much to be filled in.
const WIDEST_GAP: f64 = 3.0;
/// The most that may land in the last pan of a short side, by the highest catch.
const CUT_OFF: f64 = 0.25;

/// Makes the pattern from places and rates, in any order. With it, what was filled in.
pub(super) fn pattern(
    mut pans: Vec<(Length, Rate)>,
    system: System,
) -> Result<(Pattern, Vec<String>), String> {
    let show = |length: Length| {
        format!("{} {}", round_to(length.value_in(system), 2), Length::unit(system).symbol())
    };
    if pans.len() < FEWEST {
        let found = pans.len();
        return Err(format!(
            "found {found} pans, expected at least {FEWEST}; set more pans in the row"
        ));
    }
    if pans.len() > MOST {
        let found = pans.len();
        return Err(format!(
            "found {found} pans, expected at most {MOST}; is this a catch-pan test?"
        ));
    }
    pans.sort_by(|a, b| a.0.si().total_cmp(&b.0.si()));
    let gaps: Vec<Length> = pans.windows(2).filter_map(gap).collect();
    let smallest = gaps.iter().copied().fold(Length::from_si(f64::INFINITY), least);
    let largest = gaps.iter().copied().fold(Length::ZERO, |a, b| if a > b { a } else { b });
    let ends = pans.first().zip(pans.last());
    let Some((left, right)) = ends.map(|(a, b)| (a.0, b.0)) else { return Err(String::new()) };
    if smallest <= Length::ZERO {
        let twice = pans.windows(2).find(|pair| gap(pair) == Some(Length::ZERO));
        let place = twice.and_then(|pair| pair.first()).map_or(left, |pan| pan.0);
        return Err(format!(
            "found two pans at {}, expected one; correct the distance",
            show(place)
        ));
    }
    if left >= Length::ZERO || right <= Length::ZERO {
        return Err(format!(
            "found pans from {} to {}, expected pans on both sides of the driven line; \
             write distances left of it as negative",
            show(left),
            show(right)
        ));
    }
    if largest / smallest > WIDEST_GAP {
        return Err(format!(
            "found pans {} apart beside pans {} apart, too uneven to fill in; \
             expected no gap over {WIDEST_GAP} times the smallest: set pans in the gap and run again",
            show(largest),
            show(smallest)
        ));
    }
    let mut said = Vec::new();
    let (first, spacing, rates) = if largest / smallest <= 1.0 + EVEN {
        let spacing = (right - left) / (pans.len() - 1) as f64;
        (left, spacing, pans.iter().map(|pan| pan.1).collect())
    } else {
        said.push(format!(
            "pans unevenly spaced, {} to {} apart: interpolated, straight between pans, to every {}",
            show(smallest),
            show(largest),
            show(smallest)
        ));
        filled_in(&pans, smallest)
    };
    let pattern = Pattern::new(first, spacing, rates)
        .ok_or("found a catch that is not a number, expected zero or more; weigh the pan again")?;
    if pattern.rate_at(Length::ZERO) <= Rate::ZERO {
        let centre = "found no catch at the driven line, expected some";
        return Err(format!(
            "{centre}; check that the machine drove over the middle of the row and both spinners were fed"
        ));
    }
    said.extend(short_side(&pattern, &show)?);
    Ok((pattern, said))
}

fn gap(pair: &[(Length, Rate)]) -> Option<Length> {
    let [a, b] = pair else { return None };
    Some(b.0 - a.0)
}

fn least(a: Length, b: Length) -> Length {
    if a < b { a } else { b }
}

/// Rates at every multiple of the spacing, out to the last pan on each side.
fn filled_in(pans: &[(Length, Rate)], spacing: Length) -> (Length, Length, Vec<Rate>) {
    let side = |end: Option<&(Length, Rate)>| {
        end.map_or(0.0, |pan| ((pan.0.si().abs() / spacing.si()) + 1e-6).floor())
    };
    let (left, right) = (side(pans.first()), side(pans.last()));
    let mut rates = Vec::new();
    let mut i = -left;
    while i <= right {
        let place = spacing * i;
        let between = pans.windows(2).find_map(|pair| match pair {
            [a, b] if b.0 >= place => {
                let share = ((place - a.0) / (b.0 - a.0)).clamp(0.0, 1.0);
                Some(a.1 * (1.0 - share) + b.1 * share)
            }
            _ => None,
        });
        rates.push(between.or(pans.last().map(|pan| pan.1)).unwrap_or(Rate::ZERO));
        i += 1.0;
    }
    (spacing * -left, spacing, rates)
}

/// A row that reaches less far on one side is taken as nothing landing there, where that can be.
fn short_side(
    pattern: &Pattern,
    show: &impl Fn(Length) -> String,
) -> Result<Option<String>, String> {
    let (left, right) = (pattern.left() * -1.0, pattern.right());
    let ends = pattern.rates().first().zip(pattern.rates().last());
    let Some((at_left, at_right)) = ends else { return Ok(None) };
    let share = |rate: &Rate| *rate / pattern.highest();
    let (side, short, long, caught) = if left < right {
        ("left", left, right, share(at_left))
    } else {
        ("right", right, left, share(at_right))
    };
    let symmetric = (long - short).si() < pattern.spacing().si() / 2.0;
    let most = share(at_left).max(share(at_right));
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    if symmetric {
        return Ok((most > CUT_OFF).then(|| {
            format!(
                "the last pan still caught {} of the highest catch: the throw is wider than the row, \
                 set pans farther out",
                percent(most)
            )
        }));
    }
    if caught > CUT_OFF {
        return Err(format!(
            "found pans to {} on the {side} but to {} on the other side, and the last one on the \
             {side} caught {} of the highest catch; expected a row that reaches as far on both \
             sides: set pans farther out on the {side} and run again",
            show(short),
            show(long),
            percent(caught)
        ));
    }
    Ok(Some(format!(
        "pans not symmetric, to {} on the {side} and {} on the other side: \
         taken as nothing landing beyond the last pan",
        show(short),
        show(long)
    )))
}
