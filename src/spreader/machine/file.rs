use schemars::{Schema, schema_for};
use serde::Deserialize;
use serde_json::{Value, json};

use super::checks::{self, MachineError};
use super::{BucketTest, Constant, ConstantKind, Machine, Material, RateChange, plausible};
use crate::toml_fault;
use crate::units::{
    Density, Length, Mass, Quantity, Share, Speed, System, Time, Turning, Unit, Volume, Written,
    round_to,
};

/// A machine file: the spreader and what is in its hopper. Every quantity stands in quotes with
/// its unit.
#[derive(Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct File {
    /// The machine.
    machine: MachineTable,
    /// What is in the hopper.
    material: MaterialTable,
}

/// A belt spreader with spinners.
#[derive(Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct MachineTable {
    /// What the owner calls it.
    name: String,
    /// The distance between two passes.
    swath: Written<Length>,
    /// The width of the belt between the hopper sides.
    belt_width: Written<Length>,
    /// The belt speeds that the controller can hold, least and most.
    belt_speed: [Written<Speed>; 2],
    /// The openings that the gate can be set to, least and most.
    gate_opening: [Written<Length>; 2],
    /// The distance between the marks of the gate's scale; any opening when absent.
    gate_step: Option<Written<Length>>,
    /// The struck volume of the hopper.
    hopper_volume: Written<Volume>,
    /// The most that may be loaded.
    legal_load: Written<Mass>,
    /// The spinner speeds that can be set, least and most.
    spinner_speed: [Written<Turning>; 2],
    /// The share of the gate's rectangle that the stream fills.
    fill_factor: Written<Share>,
    /// The ground speeds that fields are driven at, least and most.
    ground_speed: [Written<Speed>; 2],
    /// The time from a new rate in the controller to the new rate on the ground.
    rate_change_delay: Written<Time>,
    /// How far ahead, in time, the controller is set to read the map; `"0 s"` when absent.
    look_ahead: Option<Written<Time>>,
    /// How long the flow takes to reach a higher rate, once it begins to change; `"0 s"` when absent.
    rate_rise: Option<Written<Time>>,
    /// How long it takes to come down to a lower rate; `"0 s"` when absent.
    rate_fall: Option<Written<Time>>,
    /// How it goes there: `"straight"`, the times being those of the whole change, or `"first-order"`, the
    /// times being those of 63 % of it; `"straight"` when absent.
    #[serde(default)]
    rate_change: RateChange,
    /// How far behind the receiver's antenna the material lands; `"0 ft"` when absent.
    lands_behind: Option<Written<Length>>,
    /// The controller's constant, as it shows it; none when absent.
    controller_constant: Option<f64>,
    /// Which way the constant counts, needed with `controller_constant`; none when absent.
    constant_kind: Option<ConstantKind>,
}

/// What is in the hopper.
#[derive(Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct MaterialTable {
    /// What the supplier calls it.
    name: String,
    /// Its bulk density as loaded; that of `bucket_test` when absent.
    bulk_density: Option<Written<Density>>,
    /// A bucket test; `bulk_density` stands in its place when absent.
    bucket_test: Option<BucketTable>,
    /// Water in the mass as spread.
    moisture: Written<Share>,
    /// Gypsum in the dry mass.
    purity: Written<Share>,
}

/// A bucket weighed empty and full.
#[derive(Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct BucketTable {
    /// The empty bucket.
    empty: Written<Mass>,
    /// The bucket with its fill.
    full: Written<Mass>,
    /// The bucket's volume.
    volume: Written<Volume>,
}

/// The JSON Schema of machine files.
#[must_use]
pub fn schema() -> Schema {
    let mut schema = schema_for!(File);
    let material = schema.pointer_mut("/$defs/MaterialTable").and_then(Value::as_object_mut);
    if let Some(material) = material {
        let either = json!([{ "required": ["bulk_density"] }, { "required": ["bucket_test"] }]);
        material.insert("oneOf".to_owned(), either);
    }
    schema
}

