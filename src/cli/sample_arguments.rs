//! What is typed after `landplaster sample`, and what it means.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use geo::Coord;
use landplaster::field::Boundary;
use landplaster::job::KeepOutText;
use landplaster::path_text::shown;
use landplaster::report::start;
use landplaster::sampling::{Aim, HowMany, Layout, Pattern, Taking};
use landplaster::surface::{Variogram, VariogramShape};
use landplaster::units::{Area, Length, Quantity, System, Written};

use super::failure::Failure;

/// A gate farther from the field than this is another field's, or its numbers are swapped.
const FARTHEST: Length = Length::feet(5280.0);
/// How far samples keep from the field's edges: their cores lie within 30 ft of them, and 20 ft of
/// headland and ditch are unlike the field (common practice, no source).
const EDGE: Length = Length::feet(50.0);

/// What was typed.
#[derive(Clone, Debug, Args)]
pub struct Arguments {
    /// The field boundary (GeoJSON, shapefile, GeoPackage, KML, task data), or a job file (.toml) for
    /// more samples on a field that has some
    #[arg(value_name = "BOUNDARY|JOB.toml")]
    pub field: PathBuf,
    /// Acres a sample; 2.5 when nothing else is said
    #[arg(long, value_name = "ACRES", conflicts_with_all = ["hectares", "points", "add"])]
    acres: Option<f64>,
    /// Hectares a sample; prints metric units
    #[arg(long, value_name = "HECTARES", conflicts_with_all = ["points", "add"])]
    hectares: Option<f64>,
    /// So many samples, wherever they are nearest to all ground
    #[arg(long, value_name = "COUNT", conflicts_with = "add")]
    points: Option<usize>,
    /// So many more samples on a job's field, where they save the most tons from the wrong place
    #[arg(long, value_name = "COUNT")]
    pub add: Option<usize>,
    /// What the samples that are added are to lower
    #[arg(long, value_name = "AIM", requires = "add", default_value = "tons")]
    aim: AimName,
    /// How samples lie; coverage with --points, else a square grid
    #[arg(long, value_name = "LAYOUT", conflicts_with = "add")]
    layout: Option<LayoutName>,
    /// How a grid's rows run, degrees clockwise from north; along the longest side when absent
    #[arg(long, value_name = "DEGREES", conflicts_with = "add", allow_hyphen_values = true)]
    pub heading: Option<f64>,
    /// How far samples keep from edges, holes and keep-outs; 50 ft when absent
    #[arg(long, value_name = "LENGTH", value_parser = Written::<Length>::read)]
    edge: Option<Written<Length>>,
    /// What nothing is spread near, and how far from it: pond.kml=35ft; may be given several times
    #[arg(long, value_name = "FILE=DISTANCE")]
    pub keep_out: Vec<KeepOutText>,
    /// What no sample is taken near, and how far from it: old-fence.geojson=60ft; may be given several
    /// times
    #[arg(long, value_name = "FILE=DISTANCE")]
    pub avoid: Vec<KeepOutText>,
    /// Places that were sampled already (points, or a table with positions), which stay; for --layout
    /// coverage
    #[arg(long, value_name = "FILE", conflicts_with_all = ["worth", "error"])]
    pub taken: Option<PathBuf>,
    /// Where the walk starts and ends: latitude, longitude
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    gate: Option<String>,
    /// What the samples' names begin with; the first letters of the field's name when absent
    #[arg(long, value_name = "LETTERS")]
    pub prefix: Option<String>,
    /// What the field and its folder are called; as its file when absent
    #[arg(long, value_name = "NAME")]
    pub name: Option<String>,
    /// The depth of a core, such as "6 in"; 6 in when absent
    #[arg(long, value_name = "LENGTH", value_parser = Written::<Length>::read)]
    depth: Option<Written<Length>>,
    /// Cores a sample; 10 when absent
    #[arg(long, value_name = "COUNT")]
    cores: Option<usize>,
    /// How far from its point a sample's cores are taken; 30 ft when absent
    #[arg(long, value_name = "LENGTH", value_parser = Written::<Length>::read)]
    within: Option<Written<Length>>,
    /// The field, where the boundary's file holds several
    #[arg(long = "field", value_name = "NAME")]
    pub field_name: Option<String>,
    /// The coordinate system of the boundary, where its file does not say it, such as EPSG:2965
    #[arg(long, value_name = "CRS")]
    pub crs: Option<String>,
    /// The layer of the boundary, where its file holds several
    #[arg(long, value_name = "NAME")]
    pub layer: Option<String>,
    /// Say what numbers of samples are worth, in place of a plan
    #[arg(long, conflicts_with_all = ["add", "points", "acres", "hectares", "layout", "error"])]
    pub worth: bool,
    /// Say how coarse a grid may be for this typical error (kriging standard error, CEC points), in
    /// place of a plan
    #[arg(long, value_name = "CEC", conflicts_with_all = ["add", "points", "acres", "hectares", "layout"])]
    pub error: Option<f64>,
    /// The side of the block whose mean the error is of, such as 60ft; of one new sample when absent
    #[arg(long, value_name = "LENGTH", requires = "error", value_parser = Written::<Length>::read)]
    pub block: Option<Written<Length>>,
    /// A variogram of CEC from like fields, for --worth and --error: "spherical 2 + 9 over 800 ft"
    /// (nugget, then what distance adds); may be given several times
    #[arg(long, value_name = "SHAPE NUGGET + PART over RANGE")]
    variogram: Vec<String>,
    /// The field's mean CEC, for --worth, where it is about known
    #[arg(long, value_name = "CEC", requires = "worth")]
    cec: Option<f64>,
    /// What taking a sample costs, for --worth
    #[arg(long, value_name = "MONEY", requires = "worth")]
    pub sampling_price: Option<f64>,
    /// What the laboratory asks for a sample, for --worth
    #[arg(long, value_name = "MONEY", requires = "worth")]
    pub laboratory_price: Option<f64>,
    /// What product costs a ton (with --hectares or a metric job: a tonne), for --worth; a job's own when
    /// absent
    #[arg(long, value_name = "MONEY", requires = "worth")]
    pub product_price: Option<f64>,
    /// The folder that the field's own folder is made in
    #[arg(long, value_name = "DIR", default_value = "sampling")]
    pub out: PathBuf,
}

