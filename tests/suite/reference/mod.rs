mod spreader;
