# Finds Eigen, Boost's headers, pybind11 and GoogleTest: first beside the Python interpreter (where
# the build requirements of pyproject.toml are installed), then on the system. Downloads nothing.

if(LAYSHAFT_BUILD_PYTHON)
  find_package(Python 3.11 REQUIRED COMPONENTS Interpreter Development.Module)
else()
  find_package(Python 3.11 QUIET COMPONENTS Interpreter)
endif()

# `-D...` on the command line, not a cache of an earlier run, may name another place: a build
# folder outlives the throw-away environment in which pip builds.
set(layshaft_python_prefixes "")
set(layshaft_gtest_sources "")
if(Python_Interpreter_FOUND)
  execute_process(
    COMMAND "${Python_EXECUTABLE}" "${CMAKE_CURRENT_LIST_DIR}/find_in_python.py"
    OUTPUT_VARIABLE layshaft_found_in_python OUTPUT_STRIP_TRAILING_WHITESPACE
    COMMAND_ERROR_IS_FATAL ANY)
  string(REPLACE "\n" ";" layshaft_found_in_python "${layshaft_found_in_python}")
  foreach(line IN LISTS layshaft_found_in_python)
    if(line MATCHES "^prefix (.*)$")
      list(APPEND layshaft_python_prefixes "${CMAKE_MATCH_1}")
    elseif(line MATCHES "^gtest (.*)$")
      set(layshaft_gtest_sources "${CMAKE_MATCH_1}")
    endif()
  endforeach()
endif()
list(APPEND CMAKE_PREFIX_PATH ${layshaft_python_prefixes})

# One line that says what to install; the leading space keeps CMake from wrapping it.
function(layshaft_missing what how)
  message(FATAL_ERROR " Layshaft needs ${what}: ${how}")
endfunction()

# Asked for without a version: Eigen 5 refuses "3.4", and 3.4 refuses a range up to 5.
find_package(Eigen3 CONFIG QUIET)
if(NOT TARGET Eigen3::Eigen OR Eigen3_VERSION VERSION_LESS 3.4)
  layshaft_missing("Eigen >= 3.4" "`pip install cmeel-eigen` or `apt install libeigen3-dev`")
endif()

find_path(layshaft_boost_include boost/numeric/odeint.hpp PATH_SUFFIXES include NO_CACHE)
if(NOT layshaft_boost_include)
  layshaft_missing("Boost's headers" "`pip install libboost-headers` or `apt install libboost-dev`")
endif()
if(NOT TARGET Boost::headers)
  add_library(Boost::headers INTERFACE IMPORTED)
  target_include_directories(Boost::headers INTERFACE "${layshaft_boost_include}")
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