/// How samples lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum LayoutName {
    /// On the corners of squares
    Square,
    /// On the corners of triangles
    Triangular,
    /// Wherever they are nearest to all ground
    Coverage,
}

/// What added samples are to lower.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum AimName {
    /// The tons that are spread where the soil calls for another rate
    Tons,
    /// The mean kriging variance
    Variance,
}

impl Arguments {
    /// The units that are printed, where no job says them.
    pub fn system(&self) -> System {
        if self.hectares.is_some() { System::Metric } else { System::Us }
    }

    /// How many samples, and how they lie: beside others there is but one way.
    pub fn amount(&self, has_taken: bool) -> Result<(HowMany, Layout), Failure> {
        let above_zero = |option: &str, value: f64| {
            if value.is_finite() && value > 0.0 {
                return Ok(value);
            }
            Err(Failure::Input(format!("{option}: found {value}, expected more than zero")))
        };
        let how_many = match (self.acres, self.hectares, self.points) {
            (Some(acres), ..) => HowMany::Each(Area::acres(above_zero("--acres", acres)?)),
            (_, Some(hectares), _) => {
                HowMany::Each(Area::hectares(above_zero("--hectares", hectares)?))
            }
            (.., Some(points)) => HowMany::Count(points),
            (None, None, None) => HowMany::USUAL,
        };
        let layout = match self.layout {
            Some(LayoutName::Triangular) => Layout::Grid(Pattern::Triangular),
            Some(LayoutName::Coverage) => Layout::Coverage,
            None if self.points.is_some() || has_taken => Layout::Coverage,
            Some(LayoutName::Square) | None => Layout::Grid(Pattern::Square),
        };
        if has_taken && layout != Layout::Coverage {
            return Err(Failure::Input(
                "--layout: found a grid, expected coverage: samples are there already, which a grid does not see; leave --layout out, or give the boundary alone"
                    .to_owned(),
            ));
        }
        if let Some(heading) = self.heading.filter(|degrees| !(-360.0..=360.0).contains(degrees)) {
            let expected = "expected degrees clockwise from north such as 90";
            return Err(Failure::Input(format!("--heading: found {heading}, {expected}")));
        }
        Ok((how_many, layout))
    }

    /// The boundary as `landplaster plan` is to have it: with what is kept out of it.
    pub fn as_planned(&self) -> String {
        let named = [
            ("--field", &self.field_name),
            ("--boundary-layer", &self.layer),
            ("--boundary-crs", &self.crs),
        ];
        let named = named.into_iter().filter_map(|(option, value)| Some((option, value.clone()?)));
        let kept =
            self.keep_out.iter().map(|kept| format!("{}={}", shown(&kept.file), kept.distance));
        let options = named.chain(kept.map(|kept| ("--keep-out", kept)));
        let options =
            options.map(|(option, value)| format!("{option} {}", start::shell(Path::new(&value))));
        std::iter::once(start::shell(&self.field)).chain(options).collect::<Vec<_>>().join(" ")
    }

    /// What the added samples are to lower.
    pub fn aim(&self) -> Aim {
        match self.aim {
            AimName::Tons => Aim::Tons,
            AimName::Variance => Aim::Variance,
        }
    }

