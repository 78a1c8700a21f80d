use super::range::together;
use super::{FarmOrder, FieldMap, Figures, TierFigures};
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};
use crate::totals::Unmet;
use crate::units::{System, round_to};

/// What became of a field.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldOutcome {
    /// The job file, as the farm file names it.
    pub file: String,
    /// Its figures, or why it has none.
    pub figures: Result<Figures, String>,
    /// What the farm's map shows of it; empty where it has no figures.
    pub map: FieldMap,
}

/// A farm's fields and what they come to. The sums leave out the fields that failed.
#[derive(Clone, Debug, PartialEq)]
pub struct FarmTotals {
    /// The farm's name.
    pub farm: String,
    /// The units of all figures.
    pub system: System,
    /// The fields, in the order of the farm file.
    pub fields: Vec<FieldOutcome>,
    /// What is spread on.
    pub area: f64,
    /// What is spread.
    pub mass: f64,
    /// What all ground at the rate its soil calls for would take together with 80 % probability; none if that is not known of
    /// every field.
    pub range: Option<[f64; 2]>,
    /// What one rate for each field would take.
    pub flat: f64,
    /// Per label and rate, in the order in which they come up.
    pub tiers: Vec<TierFigures>,
    /// The order for all fields that have one; none if none has.
    pub order: Option<FarmOrder>,
    /// Fields and samples that do not meet.
    pub unmet: Unmet,
}

impl FarmTotals {
    /// Adds up fields.
    ///
    /// Figures add up as printed. For the ranges, the errors of different fields are taken as
    /// independent.
    #[must_use]
    pub fn new(farm: String, system: System, fields: Vec<FieldOutcome>) -> Self {
        let planned = || fields.iter().filter_map(|field| field.figures.as_ref().ok());
        let mass = round_to(planned().map(|figures| figures.mass).sum(), MASS_DECIMALS);
        let ranges: Option<Vec<[f64; 2]>> = planned().map(|figures| figures.range).collect();
        let ranges = ranges.filter(|ranges| !ranges.is_empty());
        let range = ranges.map(|ranges| together(&ranges, mass));
        let area = round_to(planned().map(|figures| figures.area).sum(), AREA_DECIMALS);
        let flat = round_to(planned().map(|figures| figures.flat).sum(), MASS_DECIMALS);
        let tiers = tiers(planned().flat_map(|figures| &figures.tiers));
        let order = FarmOrder::new(planned().filter_map(|f| f.order.as_ref()), system);
        let unmet = Unmet::default();
        Self { farm, system, fields, area, mass, range, flat, tiers, order, unmet }
    }

    /// What must be settled before a field is spread: its job's name, and the gravest warnings.
    pub fn stops(&self) -> impl Iterator<Item = (&str, &str)> {
        self.fields.iter().filter_map(|field| field.figures.as_ref().ok()).flat_map(|figures| {
            figures.stops.iter().map(|stop| (figures.job.as_str(), stop.as_str()))
        })
    }

    /// What the farm keeps all fields from and is near none of those that were planned, as it is told of
    /// each.
    pub fn kept_from_nowhere(&self) -> impl Iterator<Item = &str> {
        let mut planned = self.fields.iter().filter_map(|field| field.figures.as_ref().ok());
        let first = planned.next().map_or(&[][..], |first| &first.kept_from_elsewhere);
        let others: Vec<&Figures> = planned.collect();
        first.iter().map(String::as_str).filter(move |told| {
            others.iter().all(|other| other.kept_from_elsewhere.iter().any(|own| own == told))
        })
    }

    /// The fields that failed, with why.
    pub fn failures(&self) -> impl Iterator<Item = (&str, &str)> {
        self.fields.iter().filter_map(|field| {
            field.figures.as_ref().err().map(|error| (field.file.as_str(), error.as_str()))
        })
    }
}

fn tiers<'a>(all: impl Iterator<Item = &'a TierFigures>) -> Vec<TierFigures> {
    let mut tiers: Vec<TierFigures> = Vec::new();
    for tier in all {
        let same = |known: &&mut TierFigures| known.label == tier.label && known.rate == tier.rate;
        if let Some(known) = tiers.iter_mut().find(same) {
            known.zones += tier.zones;
            known.area = round_to(known.area + tier.area, AREA_DECIMALS);
            known.mass = round_to(known.mass + tier.mass, MASS_DECIMALS);
        } else {
            tiers.push(tier.clone());
        }
    }
    tiers
}

#[cfg(test)]
mod tests {
    use super::*;

    fn field(job: &str, mass: f64, range: [f64; 2], tiers: &[(&str, f64)]) -> FieldOutcome {
        let tiers: Vec<TierFigures> = tiers
            .iter()
            .map(|&(label, mass)| TierFigures {
                label: label.to_owned(),
                rate: 1.0,
                zones: 2,
                area: mass,
                mass,
            })
            .collect();
        let figures = Figures {
            job: job.to_owned(),
            zones: 2,
            area: mass,
            mass,
            range: Some(range),
            flat: 1.0,
            tiers,
            warnings: 0,
            stops: Vec::new(),
            kept_from_elsewhere: Vec::new(),
            order: None,
        };
        FieldOutcome { file: format!("{job}.toml"), figures: Ok(figures), map: FieldMap::default() }
    }

    fn failed() -> FieldOutcome {
        let figures = Err("no boundary".into());
        FieldOutcome { file: "c.toml".into(), figures, map: FieldMap::default() }
    }

    /// By hand: middles 10 and 20, half-widths 3 and 4, so 30 less and more 5.
    #[test]
    fn fields_add_up() {
        let fields = vec![
            field("a", 9.1, [7.0, 13.0], &[("light", 4.1), ("heavy", 5.0)]),
            failed(),
            field("b", 20.2, [16.0, 24.0], &[("heavy", 20.2)]),
        ];
        let totals = FarmTotals::new("Home Farm".into(), System::Us, fields);
        assert_eq!((totals.area, totals.mass, totals.flat), (29.3, 29.3, 2.0));
        assert_eq!(totals.range, Some([25.0, 35.0]));
        let tiers: Vec<_> = totals.tiers.iter().map(|t| (t.label.as_str(), t.mass)).collect();
        assert_eq!(tiers, [("light", 4.1), ("heavy", 25.2)]);
        assert_eq!(totals.failures().collect::<Vec<_>>(), [("c.toml", "no boundary")]);
    }

    #[test]
    fn a_farm_of_failures() {
        let totals = FarmTotals::new("Home Farm".into(), System::Us, vec![failed()]);
        assert_eq!((totals.mass, totals.range), (0.0, None));
    }
}
