//! The files that `landplaster start` writes, and what a look into a folder says.

use std::fmt::Write as _;
use std::path::Path;

use crate::folder_contents::FolderContents;
use crate::path_text::shown;
use crate::read::FileLook;
use crate::units::count;

/// A commented job file of what was seen; none without a boundary and samples.
#[must_use]
pub fn job(seen: &FolderContents, file: &str) -> Option<String> {
    let (boundary, areas) = seen.boundary.as_ref()?;
    let (samples, _) = seen.samples.as_ref()?;
    let mut text = head("Plan it", file);
    line(&mut text, boundary, areas);
    if areas.fields.len() > 1 {
        let listed: Vec<&str> = areas.fields.iter().map(|field| field.name.as_str()).collect();
        let _ = writeln!(text, "# Put in the field that is meant: {}.", listed.join(", "));
        let _ = writeln!(text, "boundary = {{ file = {}, field = \"\" }}", quoted(boundary));
    } else {
        let _ = writeln!(text, "boundary = {}", quoted(boundary));
    }
    inputs(&mut text, seen, samples);
    text.push_str(SETTINGS);
    layers(&mut text, seen);
    Some(text)
}

/// A commented farm file of what was seen; none without boundaries and samples, or jobs.
#[must_use]
pub fn farm(seen: &FolderContents, name: &str, file: &str) -> Option<String> {
    let fields = seen.boundary.as_ref().zip(seen.samples.as_ref());
    if fields.is_none() && seen.jobs.is_empty() {
        return None;
    }
    let mut text = head("Plan all of its fields", file);
    let _ = writeln!(text, "farm = {}", quoted(Path::new(name)));
    if let Some(((boundary, areas), (samples, _))) = fields {
        line(&mut text, boundary, areas);
        let names = areas.names.as_deref().unwrap_or_default();
        let _ = writeln!(text, "# The fields are called as its column \"{names}\" says.");
        let _ = writeln!(
            text,
            "boundaries = {{ file = {}, names = {} }}",
            quoted(boundary),
            quoted(Path::new(names))
        );
        text.push_str("\n# The samples of all fields: each is of the field that it lies in, unless a column says the\n# field (field_column = \"Field\" in the table of samples).\n");
        inputs(&mut text, seen, samples);
    } else {
        let jobs: Vec<String> = seen.jobs.iter().map(|job| quoted(job)).collect();
        let _ = writeln!(text, "jobs = [{}]", jobs.join(", "));
    }
    text.push_str(SETTINGS);
    layers(&mut text, seen);
    Some(text)
}

/// What was seen, a line for each file.
#[must_use]
pub fn seen(seen: &FolderContents) -> String {
    let mut lines = Vec::new();
    let mut add = |path: &Path, what: String| lines.push(format!("  {}: {what}", shown(path)));
    seen.jobs.iter().for_each(|job| add(job, "a job or farm file".to_owned()));
    for (role, file) in [
        ("the boundary", &seen.boundary),
        ("the samples", &seen.samples),
        ("the laboratory's results", &seen.laboratory),
    ] {
        if let Some((path, look)) = file {
            add(path, format!("{role}: {}", told(look)));
        }
    }
    seen.layers
        .iter()
        .for_each(|(path, look)| add(path, format!("perhaps to keep out: {}", told(look))));
    seen.others.iter().for_each(|(path, why)| add(path, why.clone()));
    lines.join("\n")
}

/// What is missing for a plan.
#[must_use]
pub fn missing(seen: &FolderContents) -> Option<String> {
    let mut wanted = Vec::new();
    if seen.boundary.is_none() {
        wanted.push("a boundary (shapefile, KML, GeoPackage, GeoJSON)");
    }
    match &seen.samples {
        None => wanted.push("samples with their positions (CSV, spreadsheet, or points of a map)"),
        Some((_, look)) if look.cec.is_none() && seen.laboratory.is_none() => {
            wanted.push("the laboratory's results with the CEC");
        }
        Some(_) => {}
    }
    (!wanted.is_empty()).then(|| format!("Missing: {}.", wanted.join(", and ")))
}

/// A path as it is typed into a shell.
#[must_use]
pub fn shell(path: &Path) -> String {
    let text = shown(path);
    let plain = |c: char| c.is_alphanumeric() || "/._-".contains(c);
    if text.chars().all(plain) {
        text
    } else if cfg!(windows) {
        // Where a name has no such quote in it.
        format!("\"{text}\"")
    } else {
        format!("'{}'", text.replace('\'', "'\\''"))
    }
}