    /// How far samples keep from edges.
    pub fn edge(&self) -> Result<Length, Failure> {
        let edge = self.edge.map_or(EDGE, |edge| edge.value);
        if edge < Length::ZERO {
            let found = edge.show(System::Us, 1);
            return Err(Failure::Input(format!("--edge: found {found}, expected 0 or more")));
        }
        Ok(edge)
    }

    /// How samples are taken.
    pub fn taking(&self) -> Result<Taking, Failure> {
        let usual = Taking::default();
        let [top, bottom] = usual.depth;
        let depth = self.depth.map_or(bottom, |depth| depth.value);
        let within = self.within.map_or(usual.within, |within| within.value);
        let cores = self.cores.unwrap_or(usual.cores);
        let fault = |option: &str, found: String, expected: &str| {
            Err(Failure::Input(format!("{option}: found {found}, expected {expected}")))
        };
        if !(depth > top && depth <= Length::feet(10.0)) {
            return fault("--depth", depth.show(System::Us, 2), "more than 0 and at most 10 ft");
        }
        if !(1..=100).contains(&cores) {
            return fault("--cores", cores.to_string(), "1 to 100");
        }
        if within < Length::ZERO || within > Length::feet(1000.0) {
            return fault("--within", within.show(System::Us, 1), "0 to 1000 ft");
        }
        Ok(Taking { depth: [top, depth], cores, within })
    }

    /// The gate in a field's meters: what was typed, or a job's entrance.
    pub fn gate(
        &self,
        entrance: Option<Coord<f64>>,
        boundary: &Boundary,
    ) -> Result<Option<Coord<f64>>, Failure> {
        let Some(text) = &self.gate else {
            return Ok(entrance.and_then(|at| boundary.frame().to_local(at).ok()));
        };
        let expected = "expected latitude and then longitude of a place within a mile of the field, such as 40.5238,-85.1453";
        let fault =
            |why: &str| Failure::Input(format!("--gate: found \"{text}\"{why}, {expected}"));
        let number = |text: &str| text.trim().parse::<f64>().ok().filter(|value| value.is_finite());
        let at =
            text.split_once(',').and_then(|(y, x)| Some(Coord { x: number(x)?, y: number(y)? }));
        let at = at.ok_or_else(|| fault(""))?;
        let away = boundary.outside(at).filter(|away| *away <= FARTHEST);
        if away.is_none() {
            return Err(fault(", which is over a mile from it or nowhere"));
        }
        boundary.frame().to_local(at).map(Some).map_err(Failure::input)
    }

    /// The variograms that were typed.
    pub fn variograms(&self) -> Result<Vec<Variogram>, Failure> {
        self.variogram.iter().map(|text| variogram(text)).collect()
    }

    /// The mean CEC that was typed.
    pub fn mean(&self) -> Result<Option<f64>, Failure> {
        match self.cec {
            Some(cec) if !(cec > 0.0 && cec <= 100.0) => Err(Failure::Input(format!(
                "--cec: found {cec}, expected the field's mean CEC, over 0 and at most 100"
            ))),
            cec => Ok(cec),
        }
    }
}

/// A variogram as it is typed.
fn variogram(text: &str) -> Result<Variogram, Failure> {
    let fault = || {
        Failure::Input(format!(
            "--variogram: found \"{text}\", expected a shape (spherical or exponential), the nugget, what distance adds and the range, such as \"spherical 2 + 9 over 800 ft\""
        ))
    };
    let lower = text.to_lowercase();
    let (head, range) = lower.split_once("over").ok_or_else(fault)?;
    let (first, partial_sill) = head.split_once('+').ok_or_else(fault)?;
    let (shape, nugget) = first.trim().split_once(char::is_whitespace).ok_or_else(fault)?;
    let shape = match shape {
        "spherical" => VariogramShape::Spherical,
        "exponential" => VariogramShape::Exponential,
        _ => return Err(fault()),
    };
    let number = |text: &str| {
        let value = text.trim().parse::<f64>().ok();
        value.filter(|value| value.is_finite() && *value >= 0.0).ok_or_else(fault)
    };
    let (nugget, partial_sill) = (number(nugget)?, number(partial_sill)?);
    let range = Written::<Length>::read(range.trim()).map_err(|_| fault())?.value.as_metres();
    if nugget + partial_sill <= 0.0 || range <= 0.0 {
        return Err(fault());
    }
    Ok(Variogram { shape, nugget, partial_sill, range })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn variograms_are_read_or_refused() {
        let read = variogram("Spherical 2 + 9.5 over 800 ft").unwrap();
        assert_eq!((read.nugget, read.partial_sill), (2.0, 9.5));
        assert!((read.range - 243.84).abs() < 1e-9);
        for text in [
            "",
            "round 1 + 2 over 3 m",
            "spherical 1 over 3 m",
            "spherical 0 + 0 over 3 m",
            "spherical 1 + 2 over 3",
            "exponential -1 + 2 over 3 m",
        ] {
            assert!(variogram(text).is_err(), "{text}");
        }
    }
}
