use std::collections::BTreeMap;
use std::fs;
#[cfg(unix)]
use std::os::unix::fs::{MetadataExt, chown, symlink};

use tempfile::TempDir;

use super::Ours;
use super::change::{End, counted};
use super::*;

/// Every file by its path, with what it says; a link says where it leads.
type Tree = BTreeMap<String, String>;

fn tree(folder: &Path) -> Tree {
    let mut tree = Tree::new();
    for entry in fs::read_dir(folder).into_iter().flatten() {
        let entry = entry.unwrap();
        let name = entry.file_name().to_string_lossy().into_owned();
        let kind = entry.file_type().unwrap();
        if kind.is_dir() {
            let inner = super::tests::tree(&entry.path());
            tree.extend(inner.into_iter().map(|(path, says)| (format!("{name}/{path}"), says)));
        } else if kind.is_symlink() {
            tree.insert(name, fs::read_link(entry.path()).unwrap().display().to_string());
        } else {
            tree.insert(name, fs::read_to_string(entry.path()).unwrap());
        }
    }
    tree
}

fn of(files: &[(&str, &str)]) -> Tree {
    files.iter().map(|(path, says)| ((*path).to_owned(), (*says).to_owned())).collect()
}

fn both(a: &Tree, b: &Tree) -> Tree {
    a.clone().into_iter().chain(b.clone()).collect()
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn put(folder: &Path, tree: &Tree) {
    for (path, says) in tree {
        let path = folder.join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, says).unwrap();
    }
}

fn files(tree: &Tree) -> Vec<OutputFile> {
    let file = |(name, says): (&String, &String)| OutputFile {
        name: name.clone(),
        bytes: says.clone().into_bytes(),
    };
    tree.iter().map(file).collect()
}

/// What an earlier run wrote, what a run writes now, and what is the user's own.
struct Case {
    old: Tree,
    new: Tree,
    own: Tree,
    exchange: bool,
}

impl Case {
    fn all() -> Vec<Self> {
        let old = of(&[
            ("totals.csv", "old"),
            ("zones.kml", "old"),
            ("TASKDATA/TASKDATA.XML", "old"),
            ("TASKDATA/GRD00000.bin", "old"),
        ]);
        let new = of(&[("totals.csv", "new"), ("TASKDATA/TASKDATA.XML", "new")]);
        let plain = of(&[("totals.csv", "new"), ("zones.geojson", "new")]);
        let own = of(&[
            ("notes.txt", "mine"),
            ("photos/a.txt", "mine"),
            ("TASKDATA/TLG00001.bin", "mine"),
        ]);
        let mut cases = Vec::new();
        for exchange in [true, false] {
            for (old, own) in
                [(Tree::new(), Tree::new()), (old.clone(), Tree::new()), (old.clone(), own.clone())]
            {
                for new in [&new, &plain] {
                    let (old, new, own) = (old.clone(), new.clone(), own.clone());
                    cases.push(Self { old, new, own, exchange });
                }
            }
        }
        cases
    }

    /// A folder as it is before the run.
    fn folder(&self) -> TempDir {
        let folder = tempfile::tempdir().unwrap();
        put(&folder.path().join("job"), &self.old);
        put(&folder.path().join("job"), &self.own);
        folder
    }

    fn run(
        &self,
        folder: &Path,
        end: Option<(usize, End)>,
    ) -> (Option<Result<PathBuf, Failure>>, usize) {
        let out = OutputFolder::open(folder).unwrap();
        counted(end, self.exchange, || out.replace("job", &files(&self.new)))
    }

    /// How many changes a whole run makes.
    fn changes(&self) -> usize {
        let folder = self.folder();
        let (done, changes) = self.run(folder.path(), None);
        done.unwrap().unwrap();
        assert_eq!(tree(&folder.path().join("job")), both(&self.new, &self.own));
        assert_eq!(names(folder.path()), [".landplaster.lock", "job"]);
        changes
    }

