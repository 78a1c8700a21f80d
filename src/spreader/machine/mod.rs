//! The machine and what is in its hopper, from a TOML file.

#[cfg(test)]
mod bad_inputs;
mod checks;
mod file;
mod material;
mod plausible;
mod shown;

use super::Range;
use super::flow::Stream;
use crate::units::{Length, Mass, Share, Speed, System, Time, Turning, Volume};
use crate::warning::Warning;

pub use checks::MachineError;
pub use file::{read, schema};
pub use material::{BucketTest, Material};

/// A belt spreader with spinners, and its material.
///
/// ```
/// use landplaster::spreader::machine;
/// use landplaster::units::{Mass, Quantity};
///
/// let text = r#"
/// [machine]
/// name = "belt spreader"
/// swath = "40 ft"
/// belt_width = "30 in"
/// belt_speed = ["3 ft/min", "60 ft/min"]
/// gate_opening = ["2 in", "14 in"]
/// hopper_volume = "300 ft3"
/// legal_load = "8 ton"
/// fill_factor = "85 %"
/// ground_speed = ["6 mph", "10 mph"]
///
/// [material]
/// name = "mined gypsum"
/// bulk_density = "60 lb/ft3"
/// "#;
/// let spreader = machine::read("machine.toml", text)?;
/// // The hopper would hold 300 ft3 of 60 lb/ft3, which is 9 tons; 8 may be loaded.
/// assert!((spreader.load().si() - Mass::tons(8.0).si()).abs() < 1e-6);
///
/// // What cannot be is told with its place.
/// let error = machine::read("machine.toml", &text.replace("40 ft", "-40 ft")).unwrap_err();
/// assert!(error.to_string().starts_with("machine.toml, machine.swath: found -40 ft"));
/// # Ok::<(), machine::MachineError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// What the owner calls it.
    pub name: String,
    /// The units that it is described and printed in: those of its swath.
    pub system: System,
    /// Distance between the driven lines.
    pub swath: Length,
    /// Width of the belt between the hopper sides.
    pub belt_width: Length,
    /// Belt speeds that the controller can hold.
    pub belt_speed: Range<Speed>,
    /// Openings that the gate can be set to.
    pub gate_opening: Range<Length>,
    /// Distance between the marks of the gate's scale, if it has any.
    pub gate_step: Option<Length>,
    /// Struck volume of the hopper.
    pub hopper_volume: Volume,
    /// The most that may be loaded.
    pub legal_load: Mass,
    /// Spinner speeds that can be set, if they are known.
    pub spinner_speed: Option<Range<Turning>>,
    /// Share of the gate's rectangle that the stream fills.
    pub fill_factor: Share,
    /// Ground speeds that the field is driven at.
    pub ground_speed: Range<Speed>,
    /// Time from a new rate in the controller to the new rate on the ground, if it is known.
    pub rate_change_delay: Option<Time>,
    /// How far ahead, in time, the controller reads the map.
    pub look_ahead: Time,
    /// How long the flow takes to a higher rate, once it begins to change: all of the way where it goes
    /// straight, 63 % of it where it goes by a first-order lag.
    pub rate_rise: Time,
    /// The same to a lower rate.
    pub rate_fall: Time,
    /// How it goes.
    pub rate_change: RateChange,
    /// How far behind the receiver's antenna the material lands.
    pub lands_behind: Length,
    /// The controller's constant, if it is known.
    pub constant: Option<Constant>,
    /// What is in the hopper.
    pub material: Material,
    /// What lies outside the plausible ranges.
    pub warnings: Vec<Warning>,
}

impl Machine {
    /// The stream that leaves through the gate.
    #[must_use]
    pub fn stream(&self) -> Stream {
        Stream {
            belt_width: self.belt_width,
            fill_factor: self.fill_factor,
            density: self.material.density,
        }
    }

    /// One fill of the hopper.
    #[must_use]
    pub fn load(&self) -> Mass {
        super::flow::load(self.hopper_volume, self.material.density, self.legal_load)
    }
}

/// How the flow goes from one rate to another.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RateChange {
    /// In a straight line.
    #[default]
    Straight,
    /// Fast at first, then ever slower.
    FirstOrder,
}

/// The number by which a controller turns belt pulses into mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Constant {
    /// The number, as the controller shows it.
    pub value: f64,
    /// Which way it counts.
    pub kind: ConstantKind,
}

impl Constant {
    /// The constant with which the controller would have shown `more` times what it showed: c times
    /// that where it is mass a pulse, and c by that where it is pulses a unit of mass (common
    /// practice, no source).
    #[must_use]
    pub fn corrected(self, more: f64) -> Self {
        let value = match self.kind {
            ConstantKind::MassPerPulse => self.value * more,
            ConstantKind::PulsesPerMass => self.value / more,
        };
        Self { value, ..self }
    }
}

/// Which way a controller's constant counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ConstantKind {
    /// Mass for each pulse: it grows when more was spread than shown.
    MassPerPulse,
    /// Pulses for each unit of mass: it shrinks when more was spread than shown.
    PulsesPerMass,
}
