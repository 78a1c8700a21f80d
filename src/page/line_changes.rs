//! What saving changes, line by line.

use serde::Serialize;

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

/// The lines of one text that go and those of another that come, each with some that stay around it: the fewest, by the longest
/// common subsequence (Wagner and Fischer, 1974). Job files are some hundred lines; of longer ones
/// than 4,000 all go and all come.
#[must_use]
pub fn line_changes(before: &str, after: &str) -> Vec<LineChange> {
    let (a, b): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
    let change = |sign: char, line: &str| LineChange { sign, line: line.to_owned() };
    if a.len().max(b.len()) > 4000 {
        let gone = a.iter().map(|line| change('-', line));
        return gone.chain(b.iter().map(|line| change('+', line))).collect();
    }
    // The length of what the rests from i and j on have in common.
    let wide = b.len() + 1;
    let mut common = vec![0_u16; (a.len() + 1) * wide];
    let at = |common: &[u16], i: usize, j: usize| common.get(i * wide + j).copied().unwrap_or(0);
    for (i, one) in a.iter().enumerate().rev() {
        for (j, other) in b.iter().enumerate().rev() {
            let length = if one == other {
                at(&common, i + 1, j + 1) + 1
            } else {
                at(&common, i + 1, j).max(at(&common, i, j + 1))
            };
            if let Some(slot) = common.get_mut(i * wide + j) {
                *slot = length;
            }
        }
    }
    let (mut i, mut j, mut all) = (0, 0, Vec::new());
    while let (Some(one), other) = (a.get(i), b.get(j)) {
        if other == Some(one) {
            all.push(change(' ', one));
            (i, j) = (i + 1, j + 1);
        } else if other.is_none() || at(&common, i + 1, j) >= at(&common, i, j + 1) {
            all.push(change('-', one));
            i += 1;
        } else {
            all.extend(other.map(|line| change('+', line)));
            j += 1;
        }
    }
    all.extend(b.iter().skip(j).map(|line| change('+', line)));
    let near = |number: usize| {
        let from = number.saturating_sub(AROUND);
        all.iter().skip(from).take(number - from + AROUND + 1).any(|change| change.sign != ' ')
    };
    let kept: Vec<bool> = (0..all.len()).map(near).collect();
    all.into_iter().zip(kept).filter(|(_, kept)| *kept).map(|(change, _)| change).collect()
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
