use crate::soil::TierError;
use crate::surface::SurfaceError;

/// What is wrong with a job file, with its name, the line, and what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum JobError {
    /// It cannot be read as a job.
    #[error("{file}, line {line}: {reason}")]
    Line {
        /// The job file.
        file: String,
        /// The line, from 1.
        line: usize,
        /// What was found and expected.
        reason: String,
    },
    /// A key stands for something that does not exist.
    #[error("{file}, line {line}: found unknown key \"{key}\"{nearest}; known keys here: {known}")]
    UnknownKey {
        /// The job file.
        file: String,
        /// The line, from 1.
        line: usize,
        /// The key.
        key: String,
        /// `, did you mean "…"?` or nothing.
        nearest: String,
        /// The keys that there are.
        known: String,
    },
    /// Some quantities are in US customary units, some in metric ones.
    #[error(
        "{file}: found quantities in both US customary and metric units; add units = \"us\" or units = \"metric\" to say which to print in"
    )]
    MixedUnits {
        /// The job file.
        file: String,
    },
    /// A setting is out of range or lacks another one.
    #[error("{file}, {setting}: found {found}, expected {expected}")]
    Setting {
        /// The job file.
        file: String,
        /// The setting's key.
        setting: String,
        /// What was found.
        found: String,
        /// What was expected.
        expected: String,
    },
    /// A setting has no meaning beside another one.
    #[error("{file}, {setting}: found a setting that does not apply {when}; remove it")]
    NotApplied {
        /// The job file.
        file: String,
        /// The setting's key.
        setting: &'static str,
        /// The other one.
        when: &'static str,
    },
    /// The name cannot be a folder's.
    #[error(
        "{file}, name: found {name:?}, expected a name that a folder can have: at most 250 bytes, no / or \\ and not . or .."
    )]
    Name {
        /// The job file.
        file: String,
        /// The name.
        name: String,
    },
    /// Two jobs of a farm, or a job and the farm, would write the same folder.
    #[error(
        "{first} and {second}: found the name {name:?} twice, expected each name once, as each has a folder of that name; set another name in one of them"
    )]
    SameName {
        /// The one's file.
        first: String,
        /// The other's.
        second: String,
        /// The name.
        name: String,
    },
    /// The tiers do not cover every CEC once.
    #[error("{file}, {error}")]
    Tiers {
        /// The job file.
        file: String,
        /// What is wrong with them.
        error: TierError,
    },
    /// The surface's settings make no surface.
    #[error("{file}, [surface] {error}")]
    Surface {
        /// The job file.
        file: String,
        /// What is wrong with them.
        error: SurfaceError,
    },
}

impl JobError {
    /// Puts a TOML fault on its line, and an unknown key beside the known ones.
    pub(super) fn toml(file: &str, text: &str, error: &toml::de::Error) -> Self {
        let start = error.span().map_or(0, |span| span.start);
        let before = text.get(..start.min(text.len())).unwrap_or("");
        let line = before.matches('\n').count() + 1;
        let file = file.to_owned();
        let message = error.message().trim();
        let Some((key, known)) = unknown_key(message) else {
            return Self::Line { file, line, reason: message.replace('\n', "; ") };
        };
        let nearest = known
            .iter()
            .map(|candidate| (strsim::osa_distance(key, candidate), candidate))
            .min()
            .filter(|(distance, _)| *distance <= 3)
            .map_or_else(String::new, |(_, candidate)| format!(", did you mean \"{candidate}\"?"));
        Self::UnknownKey { file, line, key: key.to_owned(), nearest, known: known.join(", ") }
    }
}

/// The key and the known ones of serde's message: ``unknown field `a`, expected one of `b`, `c` ``.
fn unknown_key(message: &str) -> Option<(&str, Vec<&str>)> {
    let rest = message.strip_prefix("unknown field `")?;
    let (key, rest) = rest.split_once('`')?;
    Some((key, rest.split('`').skip(1).step_by(2).collect()))
}
