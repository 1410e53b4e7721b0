# Address and undefined-behaviour sanitizers, every report fatal. Their own code makes the compiler see variables without
# a value where there are none; the other builds keep that warning.
set(CMAKE_BUILD_TYPE None CACHE STRING "" FORCE)
set(CMAKE_CXX_FLAGS "-O1 -g1 -fno-omit-frame-pointer" CACHE STRING "" FORCE)
set(LOOMPROOF_INSTRUMENT "-fsanitize=address,undefined -fno-sanitize-recover=all -Wno-maybe-uninitialized" CACHE STRING "" FORCE)
