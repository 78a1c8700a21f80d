/// Two figures with as many decimals, one to three, as it takes to tell them apart; none where three
/// do not.
#[must_use]
pub fn told_apart(one: f64, other: f64) -> Option<[String; 2]> {
    (1..=3).find_map(|decimals: usize| {
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
        let said = |one, other| told_apart(one, other).map(|both| both.join(" "));
        assert_eq!(said(1.31, 1.42).as_deref(), Some("1.3 1.4"));
        assert_eq!(said(1.31, 1.33).as_deref(), Some("1.31 1.33"));
        assert_eq!(said(1.3312, 1.3341).as_deref(), Some("1.331 1.334"));
        assert_eq!(said(1.3311, 1.3312), None);
    }
}
