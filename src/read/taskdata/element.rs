use quick_xml::XmlVersion;
use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;

use super::TaskDataError;

/// The deepest nesting: task data has six levels.
const DEEPEST: usize = 16;
/// The most elements: a point is one, and no field has a million.
const MOST_ELEMENTS: usize = 1_000_000;

/// An element of XML. Task data has everything in attributes, so text is left out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Element {
    /// Its tag.
    pub name: String,
    /// Its attributes, in the file's order.
    pub attributes: Vec<(String, String)>,
    /// What it holds, in the file's order.
    pub children: Vec<Element>,
}

impl Element {
    /// An attribute.
    #[must_use]
    pub fn get(&self, attribute: &str) -> Option<&str> {
        let mut all = self.attributes.iter();
        all.find(|(name, _)| name == attribute).map(|(_, value)| value.as_str())
    }

    /// The elements of a tag that it holds.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Element> {
        self.children.iter().filter(move |child| child.name == name)
    }
}

/// The outermost element of an XML document; `file` is its name.
///
/// # Errors
/// When it is not well formed, has a document type or an entity of its own, or is deeper or larger
/// than task data is.
pub fn parse(file: &str, bytes: &[u8]) -> Result<Element, TaskDataError> {
    let fault = |reason: String| TaskDataError::new(file, reason);
    let broken = |reason: String| fault(format!("the content is not XML: {reason}"));
    let text = std::str::from_utf8(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes))
        .map_err(|_| fault("found bytes that are not UTF-8, which task data is in".to_owned()))?;
    let mut reader = Reader::from_str(text);
    let mut open: Vec<Element> = Vec::new();
    let mut root: Option<Element> = None;
    let mut count = 0;
    loop {
        let event = reader.read_event().map_err(|error| broken(error.to_string()))?;
        let done = match event {
            Event::Start(start) => {
                open.push(element(&start).map_err(broken)?);
                None
            }
            Event::Empty(start) => Some(element(&start).map_err(broken)?),
            Event::End(_) => open.pop(),
            Event::DocType(_) => {
                return Err(fault(
                    "found a document type, which task data has none of; entities are not followed"
                        .to_owned(),
                ));
            }
            Event::Eof if open.is_empty() => break,
            Event::Eof => return Err(broken("it ends inside an element".to_owned())),
            _ => continue,
        };
        count += 1;
        // Every element is counted when it opens and when it closes, at the most.
        if open.len() > DEEPEST || count > 2 * MOST_ELEMENTS {
            return Err(fault("it is deeper or larger than task data is".to_owned()));
        }
        let Some(done) = done else { continue };
        match open.last_mut() {
            Some(parent) => parent.children.push(done),
            None if root.is_none() => root = Some(done),
            None => return Err(broken("there is more than one outermost element".to_owned())),
        }
    }
    root.ok_or_else(|| broken("there is no element".to_owned()))
}

fn element(start: &BytesStart<'_>) -> Result<Element, String> {
    let mut attributes = Vec::new();
    for attribute in start.attributes() {
        let attribute = attribute.map_err(|error| error.to_string())?;
        let value = attribute.normalized_value(XmlVersion::Implicit1_0);
        let value = value.map_err(|error| error.to_string())?.into_owned();
        attributes.push((attribute.key.0.to_owned(), value));
    }
    Ok(Element { name: start.name().0.to_owned(), attributes, children: Vec::new() })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> String {
        parse("T.XML", text.as_bytes()).unwrap_err().to_string()
    }

    #[test]
    fn a_tree() {
        let root =
            parse("T.XML", b"<?xml version=\"1.0\"?><A x='1 &amp; 2'>t<B/><C y=\"3\"><B/></C></A>");
        let root = root.unwrap();
        assert_eq!((root.get("x"), root.all("B").count()), (Some("1 & 2"), 1));
        assert_eq!(root.children[1].children.len(), 1);
    }

    #[test]
    fn entities_are_refused() {
        let bomb = "<!DOCTYPE a [<!ENTITY x \"ha\"><!ENTITY y \"&x;&x;&x;&x;\">]><A b=\"&y;\"/>";
        assert_eq!(
            said(bomb),
            "T.XML: found a document type, which task data has none of; entities are not followed"
        );
        assert!(said("<A b=\"&y;\"/>").starts_with("T.XML: the content is not XML: "));
    }

    #[test]
    fn what_is_no_task_data() {
        assert_eq!(said(&"<A>".repeat(17)), "T.XML: it is deeper or larger than task data is");
        assert_eq!(
            said(&format!("<A>{}</A>", "<B/>".repeat(2_000_001))),
            "T.XML: it is deeper or larger than task data is"
        );
        assert_eq!(said("<A><B>"), "T.XML: the content is not XML: it ends inside an element");
        assert_eq!(
            said("<A/><B/>"),
            "T.XML: the content is not XML: there is more than one outermost element"
        );
        assert_eq!(said(""), "T.XML: the content is not XML: there is no element");
        assert!(said("<A></B>").starts_with("T.XML: the content is not XML: "));
        assert!(parse("T.XML", b"<A \xff/>").is_err());
    }
}
