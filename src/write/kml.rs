//! `zones.kml`: the zones, the piles and what is kept from, to look at on a phone (OGC 07-147r2, KML
//! 2.2).

mod near;

use std::io;

use geo::LineString;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use super::names::amount_names;
use super::{FormatError, OutputFile};
use crate::plan::{Plan, ZoneRow};
use crate::report::{Grounds, legible, short_rate};
use crate::units::{Area, Mass, Quantity, System};
use near::Near;

/// What KML 2.2 calls itself.
pub(super) const NAMESPACE: &str = "http://www.opengis.net/kml/2.2";

pub(super) type Xml = Writer<Vec<u8>>;

/// The zones, colored as on the map, what is not spread, the layers of the job and the piles.
pub fn files(plan: &Plan) -> Result<Vec<OutputFile>, FormatError> {
    let fault = |reason: String| FormatError { file: "zones.kml", reason };
    let near = near::all(plan).map_err(|error| fault(error.to_string()))?;
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 1);
    document(&mut xml, plan, &near).map_err(|error| fault(error.to_string()))?;
    let mut bytes = xml.into_inner();
    bytes.push(b'\n');
    Ok(vec![OutputFile::new("zones.kml", bytes)])
}

fn document(xml: &mut Xml, plan: &Plan, near: &[Near<'_>]) -> io::Result<()> {
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    inside(xml, "kml", &[("xmlns", NAMESPACE)], |xml| {
        inside(xml, "Document", &[], |xml| {
            text(xml, "name", &plan.settings.job)?;
            let grounds = Grounds::of(plan);
            for tier in 0..plan.tiers.len() {
                style(xml, tier + 1, &grounds.colour(tier).hex())?;
            }
            style(xml, 0, "#ffffff")?;
            near::styles(xml)?;
            let system = plan.settings.system;
            for row in plan.zones.iter().map(|zone| ZoneRow::of(plan, zone)) {
                let name = format!("{} {}", short_rate(row.rate), row.rate_unit);
                let (area, mass) = (Area::unit(system).plural(), Mass::unit(system).plural());
                let told = format!(
                    "Zone {}, {}: {:.2} {area}, {:.2} {mass}",
                    row.zone, row.label, row.area, row.mass
                );
                placemark(xml, &name, &told, &row, system)?;
            }
            for (piece, row) in plan.unspread.iter().zip(ZoneRow::unspread(plan)) {
                let told = format!(
                    "Within {} of {}: {}",
                    piece.distance.show(system, 0),
                    piece.why,
                    piece.area.show(system, 2)
                );
                placemark(xml, "not spread", &told, &row, system)?;
            }
            near.iter().try_for_each(|near| near.write(xml))
        })
    })
}

/// The line and the filling of a tier, from 1; 0 is what is not spread.
fn style(xml: &mut Xml, tier: usize, colour: &str) -> io::Result<()> {
    // KML writes a color from its opacity to its red.
    let channel = |from: usize| colour.get(from..from + 2).unwrap_or("00");
    let filling = format!("b3{}{}{}", channel(5), channel(3), channel(1));
    inside(xml, "Style", &[("id", &format!("tier-{tier}"))], |xml| {
        inside(xml, "LineStyle", &[], |xml| {
            text(xml, "color", "ff222222")?;
            text(xml, "width", "2")
        })?;
        inside(xml, "PolyStyle", &[], |xml| text(xml, "color", &filling))
    })
}

fn placemark(
    xml: &mut Xml,
    name: &str,
    told: &str,
    row: &ZoneRow,
    system: System,
) -> io::Result<()> {
    inside(xml, "Placemark", &[], |xml| {
        text(xml, "name", name)?;
        text(xml, "description", told)?;
        text(xml, "styleUrl", &format!("#tier-{}", row.tier))?;
        inside(xml, "ExtendedData", &[], |xml| {
            data(row, system).iter().try_for_each(|(name, value)| {
                inside(xml, "Data", &[("name", name)], |xml| text(xml, "value", value))
            })
        })?;
        inside(xml, "Polygon", &[], |xml| {
            text(xml, "tessellate", "1")?;
            ring(xml, "outerBoundaryIs", row.polygon.exterior())?;
            row.polygon.interiors().iter().try_for_each(|hole| ring(xml, "innerBoundaryIs", hole))
        })
    })
}

/// The attributes of a zone, called as in `zones.geojson`.
fn data(row: &ZoneRow, system: System) -> [(&'static str, String); 8] {
    let [area, mass] = amount_names(system);
    [
        ("zone", row.zone.to_string()),
        ("tier", row.tier.to_string()),
        ("label", row.label.to_owned()),
        ("rate", row.rate.to_string()),
        ("rate_unit", row.rate_unit.to_owned()),
        (area, row.area.to_string()),
        (mass, row.mass.to_string()),
        ("cec_mean", row.cec_mean.to_string()),
    ]
}

fn ring(xml: &mut Xml, kind: &str, line: &LineString<f64>) -> io::Result<()> {
    let places: Vec<String> = line.0.iter().map(|at| format!("{},{}", at.x, at.y)).collect();
    inside(xml, kind, &[], |xml| {
        inside(xml, "LinearRing", &[], |xml| text(xml, "coordinates", &places.join(" ")))
    })
}

pub(super) fn inside(
    xml: &mut Xml,
    name: &str,
    attributes: &[(&str, &str)],
    write: impl FnOnce(&mut Xml) -> io::Result<()>,
) -> io::Result<()> {
    let element = xml.create_element(name).with_attributes(attributes.iter().copied());
    element.write_inner_content(write)?;
    Ok(())
}

pub(super) fn text(xml: &mut Xml, name: &str, text: &str) -> io::Result<()> {
    xml.create_element(name).write_text_content(BytesText::new(&legible(text)))?;
    Ok(())
}
