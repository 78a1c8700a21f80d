//! Names that files and folders can have on every common system, for they are carried from one to
//! another.

/// Names that Windows keeps for devices, whatever ending follows (Microsoft, "Naming Files, Paths,
/// and Namespaces"); with a digit after them those of ports.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "conin$", "conout$"];
const PORTS: [&str; 2] = ["com", "lpt"];
/// What Windows counts as digits there.
const DIGITS: &str = "0123456789¹²³";
/// The most bytes of a name: every common system takes 255 bytes, or as many or more letters. Five
/// are for what stands beside a folder while it is replaced.
const LONGEST: usize = 250;

/// Why a file or folder cannot have a name on every system; `None` where it can. A dot in front is
/// for what the program itself puts aside.
#[must_use]
pub fn fault(name: &str) -> Option<&'static str> {
    if name.trim().is_empty() {
        Some("which is none")
    } else if name.len() > LONGEST {
        Some("which has more than 250 bytes")
    } else if name.contains(is_refused) {
        Some("which has one of < > : \" / \\ | ? * or a control character")
    } else if name.starts_with('.') {
        Some("which begins with a dot")
    } else if name.ends_with(['.', ' ']) {
        Some("which ends with a dot or a space, which Windows drops")
    } else if is_device(name) {
        Some("which Windows keeps for a device")
    } else {
        None
    }
}

/// The nearest name that is one: "N 1/2" gives "N 1-2", "Aux" gives "field Aux".
#[must_use]
pub fn fit(name: &str) -> String {
    let plain = name.trim().trim_start_matches('.').trim_end_matches(['.', ' ']);
    let plain = plain.replace(is_refused, "-");
    if is_device(&plain) { format!("field {plain}") } else { plain }
}

fn is_refused(sign: char) -> bool {
    matches!(sign, '<' | '>' | ':' | '"' | '/' | '\\' | '|' | '?' | '*') || sign.is_control()
}

fn is_device(name: &str) -> bool {
    let before_ending = name.split('.').next().unwrap_or("").trim_end().to_lowercase();
    let mut signs = before_ending.chars();
    let is_digit = signs.next_back().is_some_and(|last| DIGITS.contains(last));
    DEVICES.contains(&before_ending.as_str()) || is_digit && PORTS.contains(&signs.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The names that Microsoft lists, and some that are like them.
    #[test]
    fn names_that_windows_cannot_have() {
        for name in [
            "CON",
            "con",
            "PRN",
            "aux",
            "Aux.csv",
            "NUL",
            "nul.tar.gz",
            "COM1",
            "com9.txt",
            "LPT1",
            "lpt¹",
            "COM0",
            "CONIN$",
            "aux .csv",
            "a<b",
            "a>b",
            "N: 1",
            "a\"b",
            "a|b",
            "why?",
            "a*",
            "a/b",
            "a\\b",
            "a.",
            "a ",
            "a\tb",
            "",
            " ",
            ".",
            "..",
            ".a",
        ] {
            assert!(fault(name).is_some(), "{name:?}");
        }
        assert_eq!(fault(&"a".repeat(251)), Some("which has more than 250 bytes"));
    }

    #[test]
    fn names_that_every_system_can_have() {
        for name in [
            "home-lane",
            "Häberli",
            "North 40, west",
            "console",
            "auxiliary.csv",
            "com",
            "COM10",
            "lpt",
            "a.b",
            "nulls",
            "a 'b' #1 & c (2) %",
            "圃場",
        ] {
            assert_eq!(fault(name), None, "{name:?}");
            assert_eq!(fit(name), name);
        }
        assert_eq!(fault(&"a".repeat(250)), None);
    }

    #[test]
    fn what_is_made_fit_is_fit() {
        for (name, expected) in
            [("N 1/2", "N 1-2"), (" .a. ", "a"), ("aux", "field aux"), ("a: \"b\"", "a- -b-")]
        {
            assert_eq!(fit(name), expected);
            assert_eq!(fault(expected), None);
        }
    }
}
