//! Where to sample, as the program is run: a plan, an invented laboratory's answer, and the map.

use crate::folder::{FIELD, Folder, demo};

fn field() -> Folder {
    let folder = Folder::empty();
    folder.put("field.geojson", FIELD);
    folder
}

/// The field is about 10 acres; a sample an acre.
const SAMPLE: [&str; 6] = ["sample", "field.geojson", "--acres", "1", "--edge", "30 ft"];

#[test]
fn a_sampling_plan_a_laboratorys_answer_and_the_map() {
    let folder = field();
    let said = folder.run(&[&SAMPLE[..], &["--name", "north corner"]].concat());
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    assert!(said.out.contains("Names: NC01 to NC"), "{}", said.out);
    let names = folder.files_named("sampling/north corner");
    let expected = [
        "laboratory.csv",
        "points.csv",
        "points.geojson",
        "points.gpx",
        "points.kml",
        "sampling.html",
        "sampling.svg",
    ];
    assert_eq!(names, expected);
    // The laboratory fills in the table, last row first, and leaves most of it empty.
    let table = folder.read("sampling/north corner/laboratory.csv");
    let (header, rows) = table.split_once('\n').unwrap();
    let filled: Vec<String> = (0..)
        .zip(rows.lines())
        .map(|(number, row)| row.replacen(",10,", &format!(",10,{}", 6 + number), 1))
        .collect();
    let filled: Vec<&str> = filled.iter().rev().map(String::as_str).collect();
    folder.put("answer.csv", format!("{header}\n{}\n", filled.join("\n")));
    for points in ["points.geojson", "points.csv"] {
        let points = format!("sampling/north corner/{points}");
        let files = ["--boundary", "field.geojson", "--samples", &points];
        let said = folder
            .run(&[&["plan"], &files[..], &["--laboratory", "answer.csv", "--json"]].concat());
        assert_eq!((said.code, said.err.as_str()), (0, ""));
        let totals: serde_json::Value = serde_json::from_str(&said.out).unwrap();
        assert_eq!(totals["samples"]["count"], filled.len());
        let warnings = totals["warnings"].to_string();
        assert!(!warnings.contains("NC0"), "{warnings}");
    }
}

#[test]
fn names_are_those_that_folders_can_have_and_are_printed_as_they_are_typed() {
    let folder = field();
    for name in ["North.", "North ", "aux", "a:b", "..", "../up"] {
        let said = folder.run(&[&SAMPLE[..], &["--name", name]].concat());
        assert_eq!(said.code, 2, "{name}: {}", said.out);
        let expected = format!("error: --name: found \"{name}\", which ");
        assert!(said.err.starts_with(&expected), "{}", said.err);
    }
    let said = folder.run(&[&SAMPLE[..], &["--name", "North 80"]].concat());
    let quote = if cfg!(windows) { '"' } else { '\'' };
    let points = format!("--samples {quote}sampling/North 80/points.geojson{quote} ");
    assert!(said.out.contains(&points), "{}", said.out);
}

#[test]
fn results_are_not_written_over_and_other_commands_files_stay() {
    let folder = field();
    assert_eq!(folder.run(&SAMPLE).code, 0);
    let path = "sampling/field/laboratory.csv";
    let table = folder.read(path);
    folder.put("sampling/field/notes.txt", "wet in the corner");
    folder.put("sampling/field/zones.svg", "of a plan");
    let said = folder.run(&SAMPLE);
    assert_eq!(said.code, 0, "{}", said.err);
    assert_eq!(folder.read("sampling/field/notes.txt"), "wet in the corner");
    assert_eq!(folder.read("sampling/field/zones.svg"), "of a plan");
    let filled = table.replacen(",10,", ",10,12.5", 1);
    folder.put(path, &filled);
    let said = folder.run(&SAMPLE);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("found results in it"), "{}", said.err);
    assert_eq!(folder.read(path), filled);
}

#[test]
fn the_same_files_on_one_thread_and_on_two() {
    let folder = field();
    let files = |threads: &str, more: &[&str]| {
        let said =
            folder.run_with(&[&SAMPLE[..4], more].concat(), &[("RAYON_NUM_THREADS", threads)]);
        assert_eq!(said.code, 0, "{}", said.err);
        folder.files("sampling/field")
    };
    for more in [&["--layout", "coverage"][..], &["--layout", "triangular"]] {
        assert_eq!(files("1", more), files("2", more));
    }
}

