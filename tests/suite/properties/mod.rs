mod spreader;
mod tiling;
mod totals;
