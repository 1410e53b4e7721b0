# For daily work: quick to build, good to debug.
set(CMAKE_BUILD_TYPE None CACHE STRING "" FORCE)
set(CMAKE_CXX_FLAGS "-O1 -g1" CACHE STRING "" FORCE)
