//! The elements of task data: what they must have, and what they refer to.

use std::collections::BTreeSet;

use crate::read::taskdata::{Element, ROOT};

/// The most characters of a designator.
const LONGEST: usize = 32;
/// The most departures that are told of one kind.
const MOST_TOLD: usize = 20;

/// What ISO 11783-10 asks of an element: the attributes that it must have, those that are
/// designators, those that refer to other elements.
struct Rule {
    tag: &'static str,
    required: &'static str,
    designators: &'static str,
    references: &'static str,
}

const RULES: [Rule; 11] = [
    Rule { tag: "CTR", required: "AB", designators: "BC", references: "" },
    Rule { tag: "FRM", required: "AB", designators: "B", references: "I" },
    Rule { tag: "PFD", required: "ACD", designators: "BC", references: "EF" },
    Rule { tag: "PDT", required: "AB", designators: "B", references: "CD" },
    Rule { tag: "VPN", required: "ABCD", designators: "E", references: "" },
    Rule { tag: "TSK", required: "AG", designators: "B", references: "CDE" },
    Rule { tag: "TZN", required: "A", designators: "B", references: "" },
    Rule { tag: "PDV", required: "AB", designators: "", references: "CE" },
    Rule { tag: "GRD", required: "ABCDEFGI", designators: "", references: "" },
    Rule { tag: "PLN", required: "A", designators: "B", references: "" },
    Rule { tag: "LSG", required: "A", designators: "B", references: "" },
];

/// The elements that have an identifier in attribute A.
const IDENTIFIED: [&str; 6] = ["CTR", "FRM", "PFD", "PDT", "VPN", "TSK"];

/// Checks what every element has and refers to.
pub(super) fn check(root: &Element, departures: &mut Vec<String>) {
    if !matches!(root.get("VersionMajor"), Some("3" | "4")) {
        let found = root.get("VersionMajor").unwrap_or("none");
        departures.push(format!("the version (VersionMajor) is {found}, expected 3 or 4"));
    }
    for attribute in [
        "VersionMinor",
        "ManagementSoftwareManufacturer",
        "ManagementSoftwareVersion",
        "DataTransferOrigin",
    ] {
        if root.get(attribute).is_none() {
            departures.push(format!("{ROOT} has no {attribute}"));
        }
    }
    let mut identifiers: BTreeSet<&str> = BTreeSet::new();
    for element in root.children.iter().filter(|e| IDENTIFIED.contains(&e.name.as_str())) {
        let Some(identifier) = element.get("A") else { continue };
        let digits = identifier.strip_prefix(element.name.as_str()).unwrap_or("");
        let digits = digits.strip_prefix('-').unwrap_or(digits);
        let formed = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
        if !formed || identifier.len() > 14 {
            departures.push(format!(
                "the identifier \"{identifier}\" is not {0} and a number",
                element.name
            ));
        }
        if !identifiers.insert(identifier) {
            departures.push(format!("the identifier {identifier} is there twice"));
        }
    }
    let before = departures.len();
    walk(root, &identifiers, departures);
    if departures.len() > before + MOST_TOLD {
        departures.truncate(before + MOST_TOLD);
        departures
            .push("more of its elements depart from the standard; the rest is not told".into());
    }
}

fn walk(element: &Element, identifiers: &BTreeSet<&str>, departures: &mut Vec<String>) {
    if let Some(rule) = RULES.iter().find(|rule| rule.tag == element.name) {
        let name = element.get("A").map_or(String::new(), |id| format!(" {id}"));
        let place = format!("{}{name}", rule.tag);
        let each = |letters: &'static str| {
            letters.char_indices().map(|(i, c)| letters.get(i..i + c.len_utf8()).unwrap_or(""))
        };
        for attribute in each(rule.required).filter(|a| element.get(a).is_none()) {
            departures.push(format!("{place}: attribute {attribute} is missing"));
        }
        for attribute in each(rule.designators) {
            let length = element.get(attribute).map_or(0, |text| text.chars().count());
            if length > LONGEST {
                departures.push(format!(
                    "{place}: attribute {attribute} has {length} characters, expected at most {LONGEST}"
                ));
            }
        }
        for attribute in each(rule.references) {
            if let Some(missing) = element.get(attribute).filter(|id| !identifiers.contains(id)) {
                departures.push(format!(
                    "{place}: attribute {attribute} is {missing}, which there is none of"
                ));
            }
        }
    }
    for child in &element.children {
        walk(child, identifiers, departures);
    }
}
