# The linear programming kit GLPK (Debian: libglpk-dev), which brings no CMake files of its own.
# Defines GLPK::GLPK. Installed beside the package files of settle, whose users link it too.
find_path(GLPK_INCLUDE_DIR glpk.h)
find_library(GLPK_LIBRARY glpk)
mark_as_advanced(GLPK_INCLUDE_DIR GLPK_LIBRARY)

include(FindPackageHandleStandardArgs)
find_package_handle_standard_args(GLPK REQUIRED_VARS GLPK_LIBRARY GLPK_INCLUDE_DIR
  REASON_FAILURE_MESSAGE "The linear programming kit is missing: on Debian, install libglpk-dev.")

if(GLPK_FOUND AND NOT TARGET GLPK::GLPK)
  add_library(GLPK::GLPK UNKNOWN IMPORTED)
  set_target_properties(GLPK::GLPK PROPERTIES
    IMPORTED_LOCATION "${GLPK_LIBRARY}" INTERFACE_INCLUDE_DIRECTORIES "${GLPK_INCLUDE_DIR}")
endif()
