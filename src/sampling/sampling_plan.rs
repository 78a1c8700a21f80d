use geo::Coord;

use super::next_samples::{Aim, NextSample, NextSamples};
use super::{
    Ground, Pattern, SamplingError, coverage, grid, ids, mean_squared_distance, prefix, walk,
};
use crate::field::{Boundary, KeepOut};
use crate::soil::Tiers;
use crate::surface::{Point, Variogram};
use crate::units::{Area, Length, Mass, System};
use crate::zones::longest_side;

/// The most samples of one plan: what kriging can use.
pub const MOST_SAMPLES: usize = 1000;

/// How many samples there are to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HowMany {
    /// One for so much ground.
    Each(Area),
    /// So many.
    Count(usize),
}

impl HowMany {
    /// One for 2.5 acres: the most ground a sample that the University of Georgia advises (Extension
    /// circular 1297).
    pub const USUAL: Self = Self::Each(Area::acres(2.5));
}

/// How samples are laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layout {
    /// On a grid.
    Grid(Pattern),
    /// Wherever they are nearest to all ground.
    Coverage,
}

/// How a sample is taken. Of each number the laboratory's own instructions come first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taking {
    /// From and to what depth.
    pub depth: [Length; 2],
    /// How many cores make a sample.
    pub cores: usize,
    /// How far from its point they are taken at most.
    pub within: Length,
}

impl Default for Taking {
    /// 0 to 6 inches (Oregon State University Extension, sf1-98); 10 cores within 30 ft of a point
    /// (North Carolina State Extension 12595: 8 to 10 within 15 to 30 ft). None is specific to gypsum.
    fn default() -> Self {
        let depth = [Length::ZERO, Length::inches(6.0)];
        Self { depth, cores: 10, within: Length::feet(30.0) }
    }
}

/// A field that is to be sampled.
#[derive(Clone, Debug)]
pub struct SampledField {
    /// What it is called.
    pub name: String,
    /// The units to print in.
    pub system: System,
    /// Its boundary.
    pub boundary: Boundary,
    /// Its parts that are not spread.
    pub keep_outs: Vec<KeepOut>,
    /// Where samples are to lie, and where they may.
    pub ground: Ground,
    /// Samples that were taken already: their names and places, in the field's meters.
    pub taken: Vec<(String, Coord<f64>)>,
    /// Where one walks in and out, in the field's meters.
    pub gate: Option<Coord<f64>>,
    /// What names of samples begin with; made from the field's name when absent.
    pub prefix: Option<String>,
    /// How samples are taken.
    pub taking: Taking,
}

/// A sample that is to be taken.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedSample {
    /// Its name, in walking order.
    pub id: String,
    /// Its place in the field's meters.
    pub local: Coord<f64>,
    /// WGS84 longitude and latitude, to 8 decimals.
    pub wgs84: Coord<f64>,
}

/// How near a layout is to all ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearness {
    /// The layout.
    pub layout: Layout,
    /// Its samples.
    pub samples: usize,
    /// The root of the mean squared distance from the ground to the nearest sample.
    pub distance: Length,
}

/// What the next samples on a field are expected to bring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Promise {
    /// Tons misplaced and mean kriging variance by the samples that there are.
    pub now: (Mass, f64),
    /// The same with those of this plan.
    pub then: (Mass, f64),
    /// The same with as many at the places of least mean kriging variance.
    pub by_variance: (Mass, f64),
    /// The same with as many spread by coverage between those that there are.
    pub by_coverage: (Mass, f64),
}

/// Where to sample a field.
#[derive(Clone, Debug)]
pub struct SamplingPlan {
    /// The field.
    pub field: SampledField,
    /// How it was laid out; none of samples chosen one by one for what they bring.
    pub layout: Option<Nearness>,
    /// The other layout with as many samples, for comparison.
    pub other: Option<Nearness>,
    /// What the samples are expected to bring, where the field has some already.
    pub promise: Option<Promise>,
    /// The samples in walking order.
    pub samples: Vec<PlannedSample>,
    /// How far it is to walk, from the gate and back.
    pub walk: Length,
}

