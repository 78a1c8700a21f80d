//! A plan as treatment zones and, if so set, a grid.

use std::collections::BTreeMap;

use geo::{BooleanOps, Polygon};

use super::raster::{Class, Raster, raster};
use super::settings::{Form, TaskSettings};
use super::{Name, fault, setpoint};
use crate::geometry::{geodesic_area, simplify};
use crate::plan::{Plan, ZoneRow, zone_rate};
use crate::units::{Area, Mass};
use crate::write::FormatError;

/// The highest code of a treatment zone (ISO 11783-10, attribute TZN A).
const LAST_CODE: u8 = 254;
/// Outside of the field and where no zone is: rate 0.
pub const OUTSIDE: u8 = 0;

/// A treatment zone.
pub struct Treatment {
    pub code: u8,
    pub name: Name,
    /// In mg/m².
    pub value: i32,
    pub polygons: Vec<Polygon<f64>>,
}

/// What a task says to do.
pub struct Task {
    pub treatments: Vec<Treatment>,
    /// The zone while the receiver has no position.
    pub position_lost: u8,
    pub grid: Option<Raster>,
    /// The zone that says what the values of a grid's cells are, where they are rates.
    pub template: Option<u8>,
    /// What the zones or cells, as written, take.
    pub mass: Mass,
    /// The ground that polygons of fewer vertices put elsewhere than the plan has it.
    pub moved: Area,
}

/// Treatment zones in the form that is set.
pub fn task(plan: &Plan, settings: &TaskSettings) -> Result<Task, FormatError> {
    let outside =
        Treatment { code: OUTSIDE, name: Name::cut("out of field"), value: 0, polygons: vec![] };
    let mut treatments = vec![outside];
    let (mut grid, mut template) = (None, None);
    let (mass, moved) = match settings.form {
        Form::Zones => zones(plan, settings, &mut treatments)?,
        Form::ZoneGrid | Form::RateGrid => {
            let raster = gridded(plan, settings, &mut treatments)?;
            (grid.insert(raster).mass, Area::ZERO)
        }
    };
    if settings.form == Form::RateGrid {
        let name = Name::cut("rate grid");
        template = Some(add(&mut treatments, name, 0, vec![])?);
    }
    let value = setpoint::of(settings.position_lost)?;
    let position_lost = if value == 0 {
        OUTSIDE
    } else {
        add(&mut treatments, Name::cut("position lost"), value, vec![])?
    };
    Ok(Task { treatments, position_lost, grid, template, mass, moved })
}

/// Adds a treatment zone with the code after those that are taken: they count from 0 without gap.
fn add(
    treatments: &mut Vec<Treatment>,
    name: Name,
    value: i32,
    polygons: Vec<Polygon<f64>>,
) -> Result<u8, FormatError> {
    let code = u8::try_from(treatments.len()).ok().filter(|code| *code <= LAST_CODE);
    let code = code.ok_or_else(|| {
        fault(format!(
            "found more than {LAST_CODE} treatment zones; set [taskdata] form = \"zone grid\" or \"rate grid\", which need one a rate"
        ))
    })?;
    treatments.push(Treatment { code, name, value, polygons });
    Ok(code)
}

/// A piece of the field and what it gets.
struct Piece<'a> {
    polygon: &'a Polygon<f64>,
    label: &'a str,
    value: i32,
    is_kept_out: bool,
}

/// The zones, then what is not spread: here that is always said, as rate 0.
fn pieces(plan: &Plan) -> Result<Vec<Piece<'_>>, FormatError> {
    let mut pieces = Vec::new();
    for zone in &plan.zones {
        let value = setpoint::of(zone_rate(plan, zone))?;
        let label = ZoneRow::of(plan, zone).label;
        pieces.push(Piece { polygon: &zone.polygon, label, value, is_kept_out: false });
    }
    pieces.extend(plan.unspread.iter().map(|piece| Piece {
        polygon: &piece.polygon,
        label: &piece.why,
        value: 0,
        is_kept_out: true,
    }));
    Ok(pieces)
}

