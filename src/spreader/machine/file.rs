use schemars::{Schema, schema_for};
use serde::Deserialize;
use serde_json::{Value, json};

use super::checks::{self, MachineError};
use super::{BucketTest, ConstantKind, Machine, Material, RateChange, plausible};
use crate::toml_fault;
use crate::units::{Density, Length, Mass, Share, Speed, Time, Turning, Volume, Written};

/// A machine file: the spreader and what is in its hopper. Every quantity stands in quotes with
/// its unit.
#[derive(Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct File {
    /// The machine.
    #[schemars(with = "MachineTable")]
    machine: Option<MachineTable>,
    /// What is in the hopper.
    #[schemars(with = "MaterialTable")]
    material: Option<MaterialTable>,
}

/// A belt spreader with spinners.
#[derive(Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct MachineTable {
    /// What the owner calls it.
    #[schemars(with = "String")]
    name: Option<String>,
    /// The distance between two passes.
    #[schemars(with = "Written<Length>")]
    swath: Option<Written<Length>>,
    /// The width of the belt between the hopper sides.
    #[schemars(with = "Written<Length>")]
    belt_width: Option<Written<Length>>,
    /// The belt speeds that the controller can hold, least and most.
    #[schemars(with = "[Written<Speed>; 2]")]
    belt_speed: Option<[Written<Speed>; 2]>,
    /// The openings that the gate can be set to, least and most.
    #[schemars(with = "[Written<Length>; 2]")]
    gate_opening: Option<[Written<Length>; 2]>,
    /// The distance between the marks of the gate's scale; any opening when absent.
    gate_step: Option<Written<Length>>,
    /// The struck volume of the hopper.
    #[schemars(with = "Written<Volume>")]
    hopper_volume: Option<Written<Volume>>,
    /// The most that may be loaded.
    #[schemars(with = "Written<Mass>")]
    legal_load: Option<Written<Mass>>,
    /// The spinner speeds that can be set, least and most, for the setup sheet; not said when absent.
    spinner_speed: Option<[Written<Turning>; 2]>,
    /// The share of the gate's rectangle that the stream fills.
    #[schemars(with = "Written<Share>")]
    fill_factor: Option<Written<Share>>,
    /// The ground speeds that fields are driven at, least and most.
    #[schemars(with = "[Written<Speed>; 2]")]
    ground_speed: Option<[Written<Speed>; 2]>,
    /// The time from a new rate in the controller to the new rate on the ground; not known when
    /// absent.
    rate_change_delay: Option<Written<Time>>,
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
#[derive(Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct MaterialTable {
    /// What the supplier calls it.
    #[schemars(with = "String")]
    name: Option<String>,
    /// Its bulk density as loaded; that of `bucket_test` when absent.
    bulk_density: Option<Written<Density>>,
    /// A bucket test; `bulk_density` stands in its place when absent.
    bucket_test: Option<BucketTable>,
    /// Water in the mass as spread; not known when absent.
    moisture: Option<Written<Share>>,
    /// Gypsum in the dry mass; not known when absent.
    purity: Option<Written<Share>>,
}

/// A bucket weighed empty and full.
#[derive(Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct BucketTable {
    /// The empty bucket.
    #[schemars(with = "Written<Mass>")]
    empty: Option<Written<Mass>>,
    /// The bucket with its fill.
    #[schemars(with = "Written<Mass>")]
    full: Option<Written<Mass>>,
    /// The bucket's volume.
    #[schemars(with = "Written<Volume>")]
    volume: Option<Written<Volume>>,
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
/// round, nothing or less than nothing where there must be something, a share above 100 %. All that
/// is wrong is told at once.
pub fn read(file: &str, text: &str) -> Result<Machine, MachineError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (written, mut check) = match toml_fault::read::<File>(text) {
        Ok(written) => (Some(written), checks::FileChecks::new(file)),
        Err(faulty) => checks::FileChecks::after(file, faulty),
    };
    let File { machine: at, material: of } = written.unwrap_or_default();
    let material = material(&mut check, of.unwrap_or_default());
    let machine = machine(&mut check, at.unwrap_or_default(), material);
    check.all()?;
    // Without a fault there is all of it.
    let mut machine = machine.ok_or_else(|| checks::nothing(file))?;
    machine.warnings = plausible::warnings(file, &machine);
    Ok(machine)
}

