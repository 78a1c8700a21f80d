mod spreader;
mod taskdata;
mod tiling;
mod totals;
