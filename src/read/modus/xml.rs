use quick_xml::escape::unescape;
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};
use serde_json::{Map, Value};

/// How deep elements may stand in each other; Modus needs 11.
const DEEPEST: usize = 32;

/// An element that is still open: its members so far, and its text.
#[derive(Default)]
struct Open {
    name: String,
    members: Map<String, Value>,
    text: String,
}

/// XML as the tree that JSON would be read into: an element is an object of its attributes and
/// elements, an array of these where several have one name, or its text where it has neither.
pub(super) fn tree(text: &str) -> Result<Value, String> {
    let mut reader = Reader::from_str(text);
    let mut open: Vec<Open> = vec![Open::default()];
    loop {
        match reader.read_event().map_err(|error| error.to_string())? {
            Event::Start(_) if open.len() > DEEPEST => {
                return Err(format!("elements stand more than {DEEPEST} deep in each other"));
            }
            Event::Start(element) => open.push(begun(&element)?),
            Event::Empty(element) => {
                let element = begun(&element)?;
                close(&mut open, element);
            }
            Event::Text(text) => {
                let text = text.xml_content(XmlVersion::Implicit1_0);
                write(&mut open, &text);
            }
            Event::CData(text) => {
                let text = text.xml_content(XmlVersion::Implicit1_0);
                write(&mut open, &text);
            }
            Event::GeneralRef(entity) => {
                let entity = format!("&{};", &*entity);
                write(&mut open, &unescape(&entity).map_err(|error| error.to_string())?);
            }
            Event::DocType(_) => {
                return Err("it has a document type; entities are not followed".to_owned());
            }
            Event::End(_) => {
                let Some(element) = open.pop() else { break };
                close(&mut open, element);
            }
            Event::Eof => break,
            _ => {}
        }
    }
    match (open.pop(), open.is_empty()) {
        (Some(root), true) => Ok(Value::Object(root.members)),
        _ => Err("it ends inside an element".to_owned()),
    }
}

fn begun(element: &BytesStart<'_>) -> Result<Open, String> {
    let mut members = Map::new();
    for attribute in element.attributes() {
        let attribute = attribute.map_err(|error| error.to_string())?;
        let value = attribute.normalized_value(XmlVersion::Implicit1_0);
        let value = value.map_err(|error| error.to_string())?.into_owned();
        members.insert(attribute.key.0.to_owned(), value.into());
    }
    Ok(Open { name: element.name().0.to_owned(), members, text: String::new() })
}

fn write(open: &mut [Open], text: &str) {
    if let Some(element) = open.last_mut() {
        element.text.push_str(text);
    }
}

/// Makes an element a member of the one that it stands in.
fn close(open: &mut [Open], element: Open) {
    let Open { name, members, text } = element;
    let Some(parent) = open.last_mut() else { return };
    let value = if members.is_empty() { Value::String(text) } else { Value::Object(members) };
    match parent.members.get_mut(&name) {
        None => {
            parent.members.insert(name, value);
        }
        Some(Value::Array(same)) => same.push(value),
        Some(one) => *one = Value::Array(vec![one.take(), value]),
    }
}
