use std::collections::BTreeSet;

use super::{Element, Files, find, parse};

/// The outermost element of a further file.
const EXTERNAL: &str = "XFC";

/// Adds what stands in further files (XFR). A name that is not of the standard's form is not
/// followed; that and whatever else stands in the way is `told`.
pub fn merge_external(root: &mut Element, files: &Files, told: &mut Vec<String>) {
    let references: Vec<String> =
        root.all("XFR").map(|reference| reference.get("A").unwrap_or("").to_owned()).collect();
    let mut seen = BTreeSet::new();
    for name in references {
        let (letters, digits) = name.split_at_checked(3).unwrap_or(("", ""));
        let capitals = letters.bytes().all(|byte| byte.is_ascii_uppercase());
        let numbers = digits.len() == 5 && digits.bytes().all(|byte| byte.is_ascii_digit());
        if letters.is_empty() || !capitals || !numbers {
            told.push(format!(
                "a further file is called {name:?}, expected three capitals and five digits; it is not looked for"
            ));
            continue;
        }
        if !seen.insert(name.clone()) {
            told.push(format!("the further file {name}.XML is named twice"));
            continue;
        }
        let Some((found, bytes)) = find(files, &format!("{name}.XML")) else {
            told.push(format!("there is no file {name}.XML"));
            continue;
        };
        match parse(found, bytes) {
            Ok(content) => {
                if content.name != EXTERNAL {
                    told.push(format!("{found}: found <{}>, expected <{EXTERNAL}>", content.name));
                }
                root.children.extend(content.children);
            }
            Err(error) => told.push(error.to_string()),
        }
    }
}
