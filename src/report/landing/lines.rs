use super::{area, heading};
use crate::landing::{
    Landed, LandedCells, Landing, LandingTrial, Response, Throw, ZoneLanded, least_misplaced,
};
use crate::plan::Plan;
use crate::report::table::ruled;
use crate::report::warnings::{line, on_keep_out, setback};
use crate::tonnage::MASS_DECIMALS;
use crate::units::{
    Length, Mass, Quantity, Rate, System, Time, apportion, count, percentages, round_to,
};

/// All that is printed about what lands.
#[must_use]
pub fn lines(plan: &Plan, landing: &Landing) -> Vec<String> {
    let system = plan.settings.system;
    let mut lines = vec![
        format!("{}: what lands", plan.settings.job),
        driven(plan, landing),
        pattern(&landing.spreading.throw, &landing.cells, system),
        String::new(),
    ];
    lines.extend(zones(&landing.landed, system));
    lines.push(String::new());
    lines.extend(findings(plan, landing));
    lines.extend(other_heading(landing, system));
    lines.extend(other_swath(landing, system));
    lines.push(CAUTION.to_owned());
    lines
}

/// What a sheet has room for.
pub fn for_the_sheet(plan: &Plan, landing: &Landing) -> Vec<String> {
    let system = plan.settings.system;
    let mut lines = vec![evenness(&landing.landed)];
    lines.extend(advice(landing, system));
    lines.push(headland(landing, system));
    lines
}

/// The highest rate that lands on a keep-out, and the setback that would keep it clean; both empty
/// where none lands.
pub fn lands(plan: &Plan, landing: &Landing, number: usize) -> [String; 2] {
    let system = plan.settings.system;
    let found = landing.wider.iter().find(|wider| wider.number == number);
    let keep_out = plan.field.keep_outs.get(number);
    let (Some(found), Some(keep_out)) = (found, keep_out) else { return Default::default() };
    let needed = found.as_it_is.map_or_else(
        || "none in reach".to_owned(),
        |wider| setback(keep_out.distance + wider, system),
    );
    [on_keep_out(found.highest, system), needed]
}

/// The same in a few lines, for who did not ask for it.
#[must_use]
pub fn in_brief(plan: &Plan, landing: &Landing) -> Vec<String> {
    let mut lines = vec![format!("What lands by the pan test: {}", evenness(&landing.landed))];
    lines.extend(advice(landing, plan.settings.system));
    lines
}

/// What the landed map says, gravest first, but for what other passes would do.
fn findings(plan: &Plan, landing: &Landing) -> Vec<String> {
    let system = plan.settings.system;
    let kept_out = landing.warnings(plan);
    let mut lines: Vec<String> = kept_out.iter().map(|warning| line(warning, system)).collect();
    lines.push(evenness(&landing.landed));
    lines.push(misplaced(&landing.landed, system));
    lines.extend(look_ahead(landing, system));
    lines.push(headland(landing, system));
    lines.extend(outside(&landing.landed, system));
    lines
}

const CAUTION: &str = "This is reckoned from the pan test, the machine file and straight passes at one speed; wind, slopes and a real driver add to it. Check with pans in the field.";

pub fn driven(plan: &Plan, landing: &Landing) -> String {
    let system = plan.settings.system;
    let course = &landing.course;
    format!(
        "Driven at {}, passes {} apart at {}, {}.",
        course.speed.show(system, 1),
        course.swath.show(system, 0),
        heading(landing.heading()),
        count(course.rounds, "headland round", "headland rounds"),
    )
}

pub(super) fn pattern(throw: &Throw, cells: &LandedCells, system: System) -> String {
    let [left, right] = throw.reach();
    let side = Length::metres(cells.side).show(system, 1);
    let width = Length::metres(right - left).show(system, 0);
    if throw.is_measured() {
        format!(
            "Pattern of the pan test, {width} wide; its rate does not count, the controller holds the map's; cells of {side}."
        )
    } else {
        format!(
            "No pan test: an even triangle {width} wide is assumed, the best that a pattern can do; cells of {side}."
        )
    }
}

