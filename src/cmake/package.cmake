# cpack: the Debian packages blendrisk, of the program, and libblendrisk-dev, of the library.
set(debian_dir ${PROJECT_SOURCE_DIR}/src/cmake/debian)
foreach(pair "program|blendrisk" "dev|libblendrisk-dev")
  string(REPLACE "|" ";" pair "${pair}")
  list(GET pair 0 component)
  list(GET pair 1 package)
  # Excluded from all: nowhere but in these packages.
  install(FILES ${debian_dir}/copyright ${pages_dir}/changelog.gz COMPONENT ${component}
          DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/${package} EXCLUDE_FROM_ALL)
endforeach()
# README.md points to it.
file(CREATE_LINK copyright ${PROJECT_BINARY_DIR}/generated/LICENSE SYMBOLIC)
install(FILES ${PROJECT_BINARY_DIR}/generated/LICENSE COMPONENT program
        DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/blendrisk EXCLUDE_FROM_ALL)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME blendrisk)
set(CPACK_PACKAGE_VENDOR "blendrisk developers")
# Each package has its own first line.
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "")
set(CPACK_PACKAGE_CONTACT "blendrisk developers <blendrisk@example.invalid>")
set(CPACK_PACKAGE_DIRECTORY ${PROJECT_BINARY_DIR})
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_COMPONENTS_ALL program dev)
set(CPACK_COMPONENTS_GROUPING IGNORE)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS
    OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
set(CPACK_PROJECT_CONFIG_FILE ${PROJECT_BINARY_DIR}/generated/cpack_project.cmake)
configure_file(src/cmake/cpack_project.cmake.in generated/cpack_project.cmake @ONLY)

set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_COMPRESSION_TYPE xz)
set(CPACK_DEBIAN_PACKAGE_PRIORITY optional)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME blendrisk)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
# Only pictures need it.
set(CPACK_DEBIAN_PROGRAM_PACKAGE_RECOMMENDS "gnuplot-nox | gnuplot")
set(CPACK_DEBIAN_PROGRAM_DESCRIPTION "chance that a change of fuel lands outside its limits
When a car changes between gasoline and high-ethanol fuel, the content it
lands at depends on things that nobody knows exactly: what is left in the
tank, what the pump delivers, where the nozzle shuts off. blendrisk takes
each of them as an uncertain value and tells how likely the mixed tank is to
land outside the limits that the engine's calibration bears, how much to put
in, how empty to run first, and how long to wait for the new fuel.")

set(CPACK_DEBIAN_DEV_PACKAGE_NAME libblendrisk-dev)
set(CPACK_DEBIAN_DEV_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEV_PACKAGE_DEPENDS
    "libboost-dev (>= 1.74), libeigen3-dev (>= 3.4), nlohmann-json3-dev (>= 3.11)")
set(CPACK_DEBIAN_DEV_DESCRIPTION "chance that a change of fuel lands outside its limits (library)
The library of blendrisk, which estimates where a car's tank lands when it
changes between gasoline and high-ethanol fuel, with its headers and CMake
package.")

include(CPack)
