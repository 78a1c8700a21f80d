//! The layer of a sodic soil as a job writes it.

use serde::Deserialize;

use super::JobError;
use super::range::within;
use crate::faults::Faults;
use crate::soil::SodicLayer;
use crate::units::{Density, Length, Share, Written};

/// The shallowest and the deepest layer that is ever reclaimed.
const DEPTHS: [Length; 2] = [Length::inches(1.0), Length::feet(6.0)];
/// From a peat to a compacted subsoil.
const DENSITIES: [Density; 2] =
    [Density::kilograms_per_cubic_metre(300.0), Density::kilograms_per_cubic_metre(2000.0)];
/// What may be left: at 0 % none of the calcium would find sodium, and more is still sodic.
const TARGETS: [Share; 2] = [Share::percent(1.0), SodicLayer::SODIC];

/// What a job says about a sodic soil.
#[derive(Clone, Copy, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SodicEntry {
    /// How deep the layer is; `"6 in"` when absent.
    pub depth: Option<Written<Length>>,
    /// Its bulk density; about 91.8 lb/ft3 (1.47 Mg/m3) when absent.
    pub bulk_density: Option<Written<Density>>,
    /// The exchangeable sodium that is to be left; `"15 %"` when absent.
    pub target: Option<Written<Share>>,
}

impl SodicEntry {
    pub(super) fn layer(&self, file: &str) -> Result<SodicLayer, JobError> {
        let usual = SodicLayer::default();
        let mut faults = Faults::default();
        let [shallow, deep] = DEPTHS;
        let expected = "1 in to 72 in (3 cm to 183 cm)";
        let depth = within(file, "[sodic] depth", self.depth, shallow..=deep, expected);
        let depth = faults.of(depth);
        let [light, heavy] = DENSITIES;
        let expected = "300 kg/m3 to 2000 kg/m3 (19 lb/ft3 to 125 lb/ft3)";
        let density =
            within(file, "[sodic] bulk_density", self.bulk_density, light..=heavy, expected);
        let density = faults.of(density);
        let [least, most] = TARGETS;
        let expected = "1 % to 15 % of the CEC";
        let target = within(file, "[sodic] target", self.target, least..=most, expected);
        let target = faults.of(target);
        faults.all()?;
        Ok(SodicLayer {
            depth: depth.flatten().unwrap_or(usual.depth),
            density: density.flatten().unwrap_or(usual.density),
            target: target.flatten().unwrap_or(usual.target),
        })
    }
}
