//! A field's and a farm's sheet of the demo farm, so that no change of a word or a row goes unseen.
//! What they say is judged elsewhere.
//!
//! After a change that is meant, `INSTA_UPDATE=always cargo test --release sheet_snapshots` writes
//! them anew; without it the test says what differs.

use insta::{assert_snapshot, with_settings};

use crate::folder::{Folder, demo};

/// A sheet as a person reviews it: without its style, which is a file of its own, and without what
/// only a picture shows.
fn readable(html: &str) -> String {
    let (head, rest) = html.split_once("<style>").unwrap();
    let (_, body) = rest.split_once("</style>").unwrap();
    let text = format!("{head}{body}").replace(env!("CARGO_MANIFEST_DIR"), "");
    let pictures = [" d=\"", " points=\"", " href=\"data:"];
    pictures.iter().fold(text, |text, begin| {
        let mut parts = text.split(begin);
        let first = parts.next().unwrap().to_owned();
        let rest = parts.map(|part| part.split_once('"').unwrap().1);
        rest.fold(first, |text, rest| text + begin + "\u{2026}\"" + rest)
    })
}

#[test]
fn the_sheets_of_the_demo_farm() {
    let folder = Folder::empty();
    let said = folder.run(&["plan", demo("farm.toml").to_str().unwrap()]);
    assert_eq!((said.code, said.err.as_str()), (0, ""));
    let field = readable(&folder.read("plans/pond-quarter/sheet.html"));
    let farm = readable(&folder.read("plans/Sorrel Kettle Farm/farm.html"));
    with_settings!({
        snapshot_path => "../../fixtures/golden",
        prepend_module_to_snapshot => false,
        omit_expression => true,
    }, {
        assert_snapshot!("pond-quarter-sheet", field);
        assert_snapshot!("farm-sheet", farm);
    });
}
