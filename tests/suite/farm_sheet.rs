//! The page of a whole farm: the figures of `farm.csv`, what failed, and names as they were given.

use resvg::usvg::roxmltree::{Document, Node, ParsingOptions};

use crate::farm::farm;
use crate::folder::{Folder, JOB};
use crate::sheet::as_a_folder;

const PRICED: &str = "[order]\ndelivery = \"8 tons\"\n[prices]\nproduct = 40\nspreading = 10\n";
const TIER: &str = "[[tier]]\nlabel = \"all\"\nrate = \"1 ton/ac\"\n";

fn parse(text: &str) -> Document<'_> {
    Document::parse_with_options(text, ParsingOptions { allow_dtd: true, ..Default::default() })
        .unwrap()
}

fn text(node: Node<'_, '_>) -> String {
    // The warnings beneath a name are no part of it.
    let beneath = |node: &Node<'_, '_>| node.ancestors().any(|above| above.has_tag_name("small"));
    node.descendants()
        .filter(|node| !beneath(node))
        .filter_map(|node| node.is_text().then(|| node.text()).flatten())
        .collect()
}

/// The rows of the table in a section, each cell's text.
fn rows(page: &Document<'_>, section: &str) -> Vec<Vec<String>> {
    let section = (page.descendants())
        .find(|node| {
            node.has_tag_name("section") && node.attribute("aria-labelledby") == Some(section)
        })
        .unwrap();
    let rows = section.descendants().filter(|node| node.has_tag_name("tr")).skip(1);
    rows.map(|row| row.children().filter(Node::is_element).map(text).collect()).collect()
}

/// The page has, to the letter, what `farm.csv` has of every field and of the farm.
#[test]
fn every_row_is_that_of_the_csv() {
    for shared in ["", PRICED] {
        let folder = farm();
        folder.put(
            "farm.toml",
            format!("farm = \"Home Farm\"\njobs = [\"a.toml\", \"b.toml\", \"north/c.toml\"]\n{shared}{TIER}"),
        );
        folder.put("b.toml", JOB);
        let said = folder.run(&["plan", "farm.toml"]);
        assert_eq!((said.code, said.err.as_str()), (0, ""));
        let html = folder.read("plans/Home Farm/farm.html");
        let page = parse(&html);
        let csv = folder.read("plans/Home Farm/farm.csv");
        let wanted: Vec<Vec<String>> =
            (csv.lines().map(|line| line.split(',').collect::<Vec<_>>()))
                .filter(|row| ["field", "farm"].contains(&row[0]))
                .map(|row| {
                    let name = if row[0] == "farm" { "whole farm" } else { row[1] };
                    let mut cells = vec![name];
                    cells.extend(&row[6..11]);
                    if !shared.is_empty() {
                        // Mass, trucks, loads, no hours for want of a spreader, and the money.
                        cells.extend([row[11], row[14], row[15], row[16], row[18], row[19]]);
                    }
                    cells.into_iter().map(str::to_owned).collect()
                })
                .collect();
        assert_eq!(wanted.len(), 4);
        assert_eq!(rows(&page, "fields"), wanted);
        for link in page.descendants().filter_map(|node| node.attribute("href")) {
            assert!(folder.path().join("plans/Home Farm").join(link).is_file(), "{link}");
        }
        assert_eq!(html.contains("Order for the farm: 30.18 tons"), !shared.is_empty());
    }
}

#[test]
fn the_page_is_the_same_with_any_threads_and_with_fields_kept() {
    let folder = farm();
    let made = |arguments: &[&str], threads: &str| {
        assert_eq!(folder.run_with(arguments, &[("RAYON_NUM_THREADS", threads)]).code, 0);
        folder.read("plans/Home Farm/farm.html")
    };
    let one = made(&["plan", "farm.toml", "--fresh"], "1");
    assert_eq!(made(&["plan", "farm.toml", "--fresh"], "2"), one);
    assert_eq!(made(&["plan", "farm.toml"], "2"), one);
}

fn hostile(farm_name: &str, label: &str, job: &str) -> (Folder, String) {
    let folder = farm();
    folder.put("b.toml", format!("name = \"{job}\"\n{JOB}"));
    folder.put(
        "farm.toml",
        format!(
            "farm = \"{farm_name}\"\njobs = [\"a.toml\", \"b.toml\", \"<img src=x>.toml\"]\n\
             [[tier]]\nlabel = \"{label}\"\nrate = \"1 ton/ac\"\n"
        ),
    );
    let said = folder.run(&["plan", "farm.toml"]);
    assert_eq!(said.code, 2, "{}", said.err);
    let made = folder.files_named("plans").into_iter();
    let html = made
        .map(|name| folder.path().join("plans").join(name).join("farm.html"))
        .find_map(|path| std::fs::read_to_string(path).ok())
        .unwrap();
    (folder, html)
}

#[test]
fn hostile_names_and_failures_leave_the_page_as_it_was() {
    let shape = |html: &str| -> Vec<String> {
        let page = parse(html);
        // A longer name may have another place on the map.
        let drawn = |node: &Node<'_, '_>| node.ancestors().any(|above| above.has_tag_name("svg"));
        let elements = page.descendants().filter(Node::is_element).filter(|node| !drawn(node));
        elements.map(|node| node.tag_name().name().to_owned()).collect()
    };
    let (_, plain) = hostile("plain", "plain", "plain b");
    assert!(plain.contains("Not planned: 1 of 3"), "{plain}");
    for name in [
        "<script>alert(1)<!--",
        "\\\"quoted\\\" 'names' &amp; ]]> {{ job }} %}",
        "\\u202e\u{5e2}\u{5d1}\u{5e8} \u{634}\u{645}\u{627}\u{644}",
        "\u{1f33e}\u{1f469}\u{200d}\u{1f33e} e\u{301}",
    ] {
        let of_folder = as_a_folder(name);
        let (_, html) = hostile(&of_folder, name, &format!("{of_folder} b"));
        assert_eq!(shape(&html), shape(&plain), "{name}");
        assert!(!html.contains("<script") && !html.contains("<img"), "{name}");
    }
    let page = parse(&plain);
    assert_eq!(rows(&page, "fields")[2], ["<img src=x>.toml", "not planned: why"]);
}
