use std::fmt;

/// How many characters a name may have (ISO 11783-10, all designators).
pub const LONGEST_NAME: usize = 32;

/// A name that task data can hold: 1 to 32 characters, none of them a control character.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name(String);

impl Name {
    /// A name as somebody wrote it; `None` where it is none.
    #[must_use]
    pub fn new(text: &str) -> Option<Self> {
        let text = text.trim();
        let sound = !text.is_empty() && text.chars().count() <= LONGEST_NAME;
        (sound && text.chars().all(is_written)).then(|| Self(text.to_owned()))
    }

    /// As much of a text as fits.
    pub(super) fn cut(text: &str) -> Self {
        let sound = text.chars().map(|c| if is_written(c) { c } else { ' ' });
        Self(sound.take(LONGEST_NAME).collect())
    }

    /// The name.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Whether a character may stand in XML 1.0 and shows on a screen.
fn is_written(c: char) -> bool {
    !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names() {
        assert_eq!(Name::new(" Höhe 7 ").unwrap().as_str(), "Höhe 7");
        assert!(Name::new(&"ö".repeat(32)).is_some());
        for bad in ["", " ", &"ö".repeat(33), "a\u{1}b", "a\u{ffff}"] {
            assert_eq!(Name::new(bad), None, "{bad:?}");
        }
        assert_eq!(Name::cut(&"ab\u{7}".repeat(20)).as_str().chars().count(), 32);
    }
}
