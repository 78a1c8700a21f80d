mod spreader;
mod tiling;
