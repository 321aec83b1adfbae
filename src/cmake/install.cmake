# cmake --install: the program, the library with its headers and CMake package, the examples.
include(CMakePackageConfigHelpers)
set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/blendrisk)

install(TARGETS blendrisk_program RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(TARGETS blendrisk EXPORT blendrisk_targets ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR})
install(EXPORT blendrisk_targets NAMESPACE blendrisk:: FILE blendriskTargets.cmake
        DESTINATION ${package_dir})

set(header_dir ${CMAKE_INSTALL_INCLUDEDIR}/blendrisk)
install(DIRECTORY models DESTINATION ${header_dir} FILES_MATCHING PATTERN "*.hpp")
install(DIRECTORY src/ DESTINATION ${header_dir} FILES_MATCHING PATTERN "*.hpp"
        PATTERN cli EXCLUDE PATTERN cmake EXCLUDE)
install(FILES ${PROJECT_BINARY_DIR}/generated/version.hpp DESTINATION ${header_dir})

configure_package_config_file(src/cmake/blendriskConfig.cmake.in
  ${PROJECT_BINARY_DIR}/generated/blendriskConfig.cmake INSTALL_DESTINATION ${package_dir})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/generated/blendriskConfigVersion.cmake
  COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/generated/blendriskConfig.cmake
              ${PROJECT_BINARY_DIR}/generated/blendriskConfigVersion.cmake
        DESTINATION ${package_dir})

install(DIRECTORY examples/ DESTINATION ${CMAKE_INSTALL_DATADIR}/blendrisk/examples
        FILES_MATCHING PATTERN "*.ini" PATTERN "*.csv")
install(FILES README.md LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(DIRECTORY docs/ DESTINATION ${CMAKE_INSTALL_DOCDIR} FILES_MATCHING PATTERN "*.md" PATTERN "*.svg" PATTERN "*.html")
