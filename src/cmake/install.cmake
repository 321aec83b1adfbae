# cmake --install: the program with its pages, documents and examples; the library with its headers
# and CMake package. The components are the Debian packages; what has its own is left out of them.
include(CMakePackageConfigHelpers)
set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/blendrisk)

install(TARGETS blendrisk_program RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR} COMPONENT program)
install(TARGETS blendrisk EXPORT blendrisk_targets
        ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT dev)
install(EXPORT blendrisk_targets NAMESPACE blendrisk:: FILE blendriskTargets.cmake
        DESTINATION ${package_dir} COMPONENT dev)

set(header_dir ${CMAKE_INSTALL_INCLUDEDIR}/blendrisk)
install(DIRECTORY models DESTINATION ${header_dir} COMPONENT dev FILES_MATCHING PATTERN "*.hpp")
install(DIRECTORY src/ DESTINATION ${header_dir} COMPONENT dev FILES_MATCHING PATTERN "*.hpp"
        PATTERN cli EXCLUDE PATTERN browser EXCLUDE PATTERN cmake EXCLUDE)
install(FILES ${PROJECT_BINARY_DIR}/generated/version.hpp DESTINATION ${header_dir} COMPONENT dev)

configure_package_config_file(src/cmake/blendriskConfig.cmake.in
  ${PROJECT_BINARY_DIR}/generated/blendriskConfig.cmake INSTALL_DESTINATION ${package_dir})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/generated/blendriskConfigVersion.cmake
  COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/generated/blendriskConfig.cmake
              ${PROJECT_BINARY_DIR}/generated/blendriskConfigVersion.cmake
        DESTINATION ${package_dir} COMPONENT dev)

# Left out where they are not made; a package is not made then.
set(optional)
if(NOT BLENDRISK_HELP2MAN OR NOT BLENDRISK_SCDOC)
  set(optional OPTIONAL)
endif()
foreach(page blendrisk.1 blendrisk-scenario.5)
  cmake_path(GET page EXTENSION LAST_ONLY section)
  string(REPLACE . man section ${section})
  install(FILES ${pages_dir}/${page}.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/${section}
          COMPONENT program ${optional})
endforeach()
install(FILES src/cmake/completion.bash RENAME blendrisk COMPONENT program
        DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions)

# Laid out as here, so that the documents' links and commands hold.
install(DIRECTORY examples DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT program
        FILES_MATCHING PATTERN "*.ini" PATTERN "*.csv")
install(DIRECTORY docs DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT program
        FILES_MATCHING PATTERN "*.md" PATTERN "*.svg" PATTERN "*.png" PATTERN "*.html")
install(FILES README.md DEVELOPERS.md DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT program)
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT licence)
