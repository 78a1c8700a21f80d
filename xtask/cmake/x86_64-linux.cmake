# No path of this machine goes into the program.
set(EMBED_PROJ_DATA_PATH OFF CACHE BOOL "")
