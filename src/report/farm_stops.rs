//! What must be settled before a farm is spread.

use crate::farm::FarmTotals;

/// What is said in each field of a layer that a farm keeps all of its fields from.
pub(super) const OF_ALL_FIELDS: &str = ", which all fields of the farm keep off";

/// What each is of, a field or the farm, and what it is.
pub(super) fn farm_stops(totals: &FarmTotals) -> Vec<(String, String)> {
    let farm = totals.kept_from_nowhere().filter_map(|told| told.split(OF_ALL_FIELDS).next());
    let farm = farm.map(|called| {
        let stop = format!(
            "{called}{OF_ALL_FIELDS}: no part of it is near any field, so nothing is kept off; check the file and its coordinates"
        );
        (totals.farm.clone(), stop)
    });
    let fields = totals.stops().map(|(field, stop)| (field.to_owned(), stop.to_owned()));
    farm.chain(fields).collect()
}
