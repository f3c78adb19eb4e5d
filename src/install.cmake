# What `cmake --install` puts where: the program, the library with its headers and CMake package,
# the manual page, the examples. tests/install_test.sh checks it from outside.
include(CMakePackageConfigHelpers)

set(settle_package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/settle)

install(TARGETS settle_program RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(TARGETS settle EXPORT settle_targets ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR})
install(DIRECTORY include/settle DESTINATION ${CMAKE_INSTALL_INCLUDEDIR} FILES_MATCHING PATTERN *.h)

install(EXPORT settle_targets NAMESPACE settle:: FILE settleTargets.cmake DESTINATION ${settle_package_dir})
configure_package_config_file(src/settleConfig.cmake.in settleConfig.cmake
  INSTALL_DESTINATION ${settle_package_dir} NO_SET_AND_CHECK_MACRO)
write_basic_package_version_file(settleConfigVersion.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${CMAKE_CURRENT_BINARY_DIR}/settleConfig.cmake
  ${CMAKE_CURRENT_BINARY_DIR}/settleConfigVersion.cmake src/FindCaDiCaL.cmake src/FindGLPK.cmake DESTINATION ${settle_package_dir})

install(FILES docs/settle.1 DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
# Pages for the commands and the languages are written by the program itself, which knows them.
if(NOT CMAKE_CROSSCOMPILING)
  install(CODE "execute_process(COMMAND \"$<TARGET_FILE:settle_program>\" help --man \"${CMAKE_CURRENT_BINARY_DIR}/man\"
    COMMAND_ERROR_IS_FATAL ANY)")
  install(DIRECTORY ${CMAKE_CURRENT_BINARY_DIR}/man/ DESTINATION ${CMAKE_INSTALL_MANDIR})
endif()
install(FILES README.md LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(DIRECTORY docs/ DESTINATION ${CMAKE_INSTALL_DOCDIR}/docs FILES_MATCHING PATTERN *.md PATTERN *.svg)
install(DIRECTORY examples/ DESTINATION ${CMAKE_INSTALL_DOCDIR}/examples
  FILES_MATCHING PATTERN *.gates PATTERN *.stim)
