//! The order of a farm in words, for the screen and for its sheet.

use std::fmt::Write as _;

use crate::farm::{Costs, Deliveries, FarmOrder, FarmTotals, SpreaderWork, SumOf};
use crate::order::Money;
use crate::report::order::{cost_of_both, ends, least_to_most, one_truck_less_leaves, told_off};
use crate::totals::Cost;
use crate::units::{Mass, Quantity, count};

/// The order, loads and hours, and money, each with how many fields it is of if not of all.
#[must_use]
pub fn farm_order(totals: &FarmTotals) -> Vec<String> {
    let Some(order) = &totals.order else { return Vec::new() };
    let unit = Mass::unit(totals.system).plural();
    let all = totals.fields.len();
    let mut lines = vec![ordered(order, all, unit)];
    lines.extend(order.spreading.as_ref().map(|sum| spreading(sum, all)));
    lines.extend(order.costs.as_ref().map(|sum| money(sum, all)));
    lines
}

/// Which fields something is of.
fn of(fields: usize, all: usize) -> String {
    if fields == all { "the farm".to_owned() } else { format!("{fields} of {all} fields") }
}

fn ordered(order: &FarmOrder, all: usize, unit: &str) -> String {
    let mut text = format!("Order for {}: {:.2} {unit}", of(order.fields, all), order.ordered);
    if let Some(range) = order.range {
        let _ = write!(text, "; the maps take {} (4 in 5)", ends(range));
    }
    if let Some(deliveries) = &order.deliveries {
        text += &trucks(deliveries, order, unit);
    }
    text + "."
}

fn trucks(deliveries: &Deliveries, order: &FarmOrder, unit: &str) -> String {
    let Deliveries { fields, payload, delivered, by_field, one_less, .. } = deliveries;
    let number = count(deliveries.count, "delivery", "deliveries");
    let Some(payload) = payload else {
        let stated = if *fields == order.fields {
            "the fields state different payloads".to_owned()
        } else {
            format!("{fields} of {} state a payload", count(order.fields, "field", "fields"))
        };
        return format!(
            "; {number}, {delivered:.2} {unit} delivered, each field's by themselves: {stated}"
        );
    };
    let over = delivered - order.ordered;
    let over = if over < 0.0 { String::new() } else { format!(", {over:.2} surplus") };
    let less = one_less.filter(|less| less.trucks > 0 && less.margin >= 0.0).map(|less| {
        let margin = format!("{:.2} {unit}", less.margin);
        let sign = if less.taken { ',' } else { ';' };
        format!("{sign} {}", one_truck_less_leaves(less.taken, &margin))
    });
    format!(
        "; {number} of {payload:.2} {unit}, {delivered:.2} {unit} delivered{over}{}; {by_field} if each field were ordered by itself",
        less.unwrap_or_default()
    )
}

fn spreading(sum: &SumOf<SpreaderWork>, all: usize) -> String {
    let SpreaderWork { loads, hours, to_pile } = sum.sum;
    let piles = if to_pile { "" } else { " and, where no pile has a place, to the piles" };
    format!(
        "Spreading for {}: {}, {} hours; driving between fields{piles} not included.",
        of(sum.fields, all),
        count(loads, "load", "loads"),
        least_to_most(hours),
    )
}

fn money(sum: &SumOf<Costs>, all: usize) -> String {
    let shown = |cost: Cost| cost_of_both([cost.product, cost.spreading, cost.total].map(Money));
    let (variable, flat) = (Money(sum.sum.variable.total), Money(sum.sum.flat.total));
    format!(
        "Cost of the maps for {}: {}. One rate for each whole field: {}; the maps cost {}.",
        of(sum.fields, all),
        shown(sum.sum.variable),
        shown(sum.sum.flat),
        told_off(variable, flat),
    )
}