/// Reads a machine file: TOML with a `machine` and a `material` section, every quantity in quotes
/// with its unit, every range as `["least", "most"]`.
///
/// # Errors
/// When the text is not such a file, or a value cannot be: a range whose ends are the wrong way
/// round, nothing or less than nothing where there must be something, a share above 100 %.
pub fn read(file: &str, text: &str) -> Result<Machine, MachineError> {
    let written: File = toml::from_str(text).map_err(|error| {
        let (line, message) = toml_fault::told(text, &error);
        MachineError::Toml { file: file.to_owned(), line, message }
    })?;
    let check = checks::In { file };
    let at = written.machine;
    let system = at.swath.system;
    let material = material(&check, written.material)?;
    let constant = constant(&check, at.controller_constant, at.constant_kind)?;
    let mut machine = Machine {
        system,
        swath: check.positive("machine.swath", at.swath)?,
        belt_width: check.positive("machine.belt_width", at.belt_width)?,
        belt_speed: check.range("machine.belt_speed", at.belt_speed)?,
        gate_opening: check.range("machine.gate_opening", at.gate_opening)?,
        gate_step: at.gate_step.map(|s| check.positive("machine.gate_step", s)).transpose()?,
        hopper_volume: check.positive("machine.hopper_volume", at.hopper_volume)?,
        legal_load: check.positive("machine.legal_load", at.legal_load)?,
        spinner_speed: check.range("machine.spinner_speed", at.spinner_speed)?,
        fill_factor: check.filled("machine.fill_factor", at.fill_factor)?,
        ground_speed: check.range("machine.ground_speed", at.ground_speed)?,
        rate_change_delay: check.not_negative("machine.rate_change_delay", at.rate_change_delay)?,
        look_ahead: check.absent_or_not_negative("machine.look_ahead", at.look_ahead)?,
        rate_rise: check.absent_or_not_negative("machine.rate_rise", at.rate_rise)?,
        rate_fall: check.absent_or_not_negative("machine.rate_fall", at.rate_fall)?,
        rate_change: at.rate_change,
        lands_behind: at.lands_behind.map_or(Length::ZERO, |written| written.value),
        constant,
        material,
        warnings: Vec::new(),
        name: at.name,
    };
    machine.warnings = plausible::warnings(file, &machine);
    Ok(machine)
}

fn material(check: &checks::In<'_>, at: MaterialTable) -> Result<Material, MachineError> {
    let (density, bucket_test) = match (at.bulk_density, at.bucket_test) {
        (Some(density), None) => (check.positive("material.bulk_density", density)?, None),
        (None, Some(bucket)) => {
            let (full, empty) = (bucket.full, bucket.empty);
            let test = BucketTest {
                empty: check.not_negative("material.bucket_test.empty", empty)?,
                full: check.positive("material.bucket_test.full", full)?,
                volume: check.positive("material.bucket_test.volume", bucket.volume)?,
            };
            check.heavier("material.bucket_test", full, empty)?;
            (test.density(), Some(test))
        }
        (given, _) => return Err(check.one_density(given.is_some())),
    };
    Ok(Material {
        name: at.name,
        density,
        bucket_test,
        moisture: check.share("material.moisture", at.moisture)?,
        purity: check.share("material.purity", at.purity)?,
    })
}

fn constant(
    check: &checks::In<'_>,
    value: Option<f64>,
    kind: Option<ConstantKind>,
) -> Result<Option<Constant>, MachineError> {
    match (value, kind) {
        (None, None) => Ok(None),
        (Some(value), Some(kind)) if value.is_finite() && value > 0.0 => {
            Ok(Some(Constant { value, kind }))
        }
        (value, kind) => Err(check.bad_constant(value, kind.is_some())),
    }
}

/// How a quantity is said: in the first unit of the system in which it is one or more.
pub(super) fn said<Q: Quantity>(value: Q, system: System) -> String {
    let unit = unit_for(value, system);
    format!("{} {}", number_in(value, unit), unit.symbol())
}

/// The first unit of a system in which a quantity is one or more, or else the smallest one.
pub(super) fn unit_for<Q: Quantity>(value: Q, system: System) -> &'static Unit {
    let units = || Q::UNITS.iter().filter(|unit| unit.system == system);
    let whole = units().find(|unit| value.si().abs() >= unit.si || value.si() == 0.0);
    let smallest = || units().min_by(|a, b| a.si.total_cmp(&b.si));
    whole.or_else(smallest).unwrap_or_else(|| Q::unit(system))
}

/// The number in a unit, without zeros that say nothing.
pub(super) fn number_in<Q: Quantity>(value: Q, unit: &Unit) -> f64 {
    round_to(value.si() / unit.si, 3)
}
