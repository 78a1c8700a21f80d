mod certainty;
mod drawn;
mod drivable;
mod fields;
mod spreader;
mod tiling;
mod totals;
