//! What stands under a map that is sent by itself: the rates with their tons, and what the marks
//! mean.

use super::hatching::Grounds;
use super::near::{has_access, has_layers};
use super::svg::{Svg, escaped};
use crate::plan::Plan;
use crate::report::letters::Letters;
use crate::report::order::{pure_rate, rates_are};
use crate::report::text::{short_rate, shortened};
use crate::tonnage::Amount;
use crate::units::{Area, Mass, Quantity, Rate};

/// Height of a line, in pixels.
const LINE: f64 = 25.0;
/// Where the columns begin or, for numbers, end.
const RATE: f64 = 46.0;
const LABEL: f64 = 160.0;
const AREA: f64 = 560.0;

/// The letters that say what the marks mean, and their lines, in pixels.
const SMALL: f64 = 12.0;
const SMALL_LINE: f64 = 17.0;

/// How high the legend of a plan is, in pixels.
pub fn height(plan: &Plan, width: f64, without: usize, letters: &Letters) -> f64 {
    let lines = wrapped(&marks(plan, without), width, letters).len() as f64;
    LINE * (plan.tiers.len() as f64 + 1.0) + 31.0 + SMALL_LINE * lines
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
            rate(plan, tier.rate),
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
    svg.add(format_args!("</g>\n<g font-size=\"{SMALL}\" fill=\"#333\">"));
    for (line, base) in wrapped(&marks(plan, without), width, letters).iter().zip(0_u8..) {
        let base = y + 46.0 + SMALL_LINE * f64::from(base);
        svg.add(format_args!("<text y=\"{base:.1}\">{}</text>", escaped(line)));
    }
    svg.add(format_args!("</g>"));
}

/// What the marks on the map mean.
fn marks(plan: &Plan, without: usize) -> String {
    let rate_unit = rates_are(plan);
    let told = [
        (!plan.unspread.is_empty(), "red net: not spread"),
        (has_layers(plan), "blue: features with a keep-out or a setback"),
        (plan.stockpile.is_some(), "triangles: piles, in a ring of their size"),
        (has_access(plan), "dashes: where road trucks stand"),
        (plan.settings.about.entrance.is_some(), "diamond: entrance"),
    ];
    let told = told.iter().filter(|(there, _)| *there).flat_map(|(_, mark)| ["; ", mark]);
    let told: String = told.collect();
    let without = if without > 0 {
        format!(" Zones too small for a number: {without}.")
    } else {
        String::new()
    };
    format!(
        "In the zones: {rate_unit}. Dots: soil samples with their CEC, meq/100 g{told}.{without}"
    )
}

/// A rate of product, with the pure gypsum in it where the job says that.
fn rate(plan: &Plan, rate: Rate) -> String {
    let shown = |rate: Rate| short_rate(rate.value_in(plan.settings.system));
    match pure_rate(plan, rate) {
        Some(pure) => format!("{} ({})", shown(rate), shown(pure)),
        None => shown(rate),
    }
}

/// A text in lines of a width.
fn wrapped(text: &str, width: f64, letters: &Letters) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if letters.width(&format!("{line} {word}"), SMALL, false) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

fn amounts(svg: &mut Svg, plan: &Plan, amount: &Amount, y: f64, width: f64) {
    let system = plan.settings.system;
    svg.add(format_args!(
        "<text x=\"{AREA}\" y=\"{y:.1}\" text-anchor=\"end\">{:.2} {}</text>\
         <text x=\"{width:.1}\" y=\"{y:.1}\" text-anchor=\"end\">{:.2} {}</text>",
        amount.printed_area,
        Area::unit(system).plural(),
        amount.printed_mass,
        Mass::unit(system).plural(),
    ));
}

/// A text cut to a width.
pub fn cut(text: &str, width: f64, size: f64, letters: &Letters) -> String {
    let fits = |count: &usize| letters.width(&shortened(text, *count), size, false) <= width;
    let count = (1..=text.chars().count().min(200)).rev().find(fits).unwrap_or(1);
    shortened(text, count)
}
