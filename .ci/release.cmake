# What tests/run and netlists/demo build. Plain -O2: the same digits on every machine, no tuning for this one.
# Assertions stay on: they guard against our own mistakes and cost little.
set(CMAKE_BUILD_TYPE None CACHE STRING "" FORCE)
set(CMAKE_CXX_FLAGS "-O2" CACHE STRING "" FORCE)
