//! The piles at their size, what is kept from, where road trucks stand and where they drive in.

use std::f64::consts::TAU;
use std::io;

use geo::Coord;

use super::{Xml, inside, text};
use crate::geometry::{Feature, Frame, OutOfReach};
use crate::plan::{Plan, access, layers, printed_tons};
use crate::report::size;
use crate::stockpile::Pile;
use crate::units::{Mass, Quantity};
use crate::written::rounded;

/// The corners of the ring that a pile is drawn as.
const CORNERS: u8 = 48;

/// Something to be marked: a point, or lines.
pub struct Near<'a> {
    name: String,
    told: String,
    style: &'a str,
    /// WGS84 degrees; one vertex alone is a point.
    lines: Vec<Vec<Coord<f64>>>,
}

/// All that is near the zones of a plan.
pub fn all(plan: &Plan) -> Result<Vec<Near<'_>>, OutOfReach> {
    let frame = plan.field.boundary.frame();
    let mut found = Vec::new();
    for layer in layers(plan) {
        found.push(Near {
            name: layer.why.to_owned(),
            told: String::new(),
            style: "kept-from",
            lines: in_degrees(layer.features.iter().copied(), frame)?,
        });
    }
    if let Some(access) = access(plan) {
        found.push(Near {
            name: access.why.clone(),
            told: String::new(),
            style: "access",
            lines: in_degrees(access.features.iter(), frame)?,
        });
    }
    if let Some(at) = plan.settings.about.entrance {
        found.push(Near {
            name: "entrance".to_owned(),
            told: String::new(),
            style: "access",
            lines: vec![vec![rounded(at)]],
        });
    }
    let Some(stockpile) = &plan.stockpile else { return Ok(found) };
    let system = plan.settings.system;
    for (pile, tons) in stockpile.piles.iter().zip(printed_tons(plan, stockpile)) {
        let unit = Mass::unit(system).plural();
        found.push(Near {
            name: format!("pile {}", pile.number),
            told: format!("{tons:.2} {unit} to spread, {}", size(pile, system)),
            style: "pile",
            lines: vec![vec![pile.spot.wgs84], edge(pile, frame)?],
        });
    }
    Ok(found)
}

/// The edge of a pile.
fn edge(pile: &Pile, frame: &Frame) -> Result<Vec<Coord<f64>>, OutOfReach> {
    let radius = pile.cone.radius.as_metres();
    let corner = |number: u8| {
        let (sin, cos) = libm::sincos(f64::from(number % CORNERS) / f64::from(CORNERS) * TAU);
        let at = pile.spot.position + Coord { x: cos, y: sin } * radius;
        frame.to_wgs84(at).map(rounded)
    };
    (0..=CORNERS).map(corner).collect()
}

/// The lines of features, rings closed.
fn in_degrees<'a>(
    features: impl Iterator<Item = &'a Feature>,
    frame: &Frame,
) -> Result<Vec<Vec<Coord<f64>>>, OutOfReach> {
    let mut lines = Vec::new();
    for feature in features {
        for line in &feature.lines {
            let closing =
                line.first().filter(|first| feature.filled && line.last() != Some(*first));
            let places = line.iter().chain(closing).map(|at| frame.to_wgs84(*at).map(rounded));
            lines.push(places.collect::<Result<Vec<_>, _>>()?);
        }
    }
    Ok(lines)
}

/// How they are drawn: KML writes a color from its opacity to its red.
pub fn styles(xml: &mut Xml) -> io::Result<()> {
    for (id, color) in [("kept-from", "ff94530b"), ("access", "ff004a7a"), ("pile", "ff111111")] {
        inside(xml, "Style", &[("id", id)], |xml| {
            inside(xml, "LineStyle", &[], |xml| {
                text(xml, "color", color)?;
                text(xml, "width", "4")
            })
        })?;
    }
    Ok(())
}

impl Near<'_> {
    pub fn write(&self, xml: &mut Xml) -> io::Result<()> {
        inside(xml, "Placemark", &[], |xml| {
            text(xml, "name", &self.name)?;
            if !self.told.is_empty() {
                text(xml, "description", &self.told)?;
            }
            text(xml, "styleUrl", &format!("#{}", self.style))?;
            inside(xml, "MultiGeometry", &[], |xml| {
                self.lines.iter().try_for_each(|line| geometry(xml, line))
            })
        })
    }
}

fn geometry(xml: &mut Xml, line: &[Coord<f64>]) -> io::Result<()> {
    let places: Vec<String> = line.iter().map(|at| format!("{},{}", at.x, at.y)).collect();
    let kind = if line.len() == 1 { "Point" } else { "LineString" };
    inside(xml, kind, &[], |xml| {
        if line.len() > 1 {
            text(xml, "tessellate", "1")?;
        }
        text(xml, "coordinates", &places.join(" "))
    })
}