/// A treatment zone for each piece; what they take, and how much ground is in another than planned.
fn zones(
    plan: &Plan,
    settings: &TaskSettings,
    treatments: &mut Vec<Treatment>,
) -> Result<(Mass, Area), FormatError> {
    let pieces = pieces(plan)?;
    let planned: Vec<Polygon<f64>> = pieces.iter().map(|piece| piece.polygon.clone()).collect();
    let mut polygons = planned.clone();
    if let Some(most) = settings.max_vertices {
        polygons = simplify(&polygons, most).map_err(|stubborn| {
            fault(format!(
                "zone {} keeps {} positions where it meets other zones or turns back on itself, more than [taskdata] max_vertices = {most}; set more, or form = \"zone grid\" or \"rate grid\"",
                stubborn.polygon + 1,
                stubborn.vertices
            ))
        })?;
    }
    let moved = moved(&planned, &polygons);
    let mut mass = Mass::ZERO;
    for (piece, polygon) in pieces.iter().zip(polygons) {
        mass = mass + setpoint::rate(piece.value) * geodesic_area(&polygon);
        add(treatments, Name::cut(piece.label), piece.value, vec![polygon])?;
    }
    Ok((mass, moved))
}

/// The ground that left its piece, or that came to one, whichever is more: what goes from piece to
/// piece is in both, what the field loses in the first, what lies beyond it in the second.
fn moved(planned: &[Polygon<f64>], written: &[Polygon<f64>]) -> Area {
    let (mut left, mut came) = (Area::ZERO, Area::ZERO);
    for (planned, written) in planned.iter().zip(written).filter(|(a, b)| a != b) {
        let kept = planned.intersection(written);
        let kept = kept.iter().map(geodesic_area).fold(Area::ZERO, |sum, area| sum + area);
        left = left + (geodesic_area(planned) - kept);
        came = came + (geodesic_area(written) - kept);
    }
    if left > came { left } else { came }
}

/// What has one value, apart from keep-out areas.
type ByValue = BTreeMap<(i32, bool), (Name, Vec<Polygon<f64>>)>;

/// A grid; where its cells hold codes, with a treatment zone for each rate above 0.
fn gridded(
    plan: &Plan,
    settings: &TaskSettings,
    treatments: &mut Vec<Treatment>,
) -> Result<Raster, FormatError> {
    let mut by_value = ByValue::new();
    for Piece { polygon, label, value, is_kept_out } in pieces(plan)? {
        let class = by_value.entry((value, is_kept_out));
        let class = class.or_insert_with(|| (Name::cut(label), Vec::new()));
        class.1.push(polygon.clone());
    }
    let mut classes = Vec::new();
    for ((value, is_kept_out), (name, polygons)) in by_value {
        let cell = match settings.form {
            Form::ZoneGrid if value != 0 => i32::from(add(treatments, name, value, vec![])?),
            Form::ZoneGrid => i32::from(OUTSIDE),
            Form::Zones | Form::RateGrid => value,
        };
        classes.push(Class { value: cell, polygons, rate: setpoint::rate(value), is_kept_out });
    }
    let frame = plan.field.boundary.frame();
    raster(settings.form, &classes, plan.total.mass, settings.cell, frame)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_end_at_254() {
        let mut treatments = Vec::new();
        let mut one_more = || add(&mut treatments, Name::cut("z"), 0, vec![]);
        for code in 0..=254 {
            assert_eq!(one_more().unwrap(), code);
        }
        assert_eq!(
            one_more().unwrap_err().to_string(),
            "TASKDATA/TASKDATA.XML: found more than 254 treatment zones; set [taskdata] form = \"zone grid\" or \"rate grid\", which need one a rate"
        );
    }
}
