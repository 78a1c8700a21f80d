/// So many things of a list are named in a message.
const NAMED: usize = 8;

/// The first of several things, and how many more there are.
pub(super) fn listed(things: &[String]) -> String {
    let mut text = things.iter().take(NAMED).cloned().collect::<Vec<_>>().join("; ");
    let more = things.len().saturating_sub(NAMED);
    if more > 0 {
        text += &format!("; and {more} more");
    }
    text
}

/// Things with commas between them, the last with "and".
pub(super) fn and(things: impl Iterator<Item = String>) -> String {
    let mut things: Vec<String> = things.collect();
    let last = things.pop().unwrap_or_default();
    if things.is_empty() { last } else { format!("{} and {last}", things.join(", ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lists_are_cut() {
        let things: Vec<String> = (1..=10).map(|number: u32| number.to_string()).collect();
        assert_eq!(listed(&things), "1; 2; 3; 4; 5; 6; 7; 8; and 2 more");
        assert_eq!(and(things.into_iter().take(3)), "1, 2 and 3");
        assert_eq!(and(["1".to_owned()].into_iter()), "1");
    }
}
