mod certainty;
mod drawn;
mod drivable;
mod fields;
mod piles;
mod spreader;
mod tiling;
mod totals;
