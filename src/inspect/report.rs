use serde_json::{Map, Value, json};

use crate::units::{Area, Mass, Quantity, Rate, System, Unit, apportion, round_to};

/// A zone as a controller would see it.
#[derive(Clone, Debug, Default)]
pub struct SeenZone {
    /// What it is called.
    pub name: String,
    /// Its rate, where that is known with its unit.
    pub rate: Option<Rate>,
    /// Its rate as the file has it.
    pub written: String,
    /// How many parts or cells it has.
    pub parts: usize,
    /// Its area on the ellipsoid, where it has one.
    pub area: Option<Area>,
}

impl SeenZone {
    /// The material for it.
    #[must_use]
    pub fn mass(&self) -> Option<Mass> {
        Some(self.rate? * self.area?)
    }
}

/// What was found in a file.
#[derive(Clone, Debug, Default)]
pub struct Inspection {
    /// The file.
    pub file: String,
    /// What kind of file it is.
    pub format: String,
    /// The coordinate system.
    pub crs: String,
    /// What else it says of itself: a word and what stands for it.
    pub facts: Vec<(&'static str, String)>,
    /// The zones, or what a grid's cells stand for.
    pub zones: Vec<SeenZone>,
    /// What departs from the format, or would surprise in the field.
    pub departures: Vec<String>,
    /// What is as it should be but may be worth knowing.
    pub notes: Vec<String>,
    /// The unit that the rates are in or are shown in, if the file says one.
    pub rate_unit: Option<&'static Unit>,
}

impl Inspection {
    /// The area of all zones.
    #[must_use]
    pub fn area(&self) -> Area {
        self.zones.iter().filter_map(|zone| zone.area).sum()
    }

    /// The material for all zones that have a rate.
    #[must_use]
    pub fn mass(&self) -> Mass {
        self.zones.iter().filter_map(SeenZone::mass).sum()
    }

    /// The area of all zones and of each as printed: the rows add up to their sum.
    pub(crate) fn printed_areas(&self, decimals: u32) -> (f64, Vec<Option<f64>>) {
        let of = |zone: &SeenZone| zone.area.map(|area| area.value_in(self.system()));
        printed(self.area().value_in(self.system()), self.zones.iter().map(of), decimals)
    }

    /// The material of all zones and of each, likewise.
    pub(crate) fn printed_masses(&self, decimals: u32) -> (f64, Vec<Option<f64>>) {
        let of = |zone: &SeenZone| zone.mass().map(|mass| mass.value_in(self.system()));
        printed(self.mass().value_in(self.system()), self.zones.iter().map(of), decimals)
    }

    /// A rate in the file's own unit.
    pub(crate) fn shown(&self, rate: Rate) -> String {
        let unit = self.unit();
        format!("{} {}", round_to(rate.si() / unit.si, 3), unit.symbol())
    }

    /// The units that areas and masses are told in: those that the rates are in.
    #[must_use]
    pub fn system(&self) -> System {
        self.unit().system
    }

    fn unit(&self) -> &'static Unit {
        self.rate_unit.unwrap_or_else(|| Rate::unit(System::default()))
    }

    /// The report as JSON.
    #[must_use]
    pub fn json(&self) -> Value {
        let system = self.system();
        let number = |value: Option<f64>| value.map(|value| round_to(value, 4));
        let ((area, areas), (mass, masses)) = (self.printed_areas(4), self.printed_masses(4));
        let zones = self.zones.iter().zip(areas.into_iter().zip(masses));
        let zones = zones.map(|(zone, (area, mass))| {
            json!({
                "zone": zone.name,
                "rate": number(zone.rate.map(|rate| rate.si() / self.unit().si)),
                "rate_written": zone.written,
                "parts": zone.parts,
                "area": area,
                "mass": mass,
            })
        });
        let facts: Map<String, Value> = self
            .facts
            .iter()
            .map(|(word, said)| ((*word).to_owned(), said.clone().into()))
            .collect();
        json!({
            "file": self.file,
            "format": self.format,
            "crs": self.crs,
            "facts": facts,
            "rate_unit": self.unit().symbol(),
            "area_unit": Area::unit(system).symbol(),
            "mass_unit": Mass::unit(system).symbol(),
            "zones": zones.collect::<Vec<_>>(),
            "area": area,
            "mass": mass,
            "departures": self.departures,
            "notes": self.notes,
        })
    }
}

/// A sum and its parts, where they are known, rounded so that the parts add up to the sum.
fn printed(
    sum: f64,
    parts: impl Iterator<Item = Option<f64>>,
    decimals: u32,
) -> (f64, Vec<Option<f64>>) {
    let parts: Vec<Option<f64>> = parts.collect();
    let sum = round_to(sum, decimals);
    let known: Vec<f64> = parts.iter().copied().flatten().collect();
    let mut rounded = apportion(&known, sum, decimals).into_iter();
    let parts = parts.into_iter().map(|part| part.and_then(|_| rounded.next()));
    (sum, parts.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: three zones of 1.004 ac are 3.012, printed 3.01; each by itself would be 1.00. One
    /// without an area has none, and of 10 t/ha on 1.004 ac the tons add up likewise.
    #[test]
    fn rows_add_up_to_their_sum() {
        let zone = |area: Option<f64>| SeenZone {
            area: area.map(Area::acres),
            rate: Some(Rate::tons_per_acre(2.0)),
            ..SeenZone::default()
        };
        let zones = [Some(1.004), Some(1.004), None, Some(1.004)].map(zone).to_vec();
        let report = Inspection { zones, ..Inspection::default() };
        let areas = vec![Some(1.01), Some(1.0), None, Some(1.0)];
        assert_eq!(report.printed_areas(2), (3.01, areas));
        let masses = vec![Some(2.01), Some(2.01), None, Some(2.0)];
        assert_eq!(report.printed_masses(2), (6.02, masses));
        let json = report.json();
        let sum: f64 =
            json["zones"].as_array().unwrap().iter().filter_map(|z| z["area"].as_f64()).sum();
        assert!((sum - json["area"].as_f64().unwrap()).abs() < 1e-9);
    }
}
