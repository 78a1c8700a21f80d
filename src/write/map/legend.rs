//! What stands under a map that is sent by itself: the rates with their tons, and what the marks
//! mean.

use super::hatching::Grounds;
use super::piles::has_access;
use super::svg::{Svg, escaped, shortened};
use crate::plan::Plan;
use crate::spreader::charts::Letters;
use crate::tonnage::Amount;
use crate::units::{Area, Mass, Quantity, Rate};
use crate::write::zone_row::short;

/// Height of a line, in pixels.
const LINE: f64 = 25.0;
/// Where the columns begin or, for numbers, end.
const RATE: f64 = 46.0;
const LABEL: f64 = 160.0;
const AREA: f64 = 560.0;

/// How high the legend of a plan is, in pixels.
pub fn height(plan: &Plan) -> f64 {
    LINE * (plan.tiers.len() as f64 + 1.0) + 48.0
}

/// Draws it, from y = 0 down.
pub fn draw(svg: &mut Svg, plan: &Plan, width: f64, without: usize, letters: &Letters) {
    let system = plan.settings.system;
    let rate_unit = Rate::unit(system).symbol();
    svg.add(format_args!("<g font-size=\"14\">"));
    for (i, (tier, amount)) in plan.tiers.iter().enumerate() {
        let y = LINE * i as f64;
        let base = y + 15.0;
        svg.add(format_args!(
            "<rect x=\".5\" y=\"{:.1}\" width=\"34\" height=\"18\" fill=\"{}\" stroke=\"#222\"/>\
             <text x=\"{RATE}\" y=\"{base:.1}\">{} {rate_unit}</text>\
             <text x=\"{LABEL}\" y=\"{base:.1}\">{}</text>",
            y + 0.5,
            Grounds::fill(i),
            short(tier.rate.value_in(system)),
            escaped(&cut(&tier.label, AREA - 90.0 - LABEL, 14.0, letters)),
        ));
        amounts(svg, plan, amount, base, width);
    }
    let y = LINE * plan.tiers.len() as f64;
    svg.add(format_args!(
        "<path d=\"M0 {y:.1}H{width:.1}\" stroke=\"#222\"/><text x=\"{RATE}\" y=\"{:.1}\">all rates</text>",
        y + 18.0
    ));
    amounts(svg, plan, &plan.total, y + 18.0, width);
    let unspread = if plan.unspread.is_empty() { "" } else { "; red net: not spread" };
    let piles = if plan.stockpile.is_some() { "; heaps: piles" } else { "" };
    let access = if has_access(plan) { "; dashes: where road trucks reach" } else { "" };
    let without = if without > 0 {
        format!(" Zones too small for a number: {without}.")
    } else {
        String::new()
    };
    svg.add(format_args!(
        "</g><text y=\"{:.1}\" font-size=\"12\" fill=\"#333\">In the zones: {rate_unit}. Dots: soil \
         samples with their CEC, meq/100 g{unspread}{piles}{access}.{without}</text>",
        y + 46.0
    ));
}

fn amounts(svg: &mut Svg, plan: &Plan, amount: &Amount, y: f64, width: f64) {
    let system = plan.settings.system;
    svg.add(format_args!(
        "<text x=\"{AREA}\" y=\"{y:.1}\" text-anchor=\"end\">{:.2} {}</text>\
         <text x=\"{width:.1}\" y=\"{y:.1}\" text-anchor=\"end\">{:.2} {}</text>",
        amount.printed_area,
        Area::unit(system).symbol(),
        amount.printed_mass,
        Mass::unit(system).symbol(),
    ));
}

/// A text cut to a width.
pub fn cut(text: &str, width: f64, size: f64, letters: &Letters) -> String {
    let fits = |count: &usize| letters.width(&shortened(text, *count), size, false) <= width;
    let count = (1..=text.chars().count().min(200)).rev().find(fits).unwrap_or(1);
    shortened(text, count)
}