impl SamplingPlan {
    /// Lays samples out over a whole field. With [`Layout::Coverage`] those that are taken already
    /// stay, and the new ones see to the ground between them. `heading` is that of a grid's rows,
    /// degrees clockwise from north; along the longest side when absent.
    ///
    /// # Errors
    /// When there would be none, or more than [`MOST_SAMPLES`].
    pub fn laid(
        field: SampledField,
        how_many: HowMany,
        layout: Layout,
        heading: Option<f64>,
    ) -> Result<Self, SamplingError> {
        let ground = &field.ground;
        let each = match how_many {
            HowMany::Each(area) => area,
            HowMany::Count(count) => ground.area() / count.max(1) as f64,
        };
        let wanted = match how_many {
            HowMany::Count(count) => count as f64,
            HowMany::Each(area) => ground.area() / area,
        };
        if !(wanted.is_finite() && wanted > 0.0 && wanted < MOST_SAMPLES as f64 + 0.5) {
            let advice = "use another number of samples, or another area for each";
            let found = format!("{wanted:.0} samples");
            return Err(SamplingError::Points { found, most: MOST_SAMPLES, advice });
        }
        let fixed: Vec<Coord<f64>> = match layout {
            Layout::Coverage => field.taken.iter().map(|(_, at)| *at).collect(),
            Layout::Grid(_) => Vec::new(),
        };
        let clockwise =
            heading.map_or_else(|| longest_side(field.boundary.local()), f64::to_radians);
        let turn = std::f64::consts::FRAC_PI_2 - clockwise;
        let by_grid = |pattern| {
            let cell =
                each.as_square_metres() * ground.plane_area() / ground.area().as_square_metres();
            let points = grid(ground, pattern, cell, turn);
            // A field smaller than half a cell still has its sample.
            if points.is_empty() { coverage(ground, 1, &[]) } else { points }
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the most samples"
        )]
        let (points, other) = match layout {
            Layout::Coverage => {
                // Of so much ground each, those that are taken have theirs.
                let count = match how_many {
                    HowMany::Count(_) => wanted.round() as usize,
                    HowMany::Each(_) => (wanted.round() as usize).saturating_sub(fixed.len()),
                };
                if count == 0 && !fixed.is_empty() {
                    let found = format!("0 samples beside {} taken already", fixed.len());
                    let advice =
                        "they are enough by that; use less ground for each, or a number of samples";
                    return Err(SamplingError::Points { found, most: MOST_SAMPLES, advice });
                }
                let count = count.max(1);
                let points = coverage(ground, count, &fixed);
                let other = fixed.is_empty().then(|| by_grid(Pattern::Square));
                (points, other.map(|points| (Layout::Grid(Pattern::Square), points)))
            }
            Layout::Grid(pattern) => {
                let points = by_grid(pattern);
                let other = coverage(ground, points.len(), &[]);
                (points, Some((Layout::Coverage, other)))
            }
        };
        if points.len() > MOST_SAMPLES {
            let (found, advice) =
                (format!("{} samples", points.len()), "use a larger area for each");
            return Err(SamplingError::Points { found, most: MOST_SAMPLES, advice });
        }
        let nearness = |layout, points: &[Coord<f64>]| {
            let all: Vec<Coord<f64>> = points.iter().chain(&fixed).copied().collect();
            let distance = Length::metres(mean_squared_distance(ground.nodes(), &all).sqrt());
            Nearness { layout, samples: points.len(), distance }
        };
        let (own, other) =
            (nearness(layout, &points), other.map(|(layout, points)| nearness(layout, &points)));
        Self::walked(field, &points, Some(own), other, None)
    }

    /// Adds samples to a field that has some, one after the other where it brings most, by its
    /// variogram and its tiers.
    ///
    /// # Errors
    /// When there would be none or too many, or the field's samples cannot be kriged by.
    pub fn added(
        field: SampledField,
        samples: &[Point],
        variogram: Variogram,
        tiers: &Tiers,
        (count, aim): (usize, Aim),
    ) -> Result<Self, SamplingError> {
        if count == 0 || count + samples.len() > MOST_SAMPLES {
            let found = format!("{count} samples beside {}", samples.len());
            let advice = "add fewer, or at least one";
            return Err(SamplingError::Points { found, most: MOST_SAMPLES, advice });
        }
        let next = NextSamples::new(&field.ground, samples, variogram, tiers)?;
        let now = (next.misplaced_now(), next.variance_now());
        let told = |sample: Option<NextSample>| {
            sample.map_or(now, |sample| (sample.misplaced, sample.variance))
        };
        let by = |aim| next.chosen(count, aim);
        let (by_tons, by_variance) = (by(Aim::Tons), by(Aim::Variance));
        let fixed: Vec<Coord<f64>> =
            samples.iter().map(|at| Coord { x: at.easting, y: at.northing }).collect();
        let between = coverage(&field.ground, count, &fixed);
        let chosen = if aim == Aim::Tons { &by_tons } else { &by_variance };
        let promise = Promise {
            now,
            then: told(chosen.last().copied()),
            by_variance: told(by_variance.last().copied()),
            by_coverage: told(next.of_places(&between)),
        };
        let places: Vec<Coord<f64>> = chosen.iter().map(|sample| sample.place).collect();
        Self::walked(field, &places, None, None, Some(promise))
    }

    /// The samples in walking order, with their names.
    fn walked(
        field: SampledField,
        points: &[Coord<f64>],
        layout: Option<Nearness>,
        other: Option<Nearness>,
        promise: Option<Promise>,
    ) -> Result<Self, SamplingError> {
        let walk = walk(points, field.gate);
        let prefix = field.prefix.clone().unwrap_or_else(|| prefix(&field.name));
        let taken: Vec<&str> = field.taken.iter().map(|(id, _)| id.as_str()).collect();
        let ids = ids(&prefix, points.len(), &taken);
        let placed = walk.order.iter().filter_map(|number| points.get(*number).copied());
        let sample = |(id, local): (String, Coord<f64>)| {
            let wgs84 = field.boundary.frame().to_wgs84(local);
            let wgs84 = wgs84.map_err(|error| SamplingError::Position(error.to_string()))?;
            let rounded = |degrees: f64| (degrees * 1e8).round() / 1e8;
            let wgs84 = Coord { x: rounded(wgs84.x), y: rounded(wgs84.y) };
            Ok::<_, SamplingError>(PlannedSample { id, local, wgs84 })
        };
        let samples = ids.into_iter().zip(placed).map(sample).collect::<Result<_, _>>()?;
        Ok(Self { samples, layout, other, promise, walk: walk.length, field })
    }

    /// Where one walks in and out, in WGS84 longitude and latitude.
    #[must_use]
    pub fn gate(&self) -> Option<Coord<f64>> {
        let gate = self.field.gate?;
        self.field.boundary.frame().to_wgs84(gate).ok()
    }

    /// The ground that a sample of the plan stands for, those that are taken counted too.
    #[must_use]
    pub fn area_each(&self) -> Area {
        let taken = match self.layout.map(|near| near.layout) {
            Some(Layout::Grid(_)) => 0,
            _ => self.field.taken.len(),
        };
        self.field.ground.area() / (self.samples.len() + taken).max(1) as f64
    }
}