pub(super) fn zones(landed: &Landed, system: System) -> Vec<String> {
    let (mass, rate) = (Mass::unit(system).plural(), Rate::unit(system).symbol());
    let head = ["zone", rate, "planned", mass, "off", "uneven", "within 10 %"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    let row = |name: String, rate: String, [planned, got]: [f64; 2], cv: String, within: f64| {
        let off = if planned > 0.0 { 100.0 * (got / planned - 1.0) } else { 0.0 };
        vec![
            name,
            rate,
            format!("{planned:.2}"),
            format!("{got:.2}"),
            signed(off),
            cv,
            format!("{:.0} %", 100.0 * within),
        ]
    };
    let spread = || landed.zones.iter().filter(|zone| zone.rate > 0.0);
    let [planned, got] = [|zone: &ZoneLanded| zone.planned, |zone: &ZoneLanded| zone.landed]
        .map(|of| added_up(spread().map(|zone| Mass::from_si(of(zone)).value_in(system))));
    for ((zone, planned), got) in spread().zip(planned.0).zip(got.0) {
        rows.push(row(
            zone.zone.to_string(),
            format!("{:.2}", Rate::from_si(zone.rate).value_in(system)),
            [planned, got],
            format!("CV {:.0} %", 100.0 * zone.cv),
            if zone.area > 0.0 { zone.within_a_tenth / zone.area } else { 0.0 },
        ));
    }
    let sum = |of: fn(&ZoneLanded) -> f64| spread().map(of).sum::<f64>();
    let within = sum(|zone| zone.within_a_tenth) / sum(|zone| zone.area).max(f64::MIN_POSITIVE);
    rows.push(row(
        "all zones".to_owned(),
        String::new(),
        [planned.1, got.1],
        String::new(),
        within,
    ));
    ruled(&rows)
}

/// Masses as printed, and what they come to.
fn added_up(masses: impl Iterator<Item = f64>) -> (Vec<f64>, f64) {
    let masses: Vec<f64> = masses.collect();
    let sum = round_to(masses.iter().sum(), MASS_DECIMALS);
    (apportion(&masses, sum, MASS_DECIMALS), sum)
}

fn signed(percent: f64) -> String {
    // Not "-0".
    let rounded = percent.round() + 0.0;
    format!("{rounded:+.0} %")
}

pub(super) fn evenness(landed: &Landed) -> String {
    let Landed { within_a_tenth, too_little, too_much, .. } = *landed;
    let [within, little, much] = verdicts([within_a_tenth, too_little, too_much]);
    format!(
        "{within} % of the ground gets within 10 % of its rate, {little} % gets too little, {much} % too much."
    )
}

pub(super) fn misplaced(landed: &Landed, system: System) -> String {
    let tons = |kg: f64| Mass::from_si(kg).show(system, 1);
    format!(
        "In the wrong place: {} too little where it is short, {} too much where it is over.",
        tons(landed.short),
        tons(landed.over)
    )
}

/// What the delay costs, and the look-ahead that cures it.
fn look_ahead(landing: &Landing, system: System) -> Vec<String> {
    let response = &landing.spreading.response;
    let whole = Mass::from_si(landing.landed.misplaced());
    let cost = whole - landing.at_once;
    let mut lines = Vec::new();
    if cost.show(system, 1) != Mass::ZERO.show(system, 1) && cost > Mass::ZERO {
        lines.push(format!(
            "Of these, {} {} from what the machine needs to change its rate{}.",
            cost.show(system, 1),
            if cost.show(system, 1).starts_with("1.0 ") { "comes" } else { "come" },
            reasons(response, system),
        ));
    }
    lines.extend(advice(landing, system));
    lines
}

/// The look-ahead to set, where another is worth it.
fn advice(landing: &Landing, system: System) -> Option<String> {
    let LandingTrial { setting, misplaced } = landing.lead?;
    let whole = Mass::from_si(landing.landed.misplaced());
    let gain = whole - Mass::from_si(misplaced);
    let now = landing.spreading.response.lead;
    let differs = (setting.si() - now.si()).abs() > 0.09;
    let [best, now] = apart(setting, now, 1, system).filter(|_| differs)?;
    (gain > whole * WORTH_TELLING).then(|| {
        format!(
            "Set the controller's look-ahead to {best} (now {now}): {} less in the wrong place.",
            gain.show(system, 1),
        )
    })
}

/// Two quantities with their unit, and with as many digits, of so many or one more, as tell them
/// apart.
fn apart<Q: Quantity>(one: Q, other: Q, decimals: usize, system: System) -> Option<[String; 2]> {
    let shown = |decimals| [one, other].map(|each| each.show(system, decimals));
    (decimals..=decimals + 1).map(shown).find(|[one, other]| one != other)
}

/// A gain under this share of what is misplaced is not worth changing a setting for.
const WORTH_TELLING: f64 = 0.02;

fn reasons(response: &Response, system: System) -> String {
    let mut parts = Vec::new();
    if response.delay > Time::ZERO {
        parts.push(format!("delay {}", response.delay.show(system, 1)));
    }
    if response.lead > Time::ZERO {
        parts.push(format!("look-ahead {}", response.lead.show(system, 1)));
    }
    if response.behind != Length::ZERO {
        parts.push(format!("lands {} behind", response.behind.show(system, 0)));
    }
    if parts.is_empty() { String::new() } else { format!(" ({})", parts.join(", ")) }
}

fn headland(landing: &Landing, system: System) -> String {
    let headland = &landing.headland;
    let right = headland.area - headland.too_little - headland.too_much;
    let [_, little, much] = verdicts([right, headland.too_little, headland.too_much]);
    format!(
        "Along the edge of the field ({}): {little} % of it gets too little, {much} % too much.",
        area(headland.area).show(system, 2),
    )
}

/// What is right, too little and too much, in percent that add up.
fn verdicts(areas: [f64; 3]) -> [f64; 3] {
    <[f64; 3]>::try_from(percentages(&areas, 0)).unwrap_or_default()
}

pub(super) fn outside(landed: &Landed, system: System) -> Option<String> {
    let mass = Mass::from_si(landed.outside);
    (mass.show(system, 1) != Mass::ZERO.show(system, 1))
        .then(|| format!("Over the field's edge: {}.", mass.show(system, 1)))
}

fn other_heading(landing: &Landing, system: System) -> Option<String> {
    let best = least_misplaced(&landing.headings)?;
    let whole = Mass::from_si(landing.landed.misplaced());
    let gain = whole - Mass::from_si(best.misplaced);
    (gain > whole * WORTH_TELLING).then(|| {
        format!(
            "Passes at {} would put {} less in the wrong place.",
            heading(best.setting),
            gain.show(system, 1)
        )
    })
}

fn other_swath(landing: &Landing, system: System) -> Option<String> {
    let best = least_misplaced(&landing.swaths)?;
    let whole = Mass::from_si(landing.landed.misplaced());
    let gain = whole - Mass::from_si(best.misplaced);
    let differs = (best.setting / landing.course.swath - 1.0).abs() > 0.01;
    let [other, own] = apart(best.setting, landing.course.swath, 0, system)?;
    (differs && gain > whole * WORTH_TELLING).then(|| {
        format!(
            "Passes {other} apart instead of {own} would put {} less in the wrong place.",
            gain.show(system, 1)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 65.5, 24.5 and 10 would be 101 if each were rounded by itself; 1.004 three times 3.00 beside 3.01.
    #[test]
    fn parts_add_up_as_printed() {
        assert_eq!(verdicts([131.0, 49.0, 20.0]), [66.0, 24.0, 10.0]);
        assert_eq!(added_up([1.004; 3].into_iter()), (vec![1.01, 1.0, 1.0], 3.01));
    }

    #[test]
    fn settings_are_told_apart() {
        let said = |one, other, system| {
            apart(Length::metres(one), Length::metres(other), 0, system).map(|both| both.join(", "))
        };
        assert_eq!(said(9.0, 9.3, System::Metric).as_deref(), Some("9.0 m, 9.3 m"));
        assert_eq!(said(9.0, 10.0, System::Metric).as_deref(), Some("9 m, 10 m"));
        assert_eq!(said(9.0, 9.01, System::Metric), None);
    }
}
