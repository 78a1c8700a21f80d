//! Elements of XML, one after the other.

use std::io;

use geo::{LineString, Polygon};
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, Event};

/// LSG A: the outer ring of a polygon.
const EXTERIOR: &str = "1";
/// LSG A: the ring of a hole.
const INTERIOR: &str = "2";

pub struct Elements(Writer<Vec<u8>>);

impl Elements {
    /// A document without elements.
    pub fn begin() -> io::Result<Self> {
        let mut writer = Writer::new_with_indent(Vec::new(), b' ', 1);
        writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        Ok(Self(writer))
    }

    /// The document.
    pub fn end(self) -> Vec<u8> {
        let mut bytes = self.0.into_inner();
        bytes.push(b'\n');
        bytes
    }

    /// A PLN of a kind.
    pub fn polygon(&mut self, kind: &str, polygon: &Polygon<f64>) -> io::Result<()> {
        self.open("PLN", &[("A", kind)])?;
        self.ring(EXTERIOR, polygon.exterior())?;
        for hole in polygon.interiors() {
            self.ring(INTERIOR, hole)?;
        }
        self.close("PLN")
    }

    fn ring(&mut self, kind: &str, ring: &LineString<f64>) -> io::Result<()> {
        self.open("LSG", &[("A", kind)])?;
        for at in &ring.0 {
            // PNT A 2: a point of no kind of its own.
            self.empty("PNT", &[("A", "2"), ("C", &at.y.to_string()), ("D", &at.x.to_string())])?;
        }
        self.close("LSG")
    }

    pub fn open(&mut self, name: &str, attributes: &[(&str, &str)]) -> io::Result<()> {
        self.0.write_event(Event::Start(start(name, attributes)))
    }

    pub fn empty(&mut self, name: &str, attributes: &[(&str, &str)]) -> io::Result<()> {
        self.0.write_event(Event::Empty(start(name, attributes)))
    }

    pub fn close(&mut self, name: &str) -> io::Result<()> {
        self.0.write_event(Event::End(BytesEnd::new(name)))
    }
}

/// A tag; the values are escaped.
fn start<'a>(name: &'a str, attributes: &[(&'a str, &'a str)]) -> BytesStart<'a> {
    BytesStart::new(name).with_attributes(attributes.iter().copied())
}
