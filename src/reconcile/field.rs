use super::cells::RecordedOnZone;
use super::driven::FieldDriven;
use super::{PlannedField, Ticket};
use crate::tonnage::{AREA_DECIMALS, MASS_DECIMALS};
use crate::units::{Area, Mass, Quantity, Rate, System, apportion, round_to};

/// A field's record, as printed in one system: acres and tons, or hectares and tonnes.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldRecord {
    /// The job's name.
    pub field: String,
    /// What it was to be spread on.
    pub area: f64,
    /// What was planned.
    pub planned: f64,
    /// How many loads came.
    pub loads: usize,
    /// The days of the first and the last.
    pub days: Option<[String; 2]>,
    /// What came.
    pub delivered: f64,
    /// What of it was not spread.
    pub left: f64,
    /// What of the rest was lost before it was spread, as the job expects it.
    pub lost: f64,
    /// That share, in percent.
    pub loss_percent: f64,
    /// What was spread.
    pub spread: f64,
    /// What the controller says was spread, if its record has anything on this field.
    pub applied: Option<f64>,
    /// Each zone, in the plan's order, if there is a record.
    pub zones: Vec<ZoneRecord>,
    /// What the record would come to if each zone had got its rate wherever it was recorded.
    pub on_target: f64,
    /// What was to be spread on by the zones: those of a rate above 0.
    pub to_spread: f64,
    /// How much of that the record covers, each place once.
    pub recorded: f64,
    /// The same, places that the record has twice counted twice.
    pub summed: f64,
    /// The share of the acres to be spread that got within 10 % of their target, in percent, by the
    /// same record.
    pub near: Option<f64>,
    /// What the machines' logs say besides, if they are the record.
    pub driven: Option<FieldDriven>,
}

/// A zone's record.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneRecord {
    /// Its number.
    pub zone: String,
    /// What its tier is called.
    pub label: String,
    /// Its rate, ton/ac or t/ha.
    pub target: f64,
    /// Its area.
    pub area: f64,
    /// How much of it the record covers.
    pub recorded: f64,
    /// What was planned.
    pub planned: f64,
    /// What the controller says was spread.
    pub applied: f64,
    /// The same by the machine's own counts of mass, if it logged any.
    pub counted: Option<f64>,
    /// How much of it got within 10 % of the target.
    pub near: f64,
}

impl FieldRecord {
    pub(super) fn new(
        field: &PlannedField,
        tickets: &[&Ticket],
        left: Mass,
        laid: &[RecordedOnZone],
        driven: Option<FieldDriven>,
        system: System,
    ) -> Self {
        let tons = |mass: Mass| round_to(mass.value_in(system), MASS_DECIMALS);
        let delivered = tons(tickets.iter().map(|ticket| ticket.mass).sum());
        let left = tons(left);
        // Weighed together, what was lost and what was spread are one figure: only the job knows.
        let lost = round_to((delivered - left) * field.loss.si(), MASS_DECIMALS);
        let mut days: Vec<&String> = tickets.iter().map(|ticket| &ticket.date).collect();
        days.sort();
        let days = days.first().zip(days.last()).map(|(a, b)| [(*a).clone(), (*b).clone()]);
        let recorded = laid.iter().any(|on| on.any);
        let masses: Vec<f64> = laid.iter().map(|on| on.mass.value_in(system)).collect();
        let applied = recorded.then(|| round_to(masses.iter().sum(), MASS_DECIMALS));
        let masses = apportion(&masses, applied.unwrap_or(0.0), MASS_DECIMALS);
        let by_counts: &[Mass] = match &driven {
            Some(driven) if driven.counted.is_some() => &driven.counted_by_zone,
            _ => &[],
        };
        let by_counts = by_counts.iter().copied().map(Some).chain(std::iter::repeat(None));
        let acres = |area: Area| round_to(area.value_in(system), AREA_DECIMALS);
        let zones: Vec<ZoneRecord> = (field.zones.iter().zip(laid))
            .zip(masses.into_iter().zip(by_counts))
            .filter(|_| recorded)
            .map(|((zone, on), (applied, counted))| ZoneRecord {
                zone: zone.number.clone(),
                label: zone.label.clone(),
                target: round_to(zone.rate.value_in(system), 4),
                area: acres(zone.area),
                recorded: acres(on.covered),
                planned: tons(zone.mass),
                applied,
                counted: counted.map(tons),
                near: acres(on.near),
            })
            .collect();
        let to_spread =
            || (field.zones.iter().zip(laid)).filter(|(zone, _)| zone.rate > Rate::ZERO);
        let area: Area = to_spread().map(|(zone, _)| zone.area).sum();
        let sum =
            |pick: fn(&RecordedOnZone) -> Area| to_spread().map(|(_, on)| pick(on)).sum::<Area>();
        let near = sum(|on| on.near).si() / area.si();
        let on_target: Mass = to_spread().map(|(zone, on)| zone.rate * on.covered).sum();
        Self {
            field: field.name.clone(),
            area: round_to(field.area.value_in(system), AREA_DECIMALS),
            planned: tons(field.mass),
            loads: tickets.len(),
            days,
            delivered,
            left,
            lost,
            loss_percent: field.loss.as_percent(),
            spread: round_to(delivered - left - lost, MASS_DECIMALS),
            applied,
            near: (recorded && area > Area::ZERO).then(|| round_to(100.0 * near, 1)),
            on_target: on_target.value_in(system),
            to_spread: acres(area),
            recorded: acres(sum(|on| on.covered)),
            summed: acres(sum(|on| on.summed)),
            zones,
            driven,
        }
    }
}
