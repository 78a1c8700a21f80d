use super::*;
use crate::order::{Money, Prices, SpreadingPer};
use crate::plan::Method;
use crate::units::{Area, Length, Mass};

const FARM: &str = "farm = \"Home Farm\"\njobs = [\"north/a.toml\", \"b.toml\"]\n";
const JOB: &str = "boundary = \"b.shp\"\nsamples = { file = \"s.csv\" }\n";

fn farm(lines: &str) -> Result<Farm, JobError> {
    Farm::read("farm.toml", &format!("{FARM}{lines}"))
}

fn job(shared: &str, own: &str) -> Result<FarmJob, JobError> {
    let text = format!("{JOB}{own}");
    farm(shared).unwrap().job(Path::new("north/a.toml"), "north/a.toml", &text, "a")
}

fn said(lines: &str) -> String {
    farm(lines).unwrap_err().to_string()
}

#[test]
fn a_farm_file_has_jobs() {
    assert!(Farm::is_one(FARM) && Farm::is_one("\u{feff}jobs = 3"));
    assert!(!Farm::is_one(JOB) && !Farm::is_one("[a]\njobs = 3"));
    // A job may name its farm; a farm file that is no TOML is told of as one.
    assert!(!Farm::is_one(&format!("farm = \"Home Farm\"\n{JOB}")));
    assert!(Farm::is_one("farm = \"Home Farm\"") && Farm::is_one("jobs = "));
    let farm = farm("").unwrap();
    assert_eq!((farm.name.as_str(), farm.system), ("Home Farm", System::Us));
    assert_eq!(farm.jobs, [Path::new("north/a.toml"), Path::new("b.toml")]);
    assert_eq!(self::farm("swath = \"18 m\"").unwrap().system, System::Metric);
}

/// The job's word counts, key by key; a list is one thing.
#[test]
fn the_farm_stands_in() {
    let shared = "swath = \"60 ft\"\n[zones]\nmin_zone = \"1 ac\"\ntolerance = \"5 ft\"\n\
        [[tier]]\nrate = \"1 ton/ac\"\n";
    let own = "[zones]\ntolerance = \"2 ft\"\n[[tier]]\nlabel = \"all\"\nrate = \"2 ton/ac\"\n";
    let settings = job(shared, own).unwrap().job.settings("", "a", None).unwrap();
    let clean_up = settings.clean_up.unwrap();
    assert_eq!(clean_up.tolerance, Length::feet(2.0));
    assert!((clean_up.min_zone.as_acres() - 1.0).abs() < 1e-12);
    assert_eq!(clean_up.min_width, Length::feet(60.0));
    let tiers = settings.tiers.tiers();
    assert_eq!((tiers.len(), tiers[0].label.as_str()), (1, "all"));
    let kriging = job("[surface]\nmethod = \"kriging\"", "").unwrap().job;
    assert_eq!(kriging.surface.method, Method::Kriging);
}

/// The job's paths start from the job, the farm's from the farm.
#[test]
fn paths_start_from_the_file_they_stand_in() {
    let ditch = "[[keep_out]]\nfile = \"ditch.shp\"\ndistance = \"30 ft\"\nwhy = \"ditch\"\n";
    let shared = job(&format!("laboratory = \"lab.csv\"\n{ditch}"), "").unwrap().job;
    assert_eq!(shared.boundary.file, Path::new("north/b.shp"));
    assert_eq!(shared.samples.file, Path::new("north/s.csv"));
    assert_eq!(shared.laboratory.unwrap().file, Path::new("lab.csv"));
    assert_eq!(shared.keep_out[0].file, Path::new("ditch.shp"));
    let own = job("laboratory = \"lab.csv\"", &format!("laboratory = \"own.csv\"\n{ditch}"));
    let own = own.unwrap().job;
    assert_eq!(own.laboratory.unwrap().file, Path::new("north/own.csv"));
    assert_eq!(own.keep_out[0].file, Path::new("north/ditch.shp"));
}

