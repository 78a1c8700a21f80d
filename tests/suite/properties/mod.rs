mod certainty;
mod drawn;
mod spreader;
mod tiling;
mod totals;
