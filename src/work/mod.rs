//! A job or a farm and its files in; plans and output files out. The command, the tests and whoever
//! else plans go this one way.
//!
//! [`Work`] is a job with what its messages and paths go by. [`Work::prepare`] reads all of its files
//! by a [`Files`], from the disk or from memory; [`Prepared::plan`] is the rest, without any.
//! [`FarmWork`] is the same for all jobs of a farm file.

mod disk;
mod error;
mod farm;
mod fields;
mod files;
mod in_two_fields;
mod inputs;
mod job;
mod layers;
mod sampling;
mod start;
mod task_data;

pub use disk::{Disk, kind};
pub use error::{FileError, WorkError};
pub use farm::{FarmWork, FieldWork, WrittenFarm, in_turn};
pub use files::{Files, Memory, name, source, stem, text};
pub use in_two_fields::InTwoFields;
pub use inputs::{Inputs, unchanged};
pub use job::{OnRequest, Prepared, Work};
pub use sampling::{FieldToSample, SamplingFiles, avoided};
pub use start::{look, readable};
pub use task_data::{task_data, task_files};
