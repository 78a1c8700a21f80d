//! Plans of a job that changes, each from the first stage that the change reaches.

use std::sync::{Arc, OnceLock};

use crate::plan::{Plan, Surfaced, Zoned};
use crate::report::{DrawnSurface, PlanningMap, ReportError};
use crate::work::{Files, Prepared, Work, WorkError};

/// The most fields with their surfaces that are kept: what undo and a second thought come back to.
const MOST_SURFACES: usize = 4;

/// What does not reach the surface: it is read by later stages alone.
const LATER: [&str; 15] = [
    "name",
    "units",
    "date",
    "grower",
    "farm",
    "entrance",
    "swath",
    "max_rate",
    "min_rate",
    "flat_rate",
    "plausible_rate",
    "tier",
    "taskdata",
    "landing",
    "zones",
];
/// The same of tables of which other keys name files.
const LATER_IN: [(&str, &[&str]); 4] = [
    ("order", &[]),
    ("prices", &[]),
    ("sodic", &[]),
    ("pile", &["place", "piles", "capacity", "repose", "bulk_density"]),
];

/// Stages of a job's plans, for the next one.
#[derive(Default)]
pub struct KeptStages {
    surfaces: Vec<Ground>,
}

struct Ground {
    key: String,
    prepared: Prepared,
    surfaced: Surfaced,
    zoned: Option<Zoned>,
    drawn: Arc<OnceLock<DrawnSurface>>,
}

/// A plan with what places are asked of, and its map.
pub struct Planned {
    /// The field with its surface.
    pub surfaced: Surfaced,
    /// The plan.
    pub plan: Plan,
    surface: Arc<OnceLock<DrawnSurface>>,
    map: OnceLock<PlanningMap>,
}

impl Planned {
    /// The map, drawn when it is asked for first.
    ///
    /// # Errors
    /// When a position of the plan has no place on it.
    pub fn map(&self) -> Result<&PlanningMap, ReportError> {
        if let Some(map) = self.map.get() {
            return Ok(map);
        }
        let map = self.draw(true)?;
        Ok(self.map.get_or_init(|| map))
    }

    /// The map drawn anew, with how sure places are or without.
    ///
    /// # Errors
    /// As [`Planned::map`].
    pub fn draw(&self, with_certainty: bool) -> Result<PlanningMap, ReportError> {
        PlanningMap::new(&self.plan, &self.surface, with_certainty)
    }
}

impl KeptStages {
    /// Plans a job. `written` is all that it says, as TOML, and `drawn` what it was read with besides;
    /// with the same of both its files are not read again.
    ///
    /// # Errors
    /// When a file or a setting is at fault, or the field cannot be planned.
    pub fn plan(
        &mut self,
        work: &Work,
        written: &str,
        drawn: &str,
        files: &dyn Files,
    ) -> Result<Planned, WorkError> {
        let key = format!("{}\n{drawn}", key(written));
        let found = self.surfaces.iter().position(|ground| ground.key == key);
        let mut ground = match found {
            Some(at) => self.surfaces.remove(at),
            None => Ground::new(key, work, files)?,
        };
        let planned = ground.plan(work);
        // The newest last.
        self.surfaces.push(ground);
        if self.surfaces.len() > MOST_SURFACES {
            self.surfaces.remove(0);
        }
        planned
    }

    /// Forgets everything, so that files are read again.
    pub fn forget(&mut self) {
        self.surfaces.clear();
    }
}

impl Ground {
    fn new(key: String, work: &Work, files: &dyn Files) -> Result<Self, WorkError> {
        let prepared = work.prepare(files)?;
        let settings = &prepared.settings;
        let surfaced = Surfaced::new(prepared.field.clone(), &settings.surface, settings.grid)?;
        Ok(Self { key, prepared, surfaced, zoned: None, drawn: Arc::default() })
    }

    fn plan(&mut self, work: &Work) -> Result<Planned, WorkError> {
        let settings = work.again(&self.prepared)?.settings;
        let zoned = match self.zoned.take().filter(|zoned| zoned.suits(&settings)) {
            Some(zoned) => zoned,
            None => Zoned::new(&self.surfaced, &settings)?,
        };
        let plan = Plan::new(&self.surfaced, &zoned, settings)?;
        self.zoned = Some(zoned);
        let (surfaced, surface) = (self.surfaced.clone(), Arc::clone(&self.drawn));
        Ok(Planned { surfaced, plan, surface, map: OnceLock::new() })
    }
}

/// What of a job reaches its surface.
fn key(written: &str) -> String {
    let text = written.strip_prefix('\u{feff}').unwrap_or(written);
    let Ok(mut table) = text.parse::<toml::Table>() else { return written.to_owned() };
    for later in LATER {
        table.remove(later);
    }
    for (name, keys) in LATER_IN {
        let Some(inner) = table.get_mut(name).and_then(toml::Value::as_table_mut) else { continue };
        for later in keys {
            inner.remove(*later);
        }
        if keys.is_empty() {
            table.remove(name);
        }
    }
    table.to_string()
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;
    use crate::work::Memory;

    const JOB: &str = "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n";

    fn files() -> Memory {
        let mut files = Memory::default();
        let field = r#"{"type": "Polygon", "coordinates": [[[-85.2, 40.4],
            [-85.1976, 40.4], [-85.1976, 40.4018], [-85.2, 40.4018], [-85.2, 40.4]]]}"#;
        let samples = "id,longitude,latitude,cec\n\
            A1,-85.1996,40.4004,6\nA2,-85.1988,40.4004,9\nA3,-85.1980,40.4004,13\n\
            B1,-85.1996,40.4014,8\nB2,-85.1988,40.4014,14\nB3,-85.1980,40.4014,19\n";
        files.put("field.geojson", field).put("samples.csv", samples);
        files
    }

    /// Whatever is kept, a plan is that of the job alone.
    #[test]
    fn kept_stages_change_nothing() {
        let (files, mut kept) = (files(), KeptStages::default());
        for more in [
            "",
            "[[tier]]\nunder = 11\nrate = \"1 ton/ac\"\n[[tier]]\nfrom = 11\nrate = \"2 ton/ac\"\n",
            "exclude = [\"A2\"]\n",
            "[pile]\nplace = [-85.1988, 40.4009]\n",
            "[order]\ndelivery = \"5 ton\"\n",
            "[zones]\nclean_up = false\n",
            "",
        ] {
            let text = format!("{JOB}{more}");
            let work = Work::of_file(Path::new("corner.toml"), &text).unwrap();
            let planned = kept.plan(&work, &text, "", &files).unwrap();
            let (alone, _) = work.plan(&files).unwrap();
            let totals = crate::write::plan_totals(&planned.plan);
            assert_eq!(totals, crate::write::plan_totals(&alone), "{more}");
        }
        assert_eq!(kept.surfaces.len(), 3);
    }
}
