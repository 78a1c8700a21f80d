use super::*;
use crate::order::{Money, OrderExtra, SpreadingPer};
use crate::plan::{CleanUp, Heading, Islands, Method, Prefer, Rows, SurfaceSettings, Unspread};
use crate::surface::Neighbors;
use crate::units::{Area, Mass, Share, Time};

/// What a job comes to that has these lines besides its two files.
fn job(lines: &str) -> Result<Settings, JobError> {
    let text = format!("boundary = \"b.shp\"\nsamples = \"s.csv\"\n{lines}");
    Job::read("job.toml", &text)?.settings("job.toml", "job", None)
}

fn said(lines: &str) -> String {
    job(lines).unwrap_err().to_string()
}

fn ditch(distance: &str, why: &str) -> String {
    format!("[[keep_out]]\nfile = \"ditch.geojson\"\ndistance = \"{distance}\"\nwhy = \"{why}\"\n")
}

#[test]
fn everything_has_a_default() {
    let settings = job("").unwrap();
    assert_eq!(settings.surface, SurfaceSettings::default());
    assert_eq!(settings.surface.method, Method::InverseDistance);
    assert_eq!(settings.grid, Length::feet(10.0));
    let usual = CleanUp {
        min_zone: Area::acres(0.5),
        min_width: Length::feet(60.0),
        tolerance: Length::feet(15.0),
        prefer: Prefer::Nearest,
        islands: Islands::Join,
    };
    assert_eq!(settings.clean_up, Some(usual));
    assert_eq!((settings.rows, settings.unspread), (None, Unspread::RateZero));
    assert!(settings.warnings.is_empty());
    let narrow = job("swath = \"30 ft\"").unwrap().clean_up;
    let (min_width, tolerance) = (Length::feet(30.0), Length::feet(7.5));
    assert_eq!(narrow, Some(CleanUp { min_width, tolerance, ..usual }));
    let wide = job("swath = \"150 ft\"").unwrap().clean_up;
    assert_eq!(wide.map(|asked| asked.tolerance), Some(Length::feet(30.0)));
}

#[test]
fn everything_can_be_said() {
    let text = "swath = \"18 m\"\nmax_rate = \"4 t/ha\"\nmin_rate = \"0.5 t/ha\"\nexclude = [\"A7\", \"B2\"]\n\
        [surface]\nmethod = \"inverse distance\"\npower = 1.5\nneighbors = \"all\"\nradius = \"200 m\"\ntaper = false\ngrid = \"2 m\"\n\
        [zones]\nclean_up = true\nmin_zone = \"0.2 ha\"\nmin_width = \"9 m\"\ntolerance = \"0 m\"\nprefer = \"lower\"\nislands = \"keep\"\n\
        heading = 359.5\ncell_length = \"30 m\"\nunspread = \"leave out\"\n";
    let text = format!("{text}{}", ditch("0 m", "drainage ditch"));
    let settings = job(&text).unwrap();
    assert_eq!(settings.system, System::Metric);
    let surface = SurfaceSettings {
        method: Method::InverseDistance,
        power: Some(1.5),
        neighbors: Some(Neighbors::All),
        radius: Some(Length::metres(200.0)),
        plain: true,
    };
    assert_eq!(settings.surface, surface);
    let clean_up = CleanUp {
        min_zone: Area::hectares(0.2),
        min_width: Length::metres(9.0),
        tolerance: Length::ZERO,
        prefer: Prefer::Lower,
        islands: Islands::Keep,
    };
    assert_eq!(settings.clean_up, Some(clean_up));
    let (swath, cell) = (Length::metres(18.0), Length::metres(30.0));
    assert_eq!(settings.rows, Some(Rows { heading: Heading::Degrees(359.5), swath, cell }));
    assert_eq!(settings.unspread, Unspread::LeaveOut);
    assert_eq!(
        crate::report::warnings::said(&settings.warnings),
        ["tier 3, CEC over 15: 2.00 ton/ac is over max_rate, planned with 1.78 ton/ac"]
    );
    let rows = job("swath = \"18 m\"\n[zones]\nheading = \"longest\"").unwrap().rows;
    assert_eq!(rows, Some(Rows { heading: Heading::Longest, swath, cell: swath }));
    assert!(job("[zones]\nclean_up = false").unwrap().clean_up.is_none());
    let kriging = job("[surface]\nmethod = \"kriging\"\nradius = \"500 ft\"").unwrap().surface;
    assert_eq!((kriging.method, kriging.power), (Method::Kriging, None));
}

