# Every public header compiles alone, and twice: a reader needs the header, not its neighbours.
#
# One unit holds a chain of headers, each of which includes the one before. So a header is compiled
# where nothing else is known than what it includes itself, and a chain costs hardly more than its
# last header. A header that needs more than it includes does not compile in its unit: what it
# includes has been checked in the same way.

# Sets `includes_<header>` to all project headers that one includes, by others too.
function(layshaft_find_includes root header)
  if(DEFINED "includes_${header}")
    return()
  endif()
  file(STRINGS "${root}/${header}" lines REGEX "^#include \"layshaft/.*\\.hpp\"")
  set(all "")
  foreach(line IN LISTS lines)
    string(REGEX REPLACE "^#include \"([^\"]+)\".*" "\\1" included "${line}")
    layshaft_find_includes("${root}" "${included}")
    list(APPEND all "${included}" ${includes_${included}})
    set("includes_${included}" "${includes_${included}}" PARENT_SCOPE)
  endforeach()
  list(REMOVE_DUPLICATES all)
  set("includes_${header}" "${all}" PARENT_SCOPE)
endfunction()

# Writes the units for the headers below `root` into `folder`, and lists them in `units`.
function(layshaft_header_units root folder units)
  file(GLOB_RECURSE headers CONFIGURE_DEPENDS RELATIVE "${root}" "${root}/*.hpp")
  set(by_includes "")
  foreach(header IN LISTS headers)
    layshaft_find_includes("${root}" "${header}")
    list(LENGTH "includes_${header}" count)
    list(APPEND by_includes "${count} ${header}")
    set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS "${root}/${header}")
  endforeach()
  list(SORT by_includes COMPARE NATURAL ORDER DESCENDING)

  # From the headers that include most: each goes before one that includes it and has none before.
  set(lasts "")
  set(firsts "")
  foreach(row IN LISTS by_includes)
    string(REGEX REPLACE "^[0-9]+ " "" header "${row}")
    set(last "${header}")
    foreach(first IN LISTS firsts)  # The latest includes least.
      if(header IN_LIST "includes_${first}")
        set(last "${last_of_${first}}")
        list(REMOVE_ITEM firsts "${first}")
        break()
      endif()
    endforeach()
    list(PREPEND firsts "${header}")
    set("last_of_${header}" "${last}")
    string(PREPEND "chain_${last}" "#include <${header}>\n")
    list(APPEND lasts "${last}")
  endforeach()

  set(all "")
  list(REMOVE_DUPLICATES lasts)
  foreach(last IN LISTS lasts)
    string(MAKE_C_IDENTIFIER "${last}" stem)
    file(CONFIGURE OUTPUT "${folder}/${stem}.cpp" CONTENT "${chain_${last}}${chain_${last}}" @ONLY)
    list(APPEND all "${folder}/${stem}.cpp")
  endforeach()
  set(${units} "${all}" PARENT_SCOPE)
endfunction()
