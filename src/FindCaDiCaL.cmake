# The SAT solver CaDiCaL (Debian: libcadical-dev), which brings no CMake files of its own.
# Defines CaDiCaL::CaDiCaL. Installed beside the package files of settle, whose users link it too.
find_path(CADICAL_INCLUDE_DIR cadical.hpp)
find_library(CADICAL_LIBRARY cadical)
mark_as_advanced(CADICAL_INCLUDE_DIR CADICAL_LIBRARY)

include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(CaDiCaL REQUIRED_VARS CADICAL_LIBRARY CADICAL_INCLUDE_DIR
  REASON_FAILURE_MESSAGE "The SAT solver is missing: on Debian, install libcadical-dev.")

if(CaDiCaL_FOUND AND NOT TARGET CaDiCaL::CaDiCaL)
  add_library(CaDiCaL::CaDiCaL UNKNOWN IMPORTED)
  set_target_properties(CaDiCaL::CaDiCaL PROPERTIES
    IMPORTED_LOCATION "${CADICAL_LIBRARY}" INTERFACE_INCLUDE_DIRECTORIES "${CADICAL_INCLUDE_DIR}")
endif()
