mod tiling;