/// Remarks, blanks and order are no settings; the name is one, wherever it comes from.
#[test]
fn the_same_settings_are_written_the_same() {
    let one = job("swath = \"60 ft\"", "# mine\nmax_rate = \"2 ton/ac\"\n").unwrap().written;
    let other = job("max_rate = \"1 ton/ac\"\nswath = \"60 ft\"", "max_rate='2 ton/ac'").unwrap();
    assert_eq!(one, other.written);
    assert!(one.contains("name = \"a\"\n"), "{one}");
    assert_ne!(one, job("swath = \"50 ft\"", "max_rate = \"2 ton/ac\"").unwrap().written);
}

#[test]
fn faults_of_the_farm() {
    let bare = |text: &str| Farm::read("farm.toml", text).unwrap_err().to_string();
    assert_eq!(
        bare("jobs = [\"a.toml\"]"),
        "farm.toml, farm: found nothing, expected the farm's name, such as farm = \"Home Farm\""
    );
    assert_eq!(
        bare("farm = \"F\"\njobs = []"),
        "farm.toml, jobs: found none, expected paths of job files, such as jobs = [\"field.toml\"], or the file with the fields' boundaries, such as boundaries = \"fields.shp\""
    );
    assert_eq!(
        bare("farm = \"../F\"\njobs = [\"a.toml\"]"),
        "farm.toml, farm: found \"../F\", which has one of < > : \" / \\ | ? * or a control character, expected a name that a folder can have"
    );
    assert_eq!(
        said("boundary = \"b.shp\""),
        "farm.toml, line 3: found \"boundary\", expected it in each job; a farm file says what its jobs share"
    );
    assert_eq!(
        said("swath = \"4 ft\""),
        "farm.toml, swath: found 4.00 ft, expected 5 ft to 200 ft (1.5 m to 61 m)"
    );
    assert!(said("[zones]\nmin_zon = 3").starts_with(
        "farm.toml, line 4: found unknown key \"min_zon\", did you mean \"min_zone\"?"
    ),);
    assert!(said("swath = 4").starts_with("farm.toml, line 3: "), "{}", said("swath = 4"));
    let both = bare("farm = 3\njobs = []");
    assert!(both.starts_with("found 2 faults:\n  farm.toml, line 1: "), "{both}");
    assert!(bare("farm = \"F\"\njobs = \"a.toml\"").starts_with("farm.toml, line 2: "));
}

#[test]
fn faults_of_a_job_are_its_own_or_between_the_two() {
    let said = |shared: &str, own: &str| job(shared, own).unwrap_err().to_string();
    assert!(said("", "[zons]").starts_with("north/a.toml, line 3: found unknown key \"zons\""));
    assert_eq!(
        said("max_rate = \"2 ton/ac\"", "swath = \"4 ft\""),
        "north/a.toml, swath: found 4.00 ft, expected 5 ft to 200 ft (1.5 m to 61 m)"
    );
    assert_eq!(
        said("[surface]\npower = 2", "[surface]\nmethod = \"kriging\""),
        "north/a.toml with farm.toml, [surface] power: found a setting that does not apply with method = \"kriging\"; remove it"
    );
    // The job needs what the farm has, so it is not at fault by itself.
    assert!(job("swath = \"60 ft\"", "[zones]\nheading = 90").is_ok());
}

#[test]
fn names_are_distinct() {
    let farm = farm("").unwrap();
    assert_eq!(farm.distinct(&[("a.toml", "a"), ("b.toml", "b")]), Ok(()));
    assert_eq!(
        farm.distinct(&[("x/a.toml", "a"), ("y/a.toml", "A")]).unwrap_err().to_string(),
        "x/a.toml and y/a.toml: found the name \"a\" twice, expected each name once, as each has a folder of that name; set another name in one of them"
    );
    let own = farm.distinct(&[("h.toml", "home farm")]).unwrap_err().to_string();
    assert!(own.starts_with("farm.toml and h.toml: found the name \"Home Farm\" twice"), "{own}");
}

fn prices(shared: &str, own: &str) -> Prices {
    let job = job(shared, own).unwrap().job;
    job.settings("", "a", None).unwrap().order.unwrap().prices
}

