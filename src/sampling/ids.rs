/// Names for samples, such as `HL01`: a prefix and numbers in one width, after those that some
/// samples of the field have already.
#[must_use]
pub fn ids(prefix: &str, count: usize, taken: &[&str]) -> Vec<String> {
    let number = |id: &&str| {
        let rest = id.trim().to_uppercase();
        rest.strip_prefix(&prefix.to_uppercase())?.trim_start_matches(['-', '_', ' ']).parse().ok()
    };
    let last: usize = taken.iter().filter_map(number).max().unwrap_or(0);
    let width = (last + count).to_string().len().max(2);
    (last + 1..=last + count).map(|number| format!("{prefix}{number:0width$}")).collect()
}

/// The prefix of a field: the first letters of its words, of one word its first letter.
#[must_use]
pub fn prefix(field: &str) -> String {
    let words = field.split(|letter: char| !letter.is_alphanumeric());
    let firsts = words.filter_map(|word| word.chars().next()).filter(char::is_ascii);
    firsts.take(3).collect::<String>().to_uppercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_the_fields_and_go_on_where_others_end() {
        assert_eq!(prefix("home-lane"), "HL");
        assert_eq!(prefix("North 40"), "N4");
        assert_eq!(prefix("creek"), "C");
        assert_eq!(ids("HL", 2, &[]), ["HL01", "HL02"]);
        assert_eq!(ids("HL", 2, &["hl-098", "PQ-200", "HL x"]), ["HL099", "HL100"]);
        assert_eq!(ids("", 1, &["7"]), ["08"]);
    }
}
