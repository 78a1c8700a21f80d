//! `landplaster sample`.

use std::path::Path;

use geo::MultiPolygon;
use landplaster::field::{self, Boundary};
use landplaster::file_name;
use landplaster::order::Money;
use landplaster::path_text::shown;
use landplaster::report::sampling::{grids, sampling_summary, worth_text};
use landplaster::report::start;
use landplaster::sampling::{
    Ground, LikelySoil, SampledField, SamplingPlan, Worth, WorthPrices, own_variogram,
};
use landplaster::soil::Tiers;
use landplaster::surface::{Point, SurfaceError, Variogram};
use landplaster::units::{Mass, System};
use landplaster::warning::{Warning, by_gravity};
use landplaster::work::{Disk, FieldToSample, SamplingFiles, avoided};
use landplaster::write::{LABORATORY, has_results, sampling_files, worth_files};

use super::disk::{self, Ours};
use super::failure::Failure;
use super::sample_arguments::Arguments;
use super::working_folder::way_from;
use super::{load, saving, standard_output};

/// A field that is to be sampled, from a boundary or from a job.
struct Known {
    field: SampledField,
    /// The samples with their CEC; none of a boundary alone.
    samples: Vec<Point>,
    tiers: Tiers,
    product: Option<(Mass, Money)>,
    warnings: Vec<Warning>,
}

/// Plans where to sample, or says what samples are worth.
pub fn run(arguments: &Arguments) -> Result<(), Failure> {
    let is_job = arguments.field.extension().is_some_and(|end| end.eq_ignore_ascii_case("toml"));
    let known = if is_job { of_job(arguments)? } else { of_boundary(arguments)? };
    if arguments.worth {
        return worth(arguments, &known);
    }
    if let Some(target) = arguments.error {
        return coarsest(arguments, &known, target);
    }
    let Known { field, samples, tiers, warnings, .. } = known;
    let plan = if let Some(count) = arguments.add {
        let variogram = of_samples(&samples, "--add")?;
        SamplingPlan::added(field, &samples, variogram, &tiers, (count, arguments.aim()))
    } else {
        let (how_many, layout) = arguments.amount(!field.taken.is_empty())?;
        SamplingPlan::laid(field, how_many, layout, arguments.heading)
    };
    let plan = plan.map_err(Failure::input)?;
    let files = sampling_files(&plan).map_err(Failure::input)?;
    keeps_results(&arguments.out.join(&plan.field.name).join(LABORATORY))?;
    let folder = disk::replace(&arguments.out, &plan.field.name, &files, Ours::SAMPLING)?;
    let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
    let boundary = (!is_job).then(|| arguments.as_planned());
    let points = start::shell(&folder.join("points.geojson"));
    let planned = boundary.as_deref().map(|boundary| (boundary, points.as_str()));
    standard_output::text(&sampling_summary(&plan, &warnings, planned, shown(&folder), &names))
}

/// Refuses to replace a table that somebody has written results into.
fn keeps_results(path: &Path) -> Result<(), Failure> {
    match std::fs::read(path) {
        Ok(table) if has_results(&table) => Err(Failure::Input(format!(
            "{}: found results in it, expected an empty table or none; move it away, or choose another folder with --out",
            shown(path)
        ))),
        _ => Ok(()),
    }
}

