use crate::order::{Money, Prices};

/// What product and spreading cost, and both.
pub fn cost_of_both([product, spreading, total]: [Money; 3]) -> String {
    format!("product {product} + spreading {spreading} = {total}")
}

/// What product, spreading and both cost, as far as their prices are set.
pub fn cost([product, spreading, total]: [Money; 3], prices: Prices) -> String {
    match (prices.product, prices.spreading) {
        (Some(_), Some(_)) => cost_of_both([product, spreading, total]),
        (Some(_), None) => format!("product {product}"),
        _ => format!("spreading {spreading}"),
    }
}

/// By how much one cost is off another, without cents: neither map nor order is as sure as that.
pub fn told_off(cost: Money, other: Money) -> String {
    let off = (cost - other).0.round();
    if off == 0.0 {
        return "the same".to_owned();
    }
    let told = if off > 0.0 { "more" } else { "less" };
    format!("{} {told}", Money(off.abs()).without_cents())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_without_cents() {
        let off = |one, other| told_off(Money(one), Money(other));
        assert_eq!(off(1_632.40, 1_000.0), "632 more");
        assert_eq!(off(1_000.0, 12_675.5), "11,676 less");
        assert_eq!(off(5.0, 5.4), "the same");
    }
}
