//! The bill of materials: what is in the program, in `CycloneDX` 1.5 (ECMA-424) as JSON.

use std::process::Command;

use serde_json::{Value, json};

use crate::Fault;
use crate::packages::Package;
use crate::platform::Library;
use crate::process;

/// What C and C++ bring, by the crate that carries its source.
pub const CARRIED: [(&str, &str, &str, &str); 3] = [
    ("proj-sys", "PROJ", "9.6.2", "MIT"),
    ("libsqlite3-sys", "SQLite", "as bundled", "blessing"),
    ("libmimalloc-sys", "mimalloc", "as bundled", "MIT"),
];

/// The file's text.
pub fn of_materials(
    packages: &[Package],
    version: &str,
    libraries: &[Library],
) -> Result<String, Fault> {
    let mut components: Vec<Value> = Vec::new();
    for package in packages.iter().filter(|package| package.source.is_some()) {
        let Package { name, version, license, .. } = package;
        let purl = format!("pkg:cargo/{name}@{version}");
        components.push(json!({
            "type": "library", "bom-ref": purl, "name": name, "version": version,
            "licenses": [{ "expression": license.replace('/', " OR ") }], "purl": purl,
        }));
        for (_, name, version, license) in CARRIED.iter().filter(|(by, ..)| by == name) {
            components.push(json!({
                "type": "library", "name": name, "version": version,
                "licenses": [{ "license": { "id": license } }],
            }));
        }
    }
    for Library { name, package, license } in libraries {
        let mut debian = Command::new("dpkg-query");
        let version = process::said(debian.args(["--show", "--showformat=${Version}", package]))?;
        components.push(json!({
            "type": "library", "name": name, "version": version.trim(),
            "licenses": [{ "expression": license }],
        }));
    }
    let purl = format!("pkg:cargo/landplaster@{version}");
    let bill = json!({
        "bomFormat": "CycloneDX", "specVersion": "1.5", "version": 1,
        "metadata": { "component": {
            "type": "application", "bom-ref": purl, "name": "landplaster", "version": version,
            "licenses": [{ "license": { "id": "MIT" } }],
        } },
        "components": components,
    });
    Ok(format!("{}\n", serde_json::to_string_pretty(&bill)?))
}
