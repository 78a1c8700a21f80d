//! What is wrong with a TOML file: on which line, and for which known key an unknown one may stand.

/// The line of a fault, from 1, and what was found and expected there.
#[must_use]
pub fn told(text: &str, error: &toml::de::Error) -> (usize, String) {
    let start = error.span().map_or(0, |span| span.start);
    let line = 1 + text.bytes().take(start).filter(|byte| *byte == b'\n').count();
    let message = error.message().trim();
    let reason = match unknown_key(message) {
        None => message.replace('\n', "; "),
        Some((key, known)) => format!(
            "found unknown key \"{key}\"{}; known keys here: {}",
            nearest(key, &known)
                .map_or_else(String::new, |known| format!(", did you mean \"{known}\"?")),
            known.join(", ")
        ),
    };
    (line, reason)
}

/// The known word that a written one is nearest to, if no more than a third of its letters are
/// wrong.
fn nearest<'a>(written: &str, known: &[&'a str]) -> Option<&'a str> {
    let distances = known.iter().map(|word| (strsim::osa_distance(written, word), *word));
    let (distance, word) = distances.min()?;
    (distance * 3 <= written.chars().count()).then_some(word)
}

/// The key and the known ones of serde's message: ``unknown field `a`, expected one of `b`, `c` ``.
fn unknown_key(message: &str) -> Option<(&str, Vec<&str>)> {
    let rest = message.strip_prefix("unknown field `")?;
    let (key, rest) = rest.split_once('`')?;
    Some((key, rest.split('`').skip(1).step_by(2).collect()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_really_near_is_meant() {
        let near = |written| nearest(written, &["file", "distance", "crs", "power", "swath"]);
        assert_eq!(near("pwer"), Some("power"), "one of four letters");
        assert_eq!(near("swtah"), Some("swath"), "two letters changed places");
        assert_eq!(near("distanec"), Some("distance"));
        assert_eq!(near("fle"), Some("file"), "one of three letters");
        assert_eq!(near("fl"), None, "two letters wrong of two");
        assert_eq!(near("dist"), None, "as near to crs as to distance, and to neither");
        assert_eq!(near("bower"), Some("power"));
        assert_eq!(near("tower2"), Some("power"), "two of six letters");
        assert_eq!(near("towel"), None, "two of five letters");
        assert_eq!(nearest("a", &[]), None);
    }
}
