//! The job file: one field's work, as written in TOML and as understood; and the farm file, which
//! names jobs and says what they share.
//!
//! Every setting but the two paths has a default, and everything written is checked here: unknown
//! keys, units, tiers, and numbers out of range.

mod about;
mod changes;
mod checked;
mod entry;
mod error;
mod farm;
mod keep_out;
mod landing;
mod order;
mod path;
mod pile;
mod plausible_rate;
mod prices;
mod range;
mod set_rate;
mod settings;
mod sodic;
mod surface;
mod taskdata;
mod zones;

use std::path::PathBuf;

use serde::Deserialize;

pub use changes::{Changes, KeepOutText, KeepOutTextError};
pub use entry::{AccessEntry, BoundaryEntry, FieldsEntry, LaboratoryEntry, SamplesEntry};
pub use error::JobError;
pub use farm::{Farm, FarmFields, FarmJob, FieldOfFarm};
pub use keep_out::KeepOutEntry;
pub use landing::{LandingEntry, MOST_ROUNDS};
pub use order::OrderEntry;
pub use pile::{PileEntry, SetbackEntry};
pub use prices::{PricesEntry, ProductPer};
pub use set_rate::SetRateEntry;
pub use sodic::SodicEntry;
pub use surface::{NeighborsEntry, SurfaceEntry};
pub use taskdata::TaskDataEntry;
pub use zones::{HeadingEntry, ZonesEntry};

use crate::faults::Fault;
use crate::read::CationSettings;
use crate::soil::TierSetting;
use crate::toml_fault::{self, Faulty};
use crate::units::{Length, Rate, System, Written};

/// A job: one field's work. Paths are relative to the job file.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// What the job and its folder are called; the job file's name when absent.
    pub name: Option<String>,
    /// The units to print in; those that the job is written in when absent.
    pub units: Option<System>,
    /// The day of the plan, such as `"2026-04-14"`, for the field sheet; not said when absent.
    pub date: Option<String>,
    /// Whose field it is, for the field sheet; not said when absent.
    pub grower: Option<String>,
    /// The farm that it belongs to, for the field sheet; the farm file's name, or else not said, when absent.
    pub farm: Option<String>,
    /// Where trucks drive in: longitude and latitude, WGS84 degrees; not said when absent.
    pub entrance: Option<[f64; 2]>,
    /// Where the field's boundary is.
    pub boundary: BoundaryEntry,
    /// Where the samples are.
    pub samples: SamplesEntry,
    /// Where the laboratory's table is, if it is apart; the samples have the CEC when absent.
    pub laboratory: Option<LaboratoryEntry>,
    /// The names of samples that do not count; `[]` when absent.
    #[serde(default)]
    pub exclude: Vec<String>,
    /// How far outside the boundary samples count; about one sample spacing when absent.
    pub samples_within: Option<Written<Length>>,
    /// The distance between two passes of the machine; not known when absent.
    pub swath: Option<Written<Length>>,
    /// How far from the boundary's holes nothing is spread; not said when absent.
    pub hole_setback: Option<Written<Length>>,
    /// The highest rate that is spread; no limit when absent.
    pub max_rate: Option<Written<Rate>>,
    /// The lowest rate that is spread where anything is; no limit when absent.
    pub min_rate: Option<Written<Rate>>,
    /// The one rate that the map is compared with; that of the field's mean CEC when absent.
    pub flat_rate: Option<Written<Rate>>,
    /// The highest rate that is taken for meant; 20 ton/ac when absent.
    pub plausible_rate: Option<Written<Rate>>,
    /// How CEC is summed where the table has none; not at all when absent.
    pub cations: Option<CationSettings>,
    /// How the CEC between samples is found.
    #[serde(default)]
    pub surface: SurfaceEntry,
    /// What becomes of small zones, rows, and ground that is not spread.
    #[serde(default)]
    pub zones: ZonesEntry,
    /// The file of the spreader and its material; none when absent.
    #[serde(default, deserialize_with = "path::maybe")]
    #[schemars(!default)]
    pub spreader: Option<PathBuf>,
    /// The file of a catch-pan test of the spreader, for the field sheet; none when absent.
    #[serde(default, deserialize_with = "path::maybe")]
    #[schemars(!default)]
    pub pans: Option<PathBuf>,
    /// The log of the spreader's weigh tests, for how far the order may be off; not known when absent.
    #[serde(default, deserialize_with = "path::maybe")]
    #[schemars(!default)]
    pub weigh_tests: Option<PathBuf>,
    /// What is ordered, trucked and loaded; no order without a spreader or prices when absent.
    pub order: Option<OrderEntry>,
    /// What it costs; no money is reckoned when absent.
    pub prices: Option<PricesEntry>,
    /// The layer that a sodic soil is reclaimed in.
    #[serde(default)]
    pub sodic: SodicEntry,
    /// What is kept from, the first first; nothing when absent.
    #[serde(default)]
    pub keep_out: Vec<KeepOutEntry>,
    /// Where the rate is set whatever the soil test says, the first first; nowhere when absent.
    #[serde(default)]
    pub set_rate: Vec<SetRateEntry>,
    /// Whether a farm file says what is kept from, for all of its fields.
    #[serde(skip)]
    pub keep_out_of_farm: bool,
    /// Piles in the field; none are placed when absent.
    pub pile: Option<PileEntry>,
    /// The tiers, from the lowest CEC; 0.5 ton/ac under 10, 1 ton/ac from 10 to 15, 2 ton/ac over 15 when absent.
    #[serde(default)]
    pub tier: Vec<TierSetting>,
    /// How task data for rate controllers is written; it is not when absent.
    pub taskdata: Option<TaskDataEntry>,
    /// How the field is driven when what lands is reckoned, which it is where there are a spreader and a
    /// pan test; one headland round and passes as the rows run when absent.
    pub landing: Option<LandingEntry>,
}

