mod certainty;
mod drawn;
mod drivable;
mod fields;
mod spreader;
mod taskdata;
mod tiling;
mod totals;
