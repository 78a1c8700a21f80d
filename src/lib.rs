//! Gypsum prescription maps: a field boundary and a CEC soil test in, rate zones and tons out.
//!
//! A field from bytes in memory:
//! ```
//! use std::path::Path;
//!
//! use landplaster::work::{Memory, Work};
//!
//! let mut files = Memory::default();
//! files
//!     .put("field.geojson", r#"{"type": "Polygon", "coordinates": [[[-85.2, 40.4],
//!         [-85.1976, 40.4], [-85.1976, 40.4018], [-85.2, 40.4018], [-85.2, 40.4]]]}"#)
//!     .put("samples.csv", "id,longitude,latitude,cec\n\
//!         A1,-85.1996,40.4004,6\nA2,-85.1988,40.4004,9\nA3,-85.1980,40.4004,13\n\
//!         B1,-85.1996,40.4014,8\nB2,-85.1988,40.4014,14\nB3,-85.1980,40.4014,19\n");
//! let job = "boundary = \"field.geojson\"\nsamples = \"samples.csv\"\n";
//! let (plan, output) = Work::of_file(Path::new("corner.toml"), job)?.plan(&files)?;
//!
//! println!("{} tons on {} acres", plan.total.printed_mass, plan.total.printed_area);
//! // 203.7 m by 199.9 m.
//! assert!((plan.total.printed_area - 10.06).abs() < 0.02);
//! let names: Vec<&str> = output.files.iter().map(|file| file.name.as_str()).collect();
//! assert!(names.contains(&"zones.geojson") && names.contains(&"zones.shp"));
//! # Ok::<(), landplaster::work::WorkError>(())
//! ```
//!
//! The corridor: [`work`] takes a job and where its files come from; [`read`] gives a checked
//! [`field::Field`]; [`plan::Surfaced`] interpolates its CEC ([`surface`]), [`plan::Zoned`] classes it
//! into tiers ([`soil`]) and traces [`zones`], [`plan::Plan`] adds up [`tonnage`] and what follows from
//! it; [`report`] words and draws it, and [`mod@write`] turns it all into files. Nothing between reading and writing touches a file, the
//! clock, or anything global.

pub mod certainty;
mod csv_cell;
pub mod farm;
mod faults;
pub mod field;
pub mod file_name;
pub mod folder_contents;
pub mod geometry;
pub mod inspect;
pub mod job;
pub mod landing;
pub mod order;
#[cfg(feature = "page")]
pub mod page;
pub mod path_text;
pub mod plan;
pub mod projection;
pub mod read;
pub mod reconcile;
pub mod report;
pub mod sampling;
pub mod schema;

pub mod soil;
pub mod spreader;
pub mod stockpile;
pub mod surface;
pub mod timelog;
mod toml_fault;
pub mod tonnage;
pub mod totals;
pub mod units;
pub mod warning;
pub mod work;
pub mod write;
mod written;
pub mod zones;