impl Job {
    /// Reads a job file's text; `name` is the file's, for messages.
    ///
    /// # Errors
    /// When it is no TOML, a key is unknown or missing, or a value is not what its key takes. All
    /// such faults are told, and what else is wrong in the job's other settings.
    pub fn read(name: &str, text: &str) -> Result<Self, JobError> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        toml_fault::read(text).map_err(|faulty| Self::faults(name, faulty, "job"))
    }

    /// All that is wrong with a file that can be read as a job only in part; `called` is what the
    /// job is called unless it says.
    fn faults(file: &str, faulty: Faulty<Self>, called: &str) -> JobError {
        let Faulty { faults, rest, in_keys } = faulty;
        let mut all = JobError::toml(file, faults);
        let others = rest.and_then(|rest| checked::checked(&rest, file, called).err());
        let at_fault: Vec<&str> = in_keys.iter().filter_map(|key| key.split('.').next()).collect();
        // What is lacking may be what could not be read.
        let lacks = |fault: &JobError| match fault {
            JobError::Lacks { .. } => true,
            JobError::NotApplied { when, .. } => when.starts_with("without"),
            _ => false,
        };
        let told = |fault: &JobError| {
            !lacks(fault) && fault.key().is_some_and(|key| !at_fault.contains(&key))
        };
        all.extend(others.into_iter().flat_map(Fault::each).filter(told));
        JobError::of(all)
    }

    /// The job of a boundary and samples, everything else at its default.
    #[must_use]
    pub fn of_files(boundary: PathBuf, samples: PathBuf, laboratory: Option<PathBuf>) -> Self {
        Self {
            name: None,
            units: None,
            date: None,
            grower: None,
            farm: None,
            entrance: None,
            boundary: BoundaryEntry::of(boundary),
            samples: SamplesEntry::of(samples),
            laboratory: laboratory.map(LaboratoryEntry::of),
            exclude: Vec::new(),
            samples_within: None,
            swath: None,
            hole_setback: None,
            max_rate: None,
            min_rate: None,
            flat_rate: None,
            plausible_rate: None,
            cations: None,
            surface: SurfaceEntry::default(),
            zones: ZonesEntry::default(),
            spreader: None,
            pans: None,
            weigh_tests: None,
            order: None,
            prices: None,
            sodic: SodicEntry::default(),
            keep_out: Vec::new(),
            set_rate: Vec::new(),
            keep_out_of_farm: false,
            pile: None,
            tier: Vec::new(),
            taskdata: None,
            landing: None,
        }
    }
}
