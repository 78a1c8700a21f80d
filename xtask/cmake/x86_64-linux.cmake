# No path of this machine goes into the program.
set(EMBED_PROJ_DATA_PATH OFF CACHE BOOL "")
# A release has the database compressed, beside PROJ.
if(DEFINED ENV{LANDPLASTER_DATABASE_APART})
    set(EMBED_RESOURCE_FILES OFF CACHE BOOL "" FORCE)
endif()
