//! `points.kml`: samples, gate, the way round and the field's outline (OGC 07-147r2, KML 2.2).

use std::io;

use geo::Coord;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, Event};

use crate::report::sampling::how_taken;
use crate::sampling::SamplingPlan;
use crate::write::kml::{NAMESPACE, Xml, inside, text as element};

/// The whole file.
pub fn text(plan: &SamplingPlan) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 1);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let told = how_taken(plan);
    inside(&mut xml, "kml", &[("xmlns", NAMESPACE)], |xml| {
        inside(xml, "Document", &[], |xml| {
            element(xml, "name", &format!("{}: soil samples", plan.field.name))?;
            for sample in &plan.samples {
                point(xml, &sample.id, &told, sample.wgs84)?;
            }
            if let Some(gate) = plan.gate() {
                point(xml, "gate", "Where the walk starts and ends.", gate)?;
            }
            let round = plan.gate().or(plan.samples.first().map(|sample| sample.wgs84));
            let stops = plan.samples.iter().map(|sample| sample.wgs84);
            line(
                xml,
                "the way round",
                &plan.gate().into_iter().chain(stops).chain(round).collect::<Vec<_>>(),
            )?;
            for part in plan.field.boundary.wgs84() {
                for ring in std::iter::once(part.exterior()).chain(part.interiors()) {
                    line(xml, "field edge", &ring.0)?;
                }
            }
            Ok(())
        })
    })?;
    let mut bytes = xml.into_inner();
    bytes.push(b'\n');
    Ok(bytes)
}

fn point(xml: &mut Xml, name: &str, told: &str, at: Coord<f64>) -> io::Result<()> {
    inside(xml, "Placemark", &[], |xml| {
        element(xml, "name", name)?;
        element(xml, "description", told)?;
        inside(xml, "Point", &[], |xml| element(xml, "coordinates", &place(&at)))
    })
}

fn line(xml: &mut Xml, name: &str, places: &[Coord<f64>]) -> io::Result<()> {
    let places: Vec<String> = places.iter().map(place).collect();
    inside(xml, "Placemark", &[], |xml| {
        element(xml, "name", name)?;
        inside(xml, "LineString", &[], |xml| {
            element(xml, "tessellate", "1")?;
            element(xml, "coordinates", &places.join(" "))
        })
    })
}

fn place(at: &Coord<f64>) -> String {
    format!("{},{}", at.x, at.y)
}