#[test]
fn high_rates_are_warned_of_as_they_are_planned() {
    let tier = "[[tier]]\nrate = \"3 ton/ac\"\n";
    assert_eq!(
        crate::report::warnings::said(&job(tier).unwrap().warnings),
        [
            "tier 1, whole field: 3.00 ton/ac is more than is usually spread in one pass (common practice, no source)"
        ]
    );
    let capped = job(&format!("max_rate = \"2 ton/ac\"\n{tier}")).unwrap();
    assert_eq!(
        crate::report::warnings::said(&capped.warnings),
        ["tier 1, whole field: 3.00 ton/ac is over max_rate, planned with 2.00 ton/ac"]
    );
    assert_eq!(capped.tiers.tiers()[0].rate, Rate::tons_per_acre(2.0));
}

fn one_tier(rate: &str) -> String {
    format!("[[tier]]\nrate = \"{rate}\"\n")
}

/// Rates over 20 ton/ac are asked about, absurd ones in a line, unless the job says that they are
/// meant.
#[test]
fn rates_that_cannot_be_meant() {
    let asked = "expected at most 20.00 ton/ac (common practice, no source); is lb/ac meant?";
    let lift = " If not, set plausible_rate = \"1000.00 ton/ac\"";
    assert_eq!(
        said(&one_tier("1000 ton/ac")),
        format!(
            "job.toml, tier 1, whole field, rate: found 1000.00 ton/ac as written, {asked}{lift}"
        )
    );
    for (rate, found) in
        [("2147483648 ton/ac", "2147483648.00 ton/ac"), ("1e300 ton/ac", "1.00e300 ton/ac")]
    {
        let expected =
            format!("job.toml, tier 1, whole field, rate: found {found} as written, {asked}");
        assert_eq!(said(&one_tier(rate)), expected);
    }
    assert!(said(&one_tier("1000 t/ha")).contains("at most 44.83 t/ha"));
    assert!(said(&one_tier("1000 t/ha")).contains("is kg/ha meant?"));
    assert!(said(&one_tier("nan ton/ac")).contains("found no number"));
    assert!(
        said(&one_tier("-1 ton/ac")).contains("found a rate of -1.00 ton/ac, expected 0 or more")
    );
    assert!(
        said("max_rate = \"1000 ton/ac\"").contains("max_rate: found 1000.00 ton/ac as written")
    );
    let lifted =
        |bound: &str| job(&format!("plausible_rate = \"{bound}\"\n{}", one_tier("25 ton/ac")));
    assert_eq!(lifted("25 ton/ac").unwrap().tiers.tiers()[0].rate, Rate::tons_per_acre(25.0));
    assert!(lifted("24 ton/ac").unwrap_err().to_string().contains("expected at most 24.00 ton/ac"));
    for bound in ["-1 ton/ac", "1001 ton/ac", "1e300 ton/ac"] {
        let said = lifted(bound).unwrap_err().to_string();
        assert!(said.contains("expected a rate above 0 and at most 1000 ton/ac"), "{said}");
    }
    assert!(job(&one_tier("20 ton/ac")).is_ok());
    // 19 ton/ac of pure gypsum are 23.46 of product.
    let pure = "[order]\nbasis = \"pure gypsum\"\npurity = \"90 %\"\nmoisture = \"10 %\"\n";
    let said = said(&format!("{pure}{}", one_tier("19 ton/ac")));
    assert!(said.contains("rate: found 23.46 ton/ac of product, expected at most 20"), "{said}");
}

