//! `landed.tif`: what lands, cell by cell, as a `GeoTIFF` (OGC 19-008r4) in the field's own transverse
//! Mercator projection, turned with the passes.

use std::io::Cursor;

use tiff::TiffError;
use tiff::encoder::compression::DeflateLevel;
use tiff::encoder::{Compression, TiffEncoder, colortype::Gray32Float};
use tiff::tags::Tag;

use super::{FormatError, OutputFile};
use crate::geometry::Frame;
use crate::landing::OnGround;
use crate::units::{Quantity, Rate, System};

/// The file's name.
pub const NAME: &str = "landed.tif";

/// What a cell outside the field holds where nothing lands.
const NOTHING: f32 = -1.0;

/// Rates in the unit that a system prints them in.
///
/// # Errors
/// When the picture is larger than the format allows.
pub fn file(
    landed: OnGround<'_>,
    frame: &Frame,
    system: System,
) -> Result<OutputFile, FormatError> {
    let fault = |error: TiffError| FormatError { file: NAME, reason: error.to_string() };
    let bytes = encoded(landed, frame, system).map_err(fault)?;
    Ok(OutputFile::new(NAME, bytes))
}

fn encoded(landed: OnGround<'_>, frame: &Frame, system: System) -> Result<Vec<u8>, TiffError> {
    let cells = landed.cells;
    let size = |count: usize| u32::try_from(count).map_err(|_| TiffError::IntSizeError);
    let (width, height) = (size(cells.columns)?, size(cells.rows)?);
    let mut bytes = Cursor::new(Vec::new());
    let mut encoder = TiffEncoder::new(&mut bytes)?
        .with_compression(Compression::Deflate(DeflateLevel::Balanced));
    let mut image = encoder.new_image::<Gray32Float>(width, height)?;
    let directory = image.encoder();
    directory.write_tag(Tag::ModelTransformationTag, &transformation(landed)[..])?;
    directory.write_tag(Tag::GeoKeyDirectoryTag, &KEYS[..])?;
    let centre = frame.centre();
    directory.write_tag(Tag::GeoDoubleParamsTag, &[centre.x, centre.y, 0.0, 0.0, 1.0][..])?;
    directory.write_tag(Tag::GdalNodata, "-1")?;
    image.write_data(&rates(landed, system))?;
    Ok(bytes.into_inner())
}

/// From column and row, the first row the farthest along the heading, to easting and northing.
fn transformation(landed: OnGround<'_>) -> [f64; 16] {
    let cells = landed.cells;
    let turned = landed.ground.turned();
    let corner = |column: usize, row: usize| {
        let mut at = cells.origin;
        at.x += column as f64 * cells.side;
        at.y += row as f64 * cells.side;
        turned.to_plane(at)
    };
    let top = cells.rows;
    let (first, next, below) = (corner(0, top), corner(1, top), corner(0, top.saturating_sub(1)));
    let (right, down) = (next - first, below - first);
    [
        right.x, down.x, 0.0, first.x, //
        right.y, down.y, 0.0, first.y, //
        0.0, 0.0, 0.0, 0.0, //
        0.0, 0.0, 0.0, 1.0,
    ]
}

/// A projected system of its own: transverse Mercator on WGS84, in meters, cells as areas. The five
/// numbers are longitude and latitude of the origin, what is added to easting and northing, and the
/// scale.
const KEYS: [u16; 52] = [
    1, 1, 0, 12, // version 1.1.0, twelve keys
    1024, 0, 1, 1, // projected
    1025, 0, 1, 1, // pixels are areas
    2048, 0, 1, 4326, // WGS84
    3072, 0, 1, 32767, // a system of its own
    3074, 0, 1, 32767, // a projection of its own
    3075, 0, 1, 1, // transverse Mercator
    3076, 0, 1, 9001, // meters
    3080, 34736, 1, 0, // longitude of the origin
    3081, 34736, 1, 1, // latitude of the origin
    3082, 34736, 1, 2, // false easting
    3083, 34736, 1, 3, // false northing
    3092, 34736, 1, 4, // scale at the origin
];

fn rates(landed: OnGround<'_>, system: System) -> Vec<f32> {
    let cells = landed.cells;
    let ledger = landed.ledger();
    let unit = Rate::unit(system).si * cells.area();
    let mut rates = Vec::with_capacity(cells.mass.len());
    for row in (0..cells.rows).rev() {
        let first = row * cells.columns;
        let of_row = cells.mass.iter().enumerate().skip(first).take(cells.columns);
        rates.extend(of_row.map(|(cell, mass)| {
            let empty = *mass <= 0.0 && ledger.patch(cell).is_none();
            #[expect(clippy::cast_possible_truncation, reason = "seven digits of a rate do")]
            let rate = (mass / unit) as f32;
            if empty { NOTHING } else { rate }
        }));
    }
    rates
}
