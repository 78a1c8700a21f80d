//! Jobs that are carried from one system to another: paths, names, and files as editors write them.

use std::fs;

use crate::folder::{Folder, JOB, SAMPLES};

/// A way to write a text down.
type Way<'a> = &'a dyn Fn(&str) -> Vec<u8>;

const PLAN: [&str; 2] = ["plan", "job.toml"];

/// The message of a job that is refused before anything is written.
fn refused(folder: &Folder, arguments: &[&str]) -> String {
    let said = folder.run(arguments);
    assert_eq!((said.code, said.out.as_str()), (2, ""), "{}", said.err);
    assert!(!folder.path().join("plans").exists(), "nothing is written");
    said.err
}

/// The smallest job with its files in a folder of their own, and a path between them as written.
fn with_paths(between: &str) -> Folder {
    let folder = Folder::with_job();
    fs::create_dir_all(folder.path().join("fields/north")).unwrap();
    for name in ["field.geojson", "samples.csv"] {
        let to = folder.path().join("fields/north").join(name);
        fs::rename(folder.path().join(name), to).unwrap();
    }
    let job = JOB
        .replace("\"field.geojson\"", &format!("'fields{between}north{between}field.geojson'"))
        .replace("\"samples.csv\"", &format!("'fields{between}north{between}samples.csv'"));
    folder.put("job.toml", job);
    folder
}

/// The same bytes, whichever way the job writes its paths, alone and in a farm.
#[test]
fn backslashes_are_between_folders() {
    let plans = ["/", "\\"].map(|between| {
        let folder = with_paths(between);
        let said = folder.run(&PLAN);
        assert_eq!((said.code, said.err.as_str()), (0, ""));
        let farm = format!("farm = \"Farm\"\njobs = ['jobs{between}job.toml']\n");
        fs::create_dir(folder.path().join("jobs")).unwrap();
        fs::rename(folder.path().join("fields"), folder.path().join("jobs/fields")).unwrap();
        fs::rename(folder.path().join("job.toml"), folder.path().join("jobs/job.toml")).unwrap();
        folder.put("farm.toml", farm);
        let said = folder.run(&["plan", "farm.toml"]);
        assert_eq!((said.code, said.err.as_str()), (0, ""));
        assert_eq!(folder.run(&["plan", "farm.toml"]).out.matches("1 unchanged").count(), 1);
        (folder.files("plans/job"), folder.files("plans/Farm"))
    });
    assert!(plans[0] == plans[1]);
}

#[test]
fn what_is_lacking_is_told_with_slashes() {
    let folder = with_paths("\\");
    fs::remove_file(folder.path().join("fields/north/samples.csv")).unwrap();
    assert_eq!(
        refused(&folder, &PLAN),
        "error: samples fields/north/samples.csv: there is no such file; check the path\n"
    );
}

/// In TOML's double quotes `\n` is a line feed, and `\h` nothing at all.
#[test]
fn backslashes_in_double_quotes_are_told_with_the_way_out() {
    for path in ["fields\\north.geojson", "fields\\home.geojson", "C:\\Users\\field.geojson"] {
        let folder = Folder::with_job();
        folder.put("job.toml", JOB.replace("field.geojson", path));
        let said = refused(&folder, &PLAN);
        assert!(said.starts_with("error: job.toml, line 1: "), "{said}");
        assert!(said.contains("write / between folders"), "{said}");
    }
}

#[test]
#[cfg(not(windows))]
fn drives_and_servers_are_of_windows() {
    for path in
        ["C:\\fields\\field.geojson", "C:/fields/field.geojson", "\\\\office\\maps\\field.geojson"]
    {
        let folder = Folder::with_job();
        folder.put("job.toml", JOB.replace("\"field.geojson\"", &format!("'{path}'")));
        let said = refused(&folder, &PLAN);
        assert!(said.starts_with("error: job.toml, line 1: "), "{said}");
        assert!(
            said.contains("a place on a Windows computer, expected a path from this file's"),
            "{said}"
        );
    }
}

