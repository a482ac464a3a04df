# Finds what Layshaft's public headers include: Eigen and Boost's headers, first beside the Python
# interpreter, then on the system. Downloads nothing. Used by the build and by the installed
# package; `layshaft_missing_headers` says what is missing and how to get it, all of it at once, or is
# empty.

set(layshaft_missing_headers "")

# Takes the last of the prefixes from a link instead, where links can be made.
function(layshaft_link prefix link)
  file(REMOVE "${link}")
  file(CREATE_LINK "${prefix}" "${link}" SYMBOLIC RESULT refused)
  if(NOT refused)
    list(POP_BACK layshaft_python_prefixes)
    list(APPEND layshaft_python_prefixes "${link}")
    set(layshaft_python_prefixes "${layshaft_python_prefixes}" PARENT_SCOPE)
  endif()
endfunction()

find_package(Python 3.11 QUIET COMPONENTS Interpreter)

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
    if(line MATCHES "^prefix ([^ ]+) (.*)$")
      list(APPEND layshaft_python_prefixes "${CMAKE_MATCH_2}")
      if(layshaft_links)
        layshaft_link("${CMAKE_MATCH_2}" "${layshaft_links}/${CMAKE_MATCH_1}")
      endif()
    elseif(line MATCHES "^gtest (.*)$")
      set(layshaft_gtest_sources "${CMAKE_MATCH_1}")
    endif()
  endforeach()
endif()
list(APPEND CMAKE_PREFIX_PATH ${layshaft_python_prefixes})

# Asked for without a version: Eigen 5 refuses "3.4", and 3.4 refuses a range up to 5.
find_package(Eigen3 CONFIG QUIET)
if(NOT TARGET Eigen3::Eigen OR Eigen3_VERSION VERSION_LESS 3.4)
  list(APPEND layshaft_missing_headers
    "Eigen >= 3.4: `pip install cmeel-eigen` or `apt install libeigen3-dev`")
endif()

find_path(layshaft_boost_include boost/numeric/odeint.hpp PATH_SUFFIXES include NO_CACHE)
if(NOT layshaft_boost_include)
  list(APPEND layshaft_missing_headers
    "Boost's headers: `pip install libboost-headers` or `apt install libboost-dev`")
elseif(NOT TARGET Boost::headers)
  add_library(Boost::headers INTERFACE IMPORTED)
  target_include_directories(Boost::headers INTERFACE "${layshaft_boost_include}")
endif()
list(JOIN layshaft_missing_headers "; and " layshaft_missing_headers)
