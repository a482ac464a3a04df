# Finds Eigen, Boost's headers, pybind11 and GoogleTest: first beside the Python interpreter (where
# the build requirements of pyproject.toml are installed), then on the system. Downloads nothing.

if(LAYSHAFT_BUILD_PYTHON)
  find_package(Python 3.11 REQUIRED COMPONENTS Interpreter Development.Module)
endif()

# pip builds in an environment that it throws away, with another path each time. So that the second
# build need not compile again, headers found there are included through links that stay, named after
# their versions, and the compiler does not watch the files behind them.
if(SKBUILD AND NOT LAYSHAFT_BUILD_TESTS)
  set(layshaft_links "${PROJECT_BINARY_DIR}/found")
  file(MAKE_DIRECTORY "${layshaft_links}")
  if(CMAKE_CXX_COMPILER_ID MATCHES "GNU|Clang")
    set(CMAKE_DEPFILE_FLAGS_CXX "-MMD -MT <DEP_TARGET> -MF <DEP_FILE>")
  endif()
endif()
include(layshaft_headers)

# One line that says what to install; the leading space keeps CMake from wrapping it.
function(layshaft_missing what how)
  message(FATAL_ERROR " Layshaft needs ${what}: ${how}")
endfunction()

if(layshaft_missing_headers)
  message(FATAL_ERROR " Layshaft needs ${layshaft_missing_headers}")
endif()

find_package(Threads REQUIRED)

if(LAYSHAFT_BUILD_PYTHON)
  find_package(pybind11 3 CONFIG QUIET)
  if(NOT pybind11_FOUND)
    layshaft_missing("pybind11 >= 3" "`pip install 'pybind11>=3'`")
  endif()
endif()

if(LAYSHAFT_BUILD_TESTS)
  if(layshaft_gtest_sources)
    add_library(layshaft_gtest STATIC EXCLUDE_FROM_ALL
      "${layshaft_gtest_sources}/src/gtest-all.cc" "${layshaft_gtest_sources}/src/gtest_main.cc")
    target_include_directories(layshaft_gtest PRIVATE "${layshaft_gtest_sources}")
    target_include_directories(layshaft_gtest SYSTEM PUBLIC "${layshaft_gtest_sources}/include")
    target_link_libraries(layshaft_gtest PUBLIC Threads::Threads)
    add_library(GTest::gtest_main ALIAS layshaft_gtest)
  else()
    find_package(GTest QUIET)
  endif()
  if(NOT TARGET GTest::gtest_main)
    layshaft_missing("GoogleTest" "`pip install ros-gtest-vendor` or `apt install libgtest-dev`")
  endif()
endif()
