# What every target of the project is compiled with.

# C++20 as the standard has it: extensions differ between compilers.
set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)

set(layshaft_gnu_like "$<CXX_COMPILER_ID:GNU,Clang,AppleClang>")

# The same inputs must give the same bits on every machine, in the library and wherever a law in a
# public header is inlined; so these flags are part of using the library.
# -ffp-contract=off: a fused a*b+c rounds once, not twice, and only some processors have it.
# -fno-math-errno:   sqrt becomes the processor's correctly rounded instruction, also in lanes; the
#                    bits stay, only errno, which nobody reads, is no longer written.
set(LAYSHAFT_REPRODUCIBLE_FLAGS "$<${layshaft_gnu_like}:-ffp-contract=off;-fno-math-errno>")

# Adds the lane steps for larger instruction sets; which one runs is chosen at run time. Every
# function in these objects has the instruction set in its name (`lanes.hpp`), a test sees to that.
# -mfma only because Eigen refuses AVX-512 without; nothing is contracted.
function(layshaft_lanes target folder)
  if(CMAKE_SYSTEM_PROCESSOR MATCHES "^(x86_64|AMD64)$" AND CMAKE_CXX_COMPILER_ID MATCHES "GNU|Clang")
    set(avx2 "${folder}/lane_step_avx2.cpp")
    set(avx512 "${folder}/lane_step_avx512.cpp")
    target_sources(${target} PRIVATE "${avx2}" "${avx512}")
    set_source_files_properties("${avx2}" PROPERTIES COMPILE_OPTIONS "-mavx2")
    set_source_files_properties("${avx512}" PROPERTIES COMPILE_OPTIONS
      "-mavx512f;-mfma;-mavx512dq;-mavx512vl;-mprefer-vector-width=512")
    target_compile_definitions(${target} PRIVATE LAYSHAFT_X86_LANES)
    set(LAYSHAFT_LANE_SETS avx2 avx512 PARENT_SCOPE)
  endif()
endfunction()

# With CMAKE_UNITY_BUILD, the sources of each layer in `folder` are one unit. The lanes stay apart,
# being compiled each for a processor.
function(layshaft_layers target folder)
  get_target_property(sources ${target} SOURCES)
  set_target_properties(${target} PROPERTIES UNITY_BUILD_MODE GROUP)
  foreach(layer laws network car run fit)
    set(of_layer "${sources}")
    list(FILTER of_layer INCLUDE REGEX "^${folder}/${layer}/")
    list(FILTER of_layer EXCLUDE REGEX "lane_step")
    set_source_files_properties(${of_layer} PROPERTIES UNITY_GROUP ${layer})
  endforeach()
endfunction()

# Warnings for the project's own code. -Wno-psabi: lanes wider than the registers are passed within
# one object only, so it does not matter how. -Wno-restrict: g++ 12 warns wrongly about std::string at
# C++20 (GCC bug 105651).
function(layshaft_warnings target)
  target_compile_options(${target} PRIVATE
    "$<${layshaft_gnu_like}:-Wall;-Wextra;-Wpedantic;-Wconversion;-Wshadow>"
    "$<$<CXX_COMPILER_ID:GNU>:-Wno-restrict;-Wno-psabi>")
  set_target_properties(${target} PROPERTIES
    COMPILE_WARNING_AS_ERROR ${LAYSHAFT_WARNINGS_AS_ERRORS})
endfunction()

# Sanitizers need every unit of a program compiled with them, hence for all targets.
if(LAYSHAFT_SANITIZE)
  add_compile_options("-fsanitize=${LAYSHAFT_SANITIZE}" -fno-sanitize-recover=all
                      -fno-omit-frame-pointer)
  add_link_options("-fsanitize=${LAYSHAFT_SANITIZE}")
endif()
