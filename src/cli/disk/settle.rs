//! Ending a replacement, at whatever point it is.

use std::io;
use std::path::{Path, PathBuf};

use super::change;
use super::content::{Content, Ours, carry, clear, stands};
use super::{Failure, fault, judge};
use crate::cli::standard_error::say;
use landplaster::path_text::shown;

/// Leaves nothing beside the target, and in it what is the user's: what the fresh folder, or the one
/// set aside, has of it goes back there. The rest of them is no longer needed, whether it is new and
/// unfinished or old.
pub fn settle(fresh: &Path, target: &Path, ours: Ours) -> Result<(), Failure> {
    let aside = aside(fresh);
    for left in [&aside, fresh] {
        judge::is_folder(left)?;
    }
    if stands(&aside) && !stands(target) {
        change::rename(&aside, target).map_err(|error| fault(target, &error))?;
    }
    for left in [&aside, fresh] {
        give_back(left, target, ours).and_then(|()| clear(left, ours)).map_err(|error| {
            let left = shown(left);
            Failure::Write(format!(
                "{left}: is left of an earlier run and cannot be cleared away ({error}); remove it once nothing of yours is in it"
            ))
        })?;
    }
    Ok(())
}

/// The place of an old folder while a new one takes its own, where that takes two steps.
pub fn aside(fresh: &Path) -> PathBuf {
    fresh.with_extension("old")
}

fn give_back(left: &Path, target: &Path, ours: Ours) -> io::Result<()> {
    for path in Content::of(left, ours)?.own {
        if !stands(&target.join(&path)) {
            carry(&path, left, target)?;
            continue;
        }
        // The user made another since: both are kept.
        let is_free = |other: &PathBuf| !stands(&target.join(other)) && !stands(&left.join(other));
        let Some(free) = (1..u32::MAX).map(|number| numbered(&path, number)).find(is_free) else {
            continue;
        };
        change::rename(&left.join(&path), &left.join(&free))?;
        carry(&free, left, target)?;
        let (kept, other) = (target.join(&free), target.join(&path));
        say(format_args!(
            "warning: {}: this file of yours an earlier run had not put back yet; there is another one as {}",
            shown(&kept),
            shown(&other)
        ));
    }
    Ok(())
}

fn numbered(path: &Path, number: u32) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(format!(".{number}"));
    name.into()
}
