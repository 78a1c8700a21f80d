//! `totals.json`: the zones, tiers and total, and what was decided on the way.

use super::in_units::{area, mass};
use super::order_json::{order, pure_rate};
use super::piles::pile_totals;
use super::soil_json::soil;
use super::taskdata::TaskReport;
use super::{FormatError, OutputFile};
use crate::plan::{
    About, CEC_DECIMALS, Islands, KrigingReport, Method, Plan, ZoneRow, written_rate,
};
use crate::projection::Coordinates;
use crate::report::cautions::CAUTIONS;
use crate::report::warnings::sentence;
use crate::soil::TierIndex;
use crate::surface::{ErrorBasis, Idw, Neighbors, Trial, Variogram, VariogramShape};
use crate::tonnage::Amount;
use crate::totals::{self, InUnits, SchemaNumber, Totals};
use crate::units::{Length, Quantity, Rate, System, round_to};

/// The totals as a file.
pub fn file(totals: &Totals) -> Result<OutputFile, FormatError> {
    let fault =
        |error: serde_json::Error| FormatError { file: "totals.json", reason: error.to_string() };
    Ok(OutputFile::new("totals.json", totals::text(totals).map_err(fault)?))
}

/// The content of `totals.json`.
#[must_use]
pub fn totals(plan: &Plan, task_data: Option<&TaskReport>) -> Totals {
    let system = plan.settings.system;
    Totals {
        schema: SchemaNumber,
        job: plan.settings.job.clone(),
        about: about(&plan.settings.about),
        units: system,
        total: amount(&plan.total, system),
        tiers: tiers(plan),
        zones: zones(plan),
        flat_rate: flat_rate(plan),
        samples: samples(plan),
        surface: surface(plan),
        coordinates: coordinates(plan),
        certainty: certainty(plan),
        clean_up: clean_up(plan),
        unspread: unspread(plan),
        stockpile: pile_totals(plan),
        second_look: second_look(plan),
        order: order(plan),
        soil: soil(plan),
        excluded: plan.field.excluded.iter().map(|sample| sample.id.clone()).collect(),
        warnings: warnings(plan),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
        landing: None,
        task_data: task_data.map(TaskReport::totals),
    }
}

fn about(about: &About) -> Option<totals::About> {
    (*about != About::default()).then(|| totals::About {
        date: about.date.map(|date| date.to_string()),
        grower: about.grower.clone(),
        farm: about.farm.clone(),
        entrance: about.entrance.map(|at| [at.x, at.y]),
    })
}

fn amount(amount: &Amount, system: System) -> totals::Amount {
    totals::Amount {
        area: InUnits::new(amount.printed_area, system),
        mass: InUnits::new(amount.printed_mass, system),
    }
}

fn warnings(plan: &Plan) -> Vec<totals::Warning> {
    let system = plan.settings.system;
    let told = plan.warnings.iter().map(|warning| totals::Warning {
        code: warning.code().to_owned(),
        gravity: warning.gravity(),
        text: sentence(warning, system),
    });
    told.collect()
}

fn tiers(plan: &Plan) -> Vec<totals::Tier> {
    let system = plan.settings.system;
    let tiers = plan.tiers.iter().enumerate().map(|(i, (tier, total))| totals::Tier {
        tier: i + 1,
        label: tier.label.clone(),
        rate: written_rate(tier.rate, system),
        rate_unit: Rate::unit(system).symbol().to_owned(),
        zones: plan.zones_of(TierIndex::of(i)).count(),
        amount: amount(total, system),
        rate_pure: pure_rate(plan, tier.rate),
        set: plan.settings.tiers.is_set(TierIndex::of(i)).then_some(true),
    });
    tiers.collect()
}

fn zones(plan: &Plan) -> Vec<totals::Zone> {
    let system = plan.settings.system;
    let zones = ZoneRow::all(plan).into_iter().map(|row| totals::Zone {
        zone: row.zone,
        tier: row.tier,
        label: row.label.to_owned(),
        rate: row.rate,
        rate_unit: row.rate_unit.to_owned(),
        amount: totals::Amount {
            area: InUnits::new(row.area, system),
            mass: InUnits::new(row.mass, system),
        },
        cec_mean: row.cec_mean,
    });
    zones.collect()
}

fn flat_rate(plan: &Plan) -> totals::FlatRate {
    let system = plan.settings.system;
    totals::FlatRate {
        cec_mean: round_to(plan.flat.cec_mean, CEC_DECIMALS),
        tier: plan.flat.tier.number(),
        stated: plan.flat.is_stated,
        rate: written_rate(plan.flat.rate, system),
        even_rate: Some(written_rate(plan.flat.even, system)),
        rate_unit: Rate::unit(system).symbol().to_owned(),
        mass: mass(plan.flat.mass, system),
    }
}

fn samples(plan: &Plan) -> totals::Samples {
    let cec: Vec<f64> = plan.field.samples.iter().map(|sample| sample.cec).collect();
    let mean = cec.iter().sum::<f64>() / cec.len() as f64;
    totals::Samples {
        count: cec.len(),
        cec_min: round_to(cec.iter().copied().fold(f64::INFINITY, f64::min), CEC_DECIMALS),
        cec_mean: round_to(mean, CEC_DECIMALS),
        cec_max: round_to(cec.iter().copied().fold(f64::NEG_INFINITY, f64::max), CEC_DECIMALS),
    }
}