    /// Whatever happened: the old files or the new ones, whole, and each file of the user's once.
    fn is_whole(&self, folder: &Path, what: &str) {
        let target = tree(&folder.join("job"));
        let ours: Tree =
            target.into_iter().filter(|(path, _)| !self.own.contains_key(path)).collect();
        // Where folders cannot be exchanged, neither stands for a moment.
        let exchanged = self.exchange && cfg!(target_os = "linux");
        let between = !exchanged && ours.is_empty() && folder.join(".job.old").exists();
        assert!(ours == self.old || ours == self.new || between, "{what}: {ours:?}");
        for (path, says) in &self.own {
            let places = ["job", ".job.new", ".job.old"].map(|place| folder.join(place).join(path));
            let found: Vec<_> = places.iter().flat_map(fs::read_to_string).collect();
            assert_eq!(found, [says.as_str()], "{what}: {path}");
        }
    }

    /// The next run finds nothing in its way.
    fn goes_on(&self, folder: &Path, what: &str) {
        let target = OutputFolder::open(folder).unwrap().settled("job").unwrap();
        let settled = tree(&target);
        let (old, new) = (both(&self.old, &self.own), both(&self.new, &self.own));
        assert!(settled == old || settled == new, "{what}: {settled:?}");
        let left = if settled.is_empty() { &names(folder)[1..] } else { &names(folder)[2..] };
        assert_eq!(left, [""; 0], "{what}");
        self.run(folder, None).0.unwrap().unwrap();
        assert_eq!(tree(&target), new, "{what}");
        assert_eq!(names(folder), [".landplaster.lock", "job"], "{what}");
    }
}

#[test]
fn a_run_killed_before_any_change_leaves_the_old_or_the_new() {
    let mut kills = 0;
    for (number, case) in Case::all().iter().enumerate() {
        for at in 0..case.changes() {
            let what = format!("case {number}, before change {at}");
            let folder = case.folder();
            let (done, _) = case.run(folder.path(), Some((at, End::Kill)));
            assert!(done.is_none(), "{what}");
            case.is_whole(folder.path(), &what);
            // The next run is killed as well, while it settles what the first one left.
            for again in 0..4 {
                let _ = case.run(folder.path(), Some((again, End::Kill)));
                case.is_whole(folder.path(), &format!("{what}, then {again}"));
            }
            case.goes_on(folder.path(), &what);
            kills += 1;
        }
    }
    assert!(kills > 100, "{kills}");
}

#[test]
fn a_change_that_fails_changes_nothing_or_is_past_mattering() {
    for (number, case) in Case::all().iter().enumerate() {
        let (old, new) = (both(&case.old, &case.own), both(&case.new, &case.own));
        for at in 0..case.changes() {
            let what = format!("case {number}, change {at}");
            let folder = case.folder();
            let (done, _) = case.run(folder.path(), Some((at, End::Fail)));
            let target = tree(&folder.path().join("job"));
            match done.unwrap() {
                Err(failure) => {
                    assert!(failure.to_string().contains("made to fail"), "{what}: {failure}");
                    assert_eq!(target, old, "{what}");
                    let left = if old.is_empty() { 1 } else { 2 };
                    assert_eq!(names(folder.path()).len(), left, "{what}");
                }
                Ok(_) => assert_eq!(target, new, "{what}"),
            }
            case.goes_on(folder.path(), &what);
        }
    }
}

#[test]
fn a_disk_that_takes_nothing_more_loses_nothing() {
    for (number, case) in Case::all().iter().enumerate() {
        for at in 0..case.changes() {
            let what = format!("case {number}, from change {at}");
            let folder = case.folder();
            let _ = case.run(folder.path(), Some((at, End::FailAll)));
            case.is_whole(folder.path(), &what);
            case.goes_on(folder.path(), &what);
        }
    }
}

