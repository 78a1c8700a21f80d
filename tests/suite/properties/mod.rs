mod certainty;
mod drawn;
mod drivable;
mod fields;
mod labels;
mod spreader;
mod tiling;
mod totals;