fn surface(plan: &Plan) -> totals::Surface {
    let system = plan.settings.system;
    let choice = &plan.surface.choice;
    let idw = choice.idw;
    let length = |length: Length| round_to(length.value_in(system), 4);
    totals::Surface {
        method: match plan.surface.method {
            Method::InverseDistance => totals::Method::InverseDistance,
            Method::Kriging => totals::Method::Kriging,
        },
        power: idw.power(),
        neighbors: neighbors(&idw),
        taper: Some(idw.taper()),
        radius: idw.radius().map(|metres| length(Length::metres(metres))),
        grid: length(plan.settings.grid),
        length_unit: Length::unit(system).symbol().to_owned(),
        settings_tried: choice.trials.len(),
        cross_validation: choice.chosen.as_ref().map(trial),
        least_rmse: choice.best.as_ref().map(trial),
        kriging: plan.surface.kriging.as_ref().map(kriging),
        power_2_nearest_12: choice.default.as_ref().map(trial),
    }
}

fn trial(trial: &Trial) -> totals::Trial {
    totals::Trial {
        power: trial.idw.power(),
        neighbors: neighbors(&trial.idw),
        rmse: round_to(trial.errors.rmse, 4),
        mean_error: round_to(trial.errors.mean_error, 4),
        r2: known(round_to(trial.errors.r2_against_mean, 4)),
    }
}

fn kriging(kriging: &KrigingReport) -> totals::Kriging {
    let Variogram { shape, nugget, partial_sill, range } = kriging.fit.variogram;
    totals::Kriging {
        model: match shape {
            VariogramShape::Spherical => totals::VariogramModel::Spherical,
            VariogramShape::Exponential => totals::VariogramModel::Exponential,
        },
        nugget: round_to(nugget, 4),
        partial_sill: round_to(partial_sill, 4),
        range_m: round_to(range, 2),
        rmse: round_to(kriging.errors.rmse, 4),
        mean_error: round_to(kriging.errors.mean_error, 4),
        r2: known(round_to(kriging.errors.r2_against_mean, 4)),
    }
}

/// JSON has no word for what is no number.
fn known(value: f64) -> Option<f64> {
    Some(value).filter(|value| value.is_finite())
}

/// How sure the tiers are, and the tons of a perfect map.
fn certainty(plan: &Plan) -> Option<totals::Certainty> {
    let certainty = plan.certainty.as_ref()?;
    let system = plan.settings.system;
    let zones = certainty.zones.iter().map(|zone| totals::ZoneCertainty {
        zone: zone.number,
        sure_percent: round_to(zone.clear_share().as_percent(), 1),
        short: mass(zone.missing, system),
        over: mass(zone.surplus, system),
    });
    Some(totals::Certainty {
        errors: match certainty.basis {
            ErrorBasis::Local => totals::ErrorModel::Local,
            ErrorBasis::Constant => totals::ErrorModel::Constant,
        },
        low: mass(certainty.tons.low, system),
        planned: InUnits::new(plan.total.printed_mass, system),
        high: mass(certainty.tons.high, system),
        zones: zones.collect(),
    })
}

fn neighbors(idw: &Idw) -> totals::Neighbors {
    match idw.neighbors() {
        Neighbors::Nearest(count) => totals::Neighbors::Nearest(count),
        Neighbors::All => totals::Neighbors::All(totals::All::All),
    }
}

/// What is not spread, by cause.
fn unspread(plan: &Plan) -> Vec<totals::Unspread> {
    let system = plan.settings.system;
    let causes = plan.unspread_by_cause().map(|(keep_out, ground)| totals::Unspread {
        why: keep_out.why.clone(),
        distance: round_to(keep_out.distance.value_in(system), 4),
        distance_unit: Length::unit(system).symbol().to_owned(),
        area: area(ground, system),
    });
    causes.collect()
}

/// What the clean-up moved, per tier.
fn clean_up(plan: &Plan) -> Option<totals::CleanUp> {
    let (asked, done) = (plan.settings.clean_up.as_ref()?, plan.cleaned_up.as_ref()?);
    let system = plan.settings.system;
    let areas = done.printed_areas(system);
    let moved = (1..).zip(&done.tiers).zip(areas).map(|((tier, change), area)| totals::Moved {
        tier,
        amount: totals::Amount {
            area: InUnits::new(area, system),
            mass: mass(change.mass, system),
        },
    });
    Some(totals::CleanUp {
        min_zone: round_to(asked.min_zone.value_in(system), 4),
        min_width: round_to(asked.min_width.value_in(system), 4),
        tolerance: round_to(asked.tolerance.value_in(system), 4),
        zones_before: done.zones_before,
        zones_after: plan.zones.len(),
        islands: (asked.islands == Islands::Join).then(|| totals::Islands {
            count: done.islands.count,
            area: area(done.islands.area, system),
        }),
        moved: moved.collect(),
    })
}

fn second_look(plan: &Plan) -> Vec<totals::SecondLook> {
    let looks = plan.second_looks.iter().map(|look| totals::SecondLook {
        sample: look.id.clone(),
        cec: round_to(look.cec, CEC_DECIMALS),
        neighbors_say: round_to(look.neighbors_say, CEC_DECIMALS),
        mass: mass(look.mass, plan.settings.system),
    });
    looks.collect()
}

fn coordinates(plan: &Plan) -> totals::Coordinates {
    let field = &plan.field;
    let centre = field.boundary.frame().centre();
    let source = |coordinates: &Coordinates| totals::Source {
        crs: coordinates.crs.clone(),
        accuracy_m: coordinates.accuracy,
    };
    totals::Coordinates {
        written: "WGS 84 (EPSG:4326), longitude and latitude in degrees".to_owned(),
        boundary: source(&field.boundary_coordinates),
        samples: source(&field.samples_coordinates),
        distances: format!(
            "metres on a transverse Mercator projection around {:.6}, {:.6}",
            centre.x, centre.y
        ),
        areas: "geodesic, on the WGS 84 ellipsoid".to_owned(),
    }
}
