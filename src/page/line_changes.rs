//! What saving changes, line by line.

use serde::Serialize;
use similar::{Change, ChangeTag, TextDiff};

/// A line that goes, comes or stays.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct LineChange {
    /// `-`, `+` or a blank.
    pub sign: char,
    /// The line.
    pub line: String,
}

/// How many lines that stay are shown around what changes.
const AROUND: usize = 2;

/// The lines of one text that go and those of another that come, each with some that stay around it: the
/// fewest (E. W. Myers, "An O(ND) difference algorithm and its variations", *Algorithmica* 1, 1986).
#[must_use]
pub fn line_changes(before: &str, after: &str) -> Vec<LineChange> {
    let (before, after): (Vec<&str>, Vec<&str>) =
        (before.lines().collect(), after.lines().collect());
    let diff = TextDiff::from_slices(&before, &after);
    let near = diff.grouped_ops(AROUND);
    let changes = near.iter().flatten().flat_map(|part| diff.iter_changes(part));
    let change = |change: Change<&str>| LineChange {
        sign: match change.tag() {
            ChangeTag::Delete => '-',
            ChangeTag::Insert => '+',
            ChangeTag::Equal => ' ',
        },
        line: change.value().to_owned(),
    };
    changes.map(change).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(before: &str, after: &str) -> String {
        let changes = line_changes(before, after);
        let told = changes.iter().flat_map(|change| [change.sign.to_string(), change.line.clone()]);
        told.collect::<Vec<_>>().chunks(2).map(<[String]>::concat).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn the_fewest_lines_are_told() {
        assert_eq!(told("a\nb\nc\nd\ne\nf\ng", "a\nb\nc\nx\ne\nf\ng"), " b  c -d +x  e  f");
        assert_eq!(told("a\nb", "a\nb"), "");
        assert_eq!(told("", "a\nb"), "+a +b");
        assert_eq!(told("a\nb", ""), "-a -b");
        assert_eq!(told("a\nb\nc", "b\nc\nd"), "-a  b  c +d");
    }
}
