use super::{Element, Files, MAIN, ROOT, TaskDataError, find, merge_external, parse};
use crate::read::ReadError;
use crate::warning::Warning;

/// The outermost element of the main file, with what other files have of it, and what is missing;
/// `name` is what messages call the task data.
pub(in crate::read) fn root(
    name: &str,
    files: &Files,
) -> Result<(Element, Vec<Warning>), ReadError> {
    let Some((main, bytes)) = find(files, MAIN) else {
        return Err(TaskDataError::new(name, format!("found no file {MAIN}")).into());
    };
    let mut root = parse(main, bytes).map_err(|error| TaskDataError::new(name, error.reason))?;
    if root.name != ROOT {
        let reason = format!("found <{}>, expected <{ROOT}> of ISO 11783-10", root.name);
        return Err(TaskDataError::new(name, reason).into());
    }
    let mut told = Vec::new();
    merge_external(&mut root, files, &mut told);
    let warning = |reason| Warning::TaskDataIncomplete { place: name.to_owned(), reason };
    Ok((root, told.into_iter().map(warning).collect()))
}
