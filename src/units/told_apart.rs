use std::ops::RangeInclusive;

/// Two figures with as many decimals, of those allowed, as it takes to tell them apart; none where
/// the most do not.
#[must_use]
pub fn told_apart(one: f64, other: f64, decimals: RangeInclusive<usize>) -> Option<[String; 2]> {
    decimals.into_iter().find_map(|decimals| {
        let both = [one, other].map(|figure| format!("{figure:.decimals$}"));
        let [first, second] = &both;
        (first != second).then_some(both)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_digits_as_differ() {
        let said = |one, other| told_apart(one, other, 1..=3).map(|both| both.join(" "));
        assert_eq!(said(1.31, 1.42).as_deref(), Some("1.3 1.4"));
        assert_eq!(said(1.31, 1.33).as_deref(), Some("1.31 1.33"));
        assert_eq!(said(1.3312, 1.3341).as_deref(), Some("1.331 1.334"));
        assert_eq!(said(1.3311, 1.3312), None);
        assert_eq!(told_apart(178.2, 190.4, 0..=2), Some(["178", "190"].map(str::to_owned)));
    }
}