#[test]
fn out_of_range() {
    for (lines, expected) in [
        ("swath = \"4 ft\"", "swath: found 4.00 ft, expected 5 ft to 200 ft (1.5 m to 61 m)"),
        ("max_rate = \"0 ton/ac\"", "max_rate: found 0.00 ton/ac, expected a rate above 0"),
        ("min_rate = \"-1 t/ha\"", "min_rate: found -1.00 t/ha, expected a rate above 0"),
        (
            "max_rate = \"1 ton/ac\"\nmin_rate = \"1.5 ton/ac\"",
            "min_rate: found 1.50 ton/ac, expected at most max_rate, 1.00 ton/ac",
        ),
        (
            "[zones]\nmin_zone = \"51 acres\"",
            "[zones] min_zone: found 51.00 acres, expected 0 acres to 50 acres (0 ha to 20 ha)",
        ),
        (
            "[zones]\nmin_width = \"-1 m\"",
            "[zones] min_width: found -1.00 m, expected 0 ft to 1,000 ft (0 m to 305 m)",
        ),
        (
            "[zones]\ntolerance = \"31 ft\"",
            "[zones] tolerance: found 31.00 ft, expected 0 ft to 30 ft (0 m to 9.1 m)",
        ),
        (
            "swath = \"60 ft\"\n[zones]\nheading = 360",
            "[zones] heading: found 360, expected degrees clockwise from true north, 0 or more and under 360",
        ),
        (
            "swath = \"60 ft\"\n[zones]\nheading = nan",
            "[zones] heading: found NaN, expected degrees clockwise from true north, 0 or more and under 360",
        ),
        (
            "[zones]\nheading = 90.0",
            "[zones] heading: found no swath, expected one above the tables, such as swath = \"60 ft\"",
        ),
        (
            "[zones]\ncell_length = \"60 ft\"",
            "[zones] cell_length: found no heading, expected one such as heading = 90 or heading = \"longest\"",
        ),
        (
            "swath = \"60 ft\"\n[zones]\nheading = 90\ncell_length = \"4 ft\"",
            "[zones] cell_length: found 4.00 ft, expected 5 ft to 1,000 ft (1.5 m to 305 m)",
        ),
    ] {
        assert_eq!(said(lines), format!("job.toml, {expected}"), "{lines}");
    }
    assert_eq!(
        said(&format!("{}{}", ditch("35 ft", "ditch"), ditch("-5 ft", "ditch"))),
        "job.toml, keep_out 2 (ditch.geojson), distance: found -5.00 ft, expected 0 ft to 5,280 ft (0 m to 1609 m)"
    );
    assert_eq!(
        said(&ditch("35 ft", " ")),
        "job.toml, keep_out 1 (ditch.geojson), why: found nothing, expected a name for it, such as why = \"drainage ditch\""
    );
}

#[test]
fn what_does_not_apply_is_refused() {
    for key in ["power = 2", "neighbors = 8"] {
        let name = key.split(' ').next().unwrap();
        assert_eq!(
            said(&format!("[surface]\nmethod = \"kriging\"\n{key}")),
            format!(
                "job.toml, [surface] {name}: found a setting that does not apply with method = \"kriging\"; remove it"
            )
        );
    }
    for key in [
        "min_zone = \"1 ac\"",
        "min_width = \"9 ft\"",
        "tolerance = \"1 ft\"",
        "prefer = \"higher\"",
    ] {
        let name = key.split(' ').next().unwrap();
        assert_eq!(
            said(&format!("[zones]\nclean_up = false\n{key}")),
            format!(
                "job.toml, [zones] {name}: found a setting that does not apply with clean_up = false; remove it"
            )
        );
    }
}

