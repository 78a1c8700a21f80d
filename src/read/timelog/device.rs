//! The device description: which elements a machine has, and what is fixed of them.

use std::collections::BTreeMap;

use super::dictionary::{AHEAD, RIGHT};
use crate::read::taskdata::Element;

/// How many elements stand one above the other at the most, so that no circle goes on.
const DEEPEST: usize = 16;

/// A machine (DVC).
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Device {
    /// Its id.
    pub id: String,
    /// Its elements (DET), in the file's order.
    pub parts: Vec<DeviceElement>,
}

/// An element of a machine (DET).
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct DeviceElement {
    /// Its id, by which logs name it.
    pub id: String,
    /// Its type.
    pub kind: u8,
    /// Its number in the machine.
    pub number: i64,
    /// Its number among the objects of the description.
    object: Option<u32>,
    /// That of the object that it belongs to.
    parent: Option<u32>,
    /// What is fixed of it (DPT), by entry of the data dictionary.
    pub fixed: BTreeMap<u16, i32>,
}

/// The machines of task data.
pub(super) fn devices(root: &Element) -> Vec<Device> {
    root.all("DVC").map(device).collect()
}

fn device(element: &Element) -> Device {
    let number = |element: &Element, attribute| element.get(attribute)?.trim().parse::<u32>().ok();
    let property = |element: &Element| {
        let ddi = u16::from_str_radix(element.get("B")?.trim(), 16).ok()?;
        Some((number(element, "A")?, (ddi, element.get("C")?.trim().parse::<i32>().ok()?)))
    };
    let properties: BTreeMap<u32, (u16, i32)> = element.all("DPT").filter_map(property).collect();
    let part = |element: &Element| DeviceElement {
        id: element.get("A").unwrap_or("").trim().to_owned(),
        kind: number(element, "C").and_then(|kind| u8::try_from(kind).ok()).unwrap_or(0),
        number: number(element, "E").map_or(i64::MAX, i64::from),
        object: number(element, "B"),
        parent: number(element, "F"),
        fixed: element
            .all("DOR")
            .filter_map(|reference| properties.get(&number(reference, "A")?).copied())
            .collect(),
    };
    let id = element.get("A").unwrap_or("").trim().to_owned();
    Device { id, parts: element.all("DET").map(part).collect() }
}

impl Device {
    /// A machine of which nothing is known but the element of that id.
    pub fn undescribed(element: &str) -> Self {
        let part = DeviceElement { id: element.to_owned(), kind: 1, ..DeviceElement::default() };
        Self { id: String::new(), parts: vec![part] }
    }

    /// An element by its id.
    pub fn part(&self, id: &str) -> Option<usize> {
        self.parts.iter().position(|part| part.id == id)
    }

    /// An element and those that it belongs to, from below.
    pub fn up_from(&self, part: usize) -> impl Iterator<Item = usize> {
        let above = |part: &usize| {
            let parent = self.parts.get(*part)?.parent?;
            self.parts.iter().position(|other| other.object == Some(parent))
        };
        std::iter::successors(Some(part), above).take(DEEPEST)
    }

    /// Where an element sits: ahead of the machine's reference point and to the right, in mm, as far
    /// as it is fixed.
    pub fn offset(&self, part: usize) -> [Option<i32>; 2] {
        let fixed = self.parts.get(part).map(|part| &part.fixed);
        [AHEAD, RIGHT].map(|ddi| fixed.and_then(|fixed| fixed.get(&ddi)).copied())
    }
}
