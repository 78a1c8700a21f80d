//! What a pile keeps from and the spreader does not.

use geo::{
    Area as _, BooleanOps, BoundingRect, Euclidean, Length as _, LineString, MapCoords,
    MultiLineString, MultiPolygon, Polygon,
};

use super::{Field, Nearby};
use crate::geometry::{Feature, buffer, on_grid};
use crate::units::{Area, Length};

/// A shorter piece of a line in the field is where the line meets its edge, in meters.
const LEAST_LENGTH_M: f64 = 1.0;
/// A smaller or narrower piece of ground is where two surveys of one edge differ: a square meter, and
/// in the mean a foot wide.
const LEAST_AREA_M2: f64 = 1.0;
const LEAST_WIDTH_M: f64 = 0.3048;

/// A layer that piles keep from and that lies on ground which is spread.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreadOver {
    /// What messages call the layer.
    pub called: String,
    /// What it is.
    pub why: String,
    /// How many of its points lie there.
    pub points: usize,
    /// How much of its lines.
    pub length: Length,
    /// How much of its areas.
    pub area: Area,
}

impl Field {
    /// The field without what is kept out, in its meters.
    #[must_use]
    pub fn open(&self) -> MultiPolygon<f64> {
        let whole = self.boundary.local().map_coords(on_grid);
        let without = |left: MultiPolygon<f64>, area: &MultiPolygon<f64>| left.difference(area);
        self.keep_outs.iter().map(|keep_out| &keep_out.area).fold(whole, without)
    }

    /// The stated setbacks of piles that lie on ground which is spread.
    #[must_use]
    pub fn spread_over(&self) -> Vec<SpreadOver> {
        let Some(site) = &self.site else { return Vec::new() };
        let open = self.open();
        let stated = site.setbacks.iter().filter(|setback| setback.is_stated);
        stated.filter_map(|setback| over(setback, &open)).collect()
    }
}

/// What of a layer lies on open ground, if anything does.
fn over(layer: &Nearby, open: &MultiPolygon<f64>) -> Option<SpreadOver> {
    let (mut points, mut length, mut area) = (0, 0.0, 0.0);
    let ground = Feature::from(open);
    let window = open.bounding_rect()?;
    for feature in &layer.features {
        if feature.filled {
            let shape = buffer(std::slice::from_ref(feature), 0.0, &window);
            let pieces = shape.intersection(open);
            area += pieces
                .iter()
                .filter(|piece| is_wide(piece))
                .map(Polygon::unsigned_area)
                .sum::<f64>();
            continue;
        }
        let alone =
            feature.lines.iter().filter_map(|line| line.first().filter(|_| line.len() == 1));
        points += alone.filter(|at| ground.distance(**at) < 0.0).count();
        let lines = feature.lines.iter().filter(|line| line.len() > 1);
        let lines = MultiLineString(lines.cloned().map(LineString).collect());
        length += Euclidean.length(&open.clip(&lines, false));
    }
    let length = if length < LEAST_LENGTH_M { 0.0 } else { length };
    (points > 0 || length > 0.0 || area > 0.0).then(|| SpreadOver {
        called: layer.called.clone(),
        why: layer.why.clone(),
        points,
        length: Length::metres(length),
        area: Area::square_metres(area),
    })
}

fn is_wide(piece: &Polygon<f64>) -> bool {
    let area = piece.unsigned_area();
    area >= LEAST_AREA_M2 && 2.0 * area >= LEAST_WIDTH_M * Euclidean.length(piece.exterior())
}