#[test]
fn more_samples_on_a_field_that_has_some() {
    let folder = Folder::empty();
    let job = demo("home-lane.toml");
    let job = job.to_str().unwrap();
    let run = |more: &[&str]| {
        let said = folder.run(&[&["sample", job], more].concat());
        assert_eq!(said.code, 0, "{}", said.err);
        said.out
    };
    let said = run(&["--add", "5"]);
    assert!(said.contains("5 samples beside 73 taken already"), "{said}");
    // Names go on after those that there are.
    assert!(said.contains("Names: HL74 to HL78"), "{said}");
    // The same from the boundary and last year's table, whatever is in it beside positions.
    let [boundary, table] = ["home-lane/boundary.shp", "home-lane/samples.csv"].map(demo);
    let files = ["sample", boundary.to_str().unwrap(), "--taken", table.to_str().unwrap()];
    let said = folder
        .run(&[&files[..], &["--points", "5", "--name", "between", "--prefix", "HL"]].concat());
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("5 samples beside 73 taken already"), "{}", said.out);
    assert!(said.out.contains("Names: HL74 to HL78"), "{}", said.out);
    // Of an acreage each, those that are taken have theirs; a grid does not see them.
    let said = folder.run(&[&files[..], &["--acres", "1.5", "--name", "more"]].concat());
    assert!(said.out.contains("beside 73 taken already on"), "{} {}", said.out, said.err);
    assert!(said.out.contains("one for 1.49 acres"), "{}", said.out);
    let said = folder.run(&[&files[..], &["--acres", "3"]].concat());
    assert!(said.err.contains("found 0 samples beside 73 taken already"), "{}", said.err);
    let said = folder.run(&[&files[..], &["--layout", "square"]].concat());
    assert!(said.err.contains("--layout: found a grid, expected coverage"), "{}", said.err);
    // Samples that cost ten tons each pay for none of the product that they put right.
    for (laboratory, verdict) in [("15", "It pays up to about"), ("400", "One rate for the whole")]
    {
        let prices = ["--laboratory-price", laboratory, "--product-price", "40"];
        let said = run(&[&["--worth"], &prices[..]].concat());
        assert!(said.contains(verdict), "{said}");
    }
    assert_eq!(
        folder
            .files_named("sampling/home-lane")
            .into_iter()
            .filter(|name| name.contains("worth"))
            .count(),
        2
    );
    let said = run(&["--error", "2", "--block", "60ft"]);
    assert!(said.contains("Coarsest square grid for 2.00 CEC points"), "{said}");
}

#[test]
fn what_cannot_be_is_told() {
    let folder = field();
    let said = |more: &[&str]| {
        let said = folder.run(&[&["sample", "field.geojson"], more].concat());
        assert_eq!(said.code, 2, "{}", said.out);
        said.err
    };
    for (more, part) in [
        (&["--gate=-85.2,40.4"][..], "expected latitude and then longitude"),
        (&["--gate", "here"], "expected latitude and then longitude"),
        (&["--acres", "0"], "expected more than zero"),
        (&["--acres", "0.0001"], "expected 1 to 1000"),
        (&["--points", "0"], "expected 1 to 1000"),
        (&["--edge", "2000 ft"], "no ground is left to sample"),
        (&["--edge=-5 ft"], "expected 0 or more"),
        (&["--add", "5"], "expected a job file"),
        (&["--error", "2"], "expected a --variogram"),
        (&["--error", "0.1", "--variogram", "spherical 2 + 9 over 800 ft"], "below what any grid"),
        (&["--worth", "--variogram", "round"], "expected a shape"),
        (&["--depth", "0 in"], "--depth: found"),
        (&["--cores", "0"], "--cores: found 0"),
        (&["--avoid", "lane.geojson=30ft"], "lane.geojson"),
    ] {
        let error = said(more);
        assert!(error.contains(part), "{more:?}: {error}");
    }
    assert!(!folder.path().join("sampling").exists());
}
