//! Texts and numbers as they are shown.

use crate::plan::Joined;
use crate::units::{Length, Quantity, System, count};

/// Text from input files as XML 1.0 can hold it (its production `Char`): what it cannot becomes the
/// sign for an unknown character.
pub fn legible(text: &str) -> String {
    let allowed = |letter: char| !matches!(letter, '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}');
    text.chars().map(|letter| if allowed(letter) { letter } else { '\u{fffd}' }).collect()
}

/// A text of at most so many letters, with three dots where some were left out.
pub fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}\u{2026}", kept.trim_end())
}

/// A rate without zeros that say nothing, to a hundredth.
pub fn short(rate: f64) -> String {
    let text = format!("{rate:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A distance that is kept, whole where it is.
pub fn kept(distance: Length, system: System) -> String {
    let value = distance.value_in(system);
    distance.show(system, usize::from((value - value.round()).abs() > 0.05))
}

/// Islands that joined the tier around them; none where none did.
pub fn islands(of: &Joined, system: System) -> Option<String> {
    (of.count > 0).then(|| {
        format!(
            "{} joined the more probable tier around {}, {}",
            count(of.count, "island", "islands"),
            if of.count == 1 { "it" } else { "them" },
            of.area.show(system, 2),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_end_in_dots() {
        assert_eq!(shortened("abcdef", 6), "abcdef");
        assert_eq!(shortened("abcdefg", 6), "abcde\u{2026}");
    }
}