/// By hand: at 40 a ton and 10 an acre, 9.071 847 4 t are 10 ton and 400, and 4.046 856 422 4 ha are
/// 10 ac and 100, whatever the job is printed in. At 40 a tonne, of which 9.07 are printed, it were
/// 362.80; at 10 a hectare, of which 4.05 are printed, 40.50.
#[test]
fn a_farm_s_prices_are_for_its_own_units() {
    let shared = "[prices]\nproduct = 40\nspreading = 10\n";
    let (mass, area) = (Mass::tonnes(9.071_847_4), Area::hectares(4.046_856_422_4));
    let cost = |shared: &str, own: &str| {
        let prices = prices(shared, own);
        (
            prices.of_product(mass).unwrap().rounded(),
            prices.of_spreading(mass, area).unwrap().rounded(),
        )
    };
    for own in ["", "units = \"metric\"", "units = \"us\""] {
        assert_eq!(cost(shared, own), (400.0, 100.0), "{own}");
    }
    // A farm in metric units, by its own word or by what it is written in: 40 a tonne, 10 a hectare.
    for farm in ["units = \"metric\"", "[order]\ndelivery = \"22 t\""] {
        let shared = format!("{farm}\n{shared}");
        assert_eq!(cost(&shared, "units = \"us\""), (362.8, 40.5), "{farm}");
    }
    let each =
        "[prices]\nproduct = 40\nproduct_per = \"tonne\"\nspreading = 1\nspreading_per = \"ton\"";
    assert_eq!(cost(each, ""), (362.8, 10.0));
}

/// A job's own price is for the job's units: what the farm's is for does not stick to it.
#[test]
fn a_price_and_what_it_is_for_go_together() {
    let shared = "[prices]\nproduct = 40\nspreading = 10\nspreading_per = \"acre\"\n";
    let own = "units = \"metric\"\n[prices]\nproduct = 38\n";
    let mixed = prices(shared, own);
    assert_eq!(mixed.product, Some((Mass::tonnes(1.0), Money(38.0))));
    assert_eq!(mixed.spreading, Some((SpreadingPer::Acre, Money(10.0))));
    let own = prices(shared, "units = \"metric\"\n[prices]\nspreading = 25\n");
    assert_eq!(own.product, Some((Mass::tons(1.0), Money(40.0))));
    assert_eq!(own.spreading, Some((SpreadingPer::Hectare, Money(25.0))));
    assert_eq!(
        job(shared, "[prices]\nproduct_per = \"tonne\"").unwrap_err().to_string(),
        "north/a.toml, [prices] product_per: found a setting that does not apply without product; remove it"
    );
}

#[test]
fn faults_of_a_shared_order() {
    for (lines, expected) in [
        (
            "[order]\ndelivery = \"0 tons\"",
            "[order] delivery: found 0.00 tons, expected 0.1 tons to 200 tons (0.09 t to 181 t)",
        ),
        ("[order]\nfirst_loads = 11", "[order] first_loads: found 11, expected 0 to 10"),
        (
            "spreader = \"m.toml\"\n[order]\nmoisture = \"70 %\"",
            "[order] moisture: found 70.00 %, expected 0 % to 50 % of the mass as spread",
        ),
        ("[prices]\nproduct = -1", "[prices] product: found -1, expected a price of 0 or more"),
    ] {
        assert_eq!(said(lines), format!("farm.toml, {expected}"));
    }
    assert_eq!(
        said("swath = \"60 ft\"\n[order]\ndelivery = \"22 t\""),
        "farm.toml: found quantities in both US customary and metric units; add units = \"us\" or units = \"metric\" to say which to print in"
    );
    // What a job may have for itself is missing only there.
    let pure = "[order]\nbasis = \"pure gypsum\"\nmoisture = \"9 %\"\n";
    let said = |own: &str| job(pure, own).unwrap_err().to_string();
    assert_eq!(
        said(""),
        "north/a.toml with farm.toml, [order] purity: found none, expected one such as purity = \"92 %\", or a spreader file, to turn pure gypsum into product"
    );
    for own in ["spreader = \"m.toml\"", "[order]\npurity = \"92 %\""] {
        assert!(job(pure, own).is_ok(), "{own}");
    }
    assert_eq!(
        job("[order]\nturn = \"30 s\"", "").unwrap_err().to_string(),
        "north/a.toml with farm.toml, [order] turn: found a setting that does not apply without a spreader; remove it"
    );
    assert_eq!(
        job("spreader = \"m.toml\"", "[order]\nrefill = \"3 h\"").unwrap_err().to_string(),
        "north/a.toml, [order] refill: found 10800.00 s, expected 0 min to 120 min"
    );
}
