//! `points.gpx`: GPX 1.1 (topografix.com/GPX/1/1), each sample as a waypoint and all of them as a
//! route from the gate and back.

use std::io;

use geo::Coord;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, Event};

use crate::report::sampling::how_taken;
use crate::sampling::SamplingPlan;
use crate::write::kml::{Xml, inside, text as element};

const NAMESPACE: &str = "http://www.topografix.com/GPX/1/1";

/// The whole file.
pub fn text(plan: &SamplingPlan) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 1);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let gpx = [("version", "1.1"), ("creator", "landplaster"), ("xmlns", NAMESPACE)];
    let gate = plan.gate().map(|at| ("gate", at));
    inside(&mut xml, "gpx", &gpx, |xml| {
        inside(xml, "metadata", &[], |xml| {
            element(xml, "name", &format!("{}: soil samples", plan.field.name))?;
            element(xml, "desc", &how_taken(plan))
        })?;
        if let Some((name, at)) = gate {
            point(xml, "wpt", name, at, None)?;
        }
        let told = how_taken(plan);
        for sample in &plan.samples {
            point(xml, "wpt", &sample.id, sample.wgs84, Some(&told))?;
        }
        inside(xml, "rte", &[], |xml| {
            element(xml, "name", &format!("{}: the way round", plan.field.name))?;
            if let Some((name, at)) = gate {
                point(xml, "rtept", name, at, None)?;
            }
            for sample in &plan.samples {
                point(xml, "rtept", &sample.id, sample.wgs84, None)?;
            }
            gate.map_or(Ok(()), |(name, at)| point(xml, "rtept", name, at, None))
        })
    })?;
    let mut bytes = xml.into_inner();
    bytes.push(b'\n');
    Ok(bytes)
}

fn point(
    xml: &mut Xml,
    kind: &str,
    name: &str,
    at: Coord<f64>,
    told: Option<&str>,
) -> io::Result<()> {
    let (latitude, longitude) = (format!("{:.8}", at.y), format!("{:.8}", at.x));
    inside(xml, kind, &[("lat", &latitude), ("lon", &longitude)], |xml| {
        element(xml, "name", name)?;
        told.map_or(Ok(()), |told| element(xml, "desc", told))
    })
}