#[test]
fn written_wrongly() {
    assert_eq!(
        said("[zones]\nmin_zne = \"1 ac\""),
        "job.toml, line 4: found unknown key \"min_zne\", did you mean \"min_zone\"?; known keys here: clean_up, min_zone, min_width, tolerance, prefer, islands, heading, cell_length, unspread"
    );
    assert_eq!(
        said("[[keep_out]]\nfile = \"d.shp\"\nwhy = \"ditch\""),
        "job.toml, line 3: found no \"distance\", expected one; add it to this table"
    );
    assert_eq!(
        said("[surface]\nmethod = \"splines\""),
        "job.toml, line 4: unknown variant `splines`, expected `inverse distance` or `kriging`"
    );
    assert_eq!(
        said("[zones]\nheading = \"north\""),
        "job.toml, line 4: found \"north\", expected degrees clockwise from true north, or \"longest\""
    );
    assert_eq!(
        said("[zones]\nmin_zone = \"1 ft\""),
        "job.toml, line 4: \"1 ft\": found unit \"ft\", expected a area in ac, ft2, ha, m2"
    );
}

/// One quantity in the other system is noticed, wherever it is.
#[test]
fn mixed_units() {
    let metric = "max_rate = \"9 t/ha\"\n";
    for lines in [
        format!("{metric}min_rate = \"1 lb/ac\""),
        format!("{metric}swath = \"60 ft\""),
        format!("{metric}[zones]\nmin_zone = \"1 ac\""),
        format!("{metric}[zones]\nmin_width = \"9 ft\""),
        format!("{metric}[zones]\ntolerance = \"1 ft\""),
        format!("{metric}[surface]\ngrid = \"9 ft\""),
    ] {
        assert_eq!(
            said(&lines),
            "job.toml: found quantities in both US customary and metric units; add units = \"us\" or units = \"metric\" to say which to print in",
            "{lines}"
        );
        assert_eq!(job(&format!("units = \"us\"\n{lines}")).unwrap().system, System::Us);
    }
    // How far a rule has a ditch kept from says nothing of what the job is printed in.
    assert_eq!(job(&ditch("10 m", "ditch")).unwrap().system, System::Us);
    let rates = format!("{metric}{}", ditch("35 ft", "ditch"));
    assert_eq!(job(&rates).unwrap().system, System::Metric);
}

/// The demo's spreader: 330 ft3, 11 ton, 92 % pure, 9 % moist.
fn machine() -> Machine {
    let text = include_str!("../../../demo-farm/spreader/machine.toml");
    crate::spreader::machine::read("machine.toml", text).unwrap()
}

fn with_spreader(lines: &str) -> Result<Settings, JobError> {
    let text = format!("boundary = \"b.shp\"\nsamples = \"s.csv\"\n{lines}");
    Job::read("job.toml", &text)?.settings("job.toml", "job", Some(&machine()))
}

#[test]
fn an_order_is_made_when_it_is_asked_for() {
    assert_eq!(job("").unwrap().order, None);
    for lines in ["[order]", "[prices]"] {
        assert!(job(lines).unwrap().order.is_some(), "{lines}");
    }
    let usual = with_spreader("").unwrap().order.unwrap();
    let product = usual.product.unwrap();
    assert_eq!((product.purity, product.moisture), (Share::percent(92.0), Share::percent(9.0)));
    let (fill, driving) = (usual.fill.unwrap(), usual.driving.unwrap());
    assert_eq!((fill.first.count, fill.first.share), (1, Share::percent(50.0)));
    assert_eq!((driving.turn, driving.refill), (Time::seconds(30.0), Time::minutes(8.0)));
    assert_eq!((usual.delivery, usual.extra), (None, OrderExtra::default()));
}

