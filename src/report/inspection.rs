//! What was found in a file of zones or task data, in words.

use super::table::aligned;
use crate::inspect::Inspection;
use crate::units::{Area, Mass, Quantity};

/// The file, its zones in a table, its problems and notes.
#[must_use]
pub fn inspection(found: &Inspection) -> Vec<String> {
    let mut lines = vec![format!("{}: {}", found.file, found.format)];
    let known = std::iter::once(("coordinates", found.crs.clone()));
    lines.extend(known.chain(found.facts.clone()).map(|(word, said)| format!("  {word}: {said}")));
    lines.push(String::new());
    lines.extend(table(found));
    lines.extend(found.system().tons_are().map(str::to_owned));
    lines.push(String::new());
    lines.extend(found.departures.iter().map(|problem| format!("Problem: {problem}")));
    lines.extend(found.notes.iter().map(|note| format!("note: {note}")));
    if found.departures.is_empty() {
        lines.push("No problem with the format was found.".into());
    }
    lines
}

fn table(found: &Inspection) -> Vec<String> {
    let system = found.system();
    let [area, mass] = [Area::unit(system).plural(), Mass::unit(system).plural()];
    let mut rows = vec![["zone", "rate", "parts", area, mass].map(str::to_owned)];
    let show = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{value:.2}"));
    let ((area, areas), (mass, masses)) = (found.printed_areas(2), found.printed_masses(2));
    for ((zone, area), mass) in found.zones.iter().zip(areas).zip(masses) {
        let rate = zone.rate.map_or(zone.written.clone(), |rate| found.shown(rate));
        rows.push([zone.name.clone(), rate, zone.parts.to_string(), show(area), show(mass)]);
    }
    rows.push([
        "all".into(),
        String::new(),
        found.zones.iter().map(|zone| zone.parts).sum::<usize>().to_string(),
        show(Some(area)),
        show(found.zones.iter().any(|zone| zone.mass().is_some()).then_some(mass)),
    ]);
    aligned(&rows, |column| column == 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inspect::SeenZone;
    use crate::units::Rate;

    /// By hand: three zones of 1.004 ac are 3.012, printed 3.01; one without an area has none.
    #[test]
    fn rows_add_up_to_their_sum() {
        let zone = |area: Option<f64>| SeenZone {
            area: area.map(Area::acres),
            rate: Some(Rate::tons_per_acre(2.0)),
            ..SeenZone::default()
        };
        let zones = [Some(1.004), Some(1.004), None, Some(1.004)].map(zone).to_vec();
        let rows = [
            "  zone      rate  parts  acres  tons",
            "        2 ton/ac      0   1.01  2.01",
            "        2 ton/ac      0   1.00  2.01",
            "        2 ton/ac      0      -     -",
            "        2 ton/ac      0   1.00  2.00",
            "  all                 0   3.01  6.02",
        ];
        assert_eq!(table(&Inspection { zones, ..Inspection::default() }), rows);
    }
}
