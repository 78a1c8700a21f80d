//! The share of ground that a plan puts into its right tier, before and after islands join the tier
//! around them, and what kriging by the true covariance reaches on the same samples.

use std::path::Path;

use geo::{Contains, Coord};
use landplaster::plan::{Plan, Surfaced, Zoned};
use landplaster::soil::Tiers;
use landplaster::surface::{Interpolator as _, Kriging, Variogram, VariogramShape};
use landplaster::work::{Memory, Prepared, Work};
use rayon::prelude::*;

use super::ground::{DRAWS, Drawn, Ground, Kind, SIDE, SILL, STEP, Sequence, place};

/// Shares of ground in its right tier.
#[derive(Clone, Copy, Debug, Default)]
pub struct Right {
    /// Of a plan whose islands stay.
    pub before: f64,
    /// Of a plan whose islands join.
    pub after: f64,
    /// Of kriging by the true covariance, each place classed by its mean.
    pub bound: f64,
    /// How many islands joined, a field.
    pub joined: f64,
}

/// The mean over many fields of a kind.
pub fn right(ground: &Ground, samples: usize, fields: u64) -> Right {
    let each = |number: u64| {
        let mut sequence = Sequence(104_729 * number + samples as u64);
        judged(&ground.kind, &ground.draw(samples, &mut sequence))
    };
    let found: Vec<Right> = (0..fields).into_par_iter().map(each).collect();
    let mean = |pick: fn(&Right) -> f64| found.iter().map(pick).sum::<f64>() / fields as f64;
    Right {
        before: mean(|right| right.before),
        after: mean(|right| right.after),
        bound: mean(|right| right.bound),
        joined: mean(|right| right.joined),
    }
}

fn judged(kind: &Kind, drawn: &Drawn) -> Right {
    let tiers = Tiers::common_practice();
    let share = |tier_at: &dyn Fn(usize) -> Option<usize>| {
        let right = (0..SIDE * SIDE).map(|number| {
            let tier = tier_at(number);
            let shown = drawn.cec.iter().skip(DRAWS * number).take(DRAWS);
            shown.filter(|cec| Some(tiers.class(**cec) as usize) == tier).count()
        });
        right.sum::<usize>() as f64 / (SIDE * SIDE * DRAWS) as f64
    };
    let variogram = Variogram {
        shape: VariogramShape::Exponential,
        nugget: SILL * kind.nugget,
        partial_sill: SILL * (1.0 - kind.nugget),
        // A twentieth is left at three times the range of the formula.
        range: kind.range / 3.0,
    };
    let kriging = Kriging::new(&drawn.samples, variogram).expect("sound samples");
    let bound = share(&|number| {
        let (easting, northing) = place(number);
        Some(tiers.class(kriging.at(easting, northing)) as usize)
    });
    let [before, after] = ["keep", "join"].map(|islands| plan(drawn, islands));
    let of_plan = |plan: &Plan| {
        share(&|number| {
            let (easting, northing) = place(number);
            let at = on_earth(easting, northing);
            plan.zones.iter().find(|zone| zone.polygon.contains(&at)).map(|zone| zone.tier.index())
        })
    };
    let joined = after.cleaned_up.as_ref().map_or(0, |done| done.islands.count) as f64;
    Right { before: of_plan(&before), after: of_plan(&after), bound, joined }
}

/// The plan of a field by its samples.
fn plan(drawn: &Drawn, islands: &str) -> Plan {
    let side = STEP * SIDE as f64;
    let corner = |(east, north): (f64, f64)| {
        let Coord { x, y } = on_earth(side * east, side * north);
        format!("[{x:.8}, {y:.8}]")
    };
    let ring = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0)].map(corner).join(", ");
    let boundary = format!("{{\"type\": \"Polygon\", \"coordinates\": [[{ring}]]}}");
    let row = |(number, sample): (usize, &landplaster::surface::Point)| {
        let Coord { x, y } = on_earth(sample.easting, sample.northing);
        format!("S{number},{x:.9},{y:.9},{}\n", sample.value)
    };
    let rows: String = drawn.samples.iter().enumerate().map(row).collect();
    let mut files = Memory::default();
    files
        .put("field.geojson", boundary)
        .put("samples.csv", format!("id,longitude,latitude,cec\n{rows}"));
    // Half as wide as usual: places are 20 m apart.
    let job = format!(
        "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n\
         [surface]\ngrid = \"5 m\"\n[zones]\nislands = \"{islands}\"\n"
    );
    let work = Work::of_file(Path::new("field.toml"), &job).expect("a sound job");
    let Prepared { field, settings, .. } = work.prepare(&files).expect("a sound field");
    let surfaced =
        Surfaced::new(field, &settings.surface, settings.grid).expect("a surface through samples");
    let zoned = Zoned::new(&surfaced, &settings).expect("zones");
    Plan::new(&surfaced, &zoned, settings).expect("a plan")
}

/// Longitude and latitude of meters from the south-western corner, at 40° N: a degree is 85,394 m east
/// and 111,035 m north there (WGS 84).
fn on_earth(easting: f64, northing: f64) -> Coord<f64> {
    Coord { x: -85.2 + easting / 85_394.0, y: 40.0 + northing / 111_035.0 }
}
