//! Paths as they stand in files and messages: with `/` on every system, so that the same work says
//! the same everywhere.

use std::path::{MAIN_SEPARATOR, Path};

/// A path as text. Windows takes `/` wherever it takes `\`.
#[must_use]
pub fn shown(path: impl AsRef<Path>) -> String {
    with_slashes(&path.as_ref().to_string_lossy(), MAIN_SEPARATOR)
}

/// With what a system writes between folders. The mark `\\?\`, by which Windows takes a path as it
/// is, is nothing to people.
fn with_slashes(path: &str, separator: char) -> String {
    if separator == '/' {
        return path.to_owned();
    }
    let (server, path) = match (path.strip_prefix(r"\\?\UNC\"), path.strip_prefix(r"\\?\")) {
        (Some(rest), _) => (r"\\", rest),
        (None, Some(rest)) => ("", rest),
        (None, None) => ("", path),
    };
    format!("{server}{path}").replace(separator, "/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn windows_paths_are_shown_with_slashes() {
        for (path, expected) in [
            (r"demo-farm\home-lane/boundary.shp", "demo-farm/home-lane/boundary.shp"),
            (r"C:\fields\a.csv", "C:/fields/a.csv"),
            (r"\\office\maps\a.csv", "//office/maps/a.csv"),
            (r"\\?\C:\fields\a.csv", "C:/fields/a.csv"),
            (r"\\?\UNC\office\maps\a.csv", "//office/maps/a.csv"),
        ] {
            assert_eq!(with_slashes(path, '\\'), expected);
        }
    }

    #[test]
    fn elsewhere_a_backslash_is_a_sign_like_any_other() {
        assert_eq!(with_slashes(r"fields\a.csv", '/'), r"fields\a.csv");
    }

    #[test]
    fn what_is_shown_leads_there() {
        let path = Path::new("fields").join("north").join("a.csv");
        assert_eq!(shown(&path), "fields/north/a.csv");
        assert_eq!(Path::new(&shown(&path)), path);
    }
}
