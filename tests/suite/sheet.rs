//! The field sheet, the pictures and the KML of a job whose names are hostile: a parser of XML reads
//! the same elements as with plain names, and the names as they were given.

use std::fmt::Write as _;

use resvg::usvg::roxmltree::{Document, Node, ParsingOptions};

use crate::folder::{FIELD, Folder};

const PLAIN: &str = "plain";

/// Names that break out of careless pages, with what TOML makes of them.
const HOSTILE: [&str; 5] = [
    "<script>alert(1)</script><!--",
    "\\\"quoted\\\" 'names' &amp; ]]> {{ job }} %}",
    "\\u202e\u{5e2}\u{5d1}\u{5e8}\u{5d9}\u{5ea} \u{634}\u{645}\u{627}\u{644}",
    "\u{1f33e}\u{1f469}\u{200d}\u{1f33e} e\u{301}",
    "</title></style></svg>",
];

/// A hostile name as a folder may still have it, which the job's name is too; what TOML takes for a
/// letter stays.
pub fn as_a_folder(name: &str) -> String {
    let name = name.replace("\\\"", "");
    name.chars().map(|c| if "<>:\"/|?*".contains(c) { '_' } else { c }).collect()
}

/// A job with a name in every place that takes one.
fn job(name: &str) -> Folder {
    let folder = Folder::empty();
    let text = format!(
        "name = \"{job}\"\nboundary = \"field.geojson\"\nsamples = \"samples.csv\"\n\
         [[keep_out]]\nfile = \"well.geojson\"\ndistance = \"60 ft\"\nwhy = \"{name}\"\n\
         [[tier]]\nlabel = \"{name}\"\nunder = 10\nrate = \"0.5 ton/ac\"\n\
         [[tier]]\nlabel = \"{name} {name}\"\nfrom = 10\nrate = \"1 ton/ac\"\n",
        job = as_a_folder(name),
    );
    let id = name.replace("\\u202e", "\u{202e}").replace("\\\"", "\"\"");
    let mut samples = "id,longitude,latitude,cec\n".to_owned();
    for row in 0..4 {
        for column in 0..4 {
            let (east, north) =
                (0.0003 + 0.0006 * f64::from(column), 0.0002 + 0.0004 * f64::from(row));
            // One sample does not fit, so that it is named.
            let cec = if (row, column) == (1, 1) { 29.0 } else { 7.0 + f64::from(row) * 2.0 };
            let (x, y) = (-85.2 + east, 40.4 + north);
            let _ = writeln!(samples, "\"{id} {row}{column}\",{x:.5},{y:.5},{cec}");
        }
    }
    let well = r#"{"type": "Point", "coordinates": [-85.1985, 40.4012]}"#;
    folder.put("job.toml", text).put("field.geojson", FIELD).put("samples.csv", samples);
    folder.put("well.geojson", well);
    folder
}

struct Made {
    sheet: String,
    svg: String,
    kml: String,
}

fn make(name: &str) -> Made {
    let folder = job(name);
    let said = folder.run(&["plan", "job.toml"]);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{name}");
    let made = folder.files_named("plans").into_iter().find(|name| !name.starts_with('.')).unwrap();
    let read = |file: &str| folder.read(&format!("plans/{made}/{file}"));
    Made { sheet: read("sheet.html"), svg: read("zones.svg"), kml: read("zones.kml") }
}

fn parse(text: &str) -> Document<'_> {
    Document::parse_with_options(text, ParsingOptions { allow_dtd: true, ..Default::default() })
        .unwrap()
}

/// Names of elements and of their attributes, in order; leader lines and CEC depend on room, so
/// what is inside a picture is left to the picture's own check.
fn shape(text: &str, deep: bool) -> Vec<String> {
    let document = parse(text);
    let named = |node: Node<'_, '_>| {
        let attributes: Vec<&str> = node.attributes().map(|attribute| attribute.name()).collect();
        format!("{} {}", node.tag_name().name(), attributes.join(" "))
    };
    let inside =
        |node: &Node<'_, '_>| node.ancestors().skip(1).any(|above| above.has_tag_name("svg"));
    let elements = document.descendants().filter(Node::is_element);
    elements.filter(|node| deep || !inside(node)).map(named).collect()
}

#[test]
fn hostile_names_leave_every_page_as_it_was() {
    let plain = make(PLAIN);
    let long = "very long ".repeat(20);
    for name in HOSTILE.into_iter().chain([long.as_str()]) {
        let made = make(name);
        assert_eq!(shape(&made.sheet, false), shape(&plain.sheet, false), "{name}");
        assert_eq!(shape(&made.kml, true), shape(&plain.kml, true), "{name}");
        for text in [&made.sheet, &made.svg] {
            let document = parse(text);
            for node in document.descendants().filter(Node::is_element) {
                assert!(node.tag_name().name() != "script", "{name}");
                let attributes = node.attributes().map(|attribute| attribute.name());
                assert!(attributes.clone().all(|name| !name.starts_with("on")), "{name}");
            }
        }
    }
}

#[test]
fn names_come_back_as_they_were_given() {
    let made = make(HOSTILE[0]);
    let name = "<script>alert(1)</script><!--";
    let sheet = parse(&made.sheet);
    let label =
        sheet.descendants().find(|node| node.has_tag_name("bdi") && node.text() == Some(name));
    assert!(label.is_some(), "the tier's label is in the sheet");
    let kml = parse(&made.kml);
    let told = kml.descendants().filter(|node| node.has_tag_name("description"));
    assert!(told.filter_map(|node| node.text().map(str::to_owned)).any(|text| text.contains(name)));
}

/// What the page needs to be read aloud, by keyboard and without the network.
#[test]
fn the_page_stands_by_itself() {
    let made = make(PLAIN);
    let sheet = parse(&made.sheet);
    assert_eq!(sheet.root_element().attribute("lang"), Some("en"));
    let all = |name: &'static str| sheet.descendants().filter(move |node| node.has_tag_name(name));
    assert_eq!(all("title").next().and_then(|title| title.text()), Some("Field sheet: plain"));
    assert_eq!(all("h1").count(), 1);
    for picture in all("svg") {
        let named = picture.attribute("aria-hidden").or(picture.attribute("aria-labelledby"));
        assert!(named.is_some());
    }
    for outside in ["http:", "https:", "url(h", "@import", "src="] {
        let found = made.sheet.replace("http://www.w3.org/", "");
        assert!(!found.contains(outside), "{outside}");
    }
    assert_eq!(all("script").count() + all("link").count() + all("img").count(), 0);
}