/// What to type to plan what was seen.
#[must_use]
pub fn commands(seen: &FolderContents) -> String {
    let mut lines: Vec<String> =
        seen.jobs.iter().map(|job| format!("  landplaster plan {}", shell(job))).collect();
    if let (Some((boundary, areas)), Some((samples, _))) = (&seen.boundary, &seen.samples) {
        let key = if areas.fields.len() > 1 { "boundaries" } else { "boundary" };
        let mut command =
            format!("  landplaster plan --{key} {} --samples {}", shell(boundary), shell(samples));
        if let Some((laboratory, _)) = &seen.laboratory {
            let _ = write!(command, " --laboratory {}", shell(laboratory));
        }
        lines.push(command);
        let farm = if areas.fields.len() > 1 { " --farm" } else { "" };
        lines.push(format!(
            "or, to write these into a file that you can change:\n  landplaster start{farm}"
        ));
    }
    lines.join("\n")
}

fn head(what: &str, file: &str) -> String {
    format!(
        "# {what}: landplaster plan {}\n# Paths are from this file. Every key: docs/reference.md\n\n",
        shell(Path::new(file))
    )
}

/// What a file holds, as a comment.
fn line(text: &mut String, path: &Path, look: &FileLook) {
    let _ = writeln!(text, "# {}: {}.", shown(path), told(look));
}

fn inputs(text: &mut String, seen: &FolderContents, samples: &Path) {
    for (key, path, look) in [("samples", &seen.samples), ("laboratory", &seen.laboratory)]
        .into_iter()
        .filter_map(|(key, file)| file.as_ref().map(|(path, look)| (key, path, look)))
    {
        line(text, path, look);
        if let Some(Err(why)) = &look.cec {
            let _ = writeln!(text, "# {}", why.replace('\n', " "));
            let _ = writeln!(text, "{key} = {{ file = {}, cec = \"\" }}", quoted(path));
        } else if look.without_places.is_some() && path == samples {
            let _ = writeln!(text, "{key} = {{ file = {}, crs = \"\" }}", quoted(path));
        } else {
            let _ = writeln!(text, "{key} = {}", quoted(path));
        }
    }
}

fn layers(text: &mut String, seen: &FolderContents) {
    for (path, look) in &seen.layers {
        let why = path.file_stem().unwrap_or_default().to_string_lossy();
        text.push('\n');
        line(text, path, look);
        let _ = writeln!(
            text,
            "# [[keep_out]]\n# file = {}\n# distance = \"35 ft\"\n# why = {}",
            quoted(path),
            quoted(Path::new(why.as_ref()))
        );
    }
    if seen.layers.is_empty() {
        text.push_str(
            "\n# [[keep_out]]\n# file = \"pond.kml\"\n# distance = \"35 ft\"\n# why = \"pond\"\n",
        );
    }
}

/// What a file holds, in words.
#[must_use]
pub fn told(look: &FileLook) -> String {
    let mut parts = Vec::new();
    match look.fields.as_slice() {
        [] => {}
        [one] if one.name.is_empty() => parts.push("one field".to_owned()),
        [one] => parts.push(format!("one field, {}", one.name)),
        several => parts.push(format!("{} fields", several.len())),
    }
    let counted = [(look.points, "point", "points"), (look.lines, "line", "lines")];
    parts.extend(
        counted.into_iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| count(n, one, many)),
    );
    if look.rows > 0 && look.points == 0 {
        parts.push(count(look.rows, "row", "rows"));
    }
    match &look.cec {
        Some(Ok(column)) => parts.push(format!("CEC in \"{column}\"")),
        Some(Err(_)) => parts.push("several columns may be the CEC".to_owned()),
        None => {}
    }
    parts.extend(look.crs.iter().map(|crs| format!("places in {crs}")));
    parts.extend(look.without_places.clone());
    parts.join(", ").replace('\n', " ")
}

/// A path as TOML.
fn quoted(path: &Path) -> String {
    toml::Value::from(path.to_string_lossy().into_owned()).to_string()
}

/// The usual tiers, as they are without them, and what is most often said besides.
const SETTINGS: &str = "
# How much goes on which CEC (meq/100 g): the usual tiers (common practice, no source). Change them to
# what your adviser says.
[[tier]]
under = 10
rate = \"0.5 ton/ac\"

[[tier]]
from = 10
to = 15
rate = \"1 ton/ac\"

[[tier]]
over = 15
rate = \"2 ton/ac\"

# What the order is made by. Take the \"#\" off what you need.
# [order]
# loss = \"2 %\"
# margin = \"3 %\"
# delivery = \"24 ton\"

# What nothing is spread near: ponds, ditches, wells. No legal distance is built in; check your rules.
";