fn machine(
    check: &mut checks::FileChecks<'_>,
    at: MachineTable,
    material: Option<Material>,
) -> Option<Machine> {
    let name = check.needed("machine.name", at.name, "a name in quotes");
    let system = at.swath.map(|swath| swath.system).unwrap_or_default();
    let swath = check.positive("machine.swath", at.swath);
    let belt_width = check.positive("machine.belt_width", at.belt_width);
    let belt_speed = check.range("machine.belt_speed", at.belt_speed);
    let gate_opening = check.range("machine.gate_opening", at.gate_opening);
    let gate_step = at.gate_step.map(|step| check.positive("machine.gate_step", Some(step)));
    let hopper_volume = check.positive("machine.hopper_volume", at.hopper_volume);
    let legal_load = check.positive("machine.legal_load", at.legal_load);
    let spinner_speed =
        at.spinner_speed.map(|speed| check.range("machine.spinner_speed", Some(speed)));
    let fill_factor = check.filled("machine.fill_factor", at.fill_factor);
    let ground_speed = check.range("machine.ground_speed", at.ground_speed);
    let delay = at.rate_change_delay;
    let delay = delay.map(|delay| check.not_negative("machine.rate_change_delay", Some(delay)));
    let mut seconds = |key, time: Option<Written<Time>>| {
        let time = time.map(|time| check.not_negative(key, Some(time)));
        time.flatten().unwrap_or(Time::ZERO)
    };
    let look_ahead = seconds("machine.look_ahead", at.look_ahead);
    let rate_rise = seconds("machine.rate_rise", at.rate_rise);
    let rate_fall = seconds("machine.rate_fall", at.rate_fall);
    let constant = check.constant(at.controller_constant, at.constant_kind);
    Some(Machine {
        name: name?,
        system,
        swath: swath?,
        belt_width: belt_width?,
        belt_speed: belt_speed?,
        gate_opening: gate_opening?,
        gate_step: gate_step.flatten(),
        hopper_volume: hopper_volume?,
        legal_load: legal_load?,
        spinner_speed: spinner_speed.flatten(),
        fill_factor: fill_factor?,
        ground_speed: ground_speed?,
        rate_change_delay: delay.flatten(),
        look_ahead,
        rate_rise,
        rate_fall,
        rate_change: at.rate_change,
        lands_behind: at.lands_behind.map_or(Length::ZERO, |written| written.value),
        constant,
        material: material?,
        warnings: Vec::new(),
    })
}

fn material(check: &mut checks::FileChecks<'_>, at: MaterialTable) -> Option<Material> {
    let name = check.needed("material.name", at.name, "a name in quotes");
    let bucket = at.bucket_test.map(|bucket| {
        let empty = check.not_negative("material.bucket_test.empty", bucket.empty);
        let full = check.positive("material.bucket_test.full", bucket.full);
        let volume = check.positive("material.bucket_test.volume", bucket.volume);
        check.heavier("material.bucket_test", bucket.full, bucket.empty);
        Some(BucketTest { empty: empty?, full: full?, volume: volume? })
    });
    let density =
        at.bulk_density.map(|density| check.positive("material.bulk_density", Some(density)));
    check.one_density(density.is_some(), bucket.is_some());
    let moisture = at.moisture.map(|share| check.share("material.moisture", share));
    let purity = at.purity.map(|share| check.share("material.purity", share));
    let bucket_test = bucket.flatten();
    let density = density.flatten().or(bucket_test.map(|test| test.density()));
    Some(Material {
        name: name?,
        density: density?,
        bucket_test,
        moisture: moisture.flatten(),
        purity: purity.flatten(),
    })
}
