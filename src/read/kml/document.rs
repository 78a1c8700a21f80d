use std::rc::Rc;

use quick_xml::XmlVersion;
use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::{BytesRef, BytesStart, Event};
use quick_xml::reader::Reader;

use super::FORMAT;
use super::placemark::Placemark;
use crate::read::budget::Budget;
use crate::read::{ReadError, Source, text};

/// The deepest nesting: folders in folders come to ten at the most.
const DEEPEST: usize = 64;
/// What a placemark takes beside its texts and coordinates, in bytes.
const PLACEMARK_BYTES: usize = 300;
/// The elements whose text is of use.
const TEXTS: [&str; 4] = ["name", "value", "SimpleData", "coordinates"];
/// The elements that are shapes.
const SHAPES: [&str; 7] =
    ["Point", "LineString", "LinearRing", "Polygon", "MultiGeometry", "Model", "Track"];

/// The placemarks of a KML document, in its order.
pub(super) fn placemarks(
    source: &Source,
    budget: &mut Budget,
) -> Result<Vec<Placemark>, ReadError> {
    let content = text::decode(&source.bytes);
    let mut reader = Reader::from_str(&content);
    let mut document = Document {
        source,
        budget,
        open: Vec::new(),
        folders: Vec::new(),
        around: None,
        placemark: None,
        key: String::new(),
        text: String::new(),
        found: Vec::new(),
        rooted: false,
        links: false,
    };
    loop {
        match reader.read_event().map_err(|error| broken(source, error.to_string()))? {
            Event::Start(start) => document.start(&start)?,
            Event::Empty(start) => {
                document.start(&start)?;
                document.end()?;
            }
            Event::End(_) => document.end()?,
            Event::Text(text) => document.text(&text)?,
            Event::CData(text) => document.text(&text)?,
            Event::GeneralRef(reference) => {
                let resolved = resolve(&reference);
                let unknown = || {
                    broken(source, format!("found the entity &{};, which it lacks", &*reference))
                };
                document.text(&resolved.ok_or_else(unknown)?)?;
            }
            Event::DocType(_) => {
                let reason =
                    "found a document type, which KML has none of; entities are not followed";
                return Err(broken(source, reason.to_owned()));
            }
            Event::Eof => break,
            Event::Decl(_) | Event::PI(_) | Event::Comment(_) => {}
        }
    }
    if !document.open.is_empty() {
        return Err(broken(source, "it ends inside an element".to_owned()));
    }
    if !document.rooted {
        return Err(broken(source, "there is no element <kml>".to_owned()));
    }
    if document.found.is_empty() && document.links {
        return Err(ReadError::OnlyLinks { name: source.name.clone() });
    }
    Ok(document.found)
}

/// What is open while a document is read.
struct Document<'a> {
    source: &'a Source,
    budget: &'a mut Budget,
    /// The elements that are open, the outermost first.
    open: Vec<String>,
    /// The names of the folders that are open, by their depth.
    folders: Vec<(usize, String)>,
    /// The names around the next placemark, shared by those that have the same.
    around: Option<Rc<[String]>>,
    placemark: Option<Placemark>,
    /// The name of the data whose value is being read.
    key: String,
    /// The text of the element that is being read.
    text: String,
    found: Vec<Placemark>,
    rooted: bool,
    links: bool,
}