/// A drive's letter, a share of a server and a path longer than 260 letters.
#[test]
#[cfg(windows)]
fn drives_and_long_paths() {
    let folder = Folder::with_job();
    let mut deep = folder.path().to_owned();
    for _ in 0..12 {
        deep.push("a folder with a long name");
    }
    fs::create_dir_all(&deep).unwrap();
    let place = deep.join("field.geojson");
    fs::copy(folder.path().join("field.geojson"), &place).unwrap();
    let place = place.display().to_string();
    assert!(place.len() > 260 && place.as_bytes()[1] == b':', "{place}");
    folder.put("job.toml", JOB.replace("\"field.geojson\"", &format!("'{place}'")));
    let out = deep.join("plans").display().to_string();
    let said = folder.run(&["plan", "job.toml", "--out", &out]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(deep.join("plans/job/zones.shp").exists());
    assert!(said.out.contains(&format!("{}/job: ", out.replace('\\', "/"))), "{}", said.out);
}

/// What editors on Windows make of a text: other line ends, and UTF-16 with its mark.
#[test]
fn texts_of_windows_editors() {
    let usual = Folder::with_job();
    assert_eq!(usual.run(&PLAN).code, 0);
    let lines = |text: &str| text.replace('\n', "\r\n");
    let wide = |text: &str| -> Vec<u8> {
        let units = std::iter::once('\u{feff}').chain(lines(text).chars()).collect::<String>();
        units.encode_utf16().flat_map(u16::to_le_bytes).collect()
    };
    let wide_big = |text: &str| -> Vec<u8> {
        wide(text).chunks(2).flat_map(|pair| [pair[1], pair[0]]).collect()
    };
    let marked = |text: &str| format!("\u{feff}{}", lines(text)).into_bytes();
    let ways: [Way; 4] = [&|text| lines(text).into_bytes(), &marked, &wide, &wide_big];
    for (number, way) in ways.iter().enumerate() {
        let folder = Folder::with_job();
        folder.put("job.toml", way(JOB)).put("samples.csv", way(SAMPLES));
        let said = folder.run(&PLAN);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "way {number}");
        for file in ["zones.geojson", "zones.shp", "totals.csv"] {
            let (now, then) = [&folder, &usual].map(|one| one.files("plans/job")).into();
            let of = |files: &[(String, Vec<u8>)]| {
                files.iter().find(|(name, _)| name == file).map(|(_, bytes)| bytes.clone())
            };
            assert!(of(&now).is_some() && of(&now) == of(&then), "way {number}, {file}");
        }
    }
    let half = [0xff, 0xfe, b'a'];
    usual.put("job.toml", half);
    assert!(usual.run(&PLAN).err.contains("save it as UTF-8"));
}

/// Refused on every system, as the folder may be carried to Windows.
#[test]
fn names_that_windows_keeps_for_itself() {
    for (name, why) in [
        ("CON", "which Windows keeps for a device"),
        ("aux.csv", "which Windows keeps for a device"),
        ("lpt1", "which Windows keeps for a device"),
        ("home.", "which ends with a dot or a space"),
        ("a:b", "which has one of < > : "),
        ("what?", "which has one of < > : "),
    ] {
        let folder = Folder::with_job();
        folder.put("job.toml", format!("name = \"{name}\"\n{JOB}"));
        let said = refused(&folder, &PLAN);
        let told = format!("error: job.toml, name: found {name:?}, {why}");
        assert!(said.starts_with(&told), "{said}");
        folder.put("job.toml", JOB);
        if cfg!(windows) && name == "a:b" {
            // There it is a folder of drive A.
            continue;
        }
        let said = refused(&folder, &["plan", "job.toml", "--out", name]);
        assert!(said.contains(why) && said.contains("choose another one with --out"), "{said}");
        assert!(!folder.path().join(name).is_dir());
    }
}

/// "home" and "Home" are one folder on Windows and on most Macs.
#[test]
fn names_that_differ_in_letter_case_alone() {
    let folder = Folder::with_job();
    folder.put("a.toml", format!("name = \"home\"\n{JOB}"));
    folder.put("b.toml", format!("name = \"Home\"\n{JOB}"));
    folder.put("farm.toml", "farm = \"F\"\njobs = [\"a.toml\", \"b.toml\"]\n");
    assert!(refused(&folder, &["plan", "farm.toml"]).contains("expected each name once"));
}

/// A table that a spreadsheet has open: told by name, and nothing is changed.
#[test]
#[cfg(windows)]
fn a_file_that_is_open_elsewhere() {
    use std::os::windows::fs::OpenOptionsExt;
    let folder = Folder::with_job();
    assert_eq!(folder.run(&PLAN).code, 0);
    folder.put("plans/job/notes.txt", "mine");
    let before = folder.files("plans/job");
    folder.put("samples.csv", SAMPLES.replace(",19", ",12"));
    for name in ["totals.csv", "notes.txt"] {
        let place = folder.path().join("plans/job").join(name);
        let open = fs::OpenOptions::new().read(true).share_mode(1).open(place).unwrap();
        let said = folder.run(&PLAN);
        assert_eq!(said.code, 1, "{}", said.err);
        let told = format!("error: plans/job/{name}: is open in another program; close it there");
        assert!(said.err.starts_with(&told), "{}", said.err);
        drop(open);
        assert!(folder.files("plans/job") == before);
        assert_eq!(folder.files_named("plans"), [".landplaster.lock", "job"]);
    }
    assert_eq!(folder.run(&PLAN).code, 0);
    assert!(folder.files("plans/job") != before);
    assert_eq!(folder.read("plans/job/notes.txt"), "mine");
}
