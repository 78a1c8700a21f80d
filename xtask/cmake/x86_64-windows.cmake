# How CMake builds PROJ for Windows on Debian.
set(CMAKE_SYSTEM_NAME Windows)
set(CMAKE_SYSTEM_PROCESSOR x86_64)
set(CMAKE_C_COMPILER x86_64-w64-mingw32-gcc-posix)
set(CMAKE_CXX_COMPILER x86_64-w64-mingw32-g++-posix)
set(CMAKE_RC_COMPILER x86_64-w64-mingw32-windres)
# PROJ's database is made with the host's sqlite3.
set(CMAKE_FIND_ROOT_PATH_MODE_PROGRAM NEVER)
# No path of this machine goes into the program.
set(EMBED_PROJ_DATA_PATH OFF CACHE BOOL "")
# A release has the database compressed, beside PROJ.
if(DEFINED ENV{LANDPLASTER_DATABASE_APART})
    set(EMBED_RESOURCE_FILES OFF CACHE BOOL "" FORCE)
endif()
