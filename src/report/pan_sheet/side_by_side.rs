use std::fmt::Write;

use super::{at_working_swath, balance, rate, shapes};
use crate::report::table::{Table, number};
use crate::spreader::pans::{Comparison, DrivingPattern, PanReport};
use crate::units::{Length, Quantity, Rate, round_to};

/// Two catch-pan runs side by side, as text.
#[must_use]
pub fn comparison_sheet(comparison: &Comparison<'_>) -> String {
    let (a, b) = (comparison.a, comparison.b);
    let system = a.test.system;
    let mut text = String::from("Two catch-pan runs side by side\n");
    for caution in &comparison.cautions {
        let _ = writeln!(text, "  caution: {caution}");
    }
    let mut table = Table::new([("", ""), (&a.test.name, ""), (&b.test.name, "")]);
    let mut both =
        |name: &str, of: &dyn Fn(&PanReport) -> String| table.row([name.to_owned(), of(a), of(b)]);
    both("shape", &shapes);
    both("judged at a swath of", &|r| r.reading.working_swath.show(system, 1));
    both("CV back and forth", &|r| at_working_swath(r, DrivingPattern::BackAndForth));
    both("CV one-way", &|r| at_working_swath(r, DrivingPattern::Race));
    let limit = a.limit.as_percent();
    both(&format!("widest swath within {limit:.0} %"), &|r| {
        r.widest.map_or_else(|| "none".to_owned(), |w| w.show(system, 0))
    });
    both("balance", &balance);
    both("outer against inner third", &|r| format!("{:+.0} %", 100.0 * r.reading.edge_index));
    both("rate on the field", &rate);
    text.push_str(&table.text());
    if let Some(change) = comparison.cv_change {
        let _ = writeln!(text, "\n  CV at the working swath: {}", cv_change(change.as_percent()));
    }
    let _ = write!(text, "\nSingle pass\n{}", pan_by_pan(a, b).text());
    text
}

/// How many points a coefficient of variation is off another, as printed.
fn cv_change(points: f64) -> String {
    let points = round_to(points, 1);
    if points == 0.0 {
        return "the same".to_owned();
    }
    format!("{points:+.1} points, {}", if points < 0.0 { "better" } else { "worse" })
}

/// The rates of both runs at every place where either had a pan.
fn pan_by_pan(a: &PanReport, b: &PanReport) -> Table {
    let system = a.test.system;
    let patterns = [&a.test.pattern, &b.test.pattern];
    let mut places: Vec<Length> = patterns.iter().flat_map(|pattern| pattern.places()).collect();
    places.sort_by(|a, b| a.si().total_cmp(&b.si()));
    // Pans of two runs are never set out closer than this to one place.
    places.dedup_by(|next, place| (*next - *place).si().abs() < 0.01);
    let rate = Rate::unit(system).symbol();
    let distance = ("distance", Length::unit(system).symbol());
    let mut table = Table::new([distance, (&a.test.name, rate), (&b.test.name, rate)]);
    for place in places {
        let [in_a, in_b]: [Rate; 2] = patterns.map(|pattern| pattern.rate_at(place));
        table.row([number(place, system, 1), number(in_a, system, 2), number(in_b, system, 2)]);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_too_small_to_print_is_none() {
        assert_eq!(cv_change(-2.34), "-2.3 points, better");
        assert_eq!(cv_change(0.06), "+0.1 points, worse");
        assert_eq!([cv_change(0.04), cv_change(-0.04)], ["the same", "the same"]);
    }
}