fn of_boundary(arguments: &Arguments) -> Result<Known, Failure> {
    if arguments.add.is_some() {
        return Err(Failure::Input(format!(
            "--add: found {}, expected a job file (.toml) with a soil test: what more samples bring depends on those that there are",
            shown(&arguments.field)
        )));
    }
    let mut named = SamplingFiles {
        boundary: arguments.field.clone(),
        keep_out: arguments.keep_out.clone(),
        taken: arguments.taken.clone(),
        ..SamplingFiles::default()
    };
    named.settings.crs.clone_from(&arguments.crs);
    named.settings.layer.clone_from(&arguments.layer);
    named.settings.field.clone_from(&arguments.field_name);
    let read = FieldToSample::read(&named, &Disk).map_err(Failure::input)?;
    let FieldToSample { boundary, keep_outs, taken, mut warnings } = read;
    let name = arguments.field_name.clone().unwrap_or_else(|| load::stem(&arguments.field));
    let name = folder_name(arguments.name.clone().unwrap_or(name))?;
    let system = arguments.system();
    let apart: Vec<_> = keep_outs.iter().map(|keep_out| keep_out.area.clone()).collect();
    let (gate, ground) = ground(arguments, None, &boundary, &apart, system, &mut warnings)?;
    let (taken, told) = if taken.is_empty() {
        (taken, Vec::new())
    } else {
        field::taken(taken, &boundary, ground.spread()).map_err(Failure::input)?
    };
    warnings.extend(told);
    let (prefix, taking) = (arguments.prefix.clone(), arguments.taking()?);
    let field =
        SampledField { name, system, boundary, keep_outs, ground, taken, gate, prefix, taking };
    by_gravity(&mut warnings);
    let tiers = Tiers::common_practice();
    Ok(Known { field, samples: Vec::new(), tiers, product: None, warnings })
}

fn of_job(arguments: &Arguments) -> Result<Known, Failure> {
    let typed = [
        ("--taken", arguments.taken.is_some()),
        ("--crs", arguments.crs.is_some()),
        ("--layer", arguments.layer.is_some()),
        ("--field", arguments.field_name.is_some()),
    ];
    if let Some((option, _)) = typed.into_iter().find(|(_, typed)| *typed) {
        return Err(Failure::Input(format!(
            "{option}: found a job file, expected a boundary; of a job's field its own soil test counts as taken, and the job says how files are read"
        )));
    }
    let mut work = load::job(&arguments.field)?;
    let changes =
        landplaster::job::Changes { keep_out: arguments.keep_out.clone(), ..Default::default() };
    changes.apply(&mut work.job, &way_from(&work.folder)?);
    let prepared = work.prepare(&Disk).map_err(Failure::input)?;
    let (settings, read) = (prepared.settings, prepared.field);
    let (boundary, keep_outs, mut warnings) = (read.boundary, read.keep_outs, read.warnings);
    // Ground of a set rate takes none by its CEC either.
    let set = read.set_areas.into_iter().map(|set| set.area);
    let apart: Vec<_> = keep_outs.iter().map(|keep_out| keep_out.area.clone()).chain(set).collect();
    let system =
        if arguments.system() == System::Metric { System::Metric } else { settings.system };
    let (gate, ground) =
        ground(arguments, settings.about.entrance, &boundary, &apart, system, &mut warnings)?;
    let taken = read.samples.iter().map(|sample| (sample.id.clone(), sample.position)).collect();
    let point = |sample: &landplaster::field::Sample| Point {
        easting: sample.position.x,
        northing: sample.position.y,
        value: sample.cec,
    };
    let samples = read.samples.iter().map(point).collect();
    let name = folder_name(arguments.name.clone().unwrap_or(settings.job))?;
    let (prefix, taking) = (arguments.prefix.clone(), arguments.taking()?);
    let field =
        SampledField { name, system, boundary, keep_outs, ground, taken, gate, prefix, taking };
    let product = settings.order.and_then(|order| order.prices.product);
    by_gravity(&mut warnings);
    Ok(Known { field, samples, tiers: settings.tiers, product, warnings })
}

/// A name that the field's folder can have on every system.
fn folder_name(name: String) -> Result<String, Failure> {
    match file_name::fault(&name) {
        None => Ok(name),
        Some(why) => Err(Failure::Input(format!(
            "--name: found \"{name}\", {why}, expected a name that a folder can have; choose another one"
        ))),
    }
}

/// The gate and the ground.
fn ground(
    arguments: &Arguments,
    entrance: Option<geo::Coord<f64>>,
    boundary: &Boundary,
    apart: &[MultiPolygon<f64>],
    system: System,
    warnings: &mut Vec<Warning>,
) -> Result<(Option<geo::Coord<f64>>, Ground), Failure> {
    let gate = arguments.gate(entrance, boundary)?;
    let avoid = avoided(&arguments.avoid, boundary, &Disk, warnings).map_err(Failure::input)?;
    let ground = Ground::new(boundary, apart, &avoid, arguments.edge()?, system);
    Ok((gate, ground.map_err(Failure::input)?))
}

