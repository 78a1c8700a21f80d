# The binary carries PROJ's database and reads no other, wherever it is moved to.
set(EMBED_RESOURCE_FILES ON CACHE BOOL "" FORCE)
set(USE_ONLY_EMBEDDED_RESOURCE_FILES ON CACHE BOOL "" FORCE)
set(EMBED_PROJ_DATA_PATH OFF CACHE BOOL "" FORCE)
