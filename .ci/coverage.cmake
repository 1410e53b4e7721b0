# Line coverage, to be read with gcov.
set(CMAKE_BUILD_TYPE None CACHE STRING "" FORCE)
set(CMAKE_CXX_FLAGS "-O0 -g" CACHE STRING "" FORCE)
set(LOOMPROOF_INSTRUMENT "--coverage" CACHE STRING "" FORCE)
