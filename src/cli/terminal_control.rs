//! Signs in text from files that steer a terminal: colors, titles, moving over what stands there, and
//! turning around the direction of reading.

use std::borrow::Cow;

/// Whether a sign steers a terminal: the control signs of ASCII and Latin 1 but for tab and line feed,
/// and those that overrule the direction of text (Unicode Standard Annex 9, section 2).
fn steers(sign: char) -> bool {
    let allowed = sign == '\n' || sign == '\t';
    let overrules = matches!(sign, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    overrules || sign.is_control() && !allowed
}

/// Text for people: the sign for an unknown character stands for each that steers.
pub fn taken_out(text: &str) -> Cow<'_, str> {
    instead(text, |_| "\u{fffd}".to_owned())
}

/// JSON, where all such signs stand in strings: it says the same afterwards.
pub fn written_out(json: &str) -> Cow<'_, str> {
    instead(json, |sign| format!("\\u{:04x}", u32::from(sign)))
}

fn instead(text: &str, sign: impl Fn(char) -> String) -> Cow<'_, str> {
    if !text.contains(steers) {
        return Cow::Borrowed(text);
    }
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        if steers(letter) {
            safe.push_str(&sign(letter));
        } else {
            safe.push(letter);
        }
    }
    Cow::Owned(safe)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_steers_goes() {
        let plain = "näme\t1 ≤ 2, שלום\n";
        assert_eq!(taken_out(plain), plain);
        for steering in ["\u{1b}", "\r", "\u{8}", "\u{7f}", "\u{9b}", "\u{202e}", "\u{2066}"] {
            assert_eq!(taken_out(&format!("a{steering}b")), "a\u{fffd}b");
        }
        let json = serde_json::to_string("\u{9b}31m \u{202e}\u{7f}\u{1b}").unwrap();
        let written = written_out(&json);
        assert_eq!(written, r#""\u009b31m \u202e\u007f\u001b""#);
        assert_eq!(
            serde_json::from_str::<String>(&written).unwrap(),
            "\u{9b}31m \u{202e}\u{7f}\u{1b}"
        );
    }
}