/// By hand: 1 / (0.90 x 0.90) = 1.2346, so 1 ton/ac of gypsum is 1.2346 ton/ac of product; the
/// limits are of product.
#[test]
fn rates_of_pure_gypsum_become_product() {
    let lines = "max_rate = \"2 ton/ac\"\n[order]\nbasis = \"pure gypsum\"\npurity = \"90 %\"\nmoisture = \"10 %\"\n";
    let settings = job(lines).unwrap();
    let rates: Vec<String> =
        settings.tiers.tiers().iter().map(|tier| tier.rate.show(System::Us, 4)).collect();
    assert_eq!(rates, ["0.6173 ton/ac", "1.2346 ton/ac", "2.0000 ton/ac"]);
    assert_eq!(
        crate::report::warnings::said(&settings.warnings),
        [
            "tier 3, CEC over 15: 2.47 ton/ac as spread (2.00 ton/ac of pure gypsum) is over max_rate, planned with 2.00 ton/ac"
        ]
    );
    let as_spread = lines.replace("pure gypsum", "as spread");
    assert_eq!(job(&as_spread).unwrap().tiers, Tiers::common_practice());
    let own = with_spreader("[order]\nbasis = \"pure gypsum\"\npurity = \"100 %\"").unwrap();
    let rate = own.tiers.tiers()[1].rate.as_tons_per_acre();
    assert!((rate - 1.0 / 0.91).abs() < 1e-12, "the moisture is the spreader file's");
}

#[test]
fn prices_are_by_the_job_s_units() {
    let prices = |lines: &str| job(lines).unwrap().order.unwrap().prices;
    let us = prices("[prices]\nproduct = 38\nspreading = 11.5");
    assert_eq!(us.product, Some((Mass::tons(1.0), Money(38.0))));
    assert_eq!(us.spreading, Some((SpreadingPer::Acre, Money(11.5))));
    let metric = prices("units = \"metric\"\n[prices]\nproduct = 38\nspreading = 11.5");
    assert_eq!(metric.product, Some((Mass::tonnes(1.0), Money(38.0))));
    assert_eq!(metric.spreading, Some((SpreadingPer::Hectare, Money(11.5))));
    let each = prices("units = \"metric\"\n[prices]\nproduct = 38\nproduct_per = \"ton\"");
    assert_eq!(each.product, Some((Mass::tons(1.0), Money(38.0))));
    let each = prices("[prices]\nproduct = 38\nproduct_per = \"tonne\"");
    assert_eq!(each.product, Some((Mass::tonnes(1.0), Money(38.0))));
    let per_ton = prices("[prices]\nspreading = 9\nspreading_per = \"ton\"");
    assert_eq!(per_ton.spreading, Some((SpreadingPer::Ton, Money(9.0))));
}

