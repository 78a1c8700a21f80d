use std::fmt::Write as _;

use super::super::charts::worth_chart;
use crate::report::{ReportError, Table};
use crate::sampling::{Outcome, Worth, WorthRow};
use crate::units::{Area, Mass, Quantity, System};

/// What numbers of samples are worth: a row for one rate all over, then one for each number.
#[must_use]
pub fn worth_table(worth: &Worth, system: System) -> Table {
    let (area, mass) = (Area::unit(system).symbol(), Mass::unit(system).plural());
    let mut columns = vec![
        ("samples", ""),
        ("each for", area),
        ("in its right tier", "%"),
        ("least", "%"),
        ("most", "%"),
        ("misplaced", mass),
        ("range of tons +/-", mass),
    ];
    let has_cost = worth.flat.mean.cost.is_some();
    if has_cost {
        columns.extend([("cost", ""), ("cost least", ""), ("cost most", "")]);
    }
    let mut table = Table::new(columns);
    for row in std::iter::once(&worth.flat).chain(&worth.rows) {
        let percent = |share: f64| format!("{:.0}", 100.0 * share);
        let (least, most) = row.ends(|outcome| outcome.right);
        let each = row.samples.map_or(String::new(), |samples| {
            format!("{:.2}", (worth.area / samples as f64).value_in(system))
        });
        let range = row
            .samples
            .map_or(String::new(), |_| format!("{:.1}", row.mean.half_range.value_in(system)));
        let mut cells = vec![
            row.samples.map_or_else(|| "one rate".to_owned(), |samples| samples.to_string()),
            each,
            percent(row.mean.right),
            percent(least),
            percent(most),
            format!("{:.1}", row.mean.misplaced.value_in(system)),
            range,
        ];
        if has_cost {
            let money = |outcome: &Outcome| outcome.cost.unwrap_or_default().0;
            let (least, most) = row.ends(money);
            let whole = |money: f64| format!("{money:.0}");
            cells.extend([whole(money(&row.mean)), whole(least), whole(most)]);
        }
        table.row(cells);
    }
    table
}

/// The table with what it means.
#[must_use]
pub fn worth_text(worth: &Worth, field: &str, by: &str, system: System) -> String {
    let mut text = format!("{field}: what samples are worth on {}\n", worth.area.show(system, 1));
    let _ = writeln!(text, "{by}\n\n{}", worth_table(worth, system).text());
    text.push_str(
        "In its right tier, misplaced (short and over together) and the range that will be stated for the\n\
         field's tons (4 in 5) are means over these soils; least and most are the ends of them. A plan finds\n\
         the soil's pattern from the samples alone and so falls a point or so short, more with few samples.\n",
    );
    text.push_str(&verdict(worth));
    if let Some(tons) = system.tons_are() {
        text.push_str(tons);
        text.push('\n');
    }
    text
}

/// Where it pays to stop, with how sure that is.
fn verdict(worth: &Worth) -> String {
    let Some(best) = &worth.best else {
        return "With prices (--sampling-price or --laboratory-price or both, and --product-price) the number that pays is told.\n".to_owned();
    };
    let sure = (100.0 * best.flat).round();
    let (low, high) = best.range;
    let ends = |number: usize| if number == 1 { "one rate".to_owned() } else { number.to_string() };
    match best.samples {
        None => format!(
            "One rate for the whole field costs less than any map here: so it is in {sure:.0} % of these soils.\n"
        ),
        Some(samples) => {
            let cost = |row: &WorthRow| row.mean.cost.unwrap_or_default();
            let row = worth.rows.iter().find(|row| row.samples == Some(samples));
            let saved = row.map_or(String::new(), |row| {
                let less = cost(&worth.flat) - cost(row);
                format!(", {} less than one rate all over", less.without_cents())
            });
            let flat = if best.flat > 0.0 {
                format!(
                    " In {sure:.0} % of these soils one rate all over would cost less than any map."
                )
            } else {
                String::new()
            };
            format!(
                "It pays up to about {samples} samples{saved}; after that another costs more than it saves. By these soils: {} to {} (4 in 5).{flat}\n\
                 A ton too much costs its price; a ton short is taken to cost the grower as much.\n",
                ends(low),
                ends(high)
            )
        }
    }
}

/// The picture: with prices the cost, else the share of ground in its right tier, by number of
/// samples. SVG.
///
/// # Errors
/// When it cannot be drawn.
pub fn worth_picture(worth: &Worth, system: System) -> Result<String, ReportError> {
    worth_chart(worth, system)
}
