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

# Warnings for the project's own code. -Wno-restrict: g++ 12 warns wrongly about std::string at
# C++20 (GCC bug 105651).
function(layshaft_warnings target)
  target_compile_options(${target} PRIVATE
    "$<${layshaft_gnu_like}:-Wall;-Wextra;-Wpedantic;-Wconversion;-Wshadow>"
    "$<$<CXX_COMPILER_ID:GNU>:-Wno-restrict>")
  set_target_properties(${target} PROPERTIES
    COMPILE_WARNING_AS_ERROR ${LAYSHAFT_WARNINGS_AS_ERRORS})
endfunction()

# Sanitizers need every unit of a program compiled with them, hence for all targets.
if(LAYSHAFT_SANITIZE)
  add_compile_options("-fsanitize=${LAYSHAFT_SANITIZE}" -fno-sanitize-recover=all
                      -fno-omit-frame-pointer)
  add_link_options("-fsanitize=${LAYSHAFT_SANITIZE}")
endif()