impl Document<'_> {
    fn start(&mut self, start: &BytesStart<'_>) -> Result<(), ReadError> {
        let tag = start.local_name().as_ref().to_owned();
        match (self.open.is_empty(), tag.as_str()) {
            (true, "kml") if !self.rooted => self.rooted = true,
            (true, _) => {
                let reason = format!("found <{tag}> outermost, expected one <kml>");
                return Err(broken(self.source, reason));
            }
            _ => {}
        }
        match tag.as_str() {
            "Folder" | "Document" => {
                self.folders.push((self.open.len(), String::new()));
                self.around = None;
            }
            "NetworkLink" => self.links = true,
            "Placemark" if self.placemark.is_some() => {
                return Err(broken(self.source, "a placemark lies in a placemark".to_owned()));
            }
            "Placemark" => {
                self.budget.take(&self.source.name, PLACEMARK_BYTES)?;
                let place = format!("{}, placemark {}", self.source.name, self.found.len() + 1);
                self.placemark = Some(Placemark { place, ..Placemark::default() });
            }
            "Data" | "SimpleData" => self.key = self.name(start)?,
            _ => {}
        }
        if let Some(placemark) = &mut self.placemark
            && SHAPES.contains(&tag.as_str())
        {
            placemark.shape(&tag);
        }
        self.text.clear();
        self.open.push(tag);
        if self.open.len() > DEEPEST {
            let reason = format!("its elements lie more than {DEEPEST} deep in each other");
            return Err(broken(self.source, reason));
        }
        Ok(())
    }

    fn text(&mut self, text: &str) -> Result<(), ReadError> {
        if self.open.last().is_some_and(|tag| TEXTS.contains(&tag.as_str())) {
            self.text.push_str(text);
        } else if self.open.is_empty() && !text.trim().is_empty() {
            return Err(broken(self.source, "found text outside of <kml>".to_owned()));
        }
        Ok(())
    }

    fn end(&mut self) -> Result<(), ReadError> {
        let Some(tag) = self.open.pop() else { return Ok(()) };
        let text = std::mem::take(&mut self.text);
        let parent = self.open.last().map_or("", String::as_str);
        match (tag.as_str(), parent, &mut self.placemark) {
            ("name", "Placemark", Some(placemark)) => {
                self.budget.take(&self.source.name, text.len())?;
                text.trim().clone_into(&mut placemark.name);
                let shown: String = placemark.name.chars().take(60).collect();
                placemark.place = format!("{} (\"{shown}\")", placemark.place);
            }
            ("name", "Folder" | "Document", _) => {
                if let Some((_, name)) = self.folders.last_mut() {
                    text.trim().clone_into(name);
                    self.around = None;
                }
            }
            ("value", "Data", Some(placemark)) | ("SimpleData", _, Some(placemark)) => {
                let key = std::mem::take(&mut self.key);
                self.budget
                    .take(&self.source.name, 2 * size_of::<String>() + key.len() + text.len())?;
                placemark.data.push((key, text));
            }
            ("coordinates", _, Some(placemark)) => {
                // A position is four characters or more.
                self.budget.take(&self.source.name, text.len() * 4)?;
                placemark.coordinates(&self.open, &text)?;
            }
            ("Polygon", _, Some(placemark)) => placemark.polygon()?,
            ("Placemark", _, _) => self.found.extend(self.placemark.take().map(|placemark| {
                let names = || self.folders.iter().map(|(_, name)| name.clone()).collect();
                let folders = self.around.get_or_insert_with(names).clone();
                Placemark { folders, ..placemark }
            })),
            ("Folder" | "Document", _, _) => {
                self.folders.retain(|(depth, _)| *depth < self.open.len());
                self.around = None;
            }
            _ => {}
        }
        Ok(())
    }

    /// The attribute `name` of an element.
    fn name(&self, start: &BytesStart<'_>) -> Result<String, ReadError> {
        for attribute in start.attributes() {
            let attribute = attribute.map_err(|error| broken(self.source, error.to_string()))?;
            if attribute.key.0 == "name" {
                let value = attribute.normalized_value(XmlVersion::Implicit1_0);
                let value = value.map_err(|error| broken(self.source, error.to_string()))?;
                return Ok(value.into_owned());
            }
        }
        Ok(String::new())
    }
}

/// The character that a reference stands for, if it is one that every document knows.
fn resolve(reference: &BytesRef<'_>) -> Option<String> {
    if let Ok(Some(character)) = reference.resolve_char_ref() {
        return Some(character.to_string());
    }
    resolve_predefined_entity(reference).map(str::to_owned)
}

fn broken(source: &Source, reason: String) -> ReadError {
    ReadError::NotFormat { name: source.name.clone(), format: FORMAT.called, reason }
}