#[cfg(unix)]
/// What stands in the way is told, nothing is changed, and once it is away the run works.
fn refused(make: impl Fn(&Path), away: &str, told: &str) {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("elsewhere")).unwrap();
    fs::write(folder.path().join("elsewhere/victim"), "mine").unwrap();
    make(folder.path());
    let before = tree(folder.path());
    let new = of(&[("totals.csv", "new"), ("TASKDATA/TASKDATA.XML", "new")]);
    let replace = || {
        replace(folder.path(), "job", &files(&new), Ours::PLAN).map_err(|error| error.to_string())
    };
    for _ in 0..2 {
        let said = replace().unwrap_err();
        let place = folder.path().join(away).display().to_string();
        assert_eq!(said, format!("{place}: {told}"));
        assert_eq!(tree(folder.path()), both(&before, &of(&[(".landplaster.lock", "")])));
    }
    fs::rename(folder.path().join(away), folder.path().join("away")).unwrap();
    replace().unwrap();
    assert!(tree(&folder.path().join("job")).contains_key("totals.csv"));
    assert_eq!(fs::read_to_string(folder.path().join("elsewhere/victim")).unwrap(), "mine");
}

#[cfg(unix)]
const MOVE: &str = "move it away, or choose another folder with --out";

#[test]
#[cfg(unix)]
fn what_is_no_folder_of_ours_is_refused() {
    let link = format!("found a link, expected a folder or nothing; {MOVE}");
    refused(|at| symlink(at.join("elsewhere"), at.join("job")).unwrap(), "job", &link);
    refused(|at| symlink("nowhere", at.join("job")).unwrap(), "job", &link);
    refused(|at| symlink(at.join("elsewhere"), at.join(".job.new")).unwrap(), ".job.new", &link);
    let file = format!("found a file, expected a folder or nothing; {MOVE}");
    refused(|at| fs::write(at.join("job"), "mine").unwrap(), "job", &file);
    refused(|at| fs::write(at.join(".job.new"), "mine").unwrap(), ".job.new", &file);
    refused(|at| fs::write(at.join(".job.old"), "mine").unwrap(), ".job.old", &file);
}

#[test]
#[cfg(unix)]
fn what_has_one_of_our_names_and_is_not_ours_is_refused() {
    let folder = format!("found a folder, expected landplaster's own file; {MOVE}");
    let make = |at: &Path| put(&at.join("job"), &of(&[("totals.csv/mine.txt", "mine")]));
    refused(make, "job/totals.csv", &folder);
    let link = format!("found a link, expected landplaster's own folder; {MOVE}");
    let make = |at: &Path| {
        fs::create_dir(at.join("job")).unwrap();
        symlink(at.join("elsewhere"), at.join("job/TASKDATA")).unwrap();
    };
    refused(make, "job/TASKDATA", &link);
    let link = format!("found a link, expected landplaster's own file; {MOVE}");
    let make = |at: &Path| {
        fs::create_dir_all(at.join("job/TASKDATA")).unwrap();
        symlink(at.join("elsewhere/victim"), at.join("job/TASKDATA/TASKDATA.XML")).unwrap();
    };
    refused(make, "job/TASKDATA/TASKDATA.XML", &link);
}

/// Only root can give a folder to somebody else; as anybody else there is nothing to test with.
#[test]
#[cfg(unix)]
fn a_folder_of_another_user_is_refused() {
    if tempfile::tempdir().unwrap().path().metadata().unwrap().uid() != 0 {
        return;
    }
    let told = format!("found a folder of another user, expected one of yours; {MOVE}");
    let make = |at: &Path| {
        put(&at.join("job"), &of(&[("totals.csv", "old"), ("notes.txt", "mine")]));
        chown(at.join("job"), Some(65_534), None).unwrap();
    };
    refused(make, "job", &told);
}

/// The user saves a file anew while an earlier run still has the one of before: both are kept.
#[test]
fn a_file_made_anew_is_kept_beside_the_one_given_back() {
    let folder = tempfile::tempdir().unwrap();
    put(&folder.path().join("job"), &of(&[("totals.csv", "old"), ("notes.txt", "second")]));
    put(&folder.path().join(".job.new"), &of(&[("zones.shp", "new"), ("notes.txt", "first")]));
    OutputFolder::open(folder.path()).unwrap().settled("job").unwrap();
    let expected = of(&[("totals.csv", "old"), ("notes.txt", "second"), ("notes.txt.1", "first")]);
    assert_eq!(tree(&folder.path().join("job")), expected);
}
