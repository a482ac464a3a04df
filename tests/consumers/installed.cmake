# Installs a build elsewhere and uses it from projects of their own, as a shared library and in C:
#
#   cmake -DBUILD=<build folder> -DWORK=<folder to work in> -P installed.cmake
foreach(name BUILD WORK)
  if(NOT DEFINED ${name})
    message(FATAL_ERROR "-D${name}=... is missing")
  endif()
endforeach()

function(run)
  execute_process(COMMAND ${ARGV} OUTPUT_VARIABLE output COMMAND_ERROR_IS_FATAL ANY)
  set(output "${output}" PARENT_SCOPE)
endfunction()

# Neither the generator nor the interpreter of the build need be there still.
find_program(ninja ninja)
find_program(python NAMES python python3 REQUIRED)
set(how -DCMAKE_BUILD_TYPE=Release "-DPython_EXECUTABLE=${python}")
if(ninja)
  list(APPEND how -G Ninja)
endif()

file(REMOVE_RECURSE "${WORK}")
run("${CMAKE_COMMAND}" --install "${BUILD}" --component development --prefix "${WORK}/prefix")
list(APPEND how "-DCMAKE_PREFIX_PATH=${WORK}/prefix" -DLINK=shared)
foreach(language cpp c)
  run("${CMAKE_COMMAND}" -S "${CMAKE_CURRENT_LIST_DIR}/${language}" -B "${WORK}/${language}" ${how})
  run("${CMAKE_COMMAND}" --build "${WORK}/${language}")
endforeach()

run("${WORK}/cpp/launch")
string(STRIP "${output}" native)
run("${WORK}/cpp/consumer")
string(STRIP "${output}" stepped)
run("${WORK}/c/consumer")
string(REGEX REPLACE "\n.*" "" in_c "${output}")
message(STATUS "time to 60 m: launched ${native}, stepped ${stepped}, in C ${in_c}")
if(native STREQUAL "" OR NOT stepped STREQUAL native OR NOT in_c STREQUAL native)
  message(FATAL_ERROR "the times differ")
endif()
