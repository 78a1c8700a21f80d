//! Paths as a job file writes them: from a Windows computer or any other, meant for both.

use std::path::PathBuf;

use serde::de::{Deserialize, Deserializer, Error};

/// Reads a path.
pub(super) fn path<'de, D: Deserializer<'de>>(deserializer: D) -> Result<PathBuf, D::Error> {
    of_text(&String::deserialize(deserializer)?).map_err(D::Error::custom)
}

/// The same of one that may be absent.
pub(super) fn maybe<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Option<PathBuf>, D::Error> {
    path(deserializer).map(Some)
}

/// The same of a list.
pub(super) fn list<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<PathBuf>, D::Error> {
    let texts = Vec::<String>::deserialize(deserializer)?;
    texts.iter().map(|text| of_text(text).map_err(D::Error::custom)).collect()
}

/// The path that a text stands for.
pub(super) fn of_text(text: &str) -> Result<PathBuf, String> {
    understood(text, cfg!(windows)).map(PathBuf::from)
}

/// A path with `/` between folders. `\` is between folders on every system, so that a job can be
/// carried from one to another; a place on a drive or a server of Windows is one there alone.
fn understood(text: &str, on_windows: bool) -> Result<String, String> {
    if let Some(sign) = text.chars().find(|sign| sign.is_control()) {
        let sign = sign.escape_default();
        return Err(format!(
            "found a path with {sign} in it, expected a path such as \"fields/north.shp\"; in double quotes \\ begins a control character, so write / between folders, or put the path in single quotes"
        ));
    }
    if on_windows && text.starts_with(r"\\?\") {
        return Ok(text.to_owned());
    }
    let path = text.replace('\\', "/");
    if !on_windows && (text.starts_with(r"\\") || has_drive(&path)) {
        return Err(format!(
            "found \"{path}\", a place on a Windows computer, expected a path from this file's folder, such as \"fields/north.shp\""
        ));
    }
    Ok(path)
}

/// Whether a path starts at a drive, such as `C:/`.
fn has_drive(path: &str) -> bool {
    matches!(path.as_bytes(), [letter, b':', b'/', ..] if letter.is_ascii_alphabetic())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_slashes_are_between_folders_everywhere() {
        for on_windows in [true, false] {
            for (text, expected) in [
                ("fields/home.shp", "fields/home.shp"),
                (r"fields\home.shp", "fields/home.shp"),
                (r"..\samples\a b.csv", "../samples/a b.csv"),
                (r"fields\north/home.shp", "fields/north/home.shp"),
                ("/srv/fields/a.csv", "/srv/fields/a.csv"),
                ("a:b.csv", "a:b.csv"),
                ("", ""),
            ] {
                assert_eq!(understood(text, on_windows).as_deref(), Ok(expected));
            }
        }
    }

    #[test]
    fn drives_and_servers_are_of_windows() {
        for (text, there) in [
            (r"C:\fields\a.csv", "C:/fields/a.csv"),
            ("d:/fields/a.csv", "d:/fields/a.csv"),
            (r"\\office\maps\a.csv", "//office/maps/a.csv"),
        ] {
            assert_eq!(understood(text, true).as_deref(), Ok(there));
            let told = understood(text, false).unwrap_err();
            assert!(told.contains("a Windows computer"), "{told}");
        }
        let long = r"\\?\C:\fields\a.csv";
        assert_eq!(understood(long, true).as_deref(), Ok(long));
        assert!(understood(long, false).is_err());
    }

    /// `"fields\north.shp"` in TOML has a line feed in it.
    #[test]
    fn a_backslash_taken_for_a_control_character_is_told() {
        for on_windows in [true, false] {
            let told = understood("fields\north.shp", on_windows).unwrap_err();
            assert!(told.starts_with("found a path with \\n in it"), "{told}");
            assert!(told.contains("single quotes"), "{told}");
        }
    }
}
