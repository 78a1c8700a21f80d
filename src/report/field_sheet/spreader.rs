use super::LONGEST_NAME;
use super::soil::NamedValue;
use crate::plan::Plan;
use crate::report::setup_sheet::{ConstantState, Setup, belt, belt_number, belt_unit, gate};
use crate::report::text::{short_rate, shortened};
use crate::spreader::Machine;
use crate::spreader::gate::{BeltState, GateTier, Limits, NoOpening, Solution, check, solve};
use crate::units::{Area, MassFlow, Quantity, Rate, System};

/// How the spreader is set for the field: rates in the units of the map, all else in those of the
/// spreader's file, which are those of its scales.
pub struct Spreader {
    pub rows: Vec<NamedValue>,
    /// What serves where no single opening does.
    pub instead: Vec<String>,
    pub rate_unit: &'static str,
    pub belt_unit: &'static str,
    pub flow_unit: &'static str,
    /// The slowest, the middle and the fastest ground speed.
    pub speeds: Vec<String>,
    /// The middle one.
    pub working: String,
    pub tiers: Vec<TierRow>,
    /// Whether the belt cannot follow somewhere.
    pub out_of_range: bool,
}

/// A rate, the belt speed at each ground speed, and the flow at the middle one.
pub struct TierRow {
    pub rate: String,
    pub belts: Vec<String>,
    pub flow: String,
}

impl Spreader {
    /// None where nothing is spread.
    pub fn new(plan: &Plan, machine: &Machine) -> Option<Self> {
        let setup = setup(plan, machine)?;
        let (system, on_map) = (machine.system, plan.settings.system);
        let speeds = setup.ends_and_middle();
        let rows = setup.rows(&speeds);
        let out_of_range = rows.iter().any(|row| row.state != BeltState::Within);
        let tiers = rows.chunks(speeds.len()).filter_map(|of_tier| {
            let [slowest, middle, fastest] = of_tier else { return None };
            let belts = [slowest, middle, fastest].map(|row| {
                let mark = if row.state == BeltState::Within { "" } else { " *" };
                format!("{}{mark}", belt_number(row.belt_speed, system))
            });
            Some(TierRow {
                rate: short_rate(middle.tier.rate.value_in(on_map)),
                belts: belts.to_vec(),
                flow: format!("{:.0}", middle.mass_flow.value_in(system)),
            })
        });
        let [_, middle, _] = speeds;
        Some(Self {
            rows: settings(&setup),
            instead: match &setup.solution {
                Solution::Opening(_) => Vec::new(),
                Solution::NoOpening(found) => instead(&setup, found, on_map),
            },
            rate_unit: Rate::unit(on_map).symbol(),
            belt_unit: belt_unit(system),
            flow_unit: MassFlow::unit(system).symbol(),
            speeds: speeds.iter().map(|speed| speed.show(system, 1)).collect(),
            working: middle.show(system, 1),
            tiers: tiers.collect(),
            out_of_range,
        })
    }
}

fn setup(plan: &Plan, machine: &Machine) -> Option<Setup> {
    let on_map = plan.tiers.iter().filter(|(_, amount)| amount.area > Area::ZERO);
    let tiers = on_map.map(|(tier, amount)| GateTier {
        label: shortened(&tier.label, LONGEST_NAME / 2),
        rate: tier.rate,
        area: Some(amount.area),
    });
    let tiers: Vec<GateTier> = tiers.collect();
    check(&plan.settings.job, &tiers).ok()?;
    let solution = solve(&Limits::from(machine), &tiers);
    Some(Setup { machine: machine.clone(), tiers, solution, constant: ConstantState::NoLog })
}

fn settings(setup: &Setup) -> Vec<NamedValue> {
    let (machine, system) = (&setup.machine, setup.machine.system);
    let row = |name, value| NamedValue { name, value };
    let opening = gate(setup.opening(), system);
    let set = match &setup.solution {
        Solution::Opening(found) => row(
            "Set the gate to",
            format!(
                "{opening} (any from {} to {} works)",
                gate(found.serves.least, system),
                gate(found.serves.most, system)
            ),
        ),
        Solution::NoOpening(_) => {
            row("Set the gate to", format!("no one opening works; {opening} comes nearest"))
        }
    };
    let measured = if machine.material.bucket_test.is_some() { ", bucket test" } else { "" };
    let density = format!("{}{measured}", machine.material.density.show(system, 1));
    let range = machine.belt_speed;
    let belts = format!("{} to {}", belt(range.least, system), belt(range.most, system));
    vec![
        set,
        row(
            "Speed, swath",
            format!("{}, {}", machine.ground_speed.show(system, 1), machine.swath.show(system, 1)),
        ),
        row("Belt can run", belts),
        row("Bulk density", density),
        row("Machine", shortened(&machine.name, LONGEST_NAME / 2)),
        row("Material", shortened(&machine.material.name, LONGEST_NAME / 2)),
    ]
}

/// The ways round it, briefly; the setup sheet has them in full.
fn instead(setup: &Setup, found: &NoOpening, on_map: System) -> Vec<String> {
    let system = setup.machine.system;
    let rate = |tier: &GateTier| tier.rate.show(on_map, 2);
    let rates = |tiers: &[GateTier]| tiers.iter().map(rate).collect::<Vec<_>>().join(", ");
    let mut ways = Vec::new();
    if let Some(windows) = &found.alternatives.windows {
        let each = windows
            .tiers
            .iter()
            .map(|(tier, window)| format!("{} at {}", rate(tier), window.show(system, 1)));
        let each = each.collect::<Vec<_>>().join("; ");
        ways.push(format!("One opening, {}: {each}.", gate(windows.opening, system)));
    }
    if let Some(half) = &found.alternatives.half_rates {
        let halved = half.tiers.iter().rev().take(half.halved).map(rate);
        let halved = halved.collect::<Vec<_>>().join(", ");
        let opening = gate(half.recommendation.opening, system);
        ways.push(format!("One opening, {opening}: twice over at {halved} each time."));
    }
    if let Some(two) = &found.alternatives.two_openings {
        let [light, heavy] = [&two.light, &two.heavy]
            .map(|(tiers, found)| format!("{} at {}", rates(tiers), gate(found.opening, system)));
        ways.push(format!("Two passes over the field: {light}; then {heavy}."));
    }
    if ways.is_empty() {
        ways.push("Nothing works: change the rates, the swath or the ground speeds.".to_owned());
    }
    ways
}