#[test]
fn bad_orders_are_refused() {
    for (lines, expected) in [
        (
            "[order]\npurity = \"101 %\"",
            "[order] purity: found 101.00 %, expected 1 % to 100 % of the dry mass",
        ),
        (
            "[order]\npurity = \"0 %\"",
            "[order] purity: found 0.00 %, expected 1 % to 100 % of the dry mass",
        ),
        (
            "[order]\nmoisture = \"100 %\"",
            "[order] moisture: found 100.00 %, expected 0 % to 50 % of the mass as spread",
        ),
        (
            "[order]\nloss = \"-1 %\"",
            "[order] loss: found -1.00 %, expected 0 % to 50 % of a delivery",
        ),
        (
            "[order]\nmargin = \"-3 %\"",
            "[order] margin: found -3.00 %, expected 0 % to 100 % of what is spread",
        ),
        (
            "[order]\ndelivery = \"0 tons\"",
            "[order] delivery: found 0.00 tons, expected 0.1 tons to 200 tons (0.09 t to 181 t)",
        ),
        (
            "[order]\nbasis = \"pure gypsum\"",
            "[order] purity: found none, expected one such as purity = \"92 %\", or a spreader file, to turn pure gypsum into product",
        ),
        (
            "[order]\nbasis = \"pure gypsum\"\npurity = \"92 %\"",
            "[order] moisture: found none, expected one such as moisture = \"9 %\", or a spreader file, to turn pure gypsum into product",
        ),
        (
            "[order]\nturn = \"30 s\"",
            "[order] turn: found a setting that does not apply without a spreader; remove it",
        ),
        ("[prices]\nproduct = -1", "[prices] product: found -1, expected a price of 0 or more"),
        (
            "[prices]\nspreading = nan",
            "[prices] spreading: found NaN, expected a price of 0 or more",
        ),
        (
            "[prices]\nproduct_per = \"ton\"",
            "[prices] product_per: found a setting that does not apply without product; remove it",
        ),
        (
            "[prices]\nspreading_per = \"acre\"",
            "[prices] spreading_per: found a setting that does not apply without spreading; remove it",
        ),
        (
            "[sodic]\ntarget = \"0 %\"",
            "[sodic] target: found 0.00 %, expected 1 % to 15 % of the CEC",
        ),
        (
            "[sodic]\ndepth = \"0 in\"",
            "[sodic] depth: found 0.00 ft, expected 1 in to 72 in (3 cm to 183 cm)",
        ),
        (
            "[sodic]\nbulk_density = \"3 t/m3\"",
            "[sodic] bulk_density: found 3000.00 kg/m3, expected 300 kg/m3 to 2000 kg/m3 (19 lb/ft3 to 125 lb/ft3)",
        ),
    ] {
        assert_eq!(said(lines), format!("job.toml, {expected}"), "{lines}");
    }
    for (lines, expected) in [
        ("[order]\nfirst_loads = 11", "[order] first_loads: found 11, expected 0 to 10"),
        (
            "[order]\nfirst_load_share = \"5 %\"",
            "[order] first_load_share: found 5.00 %, expected 10 % to 100 % of a full load",
        ),
        ("[order]\nturn = \"-1 s\"", "[order] turn: found -1.00 s, expected 0 s to 10 min"),
        (
            "[order]\nrefill = \"3 h\"",
            "[order] refill: found 10800.00 s, expected 0 min to 120 min",
        ),
    ] {
        assert_eq!(
            with_spreader(lines).unwrap_err().to_string(),
            format!("job.toml, {expected}"),
            "{lines}"
        );
    }
    assert_eq!(
        said("[order]\ndelivry = \"24 tons\""),
        "job.toml, line 4: found unknown key \"delivry\", did you mean \"delivery\"?; known keys here: basis, purity, moisture, loss, loss_range, moisture_range, margin, delivery, least_margin, first_loads, first_load_share, turn, refill, road_speed"
    );
    assert_eq!(
        said("[prices]\nlime = 3"),
        "job.toml, line 4: found unknown key \"lime\"; known keys here: product, product_per, spreading, spreading_per"
    );
    assert_eq!(
        said("[order]\nbasis = \"wet\""),
        "job.toml, line 4: unknown variant `wet`, expected `as spread` or `pure gypsum`"
    );
    assert_eq!(
        said("[order]\nfirst_loads = -1"),
        "job.toml, line 4: found -1, expected a whole number of 0 or more"
    );
}

/// A material of 0 % gypsum is a machine file that can be read, and no order can be made by it.
#[test]
fn the_spreader_s_material_is_held_to_the_same() {
    let mut wet = machine();
    wet.material.moisture = Some(Share::percent(100.0));
    let job = Job::read("job.toml", "boundary = \"b.shp\"\nsamples = \"s.csv\"\n").unwrap();
    assert_eq!(
        job.settings("job.toml", "job", Some(&wet)).unwrap_err().to_string(),
        "job.toml, spreader, material.moisture: found 100.00 %, expected 0 % to 50 % of the mass as spread"
    );
}

#[test]
fn another_swath_than_the_spreader_s_is_told() {
    assert!(with_spreader("swath = \"40 ft\"").unwrap().warnings.is_empty());
    assert_eq!(
        crate::report::warnings::said(&with_spreader("swath = \"60 ft\"").unwrap().warnings),
        [
            "swath: found 60.0 ft in the job and 40.0 ft in the spreader's file; zones go by the first, hours by the second"
        ]
    );
    assert!(
        said("swath = \"60 ft\"\n[order]\ndelivery = \"24 t\"")
            .contains("in both US customary and metric units")
    );
}