fn of_samples(samples: &[Point], option: &str) -> Result<Variogram, Failure> {
    own_variogram(samples)
        .map_err(|error: SurfaceError| Failure::Input(format!("{option}: {error}")))
}

fn worth(arguments: &Arguments, known: &Known) -> Result<(), Failure> {
    let (typed, mean) = (arguments.variograms()?, arguments.mean()?);
    let own = LikelySoil::of_samples(&known.samples).ok().filter(|soils| !soils.is_empty());
    let (soils, by) = match (typed.is_empty(), own) {
        (false, _) => (
            LikelySoil::of_variograms(&typed, mean),
            "Judged by the variograms that were given.".to_owned(),
        ),
        (true, Some(soils)) => (
            soils,
            format!(
                "Judged by the field's own {} samples: {} variograms that fit them, each by how well.",
                known.samples.len(),
                LikelySoil::of_samples(&known.samples).map_or(0, |soils| soils.len())
            ),
        ),
        (true, None) => (
            LikelySoil::unknown(mean),
            format!(
                "Nothing is known of the soil: {} likely ones are taken (common practice, no source), of mean CEC {}, standard deviation 4, alike up to 500, 1000 or 2000 ft. --variogram and --cec say more.",
                LikelySoil::unknown(mean).len(),
                mean.map_or("9, 12.5 or 16".to_owned(), |mean| mean.to_string())
            ),
        ),
    };
    let system = known.field.system;
    let each = match system {
        System::Us => Mass::tons(1.0),
        System::Metric => Mass::tonnes(1.0),
    };
    let typed = [arguments.sampling_price, arguments.laboratory_price, arguments.product_price];
    let names = ["--sampling-price", "--laboratory-price", "--product-price"];
    for (name, price) in names.into_iter().zip(typed) {
        if let Some(price) = price.filter(|price| !(price.is_finite() && *price >= 0.0)) {
            return Err(Failure::Input(format!("{name}: found {price}, expected 0 or more")));
        }
    }
    let product = arguments.product_price.map(|price| (each, Money(price))).or(known.product);
    let of_samples = arguments.sampling_price.or(arguments.laboratory_price);
    let prices = product.zip(of_samples).map(|(product, _)| WorthPrices {
        taking: Money(arguments.sampling_price.unwrap_or_default()),
        laboratory: Money(arguments.laboratory_price.unwrap_or_default()),
        product,
    });
    let worth =
        Worth::new(&known.field.ground, soils, &known.tiers, prices).map_err(Failure::input)?;
    let files = worth_files(&worth, system).map_err(Failure::input)?;
    let folder = arguments.out.join(&known.field.name);
    let made: Vec<_> = files.into_iter().map(|file| (file.name, file.bytes)).collect();
    saving::all(&folder, &made)?;
    let names: Vec<&str> = made.iter().map(|(name, _)| name.as_str()).collect();
    let text = worth_text(&worth, &known.field.name, &by, system);
    standard_output::text(&format!("{text}\n{}: {}\n", shown(&folder), names.join(", ")))
}

fn coarsest(arguments: &Arguments, known: &Known, target: f64) -> Result<(), Failure> {
    if !(target.is_finite() && target > 0.0) {
        return Err(Failure::Input(format!("--error: found {target}, expected more than zero")));
    }
    let typed = arguments.variograms()?;
    let variograms = match (typed.is_empty(), known.samples.is_empty()) {
        (false, _) => typed,
        (true, false) => vec![of_samples(&known.samples, "--error")?],
        (true, true) => {
            return Err(Failure::Input(
                "--error: found a boundary alone, expected a --variogram of like fields, or a job file with a soil test".to_owned(),
            ));
        }
    };
    let block = arguments.block.map(|side| side.value);
    if block.is_some_and(|side| side.as_metres() <= 0.0) {
        return Err(Failure::Input("--block: found 0 or less, expected more".to_owned()));
    }
    let mut text = String::new();
    for variogram in variograms {
        text += &grids(&variogram, target, block, (known.field.ground.area(), known.field.system))
            .map_err(Failure::input)?;
    }
    standard_output::text(&text)
}
