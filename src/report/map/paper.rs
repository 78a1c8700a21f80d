use geo::{BoundingRect, Coord, CoordsIter, LineString, MapCoords, MultiPolygon, Polygon, Rect};

use crate::field::Boundary;
use crate::geometry::OutOfReach;

/// Where a field lies on paper: its meters to pixels, true north up, within a frame of fixed width.
#[derive(Clone, Copy, Debug)]
pub struct MapPaper {
    /// The frame's width, in pixels.
    pub width: f64,
    /// The frame's height, in pixels.
    pub height: f64,
    /// Pixels for a meter.
    pub scale: f64,
    /// What lies at the frame's top left corner, in the field's meters.
    corner: Coord<f64>,
}

/// How large a map may become, in pixels.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Its width, always.
    pub width: f64,
    /// The least and the greatest height.
    pub height: (f64, f64),
    /// What stays free around the field, for labels on leader lines.
    pub free: f64,
}

impl MapPaper {
    /// The half side of a mark with the frame's line, in pixels.
    const MARK: f64 = 6.0;

    /// The field in the middle of the frame, as large as it can be; none for a field without extent.
    pub fn for_field(boundary: &Boundary, room: &Room) -> Option<Self> {
        Self::for_extent(boundary.local().bounding_rect()?, room)
    }

    /// The same for an extent in meters.
    pub fn for_extent(bounds: Rect<f64>, room: &Room) -> Option<Self> {
        let (least, most) = room.height;
        let across = (room.width - 2.0 * room.free) / bounds.width();
        let up = (most - 2.0 * room.free) / bounds.height();
        let scale = across.min(up);
        let height = (bounds.height() * scale + 2.0 * room.free).clamp(least, most);
        let half = Coord { x: room.width / 2.0 / scale, y: -height / 2.0 / scale };
        let corner = bounds.center() - half;
        (scale.is_finite() && scale > 0.0).then_some(Self {
            width: room.width,
            height,
            scale,
            corner,
        })
    }

    /// The pixel of a place in the field's meters.
    pub fn at(&self, place: Coord<f64>) -> Coord<f64> {
        Coord {
            x: (place.x - self.corner.x) * self.scale,
            y: (self.corner.y - place.y) * self.scale,
        }
    }

    /// Whether a mark at a pixel lies wholly in the frame.
    pub fn holds(&self, at: Coord<f64>) -> bool {
        let within = |value: f64, end: f64| value > Self::MARK && value < end - Self::MARK;
        within(at.x, self.width) && within(at.y, self.height)
    }

    /// The place of a pixel, in the field's meters.
    pub fn place(&self, at: Coord<f64>) -> Coord<f64> {
        Coord { x: self.corner.x + at.x / self.scale, y: self.corner.y - at.y / self.scale }
    }

    /// Parts of the field, given in its meters.
    pub fn parts(&self, field: &MultiPolygon<f64>) -> MultiPolygon<f64> {
        field.map_coords(|place| self.at(place))
    }

    /// Polygons in degrees, as zones are held; all positions are converted in one call.
    pub fn polygons<'a>(
        &self,
        boundary: &Boundary,
        polygons: impl Iterator<Item = &'a Polygon<f64>> + Clone,
    ) -> Result<Vec<Polygon<f64>>, OutOfReach> {
        let mut places: Vec<Coord<f64>> =
            polygons.clone().flat_map(CoordsIter::coords_iter).collect();
        boundary.frame().all_to_local(&mut places)?;
        let mut places = places.into_iter().map(|place| self.at(place));
        let mut ring = |line: &LineString<f64>| {
            places.by_ref().take(line.0.len()).collect::<LineString<f64>>()
        };
        Ok(polygons
            .map(|polygon| {
                let exterior = ring(polygon.exterior());
                Polygon::new(exterior, polygon.interiors().iter().map(&mut ring).collect())
            })
            .collect())
    }
}
