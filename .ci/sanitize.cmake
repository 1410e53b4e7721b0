# Address and undefined-behaviour sanitizers, every report fatal.
set(CMAKE_BUILD_TYPE None CACHE STRING "" FORCE)
set(CMAKE_CXX_FLAGS "-O1 -g1 -fno-omit-frame-pointer" CACHE STRING "" FORCE)
set(LOOMPROOF_INSTRUMENT "-fsanitize=address,undefined -fno-sanitize-recover=all" CACHE STRING "" FORCE)
