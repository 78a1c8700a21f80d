mod drivable;
mod fields;
mod certainty;
mod drawn;
mod spreader;
mod tiling;
mod totals;
